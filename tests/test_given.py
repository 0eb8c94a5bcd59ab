"""Whatever is given as a text file: one clear line, within a moment, whatever it is."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from brackets.app.cli.app import main
from brackets.core.errors import BadFile
from brackets.core.text_files import LARGEST, given_toml

BAD = {
    "nested": ("a = " + "[" * 100_000, "is nested too deeply to be read"),
    "digits": ("a = " + "9" * 5_000, "has a number of thousands of digits"),
    "syntax": ("a = = 1", "is not TOML: Invalid value (at line 1, column 5)"),
    "comma": ("mass = 90,5 # kg", "is not TOML: Expected newline or end of document after a statement (at line 1,"
              " column 10): mass = 90,5 # kg: write a decimal comma as a point"),
    "no quotes": ("name = left\n", "is not TOML: Invalid value (at line 1, column 8): name = left: text stands in"
                  " quotes"),
    "braces": ('a = { b = 1 }\na.c = 2\n', "is not TOML: Cannot mutate immutable namespace ('a',) (at line 2,"
               " column 8): a.c = 2: its table stands between { and } already: write this between them too"),
    "last comma": ("a = { b = 1, }\n", "is not TOML: Invalid initial character for a key part (at line 1, column"
                   " 14): a = { b = 1, }: no comma before }"),
    "unit": ("t = 6 mm", "is not TOML: Expected newline or end of document after a statement (at line 1, column 7):"
             " t = 6 mm: a number with its unit stands in quotes"),
    "long line": ("a = = " + "1" * 200, "is not TOML: Invalid value (at line 1, column 5): a = = " + "1" * 94),
    "escape": ("a = = \x1b[31m", "is not TOML: Invalid value (at line 1, column 5): a = =  [31m"),
    "latin": (b"name = '\xe9'", "is not text in UTF-8 (byte 8)"),
    "utf-16": ("a = 1".encode("utf-16"), "is not text in UTF-8 (byte 0)"),
    "huge": (b"#" * (LARGEST + 1), "has 4 MB, must be a bay file (TOML) of up to 4 MB"),
}


def refused(path: Path) -> str:
    with pytest.raises(BadFile) as error:
        given_toml(path, what="a bay file")
    (problem,) = error.value.problems
    return problem


@pytest.mark.parametrize("name", BAD)
def test_what_is_no_toml_is_refused_in_one_line(tmp_path: Path, name: str) -> None:
    text, said = BAD[name]
    path = tmp_path / "bay.toml"
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    assert refused(path).startswith(said)
    assert refused(path).isprintable()
    assert len(refused(path)) < 200


def test_the_mark_that_some_editors_put_before_the_text_is_no_part_of_it(tmp_path: Path) -> None:
    (tmp_path / "bay.toml").write_bytes("\ufeffname = 'Ä'".encode())
    assert given_toml(tmp_path / "bay.toml", what="a bay file") == {"name": "Ä"}


def test_a_file_at_the_limit_is_read(tmp_path: Path) -> None:
    (tmp_path / "bay.toml").write_bytes(b"a=1\n" + b"#" * (LARGEST - 4))
    assert given_toml(tmp_path / "bay.toml", what="a bay file") == {"a": 1}


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes with names there")
def test_what_is_no_file_is_not_waited_for(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.toml")
    (tmp_path / "folder.toml").mkdir()
    (tmp_path / "zero.toml").symlink_to("/dev/zero")
    assert refused(tmp_path / "pipe.toml") == "is a device or a pipe, must be a bay file (TOML)"
    assert refused(tmp_path / "zero.toml") == "is a device or a pipe, must be a bay file (TOML)"
    assert refused(tmp_path / "folder.toml") == "is a folder, must be a bay file (TOML)"
    assert refused(Path("a\0b.toml")) == "has a zero byte in its name, must be a bay file (TOML)"
    assert refused(tmp_path / ("n" * 5_000)) == "cannot be read: File name too long"


COMMANDS = {
    "bay": ["fit", "{}.toml"],
    "readings": ["measure", "{}.toml"],
    "bolts": ["bolts", "{}.toml"],
    "flat": ["flat", "{}.toml"],
    "card": ["card", "{}.toml"],
    "view": ["view", "{}.toml", "--html", "x.html"],
    "shop": ["make", "bung", "--shop", "{}.toml"],
    "recipe": ["make", "./{}.py"],
    "points": ["make", "adaptor", "--holes", "@{}.csv"],
}


@pytest.mark.parametrize("command", COMMANDS)
@pytest.mark.parametrize("stem", ["zero", "a\0b", "absent", "n" * 300, "latin"])
def test_every_command_says_so_in_one_line(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], command: str, stem: str
) -> None:
    monkeypatch.chdir(tmp_path)
    for ending in ("toml", "py", "csv"):
        (tmp_path / f"zero.{ending}").symlink_to("/dev/zero")
        (tmp_path / f"latin.{ending}").write_bytes(b"\xff\xfe")
    before = sorted(tmp_path.iterdir())
    assert main([word.replace("{}", stem) for word in COMMANDS[command]]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert len(err.splitlines()) == 1
    assert sorted(tmp_path.iterdir()) == before

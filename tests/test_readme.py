"""What the README says is run: its Python, its recipe, its commands."""

from __future__ import annotations

import re
import shlex
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader

import brackets
from brackets.app.cli.app import main
from brackets.output import part_files as made

pytestmark = pytest.mark.checkout

ROOT = Path(__file__).resolve().parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8") if (ROOT / "README.md").exists() else ""


def blocks(language: str) -> list[str]:
    return re.findall(rf"^```{language}\n(.*?)^```$", README, flags=re.MULTILINE | re.DOTALL)


def run(command: list[str], where: Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(command, cwd=where, capture_output=True, text=True, check=False)


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the README's own recipe in it."""
    folder = tmp_path_factory.mktemp("readme")
    (folder / "strap.py").write_text(blocks("python")[2], encoding="utf-8")
    return folder


def test_the_first_script_is_a_family(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    code = blocks("python")[0]
    assert len([line for line in code.splitlines() if line.strip()]) <= 10
    monkeypatch.chdir(tmp_path)
    names: dict[str, Any] = {}
    exec(compile(code, "README.md", "exec"), names)
    said = capsys.readouterr().out.splitlines()
    rows = names["rows"]
    assert len(rows) == 20 + 10
    assert len(said) == 30 + (2 + 30) + 1
    assert said[-1].endswith("of the 30 rows listed that nothing stops; strength is not judged")
    assert sorted(path.name for path in tmp_path.iterdir()) == ["ears.csv", "ears.html"]


def test_ten_lines_make_twenty_variants(
    shop: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """All twenty are made and checked; files are written of every fourth, both plates among them: each is the same
    work again, and what a variant's files hold is others' tests."""
    code = blocks("python")[1]
    assert len([line for line in code.splitlines() if line.strip()]) <= 10 + 1
    write, asked = brackets.write, []

    def some(thing: made.Made, folder: Path) -> None:
        asked.append(folder)
        if len(asked) % 4 == 1:
            write(thing, folder)

    monkeypatch.setattr(brackets, "write", some)
    monkeypatch.chdir(shop)
    exec(compile(code, "README.md", "exec"), {})
    assert len(capsys.readouterr().out.splitlines()) == 20
    assert len(set(asked)) == 20
    assert len(list((shop / "out" / "twenty").glob("*/facts.json"))) == 5


def test_ten_lines_lay_out_a_stay_of_three_tubes_and_its_wraps(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    code = blocks("python")[3]
    lines = [line for line in code.splitlines() if line.strip()]
    assert len([line for line in lines if not line.startswith("from ")]) <= 10
    monkeypatch.chdir(tmp_path)
    names: dict[str, Any] = {}
    exec(compile(code, "README.md", "exec"), names)
    said = capsys.readouterr().out.splitlines()
    assert [line.split(":")[0] for line in said[:3]] == ["leg", "brace", "link"]
    assert "STOP" not in "".join(said)
    pages = [page.extract_text() for page in PdfReader(tmp_path / "wraps.pdf").pages]
    wraps = [f"stay: {tube}, {end.upper()} onto" for tube in ("leg", "brace", "link") for end in ("start", "end")]
    assert [wrap for text in pages for wrap in wraps if wrap in text] == wraps
    assert {finding.code for finding in names["layout_findings"](names["laid"])} == {"inner lip"}
    assert sum(row.mass for row in names["laid"].table()) == pytest.approx(names["laid"].part("stay").mass.kg)


def test_a_powertrain_on_its_bushes_is_judged(capsys: pytest.CaptureFixture[str]) -> None:
    names: dict[str, Any] = {}
    exec(compile(blocks("python")[4], "README.md", "exec"), names)
    said = capsys.readouterr().out.splitlines()
    assert said[0].startswith("weight front ")
    assert [result.case.name for result in names["results"]][:2] == ["weight", "first gear"]
    assert {line.split(":")[0] for line in said[3:-2]} == {"advice", "caution"}
    assert said[-2].startswith("weld [('front', 0.")
    assert said[-1].startswith("top of the engine")


ELSEWHERE = (".venv/bin/brackets flat recipes/tern.toml",)
"""Run by test_tern, which needs the fit it makes, half a minute of processor."""

# Run in this process; that `python -m brackets` is the same program is a test of test_interrupts.
COMMANDS = [
    re.sub(r"\brecipes/(?=\w+\.toml)", f"{ROOT}/recipes/", line.removeprefix(".venv/bin/brackets "))
    for block in blocks("sh")
    for line in block.splitlines()
    if line.startswith(".venv/bin/brackets ") and "fit" not in line and line not in ELSEWHERE
]


@pytest.mark.parametrize("command", COMMANDS)
def test_a_command_of_the_readme_works(
    command: str, shop: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(shop)
    assert main(shlex.split(command)) == 0, capsys.readouterr().err
    assert capsys.readouterr().out


def test_a_command_that_is_run_elsewhere_stands_in_the_readme() -> None:
    assert all(line in README for line in ELSEWHERE)


def test_the_list_of_commands_is_the_programs_own() -> None:
    listed = re.findall(r"^brackets (\w+)", blocks("text")[0], flags=re.MULTILINE)
    done = run([sys.executable, "-m", "brackets", "--help"], ROOT)
    there = re.findall(r"^  (\w+)  +\S", done.stdout.split("Commands", 1)[1], flags=re.MULTILINE)
    assert sorted(set(listed)) == sorted(there)


def test_the_pictures_are_there_in_the_size_the_commands_give() -> None:
    """Whether one still shows what the command draws is for the eye."""
    shown = re.findall(r"!\[[^]]+\]\(([^)]+)\)", README)
    assert shown
    for name in shown:
        size = re.search(rf"--png {re.escape(name)} --pixels (\d+)x(\d+)", README)
        head = (ROOT / name).read_bytes()[:24]  # PNG, ISO/IEC 15948: signature, then width and height
        assert size is not None
        assert head[:8] == b"\x89PNG\r\n\x1a\n"
        assert [int.from_bytes(head[i : i + 4], "big") for i in (16, 20)] == [int(n) for n in size.groups()]


def test_no_word_of_approval_is_said() -> None:
    words = re.compile(r"\b(is safe|are safe|complies|compliant|certified|approved)\b", re.IGNORECASE)
    for folder in ("brackets", "recipes"):
        for path in sorted((ROOT / folder).rglob("*")):
            if path.suffix in (".py", ".toml", ".csv", ".html", ".js"):
                assert not words.search(path.read_text(encoding="utf-8")), path
    assert not words.search(README)

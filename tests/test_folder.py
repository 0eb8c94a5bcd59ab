"""A folder of results keeps what the user put there or changed, and survives a kill at any step."""

from __future__ import annotations

import json
import logging
import os
import subprocess
import sys
from collections.abc import Callable
from hashlib import sha256
from pathlib import Path

import pytest

from brackets.core.errors import InputError
from brackets.output import facts, folder

NOBODY = 2**22 + 1
"""More than the most processes that Linux counts to (proc(5), pid_max): nobody has this number."""


def fill(path: Path, *words: str, say: str = "ours") -> None:
    with folder.fresh(path) as at:
        for word in words:
            (at / word).write_text(say)
        facts.write({"files": list(words)}, at / "facts.json")


def tree(path: Path) -> dict[str, str]:
    """Text of every file but facts.json, by its path."""
    files = (p for p in sorted(path.rglob("*")) if p.is_file() and p.name != "facts.json")
    return {p.relative_to(path).as_posix(): p.read_text() for p in files}


def test_notes_and_folders_of_the_users_own_stay(tmp_path: Path) -> None:
    path = tmp_path / "cup"
    fill(path, "cup.pdf", "old.pdf")
    (path / "notes.txt").write_text("drill 11")
    (path / "photos" / "deep").mkdir(parents=True)
    (path / "photos" / "deep" / "one.jpg").write_text("x")
    (path / "photos" / "facts.json").write_text("{}")
    (path / "link").symlink_to("notes.txt")
    path.chmod(0o750)
    fill(path, "cup.pdf", say="new")
    assert tree(path) == {"cup.pdf": "new", "notes.txt": "drill 11", "photos/deep/one.jpg": "x", "link": "drill 11"}
    assert (path / "photos" / "facts.json").is_file()
    assert (path / "link").is_symlink()
    assert path.stat().st_mode & 0o777 == 0o750
    assert [p.name for p in tmp_path.iterdir()] == ["cup"]


def test_a_file_of_ours_that_was_edited_is_set_aside_and_named(
    tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    path = tmp_path / "cup"
    fill(path, "cup.pdf", "gone.pdf")
    (path / "cup.pdf").write_text("mine")
    (path / "gone.pdf").write_text("mine too")
    with caplog.at_level(logging.WARNING):
        fill(path, "cup.pdf", say="new")
    assert tree(path) == {"cup.pdf": "new", "cup (yours).pdf": "mine", "gone (yours).pdf": "mine too"}
    assert [r.getMessage() for r in caplog.records] == [
        f"{path}: your cup.pdf is kept as cup (yours).pdf",
        f"{path}: your gone.pdf is kept as gone (yours).pdf",
    ]
    (path / "cup.pdf").write_text("again")
    fill(path, "cup.pdf", say="newer")
    assert tree(path)["cup (yours) 2.pdf"] == "again"
    assert tree(path)["cup (yours).pdf"] == "mine"


def test_an_edited_list_is_set_aside_too(tmp_path: Path) -> None:
    path = tmp_path / "cup"
    fill(path, "cup.pdf")
    known = (path / "facts.json").read_text()
    (path / "facts.json").write_text(known.replace('"format": 1', '"format": 12'))
    fill(path, "cup.pdf", say="new")
    assert '"format": 12' in (path / "facts (yours).json").read_text()
    assert tree(path)["cup.pdf"] == "new"


def test_a_name_that_is_now_ours_moves_the_users_aside_whatever_its_capitals(tmp_path: Path) -> None:
    path = tmp_path / "cup"
    fill(path, "cup.pdf")
    (path / "Cup.DXF").write_text("mine")
    fill(path, "cup.pdf", "cup.dxf", say="new")
    assert tree(path) == {"cup.pdf": "new", "cup.dxf": "new", "Cup (yours).DXF": "mine"}


FOREIGN = ["{}", "not json", '{"sha256": {}}', '{"format": 1, "sha256": 3}', "[1]", "[" * 9999]


@pytest.mark.parametrize("text", FOREIGN)
def test_a_folder_with_somebody_elses_facts_is_refused_and_left_alone(tmp_path: Path, text: str) -> None:
    path = tmp_path / "theirs"
    path.mkdir()
    (path / "facts.json").write_text(text)
    (path / "thesis.txt").write_text("years")
    with pytest.raises(InputError, match="must be new, empty or written by this program"):
        fill(path, "cup.pdf")
    assert sorted(p.name for p in path.iterdir()) == ["facts.json", "thesis.txt"]
    assert (path / "facts.json").read_text() == text


def test_results_of_a_version_that_did_not_sum_its_own_list_are_ours(tmp_path: Path) -> None:
    path = tmp_path / "cup"
    path.mkdir()
    (path / "cup.pdf").write_text("ours")
    digest = facts.digest_of(path / "cup.pdf")
    (path / "facts.json").write_bytes(facts.text({"format": 1, "sha256": {"cup.pdf": digest}}))
    fill(path, "cup.step", say="new")
    assert tree(path) == {"cup.step": "new"}


KILLED = """
import os, signal, sys
from pathlib import Path
from brackets.output import facts, folder

STEPS = ("os.rename", "os.link", "os.mkdir", "os.rmdir", "os.remove", "open", "shutil.copytree")

def fill(path, words, say, last=0):
    steps = [0]
    def hook(event, args):
        if last and event in STEPS:
            steps[0] += 1
            if steps[0] == last:
                os.kill(os.getpid(), signal.SIGKILL)
    sys.addaudithook(hook)
    with folder.fresh(path) as at:
        for word in words:
            (at / word).write_text(say)
        facts.write({"files": words}, at / "facts.json")

for step in range(1, 200):
    path = Path(sys.argv[1], str(step), "cup")
    if (child := os.fork()) == 0:
        fill(path, ["cup.pdf", "gone.pdf"], "ours")
        (path / "notes.txt").write_text("mine")
        (path / "photos").mkdir()
        (path / "photos" / "one.jpg").write_text("x")
        fill(path, ["cup.pdf", "cup.step"], "new", last=step)
        os._exit(0)
    if os.waitpid(child, 0)[1] == 0:
        sys.exit(0)
sys.exit("not one came to its end")
"""
"""Fills a folder and fills it again, and is killed at the first, second, third ... step until one gets through."""


@pytest.mark.skipif(sys.platform == "win32", reason="forks and kills with a signal")
def test_a_kill_at_any_step_leaves_old_or_new_whole_and_no_litter_after_the_next_run(tmp_path: Path) -> None:
    old = {"cup.pdf": "ours", "gone.pdf": "ours", "notes.txt": "mine", "photos/one.jpg": "x"}
    new = {"cup.pdf": "new", "cup.step": "new", "notes.txt": "mine", "photos/one.jpg": "x"}
    subprocess.run([sys.executable, "-c", KILLED, str(tmp_path)], check=True)
    runs = sorted(tmp_path.iterdir(), key=lambda run: int(run.name))
    left = []
    for run in runs:
        folder.recover(run / "cup")
        left.append(tree(run / "cup"))
        assert [p.name for p in run.iterdir()] == ["cup"], run.name
    assert all(one in (old, new) for one in left)
    assert len(left) > 20
    assert left[0] == old
    assert left[-1] == new


def dead(path: Path, what: str, token: str = f"{NOBODY}-0123456789ab") -> Path:
    return path.with_name(f".{path.name}.{what}-{token}")


def test_what_a_live_process_is_filling_is_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "cup"
    busy = dead(path, "new", f"{os.getpid()}-0123456789ab")
    busy.mkdir()
    dead(path, "new").mkdir()
    fill(path, "cup.pdf")
    assert sorted(p.name for p in tmp_path.iterdir()) == [busy.name, "cup"]


def test_a_folder_made_by_hand_after_a_kill_does_not_cost_the_earlier_one(
    tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    path = tmp_path / "cup"
    fill(path, "cup.pdf")
    (path / "notes.txt").write_text("mine")
    path.rename(dead(path, "old"))
    dead(path, "new").mkdir()
    path.mkdir()
    fill(path, "cup.pdf", say="new")
    assert tree(path) == {"cup.pdf": "new"}
    assert tree(tmp_path / "cup (earlier)") == {"cup.pdf": "ours", "notes.txt": "mine"}
    assert "is kept as cup (earlier)" in caplog.text
    assert sorted(p.name for p in tmp_path.iterdir()) == ["cup", "cup (earlier)"]


def test_other_hidden_names_are_nobodys_litter(tmp_path: Path) -> None:
    path = tmp_path / "cup"
    names = [".cup.new-photos", ".cup.newer", ".cupboard.new-1-0123456789ab"]
    for name in names:
        (tmp_path / name).mkdir()
    fill(path, "cup.pdf")
    assert sorted(p.name for p in tmp_path.iterdir()) == sorted([*names, "cup"])


@pytest.mark.parametrize("more", [{}, {"pieces": 1, "zeta": {"program": 2}}, {"a": '\n  "program": 3'}])
def test_facts_have_the_sum_of_their_own_text_without_it(tmp_path: Path, more: dict[str, object]) -> None:
    """Read by another way: the key taken out of what JSON reads, and all of it written again."""
    facts.write({"files": [], **more}, tmp_path / "facts.json")
    written = (tmp_path / "facts.json").read_bytes()
    record = json.loads(written)
    own = record.pop("own_sha256")
    plain = json.dumps(record, indent=2, sort_keys=True, ensure_ascii=False) + "\n"
    assert own == sha256(plain.encode()).hexdigest()
    whole = json.dumps({**record, "own_sha256": own}, indent=2, sort_keys=True, ensure_ascii=False) + "\n"
    assert written == whole.encode()


@pytest.mark.parametrize(
    ("edit", "ours"),
    [
        (lambda text: text, True),
        (lambda text: json.dumps(json.loads(text)), True),  # spaced otherwise, and nothing else
        (lambda text: text.replace('"a": 1', '"a": 2'), False),
        (lambda text: text.replace('"own_sha256": "', '"own_sha256": "0'), False),
        (lambda text: text + "\n  \n", True),
    ],
)
def test_facts_that_a_person_edited_are_told_from_ours(
    tmp_path: Path, edit: Callable[[str], str], ours: bool
) -> None:
    path = tmp_path / "facts.json"
    facts.write({"files": [], "a": 1}, path)
    path.write_text(edit(path.read_text()))
    found = facts.listed(tmp_path)
    assert found is not None
    assert found["facts.json"] == (facts.digest_of(path) if ours else "")

"""A file that replaces another is whole, or the other stays."""

from __future__ import annotations

import errno
import os
import subprocess
import sys
from pathlib import Path

import pytest

from brackets.output.folder import replacing


def names(path: Path) -> list[str]:
    return sorted(p.name for p in path.iterdir())


def test_the_new_file_takes_the_place_of_the_old_and_keeps_its_mode(tmp_path: Path) -> None:
    path = tmp_path / "a.html"
    path.write_text("old")
    path.chmod(0o640)
    with replacing(path) as new:
        new.write_text("new")
        assert path.read_text() == "old"
        assert new.suffix == ".html"
    assert path.read_text() == "new"
    assert path.stat().st_mode & 0o777 == 0o640
    assert names(tmp_path) == ["a.html"]


@pytest.mark.parametrize("stop", [KeyboardInterrupt, RuntimeError])
def test_whatever_stops_the_work_the_old_file_stays(tmp_path: Path, stop: type[BaseException]) -> None:
    path = tmp_path / "a.html"
    path.write_text("old")

    def half() -> None:
        with replacing(path) as new:
            new.write_text("half")
            raise stop

    with pytest.raises(stop):
        half()
    assert path.read_text() == "old"
    assert names(tmp_path) == ["a.html"]


def test_a_link_stays_a_link(tmp_path: Path) -> None:
    (tmp_path / "far").mkdir()
    (tmp_path / "far" / "a.html").write_text("old")
    (tmp_path / "a.html").symlink_to("far/a.html")
    with replacing(tmp_path / "a.html") as new:
        new.write_text("new")
    assert (tmp_path / "a.html").is_symlink()
    assert (tmp_path / "far" / "a.html").read_text() == "new"


def test_a_refusal_names_the_file_that_was_asked_for(tmp_path: Path) -> None:
    path = tmp_path / "gone" / "a.html"
    with pytest.raises(OSError, match="No such file") as refused, replacing(path) as new:
        new.write_text("new")
    assert refused.value.filename == str(path)


KILLED = """
import os, signal, sys
from pathlib import Path
from brackets.output.folder import replacing
with replacing(Path(sys.argv[1])) as new:
    new.write_text("half")
    os.kill(os.getpid(), signal.SIGKILL)
"""


@pytest.mark.skipif(sys.platform == "win32", reason="sends POSIX signals")
def test_what_a_killed_run_left_is_swept_by_the_next_and_nothing_else(tmp_path: Path) -> None:
    path = tmp_path / "a.html"
    path.write_text("old")
    subprocess.run([sys.executable, "-c", KILLED, str(path)], check=False)
    assert len(names(tmp_path)) == 2
    kept = [f".a.new-{os.getpid()}-0123456789ab.html", ".a.new-mine.html", ".b.new-999999999-0123456789ab.html"]
    for name in kept:
        (tmp_path / name).write_text("of others, or of a run that is not over")
    with replacing(path) as new:
        new.write_text("new")
    assert names(tmp_path) == sorted(["a.html", *kept])


FULL = """
import resource, signal, sys
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
resource.setrlimit(resource.RLIMIT_FSIZE, (20_000, 20_000))
from brackets.app.cli import main
sys.exit(main(sys.argv[1:]))
"""
"""Files of more than 20 kB meet the system's refusal, as on a disk that is full."""


@pytest.mark.skipif(sys.platform == "win32", reason="limits the size of files as POSIX does")
def test_view_with_no_room_leaves_the_old_file_and_says_so(tmp_path: Path) -> None:
    path = tmp_path / "seen.html"
    path.write_text("old")
    command = [sys.executable, "-c", FULL, "view", "gusset", "--html", str(path)]
    done = subprocess.run(command, capture_output=True, text=True, cwd=tmp_path)
    assert done.returncode != 0
    assert done.stderr == f"{path}: {os.strerror(errno.EFBIG)}, nothing written\n"
    assert path.read_text() == "old"
    assert names(tmp_path) == [path.name]

"""The stamp of a file: another one for whatever was written or put in its place, none where there is no file."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from brackets.core.stamp import stamp


def test_a_file_left_alone_keeps_its_stamp(tmp_path: Path) -> None:
    path = tmp_path / "bay.toml"
    path.write_text("a")
    assert stamp(path) == stamp(str(path)) is not None


@pytest.mark.parametrize("change", ["longer", "later", "replaced"])
def test_each_change_alone_gives_another_stamp(tmp_path: Path, change: str) -> None:
    """A longer text with its time put back, the same text later, and another file of that size and time."""
    path, other = tmp_path / "bay.toml", tmp_path / "other.toml"
    path.write_text("a")
    about = path.stat()
    times = about.st_atime_ns, about.st_mtime_ns
    before = stamp(path)
    if change == "replaced":
        other.write_text("b")
        os.utime(other, ns=times)
        other.replace(path)
    elif change == "longer":
        path.write_text("ab")
        os.utime(path, ns=times)
    else:
        os.utime(path, ns=(times[0], times[1] + 1_000_000_000))
    assert stamp(path) != before


@pytest.mark.parametrize("name", ["none.toml", "zero\0byte.toml"])
def test_what_is_no_file_has_no_stamp(tmp_path: Path, name: str) -> None:
    assert stamp(tmp_path / name) is None

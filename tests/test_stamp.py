"""The stamp of a file: another one for whatever was written or put in its place, none where there is no file."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

import cadquery as cq
import pytest
import trimesh

from brackets.bay.schema.keep_out import KeepOut
from brackets.bay.stand.bodies import keep_out_body
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


def _block(path: Path, height: float) -> None:
    if path.suffix == ".stl":
        trimesh.creation.box(extents=(20, 30, height)).export(path)
    else:
        cq.exporters.export(cq.Workplane().box(20, 30, height), str(path))


@pytest.mark.parametrize("name", ["block.stl", "block.step"])
def test_a_keep_out_is_made_once_of_a_file_and_anew_of_what_is_written_over_it(tmp_path: Path, name: str) -> None:
    """Of the same row of the bay, in the same process."""
    key: dict[str, Any] = {"mesh": name, "unit": "mm"} if name.endswith(".stl") else {"step": name}
    row = KeepOut(name="block", **key)
    _block(tmp_path / name, 40)
    first = keep_out_body(row, beside=tmp_path)
    assert keep_out_body(row, beside=tmp_path) is first
    _block(tmp_path / name, 60)
    assert keep_out_body(row, beside=tmp_path).box[1][2] == pytest.approx(30, abs=0.01)

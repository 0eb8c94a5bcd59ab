"""A part set on a scan that it is declared to touch: noise is no foul, and what is allowed is said."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import numpy as np
import pytest
import trimesh

from brackets.bay.file import read
from brackets.bay.fitting import Fit, fit

BOSS = '[[boss]]\nname = "B1"\nat = [0, 0, 20]\nnormal = [0, 0, 1]\nthread = "M10"\ndepth = 20\npos = {pos}\n'
BAY = """
format = 1
[[keep_out]]
name = "scan"
mesh = "block.stl"
unit = "mm"
{pos}
{boss}
[[part]]
name = "plate"
recipe = "base_plate"
length = 90
width = 60
side = "chassis"
at = [0, 0, {at}]
{bosses}
[[contact]]
pair = ["plate", "scan"]
"""


@cache
def block() -> bytes:
    """A block of 140 by 100, its top at 20, every corner moved by up to 0.4 mm."""
    made = trimesh.creation.box(extents=(140, 100, 40)).subdivide_to_size(14.0)
    made.merge_vertices()
    made.vertices += np.random.default_rng(3).uniform(-0.4, 0.4, made.vertices.shape)
    return bytes(made.export(file_type="stl"))


def fitted(folder: Path, *, at: float = 20.0, pos: str = "", boss: float | None = None) -> Fit:
    (folder / "block.stl").write_bytes(block())
    row = "" if boss is None else BOSS.format(pos=boss)
    text = BAY.format(at=at, pos=pos, boss=row, bosses="" if boss is None else 'bosses = ["B1"]')
    (folder / "bay.toml").write_text(text, "utf-8")
    return fit(read(folder / "bay.toml"))


def of_the_scan(done: Fit) -> list[tuple[str, str]]:
    return [(f.level, f.code) for f in done.findings if f.about == ("plate", "scan") and f.code in ("foul", "scan")]


def test_noise_within_what_a_scan_is_taken_for_is_contact_and_says_so(tmp_path: Path) -> None:
    done = fitted(tmp_path)
    (pair,) = (p for p in done.pairs if {p.a, p.b} == {"plate", "scan"})
    assert pair.state == "contact"
    assert pair.volume is not None
    assert pair.volume > 0.01  # what used to make it a foul
    assert pair.deep is not None
    assert 0.2 < pair.deep <= 0.41
    assert of_the_scan(done) == [("advice", "scan")]
    (said,) = (f for f in done.findings if f.code == "scan")
    assert "0.5 allowed (taken for a scan, since scan has no pos)" in said.sentence


@pytest.mark.parametrize(
    ("at", "pos", "boss", "expected"),
    [
        (20.0, "pos = 0.1", None, ("stop", "foul")),
        (20.0, "pos = 0.45", None, ("advice", "scan")),
        (18.0, "", None, ("stop", "foul")),
        (18.0, "pos = 3", None, ("advice", "scan")),
        (20.0, "", 0.1, ("stop", "foul")),
        (20.0, "", 1.0, ("advice", "scan")),
    ],
)
def test_the_scans_own_figure_goes_first_then_that_of_the_parts_bosses(
    tmp_path: Path, at: float, pos: str, boss: float | None, expected: tuple[str, str]
) -> None:
    done = fitted(tmp_path, at=at, pos=pos, boss=boss)
    assert of_the_scan(done) == [expected]
    if boss is None:  # the plate has no hole for a boss's bolt, which is a stop of its own
        assert done.stops == (expected[0] == "stop")
    if boss == 1.0:
        (said,) = (f for f in done.findings if f.code == "scan")
        assert "1 allowed (pos of boss B1, since scan has none)" in said.sentence

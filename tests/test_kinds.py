"""Kinds of piece, opening, hole and weld edge: what a reader of the record does not know, none passes over."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, replace
from pathlib import Path
from typing import get_args

import ezdxf
import pytest
from kernel import AGREE, disagreement
from test_fold_samples import angle_bracket, sheet

import brackets
from brackets.app.cli.made_view import cut_from
from brackets.core.errors import InputError
from brackets.core.place import HERE
from brackets.drawing.blank import _seam, _side, blank
from brackets.drawing.holes import how, marks
from brackets.drawing.record import Title
from brackets.forming.flat_pattern import _kind, _now
from brackets.forming.shop import NO_TOOLS
from brackets.geometry.shapes import circle
from brackets.kernel.solids import own_shape
from brackets.model.edges import FITS
from brackets.model.faces import flat_faces
from brackets.model.holes import Hole, HoleKind, Opening, Slot
from brackets.model.kinds import KINDS, AnyPiece, kind_of
from brackets.model.mass import volume
from brackets.model.mass_of_folded import called
from brackets.model.part import Part
from brackets.model.piece import Piece
from brackets.model.plate import Plate, Wall
from brackets.model.weld import Edge, Weld
from brackets.output import dxf
from brackets.output.cut_files import drawn
from brackets.output.facts import _flat
from brackets.output.step import COLOURS

PLATE = Plate(name="plate", t=6.0, wall=Wall(outline=circle((0.0, 0.0), 40.0)))


@dataclass(frozen=True)
class Knockout:
    """An opening that nobody knows."""

    name: str = ""
    face: str = "high"


class Casting(Piece):
    """A piece that nobody knows."""


def test_every_hole_kind_says_how_it_is_made_and_what_is_left_to_ream() -> None:
    said = {kind: how(Hole(at=(0.0, 0.0), d=10.5, kind=kind)) for kind in get_args(HoleKind)}
    assert said == {
        "pivot": "now 9.9, ream 10.5 after welding",
        "boss": "drill now",
        "fine": "match-drill through the other part",
        "coarse": "drill now",
        "tap": "drill now, tap after welding",
        "bore": "bore or saw to fit its bush or tube",
        "drain": "drill now",
    }
    assert [kind for kind in said if Hole(at=(0.0, 0.0), d=10.5, kind=kind).now < 10.5] == ["pivot"]


@dataclass(frozen=True)
class Takes:
    """What a hole of 10 takes of a plate of 8: diameters on its lower and upper face, volume,
    circles of the cut file by layer, and what the facts say of it."""

    low: float
    high: float
    volume: float
    circles: dict[str, list[float]]
    facts: dict[str, object]


def straight(kind: HoleKind, *, now: float = 10.0) -> Takes:
    """One that goes square through."""
    facts = {"wall": 0, "d_mm": 10.0, "now_mm": now, "centres_mm": [[20.0, 15.0]], "kind": kind}
    circles = {"CUT": [now]} if now == 10.0 else {"CUT": [now], "MARK": [10.0]}
    return Takes(10.0, 10.0, math.pi * 25 * 8, circles, facts)


TAKES: dict[str, Takes] = {
    "pivot": straight("pivot", now=9.4),
    "boss": straight("boss"),
    "fine": straight("fine"),
    "coarse": straight("coarse"),
    "tap": straight("tap"),
    "bore": straight("bore"),
    "drain": straight("drain"),
}
"""A row for every kind, worked out by hand: what solid, mass, faces, cut files and facts must agree on."""

KINDS_OF_HOLE = get_args(HoleKind)


def holed(kind: HoleKind) -> Hole:
    return Hole(at=(20.0, 15.0), d=10.0, kind=kind)


@pytest.mark.parametrize("kind", KINDS_OF_HOLE)
def test_solid_mass_and_faces_know_what_a_hole_of_every_kind_takes(kind: HoleKind) -> None:
    whole = 60.0 * 40.0
    plate = Plate(name="p", t=8.0, wall=sheet(60, 40, holed(kind)))
    assert volume(plate) == pytest.approx(whole * 8 - TAKES[kind].volume, rel=1e-12)
    assert max(disagreement(plate)) < AGREE
    for z, d in ((0.0, TAKES[kind].low), (8.0, TAKES[kind].high)):
        left = pytest.approx(whole - math.pi / 4 * d * d, rel=1e-9)
        [of_solid] = [f.Area() for f in own_shape(plate).Faces() if f.geomType() == "PLANE" and f.Center().z == z]
        assert of_solid == left
        [of_record] = [f.region.area for f in flat_faces(plate) if f.place.at[2] == z and f.place.axis[2]]
        assert of_record == left


@pytest.mark.parametrize("kind", KINDS_OF_HOLE)
def test_a_hole_of_every_kind_takes_the_same_of_a_wall_that_a_cut_reaches(kind: HoleKind) -> None:
    """A slot over the edge of a flange leaves a wall whose openings are worked out again."""
    slot = Slot(a=(50.0, 0.0), b=(50.0, 14.0), d=6.0)
    bracket = angle_bracket()
    [flange] = bracket.flanges

    def left(*openings: Opening) -> float:
        wall = replace(flange.wall, openings=openings)
        return volume(replace(bracket, flanges=(replace(flange, wall=wall),)))

    solid = own_shape(replace(bracket, flanges=(replace(flange, wall=replace(flange.wall, openings=(slot,))),)))
    assert solid.isValid()
    assert left(slot) - left(slot, holed(kind)) == pytest.approx(TAKES[kind].volume * bracket.t / 8, rel=1e-9)


@pytest.mark.parametrize("kind", KINDS_OF_HOLE)
def test_cut_file_and_facts_know_a_hole_of_every_kind(kind: HoleKind, tmp_path: Path) -> None:
    plate = Plate(name="p", t=8.0, wall=sheet(60, 40, holed(kind)))
    dxf.write(blank(plate, Title(part="p")), tmp_path / "a.dxf")
    found: dict[str, list[float]] = {}
    for circle_ in ezdxf.readfile(tmp_path / "a.dxf").modelspace().query("CIRCLE"):
        found.setdefault(circle_.dxf.layer, []).append(round(2 * circle_.dxf.radius, 6))
    assert {layer: sorted(ds) for layer, ds in found.items()} == TAKES[kind].circles
    flat = _flat(plate)
    assert flat is not None
    assert flat["holes"] == [TAKES[kind].facts]


def test_every_hole_kind_has_its_row_and_no_other_module_tells_them_apart_by_word() -> None:
    """What becomes of a hole is asked of `use_of` or told by a `match` ended by assert_never: an `==` passes a new
    kind over in silence."""
    assert set(TAKES) == set(KINDS_OF_HOLE)
    home = Path(brackets.__file__).parent
    told = re.compile(r"""\.kind (==|!=|in|not in) [("']*(pivot|fine|coarse|tap|bore|drain)\b""")
    assert [path.name for path in home.rglob("*.py") if told.search(path.read_text("utf-8"))] == []


def test_a_hole_kind_or_opening_that_is_not_known_is_passed_by_none() -> None:
    strange = Hole(at=(0.0, 0.0), d=10.0, kind="countersunk")  # type: ignore[arg-type]
    for tried in (
        lambda: strange.now,
        lambda: how(strange),
        lambda: how(Knockout()),  # type: ignore[arg-type]
        lambda: list(marks(Knockout(), ((0.0, 0.0),))),  # type: ignore[arg-type]
        lambda: called(Knockout(), 1),  # type: ignore[arg-type]
        lambda: _kind(Knockout()),  # type: ignore[arg-type]
        lambda: _now(Knockout()),  # type: ignore[arg-type]
    ):
        with pytest.raises(AssertionError, match="unreachable, but got"):
            tried()


def test_a_weld_edge_that_is_not_known_is_passed_by_none() -> None:
    weld = Weld(piece="plate", edge=Knockout(), onto="rail", leg=4.0)  # type: ignore[arg-type]
    for tried in (lambda: _seam(PLATE, weld, HERE), lambda: _side(weld)):
        with pytest.raises(AssertionError, match="unreachable, but got: Knockout"):
            tried()


def test_a_piece_that_is_not_known_is_refused_where_it_was_passed_over() -> None:
    piece = Casting(name="casting")
    part = Part(name="part", pieces=())
    for tried in (
        lambda: drawn(piece, part, Title(part="part"), NO_TOOLS),
        lambda: _flat(piece),
        lambda: cut_from(piece),
    ):
        with pytest.raises(InputError, match="piece = Casting, one of"):
            tried()


def test_the_lists_of_kinds_are_those_of_the_unions() -> None:
    assert set(COLOURS) == set(KINDS.values())
    assert set(KINDS) == set(get_args(AnyPiece))
    assert set(FITS) == set(get_args(Edge))
    assert {Hole, Slot} < set(get_args(Opening))


def test_files_call_the_kinds_as_they_did_before_a_class_was_renamed() -> None:
    words = {kind.__name__: kind_of(object.__new__(kind)) for kind in KINDS}
    assert words == {
        "Plate": "plate", "Folded": "folded", "Tube": "tube", "BentTube": "benttube", "Turned": "turned",
        "CustomPiece": "odd",
    }  # fmt: skip

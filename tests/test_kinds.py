"""Kinds of piece, opening, hole and weld edge: what a reader of the record does not know, none passes over."""

from __future__ import annotations

from dataclasses import dataclass
from typing import get_args

import pytest

from brackets.app.cli.made_view import cut_from
from brackets.core.errors import InputError
from brackets.core.place import HERE
from brackets.drawing.blank import _seam, _side
from brackets.drawing.holes import how, marks
from brackets.drawing.record import Title
from brackets.forming.fold_order import _kind, _now
from brackets.forming.shop import NO_TOOLS
from brackets.geometry.shapes import circle
from brackets.model.edges import FITS
from brackets.model.holes import Hole, HoleKind, Opening, Slot
from brackets.model.kinds import KINDS, AnyPiece, word_of
from brackets.model.mass_of_folded import called
from brackets.model.part import Part
from brackets.model.piece import Piece
from brackets.model.plate import Plate, Wall
from brackets.model.weld import Edge, Weld
from brackets.output.cut_files import drawn
from brackets.output.facts import _flat

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
    assert set(KINDS) == set(get_args(AnyPiece))
    assert set(FITS) == set(get_args(Edge))
    assert {Hole, Slot} < set(get_args(Opening))


def test_files_call_the_kinds_as_they_did_before_a_class_was_renamed() -> None:
    words = {kind.__name__: word_of(object.__new__(kind)) for kind in KINDS}
    assert words == {
        "Plate": "plate", "Folded": "folded", "Tube": "tube", "BentTube": "benttube", "Turned": "turned",
        "CustomPiece": "odd",
    }  # fmt: skip

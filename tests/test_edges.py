"""Welded edges: as long as they should be, and on the metal they belong to."""

from __future__ import annotations

import math

import numpy as np
import pytest
from bracket import PART
from kernel import off

from brackets import kernel as solid
from brackets.core.errors import InputError
from brackets.core.place import Place
from brackets.geometry.shapes import rectangle
from brackets.model import edges
from brackets.model.holes import Hole, Slot
from brackets.model.piece import Piece
from brackets.model.plate import Flange, Folded, Plate, TubeSeat, Wall
from brackets.model.tube import BentTube, Step, Tube, TubeEnd, Turned
from brackets.model.weld import Along, AtSeat, Circle, Edge, OpeningRim, StraightEdge, TubeRim

WHERE = Place((10, -20, 30), (1, 2, 3), (0, 1, 0))
WALL = Wall(
    outline=rectangle(100, 60, radius=10),
    openings=(Hole(at=(0, 5), d=20), Slot(a=(-30, 0), b=(-25, 0), d=8)),
    seats=(TubeSeat(at=(0, -40, 0), axis=(0.3, 0.2, 1), r=20, keep=(0, 25)),),
)
EAR = Plate(name="ear", wall=WALL, t=6, place=WHERE)
CUP = Turned(name="cup", steps=(Step(length=40, od=57, bore=50),), place=WHERE)
STRUT = Tube(
    name="strut",
    od=25,
    wall=2,
    length=150,
    start=TubeEnd(kind="saddle", angle=60, r=21.2, offset=2, clock=40),
    end=TubeEnd(kind="plane", angle=70, clock=10),
    place=WHERE,
)
BENT = BentTube(
    name="bent",
    od=25,
    wall=2,
    points=((0, 0, 0), (0, 0, 120), (80, 30, 200)),
    bend_r=60,
    end=STRUT.end,
    place=WHERE,
)
ANGLE = Folded(
    name="angle",
    t=4,
    base=Wall(outline=rectangle(60, 40, centre=(30, 20))),
    flanges=(
        Flange(
            start=(0, 40),
            end=(60, 40),
            angle=70,
            inside_radius=5,
            wall=Wall(outline=rectangle(60, 30, centre=(30, 15)), openings=(Hole(at=(20, 15), d=10),)),
        ),
    ),
    place=WHERE,
)
ON = 1e-6
"""mm from the kernel's own edge, which it keeps to 1e-7."""

ALL: tuple[tuple[Piece, Edge], ...] = (
    (EAR, Along((40, 30), (-40, 30))),
    (EAR, Along((50, -15), (-50, -15), "high")),
    (EAR, OpeningRim(0)),
    (EAR, OpeningRim(1, "high")),
    (EAR, AtSeat(0)),
    (EAR, AtSeat(0, "high")),
    (CUP, Circle(0.0, 57.0)),
    (CUP, Circle(40.0, 50.0)),
    (CUP, StraightEdge((28.5, 0, 5), (28.5, 0, 35))),
    (STRUT, TubeRim("start")),
    (STRUT, TubeRim("end")),
    (BENT, TubeRim("start")),
    (BENT, TubeRim("end")),
    (ANGLE, Along((0, 40), (0, 0))),
    (ANGLE, Along((60, 30), (0, 30), "high", 1)),
    (ANGLE, OpeningRim(0, "low", 1)),
)
each = pytest.mark.parametrize(("piece", "edge"), ALL, ids=lambda x: x.name if isinstance(x, Piece) else str(x))


@each
def test_an_edge_lies_on_the_skin_of_its_piece(piece: Piece, edge: Edge) -> None:
    skin = solid.shape(piece).shells()
    assert max(off(skin, p) for p in edges.points(piece, edge, 9)) < ON


@each
def test_many_points_add_up_to_the_length(piece: Piece, edge: Edge) -> None:
    run = np.array(edges.points(piece, edge, 2001))
    chords = float(np.linalg.norm(np.diff(run, axis=0), axis=1).sum())
    assert chords == pytest.approx(edges.length(piece, edge), rel=2e-5)


@each
def test_the_edge_of_the_other_hand_is_the_mirrored_edge(piece: Piece, edge: Edge) -> None:
    other = piece.mirrored()
    here = np.array(edges.points(piece, edge, 200)) * (-1, 1, 1)
    there = np.array(edges.points(other, piece.mirrored_edge(edge), 200))
    assert edges.length(other, piece.mirrored_edge(edge)) == pytest.approx(edges.length(piece, edge), rel=1e-6)
    spacing = edges.length(piece, edge) / 199
    assert max(np.linalg.norm(there - p, axis=1).min() for p in here) < 1.5 * spacing


@pytest.mark.parametrize(
    ("piece", "edge", "length"),
    [
        (EAR, Along((40, 30), (-40, 30)), 80),
        (EAR, Along((-40, 30), (40, 30)), 320 - 80 + 20 * math.pi - 80),
        (EAR, Along((0, 30), (0, 30)), 320 - 80 + 20 * math.pi),
        (EAR, Along((5, 31), (-5, 40)), 10),
        (EAR, OpeningRim(0), 20 * math.pi),
        (EAR, OpeningRim(1), 10 + 8 * math.pi),
        (CUP, Circle(0, 57), 57 * math.pi),
        (CUP, StraightEdge((0, 0, 0), (3, 4, 12)), 13),
        (Tube(name="t", od=30, wall=2, length=99), TubeRim("end"), 30 * math.pi),
    ],
)
def test_lengths_are_what_a_tape_says(piece: Piece, edge: Edge, length: float) -> None:
    assert edges.length(piece, edge) == pytest.approx(length, rel=1e-12)


def test_a_slanted_saw_cut_is_an_ellipse_round() -> None:
    """Ramanujan's second formula for the perimeter of an ellipse, 1914 (from memory): below 1e-9 here."""
    tube = Tube(name="t", od=30, wall=2, length=99, end=TubeEnd(kind="plane", angle=60))
    a, b = 15 / math.sin(math.radians(60)), 15.0
    h = ((a - b) / (a + b)) ** 2
    assert edges.length(tube, TubeRim("end")) == pytest.approx(
        math.pi * (a + b) * (1 + 3 * h / (10 + math.sqrt(4 - 3 * h))), rel=1e-6
    )


def test_points_run_from_end_to_end_evenly() -> None:
    run = edges.points(Plate(name="p", wall=WALL, t=6), Along((40, 30), (-40, 30), "high"), 5)
    assert run == [pytest.approx((x, 30, 6)) for x in (40, 20, 0, -20, -40)]


def test_a_closed_edge_ends_where_it_begins() -> None:
    first, *_, last = edges.points(EAR, OpeningRim(0), 12)
    assert last == pytest.approx(first)


@pytest.mark.parametrize(
    ("piece", "edge", "said"),
    [
        (EAR, TubeRim("end"), "edge = TubeRim, only of a Tube or BentTube: a weld on ear, a Plate"),
        (CUP, Along((0, 0), (1, 1)), "only of a Plate or Folded"),
        (EAR, OpeningRim(2), "opening = 2, 0 to 1: an edge of ear"),
        (EAR, AtSeat(1), "seat = 1, 0 to 0"),
        (ANGLE, AtSeat(0), "seat = 0, there is none"),
        (EAR, OpeningRim(0, wall=1), "wall = 1, 0 to 0"),
        (ANGLE, OpeningRim(0, wall=2), "wall = 2, 0 to 1"),
        (EAR, Along((0, 30), (0, 31)), "must be two places on the outline"),
    ],
)
def test_an_edge_that_is_not_there_is_refused(piece: Piece, edge: Edge, said: str) -> None:
    with pytest.raises(InputError) as refused:
        edges.length(piece, edge)
    assert said in str(refused.value)


def test_one_point_is_no_run() -> None:
    with pytest.raises(InputError, match="n = 1"):
        edges.points(PART.pieces[0], OpeningRim(0), 1)

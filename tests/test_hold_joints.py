"""Tubes welded onto tubes: the wall below by sums written out here, and what a part gives it.

EN 1993-1-8:2005 7.4, tables 7.1, 7.2 and 7.5: figures from memory, the chord face of T joints and 7.4.1 seen on
public pages. The sums use nothing of the package.
"""

from __future__ import annotations

from math import pi, radians, sin, sqrt
from typing import Any

import numpy as np
import pytest

from brackets import Part, Place, Seat, circle, hold, recipe
from brackets.hold import HoldSettings, metal, read_cases
from brackets.hold.tube_joints import least_end
from brackets.model.holes import Hole
from brackets.model.plate import Plate, Wall
from brackets.model.tube import Tube, TubeEnd
from brackets.model.weld import TubeRim, Weld

S235 = metal("S235", 4)
CHORD: dict[str, Any] = {"od": 60.3, "wall": 4.0, "metal": S235}
WIDE: dict[str, Any] = {**CHORD, "brace_od": 60.3, "brace_wall": 4.0}
NARROW: dict[str, Any] = {**CHORD, "brace_od": 38.1, "brace_wall": 3.2}


def face(beta: float, angle: float = 90.0, *, cross: bool = False) -> tuple[float, float, float]:
    """Force, moment in plane and out of it that the face of 60.3 x 4 of S235 carries, N and N mm."""
    d, t, steep, gamma = 60.3, 4.0, sin(radians(angle)), 60.3 / 8
    base = 235 * t**2 / steep
    force = base * (5.2 / (1 - 0.81 * beta) if cross else gamma**0.2 * (2.8 + 14.2 * beta**2))
    return force, 4.85 * base * beta * d * sqrt(gamma) * beta, base * beta * d * 2.7 / (1 - 0.81 * beta)


def punching(beta: float, angle: float = 90.0) -> tuple[float, float, float]:
    d1, t, steep = beta * 60.3, 4.0, sin(radians(angle))
    shear = 235 / sqrt(3) * t
    return (
        shear * pi * d1 * (1 + steep) / (2 * steep**2),
        shear * d1**2 * (1 + 3 * steep) / (4 * steep**2),
        shear * d1**2 * (3 + steep) / (4 * steep**2),
    )


def limits(**given: Any) -> tuple[float, float, float]:
    """The three that alone use it up."""
    words = ("force", "in_plane", "out_of_plane")
    alone = [hold.tube_on_tube(**{"force": 0, **given, word: 1.0}) for word in words]
    push, plane, aside = (float(one.value) for one in alone)
    return 1 / push, 1 / sqrt(plane), 1 / aside


@pytest.mark.parametrize("angle", [90.0, 45.0, 30.0])
@pytest.mark.parametrize("cross", [False, True])
def test_the_lesser_of_face_and_punching_of_each(angle: float, cross: bool) -> None:
    beta = 38.1 / 60.3
    both = zip(face(beta, angle, cross=cross), punching(beta, angle), strict=True)
    assert limits(**NARROW, angle=angle, cross=cross) == pytest.approx([min(pair) for pair in both])


def test_a_brace_as_wide_as_the_bore_does_not_punch() -> None:
    """Up to d0 - 2 t0 = 52.3 mm: there both, over it the face alone. It is moments that punch first."""
    thin = {"od": 60.3, "wall": 4.0, "metal": S235, "brace_wall": 4.0}
    beta = 52.3 / 60.3
    assert punching(beta)[1] < face(beta)[1]
    assert limits(**thin, brace_od=52.3)[1] == pytest.approx(punching(beta)[1])
    assert limits(**thin, brace_od=52.31)[1] == pytest.approx(face(52.31 / 60.3)[1])
    assert limits(**WIDE) == pytest.approx(face(1.0))


def test_force_and_moments_together() -> None:
    """(7.3): shares of force and of the moment out of plane as they are, that in plane squared."""
    push, plane, aside = limits(**NARROW)
    both = hold.tube_on_tube(-0.3 * push, in_plane=0.5 * plane, out_of_plane=-0.2 * aside, **NARROW)
    assert both.value == pytest.approx(0.3 + 0.25 + 0.2)


def test_a_chord_that_is_pressed_carries_less() -> None:
    """kp = 1 - 0.3 n (1 + n): half of yield 0.775, all of it 0.4. Punching is not touched by it."""
    plain = limits(**WIDE)
    for share in (0.5, 1.0):
        less = limits(**WIDE, pressed=share * 235)
        assert less == pytest.approx([(1 - 0.3 * share * (1 + share)) * one for one in plain])
    punched = punching(52.3 / 60.3)[1]
    assert limits(**CHORD, brace_od=52.3, brace_wall=4.0, pressed=23.5)[1] == pytest.approx(punched)


def test_how_far_a_chord_must_go_on() -> None:
    """AISC 360-16 table K3.1A (from memory): od (1.25 - beta / 2)."""
    assert least_end(60, 60) == pytest.approx(45)
    assert least_end(60, 30) == pytest.approx(60)


def tee(*, long: float = 300.0, at: float = 150.0, off: float = 0.0, wall: float = 4.0, arm: float = 120.0) -> Part:
    """A chord 60.3 along x from a plate at its start, a brace 38.1 up from it at `at`, a plate on the brace."""
    chord = Tube(name="chord", place=Place((0, 0, 0), (1, 0, 0), (0, 0, 1)), od=60.3, wall=wall, length=long)
    brace = Tube(
        name="brace", place=Place((at, off, 0), (0, 0, 1), (1, 0, 0)), od=38.1, wall=3.2, length=arm,
        start=TubeEnd(kind="saddle", angle=90, r=30.15),
    )  # fmt: skip
    holes = tuple(Hole(at=(x, y), d=11.0, bolt="M10") for x in (-45.0, 45.0) for y in (-45.0, 45.0))
    base = Plate(
        name="base", place=Place((-10, 0, 0), (1, 0, 0), (0, 1, 0)), t=10.0,
        wall=Wall(outline=circle((0, 0), 80), openings=holes),
    )  # fmt: skip
    over = Place((at, off, arm), (0, 0, 1), (1, 0, 0))
    top = Plate(name="top", place=over, wall=Wall(outline=circle((0, 0), 30)), t=6.0)
    bolts = tuple(
        Seat(name=f"bolt_{i}", place=Place((-10, y, x), (-1, 0, 0), (0, 1, 0)), kind="bolt", d=11.0, bolt="M10")
        for i, (x, y) in enumerate([(-45.0, -45.0), (-45.0, 45.0), (45.0, -45.0), (45.0, 45.0)])
    )
    welds = (
        Weld(piece="brace", edge=TubeRim("start"), onto="chord", leg=5),
        Weld(piece="brace", edge=TubeRim("end"), onto="top", leg=5),
        Weld(piece="chord", edge=TubeRim("start"), onto="base", leg=5),
    )
    seat = Seat(name="top", place=Place((at, off, arm + 6.0), (0, 0, 1), (1, 0, 0)), kind="face")
    return Part(name="tee", pieces=(chord, brace, base, top), welds=welds, seats=(*bolts, seat))


def held(part: Part, load: str) -> hold.Held:
    return hold.hold_part(part, read_cases([load]), HoldSettings(grade="8.8"))


def test_what_a_part_gives_to_the_wall() -> None:
    """400, 300, -2000 N at 126 mm over the chord's middle line, 95.85 over its wall: 38340 N mm in the plane of
    both, 28755 across it, and between brace and base the chord is bent by 400 x 126 and pulled by 400."""
    found = held(tee(), "top: 400 300 -2kN bump")
    (one,) = [check for check in found.checks if check.place == "wall of chord under brace"]
    bore = 60.3 - 8
    area, modulus = pi * 56.3 * 4, pi / 32 * (60.3**4 - bore**4) / 60.3
    share = (400 * 126 / modulus - 400 / area) / 235
    kp = 1 - 0.3 * share * (1 + share)
    beta = 38.1 / 60.3
    push, plane, aside = (min(kp * a, b) for a, b in zip(face(beta), punching(beta), strict=True))
    assert one.check.value == pytest.approx(2000 / push + (400 * 95.85 / plane) ** 2 + 300 * 95.85 / aside)
    assert any("pushes it aside is not in EN 1993-1-8:2005 7.4" in note for note in found.notes)


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"at": 225.0}, "end of the tube under it = 56.0 mm past what is welded on it, must be at least 56.3"),
        ({"at": 75.0}, "end of the tube under it = 56.0 mm past what is welded on it, must be at least 56.3"),
        ({"off": 1.1}, "middle lines, must meet within 1 mm"),
        ({"wall": 2.9}, "t = 2.9 mm, must be 3 to 80 mm"),
        ({"wall": 7.0}, "od / wall = 8.614, must be at least 10 and at most 50"),
    ],
)
def test_what_is_outside_is_refused_with_the_reason(changed: dict[str, float], words: str) -> None:
    found = held(tee(**changed), "top: 0 0 -2kN bump")
    said = [one.problem for one in found.refused if one.place == "wall of chord under brace"]
    assert any(words in problem for problem in said), said
    assert not [one for one in found.checks if one.place == "wall of chord under brace"]


def test_a_chord_just_long_enough_is_checked() -> None:
    past = 60.3 * (1.25 - 38.1 / 60.3 / 2)
    for at, seen in ((300 - 19.05 - past, True), (300 - 19.05 - past + 0.1, False)):
        found = held(tee(at=at), "top: 0 0 -2kN bump")
        assert any(one.place == "wall of chord under brace" for one in found.checks) is seen


def test_a_tube_on_a_seat_takes_metal_and_wall_as_typed() -> None:
    """A strut's start on a round rail: 42.4 x 3, the brace as the recipe has it, square to it."""
    strut = recipe("strut")
    part = strut.build(strut.Params(tube="38x3"))
    place = "wall of start under tube"
    blind = hold.hold_part(part, read_cases(["end: 0 0 1kN up"]), HoldSettings(grade="8.8"))
    assert ("onto_metal and onto_t = not typed, must be: metal and wall of what it is on", place) in [
        (one.problem, one.place) for one in blind.refused
    ]
    half = hold.hold_part(part, read_cases(["end: 0 0 1kN up"]), HoldSettings(grade="8.8", onto_t=3.5))
    said = [one.problem for one in half.refused]
    assert "onto_metal = not typed, must be: metal and wall of what it is on" in said
    typed = HoldSettings(onto_metal="S235", onto_t=3.5)
    found = hold.hold_part(part, read_cases(["end: 0 0 1kN up"]), typed)
    (one,) = [check for check in found.checks if check.place == place]
    assert one.check.clause.startswith("EN 1993-1-8:2005 7.4")
    assert any("presses the tube under it along is not known" in note for note in found.notes)


def test_rings_are_no_walls_that_go_on() -> None:
    """A cup is refused with how far it would have to go on: 1.25 od less half the tube."""
    made = recipe("cross_member")
    part, cases = made.build(made.Params()), read_cases(["bush_left: 0 0 1kN up"])
    cup, tube = part.piece("cup_left"), part.piece("tube")
    found = hold.hold_part(part, cases, HoldSettings(grade="8.8"))
    said = {one.place: one.problem for one in found.refused}
    least = 1.25 * cup.steps[0].od - tube.od / 2  # type: ignore[attr-defined]
    assert f"ring, must be a tube that goes on {least:.1f} mm past" in said["wall of cup_left under tube"]


def test_a_tube_on_the_end_of_a_round_piece_has_no_wall_under_it() -> None:
    """An adjusted link: its inserts are in line with its tubes, its eyes lie across them."""
    made = recipe("link")
    part = made.build(made.Params(thread="M12"))
    way = np.array(part.seat("bush_2").place.at) - np.array(part.seat("bush_1").place.at)
    x, y, z = 1e3 * way / np.linalg.norm(way)
    load = [f"bush_1: {-x} {-y} {-z} pull", f"bush_2: {x} {y} {z} pull"]
    found = hold.hold_part(part, read_cases(load))
    walls = [one.place for one in found.refused if one.place.startswith("wall of")]
    assert walls
    assert all("eye" in place for place in walls)
    assert any("stand in line, end on end" in note for note in found.notes)


def test_chords_are_pressed_on_either_side() -> None:
    """The brace between two supports: as the worse of both sides has it."""
    rows = held(tee(), "top: -3kN 0 0 brake").checks
    (one,) = [check for check in rows if check.place == "wall of chord under brace"]
    area = pi * 56.3 * 4
    modulus = pi / 32 * (60.3**4 - 52.3**4) / 60.3
    share = (3000 * 126 / modulus + 3000 / area) / 235
    beta = 38.1 / 60.3
    plane = min((1 - 0.3 * share * (1 + share)) * face(beta)[1], punching(beta)[1])
    assert one.check.value == pytest.approx((3000 * 95.85 / plane) ** 2)
    assert np.isfinite(one.check.worst)


@pytest.mark.parametrize("angle", [90.0, 60.0, 45.0])
def test_a_thin_brace_punches_a_stout_chord(angle: float) -> None:
    """150 x 15, brace 30: all three are of punching. N: pi (1 + s)/(2 s2); moments (1 + 3 s), (3 + s)/(4 s2)."""
    steep = sin(radians(angle))
    shear = metal("S235", 15).fy / sqrt(3) * 15 * 30
    found = limits(od=150, wall=15, metal=S235, brace_od=30, brace_wall=3, angle=angle)
    assert found == pytest.approx(
        [
            shear * pi * (1 + steep) / (2 * steep**2),
            shear * 30 * (1 + 3 * steep) / (4 * steep**2),
            shear * 30 * (3 + steep) / (4 * steep**2),
        ]
    )

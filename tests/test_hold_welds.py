"""Fillet welds as lines: what a group is, the stress in it, both methods of the code, and stress ranges."""

from __future__ import annotations

from math import pi, sqrt

import numpy as np
import pytest

from brackets import InputError, OutOfRange, hold
from brackets.hold import WeldArc, WeldGroup, WeldSegment, metal

S235, S275, S355 = metal("S235", 6), metal("S275", 6), metal("S355", 6)


def lines(*points: tuple[float, float], throat: float = 1.0, close: bool = False) -> list[WeldSegment]:
    """Fillets from point to point in the plane z = 0."""
    ends = [*points[1:], points[0]] if close else list(points[1:])
    return [WeldSegment((*a, 0), (*b, 0), throat) for a, b in zip(points, ends, strict=False)]


def box(b: float, d: float, throat: float = 1.0) -> WeldGroup:
    return WeldGroup(lines((0, 0), (b, 0), (b, d), (0, d), throat=throat, close=True))


def test_a_box_of_welds() -> None:
    """Box 60 x 40 as lines: length 200, Ix 58,667, Jw 166,667; worked out and held against another package's."""
    group = box(60, 40)
    assert float(group.length) == 200
    assert group.centre.tolist() == [30, 20, 0]
    assert float(group.turning[0, 0]) == pytest.approx(58_666.67, abs=0.01)
    assert float(group.turning[2, 2]) == pytest.approx(166_666.67, abs=0.01)
    assert [float(run) for run in group.runs] == [200]


@pytest.mark.parametrize(
    ("group", "polar"),
    [
        (WeldGroup(lines((0, 0), (0, 80))), 80**3 / 12),
        (WeldGroup([*lines((0, 0), (0, 80)), *lines((50, 0), (50, 80))]), 80 * (3 * 50**2 + 80**2) / 6),
        (WeldGroup(lines((50, 0), (0, 0), (0, 80))), ((50 + 80) ** 4 - 6 * 50**2 * 80**2) / (12 * (50 + 80))),
        (WeldGroup(lines((50, 0), (0, 0), (0, 80), (50, 80))),
         (8 * 50**3 + 6 * 50 * 80**2 + 80**3) / 12 - 50**4 / (2 * 50 + 80)),
        (box(50, 80), (50 + 80) ** 3 / 6),
        (WeldGroup([WeldArc((0, 0, 0), (0, 0, 1), (25, 0, 0), 1)]), 2 * pi * 25**3),
    ],
    ids=["line", "two lines", "angle", "channel", "box", "circle"],
)  # fmt: skip
def test_unit_polar_moments_of_weld_patterns(group: WeldGroup, polar: float) -> None:
    """Shigley's Mechanical Engineering Design, table 9-1, torsional properties of fillet welds (from memory)."""
    assert float(group.turning[2, 2]) == pytest.approx(polar, rel=1e-12)


def test_an_arc_is_many_short_lines() -> None:
    """Length, centre and moments of part of a circle in space against 4,000 chords."""
    axis = np.array([1.0, 2.0, 2.0]) / 3
    out = np.cross(axis, [0, 0, 1])
    start = np.array([5.0, -3.0, 2.0]) + 20 * out / np.linalg.norm(out)
    arc = WeldArc((5, -3, 2), axis, start, 4, sweep=130)
    arm = start - np.array([5.0, -3.0, 2.0])
    turn = np.radians(np.linspace(0, 130, 4001))[:, None]
    at = np.array([5.0, -3.0, 2.0]) + np.cos(turn) * arm + np.sin(turn) * np.cross(axis, arm)
    assert len(arc.points()[0]) == 131  # each degree and both ends
    one = WeldGroup([arc])
    many = WeldGroup([WeldSegment(a, b, 4) for a, b in zip(at[:-1], at[1:], strict=True)])
    assert float(one.length) == pytest.approx(float(many.length), rel=1e-6)
    assert one.centre == pytest.approx(many.centre, abs=1e-5)
    assert one.turning == pytest.approx(many.turning, rel=1e-5, abs=1)
    assert np.allclose(np.stack(arc.ends), [at[0], at[-1]])


def test_a_group_carries_just_what_is_put_on_it() -> None:
    """Stress times throat summed along sixty groups in space gives back force and moment."""
    draw = np.random.default_rng(3)
    for _ in range(60):
        ends = draw.uniform(-80, 80, (4, 2, 3))
        throats = draw.uniform(3, 8, 4)
        group = WeldGroup([WeldSegment(a, b, t) for (a, b), t in zip(ends, throats, strict=True)])
        force, moment, at = draw.normal(size=3) * 1e4, draw.normal(size=3) * 1e5, draw.uniform(-99, 99, 3)
        stress = group.stress(force, moment, at).vectors.reshape(4, 2, 3)
        total, turned = np.zeros(3), np.zeros(3)
        for (a, b), (sa, sb), t in zip(ends, stress, throats, strict=True):
            weight = t * np.linalg.norm(b - a)
            middle, half = (sa + sb) / 2, (a + b) / 2
            total += weight * middle
            for p, s in ((a, sa), (half, middle), (half, middle), (half, middle), (half, middle), (b, sb)):
                turned += weight / 6 * np.cross(p, s)  # Simpson: exact for a product of two straight lines
        assert total == pytest.approx(force, rel=1e-9, abs=1e-6)
        assert turned == pytest.approx(moment + np.cross(at, force), rel=1e-9, abs=1e-4)


def test_bracket_on_a_channel_of_welds() -> None:
    """Shigley's Mechanical Engineering Design, example 9-1 (from memory): 25 kN on three fillets of 6 mm leg, 56,
    190 and 56 mm, 100 mm outside the line of the long one. It has J 7.07e6 mm4, 37 MPa at the ends and 44 at the
    corners.
    """
    throat = 0.707 * 6
    group = WeldGroup(lines((56, 0), (0, 0), (0, 190), (56, 190), throat=throat))
    assert float(group.turning[2, 2]) == pytest.approx(7.07e6, rel=1e-3)
    assert float(group.centre[0]) == pytest.approx(10.4, abs=0.05)
    end, corner, *_ = group.stress((0, -25e3, 0), (0, 0, 0), (-100, 95, 0)).resultant
    assert (float(end), float(corner)) == pytest.approx((37, 44), abs=0.5)


def test_bending_of_two_sides_by_hand() -> None:
    """An ear 60 long, fillets a 4 on both faces 8 apart, 3 kN sideways 50 above: 3e3/480 across the weld, and
    150e3 over two lines 4 from the middle: 150e3 x 4 / (480 x 16)."""
    sides = [WeldSegment((0, y, 0), (60, y, 0), 4, across=(0, np.sign(y), 1)) for y in (-4.0, 4.0)]
    found = WeldGroup(sides).stress((0, 3e3, 0), (0, 0, 0), (30, 0, 50))
    across, up = 3e3 / 480, 150e3 * 4 / (480 * 16)
    assert np.abs(found.vectors[:, 1]) == pytest.approx([across] * 4)
    assert found.vectors[:, 2] == pytest.approx([up, up, -up, -up])
    normal = [(-across + up) / sqrt(2)] * 2 + [(across - up) / sqrt(2)] * 2
    assert found.normal == pytest.approx(normal)
    shear = (up + across) / sqrt(2)
    assert found.equivalent == pytest.approx([sqrt(normal[0] ** 2 + 3 * shear**2)] * 4)


@pytest.mark.parametrize(
    ("of", "limit"), [(S235, 207.85), (S275, 233.66), (S355, 251.47)], ids=["S235", "S275", "S355"]
)
def test_shear_strength_of_fillets(of: hold.Metal, limit: float) -> None:
    """fvw,d of EN 1993-1-8:2005 4.5.3.3 with beta_w 0.80, 0.85, 0.90 and fu 360, 430, 490, gamma_M2 1.25."""
    group = WeldGroup([WeldSegment((0, 0, 0), (100, 0, 0), 4)])
    check = hold.fillet_simplified(group, force=(1, 0, 0), at=(50, 0, 0), metal=of, t=6)
    assert check.limit == pytest.approx(limit, abs=0.01)


def test_a_millimetre_of_fillet() -> None:
    """a 4, S235: 831.4 N/mm whatever the way, 1018.2 N/mm straight across by the directional method."""
    across = WeldGroup([WeldSegment((0, 0, 0), (100, 0, 0), 4, across=(0, 1, 1))])
    asked = {"at": (50, 0, 0), "metal": S235, "t": 6}
    any_way = hold.fillet_simplified(across, force=(0, 0, 831.4 * 100), **asked)
    assert any_way.utilisation == pytest.approx(1, abs=1e-4)
    straight = hold.fillet_directional(across, force=(0, 0, 1018.2 * 100), **asked)
    assert straight.utilisation == pytest.approx(1, abs=1e-4)
    along = hold.fillet_directional(across, force=(831.4 * 100, 0, 0), **asked)
    assert along.utilisation == pytest.approx(1, abs=1e-4)
    assert hold.fillet_normal(across, force=(0, 0, 80e3), **asked).limit == pytest.approx(0.9 * 360 / 1.25)
    worst = hold.fillet_normal(across, force=(0, 50e3, 50e3), **asked)  # square to the throat
    assert worst.value == pytest.approx(sqrt(2) * 50e3 / 400)
    known = hold.throat_of(3 * sqrt(2))
    assert known == pytest.approx(3)


def test_the_thinnest_fillet_of_s235_is_0_62_kn_a_millimetre() -> None:
    """a 3: 0.62 kN/mm. Tables that print 0.80 forget beta_w or the root of 3."""
    group = WeldGroup([WeldSegment((0, 0, 0), (100, 0, 0), 3)])
    check = hold.fillet_simplified(group, force=(0, 0, 1), at=(50, 0, 0), metal=S235, t=6)
    assert check.limit * 3 == pytest.approx(620, abs=5)


def test_by_direction_uses_no_more_than_whatever_the_way() -> None:
    draw = np.random.default_rng(7)
    for known in (True, False):
        across = (0, 1, 1) if known else None
        group = WeldGroup([WeldSegment((0, y, 0), (60, y, 0), 4, across=across) for y in (0.0, 30.0)])
        asked = {"at": (30, 15, 9), "metal": S235, "t": 6}
        force, moment = draw.normal(size=(50, 3)) * 2e4, draw.normal(size=(50, 3)) * 4e5
        one = hold.fillet_directional(group, force=force, moment=moment, **asked).utilisation
        other = hold.fillet_simplified(group, force=force, moment=moment, **asked).utilisation
        assert (one <= other * (1 + 1e-12)).all()
        assert known == bool((one < other * 0.999).any())
        square = hold.fillet_normal(group, force=force, moment=moment, **asked)
        plain = group.stress(force, moment, (30, 15, 9))
        assert known == bool((square.value < plain.across.max(axis=0) * 0.999).any())


def test_a_tube_on_a_plate() -> None:
    """Round fillet a 4, radius 20: pull 10 kN and bending 200 N m: 10e3/A + 200e3 r / (pi r^3 a), at 45 degrees to
    the throat; twisting 150 N m along the weld: over 2 pi r^2 a."""
    ring = WeldGroup([WeldArc((0, 0, 0), (0, 0, 1), (20, 0, 0), 4, side="outside")])
    asked = {"at": (0, 0, 0), "metal": S235, "t": 4, "hollow": True}
    pull = 10e3 / (2 * pi * 20 * 4) + 200e3 / (pi * 20**2 * 4)
    bent = hold.fillet_directional(ring, force=(0, 0, 10e3), moment=(200e3, 0, 0), **asked)
    assert bent.value == pytest.approx(sqrt(2) * pull)
    twisted = hold.fillet_directional(ring, force=(0, 0, 0), moment=(0, 0, 150e3), **asked)
    assert twisted.value == pytest.approx(sqrt(3) * 150e3 / (2 * pi * 20**2 * 4))
    turned = hold.fillet_directional(ring, force=(0, 0, 10e3), moment=(120e3, 160e3, 0), **asked)
    assert turned.value == pytest.approx(sqrt(2) * pull, rel=3e-4)


def test_a_weld_does_not_know_how_it_is_turned() -> None:
    draw = np.random.default_rng(9)
    turn, _ = np.linalg.qr(draw.normal(size=(3, 3)))
    turn *= np.sign(np.linalg.det(turn))
    away = draw.uniform(-200, 200, 3)
    force, moment, at = draw.normal(size=3) * 1e4, draw.normal(size=3) * 3e5, draw.uniform(-50, 50, 3)

    def group(by: np.ndarray, off: np.ndarray) -> WeldGroup:
        ring = WeldArc(off, by @ [0, 0, 1], by @ [20.0, 0, 0] + off, 4, sweep=200, side="outside")
        straight = [
            WeldSegment(by @ [0, y, 5.0] + off, by @ [60.0, y, 5.0] + off, 5, across=by @ [0, 1.0, 1.0])
            for y in (0.0, 30.0)
        ]
        return WeldGroup([ring, *straight])

    plain = group(np.eye(3), np.zeros(3)).stress(force, moment, at)
    moved = group(turn, away).stress(turn @ force, turn @ moment, turn @ at + away)
    assert moved.equivalent == pytest.approx(plain.equivalent, rel=1e-9)


def test_rows_of_groups_and_of_loads_are_what_a_loop_gives() -> None:
    draw = np.random.default_rng(11)
    b, d, a = draw.uniform(40, 90, 30), draw.uniform(40, 90, 30), draw.uniform(3, 6, 30)
    zero = np.zeros(30)

    def group(b: object, d: object, a: object, nil: object) -> WeldGroup:
        corners = [np.stack(np.broadcast_arrays(*at), axis=-1) for at in
                   ((nil, nil, nil), (b, nil, nil), (b, d, nil), (nil, d, nil))]  # fmt: skip
        ring = WeldArc(corners[2], (0, 0, 1), corners[2] + np.array([15.0, 0, 0]), a, side="outside")
        return WeldGroup([*(WeldSegment(p, q, a) for p, q in zip(corners, corners[1:], strict=False)), ring])

    force, moment = draw.normal(size=(30, 3)) * 1e4, draw.normal(size=(30, 3)) * 3e5
    asked = {"at": (9, 9, 30), "metal": S235, "t": 6}
    rows = hold.fillet_directional(group(b, d, a, zero), force=force, moment=moment, **asked)
    for i in range(30):
        one = hold.fillet_directional(group(b[i], d[i], a[i], 0.0), force=force[i], moment=moment[i], **asked)
        assert rows.utilisation[i] == pytest.approx(one.utilisation, rel=1e-12)  # type: ignore[index]


def test_one_line_of_weld_carries_no_moment_about_itself() -> None:
    """EN 1993-1-8:2005 4.12: a single fillet is not to be bent about its root."""
    group = WeldGroup([*lines((0, 0), (40, 0), throat=4), *lines((60, 0), (100, 0), throat=4)])
    with pytest.raises(OutOfRange, match="moment, must be 0 about the line that all of the weld lies on"):
        group.stress((0, 0, 0), (1e3, 0, 0), (50, 0, 0))
    with pytest.raises(OutOfRange, match="4.12"):
        group.stress((0, 1e3, 0), (0, 0, 0), (50, 0, 10))
    assert group.stress((0, 1e3, 0), (0, 0, 0), (50, 0, 0)).across == pytest.approx(1e3 / 320)


def test_runs_are_what_hangs_together() -> None:
    group = WeldGroup([*lines((0, 0), (25, 0), (25, 25)), *lines((60, 0), (99, 0))])
    assert sorted(float(run) for run in group.runs) == [39, 50]
    asked = {"force": (1, 0, 0), "at": (0, 0, 0), "metal": S235, "t": 6}
    corner = WeldGroup(lines((0, 0), (25, 0), (25, 25), throat=4))
    assert hold.fillet_simplified(corner, **asked).meets  # two sides of 25 are one run of 50
    with pytest.raises(OutOfRange, match="run = 25 mm, must be at least 30 mm"):
        hold.fillet_simplified(WeldGroup(lines((0, 0), (25, 0), throat=4)), **asked)


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda: WeldSegment((0, 0, 0), (0, 0, 0), 4), "end, must lie off start"),
        (lambda: WeldSegment((0, 0), (0, 0, 1), 4), "must be three finite numbers"),
        (lambda: WeldSegment((0, 0, 0), (9, 0, 0), np.nan), "throat = nan mm, must be over 0 mm and finite"),
        (lambda: WeldArc((0, 0, 0), (0, 0, 1), (5, 0, 0), [4, 0]), "throat = .4, 0. mm, must be over 0 mm"),
        (lambda: WeldSegment((0, 0, np.nan), (0, 0, 1), 4), "must be three finite numbers"),
        (lambda: WeldGroup([WeldSegment((0, 0, 0), (9, 0, 0), 4, across=(1, 0, 0))]).stress(
            (0, 0, 1), (0, 0, 0), (0, 0, 0)), "across, must not lie along the weld"),
        (lambda: WeldArc((0, 0, 0), (0, 0, 1), (5, 0, 1), 4), "start, must lie off the axis, square to it"),
        (lambda: WeldArc((0, 0, 0), (0, 0, 0), (5, 0, 0), 4), "axis, must not be 0 0 0"),
        (lambda: WeldArc((0, 0, 0), (0, 0, 1), (5, 0, 0), 4, sweep=361), "sweep = 361 deg, must be over 0"),
        (lambda: WeldArc((0, 0, 0), (0, 0, 1), (5, 0, 0), 4, side="in"), "side = in, must be outside, inside"),
        (lambda: WeldGroup([]), "lines = none, must be one or more"),
    ],
)  # fmt: skip
def test_what_is_no_weld_is_refused(make: object, words: str) -> None:
    with pytest.raises(InputError, match=words):
        make()  # type: ignore[operator]


def test_stress_ranges_are_of_vectors_and_leave_the_category_blank() -> None:
    """5 kN across one way and 3 kN the other are 8 kN apart; 4 kN along and 3 kN across do not add up."""
    group = WeldGroup([WeldSegment((0, 0, 0), (100, 0, 0), 4)])
    cases = {
        "bump": ((0, 0, 5e3), (0, 0, 0)),
        "rebound": ((0, 0, -3e3), (0, 0, 0)),
        "pull": ((4e3, 0, 0), (0, 0, 0)),
    }
    found = {one.cases: one for one in hold.stress_ranges(group, cases, at=(50, 0, 0), name="ear")}
    assert found["bump", "rebound"].across == pytest.approx(20)
    assert found["bump", "rebound"].along == pytest.approx(0)
    assert found["bump", "pull"].across == pytest.approx(12.5)
    assert found["bump", "pull"].along == pytest.approx(10)
    assert [one.across for one in found.values()] == sorted((one.across for one in found.values()), reverse=True)
    assert all(one.detail_category is None and one.name == "ear" for one in found.values())
    with pytest.raises(InputError, match="cases = 1, must be two or more"):
        hold.stress_ranges(group, {"bump": cases["bump"]}, at=(50, 0, 0))

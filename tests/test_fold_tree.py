"""Where walls and bends stand, on the flat and folded, and what is refused."""

from __future__ import annotations

import json
import math
from dataclasses import replace

import pytest
from test_fold_samples import (
    R,
    T,
    angle_bracket,
    channel,
    cut_to_tube,
    offset_strap,
    random_tree,
    sheet,
    tray,
    turned_channel,
)

from brackets.core.errors import InputError
from brackets.forming.flanges import lip
from brackets.forming.flat_pattern import blank_of, flat_facts, overlaps
from brackets.forming.fold_clash import near
from brackets.geometry.shapes import polygon
from brackets.kernel.plate import unjoined
from brackets.model.bend_allowance import bend_allowance, joggle_web, setback
from brackets.model.fold_tree import tree
from brackets.model.fold_zones import slanted, zones
from brackets.model.holes import Hole, Window
from brackets.model.plate import Flange, Folded, Plate, Relief, Wall


def test_blank_of_an_angle_is_both_legs_less_the_deduction() -> None:
    blank = blank_of(angle_bracket())
    wanted = 50 + 40 - 2 * setback(90, R, T) + bend_allowance(90, R, T)
    assert blank.width == pytest.approx(wanted, rel=1e-12)
    assert blank.length == pytest.approx(60, rel=1e-12)
    assert len(blank.outline.segments) == 4


@pytest.mark.parametrize(
    ("measured", "angle"), [("outside", 90), ("inside", 60), ("tangent", 120), ("outside", 135)]
)
def test_a_length_is_what_it_is_measured_as(measured: str, angle: float) -> None:
    """From the folded corners: to the outer or inner apex up to 90 degrees, past it to the outermost face."""
    flange = lip((0, 40), (60, 40), t=T, length=45, inside_radius=R, angle=angle, measured=measured)  # type: ignore[arg-type]
    piece = Folded(name="L", base=sheet(60, 40), t=T, flanges=(flange,))
    node = tree(piece).walls[1]
    z = 0.0 if measured == "outside" else T
    tip = node.place.point((0.0, node.wall.outline.bounds[3], z))
    back = node.place.point((0.0, 0.0, z))
    a = math.radians(angle)
    if measured == "tangent":
        assert math.dist(tip, back) == pytest.approx(45)
    elif angle <= 90:
        # The apex: where the face of the base (z = 0 outside, z = T inside) meets the face of the flange.
        apex_y = tip[1] - (tip[2] - z) / math.tan(a)
        assert math.dist((apex_y, z), tip[1:]) == pytest.approx(45)
    else:
        furthest = 40 + R + T
        along = (math.cos(a), math.sin(a))
        corner = (40.0, R + T)
        lowest = (corner[0] - (R + T) * along[0], corner[1] - (R + T) * along[1])
        assert (tip[1] - lowest[0]) * along[0] + (tip[2] - lowest[1]) * along[1] == pytest.approx(45)
        assert furthest > corner[0]


def test_joggle_carries_on_level_and_shifted() -> None:
    place = tree(offset_strap(12)).walls[2].place
    assert place.axis == pytest.approx((0, 0, 1), abs=1e-15)
    assert place.at[2] == pytest.approx(12)
    assert tree(offset_strap(-12)).walls[2].place.at[2] == pytest.approx(-12)


def test_slot_over_a_bend_is_cut_from_wall_bend_and_wall() -> None:
    left = zones(tray())
    assert [len(regions) for regions in left.bends] == [3, 1, 1, 1]
    assert len(left.bends[2][0].holes) == 1
    base = left.walls[0][0]
    assert len(base.openings) == 1
    assert base.outline.area < 120 * 80 - 200


@pytest.mark.parametrize(
    ("kind", "depth", "gone"),
    [
        ("rect", 6.0, 2 * 3 * 6.0),
        ("obround", 6.0, 2 * (3 * 4.5 + math.pi * 1.5**2 / 2)),
        ("round", 2.0, 2 * (math.pi * 1.5**2)),
    ],
)
def test_relief_takes_what_its_sizes_say(kind: str, depth: float, gone: float) -> None:
    """A flange narrower than its parent; the round one lies whole in the parent."""
    relief = Relief(kind=kind, width=3.0, depth=depth)  # type: ignore[arg-type]
    plain = lip((10, 40), (50, 40), t=T, length=30, inside_radius=R)
    piece = Folded(name="tab", base=sheet(60, 40), t=T, flanges=(plain,))
    cut = replace(piece, flanges=(replace(plain, relief=relief),))
    assert blank_of(piece).area - blank_of(cut).area == pytest.approx(gone, rel=1e-9)


def test_relief_at_one_end_changes_hands_with_the_piece() -> None:
    relief = Relief(kind="rect", width=3.0, depth=5.0, ends="start")
    flange = replace(lip((10, 40), (50, 40), t=T, length=30, inside_radius=R), relief=relief)
    piece = Folded(name="tab", base=sheet(60, 40), t=T, flanges=(flange,), grain=30.0)
    other = piece.mirrored()
    xs = [x for x, y in blank_of(piece).outline.corners if y < 39]
    assert sorted(-x for x, y in blank_of(other).outline.corners if y < 39) == pytest.approx(sorted(xs))
    assert other.grain == 150.0


def test_outline_of_the_flat_is_the_walls_and_bends_joined() -> None:
    """Area by going round the edge against the sum of what is left of walls and bends."""
    for piece in (channel(), turned_channel(), offset_strap(), tray()):
        left = zones(piece)
        walls = (w.outline.area - sum(o.outline.area for o in w.openings) for part in left.walls for w in part)
        bends = (region.area for part in left.bends for region in part)
        assert blank_of(piece).area == pytest.approx(sum(walls) + sum(bends), rel=1e-12)


def test_tube_seat_is_cut_square_so_that_no_slice_fouls() -> None:
    piece = cut_to_tube()
    seats = [seat for wall in piece.walls() for seat in wall.seats]
    places = [tree(piece).walls[i].flat for i in (1, 2)]
    region = blank_of(piece).region
    for seat, place in zip(seats, places, strict=True):
        for z in (0.0, 2.0, 6.0):
            for p in slanted(seat, z).points(0.5):
                x, y, _ = place.point((*p, 0.0))
                assert region.distance((x, y)) < 2e-4


@pytest.mark.parametrize(("at", "fits"), [(21.5, True), (20.5, False)])
def test_tube_seat_that_reaches_a_bend_is_refused(at: float, fits: bool) -> None:
    piece = cut_to_tube(0.0)
    one = piece.flanges[0]
    seat = replace(one.wall.seats[0], at=(20.0, at, 0.0), keep=(20.0, 60.0))
    changed = replace(piece, flanges=(replace(one, wall=replace(one.wall, seats=(seat,))), piece.flanges[1]))
    if fits:
        tree(changed)
    else:
        with pytest.raises(InputError, match="tube seat 0 of wall 1 r = 21 mm reaches a bend line"):
            tree(changed)


def test_facts_of_a_flat_are_plain_values() -> None:
    facts = json.loads(json.dumps(flat_facts(tray(), blank_of(tray()))))
    assert facts["area_mm2"] == blank_of(tray()).area
    assert [bend["flange"] for bend in facts["bends"]] == [1, 2, 3, 4]
    assert facts["bends"][0]["k_from"] == "DIN 6935"
    assert [hole["kind"] for hole in facts["holes"]] == ["drain", "slot", "slot", "drain"]
    assert len(facts["openings"]) == 4


def test_holes_stand_where_they_are_punched() -> None:
    blank = blank_of(channel())
    assert [(h.wall, h.opening.d) for h in blank.holes] == [(1, 12.5), (2, 12.5)]
    one, two = (h.centre for h in blank.holes)
    w, back = 60 - 2 * setback(90, R, T), bend_allowance(90, R, T)
    assert one == pytest.approx((w + back + 25, 20))
    assert two == pytest.approx((-back - 25, 20))


def test_plain_plate_is_its_own_blank() -> None:
    blank = blank_of(Plate(name="p", t=6.0, wall=sheet(50, 30, Hole(at=(20, 15), d=10))))
    assert blank.area == pytest.approx(1500 - math.pi * 25)
    assert blank.bends == ()


WALL = sheet(60, 30)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"start": (0.0, 39.0), "end": (60.0, 39.0)}, "not on a straight edge of the base"),
        ({"start": (60.0, 40.0), "end": (0.0, 40.0)}, "with the metal on its right"),
        ({"start": (-5.0, 40.0)}, "not on a straight edge"),
        ({"angle": 151.0}, "up to 150 deg"),
        ({"angle": 0.0}, "over 0 and up to 150 deg"),
        ({"angle": math.nan}, "angle = nan"),
        ({"inside_radius": 0.0}, "inside_radius = 0 mm, must be at least 0.01 mm"),
        ({"parent": 1}, "parent = 1, must be 0 to 0"),
        ({"k": 2.0}, "k = 2"),
        ({"wall": Wall(outline=polygon(((0, 5), (60, 5), (60, 30))))}, r"no straight edge from \(0, 0\)"),
        ({"end": (0.0, 40.0)}, "must have a length"),
    ],
)
def test_what_cannot_be_folded_is_refused(change: dict[str, object], words: str) -> None:
    flange = Flange(start=(0.0, 40.0), end=(60.0, 40.0), inside_radius=R, wall=WALL)
    piece = Folded(name="L", base=sheet(60, 40), t=T, flanges=(replace(flange, **change),))  # type: ignore[arg-type]
    with pytest.raises(InputError, match=words):
        tree(piece)


def test_every_problem_comes_at_once() -> None:
    flange = Flange(start=(0.0, 40.0), end=(60.0, 40.0), inside_radius=-1.0, wall=WALL)
    with pytest.raises(InputError) as caught:
        tree(Folded(name="L", base=sheet(60, 40), t=T, flanges=(flange, replace(flange, angle=400.0))))
    assert len(caught.value.problems) == 2


def test_two_bends_on_one_stretch_are_refused() -> None:
    one = lip((0, 40), (30, 40), t=T, length=30, inside_radius=R)
    two = lip((20, 40), (60, 40), t=T, length=30, inside_radius=R)
    with pytest.raises(InputError, match="flange 2 bend line runs over that of flange 1"):
        tree(Folded(name="L", base=sheet(60, 40), t=T, flanges=(one, two)))


def test_flanges_that_overlap_on_the_flat_are_refused_with_their_names() -> None:
    ell = polygon(((0, 0), (60, 0), (60, 20), (20, 20), (20, 60), (0, 60)))
    flanges = (
        Flange(start=(60, 20), end=(60, 0), inside_radius=R, wall=sheet(20, 30)),
        lip((20, 20), (60, 20), t=T, length=40, inside_radius=R),
        Flange(start=(20, 60), end=(20, 20), inside_radius=R, wall=sheet(40, 30)),
    )
    piece = Folded(name="ell", base=Wall(outline=ell), t=T, flanges=flanges)
    assert [(i, j) for i, j, _ in overlaps(tree(piece))] == [(2, 3)]
    with pytest.raises(InputError, match="flange 2 and flange 3 by"):
        blank_of(piece)


def test_cut_that_parts_the_blank_is_refused() -> None:
    piece = angle_bracket()
    across = Window(outline=polygon(((-5, -2), (70, -2), (70, 2), (-5, 2))))
    flange = piece.flanges[0]
    wall = replace(flange.wall, openings=(across,))
    with pytest.raises(InputError, match="in 2 pieces"):
        blank_of(replace(piece, flanges=(replace(flange, wall=wall),)))


def test_gap_between_the_ears_of_a_channel() -> None:
    [pair] = [p for p in near(channel(), 52.5) if (p.first, p.second) == ("flange 1", "flange 2")]
    assert pair.gap == pytest.approx(60 - 2 * T, abs=0.04)
    assert near(channel(), 47.0) == ()


def test_walls_that_run_into_each_other_are_found() -> None:
    flanges = tuple(
        lip(a, b, t=T, length=60, inside_radius=R, angle=130) for a, b in (((0, 30), (40, 30)), ((40, 0), (0, 0)))
    )
    found = near(Folded(name="shut", base=sheet(40, 30), t=T, flanges=flanges), 1.0)
    assert found[0].gap < 0


def agree(seed: int) -> bool:
    """Whether the tree has a blank; if so, our clash is the kernel's common volume."""
    piece = random_tree(seed)
    try:
        blank_of(piece)
    except InputError:
        return False
    parts = unjoined(piece)
    kernel = any(a.intersect(b).Volume() > 1e-6 for i, a in enumerate(parts) for b in parts[i + 1 :])
    assert any(pair.gap < 0 for pair in near(piece, 1.0)) == kernel, piece.name
    return True


@pytest.mark.parametrize("seed", range(3))
def test_clashes_are_the_kernels(seed: int) -> None:
    assert any(agree(40_000 + 100 * seed + i) for i in range(20))


@pytest.mark.fuzz
def test_many_clashes_are_the_kernels(pytestconfig: pytest.Config) -> None:
    count = int(pytestconfig.getoption("--fuzz", default=0))
    done, seed = 0, 800_000
    while done < count:
        done += agree(seed)
        seed += 1


def test_web_of_a_joggle_is_between_its_bends() -> None:
    piece = offset_strap(12)
    assert piece.flanges[0].wall.outline.bounds[3] == pytest.approx(joggle_web(12, 50, R, T))

"""Tubes laid out by points: what follows from where they lie, and what the shop says of it."""

from __future__ import annotations

import itertools
import math
import random
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

from brackets import recipe
from brackets.core.errors import InputError
from brackets.core.vectors import Vec
from brackets.forming.shop import NO_TOOLS, Former, Shop, Stick, Tubing
from brackets.forming.shop_file import parse
from brackets.forming.tube_layout import Layout, lay_out
from brackets.forming.tube_run import Bung, Cylinder, Mitre, PlaneTarget, Run
from brackets.forming.tube_walls import DEPTH, Rod, rod_gap
from brackets.forming.wrap import lengths
from brackets.kernel.solids import shape
from brackets.model.part import Part
from brackets.model.tube import BentTube, Tube, TubeEnd
from brackets.output.part_files import made
from brackets.rules.part import shop_findings
from brackets.rules.tubes import layout_findings

CUP = Cylinder("cup", (0, 0, 0), (1, 0, 0), 60, length=60, wall=5)
PLATE = PlaneTarget("plate", (0, 200, 0), (0, 1, 0), t=8)
LEG = Run("leg", "38x3", ((0, 0, 0), (0, 200, 30)), CUP, PLATE)
BRACE = Run("brace", "25x2.5", ((0, 100, 15), (60, 200, 80)), "leg", PLATE)
STAY = Run("stay", "25x2.5", ((0, 100, 15), (-20, 200, 110)), ("leg", "brace"), PLATE)


def having(**tools: Any) -> Shop:
    """Nobody's shop, but for these tools and habits."""
    return replace(NO_TOOLS, name="mine", **tools)


def codes(layout: Layout, shop: Shop | None = None) -> list[str]:
    found = layout_findings(layout) if shop is None else layout_findings(layout, shop)
    return [finding.code for finding in found]


def straight(layout: Layout, name: str) -> Tube:
    tube = layout.tube(name)
    assert isinstance(tube, Tube)
    return tube


def test_a_tube_from_a_cup_to_a_plate_is_as_long_as_its_points_are_apart() -> None:
    leg = straight(lay_out(LEG), "leg")
    assert leg.length == pytest.approx(math.hypot(200, 30))
    assert (leg.start.kind, leg.start.r, leg.start.angle) == ("saddle", 30, 90)
    assert leg.end.kind == "plane"
    assert leg.end.angle == pytest.approx(90 - math.degrees(math.atan2(30, 200)))


def test_a_point_beside_the_axis_makes_an_off_centre_cope() -> None:
    leg = straight(lay_out(replace(LEG, points=((0, 5, 7), (0, 200, 7)))), "leg")
    assert abs(leg.start.offset) == pytest.approx(7)
    assert leg.length == pytest.approx(200)  # the node is the foot on the cup's axis, wherever the point was


@pytest.mark.parametrize("n", range(4))
def test_a_coped_tube_touches_what_it_meets_and_shares_nothing_with_it(
    n: int, rng: Callable[[int], random.Random]
) -> None:
    some = rng(n)
    tip: Vec = (some.uniform(-80, 80), some.uniform(60, 150), some.uniform(40, 120))
    main = Run("main", "48x3", ((-200, 0, 0), (200, 0, 0)))
    branch = Run("branch", "30x2", ((some.uniform(-40, 40), some.uniform(-5, 5), 0), tip), "main")
    a, b = (shape(tube) for tube in lay_out(main, branch).tubes)
    assert a.intersect(b).Volume() < 1e-6
    assert a.distance(b) < 1e-6


def test_three_tubes_at_one_node_share_nothing() -> None:
    solids = [shape(tube) for tube in lay_out(LEG, BRACE, STAY).tubes]
    for a, b in itertools.combinations(solids, 2):
        assert a.intersect(b).Volume() < 1e-6


def test_order_of_cuts_is_the_order_in_which_things_are_named() -> None:
    stay = lay_out(LEG, BRACE, STAY).tube("stay")
    assert [cut.r for cut in stay.cuts("start")] == [19, 12.5]


def test_a_mitre_halves_the_angle_for_both_tubes() -> None:
    layout = lay_out(
        Run("a", "30x2", ((0, 0, 0), (100, 0, 0)), end=Mitre("b")),
        Run("b", "30x2", ((100, 0, 0), (150, 80, 30)), start=Mitre("a")),
    )
    a, b = straight(layout, "a"), straight(layout, "b")
    assert a.end.angle == pytest.approx(b.start.angle)
    assert len(layout.welds) == 1
    assert shape(a).intersect(shape(b)).Volume() < 1e-6
    assert shape(a).distance(shape(b)) < 1e-9


def test_a_bung_leaves_a_square_end_at_its_shoulder() -> None:
    tube = straight(lay_out(Run("t", "38x3", ((0, 0, 0), (0, 0, 90)), end=Bung("bung", (5, 0, 80), 32))), "t")
    assert tube.length == pytest.approx(80)
    assert tube.end.angle == 90


def test_more_points_make_a_bent_tube_with_the_same_ends() -> None:
    line = ((0.0, 0.0, 0.0), (0.0, 150.0, 0.0), (120.0, 300.0, 60.0))
    layout = lay_out(Run("t", "38x3", line, CUP, PlaneTarget("plate", line[-1], (1, 1, 0)), bend_r=115))
    tube = layout.tube("t")
    assert isinstance(tube, BentTube)
    assert tube.place.point(tube.points[-1]) == pytest.approx(line[-1])
    [row] = layout.table()
    assert row.bends == 1
    assert row.node < 150 + math.dist(line[1], line[2])


def test_the_cut_table_gives_long_point_node_and_mass() -> None:
    layout = lay_out(LEG, BRACE, STAY)
    rows = {row.name: row for row in layout.table()}
    assert rows["stay"].start.meets == "leg then brace"
    assert rows["leg"].node == pytest.approx(math.hypot(200, 30))
    assert sum(row.mass for row in rows.values()) == pytest.approx(layout.part("p").mass.kg)


def test_what_is_met_and_is_no_piece_becomes_a_seat() -> None:
    part = lay_out(LEG).part("p")
    assert {(s.name, s.kind) for s in part.seats} == {("cup", "round"), ("plate", "face")}
    assert [weld.onto for weld in part.welds] == ["cup", "plate"]


def test_every_problem_is_named_at_once() -> None:
    with pytest.raises(InputError) as caught:
        lay_out(
            Run("a", "38x30", ((0, 0, 0), (0, 0, 0))),
            Run("b", "38x3", ((0, 0, 0), (0, 9, 0)), "nobody", bend_r=50),
            Run("b", "38x3", ((0, 0, 0), (0, 9, 0))),
        )
    text = str(caught.value)
    for words in ("a: size", "a: points", "b: bend_r", "b: name used twice", "b start = nobody"):
        assert words in text, words


def test_an_end_that_cannot_be_cut_names_tube_end_and_thing() -> None:
    with pytest.raises(InputError, match="leg start, at cup: axis"):
        lay_out(replace(LEG, points=((0, 0, 0), (90, 0, 0))))


class TestFindings:
    def test_a_tidy_layout_has_only_the_lips_to_bevel(self) -> None:
        assert set(codes(lay_out(LEG, BRACE, STAY))) == {"inner lip"}

    def test_tubes_that_overlap_without_an_order_stop(self) -> None:
        layout = lay_out(LEG, BRACE, replace(STAY, start="leg", points=((0, 100, 15), (-10, 200, 80))))
        [stop] = [f for f in layout_findings(layout) if f.level == "stop"]
        assert (stop.code, stop.piece) == ("overlap", "brace")
        solids = [shape(layout.tube(name)) for name in ("brace", "stay")]
        assert solids[0].intersect(solids[1]).Volume() > 1

    def test_overlap_is_found_wherever_the_kernel_finds_any(self, rng: Callable[[int], random.Random]) -> None:
        for n in range(5):
            some = rng(n)
            tip: Vec = (some.uniform(-60, 0), 200, 80)
            layout = lay_out(LEG, BRACE, replace(STAY, start="leg", points=((0, 100, 15), tip)))
            shared = shape(layout.tube("brace")).intersect(shape(layout.tube("stay"))).Volume()
            assert ("overlap" in codes(layout)) == (shared > DEPTH), tip

    def test_a_sharp_corner_a_torch_cannot_reach(self) -> None:
        assert "sharp" in codes(lay_out(LEG, replace(BRACE, points=((0, 60, 9), (60, 200, 60)))))

    def test_a_lip_that_fouls_says_by_how_much(self) -> None:
        # 40 x 3 square on 50: 3.3 mm (own derivation, see the wraps)
        layout = lay_out(Run("t", "40x3", ((0, 0, 0), (0, 0, 90)), Cylinder("rail", (0, 0, 0), (1, 0, 0), 50)))
        [lip] = layout_findings(layout)
        assert lip.value == pytest.approx(3.33, abs=0.005)

    def test_a_tube_that_hangs_over_the_side(self) -> None:
        wide = Run("t", "48x3", ((0, 0, 0), (0, 0, 90)), Cylinder("rail", (0, 0, 0), (1, 0, 0), 40))
        assert "overhang" in codes(lay_out(wide))

    def test_a_tube_that_lands_past_the_end_of_a_cup(self) -> None:
        short = replace(LEG, start=replace(CUP, length=30))
        [found] = [f for f in layout_findings(lay_out(short)) if f.code == "past the end"]
        assert found.value == pytest.approx(4)

    def test_a_wall_much_thinner_than_what_it_is_welded_to(self) -> None:
        assert "thin wall" in codes(lay_out(LEG), having(tubing=Tubing(wall_ratio=2.5)))
        assert "thin wall" not in codes(lay_out(LEG), having(tubing=Tubing(wall_ratio=3)))

    def test_a_tube_longer_than_stock(self) -> None:
        long = lay_out(Run("t", "38x3", ((0, 0, 0), (0, 0, 6100))))
        assert codes(long) == ["stock"]
        short = having(tubes=(Stick(od=38, wall=3, length=150),))
        assert [f.code for f in shop_findings(lay_out(LEG).part("p"), short)] == ["tube length"]
        assert "stock" not in codes(long, short)  # once is enough

    def test_the_rack_is_asked_for_what_is_sawn_off_and_not_for_the_nodes(self) -> None:
        mitred = replace(lay_out(LEG).tubes[0], name="t", start=TubeEnd(kind="plane", angle=45))
        assert isinstance(mitred, Tube)
        over = lengths(mitred).long
        assert over > mitred.length
        for stick, told in ((over + 0.1, []), (over - 0.1, ["tube length"])):
            shop = having(tubes=(Stick(od=38, wall=3, length=stick),))
            assert [f.code for f in shop_findings(Part(name="p", pieces=(mitred,)), shop)] == told

    @pytest.mark.parametrize(("spigot", "level"), [(33, "stop"), (31, "caution"), (31.8, None)])
    def test_a_bung_against_its_bore(self, spigot: float, level: str | None) -> None:
        layout = lay_out(Run("t", "38x3", ((0, 0, 0), (0, 0, 90)), end=Bung("bung", (0, 0, 90), spigot)))
        assert [f.level for f in layout_findings(layout)] == ([] if level is None else [level])

    def test_two_tubes_too_close_for_a_torch(self) -> None:
        layout = lay_out(Run("a", "25x2", ((0, 0, 0), (0, 0, 90))), Run("b", "25x2", ((30, 0, 0), (30, 0, 90))))
        [found] = layout_findings(layout)
        assert (found.code, found.value) == ("torch", pytest.approx(5))

    def test_a_tube_that_is_cut_to_one_it_does_not_reach(self) -> None:
        layout = lay_out(LEG, BRACE, replace(STAY, points=((0, 100, 15), (-60, 200, 80))))
        [found] = [f for f in layout_findings(layout) if f.code == "fit-up"]
        gap = shape(layout.tube("brace")).distance(shape(layout.tube("stay")))
        assert found.piece == "stay"
        assert found.value is not None
        assert 1.6 < found.value <= gap

    @pytest.mark.parametrize(("x", "said"), [(-40, True), (-35, False), (-20, False)])
    def test_a_gap_a_welder_fills_is_not_spoken_of(self, x: float, said: bool) -> None:
        # the kernel has 2.53, 1.40 and 0 mm between brace and stay
        layout = lay_out(LEG, BRACE, replace(STAY, points=((0, 100, 15), (x, 200, 80))))
        assert ("fit-up" in codes(layout)) == said

    def test_bends_against_formers_and_straights(self) -> None:
        line = ((0.0, 0.0, 0.0), (0.0, 0.0, 130.0), (150.0, 0.0, 130.0), (150.0, 100.0, 130.0))
        layout = lay_out(Run("t", "25x2", line, bend_r=75))
        assert codes(layout, having(formers=(Former(od=25, radius=75),))) == ["straight"]
        assert "former" in codes(layout, having(formers=(Former(od=25, radius=90), Former(od=38, radius=75))))


@pytest.mark.parametrize("n", range(20))
def test_the_gap_of_two_rods_is_the_least_found_by_walking_along_both(
    n: int, rng: Callable[[int], random.Random]
) -> None:
    some = rng(n)

    def corner() -> Vec:
        return (some.uniform(-50, 50), some.uniform(-50, 50), some.uniform(-50, 50))

    a, b = Rod(corner(), corner(), 5), Rod(corner(), corner(), 7)

    def along(rod: Rod, t: float) -> Vec:
        return tuple(p + t * (q - p) for p, q in zip(rod.a, rod.b, strict=True))  # type: ignore[return-value]

    steps = [k / 200 for k in range(201)]
    walked = min(math.dist(along(a, s), along(b, t)) for s in steps for t in steps) - 6
    assert rod_gap(a, b) <= walked + 1e-9
    assert rod_gap(a, b) == pytest.approx(walked, abs=1.0)


def test_a_shop_profile_says_how_tube_is_worked_there() -> None:
    shop = parse(
        """
        format = 1
        name = "mine"
        sample = false
        [brake]
        length = 1000
        [tubing]
        torch = "1/2in"
        wall_ratio = 2.5
        wrap = "no bevel"
        """
    )
    assert shop.tubing == Tubing(torch=12.7, wall_ratio=2.5, wrap="no bevel")
    with pytest.raises(InputError, match="wall_ratio = 0.5"):
        parse('format = 1\nname = "x"\nsample = false\n[brake]\nlength = 900\n[tubing]\nwall_ratio = 0.5\n')


@pytest.mark.parametrize("name", ["cross_member", "stay", "strut"])
def test_a_recipe_of_tubes_is_judged_by_the_shop_it_is_made_for(name: str) -> None:
    opened = recipe(name)
    wide = having(tubing=Tubing(sharp=89.0, wall_ratio=1.0))
    told = {f.code for f in made(opened, opened.Params(), wide).findings}
    assert "sharp" in told
    assert ("thin wall" in told) == (name != "strut")
    assert not {"sharp", "thin wall"} & {f.code for f in made(opened, opened.Params()).findings}

"""The weld order of a part, how far welding may pull it, and the sheet and facts that say so."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shipped_parts import WELDED

from brackets import Along, Part, Place, Weld, plate, rectangle
from brackets.core.vectors import Vec, add
from brackets.core.vectors import length as norm
from brackets.drawing.record import Title
from brackets.drawing.weld_order import weld_order_sheet
from brackets.forming.weld_order import (
    LONGEST,
    Seam,
    Step,
    balanced,
    out_of_balance,
    place,
    seams,
    tack_places,
    weld_order,
)
from brackets.library.recipe import recipe
from brackets.output.weld_facts import order_records, pull_records
from brackets.rules.weld_pull import ACROSS, braces, leans, pull_of, shrink


def built(name: str, **values: object) -> Part:
    found = recipe(name)
    return found.build(found.Params(**values))




def tee(*, leg: float = 4.0, t: float = 6.0, tall: float = 50.0, long: float = 80.0, both: bool = True) -> Part:
    """A plate upright on another, welded along one foot or both: lower face of the upright at x = -t / 2."""
    base = plate(rectangle(200, long + 40), 10.0, name="base", place=Place(at=(0, 0, -10)))
    stands = Place(at=(-t / 2, 0, tall / 2), axis=(1, 0, 0), up=(0, 0, 1))
    upright = plate(rectangle(long, tall), t, name="upright", place=stands)
    ends = ((-long / 2, -tall / 2), (long / 2, -tall / 2))
    faces = ("low", "high") if both else ("high",)
    return Part(
        name="tee",
        pieces=(base, upright),
        welds=tuple(Weld(piece="upright", edge=Along(*ends, face), onto="base", leg=leg) for face in faces),
    )


@pytest.mark.parametrize("name", WELDED)
def test_every_millimetre_of_every_weld_is_laid_once_and_tacked_first(name: str) -> None:
    part = built(name)
    steps = weld_order(part)
    assert [step.number for step in steps] == list(range(1, len(steps) + 1))
    for seam in seams(part):
        own = [step for step in steps if step.seam == seam]
        assert [step.kind for step in own].count("tack") == 1
        assert own[0].kind == "tack"
        spans = sorted((min(s.start, s.end), max(s.start, s.end)) for s in own[1:])
        assert spans[0][0] == 0.0
        assert spans[-1][1] == pytest.approx(seam.length)
        assert all(a[1] == pytest.approx(b[0]) for a, b in zip(spans, spans[1:], strict=False))
        assert all(b - a <= LONGEST + 1e-6 for a, b in spans)
    assert {step.seam.number for step in steps} == set(range(1, len(part.welds) + 1))


@pytest.mark.parametrize("name", WELDED)
def test_all_of_a_turn_is_tacked_before_any_of_it_is_welded(name: str) -> None:
    part = built(name)
    names = {piece.name for piece in part.pieces}
    seen: dict[tuple[bool, int], list[str]] = {}
    for step in weld_order(part):
        seen.setdefault((step.seam.weld.onto not in names, step.seam.weld.turn), []).append(step.kind)
    for kinds in seen.values():
        assert kinds == sorted(kinds, key=("tack", "run").index)
    assert list(seen) == sorted(seen)


def naive(part: Part) -> float:
    """The furthest that the sum of moments gets after a pair of runs, laid as the welds are listed."""
    centre = tuple(map(float, part.mass.centroid))
    total, sums = (0.0, 0.0, 0.0), []
    for seam in seams(part):
        for step in [s for s in weld_order(part) if s.seam == seam and s.kind == "run"]:
            far = (step.start + step.end) / 2
            middle = place(part, seam, far)
            metal = seam.weld.leg**2 / 2 * abs(step.end - step.start)
            total = add(total, tuple(metal * (m - c) for m, c in zip(middle, centre, strict=True)))  # type: ignore[arg-type]
            sums.append(norm(total))
    return max(sums[1::2])


def worst(part: Part) -> float:
    runs = [step for step in weld_order(part) if step.kind == "run"]
    return max(norm(step.moment) for step in runs[1::2])


@pytest.mark.parametrize("name", ["ears_on_base", "tray", "cross_member", "link", "stud_arm"])
def test_pulls_get_less_far_out_than_in_the_order_listed(name: str) -> None:
    part = built(name)
    assert worst(part) <= naive(part) * (1 + 1e-6)


def test_opposite_seams_follow_each_other_and_cancel() -> None:
    """Four like uprights about the middle: listed side by side, welded across."""
    posts = [
        replace(plate(rectangle(20, 20), 6, name=f"p{i}"), place=Place(at=(x, y, 0)))
        for i, (x, y) in enumerate([(100, 80), (100, -80), (-100, -80), (-100, 80)])
    ]
    base = plate(rectangle(300, 300), 10, name="base", place=Place(at=(0, 0, -10)))
    edge = Along((-10, -10), (-10, -10))
    welds = tuple(Weld(piece=p.name, edge=edge, onto="base", leg=4) for p in posts)
    part = Part(name="four", pieces=(base, *posts), welds=welds)
    quarters = [step.seam.weld.piece for step in weld_order(part) if step.kind == "run"]
    across = {"p0": "p2", "p2": "p0", "p1": "p3", "p3": "p1"}
    assert all(across[a] == b for a, b in zip(quarters[::2], quarters[1::2], strict=True))
    assert worst(part) < 0.1 * naive(part)


@given(
    pulls=st.lists(
        st.lists(st.tuples(*(st.floats(-100, 100),) * 3), min_size=1, max_size=4), min_size=1, max_size=8
    )
)
@settings(max_examples=60, deadline=None)
def test_no_order_gets_further_out_than_the_one_listed(pulls: list[list[Vec]]) -> None:
    seam = Seam(1, 1, Weld(piece="a", edge=Along((0, 0), (1, 0)), onto="b", leg=1), 1, 1.0, False)
    queues = [
        [Step(0, "run", seam, i, j, vec, vec) for j, vec in enumerate(queue)] for i, queue in enumerate(pulls)
    ]
    found = balanced(queues, lambda step: step.at)
    assert sorted((s.start, s.end) for s, _ in found) == sorted((s.start, s.end) for q in queues for s in q)
    for i in range(len(queues)):
        assert [s.end for s, _ in found if s.start == i] == list(range(len(queues[i])))
    total, listed = (0.0, 0.0, 0.0), []
    for step in (s for queue in queues for s in queue):
        total = add(total, step.at)
        listed.append((step, total))
    assert out_of_balance(found) <= out_of_balance(listed)


def test_a_long_seam_is_split_and_laid_back_step_by_step() -> None:
    runs = [s for s in weld_order(tee(long=250.0, both=False)) if s.kind == "run"]
    assert [(s.start, s.end) for s in runs] == [
        pytest.approx(span) for span in ((250 / 3, 0), (500 / 3, 250 / 3), (250, 500 / 3))
    ]
    just = [s for s in weld_order(tee(long=LONGEST, both=False)) if s.kind == "run"]
    assert [(s.start, s.end) for s in just] == [(0.0, LONGEST)]


def test_tacks_stand_at_the_ends_then_between_and_crosswise_round_a_tube() -> None:
    seam = seams(tee(long=180.0, both=False))[0]
    assert tack_places(seam) == (10.0, 170.0, 90.0)  # 160 mm between the end ones: two spaces of 80
    assert tack_places(replace(seam, length=30.0)) == (15.0,)
    assert tack_places(replace(seam, length=30.1)) == pytest.approx((10.0, 20.1))
    assert tack_places(replace(seam, length=120.0, closed=True)) == (0.0, 60.0, 30.0, 90.0)


def test_a_worked_example_of_the_pull() -> None:
    """Leg 4 on 6 mm: 0.75 x 6 = 4.5 holds. 0.8 mm over a foot of 6 + 4 / 2 = 8, times 50 mm up: 5.0 mm. Along a run
    of 80 mm: 0.8 / 3000 x 80 = 0.0213 mm."""
    part = tee()
    run = [s for s in weld_order(part) if s.kind == "run"][0]
    assert pull_of(part, run).across == 0.8
    assert pull_of(part, run).along == pytest.approx(0.02133, abs=1e-5)
    (lean,) = leans(part)
    assert (lean.what, lean.drawn, lean.towards) == ("far end", ACROSS, None)
    assert lean.height == pytest.approx(math.hypot(50.0, 6.0))  # from the seam on one face to the far corner
    assert lean.most == pytest.approx(0.8 / 8.0 * lean.height)


@pytest.mark.parametrize(("leg", "told"), [(4.5, 0.8), (4.51, None)])
def test_no_shrink_is_told_of_a_leg_that_the_figure_does_not_hold_for(leg: float, told: float | None) -> None:
    part = tee(leg=leg)
    assert shrink(part, seams(part)[0]) == told
    (lean,) = leans(part)
    assert (lean.most is None) is (told is None)
    words = pull_of(part, weld_order(part)[-1]).words
    assert words == "not told: leg 4.51 is over 0.75 x 6" if told is None else words.startswith("0.8 across")


def test_no_shrink_is_told_of_a_weld_to_a_rail_whose_wall_nobody_gave() -> None:
    part = built("ears")
    assert {shrink(part, seam) for seam in seams(part)} == {None}
    assert pull_of(part, weld_order(part)[-1]).words == "not told: no thickness of foot"


def test_what_is_welded_on_one_side_leans_to_that_side_and_wants_a_stay() -> None:
    part = tee(both=False)  # the high face, at x = +3
    assert leans(part)[0].towards == (1.0, 0.0, 0.0)
    assert [brace.words for brace in braces(part)] == ["a stay from upright to base against leaning towards +x"]
    assert braces(tee()) == ()


def test_ears_want_a_shaft_and_a_spacer_as_long_as_the_room_between_them() -> None:
    shaft, spacer = braces(built("ears_on_base", inside=46.5))
    assert (shaft.d, spacer.length) == (11.5, pytest.approx(46.5))  # M12: 12.1 reamed, 0.6 under while it is welded
    assert set(shaft.pieces) == set(spacer.pieces) == {"ears/ear_front", "ears/ear_rear"}


@pytest.mark.parametrize("name", WELDED)
def test_sheet_and_facts_say_the_same_steps(name: str) -> None:
    part = built(name)
    sheet = weld_order_sheet(part, Title(part=name))
    assert sheet is not None
    told = order_records(part)
    assert [row[0] for row in sheet.tables[0].rows] == [str(one["step"]) for one in told]
    assert [row[3] for row in sheet.tables[0].rows] == [str(one["weld"]) for one in told]
    pulled = pull_records(part)
    assert pulled is not None
    assert len(sheet.tables[1].rows) == len(pulled["leans"])


def test_nothing_welded_has_no_sheet() -> None:
    assert weld_order_sheet(built("adaptor"), Title(part="adaptor")) is None
    assert pull_records(built("adaptor")) is None

"""Ears whose feet are set out or in by a joggle: sound, as far out as asked, and refused where it cannot be."""

from __future__ import annotations

import math
from typing import Any

import pytest
from kernel import AGREE, adrift, disagreement

from brackets import recipe
from brackets.core.errors import InputError
from brackets.forming.flat_pattern import blank_of
from brackets.model.bend_allowance import bend_allowance, joggle_web
from brackets.model.fold_tree import tree
from brackets.model.part import Part
from brackets.model.plate import Folded
from brackets.model.weld import AtSeat
from brackets.rules.part import shop_findings

EARS = recipe("ears")
SHAPES: dict[str, dict[str, Any]] = {
    "out on a tube": {},
    "in on a sloped tube": {"set_out": -19.0, "slope": 6.5, "side_angle": 3.0, "offset": 4.0},
    "out on a leaning flat": {"seat": "flat", "lean": 8.0, "offset": 5.0},
    "in, square, steep": {"seat": "square", "set_out": -20.0, "joggle_angle": 60.0},
}


def ears(**values: Any) -> Part:
    return EARS.build(EARS.Params(**{"joggle": True, "reach": 110.0, "slope": 0.0} | values))


def folded(part: Part) -> list[Folded]:
    return [piece for piece in part.pieces if isinstance(piece, Folded)]


@pytest.mark.parametrize("name", SHAPES)
def test_joggled_ears_are_sound_and_welded_at_their_feet(name: str) -> None:
    part = ears(**SHAPES[name])
    assert len(folded(part)) == 2
    for hand in (part, part.mirrored()):
        for piece in hand.pieces:
            assert max(disagreement(piece)) < AGREE, piece.name
        assert adrift(hand) == []
    assert {weld.edge.wall for weld in part.welds if isinstance(weld.edge, AtSeat)} <= {2}
    assert len(part.welds) == 4


@pytest.mark.parametrize("set_out", [26.0, -19.0])
def test_feet_stand_as_far_out_as_asked(set_out: float) -> None:
    front, rear = (tree(piece).walls for piece in folded(ears(set_out=set_out)))
    assert front[2].place.at[2] == pytest.approx(set_out)
    assert rear[2].place.at[2] == pytest.approx(-set_out)
    assert front[2].place.axis == pytest.approx(front[0].place.axis)


def test_the_blank_is_ear_bends_web_and_foot_end_to_end() -> None:
    """On a square flat: the foot's flat is what the reach leaves beyond the joggle."""
    t, r, out, reach, at = 6.0, 8.0, 26.0, 110.0, 32.0
    piece = folded(ears(seat="square", set_out=out, reach=reach, joggle_at=at, t=t, inside_radius=r))[0]
    web = joggle_web(out, 45.0, r, t)
    run = (2 * r + t) * math.sin(math.pi / 4) + web * math.cos(math.pi / 4)
    foot = reach - at - run
    assert blank_of(piece).width == pytest.approx(26.0 + at + 2 * bend_allowance(45.0, r, t) + web + foot)


@pytest.mark.parametrize(
    ("values", "said"),
    [
        ({"set_out": 3.0}, "set_out = 3 mm, "),
        ({"set_out": -30.0}, "the feet meet"),
        ({"reach": 70.0}, "of flat foot must be left"),
        ({"reach": 21.0}, "reach = 21"),
        ({"joggle_at": 20.0}, "joggle_at = 20 mm, 27 or more"),
        ({"back": True}, "joggle = yes, no with a back"),
    ],
)
def test_what_cannot_be_joggled_is_refused_with_the_value(values: dict[str, Any], said: str) -> None:
    with pytest.raises(InputError) as refused:
        ears(**values)
    assert any(said in problem for problem in refused.value.problems), refused.value.problems


def test_a_joggle_too_short_for_the_dies_stops_and_one_long_enough_does_not() -> None:
    for out, stops in ((15.0, True), (26.0, False)):
        found = shop_findings(ears(set_out=out, seat="square", reach=120.0))
        assert any(f.level == "stop" and f.code == "flange" for f in found) == stops

"""Folded ears with a back: what cannot hang on its bends is refused by its value, before any solid."""

from __future__ import annotations

import re

import pytest

from brackets import recipe
from brackets.core.errors import InputError
from brackets.kernel.solids import shape


def test_a_seat_that_reaches_the_bend_is_refused_with_the_backs_distance() -> None:
    """Set 164 of 300 random sets once built a part whose solid was refused later."""
    ears = recipe("ears")
    bolt = {"bolt": "3/4-16 UNF", "inside": 52.5}
    tall = {"ear_r": 28.0, "t": 6.0, "reach": 223.21862851342996, "foot": 21.0}
    rail = {"seat": "round", "rail_od": 38.0, "slope": -15.0, "side_angle": 13.0}
    back = {"back": True, "back_side": "left", "back_at": 43.0, "inside_radius": 8.0, "leg": 4.0}
    params = ears.Params(**bolt, **tall, **rail, **back)
    with pytest.raises(InputError, match="back_at = 43 mm .* a straight edge to be folded along") as refused:
        ears.build(params)
    (problem,) = refused.value.problems
    assert "flange" not in problem
    assert "outline" not in problem


TRIED = [
    {"reach": 92.9, "ear_r": 32.0, "back_at": 63.0, "foot": 20.0, "slope": 5.0, "rail_od": 60.0},
    {"reach": 88.6, "ear_r": 20.0, "t": 3.0, "back_at": 62.5, "foot": 30.0, "slope": 15.0, "rail_od": 60.0},
    {"reach": 128.6, "ear_r": 20.0, "back_at": 44.2, "foot": 50.0, "slope": 5.0, "rail_od": 60.0, "offset": 10.0},
    {"reach": 58.0, "ear_r": 20.0, "back_at": 61.0, "foot": 20.0},
]


# on the right it is the left one mirrored: the one with an offset has all that could be forgotten then
@pytest.mark.parametrize(("side", "values"), [*(("left", values) for values in TRIED), ("right", TRIED[2])])
def test_the_value_named_as_a_cure_is_one_that_can_be_folded(values: dict[str, float], side: str) -> None:
    """Each on its own, and as the solid kernel makes it."""
    ears = recipe("ears")
    tried = {"back": True, "seat": "round", "back_side": side, **values}
    if side == "right" and "offset" in values:
        tried["offset"] = -values["offset"]
    with pytest.raises(InputError) as refused:
        ears.build(ears.Params(**tried))
    (problem,) = refused.value.problems
    cures = re.findall(r"(back_at|foot) = (\d+) mm", problem.split(";")[1])
    assert cures, problem
    assert problem.endswith("can be folded")
    for name, value in cures:
        assert shape(ears.build(ears.Params(**{**tried, name: float(value)}))).isValid()


def test_where_nothing_can_be_folded_it_says_to_leave_the_back_off() -> None:
    ears = recipe("ears")
    hopeless = {"reach": 137.6, "ear_r": 26.0, "back_at": 32.3, "slope": 15.0, "inside": 30.0, "inside_radius": 3.0}
    with pytest.raises(InputError, match="no other back_at or foot can be folded: back = no"):
        ears.build(ears.Params(back=True, seat="round", **hopeless))
    ears.build(ears.Params(back=False, seat="round", **hopeless))

"""Folded ears with a back: what cannot hang on its bends is refused by its value, before any solid."""

from __future__ import annotations

import pytest

from brackets import recipe
from brackets.errors import OutOfRange


def test_a_seat_that_reaches_the_bend_is_refused_with_the_backs_distance() -> None:
    """Set 164 of 300 random sets once built a part whose solid was refused later."""
    ears = recipe("ears")
    bolt = {"bolt": "3/4-16 UNF", "inside": 52.5}
    tall = {"ear_r": 28.0, "t": 6.0, "reach": 223.21862851342996, "foot": 21.0}
    rail = {"seat": "round", "rail_od": 38.0, "slope": -15.0, "side_angle": 13.0}
    back = {"back": True, "back_side": "left", "back_at": 43.0, "inside_radius": 8.0, "leg": 4.0}
    params = ears.Params(**bolt, **tall, **rail, **back)
    with pytest.raises(OutOfRange, match="back_at = 43 mm, must leave both ears a straight bend") as refused:
        ears.build(params)
    assert all(problem.startswith("back_at = 43 mm") for problem in refused.value.problems)

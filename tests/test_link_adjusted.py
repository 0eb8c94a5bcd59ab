"""A link that is set by a thread: what its halves, inserts and stud are cut to, and that it can be set so far."""

from __future__ import annotations

import math
from typing import Any

import pytest
from test_recipes import sound

from brackets import recipe
from brackets.core.errors import InputError
from brackets.core.vectors import Vec, dot, length, sub, unit
from brackets.forming.cut_list import cut_list
from brackets.model.mass import solid_moments
from brackets.model.part import Part
from brackets.model.tube import Turned


def made(**values: Any) -> Part:
    opened = recipe("link")
    return opened.build(opened.Params(**{"thread": "M12", **values}))


def turned(part: Part, name: str) -> Turned:
    piece = part.piece(name)
    assert isinstance(piece, Turned)
    return piece


def span(part: Part, name: str) -> tuple[float, float]:
    """Where a turned piece begins and ends, mm from the first bush along the bar."""
    piece, start = turned(part, name), part.seat("bush_1").place.at
    way = unit(sub(part.seat("bush_2").place.at, start))
    ends = (piece.place.at, piece.place.point((0.0, 0.0, piece.length)))
    low, high = sorted(dot(sub(at, start), way) for at in ends)
    return low, high


def test_stud_inserts_and_nuts_add_up_to_the_length_of_the_bar() -> None:
    """M12 in steel wants 14.2 of thread: inserts of 15. Between them two nuts of 10.8, the 8 it may be set shorter,
    1 of room: 30.6. The stud: that, one insert, and 15 + 8 in the other."""
    part = made()
    apart = math.hypot(260, 28)
    first, second = span(part, "insert_1"), span(part, "insert_2")
    assert (turned(part, "insert_1").length, turned(part, "insert_2").length) == (15, 15)
    assert second[0] - first[1] == pytest.approx(30.6)
    assert turned(part, "stud").length == pytest.approx(68.6)
    assert span(part, "stud") == pytest.approx((first[1] - 23, second[1]))
    assert span(part, "nut_1") == pytest.approx((first[1], first[1] + 10.8))
    assert span(part, "nut_2") == pytest.approx((second[0] - 10.8, second[0]))
    # the stub: eye of 24, 15 of straight, then the head of 6
    assert apart - second[0] == pytest.approx(24 + 15 + 6)


def test_at_its_shortest_the_nuts_still_go_between_and_at_its_longest_the_thread_holds() -> None:
    for adjust in (0.0, 20.0):
        part = made(adjust=adjust)
        gap = span(part, "insert_2")[0] - span(part, "insert_1")[1]
        assert gap - adjust == pytest.approx(2 * 10.8 + 1)
        assert span(part, "insert_1")[1] - (span(part, "stud")[0] + adjust) == pytest.approx(15.0)


def test_the_metal_of_stud_and_insert_is_that_of_their_steps() -> None:
    """In the inserts the stud is at the tapping size of 10.2; an insert is 9 in a bore of 20 and 6 of 31."""
    part = made()
    stud = math.pi / 4 * (30 * 10.2**2 + (8 + 30.6) * 12**2)
    assert solid_moments(part.piece("stud")).volume == pytest.approx(stud)
    insert = math.pi / 4 * (9 * 20**2 + 6 * 31**2 - 15 * 10.2**2)
    assert solid_moments(part.piece("insert_1")).volume == pytest.approx(insert)


@pytest.mark.parametrize("axis", [(0.0, 1.0, 0.0), (0.6, 1.0, 0.2)])
def test_an_adjustable_link_is_a_sound_part(axis: Vec) -> None:
    sound(made(axis_1=axis, axis_2=axis))


def test_bar_and_bought_things_are_told_apart_in_the_cut_list() -> None:
    found = {item.section: item for item in cut_list([("link", made())])}
    stud = found["threaded bar M12"]
    assert (stud.kind, stud.material) == ("bar", "8.8")
    assert stud.length == pytest.approx(68.6)
    assert not [section for section in found if "nut" in section]
    assert found["31 round"].length == 15


@pytest.mark.parametrize(
    ("values", "said"),
    [
        ({"thread": "M16"}, None),
        # a tapping size of 17.5 and 2 round it
        ({"thread": "M20"}, "thread = M20, smaller or a wider tube: an insert with 2 mm round 17.5 goes into"),
        ({"stud": 40.0}, "stud = 40 mm, 54.6 mm or more: with the bar at its longest it is still in its thread"),
        # 24 of eye, 23 + 8 + 1 behind the face, 30.6, and 45 to the other bush: 131.6
        ({"bush_2": (14.0, 120.0, 104.0)}, "bush_2 = 130.0 mm from bush_1, 131.6 or more"),
        ({"bush_2": (16.0, 120.0, 104.0)}, None),
    ],
)
def test_a_thread_that_cannot_be_is_refused_in_words(values: dict[str, Any], said: str | None) -> None:
    if said is None:
        assert length(sub(made(**values).seat("bush_2").place.at, (-116.0, 120.0, 104.0))) > 131
        return
    with pytest.raises(InputError) as caught:
        made(**values)
    assert said in " | ".join(caught.value.problems)

"""The weight of a part itself: each piece at its centre of mass, by sums written out here."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from brackets import OutOfRange, hold, read_bay, recipe
from brackets.bay.held_loads import loads_of, part_cases
from brackets.bay.stand.placed import placed_bay
from brackets.hold import HoldSettings, PartCase, SeatLoad
from brackets.hold.own_weight import NOT_COUNTED
from brackets.library.recipe import shipped

PULL = (3.0, -2.0, -9.80665 * 3)


def case(pull: tuple[float, float, float] = PULL, force: float = 1e-6) -> PartCase:
    return PartCase("bump", (SeatLoad("bush", (0.0, 0.0, force)),), pull=pull)


@pytest.mark.parametrize("name", ["fork", "stay", "tray"])
def test_what_holds_a_part_holds_its_weight_too(name: str) -> None:
    """Force at the bolts is mass x pull, and its moment about the origin is that at the centre of mass."""
    made = recipe(name)
    part = made.build(made.Params())
    seat = "bush" if name != "tray" else "bush_left"
    one = replace(case(), loads=(SeatLoad(seat, (0.0, 0.0, 1e-6)),))
    found = hold.hold_part(part, [one], HoldSettings(grade="8.8"))
    assert found.balance < 1e-9
    bolts = [cut for cut in found.cuts if cut.place.startswith("bolts ")]
    hung = [piece for piece in part.pieces if not piece.name.startswith("washer")]
    pieces = [(piece, replace(part, pieces=(piece,), welds=(), seats=()).mass) for piece in hung]
    reached = {body for cut in found.cuts for body in cut.place.replace("weld ", "").split(" | ")}
    carried = [mass for piece, mass in pieces if piece.name in reached or name != "tray"]
    assert bolts
    force = np.sum([cut.force for cut in bolts], axis=0)
    kg = sum(mass.kg for mass in carried)
    assert force == pytest.approx(np.array(PULL) * kg, rel=1e-3)
    about = np.sum([np.array(cut.moment) + np.cross(cut.at, cut.force) for cut in bolts], axis=0)
    centre = sum(mass.kg * np.array(mass.centroid) for mass in carried) / kg
    assert about == pytest.approx(np.cross(centre, np.array(PULL) * kg), rel=1e-3, abs=1.0)


def test_without_a_pull_nothing_is_added() -> None:
    made = recipe("fork")
    part = made.build(made.Params())
    loads = (SeatLoad("bush", (500.0, 0.0, 2000.0)),)
    plain, heavy = (
        hold.hold_part(part, [PartCase("bump", loads, pull=pull)], HoldSettings(grade="8.8"))
        for pull in ((0.0, 0.0, 0.0), (0.0, 0.0, 9.80665 * 3))
    )
    assert [one.place for one in plain.checks] != []
    of = {(one.place, one.check.clause): float(one.check.value) for one in plain.checks}
    more = [one for one in heavy.checks if float(one.check.value) > of[one.place, one.check.clause] * (1 + 1e-9)]
    assert more  # pulled the way that the bush pulls
    assert heavy.worst is not None
    assert plain.worst is not None
    assert heavy.worst < 1.05 * plain.worst  # 1 kg at 3 g beside 2 kN


def test_a_link_that_hangs_on_its_pins_has_none() -> None:
    made = recipe("link")
    part = made.build(made.Params())
    way = np.array(part.seat("bush_2").place.at) - np.array(part.seat("bush_1").place.at)
    pull = 1e3 * way / np.linalg.norm(way)
    loads = (SeatLoad("bush_1", tuple(-pull)), SeatLoad("bush_2", tuple(pull)))
    found = hold.hold_part(part, [PartCase("pull", loads, pull=PULL)])
    assert NOT_COUNTED in found.notes
    assert not any("not in balance" in one.problem for one in found.refused)


def test_a_pull_must_be_finite() -> None:
    with pytest.raises(OutOfRange, match="must be finite numbers, N a kg: load case bump"):
        case((0.0, float("nan"), 0.0))


def test_of_a_bay_the_parts_are_pulled_as_the_powertrain_is() -> None:
    """9.80665 N a kg down, and what is felt beside it; corners of the scatter are factored already."""
    stood = placed_bay(read_bay(shipped() / "tern.toml"))
    loads = loads_of(stood.bay)
    (tray,) = [part for part in stood.parts if part.name == "tray"]
    cases = part_cases(stood.bay, loads, tray.part, "tray", load_factor=1.5, own_weight=True)
    by = {one.name: one for one in cases}
    assert by["weight"].pull == pytest.approx((0, 0, -9.80665))
    assert by["bump"].pull == pytest.approx((0, 0, -3.5 * 9.80665))
    corners = [one for name, one in by.items() if name.startswith("bump, bushes ")]
    assert all(one.pull == pytest.approx((0, 0, -1.5 * 3.5 * 9.80665)) for one in corners)
    assert all(one.pull == (0, 0, 0) for one in part_cases(stood.bay, loads, tray.part, "tray"))


@pytest.mark.parametrize("name", ["fork", "cross_member"])
def test_the_load_factor_is_on_the_weight_too(name: str) -> None:
    """Loads and pull doubled, or doubled by the load factor: the same in every check of factored loads."""
    made = recipe(name)
    part = made.build(made.Params())
    seat = "bush" if name == "fork" else "bush_left"

    def asked(times: float, factor: float) -> dict[tuple[str, str], float]:
        x, y, z = (times * one for one in PULL)
        one = PartCase("bump", (SeatLoad(seat, (0.0, 0.0, 500.0 * times)),), pull=(x, y, z))
        found = hold.hold_part(part, [one], HoldSettings(grade="8.8", load_factor=factor))
        return {(each.place, each.check.clause): float(each.check.value) for each in found.checks}

    by_factor, by_hand = asked(1.0, 2.0), asked(2.0, 1.0)
    assert any(place.startswith(("plate", "tube")) for place, _ in by_factor)
    as_they_come = [key for key in by_hand if "(3.15)" in key[1]]
    for key in by_hand:
        if key not in as_they_come:
            assert by_factor[key] == pytest.approx(by_hand[key]), key

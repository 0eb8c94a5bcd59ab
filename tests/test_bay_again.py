"""A bay of which one value changed, stood up again: its other parts are those that stood, and all that is found is
what a bay built from nothing has."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from preview_bay import written

from brackets.app.preview.blocks import unpack
from brackets.app.preview.build import answers, moved_block, source
from brackets.bay.file import read
from brackets.bay.schema.record import Bay
from brackets.bay.stand.placed import placed_bay
from brackets.library.recipe import shipped

CHANGES = (
    {"cup": {"length": "45"}},
    {"cup": {"length": "45"}, "stand": {"leg": "6"}},
    {"[powertrain] place": {"up": "3"}, "stand": {"leg": "6"}},
    {},
)


def all_of(what: Any, typed: dict[str, dict[str, str]]) -> list[dict[str, Any]]:
    """What the page is told, less how long it took."""
    request = {"seq": 1, "typed": typed, "have": [], "stage": "picture"}
    blocks = [*answers(what, request, lambda: False), moved_block(what, request)]
    return [rounded({**unpack(block)[0], "seconds": 0}) for block in blocks]


def rounded(told: Any) -> Any:
    """The kernel's second body of the same values differs in the last figure, and so the name of a foul's mesh."""
    if isinstance(told, dict):
        foul = told.get("what") == "foul"
        return {key: rounded(value) for key, value in told.items() if not (foul and key == "mesh")}
    if isinstance(told, list):
        return [rounded(value) for value in told]
    return round(told, 9) + 0.0 if isinstance(told, float) else told


def test_step_by_step_is_what_a_page_begun_there_shows(tmp_path: Path) -> None:
    path = str(written(tmp_path))
    live = source(path, bare="mm")
    for typed in CHANGES:
        assert all_of(live, typed) == all_of(source(path, bare="mm"), typed), typed


def test_a_search_goes_on_from_checks_of_its_own_values_alone(tmp_path: Path) -> None:
    live = source(str(written(tmp_path)), bare="mm")
    all_of(live, {})
    live._still = ({}, "nothing to go on from")  # type: ignore[union-attr, assignment]
    moved = live.moved({"cup": {"length": "45"}})  # type: ignore[union-attr]
    assert moved["verdict"]


@pytest.fixture(scope="module")
def bay(tmp_path_factory: pytest.TempPathFactory) -> Bay:
    return read(written(tmp_path_factory.mktemp("bay")))


def with_values(bay: Bay, part: str, **more: object) -> Bay:
    parts = (replace(one, values={**one.values, **more}) if one.row.name == part else one for one in bay.parts)
    return replace(bay, parts=tuple(parts))


def taken(was: Bay, bay: Bay) -> list[str]:
    """Names of the parts that are the very ones that stood in `was`."""
    first = placed_bay(was)
    again = placed_bay(bay, was=first)
    return [new.name for new, old in zip(again.parts, first.parts, strict=True) if new.part is old.part]


def test_only_the_part_whose_value_changed_is_built(bay: Bay) -> None:
    assert taken(bay, bay) == ["cup", "stand"]
    assert taken(bay, with_values(bay, "cup", length=41)) == ["stand"]
    assert taken(bay, with_values(bay, "stand", leg=6)) == ["cup"]


def test_whatever_else_changed_every_part_is_built(bay: Bay) -> None:
    row = bay.parts[1].row
    for other in (
        replace(bay, keep_outs=bay.keep_outs[1:]),
        replace(bay, powertrain=replace(bay.powertrain, place_at=(0.0, 0.0, 1.0))),
        replace(bay, coating=0.1),
        replace(bay, parts=(bay.parts[0], replace(bay.parts[1], row=replace(row, at=(-120.0, -10.0, 41.0))))),
    ):
        assert taken(bay, other) == []


def test_a_part_of_a_recipe_of_ones_own_is_built_each_time(bay: Bay) -> None:
    """What it reads beside its values is not known."""
    own = bay.path.parent / "mine.py"
    own.write_text((shipped() / "cup.py").read_text("utf-8"), "utf-8")
    mine = replace(bay.parts[0], row=replace(bay.parts[0].row, recipe="mine.py"))
    there = replace(bay, parts=(mine, bay.parts[1]))
    assert taken(there, there) == ["stand"]

"""Every shipped recipe: at its defaults, at every limit, and at random, it is a sound part or a clear refusal."""

from __future__ import annotations

import ast
import random
from collections.abc import Callable

import numpy as np
import pytest
from kernel import AGREE, adrift, disagreement, sharing, valid
from shipped_parts import SEVERAL, WELDED
from values import sample

from brackets import recipe, recipes
from brackets.core.errors import InputError
from brackets.core.schema.checked import fields
from brackets.core.schema.reading import limits
from brackets.forming.flat_pattern import blank_of
from brackets.library.recipe import Recipe
from brackets.model.part import Part
from brackets.model.plate import Folded, Plate
from brackets.rules.part import general_findings, shop_findings

NAMES = recipes()
EVERY = {"bracket_tray": 5, "cross_member": 7, "link": 3, "stay": 3, "tray": 15}
"""Recipes whose solids take the kernel a second each, slots rolled over bends and tubes coped to tubes: the daily
run shows it every n-th of their limits and random sets, the others are built and laid flat; --fuzz shows it all.
Odd, since limits go low, high, low, high."""
SETS = {**dict.fromkeys(("cup_on_plate", "ears", "ears_on_base", "fork", "strut", "stud_arm"), 2), **EVERY}
"""The same of the parts that random sets make: of one more half of them, since each of their limits was seen. Half
of them still have two thirds to nine tenths of all pairs of values that are both low, both high or one of each."""


def sound(part: Part) -> None:
    """Whole, and no piece in another, by the kernel."""
    whole(part)
    assert sharing(part) == []


def whole(part: Part) -> None:
    """Each piece one valid solid that weighs what the closed form says, all held together, every weld on both
    pieces, by the kernel as by the findings."""
    for piece in part.pieces:
        volume, centre, inertia = disagreement(piece)
        assert volume < AGREE, (piece.name, volume)
        assert centre < AGREE, (piece.name, centre)
        assert inertia < AGREE, (piece.name, inertia)
        assert valid(piece)
    assert adrift(part) == []
    assert part.mass.kg > 0
    assert np.all(np.linalg.eigvalsh(part.mass.inertia) > 0)
    assert [f for f in general_findings(part) if f.code in ("loose piece", "weld gap")] == []


def laid_flat(part: Part) -> None:
    """Each plate is one blank."""
    assert all(blank_of(piece).area > 0 for piece in part.pieces if isinstance(piece, Folded | Plate))


def named(problem: str, names: set[str]) -> bool:
    return any(name in problem for name in names)


def try_values(opened: Recipe, values: dict[str, object]) -> Part | None:
    """The part, or None where it was refused with a value's name in every line."""
    names = {param.name for param in opened.params} | {"hole_", "second_", "boss_", "lightening"}
    try:
        params = opened.Params(**values)
        part = opened.build(params)
    except InputError as refused:
        for problem in refused.problems:
            assert named(problem, names), problem
        return None
    opened.check(params)
    return part


@pytest.mark.parametrize("name", NAMES)
def test_the_default_part_is_sound(name: str) -> None:
    opened = recipe(name)
    sound(opened.build(opened.Params()))


def test_the_lists_of_shipped_parts_are_of_all_recipes() -> None:
    found = {name: opened.build(opened.Params()) for name, opened in zip(NAMES, map(recipe, NAMES), strict=True)}
    assert [name for name, part in found.items() if len(part.pieces) > 1] == [*SEVERAL]
    assert [name for name, part in found.items() if part.welds] == [*WELDED]


@pytest.mark.parametrize("name", NAMES)
def test_the_default_part_breaks_no_rule_that_stops(name: str) -> None:
    opened = recipe(name)
    part = opened.build(opened.Params())
    found = [*opened.check(opened.Params()), *general_findings(part), *shop_findings(part)]
    assert [f for f in found if f.level == "stop"] == []


@pytest.fixture
def every(name: str, request: pytest.FixtureRequest) -> int:
    """Of how many parts of the recipe the kernel sees one."""
    return 1 if request.config.getoption("--fuzz") else EVERY.get(name, 1)


@pytest.mark.parametrize("name", NAMES)
def test_every_limit_is_a_sound_part_or_a_refusal(name: str, every: int) -> None:
    opened = recipe(name)
    built = 0
    seen: set[Part] = set()
    for value_name, value in limits(opened.Params):
        part = try_values(opened, {value_name: value})
        if part is not None:
            if part not in seen:
                (sound if len(seen) % every == 0 else laid_flat)(part)
                seen.add(part)
            built += 1
    assert built >= len(fields(opened.Params)) // 2


@pytest.mark.parametrize("name", NAMES)
def test_random_values_are_a_sound_part_or_a_refusal(
    name: str, fuzz: int, rng: Callable[[int], random.Random], request: pytest.FixtureRequest
) -> None:
    """The kernel sees one in so many of the parts that are made, not of the sets: most sets are refused."""
    opened = recipe(name)
    every = 1 if request.config.getoption("--fuzz") else SETS.get(name, 1)
    parts = 0
    for n in range(fuzz):
        part = try_values(opened, dict(sample(opened.Params, rng(n))))
        if part is not None:
            (sound if parts % every == 0 else laid_flat)(part)
            parts += 1


@pytest.mark.parametrize("name", NAMES)
def test_the_other_hand_weighs_the_same_and_is_mirrored(name: str) -> None:
    opened = recipe(name)
    part = opened.build(opened.Params())
    other = part.mirrored()
    flip = np.array([-1.0, 1.0, 1.0])
    assert other.mass.kg == pytest.approx(part.mass.kg, rel=1e-12)
    assert other.mass.centroid == pytest.approx(part.mass.centroid * flip, abs=1e-9)
    expected = part.mass.inertia * np.outer(flip, flip)
    assert other.mass.inertia == pytest.approx(expected, abs=1e-9 * np.trace(expected))
    back = other.mirrored()
    assert back.mass.centroid == pytest.approx(part.mass.centroid, abs=1e-9)


@pytest.mark.parametrize("name", NAMES)
def test_a_mirrored_part_is_whole_too(name: str) -> None:
    """That its pieces stand as the first part's do, and so in none other, is in the mass of the other hand."""
    opened = recipe(name)
    whole(opened.build(opened.Params()).mirrored())


@pytest.mark.parametrize("name", NAMES)
def test_a_recipe_imports_nothing_below_the_kernel_line(name: str) -> None:
    source = recipe(name).path.read_text(encoding="utf-8")
    for word in ("cadquery", "OCP", "trimesh", "numpy", "brackets.kernel", "brackets.clearance"):
        assert f"import {word}" not in source
        assert f"from {word}" not in source


@pytest.mark.parametrize("name", NAMES)
def test_a_recipe_is_short_enough_to_read_in_one_go(name: str) -> None:
    source = recipe(name).path.read_text(encoding="utf-8")
    imports = [node for node in ast.parse(source).body if isinstance(node, ast.Import | ast.ImportFrom)]
    assert len(source.splitlines()) - (imports[-1].end_lineno or 0) <= 200

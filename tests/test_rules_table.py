"""Every breach of a rule that the sources can find has a row in a table, or a test that is named here."""

from __future__ import annotations

import ast
import importlib
from collections.abc import Iterator, Mapping
from functools import cache
from itertools import product
from pathlib import Path
from types import ModuleType

import pytest
import test_rules_bay
import test_rules_bobbins
import test_rules_bolts
import test_rules_card
import test_rules_hang
import test_rules_holes
import test_rules_recipes
import test_rules_shop
import test_rules_stations
import test_rules_tubes
import test_three_pieces
from rule_cases import Case

from brackets.core.rulebook.finding_rule import FindingRule, advice, caution, measured, spare_name, stop
from brackets.library.recipe import recipe
from brackets.library.recipe_rules import all_rules

ROOT = Path(__file__).resolve().parents[1]

TABLES = (
    test_rules_holes, test_rules_recipes, test_rules_tubes, test_rules_shop, test_rules_bolts, test_rules_bay,
    test_rules_bobbins, test_rules_card, test_rules_hang, test_rules_stations, test_three_pieces,
)  # fmt: skip
ROWS = [
    case
    for table in TABLES
    for case in table.CASES
]

RULEBOOK = "brackets/core/rulebook/"
PACKAGE = "brackets.core.rulebook"

ELSEWHERE: dict[tuple[str, str], str] = {
    ("brackets/bay/stand/owners.py", "accept"): "test_outputs.py",
    ("brackets/hold/held_part.py", "strength"): "test_held_parts.py",
    ("brackets/hold/held_part.py", "strength scope"): "test_held_parts.py",
    ("brackets/hold/held_part.py", "weld stress range"): "test_held_parts.py",
    ("brackets/hold/held_part.py", "bracket stiffness"): "test_held_parts.py",
    ("brackets/bay/stand/part_links.py", "link"): "test_links.py",
    ("brackets/bay/clear/scan_rules.py", "inside not known"): "test_bay_scans.py",
    ("brackets/bay/clear/scan_rules.py", "scan file"): "test_bay_scans.py",
    ("brackets/bay/clear/scan_rules.py", "scan"): "test_bay_scan.py",
    ("brackets/bay/clear/movement_rules.py", "movement"): "test_bay_movement.py",
    ("brackets/bay/bolts/draw_room.py", "draw room"): "test_draw_room.py",
    ("brackets/bay/expected_on_bushes.py", "expected"): "test_hang_keys.py",
    ("brackets/bay/expected_to_hold.py", "expected"): "test_tern_held.py",
    ("brackets/bay/seats/weld_reach.py", "weld near"): "test_own_side.py",
    ("brackets/library/jig_seats.py", "jig holds"): "test_jig.py",
    ("brackets/library/jig_work.py", "jig holds"): "test_jig.py",
    ("brackets/clearance/jig_checks.py", "jig torch"): "test_jig.py",
    ("brackets/clearance/jig_checks.py", "jig release"): "test_jig.py",
    ("brackets/library/rounds.py", "bore stock"): "test_cup_bore.py",
    ("brackets/rules/stock.py", "pilot drill"): "test_pivot_holes.py",
    ("brackets/rules/joints.py", "weld gap"): "test_pieces_join.py",
    ("brackets/clearance/torch.py", "torch reach"): "test_torch.py",
    ("brackets/kernel/press_room.py", "press room"): "test_press_room.py",
    ("brackets/kernel/shared.py", "overlap"): "test_pieces_join.py",
    ("brackets/mockups/printed.py", "print apart"): "test_mockups.py",
    ("brackets/mockups/printed.py", "print bead"): "test_mockups.py",
    ("brackets/mockups/printed.py", "print bed"): "test_mockups.py",
    ("brackets/mockups/printed.py", "print growth"): "test_mockup_cmd.py",
    ("brackets/mockups/printed.py", "print joint"): "test_mockups.py",
    ("brackets/mockups/printed.py", "print trial"): "test_mockups.py",
    ("brackets/mockups/printed.py", "print wall"): "test_mockups.py",
    ("brackets/mockups/printed.py", "print words"): "test_mockups.py",
    ("brackets/mockups/bay.py", "print growth"): "test_mockup_cmd.py",
    ("brackets/rules/welds.py", "weld leg"): "test_rules_welds.py",
    ("brackets/rules/welds.py", "weld cyclic"): "test_rules_welds.py",
    ("brackets/rules/welds.py", "weld length"): "test_rules_welds.py",
    ("brackets/rules/welds.py", "weld metal"): "test_rules_welds.py",
}
"""(module, code) of rules whose cases stand in another test file, which must name the code."""


ASKED = ("code", "under", "over")
"""What is asked of a rule without making a finding by it."""


def found_by(source: str, module: str, rules: Mapping[str, FindingRule]) -> Iterator[tuple[str, str]]:
    """(code, level) of every finding that a module's source makes by its rule: the levels written out where
    `finding` is called; each level of the rule where none is, or where the rule is handed on."""
    tree = ast.parse(source)
    asked = {node.value for node in ast.walk(tree) if isinstance(node, ast.Attribute) and node.attr in ASKED}
    read = {
        call.func.value: call
        for call in ast.walk(tree)
        if isinstance(call, ast.Call) and isinstance(call.func, ast.Attribute) and call.func.attr == "finding"
    }
    for node in ast.walk(tree):
        rule = rules.get(node.id) if isinstance(node, ast.Name) and isinstance(node.ctx, ast.Load) else None
        if rule is not None and node not in asked:
            level = {word.arg: word.value for word in read[node].keywords}.get("level") if node in read else None
            yield from product([rule.code], rule.levels if level is None else _written(level) or rule.levels)


def _written(level: ast.expr) -> list[str]:
    """The levels that an expression spells out; none where any of them is a name."""
    if isinstance(level, ast.Constant):
        return [str(level.value)]
    if isinstance(level, ast.IfExp):
        both = _written(level.body), _written(level.orelse)
        return [*both[0], *both[1]] if all(both) else []
    return []


def rules_in(module: str) -> dict[str, FindingRule]:
    """The rules that a file of the library or of `recipes` knows, by the names it has for them."""
    dotted = module.removesuffix(".py").replace("/", ".")
    ours = dotted.startswith("brackets.")
    known = vars(importlib.import_module(dotted) if ours else recipe(Path(module).stem).module)
    whole = [name for name, value in known.items() if getattr(value, "__name__", "").startswith(PACKAGE)]
    assert [name for name in whole if isinstance(known[name], ModuleType)] == [], f"{module}: take rules by name"
    inside = {
        alias.asname or alias.name: getattr(importlib.import_module(node.module), alias.name)
        for node in ast.walk(ast.parse(sources()[module]))
        if isinstance(node, ast.ImportFrom) and node.module is not None and node.module.startswith(PACKAGE)
        for alias in node.names
    }
    return {name: value for name, value in {**inside, **known}.items() if isinstance(value, FindingRule)}


@cache
def sources() -> dict[str, str]:
    """Every file of the library and of the shipped recipes."""
    return {
        path.relative_to(ROOT).as_posix(): path.read_text("utf-8")
        for folder in ("brackets", "recipes")
        for path in (ROOT / folder).rglob("*.py")
    }


@cache
def every() -> frozenset[tuple[str, str, str]]:
    """(module, code, level) of all sources."""
    return frozenset(
        (module, code, level)
        for module, source in sources().items()
        if ("finding(" in source or "rulebook" in source) and not module.startswith(RULEBOOK)
        for code, level in found_by(source, module, rules_in(module))
    )


@pytest.mark.checkout
def test_every_finding_has_a_case_that_breaks_its_rule() -> None:
    rows = {(case.module, case.code, case.level) for case in ROWS}
    without = {one for one in every() - rows if one[:2] not in ELSEWHERE}
    assert without == set(), "each wants a row in a tests/test_rules_*.py, or a line in ELSEWHERE"


@pytest.mark.checkout
def test_every_row_is_of_a_finding_that_is_there() -> None:
    assert {(case.module, case.code, case.level) for case in ROWS} - every() == set()
    assert set(ELSEWHERE) - {one[:2] for one in every()} == set()


@pytest.mark.checkout
@pytest.mark.parametrize(("rule", "file"), ELSEWHERE.items(), ids=lambda v: v if isinstance(v, str) else v[1])
def test_a_case_that_stands_elsewhere_does(rule: tuple[str, str], file: str) -> None:
    assert f'"{rule[1]}"' in (ROOT / "tests" / file).read_text("utf-8")


@pytest.mark.checkout
def test_every_breach_of_every_rule_is_found_somewhere() -> None:
    breaches = {(rule.code, breach.level) for rule in all_rules() for breach in rule.breaches}
    assert breaches == {one[1:] for one in every()}


@pytest.mark.checkout
def test_no_finding_of_ours_is_made_but_by_its_rule() -> None:
    by_hand = [module for module, source in sources().items() if calls_finding(source)]
    assert by_hand == [f"{RULEBOOK}finding_rule.py"]


def calls_finding(source: str) -> bool:
    """Whether a source makes a finding without a rule."""
    if "Finding" not in source:
        return False
    calls = (node.func for node in ast.walk(ast.parse(source)) if isinstance(node, ast.Call))
    return any("Finding" in (getattr(func, "id", ""), getattr(func, "attr", "")) for func in calls)


def test_a_finding_without_a_rule_would_be_found() -> None:
    assert calls_finding('def f():\n    return core.Finding(level="stop", code="new")')
    assert not calls_finding('def f() -> Finding:\n    return EDGE.finding(piece="p")')


def test_a_finding_without_a_row_would_be_found() -> None:
    breaches = (stop("x"), caution(), advice())
    rules = {name: FindingRule(code=name.lower(), asks="It is.", breaches=breaches) for name in "ABCDE"}
    source = 'A.finding(level="stop" if a else "caution", piece="p")\n'
    source += 'yield B.finding(level="advice", piece=E.code)\nsaid(C)\nD.finding(level=worst)\nE = 1'
    every_level = ("stop", "caution", "advice")
    assert set(found_by(source, "m", rules)) == {
        ("a", "stop"), ("a", "caution"), ("b", "advice"), *product("cd", every_level),
    }  # fmt: skip


NOT_MEASURED = {
    "former": "the nearest of a list", "rack": "the nearest of a list", "drill": "the nearest of a list",
    "pilot drill": "the nearest of a list",
    "overlap": "pieces that do not touch are not measured", "flat overlap": "walls that do not lie in each other",
    "clash": "what is farther off than asked is not measured", "fold gap": "as clash",
    "fit-up": "what is cut to a tube lies on it: the widest gap that is welded is all it ever has to spare",
}
"""Rules of a part with a figure that say nothing of what there is to spare where they are kept, and why."""

OTHER_FIGURES = {
    ("die", 5.0): "by how much the nearest die misses the radius, past a fifth of it",
    ("sheet size", 60.0): "the side that does not fit",
    ("washer", 3.5): "past the quarter of a mm that is no matter",
    ("die", 2.9): "the thinnest plate a die is for",
}
"""(code, value) of findings whose value and limit are not what the rule compares."""

OF_A_PART = [
    case for table in (test_rules_holes, test_rules_recipes, test_rules_tubes, test_rules_shop)
    for case in table.CASES
    if case.level != "advice" and case.value is not None and case.limit is not None
]  # fmt: skip


def spare_of(case: Case, of: object) -> float | None:
    with measured() as found:
        list(case.judge(of))
    return found.get(spare_name(case.code, case.unit))


@pytest.mark.parametrize("case", OF_A_PART, ids=[f"{c.code}-{c.level}-{n}" for n, c in enumerate(OF_A_PART)])
def test_what_a_rule_has_to_spare_is_known_kept_and_broken(case: Case) -> None:
    """Found less wanted: nothing or more where a row is just kept, less than nothing by as much as its finding says
    where it is just broken."""
    assert case.value is not None
    assert case.limit is not None
    kept, broken = spare_of(case, case.kept), spare_of(case, case.broken)
    if case.code in NOT_MEASURED:
        assert (kept, broken) == (None, None)
        return
    assert kept is not None
    assert broken is not None
    assert kept >= 0 > broken
    if (case.code, case.value) not in OTHER_FIGURES:
        assert broken == pytest.approx(-abs(case.value - case.limit), abs=max(case.within, 1e-9))
    assert kept < 2.0  # the rows lie on their limits, or near


def test_measuring_changes_no_finding() -> None:
    for case in OF_A_PART:
        for of in (case.kept, case.broken):
            plain = list(case.judge(of))
            with measured():
                assert list(case.judge(of)) == plain


def test_a_rule_that_is_asked_often_has_the_least_and_what_is_within_its_slack_is_nothing() -> None:
    rule = FindingRule(code="tried", asks="nothing", breaches=(caution(unit="deg"),), limit="none")
    assert rule.under(3.0, 4.0)  # nobody measures: nothing is noted
    with measured() as outer:
        assert not rule.under(9.0, 4.0)
        with measured() as inner:
            assert not rule.over(2.0, 4.0)
            assert rule.over(4.5, 4.0)
            assert not rule.over(1.0, float("inf"))
        assert not rule.under(3.9, 4.0, slack=0.2)
    assert (outer, inner) == ({"tried, deg": 0.0}, {"tried, deg": -0.5})

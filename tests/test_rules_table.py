"""Every breach of a rule that the sources can find has a row in a table, or a test that is named here."""

from __future__ import annotations

import ast
import importlib
from collections.abc import Iterator, Mapping
from functools import cache
from itertools import product
from pathlib import Path

import pytest
import test_rules_bay
import test_rules_bolts
import test_rules_holes
import test_rules_recipes
import test_rules_shop
import test_rules_tubes

from brackets.core.rulebook import FindingRule
from brackets.library.recipe import recipe

ROOT = Path(__file__).resolve().parents[1]

TABLES = (
    test_rules_holes, test_rules_recipes, test_rules_tubes, test_rules_shop, test_rules_bolts, test_rules_bay,
)  # fmt: skip
ROWS = [
    case
    for table in TABLES
    for case in table.CASES
]

RULEBOOK = "brackets/core/rulebook/"

SPELLED: dict[tuple[str, str], tuple[str, ...]] = {
    ("brackets/bay/bolt_rules.py", "level"): ("stop", "caution", "advice"),
    ("brackets/bay/checks.py", "pair.state"): ("foul", "inside", "touch"),
    ("brackets/bay/seat_rules.py", "level"): ("stop", "caution"),
    ("brackets/rules/bends.py", "level"): ("caution", "advice"),
}
"""(module, expression) of a code or level that is not written out where the finding is made: what it can be."""

ELSEWHERE: dict[tuple[str, str], str] = {
    ("brackets/bay/owners.py", "accept"): "test_outputs.py",
    ("brackets/bay/scan_rules.py", "inside not known"): "test_bay_scans.py",
    ("brackets/bay/scan_rules.py", "scan file"): "test_bay_scans.py",
    ("brackets/bay/scan_rules.py", "scan"): "test_bay_scan.py",
    ("brackets/bay/weld_reach.py", "weld near"): "test_own_side.py",
    ("brackets/library/rounds.py", "bore stock"): "test_cup_bore.py",
    ("brackets/rules/stock.py", "pilot drill"): "test_pivot_holes.py",
    ("brackets/rules/joints.py", "weld gap"): "test_pieces_join.py",
    ("brackets/kernel/shared.py", "overlap"): "test_pieces_join.py",
    ("brackets/rules/welds.py", "weld leg"): "test_rules_welds.py",
    ("brackets/rules/welds.py", "weld cyclic"): "test_rules_welds.py",
    ("brackets/rules/welds.py", "weld length"): "test_rules_welds.py",
    ("brackets/rules/welds.py", "weld metal"): "test_rules_welds.py",
}
"""(module, code) of rules whose cases stand in another test file, which must name the code."""


def made(source: str, module: str) -> Iterator[tuple[str, str]]:
    """(code, level) of every finding a module's source makes."""
    tree = _spelled(ast.parse(source))
    makers = [node for node in ast.walk(tree) if isinstance(node, ast.FunctionDef)]
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and _called(node) == "Finding":
            given = {word.arg: word.value for word in node.keywords}
            maker = next((m for m in makers if node in ast.walk(m)), None)
            for code, level in _passed(tree, maker, given["code"], given["level"]):
                yield from _both(module, code, level)


def _spelled(tree: ast.Module) -> ast.Module:
    """With the words in place of the names that a module gives to words."""
    named = {
        node.targets[0].id: node.value
        for node in tree.body
        if isinstance(node, ast.Assign) and isinstance(node.targets[0], ast.Name)
        and isinstance(node.value, ast.Constant)
    }  # fmt: skip

    class Spell(ast.NodeTransformer):
        def visit_Name(self, node: ast.Name) -> ast.expr:  # noqa: N802
            return named.get(node.id, node) if isinstance(node.ctx, ast.Load) else node

    return Spell().visit(tree)


def _called(call: ast.Call) -> str:
    return ast.unparse(call.func).split(".")[-1]


def _passed(
    tree: ast.Module, maker: ast.FunctionDef | None, code: ast.expr, level: ast.expr
) -> Iterator[tuple[ast.expr, ast.expr]]:
    """What a function that makes a finding is given for its code and level wherever it is called."""
    names = [] if maker is None else [one.arg for one in (*maker.args.args, *maker.args.kwonlyargs)]
    if maker is None or not {ast.unparse(code), ast.unparse(level)} & set(names):
        yield code, level
        return
    for call in ast.walk(tree):
        if isinstance(call, ast.Call) and _called(call) == maker.name:
            given = dict(zip(names, call.args, strict=False))
            given |= {str(word.arg): word.value for word in call.keywords}
            yield given.get(ast.unparse(code), code), given.get(ast.unparse(level), level)


def _both(module: str, code: ast.expr, level: ast.expr) -> Iterator[tuple[str, str]]:
    if isinstance(code, ast.IfExp) and isinstance(level, ast.IfExp) and ast.dump(code.test) == ast.dump(level.test):
        yield from _both(module, code.body, level.body)
        yield from _both(module, code.orelse, level.orelse)
    else:
        yield from product(_words(module, code), _words(module, level))


def _words(module: str, of: ast.expr) -> list[str]:
    if isinstance(of, ast.Constant):
        return [str(of.value)]
    if isinstance(of, ast.IfExp):
        return [*_words(module, of.body), *_words(module, of.orelse)]
    said = ast.unparse(of)
    assert (module, said) in SPELLED, f"{module}: say under SPELLED what {said} can be"
    return list(SPELLED[module, said])


def found_by(source: str, module: str, rules: Mapping[str, FindingRule]) -> Iterator[tuple[str, str]]:
    """(code, level) of every finding that a module's source makes by its rule: the levels written out where
    `finding` is called; each level of the rule where none is, or where the rule is handed on."""
    tree = ast.parse(source)
    asked = {node.value for node in ast.walk(tree) if isinstance(node, ast.Attribute) and node.attr == "code"}
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
    known = importlib.import_module(dotted) if ours else recipe(Path(module).stem).module
    return {name: value for name, value in vars(known).items() if isinstance(value, FindingRule)}


@cache
def every() -> frozenset[tuple[str, str, str]]:
    """(module, code, level) of all sources."""
    sources = {
        path.relative_to(ROOT).as_posix(): path.read_text("utf-8")
        for folder in ("brackets", "recipes")
        for path in (ROOT / folder).rglob("*.py")
    }
    by_hand = {
        (module, code, level)
        for module, source in sources.items()
        if "Finding(" in source and not module.startswith(RULEBOOK)
        for code, level in made(source, module)
    }
    by_rule = {
        (module, code, level)
        for module, source in sources.items()
        if ("finding(" in source or "rulebook" in source) and not module.startswith(RULEBOOK)
        for code, level in found_by(source, module, rules_in(module))
    }
    return frozenset(by_hand | by_rule)


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


def test_a_finding_without_a_row_would_be_found() -> None:
    source = 'Finding(level="stop" if a else "caution", code="new" if a else "old", piece="p")\n'
    source += 'f.Finding(level="advice" if a else "caution", code="third" if b else "fourth")'
    source += '\ndef make(level, code): return Finding(level=level, code=code)\nmake("stop", code="fifth")'
    assert set(made(source, "m")) == {
        ("new", "stop"), ("old", "caution"), *product(("third", "fourth"), ("advice", "caution")),
        ("fifth", "stop"),
    }  # fmt: skip

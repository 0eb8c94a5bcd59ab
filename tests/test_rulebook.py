"""The record of a rule makes its findings, chooses among its own breaches only, and has a code of its own."""

from __future__ import annotations

from pathlib import Path

import pytest

from brackets import recipe
from brackets.core.finding import PRACTICE, Finding
from brackets.core.rulebook.finding_rule import (
    Breach,
    FindingRule,
    advice,
    caution,
    library_rule,
    library_rules,
    stop,
)
from brackets.core.rulebook.parts import DIE, EDGE, EN_HOLES, FORCE, THREAD
from brackets.library import recipe_rules

OWN = FindingRule(
    code="own", asks="It is thick.", breaches=(stop("the recipe"), caution(), advice(unit="deg"))
)  # fmt: skip


def test_a_rule_with_one_breach_makes_its_finding_with_level_code_and_source() -> None:
    found = EDGE.finding(piece="plate", value=11.0, limit=12.0, sentence="too near", about=("ears",))
    assert found == Finding(
        level="stop", code="edge", piece="plate", value=11.0, limit=12.0, unit="mm", source=EN_HOLES,
        sentence="too near", about=("ears",),
    )  # fmt: skip


@pytest.mark.parametrize(
    ("chosen", "level", "source", "unit"),
    [
        ({"level": "stop"}, "stop", "the recipe", "mm"),
        ({"source": "the recipe"}, "stop", "the recipe", "mm"),
        ({"unit": "deg"}, "advice", PRACTICE, "deg"),
        ({"level": "caution", "source": PRACTICE}, "caution", PRACTICE, "mm"),
    ],
)
def test_a_call_chooses_among_the_breaches(chosen: dict[str, str], level: str, source: str, unit: str) -> None:
    found = OWN.finding(piece="p", sentence="s", **chosen)  # type: ignore[arg-type]
    assert (found.level, found.source, found.unit) == (level, source, unit)


@pytest.mark.parametrize(
    "chosen",
    [
        {}, {"source": PRACTICE}, {"level": "stop", "source": PRACTICE}, {"level": "stop", "unit": "deg"},
        {"unit": "kN"}, {"level": "stop", "source_words": "the shop"},
    ],
)  # fmt: skip
def test_what_the_rule_does_not_have_or_leaves_open_is_refused(chosen: dict[str, str]) -> None:
    with pytest.raises(ValueError, match=r"^rule 'own': .* mean \d of .*, must be: one$"):
        OWN.finding(piece="p", sentence="s", **chosen)  # type: ignore[arg-type]


def test_words_fill_the_blank_of_a_source_as_they_are() -> None:
    said = THREAD.finding(piece="p", sentence="s", source_words=r"own {row} \1")
    assert said.source == r"own {row} \1"
    force = FORCE.finding(piece="p", sentence="s", value=500.0, limit=400.0, source_words="my shop")
    assert (force.source, force.unit) == (f"1.42 Rm t2 L / V: {PRACTICE}; my shop", "kN")


def test_a_blank_must_be_filled_and_decides_between_two_breaches() -> None:
    with pytest.raises(ValueError, match="mean 0"):
        THREAD.finding(piece="p", sentence="s")
    assert DIE.finding(piece="p", sentence="s", source_words="my shop").level == "stop"
    assert DIE.finding(piece="p", sentence="s").level == "caution"


def test_a_limit_of_which_the_rule_does_not_say_where_it_is_from_is_refused() -> None:
    with pytest.raises(ValueError, match="limit = 3, none"):
        OWN.finding(piece="p", sentence="s", level="stop", limit=3.0)


def test_a_code_of_the_library_cannot_be_made_again() -> None:
    with pytest.raises(ValueError, match="code = 'edge', another: the library has it"):
        FindingRule(code="edge", asks="It is thick.", breaches=(caution(),))
    with pytest.raises(ValueError, match="another"):
        library_rule("edge", caution(), asks="It is thick.")
    assert [rule for rule in library_rules() if rule.code == "edge"] == [EDGE]


@pytest.mark.parametrize(
    ("code", "asks", "breaches"),
    [("", "It is.", (caution(),)), ("x", "", (caution(),)), ("x", "It is.", ()),
     ("x", "It is.", (stop("{shop} and {gap}"),))],
)  # fmt: skip
def test_a_rule_without_a_part_of_its_record_is_refused(code: str, asks: str, breaches: tuple[Breach, ...]) -> None:
    with pytest.raises(ValueError, match="^rule "):
        FindingRule(code=code, asks=asks, breaches=breaches)


RING = """
from dataclasses import dataclass
from typing import Annotated
from brackets import PRACTICE, Checked, Finding, Part, mm
from brackets.library import cup
from brackets.core.rulebook import FindingRule, caution
from brackets.core.rulebook.parts import EDGE
@dataclass(frozen=True, kw_only=True)
class Params(Checked):
    t: Annotated[float, mm(1, 9, "thickness")] = 5.0
THIN = FindingRule(code="thin", breaches=(caution(),), asks="It is thick.", limit="what a lathe leaves")
def check(p):
    yield THIN.finding(piece="ring", sentence="thin", value=p.t, limit=6.0)
    yield Finding(level="advice", code="by hand", piece="ring", sentence="thin", source=PRACTICE)
    yield EDGE.finding(piece="ring", sentence="near")
def build(p):
    return cup(od=50.0 + p.t, bore=50.0, length=40.0)
"""


def ring(tmp_path: Path, name: str) -> str:
    path = tmp_path / name
    path.write_text(RING, "utf-8")
    return str(path)


def test_a_recipe_of_ones_own_has_rules_of_its_own_and_may_do_without(tmp_path: Path) -> None:
    opened = recipe(ring(tmp_path, "ring.py"))
    found = opened.check(opened.Params())
    assert [(f.level, f.code) for f in found] == [("caution", "thin"), ("advice", "by hand"), ("stop", "edge")]
    assert [rule.code for rule in recipe_rules.rules_of(opened)] == ["thin"]


def test_all_rules_are_those_of_the_library_and_of_each_shipped_recipe() -> None:
    codes = [rule.code for rule in recipe_rules.all_rules()]
    assert len(codes) == len(set(codes)) == 165
    assert {"edge", "foul", "weld leg", "gusset", "drain", "strap"} <= set(codes)
    assert codes[: len(library_rules())] == [rule.code for rule in library_rules()]


def test_two_recipes_with_one_code_are_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    both = (ring(tmp_path, "one.py"), ring(tmp_path, "two.py"))
    monkeypatch.setattr(recipe_rules, "recipes", lambda: both)
    with pytest.raises(ValueError, match=r"code = 'thin' of .*two\.py, another: It is thick\."):
        recipe_rules.all_rules()


def test_what_a_rule_asks_is_one_sentence() -> None:
    for rule in recipe_rules.all_rules():
        assert rule.asks[0].isupper(), rule.code
        assert rule.asks.endswith("."), rule.code
        assert "\n" not in rule.asks, rule.code
        assert rule.limit == rule.limit.strip(". "), rule.code

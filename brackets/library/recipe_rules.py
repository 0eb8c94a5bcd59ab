"""All rules that findings are made by: those of the library, and those that stand in the shipped recipes."""

from __future__ import annotations

from brackets.core.rulebook.finding_rule import FindingRule, library_rules
from brackets.library.recipe import Recipe, recipe, recipes


def rules_of(opened: Recipe) -> tuple[FindingRule, ...]:
    """A recipe's own rules in the order written: those its file makes, not those it takes from the library.

    opened: the recipe.

    >>> [rule.code for rule in rules_of(recipe("cup"))]
    ['cup wall']
    """
    library = {rule.code for rule in library_rules()}
    named = (value for value in vars(opened.module).values() if isinstance(value, FindingRule))
    return tuple(dict.fromkeys(rule for rule in named if rule.code not in library))


def all_rules() -> tuple[FindingRule, ...]:
    """Every rule that a finding can come from: those of the library, then those of the shipped recipes.

    Raises ValueError where two of them share a code.

    >>> {rule.code: rule.asks for rule in all_rules()}["cup wall"]
    'The wall left round the bush does not give when it is pressed in.'
    """
    found = {rule.code: rule for rule in library_rules()}
    for name in recipes():
        for rule in rules_of(recipe(name)):
            if rule.code in found:
                raise ValueError(f"code = {rule.code!r} of {name}, another: {found[rule.code].asks}")
            found[rule.code] = rule
    return tuple(found.values())

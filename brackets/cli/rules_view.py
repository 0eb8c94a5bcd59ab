"""A recipe's values as a table for people and as keys for scripts."""

from __future__ import annotations

from brackets.cli.table import table
from brackets.recipe_file import Recipe


def rules_text(opened: Recipe) -> str:
    """A recipe's values as a table."""
    rows = [
        (
            p.option,
            "must be given" if p.required else p.to_text(p.default),
            p.rule.allowed.removeprefix("must be "),
            f"{p.meaning}{' (or none)' if p.optional else ''}",
        )
        for p in opened.params
    ]
    return f"{opened.name}: {opened.doc}\n\n{table(('value', 'default', 'allowed', 'what it is'), rows)}"


def rules_json(opened: Recipe) -> dict[str, object]:
    """The same for scripts."""
    known = [
        {
            "name": p.name,
            "kind": p.rule.kind,
            "unit": p.unit,
            "allowed": p.rule.allowed,
            "range": p.rule.slider,
            "choices": p.rule.choices,
            "default": None if p.required else p.to_json(p.default),
            "required": p.required,
            "optional": p.optional,
            "meaning": p.meaning,
        }
        for p in opened.params
    ]
    return {"format": 1, "recipe": opened.name, "about": opened.doc, "values": known}

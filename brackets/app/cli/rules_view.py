"""A recipe's values as a table for people and as keys for scripts."""

from __future__ import annotations

from brackets.app.cli.screen import table
from brackets.core.errors import InputError
from brackets.core.schema.checked import Checked, Param
from brackets.core.schema.reading import worked_out
from brackets.library.limits import left
from brackets.library.recipe import Recipe

HEAD = ("value", "default", "allowed", "what it is")


def rules_text(opened: Recipe, tried: bool = False) -> str:
    """A recipe's values as a table; with `tried` the limits are those that the other defaults leave."""
    return f"{opened.name}: {opened.doc}\n\n{table(HEAD, value_rows(opened, tried))}"


def value_rows(opened: Recipe, tried: bool = False) -> list[tuple[str, str, str, str]]:
    """Option, default, what is allowed with its unit, and meaning of every value, as text."""
    defaults = _defaults(opened)
    return [
        (
            p.option,
            "must be given" if p.required else p.to_text(p.default) if defaults is None else p.shown(defaults),
            _limits(opened, p) if tried else p.rule.allowed.removeprefix("must be "),
            f"{p.meaning}{' (or none)' if p.optional and not p.follows else ''}{_taken(p)}",
        )
        for p in opened.params
    ]


def _taken(param: Param) -> str:
    return f"; in a bay: {param.rule.takes}" if param.rule.takes else ""


def _limits(opened: Recipe, param: Param) -> str:
    found = left(opened, {}, param.name)
    if found is None or found == (param.rule.slider or ())[:2]:
        return param.rule.allowed.removeprefix("must be ")
    return f"{found[0]:g} to {found[1]:g} {param.unit}, the others as they are".replace(" ,", ",")


def _defaults(opened: Recipe) -> Checked | None:
    """The recipe's Params where nothing is typed; None where something must be."""
    try:
        return opened.Params()
    except (InputError, TypeError):
        return None


def rules_json(opened: Recipe, tried: bool = False) -> dict[str, object]:
    """The same for scripts; with `tried` each number has `left`, the limits that the other defaults leave."""
    defaults = _defaults(opened)
    following = () if defaults is None else worked_out(defaults)
    known = [
        {
            "name": p.name,
            "kind": p.rule.kind,
            "unit": p.unit,
            "allowed": p.rule.allowed,
            "range": p.rule.slider,
            "choices": p.rule.choices,
            "default": None if p.required else p.to_json(p.default),
            "worked_out": p.to_json(getattr(defaults, p.name)) if p.name in following else None,
            "required": p.required,
            "optional": p.optional,
            "meaning": p.meaning,
            "takes": p.rule.takes or None,
        }
        for p in opened.params
    ]
    if tried:
        known = [value | {"left": left(opened, {}, str(value["name"]))} for value in known]
    return {"format": 1, "recipe": opened.name, "about": opened.doc, "values": known}

"""Values typed for the parts of a bay: put in place of the file's, and what is wrong said at their field."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import replace
from typing import Any

from brackets.app.preview.fields import Refused, Values, by_field, form, trace_of, wrong
from brackets.app.preview.messages import PLACE
from brackets.app.preview.typed_place import at_position, position_of, wrong_place
from brackets.bay.schema.record import Bay
from brackets.bay.stand.placed_part import PlacedPart
from brackets.core.errors import BadFile, BadRecipe
from brackets.library.recipe import recipe


def bay_form(part: PlacedPart, typed: Values) -> list[dict[str, Any]]:
    """The fields of one part of the bay."""
    texts = typed.get(part.name, {})
    return form(part.recipe.Params, texts, params=part.params, worked_out=part.worked_out)


def with_typed(bay: Bay, typed: Values) -> Bay:
    """The bay with the values that were typed in the page in place of the file's."""
    entries = tuple(
        replace(
            entry, values={**_without(entry.values, typed.get(entry.row.name, {})), **typed.get(entry.row.name, {})}
        )
        for entry in bay.parts
    )
    texts = typed.get(PLACE)
    there = at_position(bay, position_of(bay, texts)) if texts else bay
    return replace(there, parts=entries)


def _without(given: Mapping[str, object], texts: Mapping[str, str]) -> dict[str, object]:
    """The file's values less those typed; `cup = { od = 60 }` loses its od where cup_od was typed."""
    left: dict[str, object] = {}
    for name, value in given.items():
        if isinstance(value, Mapping) and any(text.startswith(f"{name}_") for text in texts):
            left[name] = {key: v for key, v in value.items() if f"{name}_{key}" not in texts}
        elif name not in texts:
            left[name] = value
    return left


@contextmanager
def typed_wrong(bay: Bay, typed: Values, forms: Mapping[str, Any]) -> Iterator[None]:
    """Says at the field what is wrong with a typed value, each by its own rule; then what the bay says of them."""
    bad: dict[str, dict[str, str]] = {}
    known: dict[str, list[str]] = {}
    for entry in bay.parts:
        name, texts = entry.row.name, typed.get(entry.row.name, {})
        if not texts:
            continue
        try:
            own = entry.row.recipe
            params = recipe(own, beside=bay.path.parent).Params
        except BadRecipe:
            continue
        bad[name] = wrong(params, texts, bare=bay.bare)
        known[name] = list(texts)
    bad[PLACE] = wrong_place(typed.get(PLACE, {}), bare=bay.bare)
    bad = {name: fields for name, fields in bad.items() if fields}
    if bad:
        raise Refused(fields=bad, forms=forms)
    try:
        yield
    except BadFile as error:
        at, rest = _at_parts(str(error).splitlines(), known, str(bay.path))
        raise Refused(fields=at, lines=rest, trace=trace_of(error), forms=forms) from None


def _at_parts(
    lines: Sequence[str], known: Mapping[str, list[str]], path: str
) -> tuple[dict[str, dict[str, str]], list[str]]:
    """ "part X: name = ..." at the field of that part where it was typed; everything else as it is."""
    at: dict[str, dict[str, str]] = {}
    rest = []
    for line in lines:
        said = line.removeprefix(f"{path}: ")
        for name, fields in known.items():
            start = f"part {name}: "
            found, _ = by_field([said.removeprefix(start)], fields) if said.startswith(start) else ({}, [])
            if found:
                at.setdefault(name, {}).update(found)
                break
        else:
            rest.append(said)
    return at, rest

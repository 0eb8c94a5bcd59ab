"""What a bay gives the values of its parts, by the links that their recipes declare, and what it leaves unsaid."""

from __future__ import annotations

from collections.abc import Container, Iterator, Sequence

from brackets.bay.hung.mount_frames import mount_frame, place_of
from brackets.bay.schema.record import Bay, PartEntry
from brackets.bay.stand.gap_rules import bolted_onto
from brackets.bay.stand.hardware import bush_of, play_of
from brackets.bay.stand.layers import depth_at
from brackets.core.errors import OutOfRange
from brackets.core.finding import Finding
from brackets.core.names import nearest
from brackets.core.rulebook.bay import LINK
from brackets.core.schema.checked import Checked, Param, fields
from brackets.core.schema.links import AXIS, CENTRE, CORNER, LINKS, OD, Link, find, fits, link_of, of_seat, seat_of
from brackets.core.schema.rule import Choice
from brackets.core.tables.bolt_rows import bolt
from brackets.core.tables.bush_rows import Bobbin
from brackets.core.vectors import degrees_between, unit
from brackets.library.recipe import Recipe
from brackets.model.part import Part

LEVEL = 1.0
"""Degrees by which the normals of one part's bosses may differ."""

OF_CORNER = ("rail corner radius", "rail corner flat")
"""Links that only a rail's corner gives."""

Given = dict[str, dict[str, object]]
"""Of each link what gives it, a mount or the bosses, and its value: mm, degrees, words."""


def given_to(bay: Bay, entry: PartEntry) -> Given:
    """Everything the bay has for a part, by link and by the mount that gives it ("bosses" for its bosses).

    Raises InputError where its bosses look different ways.
    """
    found: Given = {}
    for mount, side in bay.mounts_of(entry.row.name):
        row, seat = bush_of(bay, mount), getattr(mount, f"{side}_seat")
        centre = bay.centre(mount, side)
        stand = mount_frame(bay, mount, side)
        known: dict[str, object] = {"bush centre": centre, of_seat(CENTRE, seat).name: centre}
        if isinstance(row, Bobbin):
            known["bush axis"] = known[of_seat(AXIS, seat).name] = stand.frame.axis
            known["bobbin od"] = max(row.od, row.plate_od)
            known["bobbin thread"] = row.thread
        else:
            known["bush axis"] = known[of_seat(AXIS, seat).name] = mount.axis
            known["bush od"] = known[of_seat(OD, seat).name] = row.od
            known["bush length"] = row.shell_length
            if mount.cup != side:
                known["bush bolt"] = mount.bolt_size or row.bolt
                known["ear spacing"] = row.sleeve_length + play_of(mount) + 2 * bay.shop_of(entry.row.name).coating
        depth = depth_at(bay, bolted_onto(bay, entry.row.name), centre, stand.frame.direction((0.0, 1.0, 0.0)))
        if depth is not None:
            known["rail depth"] = depth
        for link, value in (known | stand.values).items():
            found.setdefault(link, {})[f"mount {mount.name}"] = value
    if entry.row.bosses:
        for link, value in _from_bosses(bay, entry).items():
            found.setdefault(link, {})["its bosses"] = value
    return found


def _from_bosses(bay: Bay, entry: PartEntry) -> dict[str, object]:
    place = place_of(bay.powertrain)
    bosses = [bay.boss_by_name[name] for name in entry.row.bosses]
    normals = [unit(place.direction(boss.normal)) for boss in bosses]
    for boss, normal in zip(bosses[1:], normals[1:], strict=True):
        off = degrees_between(normals[0], normal)
        if off > LEVEL:
            raise OutOfRange(
                f"bosses = {bosses[0].name} and {boss.name} look {off:.1f} deg apart, {LEVEL:g} or less: one plate"
            )
    threads = [boss.thread for boss in bosses]
    return {
        "bosses": [place.point(boss.at) for boss in bosses],
        "boss names": list(entry.row.bosses),
        "boss threads": threads,
        "boss normal": normals[0],
        "boss bolt": max(threads, key=lambda thread: bolt(thread).d),
    }


def worked_out(given: Given, opened: Recipe) -> dict[str, object]:
    """The recipe's values that the bay fills, by name; figures as text with their unit, so that the file's unit of
    bare numbers cannot change them. Where several mounts give a link, the last counts."""
    found: dict[str, object] = {}
    for giver, seat in given.get("rail seat", {}).items():
        if seat == CORNER and not any(_takes_corner(param) for param in opened.params):
            raise OutOfRange(
                f"{giver}: corner, a recipe whose feet can be cut to one, as ears: {opened.name} has no value that"
                f' takes "rail seat" and has the word {CORNER}'
            )
    for param in opened.params:
        link = link_of(param.rule)
        if link is not None and link.name in given:
            found[param.name] = _exact(list(given[link.name].values())[-1], link.unit)
    return found


def _takes_corner(param: Param) -> bool:
    rule = param.rule
    return rule.takes == "rail seat" and isinstance(rule, Choice) and CORNER in rule.words


def _exact(value: object, unit: str) -> object:
    if isinstance(value, float):
        return f"{value!r} {unit}"
    if isinstance(value, (list, tuple)):
        return [_exact(entry, unit) for entry in value]
    return value


def unfilled(given: Given, params: Checked, typed: Container[str], part: Part) -> Iterator[str]:
    """A line for every value whose link nothing of the bay gives and that nobody typed."""
    for param in fields(type(params)):
        link = link_of(param.rule)
        if link is None or link.name in given or param.name in typed:
            continue
        if link.name in OF_CORNER and "rail seat" in given:
            continue  # it stands on no corner
        following = param.name in params._following
        default = f"{'worked out' if following else 'default'} {param.to_text(getattr(params, param.name))}"
        nothing = f"nothing there gives it{_no_seat(link, part)}"
        yield f'{param.name} takes "{link.name}" from the bay ({link.meaning}): {nothing}, {default}'


def _no_seat(link: Link, part: Part) -> str:
    """Said where the link is to a seat that the part does not have."""
    seat, seats = seat_of(link), [s.name for s in part.seats]
    if seat is None or seat in seats:
        return ""
    near = nearest(seat, seats, n=1)
    return f" and the part has no such seat{f' (nearest: {near[0]})' if near else ''}"


def link_findings(given: Given, params: Checked, typed: Container[str]) -> Iterator[Finding]:
    """Cautions: a value that is called what the bay fills and declares no link; a link that two mounts give
    differently. None for a value that is typed."""
    for param in fields(type(params)):
        if param.name in typed:
            continue
        link = link_of(param.rule)
        if link is None:
            for sentence in _not_linked(given, param):
                yield _caution(param.name, f"{sentence}; {param.shown(params)} is used")
        elif len({repr(value) for value in given.get(link.name, {}).values()}) > 1:
            givers = list(given[link.name])
            yield _caution(
                param.name,
                f'{param.name} takes "{link.name}" from the bay ({link.meaning}): {" and ".join(givers)} give'
                f" different ones, that of {givers[-1]} is used; type {param.name} to choose",
            )


def not_linked(given: Given, params: Sequence[Param], typed: Container[str]) -> tuple[str, ...]:
    """The sentences of `link_findings` about values without a link, for a part that cannot be built or placed."""
    free = (param for param in params if param.name not in typed and not param.rule.takes)
    return tuple(line for param in free for line in _not_linked(given, param))


def _not_linked(given: Given, param: Param) -> Iterator[str]:
    """Said of a value without a link that is called what the bay filled before links were declared."""
    would = [link for link in _links(given) if link.old_name == param.name and fits(link, param.rule)]
    if would:
        add = " or ".join(f'takes="{link.name}"' for link in would)
        yield (
            f"{param.name} is not filled from the bay, which gives {would[0].meaning}: write {add} in its rule,"
            f" or type {param.name}"
        )


def _links(given: Given) -> Iterator[Link]:
    """The links that are given; one to a seat only where no other gives the same name."""
    yield from (link for link in LINKS if link.name in given)
    old_names = {link.old_name for link in LINKS}
    found = (find(name) for name in given)
    yield from (link for link in found if link is not None and seat_of(link) and link.old_name not in old_names)


def _caution(name: str, sentence: str) -> Finding:
    return LINK.finding(piece=name, sentence=sentence)

"""Left and right hand: a part built as the mirror image of another, and in what two hands differ.

A part with `mirror_of` is built from the recipe and the values of the other, on its own bosses, bushes and rails:
the bay is mirrored in the centre plane, the part built there like any other, and mirrored back as new pieces. The
left hand is on the left of the centre plane unless `hand` says otherwise.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from brackets.bay.hung.block import UPRIGHT, box_place, corner_way, corner_word
from brackets.bay.hung.mount_frames import place_of
from brackets.bay.schema.record import Bay
from brackets.core.errors import InputError
from brackets.core.place import HERE, Place
from brackets.core.schema.checked import fields
from brackets.core.schema.links import CENTRE
from brackets.core.vectors import Vec, degrees_between, length, sub, unit
from brackets.model.hands import Figure
from brackets.model.part import OWN_PLANE, Hand, Plane, Word

if TYPE_CHECKING:
    from brackets.bay.schema.keep_out import KeepOut
    from brackets.bay.schema.record import Bay, PartEntry
    from brackets.bay.schema.standing import Boss, Mount
    from brackets.bay.stand.placed_part import PlacedPart


OWN = ("name", "bosses", "at", "axis", "up", "side", "hand", "mirrored", "mirror_of")
"""Keys of a part that its other hand does not take from it."""


def with_other_hands(rows: Sequence[Mapping[str, object]]) -> list[Mapping[str, object]]:
    """The rows of parts as typed, those with `mirror_of` with the recipe and values of the part they name.

    What they say themselves stands. Values by the name of a boss, washers = { E3 = 3.5 }, go to the boss in the
    same place of their own list.
    """
    by_name = {name: row for row in rows if isinstance(name := row.get("name"), str)}
    found: list[Mapping[str, object]] = []
    for row in rows:
        of = row.get("mirror_of")
        other = by_name.get(of) if isinstance(of, str) else None
        if of is None or other is None or other is row:
            found.append(row if of is None else {"recipe": "", **row})
            continue
        names = dict(zip(_names(other), _names(row), strict=False))
        taken = {key: _renamed(value, names) for key, value in other.items() if key not in OWN}
        found.append({"recipe": "", **taken, **row})
    return found


def _names(row: Mapping[str, object]) -> list[str]:
    bosses = row.get("bosses", ())
    return [name for name in bosses if isinstance(name, str)] if isinstance(bosses, list | tuple) else []


def _renamed(value: object, names: Mapping[str, str]) -> object:
    if isinstance(value, Mapping):
        return {names.get(key, key): inner for key, inner in value.items()}
    return value


def reflected_bay(bay: Bay, plane: Plane) -> Bay:
    """The bay mirrored in `plane`, with the powertrain where it stands: bosses, mounts, boxes, rails and tubes.

    Keep-outs that are meshes stay where they are: nothing is built on them.
    """
    from brackets.bay.hung.mount_frames import place_of

    place = place_of(bay.powertrain)
    still = replace(
        bay.powertrain, place_at=(0.0, 0.0, 0.0), place_roll=0.0, place_pitch=0.0, place_yaw=0.0
    )
    return replace(
        bay,
        powertrain=still,
        bosses=tuple(_boss(boss, place, plane) for boss in bay.bosses),
        mounts=tuple(_mount(mount, plane) for mount in bay.mounts),
        keep_outs=tuple(
            _keep_out(keep_out, place if keep_out.side == "powertrain" else HERE, plane)
            for keep_out in bay.keep_outs
        ),
    )


def reflected_entry(bay: Bay, entry: PartEntry, plane: Plane) -> PartEntry:
    """The part's entry in the mirrored bay.

    A typed place becomes the place with the mirrored origin, z and y. Without a typed place, the mirror image of
    the other part's counts where no boss or mount says where it stands.
    """
    row, of = entry.row, bay.part_by_name[entry.row.mirror_of or ""].row
    if row.at is None and (row.bosses or bay.mounts_of(row.name)):
        return entry
    at = of.at if row.at is None else plane.point(row.at)
    axis = of.axis if row.axis is None else plane.direction(row.axis)
    up = of.up if row.up is None else plane.direction(row.up)
    return replace(entry, row=replace(row, at=at, axis=axis, up=up))


def _boss(boss: Boss, place: Place, plane: Plane) -> Boss:
    return replace(
        boss, at=plane.point(place.point(boss.at)), normal=plane.direction(place.direction(boss.normal))
    )


def _mount(mount: Mount, plane: Plane) -> Mount:
    toward: dict[str, Any] = {
        key: None if getattr(mount, key) is None else plane.direction(getattr(mount, key))
        for key in ("chassis_toward", "powertrain_toward")
    }
    corners: dict[str, Any] = {
        key: corner_word(plane.direction(corner_way(word)))
        for key in ("chassis_corner", "powertrain_corner")
        if (word := getattr(mount, key)) is not None
    }
    return replace(mount, at=plane.point(mount.at), axis=plane.direction(mount.axis), **toward, **corners)


def _keep_out(keep_out: KeepOut, place: Place, plane: Plane) -> KeepOut:
    def image(p: Vec) -> Vec:
        return plane.point(place.point(p))

    if keep_out.tube_from is not None and keep_out.tube_to is not None:
        return replace(keep_out, tube_from=image(keep_out.tube_from), tube_to=image(keep_out.tube_to))
    if keep_out.rail_from is not None and keep_out.rail_to is not None:
        up = UPRIGHT if keep_out.rail_up is None else keep_out.rail_up
        return replace(
            keep_out,
            rail_from=image(keep_out.rail_from),
            rail_to=image(keep_out.rail_to),
            rail_up=plane.direction(place.direction(up)),
            rail_open=None if keep_out.rail_open is None else plane.direction(place.direction(keep_out.rail_open)),
        )
    if keep_out.box_from is not None and keep_out.box_to is not None:
        own = place @ box_place(keep_out)
        (ax, ay, az), (bx, by, bz) = keep_out.box_from, keep_out.box_to
        return replace(
            keep_out,
            box_at=plane.point(own.at),
            box_axis=plane.direction(own.axis),
            box_up=plane.direction(own.up),
            box_from=(-bx, ay, az),
            box_to=(-ax, by, bz),
        )
    return keep_out


ALIKE = 0.01
"""mm and degrees below which two values are one: finer than anybody measures a bay."""

ACROSS = 0.5
"""Least part of a plane's normal along y for it to part left from right."""

OF_BOSSES = ("bosses", "boss names", "boss normal")
"""Links of which the bosses themselves tell how two hands differ."""

ON_PLANE = 1.0
"""mm off the plane below which a centre of mass says nothing of a side."""

OTHER: Mapping[str, Word] = {"left": "right", "right": "left"}


def hands(bay: Bay, parts: Sequence[PlacedPart]) -> dict[str, Hand]:
    """The hand of every part that has one, by the part's name.

    Raises InputError with a line for every pair of which nothing says which is left.
    """
    standing = {part.name: part for part in parts}
    found: dict[str, Hand] = {}
    problems: list[str] = []
    plane = bay.plane
    about = f"the centre plane {plane}" + ("" if bay.centre_plane is not None else " (not stated, the default)")
    for entry in bay.parts:
        row, of = entry.row, entry.row.mirror_of
        if of is None or row.name not in standing or of not in standing:
            continue
        word = _word(bay, standing[row.name], standing[of])
        if word is None:
            problems.append(
                f"part {row.name}: hand = nothing, left or right: its place beside the plane {plane} does not say"
            )
            continue
        differs = tuple(differences(bay, standing[of], standing[row.name], word))
        found[row.name] = Hand(word=word, mirrored=True, plane=about, other=of, differs=differs)
        if of not in found:
            found[of] = Hand(word=OTHER[word], mirrored=False, plane=about, other=row.name, differs=differs)
    for entry in bay.parts:
        row = entry.row
        if row.name in standing and row.name not in found and (row.mirrored or row.hand is not None):
            found[row.name] = Hand(word=_typed(row.hand), mirrored=row.mirrored, plane=OWN_PLANE)
    if problems:
        raise InputError(*problems)
    return found


def _typed(hand: str | None) -> Word:
    return "left" if hand == "left" else "right" if hand == "right" else ""


def _word(bay: Bay, part: PlacedPart, other: PlacedPart) -> Word | None:
    """Which hand `part` is: as typed for one of the two, else by the side of the plane it lies on."""
    mine, theirs = (_typed(bay.part_by_name[name].row.hand) for name in (part.name, other.name))
    if mine or theirs:
        return mine or OTHER[theirs]
    across = unit(bay.plane.normal)[1]
    x, y, z = (float(c) for c in part.part.mass.centroid)
    off = bay.plane.distance((x, y, z))
    if abs(across) < ACROSS or abs(off) < ON_PLANE:
        return None
    return "left" if (off > 0) == (across > 0) else "right"


def differences(bay: Bay, one: PlacedPart, other: PlacedPart, word: Word) -> Iterator[str]:
    """A line for each value, boss and bush of `other`, the `word` hand, that does not mirror that of `one`.

    Points in mm: how far off and, in the bay's axes, by what.
    """
    return (figure.said for figure in figures(bay, one, other, word) if figure.differs)


def figures(bay: Bay, one: PlacedPart, other: PlacedPart, word: Word) -> Iterator[Figure]:
    """Bosses, bushes and values of `other`, the `word` hand, beside those of `one`; in the bay's axes.

    Left and right of a figure are `one` and `other`.
    """
    plane, place = bay.plane, place_of(bay.powertrain)
    pairs = zip(_bosses(bay, one), _bosses(bay, other), strict=False)
    for a, b in pairs:
        here, there = bay.boss_by_name[a], bay.boss_by_name[b]
        yield _point(plane, f"boss {b}", f"boss {a}", place.point(here.at), place.point(there.at))
        looks, image = place.direction(there.normal), plane.direction(place.direction(here.normal))
        turn = degrees_between(looks, image)
        yield Figure(
            about=f"boss {b}",
            what="looks along",
            left=_shown(place.direction(here.normal)),
            image=_shown(image),
            right=_shown(looks),
            off=turn,
            unit="deg",
            said=f"boss {b} looks {turn:.2f} deg off the mirror image of boss {a}" if turn > ALIKE else "",
        )
    mounts = zip(bay.mounts_of(one.name), bay.mounts_of(other.name), strict=False)
    for (mine, _), (theirs, _) in mounts:
        yield _point(plane, f"bush {theirs.name}", f"bush {mine.name}", mine.at, theirs.at)
    names = dict(zip(_bosses(bay, one), _bosses(bay, other), strict=False))
    told = {"bush centre", *(OF_BOSSES if _bosses(bay, one) else ())}
    if one.recipe.name != other.recipe.name:
        said = f"recipe: {one.recipe.name} and {other.recipe.name}"
        yield Figure(about="value", what="recipe", left=one.recipe.name, right=other.recipe.name, said=said)
        return
    for param in fields(type(one.params)):
        if param.rule.takes in told or param.rule.takes.startswith(CENTRE):
            continue
        mine, its = getattr(one.params, param.name), getattr(other.params, param.name)
        number = isinstance(mine, float) and isinstance(its, float)
        yield Figure(
            about="value",
            what=param.name,
            left=_text(param, mine),
            right=_text(param, its),
            off=abs(its - mine) if number else None,
            unit=param.unit if number else "",
            said=next(_value(param, _boss_names_of(mine, names), its, word, plane), ""),
        )


def _point(plane: Plane, what: str, of: str, here: Vec, there: Vec) -> Figure:
    image = plane.point(here)
    return Figure(
        about=what,
        what="at",
        left=_shown(here),
        image=_shown(image),
        right=_shown(there),
        off=length(sub(there, image)),
        unit="mm",
        said=next(_apart(what, of, there, image), ""),
    )


def _shown(v: Vec) -> str:
    return ", ".join(f"{round(c, 3) + 0.0:g}" for c in v)


def _bosses(bay: Bay, part: PlacedPart) -> tuple[str, ...]:
    return bay.part_by_name[part.name].row.bosses


def _apart(what: str, other: str, at: Vec, image: Vec) -> Iterator[str]:
    off = sub(at, image)
    if length(off) > ALIKE:
        by = ", ".join(f"{c:+.2f}" for c in off)
        yield f"{what} is {length(off):.2f} mm off the mirror image of {other} (x, y, z {by})"


def _value(param: Any, a: Any, b: Any, word: Word, plane: Plane) -> Iterator[str]:
    """One value of a recipe: a figure or word as text, a point by how far off it is."""
    if _same(a, b):
        return
    if _is_point(a) and _is_point(b) and not (abs(length(a) - 1) < 1e-6 and abs(length(b) - 1) < 1e-6):
        yield from _apart(param.name, f"that of the {OTHER[word]} hand", plane.point(b), plane.point(a))
        return
    texts = {OTHER[word]: _text(param, a), word: _text(param, b)}
    yield f"{param.name}: left {texts['left']}, right {texts['right']}"


def _same(a: Any, b: Any) -> bool:
    if isinstance(a, float) and isinstance(b, float):
        return abs(a - b) <= ALIKE
    if isinstance(a, tuple) and isinstance(b, tuple):
        return len(a) == len(b) and all(_same(x, y) for x, y in zip(a, b, strict=True))
    return bool(a == b)


def _boss_names_of(value: Any, names: Mapping[str, str]) -> Any:
    """Names of bosses as those in the same place of the other hand."""
    if isinstance(value, tuple):
        return tuple(_boss_names_of(inner, names) for inner in value)
    return names.get(value, value) if isinstance(value, str) else value


def _is_point(value: Any) -> bool:
    return isinstance(value, tuple) and len(value) == 3 and all(isinstance(c, float) for c in value)


def _text(param: Any, value: Any) -> str:
    rounded = round(value, 2) + 0.0 if isinstance(value, float) else value
    return str(param.to_text(rounded))

"""Links: what a value of a recipe may take from the bay, a closed list.

A recipe writes the link behind the rule of a value, `mm(15, 110, "bush outer diameter", takes="bush od")`, and the
bay fills the value by it, whatever the value is called. `centre of SEAT`, `axis of SEAT` and `od of SEAT` (OF_SEAT)
are of the bush on that seat of the part; all other links are in LINKS.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, assert_never

from brackets.core.names import nearest
from brackets.core.schema.lists import Listed, PointRule
from brackets.core.schema.rows import Row
from brackets.core.schema.rule import Choice, Rule, Text
from brackets.core.schema.sizes import Angle, Length

Kind = Literal["length", "angle", "point", "direction", "points", "words", "bolt", "seat"]

SEATS = ("round", "flat")
"""What a foot is cut to: a tube, or the face of a box or rail."""

CORNER = "corner"
"""Of a rail, what a foot may be cut to as well, by a recipe whose choice has the word."""

CENTRE, AXIS, OD = "centre of ", "axis of ", "od of "
"""What a link to the bush on one seat begins with; the seat's name follows."""

OF_SEAT: dict[str, tuple[Kind, str]] = {
    CENTRE: ("point", "the centre of the bush on its seat"),
    AXIS: ("direction", "the direction of the axis of the bush on its seat"),
    OD: ("length", "the outer diameter of the bush on its seat"),
}
"""Of each of these the kind of value, and what it is."""


@dataclass(frozen=True, kw_only=True)
class Link:
    """One thing a bay gives: its name, what it is, and the kind of value that can take it.

    `old_name` is the name of the values that it filled before recipes declared their links, "" where it is newer.
    """

    name: str
    meaning: str
    kind: Kind
    old_name: str

    @property
    def unit(self) -> str:
        """Of its figures: "mm", "deg", or "" for words."""
        match self.kind:
            case "length" | "point" | "points" | "direction":
                return "mm"
            case "angle":
                return "deg"
            case "words" | "bolt" | "seat":
                return ""
            case _:
                assert_never(self.kind)


def _link(name: str, kind: Kind, old_name: str, meaning: str) -> Link:
    return Link(name=name, meaning=meaning, kind=kind, old_name=old_name)


LINKS: tuple[Link, ...] = (
    _link("bush centre", "point", "bush", "the bush's centre; of a bobbin the middle of the flat it stands on"),
    _link("bush axis", "direction", "bush_axis", "the direction of the bush's axis; of a bobbin out of that flat"),
    _link("bush od", "length", "bush_od", "the bush's outer diameter"),
    _link("bush length", "length", "bush_length", "the length of the bush's shell"),
    _link("bush bolt", "bolt", "bolt", "the bolt through the bush; for the part with its ears"),
    _link("ear spacing", "length", "inside", "its sleeve, the play and the coating; for the part with its ears"),
    _link("bobbin od", "length", "", "the bobbin's rubber or end plate, the larger, outside"),
    _link("bobbin thread", "bolt", "", "the thread of the bobbin's studs and tapped holes"),
    _link("rail reach", "length", "reach", "bush to the axis of the mount's tube or the face of its box or rail"),
    _link("rail seat", "seat", "", "how the foot is cut: round to a tube, flat to a box or rail, or to its corner"),
    _link("rail od", "length", "rail_od", "the outside of the mount's tube"),
    _link("rail slope", "angle", "slope", "the slope of the mount's tube or face along the bush axis"),
    _link("rail side angle", "angle", "side_angle", "the side angle of the mount's tube across the bush axis"),
    _link("rail lean", "angle", "", "the lean of the mount's face about the bush axis (tube: 0)"),
    _link("rail offset", "length", "offset", "how far the tube or face is to the right of the bush (0)"),
    _link("rail depth", "length", "through", "how deep the mount's rail or sheet is, outside, along its bolts"),
    _link("rail corner radius", "length", "", "the outside radius of the corner of the mount's rail"),
    _link("rail corner flat", "length", "", "the narrower flat beside the corner of the mount's rail"),
    _link("bosses", "points", "bosses", "the points of the part's bosses"),
    _link("boss names", "words", "boss_names", "the names of the part's bosses"),
    _link("boss threads", "words", "threads", "the thread of each of the part's bosses"),
    _link("boss normal", "direction", "normal", "the direction out of the casting at the part's bosses"),
    _link("boss bolt", "bolt", "bolt", "the largest bolt into the part's bosses"),
)
"""Every link but those to the bush on one seat."""

_BY_NAME = {link.name: link for link in LINKS}


def of_seat(start: str, seat: str) -> Link:
    """The link to what `start`, one of OF_SEAT, says of the bush on one seat of the part."""
    kind, meaning = OF_SEAT[start]
    old_name = seat if start == CENTRE else ""
    return Link(name=f"{start}{seat}", meaning=f"{meaning} {seat}", kind=kind, old_name=old_name)


def seat_of(link: Link) -> str | None:
    """The seat whose bush a link means, None for a link of LINKS."""
    return None if link.name in _BY_NAME else link.name.partition(" of ")[2]


def find(name: str) -> Link | None:
    """The link of that name, spelled exactly; None where there is none."""
    for start in OF_SEAT:
        if name.startswith(start) and name.removeprefix(start).strip():
            return of_seat(start, name.removeprefix(start))
    return _BY_NAME.get(name)


def link_of(rule: Rule) -> Link | None:
    """The link that a value's rule declares, None where it takes nothing from a bay."""
    return find(rule.takes) if rule.takes else None


def link_problems(name: str, rule: Rule) -> tuple[str, ...]:
    """What is wrong with the link of the value `name`: not in the list, or of another kind than the value."""
    if not rule.takes:
        return ()
    link = find(rule.takes) if isinstance(rule.takes, str) else None
    if link is None:
        known = [*_BY_NAME, *(f"{start}SEAT" for start in OF_SEAT)]
        near = nearest(str(rule.takes), known, n=1)
        hint = f"nearest: {near[0]}; " if near else ""
        return (f'{name} takes "{rule.takes}", no such link, {hint}there are {", ".join(known)}',)
    if not fits(link, rule):
        return (f'{name} takes "{link.name}", must be {_words(link.kind)}: the value is a {rule.kind}',)
    return ()


def fits(link: Link, rule: Rule) -> bool:
    """Whether a value of this rule can hold what the link gives."""
    match link.kind:
        case "length":
            return isinstance(rule, Length)
        case "angle":
            return isinstance(rule, Angle)
        case "point" | "direction":
            return _is_point(rule)
        case "points":
            return isinstance(rule, Listed) and _is_point(rule.of)
        case "words":
            return isinstance(rule, Listed) and isinstance(rule.of, Text)
        case "bolt":
            return isinstance(rule, Row) and rule.table.name == "bolt"
        case "seat":
            return isinstance(rule, Choice) and set(SEATS) <= set(rule.words)
        case _:
            assert_never(link.kind)


def _is_point(rule: Rule) -> bool:
    return isinstance(rule, PointRule) and len(rule.axes) == 3


def _words(kind: Kind) -> str:
    match kind:
        case "length":
            return "a length: mm(...) or stock(...)"
        case "angle":
            return "an angle: deg(...)"
        case "point" | "direction":
            return "three coordinates: point(3, ...) or direction(...)"
        case "points":
            return "a list of points: points(3, ...)"
        case "words":
            return "a list of words: texts(...)"
        case "bolt":
            return 'a bolt: row("bolt", ...)'
        case "seat":
            return f"a choice with the words {' and '.join(SEATS)}: choice(...)"
        case _:
            assert_never(kind)

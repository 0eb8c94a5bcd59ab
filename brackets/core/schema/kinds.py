"""The words a recipe writes behind a value: mm, deg, number, count, yes_no, choice, stock, row, text, points ...

Every limit is allowed itself; lengths mm, angles degrees. `takes` is what a bay fills the value by, a link of
`core/schema/links.py`: "bush od", "centre of bush_left".
"""

from __future__ import annotations

from dataclasses import replace

from brackets.core.schema.lists import MOST, ByName, DirectionRule, Listed, PointRule
from brackets.core.schema.rows import Row, TubeSize
from brackets.core.schema.sizes import Angle, Count, Force, Length, Mass, Number, Stock, StockList
from brackets.core.schema.words import Choice, Text, YesNo

FAR = 3000.0
"""mm: no coordinate of a mount lies further from its own origin."""
_AXES = ("x", "y", "z")


def mm(lo: float, hi: float, meaning: str, *, step: float | None = None, takes: str = "") -> Length:
    """A length from `lo` to `hi` mm; stored as float."""
    return Length(lo=float(lo), hi=float(hi), meaning=meaning, step=step, takes=takes)


def deg(lo: float, hi: float, meaning: str, *, step: float | None = None, takes: str = "") -> Angle:
    """An angle from `lo` to `hi` degrees; stored as float."""
    return Angle(lo=float(lo), hi=float(hi), meaning=meaning, step=step, takes=takes)


def number(lo: float, hi: float, meaning: str, *, step: float | None = None) -> Number:
    """A number without a unit; stored as float."""
    return Number(lo=float(lo), hi=float(hi), meaning=meaning, step=step)


def kg(lo: float, hi: float, meaning: str) -> Mass:
    """A mass from `lo` to `hi` kg; stored as float."""
    return Mass(lo=float(lo), hi=float(hi), meaning=meaning)


def newton(lo: float, hi: float, meaning: str) -> Force:
    """A force from `lo` to `hi` N; stored as float."""
    return Force(lo=float(lo), hi=float(hi), meaning=meaning)


def count(lo: int, hi: int, meaning: str) -> Count:
    """A whole number; stored as int."""
    return Count(lo=lo, hi=hi, meaning=meaning)


def yes_no(meaning: str) -> YesNo:
    """Yes or no; stored as bool."""
    return YesNo(meaning=meaning)


def choice(words: tuple[str, ...], meaning: str) -> Choice:
    """One of the words; stored as it is written here."""
    return Choice(words=tuple(words), meaning=meaning)


def text(meaning: str, *, longest: int = 80) -> Text:
    """One line of free text; stored as str."""
    return Text(meaning=meaning, longest=longest)


def stock(
    rack: StockList, meaning: str, *, lo: float | None = None, hi: float | None = None, takes: str = ""
) -> Stock:
    """A length of a rack, PLATE, TUBE (outer diameters) or WALL, mm; stored as float.

    Any size from `lo` to `hi` is allowed, without them from the rack's smallest to its largest.
    """
    kept = rack.kept() if lo is None or hi is None else ()
    lowest, highest = min(kept) if lo is None else lo, max(kept) if hi is None else hi
    return Stock(rack=rack, meaning=meaning, lo=float(lowest), hi=float(highest), takes=takes)


def row(table: str, meaning: str, *, among: tuple[str, ...] = (), takes: str = "") -> Row | TubeSize:
    """The name of a row of "bolt", "bush", "material", or a "tube" such as "38x3"; stored as str.

    `among` keeps it to some rows.
    """
    if table == "tube":
        return replace(tube(meaning), takes=takes)
    return Row(table=table, meaning=meaning, among=tuple(among), takes=takes)


def tube(
    meaning: str, *, od: tuple[float, float] = (10.0, 115.0), wall: tuple[float, float] = (1.0, 10.0)
) -> TubeSize:
    """A round tube, od x wall: "38x3"; `od` and `wall` are lowest and highest, mm. Stored as str; see od_wall."""
    return TubeSize(meaning=meaning, od=od, wall=wall)


def point(n: int, meaning: str, *, lo: float = -FAR, hi: float = FAR, takes: str = "") -> PointRule:
    """`n` coordinates (2: x y, 3: x y z), each from `lo` to `hi` mm; stored as a tuple of floats."""
    return PointRule(axes=_AXES[:n], lo=lo, hi=hi, meaning=meaning, takes=takes)


def direction(meaning: str, *, takes: str = "") -> DirectionRule:
    """A direction of the bay: x, y, z of any length but 0; stored as a tuple of floats as it was typed."""
    return DirectionRule(axes=_AXES, lo=-FAR, hi=FAR, meaning=meaning, takes=takes)


def points(
    n: int,
    meaning: str,
    *,
    at_least: int = 0,
    at_most: int = MOST,
    axes: tuple[str, ...] = (),
    lo: float = -FAR,
    hi: float = FAR,
    takes: str = "",
) -> Listed:
    """A list of points of `n` coordinates, mm; stored as a tuple of tuples of floats.

    `axes` names the coordinates where they are not x, y, z: ("x", "y", "d") for holes with their diameter.
    """
    one = PointRule(axes=tuple(axes) or _AXES[:n], lo=lo, hi=hi, meaning=meaning)
    return Listed(of=one, meaning=meaning, at_least=at_least, at_most=at_most, takes=takes)


def lengths(lo: float, hi: float, meaning: str, *, at_least: int = 0, at_most: int = MOST) -> Listed:
    """A list of lengths, mm; stored as a tuple of floats."""
    return Listed(of=mm(lo, hi, meaning), meaning=meaning, at_least=at_least, at_most=at_most)


def numbers(lo: float, hi: float, meaning: str, *, at_least: int = 0, at_most: int = MOST) -> Listed:
    """A list of plain numbers; stored as a tuple of floats."""
    return Listed(of=number(lo, hi, meaning), meaning=meaning, at_least=at_least, at_most=at_most)


def masses(lo: float, hi: float, meaning: str, *, at_least: int = 0, at_most: int = MOST) -> Listed:
    """A list of masses, kg; stored as a tuple of floats."""
    return Listed(of=kg(lo, hi, meaning), meaning=meaning, at_least=at_least, at_most=at_most)


def texts(meaning: str, *, at_least: int = 0, at_most: int = MOST, takes: str = "") -> Listed:
    """A list of words, such as the names of bosses; stored as a tuple of str."""
    return Listed(of=text(meaning), meaning=meaning, at_least=at_least, at_most=at_most, takes=takes)


def by_name(lo: float, hi: float, meaning: str) -> ByName:
    """A length for each of some names, { H4 = 3.5 }; stored as (name, mm) pairs in the order of the names."""
    return ByName(of=mm(lo, hi, meaning), meaning=meaning)


def sizes(lo: float, hi: float, meaning: str) -> Listed:
    """One length or a list of them, 4 or [4, 5, "1/4in"]; stored as a tuple of floats."""
    return Listed(of=mm(lo, hi, meaning), meaning=meaning, alone=True)

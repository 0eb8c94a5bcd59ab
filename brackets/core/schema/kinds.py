"""The words a recipe writes behind a value: mm, deg, number, count, yes_no, choice, stock, text, points ...

Those that name a row of a table, `row` and `tube`, are with the tables (`core/tables/kinds.py`). Every limit is
allowed itself; lengths mm, angles degrees. `takes` is what a bay fills the value by, a link of
`core/schema/links.py`: "bush od", "centre of bush_left".
"""

from __future__ import annotations

from brackets.core.schema.lists import MOST, ByName, DirectionRule, Listed, PointRule, SectionSize
from brackets.core.schema.rule import Choice, Text, YesNo
from brackets.core.schema.sizes import Angle, Count, Force, Length, Mass, Number, Stock, StockList

FAR = 3000.0
"""mm: no coordinate of a mount lies further from its own origin."""
_AXES = ("x", "y", "z")


def mm(lo: float, hi: float, meaning: str, *, step: float | None = None, takes: str = "") -> Length:
    """The rule of a length, mm; stored as float.

    A rule stands behind a value of a recipe: `t: Annotated[float, mm(1, 25, "thickness of the plate")] = 6.0`.

    lo, hi: lowest and highest allowed, mm; meaning: what the value is, in shop words; step: of its slider, mm, None
    for about a hundredth of the range; takes: the link by which a bay fills it (see LINKS), or "".

    >>> thickness = mm(1, 25, "thickness of the plate")
    >>> thickness.from_text("1/4in", name="t")
    6.35
    >>> thickness.from_text("2in", name="t")
    Traceback (most recent call last):
    brackets.core.errors.OutOfRange: t = 50.8 mm (2in), must be 1 to 25 mm: thickness of the plate
    """
    return Length(lo=float(lo), hi=float(hi), meaning=meaning, step=step, takes=takes)


def deg(lo: float, hi: float, meaning: str, *, step: float | None = None, takes: str = "") -> Angle:
    """The rule of an angle, degrees; stored as float.

    lo, hi: lowest and highest allowed, degrees; meaning: what the value is, in shop words; step: of its slider,
    degrees, None for about a hundredth of the range; takes: the link by which a bay fills it (see LINKS), or "".

    >>> deg(0, 90, "lean of the leg").from_text("30 deg", name="lean")
    30.0
    """
    return Angle(lo=float(lo), hi=float(hi), meaning=meaning, step=step, takes=takes)


def number(lo: float, hi: float, meaning: str, *, step: float | None = None) -> Number:
    """The rule of a number without a unit; stored as float.

    lo, hi: lowest and highest allowed; meaning: what the value is, in shop words; step: of its slider, None for
    about a hundredth of the range.

    >>> number(0, 1, "part of the width").from_text("3/4", name="share")
    0.75
    """
    return Number(lo=float(lo), hi=float(hi), meaning=meaning, step=step)


def kg(lo: float, hi: float, meaning: str) -> Mass:
    """The rule of a mass, kg; stored as float.

    lo, hi: lowest and highest allowed, kg; meaning: what the value is, in shop words.

    >>> kg(0, 500, "mass of the engine").from_text("100 lb", name="engine")
    45.359237
    """
    return Mass(lo=float(lo), hi=float(hi), meaning=meaning)


def newton(lo: float, hi: float, meaning: str) -> Force:
    """The rule of a force, N; stored as float.

    lo, hi: lowest and highest allowed, N; meaning: what the value is, in shop words.

    >>> newton(0, 5000, "load on the bush").from_text("1.2 kN", name="load")
    1200.0
    """
    return Force(lo=float(lo), hi=float(hi), meaning=meaning)


def count(lo: int, hi: int, meaning: str) -> Count:
    """The rule of a whole number; stored as int.

    lo, hi: lowest and highest allowed; meaning: what the value is, in shop words.

    >>> count(2, 12, "bolts on the circle").from_text("4", name="bolts")
    4
    """
    return Count(lo=lo, hi=hi, meaning=meaning)


def yes_no(meaning: str) -> YesNo:
    """The rule of a yes or no; stored as bool.

    meaning: what yes says, in shop words.

    >>> yes_no("lightening hole").from_text("yes", name="window")
    True
    """
    return YesNo(meaning=meaning)


def choice(words: tuple[str, ...], meaning: str, *, takes: str = "") -> Choice:
    """The rule of one word out of several; stored as it is written in `words`.

    words: what may be chosen; meaning: what the value is, in shop words;
    takes: the link by which a bay fills it (see LINKS), or "".

    >>> choice(("press", "slip"), "how the bush sits").from_text("Slip", name="fit")
    'slip'
    """
    return Choice(words=tuple(words), meaning=meaning, takes=takes)


def text(meaning: str, *, longest: int = 80) -> Text:
    """The rule of one line of free text; stored as str.

    meaning: what the value is, in shop words; longest: most characters.

    >>> text("what is stamped on it", longest=4).from_text("LEFT", name="stamp")
    'LEFT'
    """
    return Text(meaning=meaning, longest=longest)


def stock(
    rack: StockList, meaning: str, *, lo: float | None = None, hi: float | None = None, takes: str = ""
) -> Stock:
    """The rule of a length that is best taken from a rack, mm; stored as float.

    rack: PLATE (thicknesses), TUBE (outer diameters) or WALL; meaning: what the value is, in shop words; lo, hi:
    lowest and highest allowed, mm, None for the rack's smallest and largest: any size between them is allowed, on
    the rack or not; takes: the link by which a bay fills it (see LINKS), or "".

    >>> thickness = stock(PLATE, "thickness of the plate")
    >>> thickness.on_rack(6), thickness.nearest(6.2)
    (True, (6.35, 6.0))
    """
    kept = rack.kept() if lo is None or hi is None else ()
    lowest, highest = min(kept) if lo is None else lo, max(kept) if hi is None else hi
    return Stock(rack=rack, meaning=meaning, lo=float(lowest), hi=float(highest), takes=takes)


def section(lo: float, hi: float, meaning: str) -> SectionSize:
    """The rule of a section's width and height, mm; stored as a tuple of two floats.

    lo, hi: lowest and highest allowed of each, mm; meaning: what the value is, in shop words.

    >>> section(5, 1000, "outside of the rail").from_text("50 x 30", name="size")
    (50.0, 30.0)
    """
    return SectionSize(of=mm(lo, hi, meaning), meaning=meaning)


def point(n: int, meaning: str, *, lo: float = -FAR, hi: float = FAR, takes: str = "") -> PointRule:
    """The rule of a point, mm; stored as a tuple of floats.

    n: how many coordinates, 2 for x y, 3 for x y z; meaning: what the value is, in shop words;
    lo, hi: lowest and highest allowed of each, mm; takes: the link by which a bay fills it (see LINKS), or "".

    >>> point(2, "centre of the hole").from_text("10, 1in", name="at")
    (10.0, 25.4)
    """
    return PointRule(axes=_AXES[:n], lo=lo, hi=hi, meaning=meaning, takes=takes)


def direction(meaning: str, *, takes: str = "") -> DirectionRule:
    """The rule of a direction of the bay: x, y, z of any length but 0; stored as a tuple of floats as it was typed.

    meaning: what the value is, in shop words; takes: the link by which a bay fills it (see LINKS), or "".

    >>> direction("where the leg points").from_text("0, 0, 2", name="leg")
    (0.0, 0.0, 2.0)
    """
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
    """The rule of a list of points, mm; stored as a tuple of tuples of floats.

    n: how many coordinates, 2 for x y, 3 for x y z;
    meaning: what the value is, in shop words;
    at_least, at_most: how many points;
    axes: names of the coordinates where they are not x, y, z, as ("x", "y", "d") for holes with their diameter;
    lo, hi: lowest and highest allowed of each coordinate, mm;
    takes: the link by which a bay fills it (see LINKS), or "".

    >>> points(2, "bolt holes").from_text("0,0; 80,0", name="holes")
    ((0.0, 0.0), (80.0, 0.0))
    """
    one = PointRule(axes=tuple(axes) or _AXES[:n], lo=lo, hi=hi, meaning=meaning)
    return Listed(of=one, meaning=meaning, at_least=at_least, at_most=at_most, takes=takes)


def lengths(lo: float, hi: float, meaning: str, *, at_least: int = 0, at_most: int = MOST) -> Listed:
    """The rule of a list of lengths, mm; stored as a tuple of floats.

    lo, hi: lowest and highest allowed of each, mm; meaning: what the value is, in shop words; at_least, at_most:
    how many entries.

    >>> lengths(0, 100, "where the spacers sit").from_text("10, 1in", name="spacers")
    (10.0, 25.4)
    """
    return Listed(of=mm(lo, hi, meaning), meaning=meaning, at_least=at_least, at_most=at_most)


def angles(lo: float, hi: float, meaning: str, *, at_least: int = 0, at_most: int = MOST) -> Listed:
    """A list of angles, degrees; stored as a tuple of floats."""
    return Listed(of=deg(lo, hi, meaning), meaning=meaning, at_least=at_least, at_most=at_most)


def numbers(lo: float, hi: float, meaning: str, *, at_least: int = 0, at_most: int = MOST) -> Listed:
    """The rule of a list of plain numbers; stored as a tuple of floats.

    lo, hi: lowest and highest allowed of each; meaning: what the value is, in shop words; at_least, at_most: how
    many entries.

    >>> numbers(0, 1, "shares of the width").from_text("1/4, 0.5", name="shares")
    (0.25, 0.5)
    """
    return Listed(of=number(lo, hi, meaning), meaning=meaning, at_least=at_least, at_most=at_most)


def masses(lo: float, hi: float, meaning: str, *, at_least: int = 0, at_most: int = MOST) -> Listed:
    """The rule of a list of masses, kg; stored as a tuple of floats.

    lo, hi: lowest and highest allowed of each, kg; meaning: what the value is, in shop words; at_least, at_most:
    how many entries.

    >>> masses(0, 500, "readings of the scales").from_text("120, 100 lb", name="scales")
    (120.0, 45.359237)
    """
    return Listed(of=kg(lo, hi, meaning), meaning=meaning, at_least=at_least, at_most=at_most)


def texts(meaning: str, *, at_least: int = 0, at_most: int = MOST, takes: str = "") -> Listed:
    """The rule of a list of words, such as the names of bosses; stored as a tuple of str.

    meaning: what the value is, in shop words; at_least, at_most: how many entries; takes: the link by which a bay
    fills it (see LINKS), or "".

    >>> texts("bosses it bolts to").from_text("T1, T2", name="bosses")
    ('T1', 'T2')
    """
    return Listed(of=text(meaning), meaning=meaning, at_least=at_least, at_most=at_most, takes=takes)


def by_name(lo: float, hi: float, meaning: str) -> ByName:
    """The rule of a length for each of some names; stored as (name, mm) pairs in the order of the names.

    lo, hi: lowest and highest allowed of each, mm; meaning: what the value is, in shop words.

    >>> by_name(0, 20, "shim under each boss").from_toml({"E3": 3.5, "E1": "1/8in"}, name="shims")
    (('E1', 3.175), ('E3', 3.5))
    """
    return ByName(of=mm(lo, hi, meaning), meaning=meaning)


def sizes(lo: float, hi: float, meaning: str) -> Listed:
    """The rule of one length or a list of them; stored as a tuple of floats, mm.

    lo, hi: lowest and highest allowed of each, mm; meaning: what the value is, in shop words.

    >>> leg = sizes(0, 20, "legs of the welds")
    >>> leg.from_toml(4, name="leg"), leg.from_toml([4, "1/4in"], name="leg")
    ((4.0,), (4.0, 6.35))
    """
    return Listed(of=mm(lo, hi, meaning), meaning=meaning, alone=True)

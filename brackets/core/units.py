"""What somebody typed or read off a tape becomes mm, degrees, kg or newton: by exact fractions, rounded once.

Lengths come out in mm, angles in degrees, masses in kg, forces in N. Nothing else in the product reads units.
"""

from __future__ import annotations

import math
import re
from fractions import Fraction
from typing import NoReturn

from brackets.core.errors import InputError

INCH = Fraction(254, 10)
"""mm in one inch, exact by definition (international yard and pound agreement, 1959)."""
POUND = Fraction(45359237, 100000000)
"""kg in one pound, exact by the same agreement."""
GRAVITY = Fraction(980665, 100000)
"""Standard gravity, m/s2, exact (3rd CGPM, 1901)."""

_LENGTHS = {
    Fraction(1): ("mm", "millimetre", "millimetres", "millimeter", "millimeters"),
    Fraction(10): ("cm",),
    Fraction(1000): ("m", "metre", "metres", "meter", "meters"),
    Fraction(1, 1000): ("um", "\u00b5m", "\u03bcm", "micron", "microns"),
    INCH: ("in", "inch", "inches", '"', "''"),
    INCH / 1000: ("thou",),
    INCH * 12: ("ft", "foot", "feet", "'"),
}
_MASSES = {
    Fraction(1): ("kg", "kilogram", "kilograms"),
    Fraction(1, 1000): ("g", "gram", "grams"),
    POUND: ("lb", "lbs", "pound", "pounds"),
    POUND / 16: ("oz",),
}
_FORCES = {
    Fraction(1): ("n", "newton", "newtons"),
    Fraction(1000): ("kn",),
    POUND * GRAVITY: ("lbf",),
    GRAVITY: ("kgf",),
}
_MOMENTS = {
    Fraction(1): ("n mm", "nmm"),
    Fraction(1000): ("n m", "nm"),
    Fraction(1000000): ("kn m", "knm"),
    POUND * GRAVITY * INCH: ("lbf in",),
    POUND * GRAVITY * INCH * 12: ("lbf ft",),
}
_ANGLES = {Fraction(1): ("deg", "degree", "degrees", "\u00b0"), Fraction(1, 60): ("arcmin",)}
_RADIANS = ("rad", "radian", "radians")

_VULGAR = {
    "\u00bd": "1/2", "\u00bc": "1/4", "\u00be": "3/4",
    "\u215b": "1/8", "\u215c": "3/8", "\u215d": "5/8", "\u215e": "7/8",
}  # fmt: skip
_SAME = str.maketrans({
    "\u2033": '"', "\u201d": '"', "\u201c": '"', "\u2032": "'", "\u2019": "'", "\u2212": "-", "\u2010": "-",
    "\u2011": "-", "\u2013": "-", "\u2044": "/", "\u00a0": " ", "\u202f": " ", "\u2009": " ",
})  # fmt: skip

_EXACT_COUNT = 10**15
"""Beyond about 9e15 a float no longer tells neighbouring whole numbers apart."""
_LONGEST_BITS = 200
"""A whole number longer than this is not written out in a message: Python refuses past 4300 digits."""

_DECIMAL = r"(?:[0-9]{1,40}\.?[0-9]{0,40}|\.[0-9]{1,40})(?:[eE][+-]?[0-9]{1,3})?"
_MIXED = r"(?:[0-9]{1,9}(?:\s*-\s*|\s+))?[0-9]{1,9}\s*/\s*[0-9]{1,9}"
_AMOUNT = re.compile(rf"(?P<sign>[+-]?)(?P<amount>{_MIXED}|{_DECIMAL})\s*(?P<unit>[^0-9\s.,/+-][^0-9]*)?")
_FEET = re.compile(
    rf"(?P<sign>[+-]?)(?P<feet>[0-9]{{1,9}})\s*(?:ft|foot|feet|')\s*-?\s*"
    rf"(?P<inches>{_MIXED}|{_DECIMAL})\s*(?:in|inch|inches|\"|'')",
    re.IGNORECASE,
)
_GAUGE = re.compile(r"#?\s*([0-9]{1,2})\s*(?:-\s*)?(ga|gauge|gage|swg|bwg|msg|g)?\.?", re.IGNORECASE)

_TEN_THOUSANDTHS = Fraction(1, 10000)
SHEET_GAUGE = {
    n: size * _TEN_THOUSANDTHS
    for n, size in enumerate(
        (2391, 2242, 2092, 1943, 1793, 1644, 1495, 1345, 1196, 1046, 897, 747, 673, 598, 538, 478, 418)
        + (359, 329, 299, 269, 239, 209, 179, 164, 149),
        start=3,
    )
}
"""Inches by gauge number: Manufacturers' Standard Gauge, uncoated sheet steel (41.82 lb/ft2 an inch)."""
BWG = {
    n: size * _TEN_THOUSANDTHS
    for n, size in enumerate(
        (3400, 3000, 2840, 2590, 2380, 2200, 2030, 1800, 1650, 1480, 1340, 1200, 1090, 950, 830, 720, 650)
        + (580, 490, 420, 350, 320, 280, 250, 220, 200, 180)
    )
}
"""Inches by gauge number: Birmingham wire gauge, the usual one for tube walls."""
SWG = {
    n: size * _TEN_THOUSANDTHS
    for n, size in enumerate(
        (3240, 3000, 2760, 2520, 2320, 2120, 1920, 1760, 1600, 1440, 1280, 1160, 1040, 920, 800, 720, 640)
        + (560, 480, 400, 360, 320, 280, 240, 220, 200, 180)
    )
}
"""Inches by gauge number: British imperial standard wire gauge (BS 3737), used for sheet and tube."""
_SCALES = (
    ("sheet", "steel sheet gauge", SHEET_GAUGE),
    ("bwg", "BWG, tube wall", BWG),
    ("swg", "SWG, British sheet and tube", SWG),
)


def length(value: object, *, bare: str = "mm", name: str = "length") -> float:
    """A length in mm, from a text with its unit or from a number.

    value: "45 mm", "5/16in", "3-1/2in", '1.75"', "2 ft", 5'6", or a number, which is in `bare`;
    bare: unit of a number written without one, "mm" or "in"; name: what a refusal calls the value.
    Raises InputError for a bare fraction, a gauge, a decimal comma, another kind of unit, NaN, infinity or nothing.

    >>> length("1-1/2in"), length("5 ft 6 in"), length(2, bare="in")
    (38.1, 1676.4, 50.8)
    >>> length("3/8", name="t")
    Traceback (most recent call last):
    brackets.core.errors.InputError: t = "3/8": a bare fraction, write 3/8in if inches are meant
    """
    if bare not in ("mm", "in"):
        _refuse("unit", bare, "must be mm or in: the unit of numbers written without one")
    if isinstance(value, str):
        text = _plain(value)
        feet = _FEET.fullmatch(text)
        if feet:
            inches = _fraction(feet["inches"])
            if inches is not None and inches < 12:
                total = (int(feet["feet"]) * 12 + inches) * INCH
                return _finite(-total if feet["sign"] == "-" else total, value, name)
        if _is_bare_fraction(text):
            _refuse(name, value, f"a bare fraction, write {_tight(text)}in if inches are meant", sep=":")
        _no_gauge(text, value, name)
    like = "a length such as 45 mm, 4.5 cm, 5/16in, 3-1/2in or 2 ft"
    return _quantity(value, _LENGTHS, INCH if bare == "in" else Fraction(1), name, like)


def angle(value: object, *, name: str = "angle") -> float:
    """An angle in degrees, from a text or from a number of degrees.

    value: "30", "30 deg", "30\u00b0", "90 arcmin", "0.5 rad", or a number of degrees;
    name: what a refusal calls the value.
    Raises InputError for anything else, such as another unit or no number.

    >>> angle("30 deg"), angle("90 arcmin"), round(angle("3.14159265 rad"), 6)
    (30.0, 1.5, 180.0)
    """
    if isinstance(value, str):
        found = _AMOUNT.fullmatch(_plain(value))
        if found and (found["unit"] or "").strip().lower() in _RADIANS:
            turned = _signed(found)
            if turned is not None:
                return math.degrees(_finite(turned, value, name))
    return _quantity(value, _ANGLES, Fraction(1), name, "an angle such as 30, 30 deg or 0.5 rad")


def mass(value: object, *, name: str = "mass") -> float:
    """kg from "12 kg", "26 lb", "500 g" or a number of kg."""
    return _quantity(value, _MASSES, Fraction(1), name, "a mass such as 12 kg, 500 g or 26 lb")


def force(value: object, *, name: str = "force") -> float:
    """N from "200 N", "1.2 kN", "50 lbf", "20 kgf" or a number of newtons; a mass (kg, lb) is refused."""
    return _quantity(value, _FORCES, Fraction(1), name, "a force such as 200 N, 1.2 kN or 50 lbf")


def moment(value: object, *, name: str = "moment") -> float:
    """N mm from "20 N m", "500 N mm", "15 lbf ft" or a number of newton millimetres."""
    return _quantity(value, _MOMENTS, Fraction(1), name, "a moment such as 500 N mm, 20 N m or 15 lbf ft")


def number(value: object, *, name: str = "number") -> float:
    """A plain number without a unit: 0.5, "0.5", "1/2", "1e3"."""
    return _quantity(value, {}, Fraction(1), name, "a plain number such as 0.5, without a unit")


def count(value: object, *, name: str = "count") -> int:
    """A whole number: 4, "4" or 4.0; 4.5 is refused."""
    found = number(value, name=name)
    if found != int(found):
        _refuse(name, value, "must be a whole number such as 4")
    if abs(found) > _EXACT_COUNT:
        _refuse(name, value, "must be a whole number of at most fifteen digits")
    return int(found)


def yes_no(value: object, *, name: str = "answer") -> bool:
    """True from true, yes, y, on, 1; False from false, no, n, off, 0; anything else is refused."""
    word = value.strip().lower() if isinstance(value, str) else value
    if isinstance(word, bool):
        return word
    if word in ("true", "yes", "y", "on", "1", 1):
        return True
    if word in ("false", "no", "n", "off", "0", 0):
        return False
    return _refuse(name, value, "must be yes or no")


def show_length(mm: float, unit: str = "mm", *, places: int = 6) -> str:
    """Short decimal text such as "44.45 mm" or "1.75 in"; at six places every 1/64 inch reads back."""
    if unit not in ("mm", "in"):
        _refuse("unit", unit, "must be mm or in")
    exact = Fraction(_finite(mm, mm, "length"))
    shown = round(exact / INCH if unit == "in" else exact, places)
    whole, rest = divmod(abs(shown) * 10**places, 10**places)
    digits = f"{int(rest):0{places}d}".rstrip("0") if places else ""
    sign = "-" if shown < 0 else ""
    return f"{sign}{int(whole)}{'.' if digits else ''}{digits} {unit}"


def gauge(text: str) -> tuple[tuple[str, int, float], ...]:
    """What "14 ga" or "16 swg" can mean: (scale, number, mm), scale "sheet", "bwg" or "swg"; () if no gauge.

    Plain "ga" gives the Manufacturers' Standard sheet gauge first, then the wire gauges.
    """
    found = _GAUGE.fullmatch(_plain(text))
    if not found or not (found[2] or "#" in text) or (found[2] or "").lower() == "g":
        return ()
    size, told = int(found[1]), (found[2] or "ga").lower()
    return tuple(
        (scale, size, float(rows[size] * INCH))
        for scale, _, rows in _SCALES
        if size in rows and (told in ("ga", "gauge", "gage", scale) or (told, scale) == ("msg", "sheet"))
    )


def _no_gauge(text: str, value: str, name: str) -> None:
    meant = gauge(text)
    if meant:
        words = {scale: said for scale, said, _ in _SCALES}
        likely = " or ".join(f"{mm:.3f} mm ({words[scale]})" for scale, _, mm in meant)
        _refuse(name, value, f"a gauge is not a length, write what it is: {likely}", sep=":")
    found = _GAUGE.fullmatch(text)
    if found and (found[2] or "").lower() not in ("", "g"):
        _refuse(name, value, "a gauge number in no table, write the thickness in mm", sep=":")


def _quantity(
    value: object, units: dict[Fraction, tuple[str, ...]], bare: Fraction, name: str, like: str
) -> float:
    if isinstance(value, bool) or not isinstance(value, (str, int, float)):
        _refuse(name, value, f"must be {like}")
    if isinstance(value, (int, float)):
        if isinstance(value, float) and not math.isfinite(value):
            _refuse(name, value, f"must be {like}")
        typed = Fraction(value) if isinstance(value, int) else Fraction(repr(value))
        return _finite(typed * bare, value, name)
    text = _plain(value)
    if re.fullmatch(r"[+-]?[0-9]+,[0-9]+\s*[^0-9]*", text):
        _refuse(name, value, f"write the decimal comma as a point: {text.replace(',', '.')}", sep=":")
    found = _AMOUNT.fullmatch(text)
    amount = _signed(found) if found else None
    if found is None or amount is None:
        return _refuse(name, value, f"must be {like}")
    unit = (found["unit"] or "").strip().lower().rstrip(".")
    scale = bare if not unit else next((by for by, said in units.items() if unit in said), None)
    if scale is None:
        return _refuse(name, value, f"must be {like}")
    return _finite(amount * scale, value, name)


def _signed(found: re.Match[str]) -> Fraction | None:
    amount = _fraction(found["amount"])
    return -amount if amount is not None and found["sign"] == "-" else amount


def _fraction(text: str) -> Fraction | None:
    """The exact number written; None where a fraction has 0 below the line or a mixed one is not under 1."""
    if "/" not in text:
        return Fraction(text)
    *whole, top, bottom = (int(part) for part in re.findall(r"[0-9]+", text))
    if bottom == 0 or (whole and top >= bottom):
        return None
    return sum(whole) + Fraction(top, bottom)


def _plain(text: str) -> str:
    for mark, spelled in _VULGAR.items():
        text = text.replace(mark, f" {spelled}")
    return re.sub(r"-\s+(?=[0-9]+/)", "-", " ".join(text.translate(_SAME).split()))


def _is_bare_fraction(text: str) -> bool:
    return re.fullmatch(rf"[+-]?{_MIXED}", text) is not None


def _tight(text: str) -> str:
    return re.sub(r"\s*/\s*", "/", re.sub(r"(?<=[0-9])(?:\s*-\s*|\s+)(?=[0-9])", "-", text))


def _finite(exact: Fraction | float, value: object, name: str) -> float:
    try:
        rounded = float(exact)
    except OverflowError:
        rounded = math.inf
    return rounded + 0.0 if math.isfinite(rounded) else _refuse(name, value, "must be a finite number")


def _refuse(name: str, value: object, allowed: str, *, sep: str = ",") -> NoReturn:
    raise InputError(f"{name} = {shown(value)}{sep} {allowed}")


def shown(value: object) -> str:
    """A typed value as an error quotes it: text in quotes, cut at 60 characters, control characters spelt."""
    if value is None:
        return "nothing"
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, int) and value.bit_length() > _LONGEST_BITS:
        return "a whole number beyond counting"
    if not isinstance(value, str):
        return repr(value)[:80]
    text = value if len(value) <= 60 else f"{value[:57]}..."
    if not text.isprintable():
        return repr(text)
    return f"'{text}'" if '"' in text else f'"{text}"'


def row_name(name: object, place: int) -> str:
    """How a message names a row of a file: by its name on one line, cut at 60 characters, else by its place."""
    return shown(name).strip("\"'") if isinstance(name, str) and name else str(place)

"""Text becomes mm, degrees, kg or newton by exact fractions, rounded once; what is ambiguous is refused."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from brackets.core import units
from brackets.core.errors import InputError

UNHURRIED = settings(deadline=None)  # a busy machine is no fault of the code
SIXTYFOURTHS = st.integers(0, 6400)
FINITE = st.floats(-1e6, 1e6)


def exact(n: int) -> float:
    """n/64 in as mm: the inch is 25.4 mm exactly (international yard and pound agreement, 1959)."""
    return float(Fraction(n, 64) * Fraction(254, 10))


def spellings(n: int) -> list[str]:
    size = Fraction(n, 64)
    whole, rest = divmod(size, 1)
    decimal = f"{n * 15625 / 1000000:.6f}"
    texts = [f"{n}/64in", f"{n}/64 in", f'{n}/64"', f"{n}/64 inch", f"{n} / 64 inches", f"{n}/64''"]
    texts += [f"{decimal}in", f"{decimal} in", f'{decimal}"', f"+{decimal} IN", f"{n * 15625}e-6in"]
    if rest:
        top, low = rest.numerator, rest.denominator
        for join in ("-", " ", " - ", "  "):
            texts += [
                f"{whole}{join}{top}/{low}in",
                f"{whole}{join}{top}/{low} in",
                f'{whole}{join}{top}/{low}"',
            ]
        texts += [f"{whole}\u2011{top}\u2044{low}\u2033", f"{whole}\u00a0{top}/{low}\u00a0in"]
    else:
        texts += [f"{whole}in", f'{whole}"', f"{whole}. in", f"0{whole} in"]
    if whole >= 12:
        feet, inches = divmod(whole, 12)
        tail = f"{inches}-{rest}" if rest else f"{inches}"
        texts += [f"{feet}'{tail}\"", f"{feet}' {tail}\"", f"{feet} ft {tail} in", f"{feet}'-{tail}\""]
    return texts


@UNHURRIED
@given(SIXTYFOURTHS)
def test_every_sixtyfourth_in_every_spelling_is_one_rounding_from_the_exact_mm(n: int) -> None:
    for text in spellings(n):
        assert units.length(text) == exact(n), text
        assert units.length(text, bare="in") == exact(n), text


@UNHURRIED
@given(SIXTYFOURTHS)
def test_a_bare_number_in_an_inch_file_is_the_same_mm_as_the_text(n: int) -> None:
    assert units.length(n / 64, bare="in") == exact(n)
    assert units.length(f"{n * 15625 / 1000000:.6f}", bare="in") == exact(n)


@UNHURRIED
@given(SIXTYFOURTHS)
def test_a_sixtyfourth_shown_reads_back_exactly(n: int) -> None:
    assert units.length(units.show_length(exact(n))) == exact(n)
    assert units.length(units.show_length(exact(n), "in")) == exact(n)


@UNHURRIED
@given(FINITE, st.sampled_from(["mm", "in"]))
def test_any_length_shown_reads_back_within_half_the_last_place(mm: float, unit: str) -> None:
    one = 25.4 if unit == "in" else 1.0
    slack = math.ulp(abs(mm)) * 2  # one rounding to show, one to read
    assert abs(units.length(units.show_length(mm, unit)) - mm) <= 0.5e-6 * one + slack


@UNHURRIED
@given(FINITE)
def test_a_number_as_python_writes_it_is_the_number(mm: float) -> None:
    assert units.length(repr(mm)) == mm
    assert units.length(mm) == mm
    assert units.length(f"{mm!r} mm") == mm


@UNHURRIED
@given(st.one_of(st.text(max_size=20), st.from_regex(r"[-+0-9./ eainmft\"']{0,14}", fullmatch=True)))
def test_no_text_does_anything_but_read_or_be_refused(text: str) -> None:
    said: list[InputError] = []
    for read in (units.length, units.angle, units.mass, units.force, units.number, units.count, units.yes_no):
        try:
            assert math.isfinite(read(text))
        except InputError as refused:
            said.append(refused)
    assert all(len(refused.problems) == 1 and str(refused).isprintable() for refused in said)


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("45 mm", 45.0), ("45mm", 45.0), ("4.5 cm", 45.0), ("0.1 m", 100.0), ("45", 45.0), ("-3 mm", -3.0),
        ("5/16in", 7.9375), ("3-1/2in", 88.9), ("3 1/2 in", 88.9), ('1.75"', 44.45), ("1-3/4 in", 44.45),
        ("2 ft", 609.6), ("5'6\"", 1676.4), ("3\u00bdin", 88.9), ("\u00bd\u2033", 12.7), ("5 thou", 0.127),
        ("1/2 mm", 0.5), ("-3-1/2in", -88.9), ("1e3", 1000.0), (".5in", 12.7), ("50 \u00b5m", 0.05),
    ],
)  # fmt: skip
def test_a_length_reads_as_the_trade_writes_it(text: str, mm: float) -> None:
    assert units.length(text) == mm


@pytest.mark.parametrize("number", [45, 45.0, -0.0, 0])
def test_a_number_is_mm_and_a_float(number: float) -> None:
    found = units.length(number)
    assert isinstance(found, float)
    assert found == number
    assert math.copysign(1, found) == 1 or number < 0


def test_a_bare_fraction_is_refused_with_the_likely_meaning() -> None:
    with pytest.raises(InputError) as refused:
        units.length("5/16", name="bush_od")
    assert str(refused.value) == 'bush_od = "5/16": a bare fraction, write 5/16in if inches are meant'


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("3-1/2", "3-1/2in"),
        ("3 1/2", "3-1/2in"),
        ("3 \u00bd", "3-1/2in"),
        ("\u00bd", "1/2in"),
        ("5 / 16", "5/16in"),
    ],
)
@pytest.mark.parametrize("bare", ["mm", "in"])
def test_every_bare_fraction_says_what_to_write(text: str, meant: str, bare: str) -> None:
    with pytest.raises(InputError, match=f"write {meant} if inches are meant"):
        units.length(text, bare=bare)


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("14 ga", ["1.897 mm (steel sheet gauge)", "2.108 mm (BWG", "2.032 mm (SWG"]),
        ("14ga.", ["1.897 mm"]), ("14 gauge", ["1.897 mm"]), ("#14", ["1.897 mm"]),
        ("16swg", ["1.626 mm (SWG"]), ("11 bwg", ["3.048 mm (BWG"]), ("10 msg", ["3.416 mm"]),
        ("99 ga", ["in no table"]),
    ],
)  # fmt: skip
def test_a_gauge_is_refused_with_the_likely_mm(text: str, meant: list[str]) -> None:
    with pytest.raises(InputError) as refused:
        units.length(text, name="t")
    assert all(part in str(refused.value) for part in meant)


def test_a_gauge_that_says_its_scale_names_no_other_scale() -> None:
    assert [scale for scale, _, _ in units.gauge("16 swg")] == ["swg"]
    assert [scale for scale, _, _ in units.gauge("14 ga")] == ["sheet", "bwg", "swg"]
    assert units.gauge("14 mm") == units.gauge("14") == units.gauge("14 g") == ()


@pytest.mark.parametrize(
    "value",
    ["", " ", "nan", "inf", "-inf", "12 kg", "10 g", "1/0in", "3-5/4in", "mm", "1 2", "1.2.3", "--3", "1e999",
     "3.5-1/2in", "5' 14\"", "0x10", "1_000", "\uff11\uff12", "4 5 mm", "45 mm mm", "1e400", None, True, [],
     {}, float("nan"), float("inf"), 10**400, pytest.param(10**5000, id="5001 digits")],
)  # fmt: skip
def test_nonsense_is_refused_and_the_message_names_it(value: object) -> None:
    with pytest.raises(InputError) as refused:
        units.length(value, name="reach")
    assert str(refused.value).startswith("reach = ")
    assert len(str(refused.value)) < 250


def test_a_decimal_comma_is_refused_with_the_point() -> None:
    with pytest.raises(InputError, match=r"write the decimal comma as a point: 44\.5 mm"):
        units.length("44,5 mm")


def test_only_mm_or_in_can_be_the_unit_of_bare_numbers() -> None:
    with pytest.raises(InputError, match="must be mm or in"):
        units.length(1, bare="cm")


@pytest.mark.parametrize(
    ("mm", "unit", "places", "text"),
    [
        (44.45, "mm", 6, "44.45 mm"), (44.45, "in", 6, "1.75 in"), (-0.0, "mm", 6, "0 mm"),
        (100.0, "mm", 6, "100 mm"),
        (1e-9, "mm", 6, "0 mm"), (-1e-9, "mm", 6, "0 mm"), (-3.175, "in", 6, "-0.125 in"),
        (10.0, "mm", 0, "10 mm"),
        (76.5573123, "mm", 2, "76.56 mm"), (0.30000000000000004, "mm", 6, "0.3 mm"),
        (1e15, "mm", 6, "1" + "0" * 15 + " mm"),
    ],
)  # fmt: skip
def test_a_length_is_shown_short(mm: float, unit: str, places: int, text: str) -> None:
    assert units.show_length(mm, unit, places=places) == text


@pytest.mark.parametrize(
    ("read", "text", "value"),
    [
        (units.angle, "30", 30.0), (units.angle, "30 deg", 30.0), (units.angle, "30\u00b0", 30.0),
        (units.angle, 12, 12.0),
        (units.angle, "-22-1/2 deg", -22.5), (units.angle, "0.5 rad", math.degrees(0.5)),
        (units.angle, "45 arcmin", 0.75),
        (units.mass, "12 kg", 12.0), (units.mass, "500 g", 0.5), (units.mass, "26 lb", 26 * 0.45359237),
        (units.mass, 3, 3.0), (units.mass, "8 oz", 0.22679618499999999),
        (units.force, "200 N", 200.0), (units.force, "1.2 kN", 1200.0), (units.force, "20 kgf", 196.133),
        (units.force, "50 lbf", float(Fraction(45359237, 10**8) * Fraction(980665, 10**5) * 50)),
        (units.number, "0.5", 0.5), (units.number, "1/2", 0.5), (units.number, "1e3", 1000.0),
        (units.number, 7, 7.0),
        (units.count, "4", 4), (units.count, 4.0, 4), (units.count, -2, -2),
    ],
)  # fmt: skip
def test_other_quantities_read_as_written(read: object, text: object, value: float) -> None:
    """Pound and standard gravity exact: international agreement 1959, 3rd CGPM 1901."""
    assert callable(read)
    found = read(text)
    assert found == pytest.approx(value, rel=1e-15)  # the right-hand side is itself rounded once or twice
    assert type(found) is type(value)


@pytest.mark.parametrize(
    ("read", "value", "must"),
    [
        (units.force, "12 kg", "must be a force such as 200 N"), (units.mass, "3 mm", "must be a mass"),
        (units.angle, "3 mm", "must be an angle"), (units.number, "3 mm", "plain number"),
        (units.angle, "nan rad", "angle"),
        (units.count, 4.5, "whole number"), (units.count, "1/2", "whole number"),
        (units.count, 10**16, "fifteen digits"),
        (units.yes_no, "maybe", "must be yes or no"), (units.yes_no, 2, "must be yes or no"),
        (units.number, True, "plain number"),
    ],
)  # fmt: skip
def test_another_kind_of_quantity_is_refused(read: object, value: object, must: str) -> None:
    assert callable(read)
    with pytest.raises(InputError, match=must):
        read(value)


def test_yes_and_no_in_every_word() -> None:
    assert all(units.yes_no(word) for word in (True, "yes", "Yes", " on ", "y", "true", "1", 1))
    assert not any(units.yes_no(word) for word in (False, "no", "NO", "off", "n", "false", "0", 0))


# Manufacturers' Standard Gauge is by definition a weight of steel, ounces a square foot, at 41.82
# lb/ft2 an inch (the definition as printed in Machinery's Handbook; the ounces from memory).
_TENS = tuple(range(160, 49, -10))
OUNCES = dict(enumerate((*_TENS, 45, 40, 36, 32, 28, 24, 22, 20, 18, 16, 14, 12, 11, 10), start=3))


@pytest.mark.parametrize("gauge", OUNCES)
def test_sheet_gauge_follows_from_its_weight(gauge: int) -> None:
    inches = OUNCES[gauge] / 16 / 41.82
    assert float(units.SHEET_GAUGE[gauge]) == pytest.approx(inches, abs=0.5001e-4)  # printed to four places


def test_every_sheet_gauge_has_a_weight_to_check_it() -> None:
    assert set(units.SHEET_GAUGE) == set(OUNCES)


@pytest.mark.parametrize("scale", [units.SHEET_GAUGE, units.BWG, units.SWG], ids=["sheet", "bwg", "swg"])
def test_a_higher_gauge_is_thinner(scale: dict[int, Fraction]) -> None:
    sizes = [scale[number] for number in sorted(scale)]
    assert all(thick > thin for thick, thin in zip(sizes, sizes[1:], strict=False))


@pytest.mark.parametrize(("number", "mm"), [(11, 3.048), (13, 2.413), (14, 2.108), (16, 1.651)])
def test_bwg_walls(number: int, mm: float) -> None:
    """Birmingham wire gauge as held by the fluids package 1.3.1, printed to 1 um."""
    assert float(units.BWG[number] * units.INCH) == pytest.approx(mm, abs=0.0005)


@pytest.mark.parametrize(
    ("number", "mm"),
    [
        (4, 5.89),
        (8, 4.06),
        (10, 3.25),
        (12, 2.64),
        (14, 2.03),
        (16, 1.63),
        (18, 1.22),
        (20, 0.91),
        (26, 0.46),
    ],
)
def test_swg_sheet(number: int, mm: float) -> None:
    """Imperial standard wire gauge, BS 3737 as steel stockists print it, to 0.01 mm."""
    assert float(units.SWG[number] * units.INCH) == pytest.approx(mm, abs=0.0051)


@pytest.mark.parametrize(("scale", "schedule"), [(units.BWG, "BWG"), (units.SWG, "BSWG")], ids=["bwg", "swg"])
def test_gauges_agree_with_an_independent_table(scale: dict[int, Fraction], schedule: str) -> None:
    """fluids 1.3.1; its SI column is rounded to 1 um, so inches are compared."""
    piping = pytest.importorskip("fluids.piping", reason="fluids is not installed")
    for number, size in scale.items():
        assert float(size) == pytest.approx(piping.t_from_gauge(number, False, schedule), abs=1e-9), number

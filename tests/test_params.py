"""A record of values: what is stored, what is refused, and that everything wrong is said at once."""

from __future__ import annotations

import json
import math
import pickle
import random
import re
import subprocess
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import Annotated, Any, ClassVar

import pytest
from hypothesis import given, settings
from values import sample, sets

from brackets.core.errors import InputError, OutOfRange
from brackets.core.schema.checked import Checked, Where, fields
from brackets.core.schema.kinds import (
    by_name,
    choice,
    count,
    deg,
    lengths,
    mm,
    number,
    numbers,
    point,
    points,
    stock,
    text,
    texts,
    yes_no,
)
from brackets.core.schema.reading import (
    canonical,
    changed,
    from_mapping,
    from_texts,
    json_values,
    limits,
    stated,
    unstated,
    values,
)
from brackets.core.schema.rows import od_wall
from brackets.core.schema.rule import Text
from brackets.core.tables.bolt_rows import BOLTS, bolt
from brackets.core.tables.kinds import row, tube
from brackets.core.tables.stock_rows import PLATE

Point = tuple[float, float]


@dataclass(frozen=True, kw_only=True)
class Everything(Checked):
    """One value of every kind."""

    bush_od: Annotated[float, mm(20, 90, "bush outer diameter")] = 50.0
    t: Annotated[float, stock(PLATE, "plate", lo=1, hi=25)] = 6.0
    bolt: Annotated[str, row("bolt", "bush bolt")] = "M12"
    bush: Annotated[str | None, row("bush", "bush")] = None
    steel: Annotated[str, row("material", "what it is made of", among=("S235", "S355"))] = "S235"
    arm: Annotated[str, row("tube", "arm tube")] = "38x3"
    holes: Annotated[tuple[Point, ...], points(2, "hole centres", at_least=1)] = ((0.0, 0.0), (80.0, 0.0))
    toward: Annotated[tuple[float, float, float] | None, point(3, "towards the rail")] = None
    back: Annotated[bool, yes_no("a back between the ears")] = True
    seat: Annotated[str, choice(("round", "flat"), "what it stands on")] = "round"
    lean: Annotated[float | None, deg(-45, 45, "lean of the ears")] = None
    gussets: Annotated[int, count(0, 4, "gussets")] = 2
    notch: Annotated[float, number(0, 1, "share of a half round")] = 0.5
    note: Annotated[str, text("printed on the sheet", longest=20)] = ""
    bosses: Annotated[tuple[str, ...], texts("bosses it bolts to")] = ()
    reach: Annotated[tuple[float, ...], lengths(0, 500, "reaches")] = (50.0,)
    shares: Annotated[tuple[float, ...], numbers(0, 1, "shares", at_most=3)] = (0.25,)
    washers: Annotated[tuple[tuple[str, float], ...], by_name(0.5, 20, "washer under the plate")] = ()
    cuts: Annotated[tuple[tuple[float, ...], ...], points(3, "lightening", axes=("x", "y", "d"))] = ()

    def rules(self) -> Iterator[str]:
        if self.bush_od > 80 and self.t < 5:
            yield f"t = {self.t:g} mm, must be at least 5 mm for a bush over 80: plate"
        if self.back and self.lean == 44:
            yield "lean = 44 deg, must be another angle with a back: lean of the ears"


def refused(make: Callable[[], object]) -> tuple[str, ...]:
    with pytest.raises(InputError) as caught:
        make()
    return caught.value.problems


# ------------------------------------------------------------------------------------------ what is stored


def test_values_are_stored_plain() -> None:
    numpy = pytest.importorskip("numpy")
    p = Everything(
        bush_od=numpy.float64(60),
        t=5,
        gussets=numpy.int64(3),
        holes=[(0, numpy.float32(2.5))],  # type: ignore[arg-type]
        bolt=numpy.str_("m12"),
    )
    plain = (type(p.bush_od), type(p.t), type(p.gussets), type(p.holes[0][1]), type(p.bolt))
    assert plain == (float, float, int, float, str)
    assert (type(p.holes), type(p.holes[0])) == (tuple, tuple)


@pytest.mark.parametrize(("typed", "kept"), [(1e-300, 0.0), (-9.9e-151, 0.0), (1e-150, 1e-150), (5e-324, 0.0)])
def test_a_value_whose_square_has_no_digits_becomes_zero(typed: float, kept: float) -> None:
    assert Everything(lean=typed).lean == kept


def test_minus_zero_becomes_zero() -> None:
    p = Everything(lean=-0.0, holes=((-0.0, 0.0),))
    assert math.copysign(1, p.lean or 0.0) == 1
    assert math.copysign(1, p.holes[0][0]) == 1


def test_equal_values_are_equal_and_hash_alike_whoever_stated_them() -> None:
    a, b = Everything(), Everything(t=6)
    assert a == b
    assert hash(a) == hash(b)
    assert canonical(a) == canonical(b)
    assert stated(a) != stated(b)


def test_a_row_is_stored_under_the_name_of_its_table() -> None:
    assert Everything(bolt="m 12").bolt == "M12"
    assert Everything(arm="38.0 X 3").arm == "38x3"
    assert od_wall(Everything(arm="38.0 X 3").arm) == (38.0, 3.0)


def test_names_of_a_table_are_kept_in_order() -> None:
    p = Everything(washers={"H4": 3.5, "B4": 4})  # type: ignore[arg-type]
    assert p.washers == (("B4", 4.0), ("H4", 3.5))


@dataclass(frozen=True, kw_only=True)
class Pair(Checked):
    """Two values: a length and a word."""

    d: Annotated[float, mm(1, 10, "a hole")] = 5.0
    side: Annotated[str, choice(("left", "right"), "its side")] = "left"


@pytest.mark.parametrize(
    ("given", "kind"),
    [
        ({"d": "11"}, OutOfRange),
        ({"d": "wide"}, InputError),
        ({"side": "top"}, InputError),
        ({"d": "11", "side": "top"}, InputError),
        ({"d": "11", "depth": "3"}, InputError),
    ],
)
def test_out_of_range_is_raised_where_nothing_but_the_range_is_wrong(given: dict[str, str], kind: type) -> None:
    for make in (lambda: from_texts(Pair, given), lambda: from_mapping(Pair, given, where="part a")):
        with pytest.raises(InputError) as caught:
            make()
        assert type(caught.value) is kind
        assert type(pickle.loads(pickle.dumps(caught.value))) is kind


def test_a_record_made_by_hand_out_of_range_says_so_by_its_type() -> None:
    with pytest.raises(OutOfRange, match="d = 11 mm"):
        Pair(d=11.0)
    with pytest.raises(InputError) as caught:
        Pair(d=11.0, side="top")
    assert type(caught.value) is InputError


def test_params_survive_pickle_with_what_was_stated() -> None:
    p = Everything(t=8)
    back = pickle.loads(pickle.dumps(p))
    assert back == p
    assert stated(back) == {"t"}


# ------------------------------------------------------------------------------------------ what is refused

WRONG: dict[str, tuple[dict[str, Any], str]] = {
    "low": ({"bush_od": 19.9}, "bush_od = 19.9 mm, must be 20 to 90 mm: bush outer diameter"),
    "high": ({"bush_od": 90.001}, "bush_od = 90.001 mm, must be 20 to 90 mm: bush outer diameter"),
    "nan": ({"bush_od": math.nan}, "bush_od = nan mm, must be 20 to 90 mm: bush outer diameter"),
    "inf": ({"bush_od": math.inf}, "bush_od = inf mm, must be 20 to 90 mm: bush outer diameter"),
    "huge int": ({"bush_od": 10**400}, "bush_od = inf mm, must be 20 to 90 mm: bush outer diameter"),
    "true": ({"bush_od": True}, "bush_od = true, must be a number of mm, 20 to 90 mm: bush outer diameter"),
    "text": ({"t": "6"}, 't = "6", must be a number of mm, 1 to 25 mm: plate'),
    "none": ({"t": None}, "t = nothing, must be a number of mm, 1 to 25 mm: plate"),
    "stock": ({"t": 30}, "t = 30 mm, must be 1 to 25 mm, nearest stock 25 mm: plate"),
    "bolt": ({"bolt": "M13"}, 'bolt = "M13", not in the table; nearest: M12, '),
    "bolt number": ({"bolt": 12}, "bolt = 12, must be a row of the bolt table: bush bolt"),
    "bush": ({"bush": "R61"}, 'bush = "R61", '),
    "among": ({"steel": "S275"}, "steel = S275, must be one of S235, S355: what it is made of"),
    "tube": ({"arm": "38"}, 'arm = "38", must be od x wall in mm such as 38x3, od 10 to 115, wall 1 to 10'),
    "tube wall": ({"arm": "10x6"}, "arm = 10x6, wall must be under 5 mm, half the od: arm tube"),
    "tube od": ({"arm": "200x3"}, "arm od = 200 mm, must be 10 to 115 mm: arm tube"),
    "no holes": ({"holes": ()}, "holes = 0 entries, must be at least 1: hole centres"),
    "three": ({"holes": ((0, 0, 0),)}, "holes 1 = (0, 0, 0), must be 2 coordinates (x, y): hole centres"),
    "word": (
        {"holes": ((0, "a"),)},
        'holes 1 y = "a", must be a number of mm, -3000 to 3000 mm: hole centres',
    ),
    "no list": ({"holes": 3}, "holes = 3, must be a list of 1 or more, each x,y, each -3000 to 3000 mm"),
    "yes": ({"back": 1}, "back = 1, must be true or false: a back between the ears"),
    "choice": ({"seat": "rond"}, 'seat = "rond", must be one of round, flat: what it stands on'),
    "angle": ({"lean": 46}, "lean = 46 deg, must be -45 to 45 deg: lean of the ears"),
    "count": ({"gussets": 2.5}, "gussets = 2.5, must be a whole number such as 4: gussets"),
    "counts": ({"gussets": 5}, "gussets = 5, must be a whole number, 0 to 4: gussets"),
    "number": ({"notch": 1.5}, "notch = 1.5, must be 0 to 1: share of a half round"),
    "long": ({"note": "x" * 21}, f'note = "{"x" * 21}", must be one line of at most 20 characters: printed'),
    "lines": ({"note": "a\nb"}, "note = 'a\\nb', must be one line of at most 20 characters: printed"),
    "texts": ({"bosses": "H1"}, 'bosses = "H1", must be a list of 0 or more, each one line of at most 80'),
    "many": ({"shares": (0, 0, 0, 0)}, "shares = 4 entries, must be at most 3: shares"),
    "washer": ({"washers": {"H4": 99}}, "washers H4 = 99 mm, must be 0.5 to 20 mm: washer under the plate"),
    "twice": ({"washers": (("H", 1), ("H", 2))}, "washers = H twice, must have each name once: washer"),
    "unnamed": ({"washers": {1: 1}}, "washers = {1: 1}, must have names that are words: washer"),
    "no table": ({"washers": 3.5}, "washers = 3.5, must be name = value, each 0.5 to 20 mm: washer"),
}


@pytest.mark.parametrize("case", WRONG)
def test_a_wrong_value_is_refused_in_one_line(case: str) -> None:
    given, line = WRONG[case]
    (problem,) = refused(lambda: Everything(**given))
    assert problem.startswith(line)
    assert "\n" not in problem


def test_all_wrong_values_come_at_once() -> None:
    problems = refused(lambda: Everything(bush_od=1, t=math.nan, holes=((0, math.inf), (9e9, 0))))
    assert [problem.partition(" = ")[0] for problem in problems] == [
        "bush_od",
        "t",
        "holes 1 y",
        "holes 2 x",
    ]


def test_rules_are_asked_only_when_single_values_are_right() -> None:
    assert refused(lambda: Everything(bush_od=85, t=0.5)) == (
        "t = 0.5 mm, must be 1 to 25 mm, nearest stock 1 mm: plate",
    )


def test_all_broken_rules_come_at_once() -> None:
    problems = refused(lambda: Everything(bush_od=85, t=4, lean=44))
    assert [problem.partition(" = ")[0] for problem in problems] == ["t", "lean"]


@pytest.mark.parametrize("name", [p.name for p in fields(Everything)])
def test_every_value_refuses_what_is_no_value_at_all(name: str) -> None:
    (problem,) = refused(lambda: Everything(**{name: object()}))
    assert problem.startswith(f"{name} = ")


# --------------------------------------------------------------------------------------- limits and samples


@pytest.mark.parametrize(("name", "value"), limits(Everything))
def test_every_limit_is_allowed_itself(name: str, value: Any) -> None:
    assert getattr(Everything(**{name: value}), name) == value


SIZES = [p for p in fields(Everything) if p.rule.slider is not None]


@pytest.mark.parametrize("param", SIZES, ids=lambda p: p.name)
def test_just_outside_a_limit_is_refused(param: Any) -> None:
    lo, hi, _ = param.rule.slider
    for outside in (math.nextafter(lo, -math.inf), math.nextafter(hi, math.inf)):
        assert len(refused(lambda outside=outside: Everything(**{param.name: outside}))) == 1  # type: ignore[misc]


@pytest.mark.parametrize("param", SIZES, ids=lambda p: p.name)
def test_slider_steps_are_round_and_few(param: Any) -> None:
    lo, hi, step = param.rule.slider
    assert 0 < step <= max(hi - lo, 1)
    assert re.fullmatch(r"[125]e[+-]\d\d", f"{step:.0e}")


MANY = settings(max_examples=50, deadline=None)

SETS = sets(Everything).map(lambda drawn: drawn | {"bush_od": 50.0, "lean": None})
"""Random sets that no rule between the values stands against."""


@MANY
@given(sets(Everything))
def test_random_values_keep_their_own_limits(drawn: dict[str, Any]) -> None:
    allowed = drawn | {"bush_od": 50.0, "lean": None}
    assert values(Everything(**allowed)) == allowed
    for name, value in drawn.items():
        assert {p.name: p for p in fields(Everything)}[name].plain(value) == value


def test_random_values_differ_and_repeat(rng: Callable[[int], random.Random]) -> None:
    assert sample(Everything, rng(1)) == sample(Everything, rng(1)) != sample(Everything, rng(2))


# ---------------------------------------------------------------------------------------------- round trips


@MANY
@given(SETS)
def test_texts_read_back_to_the_same_values(drawn: dict[str, Any]) -> None:
    made = Everything(**drawn)
    written = {p.option[2:]: p.to_text(getattr(made, p.name)) for p in fields(Everything)}
    assert from_texts(Everything, written) == made


@MANY
@given(SETS)
def test_json_reads_back_to_the_same_values(drawn: dict[str, Any]) -> None:
    made = Everything(**drawn)
    assert from_mapping(Everything, json.loads(json.dumps(json_values(made)))) == made


@pytest.mark.parametrize("size", [1e-7, 0.00012345678901234567, 44.45, 1 / 3, 25.4 * 3 / 64, 123456.789, 2.0**-40])
def test_the_text_of_a_length_reads_back_exactly(size: float) -> None:
    rule = mm(0, 1e6, "any")
    assert rule.from_text(rule.to_text(size), name="x", bare="in") == size


def test_canonical_text_is_the_same_in_another_process() -> None:
    script = (
        "from dataclasses import dataclass\nfrom typing import Annotated\n"
        "from brackets import Checked, by_name, mm\nfrom brackets.core.schema.reading import canonical\n"
        "@dataclass(frozen=True, kw_only=True)\nclass P(Checked):\n"
        "    b: Annotated[float, mm(0, 9, 'b')] = 0.1\n    a: Annotated[tuple, by_name(0, 9, 'a')] = ()\n"
        "print(canonical(P(b=-0.0, a={'z': 1, 'é': 2})))"
    )
    runs = {
        subprocess.run(
            [sys.executable, "-c", script],
            capture_output=True,
            text=True,
            check=True,
            env={"PYTHONHASHSEED": seed, "PYTHONPATH": ":".join(sys.path)},
        ).stdout
        for seed in ("1", "2")
    }
    assert runs == {'{"a":[["z",1.0],["\\u00e9",2.0]],"b":0.0}\n'}


# ------------------------------------------------------------------------------------- stated and changed


def test_what_the_user_gave_is_known_even_where_it_is_the_default() -> None:
    p = from_texts(Everything, {"t": "6", "bush-od": "60"})
    assert stated(p) == {"t", "bush_od"}
    assert "bolt M12" in unstated(p)
    assert not [line for line in unstated(p) if line.startswith(("t ", "bush_od "))]


def test_unstated_values_are_told_with_their_unit() -> None:
    told = unstated(from_texts(Everything, {}))
    assert {"t 6 mm", "back yes", "lean none", "holes 0,0; 80,0", "washers none", "notch 0.5"} <= set(told)


def test_a_change_is_checked_and_counts_as_stated() -> None:
    p = changed(from_texts(Everything, {"t": "8"}), bush_od=60)
    assert (p.bush_od, p.t) == (60.0, 8.0)
    assert stated(p) == {"t", "bush_od"}
    assert refused(lambda: changed(p, bush_od=200)) == (
        "bush_od = 200 mm, must be 20 to 90 mm: bush outer diameter",
    )
    assert refused(lambda: changed(p, bush_of=50)) == ("bush_of: no such value, nearest: bush_od",)


# --------------------------------------------------------------------------------- rules that are mistaken


def test_a_class_that_is_no_frozen_dataclass_is_refused() -> None:
    class Bare(Checked):
        t: Annotated[float, mm(1, 2, "t")] = 1.0

    with pytest.raises(TypeError, match=r"Bare must be a @dataclass\(frozen=True, kw_only=True\)"):
        fields(Bare)


def test_a_value_without_a_rule_is_refused() -> None:
    @dataclass(frozen=True, kw_only=True)
    class Loose(Checked):
        t: float = 1.0

    with pytest.raises(TypeError, match=r"Loose\.t must be Annotated with one rule"):
        fields(Loose)


def test_a_value_that_may_stand_without_its_name_is_refused() -> None:
    @dataclass(frozen=True)
    class Placed(Checked):
        t: Annotated[float, mm(1, 2, "t")] = 1.0

    with pytest.raises(TypeError, match=r"Placed\.t must be kw_only"):
        fields(Placed)


def test_post_init_of_a_recipe_is_refused() -> None:
    with pytest.raises(TypeError, match="Own: write relations between values in rules"):

        class Own(Checked):
            def __post_init__(self) -> None: ...


MISTAKES: dict[str, tuple[Callable[[], object], str]] = {
    "lo over hi": (lambda: mm(9, 1, "x"), "limits = 9.0 to 1.0, must be low to high: x"),
    "count": (lambda: count(4, 1, "x"), "limits = 4 to 1, must be low to high: x"),
    "nan": (lambda: deg(0, math.nan, "x"), "limits = 0.0 to nan, must be low to high: x"),
    "step": (lambda: mm(0, 1, "x", step=0), "step = 0, must be above 0: x"),
    "table": (lambda: row("bolts", "x"), 'table = "bolts", must be one of bolt, bush, material: x'),
    "no words": (lambda: choice((), "x"), "choices = (), must be different words: x"),
    "same words": (lambda: choice(("a", "A"), "x"), "choices = ('a', 'A'), must be different words: x"),
}


@pytest.mark.parametrize("case", MISTAKES)
def test_a_mistaken_rule_is_refused_where_it_is_written(case: str) -> None:
    make, line = MISTAKES[case]
    assert refused(make) == (line,)


def test_a_value_without_a_default_must_be_given() -> None:
    @dataclass(frozen=True, kw_only=True)
    class Asks(Checked):
        reach: Annotated[float, mm(20, 250, "bush centre to the rail")]
        t: Annotated[float, mm(1, 25, "plate")] = 6.0

    assert refused(lambda: from_texts(Asks, {"t": "99"})) == (
        "t = 99 mm, must be 1 to 25 mm: plate",
        "reach = nothing, must be 20 to 250 mm: bush centre to the rail",
    )
    assert from_texts(Asks, {"reach": "80"}).reach == 80.0


def test_a_tube_rule_keeps_its_own_limits() -> None:
    rule = tube("arm", od=(20, 40), wall=(2, 3))
    assert set(rule.edges()) <= set(rule.choices)
    assert all(20 <= od_wall(size)[0] <= 40 and 2 <= od_wall(size)[1] <= 3 for size in rule.choices)


@dataclass(frozen=True, kw_only=True)
class Ended(Checked):
    """A row whose `kind` says which of its other values are there."""

    kind: Annotated[str, choice(("stud", "hole", "plain, long"), "how it ends")]
    long: Annotated[float | None, mm(1, 50, "length of the stud")] = None
    end_top: Annotated[float | None, mm(1, 5, "upper end")] = None
    end_low: Annotated[float | None, mm(1, 5, "lower end")] = None
    deep: Annotated[float, mm(0, 50, "depth of the hole")] = 0.0
    ring_in: Annotated[float | None, mm(1, 9, "inside of the ring")] = None
    ring_out: Annotated[float | None, mm(1, 9, "outside of the ring")] = None

    _where: ClassVar[tuple[Where, ...]] = (
        Where(key="kind", words=("stud",), must=("long", "end"), may=("ring",)),
        Where(key="kind", words=("hole", "plain, long"), may=("deep",)),
    )
    _whole: ClassVar[tuple[str, ...]] = ("ring",)


def test_a_word_says_which_values_must_be_there_and_which_may() -> None:
    assert Ended(kind="stud", long=5.0, end_low=2.0).deep == 0.0
    assert Ended(kind="stud", long=5.0, end_top=2.0, deep=0.0).long == 5.0  # what is its default is let be
    assert Ended(kind="hole", deep=3.0) == from_mapping(Ended, {"kind": "HOLE", "deep": 3})
    lacking = (
        "long = nothing, must be 1 to 50 mm where kind is stud: length of the stud",
        "end = nothing, must have top or low where kind is stud",
    )
    assert refused(lambda: Ended(kind="stud")) == lacking
    assert refused(lambda: from_mapping(Ended, {"kind": "stud", "long": "none"})) == lacking
    assert refused(lambda: Ended(kind="hole", long=5.0)) == (
        "long = 5 mm, only where kind is stud: length of the stud",
    )
    assert refused(lambda: from_mapping(Ended, {"kind": "stud", "long": 5, "end": {"top": 2}, "deep": "1in"})) == (
        'deep = 25.4 mm, only where kind is hole or "plain, long": depth of the hole',
    )


def test_what_a_word_asks_is_said_with_every_other_wrong_value() -> None:
    assert refused(lambda: from_mapping(Ended, {"kind": "stud", "end_top": 9, "deep": 60}, where="row a")) == (
        "row a: end_top = 9 mm, must be 1 to 5 mm: upper end",
        "row a: deep = 60 mm, must be 0 to 50 mm: depth of the hole",
        "row a: long = nothing, must be 1 to 50 mm where kind is stud: length of the stud",
        'row a: deep = 60, only where kind is hole or "plain, long": depth of the hole',
    )
    (line,) = refused(lambda: from_mapping(Ended, {"kind": "stad", "deep": 3}))
    assert line.startswith('kind = "stad", must be one of stud, hole, "plain, long": ')


def test_a_group_is_there_whole_or_not_at_all() -> None:
    whole = {"kind": "stud", "long": 5.0, "end_top": 2.0, "ring_in": 3.0}
    assert from_mapping(Ended, {**whole, "ring_out": 4}).ring_out == 4.0
    assert refused(lambda: from_mapping(Ended, whole)) == (
        "ring_out = nothing, must be 1 to 9 mm: outside of the ring",
    )
    assert refused(lambda: Ended(kind="hole", ring_in=3.0)) == (
        "ring_in = 3 mm, only where kind is stud: inside of the ring",
    )


def test_a_text_may_not_be_left_empty_where_it_must_say_something() -> None:
    rule = Text(meaning="its name", longest=4, least=1)
    assert rule.from_text(" R ", name="name") == "R"
    assert rule.edges() == ("x", "xxxx")
    for typed in ("", "  ", "abcde"):
        assert refused(lambda typed=typed: rule.from_text(typed, name="name")) == (
            f'name = "{typed}", must be one line of 1 to 4 characters: its name',
        )


def test_rows_of_a_file_that_is_being_read_come_before_the_shipped() -> None:
    own = replace(bolt("M12"), name="Shop")
    rule = row("bolt", "its bolt")
    with BOLTS.own_first((own,)):
        assert rule.from_text("shop", name="b") == "Shop"
        assert rule.from_text("m10", name="b") == "M10"
        (line,) = refused(lambda: rule.from_text("M13", name="b"))
        assert line.endswith("; your own: Shop: its bolt")
    (line,) = refused(lambda: rule.from_text("shop", name="b"))
    assert "your own" not in line

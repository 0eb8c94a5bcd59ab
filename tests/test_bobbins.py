"""Bobbins, bushes with a thread at each end: rows, bodies, and a small bay cleared end to end by sums done by hand.

The bay: a bobbin of 50 x 40 with M10 studs of 28 about (0, 0, 120), upright. Its flats are at z = 100 and 140;
plates of 3, rubber from 103 to 137. The shelf below is 6 thick, 56 wide, from y = -28 to a rail's face at 45, whose
top is at z = 100; the one above the same turned round, to a block's face at y = -45, whose underside is at z = 120.
M10: washers 2 thick and 20 wide, a nut 8.4 high and 16 across flats, hole 11.
"""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from dataclasses import replace

import pytest
from bobbin_bay import read_text, standing, text
from json_schema import problems
from kernel import AGREE, disagreement

from brackets import bobbin, bobbin_end, bobbin_rubber, nut_on, recipe
from brackets.bay.bolts.bobbin_rules import over_edge
from brackets.bay.bolts.bolting import bolts
from brackets.bay.checks import bay_findings
from brackets.bay.clear.paths import BayPath, bay_paths
from brackets.bay.fitting import Fit, at_rest, fit
from brackets.bay.report.bolt_records import bolt_record
from brackets.bay.report.rows import bolt_row
from brackets.bay.report.whole import mass_rows, to_buy
from brackets.bay.schema.keys import BAY_KEYS
from brackets.bay.stand.bobbin_ends import EndBolt, StudNut, end_fasteners
from brackets.bay.stand.placed import placed_bay
from brackets.bay.stand.placed_part import PlacedBay
from brackets.clearance.bodies import body
from brackets.core.errors import BadFile, InputError
from brackets.core.place import Place
from brackets.core.schema.file_keys import listed
from brackets.core.schema.json_schema import json_schema
from brackets.core.schema.reading import from_mapping
from brackets.core.tables.bolt_rows import bolt
from brackets.core.tables.bush_rows import Bobbin, BobbinEnd, Bush
from brackets.core.tables.bush_table import BushRow, any_bush, bush
from brackets.core.tables.own_rows import own_rows
from brackets.kernel.solids import shape
from brackets.model.part import Part
from brackets.output import bolt_schemas, facts
from brackets.output.assembly import assembled

STEEL, RUBBER = 7850e-9, 1100e-9
"""kg/mm3."""
DISC, BAR = math.pi * 25**2, math.pi * 5**2
"""mm2 of the bobbin, and of its M10 thread."""
NUT = (math.sqrt(3) / 2 * 16**2 - BAR) * 8.4 + (math.pi * 10**2 - math.pi * 10.5**2 / 4) * 2
"""mm3 of an M10 nut, drawn with a bore of 10, and its washer, 10.5 bore (ISO 7089)."""

ROW = {
    "name": "B", "kind": "rubber bobbin", "od": 50, "height": 40, "plate_t": 3, "thread": "M10",
    "first": {"stud": 28}, "second": {"tapped": 15}, "travel": {"radial": 3, "axial": 2}, "mass": 0.3,
}  # fmt: skip


def row_of(raw: Mapping[str, object], bare: str = "mm") -> Bush | Bobbin:
    return from_mapping(BushRow, raw, bare=bare, where="bush B").record


def test_a_row_says_what_a_bobbin_is() -> None:
    made = row_of(ROW)
    assert isinstance(made, Bobbin)
    assert (made.plate_od, made.rubber_length, made.load, made.stiffness_axial) == (50, 34, None, None)
    assert made.ends == (BobbinEnd(stud=28, tapped=None), BobbinEnd(stud=None, tapped=15))
    assert row_of({**ROW, "plate_od": "2in"}, bare="mm").od == 50


@pytest.mark.parametrize(
    ("change", "line"),
    [
        ({"plate_t": 19.6}, "bush B: plate_t = 19.6 mm, must be at most 19.5 mm: rubber is left between two"),
        ({"plate_od": 10}, "bush B: plate_od = 10 mm, must be over the thread's 10 mm"),
        ({"thread": "M11"}, "bush B: thread = \"M11\", not in the table"),
        ({"first": {}}, "bush B: first = nothing, must have stud or tapped where kind is rubber bobbin"),
        ({"first": {"stud": 28, "tapped": 9}}, "bush B: first = both stud and tapped, must have one of the two"),
        ({"second": {"tapped": 37}}, "bush B: second_tapped = 37 mm, must be under 37 mm: it ends before"),
        ({"first": {"tapped": 25}}, "bush B: second_tapped = 15 mm, must be under 15 mm: it ends before the"),
        ({"first": {"stud": 28, "depth": 3}}, "bush B: first_depth: no such value, nearest: first_"),
        ({"sleeve_od": 18}, "bush B: sleeve_od = 18 mm, only where kind is bonded rubber or "),
        ({"kind": "rubber bobbins"}, "bush B: kind = \"rubber bobbins\", must be one of bonded rubber"),
    ],
    ids=lambda v: "",
)
def test_a_row_that_makes_no_sense_is_refused(change: dict[str, object], line: str) -> None:
    with pytest.raises(InputError) as caught:
        row_of({**ROW, **change})
    assert any(line in problem for problem in caught.value.problems), caught.value.problems


def test_what_is_just_within_its_limits_is_read() -> None:
    assert row_of({**ROW, "plate_t": 19.5}).name == "B"
    assert row_of({**ROW, "second": {"tapped": 36.9}}).name == "B"
    assert row_of({**ROW, "first": {"tapped": 24.9}}).name == "B"


def test_a_sleeve_bush_and_a_bobbin_are_looked_up_by_their_own_names() -> None:
    assert any_bush("s50") is bobbin("S50")
    assert any_bush("r60") is bush("R60")
    with pytest.raises(InputError, match="bush = \"S50\", must be one of R60"):
        bush("S50")
    with pytest.raises(InputError, match="bush = \"R60\", must be one of S50, S40"):
        bobbin("R60")
    own = own_rows({"format": 1, "bush": [{**ROW, "name": "S50"}]})
    assert (own.bobbin("s50").height, own.bobbin("S40").height, own.bush("R60").od) == (40, 30, 60)
    assert own.bobbin("S50").stamp == ""
    with pytest.raises(InputError, match="S60"):
        own.bobbin("S60")


@pytest.mark.parametrize("first", [{"stud": 28}, {"tapped": 2}, {"tapped": 12}])
@pytest.mark.parametrize("second", [{"stud": 20}, {"tapped": 3}, {"tapped": 15}])
def test_rubber_and_ends_fill_what_their_sizes_say(first: dict[str, float], second: dict[str, float]) -> None:
    """Cylinders less the holes: of a hole of 15 under a plate of 3, 12 are in the rubber."""
    made = row_of({**ROW, "first": first, "second": second})
    assert isinstance(made, Bobbin)
    deep = [max(0.0, end.get("tapped", 0.0) - 3) for end in (first, second)]
    rubber = bobbin_rubber(made)
    assert rubber.mass.kg / RUBBER == pytest.approx(DISC * 34 - BAR * sum(deep), rel=1e-12)
    assert max(disagreement(rubber.pieces[0])) < AGREE
    for which, end in (("first", first), ("second", second)):
        part = bobbin_end(made, which)
        volume = DISC * 3 - BAR * min(3, end.get("tapped", 0.0)) + BAR * end.get("stud", 0.0)
        assert part.mass.kg / STEEL == pytest.approx(volume, rel=1e-12)
        assert all(max(disagreement(piece)) < AGREE for piece in part.pieces)
    low, high = spans(bobbin_end(made, "first")), spans(bobbin_end(made, "second"))
    assert (low, high) == ((-20 - first.get("stud", 0), -17), (17, 20 + second.get("stud", 0)))


def spans(part: Part) -> tuple[float, float]:
    low, high = body(shape(part), name="part").box[:, 2]
    return round(float(low), 6), round(float(high), 6)


def test_a_nut_and_its_washers_stand_on_a_stud() -> None:
    made = nut_on(bolt("M10"))
    assert made.mass.kg / STEEL == pytest.approx(NUT, rel=1e-9)
    assert spans(made) == (0, 10.4)
    assert spans(nut_on(bolt("M10"), washers=3)) == (0, 14.4)


def test_a_poly_bobbin_is_of_poly() -> None:
    made = row_of({**ROW, "kind": "poly bobbin"})
    assert isinstance(made, Bobbin)
    assert [piece.material for piece in bobbin_rubber(made).pieces] == ["polyurethane"]


@pytest.fixture(scope="module")
def fitted() -> Fit:
    return fit(read_text(text()))


def between(found: Fit, a: str, b: str) -> tuple[str, float, float]:
    pair = next(pair for pair in found.pairs if {pair.a, pair.b} == {a, b})
    return pair.state, pair.low, pair.rule.rest


@pytest.mark.parametrize(
    ("a", "b", "gap", "asked"),
    [
        ("m bush", "rail", math.hypot(45 - 25, 103 - 100), 10),
        ("m bush", "block", 45 - 25, 3),
        ("m chassis end", "rail", 45 - 25, 3),
        ("m chassis end", "block", math.hypot(45 - 25, 120 - 103), 10),
        ("m powertrain end", "rail", math.hypot(45 - 25, 137 - 100), 10),
        ("m powertrain end", "lower", 137 - 100, 5),
        ("m chassis end", "upper", 140 - 103, 5),
        ("m chassis nut", "rail", 45 - 10, 3),
        ("lower", "upper", 140 - 100, 5),
        ("lower", "block", math.hypot(45 - 28, 120 - 100), 10),
        ("upper", "rail", math.hypot(45 - 28, 140 - 100), 10),
    ],
)
def test_the_gaps_of_a_bobbin_are_those_worked_out(fitted: Fit, a: str, b: str, gap: float, asked: float) -> None:
    state, low, rest = between(fitted, a, b)
    assert state == "clear"
    assert low == pytest.approx(gap, abs=2e-3)
    assert rest == asked


def test_what_is_bolted_to_a_bobbin_may_touch_it_and_fouls_nothing(fitted: Fit) -> None:
    assert {pair.state for pair in fitted.pairs} == {"clear", "contact", "fit-up"}
    for a, b in (
        ("m bush", "m chassis end"), ("m chassis end", "lower"), ("m chassis end", "m chassis nut"),
        ("m chassis nut", "lower"), ("m powertrain end", "upper"), ("m powertrain nut", "upper"),
    ):  # fmt: skip
        assert between(fitted, a, b)[:2] == ("contact", pytest.approx(0, abs=1e-5))


def test_gaps_of_a_bobbin_when_moved(fitted: Fit) -> None:
    """The rubber goes with the powertrain, 2 down: its gap to the rail is 20 across and 1 up. The plates come 2
    nearer to the other half by the travel of the bush."""
    least = {(m.a, m.b, m.worst.split(",")[0]): (m.low, m.high) for m in fitted.moved}
    low, high = next(value for key, value in least.items() if key[:2] == ("m bush", "rail"))
    assert low <= math.hypot(20, 1) <= high + 1e-6
    assert high - low < 0.1
    assert least["m powertrain end", "lower", "bush endways"][0] == pytest.approx(37 - 2, abs=1e-4)


def test_the_shelves_stand_whole_on_rail_and_block(fitted: Fit) -> None:
    for seat in fitted.seats:
        assert (seat.share, seat.bare) == (pytest.approx(1, abs=1e-6), 0)
        # 56 of 6, two gussets of 5 x 40 less a heel of 6
        assert seat.area == pytest.approx(56 * 6 + 2 * 5 * (40 - 6), rel=1e-6)
    assert [s.part for s in fitted.seats] == ["lower", "upper"]


def test_a_bobbin_that_fits_is_told_to_be_out_before_welding_and_nothing_else(fitted: Fit) -> None:
    said = [(f.code, f.level) for f in fitted.findings]
    assert said == [("path blocked", "stop"), ("weld near", "caution")]


def test_each_nut_sits_as_worked_out_and_comes_off(fitted: Fit) -> None:
    """28 of stud less 6 of shelf: 22 to wind off; less 2 and 8.4: 11.6 stand out."""
    for one, side, z in zip(fitted.bolts, ("chassis", "powertrain"), (94, 146), strict=True):
        nut = one.bolt
        assert isinstance(nut, StudNut)
        assert (nut.name, nut.side, nut.grip) == (f"m {side} nut", side, pytest.approx(6))
        assert nut.out == pytest.approx(11.6)
        assert nut.face == pytest.approx((0, 0, z))
        assert one.drawn is not None
        assert (one.drawn.out, one.drawn.length) == (True, pytest.approx(22))
        assert [(end.end, end.ok) for end in one.ends] == [("nut", True)]
        row = bolt_row(one)
        assert row.cells[:4] == (nut.name, "lower" if side == "chassis" else "upper", "M10 nut", "yes")
        record = bolt_record(one)
        assert (record["kind"], record["stud_mm"], record["nut"]) == ("stud", 28, "plain")
        assert record["out_of_the_nut_mm"] == pytest.approx(11.6)
        assert list(problems(bolt_schemas.bolt(), json.loads(facts.text(record)))) == []


def test_what_to_buy_for_a_bobbin(fitted: Fit) -> None:
    assert [(item.kind, item.what, item.number) for item in to_buy(fitted)] == [
        ("nut", "M10 plain", 2), ("washer", "M10", 2), ("bush", "B, rubber bobbin, 50 od", 1),
    ]  # fmt: skip


def test_the_mass_of_a_bobbin_is_what_it_was_weighed_at_shared_as_drawn(fitted: Fit) -> None:
    """The rubber is on the powertrain's side with a plate and a stud, the other plate and stud on the chassis."""
    end, rubber = (DISC * 3 + BAR * 28) * STEEL, DISC * 34 * RUBBER
    by = 0.3 / (2 * end + rubber)
    shelf = recipe("stud_seat").build(recipe("stud_seat").Params()).mass.kg
    found = {row.what: row.mass.kg for row in mass_rows(fitted)}
    assert found["mounts on the powertrain"] == pytest.approx(shelf + by * (end + rubber) + NUT * STEEL, rel=1e-9)
    assert found["mounts on the chassis"] == pytest.approx(shelf + by * end + NUT * STEEL, rel=1e-9)


def test_the_mass_of_a_shelf_is_the_sum_of_its_plates() -> None:
    """56 x 73 less two corners of 8 and a hole of 11; gussets of 45 x 40 less the half of 39 x 34
    beyond its noses and a heel of 6 x 6."""
    shelf = (56 * 73 - 2 * (1 - math.pi / 4) * 8**2 - math.pi * 5.5**2) * 6
    gusset = (45 * 40 - (45 - 6) * (40 - 6) / 2 - 6 * 6 / 2) * 5
    opened = recipe("stud_seat")
    assert opened.build(opened.Params()).mass.kg == pytest.approx((shelf + 2 * gusset) * STEEL, rel=1e-12)


def path(found: Fit, name: str) -> BayPath:
    return next(one for one in found.paths if one.name == name)


def test_the_engine_lifts_off_with_its_bobbin_and_not_sideways(fitted: Fit) -> None:
    """Up the stud comes out of its hole; the bobbin's end starts 20 from the rail. Sideways the stud, 10 in a hole
    of 11, meets the shelf."""
    up, aside = path(fitted, "off"), path(fitted, "aside")
    assert set(up.moving) == {"upper", "block", "m bush", "m chassis end", "m powertrain end"}
    assert up.out
    assert up.low == pytest.approx(20, abs=1e-3)
    assert not aside.out
    assert set(aside.pair or ()) == {"m chassis end", "lower"}


def test_a_bobbin_stays_on_the_side_that_its_cup_says() -> None:
    still = at_rest(standing(mount='cup = "chassis"'))
    up, aside = bay_paths(still.stood.bay, still.things)
    assert set(up.moving) == {"upper", "block"}
    assert up.out
    assert set(aside.pair or ()) == {"m powertrain end", "upper"}


def test_a_bobbin_is_in_the_assembly_with_its_nuts(fitted: Fit) -> None:
    parts = [part for thing in fitted.things if (part := assembled(thing.of)) is not None]
    assert {part.name: sorted(piece.name for piece in part.pieces) for part in parts if part.name[0] == "m"} == {
        "m bush": ["rubber"], "m chassis end": ["plate", "stud"], "m powertrain end": ["plate", "stud"],
        "m chassis nut": ["nut", "washer_1"], "m powertrain nut": ["nut", "washer_1"],
    }  # fmt: skip


def fasteners(stood: PlacedBay) -> tuple[StudNut | EndBolt, ...]:
    return end_fasteners(stood.bay, stood.bay.mounts[0], {part.name: part.part for part in stood.parts})


PAN = '[[keep_out]]\nname = "pan"\nbox = { from = [-20, -40, 20], to = [20, 20, 70] }\n'
TAPPED = {"first": "tapped = 15", "second": "tapped = 15", "mount": "bolt = { length = 20 }"}


@pytest.fixture(scope="module")
def screwed() -> Fit:
    """Both ends tapped, M10 x 20, and a pan under the lower one whose top is at z = 70."""
    whole = text(**TAPPED).split("[[path]]")[0]
    return fit(read_text(whole.replace("[powertrain]", f"{PAN}[powertrain]", 1)))


def test_bolts_into_tapped_ends_are_drawn_cleared_and_bought(screwed: Fit) -> None:
    """20 less 2 of washer and 6 of shelf: 12 in the hole. The head stands from z = 92 down to 85.6."""
    assert not [pair for pair in screwed.pairs if pair.state in ("foul", "inside", "touch")]
    held = [one.bolt for one in screwed.bolts]
    assert [one.name for one in held if isinstance(one, EndBolt)] == ["m chassis bolt", "m powertrain bolt"]
    for one in held:
        assert isinstance(one, EndBolt)
        assert one.typed is not None
        assert (one.typed.depth, one.typed.fits) == (pytest.approx(12), True)
    head = bolt("M10").head_height
    assert between(screwed, "m chassis bolt", "pan")[1] == pytest.approx(92 - head - 70, abs=1e-3)
    assert ("bolt", "M10 x 20 8.8", 2) in [(item.kind, item.what, item.number) for item in to_buy(screwed)]


def test_a_bolt_into_a_tapped_end_needs_room_to_come_out(screwed: Fit) -> None:
    """20 long, and only what is between its head and the pan under it."""
    lower, upper = screwed.bolts
    assert lower.drawn is not None
    assert upper.drawn is not None
    assert (lower.drawn.out, upper.drawn.out) == (False, True)
    assert lower.drawn.by == "pan"
    assert lower.drawn.free == pytest.approx(92 - bolt("M10").head_height - 70, abs=0.05)
    assert [f.about for f in screwed.findings if f.code == "bolt drawn"] == [
        ("m chassis bolt", "lower", "pan", "upper"),
    ]
    assert bolt_record(lower)["typed"]["engaged_mm"] == pytest.approx(12)
    assert list(problems(bolt_schemas.bolt(), json.loads(facts.text(bolt_record(lower))))) == []
    assert bolt_row(upper).cells[:3] == ("m powertrain bolt", "upper", "M10 x 20")


def test_a_bolt_is_chosen_from_stock_where_none_is_typed() -> None:
    """8 of plate: 21.9 to 23.5 under one washer, which is none; 23.9 to 25.5 under two: 25."""
    stood = standing(**{**TAPPED, "mount": "", "lower": "t = 8"})
    lower, upper = fasteners(stood)
    assert isinstance(lower, EndBolt)
    assert isinstance(upper, EndBolt)
    assert lower.drawn is not None
    assert upper.drawn is not None
    assert (lower.drawn.length, lower.washers, lower.drawn.depth) == (25, 2, pytest.approx(13))
    assert (upper.drawn.length, upper.washers, upper.drawn.depth) == (20, 1, pytest.approx(12))


@pytest.mark.parametrize(
    ("mount", "kinds"),
    [
        ("", ["m chassis nut", "m powertrain bolt"]),
        ('first_end = "powertrain"', ["m chassis bolt", "m powertrain nut"]),
    ],
)
def test_a_mount_says_on_which_side_the_first_end_is(mount: str, kinds: list[str]) -> None:
    stood = standing(second="tapped = 15", mount=mount)
    assert [one.name for one in fasteners(stood)] == kinds
    stud = next(thing for thing in stood.bought if "stud" in [piece.name for piece in thing.part.pieces])
    assert stud.side == ("powertrain" if mount else "chassis")
    low, high = spans(stud.part)
    assert (low, high) == ((137, 168) if mount else (72, 103))


def test_an_end_that_holds_nothing_is_told() -> None:
    """The lower shelf has its hole for another thread; nothing holds that end, and its nut is not drawn."""
    still = at_rest(standing(lower='thread = "M16"'))
    names = [thing.name for thing in still.things]
    assert "m powertrain nut" in names
    assert "m chassis nut" not in names
    found = bay_findings(still.stood, still.things, still.pairs, ())
    assert [(f.code, f.level, f.about) for f in found if f.code in ("bobbin hole", "bolt")] == [
        ("bobbin hole", "stop", ("lower", "m bush")),
        ("bolt", "advice", ("m chassis end",)),
    ]


@pytest.mark.parametrize(
    ("mount", "line"),
    [
        ('bolt = { nut = "none" }', "mount m: bolt nut = none, a kind of nut: each stud of bobbin B"),
        ('bolt = { size = "M10" }', "mount m: bolt size = M10, none: bobbin B has its own thread, M10"),
        ("play = 0.5", "mount m: play = 0.5 mm, none: bobbin B has no sleeve between ears"),
        ('link = { part = "bar" }', "mount m: bush B, kind = rubber bobbin, a sleeve bush: a link turns"),
        ('first_end = "link"', "mount m: first_end = \"link\", must be one of chassis, powertrain"),
    ],
)
def test_a_mount_that_a_bobbin_cannot_have_is_refused(mount: str, line: str) -> None:
    with pytest.raises(BadFile) as caught:
        read_text(text(mount=mount))
    assert any(line in problem for problem in caught.value.problems), caught.value.problems


def test_a_bobbin_of_two_tapped_holes_needs_no_nut() -> None:
    whole = text(**{**TAPPED, "mount": 'bolt = { nut = "none", length = 20 }'})
    assert read_text(whole).mounts[0].bolt_nut == "none"


def test_a_shipped_bobbin_is_stamped_and_refused_at_a_link() -> None:
    whole = text().replace('bush = "B"', 'bush = "S50"')
    stood = placed_bay(read_text(whole))
    assert stood.notes == ("bush S50: SAMPLE: MEASURE YOURS",)
    with pytest.raises(BadFile, match="bush S50, kind = rubber bobbin"):
        read_text(whole.replace("[mount.chassis]", '[mount.link]\npart = "lower"\n[mount.chassis]'))


PAIR = """
[[mount]]
name = "n"
bush = "B"
at = [-150, 0, 120]
axis = [0, 0, 1]
chassis = { part = "other", onto = "rail" }
[[part]]
name = "other"
mirror_of = "lower"
hand = "left"
[centre_plane]
at = [-75, 0, 0]
normal = [1, 0, 0]
"""


def test_a_shelf_has_another_hand() -> None:
    """The same sizes mirrored stand under a bobbin of their own: a shelf is alike on both sides."""
    stood = placed_bay(read_text(text() + PAIR))
    other = next(part for part in stood.parts if part.name == "other")
    assert [(m.seat, round(m.off, 9), round(m.angle, 6)) for m in other.misfits] == [("bush", 0, 0)]
    mine = next(part for part in stood.parts if part.name == "lower").part.mass
    assert tuple(other.part.mass.centroid) == pytest.approx((-150, mine.centroid[1], mine.centroid[2]))


BOSSES = """
boss = [
    { name = "P", at = [-60, -45, 170], normal = [0, 1, 0], thread = "M10", depth = 25 },
    { name = "Q", at = [60, -45, 170], normal = [0, 1, 0], thread = "M10", depth = 25 },
]
"""


def on_bosses() -> str:
    whole = text().replace('part = "upper"\nonto = "block"', 'part = "upper"')
    arm = 'recipe = "stud_arm"\nbosses = ["P", "Q"]'
    whole = whole.replace('name = "upper"\nrecipe = "stud_seat"', f'name = "upper"\n{arm}')
    contact = '\n[[contact]]\npair = ["upper", "block"]\n'
    return whole.replace("pos = 0", f"pos = 0{BOSSES}", 1) + contact


def test_an_arm_on_bosses_takes_the_bobbin_from_the_bay() -> None:
    """8 of plate on the block's face at y = -45: 37 to the stud. Its flat looks down at z = 140."""
    stood = placed_bay(read_text(on_bosses()))
    arm = next(part for part in stood.parts if part.name == "upper")
    assert arm.unfilled == ()
    assert [(m.mount, round(m.off, 9), round(m.angle, 6)) for m in arm.misfits] == [
        ("m", 0, 0), ("boss P", 0, 0), ("boss Q", 0, 0),
    ]  # fmt: skip
    seat = arm.part.seat("bush").place
    assert seat.at == pytest.approx((0, 0, 140))
    assert seat.axis == pytest.approx((0, 0, -1))
    assert getattr(arm.params, "reach") == pytest.approx(37)  # noqa: B009
    assert [one.name for one in fasteners(stood)] == ["m chassis nut", "m powertrain nut"]
    assert all(max(disagreement(piece)) < AGREE for piece in arm.part.pieces)


def test_an_arm_on_bosses_fits() -> None:
    still = at_rest(placed_bay(read_text(on_bosses())))
    assert not [pair for pair in still.pairs if pair.state in ("foul", "inside", "touch")]
    found = bolts(still.stood, still.things, still.held)
    assert [one.name for one in found] == ["m chassis nut", "m powertrain nut", "P", "Q"]
    assert all(end.ok for one in found for end in one.ends)
    assert all(one.drawn is not None and one.drawn.out for one in found)


def test_how_far_a_disc_stands_past_its_flat() -> None:
    """A shelf 56 wide, its free end 28 before the stud, corners of 8: a disc of 58 stands 1 past three sides, one
    of 56.8 is 0.4 past them; the corners are sqrt(2) 28 - (sqrt(2) - 1) 8 = 36.3 off, past both."""
    opened = recipe("stud_seat")
    made = body(shape(opened.build(opened.Params())), name="shelf")
    flat = Place((0, 0, 0), (0, 0, -1), (0, 1, 0))
    assert over_edge(made, flat, 58) == pytest.approx(1, abs=0.011)
    assert over_edge(made, flat, 56.8) == 0
    assert over_edge(made, replace(flat, at=(3, 0, 0)), 58) == pytest.approx(4, abs=0.011)


def test_the_keys_of_a_bobbin_are_listed_and_required_by_the_schema() -> None:
    section = next(one for one in listed(BAY_KEYS, {}) if one.table == "bush")
    keys = {key.name: key for key in section.keys}
    assert keys["height"].default == "none; must be given where kind is rubber bobbin or poly bobbin"
    assert keys["first.stud"].default.startswith("none; one of first must be given where kind is rubber bobbin or")
    assert keys["sleeve_od"].default.startswith("none; must be given where kind is bonded rubber or \"poly, two")
    assert (keys["first.stud"].unit, keys["first.stud"].example) == ("mm", "28")
    schema = json_schema(BAY_KEYS, {})
    whole = {"format": 1, "bush": [ROW]}
    assert list(problems(schema, whole)) == []
    for key in ("height", "plate_t", "thread", "first", "second"):
        short = {"format": 1, "bush": [{k: v for k, v in ROW.items() if k != key}]}
        assert any("required" in line for line in problems(schema, short)), key


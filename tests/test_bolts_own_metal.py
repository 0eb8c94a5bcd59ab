"""Bolts against the part that they hold: in its metal, past it, and in which order, all by sums done by hand."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path

import cadquery as cq
import pytest
from ears_bay import BAY, EARS

from brackets.bay.bolts.bolt_rules import bolt_findings
from brackets.bay.bolts.bolting import BoltFound, Step, bolts, contradiction
from brackets.bay.bolts.boss_bolts import boss_bolts, heads
from brackets.bay.clear.pairs import pairs
from brackets.bay.file import read
from brackets.bay.fitting import Fit, fit
from brackets.bay.report.bolt_records import bolt_record
from brackets.bay.schema.record import Bay, PartEntry
from brackets.bay.schema.standing import Boss, PartRow, Powertrain
from brackets.bay.stand.bodies import BayBody, bay_bodies
from brackets.bay.stand.placed import placed_bay
from brackets.bay.stand.placed_part import BossHead, PlacedBay
from brackets.clearance.bodies import body
from brackets.core.finding import Finding
from brackets.core.tables.bolt_rows import bolt
from brackets.model.part import Part

M10 = bolt("M10")
PLATE = 8.0
WASHERS_ON = PLATE + M10.washer_t
"""Above the boss: what the head bears on, mm."""
Z = cq.Vector(0, 0, 1)


def block(low: tuple[float, float, float], high: tuple[float, float, float]) -> cq.Shape:
    return cq.Solid.makeBox(*(b - a for a, b in zip(low, high, strict=True)), cq.Vector(*low))


def plate(*more: cq.Shape, hole: float = 11.0, at: float = 0.0) -> cq.Shape:
    """A plate of 8 mm on the boss at (at, 0, 0) with a hole for its bolt, and more of the same weldment."""
    flat = block((at - 30, -30, 0), (at + 30, 30, PLATE))
    if hole:
        flat = flat.cut(cq.Solid.makeCylinder(hole / 2, PLATE, cq.Vector(at, 0, 0), Z))
    return flat if not more else flat.fuse(*more)


def bossed(
    shapes: Mapping[str, cq.Shape], held: Mapping[str, float], kind: Mapping[str, str] = {}
) -> tuple[tuple[BoltFound, ...], list[Finding]]:
    """The M10 bolts of the parts in `held`, each on a boss of its own at (x, 0, 0), and what is said of them."""
    bosses = tuple(
        Boss(name=f"{name}1", at=(x, 0.0, 0.0), normal=(0.0, 0.0, 1.0), depth=25.0, engagement=20.0)
        for name, x in held.items()
    )
    entries = tuple(
        PartEntry(row=PartRow(name=name, recipe="plate", bosses=(f"{name}1",) if name in held else ()), values={})
        for name in shapes
        if kind.get(name, "part") == "part"
    )
    bay = Bay(
        path=Path("bay.toml"), name="", bare="mm", gaps={}, data=(), keep_outs=(), powertrain=Powertrain(),
        lumps=(), bosses=bosses, bushes={}, mounts=(), contacts=(), paths=(), parts=entries,
    )  # fmt: skip
    there = [
        BayBody(
            name=n,
            what=kind.get(n, "part"),
            side="powertrain",
            kind="fixed",
            body=body(s, name=n),
            of=BossHead(name=n, part=n, made=Part(name=n, pieces=())),
        )
        for n, s in shapes.items()
    ]
    into = boss_bolts(bay, there)
    found = bolts(PlacedBay(bay=bay, parts=(), bought=(), left_out=(), notes=()), [*there, *heads(into)], into)
    return found, list(bolt_findings(found))


def said(found: Sequence[Finding], code: str) -> list[tuple[str, str]]:
    return [(finding.level, finding.sentence) for finding in found if finding.code == code]


def segment(r: float, off: float) -> float:
    """Area of the part of a circle that lies beyond a straight line `off` its middle."""
    return r * r * math.acos(off / r) - off * math.sqrt(r * r - off * off)


# ----------------------------------------------------------------------------------------- in its own metal


def beside(off: float) -> cq.Shape:
    """A plate with an upright of the same weldment whose face stands `off` mm from the bolt's middle."""
    return plate(block((off, -30, PLATE), (off + 5, 30, 60)))


def test_a_bolt_under_its_own_ear_is_a_foul_of_the_volume_known_by_hand() -> None:
    off = 8.0  # washer 10 round, head 9.24 over its corners
    (one,), found = bossed({"arm": beside(off)}, {"arm": 0})
    by = {part.what: part.volume for part in one.in_metal}
    high, wide = 0.2, M10.washer_od / 2  # what stands up less than that under a washer is its face
    assert by["washers"] == pytest.approx(segment(wide, off) * (M10.washer_t - high), rel=1e-6)
    assert by["head"] == pytest.approx(segment(M10.across_corners / 2, off) * M10.head_height, rel=1e-6)
    assert set(by) == {"head", "washers"}
    (foul,) = [finding for finding in found if finding.code == "foul"]
    assert (foul.level, foul.about) == ("stop", ("arm1 bolt", "arm"))
    assert foul.value == pytest.approx(sum(by.values()))
    assert "head and washers in the metal of arm, which it holds" in foul.sentence


def test_a_washer_that_touches_its_own_ear_is_no_foul_and_comes_out() -> None:
    edge = M10.washer_od / 2
    found = bossed({"arm": beside(edge)}, {"arm": 0})[1]
    assert [finding.code for finding in found] == ["bolt reach"]  # a socket is 12.8 in radius
    (one,), found = bossed({"arm": beside(edge - 0.05)}, {"arm": 0})
    assert [part.what for part in one.in_metal] == ["washers"]
    assert {finding.level for finding in found if finding.code in ("foul", "bolt drawn")} == {"stop"}


@pytest.mark.parametrize(("hole", "fouls"), [(10.0, []), (9.9, ["shank"]), (0.0, ["shank"])])
def test_a_shank_may_touch_its_hole_and_not_lie_in_it(hole: float, fouls: list[str]) -> None:
    (one,), _ = bossed({"arm": plate(hole=hole)}, {"arm": 0})
    assert [part.what for part in one.in_metal] == fouls
    for part in one.in_metal:
        assert part.volume == pytest.approx(math.pi / 4 * (10.0**2 - hole**2) * PLATE, rel=1e-6)


# ------------------------------------------------------------------------------------------- past its own metal


def roof(high: float, x: float = 0.0, y: float = 30.0) -> cq.Shape:
    """A shelf over the bolt at x, its underside `high` above the boss, on an upright 40 to its left."""
    shelf = block((x - 12, -y, high), (x + 12, 40, high + 5))
    return shelf.fuse(block((x - 12, 35, 0), (x + 12, 40, high + 5)))


def arm(high: float, x: float = 0.0) -> cq.Shape:
    """A plate whose own shelf hangs over its bolt."""
    return plate(roof(high, x), block((x - 12, 25, 0), (x + 12, 40, PLATE)), at=x)


LENGTH = 30.0
"""M10 through 8 of plate and a washer, 20 of thread asked and 23.5 allowed: from stock."""
OUT = WASHERS_ON + LENGTH + M10.head_height
"""How high over the boss the top of the head is when the bolt is drawn by its length, mm."""


def test_a_bolt_that_its_own_weldment_keeps_in_is_a_stop() -> None:
    (one,), found = bossed({"arm": arm(OUT - 0.5)}, {"arm": 0})
    assert one.used is not None
    assert one.used.length == LENGTH
    assert one.in_metal == ()
    assert one.drawn is not None
    assert one.drawn.free == pytest.approx(LENGTH - 0.5, abs=0.02)
    (drawn,) = [finding for finding in found if finding.code == "bolt drawn"]
    assert (drawn.level, drawn.about) == ("stop", ("arm1 bolt", "arm"))
    assert "then meets arm, which it holds: once arm is made it cannot be put in" in drawn.sentence
    assert "before arm is there" not in drawn.sentence


def test_a_bolt_that_just_comes_out_of_its_own_weldment_is_not() -> None:
    (one,), found = bossed({"arm": arm(OUT)}, {"arm": 0})
    assert one.drawn is not None
    assert one.drawn.out
    assert said(found, "bolt drawn") == []


def test_no_tool_between_a_bolt_and_its_own_weldment_is_said() -> None:
    """Uprights of the same part on three sides, 12 from the bolt: a socket and a ring are 12.8 in radius."""
    sides = block((12, -30, 0), (17, 30, 60)), block((-17, -30, 0), (-12, 30, 60))
    pit = *sides, block((-30, 12, 0), (30, 17, 60))
    (one,), found = bossed({"arm": plate(*pit)}, {"arm": 0})
    assert one.drawn is not None
    assert one.drawn.out
    (reach,) = [finding for finding in found if finding.code == "bolt reach"]
    assert (reach.level, reach.about) == ("caution", ("arm1 bolt", "arm"))


# --------------------------------------------------------------------------------------------- in which order


def test_what_is_fitted_later_is_named_and_the_bolt_comes_out_without_it() -> None:
    shapes = {"arm": plate(), "brace": roof(30)}
    _, found = bossed(shapes, {"arm": 0})
    (drawn,) = [finding for finding in found if finding.code == "bolt drawn"]
    assert (drawn.level, drawn.about) == ("caution", ("arm1 bolt", "arm", "brace"))
    assert "then meets brace: it must go in before brace is there" in drawn.sentence
    del shapes["brace"]
    assert bossed(shapes, {"arm": 0})[1] == []


def test_everything_in_the_way_is_named_not_the_nearest_alone() -> None:
    _, found = bossed({"arm": plate(), "brace": roof(30), "strut": roof(38)}, {"arm": 0})
    ((level, sentence),) = said(found, "bolt drawn")
    assert level == "caution"
    assert "before brace and strut are there" in sentence


def test_what_is_fitted_later_does_not_help_where_the_part_itself_is_behind_it() -> None:
    _, found = bossed({"arm": arm(OUT - 5), "brace": roof(30, y=20)}, {"arm": 0})
    ((level, sentence),) = said(found, "bolt drawn")
    assert level == "stop"
    assert "then meets brace, and behind that arm, which it holds" in sentence


def test_a_keep_out_in_the_way_is_asked_about() -> None:
    _, found = bossed({"arm": plate(), "case": roof(30)}, {"arm": 0}, {"case": "keep-out"})
    ((level, sentence),) = said(found, "bolt drawn")
    assert level == "caution"
    assert sentence.endswith("it must go in before case is there; can case, typed as a keep-out, come off?")


def test_two_parts_over_each_others_bolts_go_together_in_no_order() -> None:
    """Each part's shelf hangs over the other's bolt, 200 further on."""
    one = plate().fuse(block((-10, 25, 0), (10, 40, PLATE)), block((-10, 35, 0), (210, 40, 35)), roof(30, 200))
    other = plate(at=200).fuse(block((190, -40, 0), (210, -25, PLATE)), block((-10, -45, 0), (210, -40, 35)))
    other = other.fuse(block((-10, -45, 40), (10, 20, 45)), block((-10, -45, 0), (10, -40, 45)))
    found, findings = bossed({"one": one, "other": other}, {"one": 0, "other": 200})
    assert [item.in_metal for item in found] == [(), ()]
    told = dict(zip(("one", "other"), said(findings, "bolt drawn"), strict=True))
    assert {level for level, _ in told.values()} == {"stop"}
    assert told["one"][1].endswith(
        "it must go in before other is there, which no order allows:"
        " one1 bolt before other, other before other1 bolt, other1 bolt before one, one before one1 bolt"
    )
    assert bolt_record(found[0])["no_order"] == ["one1 bolt", "other", "other1 bolt", "one", "one1 bolt"]


def test_an_order_that_runs_out_is_no_contradiction() -> None:
    steps = [Step(bolt="a", after=("p",), before=("q",)), Step(bolt="b", after=("q",), before=("r",))]
    assert contradiction("a", steps) == ()
    steps.append(Step(bolt="c", after=("r",), before=("p",)))
    assert contradiction("b", steps) == ("b", "r", "c", "p", "a", "q", "b")


# ---------------------------------------------------------------------------------------- a mount's own halves

RING = """\
[mount.powertrain]
part = "ring"
"""
WITH_RING = BAY.replace(EARS, f"{RING}{EARS}") + """\
[[part]]
name = "ring"
recipe = "cup"
bush_od = 50
od = 60
"""
HEAD_AT = 100 + 64.5 / 2 + 2.5
"""x of the face that the head bears on."""

Standing = tuple[PlacedBay, tuple[BayBody, ...]]


@pytest.fixture(scope="module")
def standing(tmp_path_factory: pytest.TempPathFactory) -> Standing:
    path = tmp_path_factory.mktemp("mount") / "bay.toml"
    path.write_text(WITH_RING, "utf-8")
    made = placed_bay(read(path))
    return made, bay_bodies(made)


def with_more(standing: Standing, part: str, *more: cq.Shape) -> Standing:
    """The same bay, with these welded to one of its parts."""
    made, there = standing
    swapped = []
    for thing in there:
        core = thing.body.core.shape
        if thing.name == part and core is not None:
            whole = cq.Compound.makeCompound([cq.Shape.cast(core.Moved(thing.body.place.location)), *more])
            thing = replace(thing, body=body(whole, name=part))
        swapped.append(thing)
    return made, tuple(swapped)


def of_mount(standing: Standing) -> list[tuple[str, str]]:
    made, there = standing
    return said(list(bolt_findings(bolts(made, there))), "bolt drawn")


def across(x: float) -> cq.Shape:
    """A wall across the bolt's axis from x on, clear of the rest."""
    return block((x, -60, 40), (x + 4, 60, 140))


def test_a_mount_bolt_does_not_pass_its_own_weldment_and_says_so(standing: Standing) -> None:
    assert of_mount(standing) == []
    ((level, sentence),) = of_mount(with_more(standing, "ears", across(190)))
    assert level == "advice"
    assert sentence.endswith("then meets ears: put it in from the other end")
    ((level, sentence),) = of_mount(with_more(standing, "ears", across(190), across(5)))
    assert level == "stop"
    assert "then meets ears, which it holds; from the other end" in sentence
    assert sentence.endswith("once ears and ring are made it cannot be put in")


def test_the_cup_that_a_mount_bolt_goes_through_cannot_be_fitted_after_it(standing: Standing) -> None:
    ((level, sentence),) = of_mount(with_more(standing, "ring", across(190), across(5)))
    assert level == "stop"
    assert "then meets ring, which it holds" in sentence


def test_the_head_may_not_lie_in_a_gusset_of_its_own_ears(standing: Standing) -> None:
    """A gusset beside the head, 9 across its flats: it touches at 9 and is in the way a twentieth nearer."""

    def state(off: float) -> str:
        made, there = with_more(standing, "ears", block((HEAD_AT, -20, 80 - off - 5), (HEAD_AT + 20, 20, 80 - off)))
        mine = [thing for thing in there if thing.name in ("ears", "left bolt")]
        (pair,) = pairs(made.bay, mine)
        return pair.state

    flats = bolt("M12").across_flats / 2, bolt("M12").across_corners / 2
    assert state(max(flats)) == "contact"
    assert state(min(flats) - 0.05) == "foul"


def test_without_washers_a_head_still_comes_off_its_ear_and_is_got_at(tmp_path: Path) -> None:
    path = tmp_path / "bay.toml"
    path.write_text(WITH_RING.replace("washers = [1, 2]", "washers = [0, 0]"), "utf-8")
    made = placed_bay(read(path))
    (one,) = bolts(made, bay_bodies(made))
    assert one.drawn is not None
    assert one.drawn.out
    assert [(end.end, end.socket_by) for end in one.ends] == [("head", ()), ("nut", ())]
    assert all(end.clock is not None for end in one.ends)


# ------------------------------------------------------------------------------------ a whole bay, recipe and all

FORK = Path(__file__).parent / "cases" / "fork.py"

BAY = f"""
format = 1
name = "Invented"
[[boss]]
name = "L1"
at = [0, -30, 0]
normal = [1, 0, 0]
depth = 25
[[boss]]
name = "L2"
at = [0, 30, 0]
normal = [1, 0, 0]
depth = 25
[[part]]
name = "fork"
recipe = "{FORK.as_posix()}"
bosses = ["L1", "L2"]
bush = [45, 0, 0]
inside = INSIDE
"""


def forked(folder: Path, inside: float) -> Fit:
    path = folder / f"{inside}.toml"
    path.write_text(BAY.replace("INSIDE", str(inside)), "utf-8")
    return fit(read(path))


def test_a_fork_whose_ears_stand_on_its_bolts_stops_and_one_beside_them_does_not(tmp_path: Path) -> None:
    """Ears 5 thick: between 30 their outer faces are 20 from the middle, where washers 10 round begin."""
    done = forked(tmp_path, 30)
    assert {finding.code for finding in done.findings} & {"foul", "bolt drawn"} == set()
    done = forked(tmp_path, 30.4)
    stops = {(finding.code, finding.piece) for finding in done.findings if finding.level == "stop"}
    assert stops == {
        *(("foul", f"{boss} bolt | fork") for boss in ("L1", "L2")),
        *(("bolt drawn", f"fork: {boss}") for boss in ("L1", "L2")),
    }
    assert done.stops

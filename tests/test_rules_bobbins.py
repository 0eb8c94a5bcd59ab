"""Rules of bobbins: each where it is just kept and where it is just broken.

M10: pitch 1.5, washers 2 thick, a nut 8.4 high, 11.9 of thread in steel (test_rules_welds). A shelf is 6 thick
unless said. A hole with 15 mm of thread leaves 13.5 to stay a pitch off its bottom.
"""

from __future__ import annotations

from bobbin_bay import read_text, standing, text
from rule_cases import Case, each, holds

from brackets.bay.bolts.bobbin_rules import bobbin_findings
from brackets.bay.bolts.bolt_rules import bolt_findings
from brackets.bay.bolts.bolting import BoltFound
from brackets.bay.stand.bobbin_ends import EndBolt, StudNut, end_fasteners
from brackets.bay.stand.bodies import bay_bodies
from brackets.bay.stand.placed_part import PlacedBay
from brackets.core.finding import Finding

RULES = "brackets/bay/bolts/bobbin_rules.py"


def fasteners(stood: PlacedBay) -> tuple[StudNut | EndBolt, ...]:
    return end_fasteners(stood.bay, stood.bay.mounts[0], {part.name: part.part for part in stood.parts})


def said(**changed: str) -> list[Finding]:
    """Of what holds the chassis end."""
    one = fasteners(standing(**changed))[0]
    assert one.side == "chassis"
    found = BoltFound(name=one.name, bolt=one, drawn=None, turned=None, ends=(), body=one.name, holds=(one.part,))
    return list(bolt_findings([found]))


def tapped(
    depth: float = 15.0, *, bolt: str = "length = 20", t: float = 6.0, height: float = 40.0
) -> list[Finding]:
    mount = f"bolt = {{ {bolt} }}" if bolt else ""
    return said(first=f"tapped = {depth}", mount=mount, lower=f"t = {t}", height=str(height))


def of_flats(**changed: str) -> list[Finding]:
    stood = standing(**changed)
    return list(bobbin_findings(stood, bay_bodies(stood)))


def hung(degrees: float, fit: str = "carries weight") -> list[Finding]:
    """A bobbin whose powertrain end is so many degrees below its chassis end."""
    whole = text(axis=f"{COS[degrees]}, 0, {-SIN[degrees]}", mount=f'fit = "{fit}"').split("[mount.chassis]")[0]
    bay = read_text(whole)
    return list(bobbin_findings(PlacedBay(bay=bay, parts=(), bought=(), left_out=(), notes=()), ()))


SIN = {30: 0.5, 32: 0.5299192642332049, 90: 1.0}
COS = {30: 0.8660254037844386, 32: 0.848048096156426, 90: 0.0}

CASES = [
    # 6 of shelf, 2 of washer, 8.4 of nut, 3 for two threads: 19.4; the nut is full at 16.4
    Case(module=RULES, code="bolt length", level="caution", judge=lambda mm: said(first=f"stud = {mm}"), kept=19.4,
         broken=19.3, value=2.9, limit=3.0),
    Case(module=RULES, code="bolt length", level="stop", judge=lambda mm: said(first=f"stud = {mm}"), kept=16.4,
         broken=16.3, value=-0.1, limit=3.0),
    # two washers of 2 under the nut: 18.4
    Case(module=RULES, code="bolt length", level="stop",
         judge=lambda n: said(first="stud = 17", mount=f"bolt = {{ washers = [1, {n}] }}"), kept=1, broken=2,
         value=-1.4, limit=3.0),
    # M10 x 25 less 2 and 6: 17 in the hole
    Case(module=RULES, code="bolt length", level="stop", judge=lambda mm: tapped(mm, bolt="length = 25"), kept=17.0,
         broken=16.9, value=17.0, limit=15.4),
    Case(module=RULES, code="bolt length", level="caution", judge=lambda mm: tapped(mm, bolt="length = 25"),
         kept=18.5, broken=18.4, value=17.0, limit=16.9),
    # M10 x 20 less 2 and 6: 12 in it; less 2 and 8: 10
    Case(module=RULES, code="bolt length", level="caution", judge=lambda t: tapped(t=t), kept=6.0, broken=8.0,
         value=10.0, limit=11.9),
    # 20 less 6 and six washers: 2 in it; seven: none
    Case(module=RULES, code="bolt length", level="stop",
         judge=lambda n: tapped(bolt=f"length = 20, washers = [{n}, 1]"), kept=6, broken=7, value=0.0, limit=13.5),
    # 37 is no stock length, so it has a shank, and 26 of thread: less 2 and 8 it goes 27 in, less 2 and 10 25
    Case(module=RULES, code="bolt length", level="stop",
         judge=lambda t: tapped(34.0, bolt="length = 37", t=t, height=60.0), kept=10.0, broken=8.0, value=27.0,
         limit=32.5),
    # 13.5 of thread: 19.9 to 20.0 fits, and there is a 20; 13.4: 19.9 alone, 21.9 and 23.9 under more washers
    Case(module=RULES, code="bolt length", level="caution", judge=lambda mm: tapped(mm, bolt=""), kept=13.5,
         broken=13.4, value=20.0, limit=19.9),
    # 21.9 to 23.5 under one washer, 23.9 to 25.5 under two
    Case(module=RULES, code="bolt length", level="advice", judge=lambda t: tapped(bolt="", t=t), kept=6.0,
         broken=8.0, value=25.0, limit=23.5),
    Case(module=RULES, code="bolt depth", level="caution", judge=tapped, kept=13.4, broken=13.3, value=11.8,
         limit=11.9),
    Case(module=RULES, code="bolt", level="advice", judge=lambda bolt: tapped(bolt=bolt), kept="length = 20",
         broken="", value=20.0),
    # the hole for M12 is 13.5, for M14 15.5: 15 is half as much again as M10
    Case(module=RULES, code="bobbin hole", level="stop", judge=lambda size: of_flats(lower=f'thread = "{size}"'),
         kept="M12", broken="M14"),
    # a disc of 50 on a shelf 49.2 wide stands 0.4 past either side, on one of 48.8 0.6
    Case(module=RULES, code="bobbin seat", level="caution", judge=lambda mm: of_flats(lower=f"width = {mm}"),
         kept=49.2, broken=48.8, value=0.6, limit=0.5, within=0.011),
    Case(module=RULES, code="bobbin seat", level="advice",
         judge=lambda mm: of_flats(plate_od="plate_od = 44", lower=f"width = {mm}"), kept=49.2, broken=48.8,
         value=0.6, limit=0.5, within=0.011),
    Case(module=RULES, code="bobbin pulled", level="caution", judge=hung, kept=30, broken=32, value=32.0,
         limit=30.0, unit="deg"),
    Case(module=RULES, code="bobbin pulled", level="caution", judge=lambda fit: hung(90, fit),
         kept="after the weight is on", broken="carries weight", value=90.0, limit=30.0, unit="deg"),
]  # fmt: skip


@each(CASES)
def test_a_rule_is_kept_and_broken_where_it_says(case: Case) -> None:
    holds(case)

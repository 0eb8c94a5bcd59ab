"""Every recipe's own rules: a case that breaks each, and one that just does not."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from rule_cases import Case, each, holds
from test_recipes_tubes import BLOCK, B

from brackets import recipe
from brackets.findings import Finding
from brackets.layout.cups import cup_findings, ear_findings


def own(name: str, **values: Any) -> list[Finding]:
    opened = recipe(name)
    return list(opened.check(opened.Params(**values)))


def arms(**values: Any) -> list[Finding]:
    """What is said of the room for weld and socket over the arms, and not of each socket."""
    return [f for f in own("cross_member", **values) if f.sentence.startswith("the arms end")]


def row(name: str, code: str, level: str, judge: Callable[[Any], list[Finding]], **more: Any) -> Case:
    return Case(module=f"recipes/{name}.py", code=code, level=level, judge=judge, **more)


STAY: dict[str, Any] = {**BLOCK, "bosses": tuple(B.values()), "boss_names": tuple(B)}
"""A stay on four bosses: B4 stands at y = -111, the others at -115: 4 lower."""
CASES = [
    # M10 wants 11.9 of thread in steel (test_rules_welds): 3 above and 8.9 of spigot
    Case(module="recipes/bung.py", code="thread", level="caution",
         judge=lambda s: own("bung", threaded=True, length=3.0, spigot=s),
         kept=8.9, broken=8.5, value=11.5, limit=11.9),
    Case(module="recipes/bung.py", code="proud", level="advice", judge=lambda s: own("bung", spigot=s, seat_t=6.0),
         kept=6.0, broken=5.5, value=5.5, limit=6.0),
    # M12: a pivot is finished 12.1, 6.05 to its rim; ear 18 leaves 11.95
    Case(module="recipes/ears.py", code="ear", level="caution",
         judge=lambda t: own("ears", bolt="M12", ear_r=18.0, t=t), kept=10.0, broken=12.0, value=11.95, limit=12.0),
    # bosses at x = 190, the plate 8 thick towards -x, so its middle at 186; the cup's middle must lie in the plate
    Case(module="recipes/cup_on_plate.py", code="overhung cup", level="caution",
         judge=lambda x: own("cup_on_plate", gussets=0, bush=(x, 6.0, 88.0)),
         kept=182.0, broken=181.5, value=4.5, limit=4.0),
    Case(module="recipes/base_plate.py", code="crush tube", level="stop",
         judge=lambda tubes: own("base_plate", fixing="bolted through hollow", holes=((0.0, 0.0),),
                                 crush_tubes=tubes),
         kept=True, broken=False),
    Case(module="recipes/base_plate.py", code="across the rail", level="advice",
         judge=lambda fixing: own("base_plate", fixing=fixing, holes=((0.0, 0.0),)),
         kept="bolted to solid", broken="welded"),
    # a tube of 38 passes ears 40 apart: the cup's length less 2
    Case(module="brackets/layout/cups.py", code="between the ears", level="caution",
         judge=lambda long: list(ear_findings("38x3", long)), kept=40.0, broken=39.5, value=38.0, limit=37.5),
    # a tube of 80 with a bush of 64 in it has 8 of wall
    Case(module="brackets/layout/cups.py", code="cup stock", level="advice",
         judge=lambda bore: list(cup_findings(80.0, bore, piece="cup")), kept=64.0, broken=63.0, value=8.5,
         limit=8.0),
    # steps of 2 and 10 under a plate of 8
    row("adaptor", "spacer", "advice", lambda low: own("adaptor", t=8.0, low=(2.0, *(low,) * 3)),
        kept=10.0, broken=10.5, value=8.5, limit=8.0),
    row("bracket_tray", "drain", "advice", lambda v: own("bracket_tray", drain=v[0], ends=v[1]), kept=(0.0, 1),
        broken=(0.0, 2)),
    row("bracket_tray", "drain", "advice", lambda d: own("bracket_tray", drain=d), kept=5.0, broken=0.0),
    row("bracket_tray", "strap", "advice", lambda n: own("bracket_tray", straps=n), kept=0, broken=1),
    row("cap_plate", "breathing", "advice", lambda d: own("cap_plate", drain=d), kept=5.0, broken=0.0),
    # (70 - 64) / 2 = 3
    row("cup", "cup wall", "caution", lambda d: own("cup", od=70.0, bush_od=d), kept=64.0, broken=65.0, value=2.5,
        limit=3.0),
    # a slip fit's play is bored too: (70 - 63.8 - 0.2) / 2 = 3
    row("cup", "cup wall", "caution", lambda play: own("cup", od=70.0, bush_od=63.75, fit="slip", play=play),
        kept=0.25, broken=0.75, value=2.75, limit=3.0),
    Case(module="brackets/build/bores.py", code="bore first", level="advice",
         judge=lambda when: own("cup", finish=when), kept="after welding", broken="before welding"),
    row("dummy_bush", "stuck", "advice", lambda under: own("dummy_bush", under=under), kept=0.2, broken=0.0),
    # ears 46.5 apart and 6 each: 58.5; a leg of 4 on either side: 66.5
    row("ears_on_base", "outer weld", "advice", lambda wide: own("ears_on_base", base_width=wide), kept=66.5,
        broken=65.5, value=3.5, limit=4.0),
    row("gusset", "gusset", "advice", lambda leg: own("gusset", leg_x=80.0, leg_y=leg), kept=40.0, broken=36.0,
        value=0.45, limit=0.5, unit=""),
    row("gusset", "gusset", "advice", lambda leg: own("gusset", leg_x=leg, leg_y=80.0), kept=40.0, broken=36.0,
        value=0.45, limit=0.5, unit=""),
    # arms of 25 with their centres at 335 end at 347.5, the bungs at 355; asked are 2 of room and a leg
    row("cross_member", "socket", "caution", lambda leg: arms(bung_top=355.0, arm_z=335.0, leg=leg), kept=5.5,
        broken=6.0, value=7.5, limit=8.0),
    # the leg is as the wall where none is given
    row("cross_member", "socket", "caution", lambda size: arms(bung_top=355.0, arm_z=335.0, arm=size), kept="25x5",
        broken="25x6", value=7.5, limit=8.0),
    row("stay", "washer", "caution", lambda t: own("stay", **{**STAY, "washers": (("B4", t),)}), kept=4.0,
        broken=3.5, value=3.5, limit=4.0),
]  # fmt: skip


@each(CASES)
def test_each_rule_is_kept_at_its_limit_and_broken_beyond(case: Case) -> None:
    holds(case)

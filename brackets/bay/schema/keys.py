"""The keys of a bay file: its tables, in the order of the list, and the rows that say what each key may be.

The rows are those of `schema`, by which the file is read. Bushes alone are read by `read_bush` of the tables below,
which takes the shipped rows as well: `BushRow` says the same for the list, and a test holds the two together.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from brackets.bay.schema.asked import (
    ChainRow,
    ExpectedRow,
    KeepWithin,
    PathRow,
    PlaceLimits,
    PropRow,
    ShaftRow,
    SlackRow,
    SocketRow,
    SpannerRow,
    StraightLegRow,
    TurnLeg,
)
from brackets.bay.schema.standing import (
    Accept,
    Boss,
    CentrePlane,
    Contact,
    Datum,
    Gap,
    KeepOut,
    Lump,
    Mount,
    PartRow,
    Powertrain,
)
from brackets.core.schema.checked import Checked
from brackets.core.schema.file_keys import UNITS, FileKeys, Needed, TableKeys
from brackets.core.schema.kinds import choice, count, kg, mm, newton, number, row, text, yes_no
from brackets.core.tables.bush_rows import BOBBIN_KINDS, BUSH_KINDS, THREE_PIECES
from brackets.core.text_files import LONGEST_NAME
from brackets.forming.shop_rows import COATING_IN_HOLES

FORMAT = 1


@dataclass(frozen=True, kw_only=True)
class BayRow(Checked):
    format: Annotated[int, count(FORMAT, FORMAT, "format of a bay file")]
    name: Annotated[
        str | None, text("what the bay is called; without it the name of the file", longest=LONGEST_NAME)
    ] = None
    unit: Annotated[str, choice(UNITS, "unit of bare numbers")] = "mm"
    pos: Annotated[
        float | None, mm(0, 20, "how true a keep-out is, either way, that has no pos of its own; for spares")
    ] = None
    shop: Annotated[str | None, text("your shop profile, a file beside this one", longest=300)] = None
    coating: Annotated[
        float | None, mm(0, 2, "thickness of paint, powder or zinc on every face, in place of the shop's")
    ] = None
    coating_in_holes: Annotated[float | None, mm(0, 2, COATING_IN_HOLES)] = None


@dataclass(frozen=True, kw_only=True)
class BushRow(Checked):
    name: Annotated[str, text("name of the row", longest=300)]
    kind: Annotated[str, choice((*BUSH_KINDS, *BOBBIN_KINDS), "how it is made")]
    od: Annotated[float, mm(10, 300, "outside of the bush, pressed into the cup; of a bobbin's rubber")]
    shell_length: Annotated[float | None, mm(3, 300, "length of its outside")] = None
    sleeve_od: Annotated[float | None, mm(4, 150, "outside of the inner sleeve")] = None
    sleeve_bore: Annotated[float | None, mm(3, 120, "bore of the inner sleeve")] = None
    sleeve_length: Annotated[
        float | None, mm(3, 400, "length of the inner sleeve: the ears stand on its ends")
    ] = None
    sleeve_offset: Annotated[
        float, mm(-200, 200, "from the shell's middle to the sleeve's, along the axis of the mount")
    ] = 0.0
    bolt: Annotated[str | None, row("bolt", "bolt through the sleeve")] = None
    end_flange: Annotated[
        float, mm(0, 50, "thickness of poly between cup and ear, each end; three pieces: of either flange")
    ] = 0.0
    flange_od: Annotated[float | None, mm(10, 400, "three pieces: outside of either flange")] = None
    height: Annotated[float | None, mm(5, 300, "bobbin: over both end plates, without the studs")] = None
    plate_t: Annotated[float | None, mm(0.5, 20, "bobbin: thickness of either end plate")] = None
    plate_od: Annotated[float | None, mm(5, 300, "bobbin: outside of either end plate; without it od")] = None
    thread: Annotated[str | None, row("bolt", "bobbin: thread of its studs and tapped holes")] = None
    first_stud: Annotated[float | None, mm(3, 200, "bobbin: how far the stud of one end stands out")] = None
    first_tapped: Annotated[float | None, mm(2, 200, "bobbin: usable depth of that end's tapped hole")] = None
    second_stud: Annotated[float | None, mm(3, 200, "bobbin: how far the stud of the other end stands out")] = None
    second_tapped: Annotated[float | None, mm(2, 200, "bobbin: usable depth of that end's tapped hole")] = None
    mass: Annotated[float, kg(0, 50, "its mass")]
    load: Annotated[float | None, newton(0, 1e6, "largest load")] = None
    heat: Annotated[float | None, number(-50, 500, "hottest it may become, deg C")] = None
    travel_radial: Annotated[float, mm(0, 100, "how far it gives square to its axis, each way")]
    travel_axial: Annotated[float, mm(0, 100, "how far it gives along its axis, each way")]
    travel_tilt: Annotated[float | None, number(0, 45, "how far it tilts on its sleeve, each way, degrees")] = None
    stiffness_radial: Annotated[float | None, number(1e-3, 1e7, "square to its axis, at rest, N/mm")] = None
    stiffness_axial: Annotated[float | None, number(1e-3, 1e7, "along its axis, at rest, N/mm")] = None
    stiffness_torsion: Annotated[float | None, number(0, 1e10, "about its axis, at rest, N mm/rad")] = None
    stiffness_known: Annotated[str, text("how the stiffness is known", longest=300)] = "not said how"
    dynamic: Annotated[float, number(1, 10, "dynamic over static stiffness")] = 1.0
    rubber_inner_r: Annotated[float | None, mm(1, 150, "bonded rubber: inner radius")] = None
    rubber_outer_r: Annotated[float | None, mm(1, 150, "bonded rubber: outer radius")] = None
    rubber_length: Annotated[float | None, mm(1, 400, "bonded rubber: length")] = None
    rubber_hardness: Annotated[float | None, number(20, 98, "bonded rubber: hardness, IRHD")] = None
    sample: Annotated[bool, yes_no("an invented row, stamped SAMPLE: MEASURE YOURS wherever it shows")] = False
    source: Annotated[str, text("where the figures are from", longest=300)] = "own row"


BAY_KEYS = FileKeys(
    kind="bay",
    title="bay file",
    top=BayRow,
    examples={"shop": "shop.toml", "pos": 3.0, "coating": 0.08},
    tables=(
        TableKeys(name="gap", row=Gap, form="named", about="gap wanted for each class; NAME is the class"),
        TableKeys(
            name="powertrain",
            row=Powertrain,
            form="table",
            about="where the powertrain stands, its drive, how far it moves",
            groups=("place", "crank", "axle", "traction", "moves"),
        ),
        TableKeys(
            name="place",
            row=PlaceLimits,
            form="table",
            about="how far `brackets place` may move the powertrain: limits of [powertrain] place",
            examples={"fore": [-20, 30], "left": [-5, 5], "up": [0, 25], "roll": [0, 0], "pitch": [-2, 3]},
        ),
        TableKeys(
            name="keep_within",
            row=KeepWithin,
            form="rows",
            about="points of the powertrain that `brackets place` keeps where they can be used",
            groups=("x", "y", "z"),
            examples={"name": "shift lever", "at": [-350, 0, 420], "x_from": -370, "z_from": 400},
        ),
        TableKeys(name="centre_plane", row=CentrePlane, form="table", about="plane that left and right mirror in"),
        TableKeys(name="datum", row=Datum, form="rows", about="punch marks and taped diagonals of a set-up"),
        TableKeys(
            name="keep_out",
            row=KeepOut,
            form="rows",
            about="everything that is there: exactly one of box, tube, rail, mesh, step each",
            groups=("box", "tube", "rail", "moves"),
            examples={
                "mesh": "bay.stl",
                "step": "subframe.step",
                "rail_from": [0, 280, 420],
                "rail_to": [-700, 250, 330],
                "rail_size": "50x30",
                "rail_wall": 2.5,
                "rail_open": [0, -1, 0],
                "rail_corner": 5,
                "doubler_of": "bulkhead",
                "moves_about": [-300, 0, 150],
                "moves_axis": [0, 1, 0],
                "moves_from": -20,
                "moves_to": 35,
                "moves_by": [0, 0, 60],
                "moves_back": 15,
            },
        ),
        TableKeys(name="lump", row=Lump, form="rows", about="masses of the powertrain"),
        TableKeys(name="boss", row=Boss, form="rows", about="threaded holes of the castings"),
        TableKeys(
            name="bush",
            row=BushRow,
            form="rows",
            about="bushes of your own",
            groups=("travel", "stiffness", "rubber", "first", "second"),
            flat=False,
            whole=("rubber",),
            needed=(
                Needed(
                    key="kind",
                    words=BUSH_KINDS,
                    names=("shell_length", "sleeve_od", "sleeve_bore", "sleeve_length", "bolt"),
                ),
                Needed(key="kind", words=THREE_PIECES, names=("flange_od", "end_flange")),
                Needed(
                    key="kind", words=BOBBIN_KINDS, names=("height", "plate_t", "thread", "first", "second")
                ),
            ),
            examples={
                "flange_od": 60,
                "height": 40,
                "plate_t": 3,
                "plate_od": 50,
                "thread": "M10",
                "first_stud": 28,
                "first_tapped": 12,
                "second_stud": 28,
                "second_tapped": 12,
            },
        ),
        TableKeys(
            name="mount",
            row=Mount,
            form="rows",
            about="where a bush is, and what meets there",
            groups=("bolt", "chassis", "powertrain", "link"),
            examples={"powertrain_onto": "gearbox", "play": 0.5},
        ),
        TableKeys(
            name="part",
            row=PartRow,
            form="rows",
            about="parts, each of a recipe",
            open_to="a value of its recipe: brackets recipes RECIPE",
            instead=("recipe", "mirror_of"),
            examples={"mirror_of": "left_ears", "hand": "left"},
        ),
        TableKeys(name="contact", row=Contact, form="rows", about="pairs that are meant to touch"),
        TableKeys(
            name="path",
            row=PathRow,
            form="rows",
            about="paths in and out",
            inner=(
                TableKeys(
                    name="legs",
                    row=TurnLeg,
                    form="rows",
                    about="each starts where the last one ends: [x, y, z], or a turn",
                    short=StraightLegRow,
                    examples={"by": [0, 0, 150], "turn": 30, "through": [-400, 0, 560], "axis": [1, 0, 0]},
                ),
            ),
        ),
        TableKeys(
            name="slack",
            row=SlackRow,
            form="rows",
            about="hoses, cables, linkages and joints between powertrain and chassis",
            examples={
                "name": "fuel_hose",
                "powertrain": [0, 120, 400],
                "chassis": [-250, 180, 420],
                "length": 340,
                "least": 180,
                "margin": 20,
            },
        ),
        TableKeys(
            name="expected",
            row=ExpectedRow,
            form="rows",
            about="what you worked out by other means, compared with what comes out",
            examples={"what": "gap", "of": ["fuel_hose", "engine"], "value": 20.5, "how": "by straight edge"},
        ),
        TableKeys(
            name="shaft",
            row=ShaftRow,
            form="rows",
            about="shafts with a joint at either end, one on the powertrain, one on the chassis",
            groups=("powertrain", "chassis", "angle", "pair", "plunge"),
            examples={
                "name": "prop_shaft",
                "powertrain_at": [-420, 0, 210],
                "powertrain_axis": [-1, 0, 0],
                "chassis_at": [-1050, 20, 185],
                "chassis_axis": [1, 0, 0.03],
                "angle_rest": 4,
                "angle_moved": 7,
                "pair_rest": 1,
                "pair_moved": 4,
                "plunge_shorter": 15,
                "plunge_longer": 20,
            },
        ),
        TableKeys(
            name="chain",
            row=ChainRow,
            form="rows",
            about="chains and belts from the powertrain to the chassis",
            groups=("powertrain", "chassis", "offset", "angle", "centres"),
            examples={
                "name": "final_chain",
                "powertrain_at": [-180, 110, 205],
                "powertrain_axis": [0, 1, 0],
                "chassis_at": [-640, 110, 180],
                "chassis_axis": [0, 1, 0],
                "offset_rest": 1,
                "offset_moved": 4,
                "angle_rest": 0.3,
                "angle_moved": 1.5,
                "centres_nearer": 6,
                "centres_further": 4,
            },
        ),
        TableKeys(
            name="prop",
            row=PropRow,
            form="rows",
            about="points under the powertrain where it is propped while its mounts are made",
            groups=("height",),
            examples={"name": "sump", "at": [60, 0, 95], "ground": -120, "height_from": 150, "height_to": 260},
        ),
        TableKeys(name="socket", row=SocketRow, form="rows", about="your sockets"),
        TableKeys(name="spanner", row=SpannerRow, form="rows", about="your spanners"),
        TableKeys(
            name="accept",
            row=Accept,
            form="rows",
            about="findings you overrule, by name and with a reason",
            examples={
                "code": "gap moved",
                "part": "fuel_hose",
                "why": "the hose is tied back before the engine goes in",
                "by": "A. Fitter",
            },
        ),
    ),
)

"""The keys of a bay file: its tables, in the order of the list, and the rows that say what each key may be.

The rows are those by which the file is read.
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
from brackets.bay.schema.keep_out import KeepOut
from brackets.bay.schema.loads import ForceRow, LoadCaseRow, SnubberRow
from brackets.bay.schema.standing import (
    Accept,
    Boss,
    CentrePlane,
    Contact,
    Datum,
    Gap,
    Lump,
    Mount,
    PartRow,
    Powertrain,
)
from brackets.core.schema.checked import Checked
from brackets.core.schema.file_keys import UNITS, FileKeys, TableKeys
from brackets.core.schema.kinds import choice, count, mm, text
from brackets.core.tables.bush_table import BUSH_GROUPS, BushRow
from brackets.core.text_files import LONGEST_NAME
from brackets.forming.shop_rows import COATING_IN_HOLES
from brackets.hold.typed import HOLD_EXAMPLE, HoldRow

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
            examples={
                "crank_layout": "twin 270",
                "crank_throws": [0, 90],
                "crank_banks": [0, 0],
                "crank_along": [0, 1],
                "crank_firing": [0, 270],
                "primary": 2.9,
                "turns": "left-handed",
            },
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
            groups=BUSH_GROUPS,
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
            groups=("bolt", "press", "chassis", "powertrain", "link"),
            examples={
                "powertrain_onto": "gearbox",
                "play": 0.5,
                "press_least": 0.02,
                "press_most": 0.05,
                "press_shell": 40,
                "press_friction": 0.12,
            },
        ),
        TableKeys(
            name="snubber",
            row=SnubberRow,
            form="rows",
            about="what the powertrain meets when it moves: snubbers, capture washers, straps, pads",
            examples={
                "name": "tunnel_snubber",
                "mount": "left",
                "at": [-600, 0, 150],
                "direction": [0, 0, 1],
                "gap": 4,
                "gap_back": 6,
                "stiffness": 1500,
            },
        ),
        TableKeys(
            name="load_case",
            row=LoadCaseRow,
            form="rows",
            about="what the powertrain must bear on its bushes beside its weight and its gears",
            inner=(
                TableKeys(
                    name="forces",
                    row=ForceRow,
                    form="rows",
                    about="forces and couples on the powertrain",
                    examples={"at": [-520, 60, 250], "force": [0, 0, -800], "couple": [0, 120, 0]},
                ),
            ),
            examples={"name": "pot-hole", "felt": [0.5, 0, -4], "part": 0.5, "gear": "first", "why": "own choice"},
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
                    must=True,
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
            examples={
                "what": "gap",
                "of": ["fuel_hose", "engine"],
                "case": "first gear",
                "without": "torque_link",
                "at": [-345, 60, 500],
                "along": [1, 0, 0],
                "value": 20.5,
                "how": "by straight edge",
            },
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
                "size": "10B",
                "pitch": 15.875,
                "powertrain_teeth": 16,
                "powertrain_radius": 40.7,
                "chassis_teeth": 40,
                "chassis_radius": 101.2,
                "slack": 50,
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
        TableKeys(
            name="hold",
            row=HoldRow,
            form="table",
            about="with what the parts are judged for strength; without load cases nothing is",
            groups=("gamma", "press"),
            examples=HOLD_EXAMPLE,
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

"""The public names, for type checkers: tests/face_stub.py writes this from __init__.py."""

from brackets.app.preview.notebook import show
from brackets.bay.file import read as read_bay
from brackets.bay.fitting import Fit, fit
from brackets.bay.hung.on_bushes import OnBushes, on_bushes
from brackets.bay.schema.record import Bay
from brackets.clearance.bodies import Body, body
from brackets.clearance.gap_rows import survey as gaps
from brackets.clearance.gaps import Gap, gap
from brackets.clearance.legs import swing
from brackets.clearance.motion import bush_moves, powertrain_moves
from brackets.clearance.overlaps import overlap
from brackets.clearance.paths import path
from brackets.clearance.places import Transform, transform
from brackets.clearance.sweeps import rock, sweep
from brackets.core.errors import BadFile, BadRecipe, InputError, KernelFailed, OutOfRange
from brackets.core.finding import GEOMETRY, PRACTICE, Finding, stopped, worst_first
from brackets.core.marks import Marks
from brackets.core.place import HERE, Place
from brackets.core.rulebook.finding_rule import FindingRule, advice, caution, stop
from brackets.core.schema.bounds import at_least, at_most, between
from brackets.core.schema.checked import WORKED_OUT, Checked, fields, follows
from brackets.core.schema.kinds import (
    by_name,
    choice,
    count,
    deg,
    direction,
    kg,
    lengths,
    masses,
    mm,
    newton,
    number,
    numbers,
    point,
    points,
    sizes,
    stock,
    text,
    texts,
    yes_no,
)
from brackets.core.schema.links import LINKS
from brackets.core.schema.reading import changed, from_mapping, from_texts, stated, values
from brackets.core.schema.rows import od_wall
from brackets.core.tables.bolt_rows import Bolt, bolt, bolts
from brackets.core.tables.bush_rows import Bobbin, Bush
from brackets.core.tables.bush_table import bobbin, bobbins, bush, bushes
from brackets.core.tables.fasteners import engagement, hole, nut, spanner, washer
from brackets.core.tables.fits import HOLE_CLASSES, Limits, hole_limits, typed_limits
from brackets.core.tables.kinds import row
from brackets.core.tables.kinds import tube as tube_size
from brackets.core.tables.material_rows import Material, material, materials
from brackets.core.tables.own_rows import Tables, load_rows
from brackets.core.tables.stock_rows import (
    PLATE,
    TUBE,
    WALL,
    nearest_plates,
    nearest_tubes,
    plate_stock,
    tube,
    tubes,
)
from brackets.core.units import angle, length
from brackets.core.vectors import Vec, add, cross, degrees_between, dot, scale, square_to, sub, unit
from brackets.core.vectors import length as norm
from brackets.drawing.nest import nest
from brackets.drawing.record import Drawing, Title
from brackets.drawing.wraps import wraps
from brackets.forming.cut_rows import cut_rows
from brackets.forming.flanges import Corner, joggle, lip
from brackets.forming.flat_pattern import Blank, blank_of
from brackets.forming.printer_3d import Printer3D
from brackets.forming.set_up import SetUp, set_up
from brackets.forming.set_up_dimension import SetUpDimension
from brackets.forming.shop import NO_TOOLS, Shop
from brackets.forming.shop_file import default as default_shop
from brackets.forming.shop_file import load as load_shop
from brackets.forming.tube_layout import Layout, lay_out
from brackets.forming.tube_run import Bung, Cylinder, Mitre, PlaneTarget, Run
from brackets.forming.tube_walls import Rod, rod_gap, rods
from brackets.forming.wrap import wrap
from brackets.geometry.curve import Outline, outline
from brackets.geometry.distance import offset
from brackets.geometry.regions import common, cut, join
from brackets.geometry.segments import Arc, Line, Point
from brackets.geometry.shapes import chamfered, circle, hexagon, polygon, rectangle, round_hull, slot
from brackets.hang.bobbin import BobbinStiffness, bobbin_stiffness
from brackets.hang.bonded import BushStiffness, bush_stiffness
from brackets.hang.bush import BushSprings, bobbin_springs, bush_springs, springs_of_row
from brackets.hang.cases import one_missing, under_cases
from brackets.hang.drive import Drive, Grip, drive_reactions, torque_pulse
from brackets.hang.findings import case_findings, missing_findings, mode_findings
from brackets.hang.hardness import RubberModulus, rubber_modulus
from brackets.hang.load import Load, LoadCase, road_cases
from brackets.hang.measured import Known, measured_stiffness
from brackets.hang.mount import Mount, Stop, link
from brackets.hang.orders import CrankLayout, crank_layout, orders
from brackets.hang.powertrain import MassLump, Powertrain, powertrain
from brackets.hang.response import transmissibility, transmitted
from brackets.hang.scatter import reaction_range
from brackets.hang.sensitivity import case_slopes, mode_slopes, worst_figures
from brackets.hang.set_height import SetHeight, set_height
from brackets.hang.statics import NotHeldError, Reactions, reactions
from brackets.hang.travel import MovementBounds, movement_bounds
from brackets.hang.vibration import Modes, modes, torque_roll_axis
from brackets.hold.bolts import bolt_bearing, bolt_combined, bolt_punching, bolt_shear, bolt_slip, bolt_tension
from brackets.hold.check import Check, Refused
from brackets.hold.factors import EN_1993, Factors
from brackets.hold.fillets import fillet_directional, fillet_normal, fillet_simplified, throat_of
from brackets.hold.frame import CLAMPED, PIN, Frame, FrameResult, Support
from brackets.hold.frame_members import BeamSection, Member, flat_section, round_section
from brackets.hold.held import Held
from brackets.hold.hold_part import hold_part
from brackets.hold.load_text import read_cases
from brackets.hold.metal import Bolts, Metal, bolts_of, metal
from brackets.hold.part_cases import HoldSettings, PartCase, PressFit, SeatLoad
from brackets.hold.pins import (
    ear_edge,
    ear_thickness,
    pin_bearing,
    pin_bending,
    pin_combined,
    pin_contact,
    pin_shear,
)
from brackets.hold.plates import (
    block_tearing,
    plate_bending,
    plate_combined,
    plate_tension,
    skin_bearing,
    spreader_bending,
)
from brackets.hold.press_fit import cup_hoop, press_pressure, push_out
from brackets.hold.stress_ranges import StressRange, stress_ranges
from brackets.hold.struts import buckling_reduction, crush_tube, strut_buckling
from brackets.hold.t_stubs import prying_force, t_stub
from brackets.hold.threads import thread_stripping
from brackets.hold.tube_joints import tube_on_tube
from brackets.hold.tube_walls import ear_on_tube, ear_punching
from brackets.hold.tubes import tube_axial, tube_bending, tube_class, tube_combined, tube_shear, tube_torsion
from brackets.hold.weld_lines import WeldArc, WeldGroup, WeldSegment
from brackets.kernel.mesh import mesh
from brackets.kernel.solids import shape
from brackets.library.corner_ears import CornerSeat, corner_rules, on_corner
from brackets.library.ears import Ears, FlatSeat, Rail, ear_foot, on_flat, on_tube
from brackets.library.faces import Face, boss_holes, edge_for, opening_ends, opening_rules, spacers
from brackets.library.fixings import FIXINGS, SLOT_WAYS, Fixing, end_holes, fastened, slotted_holes, washer_rules
from brackets.library.folded_ears import with_back
from brackets.library.hardware import bobbin_end, bobbin_rubber, bolted, bush_inner, bush_outer, nut_on
from brackets.library.jig import jig
from brackets.library.joggled_ears import Joggle, joggle_rules, joggled
from brackets.library.limits import cures, left
from brackets.library.mount_rules import (
    BungFollows,
    CupFollows,
    cup_findings,
    cup_tube,
    cup_tube_problems,
    ear_findings,
    landing_problems,
    name_problems,
)
from brackets.library.plates import (
    UNDER,
    Lips,
    base_plate,
    cup_gussets,
    flat_part,
    gusset_outline,
    plate,
    round_holes,
    seat_level,
    seat_welds,
    seated_outline,
)
from brackets.library.recipe import Recipe, about, recipe, recipes
from brackets.library.recipe_rules import all_rules, rules_of
from brackets.library.rounds import bore_findings, bung, bush_bore, centred, cup, dummy_bush, ring, tube_cup
from brackets.library.stud_shelf import StudShelf, stud_shelf
from brackets.mockups.bay import mockup_of_bay
from brackets.mockups.card_part import CardMockUp, card
from brackets.mockups.files import write as write_mockup
from brackets.mockups.printed import mockup
from brackets.mockups.printer_test import printer_test
from brackets.mockups.record import MockUp
from brackets.mockups.stations import Stations, stations
from brackets.mockups.stations_files import write as write_stations
from brackets.model.bend_allowance import bend_allowance, deduction, joggle_web, k_of_allowance, setback
from brackets.model.cope import end_curve
from brackets.model.holes import Hole, HoleKind, Slot, Window, bolt_circle, bolt_hole, bolt_holes, slotted
from brackets.model.moments import Mass, Moments3
from brackets.model.part import Part, Plane, assembled, reflected
from brackets.model.piece import CustomPiece, Piece, Seat
from brackets.model.plate import Flange, Folded, Plate, Relief, TubeSeat, Wall
from brackets.model.tube import BentTube, BushBore, Step, Tube, TubeEnd, Turned
from brackets.model.weld import Along, AtSeat, Circle, OpeningRim, StraightEdge, TubeRim, Weld
from brackets.output.dxf import write as write_dxf
from brackets.output.part_files import Made, made, write
from brackets.output.pdf import write as write_pdf
from brackets.output.step import write as write_step
from brackets.output.stl import write as write_stl
from brackets.output.svg import write as write_svg
from brackets.rules.part import general_findings, part_findings, shop_findings
from brackets.rules.tubes import layout_findings, socket_findings
from brackets.survey.assembly_fit import enters
from brackets.survey.chance import HoleErrors, Pull, chance
from brackets.survey.file import read as read_readings
from brackets.survey.readings import DatumEdge, MeasuredHole, Reading, Survey
from brackets.survey.solve import solve
from brackets.survey.work import work_out as work_out_readings
from brackets.variants.family import family
from brackets.variants.hands import Hands, hands
from brackets.variants.result import Row
from brackets.variants.rows import Rows

__version__: str
_FROM: dict[str, tuple[str, str]]
__all__ = [
    "Along", "Arc", "AtSeat", "BadFile", "BadRecipe", "Bay", "BeamSection", "BentTube", "Blank", "Bobbin",
    "BobbinStiffness", "Body", "Bolt", "Bolts", "Bung", "BungFollows", "Bush", "BushBore", "BushSprings",
    "BushStiffness", "CLAMPED", "CardMockUp", "Check", "Checked", "Circle", "Corner", "CornerSeat", "CrankLayout",
    "CupFollows", "CustomPiece", "Cylinder", "DatumEdge", "Drawing", "Drive", "EN_1993", "Ears", "FIXINGS", "Face",
    "Factors", "Finding", "FindingRule", "Fit", "Fixing", "Flange", "FlatSeat", "Folded", "Frame", "FrameResult",
    "GEOMETRY", "Gap", "Grip", "HERE", "HOLE_CLASSES", "Hands", "Held", "HoldSettings", "Hole", "HoleErrors",
    "HoleKind", "InputError", "Joggle", "KernelFailed", "Known", "LINKS", "Layout", "Limits", "Line", "Lips",
    "Load", "LoadCase", "Made", "Marks", "Mass", "MassLump", "Material", "MeasuredHole", "Member", "Metal", "Mitre",
    "MockUp", "Modes", "Moments3", "Mount", "MovementBounds", "NO_TOOLS", "NotHeldError", "OnBushes", "OpeningRim",
    "OutOfRange", "Outline", "PIN", "PLATE", "PRACTICE", "Part", "PartCase", "Piece", "Place", "Plane",
    "PlaneTarget", "Plate", "Point", "Powertrain", "PressFit", "Printer3D", "Pull", "Rail", "Reactions", "Reading",
    "Recipe", "Refused", "Relief", "Rod", "Row", "Rows", "RubberModulus", "Run", "SLOT_WAYS", "Seat", "SeatLoad",
    "SetHeight", "SetUp", "SetUpDimension", "Shop", "Slot", "Stations", "Step", "Stop", "StraightEdge",
    "StressRange", "StudShelf", "Support", "Survey", "TUBE", "Tables", "Title", "Transform", "Tube", "TubeEnd",
    "TubeRim", "TubeSeat", "Turned", "UNDER", "Vec", "WALL", "WORKED_OUT", "Wall", "Weld", "WeldArc", "WeldGroup",
    "WeldSegment", "Window", "__version__", "about", "add", "advice", "all_rules", "angle", "assembled", "at_least",
    "at_most", "base_plate", "bend_allowance", "between", "blank_of", "block_tearing", "bobbin", "bobbin_end",
    "bobbin_rubber", "bobbin_springs", "bobbin_stiffness", "bobbins", "body", "bolt", "bolt_bearing", "bolt_circle",
    "bolt_combined", "bolt_hole", "bolt_holes", "bolt_punching", "bolt_shear", "bolt_slip", "bolt_tension",
    "bolted", "bolts", "bolts_of", "bore_findings", "boss_holes", "buckling_reduction", "bung", "bush", "bush_bore",
    "bush_inner", "bush_moves", "bush_outer", "bush_springs", "bush_stiffness", "bushes", "by_name", "card",
    "case_findings", "case_slopes", "caution", "centred", "chamfered", "chance", "changed", "choice", "circle",
    "common", "corner_rules", "count", "crank_layout", "cross", "crush_tube", "cup", "cup_findings", "cup_gussets",
    "cup_hoop", "cup_tube", "cup_tube_problems", "cures", "cut", "cut_rows", "deduction", "default_shop", "deg",
    "degrees_between", "direction", "dot", "drive_reactions", "dummy_bush", "ear_edge", "ear_findings", "ear_foot",
    "ear_on_tube", "ear_punching", "ear_thickness", "edge_for", "end_curve", "end_holes", "engagement", "enters",
    "family", "fastened", "fields", "fillet_directional", "fillet_normal", "fillet_simplified", "fit", "flat_part",
    "flat_section", "follows", "from_mapping", "from_texts", "gap", "gaps", "general_findings", "gusset_outline",
    "hands", "hexagon", "hold_part", "hole", "hole_limits", "jig", "joggle", "joggle_rules", "joggle_web",
    "joggled", "join", "k_of_allowance", "kg", "landing_problems", "lay_out", "layout_findings", "left", "length",
    "lengths", "link", "lip", "load_rows", "load_shop", "made", "masses", "material", "materials",
    "measured_stiffness", "mesh", "metal", "missing_findings", "mm", "mockup", "mockup_of_bay", "mode_findings",
    "mode_slopes", "modes", "movement_bounds", "name_problems", "nearest_plates", "nearest_tubes", "nest", "newton",
    "norm", "number", "numbers", "nut", "nut_on", "od_wall", "offset", "on_bushes", "on_corner", "on_flat",
    "on_tube", "one_missing", "opening_ends", "opening_rules", "orders", "outline", "overlap", "part_findings",
    "path", "pin_bearing", "pin_bending", "pin_combined", "pin_contact", "pin_shear", "plate", "plate_bending",
    "plate_combined", "plate_stock", "plate_tension", "point", "points", "polygon", "powertrain",
    "powertrain_moves", "press_pressure", "printer_test", "prying_force", "push_out", "reaction_range", "reactions",
    "read_bay", "read_cases", "read_readings", "recipe", "recipes", "rectangle", "reflected", "ring", "road_cases",
    "rock", "rod_gap", "rods", "round_holes", "round_hull", "round_section", "row", "rubber_modulus", "rules_of",
    "scale", "seat_level", "seat_welds", "seated_outline", "set_height", "set_up", "setback", "shape",
    "shop_findings", "show", "sizes", "skin_bearing", "slot", "slotted", "slotted_holes", "socket_findings",
    "solve", "spacers", "spanner", "spreader_bending", "springs_of_row", "square_to", "stated", "stations", "stock",
    "stop", "stopped", "stress_ranges", "strut_buckling", "stud_shelf", "sub", "sweep", "swing", "t_stub", "text",
    "texts", "thread_stripping", "throat_of", "torque_pulse", "torque_roll_axis", "transform", "transmissibility",
    "transmitted", "tube", "tube_axial", "tube_bending", "tube_class", "tube_combined", "tube_cup", "tube_on_tube",
    "tube_shear", "tube_size", "tube_torsion", "tubes", "typed_limits", "under_cases", "unit", "values", "washer",
    "washer_rules", "with_back", "work_out_readings", "worst_figures", "worst_first", "wrap", "wraps", "write",
    "write_dxf", "write_mockup", "write_pdf", "write_stations", "write_step", "write_stl", "write_svg", "yes_no"
]

"""Engine and gearbox mounts as data: recipes, masses, clearance, flats, copes and files from one record.

Everything a script or a recipe needs is a name of this package; what lies below may move. Nothing is loaded until
it is used. mm, degrees, kg.

Here are the names by subject. `help(brackets.lay_out)` shows one of them: what it is, its arguments with their
units, what it raises, and an example, which runs as it stands after `from brackets import *`.

Recipes:
    about, cures, left, Recipe, recipe, recipes.

Values of a recipe: their rules, and the record that holds them:
    at_least, at_most, between, by_name, changed, Checked, choice, count, deg, direction, fields, follows,
    from_mapping, from_texts, kg, lengths, LINKS, masses, mm, newton, number, numbers, od_wall, PLATE, point,
    points, row, sizes, stated, stock, text, texts, TUBE, tube_size, values, WALL, WORKED_OUT, yes_no.

Units and tables:
    angle, Bobbin, bobbin, bobbins, Bolt, bolt, bolts, Bush, bush, bushes, hole, length, load_rows, Material,
    material, materials, nearest_plates, nearest_tubes, nut, plate_stock, spanner, Tables, tube, tubes, washer.

Errors and findings:
    advice, all_rules, BadFile, BadRecipe, caution, Finding, FindingRule, general_findings, GEOMETRY,
    InputError, KernelFailed, layout_findings, OutOfRange, part_findings, PRACTICE, rules_of, shop_findings,
    stop, stopped, worst_first.

Parts and what they are made of:
    Along, Arc, assembled, AtSeat, BentTube, bolt_circle, bolt_hole, bolt_holes, BushBore, chamfered, Circle,
    circle, common, CustomPiece, cut, Flange, Folded, HERE, hexagon, Hole, HoleKind, join, Line, Mass, Moments3,
    offset, OpeningRim, Outline, outline, Part, Piece, Place, Plane, Plate, Point, polygon, rectangle,
    reflected, Relief, round_hull, Seat, Slot, slot, slotted, Step, StraightEdge, Tube, TubeEnd, TubeRim,
    TubeSeat, Turned, Vec, Wall, Weld, Window.

Three-vectors, for placing things:
    add, cross, degrees_between, dot, norm, scale, square_to, sub, unit.

Library: what the shipped recipes are made with:
    base_plate, bobbin_end, bobbin_rubber, bolted, bore_findings, boss_holes, bung, BungFollows, bush_bore,
    bush_inner, bush_outer, centred, Corner, corner_rules, CornerSeat, cup, cup_findings, cup_gussets, cup_tube,
    cup_tube_problems, CupFollows, dummy_bush, ear_findings, ear_foot, Ears, edge_for, end_holes, engagement,
    Face, fastened, Fixing, FIXINGS, flat_part, FlatSeat, gusset_outline, HOLE_CLASSES, hole_limits, jig,
    Joggle, joggle_rules, joggled, landing_problems, Limits, Lips, name_problems, nut_on, on_corner, on_flat,
    on_tube, opening_ends, opening_rules, plate, Rail, ring, round_holes, seat_level, seat_welds, seated_outline,
    SLOT_WAYS, slotted_holes, socket_findings, spacers, stud_shelf, StudShelf, tube_cup, typed_limits, UNDER,
    washer_rules, with_back.

Flat patterns, bends and tubes:
    bend_allowance, Blank, blank_of, Bung, cut_rows, Cylinder, deduction, default_shop, end_curve, joggle,
    joggle_web, k_of_allowance, lay_out, Layout, lip, load_shop, Mitre, NO_TOOLS, PlaneTarget, Rod, rod_gap,
    rods, Run, set_up, setback, SetUp, SetUpDimension, Shop, wrap.

Survey: readings, weighing, and whether the bolts go in:
    chance, DatumEdge, enters, HoleErrors, MeasuredHole, Pull, read_readings, Reading, solve, Survey,
    work_out_readings.

Drawings:
    Drawing, nest, Title, wraps.

The powertrain on its bushes, also as `brackets.hang`; mm, N, kg, Hz:
    bobbin_springs, bobbin_stiffness, BobbinStiffness, bush_springs, bush_stiffness, BushSprings, BushStiffness,
    case_findings, case_slopes, crank_layout, CrankLayout, Drive, drive_reactions, Grip, Known, link, Load,
    LoadCase, MassLump, measured_stiffness, missing_findings, mode_findings, mode_slopes, Modes, modes, Mount,
    movement_bounds, MovementBounds, NotHeldError, one_missing, orders, Powertrain, powertrain, reaction_range,
    Reactions, reactions, road_cases, rubber_modulus, RubberModulus, set_height, SetHeight, springs_of_row, Stop,
    torque_pulse, torque_roll_axis, transmissibility, transmitted, under_cases, worst_figures.

Whether it holds, by hand, also as `brackets.hold`; N, N mm, mm, MPa:
    BeamSection, block_tearing, bolt_bearing, bolt_combined, bolt_punching, bolt_shear, bolt_slip, bolt_tension,
    Bolts, bolts_of, buckling_reduction, Check, CLAMPED, crush_tube, cup_hoop, ear_edge, ear_on_tube, ear_punching,
    ear_thickness, EN_1993, Factors, fillet_directional, fillet_normal, fillet_simplified, flat_section, Frame,
    FrameResult, Held, hold_part, HoldSettings, Member, Metal, metal, PartCase, PIN, pin_bearing, pin_bending,
    pin_combined, pin_contact, pin_shear, plate_bending, plate_combined, plate_tension, press_pressure, PressFit,
    prying_force, push_out, read_cases, Refused, round_section, SeatLoad, skin_bearing, spreader_bending,
    stress_ranges, StressRange, strut_buckling, Support, t_stub, thread_stripping, throat_of, tube_axial,
    tube_bending, tube_class, tube_combined, tube_on_tube, tube_shear, tube_torsion, WeldArc, WeldGroup,
    WeldSegment.

Solids and clearance; loading these takes seconds:
    Body, body, bush_moves, Gap, gap, gaps, mesh, overlap, path, powertrain_moves, rock, shape, sweep, swing,
    Transform, transform.

Bays, and what is written:
    Bay, Fit, fit, Made, made, Marks, on_bushes, OnBushes, read_bay, show, write, write_dxf, write_pdf, write_step,
    write_stl, write_svg.

Families: many variants of one recipe or of one part of a bay, and its left and right hand:
    family, hands, Hands, Row, Rows.

Mock-ups, to check the fit before steel is cut:
    card, CardMockUp, MockUp, mockup, mockup_of_bay, Printer3D, printer_test, Stations, stations, write_mockup,
    write_stations.
"""

from __future__ import annotations

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import Any

    from brackets.app.preview.notebook import show as show
    from brackets.bay.file import read as read_bay
    from brackets.bay.fitting import Fit as Fit
    from brackets.bay.fitting import fit as fit
    from brackets.bay.hung.on_bushes import OnBushes as OnBushes
    from brackets.bay.hung.on_bushes import on_bushes as on_bushes
    from brackets.bay.schema.record import Bay as Bay
    from brackets.clearance.bodies import Body as Body
    from brackets.clearance.bodies import body as body
    from brackets.clearance.gap_rows import survey as gaps
    from brackets.clearance.gaps import Gap as Gap
    from brackets.clearance.gaps import gap as gap
    from brackets.clearance.motion import bush_moves as bush_moves
    from brackets.clearance.motion import powertrain_moves as powertrain_moves
    from brackets.clearance.motion import swing as swing
    from brackets.clearance.overlaps import overlap as overlap
    from brackets.clearance.paths import path as path
    from brackets.clearance.places import Transform as Transform
    from brackets.clearance.places import transform as transform
    from brackets.clearance.sweeps import rock as rock
    from brackets.clearance.sweeps import sweep as sweep
    from brackets.core.errors import BadFile as BadFile
    from brackets.core.errors import BadRecipe as BadRecipe
    from brackets.core.errors import InputError as InputError
    from brackets.core.errors import KernelFailed as KernelFailed
    from brackets.core.errors import OutOfRange as OutOfRange
    from brackets.core.finding import GEOMETRY as GEOMETRY
    from brackets.core.finding import PRACTICE as PRACTICE
    from brackets.core.finding import Finding as Finding
    from brackets.core.finding import stopped as stopped
    from brackets.core.finding import worst_first as worst_first
    from brackets.core.marks import Marks as Marks
    from brackets.core.place import HERE as HERE
    from brackets.core.place import Place as Place
    from brackets.core.rulebook.finding_rule import FindingRule as FindingRule
    from brackets.core.rulebook.finding_rule import advice as advice
    from brackets.core.rulebook.finding_rule import caution as caution
    from brackets.core.rulebook.finding_rule import stop as stop
    from brackets.core.schema.bounds import at_least as at_least
    from brackets.core.schema.bounds import at_most as at_most
    from brackets.core.schema.bounds import between as between
    from brackets.core.schema.checked import WORKED_OUT as WORKED_OUT
    from brackets.core.schema.checked import Checked as Checked
    from brackets.core.schema.checked import fields as fields
    from brackets.core.schema.checked import follows as follows
    from brackets.core.schema.kinds import by_name as by_name
    from brackets.core.schema.kinds import choice as choice
    from brackets.core.schema.kinds import count as count
    from brackets.core.schema.kinds import deg as deg
    from brackets.core.schema.kinds import direction as direction
    from brackets.core.schema.kinds import kg as kg
    from brackets.core.schema.kinds import lengths as lengths
    from brackets.core.schema.kinds import masses as masses
    from brackets.core.schema.kinds import mm as mm
    from brackets.core.schema.kinds import newton as newton
    from brackets.core.schema.kinds import number as number
    from brackets.core.schema.kinds import numbers as numbers
    from brackets.core.schema.kinds import point as point
    from brackets.core.schema.kinds import points as points
    from brackets.core.schema.kinds import sizes as sizes
    from brackets.core.schema.kinds import stock as stock
    from brackets.core.schema.kinds import text as text
    from brackets.core.schema.kinds import texts as texts
    from brackets.core.schema.kinds import yes_no as yes_no
    from brackets.core.schema.links import LINKS as LINKS
    from brackets.core.schema.reading import changed as changed
    from brackets.core.schema.reading import from_mapping as from_mapping
    from brackets.core.schema.reading import from_texts as from_texts
    from brackets.core.schema.reading import stated as stated
    from brackets.core.schema.reading import values as values
    from brackets.core.schema.rows import od_wall as od_wall
    from brackets.core.tables.bolt_rows import Bolt as Bolt
    from brackets.core.tables.bolt_rows import bolt as bolt
    from brackets.core.tables.bolt_rows import bolts as bolts
    from brackets.core.tables.bush_rows import Bobbin as Bobbin
    from brackets.core.tables.bush_rows import Bush as Bush
    from brackets.core.tables.bush_table import bobbin as bobbin
    from brackets.core.tables.bush_table import bobbins as bobbins
    from brackets.core.tables.bush_table import bush as bush
    from brackets.core.tables.bush_table import bushes as bushes
    from brackets.core.tables.fasteners import engagement as engagement
    from brackets.core.tables.fasteners import hole as hole
    from brackets.core.tables.fasteners import nut as nut
    from brackets.core.tables.fasteners import spanner as spanner
    from brackets.core.tables.fasteners import washer as washer
    from brackets.core.tables.fits import HOLE_CLASSES as HOLE_CLASSES
    from brackets.core.tables.fits import Limits as Limits
    from brackets.core.tables.fits import hole_limits as hole_limits
    from brackets.core.tables.fits import typed_limits as typed_limits
    from brackets.core.tables.kinds import row as row
    from brackets.core.tables.kinds import tube as tube_size
    from brackets.core.tables.material_rows import Material as Material
    from brackets.core.tables.material_rows import material as material
    from brackets.core.tables.material_rows import materials as materials
    from brackets.core.tables.own_rows import Tables as Tables
    from brackets.core.tables.own_rows import load_rows as load_rows
    from brackets.core.tables.stock_rows import PLATE as PLATE
    from brackets.core.tables.stock_rows import TUBE as TUBE
    from brackets.core.tables.stock_rows import WALL as WALL
    from brackets.core.tables.stock_rows import nearest_plates as nearest_plates
    from brackets.core.tables.stock_rows import nearest_tubes as nearest_tubes
    from brackets.core.tables.stock_rows import plate_stock as plate_stock
    from brackets.core.tables.stock_rows import tube as tube
    from brackets.core.tables.stock_rows import tubes as tubes
    from brackets.core.units import angle as angle
    from brackets.core.units import length as length
    from brackets.core.vectors import Vec as Vec
    from brackets.core.vectors import add as add
    from brackets.core.vectors import cross as cross
    from brackets.core.vectors import degrees_between as degrees_between
    from brackets.core.vectors import dot as dot
    from brackets.core.vectors import length as norm
    from brackets.core.vectors import scale as scale
    from brackets.core.vectors import square_to as square_to
    from brackets.core.vectors import sub as sub
    from brackets.core.vectors import unit as unit
    from brackets.drawing.nest import nest as nest
    from brackets.drawing.record import Drawing as Drawing
    from brackets.drawing.record import Title as Title
    from brackets.drawing.wraps import wraps as wraps
    from brackets.forming.cut_rows import cut_rows as cut_rows
    from brackets.forming.flanges import Corner as Corner
    from brackets.forming.flanges import joggle as joggle
    from brackets.forming.flanges import lip as lip
    from brackets.forming.flat_pattern import Blank as Blank
    from brackets.forming.flat_pattern import blank_of as blank_of
    from brackets.forming.printer_3d import Printer3D as Printer3D
    from brackets.forming.set_up import SetUp as SetUp
    from brackets.forming.set_up import set_up as set_up
    from brackets.forming.set_up_dimension import SetUpDimension as SetUpDimension
    from brackets.forming.shop import NO_TOOLS as NO_TOOLS
    from brackets.forming.shop import Shop as Shop
    from brackets.forming.shop_file import default as default_shop
    from brackets.forming.shop_file import load as load_shop
    from brackets.forming.tube_layout import Bung as Bung
    from brackets.forming.tube_layout import Cylinder as Cylinder
    from brackets.forming.tube_layout import Layout as Layout
    from brackets.forming.tube_layout import Mitre as Mitre
    from brackets.forming.tube_layout import PlaneTarget as PlaneTarget
    from brackets.forming.tube_layout import Run as Run
    from brackets.forming.tube_layout import lay_out as lay_out
    from brackets.forming.tube_walls import Rod as Rod
    from brackets.forming.tube_walls import rod_gap as rod_gap
    from brackets.forming.tube_walls import rods as rods
    from brackets.forming.wrap import wrap as wrap
    from brackets.geometry.curve import Outline as Outline
    from brackets.geometry.curve import outline as outline
    from brackets.geometry.distance import offset as offset
    from brackets.geometry.regions import common as common
    from brackets.geometry.regions import cut as cut
    from brackets.geometry.regions import join as join
    from brackets.geometry.segments import Arc as Arc
    from brackets.geometry.segments import Line as Line
    from brackets.geometry.segments import Point as Point
    from brackets.geometry.shapes import chamfered as chamfered
    from brackets.geometry.shapes import circle as circle
    from brackets.geometry.shapes import hexagon as hexagon
    from brackets.geometry.shapes import polygon as polygon
    from brackets.geometry.shapes import rectangle as rectangle
    from brackets.geometry.shapes import round_hull as round_hull
    from brackets.geometry.shapes import slot as slot
    from brackets.hang.bobbin import BobbinStiffness as BobbinStiffness
    from brackets.hang.bobbin import bobbin_stiffness as bobbin_stiffness
    from brackets.hang.bonded import BushStiffness as BushStiffness
    from brackets.hang.bonded import bush_stiffness as bush_stiffness
    from brackets.hang.bush import BushSprings as BushSprings
    from brackets.hang.bush import bobbin_springs as bobbin_springs
    from brackets.hang.bush import bush_springs as bush_springs
    from brackets.hang.bush import springs_of_row as springs_of_row
    from brackets.hang.cases import one_missing as one_missing
    from brackets.hang.cases import under_cases as under_cases
    from brackets.hang.drive import Drive as Drive
    from brackets.hang.drive import Grip as Grip
    from brackets.hang.drive import drive_reactions as drive_reactions
    from brackets.hang.drive import torque_pulse as torque_pulse
    from brackets.hang.findings import case_findings as case_findings
    from brackets.hang.findings import missing_findings as missing_findings
    from brackets.hang.findings import mode_findings as mode_findings
    from brackets.hang.hardness import RubberModulus as RubberModulus
    from brackets.hang.hardness import rubber_modulus as rubber_modulus
    from brackets.hang.load import Load as Load
    from brackets.hang.load import LoadCase as LoadCase
    from brackets.hang.load import road_cases as road_cases
    from brackets.hang.measured import Known as Known
    from brackets.hang.measured import measured_stiffness as measured_stiffness
    from brackets.hang.mount import Mount as Mount
    from brackets.hang.mount import Stop as Stop
    from brackets.hang.mount import link as link
    from brackets.hang.orders import CrankLayout as CrankLayout
    from brackets.hang.orders import crank_layout as crank_layout
    from brackets.hang.orders import orders as orders
    from brackets.hang.powertrain import MassLump as MassLump
    from brackets.hang.powertrain import Powertrain as Powertrain
    from brackets.hang.powertrain import powertrain as powertrain
    from brackets.hang.response import transmissibility as transmissibility
    from brackets.hang.response import transmitted as transmitted
    from brackets.hang.scatter import reaction_range as reaction_range
    from brackets.hang.sensitivity import case_slopes as case_slopes
    from brackets.hang.sensitivity import mode_slopes as mode_slopes
    from brackets.hang.sensitivity import worst_figures as worst_figures
    from brackets.hang.set_height import SetHeight as SetHeight
    from brackets.hang.set_height import set_height as set_height
    from brackets.hang.statics import NotHeldError as NotHeldError
    from brackets.hang.statics import Reactions as Reactions
    from brackets.hang.statics import reactions as reactions
    from brackets.hang.travel import MovementBounds as MovementBounds
    from brackets.hang.travel import movement_bounds as movement_bounds
    from brackets.hang.vibration import Modes as Modes
    from brackets.hang.vibration import modes as modes
    from brackets.hang.vibration import torque_roll_axis as torque_roll_axis
    from brackets.hold.bolts import bolt_bearing as bolt_bearing
    from brackets.hold.bolts import bolt_combined as bolt_combined
    from brackets.hold.bolts import bolt_punching as bolt_punching
    from brackets.hold.bolts import bolt_shear as bolt_shear
    from brackets.hold.bolts import bolt_slip as bolt_slip
    from brackets.hold.bolts import bolt_tension as bolt_tension
    from brackets.hold.check import Check as Check
    from brackets.hold.check import Refused as Refused
    from brackets.hold.factors import EN_1993 as EN_1993
    from brackets.hold.factors import Factors as Factors
    from brackets.hold.fillets import fillet_directional as fillet_directional
    from brackets.hold.fillets import fillet_normal as fillet_normal
    from brackets.hold.fillets import fillet_simplified as fillet_simplified
    from brackets.hold.fillets import throat_of as throat_of
    from brackets.hold.frame import CLAMPED as CLAMPED
    from brackets.hold.frame import PIN as PIN
    from brackets.hold.frame import Frame as Frame
    from brackets.hold.frame import FrameResult as FrameResult
    from brackets.hold.frame import Support as Support
    from brackets.hold.frame_members import BeamSection as BeamSection
    from brackets.hold.frame_members import Member as Member
    from brackets.hold.frame_members import flat_section as flat_section
    from brackets.hold.frame_members import round_section as round_section
    from brackets.hold.held import Held as Held
    from brackets.hold.hold_part import hold_part as hold_part
    from brackets.hold.load_text import read_cases as read_cases
    from brackets.hold.metal import Bolts as Bolts
    from brackets.hold.metal import Metal as Metal
    from brackets.hold.metal import bolts_of as bolts_of
    from brackets.hold.metal import metal as metal
    from brackets.hold.part_cases import HoldSettings as HoldSettings
    from brackets.hold.part_cases import PartCase as PartCase
    from brackets.hold.part_cases import PressFit as PressFit
    from brackets.hold.part_cases import SeatLoad as SeatLoad
    from brackets.hold.pins import ear_edge as ear_edge
    from brackets.hold.pins import ear_thickness as ear_thickness
    from brackets.hold.pins import pin_bearing as pin_bearing
    from brackets.hold.pins import pin_bending as pin_bending
    from brackets.hold.pins import pin_combined as pin_combined
    from brackets.hold.pins import pin_contact as pin_contact
    from brackets.hold.pins import pin_shear as pin_shear
    from brackets.hold.plates import block_tearing as block_tearing
    from brackets.hold.plates import plate_bending as plate_bending
    from brackets.hold.plates import plate_combined as plate_combined
    from brackets.hold.plates import plate_tension as plate_tension
    from brackets.hold.plates import skin_bearing as skin_bearing
    from brackets.hold.plates import spreader_bending as spreader_bending
    from brackets.hold.press_fit import cup_hoop as cup_hoop
    from brackets.hold.press_fit import press_pressure as press_pressure
    from brackets.hold.press_fit import push_out as push_out
    from brackets.hold.stress_ranges import StressRange as StressRange
    from brackets.hold.stress_ranges import stress_ranges as stress_ranges
    from brackets.hold.struts import buckling_reduction as buckling_reduction
    from brackets.hold.struts import crush_tube as crush_tube
    from brackets.hold.struts import strut_buckling as strut_buckling
    from brackets.hold.t_stubs import prying_force as prying_force
    from brackets.hold.t_stubs import t_stub as t_stub
    from brackets.hold.threads import thread_stripping as thread_stripping
    from brackets.hold.tube_joints import tube_on_tube as tube_on_tube
    from brackets.hold.tube_walls import ear_on_tube as ear_on_tube
    from brackets.hold.tube_walls import ear_punching as ear_punching
    from brackets.hold.tubes import tube_axial as tube_axial
    from brackets.hold.tubes import tube_bending as tube_bending
    from brackets.hold.tubes import tube_class as tube_class
    from brackets.hold.tubes import tube_combined as tube_combined
    from brackets.hold.tubes import tube_shear as tube_shear
    from brackets.hold.tubes import tube_torsion as tube_torsion
    from brackets.hold.weld_lines import WeldArc as WeldArc
    from brackets.hold.weld_lines import WeldGroup as WeldGroup
    from brackets.hold.weld_lines import WeldSegment as WeldSegment
    from brackets.kernel.mesh import mesh as mesh
    from brackets.kernel.solids import shape as shape
    from brackets.library.corner_ears import CornerSeat as CornerSeat
    from brackets.library.corner_ears import corner_rules as corner_rules
    from brackets.library.corner_ears import on_corner as on_corner
    from brackets.library.ears import Ears as Ears
    from brackets.library.ears import FlatSeat as FlatSeat
    from brackets.library.ears import Rail as Rail
    from brackets.library.ears import ear_foot as ear_foot
    from brackets.library.ears import on_flat as on_flat
    from brackets.library.ears import on_tube as on_tube
    from brackets.library.faces import Face as Face
    from brackets.library.faces import boss_holes as boss_holes
    from brackets.library.faces import edge_for as edge_for
    from brackets.library.faces import opening_ends as opening_ends
    from brackets.library.faces import opening_rules as opening_rules
    from brackets.library.faces import spacers as spacers
    from brackets.library.fixings import FIXINGS as FIXINGS
    from brackets.library.fixings import SLOT_WAYS as SLOT_WAYS
    from brackets.library.fixings import Fixing as Fixing
    from brackets.library.fixings import end_holes as end_holes
    from brackets.library.fixings import fastened as fastened
    from brackets.library.fixings import slotted_holes as slotted_holes
    from brackets.library.fixings import washer_rules as washer_rules
    from brackets.library.folded_ears import with_back as with_back
    from brackets.library.hardware import bobbin_end as bobbin_end
    from brackets.library.hardware import bobbin_rubber as bobbin_rubber
    from brackets.library.hardware import bolted as bolted
    from brackets.library.hardware import bush_inner as bush_inner
    from brackets.library.hardware import bush_outer as bush_outer
    from brackets.library.hardware import nut_on as nut_on
    from brackets.library.jig import jig as jig
    from brackets.library.joggled_ears import Joggle as Joggle
    from brackets.library.joggled_ears import joggle_rules as joggle_rules
    from brackets.library.joggled_ears import joggled as joggled
    from brackets.library.limits import cures as cures
    from brackets.library.limits import left as left
    from brackets.library.mount_rules import BungFollows as BungFollows
    from brackets.library.mount_rules import CupFollows as CupFollows
    from brackets.library.mount_rules import cup_findings as cup_findings
    from brackets.library.mount_rules import cup_tube as cup_tube
    from brackets.library.mount_rules import cup_tube_problems as cup_tube_problems
    from brackets.library.mount_rules import ear_findings as ear_findings
    from brackets.library.mount_rules import landing_problems as landing_problems
    from brackets.library.mount_rules import name_problems as name_problems
    from brackets.library.plates import UNDER as UNDER
    from brackets.library.plates import Lips as Lips
    from brackets.library.plates import base_plate as base_plate
    from brackets.library.plates import cup_gussets as cup_gussets
    from brackets.library.plates import flat_part as flat_part
    from brackets.library.plates import gusset_outline as gusset_outline
    from brackets.library.plates import plate as plate
    from brackets.library.plates import round_holes as round_holes
    from brackets.library.plates import seat_level as seat_level
    from brackets.library.plates import seat_welds as seat_welds
    from brackets.library.plates import seated_outline as seated_outline
    from brackets.library.recipe import Recipe as Recipe
    from brackets.library.recipe import about as about
    from brackets.library.recipe import recipe as recipe
    from brackets.library.recipe import recipes as recipes
    from brackets.library.recipe_rules import all_rules as all_rules
    from brackets.library.recipe_rules import rules_of as rules_of
    from brackets.library.rounds import bore_findings as bore_findings
    from brackets.library.rounds import bung as bung
    from brackets.library.rounds import bush_bore as bush_bore
    from brackets.library.rounds import centred as centred
    from brackets.library.rounds import cup as cup
    from brackets.library.rounds import dummy_bush as dummy_bush
    from brackets.library.rounds import ring as ring
    from brackets.library.rounds import tube_cup as tube_cup
    from brackets.library.stud_shelf import StudShelf as StudShelf
    from brackets.library.stud_shelf import stud_shelf as stud_shelf
    from brackets.mockups.bay import mockup_of_bay as mockup_of_bay
    from brackets.mockups.card_part import CardMockUp as CardMockUp
    from brackets.mockups.card_part import card as card
    from brackets.mockups.files import write as write_mockup
    from brackets.mockups.printed import mockup as mockup
    from brackets.mockups.printer_test import printer_test as printer_test
    from brackets.mockups.record import MockUp as MockUp
    from brackets.mockups.stations import Stations as Stations
    from brackets.mockups.stations import stations as stations
    from brackets.mockups.stations_files import write as write_stations
    from brackets.model.bend_allowance import bend_allowance as bend_allowance
    from brackets.model.bend_allowance import deduction as deduction
    from brackets.model.bend_allowance import joggle_web as joggle_web
    from brackets.model.bend_allowance import k_of_allowance as k_of_allowance
    from brackets.model.bend_allowance import setback as setback
    from brackets.model.cope import end_curve as end_curve
    from brackets.model.holes import Hole as Hole
    from brackets.model.holes import HoleKind as HoleKind
    from brackets.model.holes import Slot as Slot
    from brackets.model.holes import Window as Window
    from brackets.model.holes import bolt_circle as bolt_circle
    from brackets.model.holes import bolt_hole as bolt_hole
    from brackets.model.holes import bolt_holes as bolt_holes
    from brackets.model.holes import slotted as slotted
    from brackets.model.moments import Mass as Mass
    from brackets.model.moments import Moments3 as Moments3
    from brackets.model.part import Part as Part
    from brackets.model.part import Plane as Plane
    from brackets.model.part import assembled as assembled
    from brackets.model.part import reflected as reflected
    from brackets.model.piece import CustomPiece as CustomPiece
    from brackets.model.piece import Piece as Piece
    from brackets.model.piece import Seat as Seat
    from brackets.model.plate import Flange as Flange
    from brackets.model.plate import Folded as Folded
    from brackets.model.plate import Plate as Plate
    from brackets.model.plate import Relief as Relief
    from brackets.model.plate import TubeSeat as TubeSeat
    from brackets.model.plate import Wall as Wall
    from brackets.model.tube import BentTube as BentTube
    from brackets.model.tube import BushBore as BushBore
    from brackets.model.tube import Step as Step
    from brackets.model.tube import Tube as Tube
    from brackets.model.tube import TubeEnd as TubeEnd
    from brackets.model.tube import Turned as Turned
    from brackets.model.weld import Along as Along
    from brackets.model.weld import AtSeat as AtSeat
    from brackets.model.weld import Circle as Circle
    from brackets.model.weld import OpeningRim as OpeningRim
    from brackets.model.weld import StraightEdge as StraightEdge
    from brackets.model.weld import TubeRim as TubeRim
    from brackets.model.weld import Weld as Weld
    from brackets.output.dxf import write as write_dxf
    from brackets.output.part_files import Made as Made
    from brackets.output.part_files import made as made
    from brackets.output.part_files import write as write
    from brackets.output.pdf import write as write_pdf
    from brackets.output.step import write as write_step
    from brackets.output.stl import write as write_stl
    from brackets.output.svg import write as write_svg
    from brackets.rules.part import general_findings as general_findings
    from brackets.rules.part import part_findings as part_findings
    from brackets.rules.part import shop_findings as shop_findings
    from brackets.rules.tubes import layout_findings as layout_findings
    from brackets.rules.tubes import socket_findings as socket_findings
    from brackets.survey.assembly_fit import enters as enters
    from brackets.survey.chance import HoleErrors as HoleErrors
    from brackets.survey.chance import Pull as Pull
    from brackets.survey.chance import chance as chance
    from brackets.survey.file import read as read_readings
    from brackets.survey.readings import DatumEdge as DatumEdge
    from brackets.survey.readings import MeasuredHole as MeasuredHole
    from brackets.survey.readings import Reading as Reading
    from brackets.survey.readings import Survey as Survey
    from brackets.survey.solve import solve as solve
    from brackets.survey.work import work_out as work_out_readings
    from brackets.variants.family import family as family
    from brackets.variants.hands import Hands as Hands
    from brackets.variants.hands import hands as hands
    from brackets.variants.result import Row as Row
    from brackets.variants.rows import Rows as Rows

__version__ = "0.4.0"

_NAMES = {
    "app.preview.notebook": "show",
    "bay.file": "read=read_bay",
    "bay.fitting": "Fit fit",
    "bay.hung.on_bushes": "OnBushes on_bushes",
    "bay.schema.record": "Bay",
    "clearance.bodies": "Body body",
    "clearance.gap_rows": "survey=gaps",
    "clearance.gaps": "Gap gap",
    "clearance.motion": "bush_moves powertrain_moves swing",
    "clearance.overlaps": "overlap",
    "clearance.paths": "path",
    "clearance.places": "Transform transform",
    "clearance.sweeps": "rock sweep",
    "core.errors": "BadFile BadRecipe InputError KernelFailed OutOfRange",
    "core.finding": "Finding GEOMETRY PRACTICE stopped worst_first",
    "core.marks": "Marks",
    "core.place": "HERE Place",
    "core.rulebook.finding_rule": "FindingRule advice caution stop",
    "core.schema.bounds": "at_least at_most between",
    "core.schema.checked": "Checked WORKED_OUT fields follows",
    "core.schema.kinds": (
        "by_name choice count deg direction kg lengths masses mm newton number numbers point "
        "points sizes stock text texts yes_no"
    ),
    "core.schema.links": "LINKS",
    "core.schema.reading": "changed from_mapping from_texts stated values",
    "core.schema.rows": "od_wall",
    "core.tables.bolt_rows": "Bolt bolt bolts",
    "core.tables.bush_rows": "Bobbin Bush",
    "core.tables.bush_table": "bobbin bobbins bush bushes",
    "core.tables.fasteners": "engagement hole nut spanner washer",
    "core.tables.fits": "HOLE_CLASSES Limits hole_limits typed_limits",
    "core.tables.kinds": "row tube=tube_size",
    "core.tables.material_rows": "Material material materials",
    "core.tables.own_rows": "Tables load_rows",
    "core.tables.stock_rows": "PLATE TUBE WALL nearest_plates nearest_tubes plate_stock tube tubes",
    "core.units": "angle length",
    "core.vectors": "Vec add cross degrees_between dot length=norm scale square_to sub unit",
    "drawing.nest": "nest",
    "drawing.record": "Drawing Title",
    "drawing.wraps": "wraps",
    "forming.cut_rows": "cut_rows",
    "forming.flanges": "Corner joggle lip",
    "forming.flat_pattern": "Blank blank_of",
    "forming.printer_3d": "Printer3D",
    "forming.set_up": "SetUp set_up",
    "forming.set_up_dimension": "SetUpDimension",
    "forming.shop": "NO_TOOLS Shop",
    "forming.shop_file": "default=default_shop load=load_shop",
    "forming.tube_layout": "Bung Cylinder Layout Mitre PlaneTarget Run lay_out",
    "forming.tube_walls": "Rod rod_gap rods",
    "forming.wrap": "wrap",
    "geometry.curve": "Outline outline",
    "geometry.distance": "offset",
    "geometry.regions": "common cut join",
    "geometry.segments": "Arc Line Point",
    "geometry.shapes": "chamfered circle hexagon polygon rectangle round_hull slot",
    "hang.bobbin": "bobbin_stiffness BobbinStiffness",
    "hang.bonded": "bush_stiffness BushStiffness",
    "hang.bush": "bobbin_springs bush_springs BushSprings springs_of_row",
    "hang.cases": "one_missing under_cases",
    "hang.drive": "Drive Grip drive_reactions torque_pulse",
    "hang.findings": "case_findings missing_findings mode_findings",
    "hang.hardness": "rubber_modulus RubberModulus",
    "hang.load": "Load LoadCase road_cases",
    "hang.measured": "Known measured_stiffness",
    "hang.mount": "Mount Stop link",
    "hang.orders": "CrankLayout crank_layout orders",
    "hang.powertrain": "MassLump Powertrain powertrain",
    "hang.response": "transmissibility transmitted",
    "hang.scatter": "reaction_range",
    "hang.sensitivity": "case_slopes mode_slopes worst_figures",
    "hang.set_height": "SetHeight set_height",
    "hang.statics": "NotHeldError Reactions reactions",
    "hang.travel": "MovementBounds movement_bounds",
    "hang.vibration": "Modes modes torque_roll_axis",
    "hold.bolts": "bolt_bearing bolt_combined bolt_punching bolt_shear bolt_slip bolt_tension",
    "hold.check": "Check Refused",
    "hold.factors": "EN_1993 Factors",
    "hold.fillets": "fillet_directional fillet_normal fillet_simplified throat_of",
    "hold.frame": "CLAMPED PIN Frame FrameResult Support",
    "hold.frame_members": "BeamSection Member flat_section round_section",
    "hold.held": "Held",
    "hold.hold_part": "hold_part",
    "hold.load_text": "read_cases",
    "hold.metal": "Bolts Metal bolts_of metal",
    "hold.part_cases": "HoldSettings PartCase PressFit SeatLoad",
    "hold.pins": "ear_edge ear_thickness pin_bearing pin_bending pin_combined pin_contact pin_shear",
    "hold.plates": "block_tearing plate_bending plate_combined plate_tension skin_bearing spreader_bending",
    "hold.press_fit": "cup_hoop press_pressure push_out",
    "hold.stress_ranges": "StressRange stress_ranges",
    "hold.struts": "buckling_reduction crush_tube strut_buckling",
    "hold.t_stubs": "t_stub prying_force",
    "hold.threads": "thread_stripping",
    "hold.tube_joints": "tube_on_tube",
    "hold.tube_walls": "ear_on_tube ear_punching",
    "hold.tubes": "tube_axial tube_bending tube_class tube_combined tube_shear tube_torsion",
    "hold.weld_lines": "WeldArc WeldGroup WeldSegment",
    "kernel.mesh": "mesh",
    "kernel.solids": "shape",
    "library.corner_ears": "CornerSeat corner_rules on_corner",
    "library.ears": "Ears FlatSeat Rail ear_foot on_flat on_tube",
    "library.faces": "Face boss_holes edge_for opening_ends opening_rules spacers",
    "library.fixings": "FIXINGS Fixing SLOT_WAYS end_holes fastened slotted_holes washer_rules",
    "library.folded_ears": "with_back",
    "library.hardware": "bobbin_end bobbin_rubber bolted bush_inner bush_outer nut_on",
    "library.jig": "jig",
    "library.joggled_ears": "Joggle joggle_rules joggled",
    "library.limits": "cures left",
    "library.mount_rules": (
        "BungFollows CupFollows cup_findings cup_tube cup_tube_problems ear_findings "
        "landing_problems name_problems"
    ),
    "library.plates": (
        "Lips UNDER base_plate cup_gussets flat_part gusset_outline plate round_holes seat_level "
        "seat_welds seated_outline"
    ),
    "library.recipe": "Recipe about recipe recipes",
    "library.recipe_rules": "all_rules rules_of",
    "library.rounds": "bore_findings bung bush_bore centred cup dummy_bush ring tube_cup",
    "library.stud_shelf": "StudShelf stud_shelf",
    "mockups.bay": "mockup_of_bay",
    "mockups.files": "write=write_mockup",
    "mockups.printed": "mockup",
    "mockups.printer_test": "printer_test",
    "mockups.record": "MockUp",
    "model.bend_allowance": "bend_allowance deduction joggle_web k_of_allowance setback",
    "model.cope": "end_curve",
    "model.holes": "Hole HoleKind Slot Window bolt_circle bolt_hole bolt_holes slotted",
    "model.moments": "Mass Moments3",
    "model.part": "Part Plane assembled reflected",
    "model.piece": "CustomPiece Piece Seat",
    "model.plate": "Flange Folded Plate Relief TubeSeat Wall",
    "model.tube": "BentTube BushBore Step Tube TubeEnd Turned",
    "model.weld": "Along AtSeat Circle OpeningRim StraightEdge TubeRim Weld",
    "mockups.card_part": "CardMockUp card",
    "mockups.stations": "Stations stations",
    "mockups.stations_files": "write=write_stations",
    "output.dxf": "write=write_dxf",
    "output.part_files": "Made made write",
    "output.pdf": "write=write_pdf",
    "output.step": "write=write_step",
    "output.stl": "write=write_stl",
    "output.svg": "write=write_svg",
    "rules.part": "general_findings part_findings shop_findings",
    "rules.tubes": "layout_findings socket_findings",
    "survey.assembly_fit": "enters",
    "survey.chance": "HoleErrors Pull chance",
    "survey.file": "read=read_readings",
    "survey.readings": "DatumEdge MeasuredHole Reading Survey",
    "survey.solve": "solve",
    "survey.work": "work_out=work_out_readings",
    "variants.family": "family",
    "variants.hands": "Hands hands",
    "variants.result": "Row",
    "variants.rows": "Rows",
}
"""Module below this package and the names it gives, `theirs=ours` where they differ; as the imports above."""

_FROM = {
    word.split("=")[-1]: (module, word.split("=")[0]) for module, words in _NAMES.items() for word in words.split()
}

__all__ = [
    "Along",
    "Arc",
    "AtSeat",
    "BadFile",
    "BadRecipe",
    "Bay",
    "BeamSection",
    "BentTube",
    "Blank",
    "Body",
    "Bolt",
    "Bolts",
    "Bung",
    "BungFollows",
    "Bush",
    "BushBore",
    "CLAMPED",
    "CardMockUp",
    "Check",
    "Checked",
    "Circle",
    "Corner",
    "CornerSeat",
    "CupFollows",
    "CustomPiece",
    "Cylinder",
    "DatumEdge",
    "Drawing",
    "EN_1993",
    "Ears",
    "FIXINGS",
    "Face",
    "Factors",
    "Finding",
    "FindingRule",
    "Fit",
    "Fixing",
    "Flange",
    "FlatSeat",
    "Folded",
    "Frame",
    "FrameResult",
    "Held",
    "hold_part",
    "HoldSettings",
    "PartCase",
    "PressFit",
    "SeatLoad",
    "prying_force",
    "read_cases",
    "plate_combined",
    "GEOMETRY",
    "Gap",
    "HERE",
    "HOLE_CLASSES",
    "Hands",
    "Hole",
    "HoleErrors",
    "HoleKind",
    "InputError",
    "Joggle",
    "KernelFailed",
    "LINKS",
    "Layout",
    "Limits",
    "Line",
    "Lips",
    "Made",
    "Marks",
    "Mass",
    "Member",
    "Metal",
    "MockUp",
    "Material",
    "MeasuredHole",
    "Mitre",
    "Moments3",
    "NO_TOOLS",
    "OpeningRim",
    "OutOfRange",
    "Outline",
    "PIN",
    "PLATE",
    "PRACTICE",
    "Part",
    "Piece",
    "Place",
    "Plane",
    "PlaneTarget",
    "Plate",
    "Point",
    "Printer3D",
    "Pull",
    "Rail",
    "Reading",
    "Recipe",
    "Refused",
    "Relief",
    "Rod",
    "Row",
    "Rows",
    "Run",
    "SLOT_WAYS",
    "Seat",
    "SetUp",
    "SetUpDimension",
    "Shop",
    "Slot",
    "Step",
    "StraightEdge",
    "StressRange",
    "Support",
    "Survey",
    "TUBE",
    "Title",
    "Transform",
    "Tube",
    "TubeEnd",
    "TubeRim",
    "TubeSeat",
    "Tables",
    "Turned",
    "UNDER",
    "Vec",
    "WALL",
    "WORKED_OUT",
    "Wall",
    "Weld",
    "WeldArc",
    "WeldGroup",
    "WeldSegment",
    "Window",
    "__version__",
    "about",
    "add",
    "advice",
    "all_rules",
    "angle",
    "assembled",
    "at_least",
    "at_most",
    "base_plate",
    "bend_allowance",
    "between",
    "blank_of",
    "block_tearing",
    "body",
    "bolt",
    "bolt_bearing",
    "bolt_circle",
    "bolt_combined",
    "bolt_hole",
    "bolt_holes",
    "bolt_punching",
    "bolt_shear",
    "bolt_slip",
    "bolt_tension",
    "bolted",
    "bolts",
    "bolts_of",
    "bore_findings",
    "boss_holes",
    "buckling_reduction",
    "bung",
    "bush",
    "bush_bore",
    "bush_inner",
    "bush_moves",
    "bush_outer",
    "bushes",
    "by_name",
    "card",
    "caution",
    "centred",
    "chamfered",
    "chance",
    "changed",
    "choice",
    "circle",
    "common",
    "corner_rules",
    "count",
    "cross",
    "crush_tube",
    "cup",
    "cup_findings",
    "cup_gussets",
    "cup_hoop",
    "cup_tube",
    "cup_tube_problems",
    "cures",
    "cut",
    "cut_rows",
    "deduction",
    "default_shop",
    "deg",
    "degrees_between",
    "direction",
    "dot",
    "dummy_bush",
    "ear_edge",
    "ear_findings",
    "ear_foot",
    "ear_on_tube",
    "ear_punching",
    "ear_thickness",
    "edge_for",
    "end_curve",
    "end_holes",
    "engagement",
    "enters",
    "family",
    "fastened",
    "fields",
    "fillet_directional",
    "fillet_normal",
    "fillet_simplified",
    "fit",
    "flat_part",
    "flat_section",
    "follows",
    "from_mapping",
    "from_texts",
    "gap",
    "gaps",
    "general_findings",
    "gusset_outline",
    "hands",
    "hexagon",
    "hole",
    "hole_limits",
    "jig",
    "joggle",
    "joggle_rules",
    "joggle_web",
    "joggled",
    "join",
    "k_of_allowance",
    "kg",
    "landing_problems",
    "lay_out",
    "layout_findings",
    "left",
    "length",
    "lengths",
    "lip",
    "load_rows",
    "load_shop",
    "made",
    "masses",
    "material",
    "materials",
    "mesh",
    "metal",
    "mm",
    "mockup",
    "mockup_of_bay",
    "name_problems",
    "nearest_plates",
    "nearest_tubes",
    "nest",
    "newton",
    "norm",
    "number",
    "numbers",
    "nut",
    "od_wall",
    "offset",
    "on_corner",
    "on_flat",
    "on_tube",
    "opening_ends",
    "opening_rules",
    "outline",
    "overlap",
    "part_findings",
    "path",
    "pin_bearing",
    "pin_bending",
    "pin_combined",
    "pin_contact",
    "pin_shear",
    "plate",
    "plate_bending",
    "plate_stock",
    "plate_tension",
    "point",
    "points",
    "polygon",
    "powertrain_moves",
    "press_pressure",
    "printer_test",
    "push_out",
    "read_bay",
    "read_readings",
    "recipe",
    "recipes",
    "rectangle",
    "reflected",
    "ring",
    "rock",
    "rod_gap",
    "rods",
    "round_holes",
    "round_hull",
    "round_section",
    "row",
    "rules_of",
    "scale",
    "seat_level",
    "seat_welds",
    "seated_outline",
    "set_up",
    "setback",
    "shape",
    "shop_findings",
    "show",
    "sizes",
    "skin_bearing",
    "slot",
    "slotted",
    "slotted_holes",
    "socket_findings",
    "solve",
    "spacers",
    "spanner",
    "spreader_bending",
    "square_to",
    "stated",
    "stations",
    "stock",
    "stop",
    "stopped",
    "stress_ranges",
    "strut_buckling",
    "sub",
    "sweep",
    "swing",
    "t_stub",
    "text",
    "texts",
    "thread_stripping",
    "throat_of",
    "transform",
    "tube",
    "tube_axial",
    "tube_bending",
    "tube_class",
    "tube_combined",
    "tube_cup",
    "tube_on_tube",
    "tube_shear",
    "tube_size",
    "tube_torsion",
    "tubes",
    "typed_limits",
    "unit",
    "values",
    "washer",
    "washer_rules",
    "with_back",
    "work_out_readings",
    "worst_first",
    "wrap",
    "wraps",
    "write",
    "write_dxf",
    "write_mockup",
    "write_pdf",
    "write_stations",
    "write_step",
    "write_stl",
    "write_svg",
    "yes_no",
    "Bobbin",
    "bobbin",
    "bobbins",
    "bobbin_end",
    "bobbin_rubber",
    "nut_on",
    "Stations",
    "StudShelf",
    "stud_shelf",
    "bobbin_springs",
    "bobbin_stiffness",
    "BobbinStiffness",
    "bush_springs",
    "bush_stiffness",
    "BushSprings",
    "BushStiffness",
    "case_findings",
    "crank_layout",
    "CrankLayout",
    "Drive",
    "drive_reactions",
    "Grip",
    "Known",
    "link",
    "Load",
    "LoadCase",
    "MassLump",
    "measured_stiffness",
    "missing_findings",
    "mode_findings",
    "Modes",
    "modes",
    "Mount",
    "NotHeldError",
    "one_missing",
    "orders",
    "Powertrain",
    "powertrain",
    "reaction_range",
    "Reactions",
    "reactions",
    "road_cases",
    "rubber_modulus",
    "RubberModulus",
    "springs_of_row",
    "Stop",
    "torque_pulse",
    "torque_roll_axis",
    "transmissibility",
    "transmitted",
    "under_cases",
    "OnBushes",
    "on_bushes",
    "MovementBounds",
    "movement_bounds",
    "case_slopes",
    "mode_slopes",
    "worst_figures",
    "SetHeight",
    "set_height",
]


def __getattr__(name: str) -> Any:
    """Load a public name, or a module of this package, when it is asked for.

    Importing brackets alone loads nothing, not even typing: the command must heed Ctrl-C before anything that takes
    time is loaded. Raises AttributeError for any other name.
    """
    from importlib import import_module

    if name in _FROM:
        module, theirs = _FROM[name]
        found = getattr(import_module(f"{__name__}.{module}"), theirs)
        globals()[name] = found
        return found
    if not name.startswith("_"):
        try:
            return import_module(f"{__name__}.{name}")
        except ModuleNotFoundError as error:
            if error.name != f"{__name__}.{name}":
                raise
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")


def __dir__() -> list[str]:
    return sorted({*globals(), *__all__} - {"TYPE_CHECKING"})

"""Whether it holds, by hand: one check a clause, and a frame in space that says what each section carries.

N, N mm, mm, MPa. Every check takes single figures or a figure a row, says what it was asked for, its clause, what
it found, what the clause allows and how much of that is used, and refuses what the clause does not cover.
"""

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
from brackets.hold.metal import Bolts as Bolts
from brackets.hold.metal import Metal as Metal
from brackets.hold.metal import bolts_of as bolts_of
from brackets.hold.metal import metal as metal
from brackets.hold.pins import ear_edge as ear_edge
from brackets.hold.pins import ear_thickness as ear_thickness
from brackets.hold.pins import pin_bearing as pin_bearing
from brackets.hold.pins import pin_bending as pin_bending
from brackets.hold.pins import pin_combined as pin_combined
from brackets.hold.pins import pin_contact as pin_contact
from brackets.hold.pins import pin_shear as pin_shear
from brackets.hold.plates import block_tearing as block_tearing
from brackets.hold.plates import plate_bending as plate_bending
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
from brackets.hold.threads import thread_stripping as thread_stripping
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

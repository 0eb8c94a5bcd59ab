"""The powertrain on its bushes: what mounts carry, how far it moves, at what frequencies it swings.

mm, N, N/mm, kg, kg mm2, axes of the bay (x forward, y left, z up); no solids and no files: records and functions.
"""

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

"""The powertrain on its bushes: what mounts carry, how far it moves, at what frequencies it swings.

mm, N, N/mm, kg, kg mm2, axes of the bay (x forward, y left, z up); no solids and no files: records and functions.
"""

from brackets.hang.bobbin import bobbin_stiffness as bobbin_stiffness
from brackets.hang.bonded import bush_stiffness as bush_stiffness
from brackets.hang.drive import drive_reactions as drive_reactions
from brackets.hang.hardness import rubber_modulus as rubber_modulus
from brackets.hang.measured import measured_stiffness as measured_stiffness
from brackets.hang.mount import Mount as Mount
from brackets.hang.mount import Stop as Stop
from brackets.hang.mount import link as link
from brackets.hang.powertrain import powertrain as powertrain
from brackets.hang.statics import reactions as reactions

"""Rows of the trade: bolts, tube, flat stock, materials, bushes, each with its source; mm, kg, N, MPa.

Nothing is read until a row is asked for; `load_rows` puts a shop's own rows before the shipped ones.
"""

from brackets.core.tables.bolt_rows import Bolt, bolt, bolts
from brackets.core.tables.bush_rows import BUSH_KINDS, SAMPLE, Bush, Rubber, bush, bushes, read_bush
from brackets.core.tables.fasteners import (
    HOLE_KINDS,
    NUT_KINDS,
    PILOT_UNDER,
    PIVOT_CLEARANCE,
    WASHER_KINDS,
    Nut,
    Spanner,
    Strength,
    Washer,
    hole,
    nut,
    spanner,
    strength,
    strength_classes,
    washer,
)
from brackets.core.tables.material_rows import WELDABLE, Material, material, materials, read_material
from brackets.core.tables.own_rows import Tables, load_rows, own_rows, read_bolt, read_plate, read_tube
from brackets.core.tables.plate_rows import SYSTEMS, Plate, nearest_plates, plate, plate_stock, plates, tube_wall
from brackets.core.tables.tube_rows import STEEL, TubeSection, is_stock_tube, nearest_tubes, tube, tube_stock, tubes

__all__ = [
    "BUSH_KINDS",
    "HOLE_KINDS",
    "NUT_KINDS",
    "PILOT_UNDER",
    "PIVOT_CLEARANCE",
    "SAMPLE",
    "STEEL",
    "SYSTEMS",
    "WASHER_KINDS",
    "WELDABLE",
    "Bolt",
    "Bush",
    "Material",
    "Nut",
    "Plate",
    "Rubber",
    "Spanner",
    "Strength",
    "Tables",
    "TubeSection",
    "Washer",
    "bolt",
    "bolts",
    "bush",
    "bushes",
    "hole",
    "is_stock_tube",
    "load_rows",
    "material",
    "materials",
    "nearest_plates",
    "nearest_tubes",
    "nut",
    "own_rows",
    "plate",
    "plate_stock",
    "plates",
    "read_bolt",
    "read_bush",
    "read_material",
    "read_plate",
    "read_tube",
    "spanner",
    "strength",
    "strength_classes",
    "tube",
    "tube_stock",
    "tube_wall",
    "tubes",
    "washer",
]

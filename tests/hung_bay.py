"""A bay of four corners on their bushes, for the tests of what hang says of one; invented."""

from __future__ import annotations

from pathlib import Path

from brackets import on_bushes, read_bay
from brackets.bay.hanging import Hanging, hanging

BUSH = """[[bush]]
name = "S"
od = 50
shell_length = 40
sleeve_od = 18
sleeve_bore = 12.2
sleeve_length = 52
kind = "bonded rubber"
mass = 0.3
bolt = "M12"
travel = {{ radial = 6, axial = 5 }}
load = 1500
stiffness = {{ radial = 300, axial = 150, torsion = 0 }}
{}
"""
MOUNT = '[[mount]]\nname = "{}"\nbush = "S"\nat = {}\naxis = [1, 0, 0]\n'
CORNERS = {"left front": [200, 250, 200], "right front": [200, -250, 200], "left rear": [-200, 250, 200],
           "right rear": [-200, -250, 200]}  # fmt: skip
BAY = "".join((
    "format = 1\n", BUSH, "".join(MOUNT.format(name, at) for name, at in CORNERS.items()),
    '[[lump]]\nname = "engine"\nmass = 100\nat = [0, 0, 200]\nsize = [300, 300, 400]\n',
    "[powertrain]\ntorque = 100\nfirst = 3\ncylinders = 4\nstrokes = 4\nidle = 900\n",
    "crank = {{ at = [0, 0, 200], axis = [1, 0, 0] }}\n",
))  # fmt: skip
SHAFT = """[[shaft]]
name = "shaft"
joints = "Cardan"
powertrain = {{ at = [-300, 0, 200], axis = [-1, 0, 0] }}
chassis = {{ at = [-1300, 0, 200], axis = [1, 0, 0] }}
{}
"""


def hung(tmp_path: Path, more: str = "", rubber: str = "", text: str = BAY) -> Hanging:
    (tmp_path / "bay.toml").write_text(text.format(rubber) + more, "utf-8")
    bay = read_bay(tmp_path / "bay.toml")
    return hanging(bay, on_bushes(bay))

"""An engine to be moved by hand in a bay of plain boxes, invented; what is between them is worked out by eye.

Standing still, at the typed place: block to shelf 10 mm along x, block to wall 60 mm along y, sump to floor 30 mm.
"""

from __future__ import annotations

from pathlib import Path

BOXES = """\
# an engine between plain boxes, invented
format = 1
name = "By hand (invented)"
[powertrain]
crank = { at = [0, 0, 60], axis = [1, 0, 0] }
place = { at = [0, 0, 0] }       # set by hand
moves = { about = "crank", roll = 1 }
[place]                          # how far it may go
fore = [-20, 30]
left = [-25, 25]
up = [0, 30]

[[keep_out]]
name = "shelf"
box = { from = [160, -60, 0], to = [180, 60, 120] }
[[keep_out]]
name = "wall"
box = { from = [-200, -190, -40], to = [200, -180, 200] }
[[keep_out]]
name = "floor"
box = { from = [-200, -180, -70], to = [150, 180, -60] }
[[keep_out]]
name = "block"
side = "powertrain"
box = { from = [-150, -120, 20], to = [150, 110, 160] }
[[keep_out]]
name = "sump"
side = "powertrain"
box = { from = [-80, -60, -30], to = [80, 60, 20] }
"""

MOUNTS = """\
[[keep_out]]
name = "beam"
side = "powertrain"
rail = { from = [-150, 135, 90], to = [150, 135, 90], size = "30x40" }
[[keep_out]]
name = "rail"
tube = { from = [-250, 260, 0], to = [250, 260, 0], od = 40, wall = 3 }
[[boss]]
name = "B1"
at = [-50, -120, 60]
normal = [0, -1, 0]
depth = 20
[[boss]]
name = "B2"
at = [50, -120, 60]
normal = [0, -1, 0]
depth = 20
[[bush]]
name = "Q45"
kind = "bonded rubber"
od = 45
shell_length = 40
sleeve_od = 16
sleeve_bore = 10.2
sleeve_length = 50
bolt = "M10"
stiffness = { radial = 350, axial = 110, torsion = 20000, known = "invented" }
travel = { radial = 6, axial = 5 }
load = 2000
heat = 80
mass = 0.22
[[mount]]
name = "left"
bush = "Q45"
at = [0, 205, 110]
axis = [1, 0, 0]
cup = "chassis"
[mount.chassis]
part = "post"
[mount.powertrain]
part = "ears"
onto = "beam"
toward = [0, -1, 0]
[[mount]]
name = "right"
bush = "Q45"
at = [0, -160, 90]
axis = [1, 0, 0]
[mount.powertrain]
part = "arm"
[[part]]
name = "ears"
recipe = "ears"
[[part]]
name = "post"
recipe = "cup"
[[part]]
name = "arm"
recipe = "fork"
bosses = ["B1", "B2"]
"""


def written(folder: Path, text: str = BOXES) -> Path:
    """The bay as a file in `folder`."""
    path = folder / "by_hand.toml"
    path.write_text(text, "utf-8")
    return path

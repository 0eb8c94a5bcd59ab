"""A small bay for the tests of the preview: invented. A cup that clears a rail and fouls a box."""

from __future__ import annotations

from pathlib import Path

TEXT = """\
# a bay of our own, invented
format = 1
name = "Small bay (invented)"
[powertrain]
crank = { at = [0, 0, 60], axis = [1, 0, 0] }
moves = { about = "crank", roll = 2, up = 3, down = 4 }   # typed by hand

[[keep_out]]
name = "rail"
side = "chassis"
tube = { from = [-150, 120, 0], to = [150, 120, 0], od = 40, wall = 3 }
[[keep_out]]
name = "block"
side = "powertrain"
box = { from = [-60, -140, 20], to = [60, -80, 120] }
[[keep_out]]
name = "shelf"                   # in the way on purpose
side = "chassis"
box = { from = [25, -20, 30], to = [60, 20, 60] }

[[part]]
name = "cup"
recipe = "cup"
side = "powertrain"
at = [0, 0, 40]
length = 40                      # as long as the tube at hand
[[part]]
name = "stand"
recipe = "ears_on_base"
side = "chassis"
at = [-120, -10, 40]
axis = [1, 0, 0]
up = [0, 0, 1]
"""


def written(folder: Path) -> Path:
    """The bay as a file in `folder`."""
    path = folder / "small.toml"
    path.write_text(TEXT, "utf-8")
    return path

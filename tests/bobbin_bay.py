"""A small bay with one bobbin between a shelf on a rail and a shelf on the engine's block; all invented. mm."""

from __future__ import annotations

import tempfile
from pathlib import Path

from brackets.bay.file import read
from brackets.bay.schema.record import Bay
from brackets.bay.stand.placed import placed_bay
from brackets.bay.stand.placed_part import PlacedBay

BAY = """\
format = 1
name = "Bobbin (invented)"
pos = 0
[gap]
fixed = {{ rest = 10, moved = 2, why = "our own choice" }}
own = {{ rest = 5, moved = 1, why = "our own choice" }}
own_end = {{ rest = 5, moved = 1, why = "our own choice" }}
[[keep_out]]
name = "rail"
box = {{ from = [-200, 45, 30], to = [200, 105, 100] }}
[[keep_out]]
name = "block"
side = "powertrain"
box = {{ from = [-100, -150, 120], to = [100, -45, 250] }}
[powertrain]
moves = {{ about = "crank", up = 2, down = 2, fore = 1, aft = 1 }}
[[bush]]
name = "B"
kind = "{kind}"
od = 50
height = {height}
plate_t = 3
{plate_od}
thread = "M10"
first = {{ {first} }}
second = {{ {second} }}
travel = {{ radial = 3, axial = 2 }}
mass = 0.3
[[mount]]
name = "m"
bush = "B"
at = [0, 0, 120]
axis = [{axis}]
{mount}
[mount.chassis]
part = "lower"
onto = "rail"
[mount.powertrain]
part = "upper"
onto = "block"
[[part]]
name = "lower"
recipe = "stud_seat"
{lower}
[[part]]
name = "upper"
recipe = "stud_seat"
{upper}
[[path]]
name = "off"
part = "powertrain"
without = ["m"]
legs = [[0, 0, 80]]
[[path]]
name = "aside"
part = "powertrain"
without = ["m"]
legs = [[60, 0, 0]]
"""
PLAIN = {
    "kind": "rubber bobbin", "height": "40", "plate_od": "", "first": "stud = 28", "second": "stud = 28",
    "axis": "0, 0, 1", "mount": "", "lower": "", "upper": "",
}  # fmt: skip


def text(**changed: str) -> str:
    return BAY.format(**{**PLAIN, **changed})


def read_text(whole: str) -> Bay:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "bobbin.toml"
        path.write_text(whole, "utf-8")
        return read(path)


def standing(**changed: str) -> PlacedBay:
    return placed_bay(read_text(text(**changed)))

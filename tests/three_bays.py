"""Three small bays that differ in one thing: nothing stops, a fuel line too near, a brace in the arm. Invented."""

from __future__ import annotations

from pathlib import Path

TEXT = """\
format = 1
name = "{name}"
[gap]
fixed = {{ rest = 5, moved = 1, why = "our own choice" }}
weld = {{ rest = 1, moved = 0, why = "bushes go in after welding" }}
[[keep_out]]
name = "rail"
box = {{ from = [-200, -25, 0], to = [200, 25, 50] }}
wall = 2.5
[[keep_out]]
name = "engine"
side = "powertrain"
box = {{ from = [-50, 200, 150], to = [50, 300, 300] }}
[powertrain]
moves = {{ about = "crank", up = 1, down = 1 }}
[[boss]]
name = "A"
at = [-30, 200, 200]
normal = [0, -1, 0]
thread = "M10"
depth = 30
into = "cast iron"
[[boss]]
name = "B"
at = [30, 200, 200]
normal = [0, -1, 0]
thread = "M10"
depth = 30
into = "cast iron"
[[mount]]
name = "m"
bush = "R40"
at = [0, 0, 120]
axis = [1, 0, 0]
bolt = {{ size = "M10", length = 90, head = "front", washers = [2, 3], nut = "all-metal lock" }}
[mount.chassis]
part = "ears"
onto = "rail"
[mount.powertrain]
part = "arm"
[[part]]
name = "ears"
recipe = "ears_on_base"
t = 5
ear_r = 20
inside = 44.5
base = {{ width = 80, length = 50, t = 5, radius = 2 }}
[[part]]
name = "arm"
recipe = "stay"
bosses = ["A", "B"]
plate_t = 8
tube = "30x3"
tube_from = [0, 192, 200]
cup = {{ od = 50, wall = 5, length = 36 }}
gussets = 0
[[contact]]
pair = ["arm", "engine"]
[[path]]
name = "arm out"
part = "arm"
without = ["m", "A", "B", "engine"]
legs = [[0, 30, 60]]
"""

LINE = """\
[[keep_out]]
name = "fuel_line"
kind = "line"
tube = { from = [30, 100, 120], to = [30, 100, 250], od = 10 }
"""
"""10.0 mm beside the arm's tube, where 20 are asked."""

BRACE = """\
[[keep_out]]
name = "brace"
tube = { from = [-60, 100, 160], to = [60, 100, 160], od = 20 }
"""
"""Through the arm's tube."""

BAYS = {"fine": "", "caution": LINE, "stop": BRACE}


def written(folder: Path, name: str, more: str = "") -> Path:
    """One of BAYS as a file in `folder`, with `more` at its end."""
    path = folder / f"{name}.toml"
    path.write_text(TEXT.format(name=f"{name} (invented)") + BAYS[name] + more, "utf-8")
    return path

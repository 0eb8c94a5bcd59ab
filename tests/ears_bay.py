"""Two ears welded to a rail round a bush, the smallest mount there is, and an engine on three bushes: rows of bay
files that several tests begin with; all invented. mm."""

from __future__ import annotations

RAIL = """\
[[keep_out]]
name = "rail"
tube = { from = [-100, 0, 0], to = [300, 0, 0], od = 42.4, wall = 3.2 }
"""
MOUNT = """\
[[mount]]
name = "left"
bush = "R50"
at = [100, 0, 80]
axis = [1, 0, 0]
bolt = { size = "M12", length = 100, head = "front", washers = [1, 2], nut = "all-metal lock" }
[mount.chassis]
part = "ears"
onto = "rail"
"""
"""80 over the rail's axis; its bolt goes in from ahead."""
EARS = """\
[[part]]
name = "ears"
recipe = "ears"
back = false
inside = 52.5
t = 6
seat = "round"
"""
GRIP = 52.5 + 2 * 6
"""Both ears and what is between them."""
HEAD_AT = 100 + GRIP / 2 + 2.5
"""x of the face the head bears on: half the grip and a washer ahead of the bush centre."""
NUT_AT = 100 - GRIP / 2 - 5.0
"""The same of the nut, behind two washers."""
BAY = f'\nformat = 1\nname = "Invented"\n{RAIL}{MOUNT}{EARS}'

THREE_MOUNTS = """\
[[mount]]
name = "left"
bush = "R60"
at = [0, 250, 200]
axis = [1, 0, 0]
[[mount]]
name = "right"
bush = "R60"
at = [0, -250, 200]
axis = [1, 0, 0]
[[mount]]
name = "rear"
bush = "R60"
at = [-400, 0, 200]
axis = [0, 1, 0]
"""
"""Of the engine of ENGINE."""
ENGINE = 'lump = [{ name = "engine", mass = 80, at = [0, 0, 300], size = [300, 300, 400] }]\n'

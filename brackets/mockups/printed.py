"""A part as bodies to be printed: allowances, fused, cut to the bed, marked, laid down, scaled."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from manifold3d import Manifold

from brackets.core.errors import InputError
from brackets.core.finding import Finding, worst_first
from brackets.core.identity import identity
from brackets.core.rulebook.mockups import (
    PRINT_APART,
    PRINT_BEAD,
    PRINT_BED,
    PRINT_GROWTH,
    PRINT_JOINT,
    PRINT_TRIAL,
    PRINT_WALL,
    PRINT_WORDS,
)
from brackets.forming.printer_3d import Printer3D
from brackets.kernel.mesh import mesh
from brackets.mockups.as_printed import as_printed
from brackets.mockups.as_printed import least_wall as thinnest
from brackets.mockups.engrave import Block, engraved
from brackets.mockups.faces import Near, fields, mates
from brackets.mockups.joints import Joint, pin_body, plug_body
from brackets.mockups.lie import JUST, MEASURES, Array, Measure, best, on_bed
from brackets.mockups.record import Kind, MockUp, Printed
from brackets.mockups.solid import Fused, fused, manifold
from brackets.mockups.split import Half, split
from brackets.model.part import Part

WORDS = ("FIT CHECK ONLY", "NEVER LOAD", "NEVER NEAR HEAT")
"""Sunk into every body: plastic holds nothing and softens."""

LINES_OF_WALL = 2
"""Lines of plastic that a wall is to have: common practice, no source."""

SHORT_NAME = 24
"""Letters of a name that are sunk."""


def mockup(
    part: Part,
    printer: Printer3D | None = None,
    *,
    apart: bool = False,
    least_wall: float | None = None,
    lie: Measure = "support",
    kind: Kind = "body",
    shop: str = "no shop profile",
    say: Callable[[str], None] = lambda _: None,
) -> MockUp:
    """What is printed of a part to check its fit before steel is cut.

    part: as it is made of steel; printer: its bed, nozzle and allowances, those of common practice where None;
    apart: every piece is a body of its own, instead of fused where they touch; least_wall: mm that thin walls are
    brought to, None where they stay; lie: what is to be least ("support", "height") or most ("contact") on the bed;
    kind: "body", or "dummy" of what is bought, which bears neither its name nor a hash; shop: whose printer it is,
    for the findings; say: a function that is told, in words, what is being done. Returns a MockUp: its bodies as
    they lie on the bed, and its findings. Raises InputError for values that make no sense, KernelFailed where the
    kernel makes no solid.

    >>> done = mockup(cup(od=70, bore=60, length=40))
    >>> [(body.name, [round(mm, 1) for mm in body.size]) for body in done.bodies]
    [('cup', [70.0, 70.0, 40.0])]
    """
    printer = Printer3D() if printer is None else printer
    problems = []
    if lie not in MEASURES:
        problems.append(f'lie = "{lie}", must be {", ".join(MEASURES)}: what is best on the bed')
    if least_wall is not None and not 0 < least_wall < np.inf:
        problems.append(f"least_wall = {least_wall:g} mm, must be over 0: what thin walls are brought to")
    if problems:
        raise InputError(*problems)
    drawn = as_printed(part, printer, least_wall=least_wall)
    say(f"{part.name}: fusing its pieces")
    bodies = _apart(drawn.part) if apart else fused(drawn.part)
    made: list[Printed] = []
    joints: list[tuple[str, Joint]] = []
    findings = [*_walls(drawn.part, printer), *_apart_or_held(part, bodies, apart)]
    for one, name in zip(bodies, _names(part, bodies), strict=True):
        say(f"{name}: laying it down and cutting it to the bed")
        done = _body(one, name, drawn.part, printer, lie, kind, shop)
        made += done.bodies
        joints += [(name, joint) for joint in done.joints]
        findings += done.findings
    for growth in drawn.grown:
        findings.append(
            PRINT_GROWTH.finding(
                piece=growth.piece,
                level="advice",
                value=growth.printed,
                limit=growth.t,
                sentence=(
                    f"printed {growth.printed:g} mm thick instead of {growth.t:g}, {growth.outwards:g} mm past its"
                    " faces: clear it again with that"
                ),
            )
        )
    if not printer.tested:
        findings.append(
            PRINT_TRIAL.finding(
                piece="printer",
                sentence=(
                    f"no hole of a test print is in the shop profile: holes are drawn {printer.hole:g} mm larger;"
                    " run brackets mockup --test-print, measure it and type it into [printer_3d]"
                ),
            )
        )
    return MockUp(
        name=part.name,
        printer=printer,
        bodies=tuple(made),
        joints=tuple(joints),
        grown=tuple((part.name, growth) for growth in drawn.grown),
        findings=worst_first(findings),
    )


@dataclass(frozen=True, kw_only=True)
class _Done:
    bodies: tuple[Printed, ...]
    joints: tuple[Joint, ...]
    findings: tuple[Finding, ...]


def _body(one: Fused, name: str, part: Part, printer: Printer3D, lie: Measure, kind: Kind, shop: str) -> _Done:
    lying = best(one.solid, lie)
    cut = split(one.solid, lying.turn, printer, name=name)
    findings = list(_cut_findings(name, one.solid, lying.turn, cut.joints, len(cut.halves), printer, shop))
    where, off = fields(part), mates(part)
    room = [most / by for most, by in zip(printer.room, printer.scale, strict=True)]
    made: list[Printed] = []
    for number, half in enumerate(cut.halves, 1):
        called = name if len(cut.halves) == 1 else f"{name} {number}"
        total = "" if len(cut.halves) == 1 else f" {number}/{len(cut.halves)}"
        own = () if kind == "dummy" else (f"{name[:SHORT_NAME].upper()}{total}", identity(part)[:8].upper())
        lines = (*own, *WORDS)
        marked = engraved(half.solid, [*_marks(half), Block(lines)], where, off, printer.nozzle)
        if marked.missing and kind != "dummy":
            findings.append(
                PRINT_WORDS.finding(
                    piece=called,
                    sentence=f"no face has room for {', '.join(marked.missing)}: write it on by hand",
                )
            )
        here = lying if len(cut.halves) == 1 else best(half.solid, lie, room=room, otherwise=lying.turn)
        made.append(
            Printed(
                name=called,
                kind=kind,
                solid=on_bed(marked.solid, here.turn).scale(printer.scale),
                home=marked.solid,
                part=part.name,
                pieces=one.names,
                marks=half.marks,
                written=marked.written,
                support=here.support,
                contact=here.contact,
            )
        )
    return _Done(bodies=(*made, *_pins(name, cut.joints, printer)), joints=cut.joints, findings=tuple(findings))


def _marks(half: Half) -> list[Block]:
    """A letter and a number beside each joint of a half."""
    found = []
    for joint, side in half.sides:
        way = 1.0 if side == 2 else -1.0
        found.append(Block((f"{joint.name}{side}",), near=Near(joint.normal, joint.offset, way)))
    return found


def _pins(name: str, joints: Sequence[Joint], printer: Printer3D) -> list[Printed]:
    """Pins of one size together, and every plug, standing up."""
    found: dict[tuple[float, float], Printed] = {}
    plugs = []
    for joint in joints:
        for pin in joint.pins:
            key = (pin.drawn, pin.length)
            if key in found:
                found[key] = replace(found[key], count=found[key].count + 1)
                continue
            body = pin_body(pin)
            found[key] = _standing(f"{name} pin {pin.d:g}", "pin", body, np.array(pin.axis), printer, name)
        for number, plug in enumerate(joint.plugs, 1):
            called = f"{name} plug {joint.name}{number if len(joint.plugs) > 1 else ''}"
            plugs.append(_standing(called, "plug", plug_body(plug), np.array(plug.frame[2]), printer, name))
    return [*found.values(), *plugs]


def _standing(
    name: str, kind: Literal["pin", "plug"], body: Manifold, axis: Array, printer: Printer3D, of: str
) -> Printed:
    side = np.eye(3)[int(np.abs(axis).argmin())]
    x = np.cross(side, axis)
    x /= np.linalg.norm(x)
    solid = on_bed(body, np.array([x, np.cross(axis, x), axis])).scale(printer.scale)
    contact = float(solid.slice(JUST).area())
    return Printed(name=name, kind=kind, solid=solid, home=body, part=of, contact=contact)


def _apart(part: Part) -> tuple[Fused, ...]:
    """Every piece a body of its own."""
    return tuple(
        Fused(names=(piece.name,), solid=manifold(mesh(piece, tolerance=0.01), piece.name)) for piece in part.pieces
    )


def _names(part: Part, bodies: Sequence[Fused]) -> list[str]:
    """The part's name, with that of the first piece behind it where there are several bodies."""
    if len(bodies) == 1:
        return [part.name]
    return [f"{part.name} {body.names[0]}" for body in bodies]


def _walls(part: Part, printer: Printer3D) -> list[Finding]:
    least = LINES_OF_WALL * printer.nozzle
    return [
        PRINT_WALL.finding(
            piece=piece.name,
            value=wall,
            limit=least,
            sentence=f"wall {wall:.2f} mm, under {least:g}, {LINES_OF_WALL} lines of the nozzle: --least-wall",
        )
        for piece in part.pieces
        if (wall := thinnest(piece)) is not None and wall < least - 1e-9
    ]


def _apart_or_held(part: Part, bodies: Sequence[Fused], apart: bool) -> list[Finding]:
    found = [
        PRINT_BEAD.finding(
            piece=f"{a} | {b}", sentence="they do not touch: a bead of 2 mm along their weld holds them together"
        )
        for body in bodies
        for a, b in body.beads
    ]
    if len(bodies) > 1 and not apart:
        names = ", ".join(body.names[0] for body in bodies)
        found.append(
            PRINT_APART.finding(
                piece=part.name,
                value=float(len(bodies)),
                sentence=f"{len(bodies)} bodies that nothing holds together: {names}; each is printed by itself",
            )
        )
    return found


def _cut_findings(
    name: str, body: Manifold, turn: Array, joints: Sequence[Joint], halves: int, printer: Printer3D, shop: str
) -> list[Finding]:
    if not joints:
        return []
    box = on_bed(body, turn).scale(printer.scale).bounding_box()
    size = [box[i + 3] - box[i] for i in range(3)]
    over = int(np.argmax([s - r for s, r in zip(size, printer.room, strict=True)]))
    found = [
        PRINT_BED.finding(
            piece=name,
            value=float(size[over]),
            limit=printer.room[over],
            source_words=shop,
            sentence=(
                f"{size[over]:.1f} mm along {'xyz'[over]}, the bed takes {printer.room[over]:g}: cut into {halves}"
                f" at {len(joints)} flat {'joint' if len(joints) == 1 else 'joints'}"
            ),
        )
    ]
    bare = [joint.name for joint in joints if joint.bare]
    single = [joint.name for joint in joints if joint.single and not joint.bare]
    if bare:
        found.append(
            PRINT_JOINT.finding(
                piece=name,
                level="caution",
                sentence=f"joint {', '.join(bare)}: too thin for pins, no bore for a plug: glue it on a flat",
            )
        )
    if single:
        found.append(
            PRINT_JOINT.finding(
                piece=name,
                level="advice",
                sentence=f"joint {', '.join(single)}: one round pin or plug, so set the halves by a straight edge",
            )
        )
    return found

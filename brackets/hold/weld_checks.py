"""The weld groups of a part: EN 1993-1-8:2005 4.5.3 by both methods, and stress ranges between cases."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from brackets.core.errors import InputError
from brackets.hold.fillets import LEAST_PLATE, fillet_checks
from brackets.hold.found import Found, is_round, thickness
from brackets.hold.load_path import Flow
from brackets.hold.metal import Metal, metal
from brackets.hold.part_graph import Joint
from brackets.hold.stress_ranges import StressRange, stress_ranges


def check_weld(found: Found, flow: Flow) -> None:
    """Asks for a weld group all that the clause has; flow: factored."""
    joint = flow.joint
    if not joint.edges:
        return
    try:
        weaker, t, hollow = _joined(found, joint)
        group = joint.group
    except InputError as error:
        found.refuse(joint.name, *error.problems)
        return
    force, moment = flow.reaches()
    angles = [edge.angle for edge in joint.edges]
    angle = max((a for pair in angles for a in pair), key=lambda a: abs(a - 90.0))
    try:
        checks = fillet_checks(
            group, force=force, moment=moment, at=joint.at, metal=weaker, t=t, hollow=hollow, angle=angle,
            name=joint.name, factors=found.settings.factors,
        )  # fmt: skip
    except InputError as error:
        found.refuse(joint.name, *error.problems)
    else:
        for check in checks:
            found.keep(joint.name, check)
    left = sum(edge.left_out for edge in joint.edges)
    if left > 0.05:
        whole = left + sum(edge.length for edge in joint.edges)
        found.note(
            f"{joint.name}: {left:.1f} of {whole:.1f} mm stand at more than 120 or less than 60 deg and are not"
            " counted (EN 1993-1-8:2005 4.3.2.1)"
        )


def _joined(found: Found, joint: Joint) -> tuple[Metal, float, bool]:
    """The weaker metal, and of what is joined the thickness that the clause has most against."""
    metals: list[Metal] = []
    sizes: list[tuple[float, bool]] = []
    wrong: list[str] = []
    for metal_of, t, hollow in _bodies(found, joint):
        try:
            metals.append(metal_of())
        except InputError as error:
            wrong += error.problems
        sizes.append((t, hollow))
    if wrong:
        raise InputError(*dict.fromkeys(wrong))
    thin = [size for size in sizes if not size[1] and size[0] < LEAST_PLATE]
    t, hollow = min(thin or sizes)
    weaker = min(metals, key=lambda one: float(one.fu) / (one.beta_w or 1.0))
    return weaker, t, hollow


def _bodies(found: Found, joint: Joint) -> Iterator[tuple[Any, float, bool]]:
    names = {piece.name: piece for piece in found.part.pieces}
    for body in (joint.a, joint.b):
        if body in names:
            piece = names[body]
            yield lambda piece=piece: found.metal_of(piece), thickness(piece), is_round(piece)
            continue
        of, t = found.settings.onto_metal, found.settings.onto_t
        if of is None or t is None:
            raise InputError(found.settings.under_not_typed("metal and thickness of what it is on"))
        hollow = any(seat.name == body and seat.kind == "round" for seat in found.part.seats)
        yield lambda of=of, t=t: metal(of, t), t, hollow


def ranges_of(found: Found, flow: Flow) -> tuple[StressRange, ...]:
    """Stress ranges of a weld group between each pair of characteristic cases; flow: as the loads come."""
    force, moment = flow.reaches()
    rows = [i for i, case in enumerate(found.cases) if case.counted == "characteristic"]
    if len(rows) < 2 or not flow.joint.edges:
        return ()
    cases = {found.cases[i].name: (force[i], moment[i]) for i in rows}
    try:
        return stress_ranges(flow.joint.group, cases, at=flow.joint.at, name=flow.joint.name)
    except InputError as error:
        found.refuse(flow.joint.name, *error.problems)
        return ()

"""What is said of a bolt to the chassis: past an edge, near it, in a hollow without a crush tube, no length."""

from __future__ import annotations

from collections.abc import Iterator

from brackets.bay.bolts.chassis_bolts import ChassisBolt, bolt_seats
from brackets.bay.stand.gap_rules import bolted_onto
from brackets.bay.stand.layers import Layer
from brackets.bay.stand.placed_part import PlacedBay
from brackets.core.finding import GEOMETRY, Finding
from brackets.core.rulebook.bay import BOLT, BOLT_HOLE, BOLT_LENGTH, THREAD_IN_CHASSIS
from brackets.core.rulebook.parts import CRUSH_TUBE, EN_HOLES
from brackets.rules.holes import EDGE_FLOOR
from brackets.survey.bolt_lengths import NONE, nearest_through

TOO_LONG = 0.5
"""How much a crush tube may differ from the depth it is in, mm: what is sawn by hand is out anyway; common
practice, no source."""

ROUNDING = 1e-6
"""mm by which a hole may be nearer to an edge than asked: rounding of places."""


def chassis_findings(of: ChassisBolt) -> Iterator[Finding]:
    """Of one bolt: where it goes through, what is in the hollow, and its length."""
    yield from _place(of)
    if of.layers:
        yield from _crush(of)
        yield from _length(of)


def _place(of: ChassisBolt) -> Iterator[Finding]:
    """Past the edge of everything, or too near an edge of what it goes through."""
    if not of.layers:
        near = max(of.meant, key=lambda layer: layer.edge)
        yield BOLT_HOLE.finding(
            source=GEOMETRY,
            piece=_piece(of),
            value=near.edge if near.edge < 0 else None,
            limit=0.0,
            sentence=f"{of.seat} goes through nothing: {_missed(near)}",
        )
        return
    floor = EDGE_FLOOR * of.hole
    near = min(of.layers, key=lambda layer: layer.edge)
    if near.edge < floor - ROUNDING:
        yield BOLT_HOLE.finding(
            source=EN_HOLES,
            piece=_piece(of),
            value=near.edge,
            limit=floor,
            sentence=f"hole {of.hole:g} of {of.seat} is {near.edge:.1f} mm from the edge of {near.name}, at least"
            f" {floor:.1f} (1.2 d)",
        )


def _missed(near: Layer) -> str:
    if near.edge < 0:
        return f"it is {-near.edge:.1f} mm past the edge of {near.name}"
    return f"{near.name} begins {near.low:.1f} mm from the part"


def _crush(of: ChassisBolt) -> Iterator[Finding]:
    if not of.crush_tube:
        if of.hollow:
            yield CRUSH_TUBE.finding(
                level="stop",
                piece=_piece(of),
                sentence=f"{of.seat} goes through {' and '.join(of.hollow)}, hollow, without a crush tube: its"
                " walls collapse and the bolt goes loose",
            )
        return
    over = of.crush_tube - of.depth
    if abs(over) > TOO_LONG:
        yield CRUSH_TUBE.finding(
            level="caution",
            piece=_piece(of),
            value=of.crush_tube,
            limit=of.depth,
            sentence=f"the crush tube of {of.seat} is {of.crush_tube:.1f} mm long in {' and '.join(of.onto)},"
            f" {of.depth:.1f} mm deep: {_off(over)}",
        )


def _off(over: float) -> str:
    return f"{over:.1f} mm stand out of it" if over > 0 else f"its walls are bent in by {-over:.1f} mm"


def _length(of: ChassisBolt) -> Iterator[Finding]:
    if of.stock is None:
        near = nearest_through(of.row, grip=of.grip, nut_height=of.nut_height, washers=(1, 1))
        said = ", ".join(
            f"x {of.row.length_words(one.length)} is {-one.spare:.1f} mm too short"
            if one.spare < -NONE
            else f"x {of.row.length_words(one.length)} does not clamp it"
            for one in near
        )
        yield BOLT_LENGTH.finding(
            level="caution",
            piece=_piece(of),
            value=of.grip,
            sentence=f"{of.grip:.1f} mm of metal for {of.row.name} {of.seat}: none from stock fits: {said}; it is"
            " not drawn and not cleared",
        )
    elif of.stock.full_thread:
        yield THREAD_IN_CHASSIS.finding(
            piece=_piece(of),
            value=of.grip,
            sentence=f"{of.row.of_length(of.stock.length)} is threaded to its head: none with a shank clamps"
            f" {of.grip:.1f} mm",
        )


def not_drawn(stood: PlacedBay, drawn: tuple[ChassisBolt, ...]) -> Iterator[Finding]:
    """Parts with seats for bolts of which none could be worked out."""
    there = {one.part for one in drawn}
    for part in stood.parts:
        seats = bolt_seats(part.part)
        if not seats or part.name in there:
            continue
        onto = sorted(bolted_onto(stood.bay, part.name))
        why = (
            f"{' and '.join(onto)} is a mesh or a STEP file, whose depth is not worked out"
            if onto
            else "nothing says what it is bolted to: onto of its mount, or a [[contact]] with a keep-out"
        )
        yield BOLT.finding(
            piece=part.name,
            about=(part.name, *onto),
            sentence=f"its {len(seats)} bolts to the chassis are not drawn and not cleared: {why}",
        )


def _piece(of: ChassisBolt) -> str:
    return f"{of.part}: {of.seat}"

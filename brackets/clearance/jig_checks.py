"""A jig with its weldment in it, as bodies: the torch at its welds, shafts drawn out, the weldment lifted off.

Only what the jig takes away is told of the torch: what no torch reaches without the jig either is said of the part.
mm, jig's frame.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from brackets.clearance.bodies import Body, body
from brackets.clearance.gaps import gap
from brackets.clearance.paths import path
from brackets.clearance.torch import weld_reaches
from brackets.core.finding import Finding, worst_first
from brackets.core.place import HERE
from brackets.core.rulebook.jig import JIG_RELEASE, JIG_TORCH
from brackets.core.vectors import Vec, scale
from brackets.forming.shop import Torch
from brackets.kernel.shared import solid_findings
from brackets.kernel.solids import shape
from brackets.library.jig_work import Jig
from brackets.model.bores import bores_on
from brackets.model.extent import reach
from brackets.model.part import Part, assembled
from brackets.model.piece import Piece
from brackets.model.plate import Plate
from brackets.model.tube import Tube, Turned

IN_JIG = "jig"
"""What names of the jig's pieces begin with where both are looked at."""

BEYOND = 5.0
"""mm that what is drawn or lifted goes on once its boxes are clear."""

LEAST = 1.0
"""mm of a weld that the jig keeps a torch from, at least, to be told: places are 5 mm apart."""

WITHIN = 0.2
"""mm: how wide the interval of the least gap on a way out may stay."""


@dataclass(frozen=True)
class Way:
    """How what is named comes out: along `way` for `length` mm, `free` of it free; what it meets, "" if none."""

    what: str
    way: Vec
    length: float
    free: float
    meets: str


def jig_findings(made: Jig, torch: Torch) -> tuple[Finding, ...]:
    """What its solids say of a jig: metal that it and its weldment share, welds that it keeps a torch from, shafts
    that do not draw out, a weldment that does not lift off. Worst first, after what the jig says itself. Raises
    KernelFailed where the kernel makes no solid of a piece."""
    shared = [one for one in solid_findings(in_jig(made)) if one.code == "overlap"]
    return worst_first([*made.findings, *shared, *reached(made, torch), *released(made)])


def in_jig(made: Jig) -> Part:
    """The weldment in its jig, with the welds of the weldment alone, those to its own pieces."""
    inner = {piece.name for piece in made.weldment.pieces}
    welds = tuple(weld for weld in made.weldment.welds if weld.onto in inner)
    weldment = replace(made.weldment, seats=(), welds=welds)
    return assembled(
        made.weldment.name,
        [(IN_JIG, replace(made.part, welds=(), loose=(), seats=()), HERE)],
        pieces=weldment.pieces,
        welds=weldment.welds,
        loose=weldment.loose,
    )


def reached(made: Jig, torch: Torch) -> Iterator[Finding]:
    """A caution for each weld that a torch reaches along more of it without the jig than in it."""
    both = in_jig(made)
    alone = replace(both, pieces=made.weldment.pieces)
    for free, held in zip(weld_reaches(alone, torch), weld_reaches(both, torch), strict=True):
        lost = held.missed - free.missed
        if JIG_TORCH.over(lost, 0.0, slack=LEAST):
            names = dict.fromkeys(name for one in held.out for name in one.meets if name.startswith(f"{IN_JIG}/"))
            spans = " and ".join(f"{one.start:.0f} to {one.end:.0f}" for one in held.out)
            yield JIG_TORCH.finding(
                piece=held.weld.piece,
                value=round(lost, 1),
                limit=0.0,
                sentence=(
                    f"weld to {held.weld.onto}: the jig keeps the torch from {lost:.0f} of its {held.length:.0f} mm"
                    f" ({spans} mm); it meets {', '.join(names)}: tack it there and weld it once it is off, or give"
                    " the jig more room or height"
                ),
            )


def released(made: Jig) -> Iterator[Finding]:
    """A stop for each shaft that does not draw out, and where the weldment lifts off no way that was tried."""
    for found in (*draws(made), lifts(made)):
        if JIG_RELEASE.under(found.free, found.length, slack=1e-6):
            x, y, z = (c + 0.0 for c in found.way)
            yield JIG_RELEASE.finding(
                piece=found.what,
                value=round(found.free, 1),
                limit=round(found.length, 1),
                sentence=(
                    f"{found.what} comes {found.free:.1f} of {found.length:.0f} mm along ({x:.2f}, {y:.2f},"
                    f" {z:.2f}) and meets {found.meets}: no other way that was tried gets it further"
                ),
            )


def draws(made: Jig) -> tuple[Way, ...]:
    """How each shaft draws out of the jig and the weldment, its spacers left behind: the better of both ways."""
    found = []
    names = {one.pieces[0] for one in made.drawn}
    loose = {name for one in made.drawn for name in one.pieces}
    there = (*made.part.pieces, *made.weldment.pieces)
    for one in made.drawn:
        piece = made.part.piece(one.pieces[0])
        round_it = {*_round(made.part, piece), *_round(made.weldment, piece)}
        stays = [
            other
            for other in there
            if other.name not in round_it and (other.name not in loose or other.name in names - {piece.name})
        ]
        found.append(_best(piece.name, [piece], stays, (one.way, scale(one.way, -1.0))))
    return tuple(found)


def _round(part: Part, shaft: Piece) -> Iterator[str]:
    """Names of plates and round pieces with a bore that the shaft goes through, and so draws out of: the rest of
    them lies beside its axis. A folded piece may have another wall in its way."""
    assert isinstance(shaft, Turned)
    d = shaft.steps[0].od
    for bore in bores_on(part, shaft.place):
        if bore.d > d and isinstance(part.piece(bore.piece), Plate | Turned | Tube):
            yield bore.piece


def lifts(made: Jig) -> Way:
    """How the weldment comes off, shafts, spacers and bolts gone: up, or the first of six ways that is free."""
    gone = {name for one in made.drawn for name in one.pieces}
    stays = [piece for piece in made.part.pieces if piece.name not in gone]
    ways: list[Vec] = [(0, 0, 1), (1, 0, 0), (-1, 0, 0), (0, 1, 0), (0, -1, 0)]
    return _best("weldment", made.weldment.pieces, stays, ways)


def _best(what: str, moved: Sequence[Piece], stays: Sequence[Piece], ways: Sequence[Vec]) -> Way:
    """The first way that is free, else the one that gets furthest."""
    bodies = [[body(shape(piece), name=piece.name) for piece in pieces] for pieces in (moved, stays)]
    found = []
    for way in ways:
        found.append(_way(what, bodies[0], bodies[1], (moved, stays), way))
        if found[-1].free >= found[-1].length - 1e-6:
            break
    return max(found, key=lambda one: one.free / one.length)


def _way(
    what: str,
    ones: Sequence[Body],
    others: Sequence[Body],
    pieces: tuple[Sequence[Piece], Sequence[Piece]],
    way: Vec,
) -> Way:
    """Along `way` until what moves is past all that stays; pieces that touch at the start may slide."""
    moved, stays = ([span for one in some if (span := reach(one, way))] for some in pieces)
    far = max(b for _, b in stays) - min(a for a, _ in moved) + BEYOND
    if far <= BEYOND:
        return Way(what, way, BEYOND, BEYOND, "")
    touching = _touching(ones, others)
    found = path(ones, others, [scale(way, far)], WITHIN, touching=touching)
    return Way(what, way, far, found.legs[0].free, "" if found.hits is None else " and ".join(found.hits))


def _touching(ones: Sequence[Body], others: Sequence[Body]) -> list[tuple[int, int]]:
    """Pairs that touch as they stand."""
    return [
        (i, j)
        for i, one in enumerate(ones)
        for j, other in enumerate(others)
        if not _boxes_apart(one, other) and gap(one, other, cap=1.0).state in ("touch", "contact", "hit")
    ]


def _boxes_apart(one: Body, other: Body) -> bool:
    (a, b), (c, d) = one.box, other.box
    return bool((a > d + 0.1).any() or (c > b + 0.1).any())

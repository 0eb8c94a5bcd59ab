"""The drawing of a blank: its edge, holes, bend lines, weld edges, grain, and the tables that go with it.

mm, (0, 0) at the lower left corner of the blank; seen on the face that ends up inside the bends that go up.
"""

from __future__ import annotations

import hashlib
import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import assert_never

from brackets.core.figures import figure
from brackets.core.place import HERE, Place
from brackets.drawing.cut_outs import cut_out_table
from brackets.drawing.holes import how, marks, size, sizes
from brackets.drawing.labels import Board, put
from brackets.drawing.landing_lines import Landing, landing_notes, landing_table, on_blank
from brackets.drawing.record import Drawing, Stroke, Table, Title, Words
from brackets.drawing.setting_out import legs, line_at, slot_table
from brackets.forming.flat_pattern import Blank, bend_order, blank_of
from brackets.geometry.crossings import winding
from brackets.geometry.curve import Outline
from brackets.geometry.segments import Line, Point
from brackets.model import edges, mass
from brackets.model.fold_tree import Bend, tree
from brackets.model.holes import Hole
from brackets.model.landing import OnPlate
from brackets.model.piece import Piece
from brackets.model.plate import Folded, Plate
from brackets.model.weld import Along, AtSeat, Circle, OpeningRim, StraightEdge, TubeRim, Weld

ARROW = 30.0
"""mm: length of the grain arrow."""

BELOW = 14.0
"""mm: how far under the blank the grain arrow stands."""

CHORDS = 24
"""Chords a curved weld edge is drawn by."""

BESIDE = 1.5
"""mm: a weld edge is drawn this far inside the edge it runs along, so that both are seen."""

IN_WALL = 0.01
"""mm a straight weld may lie outside the wall it runs along: rounding of what placed it."""

BENDS = ("order", "bend", "way", "deg", "r inside", "allowance", "line from edge", "K and where from", "measured")

LABEL = 3.0
"""mm: size of type on the drawing."""


def short_hash(piece: Piece) -> str:
    """Eight figures that change with any value that shapes the piece, or its material."""
    text = repr(replace(piece, name="", place=HERE, stock=""))
    return hashlib.sha256(text.encode()).hexdigest()[:8]


def blank(
    piece: Folded | Plate, title: Title, *, welds: Sequence[Weld] = (), landed: Sequence[OnPlate] = ()
) -> Drawing:
    """The drawing of what `piece` is cut from; `welds` are those of its part, its own are drawn; `landed` is what
    stands on it (`brackets.model.landing`).

    Raises InputError where there is no blank (`brackets.forming.flat_pattern`).
    """
    found = blank_of(piece)
    x0, y0, _, _ = found.outline.bounds
    at = Place((-x0, -y0, 0.0))
    strokes = [Stroke.of("cut", _moved(ring, at)) for ring in (found.cut.outer, *found.cut.holes)]
    order = bend_order(tree(piece)) if isinstance(piece, Folded) else ()
    for bend in found.bends:
        strokes += bend_lines(bend, at)
    for hole in found.holes:
        strokes += marks(hole.opening, tuple(_flat(at.point((*c, 0.0))) for c in hole.centres))
    own = [weld for weld in welds if weld.piece == piece.name]
    seams = [(number, weld, _seam(piece, weld, at)) for number, weld in enumerate(own, 1)]
    strokes += [stroke for _, _, seam in seams for stroke in seam]
    standing = [one.moved(at) for one in on_blank(piece, landed)]
    strokes += [stroke for one in standing for stroke in one.strokes()]
    strokes += _grain(found)
    board = Board(strokes)
    for one in standing:
        board.named_area(one.region.outer.bounds)
    words: list[Words] = []
    for text, about, start in _labels(found, order, at, seams, standing):
        put(board.label(text, about, size=LABEL, start=start), strokes, words)
    return Drawing(
        name=piece.name,
        title=title,
        facts=_facts(piece, found, title),
        strokes=tuple(strokes),
        words=tuple(words),
        tables=tuple(_tables(piece, found, order, at, own, standing)),
        notes=(*_notes(piece, found), *landing_notes(standing)),
    )


def _moved(outline: Outline, at: Place) -> Outline:
    return outline.map(lambda p: _flat(at.point((*p, 0.0))))


def _flat(p: tuple[float, float, float]) -> Point:
    return (p[0], p[1])


def bend_lines(bend: Bend, at: Place) -> Iterator[Stroke]:
    """Where the punch comes down, and where the bend begins and ends; the blank's frame lies at `at`."""
    for layer, y in (("tangent", 0.0), ("bend", bend.allowance / 2), ("tangent", bend.allowance)):
        a, b = (_flat(at.point((*bend.on_flat((x, y)), 0.0))) for x in (0.0, bend.width))
        yield Stroke(layer, (Line(a, b),))  # type: ignore[arg-type]


def _seam(piece: Folded | Plate, weld: Weld, at: Place) -> tuple[Stroke, ...]:
    """The edge to be welded on the blank; none where it is not an edge of the plate."""
    edge = weld.edge
    match edge:
        case StraightEdge():
            return _straight_seam(piece, edge, at)
        case Along() | OpeningRim() | AtSeat():
            return _wall_seam(piece, edge, at)
        case TubeRim() | Circle():
            return ()
        case _:
            assert_never(edge)


def _wall_seam(piece: Folded | Plate, edge: Along | OpeningRim | AtSeat, at: Place) -> tuple[Stroke, ...]:
    """An edge of one of the walls, chord by chord."""
    node = tree(piece).walls[edge.wall] if isinstance(piece, Folded) else None
    local, laid = (HERE, HERE) if node is None else (node.place, node.flat)
    strokes = []
    for run in edges.stretches(piece, edge):
        on_wall = [local.local(run.at(i / CHORDS)) for i in range(CHORDS + 1)]
        points = [_flat(at.point(laid.point((x, y, 0.0)))) for x, y, _ in on_wall]
        points = _inside(points)
        chords = tuple(Line(a, b) for a, b in zip(points, points[1:], strict=False) if math.dist(a, b) > 1e-9)
        if chords:
            strokes.append(Stroke("weld", chords))
    return tuple(strokes)


def _straight_seam(piece: Folded | Plate, edge: StraightEdge, at: Place) -> tuple[Stroke, ...]:
    """A line of the piece's own frame, as where a plate's edge touches a round tube, on the wall it lies in."""
    frames = [(HERE, HERE, piece.wall)] if isinstance(piece, Plate) else [
        (node.place, node.flat, node.wall) for node in tree(piece).walls
    ]  # fmt: skip
    for local, laid, wall in frames:
        ends = [local.local(end) for end in (edge.start, edge.end)]
        if not all(-IN_WALL <= z <= piece.t + IN_WALL for _, _, z in ends):
            continue
        run = [(x, y) for x, y, _ in ends]
        for points in (_inside(run), _inside(run[::-1])):
            middle = ((points[0][0] + points[1][0]) / 2, (points[0][1] + points[1][1]) / 2)
            if winding(wall.outline.segments, middle):
                a, b = (_flat(at.point(laid.point((*p, 0.0)))) for p in points)
                return (Stroke.line("weld", a, b),)
    return ()


def _inside(points: list[Point]) -> list[Point]:
    """A run with the metal on its left, moved BESIDE to the left."""
    moved = []
    for i, p in enumerate(points):
        a, b = points[max(i - 1, 0)], points[min(i + 1, len(points) - 1)]
        far = math.dist(a, b) or 1.0
        moved.append((p[0] - BESIDE * (b[1] - a[1]) / far, p[1] + BESIDE * (b[0] - a[0]) / far))
    return moved


def _grain(found: Blank) -> list[Stroke]:
    if found.grain is None:
        return []
    turn = math.radians(found.grain % 180.0)
    way = (math.cos(turn), math.sin(turn))
    low = -BELOW - ARROW * way[1]
    a = (ARROW * max(0.0, -way[0]), low)
    b = (a[0] + ARROW * way[0], a[1] + ARROW * way[1])
    heads = []
    for tip, sense in ((a, 1.0), (b, -1.0)):
        for side in (-0.35, 0.35):
            back = (math.cos(turn + side), math.sin(turn + side))
            heads.append(Stroke.line("grain", tip, (tip[0] + 5 * sense * back[0], tip[1] + 5 * sense * back[1])))
    return [Stroke.line("grain", a, b), *heads]


def _labels(
    found: Blank,
    order: Sequence[int],
    at: Place,
    seams: Sequence[tuple[int, Weld, tuple[Stroke, ...]]],
    standing: Sequence[Landing],
) -> Iterator[tuple[str, Point, float]]:
    """Text, the point it names, and how far from that its leader starts."""
    for number, hole in enumerate(found.holes, 1):
        yield (
            f"{number}: {size(hole.opening)}",
            _flat(at.point((*hole.centre, 0.0))),
            hole.opening.d / 2 + 2.0 if len(hole.centres) == 1 else 0.0,
        )
    for bend in found.bends:
        a, b = bend.line
        way = "up" if bend.angle > 0 else "down"
        text = f"B{bend.number} {way} {figure(abs(bend.angle))}° r{figure(bend.inside_radius)}"
        if len(order) > 1:
            text += f", {_nth(order.index(bend.number) + 1)}"
        yield text, _flat(at.point(((a[0] + b[0]) / 2, (a[1] + b[1]) / 2, 0.0))), 0.0
    for number, _, seam in seams:
        if seam:
            middle = seam[0].segments[len(seam[0].segments) // 2]
            yield f"W{number}", middle.point(0.0), 0.0
    for one in standing:
        yield one.text, one.about((0.0, 0.0, found.length, found.width)), 0.0
    if found.grain is not None:
        turn = math.radians(found.grain % 180.0)
        reach = ARROW * math.cos(turn)
        yield "grain", (max(0.0, -reach) + reach / 2, -BELOW - ARROW * math.sin(turn) / 2), 0.0


def _nth(n: int) -> str:
    return f"{n}{({1: 'st', 2: 'nd', 3: 'rd'}).get(n if n < 20 else n % 10, 'th')}"


def _facts(piece: Folded | Plate, found: Blank, title: Title) -> tuple[tuple[str, str], ...]:
    kg = mass.of(piece).kg
    return (
        ("part", title.part),
        ("piece", piece.name),
        ("revision", title.revision or "none given"),
        ("values", short_hash(piece)),
        ("material", f"{piece.material}, {piece.t:g} mm"),
        ("blank", f"{found.length:.2f} x {found.width:.2f} mm"),
        ("face", "THIS FACE UP"),
        *(() if not isinstance(piece, Folded) else (("grain", _grain_words(found.grain)),)),
        ("mass", f"{kg:.3f} kg"),
    )


def _grain_words(grain: float | None) -> str:
    return "grain not stated" if grain is None else "grain along the arrow"


def _tables(
    piece: Folded | Plate,
    found: Blank,
    order: Sequence[int],
    at: Place,
    welds: Sequence[Weld],
    standing: Sequence[Landing],
) -> Iterator[Table]:
    if found.holes:
        rows: list[tuple[str, ...]] = []
        for number, hole in enumerate(found.holes, 1):
            x, y = _flat(at.point((*hole.centre, 0.0)))
            name = hole.opening.name or hole.opening.bolt or ""
            rows.append((str(number), *sizes(hole.opening), f"{x:.2f}", f"{y:.2f}", how(hole.opening), name, ""))
        columns: tuple[str, ...] = ("no.", "Ø now", "Ø ream", "x", "y", "how", "for", "measured")
        if not any(row[2] for row in rows):
            rows = [(*row[:2], *row[3:]) for row in rows]
            columns = ("no.", "Ø", *columns[3:])
        yield Table("Holes", columns, tuple(rows))
    if found.bends:
        bent: list[tuple[str, ...]] = []
        for bend in sorted(found.bends, key=lambda b: order.index(b.number)):
            bent.append(
                (
                    _nth(order.index(bend.number) + 1),
                    f"B{bend.number}",
                    "up" if bend.angle > 0 else "down",
                    figure(abs(bend.angle)),
                    figure(bend.inside_radius),
                    f"{bend.allowance:.2f}",
                    line_at(bend, at),
                    f"{bend.k:.3f}: {bend.k_note}",
                    "",
                )
            )
        yield Table("Bends", BENDS, tuple(bent))
    yield from slot_table(found, at)
    yield from cut_out_table(piece, at)
    yield from weld_table(piece, welds)
    yield from landing_table(standing)
    yield Table(
        "After cutting and after bending",
        ("what", "drawn", "measured"),
        (
            ("blank along x", f"{found.length:.2f}", ""),
            ("blank along y", f"{found.width:.2f}", ""),
            *((f"bend B{b.number}, degrees", figure(abs(b.angle)), "") for b in found.bends),
            *((what, f"{far:.2f}", "") for what, far in (legs(piece) if isinstance(piece, Folded) else ())),
        ),
    )


def weld_table(piece: Piece, welds: Sequence[Weld]) -> Iterator[Table]:
    """The welds of a piece, numbered as they are drawn; nothing where there are none."""
    if welds:
        yield Table(
            "Welds",
            ("no.", "onto", "side", "leg", "length", "note", "measured"),
            tuple(
                (f"W{n}", w.onto, _side(w), f"{w.leg:g}", f"{edges.length(piece, w.edge):.0f}", w.note, "")
                for n, w in enumerate(welds, 1)
            ),
        )


def _side(weld: Weld) -> str:
    """Which face of the plate the weld runs along, as the drawing is seen."""
    edge = weld.edge
    match edge:
        case StraightEdge():
            return "both faces" if weld.sides == 2 else ""
        case Along() | OpeningRim() | AtSeat():
            return "this face" if edge.face == "high" else "other face"
        case TubeRim() | Circle():
            return ""
        case _:
            assert_never(edge)


def _notes(piece: Folded | Plate, found: Blank) -> Iterator[str]:
    if found.bends:
        yield "This face up: it ends up inside the bends marked up. Dashed: where the punch comes down."
        yield "Fine lines on both sides of it: where the bend begins and ends."
        if found.grain is None:
            yield "Grain not stated: lay it across the tightest bend."
    walls = list(piece.walls()) if isinstance(piece, Folded) else [piece.wall]
    if any(wall.seats for wall in walls):
        yield "Edges to a round tube are drawn to be cut square through: no bevel; one face will gap a little."
    if any(isinstance(h.opening, Hole) and h.opening.now != h.opening.d for h in found.holes):
        yield "Cut now to the inner circle; the fine ring round it is the finished size, reamed after welding."
    if found.holes:
        yield "Rings outside the holes are witnesses: they stay when the hole is drilled."

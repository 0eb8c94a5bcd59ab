"""Sheets of card: fold-ups, plates to be stacked, round pieces to be rolled, and the strip that tests a fold.

mm, (0, 0) at the lower left corner of what is cut; a fold-up is seen on the face inside the folds that go up, a
wrap from outside.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

from brackets.core.vectors import Vec
from brackets.drawing.blank import LABEL
from brackets.drawing.holes import CROSS
from brackets.drawing.labels import Board
from brackets.drawing.record import Drawing, Stroke, Table, Title, Words
from brackets.forming.card import Fold, FoldUp, Panel
from brackets.forming.card_round import FLAP, Shape
from brackets.forming.card_stock import Card
from brackets.forming.card_tabs import Tab
from brackets.forming.flat_pattern import BlankHole
from brackets.geometry.curve import Outline
from brackets.geometry.distance import distance
from brackets.geometry.regions import Region
from brackets.geometry.segments import Bounds, Point
from brackets.geometry.shapes import rectangle
from brackets.model.holes import Hole

BANNER = "FIT CHECK ONLY, NEVER LOAD IT"
"""On every page and on the card itself."""

NOT_A_BLANK = "Never mark steel from it: card folds sharp, so its flat lengths are not the steel's."
NO_WRAP = "Never mark steel with it: it is the tube itself, and shorter round than the wrap that goes over a tube."
FINISHED = "Holes are at their finished size: mark steel from its own sheet, where some are drilled under."
"""The traps of a template at true size."""

BETWEEN = 14.0
"""mm between shapes of one sheet, room for their labels."""

TEST = (100.0, 30.0)
"""mm: the strip that is folded to find the crease, and it is folded in its middle."""

PLACES = 8
"""Parts that a panel is divided in along either side, to find where its name has most room."""

TICK = 12.0
"""mm of a line up a wrap that is drawn at each of its ends."""

_Label = tuple[str, Point, float | None]
"""Text, the point it is about, and how far off that its leader begins, None where it has none."""

LEGEND = (
    "Dashed: fold up, towards you. Prick both ends through with a pin and score the other face between them.",
    "Dotted: fold down, away from you. Score this face, half through.",
    "Tabs (T): glue them to the inside of the panel named.",
)


def fold_sheet(
    made: FoldUp,
    tabs: Sequence[Tab],
    title: Title,
    *,
    name: str,
    facts: Sequence[tuple[str, str]],
    called: dict[str, str],
    whole: FoldUp,
    steel: tuple[Vec, Vec] | None,
) -> Drawing:
    """The drawing of a fold-up, or of a part of one that is cut apart, `whole`.

    `called`: what each panel is called; `steel`: the box the whole is measured against.
    """
    x0, y0, _, _ = made.region.outer.bounds
    strokes = list(_cut(made.region, (x0, y0)))
    for fold in made.folds:
        a, b = (_less(p, (x0, y0)) for p in fold.line)
        strokes.append(Stroke.line("fold up" if fold.up else "fold down", a, b))
    strokes += _crosses(made.holes, (x0, y0))
    labels: list[_Label] = []
    for fold in made.folds:
        labels.append((_said(fold, tabs, called), _less(_middle(*fold.line), (x0, y0)), 0.0))
    labels += _hole_labels(made.holes, (x0, y0))
    roomy = [(called[panel.name], *_roomiest(panel, made)) for panel in made.panels]
    there = [(panel, at, room) for panel, at, room in roomy if room > 0]
    if whole.folds:
        labels += [(panel, _less(at, (x0, y0)), None) for panel, at, _ in there]
    most = max((room for _, _, room in there), default=0.0)
    head = next((at for _, at, room in there if room == most), _centre(made.region.outer.bounds))
    labels += _head(title, name, facts, _less(head, (x0, y0)))
    words, leaders = _labelled(strokes, labels)
    bent = bool(whole.folds)
    return Drawing(
        name=f"{name}, {dict(facts)['number']}, {'this face up' if bent else 'either face up'}",
        title=replace(title, banner=BANNER, tolerance=""),
        facts=tuple(facts),
        strokes=(*strokes, *leaders),
        words=words,
        tables=(
            *(() if steel is None else (_sizes(steel, whole.outside),)),
            *(() if not made.folds else (_folds(made, tabs, called),)),
        ),
        notes=(
            "This face up: it ends up inside the folds marked up." if bent else "Either face up.",
            *(LEGEND if bent else ()),
            *(_formula(made.card) if bent else ()),
            NOT_A_BLANK if bent else FINISHED,
        ),
    )


def shapes_sheet(
    shapes: Sequence[Shape], card: Card, title: Title, *, name: str, facts: Sequence[tuple[str, str]]
) -> Drawing:
    """The drawing of what is rolled: its wraps, the discs and rings that hold them round, one over the other."""
    strokes: list[Stroke] = []
    labels: list[_Label] = []
    y = 0.0
    for shape in shapes:
        x0, y0, x1, y1 = shape.region.outer.bounds
        off = (x0, y0 - y)
        strokes += _cut(shape.region, off)
        for mark, a, b in shape.marks:
            strokes += _end_ticks(_less(a, off), _less(b, off))
            labels.append((mark, _less(b, (off[0], off[1] + min(TICK, (b[1] - a[1]) / 5))), None))
        if shape.flap is not None:
            strokes.append(Stroke.line("mark", *(_less(p, off) for p in shape.flap)))
            labels.append(("glue under the seam", (shape.flap[0][0] - x0 + FLAP / 2, y + (y1 - y0) / 2), 0.0))
        said = f"{shape.name}, cut {shape.count}" if shape.count > 1 else shape.name
        labels.append((said, (_centre((x0, y0, x1, y1))[0] - x0, y + (y1 - y0) / 2), None))
        y += y1 - y0 + BETWEEN
    first = shapes[0].region.outer.bounds
    labels += _head(title, name, facts, _less(_centre(first), (first[0], first[1])))
    words, leaders = _labelled(strokes, labels)
    rows = tuple(
        (
            shape.name,
            str(shape.count),
            *(f"{size:.2f}" for size in _size(shape)),
            "" if shape.rolled is None else f"{shape.rolled:.4g}",
            "",
        )
        for shape in shapes
    )
    return Drawing(
        name=f"{name}, {dict(facts)['number']}, this face outside",
        title=replace(title, banner=BANNER, tolerance=""),
        facts=tuple(facts),
        strokes=(*strokes, *leaders),
        words=words,
        tables=(Table("Cut", ("what", "number", "long", "high", "rolled, outside", "measured"), rows),),
        notes=(
            "This face outside. The flap goes under the seam and is glued there; the seam is a butt joint.",
            f"Long without the flap: pi x (outside diameter - {card.t:g}), the middle of the card.",
            "Discs and rings go inside, flush with a square end, or anywhere that the wrap must be held round.",
            NO_WRAP,
        ),
    )


def test_fold(card: Card, title: Title) -> Drawing:
    """A strip to be folded first: what its legs measure outside says how far this card's fold carries them out."""
    wide, high = TEST
    strokes = [Stroke.of("cut", rectangle(wide, high, centre=(wide / 2, high / 2)))]
    strokes.append(Stroke.line("fold down", (wide / 2, 0.0), (wide / 2, high)))
    words, leaders = _labelled(strokes, [("fold down 90°", (wide / 2, high / 2), 0.0)])
    leg = f"{wide / 2 + card.crease:g}"
    return Drawing(
        name="test fold",
        title=replace(title, banner=BANNER, tolerance=""),
        facts=(("part", title.part), ("card", f"{card.t:g} mm"), ("crease", f"{card.crease:g} mm")),
        strokes=(*strokes, *leaders),
        words=words,
        tables=(
            Table(
                "Legs outside, folded by 90 degrees",
                ("leg", "drawn for", "measured"),
                (("one", leg, ""), ("other", leg, "")),
            ),
        ),
        notes=(
            "Fold this strip of the card you will use first, scored as the rest will be, and measure both legs "
            "from their ends to the outside of the other leg.",
            f"Where their mean is not {leg}: print again with --crease of the mean less {wide / 2:g}.",
        ),
    )


def _formula(card: Card) -> Iterator[str]:
    yield (
        f"Flat length of a leg: outside leg to the apex less {card.crease:g} x tan(half the angle) at each fold, "
        f"which hinges {card.crease:g} mm under its outside face (card {card.t:g} mm)."
    )


def _cut(region: Region, off: Point) -> Iterator[Stroke]:
    for ring in (region.outer, *region.holes):
        yield Stroke.of("cut", _moved(ring, off))


def _moved(outline: Outline, off: Point) -> Outline:
    return outline.map(lambda p: _less(p, off))


def _less(p: Point, off: Point) -> Point:
    return (p[0] - off[0], p[1] - off[1])


def _middle(a: Point, b: Point) -> Point:
    return ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)


def _centre(box: Bounds) -> Point:
    return _middle((box[0], box[1]), (box[2], box[3]))


def _size(shape: Shape) -> tuple[float, float]:
    """Length without the flap, and height."""
    x0, y0, x1, y1 = shape.region.outer.bounds
    return (x1 if shape.flap is None else shape.flap[0][0]) - x0, y1 - y0


def _crosses(holes: Sequence[BlankHole], off: Point) -> Iterator[Stroke]:
    for hole in holes:
        for centre in hole.centres:
            x, y = _less(centre, off)
            yield Stroke.line("punch", (x - CROSS, y), (x + CROSS, y))
            yield Stroke.line("punch", (x, y - CROSS), (x, y + CROSS))


def _hole_labels(holes: Sequence[BlankHole], off: Point) -> Iterator[_Label]:
    for hole in holes:
        d = hole.opening.d
        said = f"Ø{d:g}" if isinstance(hole.opening, Hole) else f"slot {d:g} x {hole.opening.whole:.4g}"
        yield said, _less(hole.centre, off), d / 2 + 1.0 if len(hole.centres) == 1 else 0.0


def _said(fold: Fold, tabs: Sequence[Tab], called: dict[str, str]) -> str:
    way = f"{'up' if fold.up else 'down'} {abs(fold.angle):.3g}°"
    tab = next((tab for tab in tabs if tab.fold.name == fold.name), None)
    return f"{fold.name} {way}" + ("" if tab is None else f", glue inside {called[tab.onto]}")


def _head(title: Title, name: str, facts: Sequence[tuple[str, str]], at: Point) -> Iterator[_Label]:
    """What the card itself says once it is cut out."""
    said = dict(facts)
    yield BANNER, at, None
    yield f"{title.part}: {name}, {said.get('values', '')}", at, None


def _roomiest(panel: Panel, made: FoldUp) -> tuple[Point, float]:
    """Of some places of a panel the one with most card round it, on the flat, and how much, mm; 0 where none."""
    x0, y0, x1, y1 = panel.outline.bounds
    best = (_centre((x0, y0, x1, y1)), 0.0)
    for i in range(1, PLACES):
        for k in range(1, PLACES):
            p = (x0 + i * (x1 - x0) / PLACES, y0 + k * (y1 - y0) / PLACES)
            at = panel.flat.point((*p, 0.0))[:2]
            room = min(distance(panel.outline, p), made.region.distance(at))
            if room > best[1] + 1e-6:
                best = (at, room)
    return best


def _end_ticks(a: Point, b: Point) -> Iterator[Stroke]:
    """The two ends of a line that goes up a wrap."""
    room = min(TICK, (b[1] - a[1]) / 5)
    yield Stroke.line("mark", a, (a[0], a[1] + room))
    yield Stroke.line("mark", (b[0], b[1] - room), b)


def _labelled(
    strokes: Sequence[Stroke], labels: Sequence[_Label]
) -> tuple[tuple[Words, ...], tuple[Stroke, ...]]:
    board = Board(strokes)
    words, leaders = [], []
    for text, about, start in labels:
        for made in board.label(text, about, size=LABEL, start=start or 0.0):
            if isinstance(made, Words):
                words.append(made)
            elif start is not None:
                leaders.append(made)
    return tuple(words), tuple(leaders)


def _sizes(steel: tuple[Vec, Vec], card: tuple[Vec, Vec]) -> Table:
    rows = tuple(
        (axis, *(f"{high[i] - low[i]:.2f}" for low, high in (steel, card)), "") for i, axis in enumerate("xyz")
    )
    return Table("Outside, folded", ("along", "wanted", "card", "measured"), rows)


def _folds(made: FoldUp, tabs: Sequence[Tab], called: dict[str, str]) -> Table:
    rows = {
        fold.name: (
            fold.name,
            "up" if fold.up else "down",
            f"{abs(fold.angle):.4g}",
            f"{sum(math.dist(*one.line) for one in made.folds if one.name == fold.name):.1f}",
            _joined(fold, tabs, called),
        )
        for fold in made.folds
    }
    return Table("Folds", ("fold", "way", "degrees", "long", "joins"), tuple(rows.values()))


def _joined(fold: Fold, tabs: Sequence[Tab], called: dict[str, str]) -> str:
    glued = (f"{called[tab.of]} to the inside of {called[tab.onto]}" for tab in tabs if tab.fold.name == fold.name)
    return next(glued, called.get(f"wall {fold.name[1:]}", ""))

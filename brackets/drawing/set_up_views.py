"""The views a weldment is set up by: from the front, from above and from the left, with what is measured off.

First angle: what is seen from above stands under the front, what is seen from the left to its right. mm of paper.
Distances from the datum run from one line a direction; what cannot be read in a view stands in the table alone.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from brackets.drawing.labels import Board, through
from brackets.drawing.pictures import (
    BALLOON,
    SCALES,
    TYPE,
    Laid,
    Picture,
    arrow,
    balloon,
    bounds_of,
    clear_points,
    dot_at,
    first_angle,
    lines,
    scale_words,
)
from brackets.drawing.record import Stroke, Words, width
from brackets.forming.set_up import SetUp, SetUpDimension, aligned
from brackets.forming.set_up_datum import Feature, Spot
from brackets.geometry.segments import Bounds, Point
from brackets.geometry.shapes import rectangle

FRONT, ABOVE, LEFT = "front", "from above", "from the left"

Views = Mapping[str, Picture]

OVER: Mapping[str, tuple[tuple[int, int], tuple[int, int]]] = {
    FRONT: ((0, 1), (2, 1)),
    ABOVE: ((0, 1), (1, 1)),
    LEFT: ((1, -1), (2, 1)),
}
"""Which axis of the datum runs to the right in a view, and which way, and the same for up."""

CAPTION = 5.0
"""mm over a view for its name."""

GAP = 10.0
"""mm between views."""

BESIDE = 4.0
"""mm from a view to the line its distances are measured along."""

JOG = 5.0
"""mm from that line to the figures, in which lines lead to where there is room for them."""

LEVEL = 7.0
"""mm between one dimension line and the next."""

FOOT = 11.0
"""mm under all of it for the scale and the symbol of the projection."""

SEEN_AT = 0.03
"""mm of the part: how near a line of a picture lies to the plane it is measured to."""

ROUGH = 0.2
"""mm of paper: how far the lines may lie off that words are kept clear of; well inside the white round them."""

NEAR = 0.05
"""mm, degrees: two figures that are printed alike."""


@dataclass(frozen=True)
class Views3:
    """What was drawn: `laid` says where each view lies, at the scale of all of them."""

    strokes: tuple[Stroke, ...]
    words: tuple[Words, ...]
    scale: float
    laid: Mapping[str, Laid]


def three_views(
    found: SetUp, views: Views, numbers: Mapping[str, int], rooms: Sequence[tuple[float, float]]
) -> Views3:
    """The three views at the largest standard scale at which all of it fits one of the `rooms`, mm of paper."""
    for scale in SCALES:
        boxes = [bounds_of(views[name]) for name in (FRONT, ABOVE, LEFT)]
        wide = scale * (boxes[0][2] - boxes[0][0] + boxes[2][2] - boxes[2][0])
        tall = scale * (boxes[0][3] - boxes[0][1] + boxes[1][3] - boxes[1][1])
        if scale != SCALES[-1] and not any(wide < room[0] and tall < room[1] for room in rooms):
            continue
        made = _Sheet(found, views, numbers, scale).drawn()
        left, low, right, high = _around(made.strokes, made.words)
        if any(right - left <= room[0] and high - low <= room[1] for room in rooms):
            return made
    return made


def _around(strokes: Iterable[Stroke], words: Iterable[Words]) -> Bounds:
    boxes = [s.bounds for s in strokes] + [w.box for w in words]
    return tuple(pick(b[i] for b in boxes) for i, pick in enumerate((min, min, max, max)))  # type: ignore[return-value]


class _Sheet:
    """The sheet while it is drawn, at one scale."""

    def __init__(self, found: SetUp, views: Views, numbers: Mapping[str, int], scale: float) -> None:
        self.found, self.views, self.numbers, self.scale = found, views, numbers, scale
        self.strokes: list[Stroke] = []
        self.words: list[Words] = []
        self.boxes = {name: bounds_of(views[name]) for name in (FRONT, ABOVE, LEFT)}
        self.laid = self._laid_out()
        self.clear = {name: clear_points(views[name]) for name in (FRONT, ABOVE, LEFT)}

    def _laid_out(self) -> dict[str, Laid]:
        s, front, above, left = self.scale, *(self.boxes[name] for name in (FRONT, ABOVE, LEFT))
        linear = [self._linear(one) for one in self.found.dimensions]
        up = LEVEL * sum(line is not None and line[0] == 0 for line in linear)
        aside = LEVEL * 1.6 * sum(line is not None and line[0] == 1 for line in linear)
        above_y = -s * above[3]
        front_y = above_y + s * above[3] + up + CAPTION + GAP - s * front[1]
        left_x = s * front[2] + aside + GAP - s * left[0]
        return {
            FRONT: Laid(s, (0.0, front_y)),
            ABOVE: Laid(s, (0.0, above_y)),
            LEFT: Laid(s, (left_x, front_y)),
        }

    def drawn(self) -> Views3:
        for name in (FRONT, ABOVE, LEFT):
            self.strokes += lines(self.views[name], self.laid[name], hidden=True)
            box = self.laid[name].box(self.boxes[name])
            self.words.append(Words((box[0], box[3] + 1.8 + self._over(name)), name, TYPE))
        drawn = len(self.strokes)
        self._axes()
        for view, i in ((ABOVE, 0), (ABOVE, 1), (FRONT, 2)):
            self._running(view, i)
        levels = [0, 0]
        for one in self.found.dimensions:
            line = self._linear(one)
            if line is not None:
                levels[line[0]] += 1
                self._dimension(one, *line, levels[line[0]])
        board = Board(self.strokes[drawn:])
        for name in (FRONT, ABOVE, LEFT):
            for stroke in lines(self.views[name], self.laid[name], hidden=True, within=ROUGH):
                board.add(stroke)
        for words in self.words:
            board.block(words.box)
        self._diagonals(board)
        self._balloons(board)
        self._angles(board)
        low = min(b[1] for b in [s.bounds for s in self.strokes] + [w.box for w in self.words])
        left = min(b[0] for b in [s.bounds for s in self.strokes] + [w.box for w in self.words])
        self.strokes += first_angle((left + 1.0, low - FOOT))
        say = f"First angle projection (ISO 5456-2), scale {scale_words(self.scale)}, mm"
        self.words.append(Words((left + 24.0, low - FOOT + 2.8), say, TYPE))
        return Views3(tuple(self.strokes), tuple(self.words), self.scale, self.laid)

    def _over(self, name: str) -> float:
        """mm over a view that dimension lines take."""
        lines_up = sum((line := self._linear(one)) is not None and line[0] == 0 for one in self.found.dimensions)
        return LEVEL * lines_up if name == ABOVE else 0.0

    def _seen(self, view: str, p: Sequence[float]) -> Point:
        """A point of the part, from the datum, in a view, mm of the part."""
        (i, sign), (k, up) = OVER[view]
        return (sign * p[i], up * p[k])

    def _paper(self, view: str, p: Sequence[float]) -> Point:
        return self.laid[view].point(self._seen(view, p))

    def _local(self, of: Feature | Spot) -> tuple[float, float, float]:
        return self.found.datum.local(of.at)

    # ---------------------------------------------------------------- what is measured from the datum
    def _running(self, view: str, axis: int) -> None:
        """Distances along one axis from one line, each at its own place as near as there is room."""
        across = axis == OVER[view][0][0]
        k = 0 if across else 1
        values: dict[str, tuple[float, Point | None]] = {"0": (0.0, None)}
        for one in self.found.dimensions:
            if one.kind == "from datum" and one.axis == axis:
                at = self._feature(view, one, k)
                before = values.get(one.text)
                if before is None or (at is not None and (before[1] is None or at[1 - k] < before[1][1 - k])):
                    values[one.text] = (one.value, at)
        box = self.laid[view].box(self.boxes[view])
        low = box[1 - k] - BESIDE
        ordered = sorted(values.items(), key=lambda pair: pair[1][0])
        wanted = [self.laid[view].at[k] + self.scale * value for _, (value, _) in ordered]
        sizes = [width(text, TYPE) + 1.4 if across else TYPE + 0.9 for text, _ in ordered]
        set_at = spread(wanted, sizes)
        ends = (min(wanted), max(wanted))
        self._line(k, low, ends[0], low, ends[1])
        for (text, (_, feature)), place, stands in zip(ordered, wanted, set_at, strict=True):
            start = low + BESIDE - 0.8 if feature is None else min(feature[1 - k] - 0.8, low + BESIDE + 1e3)
            self._line(k, low, place, start, place)
            self._line(k, low, place, low - JOG, stands)
            self._head(k, low, place, origin=text == "0")
            w = width(text, TYPE)
            p = (stands - w / 2, low - JOG - TYPE) if across else (low - JOG - 1.0 - w, stands - 0.36 * TYPE)
            self.words.append(Words(p, text, TYPE))
            if text == "0":
                self._letter(self._datum(axis), (stands, p[1] - 4.6) if across else (p[0] - 4.0, stands))

    def _datum(self, axis: int) -> str:
        return ("B", "A", "A")[axis] if self.found.datum.round else "CBA"[axis]

    def _letter(self, letter: str, middle: Point) -> None:
        """The letter of a datum in its frame (ISO 5459)."""
        self.strokes.append(Stroke.of("tangent", rectangle(4.4, 4.4, centre=middle)))
        self.words.append(Words((middle[0] - width(letter, TYPE) / 2, middle[1] - 0.36 * TYPE), letter, TYPE))

    def _line(self, k: int, u0: float, v0: float, u1: float, v1: float) -> None:
        """A thin line between (v, u) where k is 0, else (u, v)."""
        a, b = ((v0, u0), (v1, u1)) if k == 0 else ((u0, v0), (u1, v1))
        if math.dist(a, b) > 1e-6:
            self.strokes.append(Stroke.line("leader", a, b))

    def _head(self, k: int, low: float, at: float, *, origin: bool) -> None:
        """A ring where it begins, a tick at every other place (ISO 129-1: dimensions from a common origin)."""
        p = (at, low) if k == 0 else (low, at)
        if origin:
            self.strokes.append(dot_at(p, 0.7))
        else:
            self.strokes.append(Stroke.line("leader", (p[0] - 0.7, p[1] - 0.7), (p[0] + 0.7, p[1] + 0.7)))

    def _feature(self, view: str, one: SetUpDimension, k: int) -> Point | None:
        """Where the thing measured to is met first, coming from the line of figures; None where it has no place of
        its own in the view."""
        to = one.to
        if isinstance(to, Spot):
            return self._paper(view, self._local(to))
        if to.kind == "axis":
            way = self.found.datum.direction(to.way)
            seen = self._seen(view, way)
            if math.hypot(*seen) < 1e-6:
                return self._paper(view, self._local(to))
        flat = next(seen for seen in self.views[view] if seen.piece == to.piece)
        value = one.value * OVER[view][k][1]
        if to.kind == "axis":
            box = bounds_of((flat,))
            p = (value, box[1]) if k == 0 else (box[0], value)
            return self.laid[view].point(p)
        spots = [p for run in (*flat.visible, *flat.hidden) for p in run if abs(p[k] - value) < SEEN_AT]
        return self.laid[view].point(min(spots, key=lambda p: p[1 - k])) if spots else None

    # ---------------------------------------------------------------- from one feature to another
    def _linear(self, one: SetUpDimension) -> tuple[int, Point, Point] | None:
        """Whether it runs along x or y, and its two ends as seen from above; None where it runs along neither."""
        if one.start is None or one.kind != "apart":
            return None
        a, b = self._local(one.start), self._local(one.to)
        if isinstance(one.to, Feature):
            i = aligned(self.found.datum.direction(one.to.way))
        else:
            i = aligned(tuple(q - p for p, q in zip(a, b, strict=True)))  # type: ignore[arg-type]
        return None if i is None or i == 2 else (i, a[:2], b[:2])

    def _dimension(self, one: SetUpDimension, i: int, a: Point, b: Point, level: int) -> None:
        """Over the view from above where it runs along x, to its right where along y."""
        box = self.laid[ABOVE].box(self.boxes[ABOVE])
        ends = sorted(self.laid[ABOVE].at[i] + self.scale * p[i] for p in (a, b))
        u = box[3] + LEVEL * level - 2.0 if i == 0 else box[2] + LEVEL * 1.6 * level - 6.0
        from_u = box[3] + 0.8 if i == 0 else box[2] + 0.8
        for v in ends:
            self._line(i, from_u, v, u + 1.5, v)
        tips = [(ends[0], u), (ends[1], u)] if i == 0 else [(u, ends[0]), (u, ends[1])]
        self._line(i, u, ends[0], u, ends[1])
        for tip, tail in (tips, tips[::-1]):
            self.strokes += arrow(tip, tail)
        w, middle = width(one.text, TYPE), (ends[0] + ends[1]) / 2
        at = (middle - w / 2, u + 0.9) if i == 0 else (u + 1.0, middle - 0.36 * TYPE)
        self.words.append(Words(at, one.text, TYPE))

    def _diagonals(self, board: Board) -> None:
        """Level ones as thin chain lines in the view from above, each with its length."""
        for one in self.found.dimensions:
            if one.kind != "diagonal" or one.start is None:
                continue
            a, b = self._local(one.start), self._local(one.to)
            if abs(a[2] - b[2]) > NEAR:
                continue
            p, q = self._paper(ABOVE, a), self._paper(ABOVE, b)
            line = Stroke.line("axis", p, q)
            self.strokes.append(line)
            board.add(line)
            middle = (p[0] + 0.3 * (q[0] - p[0]), p[1] + 0.3 * (q[1] - p[1]))
            self._label(board, one.text, middle)

    def _label(self, board: Board, text: str, about: Point) -> None:
        for made in board.label(text, about, size=TYPE):
            if isinstance(made, Words):
                self.words.append(made)
            else:
                self.strokes.append(made)

    def _angles(self, board: Board) -> None:
        """Degrees that are not square or level: to A in the front, in plan from above."""
        for one in self.found.dimensions:
            if not one.is_angle or min(one.value % 90.0, 90.0 - one.value % 90.0) < NEAR:
                continue
            way = self.found.datum.direction(one.to.way)  # type: ignore[union-attr]
            across = abs(way[0]) >= abs(way[1])
            view = ABOVE if one.kind == "in plan" else FRONT if across else LEFT
            spot = self.clear[view].get(one.to.piece)  # type: ignore[union-attr]
            if spot is None:
                continue
            words = "to A" if one.kind == "to A" and not self.found.datum.round else ""
            self._label(board, f"{one.text} {words}".strip(), self.laid[view].point(spot))

    def _axes(self) -> None:
        """Centre lines of what is round and measured to, where they are seen as lines or points."""
        done = set()
        for one in self.found.dimensions:
            to = one.to
            if not isinstance(to, Feature) or to.kind != "axis":
                continue
            for view in (FRONT, ABOVE, LEFT):
                piece = next(seen for seen in self.views[view] if seen.piece == to.piece)
                way, p = self._seen(view, self.found.datum.direction(to.way)), self._seen(view, self._local(to))
                key = (view, *(round(c, 3) for c in p))
                if key in done or not (piece.visible or piece.hidden):
                    continue
                done.add(key)
                self._axis(view, p, way, bounds_of((piece,)))

    def _axis(self, view: str, p: Point, way: Point, box: Bounds) -> None:
        laid, size = self.laid[view], math.hypot(*way)
        if size < 1e-6:
            x, y = laid.point(p)
            for dx, dy in ((2.5, 0.0), (0.0, 2.5)):
                self.strokes.append(Stroke.line("axis", (x - dx, y - dy), (x + dx, y + dy)))
            return
        u = (way[0] / size, way[1] / size)
        along = [(c - p[0]) * u[0] + (d - p[1]) * u[1] for c in (box[0], box[2]) for d in (box[1], box[3])]
        beyond = 2.0 / self.scale
        ends = [(p[0] + t * u[0], p[1] + t * u[1]) for t in (min(along) - beyond, max(along) + beyond)]
        self.strokes.append(Stroke.line("axis", laid.point(ends[0]), laid.point(ends[1])))

    def _balloons(self, board: Board) -> None:
        """The number of every piece, once, in the first view it is seen in."""
        for name, number in self.numbers.items():
            for view in (ABOVE, FRONT, LEFT):
                if name in self.clear[view]:
                    about = self.laid[view].point(self.clear[view][name])
                    self.strokes += self._ballooned(board, number, about)
                    break

    def _ballooned(self, board: Board, number: int, about: Point) -> Iterator[Stroke]:
        for far in (5.0, 7.0, 9.0, 12.0, 16.0, 21.0, 27.0, 35.0):
            for i in range(24):
                turn = math.tau * (i + 0.5) / 24
                way = (math.cos(turn), math.sin(turn))
                middle = (about[0] + (far + BALLOON) * way[0], about[1] + (far + BALLOON) * way[1])
                box = (middle[0] - BALLOON, middle[1] - BALLOON, middle[0] + BALLOON, middle[1] + BALLOON)
                end = (about[0] + far * way[0], about[1] + far * way[1])
                if not board.free(box) or any(through(other, about, end) for other in board.boxes):
                    continue
                board.block(box)
                ring, words = balloon(number, middle)
                leader = Stroke.line("leader", about, end)
                board.add(leader)
                self.words.append(words)
                yield from (ring, leader, dot_at(about))
                return


def spread(wanted: Sequence[float], sizes: Sequence[float]) -> list[float]:
    """Middles of things of some sizes in a row, in their order, none over another, as near as may be to where they
    are wanted: what would overlap stands together about the mean of what its members want."""
    groups: list[tuple[list[int], float]] = []
    for i in range(len(wanted)):
        group = [i]
        middle = wanted[i]
        while groups:
            members, before = groups[-1]
            room = sum(sizes[k] for k in members) / 2 + sum(sizes[k] for k in group) / 2
            if middle - before >= room:
                break
            groups.pop()
            group = [*members, *group]
            middle = _mean(group, wanted, sizes)
        groups.append((group, middle))
    found = [0.0] * len(wanted)
    for members, middle in groups:
        at = middle - sum(sizes[k] for k in members) / 2
        for k in members:
            found[k] = at + sizes[k] / 2
            at += sizes[k]
    return found


def _mean(group: Sequence[int], wanted: Sequence[float], sizes: Sequence[float]) -> float:
    """The middle of a row of things that touch, by which they lie nearest to where they are wanted."""
    whole, at, sums = sum(sizes[k] for k in group), 0.0, 0.0
    for k in group:
        sums += wanted[k] - (at + sizes[k] / 2 - whole / 2)
        at += sizes[k]
    return sums / len(group)


"""The views a weldment is set up by: from the front, from above and from the left, with what is measured off.

First angle: what is seen from above stands under the front, what is seen from the left to its right. mm of paper.
Distances from the datum run from one line a direction; what cannot be read in a view stands in the table alone.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from brackets.drawing.centre_lines import centre_lines
from brackets.drawing.dimension_lines import LEVEL, between_two, linear, running
from brackets.drawing.labels import Board, put, through
from brackets.drawing.pictures import (
    BALLOON,
    SCALES,
    TYPE,
    Laid,
    balloon,
    bounds_of,
    clear_points,
    dot_at,
    first_angle,
    lines,
    scale_words,
)
from brackets.drawing.record import Stroke, Words
from brackets.drawing.view_directions import ABOVE, FRONT, LEFT, Views, in_view
from brackets.forming.set_up import SetUp
from brackets.forming.set_up_datum import Feature, Spot
from brackets.geometry.segments import Bounds, Point

CAPTION = 5.0
"""mm over a view for its name."""

GAP = 10.0
"""mm between views."""

FOOT = 11.0
"""mm under all of it for the scale and the symbol of the projection."""

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
        runs = [linear(self.found, one) for one in self.found.dimensions]
        up = LEVEL * sum(line is not None and line[0] == 0 for line in runs)
        aside = LEVEL * 1.6 * sum(line is not None and line[0] == 1 for line in runs)
        above_y = -s * above[3]
        low = min(front[1], 0.0)  # the line of datum A, where that lies under the part
        front_y = above_y + s * above[3] + up + CAPTION + GAP - s * low
        left_x = s * front[2] + aside + GAP - s * left[0]
        return {
            FRONT: Laid(s, (0.0, front_y)),
            ABOVE: Laid(s, (0.0, above_y)),
            LEFT: Laid(s, (left_x, front_y)),
        }

    def drawn(self) -> Views3:
        for name in (FRONT, ABOVE, LEFT):
            self.strokes += lines(self.views[name], self.laid[name], hidden=True)
        drawn = len(self.strokes)
        self._add(centre_lines(self.found, self.views, self.laid))
        for view, i in ((ABOVE, 0), (ABOVE, 1), (FRONT, 2)):
            self._add(running(self.found, view, self.views[view], self.laid[view], i))
        levels = [0, 0]
        for one in self.found.dimensions:
            line = linear(self.found, one)
            if line is not None:
                i, a, b = line
                levels[i] += 1
                self._add(between_two(one.text, i, (a, b), self.views[ABOVE], self.laid[ABOVE], levels[i]))
        board = Board(self.strokes[drawn:])
        for name in (FRONT, ABOVE, LEFT):
            for stroke in lines(self.views[name], self.laid[name], hidden=True, within=ROUGH):
                board.add(stroke)
        for words in self.words:
            board.block(words.box)
        for name in (FRONT, ABOVE, LEFT):
            self._caption(board, name)
        self._diagonals(board)
        self._balloons(board)
        self._angles(board)
        low = min(b[1] for b in [s.bounds for s in self.strokes] + [w.box for w in self.words])
        left = min(b[0] for b in [s.bounds for s in self.strokes] + [w.box for w in self.words])
        self.strokes += first_angle((left + 1.0, low - FOOT))
        say = f"First angle projection (ISO 5456-2), scale {scale_words(self.scale)}, mm"
        self.words.append(Words((left + 24.0, low - FOOT + 2.8), say, TYPE))
        return Views3(tuple(self.strokes), tuple(self.words), self.scale, self.laid)

    def _caption(self, board: Board, name: str) -> None:
        """The name of a view over its left corner, or as near to that as it lies on nothing."""
        left, _, right, high = self.laid[name].box(self.boxes[name])
        first = Words((left, high + 1.8 + self._over(name)), name, TYPE)
        moves = [(float(x), float(y)) for x in range(int(right - left) + 1) for y in range(int(CAPTION))]
        tried = (replace(first, at=(first.at[0] + x, first.at[1] + y)) for x, y in sorted(moves, key=sum))
        words = next((one for one in tried if board.free(one.box)), first)
        board.block(words.box)
        self.words.append(words)

    def _add(self, made: Iterable[Stroke | Words]) -> None:
        put(made, self.strokes, self.words)

    def _over(self, name: str) -> float:
        """mm over a view that dimension lines take."""
        runs = [linear(self.found, one) for one in self.found.dimensions]
        lines_up = sum(line is not None and line[0] == 0 for line in runs)
        return LEVEL * lines_up if name == ABOVE else 0.0

    def _paper(self, view: str, p: Sequence[float]) -> Point:
        return self.laid[view].point(in_view(view, p))

    def _local(self, of: Feature | Spot) -> tuple[float, float, float]:
        return self.found.datum.local(of.at)

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
        self._add(board.label(text, about, size=TYPE))

    def _angles(self, board: Board) -> None:
        """Degrees that are not square or level: to A in the front, in plan from above."""
        for one in self.found.dimensions:
            if one.kind not in ("to A", "in plan") or min(one.value % 90.0, 90.0 - one.value % 90.0) < NEAR:
                continue
            way = self.found.datum.direction(one.to.way)  # type: ignore[union-attr]
            across = abs(way[0]) >= abs(way[1])
            view = ABOVE if one.kind == "in plan" else FRONT if across else LEFT
            spot = self.clear[view].get(one.to.piece)  # type: ignore[union-attr]
            if spot is None:
                continue
            words = "to A" if one.kind == "to A" and not self.found.datum.round else ""
            self._label(board, f"{one.text} {words}".strip(), self.laid[view].point(spot))

    def _balloons(self, board: Board) -> None:
        """The number of every piece, once, in the first view it is seen in."""
        for name, number in self.numbers.items():
            for view in (ABOVE, FRONT, LEFT):
                if name in self.clear[view]:
                    about = self.laid[view].point(self.clear[view][name])
                    self._add(_ballooned(board, number, about))
                    break


def _ballooned(board: Board, number: int, about: Point) -> Iterator[Stroke | Words]:
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
            yield from (words, ring, leader, dot_at(about))
            return

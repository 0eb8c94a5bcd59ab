"""What a sheet of paper says of one drawing, as blocks of known height, one under the other.

mm. A block is drawn from its upper edge down; what must not be parted from the next says so.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

from brackets.core.typeface import unprinted
from brackets.drawing.record import Drawing
from brackets.geometry.segments import Point
from brackets.output.page import MM, Page, draw, fitted, picture, width, wrapped
from brackets.output.paper import Tiling
from brackets.rules.cautions import HEADING

SIZE = 2.8
"""mm: type of tables and notes."""

TITLE = 5.0
"""mm: type of the part's name."""

PIECE = 3.8
"""mm: type of the name of a further drawing of the part."""

LINE = 4.0
"""mm from one line of type to the next."""

FACT = 4.6
"""mm: from one fact of the title block to the next."""

NAMED = 22.0
"""mm that the name of a fact takes."""

ALONE = 20.0
"""mm: what is lower is not left alone on a page."""

TIGHT = 0.25
"""What is left of the white between things where that saves a page."""

MAP = 62.0
"""mm: size of the key map."""

@dataclass(frozen=True)
class Block:
    """`height` mm of a column; `put(page, left, top)` draws it, None for a space. `keep`: the next stays with it;
    `again`: what is repeated where a page begins with it."""

    height: float
    put: Callable[[Page, float, float], None] | None = None
    keep: bool = False
    again: tuple[Block, ...] = ()

    def draw(self, page: Page, left: float, top: float) -> None:
        if self.put is not None:
            self.put(page, left, top)


def space(height: float) -> Block:
    return Block(height)


def height_of(blocks: Sequence[Block]) -> float:
    """mm that they take, one under the other."""
    return sum(block.height for block in blocks)


def kept_at_end(blocks: Sequence[Block]) -> list[Block]:
    """The blocks, the last things kept with what stands before them until they are ALONE mm high: no page ends a
    sheet with less."""
    found = list(blocks)
    drawn = [i for i, block in enumerate(found) if block.put is not None]
    for before, first in zip(drawn[-2::-1], drawn[:0:-1], strict=True):
        if all(block.keep for block in found[before:first]):
            continue
        if height_of(found[first : drawn[-1] + 1]) >= ALONE:
            break
        found[before:first] = [replace(block, keep=True) for block in found[before:first]]
    return found


def parted(blocks: Sequence[Block], y: float, top: float, floor: float) -> list[int]:
    """Which of the blocks begin a page, by number, where the first has room from `y` down to `floor`, the others
    from `top`."""
    found = []
    for i, block in enumerate(blocks):
        if block.put is None and (y - block.height < floor or y == top):
            continue  # no page is turned for room between two things, and none begins with it
        need, at = block.height, i
        while blocks[at].keep and at + 1 < len(blocks):
            at += 1
            need += blocks[at].height
        if y - (need if need <= top - floor else block.height) < floor:
            found.append(i)
            y = top - height_of(block.again)
        y -= block.height
    return found


def squeezed(blocks: Sequence[Block]) -> list[Block]:
    """The same with less white between things."""
    return [block if block.put is not None else replace(block, height=TIGHT * block.height) for block in blocks]


def heading(words: str) -> Block:
    """A heading, which stays with what follows it."""

    def put(page: Page, left: float, top: float) -> None:
        page.text((left, top - 3.4), words, 3.2, bold=True)

    return Block(5.2, put, keep=True)


def line(words: str) -> Block:
    """One line of type."""

    def put(page: Page, left: float, top: float) -> None:
        page.text((left, top - LINE), words, SIZE)

    return Block(LINE, put)


def listed(head: str, lines: Sequence[str], wide: float) -> Iterator[Block]:
    """Lines under a heading, wrapped; nothing where there are none."""
    if not lines:
        return
    again = (heading(f"{head}, continued"),)
    yield heading(head)
    for words in lines:
        *ahead, last = (replace(line(part), again=again) for part in wrapped(words, wide, SIZE))
        yield from (replace(one, keep=True) for one in ahead)
        yield last
        yield space(0.8)
    yield space(3.0)


def titled(drawing: Drawing, wide: float, *, first: bool) -> Iterator[Block]:
    """The part's name over its first drawing, with the whole title block; a rule and the name over the others."""
    if first:
        for words in wrapped(drawing.title.part, wide, TITLE, bold=True):
            yield _type(words, TITLE, 6.0)
        yield space(2.4)
    else:
        yield _rule(wide)
        for words in wrapped(drawing.name, wide, PIECE, bold=True):
            yield _type(words, PIECE, 5.0)
        yield Block(1.0, keep=True)


def _type(words: str, size: float, height: float) -> Block:
    def put(page: Page, left: float, top: float) -> None:
        page.text((left, top - height + 1.0), words, size, bold=True)

    return Block(height, put, keep=True)


def _rule(wide: float) -> Block:
    def put(page: Page, left: float, top: float) -> None:
        page.pen("cut")
        page.line((left, top - 1.0), (left + wide, top - 1.0))

    return Block(1.6, put, keep=True)


def title_block(drawing: Drawing, wide: float, cut: Tiling | None, *, first: bool) -> Block:
    """Facts in two columns, as far as they have room; in one beside a key to the tiles, where there are several."""
    own = drawing.facts if first else tuple(fact for fact in drawing.facts if fact[0] not in ("part", "revision"))
    facts = (*own, *(signed(drawing) if first else signed(drawing)[:1]))
    mapped = cut is not None and len(cut.tiles) > 1
    room = wide - (MAP + 6.0 if mapped else 0.0)
    half = wide / 2
    rows: list[list[tuple[str, str]]] = []
    for fact in facts:
        abreast = rows and len(rows[-1]) == 1 and not mapped
        if abreast and all(width(told, SIZE, bold=True) <= half - NAMED - 4.0 for _, told in (rows[-1][0], fact)):
            rows[-1].append(fact)
        else:
            rows.append([fact])
    tall = FACT * len(rows)
    if cut is not None and mapped:
        tall = max(tall, _map_height(cut) + 6.0)

    def put(page: Page, left: float, top: float) -> None:
        y = top - SIZE
        for row in rows:
            for i, (what, value) in enumerate(row):
                x = left + i * half
                page.text((x, y), what, SIZE)
                end = half if len(row) == 2 else room
                page.text((x + NAMED, y), fitted(value, end - NAMED, SIZE, bold=True), SIZE, bold=True)
            y -= FACT
        if cut is not None and mapped:
            _key_map(page, drawing, cut, left + wide, top + 2.0)

    return Block(tall + 2.0, put)


def signed(drawing: Drawing) -> tuple[tuple[str, str], ...]:
    """The drawing's number, who drew it and when, as typed, and a line for whoever approves it (fields of ISO
    7200:2004, from memory). The number changes with every value that shapes the piece."""
    title, facts = drawing.title, dict(drawing.facts)
    piece = facts.get("piece", drawing.name).split(",")[0]
    number = (title.part.split(",")[0], piece, facts.get("values", ""))
    return (
        ("drawing no.", "-".join(filter(None, number))),
        ("drawn by", title.by or "none given"),
        ("date", title.date or "none given"),
        ("approval by", "______________________"),
    )


def _map_scale(cut: Tiling) -> tuple[float, float, float, float, float]:
    """Lower left corner of all tiles, width and height of all, and what they are drawn smaller by."""
    x0, y0 = (min(t.window[i] for t in cut.tiles) for i in (0, 1))
    x1, y1 = (max(t.window[i] for t in cut.tiles) for i in (2, 3))
    return x0, y0, x1 - x0, y1 - y0, MAP / max(x1 - x0, y1 - y0)


def _map_height(cut: Tiling) -> float:
    _, _, _, tall, by = _map_scale(cut)
    return tall * by


def _key_map(page: Page, drawing: Drawing, cut: Tiling, right: float, top: float) -> None:
    """The drawing small, with the tiles it is printed on and their numbers."""
    x0, y0, wide, tall, by = _map_scale(cut)
    left, low = right - wide * by, top - tall * by
    canvas = page.canvas
    canvas.saveState()
    canvas.transform(by * MM, 0, 0, by * MM, (left - x0 * by) * MM, (low - y0 * by) * MM)
    canvas.setLineWidth(0.2 / by)
    shapes = tuple(s for s in drawing.strokes if s.layer in ("cut", "axis"))
    draw(canvas, replace(drawing, strokes=shapes, words=()), None, thin=1.0 / by)
    canvas.setDash([])
    canvas.setStrokeGray(0.0)
    for tile in cut.tiles:
        a, b, c, d = tile.window
        canvas.setLineWidth(0.13 / by)
        canvas.rect(a, b, c - a, d - b, stroke=1, fill=0)
    canvas.restoreState()
    for number, tile in enumerate(cut.tiles, 1):
        x = left + (tile.window[0] - x0) * by + 1.5 + (2.0 if tile.column > 1 else 0.0)
        y = low + (tile.window[3] - y0) * by - 3.6 - (2.0 if tile.row < cut.rows else 0.0)
        page.text((x, y), str(number), 2.4)
    page.text((left, low - 3.2), "key to the tiles", 2.1)


def pictured(drawing: Drawing, wide: float, most: float) -> Iterator[Block]:
    """The drawing as large as it fits, at most `most` mm high; not to scale."""
    x0, y0, x1, y1 = drawing.bounds
    tall = min(most, wide * (y1 - y0) / (x1 - x0))

    def put(page: Page, left: float, top: float) -> None:
        picture(page, drawing, (left, top - tall, left + wide, top))

    yield Block(tall + 4.0, put, keep=True)
    yield line("Not to scale.")
    yield space(3.0)


CAPTION = 2.55
"""mm: type of what stands over a template; its capitals are 1.8 mm high, as beside the bars."""

NARROW = 75.0
"""mm that a caption is wrapped to over a narrower template."""


def caption(drawing: Drawing, said: str, wide: float) -> tuple[float, tuple[str, ...]]:
    """Width and lines of what stays with a template: part, piece, how many, and `said`."""
    head = f"{drawing.title.part}: {drawing.name}"
    lines = [part for words in (head, said) for part in wrapped(words, max(wide, NARROW), CAPTION)]
    return max(width(words, CAPTION) for words in lines), tuple(lines)


CAPTION_LINE = 3.4
"""mm from one line of a caption to the next."""


def put_caption(page: Page, at: Point, lines: Sequence[str]) -> None:
    """The lines from the corner `at` down."""
    for i, words in enumerate(lines, 1):
        page.text((at[0], at[1] - CAPTION_LINE * i + 0.8), words, CAPTION)


def unprintable(drawing: Drawing) -> tuple[str, ...]:
    """That letters of the drawing are told by their names, where some are."""
    title = drawing.title
    cells = (cell for table in drawing.tables for row in table.rows for cell in row)
    told = (*title.notes, *title.findings, *title.unstated, *(word for fact in drawing.facts for word in fact))
    words = (title.part, drawing.name, *told, *drawing.notes, *cells, *(words.text for words in drawing.words))
    codes = ", ".join(f"U+{ord(letter):04X}" for letter in unprinted(words))
    if not codes:
        return ()
    return (f"Not in the type of this sheet, so printed by its Unicode name in brackets: {codes}.",)


def cautions(lines: Sequence[str], wide: float) -> Iterator[Block]:
    """What to mind at these steps."""
    return listed(HEADING, lines, wide)

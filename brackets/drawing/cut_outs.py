"""Cut-outs of a blank that are no holes and no slots: what each is for, where it lies, how large it is. mm."""

from __future__ import annotations

from collections.abc import Iterator

from brackets.core.place import HERE, Place
from brackets.drawing.landing_lines import shape_words, sides
from brackets.drawing.record import Table
from brackets.geometry.regions import Region
from brackets.geometry.segments import Point
from brackets.model.fold_tree import tree
from brackets.model.holes import Window
from brackets.model.plate import Folded, Plate, Wall

COLUMNS = ("for", "x from", "to", "y from", "to", "shape", "measured")

TABLE = "Cut-outs, mm from the left and the lower edge"


def cut_out_table(piece: Folded | Plate, at: Place) -> Iterator[Table]:
    """A row a cut-out, with the blank's frame at `at`; nothing where there is none."""
    rows = []
    for flat, wall in _walls(piece):
        laid = at @ flat

        def there(p: Point, laid: Place = laid) -> Point:
            return laid.point((*p, 0.0))[:2]

        for opening in wall.openings:
            if isinstance(opening, Window):
                region = Region(opening.outline.map(there))
                rows.append((opening.name, *sides(region), shape_words(region), ""))
    if rows:
        yield Table(TABLE, COLUMNS, tuple(rows))


def _walls(piece: Folded | Plate) -> list[tuple[Place, Wall]]:
    """Each wall, and where its frame lies on the flat."""
    if isinstance(piece, Plate):
        return [(HERE, piece.wall)]
    return [(node.flat, node.wall) for node in tree(piece).walls]

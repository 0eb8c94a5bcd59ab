"""A fold-up that is larger than the sheet of card: cut apart at folds, and a panel that is still too large across.

Parts are joined on their edges: at a fold by tape, in a flat panel by a strip glued behind. mm.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from brackets.forming.card import FoldUp, Panel, runs_inside
from brackets.forming.card_tabs import Tab
from brackets.geometry.curve import Outline
from brackets.geometry.regions import Region, common, cut, join
from brackets.geometry.segments import JOIN, Bounds
from brackets.geometry.shapes import polygon
from brackets.model.fold_zones import transformed

STRIP = 30.0
"""mm: width of the strip that is glued behind a joint of a flat panel: common practice, no source."""


@dataclass(frozen=True, kw_only=True)
class CutApart:
    """One part of a fold-up: `made` has its panels, folds and holes alone; `joins` say what it is joined to."""

    made: FoldUp
    tabs: tuple[Tab, ...]
    joins: tuple[str, ...] = ()


def fits(box: Bounds, sheet: tuple[float, float]) -> bool:
    """Whether it lies on the sheet either way round."""
    long, wide = sorted((box[2] - box[0], box[3] - box[1]), reverse=True)
    return long <= max(sheet) and wide <= min(sheet)


def apart(
    made: FoldUp, tabs: Sequence[Tab], called: dict[str, str]
) -> tuple[CutApart, ...]:
    """The parts that lie on a sheet of card: one where all of it does, or nobody says how large a sheet is."""
    sheet = made.card.sheet
    if sheet is None or fits(made.region.outer.bounds, sheet):
        return (CutApart(made=made, tabs=tuple(tabs)),)
    at_folds, across = (
        tuple(one for group in groups for one in _parts(made, tabs, group, sheet, called))
        for groups in (_groups(made, tabs, sheet), [list(made.panels)])
    )
    return across if len(across) < len(at_folds) else at_folds


def _groups(made: FoldUp, tabs: Sequence[Tab], sheet: tuple[float, float]) -> list[list[Panel]]:
    """Panels that stay together: each joins the group of the one it hangs on where that still fits."""
    groups: list[list[Panel]] = []
    for panel in made.panels:
        home = next((g for g in groups if any(p.number == made.parents[panel.number] for p in g)), None)
        if home is not None and fits(_bounds([*home, panel], tabs), sheet):
            home.append(panel)
        else:
            groups.append([panel])
    return groups


def _bounds(panels: Sequence[Panel], tabs: Sequence[Tab]) -> Bounds:
    names = {panel.name for panel in panels}
    boxes = [shape.bounds for panel in panels for shape in _shapes(panel)]
    boxes += [tab.shape.bounds for tab in tabs if tab.of in names]
    return (
        min(b[0] for b in boxes),
        min(b[1] for b in boxes),
        max(b[2] for b in boxes),
        max(b[3] for b in boxes),
    )


def _shapes(panel: Panel) -> Iterator[Outline]:
    """The wall and what reaches to its folds, on the flat; without what lies beyond its own fold."""
    own, back = panel.outline, panel.ends[0][1] if panel.number else 0.0
    if back > JOIN:
        x0, y0, x1, _ = own.bounds
        own = cut(own, polygon(((x0 - 1, y0 - 1), (x1 + 1, y0 - 1), (x1 + 1, back), (x0 - 1, back))))[0].outer
    yield from (transformed(shape, panel.flat) for shape in (own, *panel.flaps))


def _parts(
    made: FoldUp, tabs: Sequence[Tab], group: Sequence[Panel], sheet: tuple[float, float], called: dict[str, str]
) -> Iterator[CutApart]:
    """The group as one part, or cut across where that is still larger than the sheet."""
    names = {panel.name for panel in group}
    numbers = {panel.number for panel in group}
    own = tuple(tab for tab in tabs if tab.of in names)
    all_of_it = len(group) == len(made.panels)
    regions = (made.region,) if all_of_it else _regions(made, group, own)
    joins, folds = [], []
    for fold in made.folds:
        child = int(fold.name[1:]) if fold.name.startswith("B") else -1
        ends = {child, made.parents[child]} if child >= 0 else set()
        if fold.name.startswith("T"):
            if any(tab.fold == fold for tab in own):
                folds.append(fold)
        elif ends <= numbers:
            folds.append(fold)
        elif ends & numbers:
            [other] = ends - numbers
            name = called["base" if other == 0 else f"wall {other}"]
            way = f"{'up' if fold.up else 'down'} {abs(fold.angle):.4g} degrees"
            joins.append(f"Cut on fold {fold.name}: join to {name} there with tape, folded {way}.")
    for region in regions:
        for box, joint in _across(region.outer.bounds, sheet):
            x0, y0, x1, y1 = box
            frame = polygon(((x0, y0), (x1, y0), (x1, y1), (x0, y1)))
            for part in common(region, frame) if joint else (region,):
                inside = part.outer.bounds
                part_made = replace(
                    made,
                    region=part,
                    panels=tuple(group),
                    folds=tuple(replace(f, line=run) for f in folds for run in runs_inside(part, *f.line)),
                    holes=tuple(h for h in made.holes if h.wall in numbers and _within(h.centre, inside)),
                )
                yield CutApart(made=part_made, tabs=own, joins=(*joins, *((joint,) if joint else ())))


def _regions(made: FoldUp, group: Sequence[Panel], tabs: Sequence[Tab]) -> tuple[Region, ...]:
    """The card of some panels, each hanging on one before it, with their tabs; several where it is in pieces."""
    whole: Region | None = None
    for panel in group:
        own, *flaps = _shapes(panel)
        piece = Region(own)
        for shape in (*flaps, *(tab.shape for tab in tabs if tab.of == panel.name)):
            piece = join(piece, shape)[0]
        whole = piece if whole is None else join(whole, piece)[0]
    return () if whole is None else common(made.region, whole)


def _across(box: Bounds, sheet: tuple[float, float]) -> Iterator[tuple[Bounds, str]]:
    """Equal fields of a box that lie on the sheet, and how they are joined; the box alone where it does."""
    if fits(box, sheet):
        yield box, ""
        return
    wide, high = box[2] - box[0], box[3] - box[1]
    ways = [(math.ceil(wide / a - 1e-9), math.ceil(high / b - 1e-9)) for a, b in (sheet, sheet[::-1])]
    columns, rows = min(ways, key=lambda way: way[0] * way[1])
    for row in range(rows):
        for column in range(columns):
            x, y = box[0] + column * wide / columns, box[1] + row * high / rows
            joint = (
                f"Row {row + 1} of {rows}, column {column + 1} of {columns} of a panel larger than the sheet: "
                f"glue a strip {STRIP:g} mm wide behind every straight cut between them."
            )
            yield (x, y, x + wide / columns, y + high / rows), joint


def _within(p: tuple[float, float], box: Bounds) -> bool:
    return box[0] <= p[0] <= box[2] and box[1] <= p[1] <= box[3]

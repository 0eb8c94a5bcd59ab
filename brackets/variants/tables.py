"""The rows of a family as columns: for terminal, CSV, workbook, data frame and page. mm, kg, degrees."""

from __future__ import annotations

import csv
import io
import json
import textwrap
from collections.abc import Iterator, Mapping, Sequence
from shutil import get_terminal_size
from typing import TYPE_CHECKING, Protocol

from brackets.core.finding import Finding
from brackets.core.schema.checked import Param
from brackets.variants.result import Row
from brackets.variants.strength import finite

if TYPE_CHECKING:
    from brackets.output.workbook import Table

Cell = str | float | int | None
MASS = ("mass_kg",)
CENTRE = ("x_mm", "y_mm", "z_mm")
GAPS = ("gap_mm", "gap_to")
SAID = ("spare", "spare_of", "stops", "cautions", "says")

STRENGTH = ("strength_used", "strength_of", "strength_met")
"""Where strength is judged: the largest utilisation, of what, and whether the rules that were entered are met."""

HANDS = ("other_hands",)
"""A part in a bay whose mirror images have its values: in what each is none."""

SPARE_OF = "spare: "
"""Before the name of a rule or class of gap, over its spare, where rows differ in it."""

LEAST_SAYS = 24
"""Characters that what is said of a row has room for at the narrowest."""

class Listing(Protocol):
    """The rows of a family, as `brackets.variants.rows` has them."""

    @property
    def name(self) -> str: ...
    @property
    def params(self) -> tuple[Param, ...]: ...
    @property
    def bay(self) -> bool: ...
    @property
    def varied(self) -> tuple[str, ...]: ...
    @property
    def common(self) -> tuple[Finding, ...]: ...
    def __iter__(self) -> Iterator[Row]: ...
    def __len__(self) -> int: ...


NOT_TOLD = ""
"""What stands where a row has no such figure."""


def shown_values(rows: Listing) -> tuple[str, ...]:
    """Names of the values that differ between rows: those that are varied, then those that follow them."""
    differing: dict[str, object] = {}
    found: set[str] = set()
    for row in rows:
        for name in row.worked_out:
            told = json.dumps(row.values.get(name))
            if differing.setdefault(name, told) != told:
                found.add(name)
    follow = [param.name for param in rows.params if param.name in found and param.name not in rows.varied]
    return (*rows.varied, *follow)


def columns(rows: Listing) -> tuple[tuple[str, ...], list[tuple[Cell, ...]]]:
    """Headings, and the cells of each row in the family's order; None where a row has no such figure."""
    values = shown_values(rows)
    gaps = GAPS if rows.bay else ()
    common = frozenset(rows.common)
    hands = any(row.hands for row in rows)
    spares = varying_spares(rows)
    own = tuple(f"{SPARE_OF}{name}" for name in spares)
    head = ("row", "name", "verdict", *values, *MASS, *gaps, *SAID, *CENTRE, *own)
    told = [(*_cells(row, values, rows.bay, common), *(row.spares.get(name) for name in spares)) for row in rows]
    if any(row.strength is not None for row in rows):
        head = (*head, *STRENGTH)
        told = [(*cells, *_strength(row)) for cells, row in zip(told, rows, strict=True)]
    if hands:
        head = (*head, *HANDS)
        told = [(*cells, "; ".join(map(str, row.hands)) or None) for cells, row in zip(told, rows, strict=True)]
    return head, told


def _strength(row: Row) -> tuple[Cell, ...]:
    """Most that is used of any rule of strength, of which, and whether all that were entered are met."""
    if row.strength is None:
        return (None, None, None)
    worst = row.strength.worst
    used = None if worst is None else finite(worst.utilisation)
    return (used, None if worst is None else f"{worst.rule}: {worst.of}", "yes" if row.strength.meets else "NO")


def varying_spares(rows: Listing) -> tuple[str, ...]:
    """Names of the spares that are not one in all rows that have them, in order of their alphabet."""
    least: dict[str, tuple[float, float]] = {}
    for row in rows:
        for name, spare in row.spares.items():
            low, high = least.get(name, (spare, spare))
            least[name] = (min(low, spare), max(high, spare))
    return tuple(sorted(name for name, (low, high) in least.items() if low < high))


def _cells(row: Row, values: Sequence[str], bay: bool, common: frozenset[Finding]) -> tuple[Cell, ...]:
    named = [_value(row, name) for name in values]
    centre = (None, None, None) if row.centre is None else row.centre
    gap = (row.gap, row.gap_to or None) if bay else ()
    stops = sum(1 for f in row.findings if f.stops)
    cautions = sum(1 for f in row.findings if f.level == "caution" and not f.accepted)
    counts: tuple[Cell, Cell] = (None, None) if row.refused or row.failed else (stops, cautions)
    said = (row.spare, row.spare_of, *counts, says(row, common))
    return (row.number, row.name, row.verdict, *named, row.mass, *gap, *said, *centre)


def _value(row: Row, name: str) -> Cell:
    found = row.values.get(name, row.given.get(name))
    if found is None or isinstance(found, str | int | float):
        return found
    return json.dumps(found)


def says(row: Row, common: frozenset[Finding] = frozenset()) -> str:
    """The first thing to be said of a row: why it failed or is refused, or its worst finding that not all have."""
    if row.failed:
        return f"row {row.number}: {row.failed}"
    if row.refused:
        return "; ".join(row.refused)
    first = next((f for f in row.findings if f not in common), None)
    said = "" if first is None else f"{first.label}: {first.piece}: {first.sentence}"
    return "; ".join(part for part in (said, row.note) if part)


def csv_text(rows: Listing) -> str:
    """The columns as CSV, figures in full."""
    head, cells = columns(rows)
    out = io.StringIO()
    sheet = csv.writer(out, lineterminator="\n")
    sheet.writerow(head)
    sheet.writerows([NOT_TOLD if cell is None else cell for cell in row] for row in cells)
    return out.getvalue()


def sheet_of(rows: Listing) -> Table:
    """The columns as a sheet of a workbook."""
    from brackets.output.workbook import Table

    head, cells = columns(rows)
    plain = [[NOT_TOLD if cell is None else _number(cell) for cell in row] for row in cells]
    return Table(name="family", head=head, rows=plain)


def _number(cell: str | float | int) -> str | float | int:
    return ("yes" if cell else "no") if isinstance(cell, bool) else cell


def terminal(rows: Listing, order: Sequence[Row], width: int | None) -> str:
    """A line a row, cut to the width: values, mass, gap, spare, verdict, and what is said as far as it has room."""
    room = get_terminal_size((110, 24)).columns if width is None else width
    common = frozenset(rows.common)
    params = {param.name: param for param in rows.params}
    values = list(shown_values(rows))
    while True:
        head = _head(rows, values, params)
        cells = [_texts(row, values, rows) for row in order]
        sizes = [max(len(line[i]) for line in (head, *cells)) for i in range(len(head))]
        left = room - sum(sizes) - 2 * len(sizes)
        if left >= LEAST_SAYS or len(values) <= 1:
            break
        values.pop()  # what does not fit stands in the files
    lines = [_line(head, sizes, "says", left), _line(["-" * n for n in sizes], sizes, "-" * max(left, 4), left)]
    lines += [_line(line, sizes, says(row, common), left) for line, row in zip(cells, order, strict=True)]
    return "\n".join(line[:room].rstrip() for line in lines)


def _head(rows: Listing, values: Sequence[str], params: Mapping[str, Param]) -> list[str]:
    return [
        "row", *(f"{name} {params[name].unit}".strip() for name in values), "kg",
        *(("gap mm", "to") if rows.bay else ()), "spare", *(() if rows.bay else ("of",)), "verdict",
    ]  # fmt: skip


def _texts(row: Row, values: Sequence[str], rows: Listing) -> list[str]:
    gaps = [_short(row.gap, 2), row.gap_to, _short(row.spare, 2)] if rows.bay else [
        _short(row.spare, 2), row.spare_of or NOT_TOLD,
    ]  # fmt: skip
    return [row.name, *(_short(_value(row, name)) for name in values), _short(row.mass, 3), *gaps, row.verdict]


def _short(cell: Cell, digits: int | None = None) -> str:
    if cell is None:
        return NOT_TOLD
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if isinstance(cell, float):
        return f"{cell:.6g}" if digits is None else f"{cell:.{digits}f}"
    return str(cell)


def _line(cells: Sequence[str], sizes: Sequence[int], said: str, left: int) -> str:
    padded = [cell.ljust(n) if i == 0 or not _figure(cell) else cell.rjust(n)
              for i, (cell, n) in enumerate(zip(cells, sizes, strict=True))]
    return "  ".join((*padded, textwrap.shorten(said, max(left, 4), placeholder=" ..") if left > 0 else ""))


def _figure(cell: str) -> bool:
    return cell[:1].isdigit() or (cell[:1] == "-" and cell[1:2].isdigit())


def summary(rows: Listing) -> tuple[str, ...]:
    """What the rows came to, in a few sentences."""
    counts: dict[str, int] = {}
    masses = []
    judged = [row.strength for row in rows if row.strength is not None]
    for row in rows:
        counts[row.verdict] = counts.get(row.verdict, 0) + 1
        holds = not judged or (row.strength is not None and row.strength.meets)
        if row.mass is not None and not row.stops and holds:
            masses.append((row.mass, row.name))
    words = {"fine": "fine", "caution": "with cautions", "STOP": "stop", "refused": "refused", "failed": "failed"}
    told = ", ".join(f"{counts[word]} {said}" for word, said in words.items() if word in counts)
    least = min(masses, default=None)
    lightest = (
        f"Every row stops{' or does not meet the strength you entered' if judged else ''}."
        if least is None
        else f"The lightest that nothing stops is row {least[1]}, {least[0]:.3f} kg, of the rows listed."
    )
    met = sum(1 for one in judged if one.meets)
    strength = f"Of {len(judged)} whose strength was judged {met} meet{'s' * (met == 1)} the rules you entered."
    return (f"{len(rows)} rows: {told}.", lightest, strength if judged else "Strength is not judged.")

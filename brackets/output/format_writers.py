"""What writes each kind of file: a function of a thing and a path, which loads its writer when it is called."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from brackets.bay.fitting import Fit
    from brackets.drawing.record import Drawing
    from brackets.forming.cut_rows import CutRow
    from brackets.kernel.mesh import Mesh
    from brackets.model.part import Part
    from brackets.output.items import Item


@dataclass(frozen=True)
class Sheets:
    """Drawings for paper; `correction` is of the printer, in x and y."""

    drawings: tuple[Drawing, ...]
    paper: str
    correction: tuple[float, float]


@dataclass(frozen=True)
class CutTable:
    """The cut table of a part's tubes; `stops`: none of them may be cut."""

    rows: tuple[CutRow, ...]
    stops: bool


@dataclass(frozen=True)
class Bed:
    """Bodies as they lie on a printer's bed."""

    items: tuple[Item, ...]
    title: str
    description: str


def as_step(part: Part, path: Path) -> None:
    from brackets.output import step

    step.write(part, path)


def as_stl(thing: Part | Mesh, path: Path) -> None:
    from brackets.output import stl

    stl.write(thing, path)


def as_part_three_mf(part: Part, path: Path) -> None:
    from brackets.output import items, three_mf

    three_mf.write(items.items(part), path, title=part.name)


def as_part_glb(part: Part, path: Path) -> None:
    from brackets.output import glb, items

    glb.write(items.items(part), path, title=part.name)


def as_bay_three_mf(fit: Fit, path: Path) -> None:
    from brackets.output import assembly, items, three_mf

    three_mf.write(items.items_of_all(assembly.of(fit)), path, title=fit.bay.name)


def as_bay_glb(fit: Fit, path: Path) -> None:
    from brackets.output import assembly, glb, items

    glb.write(items.items_of_all(assembly.of(fit)), path, title=fit.bay.name)


def as_pdf(sheets: Sheets, path: Path) -> None:
    from brackets.output import pdf

    pdf.write(sheets.drawings, path, sheets.paper, sheets.correction)


def as_three_mf(bed: Bed, path: Path) -> None:
    from brackets.output import three_mf

    three_mf.write(bed.items, path, title=bed.title, description=bed.description)


def as_page(text: str, path: Path) -> None:
    path.write_text(text, "utf-8")


def as_dxf(drawing: Drawing, path: Path) -> None:
    from brackets.output import dxf

    dxf.write(drawing, path)


def as_svg(drawing: Drawing, path: Path) -> None:
    from brackets.output import svg

    svg.write(drawing, path)


def as_cut_table(table: CutTable, path: Path) -> None:
    from brackets.output import facts

    facts.write_cut_table(table.rows, path, stops=table.stops)


def as_cut_book(table: CutTable, path: Path) -> None:
    from brackets.output import facts

    facts.write_cut_book(table.rows, path, stops=table.stops)


def as_assembly(fit: Fit, path: Path) -> None:
    from brackets.output import assembly

    assembly.write(assembly.of(fit), path, name=fit.bay.name)


def assembled(fit: Fit) -> bool:
    from brackets.output import assembly

    return bool(assembly.of(fit))


def listed(writer: str) -> Callable[[Fit, Path], None]:
    """A writer of `bay_lists` by its name."""

    def write(fit: Fit, path: Path) -> None:
        from brackets.output import bay_lists

        getattr(bay_lists, writer)(fit, path)

    return write


def as_facts(record: dict[str, Any], path: Path) -> None:
    from brackets.output import facts

    facts.write(record, path)

"""Every kind of file that `make`, `fit`, `flat`, `mockup` and `hang` write: the one list of them.

A new format is one entry of FORMATS: the files, help, README and facts follow. Nothing is loaded before it writes.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

from brackets.output import format_writers as writers

Subject = Literal["part", "paper", "blank", "tubes", "plate", "bay", "bed", "printed", "beds", "chart", "facts"]
"""What a file is of, and what its `write` is given: part, a Part; paper, Sheets; blank, the Drawing of a blank or
wrap; tubes, a CutTable; plate, the Drawing of a sheet of plate with its blanks; bay, a Fit; bed, a Bed; printed, a
Mesh; beds, the text of a page; chart, the Drawing of a picture of figures; facts, a record."""

CALLED: dict[Subject, str] = {
    "part": "NAME",
    "paper": "NAME",
    "blank": "NAME-PIECE",
    "tubes": "NAME-tubes",
    "plate": "NAME-sheet-N",
    "bed": "NAME-bed-N",
    "printed": "NAME-BODY",
    "beds": "NAME-beds",
    "chart": "NAME-PICTURE",
}
"""How a file is called after what it is of, but for those with a name of their own; of a tube's wraps the end is
said too, of plate the material and thickness. The paper of sheets of plate is NAME-sheets, of card NAME-card."""

COMMANDS: dict[str, tuple[Subject, ...]] = {
    "make": ("part", "paper", "blank", "tubes", "facts"),
    "fit": ("part", "paper", "blank", "tubes", "bay", "facts"),
    "flat": ("paper", "plate", "facts"),
    "mockup": ("bed", "printed", "beds", "facts"),
    "card": ("paper", "facts"),
    "jig": ("part", "paper", "blank", "facts"),
    "hang": ("paper", "chart", "facts"),
}
"""What each command writes files of."""


@dataclass(frozen=True, kw_only=True)
class Format:
    """A kind of file: `write(thing, path)` is given what `of` says, and the same thing gives the same bytes.

    A file of a bay as a whole has the `stem` said here, any other the name of what it is of. `there`: whether
    there is anything to write.
    """

    name: str
    suffix: str
    of: Subject
    holds: str
    write: Callable[[Any, Path], object]
    stem: str = ""
    there: Callable[[Any], bool] = lambda _: True


def _list(
    stem: str, holds: str, writer: str, *, name: str = "CSV", there: Callable[[Any], bool] = lambda _: True
) -> Format:
    """A list of a bay as a whole, by the name of its writer in `bay_lists`."""
    return Format(
        name=name, suffix=name.lower(), of="bay", stem=stem, holds=holds, write=writers.listed(writer), there=there
    )


FORMATS: tuple[Format, ...] = (
    Format(
        name="STEP",
        suffix="step",
        of="part",
        holds="solids of a part, each piece under its name",
        write=writers.as_step,
    ),
    Format(
        name="STL", suffix="stl", of="part", holds="triangles of a part, each piece closed", write=writers.as_stl
    ),
    Format(
        name="3MF",
        suffix="3mf",
        of="part",
        holds="an object a piece, with its colour",
        write=writers.as_part_three_mf,
    ),
    Format(
        name="GLB",
        suffix="glb",
        of="part",
        holds="a picture of a part to turn about, metres",
        write=writers.as_part_glb,
    ),
    Format(
        name="PDF",
        suffix="pdf",
        of="paper",
        holds="sheets of paper: blanks, wraps, turned pieces",
        write=writers.as_pdf,
    ),
    Format(name="DXF", suffix="dxf", of="blank", holds="a blank or wrap at true size", write=writers.as_dxf),
    Format(name="SVG", suffix="svg", of="blank", holds="a blank or wrap at true size", write=writers.as_svg),
    Format(
        name="CSV", suffix="csv", of="tubes", holds="the cut table of a part's tubes", write=writers.as_cut_table
    ),
    Format(
        name="XLSX", suffix="xlsx", of="tubes", holds="the cut table of a part's tubes", write=writers.as_cut_book
    ),
    Format(name="DXF", suffix="dxf", of="plate", holds="a sheet of plate with its blanks", write=writers.as_dxf),
    Format(name="SVG", suffix="svg", of="plate", holds="a sheet of plate with its blanks", write=writers.as_svg),
    Format(
        name="STEP",
        suffix="step",
        of="bay",
        stem="assembly",
        holds="all parts, bolts and bushes of a bay where they stand",
        write=writers.as_assembly,
        there=writers.assembled,
    ),
    Format(
        name="3MF",
        suffix="3mf",
        of="bay",
        stem="assembly",
        holds="an object a piece of all that is in assembly.step, with its colour",
        write=writers.as_bay_three_mf,
        there=writers.assembled,
    ),
    Format(
        name="GLB",
        suffix="glb",
        of="bay",
        stem="assembly",
        holds="a picture of the whole to turn about, metres",
        write=writers.as_bay_glb,
        there=writers.assembled,
    ),
    _list("gaps", "every gap of a bay, worst first", "write_gaps"),
    _list("paths", "every path in or out of a bay", "write_paths", there=lambda fit: bool(fit.paths)),
    _list(
        "slack",
        "how near and how far the ends of hoses and cables get",
        "write_slacks",
        there=lambda fit: bool(fit.slacks),
    ),
    _list(
        "driveline",
        "joint angles, plunge and chain lines of a bay",
        "write_drives",
        there=lambda fit: bool(fit.drives),
    ),
    _list(
        "props",
        "how high the powertrain is propped at named points",
        "write_props",
        there=lambda fit: bool(fit.props),
    ),
    _list(
        "adjust",
        "how far each part can be moved on its slots",
        "write_adjusts",
        there=lambda fit: bool(fit.adjusts),
    ),
    _list(
        "strength",
        "every check by hand of the parts of a bay, the most used first",
        "write_strength",
        there=lambda fit: fit.held is not None and fit.held.worst is not None,
    ),
    _list(
        "welds",
        "stress ranges of the welds of a bay, detail categories left blank",
        "write_welds",
        there=lambda fit: fit.held is not None and fit.held.welded,
    ),
    _list("buy", "bolts, nuts, washers and bushes to buy", "write_buy"),
    _list("cut", "the cut list of all parts of a bay", "write_cut", there=lambda fit: bool(fit.stood.parts)),
    _list("lists", "all of these lists, masses and sticks, a sheet each", "write_workbook", name="XLSX"),
    Format(
        name="3MF",
        suffix="3mf",
        of="bed",
        holds="bodies of a mock-up on a bed, an item each",
        write=writers.as_three_mf,
    ),
    Format(name="STL", suffix="stl", of="printed", holds="one body of a mock-up, as it lies", write=writers.as_stl),
    Format(
        name="HTML",
        suffix="html",
        of="beds",
        holds="all beds of a mock-up to be turned about",
        write=writers.as_page,
    ),
    Format(
        name="SVG",
        suffix="svg",
        of="chart",
        holds="a picture: loads, movement, frequencies, what comes through",
        write=writers.as_svg,
    ),
    Format(
        name="JSON",
        suffix="json",
        of="facts",
        stem="facts",
        holds="all figures and findings, and every file with its sha256",
        write=writers.as_facts,
    ),
)
"""In the order they are written; the facts come last, since they list the others."""


def write(
    of: Subject, thing: Any, into: Path, stem: str = "", *, say: Callable[[str], None] = lambda _: None
) -> tuple[str, ...]:
    """Writes `thing` in every format of its kind into the folder `into`; the names of the files, in order.

    `stem` is what they are called, but for those that have a name of their own. Raises what the writers do.
    """
    names = []
    for one in FORMATS:
        if one.of == of and one.there(thing):
            called = one.stem or stem
            say(f"{called}: writing {one.name}")
            one.write(thing, into / f"{called}.{one.suffix}")
            names.append(f"{called}.{one.suffix}")
    return tuple(names)


def stems_of_a_bay() -> set[str]:
    """What no part's files may be called: the names of the files of the bay itself."""
    return {one.stem for one in FORMATS if one.stem}


def named(files: Iterable[str]) -> dict[str, str]:
    """The format of each file by its name."""
    known = {one.suffix: one.name for one in FORMATS}
    return {name: known[Path(name).suffix.removeprefix(".")] for name in files}


def written_by(command: str) -> str:
    """What a command writes, as one line of its help."""
    told = (f"{one.name} ({one.holds})" for one in FORMATS if one.of in COMMANDS[command])
    return f"Files: {'; '.join(told)}."


def listed() -> str:
    """The whole list as the rows of a table in Markdown: format, file, what it holds, which commands write it."""
    rows = ["| format | file | holds | written by |", "|---|---|---|---|"]
    for one in FORMATS:
        by = ", ".join(f"`{name}`" for name, kinds in COMMANDS.items() if one.of in kinds)
        called = one.stem or CALLED[one.of]
        rows.append(f"| {one.name} | `{called}.{one.suffix}` | {one.holds} | {by} |")
    return "\n".join(rows)

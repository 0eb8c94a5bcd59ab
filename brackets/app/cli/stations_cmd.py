"""brackets stations: a body cut into sheets of foam, card or plywood that stack up to it."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, TypeVar

import typer

from brackets.app.cli.screen import AsJson, Bare, Into, NoFiles, Paper, ShopFile
from brackets.app.cli.trouble import FINE, STOPS

if TYPE_CHECKING:
    from brackets.app.cli.kept_run import Done
    from brackets.mockups.stations import Stations

COLUMNS = ("station", "faces", "cut at", "size", "dowels", "bosses")
FLAGS = {
    name.replace("-", "_"): name
    for name in (
        "of", "side", "unit", "axis", "pitch", "thickness", "start", "true-at", "sheet", "hollow", "fill",
        "close-holes", "dowel",
    )
}  # fmt: skip
"""Options by what their values are called."""
Text = str | None
T = TypeVar("T")


def _option(flag: str, metavar: str, told: str) -> typer.models.OptionInfo:
    found: typer.models.OptionInfo = typer.Option(f"--{flag}", metavar=metavar, help=told)
    return found


def stations(
    file: Annotated[Path, typer.Argument(metavar="BAY.toml|SCAN|STEP", help="A bay, a scan or a STEP file.")],
    of: Annotated[Text, _option("of", "NAME[,NAME...]", "Keep-outs of the bay, cut together as one body.")] = None,
    side: Annotated[
        Text, _option("side", "powertrain|chassis", "All keep-outs of that side; the powertrain's without it.")
    ] = None,
    axis: Annotated[Text, _option("axis", "x|y|z", "Cut square to it; default x.")] = None,
    pitch: Annotated[Text, _option("pitch", "MM", "From one station to the next; default 20.")] = None,
    thickness: Annotated[Text, _option("thickness", "MM", "Of the board; default the pitch.")] = None,
    start: Annotated[
        Text, _option("start", "MM", "Place on the axis of one sheet's face; default the low end.")
    ] = None,
    true_at: Annotated[
        Text,
        _option(
            "true-at",
            "middle|outside",
            "Section at the middle of each sheet, or all of the body within it, for gaps; default middle.",
        ),
    ] = None,
    sheet: Annotated[Text, _option("sheet", "LxW", "The board; default 1000x500.")] = None,
    hollow: Annotated[Text, _option("hollow", "MM", "Hollow the pieces to that wall.")] = None,
    fill: Annotated[bool, typer.Option("--fill", help="Fill holes inside a section.")] = False,
    close_holes: Annotated[
        Text, _option("close-holes", "MM", "Largest hole in a scan that may be closed; default none.")
    ] = None,
    dowel: Annotated[Text, _option("dowel", "MM", "Diameter of the two dowels; default 8.")] = None,
    unit: Annotated[Text, _option("unit", "mm|cm|m|in", "Of the numbers in a scan file.")] = None,
    into: Into = None,
    as_json: AsJson = False,
    paper: Paper = None,
    shop: ShopFile = None,
    bare: Bare = "mm",
    no_files: NoFiles = False,
) -> int:
    """A powertrain or scan as a stack of foam.

    Cut at a pitch along an axis into templates at true size, with two dowel holes that line all of them up, and
    laid out on boards. FIT CHECK ONLY: NEVER LOAD.
    """
    from brackets.app.cli.kept_run import kept_run
    from brackets.app.inputs import contents, files_of

    texts = {
        name: text
        for name, text in (
            ("axis", axis), ("pitch", pitch), ("thickness", thickness), ("start", start), ("true-at", true_at),
            ("sheet", sheet), ("hollow", hollow), ("close-holes", close_holes), ("dowel", dowel),
            ("fill", "yes" if fill else None),
        )
        if text is not None
    }  # fmt: skip
    names = () if of is None else tuple(name.strip() for name in of.split(",") if name.strip())

    def work(scratch: Path | None) -> Done:
        return _cut(file, names, side, unit, texts, scratch, into, as_json, paper, shop, bare)

    def inputs() -> tuple[tuple[str, str], ...]:
        mine = set() if shop is None else files_of(shop)
        return contents(mine | (files_of(file) if file.suffix == ".toml" else {file.resolve()}))

    options = (str(file), names, side, unit, sorted(texts.items()), into, as_json, paper, shop, bare)
    return kept_run("stations", work, inputs, options, writes=not no_files)


def _cut(
    file: Path,
    of: tuple[str, ...],
    side: str | None,
    unit: str | None,
    texts: Mapping[str, str],
    scratch: Path | None,
    into: Path | None,
    as_json: bool,
    paper: str | None,
    shop: Path | None,
    bare: str,
) -> Done:
    """What is printed, the status and the folder of the files, which are written to `scratch`."""
    from brackets.app.cli.on_target import Refusals, as_options, refuse_bare, refuse_paper, unit_of
    from brackets.app.cli.screen import progress
    from brackets.core.schema.reading import from_texts
    from brackets.forming.shop_file import load
    from brackets.mockups.stations import stations_of
    from brackets.mockups.stations_files import record, write
    from brackets.mockups.stations_source import station_source
    from brackets.mockups.stations_values import StationValues
    from brackets.output import facts
    from brackets.output.folder import refuse_foreign, result_folder

    if into is not None:
        refuse_foreign(into)
    wrong = Refusals()
    values = wrong.tried(lambda: as_options(lambda: from_texts(StationValues, texts, bare=unit_of(bare)), FLAGS))
    source = wrong.tried(lambda: as_options(lambda: station_source(file, of=of, side=side, unit=unit), FLAGS))
    wrong.tried(lambda: refuse_paper(paper))
    wrong.tried(lambda: refuse_bare(bare))
    wrong.refuse()
    assert values is not None
    assert source is not None
    mine = source.shop if shop is None else load(shop)
    files: tuple[str, ...] = ()
    folder: Path | None = None
    with progress() as say:
        say(f"{source.name}: cutting stations")
        found = as_options(lambda: stations_of(source, values), FLAGS)
        if scratch is not None and not found.stations:
            scratch.mkdir()
        elif scratch is not None:
            folder = result_folder(file.stem, "stations") if into is None else into
            files = write(found, scratch, paper=paper, shop=mine, say=say)
    if as_json:
        text = facts.text(record(found, files=files)).decode().rstrip("\n")
    else:
        text = stations_text(found, folder, files)
    return text, STOPS if found.stops else FINE, None if folder is None else str(folder)


def stations_text(found: Stations, folder: Path | None, files: tuple[str, ...]) -> str:
    """A row for each piece, the stack, its dowels, what stands against it, and where the files are."""
    from brackets.app.cli.findings_view import findings_text
    from brackets.app.cli.screen import facts, table

    if not found.stations:
        return "\n\n".join((f"{found.name}: not cut", findings_text(found.findings)))
    rows = []
    for one in found.stations:
        for piece in one.pieces:
            u0, v0, u1, v1 = piece.bounds
            holes = ", ".join(hole.name for hole in piece.holes) or "none"
            where = "faces" if one.at is None else f"{one.at:.1f}"
            bosses = ", ".join(boss.name for boss in piece.bosses)
            faces = f"{one.low:.1f} to {one.high:.1f}"
            rows.append((piece.name, faces, where, f"{u1 - u0:.1f} x {v1 - v0:.1f}", holes, bosses))
    values = found.values
    spaced = f", {values.spacer:g} mm between sheets" if values.spacer > 0 else ""
    told = [
        ("stack", f"{len(found.stations)} stations of {values.board:g} mm along {values.axis}, "
                  f"{found.height:.1f} mm high{spaced}"),
        ("boards", f"{len(found.boards)} of {values.sheet[0]:g} x {values.sheet[1]:g} mm; "
                   f"{found.volume / 1e6:.2f} l of {found.board_volume / 1e6:.2f} l used"),
        *((f"dowels{n if len(found.dowels) > 1 else ''}", _dowels(found, n - 1))
          for n in range(1, len(found.dowels) + 1)),
        ("values", found.hash),
        ("files", f"{folder}: {', '.join(files)}" if folder else "none written"),
    ]  # fmt: skip
    return "\n\n".join(
        (
            table(COLUMNS, rows, right=(0, 2)),
            "\n".join(found.notes),
            facts(told),
            findings_text(found.findings),
            "FIT CHECK ONLY: NEVER LOAD.",
        )
    )


def _dowels(found: Stations, number: int) -> str:
    """Where a pair of dowels goes, in the bay's coordinates, and through which pieces."""
    from brackets.mockups.stations_files import record

    row = record(found)["dowels"][number]
    right, up = found.axes.right[0], found.axes.up[0]
    names = row["pieces"]
    through = f"{names[0]} to {names[-1]}"
    holes = (("P", row["p_mm"]), ("Q", row["q_mm"]), ("wire", row["wire_mm"]))
    said = [f"{name} at {right} {at[0]:.4g}, {up} {at[1]:.4g}" for name, at in holes if at is not None]
    return f"2 of {found.values.dowel:g} x {row['length_mm']:.0f} mm through {through}: {'; '.join(said)}"

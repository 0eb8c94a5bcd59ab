"""brackets jig: the jig that a weldment is tacked and welded in, checked with the weldment in it, and its files."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from brackets.app.cli.screen import AsJson, Bare, By, Date, Into, NoFiles, Paper, Revision, ShopFile, Tolerance
from brackets.app.cli.trouble import FINE, STOPS

if TYPE_CHECKING:
    from brackets.app.cli.inches import Lengths
    from brackets.app.cli.kept_run import Done
    from brackets.app.cli.screen import Typed
    from brackets.drawing.record import Title
    from brackets.forming.shop import Shop
    from brackets.library.jig_values import JigValues
    from brackets.model.part import Part
    from brackets.output.jig_files import JigMade

COLUMNS = ("what", "kind", "held by", "x, y, z in the jig", "bolt")


def jig(
    words: Annotated[list[str], typer.Argument(metavar="RECIPE|BAY.toml [--NAME VALUE]", hidden=True)],
    into: Into = None,
    as_json: AsJson = False,
    bare: Bare = "mm",
    paper: Paper = None,
    shop: ShopFile = None,
    part: Annotated[str | None, typer.Option("--part", metavar="NAME", help="Of a bay: this part.")] = None,
    clearance: Annotated[
        str | None,
        typer.Option("--jig-clearance", metavar="LENGTH", help="Holes over shafts and pins; default 0.2 mm."),
    ] = None,
    base_t: Annotated[
        str | None, typer.Option("--jig-base-t", metavar="LENGTH", help="Plate of the base; default 12 mm.")
    ] = None,
    upright_t: Annotated[
        str | None, typer.Option("--jig-upright-t", metavar="LENGTH", help="Plate of the uprights; default 8 mm.")
    ] = None,
    height: Annotated[
        str | None, typer.Option("--jig-height", metavar="LENGTH", help="Lowest mounting face over the base.")
    ] = None,
    room: Annotated[
        str | None, typer.Option("--jig-room", metavar="LENGTH", help="From bore to upright; default 60 mm.")
    ] = None,
    margin: Annotated[
        str | None, typer.Option("--jig-margin", metavar="LENGTH", help="Base beyond what stands on it; 20 mm.")
    ] = None,
    up: Annotated[
        str | None, typer.Option("--jig-up", metavar="X,Y,Z", help="Which way of the part is up in the jig.")
    ] = None,
    revision: Revision = "",
    by: By = "",
    date: Date = "",
    tolerance: Tolerance = "",
    no_files: NoFiles = False,
) -> int:
    """The jig a weldment is welded in.

    Base, posts, uprights and dummy shafts that hold its bosses and bush axes, as a part with its own files. Checked
    with the weldment in it: torch, shafts drawn out, lifted off.
    """
    from brackets.app.cli.on_target import run_on_target

    texts = {
        "clearance": clearance, "base_t": base_t, "upright_t": upright_t, "height": height, "room": room,
        "margin": margin, "up": up,
    }  # fmt: skip
    sizes = tuple((name, text) for name, text in texts.items() if text is not None)
    marks = (("revision", revision), ("by", by), ("date", date), ("tolerance", tolerance))
    asked = _Asked(bare=bare, paper=paper, part=part, sizes=sizes, marks=marks)

    def work(target: str, typed: Typed, scratch: Path | None) -> Done:
        return _made(target, typed, asked, shop, scratch, into, as_json)

    return run_on_target("jig", words, work, into, as_json, asked, shop=shop, writes=not no_files)


@dataclass(frozen=True, kw_only=True)
class _Asked:
    """What was asked for, as typed."""

    bare: str
    paper: str | None
    part: str | None
    sizes: tuple[tuple[str, str], ...]
    marks: tuple[tuple[str, str], ...]

    def values(self) -> JigValues:
        """The jig's values. Raises InputError with all that is wrong with them."""
        from brackets.app.cli.on_target import as_options, unit_of
        from brackets.core.schema.checked import fields
        from brackets.core.schema.reading import from_texts
        from brackets.library.jig_values import JigValues

        flags = {one.name: f"jig-{one.name.replace('_', '-')}" for one in fields(JigValues)}
        return as_options(lambda: from_texts(JigValues, dict(self.sizes), bare=unit_of(self.bare)), flags)


def _made(
    target: str,
    typed: Typed,
    asked: _Asked,
    shop: Path | None,
    scratch: Path | None,
    into: Path | None,
    as_json: bool,
) -> Done:
    """What is printed, the status and the folder of the files, which are written to `scratch`."""
    from brackets.app.cli.inches import Lengths
    from brackets.app.cli.on_target import as_options
    from brackets.app.cli.screen import progress
    from brackets.clearance.jig_checks import jig_findings
    from brackets.forming.shop_file import load
    from brackets.library.jig import jig_of
    from brackets.output import facts
    from brackets.output.folder import refuse_foreign, result_folder
    from brackets.output.jig_files import JigMade, record, write_jig

    if into is not None:
        refuse_foreign(into)
    files: tuple[str, ...] = ()
    folder: Path | None = None
    with progress() as say:
        work = _bay if target.endswith(".toml") else _recipe
        name, part, title, mine, values, bare = work(target, typed, asked, None if shop is None else load(shop))
        found = as_options(lambda: jig_of(part, values), {"height": "jig-height"})
        say(f"{name}: the weldment in its jig")
        checked = jig_findings(found, mine.torch)
        thing = JigMade(of=name, jig=found, values=values, shop=mine, checked=checked)
        if scratch is not None:
            folder = result_folder(thing.name) if into is None else into
            refuse_foreign(folder)
            scratch.mkdir(parents=True, exist_ok=True)
            files = write_jig(thing, scratch, paper=asked.paper, title=title, say=say)
    if as_json:
        text = facts.text(record(thing, files)).decode().rstrip("\n")
    else:
        text = jig_text(thing, folder, files, Lengths(bare))
    return text, STOPS if thing.stops else FINE, None if folder is None else str(folder)


Found = tuple[str, "Part", "Title", "Shop", "JigValues", str]
"""Name, weldment, title of the sheets, shop, values of the jig and the unit that is typed."""


def _recipe(target: str, typed: Typed, asked: _Asked, shop: Shop | None) -> Found:
    from dataclasses import replace

    from brackets.app.cli.make_cmd import read_values
    from brackets.app.cli.on_target import Refusals
    from brackets.core.marks import Marks
    from brackets.library.recipe import recipe
    from brackets.output import cut_files
    from brackets.output.part_files import made

    marks = dict(asked.marks)
    wrong = Refusals()
    if asked.part is not None:
        wrong.problems.append("--part = given, must be left out with a recipe: it is of a bay")
    wrong.tried(asked.values)
    opened = recipe(target)
    params = wrong.needed(lambda: read_values(opened, typed, asked.bare, paper=asked.paper, marks=marks))
    values = asked.values()
    thing = made(opened, params, shop)
    title = cut_files.title(opened.name, params, thing.shop, Marks(**marks))
    title = replace(title, part=f"{opened.name}, jig")
    return opened.name, thing.part, title, thing.shop, values, asked.bare


def _bay(target: str, typed: Typed, asked: _Asked, shop: Shop | None) -> Found:
    from brackets.app.cli.on_target import Refusals, refuse_bare, refuse_paper
    from brackets.bay.file import read
    from brackets.bay.stand.placed import placed_bay
    from brackets.core.errors import InputError
    from brackets.core.marks import Marks
    from brackets.core.names import allowed
    from brackets.core.units import shown
    from brackets.drawing.record import Title
    from brackets.forming.shop import NO_TOOLS
    from brackets.forming.shop_file import default

    wrong = Refusals()
    wrong.of_a_bay(typed)
    if asked.part is None:
        wrong.problems.append("--part = nothing, must be given with a bay: a jig holds one part of it")
    wrong.tried(asked.values)
    wrong.tried(lambda: refuse_paper(asked.paper))
    wrong.tried(lambda: refuse_bare(asked.bare))
    marks = wrong.needed(lambda: Marks(**dict(asked.marks)))
    values = asked.values()
    bay = read(target)
    names = [entry.row.name for entry in bay.parts]
    if asked.part not in names:
        raise InputError(f"--part = {shown(str(asked.part))}, {allowed(str(asked.part), names)}: a part of the bay")
    one = next(one for one in placed_bay(bay, known_only=True).parts if one.name == asked.part)
    mine = bay.shop_of(one.name) if shop is None else shop
    title = Title(
        part=f"{one.name}, jig", revision=marks.revision, by=marks.by, date=marks.date, tolerance=marks.tolerance
    )
    return one.name, one.part, title, default() if mine is NO_TOOLS else mine, values, bay.bare


def jig_text(thing: JigMade, folder: Path | None, files: tuple[str, ...], at: Lengths) -> str:
    """What is held, the pieces, what is said, and where the files are."""
    from brackets.app.cli.findings_view import findings_text
    from brackets.app.cli.inches import NOTICE
    from brackets.app.cli.made_view import cut_from
    from brackets.app.cli.screen import facts, table
    from brackets.model import mass
    from brackets.model.kinds import kind_of

    rows = [
        (
            one.seat,
            one.kind,
            ", ".join(one.by),
            ", ".join(at.figure(c + 0.0, ".2f") for c in one.place.at),
            one.bolt or "",
        )
        for one in thing.jig.held
    ]
    pieces = [
        (piece.name, kind_of(piece), f"{mass.of(piece).kg:.3f}", cut_from(piece, at))
        for piece in thing.jig.part.pieces
    ]
    told = [
        ("jig of", thing.of),
        ("mass", f"{thing.jig.part.mass.kg:.3f} kg"),
        *((("lengths", NOTICE),) if at.inch else ()),
        ("files", f"{folder}: {', '.join(files)}" if folder else "none written"),
        ("shop", thing.shop.name + ("; give your own with --shop" if thing.shop.sample else "")),
    ]
    return "\n\n".join(
        (
            table(COLUMNS, rows),
            table(("piece", "kind", "kg", "cut from"), pieces, right=(2,)),
            facts(told),
            findings_text(thing.findings, at),
        )
    )

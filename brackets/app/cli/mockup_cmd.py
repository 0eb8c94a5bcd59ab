"""brackets mockup: a part or a bay as bodies to be printed in plastic, to check the fit before steel is cut."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from brackets.app.cli.screen import AsJson, Bare, Into, NoFiles, ShopFile
from brackets.app.cli.trouble import FINE, STOPS

if TYPE_CHECKING:
    from collections.abc import Callable

    from brackets.app.cli.kept_run import Done
    from brackets.app.cli.on_target import Refusals
    from brackets.app.cli.screen import Typed
    from brackets.forming.shop import Shop
    from brackets.mockups.lie import Measure
    from brackets.mockups.record import MockUp


def mockup(
    words: Annotated[
        list[str] | None, typer.Argument(metavar="RECIPE|BAY.toml [--NAME VALUE]", hidden=True)
    ] = None,
    into: Into = None,
    as_json: AsJson = False,
    shop: ShopFile = None,
    bare: Bare = "mm",
    apart: Annotated[bool, typer.Option("--apart", help="Every piece a body of its own.")] = False,
    least_wall: Annotated[
        str | None, typer.Option("--least-wall", metavar="MM", help="Thickness that thin walls are brought to.")
    ] = None,
    lie: Annotated[
        str, typer.Option("--lie", metavar="support|height|contact", help="What is best on the bed.")
    ] = "support",
    parts: Annotated[
        str, typer.Option("--parts", metavar="NAME,...", help="Of a bay: these parts; all otherwise.")
    ] = "",
    dummies: Annotated[bool, typer.Option("--dummies", help="Of a bay: its bushes and bolts too.")] = False,
    gauge: Annotated[bool, typer.Option("--gauge", help="Of a bay: plates with the engine's boss holes.")] = False,
    test: Annotated[
        bool, typer.Option("--test-print", help="Bars, holes and pins to measure your printer by; nothing else.")
    ] = False,
    no_files: NoFiles = False,
) -> int:
    """A part or a bay as bodies to print and check the fit with.

    Fused, holes larger by your printer's allowance, laid on their flat side, cut to the bed with pins, and marked
    FIT CHECK ONLY. The printer is [printer_3d] of the shop profile. Never load one, never near heat.
    """
    from brackets.app.cli.on_target import run_on_target

    asked = (apart, least_wall, lie, parts, dummies, gauge, test)

    def work(target: str, typed: Typed, scratch: Path | None) -> Done:
        return _printed(target, typed, scratch, into, as_json, shop, bare, *asked)

    instead = "test_print" if test else None
    options = (into, as_json, bare, asked)
    return run_on_target("mockup", words or (), work, *options, shop=shop, writes=not no_files, instead=instead)


def _printed(
    target: str,
    typed: Typed,
    scratch: Path | None,
    into: Path | None,
    as_json: bool,
    shop: Path | None,
    bare: str,
    apart: bool,
    least_wall: str | None,
    lie: str,
    parts: str,
    dummies: bool,
    gauge: bool,
    test: bool,
) -> Done:
    """What is printed, the status and the folder of the files, which are written to `scratch`."""
    from brackets.app.cli.on_target import Refusals, unit_of
    from brackets.app.cli.screen import progress
    from brackets.app.preview.bed_scene import block
    from brackets.app.preview.offline import page
    from brackets.core import units
    from brackets.core.finding import stopped
    from brackets.forming.shop_file import default as default_shop
    from brackets.forming.shop_file import load
    from brackets.mockups.files import write
    from brackets.mockups.lie import MEASURES
    from brackets.mockups.printer_test import printer_test
    from brackets.output import facts
    from brackets.output.folder import refuse_foreign, result_folder

    wrong = Refusals(typed.problems)
    measure: Measure = next((one for one in MEASURES if one == lie), MEASURES[0])
    if measure != lie:
        wrong.problems.append(f'--lie = "{lie}", must be {", ".join(MEASURES)}: what is best on the bed')
    wall: float | None = None
    if least_wall is not None:
        text = least_wall
        wall = wrong.tried(lambda: units.length(text, name="--least-wall", bare=unit_of(bare)))
        if wall is not None and not 0.2 <= wall <= 50:
            must = "must be 0.2 to 50 mm: what thin walls are brought to"
            wrong.problems.append(f"--least-wall = {least_wall}, {must}")
    bay = target.endswith(".toml")
    wrong.problems += [
        f"{name} = given, must be left out: it is of a bay"
        for name, given in (("--parts", parts), ("--dummies", dummies), ("--gauge", gauge))
        if given and not bay
    ]
    if into is not None:
        refuse_foreign(into)
    mine = None if shop is None else load(shop)
    folder: Path | None = None
    files: tuple[str, ...] = ()
    with progress() as say:
        if test:
            wrong.refuse()
            done = printer_test((mine or default_shop()).printer_3d)
        elif bay:
            names = tuple(name.strip() for name in parts.split(",") if name.strip())
            done = _bay(target, typed, wrong, mine, names, dummies, gauge, apart, wall, measure, say)
        else:
            own = mine or default_shop()
            done = _recipe(target, typed, wrong, own, bare, apart, wall, measure, say)
        if scratch is not None:
            folder = result_folder(done.name, "mockup") if into is None else into
            say(f"{done.name}: drawing the beds")
            files = write(done, scratch, page=page(block(done)), say=say)
    text = facts.text(done.record(files)).decode().rstrip("\n") if as_json else mockup_text(done, folder, files)
    return text, STOPS if stopped(done.findings) else FINE, None if folder is None else str(folder)


def _recipe(
    target: str,
    typed: Typed,
    wrong: Refusals,
    shop: Shop,
    bare: str,
    apart: bool,
    wall: float | None,
    lie: Measure,
    say: Callable[[str], None],
) -> MockUp:
    from brackets.app.cli.make_cmd import read_values
    from brackets.library.recipe import recipe
    from brackets.mockups.printed import mockup
    from brackets.output.part_files import made

    opened = recipe(target)
    params = wrong.needed(lambda: read_values(opened, typed, bare))
    thing = made(opened, params, shop)
    printed = mockup(thing.part, shop.printer_3d, apart=apart, least_wall=wall, lie=lie, shop=shop.source, say=say)
    return printed.with_stops_of(thing.findings)


def _bay(
    target: str,
    typed: Typed,
    wrong: Refusals,
    shop: Shop | None,
    parts: tuple[str, ...],
    dummies: bool,
    gauge: bool,
    apart: bool,
    wall: float | None,
    lie: Measure,
    say: Callable[[str], None],
) -> MockUp:
    from dataclasses import replace

    from brackets.bay.file import read
    from brackets.mockups.bay import mockup_of_bay

    wrong.of_a_bay(typed)
    wrong.refuse()
    bay = read(target)
    if shop is not None:
        bay = replace(bay, shop=shop)
    return mockup_of_bay(
        bay, parts=parts, dummies=dummies, gauge=gauge, apart=apart, least_wall=wall, lie=lie, say=say
    )


def mockup_text(done: MockUp, folder: Path | None, files: tuple[str, ...]) -> str:
    """A row for each body, its beds and its plastic, what is to be said, and where the files are."""
    from brackets.app.cli.findings_view import cautions_text, findings_text
    from brackets.app.cli.screen import facts, table
    from brackets.rules.cautions import cautions

    beds: dict[str, list[str]] = {}
    for number, bed in enumerate(done.beds, 1):
        for laid in bed:
            beds.setdefault(laid.body.name, []).append(str(number))
    rows = [
        (
            body.name,
            body.kind,
            str(body.count),
            " x ".join(f"{mm:.1f}" for mm in body.size),
            f"{body.support / 1000:.1f}",
            f"{body.contact / 100:.1f}",
            " ".join(body.marks),
            ", ".join(dict.fromkeys(beds[body.name])),
        )
        for body in done.bodies
    ]
    printer = done.printer
    size = " x ".join(f"{mm:g}" for mm in printer.bed)
    scale = ", ".join(f"{by:.4f}" for by in printer.scale)
    count = sum(body.count for body in done.bodies)
    told = [
        ("bodies", f"{count} on {len(done.beds)} bed{'s' if len(done.beds) > 1 else ''} of {size} mm"),
        ("drawn larger", f"{scale} along x, y, z"),
        ("plastic", f"about {done.kg:.3f} kg, {done.metres:.1f} m of filament: an estimate, supports not counted"),
        ("files", f"{folder}: {', '.join(files)}" if folder else "none written"),
    ]
    head = ("body", "is", "times", "size, mm", "support, cm3", "on the bed, cm2", "marked", "bed")
    return "\n\n".join(
        (
            table(head, rows, right=(2, 3, 4, 5)),
            facts(told),
            findings_text(done.findings),
            cautions_text(cautions("mock-up")),
        )
    )

"""brackets hang: what the mounts of a bay carry, what holds if one fails, and how the powertrain swings on them."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from brackets.app.cli.screen import AsJson, Into, Paper

if TYPE_CHECKING:
    from brackets.app.cli.hang_view import Hung
    from brackets.app.cli.kept_run import Done
    from brackets.bay.hung.on_bushes import OnBushes
    from brackets.bay.schema.record import Bay
    from brackets.bay.schema.standing import Powertrain


def hang(
    file: Annotated[Path, typer.Argument(metavar="BAY.toml", help="The bay file.")],
    as_json: AsJson = False,
    into: Into = None,
    paper: Paper = None,
    compare: Annotated[
        str | None,
        typer.Option(
            "--compare", metavar="rubber,poly,solid",
            help="The same with every bush in each; rubber:55 for a hardness.",
        ),
    ] = None,
    no_files: Annotated[bool, typer.Option("--no-files", help="Work it out, write nothing.")] = False,
) -> int:
    """The powertrain on its bushes.

    What each mount carries at rest and in every load case, what holds if one fails, the six frequencies against
    what shakes at idle, where the chassis side is welded, what changes the worst figures most, and all that was
    assumed. Nothing is built.
    """
    from brackets.app.cli.kept_run import kept_run
    from brackets.app.cli.on_target import refuse_paper
    from brackets.app.inputs import inputs_of
    from brackets.output.folder import refuse_foreign, result_folder

    refuse_paper(paper)
    folder = None if no_files else result_folder(file.stem, "hang") if into is None else into
    if folder is not None:
        refuse_foreign(folder)

    def work(scratch: Path | None) -> Done:
        from brackets.app.cli.hang_made import made

        hung = _hung(file)
        text, status = made(hung, file, scratch, folder, paper=paper, compare=compare, as_json=as_json)
        return text, status, None if folder is None else str(folder)

    options = (str(file), as_json, None if folder is None else str(folder), paper, compare)
    return kept_run("hang", work, lambda: inputs_of(file), *options, writes=folder is not None)


def _hung(file: Path) -> Hung:
    from brackets.app.cli.hang_view import Hung
    from brackets.bay.bracket_stiffness import with_brackets
    from brackets.bay.file import read
    from brackets.bay.hanging import hanging
    from brackets.bay.hung.on_bushes import on_bushes
    from brackets.core.errors import BadFile, InputError

    bay = read(file)
    try:
        found = hanging(bay, on_bushes(bay))
    except InputError as error:
        raise BadFile(file, *error.problems) from error
    found, unknown = with_brackets(bay, found)
    return Hung.of(found, unsaid=(*_unsaid(bay, found.on), *unknown))


def _unsaid(bay: Bay, on: OnBushes) -> tuple[str, ...]:
    """What the bay does not say, with what is therefore left out or taken; each names its key."""
    from brackets.bay.hanging import knows_idle
    from brackets.core.schema.reading import stated

    typed, axle = bay.powertrain, bay.powertrain.layout == "transaxle"
    told = []
    if typed.torque == 0:
        told.append("[powertrain] torque: no first gear and no reverse")
    elif on.drive is None:
        told.append("[[chain]] size and teeth, or radii, of both its sprockets: no first gear and no reverse")
    else:
        output = () if bay.chains else ("axle_at", "axle_axis") if axle else ("crank_at", "crank_axis")
        told += _lacking(typed, ("final",) if axle and not bay.chains else (), "no first gear and no reverse")
        told += _lacking(typed, ("first",), "no first gear")
        told += _lacking(typed, ("reverse",), "no reverse")
        told += _lacking(typed, ("traction_tyre_radius",), "the torque is not capped by what the tyres take")
        told += _lacking(typed, output, "the torque acts about what these are by default")
    if not bay.load_cases and not typed.road_cases:
        told.append("[[load_case]], [powertrain] road_cases: no bump, no braking, no cornering")
    if not bay.snubbers:
        told.append("[[snubber]]: nothing is taken to catch the powertrain beside its bushes")
    if not knows_idle(bay):
        crank = {"crank_layout", "crank_throws"} & stated(typed)
        needed = ("idle",) if crank else ("cylinders", "strokes", "idle")
        told += _lacking(typed, needed, "no frequency is held against idle")
    for name in dict.fromkeys(row.bush for row in bay.mounts if row.heat is None):
        untyped = [row.name for row in bay.mounts if row.bush == name and row.heat is None]
        heat = on.springs[untyped[0]].heat
        if heat is not None:
            where = ", ".join(untyped)
            told.append(f"[[mount]] heat of {where}: not held against the {heat:g} deg C of bush {name}")
    for name in dict.fromkeys(row.bush for row in bay.mounts):
        springs = next(on.springs[row.name] for row in bay.mounts if row.bush == name)
        limits = (("load", springs.load), ("travel_radial", springs.travel[0]), ("travel_axial", springs.travel[1]))
        if lacking := [key for key, value in limits if value is None]:
            told.append(f"bush {name}: {', '.join(lacking)}: not held against any")
    return tuple(told)


def _lacking(typed: Powertrain, names: tuple[str, ...], then: str) -> list[str]:
    """One line where any of these keys is not typed."""
    keys = ", ".join(name.replace("_", ".", 1) for name in _untyped(typed, names))
    return [f"[powertrain] {keys}: {then}"] if keys else []


def _untyped(typed: Powertrain, names: tuple[str, ...]) -> tuple[str, ...]:
    from brackets.core.schema.reading import stated

    return tuple(name for name in names if name not in stated(typed))

"""brackets fit: everything of a bay placed and cleared, in one table; brackets demo: the shipped bay."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from brackets.app.cli.screen import (
    AsJson,
    By,
    Date,
    Into,
    NoFiles,
    Paper,
    Revision,
    Semicolons,
    ShopFile,
    Tolerance,
)
from brackets.app.cli.trouble import FINE, STOPS

if TYPE_CHECKING:
    from brackets.bay.fitting import Fit
    from brackets.core.marks import Marks

def fit(
    file: Annotated[Path, typer.Argument(metavar="BAY.toml", help="The bay file.")],
    as_json: AsJson = False,
    into: Into = None,
    paper: Paper = None,
    shop: ShopFile = None,
    revision: Revision = "",
    by: By = "",
    date: Date = "",
    tolerance: Tolerance = "",
    semicolons: Semicolons = False,
    no_files: NoFiles = False,
    watch: Annotated[
        bool, typer.Option("--watch", help="Stay, fit again at every save, and say what changed.")
    ] = False,
) -> int:
    """Places everything of a bay and clears it, at rest and moved.

    With --watch it stays until Ctrl-C: whenever the bay file, or a file that it names, is saved, it is fitted
    again, and the verdict and what changed are printed.
    """
    from brackets.core.marks import Marks
    from brackets.output.folder import result_folder

    folder = None if no_files else result_folder(file.stem) if into is None else into
    marks = Marks(revision=revision, by=by, date=date, tolerance=tolerance)
    work = _watching if watch else _fitted
    return work(
        file, as_json=as_json, folder=folder, paper=paper, shop=shop, marks=marks, semicolons=semicolons
    )


def demo(as_json: AsJson = False, into: Into = None) -> int:
    """The whole job on the shipped bay, Tern, which is invented."""
    from brackets.core.marks import NO_MARKS
    from brackets.library.recipe import shipped
    from brackets.output.folder import result_folder

    folder = result_folder("tern") if into is None else into
    return _fitted(shipped() / "tern.toml", as_json=as_json, folder=folder, known_only=True, marks=NO_MARKS)


def _fitted(
    file: Path,
    *,
    as_json: bool,
    folder: Path | None,
    known_only: bool = False,
    paper: str | None = None,
    shop: Path | None = None,
    marks: Marks,
    semicolons: bool = False,
) -> int:
    """From the files it depends on, unless it was worked out from the very same before."""
    from brackets.app.cli.kept_run import Done, kept_run
    from brackets.app.cli.on_target import refuse_paper
    from brackets.app.inputs import inputs_of
    from brackets.output.folder import refuse_foreign

    refuse_paper(paper)
    if folder is not None:
        refuse_foreign(folder)
    shown = None if folder is None else str(folder)

    def work(into: Path | None) -> Done:
        return *_worked_out(file, as_json, into, folder, known_only, paper, shop, marks, semicolons), shown

    options = (as_json, shown, known_only, paper, marks, semicolons)
    return kept_run("fit", work, lambda: inputs_of(file, shop), str(file), options, writes=folder is not None)


def _watching(
    file: Path,
    *,
    as_json: bool,
    folder: Path | None,
    paper: str | None,
    shop: Path | None,
    marks: Marks,
    semicolons: bool = False,
) -> int:
    """Fits again at every save until Ctrl-C."""
    from brackets.app.cli.fit_watch import stay
    from brackets.app.cli.kept_run import told_inputs
    from brackets.app.cli.on_target import refuse_paper
    from brackets.app.inputs import watched
    from brackets.core.errors import InputError
    from brackets.output.folder import refuse_foreign

    if as_json:
        raise InputError("--json = given, must be left out with --watch: what changed is said in words")
    refuse_paper(paper)
    if folder is not None:
        refuse_foreign(folder)

    def once() -> Fit:
        with told_inputs(file, shop):
            return _fit_of(
                file, folder, known_only=False, paper=paper, shop=shop, marks=marks, semicolons=semicolons
            )[0]

    return stay(file, once, lambda: watched(file) | (set() if shop is None else watched(shop)))


def _worked_out(
    file: Path,
    as_json: bool,
    into: Path | None,
    shown: Path | None,
    known_only: bool,
    paper: str | None,
    shop: Path | None,
    marks: Marks,
    semicolons: bool = False,
) -> tuple[str, int]:
    """What is printed and the status; the files are written `into` and said to be in the folder `shown`."""
    import json

    from brackets.app.cli.fit_view import fit_text
    from brackets.output.bay_facts import record

    done, files = _fit_of(
        file, into, known_only=known_only, paper=paper, shop=shop, marks=marks, semicolons=semicolons
    )
    text = json.dumps(record(done, files=files, marks=marks), indent=2) if as_json else fit_text(done, shown)
    return text, STOPS if done.stops else FINE


def _fit_of(
    file: Path,
    into: Path | None,
    *,
    known_only: bool,
    paper: str | None,
    shop: Path | None,
    marks: Marks,
    semicolons: bool = False,
) -> tuple[Fit, tuple[str, ...]]:
    """The fitted bay and the names of its files, which are written `into` where that is a folder."""
    from dataclasses import replace

    from brackets.app.cli.screen import progress
    from brackets.bay.file import read
    from brackets.bay.fitting import fit as fit_bay
    from brackets.core.ahead import allowed
    from brackets.forming.shop_file import load

    bay = read(file)
    if shop is not None:
        bay = replace(bay, shop=load(shop))
    files: tuple[str, ...] = ()
    with progress() as say, allowed():
        done = fit_bay(bay, known_only=known_only, say=say)
        if into is not None:
            from brackets.output.bay_files import write

            files = write(done, into, paper=paper, marks=marks, semicolons=semicolons, say=say)
    return done, files

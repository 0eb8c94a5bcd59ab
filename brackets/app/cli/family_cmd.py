"""brackets family: many variants of a recipe, or of one part of a bay, a row each."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from brackets.app.cli.screen import AsJson, Bare, By, Date, Into, Revision, ShopFile, Tolerance
from brackets.app.cli.trouble import FINE, STOPS

if TYPE_CHECKING:
    from concurrent.futures import Executor

    from brackets.app.cli.on_target import Refusals
    from brackets.app.cli.screen import Typed
    from brackets.forming.shop import Shop
    from brackets.variants.plan import Plan
    from brackets.variants.rows import Rows
    from brackets.variants.subject import Subject

ALONE = 20
"""Rows of a recipe up to which no workers are started: they are done before one is up."""

LIMIT = 600.0
"""Seconds a row may take: ten times the largest bay anyone fitted."""

PICTURES_OF = (
    "--pictures = given with a shop, one of them: a row's own page is judged by the SAMPLE shop, or the bay's own"
)

SCREEN = "screen of a family"
"""What is kept under the key of the tables, the order and the width."""

UNCHANGED = "nothing changed: the tables stay as they are"


def family(
    words: Annotated[
        list[str], typer.Argument(metavar="FILE|RECIPE [--NAME VALUES]", hidden=True)
    ],
    part: Annotated[
        str, typer.Option("--part", metavar="NAME", help="Of a bay: the part that is varied.")
    ] = "",
    hands: Annotated[
        str, typer.Option("--hands", metavar="LEFT,RIGHT", help="Of a bay: two parts held against each other.")
    ] = "",
    rows: Annotated[
        str, typer.Option("--rows", metavar="FILE", help="CSV or XLSX of rows; headings are names of values.")
    ] = "",
    skip: Annotated[
        list[str] | None,
        typer.Option("--skip", metavar="TEXT", help='Rows left out: "t == 8 and reach < 70"; may be repeated.'),
    ] = None,
    row_name: Annotated[
        str, typer.Option("--row-name", metavar="TEXT", help='What rows are called: "{bolt} reach {reach}".')
    ] = "",
    sort: Annotated[
        str, typer.Option("--sort", metavar="WHAT", help="mass, gap, spare, row, name or a value; -mass: down.")
    ] = "row",
    workers: Annotated[
        int | None, typer.Option("--workers", metavar="N", help="Processes; 0: this one. Default: every core.")
    ] = None,
    time_limit: Annotated[
        float, typer.Option("--time-limit", metavar="S", help="Seconds that a row may take on a worker.")
    ] = LIMIT,
    cluster: Annotated[
        str, typer.Option("--cluster", metavar="ADDRESS", help="Scheduler of Dask that the rows are handed to.")
    ] = "",
    fit_all: Annotated[
        bool, typer.Option("--fit-all", help="Of a bay: fit also what already stops by its own rules.")
    ] = False,
    files_of: Annotated[
        str, typer.Option("--files", metavar="all|3,7", help="Rows whose own files are written too.")
    ] = "",
    pictures: Annotated[
        bool, typer.Option("--pictures", help="Draw each row; a click in the page opens it to be turned about.")
    ] = False,
    lightest: Annotated[
        bool,
        typer.Option("--lightest", help="Find the lightest row that meets gaps, rules and strength; build few."),
    ] = False,
    into: Into = None,
    as_json: AsJson = False,
    shop: ShopFile = None,
    bare: Bare = "mm",
    revision: Revision = "",
    by: By = "",
    date: Date = "",
    tolerance: Tolerance = "",
    no_files: Annotated[bool, typer.Option("--no-files", help="Work it out, write and keep nothing.")] = False,
) -> int:
    """Many variants of a recipe, or of one part of a bay.

    FILE is a family file, or a bay with --part, or with --hands: a table of what differs between left and
    right, and drawings of both where one set does. --reach 60..100/2 --t 6,8 crosses a range with a list.
    Results are kept as they finish: the same command goes on where it was stopped. Writes rows.csv,
    rows.xlsx, rows.jsonl and rows.html. Exit status 0 where at least one row does not stop.
    --lightest wants load cases, a stress range and a least stiffness, in the family file or in the bay.
    """
    from shutil import get_terminal_size

    from brackets.app.cli.hands_view import of_hands, two_hands
    from brackets.app.cli.kept_run import told_inputs
    from brackets.app.cli.on_target import unit_of
    from brackets.app.cli.screen import one_word, progress, split
    from brackets.core.errors import InputError
    from brackets.core.kept import kept
    from brackets.core.marks import Marks
    from brackets.forming.shop_file import load
    from brackets.variants.family import worked
    from brackets.variants.folder import KEPT, begun, made_of, unchanged, write
    from brackets.variants.row_files import FOLDER
    from brackets.variants.rows import order_word

    typed = split(words)
    target = one_word(typed, "recipe, family or bay", "brackets family ears --reach 60..100/2")
    beside = [*(["--files"] if files_of else []), *(["--pictures"] if pictures else [])] if lightest else []
    unwritten = [*(["--files"] if files_of else []), *(["--pictures"] if pictures else [])] if no_files else []
    marks = Marks(revision=revision, by=by, date=date, tolerance=tolerance)
    wrong = wrong_options(typed, bare, workers, time_limit, unwritten, beside)
    mine = None if shop is None else load(shop)
    bay, read = Path(target) if target.endswith(".toml") else None, (target, rows, *typed.texts.values())
    two = two_hands(target, hands, [*typed.texts, *given(part=part, rows=rows, skip=skip, files=files_of)])
    if two is not None:
        wrong.refuse()
        with told_inputs(bay, shop):
            return of_hands(target, two, mine, into, as_json, no_files, marks)
    listing = {"part": part, "rows": rows, "skip": tuple(skip or ()), "row_name": row_name, "fit_all": fit_all}
    with progress() as say:
        subject, plan = wrong.needed(
            lambda: planned(target, typed, unit_of(bare), mine, **listing)  # type: ignore[arg-type]
        )
        wrong.needed(lambda: order_word(sort, subject.recipe.params, plan.varied))
        if pictures and subject.job.shop is not None:
            raise InputError(PICTURES_OF)
        folder = None if no_files else subject.folder if into is None else into
        same = "" if folder is None or files_of or pictures else made_of(subject, plan, folder)
        there = () if folder is None else unchanged(folder, same)
    if lightest:
        from brackets.app.cli.lightest_view import of_lightest
        from brackets.variants.holding import refuse_unasked

        refuse_unasked(subject.job.holding)
        if folder is not None:
            begun(folder)
        many = processes(len(plan.rows()), bay=bool(subject.job.part)) if workers is None else workers
        keep = None if folder is None else folder / KEPT
        inputs = told_inputs(bay, shop, words=read)
        with progress() as say, handed_to(cluster) as executor, told_what_is_kept(keep), inputs:
            text = of_lightest(
                subject, plan, folder,
                workers=many, executor=executor, limit=time_limit, as_json=as_json, say=say,
            )  # fmt: skip
        print(text)
        return FINE
    screen = (str(folder), sort, as_json, get_terminal_size().columns)
    if folder is not None and there:

        def work_again() -> tuple[str, int]:
            with progress() as say:
                return again(worked(subject, plan, keep=folder / KEPT, say=say), sort, folder, there, as_json)

        text, status = kept(SCREEN, work_again, same, *screen, in_memory=False)
        print(text)
        return status
    with progress() as say:
        count = len(plan.rows())
        if folder is not None:
            begun(folder)
        many = processes(count, bay=bool(subject.job.part)) if workers is None else workers
        with handed_to(cluster) as executor, told_what_is_kept(None if folder is None else folder / KEPT):
            done = worked(
                subject,
                plan,
                keep=None if folder is None else folder / KEPT,
                workers=many,
                executor=executor,
                limit=time_limit,
                say=lambda text: say(f"{subject.name}: {text}"),
            )
        files: tuple[str, ...] = ()
        if folder is not None:
            views = {}
            if pictures:
                from brackets.app.cli.row_pictures import drawn

                views = drawn(done, folder, say)
            same = "" if done.failed else made_of(subject, plan, folder, pictured=pictures)
            with told_inputs(bay, shop, words=read):
                files = write(done, folder, made_of=same, pictures=views, say=say)
        if folder is not None and files_of:
            folders = done.files(folder / FOLDER, files_of, marks=marks, say=say)
            files += tuple(f"{FOLDER}/{one.name}" for one in folders)
    print(shown(done, sort, folder, files, as_json))
    if folder is not None and same and not (pictures or files_of):
        kept(SCREEN, lambda: again(done, sort, folder, files, as_json), same, *screen, in_memory=False)
    return STOPS if done.stops else FINE


def again(done: Rows, sort: str, folder: Path, files: tuple[str, ...], as_json: bool) -> tuple[str, int]:
    """What the same run prints once more, and its status."""
    from dataclasses import replace

    from brackets.variants.folder import KEPT

    had = f"{folder / KEPT}: had {len(done.texts)} of {len(done.texts)} rows already"
    same = replace(done, notes=(had, UNCHANGED))
    return shown(same, sort, folder, files, as_json), STOPS if done.stops else FINE


def given(**options: object) -> list[str]:
    """The options that are given, by name."""
    return [name for name, value in options.items() if value]


def wrong_options(
    typed: Typed, bare: str, workers: int | None, time_limit: float, unwritten: list[str], beside: list[str]
) -> Refusals:
    """Everything that is wrong with the options themselves."""
    from brackets.app.cli.on_target import Refusals, refuse_bare

    wrong = Refusals(typed.problems)
    problems = wrong.problems
    wrong.tried(lambda: refuse_bare(bare))
    if workers is not None and not 0 <= workers <= 1000:
        problems.append(f"--workers = {workers}, must be 0 to 1000: processes that rows are worked out in")
    if not 0 < time_limit < float("inf"):
        problems.append(f"--time-limit = {time_limit:g} s, must be above 0: what a row may take")
    problems += [f"{option} = given, not with --no-files: it writes files" for option in unwritten]
    problems += [f"{option} = given, not with --lightest: make the row it finds by itself" for option in beside]
    return wrong


def planned(
    target: str,
    typed: Typed,
    bare: str,
    shop: Shop | None,
    *,
    part: str,
    rows: str,
    skip: tuple[str, ...],
    row_name: str,
    fit_all: bool,
) -> tuple[Subject, Plan]:
    """What is varied, and the rows, of a family file, a bay with a part, or a recipe."""
    from brackets.core.errors import InputError
    from brackets.variants.axes import of_text
    from brackets.variants.file import read
    from brackets.variants.plan import unknown
    from brackets.variants.subject import conditions, of_bay, of_recipe, plan_of
    from brackets.variants.table_files import listed_rows

    if target.endswith(".toml") and not part:
        beside = [f"--{name}" for name in typed.texts]
        beside += [f"--{name}" for name, given in (("rows", rows), ("skip", skip), ("row-name", row_name)) if given]
        if beside:
            raise InputError(
                *(f"{option} = given with {target}, must be in the file; of a bay, --part names what is varied"
                  for option in beside)
            )  # fmt: skip
        return read(Path(target), shop=shop)
    subject = of_bay(Path(target), part, shop=shop, fit_all=fit_all) if part else of_recipe(target, shop=shop)
    known = {param.name: param for param in subject.recipe.params}
    wrong: list[str] = []
    axes: dict[str, object] = {}
    for option, text in typed.texts.items():
        name = option.replace("-", "_")
        if name not in known:
            wrong.append(unknown(subject.recipe, option))
            continue
        try:
            axes[name] = of_text(known[name], text, bare=bare)
        except InputError as error:
            wrong += error.problems
    try:
        conditions(skip)
    except InputError as error:
        wrong += error.problems
    if wrong:
        raise InputError(*wrong)
    listed = listed_rows(subject.recipe, rows, bare=bare) if rows else ()
    return subject, plan_of(subject, axes, listed=listed, skip=skip, row_name=row_name, bare=bare)


def processes(rows: int, *, bay: bool) -> int:
    """How many workers so many rows are worth: one a core; none for a few rows of a recipe."""
    import os

    if not bay and rows <= ALONE:
        return 0
    cores = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
    return min(cores, rows)


@contextmanager
def handed_to(address: str) -> Iterator[Executor | None]:
    """The executor of a Dask scheduler; None without an address. Raises InputError where there is none."""
    if not address:
        yield None
        return
    from brackets.variants.cluster import executor_of

    with executor_of(address) as executor:
        yield executor


@contextmanager
def told_what_is_kept(file: Path | None) -> Iterator[None]:
    """Ctrl-C and a full disk say that what is done stays."""
    try:
        yield
    except (KeyboardInterrupt, OSError) as error:
        if file is not None:
            error.add_note(f"what is done is kept in {file}: the same command goes on from there")
        raise


def shown(rows: Rows, sort: str, folder: Path | None, files: tuple[str, ...], as_json: bool) -> str:
    """The table, what is said of every row, and where the files are; or all of it as JSON."""
    import json

    from brackets.app.cli.screen import facts
    from brackets.core.finding import gathered
    from brackets.variants.folder import record
    from brackets.variants.rows import SHOWN
    from brackets.variants.tables import summary

    if as_json:
        told = {**record(rows), "rows": list(rows.records()), "files": list(files)}
        return json.dumps(told, ensure_ascii=False)
    lines = [rows.table(sort=sort, most=SHOWN)]
    if len(rows) > SHOWN:
        lines.append(f"{len(rows) - SHOWN} more rows are in the files")
    said = [("family", " ".join(summary(rows)))]
    said += [(f.label, f"every row: {f.piece}: {f.said}{more}") for f, more in gathered(rows.common)]
    said += [("kept", note) for note in rows.notes]
    said.append(("files", f"{folder}: {', '.join(files)}" if folder else "none written"))
    return "\n".join((*lines, f"\n{facts(said)}"))

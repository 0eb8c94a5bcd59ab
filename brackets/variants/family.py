"""A family in Python: its rows worked out, kept as they finish, and handed back."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import Executor
from pathlib import Path

from brackets.core.errors import InputError
from brackets.forming.shop import Shop
from brackets.forming.shop_file import load as load_shop
from brackets.variants.file import read
from brackets.variants.plan import Plan
from brackets.variants.rows import Rows
from brackets.variants.run import run
from brackets.variants.store import kept
from brackets.variants.subject import Subject, of_bay, of_recipe, plan_of
from brackets.variants.table_files import listed_rows


def worked(
    subject: Subject,
    plan: Plan,
    *,
    keep: str | Path | None = None,
    workers: int = 0,
    executor: Executor | None = None,
    limit: float | None = None,
    say: Callable[[str], None] = lambda _: None,
) -> Rows:
    """Every row of a plan, worked out or taken from the file `keep`, where results are added as they finish."""
    say("listing the rows")
    planned = plan.rows()
    keys = [subject.job.key(row.values) for row in planned]
    todo = {key: row.values for key, row in zip(keys, planned, strict=True) if not row.refused}
    with kept(None if keep is None else Path(keep)) as store:
        had = sum(1 for key in todo if key in store)
        stale = 0 if had == len(todo) else len(store) - had
        notes = [*store.dropped]
        if had or stale:
            others = f"; {stale} results of other values or files stay in it" if stale else ""
            notes.append(f"{store.path}: had {had} of {len(todo)} rows already{others}")
        failed = run(subject.job, todo, store, executor=executor, workers=workers, limit=limit, say=say)
        texts = {key: store.text(key) for key in todo if key in store}
    return Rows(
        name=subject.name,
        job=subject.job,
        params=subject.recipe.params,
        bay=bool(subject.job.part),
        varied=plan.varied,
        planned=planned,
        keys=tuple(keys),
        texts=texts,
        failed=failed,
        notes=tuple(notes),
        tied=tuple(plan.tied),
        parts=subject.parts,
    )


def family(
    of: str | Path,
    /,
    *,
    part: str = "",
    rows: str | Path | Sequence[Mapping[str, object]] = (),
    skip: object = (),
    row_name: str = "",
    shop: Shop | str | Path | None = None,
    unit: str = "mm",
    fit_all: bool = False,
    keep: str | Path | None = None,
    workers: int = 0,
    executor: Executor | None = None,
    limit: float | None = 600.0,
    say: Callable[[str], None] = lambda _: None,
    **values: object,
) -> Rows:
    """Many variants of one recipe, or of one part of a bay, each worked out: mass, gaps, findings, or its refusal.

    of: a recipe's name or path, a bay file with `part`, or a family file (TOML); part: the part of the bay that is
    varied, which is fitted as a whole for each row; values: by name, one, a list, a range, a text "60..100/2", or a
    function of the others, `lambda v: v.bush_od + 25`; all lists are crossed. rows: listed rows to cross them with,
    mappings or a CSV or XLSX file whose headings are names of values and `name`; skip: left out where it holds, a
    text "t == 8 and reach < 70" or a function, or several; row_name: "{bolt} reach {reach}"; shop: whose tools, or
    its file; unit: of bare numbers, "mm" or "in"; fit_all: of a bay, fits also what already stops by its own rules.
    keep: file that results are added to as they finish; the same call goes on from there. workers: processes, 0 for
    this one; executor: any of `concurrent.futures` in their place; limit: seconds a row may take on `workers`; say:
    a function that is told how far it is. Returns Rows.
    Raises InputError, BadFile or BadRecipe where something cannot be used; one row that cannot is its refusal.

    >>> found = family("cup", bush_od=[50, 60], length=range(40, 61, 10), skip="bush_od == 60 and length > 50")
    >>> [(row.values["bush_od"], row.values["length"], round(row.mass, 3)) for row in found]
    [(50.0, 40.0, 0.271), (50.0, 50.0, 0.339), (50.0, 60.0, 0.407), (60.0, 40.0, 0.321), (60.0, 50.0, 0.401)]
    >>> found.least("mass").row.name
    '1'
    """
    if unit not in ("mm", "in"):
        raise InputError(f'unit = "{unit}", must be mm or in: unit of bare numbers')
    mine = load_shop(shop) if isinstance(shop, str | Path) else shop
    if part:
        subject = of_bay(Path(of), part, shop=mine, fit_all=fit_all)
    elif str(of).endswith(".toml"):
        if values or rows or skip or row_name:
            raise InputError(f"{of}: says itself what is varied, no values beside it; of a bay name the part")
        subject, plan = read(Path(of), shop=mine)
        return worked(subject, plan, keep=keep, workers=workers, executor=executor, limit=limit, say=say)
    else:
        subject = of_recipe(of, shop=mine)
    listed = listed_rows(subject.recipe, rows, bare=unit)
    plan = plan_of(subject, values, listed=listed, skip=skip, row_name=row_name, bare=unit)
    return worked(subject, plan, keep=keep, workers=workers, executor=executor, limit=limit, say=say)

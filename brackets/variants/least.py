"""The lightest row of a family that nothing stops, worked out step by step: mass and rules of all rows, strength of
those that may win, solids and gaps of those that do."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, replace
from pathlib import Path

from brackets.variants.holding import Depth, refuse_unasked
from brackets.variants.job import Job
from brackets.variants.lightest import Lightest, lightest
from brackets.variants.plan import Plan, PlannedRow
from brackets.variants.result import Result, Row, row_of
from brackets.variants.rows import Rows
from brackets.variants.run import run
from brackets.variants.store import Store, kept
from brackets.variants.strength import Strength
from brackets.variants.subject import Subject

HEAVIER = "heavier than the lightest: neither its strength nor its gaps were asked for"
"""The note of a row that nothing but its mass and its rules was asked of."""
LIGHTER = "lighter than the lightest: not built, its rules or its strength forbid it"
"""The note of a row that was not built since a closed form forbids it."""


@dataclass(frozen=True, kw_only=True)
class Found:
    """The lightest row, and all rows as far as each was judged."""

    lightest: Lightest
    rows: Rows


def least(
    subject: Subject,
    plan: Plan,
    *,
    keep: str | Path | None = None,
    workers: int = 0,
    executor: Executor | None = None,
    limit: float | None = None,
    say: Callable[[str], None] = lambda _: None,
) -> Found:
    """The lightest row of a plan that nothing stops: the same that every row worked out would give.

    keep, workers, executor, limit, say: as for `family`. Raises InputError where load cases, a stress range or a
    least stiffness are not typed, all of them at once, and where no row meets the rules.
    """
    job = subject.job
    refuse_unasked(job.holding)
    say("listing the rows")
    planned = plan.rows()
    with kept(None if keep is None else Path(keep)) as store:
        rules = _at(job, "rules")
        todo = {rules.key(row.values): row.values for row in planned if not row.refused}
        failed = run(rules, todo, store, executor=executor, workers=workers, limit=limit, say=say)
        rows = [_row(one, rules, store, failed) for one in planned]
        by_number = {one.number: one for one in planned}

        def judge(row: Row) -> Strength:
            say(f"row {row.name}: strength")
            found = _one(by_number[row.number], _at(job, "strength"), store)
            return found.strength or Strength(refused=found.refused)

        def build(row: Row) -> Row:
            say(f"row {row.name}: its solids and gaps")
            return _one(by_number[row.number], _at(job, "all"), store)

        best = lightest(rows, judge, build, varied=plan.varied, tied=tuple(plan.tied), of=subject.parts)
        texts, keys, told = _told(planned, best, job, rules, store, failed)
        notes = tuple(store.dropped)
    return Found(
        lightest=best,
        rows=Rows(
            name=subject.name, job=job, params=subject.recipe.params, bay=bool(job.part), varied=plan.varied,
            tied=tuple(plan.tied), parts=subject.parts, planned=planned, keys=keys, texts=texts, failed=told,
            notes=notes,
        ),
    )  # fmt: skip


def _one(planned: PlannedRow, job: Job, store: Store) -> Row:
    """One row, worked out here, as deep as the job asks, and kept."""
    failed = run(job, {job.key(planned.values): planned.values}, store)
    return _row(planned, job, store, failed)


def _at(job: Job, depth: Depth) -> Job:
    return replace(job, depth=depth)


def _row(planned: PlannedRow, job: Job, store: Store, failed: Mapping[str, Result]) -> Row:
    return row_of(
        _result(planned, job, store, failed), number=planned.number, name=planned.name, given=planned.values
    )


def _result(planned: PlannedRow, job: Job, store: Store, failed: Mapping[str, Result]) -> Result:
    if planned.refused:
        return {"refused": list(planned.refused)}
    key = job.key(planned.values)
    if key in failed:
        return failed[key]
    found: Result = json.loads(store.text(key))
    return found


def _told(
    planned: Sequence[PlannedRow], best: Lightest, job: Job, rules: Job, store: Store, failed: Mapping[str, Result]
) -> tuple[dict[str, str], tuple[str, ...], dict[str, Result]]:
    """Each row's text as deep as it was worked out, with a note where that is not all; keys, and what failed."""
    texts: dict[str, str] = {}
    keys: list[str] = []
    told: dict[str, Result] = {}
    for one, row in zip(planned, best.rows, strict=True):
        key = job.key(one.values)
        keys.append(key)
        if one.refused:
            continue
        if rules.key(one.values) in failed:
            told[key] = failed[rules.key(one.values)]
            continue
        texts[key] = _text(one, row, best, job, store)
    return texts, tuple(keys), told


def _text(one: PlannedRow, row: Row, best: Lightest, job: Job, store: Store) -> str:
    depths: tuple[Depth, ...] = ("all", "strength", "rules")
    for depth in depths:
        key = _at(job, depth).key(one.values)
        if key not in store:
            continue
        result: Result = json.loads(store.text(key))
        if depth == "all" or result.get("refused"):
            return store.text(key)
        heavier = row.mass is not None and best.row.mass is not None and row.mass >= best.row.mass
        result["note"] = HEAVIER if heavier else LIGHTER
        return json.dumps(result, separators=(",", ":"), allow_nan=False, ensure_ascii=False)
    raise KeyError(one.number)

"""brackets family --lightest: the lightest row that nothing stops, why none is lighter, what it has to spare."""

from __future__ import annotations

import json
from collections.abc import Callable
from concurrent.futures import Executor
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from brackets.variants.least import Found
    from brackets.variants.lightest import Lightest
    from brackets.variants.plan import Plan
    from brackets.variants.subject import Subject

SHOWN = 20
"""Rows printed, the lightest first; all are in the files."""


def of_lightest(
    subject: Subject,
    plan: Plan,
    folder: Path | None,
    *,
    workers: int,
    executor: Executor | None,
    limit: float,
    as_json: bool,
    say: Callable[[str], None],
) -> str:
    """What is printed; the tables of the rows, as far as each was judged, are written into the folder."""
    from brackets.variants.folder import KEPT, write
    from brackets.variants.least import least

    found = least(
        subject, plan, keep=None if folder is None else folder / KEPT,
        workers=workers, executor=executor, limit=limit,
        say=lambda text: say(f"{subject.name}: {text}"),
    )  # fmt: skip
    files: tuple[str, ...] = () if folder is None else write(found.rows, folder, say=say)
    return told(found, files) if as_json else text(found, folder, files)


def text(found: Found, folder: Path | None, files: tuple[str, ...]) -> str:
    """The lightest, why none is lighter, what it has to spare, and the rows by mass."""
    from brackets.app.cli.screen import facts

    best = found.lightest
    said = [("lightest", line) for line in best.says]
    said += [("one size lighter", str(step)) for step in best.steps]
    said += [("to spare", line) for line in best.spares]
    if best.row.strength is not None:
        said += [("judged by you", f"{place}: by other means, as typed") for place in best.row.strength.yours]
    said += [(f.label, f"{f.piece}: {f.said}") for f in best.row.findings]
    said += [("kept", note) for note in found.rows.notes]
    said.append(("files", f"{folder}: {', '.join(files)}" if folder else "none written"))
    rows = found.rows.table(sort="mass", most=SHOWN)
    more = f"\n{len(found.rows) - SHOWN} more rows are in the files" if len(found.rows) > SHOWN else ""
    return f"{rows}{more}\n\n{facts(said)}"


def told(found: Found, files: tuple[str, ...]) -> str:
    """The same for scripts."""
    from brackets.variants.folder import record

    rows = list(found.rows.records())
    return json.dumps(
        {**record(found.rows), "lightest": lightest_record(found.lightest), "rows": rows, "files": list(files)},
        ensure_ascii=False,
    )


def lightest_record(best: Lightest) -> dict[str, Any]:
    """Row, mass, what keeps it from being lighter, and how many were judged and built."""
    return {
        "row": best.row.number,
        "name": best.row.name,
        "mass_kg": best.row.mass,
        "given": dict(best.row.given),
        "strength": None if best.row.strength is None else best.row.strength.record,
        "spares": dict(best.row.spares),
        "one_size_lighter": [
            {
                "name": step.name,
                "size": step.size,
                "lighter": step.lighter,
                "row": None if step.row is None else step.row.number,
                "why": list(step.why),
            }
            for step in best.steps
        ],
        "binds": list(best.binds),
        "lighter": best.lighter,
        "judged": best.judged,
        "built": best.built,
    }

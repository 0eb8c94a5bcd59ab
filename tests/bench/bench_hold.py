"""How many checks by hand a core makes in a second: rows at once beside the same checks in a plain loop.

Run by hand: python tests/bench/bench_hold.py. Seconds are of the processor, one thread.

Checks: every check of the room is asked with ROWS loads and thicknesses. Records: each shipped weldment is built
once and judged from its record, from loads to the worst of each clause and place, under thousands of random load
cases at a time and under some of them one by one; what the first case alone costs is mostly the geometry of the
record. Both ways must give the same utilisation. Wanted: 10,000 checks a second of each kind, and 10,000 cases a
second of each record.
"""

from __future__ import annotations

import os
import sys
import time
from pathlib import Path

for threads in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS"):
    os.environ[threads] = "1"
sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

import numpy as np  # noqa: E402
from hold_cases import CASES, OWN, Case  # noqa: E402

from brackets import HoldSettings, PartCase, SeatLoad, hold_part, recipe  # noqa: E402
from brackets.hold.hold_part import hold_worst  # noqa: E402

ROWS = 20_000
CASES_OF_A_RECORD = 5_000
LOOP = 200
LOOP_OF_A_RECORD = 10
WANTED = 10_000
GIVEN = HoldSettings(grade="8.8", onto_metal="S235", onto_t=4.0)
RECORDS = {
    "cross_member": ("bush_left", "bush_right"), "cup_on_plate": ("bush",), "ears": ("bush",),
    "ears_on_base": ("bush",), "fork": ("bush",), "stay": ("bush",), "stud_arm": ("bush",),
    "tray": ("bush_left", "bush_right"),
}  # fmt: skip
"""Shipped weldments, and where each is loaded."""


def measured(case: Case) -> tuple[float, float]:
    """Checks a second of processor: rows at once, and one after the other."""
    draw = np.random.default_rng(1)
    loads, sizes = case.load * draw.uniform(0.1, 2, ROWS), draw.uniform(*case.t, ROWS)
    case(loads[:9], sizes[:9])
    start = time.process_time()
    rows = case(loads, sizes, factors=OWN)
    at_once = time.process_time() - start
    start = time.process_time()
    some = zip(loads[:LOOP].tolist(), sizes[:LOOP].tolist(), strict=True)
    loop = [case(load, size, factors=OWN).utilisation for load, size in some]
    each = time.process_time() - start
    assert np.allclose(np.broadcast_to(rows.utilisation, ROWS)[:LOOP], loop, rtol=1e-12), case.name
    return ROWS / max(at_once, 1e-9), LOOP / each


def of_record(name: str, seats: tuple[str, ...]) -> tuple[float, float, float, int]:
    """Cases a second of processor, all at once and one by one; seconds of the first alone; checks of a case."""
    of = recipe(name)
    part = of.build(of.Params())
    draw = np.random.default_rng(1)
    cases = [
        PartCase(f"{i}", tuple(SeatLoad(seat, tuple(300 * draw.normal(size=3))) for seat in seats), "factored")
        for i in range(CASES_OF_A_RECORD)
    ]
    hold_worst(part, cases[:2], GIVEN, told=())
    start = time.process_time()
    at_once = hold_worst(part, cases, GIVEN, told=())
    rows = time.process_time() - start
    start = time.process_time()
    alone = [hold_worst(part, [case], GIVEN, told=()) for case in cases[:LOOP_OF_A_RECORD]]
    one = (time.process_time() - start) / LOOP_OF_A_RECORD
    some = {(x.place, x.check.clause): x.check.worst for x in alone[-1].checks}
    among = hold_part(part, cases[:LOOP_OF_A_RECORD], GIVEN).checks
    same = {(x.place, x.check.clause): x.check.worst for x in among if x.case == cases[LOOP_OF_A_RECORD - 1].name}
    assert all(np.isclose(same[key], used, rtol=1e-9) for key, used in some.items()), name
    return CASES_OF_A_RECORD / rows, 1 / one, one, len(at_once.checks)


def records() -> float:
    """Prints each record, returns cases a second of the slowest."""
    slowest = np.inf
    for name, seats in RECORDS.items():
        at_once, looped, one, checks = of_record(name, seats)
        slowest = min(slowest, at_once)
        speeds = f"{at_once:9,.0f} cases, {at_once * checks:9,.0f} checks a second at once"
        print(f"{name:14s} {speeds}, {looped:6,.1f} cases one by one, {at_once / looped:6,.0f} times; "
              f"the first {1e3 * one:5.1f} ms, each further {1e6 / at_once:5.1f} us")  # fmt: skip
    return slowest


def main() -> int:
    slowest, all_rows, all_loop = np.inf, 0.0, 0.0
    for case in CASES:
        at_once, looped = measured(case)
        slowest = min(slowest, at_once)
        all_rows, all_loop = all_rows + 1 / at_once, all_loop + 1 / looped
        speeds = f"{at_once:12,.0f} a second in rows, {looped:8,.0f} in a loop"
        print(f"{case.name:14s} {speeds}, {at_once / looped:6,.0f} times")
    count = len(CASES)
    print(f"all of them    {count / all_rows:12,.0f} checks a second in rows, {count / all_loop:8,.0f} in a loop")
    print(f"a part with each of the {count}: {1 / all_rows:,.0f} parts a second in rows (wanted {WANTED} checks)")
    slowest = min(slowest, records())
    return 0 if slowest >= WANTED else 1


if __name__ == "__main__":
    sys.exit(main())

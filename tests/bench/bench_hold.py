"""How many checks by hand a core makes in a second: rows at once beside the same checks in a plain loop.

Run by hand: python tests/bench/bench_hold.py. Seconds are of the processor, one thread. Every check of the room is
asked with ROWS loads and thicknesses; both ways must give the same utilisation. Wanted: 10,000 a second, each
check.
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

ROWS = 20_000
LOOP = 200
WANTED = 10_000


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
    return 0 if slowest >= WANTED else 1


if __name__ == "__main__":
    sys.exit(main())

"""Options and fixtures of the whole suite: random checks are seeded, and long ones run only when asked for."""

from __future__ import annotations

import random
from collections.abc import Callable

import pytest

DAILY = 20
"""Random sets each run tries without --fuzz."""
SEED = 20260117
"""Where random sets start: a run can be repeated, and another start tries others."""


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--fuzz", type=int, default=0, metavar="N", help="try N random sets in the fuzz tests")
    parser.addoption("--seed", type=int, default=SEED, metavar="S", help="start of the random sets")


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    if config.getoption("--fuzz") > 0:
        return
    skip = pytest.mark.skip(reason="long random check, give --fuzz N")
    for item in items:
        if item.get_closest_marker("fuzz") is not None:
            item.add_marker(skip)


@pytest.fixture
def fuzz(request: pytest.FixtureRequest) -> int:
    """How many random sets to try: N of --fuzz N, else a few."""
    return int(request.config.getoption("--fuzz")) or DAILY


@pytest.fixture
def rng(request: pytest.FixtureRequest) -> Callable[[int], random.Random]:
    """The random numbers of the n-th set, the same in every run with the same --seed."""
    start = int(request.config.getoption("--seed"))
    return lambda n: random.Random(f"{start}/{n}")

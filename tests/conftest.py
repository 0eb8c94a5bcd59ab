"""Options and fixtures of the whole suite: random checks are seeded, long ones run only when asked for, and
the files that take longest start first."""

from __future__ import annotations

import gc
import os
import random
import shutil
import tempfile
from collections.abc import Callable, Generator, Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, settings

from brackets.core import kept

DAILY = 20
"""Random sets each run tries without --fuzz."""
SEED = 20260117
"""Where random sets start: a run can be repeated, and another start tries others."""

LONGEST = (
    "test_tern.py",
    "test_page.py",
    "test_recipes.py",
    "test_mockups.py",
    "test_readme.py",
    "test_cases.py",
    "test_step_files.py",
    "test_preview_server.py",
    "test_broken_files.py",
    "test_unchanged.py",
    "test_tern_held.py",
    "test_bosses_suspects.py",
    "test_sliders.py",
    "test_page_engine.py",
    "test_set_up.py",
    "test_landing.py",
    "test_first_minutes.py",
    "test_tube_solid.py",
    "test_lightest.py",
    "test_preview_processes.py",
    "test_facts_schema.py",
    "test_variants_kept.py",
    "test_bay_gaps.py",
    "test_hold_bay.py",
    "test_setting_out.py",
    "test_clearance_exact.py",
    "test_cli.py",
    "test_place.py",
    "test_bolts_cmd.py",
    "test_outputs.py",
    "test_clearance_survey.py",
    "test_clearance_traps.py",
    "test_solid_mesh.py",
    "test_write_step.py",
    "test_variants_cluster.py",
    "test_bay_movement.py",
    "test_interrupts.py",
)
"""Files of ten seconds of processor and more, longest first: one left to the end would keep one worker waiting.
Before them the one that fits the shipped bay, so that no other worker does the same meanwhile."""


WARM = frozenset(
    {
        "test_bay_scan.py",
        "test_bolts_cmd.py",
        "test_hang_cmd.py",
        "test_hang_study.py",
        "test_hold_bay.py",
        "test_hold_own_weight.py",
        "test_mockups.py",
        "test_outputs.py",
        "test_page.py",
        "test_place_cmd.py",
        "test_readme.py",
        "test_recipes.py",
        "test_tern.py",
        "test_tern_held.py",
    }
)
"""Files that work out the shipped bays and parts again and again, and change nothing that these depend on: what one
of their tests worked out is kept for the others, in this run alone. `test_unchanged.py` holds that it is the same.
"""

WHEEL = frozenset(
    {
        "test_cli.py",
        "test_docs.py",
        "test_face.py",
        "test_family_page.py",
        "test_formats.py",
        "test_gallery.py",
        "test_keys.py",
        "test_new.py",
        "test_packaged.py",
        "test_paper.py",
        "test_preview_server.py",
        "test_recipe_loader.py",
        "test_shop.py",
        "test_step_files.py",
        "test_tables.py",
        "test_tables_bolts.py",
        "test_unchanged.py",
        "test_variants.py",
    }
)
"""Files that --wheel runs: between them they read every file of the package that is no module, load every module,
open recipes by name, and start every kind of process that the program starts. What else is tested cannot differ in
a wheel, of which `.ci/run` shows that it has the same modules."""

RUN = "BRACKETS_TEST_RUN"
"""Environment variable: the folder of this run, which the workers it starts find there."""


def pytest_unconfigure(config: pytest.Config) -> None:
    if not hasattr(config, "workerinput"):
        shutil.rmtree(os.environ[RUN], ignore_errors=True)


@pytest.fixture(scope="module", autouse=True)
def _warm(request: pytest.FixtureRequest) -> Iterator[None]:
    if request.path.name not in WARM:
        yield
        return
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(kept, "ENABLED", True)
        patch.setenv(kept.FOLDER, os.environ[RUN])
        yield
        let_go()


def let_go() -> None:
    """What is kept goes to the disk, and the store there is closed: its file is not open under other tests."""
    kept.flush()
    kept.forget()
    store = kept._open()
    if store is not None:
        store.close()


def pytest_configure(config: pytest.Config) -> None:
    if not hasattr(config, "workerinput"):
        os.environ[RUN] = tempfile.mkdtemp(prefix="brackets-tests-")
        if config.getoption("numprocesses", None):
            os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
    kept.ENABLED = False  # tests change what results depend on: they must not meet those of another test
    os.environ[kept.FOLDER] = "off"  # nor must the commands they run
    fuzzed = config.getoption("--fuzz") > 0
    settings.register_profile(
        "suite",
        deadline=None,  # a busy machine is no fault of the code
        suppress_health_check=[HealthCheck.too_slow],
        derandomize=not fuzzed,  # a run can be repeated; with --fuzz each tries others
        database=None,
        print_blob=True,
    )
    settings.load_profile("suite")
    config.option.loadscopereorder = False  # pytest-xdist would hand out the files with the most tests first


@pytest.hookimpl(wrapper=True)
def pytest_collection() -> Generator[None, object, object]:
    """Nobody looks for dead cycles while 800,000 values are made that stay, nor among them afterwards: that was a
    tenth of the suite's time."""
    gc.disable()
    try:
        return (yield)
    finally:
        gc.freeze()
        gc.enable()


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--fuzz", type=int, default=0, metavar="N", help="try N random sets in the fuzz tests")
    parser.addoption("--seed", type=int, default=SEED, metavar="S", help="start of the random sets")
    parser.addoption("--wheel", action="store_true", help="only what an installed wheel could fail")


def pytest_ignore_collect(collection_path: Path, config: pytest.Config) -> bool | None:
    name = collection_path.name
    return True if config.getoption("--wheel") and name.startswith("test_") and name not in WHEEL else None


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    rank = {name: i for i, name in enumerate(LONGEST)}
    items.sort(key=lambda item: rank.get(item.path.name, len(rank)))
    if config.getoption("--fuzz") > 0:
        return
    skip = pytest.mark.skip(reason="long random check, give --fuzz N")
    for item in items:
        if item.get_closest_marker("fuzz") is not None:
            item.add_marker(skip)


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    """A browser without a window, one for each file of tests."""
    from preview_browser import launched

    with launched() as started:
        yield started


@pytest.fixture(scope="session")
def fuzz(request: pytest.FixtureRequest) -> int:
    """How many random sets to try: N of --fuzz N, else a few."""
    return int(request.config.getoption("--fuzz")) or DAILY


@pytest.fixture(scope="session")
def rng(request: pytest.FixtureRequest) -> Callable[[int], random.Random]:
    """The random numbers of the n-th set, the same in every run with the same --seed."""
    start = int(request.config.getoption("--seed"))
    return lambda n: random.Random(f"{start}/{n}")


@pytest.fixture
def by_faces(monkeypatch: pytest.MonkeyPatch) -> None:
    """Gaps are settled face by face also where the hulls of the bodies would tell them."""
    from brackets.clearance import gap_rows, gaps

    for module in (gaps, gap_rows):
        monkeypatch.setattr(module, "by_hulls", lambda *_: None)


@pytest.fixture
def keeping(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """The folder that results are kept in while a test runs, by this process and the commands it starts."""
    monkeypatch.setattr(kept, "ENABLED", True)
    monkeypatch.setenv(kept.FOLDER, str(tmp_path / "kept"))
    kept.forget()
    yield tmp_path / "kept"
    let_go()

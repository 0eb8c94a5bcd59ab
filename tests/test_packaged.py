"""What is installed: every module of it loads by itself, the program has its name, and nothing is looked for beside
the sources. `.ci/run` runs these, and the files of WHEEL in conftest.py, once more against the built wheel."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from importlib import import_module, metadata
from pathlib import Path

import pytest

import brackets

HOME = Path(brackets.__file__).parent

LOADED = """
import importlib, sys
for name in sys.argv[2:]:
    module = importlib.import_module(name)
    assert module.__file__.startswith(sys.argv[1]), module.__file__
"""
BY_PLACE = {
    "app/preview/fields.py": "the recipes' folder, as `library.recipe` has it",
    "bay/stand/step_files.py": "the module that a process of its own runs",
    "core/identity.py": "the sources that a result depends on, of the package and of a function",
    "library/recipe.py": "the recipes, in the package or beside it",
    "output/facts.py": "facts_schema.json, beside it",
}
"""Modules that find files by where they stand themselves, and what: each is used by a file of WHEEL."""


def test_every_module_loads_where_neither_tests_nor_sources_are_beside_it(tmp_path: Path) -> None:
    """In a process that knows the folder of the package and no other: a test's helper is not to be found."""
    names = [
        ".".join(("brackets", *path.relative_to(HOME).with_suffix("").parts)).removesuffix(".__init__")
        for path in sorted(HOME.rglob("*.py"))
        if "_recipes" not in path.parts and path.name != "__main__.py"
    ]
    assert len(names) > 400
    env = {**os.environ, "PYTHONPATH": str(HOME.parent)}
    command = [sys.executable, "-P", "-c", LOADED, str(HOME), *names]
    done = subprocess.run(command, env=env, cwd=tmp_path, capture_output=True, text=True, timeout=300)
    assert done.returncode == 0, done.stderr[-1000:]


def test_the_program_is_started_by_the_name_the_package_gives_it() -> None:
    [entry] = [one for one in metadata.entry_points(group="console_scripts") if one.name == "brackets"]
    assert entry.value == "brackets.__main__:main"
    module, _, name = entry.value.partition(":")
    assert callable(getattr(import_module(module), name))


def test_only_those_that_are_named_find_files_by_their_own_place() -> None:
    found = set()
    for path in HOME.rglob("*.py"):
        uses = re.findall(r"(?:Path\(|recipe_file\.|step_child\.)[\w.]*__file__", path.read_text("utf-8"))
        if uses and "_recipes" not in path.parts:
            found.add(path.relative_to(HOME).as_posix())
    assert found == set(BY_PLACE)


@pytest.mark.parametrize("name", ["brackets", "recipes"])
def test_a_wheel_has_no_folder_of_the_checkout_beside_it(name: str) -> None:
    """Run against a wheel, the tests must not meet the sources: they would find what the wheel lacks."""
    if (HOME / "_recipes").exists():  # installed
        assert not (Path(__file__).parents[1] / name).exists()
    else:
        assert (HOME.parent / name).exists()

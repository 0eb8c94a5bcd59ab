"""Imports go one way only: each room imports only rooms below it, and no module itself by way of others."""

from __future__ import annotations

import ast
import subprocess
import sys
from collections.abc import Callable, Container, Iterator
from functools import cache
from graphlib import CycleError, TopologicalSorter
from pathlib import Path
from typing import NamedTuple

import pytest

import brackets

ROOT = Path(brackets.__file__).parent

ROOMS = (
    "core",
    "geometry",
    "model",
    "forming",
    "library",
    "rules",
    "survey",
    "hang",
    "hold",
    "drawing",
    "kernel",
    "clearance",
    "bay",
    "output",
    "mockups",
    "variants",
    "app",
    "interrupts",
    "__main__",
)
"""From the lowest up: each room imports itself and what is named before it."""
BAY_ROOMS = (("schema",), ("hung",), ("stand",), ("clear", "bolts", "seats"), ("position",), ("",), ("report",))
"""The same within `bay`: those on one level do not import each other; "" is what lies in `bay` itself."""
CORE_ROOMS = (("",), ("rulebook", "schema"), ("tables",))
"""The same within `core`: what a value may be is said without any table, and the rows of tables by it."""
KERNEL_LINE = ROOMS.index("kernel")
KERNEL = {"cadquery", "OCP", "trimesh", "fcl", "manifold3d", "ezdxf", "reportlab", "vtk", "vtkmodules"}
HEAVY = {"numpy", "scipy"}
HEAVY_ALLOWED = {"survey", "hang", "hold"}
CUSTOM_MASS = Path("model/mass_of_custom.py")
"""The mass of a custom piece comes from its solid: the one named exception."""


@cache
def modules() -> list[Path]:
    return sorted(p.relative_to(ROOT) for p in ROOT.rglob("*.py") if "_recipes" not in p.parts)


class Import(NamedTuple):
    module: str
    """What stands between `from` and `import`; empty of a plain import."""
    names: tuple[str, ...]
    top: bool
    """Whether it stands at the top level of its file."""
    quiet: bool
    """Whether it is for type checking only."""


class Source(NamedTuple):
    """What these tests ask of a module."""

    imports: tuple[Import, ...]
    breaches: tuple[str, ...]
    """Where it prints, leaves the program or swallows every error."""


@cache
def source(path: Path) -> Source:
    """A module of the package, read, parsed and walked once for all these tests. Its tree is let go: those of all
    modules are a million objects for the garbage collector to go through again and again."""
    tree = ast.parse((ROOT / path).read_text(encoding="utf-8"))
    nodes = list(ast.walk(tree))
    quiet, top = type_checking_only(nodes), set(tree.body)
    imports = []
    for node in nodes:
        if isinstance(node, ast.Import | ast.ImportFrom):
            module = node.module or "" if isinstance(node, ast.ImportFrom) else ""
            names = tuple(alias.name for alias in node.names)
            imports.append(Import(module, names, node in top, node in quiet))
    return Source(tuple(imports), tuple(breaches(path, nodes)))


def faults_of_all(faults: Callable[[Path], Iterator[str]]) -> list[str]:
    """What is wrong with any module of the package: all of it is told at once."""
    assert len(modules()) > 400
    return [fault for path in modules() for fault in faults(path)]


def room(path: Path) -> str:
    return path.parts[0].removesuffix(".py")


def type_checking_only(nodes: list[ast.AST]) -> set[ast.AST]:
    """Nodes under `if TYPE_CHECKING:`; they import nothing at run time but must keep the order all the same."""
    return {
        node
        for branch in nodes
        if isinstance(branch, ast.If) and isinstance(branch.test, ast.Name) and branch.test.id == "TYPE_CHECKING"
        for inner in branch.body
        for node in ast.walk(inner)
    }


@cache
def imported(path: Path) -> list[tuple[str, bool, bool]]:
    """(module, at the top level, for type checking only) of every import in a file."""
    found = []
    for one in source(path).imports:
        names = one.names if not one.module else (one.module,)
        if one.module == "brackets":
            names = tuple(f"brackets.{name}" for name in one.names)
        found += [(name, one.top, one.quiet) for name in names]
    return found


def imports_from_above(path: Path) -> Iterator[str]:
    if path == Path("__init__.py"):
        return
    own = room(path)
    if own not in ROOMS:
        yield f"{path} stands in no room: name it in ROOMS where it belongs"
        return
    for name, _, _ in imported(path):
        if name.startswith("brackets."):
            other = name.split(".")[1]
            if other in ("recipe", "recipes", "Part", "__version__") or path == CUSTOM_MASS:
                continue
            if ROOMS.index(other) > ROOMS.index(own):
                yield f"{path} imports {name} from above"


def test_a_room_imports_only_what_is_below_it() -> None:
    assert faults_of_all(imports_from_above) == []


def imports_across_inner_rooms(path: Path) -> Iterator[str]:
    house = path.parts[0]
    rooms = {"bay": BAY_ROOMS, "core": CORE_ROOMS}.get(house)
    if rooms is None:
        return
    level = {name: i for i, names in enumerate(rooms) for name in names}
    own = path.parts[1] if len(path.parts) > 2 else ""
    if own not in level:
        yield f"{path} stands in no room of {house}"
        return
    for name, _, _ in imported(path):
        parts = name.split(".")
        if parts[:2] == ["brackets", house] and path != Path(house, "__init__.py"):
            other = parts[2] if len(parts) > 2 and (ROOT / house / parts[2]).is_dir() else ""
            if other != own and level[other] >= level[own]:
                yield f"{path} imports {name}"


def test_a_room_of_the_bay_or_of_core_imports_only_what_is_below_it() -> None:
    assert faults_of_all(imports_across_inner_rooms) == []


def kernel_imports(path: Path) -> Iterator[str]:
    if path == Path("__init__.py") or path == CUSTOM_MASS or ROOMS.index(room(path)) >= KERNEL_LINE:
        return
    for name, _, _ in imported(path):
        if name.split(".")[0] in KERNEL:
            yield f"{path} imports {name}"


def test_nothing_below_the_kernel_imports_it() -> None:
    assert faults_of_all(kernel_imports) == []


def heavy_imports(path: Path) -> Iterator[str]:
    if path == Path("__init__.py") or ROOMS.index(room(path)) >= KERNEL_LINE or room(path) in HEAVY_ALLOWED:
        return
    for name, top, quiet in imported(path):
        if top and not quiet and name.split(".")[0] in HEAVY:
            yield f"{path} imports {name} at its top"


def test_nothing_a_recipe_needs_imports_numpy_when_loaded() -> None:
    assert faults_of_all(heavy_imports) == []


def _module(path: Path) -> str:
    dotted = ".".join(("brackets", *path.with_suffix("").parts))
    return dotted.removesuffix(".__init__")


def test_no_module_imports_itself_by_way_of_others() -> None:
    """Imports for the type checker count too; those of a package's own face, which only hands on, do not."""
    paths = {_module(path): path for path in modules() if path.name != "__init__.py"}
    links = {
        name: sorted({other for other, *_ in imported_modules(path, paths)} - {name})
        for name, path in paths.items()
    }
    finder = TopologicalSorter(links)
    try:
        finder.prepare()
    except CycleError as error:
        pytest.fail(f"a circle of imports: {' -> '.join(error.args[1])}")


def imported_modules(path: Path, paths: Container[str]) -> Iterator[tuple[str]]:
    """Every module of the package that a file imports, at its top, inside a function, or for types alone."""
    for one in source(path).imports:
        if one.module:
            yield from ((name,) for inner in one.names if (name := f"{one.module}.{inner}") in paths)
            if one.module in paths:
                yield (one.module,)


def cleans_up(handler: ast.ExceptHandler) -> bool:
    """Whether a handler only puts things back and lets the error go on."""
    last = handler.body[-1]
    return isinstance(last, ast.Raise) and last.exc is None


def breaches(path: Path, nodes: list[ast.AST]) -> Iterator[str]:
    for node in nodes:
        match node:
            case ast.Call(func=ast.Name(id="print" | "exit" | "quit" as said)):
                yield f"{path}:{node.lineno} calls {said}"
            case ast.Call(func=ast.Attribute(value=ast.Name(id="sys"), attr="exit")):
                yield f"{path}:{node.lineno} calls sys.exit"
        if isinstance(node, ast.ExceptHandler) and not cleans_up(node):
            caught = "everything" if node.type is None else ast.unparse(node.type)
            if caught in ("everything", "Exception", "BaseException"):
                yield f"{path}:{node.lineno} catches {caught}"


def prints_or_exits(path: Path) -> Iterator[str]:
    if path.parts[:2] != ("app", "cli") and room(path) != "__main__":
        yield from source(path).breaches


def test_only_the_command_line_prints_or_exits() -> None:
    assert faults_of_all(prints_or_exits) == []


@pytest.mark.parametrize("command", [["--help"], ["recipes"], ["recipes", "ears"]])
def test_help_and_recipes_load_neither_numpy_nor_the_kernel(command: list[str]) -> None:
    heavy = sorted(KERNEL | HEAVY)
    code = (
        "import sys; from brackets.app.cli import main\n"
        f"main({command!r})\n"
        f"loaded = [m for m in {heavy!r} if m in sys.modules]\n"
        "sys.exit(f'loaded: {loaded}' if loaded else 0)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    assert done.stdout


def test_importing_the_package_alone_loads_nothing_of_it() -> None:
    code = "import sys, brackets; print(sorted(m for m in sys.modules if m.startswith('brackets.')))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"

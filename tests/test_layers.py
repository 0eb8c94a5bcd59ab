"""Imports go one way only: each room imports only rooms below it, and no module itself by way of others."""

from __future__ import annotations

import ast
import subprocess
import sys
from collections.abc import Container, Iterator
from graphlib import CycleError, TopologicalSorter
from pathlib import Path

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


def modules() -> list[Path]:
    return sorted(p.relative_to(ROOT) for p in ROOT.rglob("*.py") if "_recipes" not in p.parts)


def room(path: Path) -> str:
    return path.parts[0].removesuffix(".py")


def type_checking_only(tree: ast.Module) -> set[ast.AST]:
    """Nodes under `if TYPE_CHECKING:`; they import nothing at run time but must keep the order all the same."""
    return {
        node
        for branch in ast.walk(tree)
        if isinstance(branch, ast.If) and ast.unparse(branch.test) == "TYPE_CHECKING"
        for inner in branch.body
        for node in ast.walk(inner)
    }


def imported(path: Path) -> list[tuple[str, bool, bool]]:
    """(module, at the top level, for type checking only) of every import in a file."""
    tree = ast.parse((ROOT / path).read_text(encoding="utf-8"))
    quiet = type_checking_only(tree)
    top = set(tree.body)
    found = []
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            found += [(alias.name, node in top, node in quiet) for alias in node.names]
        elif isinstance(node, ast.ImportFrom) and node.module is not None:
            names = [node.module]
            if node.module == "brackets":
                names = [f"brackets.{alias.name}" for alias in node.names]
            found += [(name, node in top, node in quiet) for name in names]
    return found


@pytest.mark.parametrize("path", modules(), ids=str)
def test_a_room_imports_only_what_is_below_it(path: Path) -> None:
    if path == Path("__init__.py"):
        return
    own = room(path)
    assert own in ROOMS, f"{path} stands in no room: name it in ROOMS where it belongs"
    for name, _, _ in imported(path):
        if name.startswith("brackets."):
            other = name.split(".")[1]
            if other in ("recipe", "recipes", "Part", "__version__") or path == CUSTOM_MASS:
                continue
            assert ROOMS.index(other) <= ROOMS.index(own), f"{path} imports {name} from above"


@pytest.mark.parametrize("path", [path for path in modules() if path.parts[0] in ("bay", "core")], ids=str)
def test_a_room_of_the_bay_or_of_core_imports_only_what_is_below_it(path: Path) -> None:
    house = path.parts[0]
    rooms = {"bay": BAY_ROOMS, "core": CORE_ROOMS}[house]
    level = {name: i for i, names in enumerate(rooms) for name in names}
    own = path.parts[1] if len(path.parts) > 2 else ""
    assert own in level, f"{path} stands in no room of {house}"
    for name, _, _ in imported(path):
        parts = name.split(".")
        if parts[:2] == ["brackets", house] and path != Path(house, "__init__.py"):
            other = parts[2] if len(parts) > 2 and (ROOT / house / parts[2]).is_dir() else ""
            assert other == own or level[other] < level[own], f"{path} imports {name}"


@pytest.mark.parametrize("path", modules(), ids=str)
def test_nothing_below_the_kernel_imports_it(path: Path) -> None:
    if path == Path("__init__.py") or path == CUSTOM_MASS or ROOMS.index(room(path)) >= KERNEL_LINE:
        return
    for name, _, _ in imported(path):
        assert name.split(".")[0] not in KERNEL, f"{path} imports {name}"


@pytest.mark.parametrize("path", modules(), ids=str)
def test_nothing_a_recipe_needs_imports_numpy_when_loaded(path: Path) -> None:
    if path == Path("__init__.py") or ROOMS.index(room(path)) >= KERNEL_LINE or room(path) in HEAVY_ALLOWED:
        return
    for name, top, quiet in imported(path):
        if top and not quiet:
            assert name.split(".")[0] not in HEAVY, f"{path} imports {name} at its top"

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
    for node in ast.walk(ast.parse((ROOT / path).read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom) and node.module is not None:
            yield from ((name,) for alias in node.names if (name := f"{node.module}.{alias.name}") in paths)
            if node.module in paths:
                yield (node.module,)


def cleans_up(handler: ast.ExceptHandler) -> bool:
    """Whether a handler only puts things back and lets the error go on."""
    last = handler.body[-1]
    return isinstance(last, ast.Raise) and last.exc is None


@pytest.mark.parametrize("path", modules(), ids=str)
def test_only_the_command_line_prints_or_exits(path: Path) -> None:
    if path.parts[:2] == ("app", "cli") or room(path) == "__main__":
        return
    tree = ast.parse((ROOT / path).read_text(encoding="utf-8"))
    for node in ast.walk(tree):
        if isinstance(node, ast.Call):
            said = ast.unparse(node.func)
            assert said not in ("print", "sys.exit", "exit", "quit"), f"{path}:{node.lineno} calls {said}"
        if isinstance(node, ast.ExceptHandler) and not cleans_up(node):
            assert node.type is not None, f"{path}:{node.lineno} catches everything"
            assert ast.unparse(node.type) not in ("Exception", "BaseException"), f"{path}:{node.lineno}"


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

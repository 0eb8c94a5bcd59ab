"""Imports go one way only: each module of the package imports only what stands above it."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

import pytest

import brackets

ROOT = Path(brackets.__file__).parent

LAYERS = (
    "errors",
    "given",
    "units",
    "tables",
    "params",
    "outline",
    "pieces",
    "patterns",
    "fold",
    "cope",
    "mass",
    "part",
    "mirror",
    "cautions",
    "edges",
    "outside",
    "apart",
    "faces",
    "findings",
    "shop",
    "layout",
    "build",
    "recipe_file",
    "ranges",
    "bosses",
    "bolts",
    "measure",
    "drawing",
    "solid",
    "mesh",
    "clearance",
    "write",
    "made",
    "bay",
    "flats",
    "preview",
    "cli",
    "interrupts",
    "__main__",
)
KERNEL_LINE = LAYERS.index("solid")
KERNEL = {"cadquery", "OCP", "trimesh", "fcl", "manifold3d", "ezdxf", "reportlab", "vtk", "vtkmodules"}
HEAVY = {"numpy", "scipy"}
HEAVY_ALLOWED = {"bosses", "bolts", "measure"}
ODD_MASS = Path("mass/odd.py")
"""The mass of an Odd piece comes from its solid: the one named exception."""


def modules() -> list[Path]:
    return sorted(p.relative_to(ROOT) for p in ROOT.rglob("*.py") if "_recipes" not in p.parts)


def layer(path: Path) -> str:
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
def test_a_module_imports_only_what_stands_above_it(path: Path) -> None:
    if path == Path("__init__.py"):
        return
    own = layer(path)
    assert own in LAYERS, f"{path} stands in no layer: name it in LAYERS where it belongs"
    for name, _, _ in imported(path):
        if name.startswith("brackets."):
            other = name.split(".")[1]
            if other in ("recipe", "recipes", "Part", "__version__") or path == ODD_MASS:
                continue
            assert LAYERS.index(other) <= LAYERS.index(own), f"{path} imports {name} from below"


@pytest.mark.parametrize("path", modules(), ids=str)
def test_nothing_above_the_kernel_line_imports_the_kernel(path: Path) -> None:
    if path == Path("__init__.py") or path == ODD_MASS or LAYERS.index(layer(path)) >= KERNEL_LINE:
        return
    for name, _, _ in imported(path):
        assert name.split(".")[0] not in KERNEL, f"{path} imports {name}"


@pytest.mark.parametrize("path", modules(), ids=str)
def test_nothing_a_recipe_needs_imports_numpy_when_loaded(path: Path) -> None:
    if path == Path("__init__.py") or LAYERS.index(layer(path)) >= KERNEL_LINE or layer(path) in HEAVY_ALLOWED:
        return
    for name, top, quiet in imported(path):
        if top and not quiet:
            assert name.split(".")[0] not in HEAVY, f"{path} imports {name} at its top"


def cleans_up(handler: ast.ExceptHandler) -> bool:
    """Whether a handler only puts things back and lets the error go on."""
    last = handler.body[-1]
    return isinstance(last, ast.Raise) and last.exc is None


@pytest.mark.parametrize("path", modules(), ids=str)
def test_only_the_command_line_prints_or_exits(path: Path) -> None:
    if layer(path) in ("cli", "__main__"):
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
        "import sys; from brackets.cli import main\n"
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

"""Loading the solid kernel, with one plain line where this machine lacks a library it needs.

Of `cadquery` only the shapes are loaded; the rest of it (workplanes, sketches, assemblies, exporters, with ezdxf
and casadi behind them) when somebody imports from the package or asks it for another name. Our own modules
therefore import from `cadquery.occ_impl.shapes` and `.geom`, or ask `cadquery` for one of SHAPES and PLACES.
"""

from __future__ import annotations

import gc
import re
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import partial
from importlib import import_module
from importlib.util import find_spec, module_from_spec
from threading import RLock
from types import ModuleType

from brackets.core.errors import KernelFailed

PACKAGES = {
    "libGL.so.1": ("libgl1", "libglvnd-glx"),
    "libEGL.so.1": ("libegl1", "libglvnd-egl"),
    "libGLU.so.1": ("libglu1-mesa", "mesa-libGLU"),
    "libX11.so.6": ("libx11-6", "libX11"),
    "libXext.so.6": ("libxext6", "libXext"),
    "libXrender.so.1": ("libxrender1", "libXrender"),
    "libXcursor.so.1": ("libxcursor1", "libXcursor"),
    "libSM.so.6": ("libsm6", "libSM"),
    "libICE.so.6": ("libice6", "libICE"),
    "libexpat.so.1": ("libexpat1", "expat"),
    "libgomp.so.1": ("libgomp1", "libgomp"),
    "libstdc++.so.6": ("libstdc++6", "libstdc++"),
}
"""System libraries the kernel's wheels look for, and the Debian and Fedora packages that bring them."""

MISSING = re.compile(r"(?P<library>lib[^\s:]+\.so[.\d]*): cannot open shared object file")
"""The loader's own words (glibc) for a library that is not there."""


class MissingLibrary(KernelFailed, ImportError):  # noqa: N818
    """The kernel cannot be loaded because a system library is missing; the message names its package."""

    def __init__(self, library: str) -> None:
        super().__init__("solid kernel", "load", library, "not on this machine")
        self.library = library

    def __str__(self) -> str:
        return advice(self.library)

    def __reduce__(self) -> tuple[type[MissingLibrary], tuple[str]]:  # type: ignore[override]
        return type(self), (self.library,)


SHAPES = ("Compound", "Edge", "Face", "Shape", "Shell", "Solid", "Vertex", "Wire")
"""Names of `cadquery` that `cadquery.occ_impl.shapes` has."""
PLACES = ("BoundBox", "Location", "Matrix", "Plane", "Vector")
"""Those that `cadquery.occ_impl.geom` has."""


def load(loader: Callable[[str], object] = import_module) -> None:
    """Load the kernel. Raises MissingLibrary where the system lacks a library it needs."""
    try:
        with _without_vtk(), uncollected():
            rest = None if "cadquery" in sys.modules else _stand_in()
            loader("cadquery.occ_impl.shapes")
            if rest is not None:
                _on_import_of_more(rest)
    except ImportError as error:
        found = MISSING.search(str(error))
        if found is None:
            raise
        raise MissingLibrary(found["library"]) from error


@contextmanager
def uncollected() -> Iterator[None]:
    """Meanwhile nobody looks for dead cycles: loading makes 200,000 values that stay, and looking through them
    again and again is a fifth of its time. Afterwards they are among the old ones, seldom looked through."""
    was = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        gc.freeze()
        gc.unfreeze()
        if was:
            gc.enable()


def _stand_in() -> Callable[[], None] | None:
    """Puts the package in its place without running it; returns what runs it, once; None where there is none."""
    spec = find_spec("cadquery")
    if spec is None or spec.loader is None:
        return None
    package, run = module_from_spec(spec), spec.loader.exec_module
    lock, ran = RLock(), list[str]()

    def rest() -> None:
        with lock:
            if not ran:
                ran.append("cadquery")
                with _without_vtk(), uncollected():
                    run(package)

    def asked(name: str) -> object:
        if name in SHAPES:
            return getattr(import_module("cadquery.occ_impl.shapes"), name)
        if name in PLACES:
            return getattr(import_module("cadquery.occ_impl.geom"), name)
        rest()
        try:
            return vars(package)[name]
        except KeyError:
            raise AttributeError(f"module 'cadquery' has no attribute {name!r}") from None

    vars(package)["__getattr__"] = asked
    sys.modules["cadquery"] = package
    return rest


def _on_import_of_more(rest: Callable[[], None]) -> None:
    """Has the whole run first where somebody imports another module of the package, as they are made for: such an
    import asks the package where its modules are, one of those that are loaded does not."""
    for name in ("cadquery", "cadquery.occ_impl"):
        module = sys.modules[name]
        before, where = vars(module).get("__getattr__"), vars(module).pop("__path__")

        vars(module)["__getattr__"] = partial(_where, module, where, before, rest)


def _where(
    module: ModuleType,
    where: list[str],
    before: Callable[[str], object] | None,
    rest: Callable[[], None],
    name: str,
) -> object:
    if name == "__path__":
        module.__path__ = where
        rest()
        return where
    if before is None:
        raise AttributeError(f"module {module.__name__!r} has no attribute {name!r}")
    return before(name)


@contextmanager
def _without_vtk() -> Iterator[None]:
    """What is loaded meanwhile gets an empty module for the whole of vtk: the kernel asks for all of it and uses
    none, a fifth of the time and of the memory that loading takes. The parts that are used are loaded by their own
    names."""
    if "vtk" in sys.modules:
        yield
        return
    stand_in = sys.modules["vtk"] = ModuleType("vtk")
    try:
        yield
    finally:
        if sys.modules.get("vtk") is stand_in:
            del sys.modules["vtk"]


def advice(library: str) -> str:
    """One line: what is missing and which package brings it."""
    if library not in PACKAGES:
        return f"{library} is missing on this machine: the solid kernel needs it, install the package that has it"
    debian, fedora = PACKAGES[library]
    return (
        f"{library} is missing on this machine: the solid kernel needs it. "
        f"Debian, Ubuntu: apt-get install {debian}; Fedora: dnf install {fedora}"
    )

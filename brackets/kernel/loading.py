"""Loading the solid kernel, with one plain line where this machine lacks a library it needs."""

from __future__ import annotations

import re
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from importlib import import_module
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


def load(loader: Callable[[str], object] = import_module) -> None:
    """Load the kernel. Raises MissingLibrary where the system lacks a library it needs."""
    try:
        with _without_vtk():
            loader("cadquery")
    except ImportError as error:
        found = MISSING.search(str(error))
        if found is None:
            raise
        raise MissingLibrary(found["library"]) from error


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

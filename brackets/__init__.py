"""Engine and gearbox mounts as data: recipes, masses, clearance, flats, copes and files from one record."""

from __future__ import annotations

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import Any

    from brackets.library.recipe import recipe as recipe
    from brackets.library.recipe import recipes as recipes
    from brackets.model.part import Part as Part

__version__ = "0.1.0"

_FROM = {
    "Part": "brackets.model.part",
    "recipe": "brackets.library.recipe",
    "recipes": "brackets.library.recipe",
}

__all__ = ["Part", "__version__", "recipe", "recipes"]


def __getattr__(name: str) -> Any:
    """Loads what is asked for when it is asked for: importing brackets alone loads nothing, not even typing.

    The command must heed Ctrl-C before anything that takes time is loaded.
    """
    from importlib import import_module

    if name in _FROM:
        return getattr(import_module(_FROM[name]), name)
    if not name.startswith("_"):
        try:
            return import_module(f"{__name__}.{name}")
        except ModuleNotFoundError as error:
            if error.name != f"{__name__}.{name}":
                raise
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")


def __dir__() -> list[str]:
    return sorted({*globals(), *__all__} - {"TYPE_CHECKING"})

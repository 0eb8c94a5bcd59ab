"""What a picture is to show: from where, how large, cut where, pulled how far apart, how far folded."""

from __future__ import annotations

from dataclasses import dataclass

from brackets.core import units
from brackets.core.errors import InputError

VIEWS = {
    "slant": (1.0, 0.8, 0.75),
    "front": (1.0, 0.0, 0.0),
    "rear": (-1.0, 0.0, 0.0),
    "left": (0.0, 1.0, 0.0),
    "right": (0.0, -1.0, 0.0),
    "top": (-1e-4, 0.0, 1.0),
    "under": (-1e-4, 0.0, -1.0),
}
AXES = "xyz"
LARGEST = 8000
"""Pixels either way: twice that is drawn, and graphics libraries end at 16384."""


@dataclass(frozen=True, kw_only=True)
class Shot:
    """What to draw: views by name, size in pixels, a section (axis and mm, None: the middle), pull 0 to 1,
    fold 1 as made to 0 flat; `gaps`: every gap line that tells something, else those that are short;
    `axes`: centre lines, centres of mass and bend lines."""

    views: tuple[str, ...] = ("slant",)
    size: tuple[int, int] = (1600, 1000)
    cut: tuple[str, float | None] | None = None
    apart: float = 0.0
    fold: float = 1.0
    gaps: bool = False
    axes: bool = True
    dark: bool = False

    @classmethod
    def of_texts(
        cls,
        *,
        views: str,
        pixels: str,
        cut: str | None,
        apart: str,
        fold: str,
        **more: bool,
    ) -> Shot:
        """From words as typed; `more`: gaps, axes, dark. Raises InputError with everything that is wrong."""
        problems: list[str] = []
        names = tuple(name.strip() for name in views.split(",") if name.strip())
        strange = [name for name in names if name not in VIEWS]
        if strange or not names:
            problems.append(f"from = {views}, must be of {', '.join(VIEWS)}: where the picture looks from")
        size = tuple(int(n) if n.isdecimal() and len(n) < 6 else 0 for n in pixels.lower().split("x"))
        if len(size) != 2 or not all(16 <= n <= LARGEST for n in size):
            problems.append(f"pixels = {pixels}, must be WIDTHxHEIGHT, 16 to {LARGEST}: size of the picture")
        where = _cut(cut, problems)
        pull = _percent(apart, "pull-apart", "how far pieces are pulled apart", problems)
        bent = _percent(fold, "fold", "how far folded pieces are folded, 0 is the blank", problems)
        if problems:
            raise InputError(*problems)
        return cls(views=names, size=(size[0], size[1]), cut=where, apart=pull, fold=bent, **more)


def _percent(text: str, name: str, meaning: str, problems: list[str]) -> float:
    """A share, 0 to 1."""
    try:
        share = units.number(text.removesuffix("%"), name=name)
    except InputError as error:
        problems += error.problems
        return 0.0
    if not 0 <= share <= 100:
        problems.append(f"{name} = {text}, must be 0 to 100 %: {meaning}")
    return share / 100


def _cut(text: str | None, problems: list[str]) -> tuple[str, float | None] | None:
    if text is None:
        return None
    axis, equals, at = text.partition("=")
    if axis.strip() not in tuple(AXES):
        problems.append(f"cut = {text}, must be x, y or z, with =MM where not through the middle: a section")
        return None
    try:
        return axis.strip(), units.length(at, name="cut") if equals else None
    except InputError as error:
        problems += error.problems
        return None

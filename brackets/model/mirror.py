"""Left and right: a part mirrored about a plane, and what is said of the hand of a part.

Mirroring makes new pieces, whose flats, bends, clocks and welds are those of the other hand; never a placement.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from brackets.core.place import Place
from brackets.core.vectors import Vec, cross, dot, scale, sub, unit
from brackets.model.part import Part

Word = Literal["left", "right", ""]

OWN_PLANE = "the recipe's own plane x = 0"


@dataclass(frozen=True)
class Plane:
    """A plane through `at`, mm, square to `normal`."""

    at: Vec = (0.0, 0.0, 0.0)
    normal: Vec = (0.0, 1.0, 0.0)

    def distance(self, p: Vec) -> float:
        """Signed distance of `p` from the plane, mm, positive along the normal."""
        return dot(sub(p, self.at), unit(self.normal))

    def point(self, p: Vec) -> Vec:
        """The mirror image of a point."""
        return _clean(sub(p, scale(unit(self.normal), 2.0 * self.distance(p))))

    def direction(self, v: Vec) -> Vec:
        """The mirror image of a direction."""
        n = unit(self.normal)
        return _clean(sub(v, scale(n, 2.0 * dot(v, n))))

    def __str__(self) -> str:
        n = unit(self.normal)
        for name, own in zip("xyz", n, strict=True):
            if abs(abs(own) - 1.0) < 1e-12:
                return f"{name} = {dot(self.at, n) * own + 0.0:g}"
        return f"through {_shown(self.at)} square to {_shown(n)}"


def reflected(part: Part, plane: Plane) -> Part:
    """The other hand of a part: its mirror image in a plane, standing on the other side of it.

    part: any part; plane: a `Plane` of this module or `Bay.plane`. Pieces are made anew, so that flats, bends and
    welds are those of the other hand.

    >>> from brackets.model.mirror import Plane
    >>> left = cup(od=70, bore=60, length=40).placed(Place(at=(0, 100, 0)))
    >>> reflected(left, Plane(normal=(0, 1, 0))).seat("bush").place.at
    (0.0, -100.0, 0.0)
    """
    n = unit(plane.normal)
    up: Vec = (0.0, 0.0, 1.0) if abs(n[2]) < 0.9 else (0.0, 1.0, 0.0)
    axis = sub(up, scale(n, dot(up, n)))
    own = Place(plane.at, axis, cross(axis, n))  # x = up x axis = n
    return part.placed(own.inverse()).mirrored().placed(own)


@dataclass(frozen=True, kw_only=True)
class Hand:
    """Which hand of a pair a part is, and how it was made.

    `plane` says what it, or the other, was `mirrored` about; `other` is the part on the other side, `differs` what
    is not its mirror image, a line each. Values of a mirrored part are those of the hand it is the image of.
    """

    word: Word
    mirrored: bool
    plane: str
    other: str = ""
    differs: tuple[str, ...] = ()

    @property
    def label(self) -> str:
        """LEFT HAND, RIGHT HAND; OTHER HAND where nobody said which."""
        return f"{self.word.upper() or 'OTHER'} HAND"

    @property
    def notes(self) -> tuple[str, ...]:
        """What the sheets say of it."""
        of = f" of {self.other}" if self.other else " of the recipe as written"
        how = f"{self.label}: "
        if self.mirrored:
            how += f"the mirror image{of}, about {self.plane}. Its values are written for the hand it mirrors."
        else:
            how += f"as written; its mirror image about {self.plane} is {self.other or 'the other hand'}."
        return (how, *(f"Differs from its other hand: {line}." for line in self.differs))

    @property
    def record(self) -> dict[str, object]:
        """For scripts: hand (left, right, other), mirrored, plane, other, differs."""
        return {
            "hand": self.word or "other",
            "mirrored": self.mirrored,
            "plane": self.plane,
            "other": self.other or None,
            "differs": list(self.differs),
        }

    def named(self, name: str) -> str:
        """`name` with the hand behind it, for files and folders; as it is where it has the word in it already."""
        word = self.word or "other-hand"
        return name if word in name.lower().replace("_", "-").split("-") else f"{name}-{word}"


def of_recipe(word: Word) -> Hand:
    """The hand of a part made of a recipe alone: as written it is the left hand, mirrored the right."""
    return Hand(word=word, mirrored=word == "right", plane=OWN_PLANE)


def _clean(v: Vec) -> Vec:
    return (v[0] + 0.0, v[1] + 0.0, v[2] + 0.0)


def _shown(v: Vec) -> str:
    return "(" + ", ".join(f"{c:g}" for c in v) + ")"

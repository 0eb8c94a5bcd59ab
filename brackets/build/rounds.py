"""Turned stock: cups, bungs, crush tubes, sleeves and washers, all on the z axis."""

from __future__ import annotations

from brackets.pieces import Place, Step, Turned


def ring(name: str, *, od: float, bore: float, length: float, at: float = 0.0, material: str = "S235") -> Turned:
    """A plain ring or tube of `length` mm, its lower end at z = `at`; bore 0 is a solid disc or pin."""
    return Turned(
        name=name,
        place=Place(at=(0.0, 0.0, at)),
        material=material,
        steps=(Step(length=length, od=od, bore=bore),),
    )


def centred(name: str, *, od: float, bore: float, length: float, material: str = "S235") -> Turned:
    """A plain ring of `length` mm, half of it below z = 0."""
    return ring(name, od=od, bore=bore, length=length, at=-length / 2, material=material)

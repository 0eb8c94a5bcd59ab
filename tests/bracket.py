"""A small part with a shared piece, a tube seat and a cope, and the same part standing elsewhere."""

from __future__ import annotations

from dataclasses import replace

from brackets.core.place import Place
from brackets.geometry.shapes import rectangle
from brackets.model.holes import Hole
from brackets.model.part import Part
from brackets.model.plate import Plate, TubeSeat, Wall
from brackets.model.tube import Step, Tube, TubeEnd, Turned

EAR = Plate(
    name="ears/left",
    wall=Wall(
        outline=rectangle(70, 60, radius=8),
        openings=(Hole(at=(0, 15), d=12),),
        seats=(TubeSeat(at=(0, -38, 0), axis=(0.3, 0.2, 1), r=21.2, keep=(0, 0)),),
    ),
    t=6,
    place=Place((10, 20, 30), (1, 2, 3), (0, 1, 0)),
)
PART = Part(
    name="bracket",
    pieces=(
        EAR,
        replace(EAR, name="ears/right", place=Place((10, 20, 90), (1, 2, 3), (0, 1, 0))),
        Turned(
            name="cup", steps=(Step(length=40, od=57, bore=50),), place=Place((-90, 0, 0), (0, 1, 0), (1, 0, 0))
        ),
        Tube(
            name="strut",
            od=25,
            wall=2,
            length=150,
            start=TubeEnd(kind="saddle", angle=60, r=21.2, offset=2),
            place=Place((100, 0, 0)),
        ),
    ),
)
OTHER = replace(PART, name="other").placed(Place((0, 300, 0), (1, 0, 0), (0, 1, 0)))

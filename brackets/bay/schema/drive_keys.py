"""Keys of [powertrain] that say how it drives, which way it turns and how its crank is made."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated

from brackets.core.schema.checked import Checked
from brackets.core.schema.kinds import angles, choice, count, mm, number, numbers, yes_no

CRANKS = (
    *("single", "single, two-stroke", "twin 360", "twin 180", "twin 270", "twin, two-stroke", "vee twin 90"),
    *("boxer twin", "inline three", "inline four", "inline four, cross-plane", "boxer four", "inline six"),
    "vee eight, cross-plane",
)
"""Names of the cranks of `hang.orders`, which a list of keys shows without loading it."""
RIGHT, LEFT = "right-handed", "left-handed"
CRANK_FIGURES = ("crank_banks", "crank_along", "crank_firing")


@dataclass(frozen=True, kw_only=True)
class DriveKeys(Checked):
    layout: Annotated[str, choice(("longitudinal", "transaxle"), "what the drive torque acts about")] = (
        "longitudinal"
    )
    cylinders: Annotated[int, count(1, 24, "cylinders")] = 4
    strokes: Annotated[int, count(2, 4, "two- or four-stroke")] = 4
    idle: Annotated[float, number(100, 5000, "idle, rev/min")] = 850.0
    crank_layout: Annotated[
        str | None, choice(CRANKS, "how the crank is made, with its cylinders, strokes and firing")
    ] = None
    crank_throws: Annotated[
        tuple[float, ...], angles(-720, 720, "of no such crank: where the pin of each cylinder stands", at_most=16)
    ] = ()
    crank_banks: Annotated[
        tuple[float, ...],
        angles(-360, 360, "how far each cylinder leans from upright, the way the crank turns", at_most=16),
    ] = ()
    crank_along: Annotated[
        tuple[float, ...],
        numbers(-20, 20, "where each is along the crank, in spacings of the cylinders", at_most=16),
    ] = ()
    crank_firing: Annotated[
        tuple[float, ...], angles(0, 720, "when each fires, in 720 deg for four strokes, 360 for two", at_most=16)
    ] = ()
    torque: Annotated[float, number(0, 5000, "largest engine torque, Nm")] = 0.0
    primary: Annotated[float, number(0.1, 30, "primary drive ratio, from the crank to the gearbox")] = 1.0
    first: Annotated[float, number(0.1, 30, "first gear ratio")] = 1.0
    reverse: Annotated[float, number(0.1, 30, "reverse gear ratio")] = 1.0
    final: Annotated[float, number(0.1, 30, "final drive ratio; with a chain or belt what comes after it")] = 1.0
    turns: Annotated[
        str | None,
        choice(
            (RIGHT, LEFT),
            "how the output turns going forward, about crank.axis, of a transaxle axle.axis, of a chain or belt the"
            " axis of its sprocket; without it as wheels that roll forward, a shaft right-handed",
        ),
    ] = None
    road_cases: Annotated[
        bool, yes_no("bump, rebound, braking, pulling away, cornering by common practice, no single source")
    ] = False
    traction_tyre_radius: Annotated[float | None, mm(50, 1500, "rolling radius of the driven tyres")] = None
    traction_driven_load: Annotated[float, number(0, 200000, "load on the driven wheels, N")] = 0.0
    traction_grip: Annotated[float, number(0, 3, "grip of the driven wheels")] = 0.0

    def rules(self) -> Iterator[str]:
        if self.crank_layout is not None and self.crank_throws:
            yield f"crank layout = {self.crank_layout}, must be none where throws are typed: one of the two"
        if self.crank_throws and not self.crank_firing:
            yield "crank firing = nothing, must be typed with throws: when each cylinder fires"
        for name in CRANK_FIGURES:
            if getattr(self, name) and not self.crank_throws:
                yield f"{name.replace('_', ' ')} = given, must be with throws: where each crank pin stands"

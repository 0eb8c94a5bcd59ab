"""The test print: bars, holes and pins at their plain sizes; what they measure sets a printer's scale and
allowances."""

from __future__ import annotations

from collections.abc import Sequence

from manifold3d import Manifold

from brackets.forming.printer_3d import BAR, Printer3D
from brackets.mockups.engrave import DEPTH
from brackets.mockups.letters import lettering, size
from brackets.mockups.record import MockUp, Printed

HOLES = (5.0, 8.0, 10.0, 12.0, 20.0)
PINS = (5.0, 8.0, 10.0, 12.0)

THICK = 6.0
"""mm of the plates and bars."""

TALL = 12.0
"""mm of the pins above their plate, and width of the bars."""

LETTERS = 4.0
"""mm of the figures."""


def printer_test(printer: Printer3D | None = None) -> MockUp:
    """Three bodies to be printed and measured, neither scaled nor with any allowance.

    printer: whose bed they go on; that of common practice where None. Bars 100 mm long along x, y and z in one
    body, measured over their ends; holes of 5, 8, 10, 12 and 20 mm through a plate; pins of 5, 8, 10 and 12 mm on
    another. What they measure is typed into `[printer_3d]` of the shop profile as `bar_x`, `bar_y`, `bar_z`,
    `holes`, `pins`.

    >>> [body.name for body in printer_test().bodies]
    ['bars', 'holes', 'pins']
    """
    printer = Printer3D() if printer is None else printer
    made = [("bars", _bars()), ("holes", _holes()), ("pins", _pins())]
    return MockUp(
        name="test_print",
        printer=printer,
        bodies=tuple(
            Printed(
                name=name,
                kind="test",
                solid=solid,
                home=solid,
                part="test print",
                contact=float(solid.slice(0.02).area()),
            )
            for name, solid in made
        ),
    )


def _bars() -> Manifold:
    along_x = Manifold.cube((BAR, TALL, THICK)) - _word("X 100", (40.0, 4.0), THICK)
    along_y = Manifold.cube((TALL, BAR, THICK)) - _word("Y 100", (8.0, 40.0), THICK, turned=90.0)
    along_z = Manifold.cube((TALL, TALL, BAR)) - _word("Z", (4.0, 4.0), BAR)
    return along_x + along_y + along_z


def _holes() -> Manifold:
    body, x = Manifold.cube((_length(HOLES), 36.0, THICK)), 6.0
    for d in HOLES:
        hole = Manifold.cylinder(3 * THICK, d / 2, circular_segments=96).translate((x + d / 2, 24.0, -THICK))
        body -= hole + _word(f"{d:g}", (x + d / 2 - size([f"{d:g}"], LETTERS)[0] / 2, 4.0), THICK)
        x += d + 6.0
    return body


def _pins() -> Manifold:
    body, x = Manifold.cube((_length(PINS), 28.0, THICK)), 6.0
    for d in PINS:
        pin = Manifold.cylinder(TALL, d / 2, circular_segments=96).translate((x + d / 2, 18.0, THICK))
        body = body + pin - _word(f"{d:g}", (x + d / 2 - size([f"{d:g}"], LETTERS)[0] / 2, 3.0), THICK)
        x += d + 6.0
    return body


def _length(sizes: Sequence[float]) -> float:
    return 6.0 + sum(d + 6.0 for d in sizes)


def _word(text: str, at: tuple[float, float], top: float, *, turned: float = 0.0) -> Manifold:
    flat = lettering([text], LETTERS).rotate(turned).translate(at)
    return flat.extrude(DEPTH + 1.0).translate((0.0, 0.0, top - DEPTH))

"""Load cases as they are typed: "SEAT: fx fy fz [mx my mz] NAME", units as everywhere. N, N mm, the part's axes."""

from __future__ import annotations

import re
from collections.abc import Sequence

from brackets.core.errors import InputError
from brackets.core.units import force, moment
from brackets.core.vectors import Vec
from brackets.hold.part_cases import Counted, PartCase, SeatLoad

FORM = '"SEAT: fx fy fz NAME" or "SEAT: fx fy fz mx my mz NAME", N and N mm, in the part\'s axes'
UNNAMED = "load"
_NUMBER = re.compile(
    r"\s*,?\s*([+-]?(?:\d+\.?\d*|\.\d+)(?:e[+-]?\d+)?\s*"
    r"(?:kn\s?m|n\s?mm|n\s?m|kn|n|lbf\s?ft|lbf\s?in|lbf|kgf)?)(?=[\s,]|$)",
    re.IGNORECASE,
)


def read_load(text: str) -> tuple[str, SeatLoad]:
    """The name of the case and what acts at its seat. Raises InputError for anything else.

    >>> read_load("bush: 0 0 2kN bump")
    ('bump', SeatLoad(seat='bush', force=(0.0, 0.0, 2000.0), moment=(0.0, 0.0, 0.0)))
    >>> read_load("cup/bush: 0, -500, 0, 12 N m, 0, 0 hard left")[1].moment
    (12000.0, 0.0, 0.0)
    """
    seat, colon, rest = text.partition(":")
    numbers: list[str] = []
    while len(numbers) < 7 and (found := _NUMBER.match(rest)):
        numbers.append(found[1])
        rest = rest[found.end() :]
    if not colon or not seat.strip() or len(numbers) not in (3, 6):
        raise InputError(f'load = "{text}", must be {FORM}: {len(numbers)} figures after the seat')
    forces = _three([force(one, name=f"force of load {text!r}") for one in numbers[:3]])
    moments = _three([moment(one, name=f"moment of load {text!r}") for one in numbers[3:]] or [0.0] * 3)
    return rest.strip(" ,") or UNNAMED, SeatLoad(seat.strip(), forces, moments)


def read_cases(texts: Sequence[str], counted: Counted = "characteristic") -> tuple[PartCase, ...]:
    """The cases of several loads: those of one name act at once, in the order they are typed.

    texts: one a load, as `--load` takes them; counted: whether all are characteristic or factored. Raises
    InputError with everything that is wrong.

    >>> [(case.name, len(case.loads)) for case in read_cases(["a: 0 0 1 up", "b: 0 0 2 up", "a: 0 0 -1 down"])]
    [('up', 2), ('down', 1)]
    """
    found: dict[str, list[SeatLoad]] = {}
    wrong: list[str] = []
    for text in texts:
        try:
            name, load = read_load(text)
        except InputError as error:
            wrong += error.problems
            continue
        if any(load.seat == other.seat for other in found.get(name, [])):
            wrong.append(f'load = "{text}", must be given once in a case: {load.seat} in {name}')
        found.setdefault(name, []).append(load)
    if wrong:
        raise InputError(*wrong)
    return tuple(PartCase(name, tuple(loads), counted, "as typed") for name, loads in found.items())


def _three(values: Sequence[float]) -> Vec:
    x, y, z = values
    return (x, y, z)

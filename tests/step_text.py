"""A small reader of STEP text (ISO 10303-21), for tests: planes, cylinders and corners of every named piece.

It knows nothing of the program or its kernel: entities by their numbers, placements, one level of assembly.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any

Vec = tuple[float, float, float]
TOKEN = re.compile(r"\s*('(?:[^']|'')*'|[(),]|[^\s(),]+)")


@dataclass
class Body:
    """Of one piece: planes (point, normal), cylinders (point, direction, radius), corners."""

    planes: list[tuple[Vec, Vec]] = field(default_factory=list)
    cylinders: list[tuple[Vec, Vec, float]] = field(default_factory=list)
    corners: list[Vec] = field(default_factory=list)


def bodies(path: Path) -> dict[str, Body]:
    """Every piece of an assembly under its name, where it stands."""
    text = re.sub(r"\s*\n\s*", "", path.read_text("ascii"))
    data = text.split("DATA;", 1)[1].split("ENDSEC;", 1)[0]
    entities = re.findall(r"#(\d+) = ((?:'(?:[^']|'')*'|[^;'])*);", data)
    return _Reader({int(number): body for number, body in entities}).bodies()


class _Reader:
    def __init__(self, raw: dict[int, str]) -> None:
        self.raw = raw
        self.got = cache(self._got)

    def _got(self, number: int) -> tuple[str, list[Any]]:
        body = self.raw[number]
        name = re.match(r"[A-Z_0-9]+", body)
        return (name[0], _read(body[len(name[0]) :])[0]) if name else ("", _read(body)[0])

    def of(self, kind: str) -> list[tuple[int, list[Any]]]:
        return [(n, self.got(n)[1]) for n, body in self.raw.items() if body.startswith(kind + "(")]

    def ref(self, token: str) -> int:
        return int(token[1:])

    def triple(self, token: str) -> Vec:
        x, y, z = (float(c) for c in self.got(self.ref(token))[1][1])
        return (x, y, z)

    def place(self, token: str) -> tuple[Vec, Vec, Vec, Vec]:
        """Origin, x, y, z of a placement."""
        _, at, axis, ref = self.got(self.ref(token))[1]
        z, x = _unit(self.triple(axis)), self.triple(ref)
        x = _unit(tuple(a - _dot(x, z) * b for a, b in zip(x, z, strict=True)))  # type: ignore[arg-type]
        return self.triple(at), x, _cross(z, x), z

    def bodies(self) -> dict[str, Body]:
        shapes = {}  # product definition -> representation
        for _, (definition, rep) in self.of("SHAPE_DEFINITION_REPRESENTATION"):
            shapes[self.ref(self.got(self.ref(definition))[1][2])] = self.ref(rep)
        found = {}
        for _, (relation, definition) in self.of("CONTEXT_DEPENDENT_SHAPE_REPRESENTATION"):
            used = self.got(self.ref(self.got(self.ref(definition))[1][2]))[1]
            numbers = re.search(r"WITH_TRANSFORMATION\(#(\d+)\)", self.raw[self.ref(relation)])
            assert numbers is not None
            _, _, there, to = self.got(int(numbers[1]))[1]
            here, stands = self.place(there), self.place(to)
            found[used[1].strip("'")] = self.body(shapes[self.ref(used[4])], here, stands)
        return found

    def body(self, rep: int, here: Any, stands: Any) -> Body:
        made = Body()

        def turned(v: Vec) -> Vec:
            local = [_dot(v, axis) for axis in here[1:]]
            found = [sum(c * axis[i] for c, axis in zip(local, stands[1:], strict=True)) for i in range(3)]
            return (found[0], found[1], found[2])

        def moved(p: Vec) -> Vec:
            off = turned(tuple(a - b for a, b in zip(p, here[0], strict=True)))  # type: ignore[arg-type]
            return tuple(a + b for a, b in zip(stands[0], off, strict=True))  # type: ignore[return-value]

        seen: set[int] = set()
        wait = [rep]
        while wait:
            number = wait.pop()
            if number in seen:
                continue
            seen.add(number)
            name, args = self.got(number)
            if name == "PLANE":
                at, _, _, z = self.place(args[1])
                made.planes.append((moved(at), turned(z)))
            elif name == "CYLINDRICAL_SURFACE":
                at, _, _, z = self.place(args[1])
                made.cylinders.append((moved(at), turned(z), float(args[2])))
            elif name == "VERTEX_POINT":
                made.corners.append(moved(self.triple(args[1])))
            if name != "PCURVE":
                wait += _refs(args)
        return made


def _refs(args: Any) -> list[int]:
    if isinstance(args, list):
        return [n for one in args for n in _refs(one)]
    return [int(args[1:])] if args.startswith("#") else []


def _read(text: str) -> tuple[Any, int]:
    """Nested arguments as lists of texts."""
    stack: list[list[Any]] = [[]]
    for token in TOKEN.findall(text):
        if token == "(":
            stack.append([])
        elif token == ")":
            done = stack.pop()
            stack[-1].append(done)
        elif token != ",":
            stack[-1].append(token)
    return stack[0][0] if stack[0] else [], len(text)


def _dot(a: Vec, b: Vec) -> float:
    return sum(p * q for p, q in zip(a, b, strict=True))


def _cross(a: Vec, b: Vec) -> Vec:
    return (a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0])


def _unit(a: Vec) -> Vec:
    size = math.hypot(*a)
    return (a[0] / size, a[1] / size, a[2] / size)

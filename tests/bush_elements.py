"""Stiffness of bonded bushes by finite elements, and the table that `hang/bonded.py` reads.

    python tests/bush_elements.py        writes core/tables/data/bonded.csv anew (some minutes of processor)

The rubber is a ring between a fixed outer cylinder and an inner one that moves as a rigid body; its ends are free.
Displacements are cos or sin of m times the angle, so that one half cross-section is enough: quadratic
displacements and linear pressure (Taylor and Hood 1973) for nearly incompressible rubber, Poisson's ratio 0.4999.
`solid_radial` works out the radial stiffness by another route, tetrahedra over an eighth of the ring.

scikit-fem assembles; it is needed by the tests and by this script alone.
"""

from __future__ import annotations

import csv
import math
import sys
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import Any, Literal

import numpy as np
from scipy.sparse.linalg import splu
from skfem import (
    Basis,
    BilinearForm,
    ElementQuad1,
    ElementQuad2,
    ElementTetP1,
    ElementTetP2,
    ElementVector,
    MeshQuad,
    MeshTet,
    bmat,
)
from skfem.helpers import ddot, div, grad, transpose

Case = Literal["radial", "axial", "conical", "sliding"]
CASES: tuple[Case, ...] = ("radial", "axial", "conical", "sliding")
"""Moved along x, along the axis, turned about y through the middle; along x where the inner wall slips freely."""
NU = 0.4999
TABLE = Path(__file__).resolve().parents[1] / "brackets" / "core" / "tables" / "data" / "bonded.csv"
RADII = (1.15, 6.0)
"""Outer over inner radius, least and most of the table."""
SLENDER = (0.4, 10.0)
"""Length over thickness of the rubber, least and most."""
NODES = (11, 13)
"""Chebyshev nodes along each, in log(log(radii)) and log(slender)."""
FINE = 16
"""Elements through the thickness, and along half the length, that the table is made with."""

Moved = tuple[Callable[[Any], Any] | None, ...]
INNER: dict[Case, Callable[[float], Moved]] = {
    "radial": lambda a: (np.ones_like, lambda z: -np.ones_like(z), np.zeros_like),
    "axial": lambda a: (np.zeros_like, np.zeros_like, np.ones_like),
    "conical": lambda a: (lambda z: z, lambda z: -z, lambda z: np.full_like(z, -a)),
    "sliding": lambda a: (np.ones_like, None, None),
}
"""Displacement of the inner wall, along r, round and along z, as it depends on z; None where it is free."""
STILL: dict[Case, tuple[int, ...]] = {"radial": (2,), "axial": (0,), "conical": (0, 1), "sliding": (2,)}
"""Components that are zero in the plane of symmetry half-way along."""


def stiffnesses(
    cases: Sequence[Case], a: float, b: float, length: float, *, nu: float = NU, count: int = FINE
) -> list[float]:
    """N/mm (conical: N mm/rad) of each case for a shear modulus of 1 MPa; a, b: inner and outer radius, mm."""
    (m,) = {0 if case == "axial" else 1 for case in cases}
    mesh = MeshQuad.init_tensor(graded(a, b, count, both=True), graded(0, length / 2, count, both=False))
    vector = Basis(mesh, ElementVector(ElementQuad2(), 3), intorder=6)
    stiff = _matrix(vector, vector.with_element(ElementQuad1()), m, nu)
    r, z = vector.doflocs
    part = np.empty(vector.N, dtype=int)
    for k in range(3):
        part[_of_part(vector, k)] = k
    found = []
    for case in cases:
        fixed = np.isclose(r, b) | (np.isclose(z, 0.0) & np.isin(part, STILL[case])) | ((part == 1) & (m == 0))
        moved = np.zeros(vector.N)
        for k, given in enumerate(INNER[case](a)):
            here = np.isclose(r, a) & (part == k)
            if given is not None:
                fixed |= here
                moved[here] = given(z[here])
        found.append(energy(stiff, moved, fixed) * 2 * (2 * math.pi if m == 0 else math.pi))
    return found


def _of_part(vector: Any, k: int) -> Any:
    """Numbers of the degrees of freedom that are component k."""
    return np.unique(vector.element_dofs[k::3])


def graded(low: float, high: float, count: int, *, both: bool) -> Any:
    """`count` steps from low to high, finer towards the high end, or towards both."""
    if both:
        return low + (high - low) * (1 - np.cos(np.linspace(0, math.pi, count + 1))) / 2
    return low + (high - low) * np.sin(np.linspace(0, math.pi / 2, count + 1))


def _matrix(vector: Any, pressure: Any, m: int, nu: float) -> Any:
    """The mixed system of a shear modulus of 1 MPa, without the integral over the angle."""

    def strains(u: Any, r: Any) -> tuple[Any, ...]:
        (ur, ut, uz), d = u, grad(u)
        return (
            d[0, 0], (ur + m * ut) / r, d[2, 1],
            d[0, 1] + d[2, 0], d[1, 0] - (m * ur + ut) / r, d[1, 1] - m * uz / r,
        )  # fmt: skip

    @BilinearForm
    def shear(u: Any, v: Any, w: Any) -> Any:
        e, f = strains(u, w.x[0]), strains(v, w.x[0])
        return (2 * sum(e[i] * f[i] for i in range(3)) + sum(e[i] * f[i] for i in range(3, 6))) * w.x[0]

    @BilinearForm
    def volume(u: Any, q: Any, w: Any) -> Any:
        return -sum(strains(u, w.x[0])[:3]) * q * w.x[0]

    @BilinearForm
    def squeeze(p: Any, q: Any, w: Any) -> Any:
        return -p * q * w.x[0] * (1 - 2 * nu) / (2 * nu)

    across = volume.assemble(vector, pressure)
    return bmat([[shear.assemble(vector), across.T], [across, squeeze.assemble(pressure)]], "csc")


def energy(stiff: Any, moved: Any, fixed: Any) -> float:
    """u'Ku with the displacements given where `fixed` and every other force zero; pressures follow them."""
    x = np.concatenate([moved, np.zeros(stiff.shape[0] - len(moved))])
    free = np.concatenate([~fixed, np.ones(stiff.shape[0] - len(moved), dtype=bool)])
    x[free] = splu(stiff[free][:, free]).solve(-(stiff[free] @ x))
    return float(x @ (stiff @ x))


def bobbin(radius: float, height: float, *, count: int = 12, nu: float = NU) -> dict[str, float]:
    """N/mm and N mm/rad of a bobbin at a shear modulus of 1 MPa: its lower plate still, the upper one moved.

    The axis is a hole of a thousandth of the radius, so that nothing is divided by zero.
    """
    steps = height * (1 - np.cos(np.linspace(0, math.pi, 2 * count + 1))) / 2 - height / 2
    mesh = MeshQuad.init_tensor(graded(radius / 1000, radius, count, both=False), steps)
    vector = Basis(mesh, ElementVector(ElementQuad2(), 3), intorder=6)
    r, z = vector.doflocs
    part = np.empty(vector.N, dtype=int)
    for k in range(3):
        part[_of_part(vector, k)] = k
    top, bottom = np.isclose(z, height / 2), np.isclose(z, -height / 2)
    found = {}
    for name, m, moved in (
        ("compression", 0, (0 * r, 0 * r, 1 + 0 * r)),
        ("shear", 1, (1 + 0 * r, -1 + 0 * r, 0 * r)),
        ("tilt", 1, (z, -z, -r)),
    ):
        stiff = _matrix(vector, vector.with_element(ElementQuad1()), m, nu)
        given = np.where(top, np.choose(part, moved), 0.0)
        fixed = top | bottom | ((part == 1) & (m == 0))
        found[name] = energy(stiff, given, fixed) * (2 * math.pi if m == 0 else math.pi)
    return found


def solid_radial(a: float, b: float, length: float, *, cells: tuple[int, int, int], nu: float = NU) -> float:
    """N/mm at a shear modulus of 1 MPa: an eighth of the ring in tetrahedra; cells: radial, round, along."""
    ring = MeshTet.init_tensor(
        graded(a, b, cells[0], both=True),
        np.linspace(0, math.pi / 2, cells[1] + 1),
        graded(0, length / 2, cells[2], both=False),
    )
    r, angle, z = ring.p
    mesh = MeshTet(np.array([r * np.cos(angle), r * np.sin(angle), z]), ring.t)
    vector = Basis(mesh, ElementVector(ElementTetP2()), intorder=4)

    @BilinearForm
    def shear(u: Any, v: Any, _: Any) -> Any:
        return ddot(grad(u) + transpose(grad(u)), grad(v))

    @BilinearForm
    def volume(u: Any, q: Any, _: Any) -> Any:
        return -div(u) * q

    @BilinearForm
    def squeeze(p: Any, q: Any, _: Any) -> Any:
        return -p * q * (1 - 2 * nu) / (2 * nu)

    pressure = vector.with_element(ElementTetP1())
    across = volume.assemble(vector, pressure)
    stiff = bmat([[shear.assemble(vector), across.T], [across, squeeze.assemble(pressure)]], "csc")
    part = np.empty(vector.N, dtype=int)
    for k in range(3):
        part[_of_part(vector, k)] = k
    x, y, z = vector.doflocs
    walls = []
    for radius in (a, b):
        on = np.isclose(np.hypot(*mesh.p[:2]), radius)[mesh.facets].all(axis=0)
        walls.append(np.isin(np.arange(vector.N), vector.get_dofs(facets=np.flatnonzero(on)).all()))
    fixed = walls[0] | walls[1] | (np.isclose(y, 0.0) & (part == 1)) | (np.isclose(z, 0.0) & (part == 2))
    fixed |= np.isclose(x, 0.0) & (part != 0)
    return 8 * energy(stiff, np.where(walls[0] & (part == 0), 1.0, 0.0), fixed)


def nodes(limits: tuple[float, float], count: int) -> list[float]:
    """Chebyshev nodes of the first kind between two limits."""
    low, high = limits
    return [(low + high - (high - low) * math.cos(math.pi * (i + 0.5) / count)) / 2 for i in range(count)]


def rows() -> Iterator[tuple[float, ...]]:
    """Outer over inner radius, length over thickness, and what the table holds of each case.

    radial, axial, sliding: K/(G L); conical: K/(G L^3).
    """
    for x in nodes((math.log(math.log(RADII[0])), math.log(math.log(RADII[1]))), NODES[0]):
        for y in nodes((math.log(SLENDER[0]), math.log(SLENDER[1])), NODES[1]):
            radii, slender = math.exp(math.exp(x)), math.exp(y)
            yield radii, slender, *factors(radii, slender)


def factors(radii: float, slender: float, *, count: int = FINE) -> tuple[float, float, float, float]:
    """One row of the table, worked out: radial, axial, conical, sliding."""
    length = slender * (radii - 1)
    radial, conical, sliding = stiffnesses(("radial", "conical", "sliding"), 1.0, radii, length, count=count)
    (axial,) = stiffnesses(("axial",), 1.0, radii, length, count=count)
    return radial / length, axial / length, conical / length**3, sliding / length


HEAD = """\
# Bonded bushes, no source but the script that made this, tests/bush_elements.py: Taylor-Hood, first harmonic,
# Poisson's ratio 0.4999, 16 by 16 elements over half the length; source of each check: tests/test_hang_bush.py.
# radii: outer over inner radius; slender: length over thickness (Chebyshev nodes); radial, axial, sliding: K/(G L);
# conical: K/(G L^3).
"""


def write() -> None:
    with TABLE.open("w", encoding="utf-8", newline="") as file:
        file.write(HEAD)
        table = csv.writer(file, lineterminator="\n")
        table.writerow(("radii", "slender", *CASES))
        for row in rows():
            table.writerow([f"{value:.8g}" for value in row])
            file.flush()


if __name__ == "__main__":
    sys.exit(write())

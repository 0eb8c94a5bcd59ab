"""How much faster the clearance engine is than others that are asked the same, measured side by side in one run.

    python tests/bench/bench_clearance.py [--all] [--peers]

Prints one table, in seconds of processor; the first rows also say how many times faster by the clock, where the
processors that mesh side by side count. The bodies are invented: six parts of a mount, forty obstacles of a bay.
Without --all the kernel is timed on every tenth of the fifty variants and its time multiplied; everything else is
timed whole. With --peers only what is compared with the fair peers (`clearance_peers.py`) is measured: fouls and a
scan are among it. Ends with 1 where a ratio is not what is wanted, or where two do not find the same; nothing is
kept from one run to the next.
"""

from __future__ import annotations

import argparse
import resource
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from typing import TypeVar

import cadquery as cq
import numpy as np
import trimesh
from clearance_peers import MEET, coal_manager, fcl_manager, kernel_cuts, pruned_kernel
from OCP.BRepExtrema import BRepExtrema_DistShapeShape

from brackets import clearance
from brackets.clearance.bodies import forget
from brackets.core import kept
from brackets.library.recipe import shipped

T = TypeVar("T")
V = cq.Vector
NEEDED = 5.0
SEED = 20240611
PREPARED = 15.0
WHOLE = 4.0
"""Times as fast as the kernel pruned by boxes, at least: a query, and with all that it prepares."""
MANAGER = 3.0
"""Times what fcl's tree manager takes, at most, with intervals and points that it does not give."""
AGREE = 1e-3
"""mm: as well as a settled gap is known."""


def timed(work: Callable[[], T]) -> tuple[T, float]:
    """What it found, and the seconds of processor it took: those of all its threads, whatever else runs."""
    start = time.process_time()
    found = work()
    return found, time.process_time() - start


def middle(work: Callable[[], T]) -> tuple[T, float]:
    """The same for the middle of three runs, each with nothing remembered: what is short is easily disturbed."""
    runs = []
    for _ in range(3):
        forget()
        runs.append(timed(work))
    return sorted(runs, key=lambda run: run[1])[1]


def rss() -> float:
    """Most memory held so far, MB."""
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return peak / (1 << 20) if sys.platform == "darwin" else peak / 1024


def cup(od: float, wall: float, length: float) -> cq.Shape:
    tube = cq.Workplane().circle(od / 2 + wall).circle(od / 2).extrude(length)
    return tube.faces(">Z or <Z").chamfer(0.8).val()


def ears(inside: float, height: float, t: float) -> cq.Shape:
    """A folded U with rounded ends and a hole through both ears."""
    outer = cq.Workplane("XZ").rect(inside + 2 * t, height).extrude(40, both=False).edges("|Y").fillet(t)
    inner = cq.Workplane("XZ").workplane(offset=-5).center(0, t).rect(inside, height).extrude(60)
    made = outer.cut(inner.edges("|Y").fillet(2))
    return made.faces(">X").workplane(centerOption="CenterOfBoundBox").hole(12.5).val()


def plate(x: float, y: float, t: float, d: float) -> cq.Shape:
    made = cq.Workplane().box(x, y, t).edges("|Z").fillet(10)
    holes = made.faces(">Z").workplane().rect(x - 30, y - 30, forConstruction=True).vertices()
    return holes.hole(d).faces(">Z").workplane().hole(30).val()


def adaptor(points: int, r: float, t: float) -> cq.Shape:
    made = cq.Workplane().polygon(points, 2 * r).extrude(t).edges("|Z").fillet(12)
    return made.faces(">Z").workplane().polarArray(r - 18, 0, 360, points).hole(10.5).val()


def six_parts(grow: float = 0.0) -> list[cq.Shape]:
    made = [
        cup(50 + grow, 5, 40),
        ears(54 + grow, 70, 6),
        plate(120 + grow, 90, 8, 10.5),
        adaptor(6, 70 + grow, 10),
        plate(90, 70 + grow, 6, 12.5),
        ears(62 + grow, 60, 5),
    ]
    stands = ((0, 0, 0), (160, 20, 10), (320, 0, -20), (0, 220, 10), (160, 240, 0), (320, 230, 15))
    leans = (0, 12, -8, 20, 5, -15)
    return [
        shape.rotate(V(0, 0, 0), V(1, 2, 0.5), lean).moved(cq.Location(V(*at)))
        for shape, at, lean in zip(made, stands, leans, strict=True)
    ]


def forty_obstacles(rng: np.random.Generator) -> list[cq.Shape]:
    """Tubes, solid rods, box sections and housings strewn round the parts, none of them through one."""
    found: list[cq.Shape] = []
    for number in range(40):
        kind = number % 4
        if kind == 0:
            shape: cq.Shape = cq.Workplane().circle(21.2).circle(18).extrude(400, both=True).val()
        elif kind == 1:
            shape = cq.Solid.makeCylinder(float(rng.uniform(5, 25)), 300, V(0, 0, -150))
        elif kind == 2:
            shape = cq.Workplane().rect(60, 40).extrude(200, both=True).edges("|Z").fillet(5).shell(-3).val()
        else:
            shape = cq.Workplane().box(150, 90, 70).edges().fillet(8).faces(">Z").workplane().hole(35).val()
        axis = rng.normal(size=3)
        turned = shape.rotate(V(0, 0, 0), V(*axis.tolist()), float(rng.uniform(0, 180)))
        found.append(turned.moved(cq.Location(V(*spot(rng)))))
    return found


def spot(rng: np.random.Generator) -> tuple[float, float, float]:
    side = 1 if rng.uniform() < 0.5 else -1
    return float(rng.uniform(-150, 480)), float(rng.uniform(-100, 340)), side * float(rng.uniform(140, 420))


def naive(parts: Sequence[cq.Shape], obstacles: Sequence[cq.Shape]) -> np.ndarray:
    return np.array(
        [[BRepExtrema_DistShapeShape(a.wrapped, b.wrapped).Value() for b in obstacles] for a in parts]
    )


def worst_error(rows: Sequence[clearance.Row], true: np.ndarray) -> float:
    """mm: how far any settled gap is from the kernel's, and any interval from holding it."""
    found = 0.0
    for row in rows:
        value = true[row.i, row.j]
        off = abs(row.gap.best - value) if row.gap.state == "clear" else 0.0
        found = max(found, off, row.gap.low - value, value - row.gap.high)
    return found


def line(what: str, ours: float, kernel: float | None = None, note: str = "") -> None:
    ratio = f"{kernel / ours:7.0f}x" if kernel is not None else " " * 8
    theirs = f"{kernel:10.3f}" if kernel is not None else " " * 10
    print(f"{what:<46}{ours:10.4f}{theirs}{ratio}  {note}")


def bodies(shapes: Sequence[cq.Shape]) -> list[clearance.Body]:
    return [clearance.body(shape, name=str(number)) for number, shape in enumerate(shapes)]


def ready(shapes: Sequence[cq.Shape]) -> list[clearance.Body]:
    found = bodies(shapes)
    for one in found:
        one.core.prepare()
    return found


def bench_survey(obstacles: Sequence[cq.Shape]) -> None:
    parts = six_parts()
    start = time.perf_counter()
    true, kernel = timed(lambda: naive(parts, obstacles))
    clock = time.perf_counter() - start
    cold, whole = middle(lambda: clearance.survey(bodies(parts), bodies(obstacles), NEEDED))
    forget()
    mine, others = ready(parts), ready(obstacles)
    rows, query = timed(lambda: clearance.survey(mine, others, NEEDED))
    settled = sum(row.gap.state != "far" for row in rows)
    off = worst_error(rows, true)
    note = f"error {off:.1e} mm, {settled} of {len(rows)} pairs settled"
    line("6 parts x 40 obstacles, query", query, kernel, note)
    same = "same rows" if cold == rows else "ROWS DIFFER"
    walls = []
    for _ in range(3):
        forget()
        start = time.perf_counter()
        clearance.survey(bodies(parts), bodies(obstacles), NEEDED)
        walls.append(time.perf_counter() - start)
    line("  with preparation", whole, kernel, f"{same}; {clock / sorted(walls)[1]:.0f}x by the clock")
    again, second = timed(lambda: clearance.survey(mine, others, NEEDED))
    line("  the same query again", second, kernel, "same rows" if again == rows else "ROWS DIFFER")


def bench_variants(obstacles: Sequence[cq.Shape], *, whole: bool) -> None:
    shapes = [six_parts(0.2 * number)[number % 6] for number in range(50)]
    timed_on = shapes if whole else shapes[::10]
    true, kernel = timed(lambda: naive(timed_on, obstacles))
    kernel *= len(shapes) / len(timed_on)
    forget()

    def ours() -> list[tuple[clearance.Row, ...]]:
        others = bodies(obstacles)
        return [clearance.survey([one], others, NEEDED) for one in bodies(shapes)]

    found, spent = timed(ours)
    checked = found if whole else found[::10]
    off = max(worst_error(rows, true[k : k + 1]) for k, rows in enumerate(checked))
    note = f"error {off:.1e} mm" + ("" if whole else "; kernel timed on 5 of 50")
    line("50 variants x 40 obstacles, with preparation", spent, kernel, note)


def ratio(what: str, found: float, wanted: float, *, least: bool, note: str) -> bool:
    """Prints one ratio beside what is wanted of it; whether it is that."""
    good = found >= wanted if least else found <= wanted
    said = "at least" if least else "at most"
    print(f"{what:<50}{found:10.2f} times, wanted {said} {wanted:g}{'' if good else '  MISSED'}; {note}")
    return good


def bench_pruned(obstacles: Sequence[cq.Shape]) -> Iterator[bool]:
    """Six parts and forty obstacles, then with three more that foul a part each: asked for distances, and then for
    what is shared where they foul too."""
    parts = six_parts()
    rods = [cq.Solid.makeCylinder(6, 300, V(*part.Center().toTuple()) - V(0, 0, 150)) for part in parts[:3]]
    fouls = [rod.moved(cq.Location(V(28, 0, 0))) for rod in rods]
    for what, many in (("6 x 40", obstacles), ("6 x 43", [*obstacles, *fouls])):
        for shared in (False, True):
            yield from against_kernel(what, parts, many, shared=shared)


def against_kernel(
    what: str, parts: Sequence[cq.Shape], obstacles: Sequence[cq.Shape], *, shared: bool
) -> Iterator[bool]:
    """Both sides with distances alone; with `shared` also with the volume and the middle of what they share. The
    volume is exact from the kernel's cut, from ours an interval by the triangles, with the common body."""

    def theirs() -> tuple[list[dict[int, float]], dict[tuple[int, int], tuple[float, np.ndarray]]]:
        found = pruned_kernel(parts, obstacles, NEEDED)
        return found, kernel_cuts(parts, obstacles, found) if shared else {}

    def ours(
        one: Sequence[clearance.Body], other: Sequence[clearance.Body]
    ) -> tuple[clearance.Rows, dict[tuple[int, int], clearance.Overlap]]:
        found = clearance.survey(one, other, NEEDED)
        distances = found.distances
        meet = [pair for pair, ends in distances.items() if ends == (0.0, 0.0)] if shared else []
        return found, {(i, j): clearance.overlap(one[i], other[j], exact=False, pulls=False) for i, j in meet}

    runs = []
    for _ in range(5):
        (near, cuts), kernel = timed(theirs)
        forget()
        _, whole = timed(lambda: ours(bodies(parts), bodies(obstacles)))
        forget()
        mine, others = ready(parts), ready(obstacles)
        (found, commons), query = timed(lambda a=mine, b=others: ours(a, b))
        runs.append((kernel / query, kernel / whole))
    gaps = {(row.i, row.j): row.gap for row in found}
    asked = [(gaps[i, j], value) for i, of_part in enumerate(near) for j, value in of_part.items()]
    off = max(max(gap.low - value, value - gap.high, 0.0) for gap, value in asked)
    hits = sum(value <= MEET for _, value in asked)
    good = off <= AGREE and hits > 0 and cuts.keys() == commons.keys()
    note = f"{len(asked)} pairs asked of the kernel, {hits} fouls, off {off:.0e} mm"
    if shared:
        spread = max((common.high - common.low) / 2 / cuts[pair][0] for pair, common in commons.items())
        good &= all(common.low <= cuts[pair][0] <= common.high for pair, common in commons.items())
        note += f", volumes held, to {100 * spread:.0f} % at most"
    asks = "distances and common bodies" if shared else "distances"
    by_query, by_whole = (float(np.median(one)) for one in zip(*runs, strict=True))
    yield good
    yield ratio(f"{what}, {asks}, pruned kernel", by_query, PREPARED, least=True, note=note)
    yield ratio("  with preparation", by_whole, WHOLE, least=True, note=note)


def bench_managers(rng: np.random.Generator) -> Iterator[bool]:
    """Thirty boxes among five hundred rods and a scan: some foul, one lies at the scan."""
    small = [cq.Solid.makeBox(20, 20, 20, V(*rng.uniform(0, 900, 3).tolist())) for _ in range(29)]
    rods = [cq.Solid.makeCylinder(8, 40, V(*rng.uniform(0, 900, 3).tolist())) for _ in range(500)]
    scan = trimesh.load_mesh(shipped() / "tern_engine.stl")
    scan.apply_translation(V(1200, 450, 450).toTuple() - scan.bounds.mean(axis=0))
    near = V(*(scan.bounds[0] - (30, 0, 0)).tolist())
    one, other = ready([*small, cq.Solid.makeBox(20, 20, 20, near)]), ready(rods)
    other.append(clearance.body(scan, name="scan"))
    other[-1].core.prepare()
    managers = {"fcl": fcl_manager(one, other), "coal": coal_manager(one, other)}
    for name, ask in managers.items():
        if ask is None:
            print(f"{name}: not there, not compared (pip install {name})")
            continue
        runs = []
        for _ in range(5):
            theirs, took = timed(ask)
            found, spent = timed(lambda: clearance.survey(one, other, 0.0).distances)
            runs.append(spent / took)
        ends = [[gap for (i, _), gap in found.items() if i == number] for number in range(len(one))]
        least = [tuple(map(min, zip(*gaps, strict=True))) for gaps in ends]
        bound = max(body.bound for body in (*one, *other)) * 2 + AGREE
        off = max(max(low - d, d - high, 0.0) for (low, high), d in zip(least, theirs, strict=True))
        note = f"{sum(d == 0 for d in theirs)} foul, within {off:.3f} mm (triangles {bound:.3f})"
        yield off <= bound
        yield ratio(f"30 x 501, {name}'s tree manager", float(np.median(runs)), MANAGER, least=False, note=note)


def bench_many(rng: np.random.Generator) -> None:
    small = bodies([cq.Solid.makeBox(20, 20, 20, V(*rng.uniform(0, 900, 3).tolist())) for _ in range(30)])
    many = bodies([cq.Solid.makeCylinder(8, 40, V(*rng.uniform(0, 900, 3).tolist())) for _ in range(500)])
    for one in (*small, *many):
        one.core.prepare()
    rows, spent = timed(lambda: clearance.survey(small, many, NEEDED))
    line(
        "30 x 500 bodies, query",
        spent,
        None,
        f"{len(rows)} rows, {sum(r.gap.state != 'far' for r in rows)} settled",
    )


def engine() -> tuple[np.ndarray, np.ndarray]:
    """An invented lumpy casting of 327 680 triangles."""
    ball = trimesh.creation.icosphere(subdivisions=7, radius=1.0)
    rng = np.random.default_rng(5)
    waves = zip(rng.uniform(1, 5, 12), rng.normal(0, 6, (12, 3)), strict=True)
    bumps = sum(size * np.sin(ball.vertices @ way) for size, way in waves)
    return ball.vertices * (250, 150, 220) + ball.vertices * np.asarray(bumps)[:, None], ball.faces


def bench_scan() -> clearance.Body:
    corners, faces = engine()
    before = rss()
    scan = clearance.body((corners, faces), name="engine")
    _, prepared = timed(scan.core.prepare)
    line(f"scan of {len(faces)} triangles, preparation", prepared, None, f"{rss() - before:.0f} MB")
    for name, shape in (("cup", cup(50, 5, 40)), ("ears", ears(54, 70, 6)), ("adaptor", adaptor(6, 70, 10))):
        one = clearance.body(shape.moved(cq.Location(V(300, 60, 40), V(1, 1, 0), 35)), name=name)
        one.core.prepare()
        found, spent = timed(lambda one=one: clearance.gap(one, scan))
        line(
            f"  {name} against it, exact",
            spent,
            None,
            f"{found.state} {found.low:.4f} to {found.high:.4f} mm",
        )
    return scan


def bench_motion(scan: clearance.Body) -> None:
    rng = np.random.default_rng(5)
    others = []
    for number in range(44):
        way = rng.normal(size=3)
        way /= np.linalg.norm(way)
        across = np.cross(way, rng.normal(size=3))
        across /= np.linalg.norm(across)
        at = way * (250, 150, 220) + way * rng.uniform(65, 150)
        shape = cq.Solid.makeCylinder(10, 200, V(*(at - across * 100).tolist()), V(*across.tolist()))
        if number % 3 == 0:
            shape = (
                cq.Workplane()
                .circle(12)
                .circle(9)
                .extrude(200)
                .val()
                .moved(cq.Location(V(*(at + 90 * way).tolist())))
            )
        others.append(clearance.body(shape, name=str(number)))
    axis = ((0, 0, 0), (1, 0, 0))
    still = ((0.0, 0.0),) * 3
    travel = ((-5.0, 5.0), (-3.0, 3.0), (-7.0, 4.0))
    for what, spans, needed in (
        ("rock +-3 deg, no travel", still, None),
        ("rock +-3 deg, three travels", travel, None),
        ("  and every pair under 15 mm", travel, 15.0),
    ):
        found, spent = timed(
            lambda s=spans, n=needed: clearance.rock(scan, others, axis, (-3, 3), s, 0.5, needed=n)
        )
        line(
            f"engine x 44 obstacles, {what}",
            spent,
            None,
            f"{found.low:.2f} to {found.high:.2f} mm, {found.looks} looks",
        )
    bay = {"roll": 1, "pitch": 0.5, "yaw": 0.3, "up": 4, "down": 7, "fore": 5, "aft": 5, "side": 3}
    moves = clearance.powertrain_moves((0, 0, 0), **bay)
    found, spent = timed(lambda: clearance.sweep(scan, others, moves, 0.5, needed=15.0))
    note = f"{found.low:.2f} to {found.high:.2f} mm, {found.looks} looks"
    line("engine x 44 obstacles, all six freedoms", spent, None, note)


def main() -> int:
    ask = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    ask.add_argument("--all", action="store_true", help="time the kernel on all fifty variants")
    ask.add_argument("--peers", action="store_true", help="compare with the fair peers alone")
    told = ask.parse_args()
    whole, kept.ENABLED = told.all, False
    rng = np.random.default_rng(SEED)
    obstacles = forty_obstacles(rng)
    good = [*bench_pruned(obstacles), *bench_managers(np.random.default_rng(SEED))]
    if told.peers:
        return int(not all(good))
    print(f"{'':<46}{'ours, s':>10}{'kernel, s':>10}{'ratio':>8}")
    bench_survey(obstacles)
    bench_variants(obstacles, whole=whole)
    bench_many(rng)
    bench_motion(bench_scan())
    print(f"most memory held: {rss():.0f} MB")
    return int(not all(good))


if __name__ == "__main__":
    sys.exit(main())

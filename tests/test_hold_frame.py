"""Frames against closed forms, two textbooks, and a stiffness sum of another kind; equilibrium at every node."""

from __future__ import annotations

from itertools import pairwise
from math import inf, pi

import numpy as np
import pytest

from brackets import InputError, OutOfRange, hold
from brackets.hold import CLAMPED, PIN, BeamSection, Frame, Member, Support

TUBE = hold.round_section(38.1, 3.2)
E, IY, A = TUBE.e, TUBE.iy, TUBE.area
STIFF = BeamSection(area=1e9, iy=5e4, iz=5e4, torsion=1e5, e=210e3, g=81e3)
"""Does not give along its length, so that the closed forms of portals hold."""


def bar(name: str, start: str, end: str, section: BeamSection = TUBE, **more: object) -> Member:
    return Member(name=name, start=start, end=end, section=section, **more)  # type: ignore[arg-type]


def cantilever(section: BeamSection = TUBE, length: float = 300.0) -> Frame:
    arm = bar("arm", "wall", "tip", section)
    return Frame({"wall": (0, 0, 0), "tip": (length, 0, 0)}, [arm], {"wall": CLAMPED})


def test_sections_of_members() -> None:
    """38.1 x 3.2: A 350.85, I 53,867; a bar 50 x 6 in torsion b t^3/3 less 0.63 t^4/3 (Saint-Venant)."""
    assert (TUBE.area, TUBE.iz, TUBE.torsion) == pytest.approx((350.85, 53867, 2 * 53867), rel=1e-5)
    assert pytest.approx(210e3 / 2.6) == TUBE.g
    flat = hold.flat_section(50, 6)
    assert (flat.area, flat.iy, flat.iz) == (300, 50 * 6**3 / 12, 6 * 50**3 / 12)
    assert flat.torsion == pytest.approx(50 * 6**3 / 3 - 0.63 * 6**4 / 3, rel=1e-4)
    assert hold.flat_section(10, 10).torsion == pytest.approx(0.1406 * 10**4, rel=5e-3)


def test_a_cantilever() -> None:
    """F L^3/3EI and F L^2/2EI; T L/GJ; N L/EA; a moment at the tip M L^2/2EI."""
    found = cantilever().solve({"tip": (900, 0, -500, 4e4, 0, 0)})
    moved = found.moved["tip"]
    turn = 500 * 300**2 / (2 * E * IY)
    assert moved[[0, 2, 3, 4]] == pytest.approx(
        [900 * 300 / (E * A), -500 * 300**3 / (3 * E * IY), 4e4 * 300 / (TUBE.g * TUBE.torsion), turn]
    )
    assert found.reactions["wall"] == pytest.approx([-900, 0, 500, -4e4, -500 * 300, 0])
    assert found.ends["arm"][0] == pytest.approx([-900, 500, 0, -4e4, 0, 500 * 300])  # its y is up, its z = -y
    bent = cantilever().solve({"tip": (0, 0, 0, 0, 3e4, 0)}).moved["tip"]
    assert bent[2] == pytest.approx(-3e4 * 300**2 / (2 * E * IY))


def test_a_plate_as_a_cantilever() -> None:
    """0.88183 mm: a strip 50 x 6, 100 out, 500 N at its end, E 210,000."""
    strip = bar("strip", "wall", "tip", hold.flat_section(50, 6), up=(0, 1, 0))
    frame = Frame({"wall": (0, 0, 0), "tip": (100, 0, 0)}, [strip], {"wall": CLAMPED})
    assert frame.solve({"tip": (0, 0, -500, 0, 0, 0)}).moved["tip"][2] == pytest.approx(-0.88183, abs=1e-5)


def test_shear_adds_what_timoshenko_says() -> None:
    """F L^3/3EI + F L/G As; without shear areas the beam is Euler and Bernoulli's."""
    short = hold.round_section(38.1, 3.2, shear=True)
    assert short.shear_y is not None
    moved = cantilever(short, 60.0).solve({"tip": (0, 0, -500, 0, 0, 0)}).moved["tip"]
    assert -moved[2] == pytest.approx(500 * 60**3 / (3 * E * IY) + 500 * 60 / (TUBE.g * short.shear_y))
    assert moved[4] == pytest.approx(500 * 60**2 / (2 * E * IY))
    assert hold.round_section(20, 10, shear=True).shear_y == pytest.approx(6 * 1.3 / (7 + 6 * 0.3) * pi * 100)
    thin = hold.round_section(100, 0.1, shear=True)
    assert thin.shear_y == pytest.approx(2 * 1.3 / (4 + 3 * 0.3) * thin.area, rel=1e-3)  # Cowper's thin tube


def test_a_bar_on_two_pins_with_a_load_between() -> None:
    """F a^2 b^2 / 3EIL under the load; the reactions F b/L, F a/L."""
    nodes = {"a": (0, 0, 0), "load": (200, 0, 0), "b": (500, 0, 0)}
    roller = Support(y=inf, z=inf)
    supports = {"a": Support(inf, inf, inf, inf), "b": roller}
    frame = Frame(nodes, [bar("1", "a", "load"), bar("2", "load", "b")], supports)
    found = frame.solve({"load": (0, 0, -1000, 0, 0, 0)})
    assert found.moved["load"][2] == pytest.approx(-1000 * 200**2 * 300**2 / (3 * E * IY * 500))
    assert found.reactions["a"][2] == pytest.approx(600)
    assert found.reactions["b"][2] == pytest.approx(400)


def test_a_bar_clamped_at_both_ends() -> None:
    """F L^3/192EI in the middle, F L/8 at the ends."""
    nodes = {"a": (0, 0, 0), "load": (250, 0, 0), "b": (500, 0, 0)}
    frame = Frame(nodes, [bar("1", "a", "load"), bar("2", "load", "b")], {"a": CLAMPED, "b": CLAMPED})
    found = frame.solve({"load": (0, 700, 0, 0, 0, 0)})
    assert found.moved["load"][1] == pytest.approx(700 * 500**3 / (192 * E * IY))
    assert abs(found.reactions["a"][5]) == pytest.approx(700 * 500 / 8)


def test_a_propped_cantilever() -> None:
    """Clamped and pinned, load in the middle: 5 F/16 at the pin, 3 F L/16 at the clamp; by a hinge or a support."""
    nodes = {"a": (0, 0, 0), "load": (250, 0, 0), "b": (500, 0, 0)}
    one = Frame(nodes, [bar("1", "a", "load"), bar("2", "load", "b")], {"a": CLAMPED, "b": PIN})
    other = Frame(
        nodes, [bar("1", "a", "load"), bar("2", "load", "b", end_joint="ball")], {"a": CLAMPED, "b": CLAMPED}
    )
    for frame in (one, other):
        found = frame.solve({"load": (0, 0, -800, 0, 0, 0)})
        assert found.reactions["b"][2] == pytest.approx(250)
        assert abs(found.reactions["a"][4]) == pytest.approx(3 * 800 * 500 / 16)
        assert found.ends["2"][1][3:] == pytest.approx([0, 0, 0], abs=1e-6)


def portal(foot: Support, **joints: object) -> Frame:
    nodes = {"a": (0, 0, 0), "b": (0, 0, 400), "c": (600, 0, 400), "d": (600, 0, 0)}
    beam = bar("beam", "b", "c", STIFF, **joints)
    return Frame(nodes, [bar("left", "a", "b", STIFF), beam, bar("right", "c", "d", STIFF)], {"a": foot, "d": foot})


def test_a_portal_on_clamped_feet() -> None:
    """Sway H at the beam, k = h/L for one section: foot H h (3k+1)/(2 (6k+1)), corner H h 3k/(2 (6k+1)).

    A. Kleinlogel, Rigid Frame Formulas (from memory); found again by slope and deflection.
    """
    found = portal(CLAMPED).solve({"b": (1000, 0, 0, 0, 0, 0)})
    k = 400 / 600
    foot, corner = (1000 * 400 * part / (2 * (6 * k + 1)) for part in (3 * k + 1, 3 * k))
    assert abs(found.reactions["a"][4]) == pytest.approx(foot, rel=1e-4)
    assert np.abs(found.ends["beam"][:, 5]) == pytest.approx([corner, corner], rel=1e-4)
    assert found.reactions["a"][0] == pytest.approx(-500, rel=1e-4)
    assert found.reactions["d"][2] == pytest.approx(2 * corner / 600, rel=1e-4)


def test_a_portal_on_pins_and_one_with_a_hinged_beam() -> None:
    """On pins: corner H h/2. Hinged beam on clamped feet: two cantilevers, each H/2, foot H h/2, no moment
    above.
    """
    pins = portal(Support(inf, inf, inf, inf, 0, inf)).solve({"b": (1000, 0, 0, 0, 0, 0)})
    assert np.abs(pins.ends["beam"][:, 5]) == pytest.approx([200e3, 200e3], rel=1e-6)
    hinged = portal(CLAMPED, start_joint="pinned", end_joint="pinned").solve({"b": (1000, 0, 0, 0, 0, 0)})
    assert np.abs(hinged.ends["beam"][:, 4:]).max() == pytest.approx(0, abs=1e-6)
    assert abs(hinged.reactions["a"][4]) == pytest.approx(200e3, rel=1e-4)
    assert hinged.moved["b"][0] == pytest.approx(500 * 400**3 / (3 * 210e3 * 5e4), rel=1e-4)


def test_the_space_frame_of_logan() -> None:
    """D. L. Logan, A First Course in the Finite Element Method, 4th edition, example 5.8, kip and inch; its figures
    as several public sources repeat them."""
    of = BeamSection(area=10, iy=100, iz=100, torsion=50, e=30e3, g=10e3)
    nodes = {"1": (0, 0, 0), "2": (-100, 0, 0), "3": (0, 0, -100), "4": (0, -100, 0)}
    ups = (("2", (0, 1, 0)), ("3", (0, 1, 0)), ("4", (1, 0, 0)))
    members = [bar(f"to {n}", n, "1", of, up=up) for n, up in ups]
    frame = Frame(nodes, members, dict.fromkeys("234", CLAMPED))
    moved = frame.solve({"1": (0, -50, 0, -1000, 0, 0)}).moved["1"]
    printed = [7.098e-5, -0.014, -2.352e-3, -3.996e-3, 1.78e-5, -1.033e-4]
    assert moved == pytest.approx(printed, rel=5e-3)


def test_the_space_frame_of_ferreira() -> None:
    """A. J. M. Ferreira, MATLAB Codes for Finite Element Analysis, 3D frame, kN and m; its figures to 1e-8 as a
    public source repeats them. y of its members lies level."""
    of = BeamSection(area=0.02, iy=10e-5, iz=20e-5, torsion=5e-5, e=210e6, g=84e6)
    nodes = {"1": (0, 0, 0), "2": (3, 0, 0), "3": (0, 0, -3), "4": (0, -4, 0)}
    printed = np.array([-7.05e-6, -7e-8, 1.418e-5, 1.45e-6, 1.75e-6, 1.14e-6])
    ups = (("2", (0, 1, 0)), ("3", (0, 1, 0)), ("4", (1, 0, 0)))
    frame = Frame(nodes, [bar(n, "1", n, of, up=up) for n, up in ups], dict.fromkeys("234", CLAMPED))
    moved = frame.solve({"1": (-10, 0, 20, 0, 0, 0)}).moved["1"]
    assert moved == pytest.approx(printed, abs=1.1e-8)


def random_frame(draw: np.random.Generator) -> tuple[Frame, dict[str, np.ndarray]]:
    count = int(draw.integers(4, 9))
    nodes = {str(i): draw.uniform(-400, 400, 3) for i in range(count)}
    pairs = {(i, int(draw.integers(0, i))) for i in range(1, count)}
    pairs |= {tuple(sorted(draw.choice(count, 2, replace=False))[::-1]) for _ in range(count)}  # type: ignore[misc]
    members = []
    for i, j in sorted(pairs):
        shear = draw.uniform(100, 400, 2) if draw.random() < 0.5 else (None, None)
        size = draw.uniform(1, 3, 4) * (150, 2e4, 3e4, 4e4)
        of = BeamSection(*[], area=size[0], iy=size[1], iz=size[2], torsion=size[3], e=210e3, g=81e3,
                         shear_y=shear[0], shear_z=shear[1])  # fmt: skip
        members.append(bar(f"{i}-{j}", str(i), str(j), of, up=tuple(draw.normal(size=3))))
    supports = {"0": CLAMPED, "1": Support(*draw.uniform(1e2, 1e5, 3), *draw.uniform(1e5, 1e8, 3))}
    loads = {name: draw.normal(size=6) * [1e3] * 6 * np.array([1, 1, 1, 100, 100, 100]) for name in nodes}
    return Frame(nodes, members, supports), loads


def energy_matrix(frame: Frame) -> np.ndarray:
    """The stiffness of all members another way: strain energy integrated by Gauss along each beam.

    Bending from the two ends' movements by vectors in space, no matrix of rotation; shear by the one parameter that
    leaves the shear force constant along the beam.
    """
    names = list(frame.nodes)
    size = 6 * len(names)
    total = np.zeros((size, size))
    spots, weights = np.polynomial.legendre.leggauss(3)
    for member in frame.members:
        a, b = frame.nodes[member.start], frame.nodes[member.end]
        long = float(np.linalg.norm(b - a))
        x = (b - a) / long
        y = np.array(member.up) - (np.array(member.up) @ x) * x
        y /= np.linalg.norm(y)
        z = np.cross(x, y)
        first, last = 6 * names.index(member.start), 6 * names.index(member.end)

        def row(*parts: tuple[int, np.ndarray]) -> np.ndarray:
            made = np.zeros(size)
            for place, vector in parts:
                made[place : place + 3] += vector
            return made

        of = member.section
        stretch = row((first, -x), (last, x)) / long
        twist = row((first + 3, -x), (last + 3, x)) / long
        total += of.e * of.area * long * np.outer(stretch, stretch)
        total += of.g * of.torsion * long * np.outer(twist, twist)
        for way, about, i, sheared in ((y, z, of.iz, of.shear_y), (z, -y, of.iy, of.shear_z)):
            chord = row((first, -way), (last, way)) / long
            start, end = row((first + 3, about)) - chord, row((last + 3, about)) - chord
            give = 0.0 if sheared is None else 12 * of.e * i / (of.g * sheared * long**2)
            mean, half = (start + end) / 2, (end - start) / 2
            shear = mean * give / (1 + give)  # what the section leans against the line of the beam, constant
            bent = mean - shear
            for spot, weight in zip(spots, weights, strict=True):
                curve = (2 * half + 6 * spot * bent) / long
                total += of.e * i * weight * long / 2 * np.outer(curve, curve)
            if sheared is not None:
                total += of.g * sheared * long * np.outer(shear, shear)
    for name, support in frame.supports.items():
        for k, spring in enumerate(support.stiffness):
            total[6 * names.index(name) + k, 6 * names.index(name) + k] += 0 if spring == inf else spring
    return total


def test_random_frames_against_another_stiffness_sum() -> None:
    draw = np.random.default_rng(20)
    for _ in range(30):
        frame, loads = random_frame(draw)
        found = frame.solve(loads)
        k = energy_matrix(frame)
        force = np.concatenate([loads[name] for name in frame.nodes])
        other = np.concatenate([np.zeros(6), np.linalg.solve(k[6:, 6:], force[6:])])
        ours = np.concatenate([found.moved[name] for name in frame.nodes])
        scale = np.tile([1, 1, 1, 300, 300, 300], len(frame.nodes))
        assert np.abs((ours - other) * scale).max() < 1e-7 * np.abs(other * scale).max()


def test_every_node_of_random_frames_is_in_equilibrium() -> None:
    """By statics alone: forces at the ends of members turned into the bay, reactions and loads; each node to 1e-9,
    and all loads against all reactions with their arms."""
    draw = np.random.default_rng(21)
    for _ in range(25):
        frame, loads = random_frame(draw)
        found = frame.solve(loads)
        assert found.balance < 1e-9
        most = max(np.abs(load[:3]).max() for load in loads.values())
        left = {name: -load.copy() for name, load in loads.items()}
        for member in frame.members:
            axes = member.axes(frame.nodes[member.start], frame.nodes[member.end])
            for end, got in zip((member.start, member.end), found.ends[member.name], strict=True):
                left[end] += np.concatenate([got[:3] @ axes, got[3:] @ axes])
        total = np.zeros(6)
        for name, at in frame.nodes.items():
            given = found.reactions.get(name, np.zeros(6))
            rest = left[name] - given
            assert np.abs(rest[:3]).max() < 1e-9 * most
            assert np.abs(rest[3:]).max() < 1e-9 * most * 400
            both = loads[name] + given
            total += np.concatenate([both[:3], both[3:] + np.cross(at, both[:3])])
        assert np.abs(total).max() < 1e-9 * most * 4000


def test_cases_solve_together_as_they_do_alone_and_add_up() -> None:
    frame, loads = random_frame(np.random.default_rng(5))
    tip = list(frame.nodes)[-1]
    cases = np.array([loads[tip], 2 * loads[tip], -loads[tip] + 1])
    found = frame.solve({tip: cases})
    for i in range(3):
        alone = frame.solve({tip: cases[i]})
        assert found.moved[tip][i] == pytest.approx(alone.moved[tip], rel=1e-9)
        for member in frame.members:
            assert found.ends[member.name][i] == pytest.approx(alone.ends[member.name], rel=1e-6, abs=1e-6)
    assert found.moved[tip][1] == pytest.approx(2 * found.moved[tip][0], rel=1e-9)


def test_stiffness_at_a_node() -> None:
    """A cantilever: 3EI/L^3 across, EA/L along; two springs in line add as springs do; a link adds its own EA/L."""
    tip = cantilever().stiffness_at("tip")
    assert np.diag(tip) == pytest.approx([E * A / 300, 3 * E * IY / 300**3, 3 * E * IY / 300**3])
    assert tip - np.diag(np.diag(tip)) == pytest.approx(np.zeros((3, 3)), abs=1e-6)
    spring = Support(500, inf, inf, inf, inf, inf)
    soft = Frame({"a": (0, 0, 0), "b": (300, 0, 0)}, [bar("m", "a", "b")], {"a": spring})
    assert soft.stiffness_at("b")[0, 0] == pytest.approx(1 / (1 / 500 + 300 / (E * A)))
    nodes = {"a": (0, 0, 0), "tip": (300, 0, 0), "top": (300, 0, 200)}
    link = bar("link", "tip", "top", start_joint="pinned", end_joint="ball")
    held = Frame(nodes, [bar("arm", "a", "tip"), link], {"a": CLAMPED, "top": CLAMPED})
    assert held.stiffness_at("tip")[2, 2] == pytest.approx(3 * E * IY / 300**3 + E * A / 200)
    frame, _ = random_frame(np.random.default_rng(8))
    node = list(frame.nodes)[-1]
    give = np.array([frame.solve({node: unit}).moved[node] for unit in np.eye(6)])
    assert frame.flexibility(node) == pytest.approx(give, rel=1e-7, abs=1e-18)
    assert give == pytest.approx(give.T, rel=1e-7, abs=1e-16)  # Maxwell: one given for the other


def test_a_truss_of_hinged_members_carries_by_statics() -> None:
    """A tripod of three hinged bars from one node: forces along the bars from equilibrium of the node alone."""
    feet = {"a": (300, 0, 0), "b": (-150, 260, 0), "c": (-150, -260, 0)}
    nodes = {**feet, "top": (20, 30, 500)}
    members = [bar(n, "top", n, start_joint="ball", end_joint="pinned") for n in feet]
    frame = Frame(nodes, members, dict.fromkeys(feet, CLAMPED))
    load = np.array([120.0, -80.0, -900.0])
    found = frame.solve({"top": (*load, 0, 0, 0)})
    arms = np.array([np.array(feet[n]) - nodes["top"] for n in feet])
    ways = arms / np.linalg.norm(arms, axis=1)[:, None]
    tension = np.linalg.solve(-ways.T, load)
    assert [-found.ends[n][0][0] for n in feet] == pytest.approx(list(tension))
    with pytest.raises(OutOfRange, match="load of top, must be no moment about a joint that turns freely"):
        frame.solve({"top": (0, 0, 0, 100, 0, 0)})


def test_a_long_chain_is_as_exact_as_one_bar() -> None:
    nodes = {str(i): (20.0 * i, 0, 0) for i in range(41)}
    frame = Frame(nodes, [bar(f"{a}", a, b) for a, b in pairwise(nodes)], {"0": CLAMPED})
    found = frame.solve({"40": (0, 0, -100, 0, 0, 0)})
    assert found.moved["40"][2] == pytest.approx(-100 * 800**3 / (3 * E * IY), rel=1e-9)
    assert found.balance < 1e-9


def good() -> dict[str, object]:
    return {
        "nodes": {"a": (0, 0, 0), "b": (300, 0, 0), "c": (300, 0, 200)},
        "members": [bar("1", "a", "b"), bar("2", "b", "c")],
        "supports": {"a": CLAMPED},
    }


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"supports": {"a": PIN}}, "frame moves freely at node"),
        ({"supports": {}}, "frame moves freely at node"),
        ({"members": [bar("1", "a", "b"), bar("2", "b", "c", start_joint="hinge z")]}, "freely at node c"),
        ({"members": [bar("1", "a", "b")]}, "frame moves freely at node c"),
        ({"members": []}, "members = none, must be one or more"),
        ({"members": [bar("1", "a", "d"), bar("1", "b", "c")]}, "node = d, must be one of a, b, c: end"),
        ({"members": [bar("1", "a", "b"), bar("1", "b", "c")]}, "member = 1, must be named once"),
        ({"members": [bar("1", "a", "a")]}, "length = 0 mm, must be over 0 mm: member 1"),
        ({"members": [bar("1", "a", "b", up=(2, 0, 0)), bar("2", "b", "c")]}, "must not lie along the member"),
        ({"members": [bar("1", "a", "b", start_joint="ball", end_joint="ball")]}, "ball, must not be at both"),
        ({"members": [bar("1", "a", "b", start_joint="welded")]}, "joint = welded, must be rigid, pinned, ball"),
        ({"supports": {"z": CLAMPED, "a": CLAMPED}}, "node = z, must be one of a, b, c: support"),
        ({"supports": {"a": Support(-1)}}, "each must be 0 or more"),
        ({"nodes": {"a": (0, 0), "b": (300, 0, 0), "c": (300, 0, 200)}}, "must be three finite numbers, mm"),
        ({"supports": dict.fromkeys("abc", CLAMPED)}, "one node at least must be free"),
    ],
)
def test_what_is_no_frame_is_refused(changed: dict[str, object], words: str) -> None:
    with pytest.raises(InputError, match=words):
        Frame(**(good() | changed))  # type: ignore[arg-type]


def test_wrong_loads_nodes_and_sections_are_refused() -> None:
    frame = Frame(**good())  # type: ignore[arg-type]
    with pytest.raises(InputError) as error:
        frame.solve({"x": (1, 0, 0, 0, 0, 0), "b": (1, 0, 0), "c": (np.nan, 0, 0, 0, 0, 0)})
    assert len(error.value.problems) == 3
    with pytest.raises(InputError, match="node = x, must be one of"):
        frame.flexibility("x")
    with pytest.raises(OutOfRange, match="node = a, must be free to move in every direction"):
        frame.stiffness_at("a")
    with pytest.raises(OutOfRange) as error:
        BeamSection(area=0, iy=-1, iz=1, torsion=1, e=inf, g=1)
    assert len(error.value.problems) == 3
    for wrong in (lambda: hold.round_section(20, 11), lambda: hold.flat_section(5, 6)):
        with pytest.raises(OutOfRange):
            wrong()


def test_no_load_moves_nothing() -> None:
    found = Frame(**good()).solve({})  # type: ignore[arg-type]
    assert found.balance == 0
    assert not any(moved.any() for moved in found.moved.values())

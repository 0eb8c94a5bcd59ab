"""Loads through a part to what holds it: balance at every cut, figures worked out by hand, what is refused.

All loads are invented. Sums written out here use nothing of the package but the part's own sizes.
"""

from __future__ import annotations

from dataclasses import replace
from math import pi, sqrt
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from brackets import (
    Factors,
    Held,
    HoldSettings,
    InputError,
    Part,
    PartCase,
    PressFit,
    SeatLoad,
    hold_part,
    read_cases,
    recipe,
    round_section,
)
from brackets.hold.bolt_groups import bolt_forces
from brackets.hold.found import Found
from brackets.hold.frame_path import frame_path
from brackets.hold.load_path import LoadPath, load_path
from brackets.hold.part_graph import GROUND, graph_of
from brackets.hold.weld_edges import shares
from brackets.hold.weld_lines import WeldGroup, WeldSegment
from brackets.model.piece import CustomPiece
from brackets.model.plate import Plate
from brackets.model.tube import Tube, Turned

Array = NDArray[np.float64]
GRADE = HoldSettings(grade="8.8")
HELD_ON = {
    "cross_member": ("bush_left", "bush_right"),
    "cup_on_plate": ("bush",),
    "ears": ("bush",),
    "ears_on_base": ("bush",),
    "fork": ("bush",),
    "link": ("bush_1", "bush_2"),
    "stay": ("bush",),
    "strut": ("start",),
    "stud_arm": ("bush",),
    "stud_seat": ("bush",),
    "tray": ("bush_left", "bush_right"),
}
"""The shipped weldments, and where each is loaded."""
CHECKED = set(HELD_ON) - {"link"}
"""Those that have checks as they are shipped; the link's tube is under 3 mm."""


def made(name: str, **values: Any) -> Part:
    of = recipe(name)
    return of.build(of.Params(**values))


def random_cases(part: Part, seats: tuple[str, ...], count: int, seed: int = 7) -> list[PartCase]:
    """Loads in every direction at once; on a link two that are in balance."""
    draw = np.random.default_rng(seed)
    found = []
    for i in range(count):
        if part.name == "link":
            a, b = (np.array(part.seat(seat).place.at) for seat in seats)
            pull = draw.normal() * (b - a)
            loads = (SeatLoad(seats[0], tuple(pull)), SeatLoad(seats[1], tuple(-pull)))
        else:
            loads = tuple(
                SeatLoad(seat, tuple(1e3 * draw.normal(size=3)), tuple(2e4 * draw.normal(size=3))) for seat in seats
            )
        found.append(PartCase(f"case {i}", loads))
    return found


def path_of(part: Part, cases: list[PartCase], settings: HoldSettings = GRADE) -> LoadPath:
    graph = graph_of(part, cases, settings)
    return frame_path(graph, Found(part, cases, settings)) if part.name == "cross_member" else load_path(graph)


@pytest.mark.parametrize("name", sorted(HELD_ON))
def test_every_piece_and_every_joint_is_in_balance_for_300_random_loads(name: str) -> None:
    """Summed here piece by piece about a point of its own, not about the part's origin."""
    part, count = made(name), 300
    cases = random_cases(part, HELD_ON[name], count)
    path = path_of(part, cases)
    about = np.array([123.0, -45.0, 67.0])

    def moved(force: Array, moment: Array, at: Array) -> Array:
        return np.concatenate([force, moment + np.cross(at - about, force)], axis=1)

    size = max(np.abs(moved(one.wrench[:, :3], one.wrench[:, 3:], np.zeros(3))).max() for one in path.graph.loads)
    for body in path.graph.bodies:
        total = np.zeros((count, 6))
        for load in path.graph.loads:
            if load.body == body:
                total += moved(load.wrench[:, :3], load.wrench[:, 3:], np.zeros(3))
        for flow in path.flows.values():
            if body in (flow.outer, flow.inner):
                force, moment = flow.reaches()
                total += (-1.0 if body == flow.outer else 1.0) * moved(force, moment, flow.joint.at)
        assert np.abs(total).max() <= 1e-9 * size, body


@pytest.mark.parametrize("name", sorted(set(HELD_ON) - {"link"}))
def test_what_holds_a_part_takes_all_that_was_typed(name: str) -> None:
    """Against the loads as they were typed, whatever was made of them on the way (ears by lever)."""
    part = made(name)
    cases = random_cases(part, HELD_ON[name], 20)
    path = path_of(part, cases)
    taken = sum(flow.wrench for flow in path.flows.values() if flow.inner == GROUND)
    for i, case in enumerate(cases):
        force = np.sum([load.force for load in case.loads], axis=0)
        moment = np.sum(
            [np.array(load.moment) + np.cross(part.seat(load.seat).place.at, load.force) for load in case.loads],
            axis=0,
        )
        assert taken[i, :3] == pytest.approx(force, abs=1e-6)
        assert taken[i, 3:] == pytest.approx(moment, abs=1e-3)


@pytest.mark.parametrize("name", sorted(HELD_ON))
def test_every_shipped_weldment_is_checked_or_says_why_not(name: str) -> None:
    part = made(name)
    held = hold_part(part, random_cases(part, HELD_ON[name], 2), GRADE)
    assert bool(held.checks) == (name in CHECKED)
    assert list(held.checks) == sorted(held.checks, key=lambda one: -one.check.worst)
    assert all(one.problem for one in held.refused)
    told = {one.place for one in held.checks} | {one.place for one in held.refused}
    for weld in part.welds:
        place = f"weld {weld.piece} | {weld.onto}"
        quiet = any(place in note for note in held.notes)
        assert place in told or quiet, f"nothing is said of {place}"
    assert held.balance <= 1e-9


@pytest.mark.parametrize(
    ("name", "values"),
    [("ears", {"back": True, "leg": 5.0}), ("tray", {"leg": 5.0, "tube": "30x5"}), ("stud_arm", {}),
     ("ears_on_base", {"leg": 5.0, "fixing": "bolted through hollow", "base_flanges": 1}), ("stay", {"leg": 5.0})],
)  # fmt: skip
def test_the_other_hand_under_mirrored_loads_is_used_alike(name: str, values: dict[str, Any]) -> None:
    """Mirrored in x = 0: forces along x and moments about y and z change their sign."""
    part = made(name, **values)
    mine = random_cases(part, HELD_ON[name], 2, seed=11)
    theirs = [
        replace(
            one,
            loads=tuple(
                SeatLoad(of.seat, (-of.force[0], *of.force[1:]), (of.moment[0], -of.moment[1], -of.moment[2]))
                for of in one.loads
            ),
        )
        for one in mine
    ]
    settings = replace(GRADE, onto_metal="S235", onto_t=4.0, preload=12e3)
    one, other = hold_part(part, mine, settings), hold_part(part.mirrored(), theirs, settings)
    assert other.worst == pytest.approx(one.worst, rel=1e-6)
    used = [sorted(check.check.worst for check in held.checks) for held in (one, other)]
    assert used[0] == pytest.approx(used[1], rel=1e-6, abs=1e-9)
    assert [one.least for one in other.stiffness] == pytest.approx([k.least for k in one.stiffness], rel=1e-5)


def test_ears_on_a_base_by_hand() -> None:
    """Every figure of one case: lever, pin, ear, root and weld.

    Ears 46.5 apart and 6 thick: their middles 26.25 off the bush. The foot is 48 long, 42 under the bush; legs 5.
    """
    part = made("ears_on_base", leg=5.0)
    fx, fy, fz, mx = 900.0, -1500.0, 400.0, 30e3
    case = PartCase("one", (SeatLoad("bush", (fx, fy, fz), (mx, 0.0, 0.0)),), "factored")
    held = hold_part(part, [case], GRADE)
    # lever along z: front + rear = total, 26.25 x (front - rear) is what turns it about x and y
    half = 26.25
    front = np.array([fx / 2, fy / 2 - mx / (2 * half), fz / 2])
    rear = np.array([fx / 2, fy / 2 + mx / (2 * half), fz / 2])
    cut = {one.place: one for one in held.cuts}
    foot = cut["weld ears/ear_front | base/base"]
    assert foot.at == pytest.approx((0, 42, half), abs=1e-9)
    assert foot.force == pytest.approx(tuple(front), abs=1e-9)
    arm = np.array([0.0, -42.0, 0.0])
    moment = np.cross(arm, front)
    assert foot.moment == pytest.approx(tuple(moment), abs=1e-6)
    rear_cut = cut["weld ears/ear_rear | base/base"]
    assert rear_cut.force == pytest.approx(tuple(rear), abs=1e-9)
    assert rear_cut.at[2] == pytest.approx(-half)

    at = values(held, "ear ears/ear_front")
    across = sqrt(front[0] ** 2 + front[1] ** 2)
    assert at["3.13.2 table 3.10, bearing"] == pytest.approx((across, 1.5 * 6 * 12 * 235))
    assert at["type B"][1] == pytest.approx((6 / 0.7) ** 2 * 235)
    pin = values(held, "bolt bush")
    assert pin["shear of the pin"] == pytest.approx((across, 0.6 * pi * 36 * 800 / 1.25))
    assert pin["3.10, bending"] == pytest.approx((2 * across * (46.5 + 2 * 6) / 8, 1.5 * pi * 12**3 / 32 * 640))

    root = values(held, "root ears/ear_front | base/base")["6.2.1(5)"]
    area = 48 * 6
    direct = abs(front[1]) / area + 6 * abs(moment[0]) / (area * 6) + 6 * abs(moment[2]) / (area * 48)
    shear = 1.5 * sqrt(front[0] ** 2 + front[2] ** 2) / area + abs(moment[1]) * (3 + 1.8 * 6 / 48) / (area * 6)
    assert root == pytest.approx((sqrt(direct**2 + 3 * shear**2), 235), rel=2e-3)  # cut 0.02 mm above the weld

    throat = 5 / sqrt(2)  # two lines 48 long, 6 apart
    lines = 2 * 48 * throat
    ix = lines * 3**2
    iz = lines * 48**2 / 12
    iy = ix + iz
    stress = [
        front / lines
        + np.cross([moment[0] / ix, moment[1] / iy, moment[2] / iz], [x, 0.0, z])
        for x in (-24, 24)
        for z in (-3, 3)
    ]  # fmt: skip
    weld = values(held, "weld ears/ear_front | base/base")
    worst = max(float(np.linalg.norm(one)) for one in stress)
    assert weld["4.5.3.3"] == pytest.approx((worst, 360 / (sqrt(3) * 0.8 * 1.25)), rel=1e-9)
    sides = [np.array([0.0, -1.0, z / 3]) / sqrt(2) for x in (-24, 24) for z in (-3, 3)]
    equal = []
    for one, across_throat in zip(stress, sides, strict=True):
        normal = one @ across_throat
        equal.append(sqrt(normal**2 + 3 * (one @ one - normal**2)))
    assert weld["directional"] == pytest.approx((max(equal), 360 / (0.8 * 1.25)), rel=1e-9)


def values(held: Held, place: str) -> dict[str, tuple[float, float]]:
    """Value and limit by what the clause's words contain: the whole clause, and short names for it."""
    found: dict[str, tuple[float, float]] = {}
    short = (
        "3.13.2 table 3.10, bearing", "type A", "type B", "shear of the pin", "3.10, bending", "6.2.1(5)",
        "4.5.3.3", "directional", "6.3.1", "bolt in shear", "bolt in tension", "3.4, bearing", "punching",
    )  # fmt: skip
    for one in held.checks:
        if one.place == place:
            for words in short:
                if words in one.check.clause:
                    found[words] = (float(one.check.value), float(one.check.limit))
    return found


def test_a_stay_by_hand() -> None:
    """Tube 38 x 3 on a plate with four bolts at x 50, y 30, bush at (0, 60, 160), 2 kN up, along z."""
    part = made("stay", leg=5.0, gussets=0)
    held = hold_part(part, read_cases(["bush: 0 0 2kN pull"], "factored"), GRADE)
    cut = {one.place: one for one in held.cuts}
    assert cut["weld tube | plate"].moment == pytest.approx((2000 * 60, 0, 0), abs=1e-6)
    bolts = [cut[f"bolt boss_{i}"].force[2] for i in (1, 2, 3, 4)]
    lever = 2000 * 60 * 30 / (4 * 30**2)
    assert bolts == pytest.approx([500 - lever, 500 - lever, 500 + lever, 500 + lever])
    bolt = values(held, "bolt boss_3")
    assert bolt["bolt in tension"] == pytest.approx((1500, 0.9 * 800 * 57.990 / 1.25), rel=1e-4)
    way = np.array([0, 60, 152]) / sqrt(60**2 + 152**2)
    # the tube from the plate's face: axial and shear of 2 kN along z, moment 120 N m about x, no twist
    bore = 38 - 6
    area, i = pi / 4 * (38**2 - bore**2), pi / 64 * (38**4 - bore**4)
    along = 2000 * way[2]
    aside = 2000 * sqrt(1 - way[2] ** 2)
    direct = along / area + 120e3 * 19 / i
    r2, r1 = 19.0, bore / 2
    shear = aside * 4 / (3 * area) * (r2**2 + r2 * r1 + r1**2) / (r2**2 + r1**2)
    worst = sqrt(direct**2 + 3 * shear**2)
    assert values(held, "tube tube")["6.2.1(5)"] == pytest.approx((worst, 235), rel=1e-6)
    # the oval where a tube leaning by the angle of `way` meets the plate: worst stress of an ellipse of lines
    turns = np.linspace(0, 2 * np.pi, 20001)
    oval = np.stack([19 * np.cos(turns), 19 / way[2] * np.sin(turns)], axis=1)
    ds = np.linalg.norm(np.diff(oval, axis=0), axis=1)
    middle = (oval[1:] + oval[:-1]) / 2
    throat = 5 / sqrt(2)
    lines, ix = throat * ds.sum(), throat * (ds * middle[:, 1] ** 2).sum()
    stress = 2000 / lines + 120e3 * oval[:, 1].max() / ix
    simple = values(held, "weld tube | plate")["4.5.3.3"][0]
    assert simple == pytest.approx(stress, rel=6e-3)  # 36 chords: 0.13 % short and 0.4 % less stiff
    assert simple >= stress


def test_a_cantilever_of_plate_in_closed_form() -> None:
    """A strip 40 x 8 welded on a wall by both faces, 500 N square to it and 700 N in its plane, 150 mm out."""
    part = strip(150.0, 40.0, 8.0)
    held = hold_part(
        part,
        [PartCase("down", (SeatLoad("tip", (0, 0, -500)),), "factored"),
         PartCase("aside", (SeatLoad("tip", (700, 0, 0)),), "factored")],
        HoldSettings(onto_metal="S235", onto_t=8.0),
    )  # fmt: skip
    found = {one.case: float(one.check.value) for one in held.checks if one.place == "root strip | wall"}
    far, area = 150 - 0.02, 320.0
    bent, cut = 6 * 500 * far / (area * 8), 1.5 * 500 / area
    assert found["down"] == pytest.approx(sqrt(bent**2 + 3 * cut**2), rel=1e-9)
    # 700 N at the top face: 4 mm off the middle, a twist of 2800 N mm as well
    bent = 6 * 700 * far / (area * 40)
    cut = 1.5 * 700 / area + 700 * 4 * (3 + 1.8 * 8 / 40) / (area * 8)
    assert found["aside"] == pytest.approx(sqrt(bent**2 + 3 * cut**2), rel=1e-9)
    k = held.stiffness[0]
    i = 40 * 8**3 / 12
    assert k.along[2] == pytest.approx(3 * 210000 * i / 150**3, rel=1e-3)


def strip(long: float, wide: float, t: float, material: str = "S235") -> Part:
    from brackets import Along, Place, Seat, Wall, Weld, polygon

    outline = polygon([(-wide / 2, 0), (wide / 2, 0), (wide / 2, long), (-wide / 2, long)])
    piece = Plate(name="strip", wall=Wall(outline=outline), t=t, material=material)
    root = [Along((-wide / 2, 0), (wide / 2, 0), face) for face in ("low", "high")]
    seats = (
        Seat(name="wall", place=Place((0, 0, t / 2), (0, -1, 0), (0, 0, 1)), kind="face"),
        Seat(name="tip", place=Place((0, long, t)), kind="face"),
    )
    welds = tuple(Weld(piece="strip", edge=edge, onto="wall", leg=6.0) for edge in root)
    return Part(name="strip", pieces=(piece,), welds=welds, seats=seats)


def test_a_tube_bracket_in_closed_form() -> None:
    """The strut, held at its flat foot: moment of a force square to it by its length, and 3 E I / L cubed."""
    part = made("strut")
    tube = part.piece("tube")
    assert isinstance(tube, Tube)
    tip, foot = (np.array(part.seat(name).place.at) for name in ("start", "end"))
    way = (foot - tip) / np.linalg.norm(foot - tip)
    side = np.cross(way, [0.0, 0.0, 1.0])
    side = side / np.linalg.norm(side)
    held = hold_part(part, [PartCase("side", (SeatLoad("start", tuple(400 * side)),), "factored")])
    cut = {one.place: one for one in held.cuts}
    at = np.array(cut["weld tube | end"].at)
    assert cut["weld tube | end"].moment == pytest.approx(tuple(np.cross(tip - at, 400 * side)), abs=1e-6)
    stiff = held.stiffness[0]
    out = np.array(cut["weld tube | start"].at) - at
    section = round_section(tube.od, tube.wall)
    give = float(np.linalg.norm(out)) ** 3 / (3 * 210000 * section.iy)
    assert stiff.least == pytest.approx(1 / give, rel=0.02)  # from centre to centre of its welds


def test_what_a_frame_gives_each_arm_of_a_cross_member() -> None:
    """Two level arms, loads alike on both sides: what turns the base tube is shared by its middle span and the
    twist of the arms, theta = M1 L / (2 E I) = T a / (G J), M1 + T = force x overhang (slope-deflection)."""
    level: dict[str, Any] = {"bush_left": (0, 240, 30), "bush_right": (0, -240, 30), "arm_z": 30.0}
    level["bung_top"] = 60.0
    part = made("cross_member", bosses=((80.0, 80.0, 0.0), (80.0, -80.0, 0.0)), **level)
    loads = (SeatLoad("bush_left", (0, 0, 1000)), SeatLoad("bush_right", (0, 0, 1000)))
    path = path_of(part, [PartCase("both", loads)])
    arm, base = part.piece("arm_boss_1"), part.piece("tube")
    assert isinstance(arm, Tube)
    assert isinstance(base, Tube)
    force, moment = path.flows["weld arm_boss_1 | tube"].reaches()
    joint = path.flows["weld arm_boss_1 | tube"].joint
    far = path.flows["weld arm_boss_1 | bung_boss_1"].joint
    ends = np.array([joint.at, far.at])
    a = float(np.ptp(ends @ np.array(arm.place.axis)))
    of_base, of_arm = (round_section(one.od, one.wall) for one in (base, arm))
    half = 2 * of_base.e * of_base.iy / 160
    twist = of_arm.g * of_arm.torsion / a
    share = 1000 * 160 * twist / (half + twist)
    assert abs(force[0, 2]) == pytest.approx(1000)
    assert abs(moment[0, 0]) == pytest.approx(share, rel=0.03)  # stiff bridges count as a hundredth of the arm


@pytest.mark.parametrize("joints", ["rigid", "pinned"])
def test_a_part_held_at_several_places_is_a_frame_with_the_joints_that_were_stated(joints: Any) -> None:
    part = made("cross_member")
    settings = HoldSettings(grade="8.8", joints=joints)
    held = hold_part(part, random_cases(part, HELD_ON["cross_member"], 3), settings)
    assert any(f"{joints} where it is held" in note for note in held.notes)
    at = [one for one in held.cuts if one.place == "bolts boss_1"]
    turned = max(abs(value) for one in at for value in one.moment)
    assert (turned > 1.0) == (joints == "rigid")


def test_a_group_of_bolts_against_the_sum_by_distance() -> None:
    """Six bolts of no symmetry; T = N/n + M y / sum y squared in principal axes, V = F/n + T r / sum r squared."""
    draw = np.random.default_rng(3)
    flat = draw.normal(size=(6, 2)) * 60
    points = np.c_[flat, np.zeros(6)]
    force, moment = np.array([[300.0, -500.0, -90.0]]), np.array([[2e4, -3e4, 1e4]])
    found = bolt_forces(points, np.array([0.0, 0.0, 1.0]), force, moment, lambda ways: np.ones(len(ways)))
    arm = flat - flat.mean(axis=0)
    ixx, iyy, ixy = (arm[:, 1] ** 2).sum(), (arm[:, 0] ** 2).sum(), (arm[:, 0] * arm[:, 1]).sum()
    bend = np.linalg.solve([[ixx, -ixy], [-ixy, iyy]], moment[0, :2])
    push = force[0, 2] / 6 + bend[0] * arm[:, 1] - bend[1] * arm[:, 0]
    assert found.along[0] == pytest.approx(push)
    assert push.min() < 0 < push.max(), "some bolts are pulled, some pressed"
    assert found.tension[0] == pytest.approx(np.maximum(-push, 0))
    polar = ixx + iyy
    assert found.shear[0][:, 0] == pytest.approx(300 / 6 - 1e4 * arm[:, 1] / polar)
    assert found.shear[0][:, 1] == pytest.approx(-500 / 6 + 1e4 * arm[:, 0] / polar)


def test_bolts_in_one_line_hold_a_moment_about_it_with_the_edge() -> None:
    points = np.array([[-40.0, 0, 0], [40.0, 0, 0]])
    asked: list[Array] = []

    def lever(ways: Array) -> Array:
        asked.append(ways)
        return np.full(len(ways), 20.0)

    zero, turn = np.zeros((1, 3)), np.array([[6e4, 0.0, 0.0]])
    found = bolt_forces(points, np.array([0.0, 0.0, 1.0]), zero, turn, lever)
    assert found.tension[0] == pytest.approx([6e4 / 20 / 2] * 2)
    assert asked[0][0] == pytest.approx((0, 1, 0))  # it presses where +x turns it down, on +y
    assert found.lever == 20.0


def test_pieces_in_one_cut_share_as_their_stress_field_has_it() -> None:
    """Against the stress of the whole group summed up along each of its lines, a thousand points each."""
    one = WeldGroup([WeldSegment((0, 0, 0), (60, 0, 0), 4.0), WeldSegment((60, 0, 0), (60, 20, 5), 3.0)])
    two = WeldGroup([WeldSegment((-10, 40, 3), (30, 50, 0), 5.0)])
    whole = WeldGroup([*one.lines, *two.lines])
    force, moment = np.array([300.0, -700.0, 500.0]), np.array([2e4, -1e4, 3e4])
    found = shares([one, two], np.r_[force, moment][None])
    assert sum(found)[0] == pytest.approx(np.r_[force, moment])
    for group, share in zip((one, two), found, strict=True):
        total = np.zeros(6)
        for line in group.lines:
            at = np.linspace(line.start, line.end, 2001)
            stress = whole_stress(whole, force, moment, at) * float(line.throat)
            part = np.c_[stress, np.cross(at, stress)]
            total += np.trapezoid(part, dx=float(line.length) / 2000, axis=0)
        assert share[0] == pytest.approx(total, rel=1e-6)


def whole_stress(group: WeldGroup, force: Array, moment: Array, at: Array) -> Array:
    about = moment - np.cross(group.centre, force)
    return force / float(group.area) + np.cross(np.linalg.solve(group.turning, about), at - group.centre)


def test_more_load_is_never_used_less_and_more_metal_never_more() -> None:
    sizes = [4.0, 5.0, 6.0, 8.0, 10.0]
    before: dict[str, float] = {}
    for scale in (1.0, 1.5, 3.0):
        held = hold_part(made("fork"), [case(scale)], GRADE)
        used = {f"{one.place} {one.check.clause}": one.check.worst for one in held.checks}
        assert all(used[key] >= value for key, value in before.items())
        before = used
    thick: dict[str, float] = {}
    for t in sizes:
        held = hold_part(made("fork", t=t), [case(1.0)], GRADE)
        used = {
            f"{one.place} {one.check.clause}": one.check.worst
            for one in held.checks
            if one.place.startswith(("root ear", "ear "))
        }
        assert all(used[key] <= value + 1e-12 for key, value in thick.items() if key in used)
        thick = used
    assert thick


def case(scale: float) -> PartCase:
    return PartCase("one", (SeatLoad("bush", (scale * 500, scale * 200, scale * 900)),), "factored")


def test_a_load_factor_and_an_own_factor() -> None:
    part = made("fork")
    plain = PartCase("one", (SeatLoad("bush", (500, 200, 900)),))
    once = hold_part(part, [plain], GRADE)
    more = hold_part(part, [plain], replace(GRADE, load_factor=1.5, factors=Factors(own=2.0)))
    of = {one.check.clause: one.check for one in once.checks if one.place == "root ear_front | plate"}
    its = {one.check.clause: one.check for one in more.checks if one.place == "root ear_front | plate"}
    for clause, check in of.items():
        assert its[clause].value == pytest.approx(1.5 * float(check.value))
        assert its[clause].own_limit == pytest.approx(235 / 2)
    factored = hold_part(part, [replace(plain, counted="factored")], replace(GRADE, load_factor=1.5))
    same = {one.check.clause: one.check.value for one in factored.checks if one.place == "root ear_front | plate"}
    assert same == {clause: check.value for clause, check in of.items()}
    contact = "contact of a replaceable pin"
    assert any(contact in one.check.clause for one in once.checks)
    assert not any(contact in one.check.clause for one in factored.checks), "asks for loads as they come"
    assert [one.value for one in (c.check for c in once.checks) if contact in one.clause] == [
        one.value for one in (c.check for c in more.checks) if contact in one.clause
    ]


def test_stress_ranges_are_of_characteristic_cases_and_leave_the_category_blank() -> None:
    part = made("fork")
    up, down = (PartCase(name, (SeatLoad("bush", (0, 0, z)),)) for name, z in (("up", 900.0), ("down", -300.0)))
    held = hold_part(part, [up, down], replace(GRADE, load_factor=2.0))
    assert {one.cases for one in held.weld_ranges} == {("up", "down")}
    assert all(one.detail_category is None for one in held.weld_ranges)
    of = next(one for one in held.weld_ranges if one.name == "weld ear_front | plate")
    alone = hold_part(part, [replace(up, loads=(SeatLoad("bush", (0, 0, 1200.0)),), counted="factored")], GRADE)
    check = next(c.check for c in alone.checks if c.place == of.name and "simplified" in c.check.clause)
    assert sqrt(of.across**2 + of.along**2) >= float(check.value) * (1 - 1e-9)
    assert of.across <= float(check.value) * (1 + 1e-9)
    assert hold_part(part, [up, replace(down, counted="factored")], GRADE).weld_ranges == ()


def refusals(held: Held) -> str:
    return "\n".join(f"{one.place}: {one.problem}" for one in held.refused)


def test_what_the_record_does_not_have_is_refused_in_words() -> None:
    fork = made("fork")
    one = [case(1.0)]
    assert "bolt boss_1: grade = not typed" in refusals(hold_part(fork, one))
    assert "thread in the casting" in refusals(hold_part(fork, one, GRADE))
    typed = replace(GRADE, engaged={"boss_1": 20.0, "boss_2": 20.0}, casting=180.0)
    assert "thread in the casting" not in refusals(hold_part(fork, one, typed))
    other = replace(fork, pieces=tuple(replace(piece, material="DC01") for piece in fork.pieces))
    said = refusals(hold_part(other, one, GRADE))
    assert "root ear_front | plate: material = DC01, must be S235, S275, S355" in said
    assert "weld ear_front | plate: material = DC01" in said
    thin = refusals(hold_part(made("fork", t=3.0), one, GRADE))
    assert "weld ear_front | plate: t = 3 mm, must be at least 4 mm" in thin
    small = refusals(hold_part(made("fork", leg=4.0), one, GRADE))
    assert "throat = 2.828 mm, must be at least 3 mm" in small
    slotted = refusals(hold_part(made("fork", slot=8.0), one, GRADE))
    assert "bolt boss_1: slot, must be a round hole" in slotted
    ears = refusals(hold_part(made("ears", leg=5.0), one, GRADE))
    assert "weld ear_front | foot: onto_metal and onto_t = not typed" in ears
    base = refusals(hold_part(made("ears_on_base", leg=5.0), one, GRADE))
    assert "on foot: fastening = not in the record" in base
    cup = hold_part(made("cup"), one, GRADE)
    assert (cup.checks, cup.verdict) == ((), "nothing checked")
    assert "nothing in the record holds cup" in refusals(cup)


def test_runs_of_weld_under_30_mm_carry_nothing() -> None:
    """EN 1993-1-8:2005 4.5.1(2): the gussets' runs of 19 mm on the plate leave all to the tube."""
    load = [PartCase("one", (SeatLoad("bush", (300, -400, 500)),), "factored")]
    short = path_of(made("stay", leg=5.0), load)
    alone = path_of(made("stay", leg=5.0, gussets=0), load)
    assert any("too short to carry load" in note for note in short.notes)
    name = "weld tube | plate"
    assert short.flows[name].wrench == pytest.approx(alone.flows[name].wrench)
    long = path_of(made("stay", leg=5.0, gusset_leg=40.0), load)
    assert abs(long.flows[name].wrench).max() < abs(alone.flows[name].wrench).max()


def test_a_custom_piece_passes_its_load_on_and_is_not_checked_itself() -> None:
    fork = made("fork")
    plate = fork.piece("plate")
    odd = CustomPiece(name="plate", place=plate.place, material="S235", function="own:solid")
    part = replace(fork, pieces=tuple(odd if piece.name == "plate" else piece for piece in fork.pieces))
    held = hold_part(part, [case(1.0)], GRADE)
    said = refusals(held)
    assert "piece plate: shape, must be plate, tube or turned" in said
    assert "weld ear_front | plate: piece = plate, must be plate, tube or turned" in said
    assert any(one.place == "root ear_front | plate" for one in held.checks)
    assert not any(one.place.startswith("plate ") for one in held.checks)


def test_a_link_is_held_in_line_only() -> None:
    part = made("link", tube="25x3", leg=5.0)
    a, b = (np.array(part.seat(name).place.at) for name in ("bush_1", "bush_2"))
    way = (b - a) / np.linalg.norm(b - a)
    held = hold_part(part, [PartCase("press", (SeatLoad("bush_1", tuple(9000 * way)),), "factored")])
    strut = values(held, "tube tube")["6.3.1"]
    assert strut[0] == pytest.approx(9000)
    section = round_section(25, 3)
    bar = float(np.linalg.norm(b - a)) / (pi * sqrt(section.iy / section.area)) * sqrt(235 / 210000)
    phi = 0.5 * (1 + 0.49 * (bar - 0.2) + bar**2)
    assert strut[1] == pytest.approx(section.area * 235 / (phi + sqrt(phi**2 - bar**2)), rel=1e-6)
    pulled = hold_part(part, [PartCase("pull", (SeatLoad("bush_1", tuple(-9000 * way)),), "factored")])
    assert "6.3.1" not in values(pulled, "tube tube")
    aside = refusals(hold_part(part, [PartCase("aside", (SeatLoad("bush_1", (0, 0, 500)),))]))
    assert "moment about bush_2" in aside
    assert "must be 0" in aside
    alone = SeatLoad("bush_1", (0, 0, 500)), SeatLoad("bush_2", (0, 0, 400))
    assert "are not in balance" in refusals(hold_part(part, [PartCase("two", alone)]))


def test_a_typed_press_fit_is_checked() -> None:
    """Lamé for a bore 60 in 70, shell 56 to 60, 0.05 and 0.02 on the diameter, one metal."""
    part = made("stay", leg=5.0)
    press = {"bush": PressFit(least=0.02, most=0.05, shell_id=56.0, friction=0.12)}
    held = hold_part(part, read_cases(["bush: 800 0 500 one"], "factored"), replace(GRADE, press=press))
    found = [one.check for one in held.checks if one.place == "cup cup"]
    around, within = (70**2 + 60**2) / (70**2 - 60**2), (60**2 + 56**2) / (60**2 - 56**2)
    unit = 210000 / (60 * (around + within))
    hoop = 0.05 * unit * around
    p = 0.05 * unit
    stretched = next(float(one.value) for one in found if "yield" in one.clause)
    assert stretched == pytest.approx(sqrt(hoop**2 + hoop * p + p**2))
    grip = next(one for one in found if "friction" in one.clause)
    cup = part.piece("cup")
    assert isinstance(cup, Turned)
    assert (grip.value, grip.limit) == pytest.approx((800, 0.12 * 0.02 * unit * pi * 60 * cup.length / 1.25))


def test_all_that_is_wrong_is_said_at_once() -> None:
    part = made("fork")
    twice = [case(1.0), case(2.0), PartCase("two", (SeatLoad("bosh", (0, 0, 1)),))]
    with pytest.raises(InputError) as error:
        hold_part(part, twice, HoldSettings(held_at=("foot",), grades={"boss_9": "8.8"}))
    said = str(error.value)
    for words in ("case = one, must be named once", "seat = bosh", "seat = foot", "seat = boss_9", "one of bush"):
        assert words in said
    with pytest.raises(InputError, match="cases = none, must be one or more"):
        hold_part(part, [])
    with pytest.raises(InputError, match="must be loaded or hold the part, not both"):
        hold_part(part, [case(1.0)], HoldSettings(held_at=("bush",)))
    with pytest.raises(InputError, match="must be characteristic or factored"):
        PartCase("one", (SeatLoad("bush", (0, 0, 1)),), "guessed")  # type: ignore[arg-type]

"""What is drawn of a solid is the solid: same size, light on the outside, edges where the metal has edges."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
import trimesh

from brackets.app.preview.blocks import pack, unpack
from brackets.app.preview.folding import Hinged, hinges
from brackets.app.preview.point_zones import outside, zone_of
from brackets.app.preview.render_mesh import mesh_of_shape, mesh_of_triangles
from brackets.app.preview.scene import arrays, blob
from brackets.core.place import Place
from brackets.core.schema.reading import from_texts
from brackets.forming.flat_pattern import blank_of
from brackets.geometry.distance import distance
from brackets.geometry.shapes import circle, polygon, rotate, slot
from brackets.kernel.solids import own_shape
from brackets.library import recipe as recipe_file
from brackets.model import mass
from brackets.model.piece import Piece
from brackets.model.plate import Folded

FINE = 0.02
FIGURES = 1e-3
"""Relative: what 0.02 mm of deflection may take off the volume of a bore of some ten millimetres."""


def pieces() -> list[tuple[str, Piece]]:
    found = []
    for name, texts in (
        ("cup", {}),
        ("ears", {}),
        ("ears", {"back": "yes"}),
        ("ears_on_base", {"base_flanges": "2"}),
    ):
        opened = recipe_file.recipe(name)
        part = opened.build(from_texts(opened.Params, texts))
        found += [(f"{name}-{piece.name}{'-folded' if texts else ''}", piece) for piece in part.pieces]
    return found


PIECES = pieces()


@pytest.mark.parametrize("piece", [p for _, p in PIECES], ids=[n for n, _ in PIECES])
def test_the_drawn_triangles_close_round_the_volume_of_the_piece(piece: Piece) -> None:
    seen = mesh_of_shape(own_shape(piece), deflection=0.02, angle=0.05)
    a, b, c = (seen.positions[seen.triples[:, i]] for i in range(3))
    drawn = float(np.einsum("ij,ij->i", a, np.cross(b, c)).sum()) / 6
    assert drawn == pytest.approx(mass.volume(piece), rel=FIGURES)


@pytest.mark.parametrize("piece", [p for _, p in PIECES], ids=[n for n, _ in PIECES])
def test_normals_have_length_one_and_look_out_of_the_metal(piece: Piece) -> None:
    seen = mesh_of_shape(own_shape(piece))
    a, b, c = (seen.positions[seen.triples[:, i]] for i in range(3))
    across = np.cross(b - a, c - a)
    across /= np.linalg.norm(across, axis=1, keepdims=True)
    assert np.linalg.norm(seen.normals, axis=1) == pytest.approx(1.0, abs=1e-9)
    assert float(np.einsum("ij,ij->i", across, seen.normals[seen.triples[:, 0]]).min()) > 0.5


def test_every_edge_of_a_cup_is_a_circle_with_its_centre_and_radius() -> None:
    seen = mesh_of_shape(own_shape(next(p for n, p in PIECES if n.startswith("cup"))))
    assert {run[1] for run in seen.runs} == {"circle"}
    assert sorted({run[4] for run in seen.runs}) == [30.0, 35.0]


def test_a_straight_edge_knows_its_two_ends() -> None:
    """Those of the drawn segment, which is rounded to single precision only on its way to the page."""
    seen = mesh_of_shape(own_shape(next(p for n, p in PIECES if n.startswith("ears-"))))
    straight = [run for run in seen.runs if run[1] == "line"]
    assert len(straight) >= 8
    for start, _, one, other, size in straight:
        drawn = sorted(map(tuple, seen.segments[int(str(start))]))
        told = sorted((tuple(np.array(one)), tuple(np.array(other))))
        assert np.array(told) == pytest.approx(np.array(drawn), abs=1e-6)
        assert size is None


def test_a_cup_has_flat_and_round_faces_for_measuring() -> None:
    seen = mesh_of_shape(own_shape(next(p for n, p in PIECES if n.startswith("cup"))))
    kinds = [face[1] for face in seen.faces]
    assert kinds.count("flat") == 2
    assert kinds.count("round") == 2
    assert {face[4] for face in seen.faces if face[1] == "round"} == {30.0, 35.0}


def test_flat_faces_know_which_way_is_out() -> None:
    seen = mesh_of_shape(own_shape(next(p for n, p in PIECES if n.startswith("cup"))))
    for face in seen.faces:
        if face[1] == "flat":
            row = seen.triples[int(str(face[0]))][0]
            assert np.dot(seen.normals[row], np.array(face[3])) == pytest.approx(1.0, abs=1e-9)


def test_a_scan_shows_its_sharp_edges_only() -> None:
    corners = np.array([[0, 0, 0], [10, 0, 0], [10, 10, 0], [0, 10, 0], [0, 0, 5], [0, 10, 5]], dtype=float)
    rows = np.array([[0, 2, 1], [0, 3, 2], [0, 4, 5], [0, 5, 3]])
    seen = mesh_of_triangles(corners, rows)
    ends = {tuple(sorted(map(tuple, segment.tolist()))) for segment in seen.segments}
    assert ends == {((0.0, 0.0, 0.0), (0.0, 10.0, 0.0))}


def test_a_scan_is_shaded_as_one_surface_up_to_its_sharp_edges() -> None:
    """A ball's normals point from its middle; the faces of a cube keep their own."""
    ball = trimesh.creation.icosphere(subdivisions=3, radius=10.0)
    seen = mesh_of_triangles(ball.vertices, ball.faces)
    outward = seen.positions / np.linalg.norm(seen.positions, axis=1, keepdims=True)
    assert float(np.einsum("ij,ij->i", seen.normals, outward).min()) > np.cos(np.radians(1.0))
    cube = trimesh.creation.box((10, 20, 30))
    seen = mesh_of_triangles(cube.vertices, cube.faces)
    assert np.sort(np.abs(seen.normals), axis=1) == pytest.approx(np.tile([0.0, 0.0, 1.0], (36, 1)))
    assert len(seen.segments) == 12


def test_a_block_gives_back_what_was_put_in() -> None:
    seen = mesh_of_shape(own_shape(PIECES[0][1]))
    made = blob(seen)
    header, blobs = unpack(pack({"title": "ä </script>", "n": 1}, {made.key: made}))
    positions, normals, triangles, segments = arrays(blobs[made.key])
    assert header == {"title": "ä </script>", "n": 1, "format": 1}
    assert positions == pytest.approx(seen.positions, abs=1e-4)  # float32 of some tens of mm
    assert normals == pytest.approx(seen.normals, abs=0.5 / 127 + 1e-6)
    assert (triangles == seen.triples).all()
    assert segments == pytest.approx(seen.segments, abs=1e-4)


def test_equal_pieces_have_one_key_wherever_they_stand() -> None:
    cup = PIECES[0][1]
    moved = replace(cup, place=Place(at=(5.0, 0.0, 0.0)), name="other")
    assert blob(mesh_of_shape(own_shape(cup))).key == blob(mesh_of_shape(own_shape(moved))).key


FOLDED = [(n, p) for n, p in PIECES if isinstance(p, Folded)]


@pytest.mark.parametrize("piece", [p for _, p in FOLDED], ids=[n for n, _ in FOLDED])
def test_every_corner_of_a_folded_piece_is_in_a_wall_or_a_bend(piece: Folded) -> None:
    seen = mesh_of_shape(own_shape(piece))
    at_home = replace(piece, place=Place())
    zones = zone_of(at_home, seen.positions)
    bends = len(hinges(at_home)["bends"])
    assert set(np.unique(zones)) <= {*range(bends + 1), *range(129, 129 + bends)}
    for number in range(bends):
        assert (zones == 129 + number).any()


@pytest.mark.parametrize("piece", [p for _, p in FOLDED], ids=[n for n, _ in FOLDED])
def test_hinges_reach_as_far_as_the_blank(piece: Folded) -> None:
    """Walls laid out by the hinges' own figures end where the blank ends (the fold's flat is worked out apart)."""
    told = hinges(replace(piece, place=Place()))
    allowances = sum(bend["allowance"] for bend in told["bends"])
    walls = [wall.outline.bounds for wall in piece.walls()]
    long = max(walls[0][3] - walls[0][1], walls[0][2] - walls[0][0])
    reach = allowances + long + sum(bounds[3] for bounds in walls[1:])
    blank = blank_of(piece)
    assert max(blank.length, blank.width) <= reach + 1e-6
    for bend in told["bends"]:
        rate = bend["inside"] + bend["k"] * told["t"]
        assert bend["allowance"] == pytest.approx(rate * math.radians(abs(bend["angle"])), rel=1e-12)


@pytest.mark.parametrize("piece", [p for _, p in FOLDED], ids=[n for n, _ in FOLDED])
def test_unfolded_metal_lies_flat_and_keeps_its_volume(piece: Folded) -> None:
    """Flat, all lies between 0 and t, and each bend has gone from t (r + t/2) a to t (r + K t) a for every mm
    of its width: half the thickness less K is what the closed form of the blank takes off."""
    at_home = replace(piece, place=Place())
    seen = mesh_of_shape(own_shape(at_home), deflection=FINE, angle=0.05)
    told = hinges(at_home)
    points, normals = Hinged(told, 0.0).moved(seen.positions, zone_of(at_home, seen.positions), seen.normals)
    assert points[:, 2].min() == pytest.approx(0.0, abs=1e-6)
    assert points[:, 2].max() == pytest.approx(piece.t, abs=1e-6)
    a, b, c = (points[seen.triples[:, i]] for i in range(3))
    less = sum(
        (0.5 - bend["k"]) * told["t"] * math.radians(abs(bend["angle"])) * told["t"] * bend["line"][1][0]
        for bend in told["bends"]
    )
    volume = float(np.einsum("ij,ij->i", a, np.cross(b, c)).sum()) / 6
    assert volume == pytest.approx(mass.volume(piece) - less, rel=FIGURES)
    level = np.abs(points[:, 2] * (points[:, 2] - piece.t)) < 1e-6
    upright = np.abs(normals[:, 2]) < 0.01
    assert (np.abs(np.abs(normals[level & ~upright][:, 2]) - 1.0) < 0.02).mean() > 0.9  # bevelled copes are neither


@pytest.mark.parametrize("share", [0.3, 0.8, 1.0])
def test_a_bend_made_in_part_leaves_no_gap_in_the_metal(share: float) -> None:
    """Corners that are one in the folded piece are one at every share: walls and bends meet as the bend opens."""
    piece = FOLDED[0][1]
    at_home = replace(piece, place=Place())
    seen = mesh_of_shape(own_shape(at_home))
    zones = zone_of(at_home, seen.positions)
    points, _ = Hinged(hinges(at_home), share).moved(seen.positions, zones, seen.normals)
    _, group = np.unique(seen.positions.round(6), axis=0, return_inverse=True)
    order = np.argsort(group.reshape(-1), kind="stable")
    same = group.reshape(-1)[order][1:] == group.reshape(-1)[order][:-1]
    apart = np.linalg.norm(points[order][1:] - points[order][:-1], axis=1)[same]
    assert same.any()
    assert apart.max() < 1e-6
    if share == 1.0:
        assert points == pytest.approx(seen.positions, abs=1e-9)


def test_how_far_points_lie_outside_an_outline_is_its_distance() -> None:
    """Of lines and arcs that bulge out and in, also level with their ends, where a winding number is decided."""
    notched = polygon([(0, 0), (60, 0), (60, 40), (30, 15), (0, 40)], radii=[8.0, 0.0, 5.0, 9.0, 0.0])
    spread = np.random.default_rng(7).uniform(-30, 80, (400, 2))
    for outline in (notched, rotate(notched, 33.0), slot((0, 0), (40, 10), 18.0), circle((5, 5), 20.0)):
        ends = np.array([edge.a for edge in outline.segments])
        level = np.array([(x, y) for x in (-20.0, 3.0, 29.0, 90.0) for y in ends[:, 1]])
        points = np.vstack((spread, level, ends))
        told = [max(0.0, -distance(outline, (float(x), float(y)))) for x, y in points]
        assert outside(outline, points) == pytest.approx(told, abs=1e-9)
        assert 0 < np.count_nonzero(told) < len(told)

"""Shapes in which a powertrain swings, as the page moves it: true modes of the bay, of a size that can be seen."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hung_bay import BAY
from preview_browser import Seen
from scipy.spatial.transform import Rotation

from brackets import on_bushes, read_bay
from brackets.app.preview.bay_source import BaySource
from brackets.app.preview.blocks import pack
from brackets.app.preview.build import LIVE
from brackets.app.preview.mode_shapes import SHOWN, mode_shapes
from brackets.app.preview.offline import page as saved_page
from brackets.hang.mount import lever, stiffness_matrix

BLOCK = """[[keep_out]]
name = "block"
side = "powertrain"
box = { from = [-100, -100, 150], to = [100, 100, 350] }
[[keep_out]]
name = "floor"
box = { from = [-300, -300, -20], to = [300, 300, 0] }
"""


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "bay.toml"
    path.write_text(BAY.format("") + BLOCK, "utf-8")
    return path


def test_each_shape_is_a_mode_and_its_furthest_mount_goes_as_far_as_is_said(file: Path) -> None:
    bay = read_bay(file)
    on = on_bushes(bay)
    centre = np.asarray(on.mass.centroid)
    stiff = stiffness_matrix([mount.shaken for mount in on.mounts], centre)
    body = np.zeros((6, 6))
    body[:3, :3] = np.eye(3) * on.mass.kg / 1000  # N s2/mm
    body[3:, 3:] = np.asarray(on.mass.inertia) / 1000
    shown = mode_shapes(bay)
    assert len(shown) == 6
    for one in shown:
        shape = np.array([*one["shift"], *one["turn"]])
        hz = float(one["name"].split(" Hz")[0])
        square = shape @ stiff @ shape / (shape @ body @ shape)
        assert np.sqrt(square) / (2 * np.pi) == pytest.approx(hz, abs=0.051)
        assert stiff @ shape == pytest.approx(square * (body @ shape), rel=1e-6, abs=1e-6)
        went = [np.linalg.norm(lever(mount.position - centre) @ shape) for mount in on.mounts]
        assert max(went) == pytest.approx(SHOWN)


def test_a_bay_without_lumps_has_none(tmp_path: Path) -> None:
    path = tmp_path / "bay.toml"
    path.write_text(f"format = 1\n{BLOCK}", "utf-8")
    assert mode_shapes(read_bay(path)) == []


@pytest.mark.browser
def test_the_page_swings_the_powertrain_in_its_modes(browser: Any, file: Path, tmp_path: Path) -> None:
    """Turned about the centre of mass and shifted, the other way for the other end of the slider; nothing else."""
    picture, header = BaySource(str(file)).picture({}, fineness=LIVE)
    header |= {"stops": False, "verdict": "", "worst": []}
    path = tmp_path / "modes.html"
    path.write_text(saved_page(pack({"answer": "picture", "seq": 0, **header}, picture.blobs)), "utf-8")
    seen = Seen(browser, path.as_uri())
    spot = "() => Object.fromEntries(Brackets.page.parts.items.map((i) => [i.thing, i.node.matrix.elements]))"
    rest = {name: np.reshape(at, (4, 4)).T for name, at in seen.run(spot).items()}
    for number, share in enumerate((100, -50, -50, -50, 60, -50), 1):
        one = mode_shapes(read_bay(file))[number - 1]
        seen.page.select_option("#rock-way", label=f"mode {number}: {one['name']}")
        seen.set("rock", share)
        assert seen.page.text_content("#rock-out") == "shape, no size"
        now = {name: np.reshape(at, (4, 4)).T for name, at in seen.run(spot).items()}
        about, part = np.array(one["about"]), share / 100
        turn = Rotation.from_rotvec(np.array(one["turn"]) * part).as_matrix()
        point = np.array([100.0, 50.0, 350.0])
        wanted = turn @ (point - about) + about + np.array(one["shift"]) * part
        by = now["block"] @ np.linalg.inv(rest["block"])
        assert (by @ [*point, 1])[:3] == pytest.approx(wanted, abs=1e-5)
        assert np.linalg.norm(wanted - point) > 0.5
        assert now["floor"] == pytest.approx(rest["floor"])
    assert seen.complaints == []
    seen.page.close()

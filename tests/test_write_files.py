"""STL, facts and the folder they stand in."""

from __future__ import annotations

import errno
import json
import math
from hashlib import sha256
from pathlib import Path

import numpy as np
import pytest
import trimesh

from brackets.core.errors import InputError
from brackets.core.finding import Finding
from brackets.core.place import Place
from brackets.geometry.shapes import rectangle
from brackets.kernel.mesh import mesh
from brackets.model import mass
from brackets.model.holes import Hole
from brackets.model.part import Part
from brackets.model.plate import Plate, Wall
from brackets.model.tube import Step, Turned
from brackets.model.weld import Along, Circle, Weld
from brackets.output import facts, folder, stl

BASE = Plate(name="base", wall=Wall(outline=rectangle(120, 80), openings=(Hole(at=(30, 0), d=13),)), t=6)
CUP = Turned(name="cup", steps=(Step(length=40, od=57, bore=50),), place=Place((-20, 0, 6)))
PART = Part(
    name="cup on plate",
    pieces=(BASE, CUP),
    welds=(Weld(piece="cup", edge=Circle(0.0, 57.0), onto="base", leg=4.0),),
)


def test_an_stl_is_closed_and_has_the_metal(tmp_path: Path) -> None:
    stl.write(PART, tmp_path / "p.stl")
    body = trimesh.load_mesh(tmp_path / "p.stl")
    assert body.is_watertight
    assert body.is_winding_consistent
    assert len(body.split()) == 2
    assert body.volume == pytest.approx(sum(mass.volume(piece) for piece in PART.pieces), rel=1e-3)
    assert len(body.faces) == len(mesh(PART).faces)
    np.testing.assert_allclose(body.bounds, ((-60, -40, 0), (60, 40, 46)), atol=1e-5)


def test_stl_normals_point_out_of_the_metal(tmp_path: Path) -> None:
    rows = np.frombuffer(stl.text(mesh(CUP))[84:], dtype=stl.RECORD)
    middles = rows["corners"].mean(axis=1)
    rim = np.hypot(middles[:, 0] + 20, middles[:, 1]) > 28
    outward = middles[rim] - (-20, 0, 0)
    assert (np.einsum("ij,ij->i", outward[:, :2], rows["normal"][rim][:, :2]) > -1e-6).all()


def test_equal_meshes_give_equal_bytes_with_no_time_in_them() -> None:
    one, other = (stl.text(mesh(PART, tolerance=t)) for t in (0.05, 0.05))
    assert one == other
    assert one[:80].strip() == b"brackets, binary STL, mm"
    assert len(one) == 84 + 50 * len(mesh(PART, tolerance=0.05).faces)


def test_facts_say_what_the_part_weighs_and_how_long_its_welds_are() -> None:
    found = facts.of(PART)
    assert found["mass_kg"] == pytest.approx(PART.mass.kg)
    assert found["centroid_mm"] == pytest.approx(list(PART.mass.centroid))
    assert np.array(found["inertia_kg_mm2"]) == pytest.approx(PART.mass.inertia)
    assert [piece["name"] for piece in found["pieces"]] == ["base", "cup"]
    assert found["pieces"][0]["volume_mm3"] == pytest.approx(120 * 80 * 6 - math.pi / 4 * 169 * 6)
    assert sum(piece["mass_kg"] for piece in found["pieces"]) == pytest.approx(found["mass_kg"])
    assert found["welds"][0]["length_mm"] == pytest.approx(math.pi * 57)


def test_facts_are_written_sorted_with_sums_of_the_files(tmp_path: Path) -> None:
    (tmp_path / "a.stl").write_bytes(b"abc")
    finding = Finding(level="advice", code="x", piece="base", sentence="s", source="t")
    facts.write(
        {
            **facts.of(PART),
            "values": {"t": 6.0, "z": -0.0},
            "findings": (finding,),
            "files": ["a.stl", "facts.json"],
        },
        tmp_path / "facts.json",
    )
    text = (tmp_path / "facts.json").read_text(encoding="utf-8")
    found = json.loads(text)
    assert list(found) == sorted(found)
    assert found["format"] == 1
    assert found["sha256"] == {"a.stl": sha256(b"abc").hexdigest()}
    assert found["findings"][0]["level"] == "advice"
    assert found["values"] == {"t": 6.0, "z": 0.0}
    assert "-0.0" not in text
    assert text.endswith("}\n")


def test_a_figure_that_is_not_a_number_is_refused() -> None:
    with pytest.raises(InputError, match=r"facts.values.t = nan"):
        facts.text({"values": {"t": math.nan}})


def test_a_thing_that_is_no_fact_is_refused() -> None:
    with pytest.raises(InputError, match=r"facts.x\[1\] = set"):
        facts.text({"x": [1, {2}]})


def fill(path: Path, word: str, stop: BaseException | None = None) -> None:
    with folder.fresh(path) as at:
        (at / word).write_text(word)
        if stop is not None:
            raise stop
        facts.write({"files": [word]}, at / "facts.json")


def names(path: Path) -> list[str]:
    return sorted(p.name for p in path.iterdir())


def test_a_folder_is_replaced_whole(tmp_path: Path) -> None:
    path = tmp_path / "out" / "cup"
    fill(path, "first")
    fill(path, "second")
    assert names(path) == ["facts.json", "second"]
    assert names(path.parent) == ["cup"]
    assert path.stat().st_mode == path.parent.stat().st_mode


def test_nothing_is_at_its_name_until_the_end(tmp_path: Path) -> None:
    path = tmp_path / "cup"
    with folder.fresh(path) as at:
        facts.write({}, at / "facts.json")
        assert not path.exists()
        assert at.parent == tmp_path
    assert path.exists()


@pytest.mark.parametrize("stop", [KeyboardInterrupt, RuntimeError, SystemExit])
def test_whatever_stops_the_work_the_old_folder_stays(tmp_path: Path, stop: type[BaseException]) -> None:
    path = tmp_path / "cup"
    fill(path, "first")
    with pytest.raises(stop):
        fill(path, "half", stop())
    assert names(path) == ["facts.json", "first"]
    assert names(tmp_path) == ["cup"]


def test_a_stop_in_the_middle_of_the_swap_brings_the_old_folder_back(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "cup"
    fill(path, "first")
    moves, rename = [], Path.rename

    def second_fails(self: Path, target: Path) -> Path:
        moves.append(target)
        if len(moves) == 2:
            raise KeyboardInterrupt
        return rename(self, target)

    monkeypatch.setattr(Path, "rename", second_fails)
    with pytest.raises(KeyboardInterrupt):
        fill(path, "second")
    assert names(path) == ["facts.json", "first"]
    assert names(tmp_path) == ["cup"]


def test_a_full_disk_names_the_folder_and_leaves_nothing(tmp_path: Path) -> None:
    path = tmp_path / "cup"
    with pytest.raises(OSError, match="No space left") as refused:
        fill(path, "half", OSError(errno.ENOSPC, "No space left on device"))
    assert refused.value.filename == str(path)
    assert refused.value.errno == errno.ENOSPC
    assert names(tmp_path) == []


def test_a_folder_that_is_not_ours_is_left_alone(tmp_path: Path) -> None:
    (tmp_path / "thesis.txt").write_text("years of work")
    with pytest.raises(InputError, match="it has no facts.json"):
        fill(tmp_path, "first")
    assert names(tmp_path) == ["thesis.txt"]


def test_an_empty_folder_is_taken(tmp_path: Path) -> None:
    (tmp_path / "cup").mkdir()
    fill(tmp_path / "cup", "first")
    assert names(tmp_path / "cup") == ["facts.json", "first"]


def test_a_file_where_the_folder_should_be_is_refused(tmp_path: Path) -> None:
    (tmp_path / "cup").write_text("x")
    with pytest.raises(InputError, match="it is a file"):
        fill(tmp_path / "cup", "first")


def test_along_is_an_edge_of_facts_too() -> None:
    """A weld round the base plate is as long as the plate is round."""
    part = Part(
        name="p",
        pieces=(BASE, CUP),
        welds=(Weld(piece="base", edge=Along((-60, -40), (-60, -40)), onto="cup", leg=3),),
    )
    assert facts.of(part)["welds"][0]["length_mm"] == pytest.approx(400)

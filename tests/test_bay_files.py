"""Files of a bay: every part has its own, inside the folder, whatever its name."""

from __future__ import annotations

from pathlib import Path

from brackets.bay.file import read
from brackets.bay.fitting import fit
from brackets.output.bay_files import write

NAMES = ("../evil", "assembly", "P", "p", "CON", "/evil", "a:b")
BAY = """
format = 1
name = "names"
[[keep_out]]
name = "engine"
side = "powertrain"
box = { from = [-50, -50, 400], to = [50, 50, 500] }
[[lump]]
name = "engine"
mass = 50
at = [0, 0, 450]
"""


def test_no_name_of_a_part_leaves_the_folder_or_takes_the_files_of_another(tmp_path: Path) -> None:
    rows = [
        f'[[part]]\nname = "{name}"\nrecipe = "gusset"\nside = "chassis"\nat = [0, {200 * n}, 0]\n'
        for n, name in enumerate(NAMES)
    ]
    home = tmp_path / "home"
    home.mkdir()
    (home / "bay.toml").write_text(BAY + "".join(rows), "utf-8")
    before = {"bay.toml"}
    files = write(fit(read(home / "bay.toml")), home / "out" / "names")
    assert {p.name for p in home.iterdir()} == before | {"out"}
    assert [p.name for p in tmp_path.iterdir()] == ["home"]
    written = {p.name for p in (home / "out" / "names").iterdir()}
    assert written == set(files)
    assert len({name.lower() for name in files}) == len(files)
    stems = ["evil", "assembly-2", "P", "p-2", "CON_", "evil-2", "a-b"]
    for stem in stems:
        assert {f"{stem}.step", f"{stem}.stl", f"{stem}.pdf", f"{stem}-plate.dxf"} <= written
    assert "assembly.step" in written


def test_a_bay_of_a_bare_engine_is_written_too(tmp_path: Path) -> None:
    (tmp_path / "bay.toml").write_text(BAY, "utf-8")
    files = write(fit(read(tmp_path / "bay.toml")), tmp_path / "out")
    assert files == ("gaps.csv", "buy.csv", "lists.xlsx", "facts.json")

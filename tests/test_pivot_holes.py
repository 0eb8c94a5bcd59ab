"""A pivot hole is cut under size and reamed after welding: what is made now is what a cutter is given."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import ezdxf
import pytest
from pypdf import PdfReader

from brackets import recipe
from brackets.core.tables.fasteners import hole
from brackets.drawing.blank import blank
from brackets.drawing.record import Drawing, Title
from brackets.forming.flat_pattern import blank_of, flat_facts
from brackets.forming.shop import as_made_in
from brackets.forming.shop_file import default, parse
from brackets.geometry.shapes import rectangle
from brackets.model.holes import REAM_STOCK, Hole
from brackets.model.mass import volume
from brackets.model.part import Part
from brackets.model.plate import Plate, Wall
from brackets.output import dxf, svg
from brackets.output.part_files import made, write
from brackets.rules.part import shop_findings

TITLE = Title(part="ear")
PIVOT = Hole(at=(10.0, 5.0), d=12.1, kind="pivot", bolt="M12", name="pivot")
EAR = Plate(name="ear", t=6.0, wall=Wall(outline=rectangle(80, 60), openings=(PIVOT, Hole(at=(-25, 0), d=9.0))))


def circles(path: Path, layer: str) -> list[tuple[float, float, float]]:
    """Diameter and centre of every circle of a layer."""
    found = ezdxf.readfile(path).modelspace().query(f'CIRCLE[layer=="{layer}"]')
    return sorted((round(2 * c.dxf.radius, 6), round(c.dxf.center.x, 6), round(c.dxf.center.y, 6)) for c in found)


def ears(tmp_path: Path) -> tuple[Path, dict[str, Any]]:
    opened = recipe("ears")
    done = write(made(opened, opened.Params()), tmp_path / "ears")
    assert "ears-ear_front.dxf" in done.files
    facts = json.loads((tmp_path / "ears" / "facts.json").read_text("utf-8"))
    return tmp_path / "ears", facts


def test_the_shipped_stock_for_the_reamer_is_that_of_the_table_of_bolts() -> None:
    assert pytest.approx(hole("M12", "pivot") - hole("M12", "pilot")) == REAM_STOCK
    assert PIVOT.now == 11.5
    assert Hole(at=(0, 0), d=10.5, kind="boss").now == 10.5


def test_cut_carries_what_is_made_now_and_mark_the_finished_size(tmp_path: Path) -> None:
    dxf.write(blank(EAR, TITLE), tmp_path / "ear.dxf")
    assert circles(tmp_path / "ear.dxf", "CUT") == [(9.0, 15.0, 30.0), (11.5, 50.0, 35.0)]
    assert circles(tmp_path / "ear.dxf", "MARK") == [(12.1, 50.0, 35.0)]
    said = [e.dxf.text for e in ezdxf.readfile(tmp_path / "ear.dxf").modelspace().query("TEXT")]
    assert "1: Ø11.5 now, ream 12.1" in said


def layer_radii(drawing: Drawing, layer: str) -> list[float]:
    return sorted(round(s.circle[1], 6) for s in drawing.strokes if s.layer == layer and s.circle is not None)


def test_drawing_list_and_svg_come_from_the_same_hole() -> None:
    drawing = blank(EAR, TITLE)
    assert layer_radii(drawing, "cut") == [4.5, 5.75]
    assert layer_radii(drawing, "mark") == [6.05]
    [table] = [t for t in drawing.tables if t.heading == "Holes"]
    first, second = (dict(zip(table.columns, row, strict=True)) for row in table.rows)
    assert (first["Ø now"], first["Ø ream"], first["how"]) == ("11.5", "12.1", "now 11.5, ream 12.1 after welding")
    assert (second["Ø now"], second["Ø ream"]) == ("9", "")
    text = svg.text(drawing)
    cut, mark = (text[text.index(f'<g id="{name}"') :].split("</g>")[0] for name in ("cut", "mark"))
    assert ("A 5.75 5.75" in cut, "A 6.05 6.05" in cut) == (True, False)
    assert "A 6.05 6.05" in mark


def test_a_made_part_says_both_sizes_everywhere_and_weighs_as_finished(tmp_path: Path) -> None:
    folder, facts = ears(tmp_path)
    assert [d for d, _, _ in circles(folder / "ears-ear_front.dxf", "CUT")] == [11.5]
    assert [d for d, _, _ in circles(folder / "ears-ear_front.dxf", "MARK")] == [12.1]
    text = "\n".join(page.extract_text() for page in PdfReader(folder / "ears.pdf").pages)
    assert "now 11.5, ream 12.1 after welding" in text
    assert "11.5 now, ream 12.1" in text
    own = facts["pieces"][0]["flat"]
    assert (own["holes"][0]["now_mm"], own["holes"][0]["d_mm"]) == (11.5, 12.1)
    [ring] = own["openings"]
    ends = [(corner["x_mm"], corner["y_mm"]) for corner in ring[:2]]
    assert math.dist(*ends) == pytest.approx(11.5)
    # Finished: the plate without the reamed hole, not without the drilled one.
    solid = Part(name="p", pieces=(EAR,))
    bare = 80 * 60 * 6 - math.pi / 4 * 81 * 6
    assert volume(EAR) == pytest.approx(bare - math.pi / 4 * 12.1**2 * 6)
    assert solid.mass.kg == pytest.approx(volume(EAR) * 7.85e-6, rel=1e-9)


def test_facts_of_a_blank_are_of_what_is_cut_now() -> None:
    told = flat_facts(EAR, blank_of(EAR))
    assert told["area_mm2"] == pytest.approx(80 * 60 - math.pi / 4 * (81 + 11.5**2))
    assert blank_of(EAR).area == pytest.approx(80 * 60 - math.pi / 4 * (81 + 12.1**2))


@pytest.mark.parametrize(("stock", "now", "said"), [(1.0, 11.1, "ream 12.1"), (0.0, 12.1, "nothing left to ream")])
def test_a_shop_says_how_much_it_leaves_for_the_reamer(stock: float, now: float, said: str) -> None:
    text = f'format = 1\nname = "mine"\n[brake]\nlength = 900\n[hole_tools]\nream_stock = {stock}\n'
    shop = parse(text)
    part = as_made_in(shop, Part(name="p", pieces=(EAR,)))
    piece = part.piece("ear")
    assert isinstance(piece, Plate)
    assert layer_radii(blank(piece, TITLE), "cut") == [4.5, now / 2]
    [table] = [t for t in blank(piece, TITLE).tables if t.heading == "Holes"]
    assert said in dict(zip(table.columns, table.rows[0], strict=True))["how"]


@pytest.mark.parametrize(("drill", "fits"), [(10.98, True), (10.97, False), (11.52, True), (11.53, False)])
def test_the_drill_before_the_reamer_is_at_most_half_a_mm_under(drill: float, fits: bool) -> None:
    text = (
        'format = 1\nname = "mine"\n[brake]\nlength = 900\n'
        f"[hole_tools]\ndrills = [9, {drill}]\nreamers = [12]\n"
    )
    found = [f for f in shop_findings(Part(name="p", pieces=(EAR,)), parse(text)) if f.code == "pilot drill"]
    assert (not found) == fits
    if found:
        assert (found[0].value, found[0].piece) == (11.5, "ear")
        assert "no drill 11.5 mm to ream it from; nearest: " in found[0].sentence


def test_the_sample_shop_has_a_drill_for_every_shipped_pivot() -> None:
    for size in ("M8", "M10", "M12", "M14", "M16"):
        ear = Plate(
            name="ear",
            t=6.0,
            wall=Wall(outline=rectangle(90, 90), openings=(Hole(at=(0, 0), d=hole(size, "pivot"), kind="pivot"),)),
        )
        assert not [f for f in shop_findings(Part(name="p", pieces=(ear,)), default()) if "drill" in f.code], size

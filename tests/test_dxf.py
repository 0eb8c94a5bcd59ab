"""Cut files read back by another reader: closed polylines, layers, units, and the flat's area; SVG in true mm."""

from __future__ import annotations

import math
import os
import re
import subprocess
import sys
from dataclasses import replace
from pathlib import Path
from xml.etree import ElementTree

import ezdxf
import ezdxf.bbox
import pytest
from test_fold_samples import angle_bracket, channel, cut_to_tube, offset_strap, sheet, tray, turned_channel

from brackets.drawing.blank import blank
from brackets.drawing.record import Title
from brackets.forming.flat_pattern import blank_of
from brackets.model.holes import Hole
from brackets.model.plate import Folded, Plate
from brackets.output import dxf, svg

TITLE = Title(part="sample")
PIECES: dict[str, Folded | Plate] = {
    "L": angle_bracket(),
    "U": channel(),
    "C": turned_channel(),
    "joggle": offset_strap(),
    "tray": tray(),
    "ears": cut_to_tube(),
    "plate": Plate(
        name="p", t=6.0, wall=sheet(120, 80, Hole(at=(20, 20), d=10.5), Hole(at=(100, 60), d=12), corner=8)
    ),
}


def enclosed(entity: object) -> float:
    """Area of a circle, or of a closed polyline by its corners and the caps over its bulges."""
    if entity.dxftype() == "CIRCLE":  # type: ignore[attr-defined]
        return math.pi * entity.dxf.radius**2  # type: ignore[attr-defined]
    points = list(entity.get_points("xyb"))  # type: ignore[attr-defined]
    total = 0.0
    for (x0, y0, bulge), (x1, y1, _) in zip(points, points[1:] + points[:1], strict=True):
        total += (x0 * y1 - x1 * y0) / 2
        sweep = 4 * math.atan(bulge)
        if sweep:
            radius = math.dist((x0, y0), (x1, y1)) / (2 * math.sin(abs(sweep) / 2))
            total += math.copysign(radius**2 * (abs(sweep) - math.sin(abs(sweep))) / 2, sweep)
    return abs(total)


@pytest.mark.parametrize("name", PIECES)
def test_area_read_back_is_the_flats(name: str, tmp_path: Path) -> None:
    dxf.write(blank(PIECES[name], TITLE), tmp_path / "a.dxf")
    doc = ezdxf.readfile(tmp_path / "a.dxf")
    cuts = list(doc.modelspace().query('*[layer=="CUT"]'))
    areas = sorted((enclosed(e) for e in cuts), reverse=True)
    assert areas[0] - sum(areas[1:]) == pytest.approx(blank_of(PIECES[name]).cut.area, rel=1e-6)
    assert all(e.dxftype() == "CIRCLE" or e.closed for e in cuts)


def test_units_version_and_layers(tmp_path: Path) -> None:
    dxf.write(blank(tray(), TITLE), tmp_path / "a.dxf")
    doc = ezdxf.readfile(tmp_path / "a.dxf")
    assert (doc.dxfversion, doc.header["$INSUNITS"]) == ("AC1024", 4)
    used = {e.dxf.layer for e in doc.modelspace()}
    assert used == {"CUT", "BEND", "BEND_EDGE", "CENTRE_POP", "TEXT"}
    assert not doc.audit().errors


@pytest.mark.parametrize("stops", [False, True])
def test_the_extents_in_the_head_are_those_of_what_is_drawn(tmp_path: Path, stops: bool) -> None:
    """Against the library's own, of every entity but words, which a reader may write in another type."""
    drawing = blank(tray(), replace(TITLE, stops=stops))
    dxf.write(drawing, tmp_path / "plain.dxf")
    doc = ezdxf.readfile(tmp_path / "plain.dxf")
    found = ezdxf.bbox.extents(doc.modelspace().query("LWPOLYLINE CIRCLE"), fast=False)
    low, high = doc.header["$EXTMIN"], doc.header["$EXTMAX"]
    boxes = [words.box for words in drawing.words]
    lowest = [min(found.extmin[i], *(box[i] for box in boxes)) for i in (0, 1)]
    highest = [max(found.extmax[i], *(box[i + 2] for box in boxes)) for i in (0, 1)]
    assert low[:2] == pytest.approx(lowest, abs=1e-6)
    assert high[:2] == pytest.approx(highest, abs=1e-6)


def test_every_layer_has_its_colour_and_what_is_stopped_is_grey_dashed_and_not_plotted(tmp_path: Path) -> None:
    """Colours of the AutoCAD colour index: a cutter's program goes by layer or by colour."""
    dxf.write(blank(tray(), TITLE), tmp_path / "a.dxf")
    layers = {layer.dxf.name: layer.color for layer in ezdxf.readfile(tmp_path / "a.dxf").layers}
    wanted = {"CUT": 7, "BEND": 5, "BEND_EDGE": 8, "CENTRE_POP": 1, "WELD": 30, "BEVEL": 6, "MARK": 4, "TEXT": 3}
    assert layers | wanted == layers
    dxf.write(blank(tray(), replace(TITLE, stops=True)), tmp_path / "b.dxf")
    doc = ezdxf.readfile(tmp_path / "b.dxf")
    assert not {layer.dxf.name for layer in doc.layers} & set(wanted)
    stopped = doc.layers.get("STOPPED")
    assert (stopped.color, stopped.dxf.linetype, stopped.dxf.plot) == (8, "DASHED", 0)
    dashes = [tag.value for tag in doc.linetypes.get("DASHED").pattern_tags.tags if tag.code in (40, 49)]
    assert dashes == [3.0, 2.0, -1.0]  # 3 long: a dash of 2 and 1 of nothing


def test_bend_lines_lie_where_the_flat_says(tmp_path: Path) -> None:
    piece = channel()
    dxf.write(blank(piece, TITLE), tmp_path / "a.dxf")
    lines = ezdxf.readfile(tmp_path / "a.dxf").modelspace().query('*[layer=="BEND"]')
    x0, y0, _, _ = blank_of(piece).outline.bounds
    wanted = sorted(
        tuple(c - o for p in bend.line for c, o in zip(p, (x0, y0), strict=True)) for bend in blank_of(piece).bends
    )
    found = sorted(tuple(c for p in line.get_points("xy") for c in p) for line in lines)
    for a, b in zip(found, wanted, strict=True):
        assert a == pytest.approx(b, abs=1e-9)


def test_same_drawing_same_bytes(tmp_path: Path) -> None:
    for name in ("a", "b"):
        dxf.write(blank(tray(), TITLE), tmp_path / f"{name}.dxf")
    assert (tmp_path / "a.dxf").read_bytes() == (tmp_path / "b.dxf").read_bytes()


def test_svg_is_in_true_mm(tmp_path: Path) -> None:
    drawing = blank(PIECES["plate"], TITLE)
    svg.write(drawing, tmp_path / "a.svg")
    root = ElementTree.parse(tmp_path / "a.svg").getroot()
    wide, tall = (float(root.get(k, "").removesuffix("mm")) for k in ("width", "height"))
    assert [wide, tall] == pytest.approx([float(v) for v in root.get("viewBox", "").split()[2:]])
    assert wide >= 124
    cut = root.find(".//{*}g[@id='cut']")
    assert cut is not None
    path = cut[0].get("d", "")
    ends = [(float(x), float(y)) for x, y in re.findall(r"(-?[\d.]+) (-?[\d.]+)(?= [LAZ]|$)", path)]
    assert max(x for x, _ in ends) - min(x for x, _ in ends) == pytest.approx(120)
    assert max(y for _, y in ends) - min(y for _, y in ends) == pytest.approx(80)


def test_svg_escapes_names() -> None:
    title = Title(part='a <b> & "c"')
    ElementTree.fromstring(svg.text(blank(angle_bracket(), title)).encode())


SEEDED = """
import sys
from brackets import Title
from brackets.drawing.blank import blank
from brackets import Plate, Wall, rectangle
from brackets.output import dxf
dxf.write(blank(Plate(name="p", t=6.0, wall=Wall(outline=rectangle(80, 40))), Title(part="s")), sys.argv[1])
"""


def test_the_same_drawing_gives_the_same_bytes_whatever_the_hash_seed(tmp_path: Path) -> None:
    written = []
    for seed in ("3", "4"):
        environment = {**os.environ, "PYTHONHASHSEED": seed}
        path = tmp_path / seed
        subprocess.run([sys.executable, "-c", SEEDED, str(path)], check=True, env=environment)
        written.append(path.read_bytes())
    assert written[0] == written[1]


@pytest.mark.checkout
def test_the_readme_lists_every_layer_with_its_colour() -> None:
    text = (Path(__file__).resolve().parent.parent / "README.md").read_text("utf-8")
    for name, colour in (*dxf.LAYERS.values(), dxf.STOPPED):
        assert f"\n| {name} | {colour} | " in text, name

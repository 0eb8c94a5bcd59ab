"""STEP files: read back by our kernel and by another reader, and the same bytes from the same part."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from dataclasses import replace
from hashlib import sha256
from pathlib import Path

import numpy as np
import pytest
import trimesh
from bracket import EAR, OTHER, PART
from OCP.IFSelect import IFSelect_RetDone
from OCP.Interface import Interface_Static
from OCP.STEPCAFControl import STEPCAFControl_Reader
from OCP.TCollection import TCollection_ExtendedString
from OCP.TDataStd import TDataStd_Name
from OCP.TDF import TDF_Label, TDF_LabelSequence
from OCP.TDocStd import TDocStd_Document
from OCP.TopLoc import TopLoc_Location
from OCP.TopoDS import TopoDS_Shape
from OCP.XCAFApp import XCAFApp_Application
from OCP.XCAFDoc import XCAFDoc_DocumentTool, XCAFDoc_Material, XCAFDoc_MaterialTool, XCAFDoc_ShapeTool

from brackets import kernel as solid
from brackets.core.errors import InputError
from brackets.core.tables.material_rows import material
from brackets.kernel.measure import volume_properties
from brackets.kernel.mesh import mesh
from brackets.model import mass
from brackets.model.part import Part
from brackets.output import assembly, step

SAME = """
from hashlib import sha256
from bracket import OTHER, PART
from brackets.output import assembly, step
print(sha256(step.text(PART)).hexdigest(), sha256(step.text(assembly.tree((PART, OTHER), name="w"))).hexdigest())
"""
"""Another process: other addresses, other hash seed, and its first file."""


def read(path: Path) -> dict[str, TopoDS_Shape]:
    """Solids by the path of their names from the top, where they stand."""
    document = TDocStd_Document(TCollection_ExtendedString("MDTV-XCAF"))
    XCAFApp_Application.GetApplication_s().InitDocument(document)
    reader = STEPCAFControl_Reader()
    reader.SetNameMode(True)
    assert reader.ReadFile(str(path)) == IFSelect_RetDone
    assert reader.Transfer(document)
    roots = TDF_LabelSequence()
    XCAFDoc_DocumentTool.ShapeTool_s(document.Main()).GetFreeShapes(roots)
    found: dict[str, TopoDS_Shape] = {}
    for i in range(1, roots.Length() + 1):
        _walk(roots.Value(i), _name(roots.Value(i)), TopLoc_Location(), found)
    return found


def _walk(label: TDF_Label, path: str, place: TopLoc_Location, found: dict[str, TopoDS_Shape]) -> None:
    parts = TDF_LabelSequence()
    XCAFDoc_ShapeTool.GetComponents_s(label, parts)
    if parts.Length() == 0:
        found[path] = XCAFDoc_ShapeTool.GetShape_s(label).Moved(place)
    for i in range(1, parts.Length() + 1):
        part, what = parts.Value(i), TDF_Label()
        XCAFDoc_ShapeTool.GetReferredShape_s(part, what)
        _walk(what, f"{path}|{_name(part)}", place * XCAFDoc_ShapeTool.GetLocation_s(part), found)


def _name(label: TDF_Label) -> str:
    name = TDataStd_Name()
    assert label.FindAttribute(TDataStd_Name.GetID_s(), name)
    return name.Get().ToExtString()


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("step") / "bracket.step"
    step.write(PART, path)
    return path


def test_our_kernel_reads_every_piece_back_under_its_name(written: Path) -> None:
    found = read(written)
    assert list(found) == [f"bracket|{piece.name}" for piece in PART.pieces]
    for piece in PART.pieces:
        volume, centre, inertia = volume_properties(found[f"bracket|{piece.name}"])
        ours = mass.of(piece)
        assert volume == pytest.approx(mass.volume(piece), rel=1e-9)
        np.testing.assert_allclose(centre, ours.centroid, atol=1e-7)
        np.testing.assert_allclose(inertia / volume, ours.inertia / ours.kg, rtol=1e-6, atol=1e-5)


def test_another_reader_finds_every_piece_in_its_place(written: Path) -> None:
    """trimesh with cascadio: metres, and its own triangles, which are coarser than ours."""
    scene = trimesh.load(written)
    assert set(scene.graph.nodes_geometry) == {piece.name for piece in PART.pieces}
    for piece in PART.pieces:
        place, geometry = scene.graph[piece.name]
        body = scene.geometry[geometry].copy().apply_transform(place).apply_scale(1000.0)
        ours = mesh(piece)
        bound = 0.01 * float(np.ptp(ours.vertices, axis=0).max())
        np.testing.assert_allclose(body.bounds, (ours.vertices.min(axis=0), ours.vertices.max(axis=0)), atol=bound)
        np.testing.assert_allclose(body.center_mass, mass.of(piece).centroid, atol=bound)


def test_equal_pieces_are_one_shape_in_the_file(written: Path) -> None:
    text = written.read_text(encoding="ascii")
    assert text.count("MANIFOLD_SOLID_BREP(") == 3
    assert text.count("NEXT_ASSEMBLY_USAGE_OCCURRENCE(") == 4
    assert text.count("STYLED_ITEM(") == 3
    assert "ears/left and 1 alike" in text


def test_each_kind_of_piece_has_its_colour(written: Path) -> None:
    scene = trimesh.load(written)
    seen = {}
    for name in scene.graph.nodes_geometry:
        colour = scene.geometry[scene.graph[name][1]].visual.material.baseColorFactor
        seen[name] = tuple(int(c) for c in colour[:3])
    assert seen["ears/left"] == seen["ears/right"]
    assert len({seen["ears/left"], seen["cup"], seen["strut"]}) == 3
    linear = [round(255 * ((c + 0.055) / 1.055) ** 2.4) for c in step.COLOURS["turned"]]
    assert seen["cup"] == pytest.approx(linear, abs=2)


def test_the_file_is_in_millimetres_and_of_ap242_with_no_clock(written: Path) -> None:
    text = written.read_text(encoding="ascii")
    head = " ".join(text.split("ENDSEC;")[0].split())
    assert "AP242_MANAGED_MODEL_BASED_3D_ENGINEERING" in head
    assert step.STAMP in head
    assert not re.search(r"20[1-9]\d-\d\d-\d\dT", head)
    assert "SI_UNIT(.MILLI.,.METRE.)" in text


def test_the_same_part_gives_the_same_bytes_in_every_process(written: Path) -> None:
    here = [step.text(PART), step.text(assembly.tree((PART, OTHER), name="w"))]
    solid.forget()
    mesh(PART)
    assert step.text(PART) == here[0] == written.read_bytes()
    there = subprocess.run(
        [sys.executable, "-c", SAME],
        capture_output=True,
        text=True,
        check=True,
        cwd=Path(__file__).parent,
        env={**os.environ, "PYTHONPATH": str(Path(mass.__file__).parents[2])},
    )
    assert there.stdout.split() == [sha256(text).hexdigest() for text in here]


def test_settings_left_by_other_code_change_nothing(written: Path) -> None:
    Interface_Static.SetIVal_s("write.surfacecurve.mode", 0)
    Interface_Static.SetCVal_s("write.step.schema", "AP203")
    Interface_Static.SetCVal_s("write.step.unit", "INCH")
    assert step.text(PART) == written.read_bytes()


def test_an_assembly_holds_its_parts_and_each_its_pieces(tmp_path: Path) -> None:
    path = tmp_path / "whole.step"
    assembly.write((PART, OTHER), path, name="whole")
    found = read(path)
    assert list(found) == [f"whole|{part.name}|{piece.name}" for part in (PART, OTHER) for piece in part.pieces]
    for part in (PART, OTHER):
        for piece in part.pieces:
            volume, centre, _ = volume_properties(found[f"whole|{part.name}|{piece.name}"])
            assert volume == pytest.approx(mass.volume(piece), rel=1e-9)
            np.testing.assert_allclose(centre, mass.of(piece).centroid, atol=1e-7)


def test_a_single_piece_can_be_written(tmp_path: Path) -> None:
    step.write(EAR, tmp_path / "ear.step")
    assert list(read(tmp_path / "ear.step")) == ["ears/left|ears/left"]


NAMES = ("Böckchen's №1", "漢字 Ящик", "漢" * 80, "x" * 70 + "Ä", "\U0001d538b", "plain")


def test_names_are_written_with_the_escapes_of_the_format() -> None:
    """ISO 10303-21:2016, encoding of strings (from memory): code points in hexadecimal, worked out by hand."""
    assert step.escaped("Böckchen's №1") == "B\\X2\\00F6\\X0\\ckchen's \\X2\\2116\\X0\\1"
    assert step.escaped("漢字Я") == "\\X2\\6F225B57042F\\X0\\"
    assert step.escaped("\U0001d538b") == "\\X4\\0001D538\\X0\\b"
    assert step.escaped("a\\b") == "a\\\\b"
    text = step.text(Part(name=NAMES[0], pieces=(EAR.renamed("Öhr"),)))
    assert b"B\\X2\\00F6\\X0\\ckchen''s " in text
    assert text.isascii()


@pytest.mark.parametrize("name", NAMES)
def test_two_readers_read_every_name_back_as_it_was(name: str, tmp_path: Path) -> None:
    """A long one too, which the kernel breaks over lines within an escape and then reads as "?"."""
    step.write(Part(name=name, pieces=(EAR.renamed(f"{name}2"),)), tmp_path / "named.step")
    assert list(read(tmp_path / "named.step")) == [f"{name}|{name}2"]
    assert {name, f"{name}2"} <= set(trimesh.load(tmp_path / "named.step").graph.nodes)


def materials(path: Path) -> tuple[dict[str, float], dict[str, float]]:
    """Densities, g/cm3, by material and by product, as the kernel reads them."""
    document = TDocStd_Document(TCollection_ExtendedString("MDTV-XCAF"))
    XCAFApp_Application.GetApplication_s().InitDocument(document)
    reader = STEPCAFControl_Reader()
    reader.SetNameMode(True)
    reader.SetMatMode(True)
    assert reader.ReadFile(str(path)) == IFSelect_RetDone
    assert reader.Transfer(document)
    rows, shapes = TDF_LabelSequence(), TDF_LabelSequence()
    XCAFDoc_DocumentTool.MaterialTool_s(document.Main()).GetMaterialLabels(rows)
    XCAFDoc_DocumentTool.ShapeTool_s(document.Main()).GetShapes(shapes)
    known = {}
    for i in range(1, rows.Length() + 1):
        row = XCAFDoc_Material()
        assert rows.Value(i).FindAttribute(XCAFDoc_Material.GetID_s(), row)
        known[row.GetName().ToCString()] = row.GetDensity()
    labels = [shapes.Value(i) for i in range(1, shapes.Length() + 1)]
    found = {_name(label): 1000 * XCAFDoc_MaterialTool.GetDensityForShape_s(label) for label in labels}
    return known, {name: density for name, density in found.items() if density}


def test_each_product_has_its_material_and_density(tmp_path: Path) -> None:
    """Two pieces of one shape and of two materials are two products; the kernel's own unit is gram3 centimetre2."""
    pieces = (EAR.renamed("steel"), replace(EAR.renamed("light"), material="6061-T6"))
    step.write(Part(name="two", pieces=pieces), tmp_path / "two.step")
    dense = [material(piece.material).density / 1000 for piece in pieces]
    known, found = materials(tmp_path / "two.step")
    assert known == pytest.approx(dict(zip(("S235", "6061-T6"), dense, strict=True)))
    assert found == pytest.approx(dict(zip(("steel", "light"), dense, strict=True)))
    assert list(read(tmp_path / "two.step")) == ["two|steel", "two|light"]
    text = (tmp_path / "two.step").read_text("ascii")
    units = re.findall(r"= DERIVED_UNIT_ELEMENT\(#(\d+),(-?\d+)\.\);", text)
    said = {re.search(rf"#{number} = \( (\w+)\(\)", text).group(1): int(power) for number, power in units}  # type: ignore[union-attr]
    assert said == {"MASS_UNIT": 1, "LENGTH_UNIT": -3}


def test_two_parts_of_one_name_are_refused() -> None:
    with pytest.raises(InputError, match="part = bracket, each name once"):
        assembly.tree((PART, PART), name="w")


def test_an_assembly_of_nothing_is_refused() -> None:
    with pytest.raises(InputError, match="parts = none"):
        assembly.tree((), name="w")

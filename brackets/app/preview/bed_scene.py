"""The picture of a mock-up: every bed with its bodies as they are printed, and their figures."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from brackets.app.preview.blocks import Blob, pack, row, table
from brackets.app.preview.fields import Values, refusals
from brackets.app.preview.recipe_source import RecipeSource, findings_table, verdict_keys
from brackets.app.preview.render_mesh import mesh_of_triangles
from brackets.app.preview.scene import Fineness, Picture, blob
from brackets.core.place import Place
from brackets.mockups.printed import mockup
from brackets.mockups.record import MockUp, Printed

BETWEEN_BEDS = 30.0
"""mm from one bed to the next in the picture."""

PLATE = 1.0
"""mm that a bed is drawn thick."""


class PrintedSource(RecipeSource):
    """A recipe as it is printed on the SAMPLE shop's beds, its values to be typed as ever."""

    def shape(self, typed: Values, *, fineness: Fineness) -> tuple[Picture, dict[str, Any]]:
        """What is drawn. Raises Refused with what to say at which field."""
        _, header = super().shape(typed, fineness=fineness)
        assert self._made is not None
        with refusals(forms=super().figures()["forms"]):
            self._done = mockup(self._made.part, self._made.shop.printer_3d, shop=self._made.shop.source)
        self._found = Picture(fineness)
        add_beds(self._found, self._done)
        more = {key: header[key] for key in ("about", "bare")}
        return self._found, self._found.shape(**more, title=f"{header['title']} as printed")

    def figures(self) -> dict[str, Any]:
        """What stands beside it."""
        return super().figures() | {"doc": _told(self._done), "tables": self._found.tables}

    def checks(self, *, fineness: Fineness) -> tuple[Picture, dict[str, Any]]:
        """What is said of the mock-up last pictured."""
        found = Picture(fineness)
        found.tables = [findings_table([(f.piece, f) for f in self._done.findings])]
        return found, found.header(**verdict_keys(self._done.findings))


def block(done: MockUp) -> bytes:
    """Everything in one block, for a saved page or a picture."""
    picture = Picture()
    add_beds(picture, done)
    picture.tables.insert(0, findings_table([(f.piece, f) for f in done.findings]))
    header = picture.header(
        about="recipe",
        title=f"{done.name} as printed",
        doc=_told(done),
        forms={},
        bare="mm",
        **verdict_keys(done.findings),
    )
    return pack({"answer": "picture", "seq": 0, **header}, picture.blobs)


def add_beds(picture: Picture, done: MockUp) -> None:
    """Every bed with its bodies, and the table of them."""
    wide, deep, _ = done.printer.bed
    meshes: dict[int, Blob] = {}
    columns = math.ceil(math.sqrt(len(done.beds)))
    for number, bed in enumerate(done.beds, 1):
        across, along = (number - 1) % columns, (number - 1) // columns
        x, y = across * (wide + BETWEEN_BEDS), -along * (deep + BETWEEN_BEDS)
        plate = blob(mesh_of_triangles(*_box(wide, deep)))
        name, place = f"bed {number}", Place((x, y, 0.0))
        picture.add_mesh(plate, thing=name, name=name, what="keep-out", side="", place=place)
        for laid in bed:
            key = id(laid.body)
            if key not in meshes:
                meshes[key] = blob(mesh_of_triangles(laid.body.mesh.vertices, laid.body.mesh.faces))
            at = Place((x + laid.at[0], y + laid.at[1], 0.0))
            item = picture.add_mesh(
                meshes[key], thing=laid.body.part, name=laid.body.name, what="part", side="", place=at
            )
            item["kind"] = laid.body.kind
    picture.tables.append(_bodies(done))


def _told(done: MockUp) -> str:
    wide, deep, _ = done.printer.bed
    beds = f"{len(done.beds)} beds" if len(done.beds) > 1 else "1 bed"
    return f"{beds} of {wide:g} x {deep:g} mm: for checking the fit, never load, never near heat."


def _bodies(done: MockUp) -> dict[str, Any]:
    beds: dict[str, dict[str, None]] = {}
    for number, bed in enumerate(done.beds, 1):
        for laid in bed:
            beds.setdefault(laid.body.name, {})[str(number)] = None
    rows = [
        row((body.name, body.kind, str(body.count), _size(body), _words(body), ", ".join(beds[body.name])))
        for body in done.bodies
    ]
    return table("bodies", "Bodies", "body|is|>times|>size, mm|marked|>bed", rows)


def _size(body: Printed) -> str:
    return " x ".join(f"{mm:.1f}" for mm in body.size)


def _words(body: Printed) -> str:
    return ", ".join(line for block in body.written for line in block.lines)


def _box(wide: float, deep: float) -> tuple[np.ndarray, np.ndarray]:
    corners = np.array([[x, y, z] for z in (-PLATE, 0.0) for y in (0.0, deep) for x in (0.0, wide)])
    quads = [(0, 2, 3, 1), (4, 5, 7, 6), (0, 1, 5, 4), (2, 6, 7, 3), (0, 4, 6, 2), (1, 3, 7, 5)]
    return corners, np.array([t for a, b, c, d in quads for t in ((a, b, c), (a, c, d))])

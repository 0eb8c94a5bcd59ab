"""3MF files: bodies as they lie on a bed, each a build item under its name, mm; written by the format's own
library.

Same bodies, same bytes: the identifiers that the format asks for follow from names instead of being drawn at
random.
"""

from __future__ import annotations

import io
import uuid
import zipfile
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np

from brackets.core.errors import InputError
from brackets.core.place import Place
from brackets.kernel.mesh import Mesh
from brackets.output.items import Item

STAMP = (1980, 1, 1, 0, 0, 0)
"""The earliest time a zip file can say: what is written does not depend on when."""


def write(items: Sequence[Item], path: Path | str, *, title: str, description: str = "") -> None:
    """Write bodies as 3MF (core specification 1.3), unit mm, a build item each.

    items: at least one, each closed, with its colour as the base material of its object where it has one; path: of
    the file; title, description: what its metadata say. Raises InputError where there are none, OSError where the
    file cannot be written.
    """
    if not items:
        raise InputError("items = none, must be one or more: bodies of a 3MF file")
    import lib3mf

    library = lib3mf.get_wrapper()
    model = library.CreateModel()
    model.SetUnit(lib3mf.ModelUnit.MilliMeter)
    told = model.GetMetaDataGroup()
    told.AddMetaData("", "Title", title, "xs:string", True)
    if description:
        told.AddMetaData("", "Description", description, "xs:string", True)
    painted = _Materials(lib3mf, library, model)
    objects: dict[tuple[str, int], Any] = {}
    for number, item in enumerate(items):
        key = (item.name, id(item.mesh))
        if key not in objects:
            one = objects[key] = model.AddMeshObject()
            one.SetName(item.name)
            one.SetUUID(_identifier("object", title, item.name, len(objects)))
            one.SetGeometry(_positions(lib3mf, item.mesh), _triangles(lib3mf, item.mesh))
            painted.paint(one, item)
        placed = model.AddBuildItem(objects[key], _transform(lib3mf, item.place))
        placed.SetUUID(_identifier("item", title, item.name, number))
    model.SetBuildUUID(_identifier("build", title, "", len(items)))
    data = bytes(model.QueryWriter("3mf").WriteToBuffer())
    Path(path).write_bytes(_timeless(data))


class _Materials:
    """The base materials of a file, each once: the material's name and the colour it is shown in."""

    def __init__(self, lib3mf: Any, library: Any, model: Any) -> None:
        self.lib3mf, self.library, self.model = lib3mf, library, model
        self.group: Any = None
        self.known: dict[tuple[str, tuple[int, ...]], int] = {}

    def paint(self, one: Any, item: Item) -> None:
        """Give an object the material of its item; nothing where that has no colour."""
        if item.colour is None:
            return
        if self.group is None:
            self.group = self.model.AddBaseMaterialGroup()
        rgb = tuple(round(255 * share) for share in item.colour)
        key = (item.material or item.name, rgb)
        if key not in self.known:
            self.known[key] = self.group.AddMaterial(key[0], self.library.RGBAToColor(*rgb, 255))
        one.SetObjectLevelProperty(self.group.GetResourceID(), self.known[key])


def _identifier(*of: object) -> str:
    """An identifier that follows from what it is of (RFC 9562, version 5)."""
    return str(uuid.uuid5(uuid.NAMESPACE_OID, repr(of)))


def _positions(lib3mf: Any, mesh: Mesh) -> Any:
    """An array of theirs over ours: number by number it takes ten times as long."""
    return (lib3mf.Position * len(mesh.vertices)).from_buffer(np.array(mesh.vertices, np.float32, order="C"))


def _triangles(lib3mf: Any, mesh: Mesh) -> Any:
    return (lib3mf.Triangle * len(mesh.faces)).from_buffer(np.array(mesh.faces, np.uint32, order="C"))


def _transform(lib3mf: Any, place: Place) -> Any:
    found = lib3mf.Transform()
    rows = np.array(place.matrix())
    for column in range(4):
        for row in range(3):
            found.Fields[column][row] = float(rows[row, column])
    return found


def _timeless(data: bytes) -> bytes:
    """The same package, its files in order and none with a time."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new:
        for info in sorted(old.infolist(), key=lambda one: one.filename):
            fixed = zipfile.ZipInfo(info.filename, STAMP)
            fixed.compress_type = zipfile.ZIP_DEFLATED
            fixed.external_attr = 0o644 << 16
            new.writestr(fixed, old.read(info.filename))
    return out.getvalue()

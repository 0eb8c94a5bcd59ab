"""Solids as bytes, to be kept and read back, and what is known of a solid's content without looking at it."""

from __future__ import annotations

import io

from cadquery.occ_impl.shapes import Solid
from OCP.BinTools import BinTools, BinTools_FormatVersion
from OCP.Message import Message_ProgressRange
from OCP.TopAbs import TopAbs_COMPOUND
from OCP.TopLoc import TopLoc_Location
from OCP.TopoDS import TopoDS_Iterator, TopoDS_Shape

from brackets.core.identity import identity
from brackets.core.recent import Recent

REMEMBERED = 4096
"""Solids whose content is known: more than are kept as solids at once."""

_KNOWN: Recent[int, tuple[TopoDS_Shape, str]] = Recent(REMEMBERED)


def as_bytes(shape: TopoDS_Shape) -> bytes:
    """The shape without its triangles, in the kernel's own binary form."""
    stream = io.BytesIO()
    version = BinTools_FormatVersion.BinTools_FormatVersion_CURRENT
    BinTools.Write_s(shape, stream, False, False, version, Message_ProgressRange())
    return stream.getvalue()


def solid_of(written: bytes) -> Solid:
    """The solid that `as_bytes` wrote: the same figures to the last bit."""
    read = TopoDS_Shape()
    BinTools.Read_s(read, io.BytesIO(written))
    return Solid(read)


def remember(shape: TopoDS_Shape, content: str) -> None:
    """That a shape is made from values of this `content`; it is held, so that no other is taken for it."""
    base = shape.Located(TopLoc_Location())
    _KNOWN.put(hash(base), (base, content))


def content_of(shape: TopoDS_Shape) -> str:
    """What a shape is, as `identity` has it: by the values it was made from where these are known, else by all of
    its geometry. Equal for equal shapes that were made in the same way."""
    where = shape.Location().Transformation()
    at = tuple(where.Value(i, j) for i in range(1, 4) for j in range(1, 5))
    base = shape.Located(TopLoc_Location())
    known = _KNOWN.get(hash(base))
    if known is not None and known[0].IsPartner(base):
        return identity("made", known[1], shape.Orientation().name, at)
    if shape.ShapeType() == TopAbs_COMPOUND:
        inner, found = TopoDS_Iterator(base), []
        while inner.More():
            found.append(content_of(inner.Value()))
            inner.Next()
        return identity("compound", at, found)
    return identity("shape", at, as_bytes(base))

"""STEP files (ISO 10303-21, AP242), mm: every piece under its name, equal pieces as one shape placed often.

The same input gives the same bytes, in this process or any other: no clock, no user name, ids counted afresh.
Colours are put in by hand, since the kernel's own colour writer walks a table ordered by memory address.
"""

from __future__ import annotations

from collections.abc import Sequence

from OCP.Quantity import Quantity_Color, Quantity_TOC_sRGB
from OCP.STEPConstruct import STEPConstruct_Styles
from OCP.StepData import StepData_StepModel
from OCP.StepRepr import StepRepr_HArray1OfRepresentationItem
from OCP.StepShape import StepShape_ManifoldSolidBrep, StepShape_ShapeRepresentation
from OCP.StepVisual import (
    StepVisual_HArray1OfPresentationStyleAssignment,
    StepVisual_MechanicalDesignGeometricPresentationRepresentation,
    StepVisual_PresentationStyleAssignment,
    StepVisual_StyledItem,
)
from OCP.TCollection import TCollection_HAsciiString

from brackets.core.errors import KernelFailed
from brackets.kernel.solids import own_shape, shape_key  # first: it says in plain words which library is missing

# isort: split
import re
from collections.abc import Iterable
from dataclasses import dataclass, replace
from io import BytesIO
from pathlib import Path

from OCP.APIHeaderSection import APIHeaderSection_MakeHeader
from OCP.BRepBuilderAPI import BRepBuilderAPI_Copy
from OCP.IFSelect import IFSelect_RetDone
from OCP.Interface import Interface_Static
from OCP.StepBasic import StepBasic_DerivedUnitElement
from OCP.STEPCAFControl import STEPCAFControl_Writer
from OCP.STEPControl import STEPControl_AsIs, STEPControl_Controller
from OCP.StepRepr import StepRepr_NextAssemblyUsageOccurrence
from OCP.TCollection import TCollection_ExtendedString
from OCP.TDataStd import TDataStd_Name
from OCP.TDF import TDF_Label
from OCP.TDocStd import TDocStd_Document
from OCP.TopLoc import TopLoc_Location
from OCP.XCAFApp import XCAFApp_Application
from OCP.XCAFDoc import XCAFDoc_DocumentTool, XCAFDoc_ShapeTool

from brackets.core.tables.material_rows import material
from brackets.kernel.measure import location
from brackets.model.kinds import kind_of
from brackets.model.part import Part
from brackets.model.piece import Piece

Colour = tuple[float, float, float]
"""sRGB, 0 to 1."""


def colour_solids(model: StepData_StepModel, colours: Sequence[Colour], *, name: str) -> None:
    """Give the solids of `model`, in their order, their colours. Raises KernelFailed where their number differs."""
    solids = [
        (representation.ItemsValue(i), representation.ContextOfItems())
        for representation in (model.Value(n) for n in range(1, model.NbEntities() + 1))
        if isinstance(representation, StepShape_ShapeRepresentation)
        for i in range(1, representation.NbItems() + 1)
        if isinstance(representation.ItemsValue(i), StepShape_ManifoldSolidBrep)
    ]
    if len(solids) != len(colours):
        raise KernelFailed(name, "STEP colours", f"{len(colours)} shapes", f"the file has {len(solids)} solids")
    for (solid, context), colour in zip(solids, colours, strict=True):
        styled = StepVisual_StyledItem()
        styles = StepVisual_HArray1OfPresentationStyleAssignment(1, 1)
        styles.SetValue(1, _assignment(colour))
        styled.SetName(_text("color"))
        styled.SetStyles(styles)
        styled.SetItem(solid)
        items = StepRepr_HArray1OfRepresentationItem(1, 1)
        items.SetValue(1, styled)
        shown = StepVisual_MechanicalDesignGeometricPresentationRepresentation()
        shown.Init(_text(""), items, context)
        model.AddWithRefs(shown)


def _assignment(colour: Colour) -> StepVisual_PresentationStyleAssignment:
    """A style whose surfaces have this colour and whose curves have none. Put together entity by entity from Python
    it takes 200 times as long: each of three selects costs an exception inside the kernel."""
    surface = STEPConstruct_Styles.EncodeColor_s(Quantity_Color(*colour, Quantity_TOC_sRGB))
    return STEPConstruct_Styles().MakeColorPSA(None, surface, None, None, 0.0)


def _text(text: str) -> TCollection_HAsciiString:
    return TCollection_HAsciiString(text)


SETTINGS = {"write.step.schema": "AP242DIS", "write.step.unit": "MM"}
NUMBERS = {"write.surfacecurve.mode": 1, "write.precision.mode": 0}
"""Settings of the kernel that are global to the process, and so are set before every file: the edges as they lie
on their faces go into the file, and so come back to rounding."""

STAMP = "2000-01-01T00:00:00"
"""The time in every header: the true one would make equal parts unequal files."""

COLOURS = {
    "plate": (0.44, 0.52, 0.60),
    "folded": (0.36, 0.50, 0.66),
    "tube": (0.60, 0.60, 0.56),
    "benttube": (0.60, 0.60, 0.56),
    "turned": (0.72, 0.66, 0.52),
    "odd": (0.66, 0.48, 0.44),
}
"""What a viewer shows each kind of piece in, sRGB 0 to 1."""


@dataclass(frozen=True, kw_only=True)
class Group:
    """A named level of the tree in the file: pieces, or further groups."""

    name: str
    members: tuple[Group | Piece, ...]

    @classmethod
    def of(cls, part: Part) -> Group:
        return cls(name=part.name, members=part.pieces)


def write(thing: Piece | Part | Group, path: Path | str) -> None:
    """Write a piece, a part with its pieces, or a tree of them as STEP, mm.

    thing: a piece, a part, or a Group of this module; path: of the file. Raises KernelFailed where the kernel
    refuses, OSError where the file cannot be written.

    >>> import pathlib, tempfile
    >>> with tempfile.TemporaryDirectory() as folder:  # gone again afterwards
    ...     write_step(cup(od=70, bore=60, length=40), f"{folder}/cup.step")
    ...     pathlib.Path(folder, "cup.step").read_text().count("MANIFOLD_SOLID_BREP")  # solids in it
    1
    """
    Path(path).write_bytes(text(thing))


def text(thing: Piece | Part | Group) -> bytes:
    """The whole file."""
    if isinstance(thing, Piece):
        tree = Group(name=thing.name, members=(thing,))
    else:
        tree = Group.of(thing) if isinstance(thing, Part) else thing
    STEPControl_Controller.Init_s()
    for key, value in SETTINGS.items():
        Interface_Static.SetCVal_s(key, value)
    for key, number in NUMBERS.items():
        Interface_Static.SetIVal_s(key, number)
    writer = STEPCAFControl_Writer()
    writer.SetColorMode(False)
    writer.SetNameMode(True)
    writer.SetMaterialMode(True)
    writer.SetLayerMode(False)
    writer.SetPropsMode(False)
    if not writer.Transfer(_document(tree), STEPControl_AsIs):
        raise KernelFailed(tree.name, "STEP", "whole tree", "the kernel could not translate it")
    colour_solids(writer.ChangeWriter().Model(), _colours(tree), name=tree.name)
    _right_density(writer)
    _renumber(writer)
    _head(writer, tree.name)
    out = BytesIO()
    if writer.WriteStream(out) != IFSelect_RetDone:
        raise KernelFailed(tree.name, "STEP", "whole file", "the kernel could not write it")
    return _in_one_line(out.getvalue())


def escaped(name: str) -> str:
    r"""The name as a STEP file carries it: \X2\ with four hexadecimal digits a letter, or \X4\ with eight, \X0\ at
    the end (ISO 10303-21:2016, encoding of strings; clause not looked up).
    """
    return _OTHER.sub(_digits, name.replace("\\", "\\\\"))


_OTHER = re.compile(r"[^ -~]+")
"""Letters that need an escape: all but those of ASCII."""


def _digits(letters: re.Match[str]) -> str:
    codes = [ord(letter) for letter in letters.group()]
    kind, long = ("X2", 4) if max(codes) < 0x10000 else ("X4", 8)
    return f"\\{kind}\\{''.join(f'{code:0{long}X}' for code in codes)}\\X0\\"


def _in_one_line(data: bytes) -> bytes:
    """The file with no string broken over lines, which the kernel does within escapes too and then cannot read."""
    return re.sub(rb"'[^']*'", lambda text: text.group().replace(b"\n", b""), data) if b"\\X" in data else data


def _document(tree: Group) -> TDocStd_Document:
    document = TDocStd_Document(TCollection_ExtendedString("MDTV-XCAF"))
    XCAFApp_Application.GetApplication_s().InitDocument(document)
    shapes = XCAFDoc_DocumentTool.ShapeTool_s(document.Main())
    known = _prototypes(shapes, tree)
    _group(tree, shapes, known)
    shapes.UpdateAssemblies()
    return document


def _product(piece: Piece) -> Piece:
    """Equal for pieces that are one product of the file: of one shape and material."""
    return replace(shape_key(piece), material=piece.material)


def _prototypes(shapes: XCAFDoc_ShapeTool, tree: Group) -> dict[Piece, TDF_Label]:
    """One label for each different shape, named after the pieces that have it."""
    alike: dict[Piece, list[Piece]] = {}
    for piece in _pieces(tree):
        alike.setdefault(_product(piece), []).append(piece)
    labels: dict[Piece, TDF_Label] = {}
    for key, (first, *_) in alike.items():
        users = [piece.name for piece in alike[key]]
        solid = own_shape(first).wrapped
        if any(shape_key(other) == shape_key(first) for other in labels):  # of another material
            solid = BRepBuilderAPI_Copy(solid).Shape()
        labels[key] = shapes.AddShape(solid, False)
        made_of = material(first.material)
        XCAFDoc_DocumentTool.MaterialTool_s(labels[key]).SetMaterial(
            labels[key],
            _text(escaped(made_of.name)),
            _text(""),
            made_of.density / 1000.0,
            _text("density measure"),
            _text("POSITIVE_RATIO_MEASURE"),
        )
        _name(labels[key], users[0] if len(users) == 1 else f"{users[0]} and {len(users) - 1} alike")
    return labels


def _group(
    group: Group,
    shapes: XCAFDoc_ShapeTool,
    known: dict[Piece, TDF_Label],
) -> TDF_Label:
    label = shapes.NewShape()
    _name(label, group.name)
    for member in group.members:
        if isinstance(member, Group):
            inner = _group(member, shapes, known)
            component = shapes.AddComponent(label, inner, TopLoc_Location())
        else:
            place = location(member.place).wrapped
            component = shapes.AddComponent(label, known[_product(member)], place)
        _name(component, member.name)
    return label


def _colours(tree: Group) -> list[Colour]:
    """The colour of each different shape, in the order in which the tree first has it."""
    return [
        COLOURS[kind_of(key)]
        for key in dict.fromkeys(_product(piece) for piece in _pieces(tree))
    ]


def _pieces(group: Group) -> Iterable[Piece]:
    for member in group.members:
        if isinstance(member, Group):
            yield from _pieces(member)
        else:
            yield member


def _name(label: TDF_Label, name: str) -> None:
    TDataStd_Name.Set_s(label, TCollection_ExtendedString(escaped(name)))


def _renumber(writer: STEPCAFControl_Writer) -> None:
    """Count the uses of products from 1: the kernel goes on from the last file of the process."""
    model = writer.ChangeWriter().Model()
    count = 0
    for i in range(1, model.NbEntities() + 1):
        entity = model.Value(i)
        if isinstance(entity, StepRepr_NextAssemblyUsageOccurrence):
            count += 1
            entity.SetId(TCollection_HAsciiString(str(count)))


def _right_density(writer: STEPCAFControl_Writer) -> None:
    """Write the unit of density as gram a cubic centimetre: the kernel has gram³ centimetre² for it (OCP 7.9)."""
    right = {3.0: 1.0, 2.0: -3.0}
    model = writer.ChangeWriter().Model()
    for i in range(1, model.NbEntities() + 1):
        entity = model.Value(i)
        if isinstance(entity, StepBasic_DerivedUnitElement):
            entity.SetExponent(right[entity.Exponent()])


def _head(writer: STEPCAFControl_Writer, name: str) -> None:
    model = writer.ChangeWriter().Model()
    head = APIHeaderSection_MakeHeader(model)
    head.SetName(TCollection_HAsciiString(escaped(name)))
    head.SetTimeStamp(TCollection_HAsciiString(STAMP))
    for put in (head.SetAuthorValue, head.SetOrganizationValue, head.SetDescriptionValue):
        put(1, TCollection_HAsciiString(""))
    for say in (head.SetPreprocessorVersion, head.SetOriginatingSystem):
        say(TCollection_HAsciiString("brackets"))
    head.SetAuthorisation(TCollection_HAsciiString(""))
    head.Apply(model)

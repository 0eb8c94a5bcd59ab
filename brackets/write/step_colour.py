"""Colours of the solids in a STEP file, put in by hand.

The kernel's own colour writer walks a table ordered by memory address, so that no two runs give the same bytes.
"""

from __future__ import annotations

from collections.abc import Sequence

from OCP.Quantity import Quantity_Color, Quantity_TOC_sRGB
from OCP.STEPConstruct import STEPConstruct_Styles
from OCP.StepData import StepData_StepModel
from OCP.StepRepr import StepRepr_HArray1OfRepresentationItem
from OCP.StepShape import StepShape_ManifoldSolidBrep, StepShape_ShapeRepresentation
from OCP.StepVisual import (
    StepVisual_FillAreaStyle,
    StepVisual_FillAreaStyleColour,
    StepVisual_FillStyleSelect,
    StepVisual_HArray1OfFillStyleSelect,
    StepVisual_HArray1OfPresentationStyleAssignment,
    StepVisual_HArray1OfPresentationStyleSelect,
    StepVisual_HArray1OfSurfaceStyleElementSelect,
    StepVisual_MechanicalDesignGeometricPresentationRepresentation,
    StepVisual_PresentationStyleAssignment,
    StepVisual_PresentationStyleSelect,
    StepVisual_StyledItem,
    StepVisual_SurfaceSide,
    StepVisual_SurfaceSideStyle,
    StepVisual_SurfaceStyleElementSelect,
    StepVisual_SurfaceStyleFillArea,
    StepVisual_SurfaceStyleUsage,
)
from OCP.TCollection import TCollection_HAsciiString

from brackets.errors import KernelFailed

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
    fill = StepVisual_FillAreaStyleColour()
    fill.Init(_text(""), STEPConstruct_Styles.EncodeColor_s(Quantity_Color(*colour, Quantity_TOC_sRGB)))
    fill_choice = StepVisual_FillStyleSelect()
    fill_choice.SetValue(fill)
    fills = StepVisual_HArray1OfFillStyleSelect(1, 1)
    fills.SetValue(1, fill_choice)
    area = StepVisual_FillAreaStyle()
    area.Init(_text(""), fills)
    face = StepVisual_SurfaceStyleFillArea()
    face.Init(area)
    face_choice = StepVisual_SurfaceStyleElementSelect()
    face_choice.SetValue(face)
    faces = StepVisual_HArray1OfSurfaceStyleElementSelect(1, 1)
    faces.SetValue(1, face_choice)
    side = StepVisual_SurfaceSideStyle()
    side.Init(_text(""), faces)
    usage = StepVisual_SurfaceStyleUsage()
    usage.Init(StepVisual_SurfaceSide.StepVisual_ssBoth, side)
    choice = StepVisual_PresentationStyleSelect()
    choice.SetValue(usage)
    choices = StepVisual_HArray1OfPresentationStyleSelect(1, 1)
    choices.SetValue(1, choice)
    assignment = StepVisual_PresentationStyleAssignment()
    assignment.Init(choices)
    return assignment


def _text(text: str) -> TCollection_HAsciiString:
    return TCollection_HAsciiString(text)

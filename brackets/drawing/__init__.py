"""Drawings as plain values: what the writers of paper and cut files put down."""

from brackets.drawing.blank import blank, short_hash
from brackets.drawing.lathe import turning
from brackets.drawing.nest import GAP, Laid, SheetLayout, lies, nest
from brackets.drawing.record import Drawing, Layer, Stroke, Table, Title, Words
from brackets.drawing.sheets import sheet_cuts, sheet_drawing
from brackets.drawing.wraps import wraps

__all__ = [
    "GAP",
    "Drawing",
    "Laid",
    "Layer",
    "SheetLayout",
    "Stroke",
    "Table",
    "Title",
    "Words",
    "blank",
    "lies",
    "nest",
    "sheet_cuts",
    "sheet_drawing",
    "short_hash",
    "turning",
    "wraps",
]

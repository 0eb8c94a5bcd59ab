"""Polynomials for edges and faces that are neither straight nor round: the kernel's Bezier curves."""

from __future__ import annotations

import math
from functools import cache

import numpy as np
from numpy.typing import NDArray
from OCP.Geom2d import Geom2d_BSplineCurve
from OCP.gp import gp_Pnt, gp_Pnt2d
from OCP.TColgp import TColgp_Array1OfPnt, TColgp_Array1OfPnt2d, TColgp_Array2OfPnt
from OCP.TColStd import TColStd_Array1OfInteger, TColStd_Array1OfReal

DEGREE = 14
"""Of the polynomial that stands for a rolled edge: good to 1e-11 mm over a step of 45 degrees."""

Array = NDArray[np.float64]


def rise(u: float, t: float) -> Geom2d_BSplineCurve:
    """The line v = 0 to 1 at u, run through in t: the edge up through the plate is measured in mm."""
    poles = TColgp_Array1OfPnt2d(1, 2)
    poles.SetValue(1, gp_Pnt2d(u, 0.0))
    poles.SetValue(2, gp_Pnt2d(u, 1.0))
    knots, often = TColStd_Array1OfReal(1, 2), TColStd_Array1OfInteger(1, 2)
    knots.SetValue(1, 0.0)
    knots.SetValue(2, t)
    often.SetValue(1, 2)
    often.SetValue(2, 2)
    return Geom2d_BSplineCurve(poles, knots, often, 1)


@cache
def fit() -> tuple[Array, Array]:
    """Where along an edge to look, 0 to 1, and what turns the places found there into Bezier poles."""
    steps = (1 - np.cos(np.pi * np.arange(DEGREE + 1) / DEGREE)) / 2
    bernstein = np.array(
        [[math.comb(DEGREE, i) * s**i * (1 - s) ** (DEGREE - i) for i in range(DEGREE + 1)] for s in steps]
    )
    return steps, np.linalg.inv(bernstein)


def points(poles: Array) -> TColgp_Array1OfPnt:
    """The poles of a curve."""
    array = TColgp_Array1OfPnt(1, len(poles))
    for i, (x, y, z) in enumerate(poles.tolist(), 1):
        array.SetValue(i, gp_Pnt(x, y, z))
    return array


def points_flat(poles: Array) -> TColgp_Array1OfPnt2d:
    """The poles of a curve on a surface."""
    array = TColgp_Array1OfPnt2d(1, len(poles))
    for i, (u, v) in enumerate(poles.tolist(), 1):
        array.SetValue(i, gp_Pnt2d(u, v))
    return array


def grid(low: Array, high: Array) -> TColgp_Array2OfPnt:
    """The poles of a face ruled from the low curve to the high one."""
    array = TColgp_Array2OfPnt(1, len(low), 1, 2)
    for column, poles in ((1, low), (2, high)):
        for i, (x, y, z) in enumerate(poles.tolist(), 1):
            array.SetValue(i, column, gp_Pnt(x, y, z))
    return array

"""Figures of strength as they are read: utilisations and directions."""

from __future__ import annotations

import math

from brackets.core.vectors import Vec


def used(utilisation: float) -> str:
    """Two figures behind the point; over 1 says so, "without limit" where nothing is allowed."""
    if not math.isfinite(utilisation):
        return "without limit"
    shown = f"{utilisation:.2f}"
    return f"over {shown}" if utilisation > 1 and float(shown) <= 1 else shown


def figure(value: float) -> str:
    """Three figures, whole from 1000 on, never with a power of ten."""
    if not math.isfinite(value) or abs(value) >= 1000:
        return f"{value:.0f}"
    return f"{float(f'{value:.3g}'):.6f}".rstrip("0").rstrip(".")


def way_said(way: Vec) -> str:
    """A direction by its axis, else by its three parts."""
    for i, name in enumerate("xyz"):
        if abs(abs(way[i]) - 1) < 1e-6:
            return name
    return "(" + ", ".join(f"{part:z.2f}" for part in way) + ")"

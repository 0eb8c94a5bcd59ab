"""Figures as a person reads them: no digits that nobody can measure, no power of ten."""

from __future__ import annotations

HUGE = 1e9
"""From here on a figure is no size but a slip, and is shown with a power of ten."""


def figure(value: float) -> str:
    """A size as a person writes it: to a thousandth, without idle noughts."""
    return f"{value:z.3f}".rstrip("0").rstrip(".")


def against(value: float, limits: tuple[float, ...]) -> str:
    """A figure beside the limits it breaks: in full where it would read as one of them, and where it is huge."""
    read = figure(value)
    return f"{value:.9g}" if abs(value) >= HUGE or read in map(figure, limits) else read

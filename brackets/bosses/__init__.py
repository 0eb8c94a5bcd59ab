"""Holes, datum marks and the engine's weight from what a workshop reads off its tools."""

from brackets.bosses.record import COVER, Edge, Ellipse, Help, Hole, How, Reading, Survey, Suspect, ellipse
from brackets.bosses.solve import solve

__all__ = ["COVER", "Edge", "Ellipse", "Help", "Hole", "How", "Reading", "Suspect", "Survey", "ellipse", "solve"]

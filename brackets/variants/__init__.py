"""Families: one recipe, or one part of a bay, over many rows of values, one result each."""

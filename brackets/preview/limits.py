"""How much of anything is read from a page."""

LONGEST = 4000
"""Characters of one typed value: four hundred points of a list, no more."""

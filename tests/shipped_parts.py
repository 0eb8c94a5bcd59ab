"""Names of the shipped recipes by what their default part has, so that no module of tests builds each to know its
rows; `test_recipes.py` holds the lists against the parts."""

SEVERAL = (
    "cross_member",
    "cup_on_plate",
    "ears",
    "ears_on_base",
    "fork",
    "link",
    "stay",
    "stud_arm",
    "stud_seat",
    "tray",
)
"""Recipes whose part is of more than one piece."""

WELDED = (*SEVERAL[:7], "strut", *SEVERAL[7:])
"""Recipes whose part has welds: the strut's one piece has them to what it ends on."""

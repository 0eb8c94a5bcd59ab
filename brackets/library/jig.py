"""The jig of a weldment: a base, posts and uprights on it, and dummy shafts through the bores of its bushes.

Jig's frame: z up, the base's upper face at z = 0. mm, degrees.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

from brackets.core.errors import InputError
from brackets.core.finding import Finding
from brackets.core.place import Place
from brackets.library.jig_pieces import TooLowError
from brackets.library.jig_seats import features, frame_of, rise_of, up_of
from brackets.library.jig_values import JigValues
from brackets.library.jig_work import Jig, Work
from brackets.model.part import Part
from brackets.model.plate import Plate

LIFTS = 10
"""Times that a weldment is lifted: each time is nearly all of it, since the uprights hardly change with it."""


def jig(part: Part, **values: object) -> Part:
    """The jig that a weldment is tacked and welded in, as a part of its own: drawings, files and mass as of any.

    part: the weldment, with its seats for bushes, bosses and faces; values: clearance, base_t, upright_t, height,
    room, margin and up, as `brackets jig --help` explains them. Its frame: z up, the base's upper face at z = 0.
    Raises InputError where nothing of the part can be held, or a value is out of its limits.

    >>> ears = recipe("ears_on_base")
    >>> [piece.name for piece in jig(made(ears, ears.Params()).part).pieces]
    ['base', 'upright_1_low', 'upright_1_high', 'shaft_1', 'spacer_1_1', 'spacer_1_2', 'spacer_1_3']
    """
    return jig_of(part, JigValues(**values)).part  # type: ignore[arg-type]


def jig_of(part: Part, values: JigValues) -> Jig:
    """The jig of a part with what it holds and what it does not. Raises InputError as `jig` does."""
    if not part.welds:
        raise InputError(f"part = {part.name}, must be a weldment: it has no welds, and a jig holds what is welded")
    there, loose = features(part)
    if not there:
        allowed = "must have a bush, a boss or a face to hold it by"
        raise InputError(f"part = {part.name}, {allowed}: it has {len(part.seats)} seats, none with a bore")
    up = up_of(there, values)
    turned = frame_of(there, up).inverse()
    standing = part.placed(turned)
    found, _ = features(standing)
    rise = rise_of(standing, found, values)
    standing = standing.placed(Place((0.0, 0.0, rise)))
    standing = _high_enough(standing, loose, values)
    for _ in range(2):  # once to know how large the base is, then with its lower left corner at x = y = 0
        made = Work(standing, values).jig(features(standing)[0], loose)
        base = made.part.piece("base")
        assert isinstance(base, Plate)
        x0, y0, _, _ = base.wall.outline.bounds
        standing = standing.placed(Place((-x0, -y0, 0.0)))
    return made


def _high_enough(standing: Part, loose: Iterable[Finding], values: JigValues) -> Part:
    """The weldment lifted until every upright has room for its holes; a height that is typed is refused for it."""
    lifted = 0.0
    for _ in range(LIFTS):
        try:
            Work(standing, values).jig(features(standing)[0], loose)
        except TooLowError as low:
            up = float(math.ceil(low.short))
            lifted += up
            standing = standing.placed(Place((0.0, 0.0, up)))
        else:
            break
    if lifted and values.height is not None:
        raise InputError(
            f"height = {values.height:g} mm, must be {values.height + lifted:g} or more: below it the hole of an"
            " upright that leans with its shaft lies in the base"
        )
    return standing

"""Where everything stands while the weight is on a hoist and not on the bushes: bolts and paths are judged there.

The bolts of mounts that carry weight go in, and the powertrain in and out, with nothing on the bushes, so that it
hangs by its sag off where it is drawn, which is with its weight on. The chassis halves of these mounts are taken
to be set up so that it comes down to where it is drawn: each bush is then in the middle of both its halves, and
what is bolted at such a mount goes with the powertrain. All else of the chassis stays. Mounts that are bolted up
after the weight is on have their bolts put in as drawn. mm, bay axes.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

import numpy as np

from brackets.bay.hung.movement import movement_of
from brackets.bay.hung.on_bushes import AFTER
from brackets.bay.schema.record import Bay
from brackets.bay.schema.standing import LINK
from brackets.bay.stand.bodies import BayBody
from brackets.clearance.bodies import Body
from brackets.clearance.places import Transform, point, spun
from brackets.core.vectors import Vec


@dataclass(frozen=True, eq=False)
class NoWeight:
    """From where it is drawn to where it hangs with nothing on the bushes; `mounts`: names of those that carry the
    weight."""

    place: Transform
    mounts: frozenset[str]

    def moves(self, thing: BayBody) -> bool:
        """Whether a body is off where it is drawn: what is on the powertrain, and what these mounts hold."""
        if thing.side == LINK:
            return False
        return thing.side == "powertrain" or bool(self.mounts & set(thing.mounts))

    def things(self, all_things: Sequence[BayBody]) -> tuple[BayBody, ...]:
        """Every body where it stands then."""
        return tuple(self._there(thing) if self.moves(thing) else thing for thing in all_things)

    def _there(self, thing: BayBody) -> BayBody:
        def there(body: Body | None) -> Body | None:
            return None if body is None else body.placed(self.place)

        return replace(
            thing, body=thing.body.placed(self.place), beside=there(thing.beside), lifted=there(thing.lifted)
        )

    def point(self, at: Vec) -> Vec:
        return point(self.place.points(np.array([at]))[0])

    def direction(self, way: Vec) -> Vec:
        return point(self.place.turn @ np.asarray(way))

    def bares(self, out: Collection[str], bay: Bay) -> bool:
        """Whether a mount that carries weight is undone where these names of mounts and parts are out."""
        return any(mount.name in self.mounts and {mount.name, *mount.parts} & set(out) for mount in bay.mounts)


def no_weight(bay: Bay) -> NoWeight | None:
    """With nothing on the bushes; None where their movement is not worked out."""
    at = movement_of(bay).unloaded
    if at is None or not movement_of(bay).worked_out:
        return None
    turn, centre = np.asarray(at.turn), np.asarray(at.centre)
    angle = float(np.linalg.norm(turn))
    whole = spun(turn / angle, angle) if angle > 0 else np.eye(3)
    place = Transform(whole, centre - whole @ centre + np.asarray(at.shift))
    carrying = (mount.name for mount in bay.mounts if mount.fit != AFTER)
    return NoWeight(place=place, mounts=frozenset(carrying))

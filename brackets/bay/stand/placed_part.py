"""What stands in a bay: one part, what is bought, what is there already; the one list of all of them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from brackets.bay.schema.keep_out import KeepOut
from brackets.bay.schema.record import Bay
from brackets.bay.stand.hardware import Bought
from brackets.bay.stand.misfits import Misfit
from brackets.core.finding import Finding
from brackets.core.schema.checked import Checked
from brackets.library.recipe import Recipe
from brackets.model.part import Hand, Part


@dataclass(frozen=True, kw_only=True)
class PlacedPart:
    """One part in the bay: built, placed, with what was worked out for it and what its rules say; `unfilled` has a
    line for each of its values whose link nothing of the bay gives."""

    name: str
    side: str
    kind: str
    part: Part
    recipe: Recipe
    params: Checked
    worked_out: Mapping[str, object]
    findings: tuple[Finding, ...]
    misfits: tuple[Misfit, ...] = ()
    unfilled: tuple[str, ...] = ()
    hand: Hand | None = None


@dataclass(frozen=True, kw_only=True)
class BossHead:
    """Head and washers of the bolt into a boss that holds `part`: `made` of them stand where the metal of that part
    tells. Its shank is in the metal and not drawn."""

    name: str
    part: str
    made: Part


@dataclass(frozen=True, kw_only=True)
class ThroughBolt:
    """The bolt that holds `part` to keep-outs: `made` of its head, shank, washers and nut where they stand."""

    name: str
    part: str
    side: str
    made: Part


Content = PlacedPart | Bought | KeepOut
"""What stands in a bay before anything is measured."""

BayThing = Content | BossHead | ThroughBolt
"""Everything that a bay has a body of. Clearance, picture, assembly and sheets each tell these apart with a `match`
that ends in `assert_never`: none can leave a new kind out without saying so."""


@dataclass(frozen=True, kw_only=True)
class PlacedBay:
    """A bay with every part built and placed, and with its bought bushes and bolts."""

    bay: Bay
    parts: tuple[PlacedPart, ...]
    bought: tuple[Bought, ...]
    left_out: tuple[str, ...]
    notes: tuple[str, ...]

    @property
    def contents(self) -> tuple[Content, ...]:
        """Everything that stands in it: parts first, then what is bought, then what is there already."""
        return (*self.parts, *self.bought, *self.bay.keep_outs)

"""How the holes will be made: what a shop says of its drilling, printing, surveying and welding."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

import numpy as np

from brackets.bolts.chance import METHODS, HoleErrors, Pull
from brackets.bolts.groups import Group
from brackets.params import Checked, choice, count, mm, number

NAMES = tuple(m.name for m in METHODS)
COVER = 2.0  # sigmas in a ±, as everywhere readings are typed


@dataclass(frozen=True, kw_only=True)
class Settings(Checked):
    method: Annotated[str, choice(NAMES, "how the holes are made")] = "punched"
    drill: Annotated[float | None, mm(0, 5, "scatter of a hole, one sigma per axis; none for the method's")] = None
    mate: Annotated[float, mm(0, 5, "the same of what it is bolted to, beside the survey")] = 0.0
    scale_error: Annotated[float, number(-5, 5, "template too large by this, per cent")] = 0.0
    scale_pm: Annotated[float, number(0, 5, "± of the template's scale, per cent")] = 0.2
    survey: Annotated[float | None, mm(0, 20, "± of each boss; none for what the bay file says")] = None
    fillets: Annotated[
        int | None, count(0, 8, "fillets that pull each hole; none: 1 where holes are welded on")
    ] = None
    trials: Annotated[int, count(100, 200000, "trials")] = 4000
    seed: Annotated[int, count(0, 10**9, "start of the random numbers")] = 0

    def errors(self, group: Group) -> HoleErrors:
        """What goes wrong with this group of holes."""
        sigma = next(m.sigma for m in METHODS if m.name == self.method)
        n = len(group.names)
        pos = (self.survey,) * n if self.survey is not None else group.pos
        fillets = self.fillets if self.fillets is not None else int(group.apart)
        return HoleErrors(
            drill=sigma if self.drill is None else self.drill,
            mate=self.mate,
            scale=self.scale_error / 100.0,
            scale_pm=self.scale_pm / 100.0,
            survey=None if pos is None else np.diag(np.repeat((np.array(pos) / COVER) ** 2, 2)),
            pulls=tuple(Pull(hole=k, fillets=fillets) for k in range(n)) if fillets else (),
        )

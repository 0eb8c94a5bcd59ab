"""What the checks by hand say of one row of a family: how much of each rule is used, and what none of them covers.

An utilisation is what was found over what the rule allows: 1 where the rule that was entered is just met.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, kw_only=True)
class Used:
    """How much of one rule is used where most is: `of` what, in which `case`; infinity where nothing is allowed."""

    rule: str
    of: str
    case: str
    utilisation: float

    @property
    def broken(self) -> bool:
        """Whether the rule is not met; what is no number is not."""
        return not self.utilisation <= 1.0

    @property
    def spare(self) -> float:
        """What is left of the rule as a part of it: 1 where nothing is used, less than 0 where it is broken."""
        return 1.0 - self.utilisation

    def __str__(self) -> str:
        from brackets.hold.shown import used

        where = f"{self.of}, case {self.case}" if self.case else self.of
        return f"{self.rule}: {where}: utilisation {used(self.utilisation)}"


@dataclass(frozen=True, kw_only=True)
class Strength:
    """Strength of one row by the rules that were entered.

    used: every rule where it is used most, worst first; refused: what no clause covers, so that nothing is said of
    it; yours: what the user has judged by other means.
    """

    used: tuple[Used, ...] = ()
    refused: tuple[str, ...] = ()
    yours: tuple[str, ...] = ()

    @property
    def meets(self) -> bool:
        """Whether every rule that was entered is met, and there is one, and nothing is outside all of them."""
        return bool(self.used) and not self.refused and not self.broken

    @property
    def broken(self) -> tuple[Used, ...]:
        """The rules that are not met, worst first."""
        return tuple(one for one in self.used if one.broken)

    @property
    def worst(self) -> Used | None:
        """The rule of which most is used."""
        return self.used[0] if self.used else None

    @property
    def why_not(self) -> tuple[str, ...]:
        """What keeps it from meeting the rules, a line each; none where it meets them."""
        if not self.used and not self.refused:
            return ("no check was made",)
        return (*(str(one) for one in self.broken), *self.refused)

    @property
    def record(self) -> dict[str, Any]:
        """For JSON; an utilisation is None where nothing is allowed."""
        return {
            "used": [
                {"rule": u.rule, "of": u.of, "case": u.case, "utilisation": finite(u.utilisation)}
                for u in self.used
            ],
            "refused": list(self.refused),
            "by_other_means": list(self.yours),
        }


def strength_of(used: Iterable[Used], refused: Iterable[str] = (), yours: Iterable[str] = ()) -> Strength:
    """Of each rule where most of it is used; of two alike the first.

    >>> found = strength_of([Used(rule="bolt", of="M10", case=c, utilisation=u) for c, u in (("a", .4), ("b", .6))])
    >>> str(found.worst), round(found.worst.spare, 6)
    ('bolt: M10, case b: utilisation 0.60', 0.4)
    """
    most: dict[str, Used] = {}
    for one in used:
        if one.rule not in most or _rank(one) > _rank(most[one.rule]):
            most[one.rule] = one
    worst_first = sorted(most.values(), key=lambda u: (-_rank(u), u.rule))
    return Strength(used=tuple(worst_first), refused=tuple(refused), yours=tuple(yours))


def of_record(told: Mapping[str, Any]) -> Strength:
    """The strength that a `record` is of."""
    used = tuple(
        Used(
            rule=u["rule"], of=u["of"], case=u["case"],
            utilisation=math.inf if u["utilisation"] is None else u["utilisation"],
        )
        for u in told["used"]
    )  # fmt: skip
    return Strength(used=used, refused=tuple(told["refused"]), yours=tuple(told["by_other_means"]))


def finite(value: float) -> float | None:
    """JSON has no infinity."""
    return value if math.isfinite(value) else None


def _rank(one: Used) -> float:
    """What is no number counts as the most."""
    return math.inf if math.isnan(one.utilisation) else one.utilisation

"""What is said of gaps whose spare is less than the ± of the two bodies, and of keep-outs that have no ±."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from brackets.bay.clear.known import Both, Known
from brackets.bay.clear.moving import Moved
from brackets.bay.clear.pairs import Pair, at_least
from brackets.bay.schema.record import Bay
from brackets.core.finding import Finding
from brackets.core.rulebook.bay import GAP_LESS_POS, POS


def pos_findings(bay: Bay, of: Known, pairs: Sequence[Pair], moves: Sequence[Moved]) -> Iterator[Finding]:
    """A caution for each pair whose spare is less than its ±, and one line of advice on keep-outs without one."""
    meant = {frozenset((pair.a, pair.b)) for pair in pairs if pair.state not in ("clear", "far")}
    worst: dict[Both, tuple[float, Pair | Moved]] = {}
    judged: tuple[Pair | Moved, ...] = (*pairs, *moves)
    for one in judged:
        both, less = frozenset((one.a, one.b)), of.less(one.a, one.b, one.spare)
        if both in meant or less is None or one.spare < 0 or less >= 0:
            continue
        if both not in worst or less < worst[both][0]:
            worst[both] = less, one
    for less, one in worst.values():
        when = "standing still" if isinstance(one, Pair) else f"when moved ({one.when})"
        yield GAP_LESS_POS.finding(
            piece=f"{one.a} | {one.b}",
            about=(one.a, one.b),
            value=less + one.needed,
            limit=one.needed,
            sentence=f"{at_least(one.spare)} mm spare {when}, {at_least(less)} less the ±: {one.a} is known to"
            f" {of.pos[one.a]:g} mm, {one.b} to {of.pos[one.b]:g}",
        )
    without = [keep_out.name for keep_out in bay.keep_outs if bay.pos_of(keep_out) is None]
    if without:
        yield POS.finding(
            piece="keep-outs",
            about=tuple(without),
            sentence=f"{len(without)} of {len(bay.keep_outs)} have no ± (pos): no spare beside them is printed less"
            " it; say how true each is, or pos at the top for all",
        )

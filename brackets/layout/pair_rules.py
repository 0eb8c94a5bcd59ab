"""What a shop would say of two tubes of a layout: one inside the other, a gap left open, no room to weld."""

from __future__ import annotations

import math
from collections.abc import Iterator

from brackets.findings import PRACTICE, Finding
from brackets.layout.laid import ENDS, Layout
from brackets.layout.near import common, gap_between, rim_gap, wall_gap
from brackets.layout.runs import Run
from brackets.layout.things import Met as Thing
from brackets.layout.things import name_of
from brackets.pieces import TubeEnd
from brackets.pieces.tube import Which
from brackets.shop import Shop

FIT_UP = f"a gap of 1/16 in can be welded over, none is better: {PRACTICE}"


def pair_findings(layout: Layout, shop: Shop) -> Iterator[Finding]:
    """What stands against any two tubes of the layout."""
    for i, a in enumerate(layout.runs):
        for b in layout.runs[i + 1 :]:
            if gap_between(a, b) > max(shop.tubing.torch, a.od, b.od):
                continue
            one, other = layout.tube(a.name), layout.tube(b.name)
            declared = b.name in _names(a) or a.name in _names(b)
            inside = common(one, other)
            if inside is not None:
                order = (
                    "is not cut to it all round" if declared else f"say which is cut to which ({a.name}, {b.name})"
                )
                yield Finding(
                    level="stop",
                    code="overlap",
                    piece=a.name,
                    value=inside,
                    limit=0.0,
                    source=PRACTICE,
                    sentence=f"lies {inside:.1f} mm inside {b.name}: {order}",
                )
                continue
            gap = math.inf if declared else wall_gap(one, other)
            if gap < shop.tubing.torch:
                yield Finding(
                    level="caution",
                    code="torch",
                    piece=a.name,
                    value=gap,
                    limit=shop.tubing.torch,
                    source=PRACTICE,
                    sentence=(
                        f"{gap:.1f} mm from {b.name}: a torch wants {shop.tubing.torch:g} to weld between them"
                    ),
                )


def reached(
    layout: Layout, run: Run, which: Which, met: Thing, cut: TubeEnd, shop: Shop
) -> Iterator[Finding]:
    """A caution where an end is cut to another tube and then does not reach it."""
    if not isinstance(met, str):
        return
    gap = rim_gap(layout.tube(run.name), which, cut, layout.tube(met))
    if gap > shop.tubing.fit_up:
        yield Finding(
            level="caution",
            code="fit-up",
            piece=run.name,
            value=gap,
            limit=shop.tubing.fit_up,
            source=FIT_UP,
            sentence=(
                f"{which}: cut to {met} but {gap:.1f} mm or more off it: move it nearer, or leave {met} out of its"
                " cuts"
            ),
        )


def _names(run: Run) -> set[str]:
    return {name_of(met) for which in ENDS for met in run.meets(which)}

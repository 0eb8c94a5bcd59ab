"""Rules of tubes laid out: lips, corners, overlaps, gaps, room to weld, and room for a socket among them."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from brackets.core.finding import Finding, worst_first
from brackets.core.rulebook.parts import (
    BUNG,
    COPE_AFTER,
    FIT_UP,
    FORMER,
    INNER_LIP,
    OVERHANG,
    OVERLAP,
    PAST_THE_END,
    SHARP,
    SOCKET,
    STOCK,
    STRAIGHT,
    THIN_WALL,
    TORCH,
    WELDED_OVER,
)
from brackets.core.tables.bolt_rows import bolt
from brackets.core.tables.fasteners import socket
from brackets.core.vectors import Vec, dot, length, sub, unit
from brackets.forming.shop import NO_TOOLS, Shop
from brackets.forming.tube_layout import ENDS, Layout, nearest
from brackets.forming.tube_run import Bung, Cylinder, Mitre, PlaneTarget, Run, lines, name_of
from brackets.forming.tube_run import JointTarget as Thing
from brackets.forming.tube_walls import (
    AROUND,
    common,
    gap_between,
    rim,
    rim_gap,
    wall_gap,
    wall_points,
    wall_points_of,
)
from brackets.forming.wrap import lengths, lip_gap
from brackets.model.bent_tube import bends, cut_length, straights
from brackets.model.tube import BentTube, Tube, TubeEnd, Which
from brackets.rules.stock import SAME

if TYPE_CHECKING:
    from brackets.forming.tube_walls import Array


def pair_findings(layout: Layout, shop: Shop) -> Iterator[Finding]:
    """What stands against any two tubes of the layout."""
    for i, a in enumerate(layout.runs):
        for b in layout.runs[i + 1 :]:
            declared = b.name in _names(a) or a.name in _names(b)
            rough = gap_between(a, b)
            if rough > max(shop.tubing.torch, a.od, b.od):
                TORCH.under(math.inf if declared else rough, shop.tubing.torch)  # there is that much at least
                continue
            one, other = layout.tube(a.name), layout.tube(b.name)
            inside = common(one, other)
            if inside is not None:
                order = (
                    "is not cut to it all round" if declared else f"say which is cut to which ({a.name}, {b.name})"
                )
                yield OVERLAP.finding(
                    unit="mm",
                    piece=a.name,
                    value=inside,
                    limit=0.0,
                    sentence=f"lies {inside:.1f} mm inside {b.name}: {order}",
                )
                continue
            gap = math.inf if declared else wall_gap(one, other)
            if TORCH.under(gap, shop.tubing.torch):
                yield TORCH.finding(
                    piece=a.name,
                    value=gap,
                    limit=shop.tubing.torch,
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
        yield FIT_UP.finding(
            piece=run.name,
            value=gap,
            limit=shop.tubing.fit_up,
            source=WELDED_OVER,
            sentence=(
                f"{which}: cut to {met} but {gap:.1f} mm or more off it: move it nearer, or leave {met} out of its"
                " cuts"
            ),
        )


def _names(run: Run) -> set[str]:
    return {name_of(met) for which in ENDS for met in run.meets(which)}


USUAL_STICK = 6000.0
"""mm: the usual length of a stick, where no rack is known: common practice, no source."""


def layout_findings(layout: Layout, shop: Shop = NO_TOOLS) -> tuple[Finding, ...]:
    """What a shop's rules say of tubes laid out, worst first: sharp corners, gaps, overlaps, bends, lengths.

    layout: the tubes; shop: whose limits, the usual ones where none is given.
    Whether a tube is on the shop's rack, and long enough there, `shop_findings` says of the part.

    >>> leg = Run("leg", "38x3", ((0, 0, 0), (0, 0, 200)))
    >>> steep = Run("stay", "25x2", ((0, 0, 100), (100, 0, 300)), start="leg")
    >>> print(layout_findings(lay_out(leg, steep))[0].sentence)
    start: meets leg at 27 deg; no torch gets into less than 30
    """
    found: list[Finding] = []
    for run, tube in zip(layout.runs, layout.tubes, strict=True):
        found += _stock(tube, shop)
        if isinstance(tube, BentTube):
            found += _bends(tube, shop)
        found += _lip(tube, shop)
        for which in ENDS:
            for met, cut in zip(run.meets(which), tube.cuts(which), strict=False):
                found += _sharp(tube, which, met, cut, shop)
                found += _walls(layout, run, met, shop)
                found += _lands(layout, run, which, met, cut, shop)
                found += reached(layout, run, which, met, cut, shop)
    found += pair_findings(layout, shop)
    return worst_first(found)


def _stock(tube: Tube | BentTube, shop: Shop) -> Iterator[Finding]:
    long = cut_length(tube) if isinstance(tube, BentTube) else lengths(tube).long
    if not shop.tubes and STOCK.over(long, USUAL_STICK):
        yield STOCK.finding(
            piece=tube.name,
            value=long,
            limit=USUAL_STICK,
            sentence=f"{long:.0f} mm over its long points, the usual stick is {USUAL_STICK:g}",
        )


def _bends(tube: BentTube, shop: Shop) -> Iterator[Finding]:
    formers = [f.radius for f in shop.formers if abs(f.od - tube.od) <= SAME]
    if shop.formers and not any(abs(r - tube.bend_r) <= SAME for r in formers):
        has = ", ".join(f"{r:g}" for r in formers) or "none"
        yield FORMER.finding(
            piece=tube.name,
            value=tube.bend_r,
            limit=min(formers, key=lambda r: abs(r - tube.bend_r), default=None),
            source_words=shop.source,
            sentence=f"bent to {tube.bend_r:g} mm; formers for od {tube.od:g}: {has}",
        )
    least = shop.tubing.straight * tube.od
    all_straights = straights(tube)
    for i, line in enumerate(all_straights, 1):
        if STRAIGHT.under(line.length, least, slack=1e-9):
            where = "between two bends" if 1 < i < len(all_straights) else "before the first or after the last bend"
            yield STRAIGHT.finding(
                piece=tube.name,
                value=line.length,
                limit=least,
                sentence=f"straight {i}, {where}, is {line.length:.1f} mm, the bender's clamp wants {least:g}",
            )
    if len(bends(tube)) > 1 and tube.start.kind != "square":
        yield COPE_AFTER.finding(
            piece=tube.name,
            sentence="bend first and cope after: marks shift by what the bender stretches",
        )


def _lip(tube: Tube | BentTube, shop: Shop) -> Iterator[Finding]:
    coped = [which for which in ENDS if any(cut.kind == "saddle" for cut in tube.cuts(which))]
    gaps = {which: lip_gap(tube, which) for which in coped}
    over = {which: gap for which, gap in gaps.items() if gap > shop.tubing.fit_up}
    if over:
        by = " and ".join(f"{gap:.1f} mm at the {which}" for which, gap in over.items())
        yield INNER_LIP.finding(
            piece=tube.name,
            value=max(over.values()),
            limit=shop.tubing.fit_up,
            sentence=(
                f"cut square to the outer line, the inner lip fouls and holds it off by {by}: bevel to the inner"
                " line, or use the no-bevel cut"
            ),
        )


def _sharp(tube: Tube | BentTube, which: Which, met: Thing, cut: TubeEnd, shop: Shop) -> Iterator[Finding]:
    if cut.kind != "square" and SHARP.under(cut.angle, shop.tubing.sharp):
        yield SHARP.finding(
            piece=tube.name,
            value=cut.angle,
            limit=shop.tubing.sharp,
            sentence=(
                f"{which}: meets {name_of(met)} at {cut.angle:.0f} deg; no torch gets into less than"
                f" {shop.tubing.sharp:g}"
            ),
        )


def _wall_of(layout: Layout, met: Thing) -> float | None:
    if isinstance(met, Cylinder):
        return met.wall
    if isinstance(met, PlaneTarget):
        return met.t
    return None if isinstance(met, Bung) else layout.run(name_of(met)).wall


def _walls(layout: Layout, run: Run, met: Thing, shop: Shop) -> Iterator[Finding]:
    other = _wall_of(layout, met)
    if other is not None and THIN_WALL.over(other / run.wall, shop.tubing.wall_ratio):
        yield THIN_WALL.finding(
            piece=run.name,
            value=other / run.wall,
            limit=shop.tubing.wall_ratio,
            sentence=(
                f"wall {run.wall:g} is welded to {other:g} mm of {name_of(met)}: more than"
                f" {shop.tubing.wall_ratio:g} times as thick, the tube burns before the other melts"
            ),
        )


def _lands(layout: Layout, run: Run, which: Which, met: Thing, cut: TubeEnd, shop: Shop) -> Iterator[Finding]:
    if isinstance(met, Bung):
        yield from _bung(run, met, shop)
    if cut.kind != "saddle":
        return
    gap = run.od / 2 + abs(cut.offset) - cut.r
    if OVERHANG.over(gap, shop.tubing.fit_up):
        yield OVERHANG.finding(
            piece=run.name,
            value=gap,
            limit=shop.tubing.fit_up,
            source=WELDED_OVER,
            sentence=(
                f"{which}: stands {gap:.1f} mm over the side of {name_of(met)}, open there: cap it or move it"
            ),
        )
    over = _beyond_the_end(layout, run, which, met, cut)
    if PAST_THE_END.over(over, 0.0):
        yield PAST_THE_END.finding(
            piece=run.name,
            value=over,
            limit=0.0,
            sentence=f"{which}: lands {over:.1f} mm past the end of {name_of(met)}",
        )


def _bung(run: Run, met: Bung, shop: Shop) -> Iterator[Finding]:
    play = run.od - 2 * run.wall - met.spigot_od
    if BUNG.under(play, 0.0) or BUNG.over(play, shop.tubing.bung_play):
        too = "does not go in" if play < 0 else "hangs loose in"
        yield BUNG.finding(
            level="stop" if play < 0 else "caution",
            piece=run.name,
            value=play,
            limit=0.0 if play < 0 else shop.tubing.bung_play,
            sentence=f"spigot {met.spigot_od:g} of {met.name} {too} a bore of {run.od - 2 * run.wall:g} mm",
        )


def _beyond_the_end(layout: Layout, run: Run, which: Which, met: Thing, cut: TubeEnd) -> float:
    """How far the outer line of one cut lies past the end of the round thing it lands on, mm."""
    points = rim(layout.tube(run.name), which, cut)
    if isinstance(met, (PlaneTarget, Bung, Mitre)) or not points:
        return -math.inf
    if isinstance(met, Cylinder):
        way, half = unit(met.axis), math.inf if met.length is None else met.length / 2
        return max(abs(dot(sub(p, met.at), way)) for p in points) - half
    stretches = lines(layout.run(met))
    line = nearest(stretches, run.points[0] if which == "start" else run.points[-1])
    past = [dot(sub(p, line.a), line.way) for p in points]
    before = -min(past) if line is stretches[0] else -math.inf
    after = max(past) - length(sub(line.b, line.a)) if line is stretches[-1] else -math.inf
    return max(before, after)


ROOM = 1.0
"""mm round a socket: common practice, no source."""

SEATED = 0.01
"""mm over the face the head sits on from which a socket can touch: what is flush with the face does not."""

NEARER = 5.0
"""mm: where the few points of a wall come within this of fouling, ten times as many are looked at."""


def beside(tube: Tube | BentTube, foot: Vec, way: Vec, tall: float, *, wanted: float) -> float:
    """Least distance, mm, of a tube's wall from the line on `foot` along `way`, `tall` mm; inf where none is near.

    Within 0.2 mm where it is less than `wanted`, else rough; all in the frame of the layout.
    """
    rough = _off(wall_points(tube), foot, way, -NEARER, tall)
    if rough > wanted + NEARER:
        return rough
    return _off(wall_points_of(tube, 10 * AROUND), foot, way, SEATED, tall)


def _off(points: Array, foot: Vec, way: Vec, low: float, high: float) -> float:
    """Least distance from the line of the points that lie `low` to `high` mm along it."""
    import numpy as np

    axis = np.array(unit(way))
    off = points - np.array(foot)
    along = off @ axis
    near = off[(along > low) & (along < high)]
    if not len(near):
        return math.inf
    return float(np.min(np.linalg.norm(near - np.outer(near @ axis, axis), axis=1)))


def socket_findings(
    tubes: Iterable[Tube | BentTube], foot: Vec, way: Vec, size: str, *, bolt_name: str
) -> Iterator[Finding]:
    """A caution for every tube that is in the way of the socket on a bolt's head.

    tubes: what stands round the bolt; foot: point on the bolt's axis at the face that the head sits on, mm; way:
    direction from there out of the head; size: of the bolt, "M12"; bolt_name: what the caution calls the bolt. All
    in the frame of the tubes. A socket wants 1 mm round it (common practice, no source).

    >>> leg = lay_out(Run("leg", "38x3", ((0, 0, 0), (0, 0, 200)))).tubes
    >>> [found.value for found in socket_findings(leg, (25, 0, 20), (0, 0, 1), "M12", bolt_name="bolt 1")]
    [-8.4]
    >>> round(25 - 38 / 2 - 1.6 * 18 / 2, 1)
    -8.4
    """
    tool = socket(bolt(size).across_flats)
    for tube in tubes:
        room = beside(tube, foot, way, tool.length, wanted=tool.od / 2 + ROOM) - tool.od / 2
        if SOCKET.under(min(room, ROOM + NEARER), ROOM):  # farther off it is known roughly
            stands = f"{room:.1f} mm beside" if room > 0 else f"{-room:.1f} mm inside"
            yield SOCKET.finding(
                piece=tube.name,
                value=room,
                limit=ROOM,
                source_words=tool.source,
                sentence=f"stands {stands} the socket ({tool.od:.0f} od) on the {size} of {bolt_name}",
            )

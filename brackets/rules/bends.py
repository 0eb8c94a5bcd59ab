"""Bends against the shop's brake: radius and grain, dies, least flange, force, length, room for the punch."""

from __future__ import annotations

import math
from collections.abc import Iterator

from brackets.core.errors import InputError
from brackets.core.finding import Finding, Level
from brackets.core.rulebook.parts import BEND_ORDER, BRAKE_LENGTH, DIE, EAR_HEIGHT, FLANGE, FORCE, INSIDE_RADIUS
from brackets.core.tables.material_rows import material
from brackets.forming.flat_pattern import bend_order
from brackets.forming.shop import Die, Shop
from brackets.forming.shop_file import least_radius, with_grain
from brackets.model.bend_allowance import setback
from brackets.model.fold_tree import Bend, Tree, tree
from brackets.model.plate import Folded

SQUARE = 10.0
"""Degrees off 90 for which the ear rule, derived at 90, is used."""


def ear_findings(piece: Folded, whole: Tree, shop: Shop) -> Iterator[Finding]:
    """Ears that stand up from opposite edges of one wall: the first must pass the punch that bends the second."""
    punch = shop.brake.punch
    if punch is None:
        return
    for i, one in enumerate(whole.bends):
        for two in whole.bends[i + 1 :]:
            if one.parent != two.parent or one.angle * two.angle < 0 or not _faces(one, two):
                continue
            if any(abs(abs(b.angle) - 90.0) > SQUARE for b in (one, two)):
                continue
            between = -one.flat.local(two.flat.at)[1]
            inside = between + one.inside_radius + two.inside_radius
            ear = min(whole.walls[b.number].wall.outline.bounds[3] + b.inside_radius for b in (one, two))
            most = max(inside - math.sqrt(2.0) * punch, shop.brake.goose_neck)
            if EAR_HEIGHT.over(ear, most):
                yield EAR_HEIGHT.finding(
                    piece=piece.name,
                    value=ear,
                    limit=most,
                    source_words=shop.source,
                    sentence=(
                        f"ears {one.number} and {two.number} are {ear:.1f} mm high and {inside:.1f} apart inside: "
                        f"the first meets the punch above {max(most, 0.0):.1f}; fold them over a block"
                    ),
                )


def _faces(one: Bend, two: Bend) -> bool:
    """Whether two bend lines are parallel and look away from each other."""
    a, b = one.flat.up, two.flat.up
    return a[0] * b[0] + a[1] * b[1] < -1.0 + 1e-9


OFF_RADIUS = 0.2
"""Part of the radius by which a die may miss the one asked for: the spread of the 16 to 20 % rule."""

ALIKE = 6
"""Decimals of a mm and of a degree to which bends are taken to be alike."""


def bend_findings(piece: Folded, shop: Shop) -> Iterator[Finding]:
    """What the shop's brake says of the bends of `piece`. Raises InputError as `brackets.model.fold_tree` does."""
    whole = tree(piece)
    yield from _radii(piece, whole)
    for bends in _alike(whole):
        yield from _long(piece, bends, shop)
        yield from _die(piece, whole, bends, shop)
    yield from ear_findings(piece, whole, shop)
    if len(whole.bends) > 1:
        order = ", ".join(str(n) for n in bend_order(whole))
        yield BEND_ORDER.finding(
            piece=piece.name,
            sentence=f"bend in the order {order}: farthest from the base first; no tool is drawn",
        )


def _alike(whole: Tree) -> Iterator[tuple[Bend, ...]]:
    """Bends of one angle, radius, length and least flange together: the brake is asked the same of each."""
    groups: dict[tuple[float, ...], list[Bend]] = {}
    for bend in whole.bends:
        sizes = (abs(bend.angle), bend.inside_radius, bend.width, least_flange(whole, bend))
        groups.setdefault(tuple(round(size, ALIKE) for size in sizes), []).append(bend)
    return (tuple(bends) for bends in groups.values())


def _named(bends: tuple[Bend, ...]) -> str:
    numbers = ", ".join(str(bend.number) for bend in bends)
    word = "bend" if len(bends) == 1 else "bends"
    return f"{word} {numbers} ({abs(bends[0].angle):g} deg, r {bends[0].inside_radius:g})"


def _radii(piece: Folded, whole: Tree) -> Iterator[Finding]:
    """Bends that the rule says the same of, in one line."""
    said: dict[tuple[Level, str, float | None, float], list[int]] = {}
    for bend in whole.bends:
        for level, words, limit in _radius(piece, bend):
            said.setdefault((level, words, limit, bend.inside_radius), []).append(bend.number)
    for (level, words, limit, radius), numbers in said.items():
        bends = f"bend {numbers[0]}" if len(numbers) == 1 else f"bends {', '.join(map(str, numbers))}"
        yield INSIDE_RADIUS.finding(
            level=level,
            piece=piece.name,
            value=radius,
            limit=limit,
            sentence=f"{bends} (r {radius:g}) in {piece.material} {piece.t:g} mm: {words}",
        )


def _radius(piece: Folded, bend: Bend) -> Iterator[tuple[Level, str, float | None]]:
    across = least_radius(piece.material, piece.t, angle=bend.angle)
    along = least_radius(piece.material, piece.t, angle=bend.angle, along=True)
    if across is None:
        yield "advice", "no rule reaches this metal and thickness, bend a strip first", None
        return
    runs_along = None
    if piece.grain is not None:
        (ax, ay), (bx, by) = bend.line
        runs_along = with_grain(math.degrees(math.atan2(by - ay, bx - ax)), piece.grain)
    limit = along if runs_along and along is not None else across
    if INSIDE_RADIUS.under(bend.inside_radius, limit):
        way = "along the grain" if runs_along else "across the grain"
        yield "caution", f"may crack, at least r {limit:g} {way}", limit
    elif runs_along is None and along is not None and bend.inside_radius < along:
        yield "advice", f"lay the grain across, along the grain r {along:g} is the least", along


def _long(piece: Folded, bends: tuple[Bend, ...], shop: Shop) -> Iterator[Finding]:
    bend = bends[0]
    if BRAKE_LENGTH.over(bend.width, shop.brake.length):
        yield BRAKE_LENGTH.finding(
            piece=piece.name,
            value=bend.width,
            limit=shop.brake.length,
            source_words=shop.source,
            sentence=f"{_named(bends)} is {bend.width:.0f} mm long, the brake takes {shop.brake.length:g}",
        )


def _die(piece: Folded, whole: Tree, bends: tuple[Bend, ...], shop: Shop) -> Iterator[Finding]:
    bend = bends[0]
    fitting = [die for die in shop.dies if die.thin <= piece.t <= die.thick]
    thick = max((die.thick for die in shop.dies), default=math.inf)
    thin = min((die.thin for die in shop.dies), default=-math.inf)
    if DIE.over(piece.t, thick) or DIE.under(piece.t, thin) or not fitting:
        if shop.dies:
            yield DIE.finding(
                level="stop",
                piece=piece.name,
                value=piece.t,
                limit=thick,
                source_words=shop.source,
                sentence=f"no die on the list is for {piece.t:g} mm plate ({_named(bends)})",
            )
        return
    short = least_flange(whole, bend)
    reach = [die for die in fitting if die.flange <= short]
    least = min(die.flange for die in fitting)
    if FLANGE.under(short, least):
        yield FLANGE.finding(
            piece=piece.name,
            value=short,
            limit=least,
            source_words=shop.source,
            sentence=(
                f"{_named(bends)}: the shorter side is {short:.1f} mm outside, the smallest die for "
                f"{piece.t:g} mm needs {least:g}: leave it longer and trim, or weld it on"
            ),
        )
        return
    die = chosen(reach, bend.inside_radius)
    if DIE.over(abs(die.radius - bend.inside_radius), OFF_RADIUS * bend.inside_radius):
        yield DIE.finding(
            level="caution",
            piece=piece.name,
            value=bend.inside_radius,
            limit=die.radius,
            sentence=(
                f"{_named(bends)}: the nearest die, V {die.v:g}, gives about r {die.radius:g}: "
                "draw it with that, or the legs come out wrong"
            ),
        )
    yield from _force(piece, bends, die, shop)


def chosen(dies: list[Die], radius: float) -> Die:
    """Of `dies` the one whose inside radius is nearest; of equals the wider."""
    return min(dies, key=lambda die: (abs(die.radius - radius), -die.v))


def least_flange(whole: Tree, bend: Bend) -> float:
    """The shorter of the two sides of a bend, measured outside along the plate to its far edge, mm.

    Where a side ends in another bend it counts to that bend's apex: the die must find room between the two.
    """
    sides = []
    for number in (bend.parent, bend.number):
        wall = whole.walls[number].wall
        corners = [*wall.outline.points(0.5)]
        if number == bend.number:
            far = max(y for _, y in corners)
            others = list(whole.children(number))
        else:
            node = whole.walls[number]
            seen = [bend.flat.local(node.flat.point((x, y, 0.0)))[1] for x, y in corners]
            far = -min(seen)
            others = [b for b in whole.children(number) if b is not bend]
            others += [whole.bends[number - 1]] if number else []
        facing = [b for b in others if _parallel(b, bend)]
        far += max((setback(b.angle, b.inside_radius, b.t) for b in facing), default=0.0)
        sides.append(far + setback(bend.angle, bend.inside_radius, bend.t))
    return min(sides)


def _parallel(one: Bend, other: Bend) -> bool:
    x, y = (place.flat.x for place in (one, other))
    return abs(x[0] * y[1] - x[1] * y[0]) < 1e-6


def _force(piece: Folded, bends: tuple[Bend, ...], die: Die, shop: Shop) -> Iterator[Finding]:
    bend = bends[0]
    if shop.brake.force is None:
        return
    try:
        strength = material(piece.material).fu(piece.t)
    except InputError:
        return
    if strength is None:
        return
    needed = 1.42 * strength * piece.t**2 * bend.width / die.v
    if FORCE.over(needed / 1e3, shop.brake.force / 1e3):
        yield FORCE.finding(
            piece=piece.name,
            value=needed / 1e3,
            limit=shop.brake.force / 1e3,
            source_words=shop.source,
            sentence=(
                f"{_named(bends)} wants about {needed / 1e3:.0f} kN over V {die.v:g}, "
                f"the brake has {shop.brake.force / 1e3:.0f}"
            ),
        )

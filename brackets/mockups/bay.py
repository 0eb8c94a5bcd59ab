"""A whole bay as mock-ups: every part, on request its bushes and bolts, and a gauge of the engine's boss faces."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Collection, Sequence
from dataclasses import replace
from typing import assert_never

from brackets.bay.bolts.boss_bolts import BossBolt
from brackets.bay.clear.moving_keep_outs import all_moved
from brackets.bay.fitting import at_rest, with_bolts
from brackets.bay.hung.mount_frames import place_of
from brackets.bay.schema.keep_out import KeepOut
from brackets.bay.schema.record import Bay
from brackets.bay.stand.hardware import Bought
from brackets.bay.stand.placed import checked, placed_bay
from brackets.bay.stand.placed_part import BossHead, PlacedBay, PlacedPart, ThroughBolt
from brackets.core.errors import InputError
from brackets.core.finding import Finding, worst_first
from brackets.core.place import Place
from brackets.core.rulebook.mockups import PRINT_GROWTH
from brackets.forming.printer_3d import Printer3D
from brackets.kernel.solids import shape_key
from brackets.mockups.as_printed import as_printed
from brackets.mockups.gauge import Face, gauges
from brackets.mockups.lie import Measure
from brackets.mockups.printed import mockup
from brackets.mockups.record import MockUp, Printed
from brackets.model.part import Part

ROUND = 0.2
"""How much wider one way than the other, in parts, what is round or has six sides may be."""


def mockup_of_bay(
    bay: Bay,
    printer: Printer3D | None = None,
    *,
    parts: Collection[str] = (),
    dummies: bool = False,
    gauge: bool = False,
    apart: bool = False,
    least_wall: float | None = None,
    lie: Measure = "support",
    say: Callable[[str], None] = lambda _: None,
) -> MockUp:
    """What is printed of a bay.

    bay: by `read_bay`; printer: that of the bay's shop where None; parts: names of those that are wanted, all where
    empty; dummies: bushes and bolts too, each as a body to be put in by hand; gauge: plates with the engine's boss
    holes, one for each way that bosses look; apart, least_wall, lie, say: as `mockup` has them. Where walls grow,
    the bay is cleared again with them, at rest and moved. Returns a MockUp; raises InputError for a part that is
    not there, BadFile for a bay that cannot be used, KernelFailed.

    >>> import pathlib, tempfile
    >>> text = '''format = 1
    ... part = [{ name = "plate", recipe = "gusset", at = [0, 0, 0], axis = [0, 0, 1], up = [0, 1, 0] }]'''
    >>> with tempfile.TemporaryDirectory() as folder:  # gone again afterwards
    ...     file = pathlib.Path(folder, "tiny.toml")
    ...     _ = file.write_text(text)
    ...     done = mockup_of_bay(read_bay(file))
    >>> [body.name for body in done.bodies]
    ['plate']
    """
    printer = bay.shop.printer_3d if printer is None else printer
    say("building the parts")
    stood = checked(placed_bay(bay, known_only=True))
    there = [part.name for part in stood.parts]
    wrong = [f'part = "{name}", must be one of {", ".join(there)}' for name in parts if name not in there]
    if wrong:
        raise InputError(*wrong)
    wanted = [part for part in stood.parts if not parts or part.name in parts]
    made = [
        mockup(
            replace(part.part, name=_called(part)),
            printer,
            apart=apart,
            least_wall=least_wall,
            lie=lie,
            shop=bay.shop.source,
            say=say,
        )
        for part in wanted
    ]
    findings = [finding for one in made for finding in one.findings]
    if least_wall is not None and any(one.grown for one in made):
        say("clearing it again with the walls that grew")
        findings += cleared_again(stood, wanted, least_wall)
    called: Counter[str] = Counter()
    for part, count in _bought(stood) if dummies else ():
        one = mockup(part, printer, lie=lie, kind="dummy", shop=bay.shop.source, say=say)
        made.append(_times(one, count, called))
    for part in _gauges(bay) if gauge else ():
        made.append(mockup(part, printer, lie=lie, kind="gauge", shop=bay.shop.source, say=say))
    of_parts = [finding for part in wanted for finding in part.findings]
    return _together(bay.path.stem, printer, made, findings).with_stops_of(of_parts)


def cleared_again(stood: PlacedBay, parts: Sequence[PlacedPart], least_wall: float) -> list[Finding]:
    """Gaps that a bay does not keep with the thicker walls and keeps, or is not asked for, without them."""
    thin = Printer3D(hole=0.0)
    thick = {
        part.name: replace(part, part=as_printed(part.part, thin, least_wall=least_wall).part) for part in parts
    }
    grown = replace(stood, parts=tuple(thick.get(part.name, part) for part in stood.parts))
    still = at_rest(grown)
    found = []
    gaps = [(g.a, g.b, g.low, g.rule.rest, "at rest") for g in still.pairs]
    gaps += [(m.a, m.b, m.low, m.needed, f"moved, {m.when}") for m in all_moved(stood.bay, still.things)]
    for a, b, low, needed, when in gaps:
        if low < needed and {a, b} & set(thick):
            found.append(
                PRINT_GROWTH.finding(
                    piece=f"{a} | {b}",
                    value=low,
                    limit=needed,
                    level="caution",
                    about=(a, b),
                    sentence=f"with walls of {least_wall:g} mm the gap is {low:.1f} mm, {needed:g} asked {when}",
                )
            )
    return found


def _called(part: PlacedPart) -> str:
    return part.name if part.hand is None else part.hand.named(part.name)


def _bought(stood: PlacedBay) -> list[tuple[Part, int]]:
    """Bushes and bolts, a part for each body that is put in by itself, and how often it is wanted."""
    found: list[Part] = []
    things, held = with_bolts(stood)
    shanks = {one.name: one.shank for one in held if isinstance(one, BossBolt)}
    for thing in things:
        match thing.of:
            case Bought() as bought:
                found += _loose(bought.what, bought.part)
            case BossHead() as head:
                found += _loose("bolt", replace(head.made, pieces=(*head.made.pieces, shanks[head.name])))
            case ThroughBolt() as bolt:
                found += _loose("bolt", bolt.made)
            case PlacedPart() | KeepOut():
                pass
            case other:
                assert_never(other)
    first: dict[object, Part] = {}
    for part in found:
        first.setdefault(_shape(part), part)
    counts = Counter(_shape(part) for part in found)
    return [(part, counts[key]) for key, part in first.items()]


def _shape(part: Part) -> object:
    """Equal for parts of one shape, wherever they stand."""
    home = part.pieces[0].place.inverse()
    return tuple((shape_key(piece), _rounded(home @ piece.place)) for piece in part.pieces)


def _rounded(place: Place) -> tuple[float, ...]:
    return tuple(round(c, 6) + 0.0 for row in place.matrix()[:3] for c in row)


def _times(made: MockUp, count: int, called: Counter[str]) -> MockUp:
    """A dummy wanted `count` times, called by what it is and its size; `called` counts those of one name."""
    bodies = []
    for body in made.bodies:
        name = f"{body.name} {_round_size(body)}"
        called[name] += 1
        again = f" ({called[name]})" if called[name] > 1 else ""
        bodies.append(replace(body, name=f"{name}{again}", count=body.count * count))
    return replace(made, bodies=tuple(bodies), findings=())


def _loose(name: str, part: Part) -> list[Part]:
    """Nut and washers of a bolt apart from its head and shank."""
    bolt = tuple(piece for piece in part.pieces if piece.name in ("head", "shank"))
    if not bolt or len(bolt) == len(part.pieces):
        return [replace(part, name=name)]
    rest = [replace(part, name=p.name.partition("_")[0], pieces=(p,)) for p in part.pieces if p not in bolt]
    return [replace(part, name=name, pieces=bolt), *rest]


def _round_size(body: Printed) -> str:
    """Across and along, mm, of what is round or has six sides."""
    least, across, most = sorted(body.size)
    along = least if most - across < ROUND * across else most
    return f"{_figure(across)} x {_figure(along)}"


def _figure(mm: float) -> str:
    return f"{mm:.1f}".removesuffix(".0")


def _gauges(bay: Bay) -> tuple[Part, ...]:
    place = place_of(bay.powertrain)
    return gauges(
        [Face(boss.name, place.point(boss.at), place.direction(boss.normal), boss.thread) for boss in bay.bosses]
    )


def _together(name: str, printer: Printer3D, made: Sequence[MockUp], findings: Sequence[Finding]) -> MockUp:
    said = dict.fromkeys(finding for finding in findings)
    return MockUp(
        name=name,
        printer=printer,
        bodies=tuple(body for one in made for body in one.bodies),
        joints=tuple(joint for one in made for joint in one.joints),
        grown=tuple(growth for one in made for growth in one.grown),
        findings=worst_first(said),
    )

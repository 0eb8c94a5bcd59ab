"""Everything of a bay built and set where it stands: parts by bosses or bushes, bushes and bolts by mounts."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from functools import partial
from typing import TYPE_CHECKING

from brackets.bay.hung.mount_frames import any_up, mount_frame
from brackets.bay.schema.record import Bay, PartEntry
from brackets.bay.schema.standing import LINK
from brackets.bay.stand.bobbin_ends import bobbin_bought
from brackets.bay.stand.hands import hands, reflected_bay, reflected_entry
from brackets.bay.stand.hardware import Bought, bought_of, bush_of, cup_of
from brackets.bay.stand.misfits import by_bushes, misfits
from brackets.bay.stand.part_links import given_to, link_findings, not_linked, unfilled, worked_out
from brackets.bay.stand.placed_part import PlacedBay, PlacedPart
from brackets.bay.stand.reused import standing_still
from brackets.core.ahead import ahead
from brackets.core.errors import BadFile, BadRecipe, InputError
from brackets.core.finding import Finding, worst_first
from brackets.core.place import HERE, Place
from brackets.core.schema.reading import from_mapping, typed_names, values
from brackets.core.tables.bush_rows import Bush
from brackets.core.vectors import unit
from brackets.forming.shop import as_made_in
from brackets.library.recipe import Recipe, recipe, recipes
from brackets.model.part import Part, reflected
from brackets.rules.part import part_findings

if TYPE_CHECKING:
    from brackets.kernel.press_room import Half


def placed_bay(bay: Bay, *, known_only: bool = False, was: PlacedBay | None = None) -> PlacedBay:
    """The bay with everything built and placed.

    `known_only` leaves parts out whose recipe this version does not ship, and names them in `left_out`. `was`: the
    same bay built before by this process, whose parts stand again where nothing they depend on changed and their
    recipe is a shipped one. Raises BadFile with a line for every part that cannot be built or placed, from the
    first recipe that failed.
    """
    return _placed(bay, _standing, known_only=known_only, was=was)


@dataclass(frozen=True, eq=False)
class Unjudged:
    """A bay whose parts stand, some of which were not asked what their rules say; `left` asks them, by name."""

    stood: PlacedBay
    left: Mapping[str, Judge]


def unjudged_bay(bay: Bay, *, was: Unjudged | None = None) -> Unjudged:
    """The same, for a picture: what the rules of its parts say, a third of the time, is left to `judged`.

    `was` as for `placed_bay`, judged or not. Raises BadFile.
    """
    left = {} if was is None else dict(was.left)

    def standing(bay: Bay, entry: PartEntry) -> PlacedPart:
        part, left[entry.row.name] = _unjudged(bay, entry)
        return part

    stood = _placed(bay, standing, was=None if was is None else was.stood)
    return Unjudged(stood, {part.name: left[part.name] for part in stood.parts if part.name in left})


def judged(of: Unjudged) -> PlacedBay:
    """The bay with what the rules of all its parts say. Raises BadFile with a line for every part that they fail
    on."""
    problems, parts = _Problems(), []
    for part in of.stood.parts:
        with problems.of(part.name):
            judge = of.left.get(part.name)
            parts.append(part if judge is None else replace(part, findings=judge()))
    problems.stop(of.stood.bay)
    return replace(of.stood, parts=tuple(parts))


Judge = Callable[[], tuple[Finding, ...]]


@dataclass
class _Problems:
    """What is wrong with the parts of a bay, and the first recipe that failed."""

    lines: list[str] = field(default_factory=list)
    failed: BadRecipe | None = None

    @contextmanager
    def of(self, part: str) -> Iterator[None]:
        """Notes what is raised meanwhile as the part's."""
        try:
            yield
        except InputError as error:
            self.lines += [_named(part, line) for line in error.problems]
        except BadRecipe as error:
            self.lines.append(f"part {part}: {error}")
            self.failed = self.failed or error

    def stop(self, bay: Bay) -> None:
        """Raises BadFile where there are any."""
        if self.lines:
            raise BadFile(bay.path, *dict.fromkeys(self.lines)) from self.failed


def _placed(
    bay: Bay,
    standing: Callable[[Bay, PartEntry], PlacedPart],
    *,
    known_only: bool = False,
    was: PlacedBay | None = None,
) -> PlacedBay:
    problems = _Problems()
    parts: list[PlacedPart] = []
    left_out: list[str] = []
    entries = []
    for entry in bay.parts:
        name = entry.row.recipe
        if known_only and not is_path(name) and name not in recipes():
            left_out.append(f"{entry.row.name}: left out, there is no recipe {name} yet")
        else:
            entries.append(entry)
    again = standing_still(was, bay)
    with ahead([partial(standing, bay, entry) for entry in entries]):
        for entry in entries:
            with problems.of(entry.row.name):
                stands = None if is_path(entry.row.recipe) else again(entry)
                parts.append(stands or standing(bay, entry))
    try:
        of_pair = hands(bay, parts)
        parts = [replace(part, hand=of_pair.get(part.name)) for part in parts]
    except InputError as error:
        problems.lines += error.problems
    bought: list[Bought] = []
    notes: list[str] = []
    for mount in bay.mounts:
        try:
            made = {part.name: part.part for part in parts}
            bought += bought_of(bay, mount, {part.name: part.params for part in parts}, made)
            bought += bobbin_bought(bay, mount, made)
        except InputError as error:
            problems.lines += [
                line if line.startswith("mount ") else f"mount {mount.name}: {line}" for line in error.problems
            ]
        row = bush_of(bay, mount)
        if row.sample:
            notes.append(f"bush {row.name}: {row.stamp}")
    problems.stop(bay)
    return PlacedBay(
        bay=bay,
        parts=tuple(parts),
        bought=tuple(bought),
        left_out=tuple(left_out),
        notes=tuple(dict.fromkeys((*notes, *(f"part {p.name}: {line}" for p in parts for line in p.unfilled)))),
    )


def checked(stood: PlacedBay) -> PlacedBay:
    """The same with what the solids of each part say among its findings. Raises KernelFailed."""
    each = [partial(_checked, stood, part) for part in stood.parts]
    with ahead(each):
        return replace(stood, parts=tuple(one() for one in each))


def _checked(stood: PlacedBay, part: PlacedPart) -> PlacedPart:
    from brackets.clearance.torch import torch_findings
    from brackets.kernel.press_room import press_findings
    from brackets.kernel.shared import solid_findings

    reached = torch_findings(part.part, stood.bay.shop.torch)
    pressed = press_findings(part.part, halves=_halves(stood, part))
    said = (*solid_findings(part.part, fit_up=stood.bay.shop.tubing.fit_up), *pressed, *reached)
    return replace(part, findings=worst_first([*said, *part.findings]))


def _halves(stood: PlacedBay, part: PlacedPart) -> Mapping[str, Half]:
    """Of each cup of a part that a bush of three pieces goes into, by name, one of its flanged halves."""
    from brackets.kernel.press_room import Half

    found = {}
    for mount in stood.bay.mounts:
        row = bush_of(stood.bay, mount)
        if isinstance(row, Bush) and row.three_pieces and mount.holder == part.name:
            cup = cup_of(mount, {part.name: part.part})
            if cup is not None:
                half = row.shell_length / 2 + row.end_flange
                found[cup.name] = Half(od=row.flange_od or row.od, length=half)
    return found


def is_path(name: str) -> bool:
    """Whether a recipe is named by a file of the user's own."""
    return "/" in name or "\\" in name or name.endswith(".py")


def _named(part: str, line: str) -> str:
    return line if line.startswith(("part ", "mount ")) else f"part {part}: {line}"


def _standing(bay: Bay, entry: PartEntry) -> PlacedPart:
    part, judge = _unjudged(bay, entry)
    return replace(part, findings=judge())


def _unjudged(bay: Bay, entry: PartEntry) -> tuple[PlacedPart, Judge]:
    """A part where it stands, without findings, and what finds them."""
    if entry.row.mirror_of is not None:
        there, plane = reflected_bay(bay, bay.plane), bay.plane
        image, judge = _built(there, reflected_entry(bay, entry, plane))
        return replace(image, part=reflected(image.part, plane)), judge
    return _built(bay, entry)


def _built(bay: Bay, entry: PartEntry) -> tuple[PlacedPart, Judge]:
    row, shop = entry.row, bay.shop_of(entry.row.name)
    name = row.recipe
    opened = recipe(str(bay.path.parent / name) if is_path(name) else name)
    mounts = bay.mounts_of(row.name)
    sides = {side for _, side in mounts} | ({row.side} if row.side is not None else set())
    if len(sides) > 1:
        raise InputError(f"side = {' and '.join(sorted(sides))}, one: a part cannot be fixed to both")
    side = next(iter(sides), "powertrain" if row.bosses else "chassis")
    given = given_to(bay, entry)
    filled, typed = worked_out(given, opened), typed_names(opened.Params, entry.values)
    try:
        params = from_mapping(
            opened.Params,
            {**filled, **entry.values},
            bare=bay.bare,
            where=f"part {row.name}",
            beside=bay.path.parent,
        )
        built = as_made_in(shop, opened.build(params))
        part = built.mirrored() if row.mirrored else built
        set_up = part.placed(_place(bay, entry, part, opened))
    except InputError as error:
        raise InputError(*error.problems, *not_linked(given, opened.params, typed)) from None
    made = values(params)

    def judge() -> tuple[Finding, ...]:
        said = (*opened.check(params, shop), *part_findings(part, shop), *link_findings(given, params, typed))
        return worst_first(said)

    stands = PlacedPart(
        name=row.name,
        side=side,
        kind=row.kind,
        part=set_up,
        recipe=opened,
        params=params,
        worked_out={name: made[name] for name in filled if name not in typed},
        unfilled=tuple(unfilled(given, params, typed, part)),
        findings=(),
        misfits=tuple(misfits(bay, entry, set_up)),
    )
    return stands, judge


def _place(bay: Bay, entry: PartEntry, part: Part, opened: Recipe) -> Place:
    """Where the part's frame stands: typed, or built in place from bosses, or by its bushes."""
    row = entry.row
    if row.at is not None:
        axis = (0.0, 0.0, 1.0) if row.axis is None else row.axis
        up = any_up(unit(axis)) if row.up is None and abs(unit(axis)[1]) > 0.9 else row.up
        return Place(row.at, axis, (0.0, 1.0, 0.0) if up is None else up)
    mounts = bay.mounts_of(row.name)
    if row.bosses and any(param.rule.takes == "bosses" for param in opened.params):
        return HERE if row.placed_by == "bosses" or not mounts else by_bushes(bay, mounts, part)
    if not mounts:
        raise InputError("at = nothing, a place, bosses or a mount: where the part stands")
    mount, side = mounts[0]
    if side == LINK:
        return by_bushes(bay, mounts, part)
    seat = part.seat(getattr(mount, f"{side}_seat"))
    return mount_frame(bay, mount, side).frame @ seat.place.inverse()

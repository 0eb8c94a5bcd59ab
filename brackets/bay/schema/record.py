"""A bay: everything in one engine bay as it was typed, checked against itself but nothing yet built or placed."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any, TypeVar, cast

from brackets.bay.schema.asked import (
    POWERTRAIN,
    ChainRow,
    ExpectedRow,
    KeepWithin,
    PathEntry,
    PlaceLimits,
    PropRow,
    ShaftRow,
    SlackRow,
    SocketRow,
    SpannerRow,
)
from brackets.bay.schema.keep_out import KeepOut
from brackets.bay.schema.loads import LoadCaseEntry, SnubberRow
from brackets.bay.schema.standing import (
    Accept,
    Boss,
    CentrePlane,
    Contact,
    Datum,
    Gap,
    Lump,
    Mount,
    PartRow,
    Powertrain,
)
from brackets.core.errors import InputError
from brackets.core.shown import Shown
from brackets.core.tables.bush_rows import Bobbin, Bush
from brackets.core.tables.bush_table import any_bush
from brackets.core.vectors import Vec, add, scale, unit
from brackets.forming.shop import NO_TOOLS, Shop
from brackets.hold.typed import HoldRow
from brackets.model.part import Plane

T = TypeVar("T")

DEFAULT_GAPS: Mapping[str, Gap] = {
    "fixed": Gap(rest=15.0, moved=5.0, why="common practice, no source: a block of wood, 15 mm"),
    "own": Gap(rest=8.0, moved=2.0, why="common practice, no source: a mount's own two halves, radially"),
    "own_end": Gap(rest=2.0, moved=0.0, why="common practice, no source: cup end to ear"),
    "same_side": Gap(
        rest=3.0,
        moved=3.0,
        why="common practice, no source: of parts that move together and have no class of their own",
    ),
    "hot": Gap(rest=25.0, moved=15.0, why="common practice, no source: steel near exhaust"),
    "hot_bush": Gap(rest=100.0, moved=90.0, why="common practice, no source: rubber near exhaust, unshielded"),
    "moving": Gap(rest=25.0, moved=15.0, why="common practice, no source: from what steers or turns"),
    "line": Gap(rest=20.0, moved=12.0, why="common practice, no source: fuel, brake, clutch lines"),
    "steering_brakes": Gap(rest=25.0, moved=20.0, why="common practice, no source: steering, brakes"),
    "radiator": Gap(rest=25.0, moved=20.0, why="common practice, no source: braking throws an engine forward"),
    "ground": Gap(rest=30.0, moved=15.0, why="common practice, no source: nothing below the rails"),
    "bonnet": Gap(rest=30.0, moved=20.0, why="common practice, no source: closed bonnet"),
    "path": Gap(rest=3.0, moved=0.0, why="common practice, no source: to be handled past, on the path in or out"),
    "weld": Gap(
        rest=150.0,
        moved=0.0,
        why="common practice, no source: heat and spatter; of all that burns 29 CFR 1910.252(a)(2)(vii) asks 35 ft",
    ),
}
"""What a class of gap asks where the bay file does not say; never nothing."""

RENAMED: Mapping[str, str] = {
    "way": "path",
    "way held": "path held",
    "way blocked": "path blocked",
    "safety": "steering_brakes",
}
"""Classes of gap and codes of findings that were called otherwise once; a file that uses one is told."""

OF_PAIRS = ("own", "own_end", "same_side", "hot_bush", "path", "weld")
"""Classes that follow from what two things are to each other: nothing is of that kind by itself."""

HURT_BY_HEAT = (
    *("line", "steering", "tank", "hose", "pipe", "fuel", "brake", "clutch", "hydraulic", "oil", "gas"),
    *("wire", "wiring", "loom", "cable", "harness", "battery", "rubber", "plastic"),
)
"""Words in the name of a class by which what is of it is hurt by a weld near it, where its row does not say."""


@dataclass(frozen=True, kw_only=True)
class PartEntry:
    """A part as typed: its row, and the values for its recipe in the file's own words."""

    row: PartRow
    values: Mapping[str, object]


@dataclass(frozen=True, kw_only=True)
class Bay(Shown):
    """Every row of a bay file; `bare` is the unit of its bare numbers, `shop` whose tools it is made with."""

    path: Path
    name: str
    bare: str
    gaps: Mapping[str, Gap]
    data: tuple[Datum, ...]
    keep_outs: tuple[KeepOut, ...]
    powertrain: Powertrain
    lumps: tuple[Lump, ...]
    bosses: tuple[Boss, ...]
    bushes: Mapping[str, Bush | Bobbin]
    mounts: tuple[Mount, ...]
    parts: tuple[PartEntry, ...]
    contacts: tuple[Contact, ...]
    paths: tuple[PathEntry, ...]
    accepts: tuple[Accept, ...] = ()
    sockets: tuple[SocketRow, ...] = ()
    spanners: tuple[SpannerRow, ...] = ()
    shop: Shop = NO_TOOLS
    centre_plane: CentrePlane | None = None
    place_limits: PlaceLimits = PlaceLimits()
    kept_within: tuple[KeepWithin, ...] = ()
    slacks: tuple[SlackRow, ...] = ()
    expected: tuple[ExpectedRow, ...] = ()
    shafts: tuple[ShaftRow, ...] = ()
    chains: tuple[ChainRow, ...] = ()
    props: tuple[PropRow, ...] = ()
    load_cases: tuple[LoadCaseEntry, ...] = ()
    snubbers: tuple[SnubberRow, ...] = ()
    pos: float | None = None
    coating: float | None = None
    coating_in_holes: float | None = None
    holding: HoldRow | None = None

    @property
    def plane(self) -> Plane:
        """What left and right are mirrored about: as typed, else y = 0."""
        return Plane() if self.centre_plane is None else Plane(self.centre_plane.at, self.centre_plane.normal)

    @cached_property
    def _once(self) -> dict[Callable[[Bay], Any], Any]:
        return {}

    def once(self, make: Callable[[Bay], T]) -> T:
        """What a function of this bay alone returns, worked out when it is first asked for."""
        if make not in self._once:
            self._once[make] = make(self)
        return cast("T", self._once[make])

    @cached_property
    def part_by_name(self) -> Mapping[str, PartEntry]:
        return {entry.row.name: entry for entry in self.parts}

    def gap(self, kind: str) -> Gap:
        """The gap asked of a class: the bay's own, else the shop's default."""
        return self.gaps[kind] if kind in self.gaps else DEFAULT_GAPS[kind]

    def hurt_by_heat(self, kind: str) -> bool:
        """Whether what is of a class is to be moved or shielded before anything near it is welded."""
        said = self.gap(kind).heat
        return any(word in kind.lower() for word in HURT_BY_HEAT) if said is None else said

    def shop_of(self, part: str) -> Shop:
        """The shop as a part is coated: by the part's own row, else by the bay file, else by the shop."""
        mine = self.shop.coated(self.coating, self.coating_in_holes, "the bay file")
        entry = self.part_by_name.get(part)
        if entry is None:
            return mine
        return mine.coated(entry.row.coating, entry.row.coating_in_holes, f"the bay file, part {part}")

    def pos_of(self, keep_out: KeepOut) -> float | None:
        """How true a keep-out is, mm either way: its own pos, else the file's, None where neither says."""
        return self.pos if keep_out.pos is None else keep_out.pos

    def bush_of(self, mount: Mount) -> Bush | Bobbin:
        """The bush row of a mount: the bay's own, else a shipped SAMPLE row."""
        return self.bushes[mount.bush] if mount.bush in self.bushes else any_bush(mount.bush)

    def bobbin_of(self, mount: Mount) -> Bobbin | None:
        """The row of a mount on a bobbin; None for a sleeve bush, and where there is no row of that name."""
        try:
            row = self.bush_of(mount)
        except InputError:
            return None
        return row if isinstance(row, Bobbin) else None

    def centre(self, mount: Mount, side: str) -> Vec:
        """Where one half of a mount has its middle: the cup round the shell, the ears about the sleeve, mm; of a
        bobbin the middle of the flat that its end stands on."""
        row, axis = self.bush_of(mount), unit(mount.axis)
        if isinstance(row, Bobbin):
            return add(mount.at, scale(axis, (0.5 if side == POWERTRAIN else -0.5) * row.height))
        return mount.at if side == mount.cup else add(mount.at, scale(axis, row.sleeve_offset))

    @cached_property
    def boss_by_name(self) -> Mapping[str, Boss]:
        return {boss.name: boss for boss in self.bosses}

    @cached_property
    def keep_out_by_name(self) -> Mapping[str, KeepOut]:
        return {keep_out.name: keep_out for keep_out in self.keep_outs}

    def mounts_of(self, part: str) -> tuple[tuple[Mount, str], ...]:
        """The mounts a part sits on, each with the side it is on there."""
        found = [
            (mount, side)
            for mount in self.mounts
            for side, name in (
                ("chassis", mount.chassis_part),
                ("powertrain", mount.powertrain_part),
                ("link", mount.link_part),
            )
            if name == part
        ]
        return tuple(found)

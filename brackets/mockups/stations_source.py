"""What stations are cut from: keep-outs of a bay taken together, or a scan or STEP file. mm, bay axes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from brackets.bay.hung.mount_frames import place_of
from brackets.bay.schema.keep_out import KeepOut
from brackets.bay.schema.record import Bay
from brackets.bay.schema.standing import SIDES
from brackets.bay.stand.bodies import TOLERANCE, placed_keep_out
from brackets.bay.stand.scan_files import read as read_scan
from brackets.bay.stand.step_files import UNIT_MM
from brackets.bay.stand.step_files import read as read_step
from brackets.clearance.bodies import Body, body
from brackets.core.errors import BadFile, InputError
from brackets.core.names import nearest
from brackets.core.tables.bolt_rows import bolt
from brackets.core.vectors import Vec
from brackets.forming.shop import NO_TOOLS, Shop

SCANS, STEPS = (".stl", ".obj", ".ply"), (".step", ".stp")


@dataclass(frozen=True)
class StationBoss:
    """A boss to be marked: its face's middle and its normal, bay axes, and its thread's diameter where known."""

    name: str
    at: Vec
    normal: Vec
    d: float | None


@dataclass(frozen=True, eq=False)
class StationSource:
    """Bodies cut together as one, what they are called, bosses to mark, and what is to be told of where they stand;
    `shop` of the bay; `in_bay`: whether +x is the front."""

    name: str
    bodies: tuple[Body, ...]
    bosses: tuple[StationBoss, ...] = ()
    notes: tuple[str, ...] = ()
    shop: Shop | None = None
    in_bay: bool = False


def station_source(
    path: Path, *, of: Sequence[str] = (), side: str | None = None, unit: str | None = None
) -> StationSource:
    """The bodies of a bay file, of a scan or of a STEP file.

    of: names of keep-outs of a bay; side: all keep-outs of that side; neither: all of the powertrain; unit: of a
    scan's numbers. Raises InputError and BadFile with everything that is wrong.
    """
    kind = path.suffix.lower()
    known = (".toml", *SCANS, *STEPS)
    problems = []
    if kind not in known:
        problems.append(f"file = {path.name}, must end in {', '.join(known)}")
    if kind in SCANS and unit is None:
        problems.append(f"unit = nothing, must be {', '.join(UNIT_MM)}: of the numbers in {path.name}")
    if kind in SCANS and unit is not None and unit not in UNIT_MM:
        problems.append(f"unit = {unit}, must be {', '.join(UNIT_MM)}: of the numbers in {path.name}")
    if kind not in SCANS and unit is not None:
        problems.append(f"unit = {unit}, must not be given: {path.name} says its own")
    if side is not None and side not in SIDES:
        problems.append(f"side = {side}, must be {' or '.join(SIDES)}")
    if kind != ".toml":
        problems += [
            f"{key} = {told}, must not be given: {path.name} is one body, no bay file"
            for key, told in (("of", ",".join(of)), ("side", side))
            if told
        ]
    elif of and side is not None:
        problems.append(f"side = {side}, must not be given with of = {','.join(of)}: one or the other")
    if problems:
        raise InputError(*problems)
    if kind == ".toml":
        return _of_bay(path, of, side)
    if not path.is_file():
        raise InputError(f"file = {path}, no such file")
    if kind in STEPS:
        shape, doubts = read_step(path, named=f"file = {path.name}", tolerance=TOLERANCE)
        return StationSource(path.stem, (body(shape, name=path.stem, tolerance=TOLERANCE, doubts=doubts),))
    found = read_scan(path, unit=unit or "mm", named=f"file = {path.name}")
    mesh = found.corners, found.triples
    return StationSource(path.stem, (body(mesh, name=path.stem, doubts=found.notes),))


def _of_bay(path: Path, of: Sequence[str], side: str | None) -> StationSource:
    from brackets.bay.file import read

    bay = read(path)
    wanted = _wanted(bay, of, side)
    problems, bodies = list[str](), list[Body]()
    for keep_out in wanted:
        try:
            bodies.append(placed_keep_out(bay, keep_out))
        except InputError as error:
            problems += [f"keep_out {keep_out.name}: {line}" for line in error.problems]
    if problems:
        raise BadFile(path, *problems)
    whole = side or (None if of else "powertrain")
    name = " and ".join(of) if whole is None else f"{path.stem} {whole}"
    moving = [one.name for one in wanted if one.moves]
    notes = [f"{', '.join(moving)}: cut where drawn, not where it moves to."] if moving else []
    known = [f"{one.name} within {one.pos:g}" for one in wanted if one.pos is not None]
    notes += [f"How well they are known, mm either way: {', '.join(known)}."] if known else []
    engine = any(one.side == "powertrain" for one in wanted)
    bosses = tuple(_bosses(bay)) if engine else ()
    shop = None if bay.shop is NO_TOOLS else bay.shop
    return StationSource(name, tuple(bodies), bosses, tuple(notes), shop, in_bay=True)


def _wanted(bay: Bay, of: Sequence[str], side: str | None) -> list[KeepOut]:
    there = {one.name: one for one in bay.keep_outs}
    problems = []
    for name in of:
        if name not in there:
            near = nearest(name, there, n=1)
            said = f"; nearest: {near[0]}" if near else ""
            problems.append(f"of = {name}, must be a keep-out of {bay.path.name}{said}")
    if len(set(of)) < len(of):
        problems.append(f"of = {','.join(of)}, each name once")
    found = [there[name] for name in of if name in there]
    if not of:
        found = [one for one in bay.keep_outs if one.side == (side or "powertrain")]
        if not found:
            problems.append(f"side = {side or 'powertrain'}, {bay.path.name} has no keep-out of that side")
    if problems:
        raise InputError(*problems)
    return found


def _bosses(bay: Bay) -> list[StationBoss]:
    place = place_of(bay.powertrain)
    found = []
    for boss in bay.bosses:
        try:
            d = bolt(boss.thread).d
        except InputError:
            d = None
        found.append(StationBoss(boss.name, place.point(boss.at), place.direction(boss.normal), d))
    return found

"""What a bay file says of its own names: each there once, and none spoken of that is not there."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence

from brackets.bay.clear.props import prop_problems
from brackets.bay.hung.drive import drive_problems
from brackets.bay.hung.mount_frames import place_of
from brackets.bay.schema.asked import (
    POWERTRAIN,
    ChainRow,
    KeepWithin,
    PathRow,
    PropRow,
    ShaftRow,
    SlackRow,
)
from brackets.bay.schema.keep_out import KeepOut
from brackets.bay.schema.links import link_problems
from brackets.bay.schema.loads import LoadCaseRow, SnubberRow
from brackets.bay.schema.record import DEFAULT_GAPS, OF_PAIRS, RENAMED, Bay
from brackets.bay.schema.standing import Boss, Datum, Gap, Lump, Mount, PartRow, Powertrain
from brackets.bay.stand.owners import owners
from brackets.core.errors import InputError
from brackets.core.names import nearest
from brackets.core.schema.checked import Checked
from brackets.core.schema.refused import Refused
from brackets.core.tables.bolt_rows import bolt
from brackets.core.tables.bush_table import BushRow, any_bush
from brackets.core.tables.fasteners import nut
from brackets.core.vectors import length, sub

SHORTEST_DRIVE = 1.0
"""mm that the two ends of a shaft or chain are apart at least: less has no direction."""


def cross_reference_problems(bay: Bay, refused: Refused) -> Iterator[str]:
    """A line for every name that is there twice, and for every name that is spoken of but not there. `refused`:
    rows that are there, and are told of as wrong already."""
    named: dict[str, tuple[type[Checked], list[str]]] = {
        "keep_out": (KeepOut, [k.name for k in bay.keep_outs]),
        "lump": (Lump, [row.name for row in bay.lumps]),
        "boss": (Boss, [b.name for b in bay.bosses]),
        "mount": (Mount, [m.name for m in bay.mounts]),
        "part": (PartRow, [p.row.name for p in bay.parts]),
        "keep_within": (KeepWithin, [row.name for row in bay.kept_within]),
        "slack": (SlackRow, [s.name for s in bay.slacks]),
        "shaft": (ShaftRow, [s.name for s in bay.shafts]),
        "chain": (ChainRow, [c.name for c in bay.chains]),
        "prop": (PropRow, [p.name for p in bay.props]),
        "load_case": (LoadCaseRow, [entry.row.name for entry in bay.load_cases]),
        "snubber": (SnubberRow, [row.name for row in bay.snubbers]),
        "path": (PathRow, [path.row.name for path in bay.paths]),
    }
    lists = {key: names for key, (_, names) in named.items()}
    for key, names in lists.items():
        if "" in names:
            yield f'{key} {names.index("") + 1}: name = "", must be a word: what others call it'
        yield from (
            f"{key} {name}: there are {n} of that name, each name once"
            for name, n in Counter(names).items()
            if n > 1
        )
    for name in sorted(set(lists["keep_out"]) & set(lists["part"])):
        yield f"part {name}: a keep-out has that name too, each name once"
    lists = {key: [*names, *refused.names(row)] for key, (row, names) in named.items()}
    known = dict.fromkeys((*DEFAULT_GAPS, *bay.gaps, *refused.names(Gap)))
    classes = [kind for kind in known if kind not in OF_PAIRS]
    for what, name, kind in (
        *(("keep_out", k.name, k.kind) for k in bay.keep_outs),
        *(("part", p.row.name, p.row.kind) for p in bay.parts),
    ):
        if kind in RENAMED and kind not in classes:
            yield f"{what} {name}: kind = {kind}, called {RENAMED[kind]} now, write {RENAMED[kind]} for it"
        elif kind not in classes:
            yield f"{what} {name}: kind = {kind}{_near(kind, classes)}: a class of gap, your own go under [gap]"
    for keep_out in bay.keep_outs:
        if keep_out.doubler_of not in refused.names(KeepOut):
            yield from _doubled(keep_out, bay)
    yield from _mount_names(bay, lists, refused)
    yield from link_problems(bay, refused)
    if not refused.any(Powertrain):
        yield from _drive_ends(bay)
    yield from drive_problems(bay)
    for row in bay.snubbers:
        if row.mount is not None and row.mount not in lists["mount"]:
            yield f"snubber {row.name}: mount = {row.mount}{_near(row.mount, lists['mount'])}: a [[mount]]"
    if not refused.any(KeepOut, Powertrain):  # the ground may be one of them, and where the point stands
        yield from prop_problems(bay)
    bosses = lists["boss"]
    for entry in bay.parts:
        for name in entry.row.bosses:
            if name not in bosses:
                yield f"part {entry.row.name}: bosses = {name}{_near(name, bosses)}: a [[boss]]"
    yield from _other_hands(bay, lists["part"])
    there = [*lists["part"], *lists["keep_out"]]
    for contact in bay.contacts:
        yield from (
            f"contact: pair = {n}{_near(n, there)}: a part or keep-out" for n in contact.pair if n not in there
        )
        if len(set(contact.pair)) == 1:
            yield f"contact: pair = {contact.pair[0]} twice, two names: a thing cannot touch itself"
    for boss in bay.bosses:
        try:
            bolt(boss.thread)
        except InputError as error:
            yield from (f"boss {boss.name}: thread: {line}" for line in error.problems)
    yield from _path_names(bay, lists)
    yield from _accepted_names(bay, lists, refused)
    for what, rows in (("socket", bay.sockets), ("spanner", bay.spanners)):
        for size, n in Counter(row.across_flats for row in rows).items():
            if n > 1:
                yield f"{what}: across_flats = {size:g} mm, {n} rows for one hexagon, one row each"


def _drive_ends(bay: Bay) -> Iterator[str]:
    """Shafts and chains whose two ends are one point, once the powertrain stands at its place."""
    place = place_of(bay.powertrain)
    for what, rows in (("shaft", bay.shafts), ("chain", bay.chains)):
        for row in rows:
            apart = length(sub(place.point(row.powertrain_at), row.chassis_at))
            if apart < SHORTEST_DRIVE:
                where = f"{what} {row.name}: powertrain.at to chassis.at = {apart:.2f} mm"
                yield f"{where}, must be {SHORTEST_DRIVE:g} mm or more: from end to end"


def _doubled(keep_out: KeepOut, bay: Bay) -> Iterator[str]:
    of = keep_out.doubler_of
    if of is None:
        return
    where, sheet = f"keep_out {keep_out.name}: doubler_of = {of}", bay.keep_out_by_name.get(of)
    if sheet is None:
        yield f"{where}{_near(of, [k.name for k in bay.keep_outs if k is not keep_out])}: the sheet it stiffens"
    elif sheet is keep_out:
        yield f"{where}, another keep-out: a doubler cannot stiffen itself"
    elif sheet.side != keep_out.side:
        yield f"{where}, one of its own side, {keep_out.side}: a doubler is fixed to its sheet"
    elif sheet.doubler_of is not None:
        yield f"{where}, the sheet itself, {sheet.doubler_of}: that one is a doubler too"


def _other_hands(bay: Bay, names: Sequence[str]) -> Iterator[str]:
    for entry in bay.parts:
        row, of = entry.row, entry.row.mirror_of
        if of is None or (of in names and of not in bay.part_by_name):  # which is told of as wrong already
            continue
        where, other = f"part {row.name}", bay.part_by_name.get(of)
        if other is None or other is entry:
            others = [name for name in names if name != row.name]
            yield f"{where}: mirror_of = {of}{_near(of, others)}: the part it is the other hand of"
            continue
        if row.mirrored or other.row.mirrored or other.row.mirror_of is not None:
            yield f"{where}: mirror_of = {of}, one that is not mirrored itself, and mirrored not given as well"
        if row.recipe != other.row.recipe:
            yield f"{where}: recipe = {row.recipe}, none or {other.row.recipe}: mirror_of takes that of {of}"
        if row.hand is not None and row.hand == other.row.hand:
            yield f"{where}: hand = {row.hand}, the other one: {of} is the {row.hand} hand"
        if len(row.bosses) != len(other.row.bosses):
            yield (
                f"{where}: bosses = {len(row.bosses)}, {len(other.row.bosses)} of its own, in the order of those"
                f" of {of}: mirror_of"
            )


def _accepted_names(bay: Bay, lists: Mapping[str, Sequence[str]], refused: Refused) -> Iterator[str]:
    names = (
        *lists["part"],
        *lists["keep_out"],
        *owners(bay),
        *lists["path"],
        *(datum.name for datum in bay.data),
        *refused.names(Datum, Mount, Boss),
        *lists["slack"],
        *lists["shaft"],
        *lists["chain"],
        *lists["prop"],
        POWERTRAIN,
    )
    for row in bay.accepts:
        if row.code in RENAMED:
            yield f"accept {row.code}: called {RENAMED[row.code]} now, write {RENAMED[row.code]} for it"
        of_refused = any(row.part.startswith(f"{name} ") for name in refused.names(Mount, PartRow, Boss))
        if row.part not in names and not of_refused:
            yield f"accept {row.code}: part = {row.part}{_near(row.part, names)}: what the findings concern"
    for (code, part), n in Counter((row.code, row.part) for row in bay.accepts).items():
        if n > 1:
            yield f"accept {code}: there are {n} about {part}, each once"


def _path_names(bay: Bay, lists: Mapping[str, Sequence[str]]) -> Iterator[str]:
    movable = (*lists["part"], POWERTRAIN)
    bolts = [f"{name} bolts" for name in lists["part"]]
    names = (*lists["mount"], *lists["boss"], *lists["part"], *bolts, *lists["keep_out"])
    for path in bay.paths:
        where, part = f"path {path.row.name}", path.row.part
        if part not in movable:
            yield f"{where}: part = {part}{_near(part, movable)}: a part, or {POWERTRAIN}"
        for name in path.row.without:
            if name not in names:
                yield f"{where}: without = {name}{_near(name, names)}: a mount, boss, part, its bolts, or keep-out"
        if part in path.row.without:
            yield f"{where}: without = {part}, which is what moves: leave it out of one"


def _mount_names(bay: Bay, lists: Mapping[str, Sequence[str]], refused: Refused) -> Iterator[str]:
    for mount in bay.mounts:
        where = f"mount {mount.name}"
        if mount.bush not in (*bay.bushes, *refused.names(BushRow)):
            try:
                any_bush(mount.bush)
            except InputError as error:
                yield from (f"{where}: {line}" for line in error.problems)
        yield from _bobbin_problems(bay, mount)
        if mount.bolt_size is not None:
            try:
                bolt(mount.bolt_size)
            except InputError as error:
                yield from (f"{where}: {line}" for line in error.problems)
        for side, key, names in (
            ("chassis", "part", lists["part"]),
            ("chassis", "onto", lists["keep_out"]),
            ("powertrain", "part", lists["part"]),
            ("powertrain", "onto", lists["keep_out"]),
            ("link", "part", lists["part"]),
        ):
            name = getattr(mount, f"{side}_{key}")
            if name is not None and name not in names:
                yield f"{where}: {side} {key} = {name}{_near(name, names)}"


def _bobbin_problems(bay: Bay, mount: Mount) -> Iterator[str]:
    """Values of a mount on a bobbin that only a bolt through a sleeve has, and a nut that there is none of."""
    bobbin = bay.bobbin_of(mount)
    if bobbin is None:
        return
    where = f"mount {mount.name}"
    if mount.bolt_size is not None:
        own = f"bobbin {bobbin.name} has its own thread, {bobbin.thread}"
        yield f"{where}: bolt size = {mount.bolt_size}, none: {own}"
    if mount.play is not None:
        yield f"{where}: play = {mount.play:g} mm, none: bobbin {bobbin.name} has no sleeve between ears"
    if all(end.stud is None for end in bobbin.ends):
        return
    if mount.bolt_nut == "none":
        yield f"{where}: bolt nut = none, a kind of nut: each stud of bobbin {bobbin.name} is held by one"
        return
    try:
        nut(bobbin.thread, mount.bolt_nut)
    except InputError as error:
        yield from (f"{where}: bolt {line}" for line in error.problems)


def _near(name: str, names: Sequence[str]) -> str:
    found = nearest(name, names, n=1)
    if found:
        return f", nearest: {found[0]}"
    return f", must be one of {', '.join(names)}" if names else ", there is none"

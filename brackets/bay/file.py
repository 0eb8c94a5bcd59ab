"""Reads a bay file: TOML of format 1, every key known, every name found, everything wrong said at once."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

from brackets.bay.cross_references import cross_reference_problems
from brackets.bay.schema.asked import (
    ChainRow,
    ExpectedRow,
    KeepWithin,
    LegRow,
    PathEntry,
    PathRow,
    PlaceLimits,
    PropRow,
    ShaftRow,
    SlackRow,
    SocketRow,
    SpannerRow,
    StraightLegRow,
    TurnLeg,
)
from brackets.bay.schema.keep_out import KeepOut
from brackets.bay.schema.keys import BAY_KEYS, FORMAT, BayRow
from brackets.bay.schema.loads import ForceRow, LoadCaseEntry, LoadCaseRow, SnubberRow
from brackets.bay.schema.record import RENAMED, Bay, PartEntry
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
from brackets.bay.stand.hands import with_other_hands
from brackets.core.errors import BadFile, InputError
from brackets.core.schema.checked import fields
from brackets.core.schema.file_keys import FileKeys
from brackets.core.schema.file_reader import FileReader
from brackets.core.tables.bush_rows import Bobbin, Bush
from brackets.core.tables.bush_table import BushRow
from brackets.core.text_files import LONGEST_NAME, given_toml
from brackets.core.units import row_name, shown
from brackets.forming.shop import NO_TOOLS, Shop
from brackets.forming.shop_file import load
from brackets.hold.typed import HoldRow

MOST_FORCES = 100
MOST_LEGS = 100
"""Legs of one path: an engine comes out in ten."""

Row = Mapping[str, object]


def read(path: str | Path) -> Bay:
    """A bay as its file has it, checked against itself; nothing is built or placed yet.

    path: of the TOML file, whose keys `brackets keys bay` lists. Returns a Bay, lengths in mm whatever the file's
    unit. Raises BadFile with a line for everything that is wrong in it.

    >>> import pathlib, tempfile
    >>> text = '''format = 1
    ... unit = "in"
    ... [[keep_out]]
    ... name = "rail"
    ... tube = { from = [0, 0, 0], to = [40, 0, 0], od = 1.5 }'''
    >>> with tempfile.TemporaryDirectory() as folder:  # gone again afterwards
    ...     file = pathlib.Path(folder, "tiny.toml")
    ...     _ = file.write_text(text)
    ...     read_bay(file).keep_outs[0].tube_od  # 1.5 in
    38.1
    """
    path = Path(path)
    return of_table(given_toml(path, what="a bay file"), path)


def of_table(raw: Mapping[str, object], path: Path) -> Bay:
    """The bay in a table as TOML gives it, of the file `path`. Raises BadFile with everything that is wrong."""
    try:
        reader = _BayReader(raw, BAY_KEYS, format=FORMAT, beside=path.parent)
    except InputError as error:
        raise BadFile(path, *error.problems) from None
    bay = Bay(
        path=path,
        name=reader.name(path.stem, what="what the bay is called", other="bay"),
        bare=reader.bare,
        gaps=reader.gaps(),
        data=reader.many("datum", Datum),
        keep_outs=reader.many("keep_out", KeepOut),
        powertrain=reader.one(Powertrain, _deep(reader.table("powertrain")), "powertrain") or Powertrain(),
        lumps=reader.many("lump", Lump),
        bosses=reader.many("boss", Boss),
        bushes=reader.bushes(),
        mounts=reader.mounts(),
        parts=reader.parts(),
        contacts=reader.many("contact", Contact),
        paths=reader.paths(),
        accepts=reader.many("accept", Accept),
        sockets=reader.many("socket", SocketRow),
        spanners=reader.many("spanner", SpannerRow),
        shop=reader.shop(),
        centre_plane=reader.centre_plane(),
        place_limits=reader.one(PlaceLimits, reader.table("place"), "place") or PlaceLimits(),
        kept_within=reader.many("keep_within", KeepWithin),
        slacks=reader.many("slack", SlackRow),
        expected=reader.many("expected", ExpectedRow),
        shafts=reader.many("shaft", ShaftRow),
        chains=reader.many("chain", ChainRow),
        props=reader.many("prop", PropRow),
        load_cases=reader.load_cases(),
        snubbers=reader.many("snubber", SnubberRow),
        pos=reader.top("pos"),
        coating=reader.top("coating"),
        coating_in_holes=reader.top("coating_in_holes"),
        holding=reader.holding(),
    )
    problems = [*reader.problems, *cross_reference_problems(bay, reader.refused)]
    if problems:
        raise BadFile(path, *problems)
    return bay


def with_parts(bay: Bay, raw: Mapping[str, object]) -> Bay:
    """The bay with the parts of the table `raw`, which is that of `bay` in everything else.

    Raises BadFile with everything that is wrong.
    """
    reader = _BayReader(raw, BAY_KEYS, format=FORMAT, beside=bay.path.parent)
    there = replace(bay, parts=reader.parts())
    problems = [*reader.problems, *cross_reference_problems(there, reader.refused)]
    if problems:
        raise BadFile(bay.path, *problems)
    return there


def _deep(table: Row) -> Row:
    """`bolt = { size = .. }` as bolt_size = .., one level down; lists and values as they are."""
    flat: dict[str, object] = {}
    for key, value in table.items():
        if isinstance(value, Mapping):
            flat.update({f"{key}_{inner}": v for inner, v in value.items()})
        else:
            flat[key] = value
    return flat


class _BayReader(FileReader):
    """A bay's own tables, beside those that are a row each."""

    def __init__(self, raw: Row, keys: FileKeys, *, format: int, beside: Path) -> None:
        super().__init__(raw, keys, format=format, beside=beside)
        self.folder = beside

    def shop(self) -> Shop:
        """The profile of the file that `shop` names, beside the bay's own."""
        named = self.raw.get("shop")
        if named is None:
            return NO_TOOLS
        if not isinstance(named, str):
            self.problems.append(f'shop = {shown(named)}, must be the name of a shop profile: "shop.toml"')
            return NO_TOOLS
        try:
            return load(self.folder / named)
        except BadFile as error:
            self.problems += [f"shop = {shown(named)}: {problem}" for problem in error.problems]
            return NO_TOOLS

    def top(self, key: str) -> float | None:
        """A length that stands outside all tables, mm; None where it is not given, or wrong."""
        given = self.raw.get(key)
        if given is None:
            return None
        (param,) = (param for param in fields(BayRow) if param.name == key)
        try:
            found = param.from_toml(given, bare=self.bare)
        except InputError as error:
            self.problems += error.problems
            return None
        return found if isinstance(found, float) else None

    def gaps(self) -> dict[str, Gap]:
        found = {}
        for kind, given in self.table("gap").items():
            where = f"gap {row_name(kind, 0)}"
            if not kind.isprintable() or len(kind) > LONGEST_NAME:
                allowed = f"must be one line of at most {LONGEST_NAME} characters"
                self.problems.append(f"{where}: {allowed}: a class of gap")
            elif kind in RENAMED:
                self.problems.append(f"{where}: called {RENAMED[kind]} now, write {RENAMED[kind]} for it")
            elif (row := self.one(Gap, given, where)) is not None:
                found[kind] = row
            else:
                self.refused.add(Gap, kind)
        return found

    def centre_plane(self) -> CentrePlane | None:
        given = self.raw.get("centre_plane")
        return None if given is None else self.one(CentrePlane, given, "centre_plane")

    def holding(self) -> HoldRow | None:
        return self.given("hold", HoldRow) if "hold" in self.raw else None

    def mounts(self) -> tuple[Mount, ...]:
        made = [
            self.one(Mount, _deep(row), f"mount {row_name(row.get('name'), i)}")
            for i, row in enumerate(self.rows("mount"), 1)
        ]
        return tuple(row for row in made if row is not None)

    def bushes(self) -> dict[str, Bush | Bobbin]:
        found: dict[str, Bush | Bobbin] = {}
        for i, row in enumerate(self.rows("bush"), 1):
            made = self.one(BushRow, row, f"bush {row_name(row.get('name'), i)}")
            if made is None:
                continue
            if made.name in found:
                self.problems.append(f"bush {made.name}: there are two of that name, each name once")
            found[made.name] = made.record
        return found

    def parts(self) -> tuple[PartEntry, ...]:
        own = {param.name for param in fields(PartRow)}
        made = []
        for i, raw in enumerate(with_other_hands(self.rows("part")), 1):
            where = f"part {row_name(raw.get('name'), i)}"
            row = self.one(PartRow, {k: v for k, v in raw.items() if k in own}, where)
            if row is not None:
                made.append(PartEntry(row=row, values={k: v for k, v in raw.items() if k not in own}))
        return tuple(made)

    def paths(self) -> tuple[PathEntry, ...]:
        made = []
        for i, raw in enumerate(self.rows("path"), 1):
            where = f"path {row_name(raw.get('name'), i)}"
            row = self.one(PathRow, {k: v for k, v in raw.items() if k != "legs"}, where)
            legs = self.legs(raw.get("legs"), where)
            if row is not None:
                made.append(PathEntry(row=row, legs=legs))
        return tuple(made)

    def load_cases(self) -> tuple[LoadCaseEntry, ...]:
        made = []
        for i, raw in enumerate(self.rows("load_case"), 1):
            where = f"load_case {row_name(raw.get('name'), i)}"
            row = self.one(LoadCaseRow, {k: v for k, v in raw.items() if k != "forces"}, where)
            given = raw.get("forces", [])
            if not isinstance(given, list) or len(given) > MOST_FORCES:
                told = f"{len(given)} entries" if isinstance(given, list) else shown(given)
                self.problems.append(f"{where}: forces = {told}, must be a list of at most {MOST_FORCES} tables")
                given = []
            forces = [self.one(ForceRow, each, f"{where}: force {k}") for k, each in enumerate(given, 1)]
            if row is not None:
                made.append(LoadCaseEntry(row=row, forces=tuple(one for one in forces if one is not None)))
        return tuple(made)

    def legs(self, given: object, where: str) -> tuple[LegRow, ...]:
        """Three numbers are a straight leg, a table with turn, through and axis a turning one."""
        if not isinstance(given, list) or not given:
            self.problems.append(
                f"{where}: legs = {shown(given)}, must be a list of at least one:"
                " [x, y, z] or { turn = deg, through = [x, y, z], axis = [x, y, z] }"
            )
            return ()
        if len(given) > MOST_LEGS:
            self.problems.append(f"{where}: legs = {len(given)} entries, must be {MOST_LEGS} or fewer")
            return ()
        made: list[LegRow | None] = []
        for i, leg in enumerate(given, 1):
            if isinstance(leg, Mapping):
                made.append(self.one(TurnLeg, leg, f"{where}: leg {i}"))
            else:
                made.append(self.one(StraightLegRow, {"by": leg}, f"{where}: leg {i}"))
        return tuple(leg for leg in made if leg is not None)

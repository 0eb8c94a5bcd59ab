"""Table rows of a shop's own, from a TOML file, looked up before the shipped ones. mm."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Any

from brackets.core.errors import BadFile, InputError
from brackets.core.schema.checked import Checked, fields
from brackets.core.schema.file_keys import UNITS, FileKeys, TableKeys
from brackets.core.schema.file_reader import FileReader
from brackets.core.schema.kinds import choice, count, lengths, mm, text
from brackets.core.schema.reading import record_of, values
from brackets.core.schema.rows import Row, called, one_of
from brackets.core.schema.rule import Text
from brackets.core.tables.bolt_rows import BOLTS, Bolt, bolts, metric_thread
from brackets.core.tables.bush_rows import Bobbin, Bush
from brackets.core.tables.bush_table import BUSH_GROUPS, BushRow, bobbins, bushes
from brackets.core.tables.material_rows import Material, MaterialRow, material_of, materials
from brackets.core.tables.stock_rows import Plate, TubeSection, plate, plates, tube, tubes
from brackets.core.text_files import MOST_ROWS, given_toml

FORMAT = 1
"""Format number of a file of own rows."""
SHEET = 3.0
"""mm: flat stock up to here is called sheet, common practice, no source."""
NUTS = ("lock_nut_height", "nylon_nut_height")
"""Sizes of a bolt of which None says that there is no such nut."""
LEFT_OUT = ("like", "screw_lengths", *NUTS)
"""What a row that gives every size of a bolt need not give."""


@dataclass(frozen=True, kw_only=True)
class OwnBolt(Checked):
    """A bolt as it is typed: one `like` which it is but for what is given, or every size."""

    name: Annotated[str, Text(meaning="name of the row", longest=300, least=1)]
    like: Annotated[str | None, Row(table=BOLTS, meaning="bolt that has what is not given here")] = None
    d: Annotated[float | None, mm(1, 100, "nominal diameter")] = None
    pitch: Annotated[float | None, mm(0.1, 10, "pitch of the thread")] = None
    across_flats: Annotated[float | None, mm(0.1, 300, "across the flats of the head")] = None
    head_height: Annotated[float | None, mm(0.1, 300, "height of the head")] = None
    nut_across_flats: Annotated[float | None, mm(0.1, 300, "across the flats of the nut")] = None
    nut_height: Annotated[float | None, mm(0.1, 300, "height of the nut")] = None
    washer_id: Annotated[float | None, mm(0.1, 300, "hole of the washer")] = None
    washer_od: Annotated[float | None, mm(0.1, 300, "outside of the washer")] = None
    washer_t: Annotated[float | None, mm(0.1, 300, "thickness of the washer")] = None
    large_washer_id: Annotated[float | None, mm(0.1, 300, "hole of the large washer")] = None
    large_washer_od: Annotated[float | None, mm(0.1, 300, "outside of the large washer")] = None
    large_washer_t: Annotated[float | None, mm(0.1, 300, "thickness of the large washer")] = None
    hole_fine: Annotated[float | None, mm(0.1, 300, "fine clearance hole")] = None
    hole_medium: Annotated[float | None, mm(0.1, 300, "medium clearance hole")] = None
    hole_coarse: Annotated[float | None, mm(0.1, 300, "coarse clearance hole")] = None
    tap_drill: Annotated[float | None, mm(0.1, 300, "drill of the tapped hole")] = None
    lengths: Annotated[
        tuple[float, ...] | None, lengths(1, 3000, "stock lengths with a shank", at_least=1)
    ] = None
    screw_lengths: Annotated[
        tuple[float, ...] | None,
        lengths(1, 3000, "stock lengths threaded to the head; without them the lengths with a shank", at_least=1),
    ] = None
    lock_nut_height: Annotated[float | None, mm(0.1, 300, "height of the all-metal lock nut")] = None
    nylon_nut_height: Annotated[float | None, mm(0.1, 300, "height of the nylon lock nut")] = None
    source: Annotated[str, text("where the figures are from", longest=300)] = "own row"

    def rules(self) -> Iterator[str]:
        lacking = [p for p in fields(OwnBolt) if getattr(self, p.name) is None and p.name not in LEFT_OUT]
        if self.like is None and lacking:
            yield from (param.missing("without like") for param in lacking)
        else:
            yield from self._size_rules(self.record)

    def _size_rules(self, made: Bolt) -> Iterator[str]:
        if made.minor_d <= 0:
            must = f"must leave metal in a thread of d {made.d:g} mm"
            yield f"pitch = {made.pitch:g} mm, {must}: pitch of the thread"
        for washer in ("washer", "large_washer"):
            hole, outside = getattr(made, f"{washer}_id"), getattr(made, f"{washer}_od")
            if not made.d <= hole < outside:
                must = f"must be over {washer}_id {hole:g} mm, and that at least d {made.d:g}"
                yield f"{washer}_od = {outside:g} mm, {must}: outside of the {washer.replace('_', ' ')}"

    @property
    def record(self) -> Bolt:
        """The bolt that it says; another d or pitch works out the thread and its stress area afresh (ISO 898-1)."""
        given: dict[str, Any] = {name: value for name, value in values(self).items() if value is not None}
        name = given.pop("like", None)
        like = None if name is None else BOLTS.find(name)
        rest = {**dict.fromkeys(NUTS), "screw_lengths": self.lengths, "system": "metric", "series": "own"}
        made: dict[str, Any] = {**(rest if like is None else vars(like)), **given}
        for key in ("lengths", "screw_lengths"):
            made[key] = tuple(sorted(made[key]))
        if like is None or (made["d"], made["pitch"]) != (like.d, like.pitch):
            made |= metric_thread(made["d"], made["pitch"])
        return Bolt(**made)


@dataclass(frozen=True, kw_only=True)
class OwnTube(Checked):
    """A stock tube as it is typed."""

    name: Annotated[str | None, text("name of the row; without it od x wall", longest=300)] = None
    od: Annotated[float, mm(3, 500, "outside diameter")]
    wall: Annotated[float, mm(0.1, 50, "wall")]
    source: Annotated[str, text("where the figures are from", longest=300)] = "own row"

    def rules(self) -> Iterator[str]:
        if self.wall >= self.od / 2:
            yield f"wall = {self.wall:g} mm, must be under {self.od / 2:g} mm, half the od: wall"

    @property
    def record(self) -> TubeSection:
        return record_of(TubeSection, self, name=self.name or f"{self.od:g} x {self.wall:g}")


@dataclass(frozen=True, kw_only=True)
class OwnPlate(Checked):
    """A thickness of flat stock as it is typed."""

    name: Annotated[str | None, text("name of the row; without it the thickness", longest=300)] = None
    t: Annotated[float, mm(0.2, 100, "thickness")]
    form: Annotated[str | None, choice(("sheet", "plate"), "what it is sold as; without it sheet to 3 mm")] = None
    source: Annotated[str, text("where the figures are from", longest=300)] = "own row"

    @property
    def record(self) -> Plate:
        form = self.form or ("sheet" if self.t <= SHEET else "plate")
        return record_of(Plate, self, name=self.name or f"{self.t:g} mm", form=form, system="own")


@dataclass(frozen=True, kw_only=True)
class OwnRows(Checked):
    format: Annotated[int, count(FORMAT, FORMAT, "format of a file of own rows")]
    unit: Annotated[str, choice(UNITS, "unit of bare numbers")] = "mm"


OWN_KEYS = FileKeys(
    kind="rows",
    title="file of own rows",
    top=OwnRows,
    tables=(
        TableKeys(name="bolt", row=OwnBolt, form="rows", about="bolts of your own"),
        TableKeys(name="tube", row=OwnTube, form="rows", about="round tube of your own"),
        TableKeys(name="plate", row=OwnPlate, form="rows", about="flat stock of your own"),
        TableKeys(name="material", row=MaterialRow, form="rows", about="materials of your own"),
        TableKeys(name="bush", row=BushRow, form="rows", about="bushes of your own", groups=BUSH_GROUPS),
    ),
)


AnyRow = OwnBolt | OwnTube | OwnPlate | MaterialRow | BushRow


@dataclass(frozen=True, kw_only=True)
class Tables:
    """Own rows before the shipped ones; the same look-ups as the module's functions."""

    own_bolts: tuple[Bolt, ...] = ()
    own_tubes: tuple[TubeSection, ...] = ()
    own_plates: tuple[Plate, ...] = ()
    own_materials: tuple[Material, ...] = ()
    own_bushes: tuple[Bush, ...] = ()
    own_bobbins: tuple[Bobbin, ...] = ()

    def bolts(self) -> tuple[Bolt, ...]:
        """Own bolts, then the shipped."""
        return self.own_bolts + bolts()

    def tubes(self) -> tuple[TubeSection, ...]:
        """Own tube, then the shipped."""
        return self.own_tubes + tubes()

    def plates(self) -> tuple[Plate, ...]:
        """Own flat stock, then the shipped."""
        return self.own_plates + plates()

    def materials(self) -> tuple[Material, ...]:
        """Own materials, then the shipped."""
        return self.own_materials + materials()

    def bushes(self) -> tuple[Bush, ...]:
        """Own bushes, then the shipped SAMPLE rows."""
        return self.own_bushes + bushes()

    def bobbins(self) -> tuple[Bobbin, ...]:
        """Own bobbins, then the shipped SAMPLE rows."""
        return self.own_bobbins + bobbins()

    def bolt(self, name: str) -> Bolt:
        """The own bolt of this name, else the shipped one; InputError if neither."""
        with BOLTS.own_first(self.own_bolts):
            return BOLTS.find(name)

    def bush(self, name: str) -> Bush:
        """The own bush of this name, else the shipped SAMPLE row; InputError if neither."""
        return one_of("bush", name, self.bushes())

    def bobbin(self, name: str) -> Bobbin:
        """The own bobbin of this name, else the shipped SAMPLE row; InputError if neither."""
        return one_of("bush", name, self.bobbins())

    def material(self, name: str) -> Material:
        """The own material of this name, else the shipped one; InputError if neither."""
        return material_of(name, self.materials())

    def tube(self, od: float | str, wall: float | str) -> TubeSection:
        """The own tube of exactly this od and wall, else the shipped or worked-out one."""
        found = tube(od, wall)
        same = [row for row in self.own_tubes if (row.od, row.wall) == (found.od, found.wall)]
        return same[0] if same else found

    def plate(self, size: float | str) -> Plate:
        """The own plate of this name or thickness, else the shipped one; InputError if neither."""
        mine = called(size, self.own_plates)
        mine = mine or next((row for row in self.own_plates if row.t == size), None)
        return mine or plate(size)


def load_rows(path: str | Path) -> Tables:
    r"""Rows of your own, looked up before the shipped ones, from a TOML file.

    path: of the file, with `format = 1`, `unit` "mm" or "in", and rows of [[bolt]], [[tube]], [[plate]],
    [[material]] and [[bush]]. Returns Tables, with the look-ups `bolt`, `bush`, `bobbin`, `tube`, `plate` and
    `material`, for recipes and scripts of your own; bays have [[bush]] rows themselves. Raises BadFile with every
    wrong key of every row at once.

    >>> from pathlib import Path
    >>> written = Path("mine.toml").write_text("format = 1\n[[bolt]]\nname = 'ours'\nlike = 'M10'\nwasher_od = 30")
    >>> load_rows("mine.toml").bolt("ours").washer_od
    30.0
    """
    file = Path(path)
    try:
        return own_rows(given_toml(file, what="own rows"), source=f"own row, {file.name}")
    except InputError as wrong:
        raise BadFile(file, *wrong.problems) from None


def own_rows(raw: Mapping[str, object], *, source: str = "own row") -> Tables:
    """Own rows from {"format": 1, "bush": [{...}], ...}; InputError with every wrong key at once.

    source: of rows that do not say where their figures are from. A bush may name a bolt of the same file.
    """
    reader = _OwnReader(raw, source)
    own_bolts: tuple[Bolt, ...] = reader.records("bolt", OwnBolt)
    with BOLTS.own_first(own_bolts):
        own_bushes: tuple[Bush | Bobbin, ...] = reader.records("bush", BushRow)
    found = Tables(
        own_bolts=own_bolts,
        own_tubes=reader.records("tube", OwnTube),
        own_plates=reader.records("plate", OwnPlate),
        own_materials=reader.records("material", MaterialRow),
        own_bushes=tuple(row for row in own_bushes if isinstance(row, Bush)),
        own_bobbins=tuple(row for row in own_bushes if isinstance(row, Bobbin)),
    )
    if reader.problems:
        raise InputError(*reader.problems)
    return found


class _OwnReader(FileReader):
    def __init__(self, raw: Mapping[str, object], source: str) -> None:
        super().__init__(raw, OWN_KEYS, format=FORMAT)
        self.source = source

    def rows(self, key: str, *, most: int = MOST_ROWS) -> Sequence[Mapping[str, object]]:
        return [{"source": self.source, **row} for row in super().rows(key, most=most)]

    def records(self, key: str, cls: type[AnyRow]) -> tuple[Any, ...]:
        """What the rows of a table say, each name once."""
        found: list[Any] = []
        for row in self.many(key, cls):
            made = row.record
            if called(made.name, found) is not None:
                self.problems.append(f"{key} {made.name}: there are two of that name, each name once")
            found.append(made)
        return tuple(found)

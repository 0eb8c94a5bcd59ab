"""facts.json: what was made, from which values, and the sha256 of every file beside it; the cut table of tubes.

mm, degrees, kg, under names that say so; a figure that does not apply is null or empty.

Figures carry 12 digits and keys are sorted, so that equal parts give equal bytes.
"""

from __future__ import annotations

import csv
import json
import math
import os
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import asdict, is_dataclass
from hashlib import sha256
from pathlib import Path
from typing import Any, assert_never

from brackets import __version__
from brackets.core.errors import InputError
from brackets.drawing.blank import short_hash
from brackets.forming.cut_rows import CutEnd, CutRow, cut_rows, tubes_of
from brackets.forming.flat_pattern import blank_of, flat_facts
from brackets.model import edges, mass
from brackets.model.kinds import kind_of, known
from brackets.model.part import Part
from brackets.model.piece import CustomPiece, Piece
from brackets.model.plate import Folded, Plate
from brackets.model.tube import BentTube, Tube, Turned
from brackets.model.weld import Weld
from brackets.output.weld_facts import order_records, pull_records


def records(rows: Iterable[CutRow]) -> list[dict[str, Any]]:
    """The rows under the keys of facts.json."""
    return [_record(row) for row in rows]


def write_cut_table(rows: Iterable[CutRow], path: str | os.PathLike[str], *, stops: bool = False) -> None:
    """Writes the rows as CSV, a heading first; the two ends' keys with start_ and end_ before them.

    Where nothing of them may be cut, a first column says so in every row.
    """
    table = _cut_table(rows, stops, _text)
    with Path(path).open("w", newline="", encoding="utf-8") as out:
        sheet = csv.DictWriter(out, list(table[0]), lineterminator="\n")
        sheet.writeheader()
        sheet.writerows(table)


def write_cut_book(rows: Iterable[CutRow], path: str | os.PathLike[str], *, stops: bool = False) -> None:
    """Writes the same table as a workbook, figures as numbers."""
    from brackets.output import workbook

    table = _cut_table(rows, stops, _cell)
    cells = [list(row.values()) for row in table]
    workbook.write([workbook.Table(name="tubes", head=list(table[0]), rows=cells)], Path(path))


def _cut_table(rows: Iterable[CutRow], stops: bool, cell: Callable[[Any], Any]) -> list[dict[str, Any]]:
    told = {"STOP": "do not cut"} if stops else {}
    return [told | _level(record, cell) for record in records(rows)]


def _cell(value: Any) -> Any:
    """A figure rounded as in the CSV, all else in its words."""
    is_figure = isinstance(value, int | float) and not isinstance(value, bool)
    return float(f"{value:z.4f}") if isinstance(value, float) else value if is_figure else _text(value)


def _record(row: CutRow) -> dict[str, Any]:
    return {
        "names": list(row.names),
        "count": row.count,
        "material": row.material,
        "od_mm": row.od,
        "wall_mm": row.wall,
        "long_mm": row.long,
        "node_mm": row.node,
        "clock_deg": row.clock,
        "bends": row.bends,
        "bend_radius_mm": row.bend_r if row.bends else None,
        "mass_kg": row.mass,
        "start": _end(row.start),
        "end": _end(row.end),
    }


def _end(end: CutEnd) -> dict[str, Any]:
    return {
        "meets": end.meets,
        "kind": end.cut,
        "wrap": end.wrap,
        "angle_deg": end.angle,
        "offset_mm": end.offset if end.wrap else None,
        "short_point_deg": end.short if end.wrap else None,
        "long_point_deg": end.long if end.wrap else None,
        "long_point_to_node_mm": end.from_node,
        "inner_lip_mm": end.lip,
    }


def _level(record: Mapping[str, Any], cell: Callable[[Any], Any]) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for key, value in record.items():
        if isinstance(value, Mapping):
            found |= {f"{key}_{inner}": cell(one) for inner, one in value.items()}
        else:
            found[key] = cell(value)
    return found


def _text(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list):
        return " ".join(value)
    return f"{value:z.4f}" if isinstance(value, float) else str(value)


FORMAT = 1
"""Of the file; a script that knows 1 can rely on the keys there are now."""

NAME = "facts.json"
"""What the file is called; a folder that has one of ours is a folder of ours."""

OWN = "own_sha256"
"""Key of the sum of the file's own text without this key: an edited file shows."""

DIGITS = 12
"""Significant digits of a figure: fewer than the last ones, in which machines differ, more than anyone cuts to."""

NOTHING = 1e-12
"""Below this a figure is written 0: what is left of mm, kg and kg mm2 that cancel."""


def of(part: Part) -> dict[str, Any]:
    """Mass, centroid, inertia, pieces (each with its flat), welds and cut table of a part, as the file has them."""
    whole = part.mass
    names = {piece.name: piece for piece in part.pieces}
    return {
        "mass_kg": whole.kg,
        "centroid_mm": whole.centroid.tolist(),
        "inertia_kg_mm2": whole.inertia.tolist(),
        "pieces": [_piece(piece) for piece in part.pieces],
        "welds": [_weld(weld, names[weld.piece]) for weld in part.welds],
        "weld_order": order_records(part),
        "weld_pull": pull_records(part),
        "tubes": records(cut_rows(tubes_of(part), part.welds)),
    }


def write(record: Mapping[str, Any], path: Path | str) -> None:
    """Write `record` to `path`, with the format, the program, and the sha256 of every file that `record["files"]`
    names and of every file that was read (`inputs_sha256`, null where that is not known: see `made_from`).

    The files lie beside `path`; the facts themselves may be named and are left out of the sums. Raises
    InputError where a figure is not finite or a thing cannot be said in JSON, OSError where the disk refuses.
    """
    path = Path(path)
    sums = {name: digest_of(path.parent / name) for name in record.get("files", ()) if name != path.name}
    whole = {**_signed(record), "sha256": sums}
    path.write_bytes(_with_own_sum(whole))


def _with_own_sum(record: Mapping[str, Any]) -> bytes:
    """The text of the record with the sum of its own text under OWN, in its place among the sorted keys: `text`
    takes a tenth of a second for a bay, and this needs it once."""
    plain = text(record)
    after = min((key for key in record if key > OWN), default=None)
    if after is None:
        return text({**record, OWN: sha256(plain).hexdigest()})
    at = plain.index(f'\n  "{after}": '.encode()) + 1
    return plain[:at] + _own_line(sha256(plain).hexdigest()) + plain[at:]


def _own_line(own: str) -> bytes:
    return f'  "{OWN}": "{own}",\n'.encode()


def told(record: Mapping[str, Any]) -> bytes:
    """The facts of a command that writes no file: `record` with the format, the program and `inputs_sha256`."""
    return text(_signed(record))


def _signed(record: Mapping[str, Any]) -> dict[str, Any]:
    made_by = {"name": "brackets", "version": __version__}
    return {"format": FORMAT, **record, "program": made_by, "inputs_sha256": _INPUTS.get()}


@contextmanager
def made_from(files: Iterable[tuple[str, str]]) -> Iterator[None]:
    """While it is open, facts say what they were made from: path and sha256 of each file that is read, its path as
    seen from the folder that all of them lie in. One whose sum was not taken, since it is too large, has null."""
    paths = {Path(name): told if len(told) == SUM else None for name, told in files}
    top = os.path.commonpath([path.parent for path in paths]) if paths else ""
    token = _INPUTS.set({path.relative_to(top).as_posix(): told for path, told in paths.items()})
    try:
        yield
    finally:
        _INPUTS.reset(token)


_INPUTS: ContextVar[Mapping[str, str | None] | None] = ContextVar("inputs of the facts", default=None)

SUM = 64
"""Characters of a sha256 in hexadecimal."""


def listed(folder: Path) -> dict[str, str] | None:
    """sha256 by name of the files in `folder` as we wrote them, its facts.json too; None where that is not ours.

    Of a facts.json that was edited the sum is that of what we wrote, or "" where that is not known.
    """
    path = folder / NAME
    try:
        found = path.read_bytes()
        record = json.loads(found)
        sums = record.get("sha256") if isinstance(record, dict) else None
        if not isinstance(sums, dict) or "format" not in record:
            return None
        intact = _as_written(found, record)
    except (OSError, ValueError, RecursionError):
        return None
    return {**{str(name): str(value) for name, value in sums.items()}, NAME: digest_of(path) if intact else ""}


def _as_written(found: bytes, record: Mapping[str, Any]) -> bool:
    """Whether the bytes of a facts.json, read as `record`, say what we wrote; how they are spaced is no matter."""
    if sha256(found.replace(_own_line(str(record.get(OWN))), b"", 1)).hexdigest() == record.get(OWN):
        return True
    plain = text({key: value for key, value in record.items() if key != OWN})
    return sha256(plain).hexdigest() == record[OWN] if OWN in record else found == plain


def text(record: Mapping[str, Any]) -> bytes:
    """The whole file: JSON in UTF-8, keys sorted, two spaces a level."""
    plain = _plain(record, "facts")
    return (json.dumps(plain, indent=2, sort_keys=True, ensure_ascii=False) + "\n").encode()


def schema() -> dict[str, Any]:
    """JSON Schema (draft 2020-12) of the facts that `make` writes: every key and what it means."""
    found: dict[str, Any] = json.loads(Path(__file__).with_name("facts_schema.json").read_text("utf-8"))
    return found


def digest_of(path: Path) -> str:
    """sha256 of a file, in hexadecimal."""
    return sha256(path.read_bytes()).hexdigest()


def _piece(piece: Piece) -> dict[str, Any]:
    body = mass.of(piece)
    return {
        "name": piece.name,
        "kind": kind_of(piece),
        "material": piece.material,
        "stock": piece.stock,
        "mass_kg": body.kg,
        "volume_mm3": mass.volume(piece),
        "centroid_mm": body.centroid.tolist(),
        "hash": short_hash(piece),
        "flat": _flat(piece),
        "bush_bore": _bush_bore(piece),
    }


def _bush_bore(piece: Piece) -> dict[str, Any] | None:
    """How the bore for a bush is made; None where there is none."""
    bore = piece.bush if isinstance(piece, Turned) else None
    if bore is None:
        return None
    low, high = bore.allowed
    return {
        "now_mm": bore.now,
        "finished_mm": bore.size,
        "least_mm": low,
        "largest_mm": high,
        "tolerance": bore.tolerance,
        "source": bore.source,
        "stock_mm": bore.left,
        "finish": "after welding" if bore.after_welding else "before welding",
        "fit": "slip" if bore.slip else "press",
    }


def _flat(piece: Piece) -> dict[str, Any] | None:
    """The blank; None where there is none, or where it cannot be laid flat (the shop's findings say why)."""
    match known(piece):
        case Folded() | Plate() as piece:
            try:
                return flat_facts(piece, blank_of(piece))
            except InputError:
                return None
        case Tube() | BentTube() | Turned() | CustomPiece():
            return None
        case other:
            assert_never(other)


def _weld(weld: Weld, piece: Piece) -> dict[str, Any]:
    return {
        "piece": weld.piece,
        "onto": weld.onto,
        "leg_mm": weld.leg,
        "sides": weld.sides,
        "length_mm": edges.length(piece, weld.edge),
        "note": weld.note,
        "turn": weld.turn,
    }


def _plain(value: Any, where: str) -> Any:
    """The value as JSON has it: figures rounded, tuples as lists, records as their fields."""
    if value is None or isinstance(value, bool | int | str):
        return value
    if isinstance(value, float):
        if not math.isfinite(value):
            raise InputError(f"{where} = {value}, must be a finite number: a figure of {NAME}")
        return 0.0 if abs(value) < NOTHING else float(f"{value:.{DIGITS}g}")
    if isinstance(value, Mapping):
        return {str(key): _plain(inner, f"{where}.{key}") for key, inner in value.items()}
    if isinstance(value, tuple | list):
        return [_plain(inner, f"{where}[{i}]") for i, inner in enumerate(value)]
    if is_dataclass(value) and not isinstance(value, type):
        return _plain(asdict(value), where)
    raise InputError(f"{where} = {type(value).__name__}, must be text, a number, yes or no, a list or a table")

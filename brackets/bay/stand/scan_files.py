"""Reads a scan from STL, OBJ or PLY: what the file declares is compared with what is found, nothing is lost unsaid.

Corners come in mm; triangles as drawn, none mended or dropped here.
"""

from __future__ import annotations

import io
import logging
import re
import struct
import warnings
from collections.abc import Iterator
from contextlib import contextmanager, redirect_stderr, redirect_stdout
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from brackets.bay.stand.step_files import UNIT_MM, strange
from brackets.clearance.places import Array, Ints
from brackets.core.errors import InputError, OutOfRange

BIGGEST = 500_000_000
"""Bytes of a scan file: ten million triangles, which would take minutes and some GB to prepare."""
UNUSED = 0.01
"""Share of the corners that may belong to no triangle before it is said: half a file has many."""
HEAD, RECORD = 84, 50  # bytes of a binary STL before its triangles, and of each
WENT_WRONG = (
    ValueError, TypeError, KeyError, IndexError, AttributeError, OverflowError, MemoryError, AssertionError,
    NotImplementedError, EOFError, RuntimeError, struct.error,
)  # fmt: skip
"""What the reading library was seen to raise over damaged files."""


@dataclass(frozen=True, eq=False)
class ScanFile:
    """Corners (n, 3) float mm, triangles (m, 3) int, and what is to be said of the file."""

    corners: Array
    triples: Ints
    notes: tuple[str, ...] = ()


def read(path: Path, *, unit: str, named: str) -> ScanFile:
    """The triangles of a scan file, its numbers in `unit`. Raises InputError in lines that begin with `named`."""
    size = path.stat().st_size
    if size > BIGGEST:
        raise OutOfRange(
            f"{named}, has {size / 1e6:.0f} MB, must be {BIGGEST / 1e6:.0f} MB or less: thin it out first"
        )
    data = path.read_bytes()
    reader = {".stl": _stl, ".obj": _obj, ".ply": _ply}[path.suffix.lower()]
    try:
        corners, triples, notes = reader(data, named)
    except InputError:
        raise
    except WENT_WRONG as error:
        kind = path.suffix[1:].upper()
        raise InputError(f"{named}, cannot be read as {kind}: {_first_line(error)}") from None
    if not len(triples):
        raise InputError(f"{named}, has no triangles: a mesh")
    finite = np.isfinite(corners).all(axis=1)
    if not finite.all():
        raise InputError(
            f"{named}, {int((~finite).sum())} of {len(corners)} corners are not finite numbers: the file is damaged"
        )
    used = np.zeros(len(corners), dtype=bool)
    used[triples] = True
    if not notes:
        notes = _idle(int((~used).sum()), len(corners))
    with np.errstate(over="ignore"):
        corners = corners * UNIT_MM[unit]
    said = strange(corners[used].min(axis=0), corners[used].max(axis=0), unit, named=named)
    if said:
        raise InputError(said)
    return ScanFile(corners, triples, notes)


Read = tuple[Array, Ints, tuple[str, ...]]


def _stl(data: bytes, named: str) -> Read:
    declared = struct.unpack_from("<I", data, 80)[0] if len(data) >= HEAD else None
    text = data[:5].lower() == b"solid" and b"\0" not in data[:200]
    if text and (declared is None or len(data) != HEAD + declared * RECORD):
        return _stl_text(data, named)
    if declared is None:
        raise InputError(f"{named}, has no triangles: {len(data)} bytes, a binary STL has {HEAD} or more")
    found, over = divmod(len(data) - HEAD, RECORD)
    if found < declared:
        raise InputError(f"{named}, is cut short: {found} of {declared} triangles declared")
    if found > declared or over:
        raise InputError(f"{named}, goes on for {len(data) - HEAD - declared * RECORD} bytes past the {declared}"
                         " triangles declared: the file is damaged")  # fmt: skip
    kind = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("more", "<u2")])
    corners = np.frombuffer(data, kind, offset=HEAD)["corners"].astype(float).reshape(-1, 3)
    return corners, np.arange(len(corners)).reshape(-1, 3), ()


FACET = b"facet normal . . . outer loop vertex . . . vertex . . . vertex . . . endloop endfacet".split()
"""One facet of a text STL, word by word, a dot for a number."""

LONG = 40  # letters of a number in text


def _stl_text(data: bytes, named: str) -> Read:
    lines = [line for line in data.lower().splitlines() if line.strip()]
    solids, ends = (sum(line.split()[0] == word for line in lines) for word in (b"solid", b"endsolid"))
    words = b" ".join(line for line in lines if line.split()[0] not in (b"solid", b"endsolid")).split()
    facets, over = divmod(len(words), len(FACET))
    rows = [words[i :: len(FACET)] for i in range(len(FACET))]
    good = all(set(row[:facets]) <= {word} for row, word in zip(rows, FACET, strict=True) if word != b".")
    if over or not good or b"\0" in data or any(len(word) > LONG for word in words):
        begun, whole = words.count(b"facet"), words.count(b"endfacet")
        raise InputError(f"{named}, is cut short or damaged: {whole} facets end, {begun} begin, {len(words)} words")
    if ends < solids:
        raise InputError(f"{named}, is cut short: no endsolid after {facets} facets")
    numbers = [np.array(rows[i], dtype=f"S{LONG}").astype(float) for i, word in enumerate(FACET) if word == b"."]
    corners = np.array(numbers[3:]).T.reshape(-1, 3)
    return corners, np.arange(len(corners)).reshape(-1, 3), ()


KEYS = frozenset(
    (
        "v",
        "vt",
        "vn",
        "vp",
        "f",
        "l",
        "p",
        "g",
        "o",
        "s",
        "mg",
        "usemtl",
        "mtllib",
        "usemap",
        "maplib",
        "lod",
        "call",
    )
    + ("cstype", "deg", "bmat", "step", "curv", "curv2", "surf", "parm", "trim", "hole", "scrv", "sp", "end", "con")
    + ("bevel", "c_interp", "d_interp", "shadow_obj", "trace_obj", "ctech", "stech", "csh")
)
"""Words that a line of OBJ may begin with, from memory of the format's description."""


def _obj(data: bytes, named: str) -> Read:
    used, facets, triangles = set[int](), 0, 0
    lines = data.decode("utf-8", errors="replace").splitlines()
    corners = sum(line.split(None, 1)[:1] == ["v"] for line in lines)
    met = 0
    for number, line in enumerate(lines, 1):
        words = line.split("#")[0].split()
        if words and words[0] not in KEYS:
            raise InputError(f"{named}, is damaged: line {number} begins with {words[0][:20]!r}, no word of OBJ")
        if not words or words[0] not in ("v", "f"):
            continue
        if len(words) < 4:
            raise InputError(f"{named}, is cut short or damaged: line {number}, {words[0]}, has not three values")
        if words[0] == "v":
            met += 1
            continue
        facets, triangles = facets + 1, triangles + len(words) - 3
        for word in words[1:]:
            at = re.fullmatch(r"(-?\d{1,12})(/-?\d*){0,2}", word)
            if at is None or not 0 < abs(int(at[1])) <= corners:
                raise InputError(
                    f"{named}, is cut short or damaged: line {number} has corner {word[:20]} of {corners}"
                )
            used.add(int(at[1]) if int(at[1]) > 0 else met + 1 + int(at[1]))
    found = _by_library(data, "obj")
    if len(found[1]) != triangles:
        raise InputError(f"{named}, {len(found[1])} triangles found, {facets} faces declare {triangles}: damaged")
    notes = _idle(corners - len(used), corners) if facets else ()
    if not data.endswith((b"\n", b"\r")):
        notes = (*notes, "its last line does not end: was the file cut short?")
    return (*found, notes)


def _idle(idle: int, corners: int) -> tuple[str, ...]:
    if idle <= UNUSED * corners:
        return ()
    return (f"{idle} of {corners} corners belong to no triangle: was the file cut short?",)


def _ply(data: bytes, named: str) -> Read:
    head, _, rest = data.partition(b"end_header")
    if not data.startswith(b"ply") or not rest:
        raise InputError(f"{named}, is no PLY, or cut short: it has no ply ... end_header")
    elements: list[tuple[str, int, list[list[str]]]] = []
    form = ""
    for line in head.decode("ascii", errors="replace").splitlines():
        words = line.split()
        if words[:1] == ["format"] and len(words) > 1:
            form = words[1]
        elif words[:1] == ["element"] and len(words) > 2:
            if not words[2].isdigit() or len(words[2]) > 12:
                raise InputError(f"{named}, element {words[1]} = {words[2][:20]}, must be a count: damaged")
            elements.append((words[1], int(words[2]), []))
        elif words[:1] == ["property"] and elements:
            elements[-1][2].append(words[1:])
    counts = {name: count for name, count, _ in elements}
    if "tristrips" in counts:
        raise InputError(f"{named}, has its triangles as strips (tristrips): save it with plain faces")
    body = rest.split(b"\n", 1)[1] if b"\n" in rest else b""
    if form == "ascii":
        lines = [line for line in body.splitlines() if line.strip()]
        if len(lines) < sum(counts.values()):
            found = max(0, len(lines) - counts.get("vertex", 0))
            raise InputError(
                f"{named}, is cut short: {len(lines)} of {sum(counts.values())} lines declared,"
                f" {found} of {counts.get('face', 0)} faces"
            )
    else:
        least = sum(count * _least_bytes(properties) for _, count, properties in elements)
        if len(body) < least:
            raise InputError(f"{named}, is cut short: {len(body)} bytes, {least} or more declared")
    corners, triples = _by_library(data, "ply")
    if len(corners) != counts.get("vertex", 0) or len(triples) < counts.get("face", 0):
        raise InputError(
            f"{named}, {len(corners)} of {counts.get('vertex', 0)} corners and {len(triples)} of"
            f" {counts.get('face', 0)} faces declared were found: cut short or damaged"
        )
    if len(triples) and not 0 <= triples.min() <= triples.max() < len(corners):
        raise InputError(f"{named}, a face has corner {triples.max()}, there are {len(corners)}: damaged")
    return corners, triples, ()


BYTES = {"char": 1, "uchar": 1, "short": 2, "ushort": 2, "int": 4, "uint": 4, "float": 4, "double": 8} | {
    "int8": 1, "uint8": 1, "int16": 2, "uint16": 2, "int32": 4, "uint32": 4, "float32": 4, "float64": 8
}  # fmt: skip


def _least_bytes(properties: list[list[str]]) -> int:
    """Bytes that one row takes at least: a list of corners has three."""
    total = 0
    for words in properties:
        if words[0] == "list" and len(words) > 3:
            corners = 3 if words[3] in ("vertex_index", "vertex_indices") else 0
            total += BYTES.get(words[1], 1) + corners * BYTES.get(words[2], 1)
        else:
            total += BYTES.get(words[0], 1)
    return total


def _by_library(data: bytes, kind: str) -> tuple[Array, Ints]:
    import trimesh

    with _quiet():
        found = trimesh.load(io.BytesIO(data), file_type=kind, force="mesh", process=False, skip_materials=True)
    if not isinstance(found, trimesh.Trimesh):
        return np.zeros((0, 3)), np.zeros((0, 3), dtype=np.int64)
    return np.asarray(found.vertices, dtype=float), np.asarray(found.faces, dtype=np.int64)


@contextmanager
def _quiet() -> Iterator[None]:
    """Nothing that the library prints, logs or warns of comes out."""
    log = logging.getLogger("trimesh")
    before, nowhere = log.disabled, io.StringIO()
    log.disabled = True
    try:
        with (
            warnings.catch_warnings(),
            redirect_stdout(nowhere),
            redirect_stderr(nowhere),
            np.errstate(all="ignore"),
        ):
            warnings.simplefilter("ignore")
            yield
    finally:
        log.disabled = before


def _first_line(error: BaseException) -> str:
    lines = str(error).strip().splitlines() or [type(error).__name__]
    return lines[0][:120]

"""Reads foreign STEP files in a process of their own: a damaged one may crash, hang or fill the memory.

Coordinates that cannot be meant are refused with the unit that would make sense.
"""

from __future__ import annotations

import math
import signal
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from hashlib import sha256
from io import BytesIO
from itertools import chain
from pathlib import Path

import numpy as np
from OCP.BinTools import BinTools
from OCP.TopoDS import TopoDS_Shape

from brackets.bay.stand import step_child
from brackets.clearance.places import Array
from brackets.core.errors import InputError, OutOfRange
from brackets.core.kept import has, kept
from brackets.core.recent import Recent
from brackets.core.stamp import Stamp, stamp

UNIT_MM = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4}
MOST = 100_000.0
"""How far from the origin, mm, a keep-out may reach: a hundred metres is no vehicle; beyond it rounding shows."""
LEAST = 1.0
"""The smallest keep-out, mm across: nothing that is scanned or bought is smaller."""
LIKELY = (30.0, 10_000.0)
"""mm across: a bolt to a whole chassis; a unit that brings a file in here is a likely one. Common practice."""


def strange(low: Array, high: Array, unit: str | None, *, named: str) -> str:
    """A line that refuses a box from `low` to `high`, (3,) float each in mm; nothing where it can be meant.

    unit: what the file's numbers were said to be; None where the file says it itself.
    """
    far = max(float(abs(low).max()), float(abs(high).max()))
    across = float(math.dist(low.tolist(), high.tolist()))
    if not far <= MOST:
        return f"{named}, reaches {far:.3g} mm from the origin, must be within {MOST:g} mm: {_hint(across, unit)}"
    if across < LEAST:
        return f"{named}, is {across:.3g} mm across, must be {LEAST:g} mm or more: {_hint(across, unit)}"
    return ""


def _hint(across: float, unit: str | None) -> str:
    if unit is None:
        return "is the unit in the file right?"
    own = across / UNIT_MM[unit]
    likely = [u for u, mm in UNIT_MM.items() if u != unit and LIKELY[0] <= own * mm <= LIKELY[1]]
    if not likely:
        return f"is unit = {unit} right? No unit makes sense of it: is the file damaged?"
    return f"is unit = {unit} right? In {' or '.join(likely)} it would be {own * UNIT_MM[likely[0]]:.4g} mm across"


BIGGEST = 200_000_000
"""Bytes of a STEP file."""
WORK = (8.0, 4.0)
"""Seconds of processor that reading may take: to begin with, and more per MB; some times what whole files took."""
WAIT = 6.0
"""How many times as long by the clock: other work may have the processors."""
ROOM = 1_500_000_000
"""Bytes of memory that reading may take beside the kernel itself."""
KEPT = 32
"""Shapes remembered, so that a bay looked at again does not read its files again."""

WORD = "STEP file"
"""What results are kept as."""

Found = tuple[TopoDS_Shape, tuple[str, ...]]
_READ: Recent[tuple[Path, Stamp, float], Found] = Recent(KEPT)


def read(path: Path, *, named: str, tolerance: float) -> Found:
    """The shape of a STEP file, mm, and what is to be said of it. Raises InputError (`named`, why)."""
    return _READ.made(_key(path, tolerance), lambda: _by_child(path, path.stat().st_size, named, tolerance))


def _key(path: Path, tolerance: float) -> tuple[Path, Stamp, float]:
    return path.resolve(), stamp(path), tolerance


def _by_child(path: Path, size: int, named: str, tolerance: float) -> Found:
    if size > BIGGEST:
        raise OutOfRange(f"{named}, has {size / 1e6:.0f} MB, must be {BIGGEST / 1e6:.0f} MB or less")
    data = path.read_bytes()
    declared, digest = _whole(data, named), sha256(data).hexdigest()
    told, solid = kept(
        WORD, lambda: _told(path, digest, named, tolerance), digest, tolerance, in_memory=False
    )
    *box, faces, valid = told.split()
    low, high = np.array([float(v) for v in box]).reshape(2, 3)
    wrong = strange(low, high, None, named=named)
    if wrong:
        raise InputError(wrong)
    doubts = []
    if int(faces) < declared:
        doubts.append(f"{faces} of {declared} faces declared could be read: is the file damaged?")
    if valid != "1":
        doubts.append("it has faces or edges that do not fit together: is the file damaged?")
    shape = TopoDS_Shape()
    BinTools.Read_s(shape, BytesIO(solid))
    if shape.IsNull():
        raise InputError(f"{named}, has no shape in it")
    return shape, tuple(doubts)


Told = tuple[str, bytes]
"""What the child says of a file, and the shape as it wrote it."""
_TOGETHER: dict[tuple[str, float], Told] = {}
"""By its content and the tolerance, what one child told of each of several files, until that is asked for."""


def read_together(paths: Sequence[Path], tolerance: float) -> None:
    """Reads those of some files that are not known yet in one child, and keeps what it tells until `read` asks.

    A child loads the kernel first, which takes a second; of small files that is most of the work. A file that it
    does not come through, and those after it, are left to `read`, which says what is wrong.
    """
    new: dict[str, Path] = {}
    for path in paths:
        if path.stat().st_size > BIGGEST or _key(path, tolerance) in _READ:
            continue
        digest = sha256(path.read_bytes()).hexdigest()
        if (digest, tolerance) not in _TOGETHER and not has(WORD, digest, tolerance):
            new[digest] = path
    if len(new) < 2:
        return
    with tempfile.TemporaryDirectory(prefix="brackets-") as folder:
        asked = [(path, Path(folder) / f"{number}.brep") for number, path in enumerate(new.values())]
        _child(asked, tolerance)
        for digest, (path, out) in zip(new, asked, strict=True):
            said = out.with_suffix(".txt")
            if out.is_file() and said.is_file() and sha256(path.read_bytes()).hexdigest() == digest:
                _TOGETHER[digest, tolerance] = said.read_text("utf-8"), out.read_bytes()


def _child(asked: Sequence[tuple[Path, Path]], tolerance: float) -> int | None:
    """The status that a child ends with which reads files, each (its path, where its shape is written); None where
    it does not end."""
    each = [_seconds(path) for path, _ in asked]
    words = [(str(path.resolve()), str(out), str(int(most))) for (path, out), most in zip(asked, each, strict=True)]
    try:
        return subprocess.run(
            [sys.executable, "-P", step_child.__file__, str(tolerance), str(ROOM), *chain.from_iterable(words)],
            stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
            timeout=WAIT * sum(each), check=False,
        ).returncode  # fmt: skip
    except subprocess.TimeoutExpired:
        return None


def _seconds(path: Path) -> float:
    """Of processor that reading a file may take."""
    return WORK[0] + WORK[1] * path.stat().st_size / 1e6


def _told(path: Path, digest: str, named: str, tolerance: float) -> Told:
    """What a child says of a file whose sha256 is `digest`. Raises InputError where it ends otherwise: that is
    asked again the next time."""
    known = _TOGETHER.pop((digest, tolerance), None)
    if known is not None:
        return known
    seconds = _seconds(path)
    with tempfile.TemporaryDirectory(prefix="brackets-") as folder:
        out = Path(folder) / "shape.brep"
        status = _child([(path, out)], tolerance)
        if status is None:
            raise InputError(f"{named}, was not read in {WAIT * seconds:.0f} s: damaged or too large")
        said = out.with_suffix(".txt")
        told = said.read_text("utf-8") if said.is_file() else ""
        if status == 3 and told:
            raise InputError(f"{named}, {told}")
        if status != 0:
            raise InputError(f"{named}, {_ended(status, seconds)}")
        if sha256(path.read_bytes()).hexdigest() != digest:
            raise InputError(f"{named}, changed while it was read: start again")
        return told, out.read_bytes()


def _whole(data: bytes, named: str) -> int:
    """How many faces a file declares, once it is seen to begin and end as STEP does."""
    if b"ISO-10303-21" not in data[:1000]:
        raise InputError(f"{named}, cannot be read as STEP: it does not begin with ISO-10303-21")
    if b"END-ISO-10303-21" not in data[-1000:]:
        raise InputError(f"{named}, is cut short: it does not end with END-ISO-10303-21")
    return data.count(b"ADVANCED_FACE")


def _ended(status: int, seconds: float) -> str:
    if status >= 0:
        return f"ended its reader (status {status}): the file is damaged, or takes more than {ROOM / 1e9:g} GB"
    number = -status
    if number == getattr(signal, "SIGXCPU", None) or (number == 9):
        return f"ended its reader after {seconds:.0f} s of work: the file is damaged or too large"
    name = signal.Signals(number).name if number in set(signal.Signals) else ""
    return f"ended its reader (signal {number}{f', {name}' if name else ''}): the file is damaged"

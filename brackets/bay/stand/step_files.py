"""Reads a foreign STEP file in a process of its own: a damaged one may crash, hang or fill the memory.

Coordinates that cannot be meant are refused with the unit that would make sense.
"""

from __future__ import annotations

import math
import signal
import subprocess
import sys
import tempfile
from collections import OrderedDict
from hashlib import sha256
from io import BytesIO
from pathlib import Path

import numpy as np
from OCP.BinTools import BinTools
from OCP.TopoDS import TopoDS_Shape

from brackets.bay.stand import step_child
from brackets.clearance.places import Array
from brackets.core.errors import InputError, OutOfRange
from brackets.core.kept import kept

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

Found = tuple[TopoDS_Shape, tuple[str, ...]]
_READ: OrderedDict[tuple[Path, int, int, float], Found] = OrderedDict()


def read(path: Path, *, named: str, tolerance: float) -> Found:
    """The shape of a STEP file, mm, and what is to be said of it. Raises InputError (`named`, why)."""
    about = path.stat()
    key = path.resolve(), about.st_mtime_ns, about.st_size, tolerance
    if key not in _READ:
        _READ[key] = _by_child(path, about.st_size, named, tolerance)
        if len(_READ) > KEPT:
            _READ.popitem(last=False)
    _READ.move_to_end(key)
    return _READ[key]


def _by_child(path: Path, size: int, named: str, tolerance: float) -> Found:
    if size > BIGGEST:
        raise OutOfRange(f"{named}, has {size / 1e6:.0f} MB, must be {BIGGEST / 1e6:.0f} MB or less")
    data = path.read_bytes()
    declared, digest = _whole(data, named), sha256(data).hexdigest()
    told, solid = kept(
        "STEP file", lambda: _told(path, digest, named, tolerance), digest, tolerance, in_memory=False
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


def _told(path: Path, digest: str, named: str, tolerance: float) -> tuple[str, bytes]:
    """What the child says of a file whose sha256 is `digest`, and the shape as it wrote it. Raises InputError where
    it ends otherwise: that is asked again the next time."""
    size = path.stat().st_size
    seconds = WORK[0] + WORK[1] * size / 1e6
    with tempfile.TemporaryDirectory(prefix="brackets-") as folder:
        out = Path(folder) / "shape.brep"
        words = [str(path.resolve()), str(out), str(tolerance), str(int(seconds)), str(ROOM)]
        try:
            done = subprocess.run(
                [sys.executable, "-P", step_child.__file__, *words],
                stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
                timeout=WAIT * seconds, check=False,
            )  # fmt: skip
        except subprocess.TimeoutExpired:
            raise InputError(f"{named}, was not read in {WAIT * seconds:.0f} s: damaged or too large") from None
        said = out.with_suffix(".txt")
        told = said.read_text("utf-8") if said.is_file() else ""
        if done.returncode == 3 and told:
            raise InputError(f"{named}, {told}")
        if done.returncode != 0:
            raise InputError(f"{named}, {_ended(done.returncode, seconds)}")
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

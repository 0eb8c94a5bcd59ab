"""Reads STEP files in a process of its own, where a damaged one may crash the kernel or never end.

Run as a script, `step_child.py TOLERANCE BYTES FILE.step OUT.brep SECONDS ...`, the last three once for each file;
it loads the kernel and nothing of the package. Of each file that it comes through it has written OUT.brep and, as
the last thing, `.txt` beside it: the box, the faces found, whether they fit together; of one that it refuses a line
in `.txt` alone. It ends with 0, or with 3 where it refused one. What the kernel prints goes nowhere.
"""

from __future__ import annotations

import math
import os
import sys
from pathlib import Path


def limit(seconds: int, room: int) -> None:
    """Ends this process after so much more work, and refuses it more memory than it holds now and `room` bytes.

    The limits are the soft ones, so that they can be set again for the next file.
    """
    try:
        import resource
    except ImportError:  # not on Windows
        return

    def no_more(kind: int, most: int) -> None:
        hard = resource.getrlimit(kind)[1]
        resource.setrlimit(kind, (most if hard == resource.RLIM_INFINITY else min(most, hard), hard))

    used = resource.getrusage(resource.RUSAGE_SELF)
    no_more(resource.RLIMIT_CPU, math.ceil(used.ru_utime + used.ru_stime) + seconds)
    no_more(resource.RLIMIT_CORE, 0)
    try:
        held = int(Path("/proc/self/statm").read_text("ascii").split()[0]) * resource.getpagesize()
        no_more(resource.RLIMIT_AS, held + room)
    except (OSError, ValueError):  # no such file on macOS, where the limit is not kept either
        return


def main(source: str, out: str, tolerance: float) -> int:
    """Reads one file."""
    from OCP.BinTools import BinTools
    from OCP.Bnd import Bnd_Box
    from OCP.BRepBndLib import BRepBndLib
    from OCP.BRepCheck import BRepCheck_Analyzer
    from OCP.BRepMesh import BRepMesh_IncrementalMesh
    from OCP.IFSelect import IFSelect_RetDone
    from OCP.STEPControl import STEPControl_Reader
    from OCP.TopAbs import TopAbs_FACE
    from OCP.TopExp import TopExp
    from OCP.TopTools import TopTools_IndexedMapOfShape

    said = Path(out).with_suffix(".txt")
    reader = STEPControl_Reader()
    if reader.ReadFile(source) != IFSelect_RetDone:
        said.write_text("cannot be read as STEP: the kernel does not know what it says", "utf-8")
        return 3
    reader.TransferRoots()
    if reader.NbShapes() == 0:
        said.write_text("has no shape in it", "utf-8")
        return 3
    shape = reader.OneShape()
    faces = TopTools_IndexedMapOfShape()
    TopExp.MapShapes_s(shape, TopAbs_FACE, faces)
    box = Bnd_Box()
    BRepBndLib.Add_s(shape, box, False)
    if faces.Extent() == 0 or box.IsVoid():
        said.write_text("has no face in it", "utf-8")
        return 3
    valid = BRepCheck_Analyzer(shape).IsValid()
    BinTools.Write_s(shape, out)
    if max(abs(v) for v in box.Get()) < 1e6:  # else it is refused, and cutting it up could take for ever
        BRepMesh_IncrementalMesh(shape, tolerance, False, 0.5, False)  # what crashes here would crash the user
    said.write_text(f"{' '.join(repr(v) for v in box.Get())} {faces.Extent()} {int(valid)}", "utf-8")
    return 0


if __name__ == "__main__":
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)
    os.dup2(nowhere, 2)
    import OCP.STEPControl  # noqa: F401  (what holds memory before the limit)

    tolerance, room, *files = sys.argv[1:]
    ended = 0
    for file, shape, most in zip(files[::3], files[1::3], files[2::3], strict=True):
        limit(int(most), int(room))
        ended = max(ended, main(file, shape, float(tolerance)))
    raise SystemExit(ended)

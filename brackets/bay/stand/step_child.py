"""Reads one STEP file in a process of its own, where a damaged one may crash the kernel or never end.

Run as a script, `step_child.py FILE.step OUT.brep TOLERANCE SECONDS BYTES`; it loads the kernel and nothing of the
package. It ends with 0 and has written OUT.brep and beside it, `.txt`, the box, the faces found, whether they fit
together; or with 3 and a line in `.txt`. What the kernel prints goes nowhere.
"""

from __future__ import annotations

import os
import sys
from pathlib import Path


def limit(seconds: int, room: int) -> None:
    """Ends this process after so much work, and refuses it more memory than it holds now and `room` bytes."""
    try:
        import resource
    except ImportError:  # not on Windows
        return
    resource.setrlimit(resource.RLIMIT_CPU, (seconds, seconds + 1))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    try:
        held = int(Path("/proc/self/statm").read_text("ascii").split()[0]) * resource.getpagesize()
        resource.setrlimit(resource.RLIMIT_AS, (held + room, held + room))
    except (OSError, ValueError):  # no such file on macOS, where the limit is not kept either
        return


def main(source: str, out: str, tolerance: float, seconds: int, room: int) -> int:
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

    limit(seconds, room)
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
    said.write_text(f"{' '.join(repr(v) for v in box.Get())} {faces.Extent()} {int(valid)}", "utf-8")
    if max(abs(v) for v in box.Get()) < 1e6:  # else it is refused, and cutting it up could take for ever
        BRepMesh_IncrementalMesh(shape, tolerance, False, 0.5, False)  # what crashes here would crash the user
    return 0


if __name__ == "__main__":
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)
    os.dup2(nowhere, 2)
    raise SystemExit(main(sys.argv[1], sys.argv[2], float(sys.argv[3]), int(sys.argv[4]), int(sys.argv[5])))

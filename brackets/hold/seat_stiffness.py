"""How stiff a part is at the seats that are loaded, by a frame in space. N/mm, in the part's axes."""

from __future__ import annotations

import numpy as np

from brackets.core.errors import InputError
from brackets.hold.found import Found
from brackets.hold.frame import Frame
from brackets.hold.held import SeatStiffness, vec
from brackets.hold.part_frame import ASSUMED, part_frame
from brackets.hold.part_graph import GROUND, PartGraph
from brackets.hold.part_nodes import PartFrame


def stiffness_at(graph: PartGraph, found: Found) -> tuple[SeatStiffness, ...]:
    """Stiffness at every loaded seat; what no frame can be made of is refused."""
    seats = list(dict.fromkeys(load.seat for load in graph.loads))
    if not any(GROUND in (joint.a, joint.b) and joint.kind != "pin" for joint in graph.joints):
        found.refuse(f"stiffness of {graph.part.name}", "supports, must keep it from turning: held by bushes alone")
        return ()
    try:
        made = part_frame(graph, found, bush_bolts=True)
        frame = Frame(made.nodes, made.members, made.supports)
        return tuple(_at_seat(frame, made, seat) for seat in seats)
    except InputError as error:
        found.refuse(f"stiffness of {graph.part.name}", *error.problems)
        return ()


def _at_seat(frame: Frame, made: PartFrame, seat: str) -> SeatStiffness:
    give = frame.flexibility(made.node_of[(seat, "")])[:3, :3]
    soft, ways = np.linalg.eigh(give)
    x, y, z = (1 / float(give[i, i]) for i in range(3))
    return SeatStiffness(
        seat=seat, along=(x, y, z), least=1 / float(soft[-1]), least_way=vec(ways[:, -1]), assumed=(ASSUMED,)
    )

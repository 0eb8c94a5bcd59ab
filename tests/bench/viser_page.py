"""viser showing a recipe or a bay with one slider: the same build and mesh as ours, no checks. For the bench only.

Of a bay the part is built anew and set where it stands; no rule is asked of it, nothing is measured, and only the
pieces that changed are meshed and sent.
"""

from __future__ import annotations

import os
import subprocess
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from brackets.model.piece import Piece

    Mesh = tuple[str, NDArray[np.float64], NDArray[Any]]
    """Name, corners (n, 3) mm, triangles (m, 3)."""

ROOT = Path(__file__).resolve().parent.parent.parent
COLOUR = (111, 142, 163)
STARTING = 300.0
"""Seconds until it shows something; a bay is built first."""
LARGE = 2.0
"""Of its units: it looks at things of about that size round its origin."""


@contextmanager
def viser_running(target: str, slider: str, part: str = "") -> Iterator[str]:
    """The address of the page; its process is ended after. `part`: of a bay, whose value `slider` is."""
    process = subprocess.Popen(
        [sys.executable, __file__, target, slider, part],
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
        env={**os.environ, "PYTHONPATH": os.pathsep.join([str(ROOT), os.environ.get("PYTHONPATH", "")])},
    )
    assert process.stdout is not None
    late = threading.Timer(STARTING, process.kill)
    late.start()
    try:
        address = next((line for line in process.stdout if line.startswith("http://")), None)
        late.cancel()
        assert address is not None, f"viser shows nothing within {STARTING:g} s"
        yield address.strip()
    finally:
        late.cancel()
        process.kill()
        process.wait()
        process.stdout.close()


def serve(target: str, slider: str, part: str) -> None:
    """Serves until it is killed."""
    import socket
    import time

    import numpy as np
    import viser

    shown = OfBay(target, part, slider) if part else OfRecipe(target, slider)
    low, high, step = shown.slider
    with socket.socket() as door:
        door.bind(("127.0.0.1", 0))
        port = door.getsockname()[1]
    server = viser.ViserServer(host="127.0.0.1", port=port, verbose=False)
    server.scene.configure_default_lights(cast_shadow=False)  # three lights' shadows draw the mesh three times more

    first, everything = shown.value, shown(shown.value)
    ends = np.array([(points.min(axis=0), points.max(axis=0)) for _, points, _ in everything])
    lowest, highest = ends[:, 0].min(axis=0), ends[:, 1].max(axis=0)
    middle, smaller = (lowest + highest) / 2, LARGE / float((highest - lowest).max())

    def show(meshes: list[Mesh]) -> None:
        with server.atomic():  # as ours: nothing is shown by halves
            for name, points, triples in meshes:
                at = ((points - middle) * smaller).astype(np.float32)
                server.scene.add_mesh_simple(name, at, triples, color=COLOUR)

    handle = server.gui.add_slider(slider, min=low, max=high, step=step, initial_value=first)
    handle.on_update(lambda _: show(shown(handle.value)))
    show(everything)
    print(f"http://127.0.0.1:{port}/", flush=True)
    while True:
        time.sleep(3600)


class OfRecipe:
    """The pieces of a recipe's part at a value of the slider."""

    def __init__(self, target: str, slider: str) -> None:
        from brackets.library import recipe as recipe_file

        self.opened, self.name = recipe_file.recipe(target), slider
        param = next(p for p in self.opened.params if p.name == slider)
        self.slider, self.value = param.rule.slider, float(param.default)

    def __call__(self, value: float) -> list[Mesh]:
        from brackets.core.schema.reading import from_texts

        part = self.opened.build(from_texts(self.opened.Params, {self.name: str(value)}))
        return [_of_piece(f"/{piece.name}", piece) for piece in part.pieces]


class OfBay:
    """What is drawn anew when a value of a part of a bay changes: everything at first."""

    def __init__(self, target: str, part: str, slider: str) -> None:
        from brackets.bay.file import read
        from brackets.bay.stand.placed import placed_bay

        self.bay = read(Path(target))
        self.stood = placed_bay(self.bay)
        self.part, self.name = next(one for one in self.stood.parts if one.name == part), slider
        param = next(p for p in self.part.recipe.params if p.name == slider)
        self.slider, self.value = param.rule.slider, float(getattr(self.part.params, slider))
        self.drawn: dict[str, Piece] = {}

    def __call__(self, value: float) -> list[Mesh]:
        from brackets.bay.stand.placed import _place
        from brackets.core.schema.reading import changed
        from brackets.forming.shop import as_made_in

        made = [] if self.drawn else list(self._others())
        name, opened = self.part.name, self.part.recipe
        part = opened.build(changed(self.part.params, **{self.name: value}))
        part = as_made_in(self.bay.shop_of(name), part)
        for piece in part.placed(_place(self.bay, self.bay.part_by_name[name], part, opened)).pieces:
            if self.drawn.get(piece.name) != piece:
                self.drawn[piece.name] = piece
                made.append(_of_piece(f"/{name}/{piece.name}", piece))
        return made

    def _others(self) -> Iterator[Mesh]:
        from cadquery.occ_impl.shapes import Shape

        from brackets.app.preview.render_mesh import LIVE, mesh_of_shape, mesh_of_triangles
        from brackets.bay.schema.keep_out import KeepOut
        from brackets.bay.stand.bodies import placed_keep_out

        for thing in self.stood.contents:
            if isinstance(thing, KeepOut):
                body = placed_keep_out(self.bay, thing)
                if body.core.shape is None:
                    seen = mesh_of_triangles(body.core.mesh.corners, body.core.mesh.triples)
                else:
                    seen = mesh_of_shape(Shape(body.core.shape), deflection=LIVE[0], angle=LIVE[1])
                yield f"/{thing.name}", body.place.points(seen.positions), seen.triples
            elif thing.name != self.part.name:
                yield from (_of_piece(f"/{thing.name}/{piece.name}", piece) for piece in thing.part.pieces)


def _of_piece(name: str, piece: Piece) -> Mesh:
    import numpy as np

    from brackets.app.preview import render_mesh
    from brackets.app.preview.render_mesh import LIVE, mesh_of_shape
    from brackets.kernel.solids import unchecked_shape

    render_mesh._edges = lambda *_: (np.zeros((0, 2, 3)), ())  # it draws none: a fifth of the time to a mesh
    seen = mesh_of_shape(unchecked_shape(piece), deflection=LIVE[0], angle=LIVE[1])
    rows = np.array(piece.place.matrix())
    return name, seen.positions @ rows[:3, :3].T + rows[:3, 3], seen.triples


if __name__ == "__main__":
    serve(*sys.argv[1:4])

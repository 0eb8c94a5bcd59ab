"""viser showing one recipe with one slider: the same build and mesh as ours, no checks. For the bench only."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent.parent
COLOUR = (111, 142, 163)
SMALLER = 0.01
"""It looks at things of a metre or so."""


@contextmanager
def viser_running(target: str, slider: str) -> Iterator[str]:
    """The address of the page; its process is ended after."""
    process = subprocess.Popen(
        [sys.executable, __file__, target, slider],
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
        env={**os.environ, "PYTHONPATH": os.pathsep.join([str(ROOT), os.environ.get("PYTHONPATH", "")])},
    )
    assert process.stdout is not None
    try:
        address = next(line for line in process.stdout if line.startswith("http://"))
        yield address.strip()
    finally:
        process.kill()
        process.wait()
        process.stdout.close()


def serve(target: str, slider: str) -> None:
    """Serves until it is killed."""
    import socket
    import time

    import numpy as np
    import viser

    from brackets.app.preview.render_mesh import LIVE, mesh_of_shape
    from brackets.core.schema.reading import from_texts
    from brackets.kernel.solids import unchecked_shape
    from brackets.library import recipe as recipe_file

    opened = recipe_file.recipe(target)
    param = next(p for p in opened.params if p.name == slider)
    assert param.rule.slider is not None
    low, high, step = param.rule.slider
    with socket.socket() as door:
        door.bind(("127.0.0.1", 0))
        port = door.getsockname()[1]
    server = viser.ViserServer(host="127.0.0.1", port=port, verbose=False)

    def show(value: float) -> None:
        part = opened.build(from_texts(opened.Params, {slider: str(value)}))
        meshes = []
        for piece in part.pieces:
            seen = mesh_of_shape(unchecked_shape(piece), deflection=LIVE[0], angle=LIVE[1])
            rows = np.array(piece.place.matrix())
            points = (seen.positions @ rows[:3, :3].T + rows[:3, 3]) * SMALLER
            meshes.append((f"/{piece.name}", points.astype(np.float32), seen.triples))
        with server.atomic():  # as ours: nothing is shown by halves
            for name, points, triples in meshes:
                server.scene.add_mesh_simple(name, points, triples, color=COLOUR)

    handle = server.gui.add_slider(slider, min=low, max=high, step=step, initial_value=float(param.default))
    handle.on_update(lambda _: show(handle.value))
    show(handle.value)
    print(f"http://127.0.0.1:{port}/", flush=True)
    while True:
        time.sleep(3600)


if __name__ == "__main__":
    serve(*sys.argv[1:3])

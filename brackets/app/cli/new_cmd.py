"""brackets new: a short commented file to start from, which runs as it is."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from brackets.app.cli.trouble import FINE


def new(
    kind: Annotated[str, typer.Argument(metavar="bay|recipe|shop|readings", help="What to start.")],
    file: Annotated[Path, typer.Argument(metavar="FILE", help="Must not be there yet.")],
) -> int:
    """A short commented file to start from, which runs.

    All in it is invented and says so: put your own figures in its place.
    """
    from brackets.app.gallery.starts import write_start

    command = write_start(kind, file)
    print(f"{file}: a {kind} to start from, ALL INVENTED; run it: {command}")
    return FINE

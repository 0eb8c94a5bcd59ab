"""Options that several verbs share, each written once."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

Into = Annotated[Path | None, typer.Option("--into", metavar="DIR", help="Folder for the files; default out/NAME.")]
AsJson = Annotated[bool, typer.Option("--json", help="The same facts as JSON, for scripts.")]
Paper = Annotated[
    str | None, typer.Option("--paper", metavar="A4|A3|Letter", help="Paper of the templates; default the shop's.")
]
ShopFile = Annotated[
    Path | None, typer.Option("--shop", metavar="FILE", help="Your shop profile; the SAMPLE shop otherwise.")
]
Bare = Annotated[str, typer.Option("--bare", metavar="mm|in", help="Unit of numbers written without one.")]

"""Parts and bays shown from a script or in a notebook: the saved page, opened in a browser or in a frame of a cell.

In a notebook the viewer (three.js and our page, two thirds of a megabyte) stands in the cell that showed the first
picture and in no other; every frame takes it from there. Nothing is fetched.
"""

from __future__ import annotations

import base64
import hashlib
import html as markup
import sys
import tempfile
import webbrowser
import zlib
from functools import cache
from importlib import resources
from pathlib import Path
from typing import Any

from brackets.app.preview.bay_source import fitted_picture, placed_picture
from brackets.app.preview.blocks import pack
from brackets.app.preview.offline import page, saved, shell
from brackets.app.preview.recipe_source import cautions_table, findings_table, tables, verdict_keys
from brackets.app.preview.render_mesh import LIVE, SAVED
from brackets.app.preview.scene import Picture
from brackets.bay.fitting import Fit
from brackets.bay.schema.record import Bay
from brackets.bay.stand.placed import unjudged_bay
from brackets.model.part import Part
from brackets.output.folder import replacing, stem
from brackets.output.part_files import Made
from brackets.rules.cautions import of_part
from brackets.rules.part import part_findings

Shows = Part | Made | Bay | Fit
HIGH = 620
"""px of a frame in a notebook."""
NOT_FITTED = "not checked: fit(bay) checks it"


def show(thing: Shows, *, into: str | Path | None = None, browser: bool = True) -> Path:
    """Shows a part or a bay: writes its page, one file that needs no network, and opens it in the browser.

    thing: a `Part`, a `Made` part, a `Bay` as it stands, or a `Fit` with all that was found;
    into: the file to write, ending in .html, by default one in a temporary folder; browser: whether it is opened.
    Returns the file. Raises InputError where there is nothing to show, OSError where it cannot be written.

    >>> tab = Plate(name="tab", t=6, wall=Wall(outline=rectangle(60, 60)))
    >>> show(Part(name="tab", pieces=(tab,)), into="tab.html", browser=False).name
    'tab.html'
    """
    block = block_of(thing)
    if into is None:
        into = Path(tempfile.mkdtemp(prefix="brackets-")) / f"{stem(_name(thing))}.html"
    path = Path(into).resolve()
    with replacing(path) as new:
        new.write_text(page(block), "utf-8")
    if browser:
        webbrowser.open(path.as_uri())
    return path


def html(thing: Shows) -> str:
    """A frame with the picture, for the output of a notebook's cell, with the viewer where no other cell has it."""
    viewer = ""
    if _first():
        viewer = f'<script type="text/plain" data-brackets-viewer="{_key()}">{_viewer()}</script>'
    inside = LOADER.replace("KEY", _key()).replace("<!--data-->", saved(block_of(thing)))
    name = markup.escape(_name(thing))
    frame = f'<iframe title="{name}" style="width:100%;height:{HIGH}px;border:0" srcdoc="{markup.escape(inside)}">'
    return f"{viewer}{frame}</iframe>"


def block_of(thing: Shows) -> bytes:
    """Everything that the page shows of it."""
    match thing:
        case Fit():
            picture, header = fitted_picture(thing, fineness=LIVE)
        case Bay():
            picture, header = placed_picture(unjudged_bay(thing).stood, {}, fineness=LIVE)
            header |= {"stops": False, "verdict": NOT_FITTED}
        case Made():
            picture, header = _of_part(thing.part, thing.name, tables(thing), thing.findings, thing.recipe.doc)
        case Part():
            told = part_findings(thing)
            picture, header = _of_part(thing, thing.name, [cautions_table(of_part(thing))], told, "")
    return pack({"answer": "picture", "seq": 0, **header}, picture.blobs)


def _of_part(
    part: Part, name: str, more: list[dict[str, Any]], told: Any, doc: str
) -> tuple[Picture, dict[str, Any]]:
    found = Picture(SAVED)
    found.add_part(part, thing=name, what="part", side="")
    weight = part.mass
    found.add_mark("centre of mass", weight.centroid, thing=name, side="", kg=float(weight.kg))
    found.tables = [findings_table([(name, one) for one in told]), *more]
    header = found.header(about="recipe", title=name, doc=doc, forms={}, bare="mm", **verdict_keys(told))
    return found, header


def _name(thing: Shows) -> str:
    return thing.bay.name if isinstance(thing, Fit) else thing.name


@cache
def _viewer() -> str:
    return base64.b64encode(zlib.compress(shell().encode(), 9)).decode()


@cache
def _key() -> str:
    return hashlib.sha256(_viewer().encode()).hexdigest()[:16]


_holder: list[str] = []
"""The cell that has the viewer."""


def _first() -> bool:
    """Whether this cell is to have the viewer: the first that shows a picture, also when it is run again; where
    cells have no names, each."""
    cell = _cell()
    if cell and not _holder:
        _holder.append(cell)
    return not cell or _holder == [cell]


def _cell() -> str:
    """What the notebook calls the cell that runs; nothing where it tells no name."""
    ask = getattr(sys.modules.get("IPython"), "get_ipython", lambda: None)()
    parent: Any = getattr(ask, "get_parent", dict)()
    return str(parent.get("metadata", {}).get("cellId", ""))


LOADER = (resources.files("brackets.app.preview") / "page" / "frame.html").read_text("utf-8")
"""What a frame runs: it takes the viewer from the notebook and becomes the page."""

"""The gallery as one page that needs no network: recipes with picture, values, a command; then the keys of files.

It has no script, and its policy lets it fetch nothing.
"""

from __future__ import annotations

import base64
from collections.abc import Callable, Sequence
from html import escape
from importlib import resources
from pathlib import Path
from tempfile import TemporaryDirectory

from brackets import __version__
from brackets.app.cli.rules_view import HEAD, value_rows
from brackets.app.gallery.files import KINDS, STARTS
from brackets.app.preview.blocks import pack
from brackets.app.preview.build import source
from brackets.app.preview.fields import Refused
from brackets.app.preview.offline import policy_hash
from brackets.app.preview.png import write
from brackets.app.preview.render_mesh import LIVE
from brackets.app.preview.shot import Shot
from brackets.core.schema.file_keys import KEY_HEAD, Section
from brackets.core.schema.sizes import Size
from brackets.library.recipe import Recipe, recipe

SIZE = (480, 320)
"""Pixels of a picture: sharp at half that on a fine screen, 30 kB."""


def page(names: Sequence[str], say: Callable[[str], None]) -> str:
    """The text of the page, of these recipes. `say` is told each recipe as it is drawn.

    Raises InputError or BadRecipe where a recipe cannot be made of its defaults.
    """
    style = resources.files("brackets.app.gallery").joinpath("page.css").read_text("utf-8")
    policy = f"default-src 'none'; img-src data:; style-src {policy_hash(style)}; base-uri 'none'"
    found = []
    for name in names:
        say(f"{name}: drawing")
        found.append((recipe(name), picture(name)))
    parts = (
        '<!doctype html>\n<html lang="en"><head><meta charset="utf-8">',
        f'<meta http-equiv="Content-Security-Policy" content="{escape(policy)}">',
        '<meta name="viewport" content="width=device-width, initial-scale=1">',
        f"<title>brackets: recipes and keys</title><style>{style}</style></head><body>",
        _head(found),
        *(_recipe(opened, image) for opened, image in found),
        *(_file(kind) for kind in KINDS),
        "</body></html>\n",
    )
    return "\n".join(parts)


def picture(name: str) -> bytes:
    """A PNG of a recipe as its defaults make it."""
    try:
        drawn, header = source(name, bare="mm").picture({}, fineness=LIVE)
    except Refused as refused:
        raise refused.as_input_error() from None
    block = pack({"answer": "picture", "seq": 0, **header}, drawn.blobs)
    with TemporaryDirectory() as folder:
        path = Path(folder, "picture.png")
        write(block, path, Shot(size=SIZE, axes=False))
        return path.read_bytes()


def command(opened: Recipe) -> str:
    """A command that makes the recipe as it is, with one of its values typed to show how."""
    first = next((p for p in opened.params if isinstance(p.rule, Size) and p.default is not None), None)
    typed = f' {first.option} "{first.to_text(first.default)}"' if first is not None and not first.required else ""
    return f"brackets make {opened.name}{typed}"


def _head(found: Sequence[tuple[Recipe, bytes]]) -> str:
    cards = "".join(
        f'<li><a href="#{escape(opened.name)}"><svg viewBox="0 0 {SIZE[0]} {SIZE[1]}" aria-hidden="true">'
        f'<use href="#picture-{escape(opened.name)}"/></svg><b>{escape(opened.name)}</b></a>'
        f"<span>{escape(_about(opened))}</span></li>"
        for opened, _ in found
    )
    files = " ".join(f'<a href="#file-{kind}">{kind}</a>' for kind in KINDS)
    return (
        "<header><h1>brackets: recipes and keys</h1>"
        f"<p>Version {escape(__version__)}. Every picture is a recipe as its defaults make it; every value is an "
        f"option. Keys of a file: {files}</p></header>"
        f'<ul class="cards">{cards}</ul>'
    )


def _recipe(opened: Recipe, image: bytes) -> str:
    return (
        f'<section id="{escape(opened.name)}"><h2>{escape(opened.name)}</h2>'
        f'<div class="lead">{_image(opened, image)}<div><p>{escape(_about(opened))}</p>'
        f"<p>Make it, with solid, drawings and cut files:</p><pre>{escape(command(opened))}</pre></div></div>"
        f"{_table(HEAD, value_rows(opened))}</section>"
    )


def _about(opened: Recipe) -> str:
    """What a recipe makes, without its own name before it."""
    lead, colon, rest = opened.doc.partition(": ")
    return rest[:1].upper() + rest[1:] if colon and len(lead.split()) < 6 else opened.doc


def _image(opened: Recipe, image: bytes) -> str:
    """The picture, under a name: the card at the top of the page shows the same bytes again."""
    data, (wide, high) = base64.b64encode(image).decode(), SIZE
    return (
        f'<svg viewBox="0 0 {wide} {high}" role="img" aria-label="{escape(opened.name)}">'
        f'<image id="picture-{escape(opened.name)}" width="{wide}" height="{high}" '
        f'href="data:image/png;base64,{data}"/></svg>'
    )


def _file(kind: str) -> str:
    keys = KINDS[kind].keys
    ending, runs = STARTS[kind]
    name = f"my_{kind}{ending}"
    links = " ".join(f'<a href="#{_anchor(kind, t.name)}">{escape(t.name)}</a>' for t in keys.tables)
    lines = f"brackets new {kind} {name}\n{runs.format(file=name)}\nbrackets keys {kind} --json-schema"
    return (
        f'<section id="file-{kind}"><h2>Keys of a {escape(keys.title)}</h2>'
        f"<p>A start that runs, and the schema for an editor:</p><pre>{escape(lines)}</pre>"
        "<p>Lengths are mm; text carries its own unit, such as &quot;1/4in&quot;. A key a.b may stand as b under "
        f"[TABLE.a], or as a = {{ b = .. }}. Examples are from shipped files, which are invented.</p><p>{links}</p>"
        f"{''.join(_section(kind, section) for section in KINDS[kind].sections)}</section>"
    )


def _section(kind: str, section: Section) -> str:
    rows = [key.cells for key in section.keys]
    named = f' id="{_anchor(kind, section.table)}"' if section.table and section.heading.startswith("[") else ""
    return f"<h3{named}><code>{escape(section.heading)}</code> {escape(section.about)}</h3>{_table(KEY_HEAD, rows)}"


def _anchor(kind: str, table: str) -> str:
    return escape(f"{kind}-{table}")


def _table(head: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    """A table whose first column is what is typed."""
    top = "".join(f"<th>{escape(cell)}</th>" for cell in head)
    body = "".join(
        f"<tr><th><code>{escape(row[0])}</code></th>{''.join(f'<td>{escape(cell)}</td>' for cell in row[1:])}</tr>"
        for row in rows
    )
    return f'<div class="wide"><table><thead><tr>{top}</tr></thead><tbody>{body}</tbody></table></div>'

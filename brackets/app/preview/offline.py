"""The files of the page, and one page in one file, to send: it needs no network and changes nothing.

The scripts stand in the page, and its policy names each by its hash: no other may run, and nothing may be fetched.
"""

from __future__ import annotations

import base64
import hashlib
import html
import json
import re
import struct
import zlib
from functools import cache
from importlib import resources
from importlib.metadata import distribution
from typing import Any

from brackets.app.preview.blocks import row, table

SCRIPTS = (
    "bytes.js",
    "element.js",
    "fold.js",
    "changes.js",
    "sharp.js",
    "wide.js",
    "stage.js",
    "rays.js",
    "lines.js",
    "parts.js",
    "section.js",
    "labels.js",
    "snap.js",
    "dimension.js",
    "measure.js",
    "slant.js",
    "pointer.js",
    "bolts.js",
    "paths.js",
    "works.js",
    "grid.js",
    "tables.js",
    "held.js",
    "fields.js",
    "values.js",
    "top.js",
    "engine.js",
    "grip.js",
    "hint.js",
    "sights.js",
    "rocking.js",
    "things.js",
    "tools.js",
    "trouble.js",
    "paper.js",
    "keys.js",
    "wire.js",
    "page.js",
)
"""In the order they are loaded: each uses only what stands before it."""
STYLE = "page.css"
PAGE = "page.html"
KINDS = {"html": "text/html", "js": "text/javascript", "css": "text/css"}


@cache
def own(name: str) -> str:
    """A file of ours."""
    return (resources.files("brackets.app.preview") / "page" / name).read_text("utf-8")


@cache
def three() -> str:
    """three.js r130 (MIT) with orbit controls and wide lines, as one classic script."""
    return (resources.files("jupyter_threejs_sage") / "static" / "r130" / "three.min.js").read_text("utf-8")


@cache
def permission() -> str:
    """The permission text of what a saved page contains, which its licence wants in every copy."""
    text = distribution("jupyter-threejs-sage").read_text("LICENSE")
    if text is None:
        raise FileNotFoundError("the licence of three.js is not in its package: install jupyter-threejs-sage anew")
    return f"This page contains three.js r130. Its permission text:\n\n{text.strip()}\n"


def script(name: str) -> str:
    """A script by the name the page asks for."""
    return three() if name == "three.js" else own(name)


def live_page() -> str:
    """The page with its scripts beside it."""
    tags = "\n".join(f'<script src="{name}"></script>' for name in ("three.js", *SCRIPTS))
    return (
        own(PAGE).replace("<!--style-->", f'<link rel="stylesheet" href="{STYLE}">').replace("<!--scripts-->", tags)
    )


CLOSING = re.compile(r"</script|<!--", re.IGNORECASE)
"""What would end a script inside a page, or change how it is read (HTML standard, script contents)."""


DATA = "<!--data-->"
"""Where in the page its picture stands."""


def page(block: bytes) -> str:
    """The text of the file. Raises ValueError where a script cannot stand in a page."""
    return shell().replace(DATA, saved(block))


def saved(block: bytes) -> str:
    """The picture as it stands in a page."""
    data = base64.b64encode(zlib.compress(_with_values(block), 9)).decode()
    return f'<script type="application/octet-stream" id="saved">{data}</script>'


def shell() -> str:
    """The page without its picture. Raises ValueError where a script cannot stand in a page."""
    scripts = [script(name) for name in ("three.js", *SCRIPTS)]
    for name, text in zip(("three.js", *SCRIPTS), scripts, strict=True):
        if CLOSING.search(text):
            raise ValueError(f"{name} holds what ends a script: it cannot be put into a page")
    style = own(STYLE)
    policy = (
        f"default-src 'none'; script-src {' '.join(map(policy_hash, scripts))}; style-src {policy_hash(style)}; "
        "img-src data: blob:; base-uri 'none'; form-action 'none'"
    )
    parts = {
        "<!--policy-->": f'<meta http-equiv="Content-Security-Policy" content="{html.escape(policy)}">',
        "<!--style-->": f"<style>{style}</style>",
        "<!--permission-->": f'<script type="text/plain" id="permission">{permission()}</script>',
        "<!--scripts-->": "".join(f"<script>{text}</script>\n" for text in scripts),
    }
    whole = own(PAGE)
    for mark, text in parts.items():
        whole = whole.replace(mark, text)
    return whole


def policy_hash(text: str) -> str:
    """A script or style as a policy names it (Content Security Policy, level 2)."""
    return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"


def _with_values(block: bytes) -> bytes:
    """The block with its values as a table in place of a form, since there is nobody to send them to."""
    (size,) = struct.unpack_from("<I", block)
    header: dict[str, Any] = json.loads(block[4 : 4 + size])
    header["tables"] += [_values(part, fields) for part, fields in header["forms"].items()]
    header["forms"] = {}
    text = json.dumps(header, separators=(",", ":"), allow_nan=False).encode()
    text += b" " * (-len(text) % 4)
    return struct.pack("<I", len(text)) + text + block[4 + size :]


def _values(part: str, fields: list[dict[str, Any]]) -> dict[str, Any]:
    things = (part,) if part else ()
    rows = [row((field["name"], field["text"], field["meaning"]), things=things) for field in fields]
    return table(f"values {part}", f"Values {part}".rstrip(), "value|is|what it is", rows)

"""One page in one file, to send: it needs no network, asks for nothing, and changes nothing.

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
from typing import Any

from brackets.app.preview.page_files import PAGE, SCRIPTS, STYLE, own, permission, script
from brackets.app.preview.scene import row, table

CLOSING = re.compile(r"</script|<!--", re.IGNORECASE)
"""What would end a script inside a page, or change how it is read (HTML standard, script contents)."""


def page(block: bytes) -> str:
    """The text of the file. Raises ValueError where a script cannot stand in a page."""
    scripts = [script(name) for name in ("three.js", *SCRIPTS)]
    for name, text in zip(("three.js", *SCRIPTS), scripts, strict=True):
        if CLOSING.search(text):
            raise ValueError(f"{name} holds what ends a script: it cannot be put into a page")
    style = own(STYLE)
    policy = (
        f"default-src 'none'; script-src {' '.join(map(policy_hash, scripts))}; style-src {policy_hash(style)}; "
        "img-src data: blob:; base-uri 'none'; form-action 'none'"
    )
    data = base64.b64encode(zlib.compress(_with_values(block), 9)).decode()
    parts = {
        "<!--policy-->": f'<meta http-equiv="Content-Security-Policy" content="{html.escape(policy)}">',
        "<!--style-->": f"<style>{style}</style>",
        "<!--data-->": f'<script type="application/octet-stream" id="saved">{data}</script>',
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

"""The rows of a family as one page that needs no network: a table that sorts and filters, mass against spare.

Its policy lets it fetch nothing and run nothing but its own script.
"""

from __future__ import annotations

import base64
import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass
from html import escape
from importlib import resources

from brackets.variants.tables import SPARE_OF, Cell, Listing, columns, summary


@dataclass(frozen=True)
class Picture:
    """A picture of a row, PNG, and what a click on it opens, from beside the page."""

    png: bytes
    href: str


def page(rows: Listing, pictures: Mapping[int, Picture] | None = None) -> str:
    """The text of the page; `pictures` by the number of their row."""
    head, cells = columns(rows)
    common = frozenset(rows.common)
    own = [[[f.label, f"{f.piece}: {f.said}"] for f in row.findings if f not in common] for row in rows]
    up, across = _drawn(rows, head, cells)
    drawn = {number: [_uri(one.png), one.href] for number, one in (pictures or {}).items()}
    data = {"head": head, "rows": cells, "findings": own, "up": up, "across": across, "pictures": drawn}
    style, script = _file("page.css"), _file("page.js")
    own_only = f"style-src {_hash(style)}; script-src {_hash(script)}; img-src data:"
    policy = f"default-src 'none'; {own_only}; base-uri 'none'"
    filled = {
        "@policy@": escape(policy),
        "@title@": escape(f"{rows.name}: {len(rows)} rows"),
        "@told@": escape(" ".join(summary(rows))),
        "@every@": _every(rows),
        "@style@": style,
        "@script@": script,
        "@data@": json.dumps(data, ensure_ascii=False, separators=(",", ":")).replace("<", "\\u003c"),
    }
    parts = _file("page.html").split("@")  # every second one is a name; what is put in is not looked through
    return "".join(filled.get(f"@{part}@", part) for part in parts)


def _drawn(rows: Listing, head: tuple[str, ...], cells: list[tuple[Cell, ...]]) -> tuple[str, str]:
    """The columns that are drawn first: spare, or the first value that is a figure, over mass."""
    for name in ("spare", *(name for name in head if name.startswith(SPARE_OF))):
        if len({row[head.index(name)] for row in cells} - {None}) > 1:
            return name, "mass_kg"
    counts = {name: len({row[head.index(name)] for row in cells}) for name in rows.varied
              if any(isinstance(row[head.index(name)], float) for row in cells)}
    return "mass_kg", max(counts, key=lambda name: counts[name], default="row")


def _every(rows: Listing) -> str:
    if not rows.common:
        return ""
    said = "".join(f"<li>{escape(f.label)}: {escape(f.piece)}: {escape(f.said)}</li>" for f in rows.common)
    return f"<p>Of every row:</p><ul>{said}</ul>"


def _file(name: str) -> str:
    return resources.files("brackets.variants").joinpath(name).read_text("utf-8")


def _uri(png: bytes) -> str:
    return f"data:image/png;base64,{base64.b64encode(png).decode()}"


def _hash(text: str) -> str:
    """A style or script as a content security policy names it."""
    return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"

"""The files of the page, and the library that draws in three dimensions, which comes out of its own package."""

from __future__ import annotations

from functools import cache
from importlib import resources
from importlib.metadata import distribution

SCRIPTS = (
    "bytes.js",
    "fold.js",
    "sharp.js",
    "wide.js",
    "stage.js",
    "parts.js",
    "section.js",
    "labels.js",
    "measure.js",
    "tables.js",
    "fields.js",
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

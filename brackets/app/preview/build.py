"""From what was typed to blocks of bytes: the shape first, then the figures beside it and what takes longer, or why
there is none."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator, Mapping
from typing import Any

from brackets.app.preview.bay_source import BaySource
from brackets.app.preview.blocks import pack
from brackets.app.preview.fields import Refused
from brackets.app.preview.recipe_source import RecipeSource
from brackets.app.preview.render_mesh import LIVE, SAVED
from brackets.app.preview.scene import Picture
from brackets.app.preview.write_back import keep

Source = RecipeSource | BaySource


def source(target: str, *, bare: str, printed: bool = False) -> Source:
    """What the target is: a bay file (TOML), or a recipe, `printed`: as its mock-up."""
    if printed:
        from brackets.app.preview.bed_scene import PrintedSource

        return PrintedSource(target, bare=bare)
    return BaySource(target) if target.endswith(".toml") else RecipeSource(target, bare=bare)


def answers(what: Source, request: Mapping[str, Any], newer: Callable[[], bool]) -> Iterator[bytes]:
    """The blocks that answer a request; stops early where a newer one waits.

    A request has seq, typed (part to value to text) and have (keys of meshes that need not be sent).
    """
    seq, have = request["seq"], set(request["have"])
    started = time.perf_counter()
    try:
        picture, header = what.shape(request["typed"], fineness=LIVE)
        watched = [str(path) for path in what.watched()]
        head = {"answer": "picture", "seq": seq, "seconds": _since(started), "watched": watched}
        yield _block(picture, {**head, **header}, have)
        overtaken = newer()  # meanwhile the page draws it
        yield pack({"answer": "figures", "seq": seq, **what.figures()}, {})
        if not overtaken:
            picture, header = what.checks(fineness=LIVE)
            yield _block(picture, {"answer": "checks", "seq": seq, "seconds": _since(started), **header}, have)
            if isinstance(what, RecipeSource) and not newer():
                yield pack({"answer": "limits", "seq": seq, "limits": what.limits(newer)}, {})
    except Refused as refused:
        watched = [str(path) for path in what.watched()]
        yield pack({"answer": "refused", "seq": seq, "watched": watched, **refusal(refused)}, {})


def moved_block(what: Source, request: Mapping[str, Any]) -> bytes:
    """All that `fit` finds, as the answer to a request that was pictured and checked; a notice where it cannot be
    found."""
    assert isinstance(what, BaySource)
    try:
        return pack({"answer": "moved", "seq": request["seq"], **what.moved(request["typed"])}, {})
    except Refused as refused:
        at = [line for fields in refused.fields.values() for line in fields.values()]
        lines = ["not found over the movement:", *at, *refused.lines]
        return pack({"answer": "notice", "seq": request["seq"], "lines": lines}, {})


def kept_block(what: Source, request: Mapping[str, Any]) -> bytes:
    """The answer to a request to keep what was typed."""
    return pack({"answer": "kept", "seq": request["seq"], **keep(what, request["typed"])}, {})


def whole(what: Source, typed: Mapping[str, Mapping[str, str]]) -> bytes:
    """Everything in one block, for a saved page or a picture: a part finely, a bay as on the live page, where a
    tenth of a millimetre is far below a pixel and a fine mesh five times as slow to draw. Raises Refused."""
    if isinstance(what, BaySource):
        picture, header = what.whole(typed, fineness=LIVE)
    else:
        picture, header = what.picture(typed, fineness=SAVED)
        _, more = what.checks(fineness=SAVED)
        header |= {key: more[key] for key in ("stops", "verdict")}
        header["tables"] = [*more["tables"], *header["tables"]]
    return pack({"answer": "picture", "seq": 0, **header}, picture.blobs)


def refusal(refused: Refused) -> dict[str, Any]:
    """Why there is no picture, as keys."""
    return {
        "fields": refused.fields,
        "lines": list(refused.lines),
        "trace": list(refused.trace),
        "forms": refused.forms,
    }


def _block(picture: Picture, header: dict[str, Any], have: set[str]) -> bytes:
    return pack(header, {key: blob for key, blob in picture.blobs.items() if key not in have})


def _since(started: float) -> float:
    return round(time.perf_counter() - started, 4)

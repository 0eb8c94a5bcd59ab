"""brackets cache: where results of earlier runs are kept, how much there is, and dropping it."""

from __future__ import annotations

from typing import Annotated

import typer

from brackets.app.cli.screen import AsJson
from brackets.app.cli.trouble import FINE


def cache(
    clear: Annotated[bool, typer.Option("--clear", help="Drop all that is kept.")] = False, as_json: AsJson = False
) -> int:
    """Where results of earlier runs are kept, and how much.

    What did not change is found there instead of being worked out again. BRACKETS_CACHE names another folder,
    or is "off". Nothing is lost with it but time.
    """
    import json

    from brackets.core import kept

    count, size = kept.amount()
    dropped = kept.clear() if clear else 0
    folder = kept.folder()
    if as_json:
        print(json.dumps({"folder": None if folder is None else str(folder), "results": count - dropped,
                          "bytes": size, "dropped": dropped}, indent=2))  # fmt: skip
    elif folder is None:
        print("nothing is kept: BRACKETS_CACHE is off")
    elif clear:
        print(f"{dropped} results dropped from {folder}")
    else:
        print(f"{count} results, {size / 1e6:.1f} MB, in {folder}")
    return FINE

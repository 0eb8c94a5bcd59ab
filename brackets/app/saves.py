"""Files seen to be saved, whatever editor saves them and however."""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable, Iterable
from pathlib import Path

from brackets.core.stamp import Stamp, stamp

EVERY = 0.3
"""Seconds between looks: a save shows at once to the eye, and nothing is worn out by it."""


async def watch(
    paths: Callable[[], Iterable[Path]],
    saved: Callable[[], Awaitable[None]],
    *,
    every: float = EVERY,
    at_once: bool = False,
) -> None:
    """Calls `saved` after any of the paths changed; runs until cancelled. A path that is new is not a change.

    at_once: calls it once before anything changed; what is saved meanwhile is a change.
    """
    seen: dict[Path, Stamp] = {}
    due = at_once
    while True:
        now = {path: stamp(path) for path in paths()}
        changed = due or any(path in seen and seen[path] != found for path, found in now.items())
        seen, due = now, False
        if changed:
            await saved()
        await asyncio.sleep(every)

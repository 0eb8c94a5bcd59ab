"""What each page is still to be sent: its own queue, so that a page that does not read keeps nobody waiting."""

from __future__ import annotations

import asyncio
from collections.abc import Mapping
from typing import Any

from brackets.app.preview.blocks import Blob, pack

OF_A_PICTURE = frozenset({"picture", "figures", "checks", "limits", "moved", "refused"})
"""Answers that a newer picture makes worthless."""
MOST = 100
"""Answers that wait; a page that let more wait reads nothing."""


class Tab:
    """One page. `has`: keys of the meshes it was sent for the picture it shows."""

    def __init__(self) -> None:
        self.has: set[str] = set()
        self._forms: Mapping[str, Any] = {}
        self._waiting: list[Mapping[str, Any]] = []
        self._more = asyncio.Event()

    def put(self, header: Mapping[str, Any]) -> None:
        """What is to be sent; of pictures that were not sent yet only the newest is kept, of states too."""
        kind = header["answer"]
        gone = OF_A_PICTURE if kind == "picture" else {"state"} if kind == "state" else frozenset[str]()
        self._waiting = [one for one in self._waiting if one["answer"] not in gone][-MOST:]
        self._waiting.append(header)
        self._more.set()

    async def next(self) -> Mapping[str, Any]:
        """The next to be sent, waiting for one."""
        while not self._waiting:
            self._more.clear()
            await self._more.wait()
        return self._waiting.pop(0)

    def packed(self, header: Mapping[str, Any], blobs: Mapping[str, Blob]) -> bytes:
        """The block to be sent now, with the meshes and the forms that this page has not got: None for a form that
        is as it was."""
        used = {item["mesh"] for item in header.get("items", ())}
        fresh = {key: blobs[key] for key in sorted(used - self.has)}
        if "items" in header:
            self.has = used if header["answer"] == "picture" else self.has | used
        if header["answer"] in ("picture", "figures") and "forms" in header:
            was, self._forms = self._forms, header["forms"]
            header = {
                **header,
                "forms": {name: None if was.get(name) == form else form for name, form in self._forms.items()},
            }
        return pack(header, fresh)

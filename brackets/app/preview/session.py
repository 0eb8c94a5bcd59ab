"""What is being looked at: the values typed so far, the last good picture, every tab, and what a page may ask.

The numbers of pictures are the server's, so that two tabs never count apart. All tabs see the same values.
"""

from __future__ import annotations

import asyncio
import json
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Protocol

from brackets.app.preview.process import Builder
from brackets.app.preview.scene import Blob, pack, unpack
from brackets.core.errors import InputError

LONGEST = 4000
"""Characters of one typed value: four hundred points of a list, no more."""


LARGEST = 64 * 1024
"""Bytes of one message: every value of a recipe at once, and no more."""
MOST = 200
"""Values in one message."""


@dataclass(frozen=True)
class Set:
    """Values of `part` ("" for a lone recipe) as typed; None takes the file's or the recipe's own again."""

    part: str
    values: Mapping[str, str | None]


@dataclass(frozen=True)
class Keep:
    """Write what was typed into the file."""


@dataclass(frozen=True)
class Reset:
    """Forget what was typed."""


Message = Set | Keep | Reset


def message(text: str) -> Message:
    """The message in a text. Raises InputError for anything that is not exactly one of the above."""
    try:
        raw = json.loads(text)
    except (ValueError, RecursionError):
        raise InputError("message = not JSON, must be one object: what the page asks for") from None
    if not isinstance(raw, dict):
        raise InputError("message = no object, must be one object: what the page asks for")
    kind = raw.get("do")
    if kind == "keep" and set(raw) == {"do"}:
        return Keep()
    if kind == "reset" and set(raw) == {"do"}:
        return Reset()
    if kind == "set" and set(raw) == {"do", "part", "values"}:
        return _set(raw["part"], raw["values"])
    raise InputError("message = of another shape, must be set, keep or reset: what the page asks for")


def _set(part: object, values: object) -> Set:
    if not isinstance(part, str) or len(part) > LONGEST or not isinstance(values, dict) or len(values) > MOST:
        raise InputError("message = of another shape, must be a part and its values: what the page asks for")
    for name, text in values.items():
        if not name.isidentifier() or not (text is None or (isinstance(text, str) and len(text) <= LONGEST)):
            raise InputError(f"value = of another shape, must be a text of at most {LONGEST} characters: a value")
    return Set(part, dict(values))


LIMIT = 20.0
"""Seconds without an answer after which a recipe is taken to hang."""
BAY_LIMIT = 300.0
"""The same for a bay: its gaps take a minute on a machine that is busy with other things."""
STARTING = 180.0
"""Seconds the solid kernel may take to load before anything is built: half a minute was seen on a busy machine."""


class Tab(Protocol):
    """A page that listens; `has` are the keys of the meshes it was sent for the picture it shows."""

    has: set[str]

    async def tell(self, block: bytes) -> None: ...


class Session:
    """One target, its building processes, and its tabs."""

    def __init__(
        self,
        target: str,
        *,
        bare: str = "mm",
        limit: float | None = None,
        typed: Mapping[str, str] | None = None,
        printed: bool = False,
    ) -> None:
        self.is_bay = target.endswith(".toml")
        self.limit = (BAY_LIMIT if self.is_bay else LIMIT) if limit is None else limit
        self.typed: dict[str, dict[str, str]] = {"": dict(typed)} if typed else {}
        self.seq = 0
        self.tabs: list[Tab] = []
        named = target.endswith((".toml", ".py")) or "/" in target
        self.watched: tuple[Path, ...] = (Path(target).expanduser().resolve(),) if named else ()
        self._blobs: dict[str, Blob] = {}
        self._shown: dict[str, dict[str, Any]] = {}
        self._former: dict[str, dict[str, Any]] = {}
        self._forms: dict[str, Any] = {}
        self._busy = self._ready = False
        self._clock: asyncio.Task[None] | None = None
        self._builder = Builder(target, bare, printed=printed, heard=self._heard, ended=self._crashed)
        self._mover = Builder(target, bare, heard=self._moved, ended=self._mover_crashed)

    @property
    def last_states(self) -> tuple[str, ...]:
        """The kinds of answers that a new tab is shown."""
        return tuple(self._shown)

    async def build(self) -> None:
        """Asks for a picture of the values as they stand; a newer one overtakes it."""
        self.seq += 1
        await self._mover.terminate()
        self._start_clock()
        await self._builder.request(
            {"seq": self.seq, "typed": self.typed, "have": list(self._blobs), "stage": "picture"}
        )
        await self._say({"answer": "state", "typed": self.typed, "busy": self._busy})

    async def open_tab(self, tab: Tab) -> None:
        """A tab is shown all there is."""
        self.tabs.append(tab)
        await tab.tell(pack({"answer": "state", "typed": self.typed, "busy": self._busy, "seq": self.seq}, {}))
        for header in list(self._shown.values()):
            await self._show(tab, header)

    def close_tab(self, tab: Tab) -> None:
        self.tabs.remove(tab)

    async def handle_message(self, message: Message) -> str | None:
        """Does what a tab asks; a sentence where it makes no sense, and then nothing is changed."""
        if isinstance(message, Set):
            known = {field["name"] for field in self._forms.get(message.part, ())}
            strange = sorted(set(message.values) - known)
            if strange or message.part not in self._forms:
                return f"{', '.join(strange) or message.part}: no such value"
            before = self.typed
            texts = {**before.get(message.part, {}), **message.values}
            mine = {name: text for name, text in texts.items() if text is not None}
            self.typed = {part: kept for part, kept in {**before, message.part: mine}.items() if kept}
            if self.typed != before or "refused" in self._shown:
                await self.build()
        elif isinstance(message, Reset):
            self.typed = {}
            await self.build()
        elif isinstance(message, Keep):
            self._start_clock()
            await self._builder.request({"seq": self.seq, "typed": self.typed, "have": [], "stage": "keep"})
        return None

    async def close(self) -> None:
        """Ends the building processes."""
        if self._clock is not None:
            self._clock.cancel()
        await self._builder.terminate()
        await self._mover.terminate()

    async def _heard(self, block: bytes) -> None:
        header, blobs = unpack(block)
        answer = header["answer"]
        if answer == "idle":
            await self._idle(header["seq"])
            return
        self._ready = True
        self._start_clock()
        if answer == "ready":
            return
        self.watched = tuple(Path(p) for p in header.pop("watched", ())) or self.watched
        if answer == "kept":
            if header["done"]:
                self.typed = {}
            await self._say(header)
            return
        if answer == "refused":
            if header["seq"] == self.seq:
                await self._roll_back()
                await self._refused(header)
            return
        self._blobs |= blobs
        if answer == "picture":
            if "checks" in self._shown:
                self._former = {key: kept for key, kept in self._shown.items() if key != "refused"}
            self._shown = {}
            self._forms = header["forms"]
        if answer == "checks":
            self._former = {}
        self._shown[answer] = header
        if answer == "checks" or not self.is_bay:
            self._forget()
        for tab in list(self.tabs):
            await self._show(tab, header)

    async def _roll_back(self) -> None:
        """Puts the last good picture back where the one shown was found wrong by its checks; none where there is
        none."""
        if not self._unchecked():
            return
        nothing = {**self._shown["picture"], **dict.fromkeys(("items", "lines", "marks", "pairs", "tables"), [])}
        self._shown = self._former or {"picture": nothing}
        self._former = {}
        for tab in list(self.tabs):
            for header in list(self._shown.values()):
                await self._show(tab, header)

    def _unchecked(self) -> bool:
        """Whether the newest values are pictured, and what stands in the picture was not checked."""
        picture = self._shown.get("picture")
        return picture is not None and picture["seq"] == self.seq and "checks" not in self._shown

    def _forget(self) -> None:
        """Drops meshes that nothing shows and nothing can put back; only after the checks, which leave out what is
        known to be here."""
        kept = (*self._shown.values(), *self._former.values())
        used = {item["mesh"] for shown in kept for item in shown.get("items", ())}
        self._blobs = {key: blob for key, blob in self._blobs.items() if key in used}

    async def _refused(self, header: dict[str, Any]) -> None:
        self._forms = self._forms or header["forms"]
        self._shown["refused"] = header
        await self._say(header)

    async def _idle(self, seq: int) -> None:
        if seq != self.seq:
            return
        self._stop_clock()
        await self._say({"answer": "state", "typed": self.typed, "busy": False})
        if self.is_bay and "checks" in self._shown and "moved" not in self._shown:
            await self._mover.request({"seq": seq, "typed": self.typed, "have": [], "stage": "moved"})

    async def _moved(self, block: bytes) -> None:
        header, _ = unpack(block)
        if header["answer"] != "moved" or header["seq"] != self.seq:
            return
        self._shown["moved"] = header | {"items": []}
        await self._say(header)

    async def _crashed(self, how: str) -> None:
        self._stop_clock()
        self._ready = False
        await self._stopped(f"the building process ended by itself ({how})")

    async def _mover_crashed(self, how: str) -> None:
        await self._say({"answer": "notice", "lines": [f"the search over the movement ended by itself ({how})"]})

    async def _stopped(self, how: str) -> None:
        line = f"{how}: {'what is shown was not checked' if self._unchecked() else 'the last good shape is kept'}"
        await self._refused(
            {
                "answer": "refused",
                "seq": self.seq,
                "fields": {},
                "lines": [line],
                "trace": [],
                "forms": {},
                "items": [],
            }
        )
        await self._say({"answer": "state", "typed": self.typed, "busy": False})

    async def _late(self) -> None:
        limit = self.limit if self._ready else STARTING
        await asyncio.sleep(limit)
        self._clock = None
        self._busy = self._ready = False
        await self._builder.terminate()
        await self._stopped(f"stopped after {limit:g} s without an answer")

    def _start_clock(self) -> None:
        self._stop_clock()
        self._busy = True
        self._clock = asyncio.create_task(self._late())

    def _stop_clock(self) -> None:
        self._busy = False
        if self._clock is not None:
            self._clock.cancel()
            self._clock = None

    async def _say(self, header: dict[str, Any]) -> None:
        block = pack({"seq": self.seq, **header}, {})
        for tab in list(self.tabs):
            await tab.tell(block)

    async def _show(self, tab: Tab, header: dict[str, Any]) -> None:
        used = {item["mesh"] for item in header.get("items", ())}
        fresh = {key: self._blobs[key] for key in sorted(used - tab.has)}
        tab.has = used if header["answer"] == "picture" else tab.has | used
        await tab.tell(pack(header, fresh))

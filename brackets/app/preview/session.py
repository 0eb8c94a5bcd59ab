"""What is being looked at: the values typed so far, what is shown of them (`shown.py`), and every tab.

The numbers of pictures are the server's, so that two tabs never count apart. All tabs see the same values.
"""

from __future__ import annotations

import asyncio
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from brackets.app.preview.blocks import unpack
from brackets.app.preview.history import History
from brackets.app.preview.messages import FIGURES, PLACE, Back, Keep, Message, Reset, Set, Try, not_written
from brackets.app.preview.process import Builder, Processes
from brackets.app.preview.shown import Shown
from brackets.app.preview.tabs import Tab
from brackets.app.preview.tasks import started
from brackets.app.preview.trier import Trier

LIMIT = 20.0
"""Seconds without an answer after which a recipe is taken to hang."""
BAY_LIMIT = 300.0
"""The same for a bay: its gaps take a minute on a machine that is busy with other things."""
LETS_GO = 2.0
"""Seconds a builder may take to let go of a search that values have overtaken: one call of the kernel."""
STARTING = 180.0
"""Seconds the solid kernel may take to load before anything is built: half a minute was seen on a busy machine."""


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
        self.given: dict[str, dict[str, str]] = {"": dict(typed)} if typed else {}
        self.typed = dict(self.given)
        self.history = History()
        self.name = Path(target).name
        self.wrote = False
        self._keeping: dict[str, dict[str, str]] | None = None
        self.seq = 0
        self.tabs: list[Tab] = []
        named = target.endswith((".toml", ".py")) or "/" in target
        self.watched: tuple[Path, ...] = (Path(target).expanduser().resolve(),) if named else ()
        self.shown = Shown()
        self._busy = self._ready = False
        self._clock: asyncio.Task[None] | None = None
        self._moving = False
        self._freeing: asyncio.Task[None] | None = None
        self._processes = Processes(target, bare, printed=printed)
        self._builder = Builder(self._processes, heard=self._heard, ended=self._crashed)
        self._trier = Trier(self._processes, self._say)

    async def build(self) -> None:
        """Asks for a picture of the values as they stand; a newer one overtakes it."""
        self.seq += 1
        self._processes.work()
        self._start_clock()
        await self._request()
        if self._moving:
            self._moving = False
            self._freeing = started(self._free(), "a builder was not freed")
        self._say_state()

    async def _request(self) -> None:
        """Asks the builder for a picture of the values as they stand."""
        have = self.shown.asked(self.seq)
        await self._builder.request({"seq": self.seq, "typed": self.typed, "have": have, "stage": "picture"})

    async def _free(self) -> None:
        """Ends a builder that does not let go of its search over the movement, once it writes nothing; the next one
        builds instead."""
        await asyncio.sleep(LETS_GO)
        while self._keeping is not None:
            await asyncio.sleep(LETS_GO)
        self._freeing = None
        await self._builder.terminate()
        await self._request()

    def _freed(self) -> bool:
        """The builder has let go, or is gone; whether it was still waited for."""
        freeing, self._freeing = self._freeing, None
        if freeing is not None:
            freeing.cancel()
        return freeing is not None

    def open_tab(self, tab: Tab) -> None:
        """A tab is shown all there is."""
        self.tabs.append(tab)
        tab.put(self._state())
        for header in self.shown.headers:
            tab.put(header)

    def packed(self, tab: Tab, header: Mapping[str, Any]) -> bytes:
        """What a tab's queue gave, as it is sent."""
        return tab.packed(header, self.shown.blobs)

    def _state(self) -> dict[str, Any]:
        back, forward = self.history.steps
        return {
            "answer": "state",
            "typed": self.typed,
            "given": self.given,
            "back": back,
            "forward": forward,
            "busy": self._busy,
            "seq": self.seq,
        }

    def close_tab(self, tab: Tab) -> None:
        self.tabs.remove(tab)

    async def handle_message(self, message: Message) -> str | None:
        """Does what a tab asks; a sentence where it makes no sense, and then nothing is changed."""
        if isinstance(message, Set):
            before = self.typed
            fields = self.shown.forms.get(message.part, ())
            known = {*(field["name"] for field in fields), *before.get(message.part, ())}
            if self.is_bay and message.part == PLACE:
                known = set(FIGURES)
            strange = sorted(set(message.values) - known)
            if strange or not known:
                return f"{', '.join(strange) or message.part}: no such value"
            given = self.given.get(message.part, {})
            texts = {**before.get(message.part, {}), **message.values}
            texts = {name: given.get(name) if text is None else text for name, text in texts.items()}
            mine = {name: text for name, text in texts.items() if text is not None}
            self.typed = {part: kept for part, kept in {**before, message.part: mine}.items() if kept}
            if self.typed != before:
                self.history.left(before, (message.part, *message.values))
            if self.typed != before or self.shown.refused is not None:
                await self.build()
        elif isinstance(message, Reset):
            if self.typed != self.given:
                self.history.left(self.typed, None)
            self.typed = dict(self.given)
            await self.build()
        elif isinstance(message, Back):
            other = self.history.forward(self.typed) if message.again else self.history.back(self.typed)
            if other is not None:
                self.typed = other
                await self.build()
        elif isinstance(message, Keep):
            await self._keep()
        elif isinstance(message, Try):
            if not self.is_bay:
                return "place: of a bay only"
            await self._trier.ask(message, self.typed)
        return None

    async def _keep(self) -> None:
        """Has what was typed written, if it is what is shown."""
        refused = self.shown.refused
        if refused is not None:
            lines = [
                f"{part}: {line}" if part else line
                for part, fields in refused["fields"].items()
                for line in fields.values()
            ]
            why = ["what is typed is not what is shown:", *lines, *refused["lines"]]
            self._say({"answer": "kept", "done": False, "lines": not_written(why, self.typed)})
            return
        self._keeping = self.typed
        await self._builder.request({"seq": self.seq, "typed": self.typed, "have": [], "stage": "keep"})

    async def close(self) -> None:
        """Ends the building processes."""
        if self._clock is not None:
            self._clock.cancel()
        for _ in range(100):  # what is being written is awaited, two seconds at most
            if self._keeping is None:
                break
            await asyncio.sleep(0.02)
        self._freed()
        await asyncio.gather(self._builder.terminate(), self._trier.close(), self._processes.close())

    async def _heard(self, block: bytes) -> None:
        header, blobs = unpack(block)
        answer = header["answer"]
        if answer != "kept":
            self._freed()
        if answer in ("moved", "notice") or header.get("stage") == "moved":
            self._moved(header)
            return
        if answer == "idle":
            await self._idle(header["seq"])
            return
        self._ready = True
        if self._busy:
            self._start_clock()
        if answer == "ready":
            return
        self.watched = tuple(Path(p) for p in header.pop("watched", ())) or self.watched
        if answer == "kept":
            self._kept(header)
            return
        if answer == "refused":
            if header["seq"] == self.seq:
                if self.shown.unchecked(self.seq):
                    for again in self.shown.roll_back():
                        self._say(again)
                self._refused(header)
            return
        if answer == "picture":
            self.shown.picture(header, blobs)
        else:
            self.shown.add(header, blobs)
        if answer == "checks" or not self.is_bay:
            self.shown.forget()
        self._say(header)

    def _kept(self, header: dict[str, Any]) -> None:
        """What was written stands in the file, and is typed no more; what was typed since still is."""
        wrote = self._keeping or {}
        self._keeping = None
        if header["done"]:
            self.wrote = True
            self.history.forget()
            left = {
                part: {name: text for name, text in row.items() if wrote.get(part, {}).get(name) != text}
                for part, row in self.typed.items()
            }
            self.typed = {part: row for part, row in left.items() if row}
            self._say_state()
        self._say(header)

    def _refused(self, header: dict[str, Any]) -> None:
        self.shown.refuse(header)
        self._say(header)

    async def _idle(self, seq: int) -> None:
        self.shown.answered(seq)
        if "checks" in self.shown.kinds or not self.is_bay:
            self.shown.forget()
        if seq != self.seq:
            return
        self._stop_clock()
        self._say_state()
        if self.is_bay and "checks" in self.shown.kinds and not {"moved", "refused"} & {*self.shown.kinds}:
            self._moving = True
            await self._builder.request({"seq": seq, "typed": self.typed, "have": [], "stage": "moved"})
        else:
            self._processes.rest()

    def _moved(self, header: dict[str, Any]) -> None:
        """What the search over the movement has to say."""
        if header["seq"] != self.seq:
            return
        if header["answer"] == "idle":
            self._moving = False
            self._processes.rest()
            return
        if header["answer"] == "moved":
            self.shown.add(header)
        self._say(header)

    async def _crashed(self, how: str) -> None:
        ended = f"the building process ended by itself ({how})"
        if self._moving:
            self._moving = False
            self._not_kept(ended)
            self._say({"answer": "notice", "lines": [f"the search over the movement ended by itself ({how})"]})
            self._processes.rest()
            return
        if self._freed():  # what ended was still at the search of the values before
            self._not_kept(ended)
            await self._request()
            return
        self._stop_clock()
        self._ready = False
        self._stopped(ended)

    def _not_kept(self, how: str) -> None:
        """Says of what was being written, if anything was, that the process that did it is gone."""
        if self._keeping is not None:
            self._keeping = None
            lines = [f"It is not known whether anything was written: look into {self.name}.", how]
            self._say({"answer": "kept", "done": False, "lines": lines})

    def _stopped(self, how: str) -> None:
        self._not_kept(how)
        why: dict[str, Any] = {"fields": {}, "lines": [how], "trace": [], "forms": {}}
        unchecked = self.shown.unchecked(self.seq)
        self._refused({"answer": "refused", "seq": self.seq, "unchecked": unchecked, **why})
        self._say_state()
        self._processes.rest()

    async def _late(self) -> None:
        limit = self.limit if self._ready else STARTING
        await asyncio.sleep(limit)
        self._clock = None
        self._busy = self._ready = False
        await self._builder.terminate()
        self._stopped(f"stopped after {limit:g} s without an answer")

    def _start_clock(self) -> None:
        self._stop_clock()
        self._busy = True
        self._clock = started(self._late(), "a builder was not stopped")

    def _stop_clock(self) -> None:
        self._busy = False
        if self._clock is not None:
            self._clock.cancel()
            self._clock = None

    def _say(self, header: dict[str, Any]) -> None:
        for tab in self.tabs:
            tab.put({"seq": self.seq, **header})

    def _say_state(self) -> None:
        self._say(self._state())

"""The engine tried elsewhere, as the server sees it: a process of its own that is asked for the gaps at a place.

Apart from the builder, which may be at its checks for seconds: the hand that moves the engine waits for neither.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from brackets.app.preview.blocks import unpack
from brackets.app.preview.messages import PLACE, Try
from brackets.app.preview.process import Builder, Processes

TOLD = ("trial", "best", "searching")
"""The answers that the tabs are told."""


class Trier:
    """Tries places of the engine of a bay; `say` tells every tab what was found."""

    def __init__(self, processes: Processes, say: Callable[[dict[str, Any]], None]) -> None:
        self._say = say
        self._process = Builder(processes, heard=self._heard, ended=self._crashed)

    async def ask(self, message: Try, typed: Mapping[str, Mapping[str, str]]) -> None:
        """Asks for what is at a place, or for the best one from there, with the parts as they are `typed`."""
        values = {part: texts for part, texts in typed.items() if part != PLACE}
        stage = "best" if message.best else "trial"
        await self._process.request(
            {"seq": 0, "stage": stage, "place": dict(message.place), "of": message.of, "typed": values}
        )

    async def close(self) -> None:
        """Ends the process."""
        await self._process.terminate()

    async def _heard(self, block: bytes) -> None:
        header, _ = unpack(block)
        if header["answer"] in TOLD:
            self._say(header)

    async def _crashed(self, how: str) -> None:
        self._say({"answer": "trial", "of": "", "wrong": {}, "lines": [f"the engine was not measured ({how})"]})

"""The bay of a file, read again only where the file says something else: at every step of a slider it is the same,
and reading it is a tenth of the time to a shape."""

from __future__ import annotations

from pathlib import Path

from brackets.bay.file import read
from brackets.bay.schema.record import Bay
from brackets.core.text_files import given_text
from brackets.forming.shop import NO_TOOLS


class LastBay:
    """A bay file and what it said when it was last read."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self._text: str | None = None
        self._bay: Bay | None = None

    def read(self) -> Bay:
        """The bay as its file has it now: the same object where nothing of it changed. Raises BadFile."""
        text = self._now()
        if self._bay is None or text != self._text:
            bay = read(self.path)
            whole = _says_all(text, bay) and self._now() == text  # not written meanwhile
            self._text, self._bay = (text, bay) if whole else (None, None)
            return bay
        return self._bay

    def _now(self) -> str:
        return given_text(self.path, what="a bay file (TOML)")


def _says_all(text: str, bay: Bay) -> bool:
    """Whether nothing is read from other files, "@list.csv" or a shop's: they change while the text does not."""
    return "@" not in text and bay.shop is NO_TOOLS

"""What the pages are shown: the answers of the newest values, the last good ones behind them, their meshes.

A picture comes before its checks. Until these have come, what was shown before it is kept to be put back.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from brackets.app.preview.blocks import Blob

Header = dict[str, Any]
EMPTY = ("items", "lines", "marks", "pairs", "tables")
"""What a picture is shown without where nothing good was there before it."""


class Shown:
    """Headers of answers by their kind, with the meshes that they name."""

    def __init__(self) -> None:
        self.blobs: dict[str, Blob] = {}
        self.forms: dict[str, Any] = {}
        self._answers: dict[str, Header] = {}
        self._former: dict[str, Header] = {}
        self._promised: dict[int, frozenset[str]] = {}

    @property
    def kinds(self) -> tuple[str, ...]:
        """The kinds of answers that a new page is shown."""
        return tuple(self._answers)

    @property
    def headers(self) -> tuple[Header, ...]:
        """What a new page is shown, in order."""
        return tuple(self._answers.values())

    @property
    def refused(self) -> Header | None:
        """Why the newest values are not shown; None where they are."""
        return self._answers.get("refused")

    def asked(self, seq: int) -> list[str]:
        """The meshes that the answers to request `seq` may leave out, which are all that are here."""
        self._promised[seq] = frozenset(self.blobs)
        return list(self.blobs)

    def picture(self, header: Header, blobs: Mapping[str, Blob]) -> None:
        """A new picture, not checked yet."""
        if "checks" in self._answers:
            self._former = {kind: kept for kind, kept in self._answers.items() if kind != "refused"}
        self._answers = {}
        self.add(header, blobs)

    def add(self, header: Header, blobs: Mapping[str, Blob] | None = None) -> None:
        """What more is said of the picture."""
        self.blobs |= blobs or {}
        self.forms = header.get("forms", self.forms)
        if header["answer"] == "checks":
            self._former = {}
        self._answers[header["answer"]] = header

    def refuse(self, header: Header) -> None:
        """Why the newest values are not shown."""
        self.forms = self.forms or header["forms"]
        self._answers["refused"] = header

    def unchecked(self, seq: int) -> bool:
        """Whether what is shown is the picture of request `seq`, and it was not checked."""
        picture = self._answers.get("picture")
        return picture is not None and picture["seq"] == seq and "checks" not in self._answers

    def roll_back(self) -> tuple[Header, ...]:
        """What is shown again in place of a picture that its checks found wrong: the last good one, an empty one
        where there is none."""
        all_said = {**self._answers.get("figures", {}), **self._answers["picture"]}
        nothing = {**all_said, **{key: [] for key in EMPTY}}
        self._answers, self._former = self._former or {"picture": nothing}, {}
        return self.headers

    def answered(self, seq: int) -> None:
        """All answers to the requests up to `seq` have come."""
        self._promised = {asked: keys for asked, keys in self._promised.items() if asked > seq}

    def forget(self) -> None:
        """Drops meshes that nothing shows, nothing can put back and no answer still to come leaves out, which are
        those that were here when it was asked for; only after the checks, which leave them out too."""
        kept = (*self._answers.values(), *self._former.values())
        used = {item["mesh"] for shown in kept for item in shown.get("items", ())}
        used = used.union(*self._promised.values())
        self.blobs = {key: blob for key, blob in self.blobs.items() if key in used}

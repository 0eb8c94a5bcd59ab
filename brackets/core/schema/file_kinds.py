"""What kind of file somebody gave where another kind is read, told by its top keys."""

from __future__ import annotations

from collections.abc import Iterable

KINDS = {
    "bay file": (("boss", "keep_out", "lump", "mount", "powertrain"), "brackets fit reads it"),
    "shop profile": (("brake", "die", "printer", "sheet", "welding"), "--shop takes it, or shop of a bay file"),
    "readings file": (("hole", "pattern", "reading", "tool", "weighing"), "brackets measure reads it"),
    "family file": (("row", "rows", "skip", "tied", "vary"), "brackets family reads it"),
}
"""Of each kind keys that no other kind has, and what reads it."""


def mistaken(keys: Iterable[str], wanted: str) -> str:
    """What is said of a file of the kind `wanted` whose top keys are rather another kind's; "" where they are not.

    One key alone may be a slip, so that it takes two of another kind, and fewer of its own.

    >>> mistaken(["format", "keep_out", "mount", "gap"], "readings file")
    'is a bay file by its keys keep_out, mount, must be a readings file; brackets fit reads it'
    """
    given = list(keys)
    found = {kind: [key for key in given if key in telling] for kind, (telling, _) in KINDS.items()}
    likely = max(found, key=lambda kind: len(found[kind]))
    if likely == wanted or len(found[likely]) < 2 or len(found[likely]) <= len(found.get(wanted, ())):
        return ""
    by = ", ".join(found[likely])
    return f"is a {likely} by its keys {by}, must be a {wanted}; {KINDS[likely][1]}"

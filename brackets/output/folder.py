"""Results that are there whole or not at all: a folder that keeps what is not ours, one file; plain file names.

A folder is filled beside its name and swapped in at the end: whatever stops the work, the folder of last time
stays. Ours are the files that the folder's facts.json lists with the sha256 they have; every other file is
carried over.
"""

from __future__ import annotations

import errno
import logging
import os
import re
import secrets
import shutil
import sys
import unicodedata
from collections.abc import Iterable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from brackets.core.errors import InputError
from brackets.output import facts

DEVICES = frozenset(
    ("con", "prn", "aux", "nul", *(f"{port}{n}" for port in ("com", "lpt") for n in range(10))),
)
"""Names that are devices on Windows, whatever ending follows: Microsoft, "Naming Files, Paths, and Namespaces"."""

LONGEST = 80
"""Characters of a stem: room for a number and an ending under the 143 that encrypted folders leave of 255."""


LONGEST_BYTES = 120
"""Of the name of a folder of results, which may have letters of several bytes."""


def stem(name: str) -> str:
    """`name` in ASCII letters, digits and `_.+-`; never empty, hidden, an option, a device or a path.

    >>> stem("../evil"), stem("CON"), stem("a:b")
    ('evil', 'CON_', 'a-b')
    """
    return _plain(re.sub(r"[^A-Za-z0-9_.+-]", "-", name)[:LONGEST])


def _plain(written: str) -> str:
    plain = written.lstrip(".-").rstrip(".")
    if plain.split(".")[0].lower() in DEVICES:
        first, dot, rest = plain.partition(".")
        plain = f"{first}_{dot}{rest}"
    return plain or "part"


def unique_stems(names: Iterable[str], taken: set[str]) -> tuple[str, ...]:
    """A stem for each name; where a disk that knows no capitals would take two for one, the later gets a number.

    `taken` are stems in small letters that are in use; the new ones are added to it.
    """
    found = []
    for name in names:
        wanted = stem(name)
        number, tried = 1, wanted
        while tried.lower() in taken:
            number += 1
            tried = f"{wanted}-{number}"
        taken.add(tried.lower())
        found.append(tried)
    return tuple(found)


def result_folder(name: str, kind: str = "") -> Path:
    """Where results go unless a folder is typed: `out` and a name, with what they are of.

    name: of a recipe, a part or a file without its ending: letters and digits of any script stay, since two files
    whose results went into one folder would take them from each other; kind: what a command makes beside the thing
    itself.

    >>> result_folder("mein hof", "mockup").parts
    ('out', 'mein-hof_mockup')
    """
    written = unicodedata.normalize("NFC", name)
    letters = (c if c in "_.+-" or unicodedata.category(c)[0] in "LNM" else "-" for c in written)
    cut = "".join(letters)[:LONGEST].encode()[:LONGEST_BYTES].decode(errors="ignore")
    return Path("out", f"{_plain(cut)}_{kind}" if kind else _plain(cut))


STILL_ACTIVE = 259
"""Exit status of a process that has not ended: Windows API, GetExitCodeProcess."""

QUERY = 0x1000
"""PROCESS_QUERY_LIMITED_INFORMATION: Windows API, process security and access rights."""


def running(pid: int) -> bool:
    """Whether a process with this number runs; it may be a later one that got the same number."""
    if sys.platform == "win32":
        return _on_windows(pid)
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    except (PermissionError, OverflowError):
        return True
    return True


def _on_windows(pid: int) -> bool:
    """`running` on Windows, where os.kill with signal 0 would end the process."""
    import ctypes

    kernel = ctypes.windll.kernel32  # type: ignore[attr-defined]
    handle = kernel.OpenProcess(QUERY, False, pid)
    if not handle:
        return False
    status = ctypes.c_ulong()
    known = kernel.GetExitCodeProcess(handle, ctypes.byref(status))
    kernel.CloseHandle(handle)
    return not known or status.value == STILL_ACTIVE


NO_ROOM = (errno.ENOSPC, errno.EDQUOT)
"""The system's words for a full disk, which come without a file's name."""

LOG = logging.getLogger(__name__)
"""Told, as a warning, of every file that had to change its name, and of what a killed run left."""


@contextmanager
def fresh(path: Path | str) -> Iterator[Path]:
    """An empty folder to fill; it becomes `path` when the block ends, and vanishes when the block fails.

    Files of the user's own in a folder of that name stay in it; a file of ours that was edited, or a name that is
    now needed for one of ours, is set aside as "NAME (yours).EXT" and named in the log. A folder that is neither
    empty nor has a facts.json of ours is refused (InputError). What a killed run left is put right first. Raises
    OSError, under the name `path`, where the disk is full or refuses.
    """
    target = Path(path).resolve()
    recover(target)
    refuse_foreign(target)
    token = f"{os.getpid()}-{secrets.token_hex(6)}"
    new = _beside(target, "new", token)
    made: list[Path] = []
    try:
        made += _made_above(target)
        new.mkdir()
        yield new
        aside = _carry_over(target, new)
        _swap(new, target, _beside(target, "old", token))
        for was, name in aside:
            LOG.warning("%s: your %s is kept as %s", path, was, name)
    except OSError as error:
        if error.errno in NO_ROOM or str(error.filename).startswith(str(new)):
            raise OSError(error.errno, error.strerror, str(path)) from error
        raise
    finally:
        shutil.rmtree(new, ignore_errors=True)
        if not target.exists():
            for folder in reversed(made):
                with suppress(OSError):
                    folder.rmdir()


def _made_above(target: Path) -> list[Path]:
    """The folders above `target` that were not there and are now, outermost first."""
    missing = [folder for folder in target.parents if not folder.exists()]
    target.parent.mkdir(parents=True, exist_ok=True)
    return missing[::-1]


def recover(target: Path) -> None:
    """Put right what runs that were killed left beside `target`: the last whole folder stands there afterwards."""
    pattern = re.compile(re.escape(f".{target.name}.") + r"(new|old)-((\d+)-[0-9a-f]{12})")
    if not target.parent.is_dir():
        return
    left = {
        (found[1], found[2]): entry
        for entry in sorted(target.parent.iterdir())
        if (found := pattern.fullmatch(entry.name)) and not running(int(found[3]))
    }
    for (what, token), entry in left.items():
        unfinished = ("new", token) in left
        if what == "old" and unfinished and not target.exists():
            entry.rename(target)
        elif what == "old" and unfinished:
            kept = _free_name(entry.with_name(f"{target.name} (earlier)"))
            entry.rename(kept)
            LOG.warning("%s: what stood there before a run that was killed is kept as %s", target, kept.name)
    for entry in left.values():
        shutil.rmtree(entry, ignore_errors=True)


def refuse_foreign(path: Path) -> None:
    """InputError where `path` is a file, or a folder of somebody else's; to be asked before long work."""
    target = path.resolve()
    if target.is_dir():
        if any(target.iterdir()) and facts.listed(target) is None:
            raise InputError(
                f"folder = {target}, must be new, empty or written by this program: "
                f"it has no {facts.NAME} of ours, so what is in it is left alone"
            )
    elif target.exists():
        raise InputError(f"folder = {target}, must be a folder: it is a file")


def _carry_over(target: Path, new: Path) -> list[tuple[str, str]]:
    """Link into `new` whatever in `target` is not as we wrote it; what got another name, as (name, new name).

    Links need no room and leave `target` whole until it is swapped; a disk that knows none copies.
    """
    sums = facts.listed(target) if target.is_dir() else None
    if sums is None:
        return []
    shutil.copymode(target, new)
    aside = []
    for entry in sorted(target.iterdir()):
        listed = entry.name in sums
        if listed and entry.is_file() and not entry.is_symlink() and facts.digest_of(entry) == sums[entry.name]:
            continue
        taken = listed or any(entry.name.casefold() == name.casefold() for name in os.listdir(new))
        to = _free_name(new / f"{entry.stem} (yours){entry.suffix}") if taken else new / entry.name
        if entry.is_dir() and not entry.is_symlink():
            shutil.copytree(entry, to, symlinks=True, copy_function=_link)
        else:
            _link(entry, to)
        if taken:
            aside.append((entry.name, to.name))
    return aside


def _link(entry: Path | str, to: Path | str) -> None:
    try:
        os.link(entry, to, follow_symlinks=False)
    except (OSError, NotImplementedError):
        shutil.copy2(entry, to, follow_symlinks=False)


def _swap(new: Path, target: Path, old: Path) -> None:
    """Put `new` in the place of `target`; the old one comes back if that fails."""
    if not target.exists():
        new.rename(target)
        return
    try:
        target.rename(old)
        new.rename(target)
    finally:
        if old.exists() and not target.exists():
            old.rename(target)
        shutil.rmtree(old, ignore_errors=True)


def _beside(target: Path, what: str, token: str) -> Path:
    """A hidden name beside `target` that says which process it is of."""
    return target.with_name(f".{target.name}.{what}-{token}")


def _free_name(path: Path) -> Path:
    """`path`, or the first of "STEM 2.EXT", "STEM 3.EXT" that nobody has."""
    number, tried = 1, path
    while os.path.lexists(tried):
        number += 1
        tried = path.with_name(f"{path.stem} {number}{path.suffix}")
    return tried


@contextmanager
def replacing(path: Path) -> Iterator[Path]:
    """A name beside `path` to write to; the file takes its place when the block ends, and vanishes when it fails.

    A link stays one: what it points to is replaced. The mode of a file that was there is kept. A device, such as
    /dev/stdout, is written to itself. What runs that were killed left is swept first.
    Raises OSError, under the name `path`, where the disk is full or refuses.
    """
    target = path.resolve()
    if target.exists() and not target.is_file():
        yield path
        return
    _sweep(target)
    new = target.with_name(f".{target.stem}.new-{os.getpid()}-{secrets.token_hex(6)}{target.suffix}")
    try:
        yield new
        with open(new, "rb+") as written:
            os.fsync(written.fileno())
        with suppress(FileNotFoundError):
            os.chmod(new, target.stat().st_mode)
        os.replace(new, target)
    except OSError as error:
        if error.filename is None or str(error.filename) == str(new):
            raise OSError(error.errno, error.strerror, str(path)) from error
        raise
    finally:
        with suppress(OSError):
            new.unlink()


def _sweep(target: Path) -> None:
    """Remove what killed runs left half written beside `target`."""
    name = re.compile(
        re.escape(f".{target.stem}.") + r"new-(\d{1,9})-[0-9a-f]{12}" + re.escape(target.suffix)
    )
    with suppress(OSError):
        for entry in list(target.parent.iterdir()):
            found = name.fullmatch(entry.name)
            if found and not running(int(found[1])):
                entry.unlink()

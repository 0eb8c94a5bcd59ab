"""What workers are given: a recipe or a bay with the hash of everything a result depends on; the key of a row.

A result is a function of its key alone: program, recipe source, bay and the files it names, shop, values. A worker
opens the files it finds under their path and hash; where it has none they are sent to it. One that runs another
program refuses.
"""

from __future__ import annotations

import atexit
import gc
import hashlib
import json
import os
import platform
import shutil
import tempfile
import time
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from functools import cache, cached_property
from importlib import import_module
from pathlib import Path

from brackets.core import kept
from brackets.core.errors import InputError
from brackets.core.identity import program as sources
from brackets.core.schema.rule import Plain
from brackets.core.stamp import Stamp, stamp
from brackets.forming.shop import Shop
from brackets.library.recipe import Recipe, recipe, recipes
from brackets.variants.holding import Depth, Holding
from brackets.variants.result import Result, of_recipe

FORMAT = 3
"""Of a kept result; it is part of every key."""

SELDOM = 100_000
"""New values between two looks for dead ones: rows make millions and hardly any cycle."""


@cache
def program() -> str:
    """The version of this program and the hash of what it works figures out by: "0.4.0 1f2e3d4c5b6a7988"."""
    from brackets import __version__

    return f"{__version__} {sources()[:16]}"


@dataclass(frozen=True)
class InputFile:
    """A file that results depend on: its path where the family was started, and its sha256."""

    path: str
    sha256: str


@dataclass(frozen=True, kw_only=True)
class Job:
    """A recipe, or a part of a bay, that rows are worked out of.

    files: what is read, the recipe or the bay first, shipped recipes as their name alone; part: of the bay, "" for
    a recipe; shop: in place of the bay's own, or of the SAMPLE shop; fit_all: parts that stop already too;
    holding: with what strength is judged, None where it is not; depth: how far a row is worked out.
    """

    program: str
    files: tuple[InputFile, ...]
    part: str = ""
    shop: Shop | None = None
    fit_all: bool = False
    holding: Holding | None = None
    depth: Depth = "row"

    @cached_property
    def hash(self) -> str:
        """Of everything but the values."""
        told = {
            **self._built_from,
            "fit_all": self.fit_all,
            "holding": None if self.holding is None else asdict(self.holding),
            "depth": self.depth,
        }
        return _digest(told)

    @cached_property
    def inputs(self) -> str:
        """Hash of what parts are built from, the values aside: the same for every depth of one family."""
        return _digest(self._built_from)

    @property
    def _built_from(self) -> dict[str, object]:
        return {
            "format": FORMAT,
            "program": self.program,
            "files": [[Path(file.path).name, file.sha256] for file in self.files],
            "part": self.part,
            "shop": None if self.shop is None else asdict(self.shop),
        }

    def key(self, values: Mapping[str, Plain]) -> str:
        """Of one row: what its result is kept under."""
        return _digest([self.hash, dict(values)])


def _digest(value: object) -> str:
    text = json.dumps(value, sort_keys=True, separators=(",", ":"), allow_nan=False)
    return hashlib.sha256(text.encode()).hexdigest()[:32]


def of_opened(opened: Recipe, shop: Shop | None) -> Job:
    """The job of a recipe."""
    shipped = opened.name in recipes() and recipe(opened.name).path == opened.path
    file = InputFile(opened.name if shipped else str(opened.path), opened.source_hash)
    return Job(program=program(), files=(file,), shop=shop)


def contents(job: Job) -> dict[str, bytes]:
    """What the files of a job hold, shipped recipes left out, to be sent to a worker that has them not."""
    return {file.path: Path(file.path).read_bytes() for file in job.files if is_path(file)}


def is_path(file: InputFile) -> bool:
    """Whether it is a file of the user's own, and no shipped recipe."""
    return os.sep in file.path or "/" in file.path


class Changed(InputError):  # noqa: N818  (the name says what happened)
    """A file that results depend on is not as it was when the family was started."""

    def __init__(self, path: Path | str) -> None:
        super().__init__(f"{path}: changed while its family was worked out; run it again, what still holds is kept")
        self.path = path

    def __reduce__(self) -> tuple[type[Changed], tuple[Path | str]]:  # type: ignore[override]
        return Changed, (self.path,)


@dataclass(frozen=True)
class Done:
    """Results of a batch, each as JSON text, and the seconds it took."""

    texts: tuple[str, ...]
    seconds: float


@dataclass(frozen=True)
class Missing:
    """A worker's answer where it has not got the files of a job: they are to be sent along."""


@dataclass(frozen=True)
class OtherProgram:
    """A worker's answer where it runs another version of this program or of a recipe: it works nothing out."""

    says: str


def work(
    job: Job, values: Sequence[Mapping[str, Plain]], sent: Mapping[str, bytes] | None = None
) -> Done | Missing | OtherProgram:
    """Works the rows of a batch out, in a worker; `sent` are the files where it said that it has them not."""
    started = time.perf_counter()
    if program() != job.program:
        return OtherProgram(f"program {program()} on {platform.node()}")
    for file in job.files:
        if not is_path(file) and recipe(file.path).source_hash != file.sha256:
            return OtherProgram(f"another recipe {file.path} on {platform.node()}")
    paths = _paths(job, sent)
    if paths is None:
        return Missing()
    varied = job.files[1 if job.part else 0].path
    opened = recipe(paths.get(varied, varied))  # once a batch: to look for it takes longer than a row of some
    texts = tuple(text_of(_result(job, paths, opened, each)) for each in values)
    kept.flush()  # a worker is ended, not left to end, and others may ask for the same
    return Done(texts, time.perf_counter() - started)


def text_of(result: Result) -> str:
    """A result as it is kept, on one line."""
    return json.dumps(result, separators=(",", ":"), allow_nan=False, ensure_ascii=False)


def _result(job: Job, paths: Mapping[str, Path], opened: Recipe, values: Mapping[str, Plain]) -> Result:
    if not job.part:
        return of_recipe(opened, values, job.shop, holding=job.holding, depth=job.depth)
    from brackets.variants import bay_result

    return bay_result.of_part(
        paths[job.files[0].path], job.part, values, opened.Params, shop=job.shop, fit_all=job.fit_all,
        holding=job.holding is not None and job.holding.judges, depth=job.depth,
        inputs=job.inputs,
    )  # fmt: skip


_FOUND: dict[tuple[InputFile, ...], dict[str, Path]] = {}
"""By the files of a job, where this process found them."""

_SEEN: dict[Path, Stamp] = {}
"""Of each file when its hash was taken."""


def _paths(job: Job, sent: Mapping[str, bytes] | None) -> dict[str, Path] | None:
    """Where the files of a job are, by their path where the family was started; None where they must be sent.

    Raises Changed where one is not as it was.
    """
    key = job.files
    own = [file for file in job.files if is_path(file)]
    if key not in _FOUND:
        if sent is not None:
            _FOUND[key] = _unpacked(own, sent)
        elif all(_is_there(file) for file in own):
            _FOUND[key] = {file.path: Path(file.path) for file in own}
        else:
            return None
    for file in own:
        path = _FOUND[key][file.path]
        if stamp(path) != _SEEN[path] and not _is_there(InputFile(str(path), file.sha256)):
            raise Changed(path)
    return _FOUND[key]


def _unpacked(own: Sequence[InputFile], sent: Mapping[str, bytes]) -> dict[str, Path]:
    """The files as they were sent, in a folder of this process, beside each other as they were."""
    folder = Path(tempfile.mkdtemp(prefix="brackets-family-"))
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    top = os.path.commonpath([os.path.dirname(file.path) for file in own])
    found = {file.path: folder / os.path.relpath(file.path, top) for file in own}
    for file in own:
        path = found[file.path]
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(sent[file.path])
        if not _is_there(InputFile(str(path), file.sha256)):
            raise Changed(Path(file.path))
    return found


def _is_there(file: InputFile) -> bool:
    path = Path(file.path)
    if not path.is_file():
        return False
    _SEEN[path] = stamp(path)
    return hashlib.sha256(path.read_bytes()).hexdigest() == file.sha256


def warm(bay: bool) -> None:
    """Loads what rows need, once in a worker, before any row is timed."""
    gc.set_threshold(SELDOM)
    program()
    import_module("brackets.output.part_files")
    import_module("numpy")
    if bay:
        import_module("brackets.kernel.loading").load()
        import_module("brackets.bay.fitting")

"""A command run whole, or what it printed and wrote the last time where nothing that it depends on has changed."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from contextlib import AbstractContextManager, nullcontext
from pathlib import Path

Inputs = tuple[tuple[str, str], ...]
"""Name and content of every file that is read."""
Done = tuple[str, int, str | None]
"""What is printed, the status, and the folder of the files; None where none are written."""


def kept_run(
    command: str,
    work: Callable[[Path | None], Done],
    inputs: Callable[[], Inputs],
    *options: object,
    writes: bool,
) -> int:
    """Prints and writes what `work` gives, worked out once for the same inputs, options and screen; its status.

    work: does the whole command, with its files in a folder that it is given, which is swapped into its place
    here; None where `writes` is False. inputs: reads them; where it fails, the work is done in any case, since it
    refuses a file in its own words. Raises what the work raises, and OSError as writing does.
    """
    import sys
    import tempfile
    from shutil import get_terminal_size

    from brackets.core.errors import BadFile
    from brackets.core.kept import kept
    from brackets.output.folder import fresh

    def made() -> tuple[Done, tuple[tuple[str, bytes], ...]]:
        if not writes:
            return work(None), ()
        with tempfile.TemporaryDirectory() as scratch:
            done = work(Path(scratch, "files"))
            return done, tuple((p.name, p.read_bytes()) for p in sorted(Path(scratch, "files").iterdir()))

    screen = (get_terminal_size().columns, sys.stdout.isatty())
    try:
        given = inputs()
    except (OSError, BadFile):
        done, files = made()
    else:

        def told() -> tuple[Done, tuple[tuple[str, bytes], ...]]:
            from brackets.output.facts import made_from

            with made_from(users_own(given)):
                return made()

        done, files = kept(f"command {command}", told, given, str(Path.cwd()), screen, options, in_memory=False)
    text, status, folder = done
    if folder is not None:
        with fresh(folder) as at:
            for name, data in files:
                (at / name).write_bytes(data)
    print(text)
    return status


def told_inputs(*files: Path | None, words: Iterable[str] = ()) -> AbstractContextManager[None]:
    """While it is open, facts.json says which files were read: TOML files with what they name, and those that words
    of the command line name. Nothing is said where one cannot be read: the command refuses it in its own words."""
    from brackets.app.inputs import contents, files_of, named
    from brackets.core.errors import BadFile
    from brackets.output.facts import made_from

    try:
        there = set().union(*(files_of(file) for file in files if file is not None))
        there |= set().union(*(files_of(file) for file in there if file.suffix == ".toml"))  # a family's bay
        return made_from(users_own(contents(there | named(words, Path.cwd()))))
    except (OSError, BadFile):
        return nullcontext()


def users_own(given: Inputs) -> Inputs:
    """The files that are not the program's own recipes; a bay that lies among these is one."""
    from brackets.library.recipe import shipped

    mine = shipped()
    return tuple(one for one in given if Path(one[0]).suffix != ".py" or Path(one[0]).parent != mine)

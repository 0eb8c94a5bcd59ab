"""What commands on a recipe or a bay have alike: the target among the words, all that is wrong in one message."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Literal, TypeVar

from brackets.core.errors import InputError

if TYPE_CHECKING:
    from brackets.app.cli.kept_run import Done
    from brackets.app.cli.screen import Typed

T = TypeVar("T")


def run_on_target(
    command: str,
    words: Sequence[str],
    work: Callable[[str, Typed, Path | None], Done],
    *options: object,
    shop: Path | None,
    writes: bool,
    instead: str | None = None,
) -> int:
    """Runs a command whose words are a recipe or a bay and named values, or prints what the same gave before.

    work: of the target, what was typed, and the folder for the files, None where none are written; options: all
    it depends on beside these; instead: the target where no word is needed. Returns the status. Raises InputError
    where there is no target, and what the work raises.
    """
    from brackets.app.cli.kept_run import kept_run
    from brackets.app.cli.screen import one_word, split
    from brackets.app.inputs import inputs_typed

    typed = split(words)
    target = instead or one_word(typed, "recipe or bay", f"brackets {command} ears_on_base")
    return kept_run(
        command,
        lambda scratch: work(target, typed, scratch),
        lambda: inputs_typed(target, typed.texts.values(), shop),
        tuple(words),
        shop,
        *options,
        writes=writes,
    )


def unit_of(bare: str) -> Literal["mm", "in"]:
    """The unit of a number without one; a word that is none is refused by whoever reads all values."""
    return "in" if bare == "in" else "mm"


def as_options(read: Callable[[], T], flags: Mapping[str, str]) -> T:
    """What is read of values that came as options, each of which is called as it is typed where it is refused.

    flags: a value's name to its option, {"thickness": "card"}. Raises InputError: "--card = 30 mm, must be ...".
    """
    try:
        return read()
    except InputError as error:
        told = (line.partition(" = ") for line in error.problems)
        lines = ("".join((f"--{flags[name]}" if name in flags else name, *said)) for name, *said in told)
        raise InputError(*lines) from None


def refuse_paper(paper: str | None) -> None:
    """Raises InputError for a paper that was typed and that nothing is printed on."""
    from brackets.forming.shop_rows import PAPERS

    if paper is not None and paper not in PAPERS:
        raise InputError(f'--paper = "{paper}", must be {", ".join(PAPERS)}: paper of the templates')


def refuse_bare(bare: str) -> None:
    """Raises InputError for a word that is no unit of numbers written without one."""
    if bare not in ("mm", "in"):
        raise InputError(f'--bare = "{bare}", must be mm or in: unit of numbers written without one')


class Refusals:
    """What is wrong with what was typed, gathered so that all of it comes in one message, each once."""

    def __init__(self, problems: Iterable[str] = ()) -> None:
        self.problems: list[str] = [*problems]

    def tried(self, read: Callable[[], T]) -> T | None:
        """What it reads; None where that is refused."""
        try:
            return read()
        except InputError as error:
            self.problems += error.problems
            return None

    def needed(self, read: Callable[[], T]) -> T:
        """What it reads. Raises InputError with all that is wrong till here, where anything is."""
        found = self.tried(read)
        self.refuse()
        assert found is not None
        return found

    def refuse(self) -> None:
        """Raises InputError with all that is wrong till here, where anything is."""
        if self.problems:
            raise InputError(*dict.fromkeys(self.problems))

    def of_a_bay(self, typed: Typed) -> None:
        """Of a bay no value is typed: its file has them all."""
        self.problems += typed.problems
        self.problems += [f"--{name} = {text}, must be in the bay file" for name, text in typed.texts.items()]

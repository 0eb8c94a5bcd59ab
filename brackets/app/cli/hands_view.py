"""brackets family --hands: two parts of a bay held against each other."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from brackets.app.cli.trouble import FINE, STOPS

if TYPE_CHECKING:
    from brackets.core.marks import Marks
    from brackets.forming.shop import Shop


def two_hands(target: str, hands: str, beside: list[str]) -> tuple[str, str] | None:
    """The two parts of --hands, or two empty names where the family file says them; None where it has rows.

    Raises InputError for other than two, and for what does not go with them.
    """
    from brackets.core.errors import InputError
    from brackets.variants.file import read_hands

    if not hands:
        own = target.endswith(".toml") and not beside and read_hands(Path(target)) is not None
        return ("", "") if own else None
    problems = [f"--{name} = given with --hands, one of them: hands has no rows" for name in beside]
    names = [word.strip() for word in hands.split(",")]
    if len(names) != 2 or not all(names):
        problems.append(f"--hands = {hands}, must be two parts of the bay: LEFT,RIGHT")
    if not target.endswith(".toml"):
        problems.append(f"{target} = given with --hands, must be a bay file")
    if problems:
        raise InputError(*problems)
    return names[0], names[1]


def of_hands(
    target: str,
    two: tuple[str, str],
    shop: Shop | None,
    into: Path | None,
    as_json: bool,
    no_files: bool,
    marks: Marks,
) -> int:
    """Prints what differs between two hands; writes their table, and their drawings where one set does for both."""
    import json

    from brackets.app.cli.screen import facts, progress, table
    from brackets.output.folder import result_folder
    from brackets.variants.hands import hands as compare

    with progress() as say:
        say("holding the two hands against each other")
        found = compare(target, *two, shop=shop, fitted=True)
        held = f"{Path(target).stem}_hands_{found.left.name}_{found.right.name}"
        folder = into or result_folder(held)
        files = () if no_files else found.write(folder, marks=marks)
    if as_json:
        print(json.dumps({**found.record(), "files": list(files)}, ensure_ascii=False))
        return STOPS if found.stops else FINE
    said = [("differs", f.said) for f in found.differing if f.about == "finding"]
    rows = [(f.about, f.what, f.left, f.image, f.right, f.apart) for f in found.differing if f.about != "finding"]
    if rows:
        print(table(("of", "what differs", "left", "left mirrored", "right", "off"), rows, right=(5,)), end="\n\n")
    told = [*said, *(("hands", line) for line in found.summary)]
    alike = len(found.figures) - len(found.differing)
    told.append(("alike", f"{alike} more figures" + ("" if no_files else ", in hands.csv")))
    told.append(("files", "none written" if no_files else f"{folder}: {', '.join(files)}"))
    print(facts(told))
    return STOPS if found.stops else FINE

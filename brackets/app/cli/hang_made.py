"""What `brackets hang` prints and writes of a bay that is worked out."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from brackets.app.cli.hang_more import more_blocks, more_record, studied
from brackets.app.cli.hang_view import Hung, assumed, hang_text, record
from brackets.app.cli.inches import Lengths
from brackets.app.cli.screen import facts as listed
from brackets.app.cli.screen import progress
from brackets.app.cli.trouble import FINE, STOPS
from brackets.bay.hang_compare import compared, materials_of
from brackets.core.finding import stopped
from brackets.forming.shop import NO_TOOLS
from brackets.forming.shop_file import default
from brackets.output import facts, formats
from brackets.output.hang_files import write_hang
from brackets.output.paper import correction_of


def made(
    hung: Hung,
    file: Path,
    scratch: Path | None,
    folder: Path | None,
    *,
    paper: str | None,
    compare: str | None,
    as_json: bool,
) -> tuple[str, int]:
    """What is printed, and the status; files are written to `scratch`, and said to be in `folder`.

    Raises InputError for a material that is none, and where a bush has sizes that none can be worked out of.
    """
    asked = () if compare is None else materials_of(compare)
    with progress() as say:
        say("where it is welded, how far it moves, what comes through")
        hung, study = studied(hung)
        say("the same with other bushes")
        found = compared(study.hung, asked) if asked else ()
        whole = {**record(hung), **more_record(study, found)}

        def told(files: tuple[str, ...]) -> dict[str, Any]:
            return {**whole, "files": list(files), "formats": formats.named(files)}

        files: tuple[str, ...] = ()
        if scratch is not None:
            shop = default() if hung.bay.shop is NO_TOOLS else hung.bay.shop
            notes = (*assumed(hung), *(f"not said: {one}" for one in hung.unsaid))
            files = write_hang(
                study, hung.findings, scratch, name=file.stem, paper=paper or shop.paper,
                correction=correction_of(shop.bars), notes=notes, found=found, record=told, say=say,
            )  # fmt: skip
    status = STOPS if stopped(hung.findings) else FINE
    if as_json:
        return facts.told(told(files)).decode().rstrip("\n"), status
    at = Lengths(hung.bay.bare)
    where = listed([("files", f"{folder}: {', '.join(files)}")]) if files else ""
    return hang_text(hung, more_blocks(study, found, at), where), status

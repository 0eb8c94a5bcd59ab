"""brackets place: where the powertrain may stand, before any mount is there."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from brackets.app.cli.screen import AsJson
from brackets.app.cli.trouble import FINE, STOPS


def place(
    file: Annotated[Path, typer.Argument(metavar="BAY.toml", help="The bay file.")],
    write: Annotated[
        bool, typer.Option("--write", help="Write the best position into the bay file; its comments stay.")
    ] = False,
    as_json: AsJson = False,
) -> int:
    """Where the engine may stand: what each mm and degree gains.

    The tightest gaps of the powertrain to the chassis, how each changes per mm and degree,
    and within the limits of [place] the position with the largest least spare.
    Keep-outs alone, standing still.
    """
    import json

    from brackets.app.cli.place_view import Placing, place_text, record
    from brackets.app.cli.screen import progress
    from brackets.app.place_file import read_only, write_place
    from brackets.bay.file import read
    from brackets.bay.position.placing import SHOWN, TOLD, bare_bay, tightest, typed_position
    from brackets.bay.position.search import find_place
    from brackets.bay.position.steps import best_steps, slopes
    from brackets.core.errors import BadFile

    bay = read(file)
    sides = {row.side for row in bay.keep_outs}
    problems = [
        f"keep_out = none with side = {side}, must have one: {what}"
        for side, what in (("powertrain", "what moves"), ("chassis", "what it is cleared against"))
        if side not in sides
    ]
    if write and not bay.place_limits.named:
        problems.append("[place] = nothing, must say how far the powertrain may move: fore = [-20, 20] (--write)")
    if write and read_only(file):
        problems.append("mode = read only, must be a file that you may write (--write)")
    if problems:
        raise BadFile(file, *problems)
    typed = typed_position(bay.powertrain)
    with progress() as say:
        say("making the keep-outs")
        bare = bare_bay(bay)
        if not bare.pairs:
            raise BadFile(file, "contact = every pair of powertrain and chassis, must leave one: what is cleared")
        say("measuring the gaps")
        gaps = tightest(bare, typed, most=SHOWN)
        gaps = tuple(one for one in gaps if one.spare <= gaps[0].spare + TOLD)
        gains = []
        for n, one in enumerate(gaps, 1):
            say(f"what gap {n} of {len(gaps)} gains by each step")
            gains.append(slopes(bare, one, typed))
        steps = best_steps(bare, typed, gaps, gains)
        found = find_place(bare, most=SHOWN, say=say) if bay.place_limits.named else None
    written = write_place(bay, found.at) if write and found is not None else None
    done = Placing(bare=bare, typed=typed, gaps=gaps, gains=tuple(gains), steps=steps, found=found, written=written)
    print(json.dumps(record(done), indent=2) if as_json else place_text(done))
    return STOPS if done.stops else FINE

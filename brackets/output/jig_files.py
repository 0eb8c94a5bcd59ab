"""A jig's files: those of any part, the sheet of the jig first, and facts.json."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any

from brackets.core.finding import Finding, stopped, verdict, worst_first
from brackets.core.rulebook.parts import LOOSE_PIECE
from brackets.core.schema.reading import json_values
from brackets.drawing.jig import EYE, RIGHT, jig_sheet
from brackets.drawing.record import Title
from brackets.forming.shop import Shop
from brackets.library.jig_values import JigValues
from brackets.library.jig_work import Jig
from brackets.rules.part import part_findings


@dataclass(frozen=True, kw_only=True)
class JigMade:
    """A jig with its values and shop: `of` says what of, `checked` what its solids and the weldment's say."""

    of: str
    jig: Jig
    values: JigValues
    shop: Shop
    checked: tuple[Finding, ...] = ()

    @property
    def name(self) -> str:
        """What its files are called."""
        return f"{self.of}_jig"

    @cached_property
    def findings(self) -> tuple[Finding, ...]:
        """All that is said of it, worst first; that shafts and spacers are loose is what they are for."""
        own = part_findings(self.jig.part, self.shop)
        said = [one for one in own if one.code != LOOSE_PIECE.code or one.level != "advice"]
        return worst_first([*(self.checked or self.jig.findings), *said])

    @property
    def stops(self) -> bool:
        """Whether a finding says: do not cut."""
        return stopped(self.findings)


def write_jig(
    thing: JigMade,
    into: Path,
    *,
    paper: str | None = None,
    title: Title,
    say: Callable[[str], None] = lambda _: None,
) -> tuple[str, ...]:
    """Writes all files of a jig into the folder, facts.json last; their names. Raises KernelFailed where the kernel
    refuses, InputError for an unknown paper."""
    from brackets.kernel.hidden_lines import seen_pieces
    from brackets.output import cut_files, facts, formats
    from brackets.output.folder import stem

    name = stem(thing.name)
    say(f"{name}: drawing what it is cut by")
    pieces = (*thing.jig.part.pieces, *thing.jig.weldment.pieces)
    (picture,) = seen_pieces(pieces, ((EYE, RIGHT),), (0.0, 0.0, 0.0))
    sheet = jig_sheet(thing.jig, cut_files.judged_title(title, thing.findings), picture)
    first = cut_files.Cut(names=(), drawings=(sheet,), flat=False)
    cuts = (first, *cut_files.cuts(thing.jig.part, title, thing.findings, shop=thing.shop))
    sheets = cut_files.write(cuts, into, name=name, shop=thing.shop, paper=paper)
    solids = formats.write("part", thing.jig.part, into, name, say=say)
    files = (*solids, *sheets, facts.NAME)
    formats.write("facts", record(thing, files), into)
    return files


def record(thing: JigMade, files: tuple[str, ...] = ()) -> dict[str, Any]:
    """What scripts may rely on: of, values, held, shafts, those of any part, verdict, findings, files."""
    from brackets.output import facts, formats
    from brackets.output.part_files import finding_record

    return {
        "format": facts.FORMAT,
        "jig_of": thing.of,
        "values": json_values(thing.values),
        "shop": thing.shop.name,
        "held": [
            {
                "seat": one.seat,
                "kind": one.kind,
                "by": list(one.by),
                "at_mm": list(one.place.at),
                "along": list(one.place.axis),
                "bolt": one.bolt,
            }
            for one in thing.jig.held
        ],
        "shafts": [{"pieces": list(one.pieces), "drawn_along": list(one.way)} for one in thing.jig.drawn],
        **facts.of(thing.jig.part),
        "verdict": verdict(thing.findings),
        "findings": [finding_record(finding) for finding in thing.findings],
        "files": list(files),
        "formats": formats.named(files),
    }

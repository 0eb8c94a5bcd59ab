"""brackets measure: a readings file worked out, printed as tables or JSON, and written with its drawings."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from brackets.app.cli.trouble import FINE, STOPS

if TYPE_CHECKING:
    from brackets.survey.work import Measured


def measure(
    file: str | Path, as_json: bool, into: Path | None, *, paper: str | None = None, shop: Path | None = None
) -> int:
    """Prints what the readings give and writes the folder; 1 where something must be measured again first."""
    import json

    from brackets.app.cli.on_target import refuse_paper
    from brackets.app.cli.screen import table
    from brackets.forming.shop_file import default as default_shop
    from brackets.forming.shop_file import load as load_shop
    from brackets.output import paper as papers
    from brackets.output.folder import result_folder
    from brackets.survey.facts import facts
    from brackets.survey.file import read
    from brackets.survey.sheets import sheets
    from brackets.survey.work import work_out

    mine = default_shop() if shop is None else load_shop(shop)
    refuse_paper(paper)
    made = work_out(read(file))
    folder = result_folder(Path(file).stem) if into is None else into
    texts = _texts(made)
    files = _write(folder, texts, made, paper or mine.paper, papers.correction_of(mine.bars))
    if as_json:
        print(json.dumps({**facts(made), "files": list(files)}, indent=2))
        return STOPS if made.stops else FINE
    print(made.readings.name)
    for sheet in sheets(made):
        print(f"\n{sheet.title}")
        print(table(sheet.head, sheet.rows, right=range(1, len(sheet.head) - 1)))
        for note in sheet.notes:
            print(f"  {note}")
    if "bosses.toml" in texts:
        print(f"\nBosses for the bay file\n{texts['bosses.toml']}")
    print(f"{folder}: {', '.join(files)}")
    for stop in made.stops:
        print(f"STOP: do not cut. {stop}")
    return STOPS if made.stops else FINE


def _texts(made: Measured) -> dict[str, str]:
    """The text files by name: none without holes, no rows where they may be mirrored or are not fixed."""
    from brackets.survey.facts import boss_rows, survey_picture
    from brackets.survey.work import bosses_text, pattern_text

    if made.survey is None:
        return {}
    picture = {"picture.svg": survey_picture(made)}
    if not made.placed:
        return picture
    return {
        "bosses.toml": boss_rows(made.bosses, placed=made.readings.placed is not None),
        "pattern.txt": f"{pattern_text(made.survey)}\n{bosses_text(made.bosses)}\n",
        **picture,
    }


def _write(
    into: Path, texts: Mapping[str, str], made: Measured, paper: str, correction: tuple[float, float]
) -> tuple[str, ...]:
    from brackets.drawing.sheets import check_sheet
    from brackets.output import facts, folder, pdf, svg
    from brackets.survey.facts import facts as measured_facts

    with folder.fresh(into) as at:
        files = [*texts]
        for name, text in texts.items():
            (at / name).write_text(text, encoding="utf-8")
        if made.survey is not None:
            sheet = check_sheet(made)
            pdf.write([sheet], at / "check-sheet.pdf", paper, correction)
            svg.write(sheet, at / "check-sheet.svg")
            files += ["check-sheet.pdf", "check-sheet.svg"]
        files.append(facts.NAME)
        facts.write({**measured_facts(made), "files": files}, at / facts.NAME)
    return tuple(files)

"""brackets measure: a readings file worked out, printed as tables or JSON, and written with its drawings."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from brackets.cli.trouble import FINE, STOPS

if TYPE_CHECKING:
    from brackets.measure import Measured


def measure(file: str | Path, as_json: bool, into: Path | None) -> int:
    """Prints what the readings give and writes the folder; 1 where something must be measured again first."""
    import json

    from brackets.cli.table import table
    from brackets.measure import facts, read, sheets, work_out

    made = work_out(read(file))
    folder = Path("out", Path(file).stem) if into is None else into
    texts = _texts(made)
    files = _write(folder, texts, facts(made))
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
    """The text files by name: none where no holes were measured."""
    from brackets.measure import boss_rows, bosses_text, check_sheet, pattern_text, survey_picture

    if made.survey is None:
        return {}
    return {
        "bosses.toml": boss_rows(made.bosses, placed=made.readings.placed is not None),
        "pattern.txt": f"{pattern_text(made.survey)}\n{bosses_text(made.bosses)}\n",
        "picture.svg": survey_picture(made),
        "check-sheet.svg": check_sheet(made),
    }


def _write(into: Path, texts: Mapping[str, str], found: Mapping[str, object]) -> tuple[str, ...]:
    from brackets.write import facts, folder

    with folder.fresh(into) as at:
        for name, text in texts.items():
            (at / name).write_text(text, encoding="utf-8")
        files = (*texts, facts.NAME)
        facts.write({**found, "files": list(files)}, at / facts.NAME)
    return files

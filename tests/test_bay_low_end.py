"""Every single figure of a gap is its low end, rounded down: nobody reads more than is proven."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from brackets.app.cli.inches import Lengths
from brackets.app.preview.gap_rows import at_rest, pair_record, when_moved, words, worst_places
from brackets.bay.checks import bay_findings
from brackets.bay.clear.moving import Moved
from brackets.bay.clear.pairs import Pair, at_least
from brackets.bay.file import read
from brackets.bay.fitting import fit
from brackets.bay.report.rows import span
from brackets.bay.stand.gap_rules import GapRule
from brackets.core.finding import Finding
from brackets.output.bay_lists import write_gaps

SPOT = (0.0, 0.0, 0.0)


@pytest.mark.parametrize(
    ("low", "places", "said"),
    [
        (8.8649, 1, "8.8"),
        (8.8649, 2, "8.86"),
        (9.9999, 1, "9.9"),
        (10.25 - 1e-6, 2, "10.25"),  # known exactly, but for arithmetic
        (-0.04, 1, "-0.1"),
        (0.0, 1, "0.0"),
        (-2e-6, 1, "0.0"),
    ],
)
def test_a_low_end_is_rounded_down(low: float, places: int, said: str) -> None:
    assert at_least(low, places) == said


def asked(mm: float) -> GapRule:
    return GapRule(rest=mm, moved=mm, kind="fixed", why="a test", moved_kind="fixed", moved_why="a test")


def moved(low: float, high: float, needed: float) -> Moved:
    return Moved(
        a="engine", b="rail", low=low, high=high, rule=asked(needed), worst="left up 3 deg", p=SPOT, q=SPOT, by="x"
    )


def rest(low: float, high: float, needed: float, state: str = "far") -> Pair:
    return Pair(
        a="engine", b="rail", state=state, low=low, high=high, rule=asked(needed), p=SPOT, q=SPOT, across=True
    )


@pytest.fixture(scope="module")
def boxes(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("bay") / "bay.toml"
    text = 'format = 1\nname = "Invented"\n'
    for name, side, start in (("rail", "chassis", 0), ("engine", "powertrain", 60.25)):
        text += f'[[keep_out]]\nname = "{name}"\nside = "{side}"\nkind = "fixed"\n'
        text += f"box = {{ from = [{start}, 0, 0], to = [{start + 50}, 50, 50] }}\n"
    path.write_text(text, "utf-8")
    return path


def said(boxes: Path, code: str, pairs: tuple[Pair, ...] = (), moves: tuple[Moved, ...] = ()) -> list[Finding]:
    done = fit(read(boxes))
    return [f for f in bay_findings(done.stood, (), pairs, moves) if f.code == code]


@pytest.mark.parametrize("needed", [12.0, 9.0])
def test_a_moved_gap_is_said_by_what_is_proven(boxes: Path, needed: float) -> None:
    """Short of 12 for sure, and of 9 perhaps: both are judged and said by the low end."""
    (found,) = said(boxes, "gap moved", moves=(moved(8.8649, 9.21, needed),))
    assert found.sentence == f"at least 8.8 mm when moved (left up 3 deg), {needed:g} asked"
    assert (found.level, found.value, found.limit) == ("caution", 8.8649, needed)
    assert said(boxes, "gap moved", moves=(moved(8.8649, 9.21, 8.8649),)) == []


def test_an_unsettled_gap_at_rest_is_never_silently_clear(boxes: Path) -> None:
    (found,) = said(boxes, "gap at rest", (rest(4.97, 5.42, 5.0),))
    assert found.sentence == "between 4.9 and 5.4 mm standing still, 5 asked"
    assert found.value == 4.97
    (short,) = said(boxes, "gap at rest", (rest(4.97, 4.98, 5.0, "clear"),))
    assert short.sentence == "4.9 mm standing still, 5 asked"
    assert said(boxes, "gap at rest", (rest(5.0, 5.42, 5.0),)) == []


def test_screen_and_page_give_the_low_end() -> None:
    pair, move = rest(4.97, 5.42, 5.0), moved(8.8649, 9.21, 12.0)
    assert span(4.97, 5.42) == "4.9-5.4"
    assert span(4.97, 9.0) == "4.9+"
    assert (pair_record(pair)["found"], pair_record(pair)["spare"]) == (4.97, -0.03)
    assert pair_record(pair)["said"] == "at least 4.9 mm, found 5.4 mm, spare -0.1"  # bound and found, by name
    inches = pair_record(pair, Lengths("in"))["said"]
    assert inches == "at least 0.195 in (4.9 mm), found 0.213 in (5.4 mm), spare -0.002"
    assert words(4.97, 4.98, -0.03) == "4.9 mm, spare -0.1"  # known to less than a digit: one figure
    assert words(4.97, 9.0, -0.03) == "at least 4.9 mm, spare -0.1"  # no place was found worth a name
    assert "4.9" in str(at_rest([pair])["rows"])
    assert "8.8" in str(when_moved([move])["rows"])
    assert "9.2" not in str(when_moved([move])["rows"])
    assert worst_places([move]) == []  # a bush moves in words alone


def test_the_csv_gives_the_low_end(boxes: Path, tmp_path: Path) -> None:
    done = fit(read(boxes))
    write_gaps(done, tmp_path / "gaps.csv")
    with (tmp_path / "gaps.csv").open(encoding="utf-8") as rows:
        (row,) = csv.DictReader(rows)
    assert row["low_mm"] == "10.2500"
    assert float(row["low_mm"]) <= float(row["high_mm"])
    assert float(row["spare_mm"]) == pytest.approx(10.25 - float(row["needed_mm"]), abs=1e-4)

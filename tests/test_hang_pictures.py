"""Pictures and files of hang: to scale, no words on others, type embedded, all there. All bays are invented."""

from __future__ import annotations

import json
import random
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest
from hung_bay import BAY, SHAFT, hung
from pypdf import PdfReader

from brackets.app.cli.app import main
from brackets.bay.hang_study import hang_study
from brackets.drawing.charts import Ink
from brackets.drawing.hang_pictures import (
    DIRECTIONS,
    WIDE,
    Bars,
    Idling,
    Mode,
    Ranged,
    frequency_picture,
    load_picture,
    movement_picture,
    through_picture,
)
from brackets.drawing.labels import touches
from brackets.drawing.record import Stroke, Words
from brackets.output.hang_files import pictures_of

CASES = ("weight", "first gear", "reverse", "bump", "braking", "cornering left", "cornering right", "kerb, left")


def boxes_of(ink: tuple[Ink, ...]) -> list[Any]:
    return [one.box for one in ink if isinstance(one, Words)]


def bars(rng: random.Random, name: str, size: float, *, signed: bool = True, limit: float | None = None) -> Bars:
    made = []
    for case in CASES[: rng.randint(1, len(CASES))]:
        value = rng.uniform(-size if signed else 0, size)
        made.append(Ranged(name=case, value=value, low=value - 0.1 * size * rng.random(), high=value + 0.1 * size))
    return Bars(name=name, bars=tuple(made), limit=limit)


def test_no_words_of_a_picture_lie_on_others_or_beside_the_sheet() -> None:
    rng = random.Random(8)
    for _ in range(25):
        limits = [rng.choice((None, 10 ** rng.uniform(2, 4))) for _ in range(rng.randint(1, 6))]
        mounts = [
            bars(rng, f"mount_{i}", 10 ** rng.uniform(1, 4), signed=False, limit=limit)
            for i, limit in enumerate(limits)
        ]
        idle = rng.uniform(500, 1800)
        hz = sorted(rng.uniform(2, 60) for _ in range(6))
        modes = [Mode(name=f"{f:.1f} Hz, pitch 94%", hz=f, low=0.9 * f, high=1.1 * f) for f in hz]
        at = Idling(idle=idle, orders=(0.5, 1, 1.5, 2, 4, 6), most=idle / 60, near=0.2, fastest=4 * idle)
        speeds = [40 * i for i in range(100)]
        curves = [(f"mount {i}", [10 ** rng.uniform(-3, 3) for _ in speeds]) for i in range(rng.randint(1, 6))]
        for ink in (
            load_picture(mounts),
            movement_picture([bars(rng, f"{n}, {u}", 3) for n, u in DIRECTIONS]),
            frequency_picture(modes, at),
            through_picture(speeds, [*curves, ("late", [0.0] * len(speeds))], idle),
        ):
            boxes = boxes_of(ink)
            for i, box in enumerate(boxes):
                assert not [other for other in boxes[:i] if touches(box, other)], (box, ink)
            whole = [*boxes, *(one.bounds for one in ink if isinstance(one, Stroke))]
            assert max(box[2] for box in whole) - min(box[0] for box in whole) <= WIDE + 6


def test_bars_are_to_the_scale_of_their_axis() -> None:
    """307 N against a limit of 2000 N: the bar ends at 307 / 2000 of where the limit stands."""
    one = Bars(name="left", bars=(Ranged(name="weight", value=307.0),), limit=2000.0)
    ink = load_picture([one])
    box = next(each for each in ink if isinstance(each, Stroke) and each.closed)
    limit = next(each for each in ink if isinstance(each, Stroke) and each.layer == "weld")
    assert (box.bounds[2] - box.bounds[0]) / (limit.bounds[0] - box.bounds[0]) == pytest.approx(307 / 2000)
    assert {"left", "weight", "307", "most 2000 N"} <= {each.text for each in ink if isinstance(each, Words)}


def test_of_many_cases_the_weight_and_the_largest_are_drawn_and_the_others_are_counted() -> None:
    many = Bars(name="left", bars=tuple(Ranged(name=f"case {i}", value=float(i)) for i in range(9)))
    assert [one.name for one in many.shown] == ["case 0", "case 4", "case 5", "case 6", "case 7", "case 8"]
    words = {each.text for each in load_picture([many]) if isinstance(each, Words)}
    assert "left (3 smaller not drawn)" in words


def test_a_mode_and_an_order_cross_where_they_are_alike() -> None:
    """20 Hz is met by order 2 at 600 a minute: a third of the way to 1800."""
    at = Idling(idle=450, orders=(2.0,), most=10.6, near=0.2, fastest=1800)
    ink = frequency_picture([Mode(name="20 Hz", hz=20, low=18, high=22)], at)
    strokes = [one for one in ink if isinstance(one, Stroke)]
    mode = next(one for one in strokes if one.layer == "cut" and one.bounds[1] == one.bounds[3] > 10)
    ray = next(one for one in strokes if one.layer == "axis")
    (x0, y0), (x1, y1) = ray.segments[0].a, ray.segments[0].b
    x = x0 + (mode.bounds[1] - y0) / (y1 - y0) * (x1 - x0)
    assert (x - mode.bounds[0]) / (mode.bounds[2] - mode.bounds[0]) == pytest.approx(1 / 3)


def test_the_files_are_all_there_with_their_type_embedded(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("mine.toml").write_text(BAY.format("") + SHAFT.format(""), "utf-8")
    assert main(["hang", "mine.toml", "--compare", "poly", "--json"]) == 0
    said = json.loads(capsys.readouterr().out)
    folder = tmp_path / "out" / "mine_hang"
    names = ["mine.pdf", *(f"mine-{name}.svg" for name in ("loads", "movement", "frequencies", "through"))]
    assert said["files"] == [*names, "facts.json"]
    assert {path.name for path in folder.iterdir()} == set(said["files"])
    assert said["formats"]["mine-loads.svg"] == "SVG"
    pdf = PdfReader(folder / "mine.pdf")
    text = " ".join(" ".join(page.extract_text() for page in pdf.pages).split())
    for part in ("mine: on its bushes", "What each mount carries", "Six frequencies", "turns a minute",
                 "Where the chassis side", "The same bay with other bushes", "poly 80", "first gear"):  # fmt: skip
        assert part in text, part
    told = [" ".join(page.extract_text().split()) for page in pdf.pages]
    for part in ("nothing stops", "The worst", "What each mount carries", "weld it up mm", "Six frequencies",
                 "How far the centre of mass moves", "What the driveline becomes", "it does not hold"):  # fmt: skip
        assert part in told[0], part  # all that counts on page one
    at = {part: next(i for i, one in enumerate(told) if part in one)
          for part in ("turns a minute", "Where the chassis side", "Findings")}  # fmt: skip
    assert 0 < at["turns a minute"] < at["Where the chassis side"] <= at["Findings"]
    fonts = [font.get_object() for page in pdf.pages for font in page["/Resources"]["/Font"].values()]
    assert fonts
    for font in fonts:
        below = font["/DescendantFonts"][0].get_object() if "/DescendantFonts" in font else font
        assert "/FontFile2" in below["/FontDescriptor"].get_object(), font
    for name in names[1:]:
        root = ElementTree.parse(folder / name).getroot()
        assert root.attrib["width"].endswith("mm")


def test_the_screen_says_it_in_the_units_of_the_bay(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "110")
    Path("mine.toml").write_text(BAY.format("") + SHAFT.format(""), "utf-8")
    assert main(["hang", "mine.toml", "--compare", "poly:70"]) == 0
    told = " ".join(capsys.readouterr().out.split())
    for part in (
        "left front 0.0 0.0 0.8 -0.3 0.2", "as its weight comes on its centre of mass sinks 0.8 mm",
        "shaft joint on the powertrain deg 0.00", "what comes through of a couple about the crank, 2 times a turn",
        "1 mm of", "as typed poly 70", "sinks by its weight mm 0.82", "files out/mine_hang: mine.pdf",
    ):  # fmt: skip
        assert part in told, part
    assert "better" not in told.lower().replace("better measured", "")


def test_a_wrong_material_writes_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("mine.toml").write_text(BAY.format(""), "utf-8")
    assert main(["hang", "mine.toml", "--compare", "steel"]) == 2
    assert main(["hang", "mine.toml", "--paper", "A9"]) == 2
    assert "--compare = steel, must be one of rubber, poly, solid" in capsys.readouterr().err
    assert not Path("out").exists()


def test_the_lowest_order_is_drawn_even_where_it_shakes_faster_than_every_mode(tmp_path: Path) -> None:
    """Eight cylinders fire four times a turn, 60 Hz at idle; no mode is over 38 Hz."""
    bay = hung(tmp_path, text=BAY.replace("cylinders = 4", "cylinders = 8"))
    assert bay.modes.hz[-1] * 1.25 < 60
    sentence, ink = pictures_of(hang_study(bay))["frequencies"]
    assert "order 4: firing" in sentence
    assert "order 4" in {one.text for one in ink if isinstance(one, Words)}
    boxes = [one for one in ink if isinstance(one, Stroke) and one.layer == "cut" and len(one.segments) == 4]
    assert len(boxes) == 1

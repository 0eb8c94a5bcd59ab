"""What a fit says is said everywhere: screen, JSON, page, saved page, paper, cut files; a stop, nothing to cut."""

from __future__ import annotations

import base64
import csv
import json
import re
import zlib
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import ezdxf
import pytest
from pypdf import PdfReader
from three_bays import BAYS, written

from brackets.app.cli.app import main
from brackets.app.cli.fit_view import fit_text
from brackets.app.preview import bay_source
from brackets.app.preview.blocks import unpack
from brackets.app.preview.build import source, whole
from brackets.app.preview.offline import page
from brackets.bay.file import read
from brackets.bay.fitting import Fit
from brackets.bay.report.worst import most_short_first
from brackets.bay.schema.standing import Accept
from brackets.bay.stand.owners import of_part, owners, with_accepted, with_owners
from brackets.core.errors import BadFile
from brackets.core.finding import Finding, verdict
from brackets.drawing.blank import blank
from brackets.drawing.record import Title
from brackets.geometry.shapes import rectangle
from brackets.model.plate import Plate, Wall
from brackets.output import assembly, pdf, step, stl
from brackets.output import bay_files as files
from brackets.output.bay_facts import record

FITTER = Accept(code="foul", part="arm", why="the brace is sawn out first", by="A. Fitter")


@dataclass(frozen=True)
class Told:
    """One of the three bays: as it was fitted for the page, the page's block, and the saved page."""

    done: Fit
    payload: dict[str, Any]
    saved: dict[str, Any]


@pytest.fixture(scope="module")
def told(tmp_path_factory: pytest.TempPathFactory) -> Iterator[dict[str, Told]]:
    """Each bay fitted once, by the page itself."""
    folder = tmp_path_factory.mktemp("bays")
    fits: list[Fit] = []
    fit_stood = bay_source.fit_stood
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(bay_source, "fit_stood", lambda standing: fits.append(fit_stood(standing)) or fits[-1])
        found = {}
        for name in BAYS:
            block = whole(source(str(written(folder, name)), bare="mm"), {})
            text = re.search(r'id="saved">([^<]+)<', page(block))
            assert text is not None
            saved, _ = unpack(zlib.decompress(base64.b64decode(text[1])))
            found[name] = Told(fits[-1], unpack(block)[0], saved)
        assert len(fits) == len(BAYS)
        yield found


def rows(header: dict[str, Any], key: str) -> list[list[str]]:
    """Cells of a table of the page."""
    [table] = [table for table in header["tables"] if table["key"] == key]
    return [row["cells"] for row in table["rows"]]


def flat_text(text: str) -> str:
    return " ".join(text.split())


@pytest.mark.parametrize("name", BAYS)
def test_screen_json_page_and_saved_page_have_the_same_findings(name: str, told: dict[str, Told]) -> None:
    one = told[name]
    facts = json.loads(json.dumps(record(one.done)))
    said = [[f.label, f.piece, f.said] for f in most_short_first(one.done.findings)]
    assert [(f["piece"], f["sentence"]) for f in facts["findings"]] == [
        (f.piece, f.sentence) for f in one.done.findings
    ]
    assert rows(one.payload, "findings") == rows(one.saved, "findings") == said
    line = verdict(one.done.findings)
    assert facts["verdict"] == one.payload["verdict"] == one.saved["verdict"] == line
    assert one.payload["stops"] is one.saved["stops"] is one.done.stops is (name == "stop")
    screen = fit_text(one.done, None)
    assert line in screen
    for finding in one.done.findings:
        assert str(finding) in screen


@pytest.mark.parametrize("name", BAYS)
def test_they_have_the_same_ways_and_bolts(name: str, told: dict[str, Told]) -> None:
    one = told[name]
    facts, screen = record(one.done), fit_text(one.done, None)
    for key, cells in (("paths", rows(one.payload, "paths")), ("bolts", rows(one.payload, "bolts"))):
        assert len(cells) == len(facts[key]) == {"paths": 1, "bolts": 3}[key]
        assert rows(one.saved, key) == cells
        for row in cells:
            assert flat_text(" ".join(row)) in flat_text(screen)
    outcomes = ["yes" if path["out"] else "NO" for path in facts["paths"]]
    assert [row[1] for row in rows(one.payload, "paths")] == outcomes
    names = [f"{bolt['name']} bolt" for bolt in facts["bolts"]]
    assert [row[0] for row in rows(one.payload, "bolts")] == names


def test_the_three_bays_are_what_they_are_called(told: dict[str, Told]) -> None:
    levels = {name: {f.level for f in one.done.findings} for name, one in told.items()}
    assert levels == {"fine": {"advice"}, "caution": {"caution", "advice"}, "stop": {"stop", "advice"}}


def test_bodies_of_every_finding_are_pickable(told: dict[str, Told]) -> None:
    """A row lights what it speaks of: the names in it are things, or pieces, of the picture or rows of tables."""
    payload = told["stop"].payload
    items = {item["thing"] for item in payload["items"]} | {item["name"] for item in payload["items"]}
    assert {"A bolt", "B bolt", "m bolt"} <= items
    [table] = [table for table in payload["tables"] if table["key"] == "findings"]
    assert all(set(row["things"]) & items for row in table["rows"])


# ------------------------------------------------------------------------------------ paper and cut files
@pytest.fixture
def light(monkeypatch: pytest.MonkeyPatch) -> None:
    """No solids: they are others' tests, and slow."""
    for module in (step, stl, assembly):
        monkeypatch.setattr(module, "write", lambda _, path, **__: Path(path).write_bytes(b""))


def layers(path: Path) -> set[str]:
    """Layers of a DXF that something is on."""
    return {entity.dxf.layer for entity in ezdxf.readfile(path).modelspace()}


def texts(path: Path) -> str:
    return flat_text(" ".join(e.dxf.text for e in ezdxf.readfile(path).modelspace().query("TEXT")))


def pages(path: Path) -> list[str]:
    return [flat_text(page.extract_text()) for page in PdfReader(path).pages]


def test_what_fit_says_of_a_part_stops_its_paper_and_leaves_nothing_to_cut(
    told: dict[str, Told], light: None, tmp_path: Path
) -> None:
    files.write(told["stop"].done, tmp_path / "out")
    out = tmp_path / "out"
    for text in pages(out / "arm.pdf"):
        assert text.count("STOP: do not cut") >= 1
        assert text.replace("If not: STOP, do not cut", "").count("do not cut") >= 1
    assert "arm fouls brace" in " ".join(pages(out / "arm.pdf"))
    blanks = sorted(out.glob("arm-*.dxf"))
    assert len(blanks) == 3
    for path in blanks:
        assert layers(path) == {"STOPPED"}
        assert not {"CUT", "CENTRE_POP", "BEND", "MARK"} & {layer.dxf.name for layer in ezdxf.readfile(path).layers}
        assert ezdxf.readfile(path).layers.get("STOPPED").dxf.plot == 0
        assert "arm fouls brace" in texts(path)
        svg = path.with_suffix(".svg").read_text("utf-8")
        assert re.findall(r'<g id="([^"]+)"', svg) == ["stopped", "stopped-text"]
        assert "arm fouls brace" in svg
    with (out / "arm-tubes.csv").open(encoding="utf-8") as table:
        assert [row["STOP"] for row in csv.DictReader(table)] == ["do not cut"]
    assert not any("STOP: do not cut" in text for text in pages(out / "ears.pdf"))
    assert all("CUT" in layers(path) for path in out.glob("ears-*.dxf"))


def test_a_stop_is_across_every_page_and_lines_are_seen_under_it(tmp_path: Path) -> None:
    """A large plate on several tiles: on each the words in type of 20 mm or more, seen through."""
    large = Plate(name="large", t=6.0, wall=Wall(outline=rectangle(500, 400)))
    for stops in (True, False):
        path = tmp_path / f"{stops}.pdf"
        assert pdf.write([blank(large, Title(part="large", stops=stops))], path) > 4
        for sheet in PdfReader(path).pages:
            content = sheet.get_contents()
            assert content is not None
            written = content.get_data().decode("latin-1")
            found = re.findall(r"/F\d+\+0 ([\d.]+) Tf[^()]*\(STOP: do not cut\)", written)
            assert [float(size) > 20 * 72 / 25.4 for size in found] == ([True] if stops else [])
            alphas = [float(s["/ca"]) for s in _states(sheet)]
            assert (0.3 in alphas) == stops


def _states(sheet: Any) -> list[Any]:
    found = sheet["/Resources"].get("/ExtGState", {})
    return [state for state in (value.get_object() for value in found.values()) if "/ca" in state]


def test_the_nest_of_a_bay_that_stops_has_nothing_to_cut(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    for name, z, status in (("apart", 99, 0), ("together", 2, 1)):
        bay = f'format = 1\nname = "{name}"\n' + "".join(
            f'[[part]]\nname = "{part}"\nrecipe = "cap_plate"\nt = 4\nat = [0, 0, {at}]\n'
            for part, at in (("near", 0), ("far", z))
        )
        Path(f"{name}.toml").write_text(bay, "utf-8")
        assert main(["flat", f"{name}.toml"]) == status
        assert ("near fouls far" in flat_text(capsys.readouterr().out)) == bool(status)
        [sheet] = Path("out", f"{name}_flat").glob("*.dxf")
        assert ("CUT" in layers(sheet)) != bool(status)
        assert (layers(sheet) == {"STOPPED"}) == bool(status)
        papers = pages(Path("out", f"{name}_flat", f"{name}-sheets.pdf"))
        assert [("STOP: do not cut" in paper) for paper in papers] == [bool(status)] * len(papers)
        assert ("near fouls far" in " ".join(papers)) == bool(status)


def test_a_recipe_that_stops_has_nothing_to_cut_in_make_and_flat(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "thin.py").write_text(THIN, "utf-8")
    monkeypatch.chdir(tmp_path)
    for verb in ("make", "flat"):
        assert main([verb, "./thin.py", "--into", verb]) == 1
        assert "STOP: do not cut: 1 stop" in capsys.readouterr().out
        [cut] = Path(verb).glob("*.dxf")
        assert layers(cut) == {"STOPPED"}
        [paper] = Path(verb).glob("*.pdf")
        assert all("STOP: do not cut" in text for text in pages(paper))


THIN = '''"""Thin: a strap that its own check stops."""
from dataclasses import dataclass
from brackets import Checked, Finding, flat_part, plate, slot

@dataclass(frozen=True, kw_only=True)
class Params(Checked):
    pass

def check(p):
    yield Finding(level="stop", code="x", piece="thin", sentence="it is too thin", source="s")

def build(p):
    return flat_part(plate(slot((0.0, 0.0), (60.0, 0.0), 30.0), 3.0), name="thin")
'''


# ------------------------------------------------------------------------------------ whose a finding is
def test_bolts_and_bushes_belong_to_the_parts_of_their_mount_and_boss_bolts_to_their_part(
    told: dict[str, Told],
) -> None:
    bay = told["fine"].done.bay
    whose = owners(bay)
    for name in ("m", "m bush", "m sleeve", "m bolt"):
        assert whose[name] == ("ears", "arm")
    assert whose["A"] == whose["B bolt"] == ("arm",)


@pytest.mark.parametrize(
    ("level", "about", "on"),
    [
        ("stop", ("m bolt",), {"ears", "arm"}),
        ("caution", ("m bush", "engine"), {"ears", "arm"}),
        ("advice", ("A bolt",), {"arm"}),
        ("stop", ("ears", "rail"), {"ears"}),
        ("stop", ("engine", "rail"), {"ears", "arm"}),
        ("caution", ("engine", "rail"), set()),
        ("caution", ("powertrain",), {"ears", "arm"}),
        ("advice", (), set()),
    ],
)
def test_on_whose_sheets_a_finding_stands(
    level: Any, about: tuple[str, ...], on: set[str], told: dict[str, Told]
) -> None:
    stood = told["fine"].done.stood
    one = Finding(level=level, code="x", piece="p", sentence="s", source="s", about=about)
    given = with_owners(stood.bay, [one])
    assert {part.name for part in stood.parts if of_part(stood.bay, part.part, part.name, given)} == on


def test_every_finding_of_a_fit_says_what_it_is_about(told: dict[str, Told]) -> None:
    for one in told.values():
        assert all(finding.about for finding in one.done.findings)


# ------------------------------------------------------------------------------------ accepting
def accepted(told: dict[str, Told], *more: Accept) -> Fit:
    """The bay that stops, with what stops accepted."""
    done = told["stop"].done
    wanted = (FITTER, *(replace(FITTER, code=code) for code in ("path blocked", "gap moved")), *more)
    return replace(done, findings=with_accepted(wanted, done.findings))


def test_what_is_accepted_stops_nothing_and_is_said_everywhere(
    told: dict[str, Told], light: None, tmp_path: Path
) -> None:
    done = accepted(told)
    words = "accepted by A. Fitter: the brace is sawn out first"
    assert not done.stops
    screen = fit_text(done, None)
    advice = sum(f.level == "advice" for f in done.findings)
    assert f"nothing stops: {advice} advice; accepted: 3 stops" in screen
    assert screen.count("accepted stop: ") == screen.count(words) == 3
    facts = record(done)
    assert [f["accepted_by"] for f in facts["findings"]] == ["A. Fitter"] * 3 + [""] * advice
    assert facts["verdict"] == f"nothing stops: {advice} advice; accepted: 3 stops"
    shown = bay_source._fitted(done)
    assert (shown["stops"], shown["verdict"]) == (False, facts["verdict"])
    assert [row[0] for row in rows(shown, "findings")] == ["accepted stop"] * 3 + ["advice"] * advice
    assert all(words in row[2] for row in rows(shown, "findings")[:3])
    files.write(done, tmp_path / "out")
    plate = tmp_path / "out" / "arm-plate.dxf"
    assert "CUT" in layers(plate)
    assert "STOPPED" not in layers(plate)
    assert "arm fouls brace" in texts(plate)
    assert words in texts(plate)
    assert words in flat_text(re.sub(r"<[^>]+>", " ", plate.with_suffix(".svg").read_text("utf-8")))
    paper = " ".join(pages(tmp_path / "out" / "arm.pdf"))
    assert "STOP: do not cut" not in paper
    assert words in paper
    assert "accepted: 3 stops" in paper


def test_an_acceptance_covers_its_code_about_its_part_and_nothing_else(told: dict[str, Told]) -> None:
    found = tuple(f for f in told["stop"].done.findings if f.level == "stop")
    more = {"level": "stop", "code": "foul", "sentence": "s", "source": "s"}
    other = Finding(**more, piece="ears | rail", about=("ears", "rail"))  # type: ignore[arg-type]
    again = replace(other, piece="arm | rail", about=("arm", "rail"))
    judged = with_accepted([FITTER], (*found, other, again))
    assert {f.piece for f in judged if f.accepted} == {"arm | brace", "arm | rail"}
    assert {f.code for f in judged if f.accepted} == {"foul"}
    assert other in judged
    assert verdict(judged) == "STOP: do not cut: 3 stops; accepted: 2 stops"


def test_an_acceptance_that_matches_nothing_is_said_with_what_there_is(told: dict[str, Told]) -> None:
    found = told["stop"].done.findings
    codes = sorted({f.code for f in found if "arm" in f.about})
    assert {"foul", "gap moved", "path blocked"} < set(codes)
    assert not any("nobody" in f.about for f in found)
    for part, there in (("arm", ", ".join(codes)), ("nobody", "none at all")):
        row = replace(FITTER, code="misfit", part=part)
        [said] = [f for f in with_accepted([row], found) if f.code == "accept"]
        assert (said.level, said.about) == ("caution", (part,))
        assert said.sentence == (
            f"accept misfit by A. Fitter: there is no such finding about {part}, there is {there}"
        )


def test_acceptances_are_read_and_used(tmp_path: Path) -> None:
    more = '[[accept]]\ncode = "foul"\npart = "m bolt"\nwhy = "seen"\nby = "A. Fitter"\n'
    bay = read(written(tmp_path, "fine", more))
    assert bay.accepts == (Accept(code="foul", part="m bolt", why="seen", by="A. Fitter"),)


@pytest.mark.parametrize(
    ("lines", "said"),
    [
        ('code = "foul"\npart = "arm"\nwhy = " "\nby = "B"', "why = nothing, must not be empty"),
        ('code = "foul"\npart = "arm"\nwhy = "seen"\nby = ""', "by = nothing, must not be empty"),
        ('code = "foul"\npart = "arm"\nwhy = "seen"', "by"),
        ('code = "foul"\npart = "arn"\nwhy = "seen"\nby = "B"', "accept foul: part = arn, nearest: arm"),
        ('part = "arm"\nwhy = "seen"\nby = "B"', "code"),
        ('code = "foul"\nwhy = "seen"\nby = "B"', "part"),
    ],
)
def test_an_acceptance_wants_code_part_why_and_by(lines: str, said: str, tmp_path: Path) -> None:
    with pytest.raises(BadFile, match=re.escape(said)):
        read(written(tmp_path, "fine", f"[[accept]]\n{lines}\n"))


def test_one_acceptance_for_one_code_and_part(tmp_path: Path) -> None:
    row = '[[accept]]\ncode = "foul"\npart = "arm"\nwhy = "seen"\nby = "B"\n'
    with pytest.raises(BadFile, match="accept foul: there are 2 about arm, each once"):
        read(written(tmp_path, "fine", row + row))

"""Readings files: read whole, refused line by line, worked out, drawn, and printed by the command."""

from __future__ import annotations

import json
import math
import re
import tomllib
import xml.etree.ElementTree as ET
from dataclasses import replace

import numpy as np
import pytest
from pypdf import PdfReader
from test_bosses import laid_over

from brackets.app.cli.measure_cmd import measure
from brackets.core.errors import BadFile, InputError
from brackets.drawing.sheets import check_sheet
from brackets.output import svg
from brackets.survey.facts import boss_rows, facts, survey_picture
from brackets.survey.file import read
from brackets.survey.readings import COVER as COVERED
from brackets.survey.work import pattern_text, work_out

SVG = "{http://www.w3.org/2000/svg}"

TAIL = """
# The underside of Tern's gearbox (invented, measured nowhere): four threads, read over the edges by two people.
format = 1
name = "Tern gearbox underside (invented)"
unit = "mm"

[tool]
calliper = 0.2
tape = 1.0

[pattern]
anticlockwise = ["T1", "T3", "T4", "T2"]     # looking at the casting, from below

[place]
at = [-320, 50, 120]        # T1 in the bay
along = [0, 1, 0]            # towards T2
normal = [0, 0, -1]

[[hole]]
name = "T1"
d = 8.5
thread = "M10"
depth = 24
into = "cast aluminium"
[[hole]]
name = "T2"
d = 8.5
thread = "M10"
depth = 24
into = "cast aluminium"
[[hole]]
name = "T3"
d = 8.4
thread = "M10"
depth = 24
into = "cast aluminium"
[[hole]]
name = "T4"
d = 8.5
thread = "M10"
depth = 24
into = "cast aluminium"

[[reading]]
between = ["T1", "T2"]
how = "outside"
values = [128.5, 128.6]
who = ["Ann", "Bob"]
[[reading]]
between = ["T1", "T3"]
how = "outside"
values = [158.4, 158.5]
who = ["Ann", "Bob"]
[[reading]]
between = ["T1", "T4"]
how = "inside"
values = [183.6, 200.6]     # Bob wrote down an outside reading
who = ["Ann", "Bob"]
[[reading]]
between = ["T2", "T3"]
how = "inside"
values = [183.6, "7-15/64in"]
who = ["Ann", "Bob"]
[[reading]]
between = ["T2", "T4"]
how = "outside"
values = [158.5, 158.5]
who = ["Ann", "Bob"]
[[reading]]
between = ["T3", "T4"]
how = "outside"
values = [128.4, 128.5]
who = ["Ann", "Bob"]

[[datum]]
name = "chassis"
marks = [[-50, 265, 0], [-50, -265, 0], [-750, 265, 0], [-750, -265, 0]]
diagonals = [878.5, 877.8]

[position]
about = [-400, -60, 220]
[[point]]
name = "T1"
drawn = [-320, 50, 120]
measured = [-313, 51, 135]
[[point]]
name = "T2"
drawn = [-320, 170, 120]
measured = [-315, 171, 138]
[[point]]
name = "E1"
drawn = [-365, -150, 290]
measured = [-360, -154, 298]
[[point]]
name = "L2"
drawn = [-270, 170, 268]
measured = [-270, 168, 288]

[weigh]
[[weighing]]
name = "level"
stands = [[-290, 180, 60], [-290, -140, 60], [-520, 15, 55]]
reads = [13.9, 27.4, 36.7]
[[weighing]]
name = "nose up"
stands = [[-290, 180, 60], [-290, -140, 60], [-520, 15, 55]]
reads = ["9.1 lb", "37.4 lb", 56.9]
nose_up = 15
"""


@pytest.fixture
def tail(tmp_path):
    path = tmp_path / "tail.toml"
    path.write_text(TAIL, encoding="utf-8")
    return path


def written(tmp_path, text):
    path = tmp_path / "readings.toml"
    path.write_text(text, encoding="utf-8")
    return path


def test_terns_underside_comes_back_where_the_bay_has_it(tail):
    """T2 and T4 of the demo bay: (-320, 170, 120), (-470, 170, 120); readings rounded to 0.1, one of them wrong."""
    made = work_out(read(tail))
    at = {b.name: b.at for b in made.bosses}
    assert at["T1"] == pytest.approx((-320, 50, 120))
    assert at["T2"] == pytest.approx((-320, 170, 120), abs=0.15)
    assert at["T3"] == pytest.approx((-470, 50, 120), abs=0.15)
    assert at["T4"] == pytest.approx((-470, 170, 120), abs=0.15)
    assert all(b.normal == pytest.approx((0, 0, -1)) for b in made.bosses)
    assert all(0.05 <= b.pos <= 0.2 for b in made.bosses)


def test_the_outside_reading_written_down_as_inside_is_named(tail):
    found = facts(work_out(read(tail)))["survey"]
    assert [n["reading"] for n in found["named"]] == ["T1 T4 inside 200.6 (Bob)"]
    assert found["named"][0]["guesses"][0].startswith("read outside, written down as inside: 183.6")
    assert found["verdict"] == "named"


def test_the_rest_of_the_sample_says_what_it_was_made_from(tail):
    """Made from 78 kg at (-398.33, -10, 278.33), moved by (6, -3, 9), roll 1.5, pitch -2, yaw 1 about the
    crank; readings rounded to 0.1 kg and 1 mm."""
    made = work_out(read(tail))
    assert made.balance is not None
    assert made.balance.mass == pytest.approx(78.0, abs=0.2)
    assert made.balance.centre == pytest.approx((-398.33, -10, 278.33), abs=2.0)
    assert made.position is not None
    off = np.abs(np.array(made.position.at) - (6, -3, 9)) / made.position.at_pm
    assert off.max() < 1.0
    assert (made.position.roll, made.position.pitch, made.position.yaw) == pytest.approx((1.5, -2.0, 1.0), abs=0.25)
    assert made.squares[0].agrees
    assert made.stops == ()


def test_inches_give_the_same_as_millimetres(tail, tmp_path):
    def inches(text):
        """Every bare length of the sample as inches: the keys that are lengths, and no others."""
        out, table = [], ""
        for line in text.splitlines():
            table = line.strip() if line.startswith("[") else table
            lengths = re.match(
                r"(d|depth|values|at|diagonals|about|drawn|measured|stands|marks|calliper|tape) =", line
            )
            if lengths and not line.startswith("depth ="):
                head, _, rest = line.partition("=")
                rest, _, _ = rest.partition("#")
                rest = re.sub(r'(?<![\w"/-])-?\d+(\.\d+)?(?![\w"/-])', lambda m: repr(float(m[0]) / 25.4), rest)
                line = f"{head}={rest}"
            elif line.startswith("depth ="):
                line = 'depth = "24 mm"'
            out.append('unit = "in"' if line.startswith("unit =") else line)
        return "\n".join(out)

    mm, inch = work_out(read(tail)), work_out(read(written(tmp_path, inches(TAIL))))
    # what is not typed in the file has defaults in mm, so the two are one survey
    assert inch.survey is not None
    assert mm.survey is not None
    assert inch.survey.coordinates == pytest.approx(mm.survey.coordinates, abs=1e-6)
    assert inch.balance is not None
    assert mm.balance is not None
    assert inch.balance.centre == pytest.approx(mm.balance.centre, abs=1e-6)


def test_the_command_prints_tables_and_writes_its_folder(tail, tmp_path, capsys):
    into = tmp_path / "made"
    assert measure(str(tail), False, into) == 0
    said = capsys.readouterr().out
    for word in (
        "Holes",
        "Readings",
        "WRONG READING, left out: T1 T4 inside 200.6 (Bob)",
        "place = { at =",
        "78.0",
    ):
        assert word in said
    assert sorted(p.name for p in into.iterdir()) == [
        "bosses.toml", "check-sheet.pdf", "check-sheet.svg", "facts.json", "pattern.txt", "picture.svg",
    ]  # fmt: skip
    rows = tomllib.loads((into / "bosses.toml").read_text(encoding="utf-8"))["boss"]
    assert [r["name"] for r in rows] == ["T1", "T2", "T3", "T4"]
    assert rows[0]["thread"] == "M10"


def test_json_holds_the_same_facts(tail, tmp_path, capsys):
    assert measure(tail, True, tmp_path / "made") == 0
    said = json.loads(capsys.readouterr().out)
    assert said["format"] == 1
    assert said["holes"][1]["at"] == pytest.approx([-320, 170, 120], abs=0.15)
    assert said["survey"]["pattern"].startswith("0,0 ")
    assert said["files"][-1] == "facts.json"


def test_the_boss_rows_are_rows_of_a_bay_file(tail, tmp_path):
    from brackets.bay.schema.standing import Boss
    from brackets.core.schema.reading import from_mapping
    from brackets.survey.facts import boss_rows

    made = work_out(read(tail))
    for row in tomllib.loads(boss_rows(made.bosses, placed=True))["boss"]:
        assert from_mapping(Boss, row).name == row["name"]


def test_the_pattern_is_what_a_recipe_takes(tail):
    from brackets.core.schema.reading import from_texts
    from brackets.library.recipe import recipe

    made = work_out(read(tail))
    assert made.survey is not None
    adaptor = recipe("adaptor")
    holes = from_texts(adaptor.Params, {"holes": pattern_text(made.survey)}).holes
    assert np.array(holes) == pytest.approx(made.survey.coordinates[:, :2], abs=0.006)


def test_the_bosses_are_what_a_cup_on_a_plate_takes(tail):
    from brackets.core.schema.reading import from_texts
    from brackets.library.recipe import recipe
    from brackets.survey.work import bosses_text

    made = work_out(read(tail))
    plate = from_texts(
        recipe("cup_on_plate").Params,
        {"bosses": bosses_text(made.bosses), "normal": "0,0,-1", "bush": "-395,-20,106"},
    )
    assert np.array(plate.bosses) == pytest.approx(np.array([b.at for b in made.bosses]), abs=0.006)


def test_the_check_sheet_has_every_hole_where_the_survey_puts_it_and_not_mirrored(tail):
    made = work_out(read(tail))
    assert made.survey is not None
    circles = [stroke.circle for stroke in check_sheet(made).strokes if stroke.circle is not None]
    paper = np.array([centre for centre, _ in circles])
    true = made.survey.coordinates[:, :2]
    apart = np.linalg.norm(paper[:, None] - paper[None], axis=-1)
    assert apart == pytest.approx(np.linalg.norm(true[:, None] - true[None], axis=-1), abs=1e-9)
    assert np.linalg.det(paper[1:3] - paper[0]) * np.linalg.det(true[1:3] - true[0]) > 0
    assert [2 * r for _, r in circles] == pytest.approx([8.5, 8.5, 8.4, 8.5], abs=0.1)


def test_the_check_sheet_is_printed_one_to_one_with_bars_of_a_hundred(tail, tmp_path, capsys):
    """Read back by pypdf: the words of the pages, and their size."""
    into = tmp_path / "made"
    assert measure(tail, False, into, paper="Letter") == 0
    capsys.readouterr()
    pages = PdfReader(into / "check-sheet.pdf").pages
    said = [page.extract_text() for page in pages]
    assert "Tern gearbox underside (invented)" in said[0]
    assert "every cross must lie on its hole" in said[0]
    assert len(said) == 2
    for name in ("T1", "T2", "T3", "T4"):
        assert "".join(said).count(name) == 2, "in the table and on the drawing"
    assert all(sorted(map(float, page.mediabox[2:])) == [612, 792] for page in pages)
    root = ET.parse(into / "check-sheet.svg").getroot()
    width, height = (float(root.attrib[k].removesuffix("mm")) for k in ("width", "height"))
    assert [float(v) for v in root.attrib["viewBox"].split()][2:] == [width, height]


def test_rows_in_the_patterns_own_axes_say_so(tail):
    made = work_out(read(tail))
    assert boss_rows(made.bosses, placed=False).startswith("# in the pattern's own axes: give [place]")
    assert boss_rows(made.bosses, placed=True).startswith("[[boss]]\n")


def test_the_height_of_a_hole_is_as_doubtful_as_its_covariance_has_it(tail):
    made = work_out(read(tail))
    variances = np.diag(made.survey.covariance)[2::3]
    told = [hole["height_pm"] for hole in facts(made)["holes"]]
    assert told == pytest.approx([COVERED * math.sqrt(max(v, 0.0)) for v in variances])


def test_unknown_paper_writes_nothing(tail, tmp_path):
    with pytest.raises(InputError, match='--paper = "A9", must be A4, A3, Letter'):
        measure(tail, False, tmp_path / "made", paper="A9")
    assert not (tmp_path / "made").exists()


def test_the_picture_states_how_much_its_ellipses_are_enlarged(tail):
    made = work_out(read(tail))
    assert made.survey is not None
    root = ET.fromstring(survey_picture(made))
    said = "".join(root.itertext())
    times = int(re.search(r"enlarged (\d+) times", said)[1])
    scale = float(re.search(r"([\d.]+) times full size", said)[1])
    largest = max(float(e.attrib["rx"]) for e in root.iter(f"{SVG}ellipse"))
    pm = max(h["ellipse"]["long"] for h in facts(made)["holes"])
    assert largest == pytest.approx(pm * times * scale, rel=0.01)
    assert len([x for x in root.iter(f"{SVG}line") if x.attrib["class"] == "bad"]) == 1


def test_a_name_with_markup_does_not_spoil_a_drawing(tail, tmp_path):
    made = work_out(
        read(written(tmp_path, TAIL.replace("(invented)", "<&> (invented)", 1).replace('"T4"', '"T<4"')))
    )
    for text in (survey_picture(made), svg.text(check_sheet(made))):
        assert "T<4" in "".join(ET.fromstring(text).itertext())


def test_a_shape_that_is_not_fixed_stops_and_asks_for_the_reading_that_fixes_it(tmp_path, capsys):
    holes = "".join(f'[[hole]]\nname = "{n}"\n' for n in "abcd")
    sides = {"a b": 100, "b c": 80, "c d": 100, "a d": 80}
    rows = "".join(f"[[reading]]\nbetween = {json.dumps(k.split())}\nvalue = {v}\n" for k, v in sides.items())
    assert measure(written(tmp_path, f"format = 1\n{holes}{rows}"), False, tmp_path / "made") == 1
    said = capsys.readouterr().out
    assert "STOP: do not cut. holes: the readings do not fix the shape" in said
    assert re.search(r"the next reading to take is (a to c|b to d): it fixes the shape", said)
    assert "clockwise = " in said


def test_a_diagonal_that_disagrees_stops(tail, tmp_path, capsys):
    text = TAIL.replace("877.8]", "871.8]")
    assert measure(written(tmp_path, text), False, tmp_path / "made") == 1
    assert "datum chassis: the diagonals do not agree" in capsys.readouterr().out


def test_a_person_who_reads_long_is_told(tmp_path):
    from brackets.survey.sheets import sheets

    at = {"a": (0, 0), "b": (90, 0), "c": (0, 70), "d": (95, 75)}
    rows = []
    for i, p in enumerate(at):
        for q in list(at)[i + 1 :]:
            true = math.dist(at[p], at[q])
            rows.append(f'[[reading]]\nbetween = ["{p}", "{q}"]\nvalues = [{true:.3f}, {true + 0.25:.3f}]\n'
                        'who = ["Ann", "Bob"]\n')  # fmt: skip
    holes = "".join(f'[[hole]]\nname = "{n}"\n' for n in at)
    made = work_out(read(written(tmp_path, f"format = 1\n{holes}{''.join(rows)}")))
    notes = [n for s in sheets(made) for n in s.notes]
    assert any(re.match(r"Bob reads 0\.1\d mm too long", n) for n in notes)


def test_the_same_file_gives_the_same_bytes(tail, tmp_path):
    for name in ("one", "two"):
        measure(tail, True, tmp_path / name)
    for path in (tmp_path / "one").iterdir():
        assert path.read_bytes() == (tmp_path / "two" / path.name).read_bytes()


HAND = re.search(r"anticlockwise.*", TAIL)[0]
SIGHTED = '\nsighted = "T3"\nsighted_at = [-465, 45, 118]   # by tape, roughly\n'
NORMAL = "normal = [0, 0, -1]\n"


def test_without_a_hand_no_boss_row_and_no_hole_list_is_written_anywhere(tmp_path, capsys):
    """T3 at (-470, 50, 120) came out mirrored under the line T1 T2, in the rows and in the list for a plate."""
    into = tmp_path / "made"
    assert measure(written(tmp_path, TAIL.replace(HAND, "")), False, into) == 1
    said = capsys.readouterr().out
    assert not {"bosses.toml", "pattern.txt"} & {path.name for path in into.iterdir()}
    assert "[[boss]]" not in said
    assert "--holes" not in said
    assert "--bosses" not in said
    assert "bay x" not in said
    assert "STOP: do not cut. holes: which way round they go is not stated" in said
    assert 'clockwise = ["T1", "T2", "T3"]' in said
    assert 'sighted = "T3"' in said
    for still in ("Readings", "WRONG READING, left out: T1 T4 inside 200.6 (Bob)", "Datum", "Position", "Weight"):
        assert still in said
    kept = json.loads((into / "facts.json").read_text(encoding="utf-8"))
    assert kept["survey"]["pattern"] is None
    assert kept["survey"]["bosses"] is None
    assert all(hole["at"] is None for hole in kept["holes"])
    for name in ("check-sheet.svg", "picture.svg"):
        said = "".join(ET.parse(into / name).getroot().itertext())
        assert "MAY BE THE MIRROR IMAGE of the holes".upper() in said.upper()


def test_what_the_check_sheet_says_to_write_is_the_hand_it_is_drawn_with(tmp_path):
    """Whichever of its two lines is written into the file, the next sheet is as this one lay on the casting."""
    open_ = work_out(read(written(tmp_path, TAIL.replace(HAND, ""))))
    up, down = (re.search(r"(\w+) = \[(.*)\]", n) for n in check_sheet(open_).notes[1:3])
    assert open_.survey is not None
    for found, mirrored in ((up, 1.0), (down, -1.0)):
        order = json.dumps(found[2].split(", "))
        told = work_out(read(written(tmp_path, TAIL.replace(HAND, f"{found[1]} = {order}"))))
        assert told.doubts == ()
        assert told.survey is not None
        assert told.survey.coordinates[:, 1] == pytest.approx(mirrored * open_.survey.coordinates[:, 1], abs=1e-6)


def test_a_sighted_hole_tells_the_hand(tail, tmp_path):
    made = work_out(read(written(tmp_path, TAIL.replace(HAND, "").replace(NORMAL, NORMAL + SIGHTED, 1))))
    assert made.doubts == ()
    for boss, other in zip(made.bosses, work_out(read(tail)).bosses, strict=True):
        assert boss.at == pytest.approx(other.at, abs=1e-9)


CONTRARY = {
    "sighted": (TAIL.replace("anticlockwise", "clockwise").replace(NORMAL, NORMAL + SIGHTED, 1),
                "[place] sighted = T3: seen"),
    "points": (TAIL.replace("anticlockwise", "clockwise")
               .replace('"E1"\ndrawn = [-365, -150, 290]', '"T4"\ndrawn = [-470, 170, 120]')
               .replace("[-360, -154, 298]", "[-465, 168, 133]"), "point T4 as drawn is"),
}  # fmt: skip


@pytest.mark.parametrize("case", CONTRARY)
def test_a_hand_that_contradicts_other_readings_stops_and_no_rows_are_written(case, tmp_path, capsys):
    text, words = CONTRARY[case]
    into = tmp_path / "made"
    assert measure(written(tmp_path, text), False, into) == 1
    said = capsys.readouterr().out
    assert "STOP: do not cut. holes: the way round they go contradicts other readings. " + words in said
    assert not (into / "bosses.toml").exists()


def test_points_and_sight_that_agree_with_the_hand_say_nothing(tmp_path):
    for text, _ in CONTRARY.values():
        assert work_out(read(written(tmp_path, text.replace("\nclockwise", "\nanticlockwise")))).doubts == ()


def test_rows_are_not_written_for_holes_that_are_not_fixed(tmp_path, capsys):
    """Without the two diagonals the face folds."""
    rows = re.split(r"(?=\[\[reading\]\])", TAIL)
    text = "".join(r for r in rows if '"T1", "T4"' not in r[:40] and '"T2", "T3"' not in r[:40])
    into = tmp_path / "made"
    assert measure(written(tmp_path, text), False, into) == 1
    assert "the readings do not fix the shape" in capsys.readouterr().out
    assert not (into / "bosses.toml").exists()


# Tern's gearbox cover (invented): five threads, G3 3 mm further out; G1 G3 was typed 175.9 for 174.9.
COVER_AT = {"G1": (-210, 200, 95), "G2": (-215, 200, 215), "G3": (-300, 203, 235), "G4": (-390, 200, 205),
            "G5": (-385, 200, 100)}  # fmt: skip
COVER = {"G1 G2": 128.5, "G1 G3": 175.9, "G1 G4": 219.5, "G1 G5": 183.4, "G2 G3": 95.9, "G2 G4": 183.6,
         "G2 G5": 213.8, "G3 G4": 103.4, "G3 G5": 168.2, "G4 G5": 113.6}  # fmt: skip


def test_a_millimetre_is_not_blamed_on_a_good_reading_and_the_bosses_lie_within_their_plus_minus(tmp_path):
    """G1 G2, good to 0.1, was named and dropped: 175.9 is 0.94 from sqrt((plan + 8.5)² + 3²) of the bosses."""
    head = 'format = 1\n[tool]\ncalliper = 0.15\n[pattern]\nclockwise = ["G1", "G2", "G3"]\n[place]\n'
    head += "at = [-210, 200, 95]\nalong = [-5, 0, 120]\nnormal = [0, 1, 0]\n"
    head += "".join(f'[[hole]]\nname = "{n}"\nd = 8.5\n' for n in COVER_AT)
    head += '[[step]]\nbetween = ["G1", "G3"]\nvalue = 3\n'
    for pair, value in COVER.items():
        head += f'[[reading]]\nbetween = {json.dumps(pair.split())}\nhow = "outside"\nvalue = {value}\n'
    made = work_out(read(written(tmp_path, head)))
    assert made.survey is not None
    assert made.survey.suspect.named == ()
    assert 1 in made.survey.suspect.candidates
    assert "one is wrong and which is wrong cannot be told, so none is left out: " in made.stops[0]
    # ± of each against the pattern as a whole, not against G1 and the line to G2 that it is laid by
    true = np.array([COVER_AT[boss.name] for boss in made.bosses], dtype=float)[:, [0, 2]]
    off = laid_over(np.array([boss.at for boss in made.bosses])[:, [0, 2]], true)
    assert (np.linalg.norm(off, axis=1) <= [boss.pos for boss in made.bosses]).all()
    assert max(boss.pos for boss in made.bosses) > 1.0


HEAD = "format = 1\n"
PAIR = '[[hole]]\nname = "a"\n[[hole]]\nname = "b"\n'
READ = '[[reading]]\nbetween = ["a", "b"]\nvalue = 50\n'
WEIGHED = "[[weighing]]\nstands = [[0, 0, 0], [900, 300, 0], [900, -300, 0]]\nreads = [50, 50, 50]\n"
POINTS = "".join(
    f'[[point]]\nname = "p{k}"\ndrawn = [{x}, {y}, 0]\nmeasured = [{x}, {y}, 5]\n'
    for k, (x, y) in enumerate([(0, 0), (500, 0), (0, 300)])
)
DATUM = "[[datum]]\nmarks = [[0, 0, 0], [0, 600, 0], [900, 0, 0], [900, 600, 0]]\ndiagonals = [1081.7, 1081.6]\n"

BAD = {
    "newer format": ("format = 2\n" + PAIR + READ, "format = 2, must be 1", "newer version"),
    "no format": (PAIR + READ, "format = nothing, must be 1", ""),
    "not TOML": ("format = = 1", "is not TOML", ""),
    "unknown unit": (HEAD + 'unit = "cm"\n' + PAIR + READ, 'must be "mm" or "in"', ""),
    "unknown table": (HEAD + PAIR + READ.replace("reading", "readings"), "readings: no such", "nearest: reading"),
    "unknown key": (HEAD + PAIR + READ.replace("value", "valeu"), "valeu", "nearest: value"),
    "unknown hole": (HEAD + PAIR + READ.replace('"b"]', '"bb"]'), 'between = "bb"', "nearest: "),
    "duplicate name": (HEAD + PAIR.replace('"b"', '"a"') + READ, 'name = "a", must be given once', ""),
    "negative distance": (HEAD + PAIR + READ.replace("50", "-50"), "value = -50 mm, must be above 0", ""),
    "kilograms": (HEAD + PAIR + READ.replace("50", '"50 kg"'), "50 kg", "length"),
    "gauge": (HEAD + PAIR + READ.replace("50", '"14 ga"'), "14 ga", "gauge"),
    "bare fraction": (HEAD + PAIR + READ.replace("50", '"5/16"'), "5/16", "in"),
    "no diameter": (HEAD + PAIR + READ + 'how = "outside"\n', 'hole "a" d = none', "taken over its edge"),
    "value and values": (HEAD + PAIR + READ + "values = [50, 51]\n", "exactly one of the two", ""),
    "who": (HEAD + PAIR + READ.replace(" = 50", 's = [50, 51, 52]\nwho = ["A", "B"]'), "2 names", "3 values"),
    "untied": (HEAD + PAIR + '[[hole]]\nname = "c"\n' + READ, "none between c and the rest", ""),
    "nothing": (HEAD, "nothing to work out", ""),
    "marks in a line": (HEAD + DATUM.replace("600", "0"), "all in a line", "quadrilateral"),
    "points in a line": (HEAD + POINTS.replace("300", "0"), "all in a line", ""),
    "two points": (HEAD + POINTS.rpartition("[[point]]")[0], "must be at least 3", ""),
    "stands in a line": (HEAD + WEIGHED.replace("300", "0"), "all in a line", "tip"),
    "one scale short": (HEAD + WEIGHED.replace("[50, 50, 50]", "[50, 50]"), "reads = 2 values", "3 points"),
    "negative scale": (HEAD + WEIGHED.replace("[50, 50, 50]", "[50, 50, -1]"), "-1", ""),
    "scale in newtons": (HEAD + WEIGHED.replace("[50, 50, 50]", '["500 N", 50, 50]'), "500 N", ""),
    "sight without place": (
        HEAD + PAIR + READ + "[place]\nat = [0, 0, 0]\nalong = [1, 0, 0]\nnormal = [0, 0, 1]\nsighted = \"b\"\n",
        "sighted = given with sighted_at or neither is", "",
    ),
    "sight along the line": (
        TAIL.replace(NORMAL, NORMAL + SIGHTED.replace("-465, 45, 118", "-320, 60, 119"), 1),
        "mm from the line of the first two holes, must be at least 10", "",
    ),
    "sight of an unknown hole": (
        TAIL.replace(NORMAL, NORMAL + SIGHTED.replace("T3", "T9"), 1), 'place sighted = "T9", must be the name', "",
    ),
    "along the normal": (
        HEAD + PAIR + READ + "[place]\nat = [0, 0, 0]\nalong = [0, 0, 1]\nnormal = [0, 0, 1]\n",
        "must not be parallel to normal", "",
    ),
}  # fmt: skip


@pytest.mark.parametrize("case", BAD)
def test_a_bad_file_is_refused_in_clear_lines(case, tmp_path):
    text, words, more = BAD[case]
    path = written(tmp_path, text)
    with pytest.raises(BadFile) as refused:
        work_out(read(path))
    said = str(refused.value)
    assert words in said
    assert more in said
    assert all(line.startswith(f"{path}: ") for line in said.splitlines())
    assert len(refused.value.problems) <= 3


def test_everything_wrong_in_a_file_is_said_at_once(tmp_path):
    text = HEAD + 'colour = 1\n[[hole]]\nname = "a"\nd = -3\n[[hole]]\n[[reading]]\nbetween = ["a"]\nvalue = "x"\n'
    with pytest.raises(BadFile) as refused:
        read(written(tmp_path, text))
    said = str(refused.value)
    for words in ("colour", "d = -3", "hole 2: name", "between", '"x"'):
        assert words in said


def test_a_missing_file_is_one_line(tmp_path):
    with pytest.raises(BadFile) as refused:
        read(tmp_path / "none.toml")
    assert "no such file" in str(refused.value)


def test_what_a_file_does_not_hold_is_left_out(tmp_path):
    made = work_out(read(written(tmp_path, HEAD + WEIGHED)))
    assert made.survey is None
    assert set(facts(made)) == {"format", "name", "stops", "weight"}
    assert facts(made)["weight"]["centre_pm"][2] is None


def test_a_place_turns_the_pattern_and_not_its_shape(tail):
    readings = read(tail)
    plain = work_out(replace(readings, placed=None))
    placed = work_out(readings)
    a, b = (np.array([boss.at for boss in m.bosses]) for m in (plain, placed))
    d = [np.linalg.norm(p[:, None] - p[None], axis=-1) for p in (a, b)]
    assert d[0] == pytest.approx(d[1], abs=1e-9)
    turn = np.linalg.lstsq(a - a[0], b - b[0], rcond=None)[0]
    assert np.linalg.norm(turn[2]) < 1e-9, "a flat pattern has no height to turn"


def test_readings_that_contradict_stop_and_are_asked_for_again(tmp_path, capsys):
    """Six distances of a rectangle of 120 x 150, one 3 mm out: any of the six may be the wrong one."""
    apart = {"T1 T2": 123.0, "T1 T3": 150.0, "T1 T4": 192.09, "T2 T3": 192.09, "T2 T4": 150.0, "T3 T4": 120.0}
    holes = "".join(f'[[hole]]\nname = "T{k}"\n' for k in (1, 2, 3, 4))
    rows = "".join(f"[[reading]]\nbetween = {json.dumps(k.split())}\nvalue = {v}\n" for k, v in apart.items())
    assert measure(written(tmp_path, HEAD + holes + rows), False, tmp_path / "made") == 1
    said = capsys.readouterr().out
    assert "which is wrong cannot be told" in said
    assert "read these again" in said
    assert said.count("T1 T2 centre 123") == 2

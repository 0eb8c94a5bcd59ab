"""`brackets family`: its table, files, statuses and page."""

from __future__ import annotations

import base64
import hashlib
import json
from pathlib import Path
from typing import Any

import pytest

from brackets import family
from brackets.app.cli.app import main
from brackets.app.cli.family_cmd import ALONE, UNCHANGED, processes
from brackets.core.errors import BadFile, InputError
from brackets.variants.page import page


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "100")
    return tmp_path


def run(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, str, str]:
    status = main(["family", *words])
    told = capsys.readouterr()
    return status, told.out, told.err


def test_the_table_the_files_and_the_same_again(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    words = ("cup", "--bush-od", "50,60", "--length", "40..60/10", "--sort", "mass")
    status, out, err = run(capsys, *words)
    assert (status, err) == (0, "")
    lines = out.splitlines()
    assert [line.split()[0] for line in lines[:8]] == ["row", "---", "1", "4", "2", "5", "3", "6"]
    assert max(map(len, lines)) <= 100
    assert "6 rows: 6 fine" in out
    assert "Strength is not judged" in " ".join(out.split())
    folder = here / "out" / "cup_family"
    files = {path.name: path.read_bytes() for path in sorted(folder.iterdir())}
    assert sorted(files) == ["facts.json", "results.jsonl", "rows.csv", "rows.html", "rows.jsonl", "rows.xlsx"]
    facts = json.loads(files["facts.json"])
    tables = ("rows.csv", "rows.html", "rows.jsonl", "rows.xlsx")
    assert facts["sha256"] == {name: hashlib.sha256(files[name]).hexdigest() for name in tables}
    (folder / "mine.txt").write_text("mine")
    again = run(capsys, *words)
    assert "had 6 of 6 rows already" in again[1]
    assert (folder / "mine.txt").read_text() == "mine"
    assert {path.name: path.read_bytes() for path in sorted(folder.iterdir()) if path.name != "mine.txt"} == files


def test_a_family_none_of_which_may_be_cut_is_status_1(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    status, out, _ = run(capsys, "cup", "--bush-od", "50", "--od", "48..50/1", "--no-files")
    assert status == 1
    assert "3 refused. Every row stops." in out
    assert not list(here.iterdir())


def test_everything_that_is_wrong_is_said_at_once(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    status, out, err = run(capsys, "cup", "--bush-od", "5,60,x", "--lenght", "4", "--skip", "import os")
    assert (status, out) == (2, "")
    said = err.splitlines()
    assert len(said) == 4
    assert [word in "".join(said) for word in ("bush_od = 5 mm", "lenght: no such value", "skip = ")] == [True] * 3
    status, _, err = run(capsys, "cup", "--bush-od", "60", "--workers", "-1", "--time-limit", "0", "--bare", "ft")
    assert status == 2
    assert len(err.splitlines()) == 3
    status, _, err = run(capsys, "cup", "--bush-od", "5", "--lenght", "4", "--workers", "-1", "--bare", "ft")
    assert status == 2
    assert [line.split(" ")[0] for line in err.splitlines()] == ["--bare", "--workers", "bush_od", "lenght:"]
    assert not list(here.iterdir())


def test_a_wrong_order_is_refused_before_any_row_is_made(
    here: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("brackets.variants.family.run", lambda *_, **__: pytest.fail("no row is to be made"))
    status, _, err = run(capsys, "cup", "--bush-od", "50,60", "--sort", "mas")
    assert (status, err) == (2, 'sort = "mas", nearest: mass: what rows are sorted by\n')
    assert not list(here.iterdir())


def test_a_family_without_a_row_writes_nothing(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    status, _, err = run(capsys, "cup", "--bush-od", "50,60", "--skip", "bush_od > 3")
    assert (status, err) == (2, "rows = none, one or more: every row is left out by `skip`\n")
    assert not list(here.iterdir())


def test_files_of_single_rows(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    words = ("cup", "--bush-od", "50,60", "--od", "65,55", "--row-name", "{bush_od} in {od}")
    status, out, _ = run(capsys, *words, "--files", "1")
    assert status == 0
    assert "rows/50-in-65" in out
    folder = here / "out" / "cup_family" / "rows"
    assert [path.name for path in folder.iterdir()] == ["50-in-65"]
    alone = here / "alone"
    assert main(["make", "cup", "--bush-od", "50", "--od", "65", "--into", str(alone)]) == 0
    capsys.readouterr()
    for path in alone.iterdir():
        assert (folder / "50-in-65" / path.name).read_bytes() == path.read_bytes(), path.name
    status, _, err = run(capsys, *words, "--files", "0,4,x,9")
    assert status == 2
    assert err.splitlines() == [
        'files = "0", must be all or numbers of rows, 1 to 4',
        "files = 4, a row that is a part: row 4 is refused",
        'files = "x", must be all or numbers of rows, 1 to 4',
        'files = "9", must be all or numbers of rows, 1 to 4',
    ]
    assert run(capsys, *words, "--files", "1", "--no-files")[0] == 2
    run(capsys, *words)
    assert (folder / "50-in-65" / "cup.step").exists(), "the files of a row stay where the family is run again"


def test_a_picture_of_each_row_and_its_page(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    words = ("cup", "--bush-od", "50,60", "--od", "65,55", "--pictures")
    assert run(capsys, *words)[0] == 0
    folder = here / "out" / "cup_family"
    text = (folder / "rows.html").read_text("utf-8")
    data = json.loads(text.split('type="application/json">')[1].split("</script>")[0])
    assert sorted(data["pictures"]) == ["1", "2", "3"], "the fourth is refused"
    for number, (picture, href) in data["pictures"].items():
        assert base64.b64decode(picture.removeprefix("data:image/png;base64,"))[:4] == b"\x89PNG"
        assert href == f"views/row_{number}.html"
        assert (folder / href).stat().st_size > 100_000
    assert len({picture for picture, _ in data["pictures"].values()}) == 3
    before = {path.name: path.read_bytes() for path in (folder / "views").iterdir()}
    assert run(capsys, *words)[0] == 0
    assert {path.name: path.read_bytes() for path in (folder / "views").iterdir()} == before
    status, _, err = run(capsys, *words, "--no-files")
    assert (status, err) == (2, "--pictures = given, not with --no-files: it writes files\n")
    assert main(["new", "shop", "shop.toml"]) == 0
    status, _, err = run(capsys, *words, "--shop", "shop.toml")
    assert status == 2
    assert err.startswith("--pictures = given with a shop, one of them")


def test_rows_of_a_file_and_json(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (here / "rows.csv").write_text("name,bush_od\nsmall,50\nlarge,2.5in\n")
    status, out, _ = run(capsys, "cup", "--rows", "rows.csv", "--json", "--no-files")
    told: dict[str, Any] = json.loads(out)
    assert status == 0
    assert [(row["name"], row["values"]["bush_od"]) for row in told["rows"]] == [("small", 50.0), ("large", 63.5)]
    assert told["strength"] == "not judged"
    (here / "rows.csv").write_text("name,bush_od\nsmall,5\nlarge,x\n")
    status, _, err = run(capsys, "cup", "--rows", "rows.csv")
    assert status == 2
    assert [line.split(": ")[1] for line in err.splitlines()] == ["line 2", "line 3"]


def test_values_beside_a_file_are_refused(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (here / "f.toml").write_text('format = 1\nrecipe = "cup"\n[vary]\nbush_od = [50, 60]\n')
    assert run(capsys, "f.toml", "--no-files")[0] == 0
    status, _, err = run(capsys, "f.toml", "--length", "50", "--skip", "length > 3")
    assert status == 2
    assert [line.split(" = ")[0] for line in err.splitlines()] == ["--length", "--skip"]


@pytest.mark.parametrize("form", ["words", "rows", "vary", "rows of a file"])
def test_a_long_list_of_wrong_values_is_told_by_its_first(
    form: str, here: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """10,000 of one value: ten and how many more; the one that is wrong beside them is told too."""
    wrong = [str(-i) for i in range(1, 10_001)]
    (here / "rows.csv").write_text("\n".join(("od,wall", *(f"{one}," for one in wrong), ",-3")), "utf-8")
    top = 'format = 1\nrecipe = "cup"\n'
    (here / "vary.toml").write_text(f"{top}[vary]\nod = [{', '.join(wrong)}]\nwall = -3\n", "utf-8")
    (here / "listed.toml").write_text(f'{top}rows = "rows.csv"\n', "utf-8")
    typed = {
        "words": ("cup", "--od", ",".join(wrong), "--wall", "-3"),
        "rows": ("cup", "--rows", "rows.csv"),
        "vary": ("vary.toml",),
        "rows of a file": ("listed.toml",),
    }
    assert main(["family", *typed[form]]) == 2
    said = capsys.readouterr().err.splitlines()
    assert len(said) == 12
    assert all(f"od = {-i} mm, must be 10" in said[i - 1] for i in range(1, 11))
    assert said[10].endswith("and 9990 more of od, which are told once these are put right")
    assert "wall = -3 mm" in said[11]


def test_a_script_has_every_wrong_value_and_their_text_the_first() -> None:
    with pytest.raises(InputError) as refused:
        family("cup", od=[-i for i in range(1, 10_001)])
    assert len(refused.value.problems) == 10_000
    assert len(str(refused.value).splitlines()) == 11
    few = InputError(*(f"od = {-i} mm, must be 10: outside" for i in range(20)))
    assert str(few).splitlines() == list(few.problems)
    long = BadFile("bay.toml", *(f"keep_out {i}: box = 0, must be larger" for i in range(250)))
    assert str(long).splitlines()[-1] == "bay.toml: and 150 more"
    assert len(str(long).splitlines()) == 101


def test_a_folder_of_somebody_elses_is_left_alone(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (here / "theirs").mkdir()
    (here / "theirs" / "letter.txt").write_text("dear aunt")
    status, _, err = run(capsys, "cup", "--into", "theirs")
    assert status == 2
    assert "must be new, empty or written by this program" in err
    assert [path.name for path in (here / "theirs").iterdir()] == ["letter.txt"]


def test_a_cluster_that_is_not_there_is_said(
    here: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    import sys

    monkeypatch.setitem(sys.modules, "distributed", None)
    status, _, err = run(capsys, "cup", "--cluster", "tcp://nowhere:1", "--no-files")
    assert status == 2
    assert "needs Dask: pip install 'mountwright[cluster]'" in err


def test_workers_are_started_where_they_are_worth_it() -> None:
    assert processes(ALONE, bay=False) == 0
    assert processes(10_000, bay=False) >= 1
    assert processes(1, bay=True) == 1


ODD = "</script><b>&@data@"


def test_the_page_keeps_every_text_as_text_and_fetches_nothing() -> None:
    from brackets import family

    rows = family("cup", rows=[{"name": ODD, "bush_od": 50}, {"name": "b", "bush_od": 60}])
    text = page(rows)
    assert text.count("</script>") == 2
    assert "default-src &#x27;none&#x27;" in text
    assert "http" not in text.replace("http-equiv", "").replace("http://www.w3.org/2000/svg", "")
    data = json.loads(text.split('type="application/json">')[1].split("</script>")[0])
    assert [row[1] for row in data["rows"]] == [ODD, "b"]


# ---------------------------------------------------------------- nothing changed
def stamps(folder: Path) -> dict[str, tuple[int, int]]:
    return {path.name: (path.stat().st_ino, path.stat().st_mtime_ns) for path in folder.iterdir()}


FOUR = ("cup", "--bush-od", "50,60", "--length", "40,50", "--into", "four")


def test_tables_stay_as_they_are_where_nothing_changed(
    here: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The same family again writes nothing; the table on the screen is that of its rows, in the order asked for."""
    first = run(capsys, *FOUR)[1].splitlines()
    before = stamps(here / "four")
    monkeypatch.setattr("brackets.variants.folder.write", lambda *_, **__: pytest.fail("nothing is to be written"))
    again = run(capsys, *FOUR)
    assert again[0] == 0
    assert again[1].splitlines()[:6] == first[:6]
    assert UNCHANGED in " ".join(again[1].split())
    assert stamps(here / "four") == before
    down = run(capsys, *FOUR, "--sort", "-mass")[1].splitlines()
    assert down[2:6] == sorted(first[2:6], key=lambda line: -float(line.split()[4]))  # kg
    told = json.loads(run(capsys, *FOUR, "--json")[1])
    assert len(told["rows"]) == 4
    assert stamps(here / "four") == before


@pytest.mark.parametrize("name", ["rows.csv", "rows.xlsx", "rows.jsonl", "rows.html", "facts.json"])
@pytest.mark.parametrize("how", ["edited", "deleted", "linked"])
def test_a_table_that_somebody_touched_is_written_anew(
    here: Path, capsys: pytest.CaptureFixture[str], name: str, how: str
) -> None:
    run(capsys, *FOUR)
    run(capsys, *FOUR)
    path = here / "four" / name
    own = path.read_bytes()
    if how == "edited":
        path.write_bytes(own.replace(b"1", b"2", 1))
    else:
        path.unlink()
    if how == "linked":
        (here / "else").write_bytes(own)
        path.symlink_to(here / "else")
    if (name, how) == ("facts.json", "deleted"):  # then it is a stranger's folder
        assert run(capsys, *FOUR)[0] == 2
        return
    status, out, _ = run(capsys, *FOUR)
    assert status == 0
    if (name, how) != ("facts.json", "linked"):
        assert UNCHANGED not in " ".join(out.split())
        assert path.read_bytes() == own
        assert not path.is_symlink()
    kept = (here / "four" / f"{path.stem} (yours){path.suffix}").exists()
    assert kept is (how != "deleted" and (name, how) != ("facts.json", "linked"))


def test_another_value_name_store_or_picture_is_another_table(
    here: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    def said(*words: str) -> str:
        return " ".join(run(capsys, *words)[1].split())

    assert UNCHANGED not in said(*FOUR)
    assert UNCHANGED not in said(*FOUR, "--row-name", "{bush_od}")
    assert UNCHANGED in said(*FOUR, "--row-name", "{bush_od}")
    assert UNCHANGED not in said(*FOUR, "--skip", "length > 45")
    assert UNCHANGED not in said(*FOUR)
    with (here / "four" / "results.jsonl").open("ab") as store:
        store.write(b'{"torn')
    torn = said(*FOUR)
    assert "the last line is torn" in torn
    assert UNCHANGED not in torn
    assert UNCHANGED in said(*FOUR)
    assert run(capsys, *FOUR, "--sort", "nothing")[0] == 2


def test_a_family_of_which_a_row_failed_is_tried_again(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A row that nobody worked out is none of what is kept: the next run tries it, and writes the tables anew."""
    (here / "slow.py").write_text(
        "from dataclasses import dataclass\nfrom pathlib import Path\nimport os\nfrom typing import Annotated\n"
        "from brackets import Checked, Part, cup, mm\n"
        "@dataclass(frozen=True, kw_only=True)\nclass Params(Checked):\n"
        "    x: Annotated[float, mm(1, 100, 'length')] = 40.0\n"
        "def check(p):\n    return iter(())\n"
        "def build(p):\n"
        f"    if p.x == 50 and not Path({str(here / 'mended')!r}).exists():\n        os._exit(3)\n"
        "    return cup(od=60, bore=50, length=p.x)\n"
    )
    words = ("./slow.py", "--x", "40,50", "--workers", "1", "--into", "two")
    assert "1 failed" in run(capsys, *words)[1]
    (here / "mended").touch()
    assert "2 rows: 2 fine" in run(capsys, *words)[1]

"""`brackets recipes --html`: one offline page with every recipe, its values, and every key."""

from __future__ import annotations

import base64
import html
import re
import shlex
from html.parser import HTMLParser
from pathlib import Path

import pytest

from brackets.app.cli.app import main
from brackets.app.gallery import page as gallery
from brackets.app.gallery.files import KINDS
from brackets.library.recipe import recipe, recipes
from brackets.output import folder

DRAWN = ("gusset", "ears")
"""Recipes that are drawn here: all take ten seconds of processor, and each is drawn the same way."""
BLANK = base64.b64decode(
    "iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAYAAAAfFcSJAAAADUlEQVR42mP8z8BQDwAEhQGAhKmMIQAAAABJRU5ErkJggg=="
)
"""One pixel."""


@pytest.fixture(scope="module")
def text(tmp_path_factory: pytest.TempPathFactory) -> str:
    """The page as the command writes it; the pictures of most recipes are one pixel."""
    file = tmp_path_factory.mktemp("gallery") / "page.html"
    drawn = gallery.picture
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(gallery, "picture", lambda name: drawn(name) if name in DRAWN else BLANK)
        assert main(["recipes", "--html", str(file)]) == 0
    return file.read_text("utf-8")


class Page(HTMLParser):
    """Ids, links, what would be fetched, tables as rows of texts, and whether every tag is closed."""

    VOID = ("meta", "image", "use", "img", "br")

    def __init__(self, text: str) -> None:
        super().__init__()
        self.ids: list[str] = []
        self.links: list[str] = []
        self.open: list[str] = []
        self.rows: list[list[str]] = []
        self.unclosed: list[str] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        found = dict(attrs)
        self.ids += [str(found["id"])] if "id" in found else []
        self.links += [str(found[name]) for name in ("href", "src") if name in found]
        if tag not in self.VOID:
            self.open.append(tag)
        if tag == "tr":
            self.rows.append([])
        if tag in ("td", "th"):
            self.rows[-1].append("")

    def handle_endtag(self, tag: str) -> None:
        if tag not in self.VOID and self.open.pop() != tag:
            self.unclosed.append(tag)

    def handle_data(self, data: str) -> None:
        if "td" in self.open or "th" in self.open:
            self.rows[-1][-1] += data


@pytest.fixture(scope="module")
def read(text: str) -> Page:
    return Page(text)


def test_the_page_is_whole(read: Page) -> None:
    assert read.open == read.unclosed == []
    assert len(set(read.ids)) == len(read.ids)


def test_every_link_leads_into_the_page_and_nothing_is_fetched(text: str, read: Page) -> None:
    assert {link[1:] for link in read.links if link.startswith("#")} <= set(read.ids)
    assert all(link.startswith(("#", "data:image/png;base64,")) for link in read.links)
    assert "default-src 'none'" in html.unescape(text)
    assert "<script" not in text
    assert "://" not in re.sub(r"base64,[^\"]+", "", text)
    assert "url(" not in text


def test_every_recipe_has_its_picture_command_and_values(text: str, read: Page) -> None:
    for name in recipes():
        assert {name, f"picture-{name}"} <= set(read.ids)
        for param in recipe(name).params:
            assert [row for row in read.rows if row[0] == param.option and param.meaning in row[3]], param.name
    pictures = [base64.b64decode(found) for found in re.findall(r"base64,([^\"]+)", text)]
    assert len(pictures) == len(recipes())
    real = [data for data in pictures if data != BLANK]
    assert [data[:8] for data in real] == [b"\x89PNG\r\n\x1a\n"] * len(DRAWN)  # ISO/IEC 15948
    assert [int.from_bytes(data[i : i + 4], "big") for data in real for i in (16, 20)] == [480, 320] * len(DRAWN)
    assert len(set(real)) == len(real)


def test_every_key_of_every_file_is_there(read: Page) -> None:
    wanted = [list(key.cells) for kind in KINDS.values() for section in kind.sections for key in section.keys]
    assert [row for row in read.rows if len(row) == 6 and row[0] != "key"] == wanted


def test_what_a_recipe_says_is_shown_as_it_is(monkeypatch: pytest.MonkeyPatch) -> None:
    said = ("--t<i>", '"', "a < b & c", "</table>")
    monkeypatch.setattr(gallery, "picture", lambda name: BLANK)
    monkeypatch.setattr(gallery, "value_rows", lambda opened: [said])
    read = Page(gallery.page(("gusset",), print))
    assert list(said) in read.rows
    assert read.open == read.unclosed == []


@pytest.mark.parametrize("name", recipes())
def test_the_command_of_a_recipe_is_understood(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    """Read as typed: the value it shows is the recipe's own default."""
    from brackets.app.cli.make_cmd import read_values
    from brackets.app.cli.screen import split

    _, verb, typed, *values = shlex.split(gallery.command(recipe(name)))
    assert (verb, typed) == ("make", name)
    params = read_values(recipe(name), split(values), "mm")
    assert params == recipe(name).Params()


def test_it_is_written_whole_or_not_at_all(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "page.html").write_text("mine", "utf-8")

    def full(name: str) -> bytes:
        raise OSError(folder.NO_ROOM[0], "No space left on device")

    monkeypatch.setattr(gallery, "picture", full)
    assert main(["recipes", "--html", str(tmp_path / "page.html")]) == 1
    assert "the disk is full" in capsys.readouterr().err
    assert [(each.name, each.read_text("utf-8")) for each in tmp_path.iterdir()] == [("page.html", "mine")]


@pytest.mark.parametrize("more", [["ears"], ["--json"], ["--limits"]])
def test_it_stands_alone(more: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["recipes", *more, "--html", str(tmp_path / "page.html")]) == 2
    assert capsys.readouterr().err.startswith("--html = given with RECIPE, --json or --limits, must stand alone")
    assert list(tmp_path.iterdir()) == []

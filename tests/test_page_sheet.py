"""The sheet beside the picture: long tables folded, what is in hand or read kept in place, colours, names, sizes.

Contrast as WCAG 2.2 defines it (W3C Recommendation of 2023-10-05, relative luminance and contrast ratio; 4.5 for
text, criterion 1.4.3, and 3 for what marks a control or a state, 1.4.11), worked out from the colours of the style.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import pytest
from preview_bay import written
from preview_browser import Seen

from brackets.app.preview.build import source, whole
from brackets.app.preview.offline import own
from brackets.app.preview.offline import page as saved_page

browsed = [
    pytest.mark.browser,
    pytest.mark.filterwarnings("ignore::ResourceWarning"),  # playwright leaves its own pipes to the collector
]
TEXT, MARK = 4.5, 3.0
"""Least contrast of text, and of what marks a control or a state."""
SMALLEST = 24
"""CSS px of a target, criterion 2.5.8."""


# ---------------------------------------------------------------- colours


def palettes() -> dict[str, dict[str, str]]:
    """The colours of the light and of the dark page, by name."""
    found = re.findall(r"^:root(\.dark)? \{(.*?)^\}", own("page.css"), flags=re.MULTILINE | re.DOTALL)
    return {"dark" if dark else "light": dict(re.findall(r"--(\w+): (#\w{6})", text)) for dark, text in found}


def luminance(colour: str) -> float:
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    red, green, blue = (v / 12.92 if v <= 0.04045 else ((v + 0.055) / 1.055) ** 2.4 for v in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


def test_black_on_white_is_21_and_a_known_grey_just_passes() -> None:
    """Figures of the definition; #767676 on white is the lightest grey that passes, by the same formula."""
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#767676", "#ffffff") > TEXT > contrast("#777777", "#ffffff")


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_every_text_and_mark_stands_out_from_its_ground(theme: str) -> None:
    colours = palettes()[theme]
    grounds = [colours[name] for name in ("paper", "sheet", "press")]
    for name, least in (("ink", TEXT), ("quiet", TEXT), ("stop", TEXT), ("caution", MARK), ("advice", MARK)):
        for ground in grounds:
            assert contrast(colours[name], ground) >= least, (name, ground)
    for name in ("edge", "mark"):
        for ground in grounds[:2]:
            assert contrast(colours[name], ground) >= MARK, (name, ground)


# ---------------------------------------------------------------- the sheet in a browser


@pytest.fixture(scope="module")
def sheet_page(browser: Any, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Seen]:
    folder = tmp_path_factory.mktemp("sheet")
    path = folder / "small.html"
    path.write_text(saved_page(whole(source(str(written(folder)), bare="mm"), {})), "utf-8")
    seen = Seen(browser, path.as_uri())
    seen.file = path  # type: ignore[attr-defined]
    yield seen
    assert seen.complaints == []
    seen.page.close()


LIST = """([names, figures, first]) => Brackets.held(document.getElementById('sheet'), () =>
  Brackets.page.tables.show([{ key: 'gaps', title: 'Gaps standing still', note: '',
    columns: [{ name: 'one' }, { name: 'other' }, { name: 'spare', right: true }, { name: 'when' }],
    rows: names.map((name, i) => ({ things: [name, 'rail'], level: '', pair: i, cells: [name, 'rail',
      String(figures[i]),
      `nose down ${figures[i]} deg, left up 0.4 deg, fore ${figures[i]} mm`] })) }], { first, of: 'bay' }))"""
"""Shows a table of gaps, as it comes with every step."""
HAND = """() => { const it = document.activeElement; return [it.textContent, it.getBoundingClientRect().top]; }"""


def listed(seen: Seen, names: list[str], figures: list[float], *, first: bool = False) -> None:
    seen.page.evaluate(LIST, [names, figures, first])


TIGHT = """([heads, rows]) => {
  const columns = heads.map((name) => ({ name: name.replace(/>$/, ''), right: name.endsWith('>') }));
  Brackets.held(document.getElementById('sheet'), () => Brackets.page.tables.show([{ key: 'gaps', title: 'Gaps',
    note: '', columns, rows: rows.map((cells, i) => ({ things: [cells[0]], level: '', pair: i, cells })) }],
    { first: true, of: 'bay' }));
  const torn = [], cells = [...document.querySelectorAll('[data-key="gaps"] :is(td, th:not(.below))')];
  for (const cell of cells) {
    const texts = document.createTreeWalker(cell, NodeFilter.SHOW_TEXT);
    while (texts.nextNode()) for (const word of texts.currentNode.data.matchAll(/\\S+/g)) {
      const range = document.createRange();
      range.setStart(texts.currentNode, word.index);
      range.setEnd(texts.currentNode, word.index + word[0].length);
      const box = range.getBoundingClientRect(), room = cell.getBoundingClientRect();
      if (range.getClientRects().length > 1 || box.right > room.right + 1) torn.push(word[0]);
    }
  }
  const boxes = [...document.querySelectorAll('[data-key="gaps"] .wide')];
  return [torn, boxes.every((box) => box.scrollWidth <= box.clientWidth)];
}"""
"""Words of a table that are broken, or run into the next column; whether all of it is seen. A head that ends in
">" is of figures."""
ARMS = [["left arm", "chassis crossmember"], ["front left upper arm", "rail"]]
GAPS = ["one", "other", "at least mm>", "wanted>", "spare>", "less ±>"]
STRENGTH = ["used>", "part", "place", "found>", "allowed>", "own>", "the rule you entered"]

NAMES = [f"thing_{letter}" for letter in "abcdefghijklmnopqrst"]


@pytest.fixture
def sheet(sheet_page: Seen) -> Iterator[Seen]:
    listed(sheet_page, NAMES, [float(i) for i in range(20)])
    yield sheet_page
    sheet_page.run("() => { document.querySelector('[data-key=\"gaps rest\"]').open = false; }")
    sheet_page.run("() => document.getElementById('sheet').scrollTo(0, 0)")


class TestSheet:
    pytestmark = browsed

    def test_a_long_table_shows_its_worst_rows_and_all_on_request(self, sheet: Seen) -> None:
        seen = sheet.page.locator('[data-key="gaps"] tbody tr:visible')
        assert seen.count() == 3  # nothing is bad: the nearest to it
        assert sheet.page.text_content('[data-key="gaps rest"] > summary') == "all 20 rows"
        sheet.page.click('[data-key="gaps rest"] > summary')
        assert seen.count() == 20
        assert sheet.page.text_content('[data-key="gaps"] > summary') == "Gaps standing still 20"

    def test_few_rows_are_not_folded(self, sheet: Seen) -> None:
        for many, shown in ((7, 7), (8, 3)):
            listed(sheet, NAMES[:many], [1.0] * many)
            assert sheet.page.locator('[data-key="gaps"] tbody tr:visible').count() == shown
            assert sheet.page.is_visible('[data-key="gaps rest"]') == (many > 7)

    def test_a_long_text_stands_below_its_row_with_its_heading(self, sheet: Seen) -> None:
        row = sheet.page.locator('[data-key="gaps"] tbody tr').first
        one, other, _, when = (row.locator("td").nth(i).bounding_box() for i in range(4))
        assert one["y"] == pytest.approx(other["y"], abs=1)
        assert when["y"] >= one["y"] + one["height"] - 1
        assert when["width"] > 2 * one["width"]
        below = "document.querySelector('[data-key=\"gaps\"] td.below')"
        assert "when" in sheet.run(f"() => getComputedStyle({below}, '::before').content")
        wide = """() => [...document.querySelectorAll('[data-key="gaps"] thead')].map((head) =>
          [...head.rows[0].cells].map((cell) => Math.round(cell.getBoundingClientRect().width)))"""
        sheet.page.click('[data-key="gaps rest"] > summary')
        first, rest, *_ = sheet.run(wide)
        assert sheet.run("() => document.documentElement.scrollHeight <= innerHeight")  # the sheet scrolls alone
        assert first == rest  # the columns of the folded rows are in line with those above

    def test_no_word_is_torn_on_a_phone(self, sheet: Seen) -> None:
        """One column was as narrow as a letter where the other's names were shorter than 12. Figures that have no
        room then stand below."""
        before = sheet.page.viewport_size
        sheet.page.set_viewport_size({"width": 390, "height": 844})
        rows = [[*names, "120.5", "100", "-46.4", "-47.9"] for names in ARMS]
        assert sheet.page.evaluate(TIGHT, [GAPS, rows]) == [[], True]
        assert sheet.page.locator('[data-key="gaps"] td.below').all_text_contents() == ["-47.9", "-47.9"]
        sheet.page.set_viewport_size(before)

    def test_the_head_of_a_column_of_short_words_is_whole_on_a_phone(self, sheet: Seen) -> None:
        before = sheet.page.viewport_size
        sheet.page.set_viewport_size({"width": 390, "height": 844})
        place, figures = "weld tube | plate, section across", ["78.7 N per mm", "235 MPa", "0.94"]
        rows = [[f"0.4{i}", "ears of the left rail", place, *figures, "meets"] for i in range(3)]
        assert sheet.page.evaluate(TIGHT, [STRENGTH, rows]) == [[], True]
        listed(sheet, NAMES, [1.0] * 20, first=True)
        sheet.page.set_viewport_size(before)

    def test_a_row_in_hand_stays_in_hand_and_in_its_place(self, sheet: Seen) -> None:
        """Every table was built anew at each step: the hand fell to the page and the sheet sprang."""
        sheet.page.click('[data-key="gaps rest"] > summary')
        row = sheet.page.locator('[data-key="gaps"] button', has_text="thing_k")
        row.focus()
        row.scroll_into_view_if_needed()
        was = sheet.run(HAND)
        listed(sheet, ["new_x", "new_y", "new_z", *NAMES[2:]], [i + 0.5 for i in range(21)], first=True)
        now = sheet.run(HAND)
        assert now[0] == was[0] == "thing_k"
        assert now[1] == pytest.approx(was[1], abs=1)
        assert "11.5" in str(row.locator("xpath=ancestor::tr").text_content())  # and it has the new figures
        listed(sheet, NAMES[:7], [1.0] * 7, first=True)  # it is gone
        assert sheet.run("() => document.activeElement.closest('[data-key=\"gaps\"]') !== null")

    def test_a_row_in_hand_that_goes_among_the_folded_unfolds_them(self, sheet: Seen) -> None:
        sheet.page.locator('[data-key="gaps"] button', has_text="thing_a").focus()
        listed(sheet, [*NAMES[5:], "thing_a"], [1.0] * 16, first=True)
        assert sheet.run(HAND)[0] == "thing_a"
        assert sheet.page.get_attribute('[data-key="gaps rest"]', "open") is not None

    def test_what_is_read_stays_where_it_is(self, sheet: Seen) -> None:
        sheet.run("() => document.activeElement.blur()")
        sheet.page.click('[data-key="gaps rest"] > summary')
        sheet.run("() => document.activeElement.blur()")
        top = """() => [...document.querySelectorAll('[data-key="gaps"] tr')].find((tr) =>
          tr.textContent.startsWith('thing_h')).getBoundingClientRect().top"""
        sheet.run(f"() => {{ document.getElementById('sheet').scrollTop += ({top})() - 100; }}")
        assert sheet.run(top) == pytest.approx(100, abs=1)
        listed(sheet, ["new_x", "new_y", *NAMES], [1.0] * 22, first=True)
        assert sheet.run(top) == pytest.approx(100, abs=1)

    def test_tables_of_the_values_before_say_so_and_lead_to_no_place(self, sheet: Seen) -> None:
        before = str(sheet.page.text_content('[data-key="findings"] > summary'))
        before = before.removesuffix(" of the values before")  # by a test before this one
        listed(sheet, NAMES, [1.0] * 20, first=True)
        assert sheet.page.text_content('[data-key="findings"] > summary') == f"{before} of the values before"
        assert "before" not in str(sheet.page.text_content('[data-key="gaps"] > summary'))
        sheet.page.click('[data-key="moved"] tbody tr:first-child')
        assert sheet.page.text_content("#rock-out") == "at rest"  # where it is least is not known any more
        assert sheet.run("() => Brackets.page.picked.length") == 2
        sheet.run("() => Brackets.page.tables.show([], { last: true, of: 'bay' })")
        assert sheet.page.locator('[data-key="findings"]').count() == 0

    def test_everything_that_can_be_reached_has_a_name_and_no_two_ids_are_equal(self, sheet: Seen) -> None:
        sheet.run("() => document.querySelectorAll('details').forEach((fold) => { fold.open = true; })")
        tools = sheet.page.context.new_cdp_session(sheet.page)
        nameless = [
            node["role"]["value"]
            for node in tools.send("Accessibility.getFullAXTree")["nodes"]
            if not node.get("ignored")
            and not node.get("name", {}).get("value")
            and any(one["name"] == "focusable" and one["value"].get("value") for one in node.get("properties", []))
        ]
        assert nameless == []
        names = sheet.run("() => [...document.querySelectorAll('td button')].map((one) => one.ariaLabel)")
        assert "thing_a, rail" in names
        ids = sheet.run("() => [...document.querySelectorAll('[id]')].map((one) => one.id)")
        assert len(ids) == len(set(ids))
        sheet.run("() => document.querySelectorAll('details').forEach((fold) => { fold.open = false; })")

    def test_every_button_is_large_enough_to_hit(self, sheet: Seen) -> None:
        """Of a row the row itself is the target."""
        small = """(least) => [...document.querySelectorAll('button, #jump a, summary, input, select, tr')]
          .filter((one) => !one.closest('td, thead') && one.getClientRects().length)
          .map((one) => [one.id || one.textContent.slice(0, 20), one.getBoundingClientRect()])
          .filter(([, box]) => box.width < least - 0.5 || box.height < least - 0.5).map(([name]) => name)"""
        assert sheet.page.evaluate(small, SMALLEST) == []

    def test_a_link_leads_past_the_controls_to_the_figures(self, sheet: Seen) -> None:
        sheet.run("() => { document.activeElement.blur(); scrollTo(0, 0); }")
        sheet.page.focus("#skip")
        assert sheet.page.locator("#skip").bounding_box()["y"] >= 0
        sheet.page.keyboard.press("Enter")
        sheet.page.keyboard.press("Tab")
        assert sheet.run("() => document.getElementById('sheet').contains(document.activeElement)")

    def test_what_is_folded_stands_in_the_page_for_a_browser_to_find(self, sheet: Seen) -> None:
        """A search in the page opens closed `details` (HTML standard, find-in-page), and nothing that is hidden in
        another way: every cell of every row is there, behind nothing else."""
        lost = """() => { const { tables } = Brackets.page, lost = [];
          for (const { row, tr } of tables.rows) {
            if (row.cells.some((cell, i) => tr.cells[i].textContent !== cell)) lost.push(row.cells);
            for (let one = tr; one.id !== 'sheet'; one = one.parentElement)
              if (one.hidden || getComputedStyle(one).display === 'none') lost.push([one.tagName, ...row.cells]);
          } return lost; }"""
        assert sheet.run(lost) == []
        count = "() => Brackets.page.tables.rows.length - document.querySelectorAll('#tables tbody tr').length"
        assert sheet.run(count) == 0

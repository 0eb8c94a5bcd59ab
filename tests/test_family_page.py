"""The page of a family in a browser: it sorts, filters, shows one row, fetches nothing, complains of nothing."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from brackets import family

pytestmark = [
    pytest.mark.browser,
    pytest.mark.filterwarnings("ignore::ResourceWarning"),  # playwright leaves its own pipes to the collector
]


def test_the_page_sorts_filters_and_shows_one_row(browser: Any, tmp_path: Path) -> None:
    path = tmp_path / "rows.html"
    family("cup", bush_od=[50, 60, 70], length=[40, 50], od=[80, 65]).html(path)
    tab = browser.new_page()
    errors: list[str] = []
    asked: list[str] = []
    tab.on("console", lambda said: errors.append(said.text) if said.type == "error" else None)
    tab.on("pageerror", lambda error: errors.append(str(error)))
    tab.on("request", lambda request: asked.append(request.url))
    tab.goto(path.as_uri())
    rows = tab.locator("tbody tr")
    assert rows.count() == 12
    heads = tab.locator("thead button").all_inner_texts()
    masses = tab.locator(f"tbody td:nth-child({heads.index('mass_kg') + 1})")
    tab.get_by_role("button", name="mass_kg").click()
    rising = [float(text) for text in masses.all_inner_texts() if text]
    assert len(rising) > 6
    assert rising == sorted(rising)
    tab.get_by_role("button", name="mass_kg").click()
    assert [float(text) for text in masses.all_inner_texts() if text] == rising[::-1]
    tab.get_by_label("filter bush_od").fill("55..70")
    assert rows.count() == 8
    tab.get_by_label("filter verdict").fill("refused")
    refused = rows.count()
    assert 0 < refused < 8
    assert tab.locator("#count").inner_text() == f"{refused} of 12 rows"
    assert not tab.locator("#opens").is_visible(), "there is no picture to open"
    tab.get_by_label("filter verdict").fill("!refused")
    assert rows.count() == 8 - refused
    assert tab.locator("circle").count() == 8 - refused
    tab.locator("tbody tr").first.click()
    assert tab.locator("tr.lit").count() == tab.locator("circle.lit").count() == 1
    assert "mass_kg" in tab.locator("#one").inner_text()
    tab.locator("circle.lit").click()
    assert tab.locator("tr.lit").count() == 0
    tab.close()
    assert errors == []
    assert asked == [path.as_uri()]

"""A bay file is read once for all rows of a family, and again where it has changed."""

from __future__ import annotations

import copy
from pathlib import Path

import pytest

from brackets.core.errors import BadFile
from brackets.library.recipe import recipe, shipped
from brackets.variants import bay_result


def test_rows_read_their_bay_once_and_leave_what_was_read_as_it_is(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "bay.toml"
    path.write_text((shipped() / "tern.toml").read_text("utf-8"), "utf-8")
    read: list[dict[str, object]] = []
    real = bay_result.given_toml

    def noted(path: Path, *, what: str) -> dict[str, object]:
        read.append(real(path, what=what))
        return read[-1]

    monkeypatch.setattr(bay_result, "given_toml", noted)
    params = recipe("tray").Params
    first = bay_result.with_values(path, "tray", {"width": 90.0}, params)
    before = copy.deepcopy(read[0])
    other = bay_result.with_values(path, "tray", {"width": 95.0}, params)
    again = bay_result.with_values(path, "tray", {"width": 90.0}, params)
    assert len(read) == 1
    assert read[0] == before
    assert again == first != other
    path.write_text(path.read_text("utf-8").replace("Tern", "Another"), "utf-8")
    assert "Another" in bay_result.with_values(path, "tray", {"width": 90.0}, params).name
    assert len(read) == 2


def test_a_bay_that_went_away_is_refused(tmp_path: Path) -> None:
    with pytest.raises(BadFile, match="no such file"):
        bay_result.with_values(tmp_path / "gone.toml", "tray", {}, recipe("tray").Params)

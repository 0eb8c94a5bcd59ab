"""A file of one kind given where another is read: said in one line, by keys that the other kind alone has."""

from __future__ import annotations

from pathlib import Path

import pytest

from brackets.app.cli.app import main
from brackets.bay.schema.keys import BAY_KEYS
from brackets.core.schema.file_keys import FileKeys
from brackets.core.schema.file_kinds import KINDS, mistaken
from brackets.core.tables.own_rows import OWN_KEYS
from brackets.forming.shop_rows import SHOP_KEYS
from brackets.survey.file_rows import READINGS_KEYS
from brackets.variants.file_rows import FAMILY_KEYS

FILES = (BAY_KEYS, SHOP_KEYS, READINGS_KEYS, FAMILY_KEYS)


@pytest.mark.parametrize("keys", FILES, ids=lambda keys: keys.title)
def test_a_telling_key_is_one_of_its_kind_alone(keys: FileKeys) -> None:
    telling, _ = KINDS[keys.title]
    assert set(telling) <= set(keys.names)
    for other in (*FILES, OWN_KEYS):
        assert other is keys or not set(telling) & set(other.names)
    assert len(KINDS) == len(FILES)


@pytest.mark.parametrize("keys", FILES, ids=lambda keys: keys.title)
def test_a_file_with_every_key_of_its_kind_is_of_that_kind(keys: FileKeys) -> None:
    assert mistaken(keys.names, keys.title) == ""


@pytest.mark.parametrize(
    ("keys", "said"),
    [
        (["mount"], ""),
        (["mount", "boss"], "is a bay file by its keys mount, boss, must be a readings file"),
        (["mount", "boss", "hole"], "is a bay file"),
        (["mount", "boss", "hole", "reading"], ""),
        (["vary", "tied"], "is a family file"),
    ],
)
def test_two_keys_of_another_kind_and_fewer_of_its_own(keys: list[str], said: str) -> None:
    found = mistaken(keys, "readings file")
    assert found.startswith(said)
    assert bool(found) == bool(said)


READ_BY = {"bay": ["fit"], "shop": ["make", "cup", "--shop"], "readings": ["measure"], "family": ["family"]}
NAMES = {"bay": "a bay file", "shop": "a shop profile", "readings": "a readings file", "family": "a family file"}
OTHERS = [(kind, by) for kind in READ_BY for by in READ_BY if by not in (kind, {"bay": "family"}.get(kind))]
"""A bay is read by `family` too, where it is given a part to vary."""


@pytest.mark.parametrize(("kind", "command"), OTHERS)
def test_every_start_given_where_another_is_read(
    kind: str, command: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    assert main(["new", kind, "mine.toml"]) == 0
    capsys.readouterr()
    assert main([*READ_BY[command], "mine.toml"]) == 2
    (line,) = capsys.readouterr().err.splitlines()
    assert line.startswith(f"mine.toml: is {NAMES[kind]} by its keys ")
    assert f", must be {NAMES[command]}; " in line

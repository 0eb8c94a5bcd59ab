"""File names that every disk takes."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brackets.output.folder import DEVICES, LONGEST, stem, unique_stems

NAMES = {
    "../evil": "evil",
    "/etc/passwd": "etc-passwd",
    "C:\\x": "C--x",
    "CON": "CON_",
    "con.step": "con_.step",
    "a:b": "a-b",
    "": "part",
    "..": "part",
    "-rf": "rf",
    "trailing.": "trailing",
    "Träger": "Tr-ger",
    "x" * 200: "x" * LONGEST,
    "left_ear": "left_ear",
}


@pytest.mark.parametrize("name", NAMES)
def test_a_name_becomes_one_that_every_disk_takes(name: str) -> None:
    assert stem(name) == NAMES[name]


@given(st.text(max_size=120))
def test_no_name_leaves_its_folder_or_is_a_device(name: str) -> None:
    made = stem(name)
    assert re.fullmatch(r"[A-Za-z0-9_+][A-Za-z0-9_.+-]*", made)
    assert not made.endswith(".")
    assert made.split(".")[0].lower() not in DEVICES


def test_names_that_differ_in_capitals_or_lost_letters_stay_apart() -> None:
    taken = {"assembly"}
    assert unique_stems(["P", "p", "a/b", "A b", "assembly"], taken) == ("P", "p-2", "a-b", "A-b-2", "assembly-2")
    assert taken == {"assembly", "p", "p-2", "a-b", "a-b-2", "assembly-2"}


@given(st.lists(st.text(alphabet="aAbB/.: ", max_size=4), max_size=12))
def test_stems_are_one_each_on_a_disk_that_knows_no_capitals(names: list[str]) -> None:
    made = unique_stems(names, set())
    assert len({one.lower() for one in made}) == len(names)

"""The public face: what `import brackets` offers, to a script, to an editor and to the type checker."""

from __future__ import annotations

import pydoc
import re
from importlib import import_module
from pathlib import Path

import pytest
from face_stub import STUB, stub

import brackets

README = Path(__file__).resolve().parents[1] / "README.md"


def test_the_type_checker_sees_what_is_loaded() -> None:
    assert STUB.read_text("utf-8") == stub(), "write it anew: python tests/face_stub.py"


def test_a_name_stands_under_one_subject() -> None:
    texts = [text for modules in brackets._NAMES.values() for text in modules.values()]
    assert sorted(word.split("=")[-1] for word in " ".join(texts).split()) == sorted(brackets._FROM)


def test_the_docstring_lists_every_public_name_once() -> None:
    listed = re.findall(r"^    (.*)$", brackets.__doc__ or "", flags=re.MULTILINE)
    names = re.findall(r"\w+", " ".join(listed))
    assert sorted(names) == sorted(brackets._FROM)


def test_a_public_name_is_there_says_what_it_is_and_hides_no_room() -> None:
    listed = dir(brackets)
    for name in brackets.__all__:
        found = getattr(brackets, name)
        assert name in listed
        assert not (Path(brackets.__file__).parent / name).exists(), f"a room {name} would take its place"
        if callable(found) and getattr(found, "__module__", "").startswith("brackets."):
            assert found.__doc__, f"{name} has no docstring"


@pytest.mark.checkout
def test_the_readme_names_only_what_is_public() -> None:
    text = README.read_text("utf-8")
    part = text[text.index("## Names scripts may rely on") : text.index("`make --json`: format")]
    calls = {word.split("(")[0] for word in re.findall(r"`([A-Za-z_]+(?:\([^`]*\))?)`", part)}
    others = {"brackets", "mountwright", "help"}
    assert calls - others <= set(brackets.__all__)
    assert len(calls) > 40


@pytest.mark.checkout
def test_python_in_the_readme_imports_the_face_alone() -> None:
    blocks = re.findall(r"^```python\n(.*?)^```$", README.read_text("utf-8"), flags=re.MULTILINE | re.DOTALL)
    assert len(blocks) > 2
    for block in blocks:
        assert not re.search(r"from brackets\.|import brackets\.", block)


def test_help_lists_the_names_by_subject() -> None:
    said = pydoc.plaintext.document(brackets)  # type: ignore[attr-defined]
    assert "Flat patterns, bends and tubes" in said
    assert "lay_out" in said


def test_it_is_marked_as_typed() -> None:
    assert (Path(brackets.__file__).parent / "py.typed").exists()


def test_a_name_kept_after_its_first_use_is_the_one_of_its_module() -> None:
    module, theirs = brackets._FROM["gap"]
    assert brackets.gap is getattr(import_module(f"brackets.{module}"), theirs)
    assert brackets.gap is brackets.gap

"""The docstrings of the public functions: every parameter is explained, and an example runs as a doctest."""

from __future__ import annotations

import doctest
import inspect
import re
from collections.abc import Callable
from pathlib import Path

import pytest

import brackets

PUBLIC = {name: getattr(brackets, name) for name in brackets.__all__}
"""What an example may use without an import."""

FUNCTIONS: dict[str, Callable[..., object]] = {n: found for n, found in PUBLIC.items() if inspect.isroutine(found)}


def explained(doc: str) -> set[str]:
    """Words that the text before the example has in backticks, or in a clause before a colon or "as for".

    So "lo, hi: limits, mm; t: thickness" explains three, "angle and k as for `bend_allowance`" two.
    """
    said = " ".join(doc.split(">>>")[0].split())
    named = re.findall(r"([^;.:]*)(?::| as for )", said)
    quoted = re.findall(r"`([^`]*)`", said)
    return set(re.findall(r"\w+", " ".join([*named, *quoted])))


def ran(name: str, doc: str) -> tuple[int, str]:
    """How many examples a docstring has, and what doctest says of those that fail."""
    test = doctest.DocTestParser().get_doctest(doc, {**PUBLIC, "__name__": "__main__"}, name, None, 0)
    told: list[str] = []
    runner = doctest.DocTestRunner(verbose=False, optionflags=doctest.ELLIPSIS | doctest.NORMALIZE_WHITESPACE)
    runner.run(test, out=told.append)
    return len(test.examples), "".join(told)


def test_the_public_functions_are_found() -> None:
    assert len(FUNCTIONS) > 150
    assert {"bend_allowance", "bolts", "hole", "gaps", "write_pdf"} <= set(FUNCTIONS)


@pytest.mark.parametrize("name", FUNCTIONS)
def test_the_example_of_a_function_runs(name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)  # an example may write a file
    count, told = ran(name, FUNCTIONS[name].__doc__ or "")
    assert count, f"brackets.{name} has no example: a line >>> in its docstring, and what it prints"
    assert not told, told


@pytest.mark.parametrize("name", FUNCTIONS)
def test_a_function_of_several_parameters_explains_each(name: str) -> None:
    parameters = set(inspect.signature(FUNCTIONS[name]).parameters)
    silent = parameters - explained(FUNCTIONS[name].__doc__ or "") if len(parameters) > 1 else set()
    assert not silent, f"brackets.{name} does not say what {', '.join(sorted(silent))} is"


def test_an_example_that_is_wrong_and_a_parameter_that_is_passed_over_are_seen() -> None:
    assert ran("wrong", "Twice two.\n\n>>> 2 * 2\n5\n")[1]
    assert ran("fails", "A bolt that is not there.\n\n>>> bolt('M13').d\n13.0\n")[1]
    assert ran("none", "Nothing to run.") == (0, "")
    assert ran("right", "Twice two.\n\n>>> 2 * length('1in')\n50.8\n") == (1, "")
    doc = "Length of a bend, k or none.\n\nangle: degrees; r,\n    t: radius and thickness, mm.\n\n>>> k: 1\n"
    assert explained(doc) == {"angle", "r", "t"}
    assert explained("A slot from `a` to `b`; width as for a circle, see r.") == {"a", "b", "width"}

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


def test_the_example_of_every_function_runs(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Each in a folder of its own: an example may write a file."""
    wrong = []
    for name, function in FUNCTIONS.items():
        (tmp_path / name).mkdir()
        monkeypatch.chdir(tmp_path / name)
        count, told = ran(name, function.__doc__ or "")
        if not count:
            wrong.append(f"brackets.{name} has no example: a line >>> in its docstring, and what it prints")
        if told:
            wrong.append(f"brackets.{name}: {told}")
    assert not wrong, "\n".join(wrong)


def test_a_function_of_several_parameters_explains_each() -> None:
    silent = {}
    for name, function in FUNCTIONS.items():
        parameters = set(inspect.signature(function).parameters)
        if len(parameters) > 1 and (missing := parameters - explained(function.__doc__ or "")):
            silent[f"brackets.{name}"] = sorted(missing)
    assert silent == {}  # what a docstring passes over


def test_an_example_that_is_wrong_and_a_parameter_that_is_passed_over_are_seen() -> None:
    assert ran("wrong", "Twice two.\n\n>>> 2 * 2\n5\n")[1]
    assert ran("fails", "A bolt that is not there.\n\n>>> bolt('M13').d\n13.0\n")[1]
    assert ran("none", "Nothing to run.") == (0, "")
    assert ran("right", "Twice two.\n\n>>> 2 * length('1in')\n50.8\n") == (1, "")
    doc = "Length of a bend, k or none.\n\nangle: degrees; r,\n    t: radius and thickness, mm.\n\n>>> k: 1\n"
    assert explained(doc) == {"angle", "r", "t"}
    assert explained("A slot from `a` to `b`; width as for a circle, see r.") == {"a", "b", "width"}

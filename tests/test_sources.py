"""Every source that is printed or stands beside a number can be found, or says that there is none.

Allowed: a standard of the list below, with its year; "common practice, no source"; a standard "(from memory)"; what
the user, his shop or the recipe says; and what follows from the shapes. Read from the sources themselves, so that
a new one is held to it too.
"""

from __future__ import annotations

import ast
import csv
import importlib
import re
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest

import brackets
from brackets.bay.schema.record import DEFAULT_GAPS
from brackets.core.finding import GEOMETRY, PRACTICE
from brackets.core.tables.bolt_rows import bolts
from brackets.core.tables.bush_rows import SAMPLE
from brackets.core.tables.bush_table import bushes
from brackets.core.tables.fasteners import engagement, ring_spanner, socket
from brackets.core.tables.material_rows import materials
from brackets.forming.shop_file import default
from brackets.library.recipe import shipped
from brackets.library.recipe_rules import all_rules

ROOT = Path(brackets.__file__).parent
DATA = ROOT / "core" / "tables" / "data"

STANDARDS = (
    "EN 1090-2:2018", "EN 1993-1-9:2005",
    "EN 1993-1-1:2005", "EN 1993-1-4:2006", "EN 1993-1-8:2005", "EN 1999-1-1:2007", "EN 1561:2011", "EN 1706:2010",
    "EN 10029:2010", "EN 10088-1:2014", "EN 10130:2006", "EN 10131:2006", "EN 10210-2:2019", "EN 10219-2:2019",
    "EN 10305-1:2016", "ISO 261:1998", "ISO 272:1982", "ISO 273:1979", "ISO 286-1:2010", "ISO 898-1:2013",
    "ISO 965-1:2013", "EN 10219-2:2006",
    "ISO 2306:1972", "ISO 4014:2011", "ISO 4032:2012", "ISO 7042:2012", "ISO 7089:2000", "ISO 7093-1:2000",
    "DIN 6935:1975", "BS 3737:1964", "ASME B1.1-2003", "ASME B18.2.1-2012", "ASME B18.2.2-2015",
    "ASME B18.2.8-1999", "ASME B18.21.1-2009", "SAE J429:2014", "AWS D1.1/D1.1M:2025", "FED-STD-H28/2B:1991",
    "AMS 6360", "ASTM A6/A6M", "US CID A-A-1346A", "NAVEDTRA 14001", "Manufacturers' Standard Gauge",
    "Den Hartog, Mechanical Vibrations, 4th edition 1956",
    "Lindley, Engineering Design with Natural Rubber, 4th edition 1974",
    "Gent, On the Relation between Indentation Hardness and Young's Modulus, IRI Transactions 34, 1958",
)  # fmt: skip
"""What may be named as a source: anybody can order or open each."""

NAMED = re.compile(
    r"\b(?:EN|ISO|DIN|BS|ASME|SAE|AWS|FED-STD|AMS|ASTM|VDI|CSA|ANSI|JIS|US CID|NAVEDTRA)[ -]?[A-Z]*\d"
)
"""How the name of a standard begins."""

NOT_OUTSIDE = (
    PRACTICE, "common practice; no source", GEOMETRY, SAMPLE,
    "the bay file", "the recipe", "the family file", "shop profile", "own row", "as typed",
)  # fmt: skip
"""Sources that name nothing published: the user's own words, the shapes, or nothing at all."""

UNFINDABLE = re.compile(
    r"trade notes|\bfact \d|magazine|handbook|data sheet|maker's|service manual|shop manual|forum|diary|vendor|"
    r"design guide|trade fact|motorsport|fabricator pages|\bacra\b|air products|\w\.(?:com|net|de)\b",
    re.IGNORECASE,
)
"""What no reader can look up: kinds of paper instead of titles, notes of our own, firms and sites."""


def can_be_found(source: str) -> bool:
    """Whether a source names a listed standard, and none that is not listed, or says that it is none."""
    rest = source
    for standard in sorted(STANDARDS, key=len, reverse=True):
        rest = rest.replace(standard, "")
    if NAMED.search(rest) or UNFINDABLE.search(source):
        return False
    return rest != source or any(word in source for word in NOT_OUTSIDE)


def expressions() -> Iterator[tuple[str, str]]:
    """(file and line, text) of every `source=` and `why=` in the code, names and f-strings filled in."""
    for path in [*sorted(ROOT.rglob("*.py")), *sorted(shipped().glob("*.py"))]:
        tree = ast.parse(path.read_text("utf-8"))
        inside = path.is_relative_to(ROOT) and "_recipes" not in path.parts
        where = ".".join(("brackets", *path.relative_to(ROOT).with_suffix("").parts)) if inside else ""
        for call in (node for node in ast.walk(tree) if isinstance(node, ast.Call)):
            for word in call.keywords:
                if word.arg in ("source", "why"):
                    for text in _texts(word.value, where):
                        yield f"{path.name}:{word.value.lineno}", text


def _texts(node: ast.expr, module: str) -> list[str]:
    """What an expression may be, as far as it is written there: nothing for what is handed on."""
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        return [node.value] if node.value else []
    if isinstance(node, ast.IfExp):
        return [*_texts(node.body, module), *_texts(node.orelse, module)]
    if isinstance(node, ast.Name):
        value = getattr(importlib.import_module(module), node.id, None) if module else globals().get(node.id)
        return [value] if isinstance(value, str) else []
    if isinstance(node, ast.JoinedStr):
        parts = [_texts(p.value if isinstance(p, ast.FormattedValue) else p, module) for p in node.values]
        said = "".join(part[0] if part else "shop profile" for part in parts)
        return [said] if any(isinstance(p, ast.Constant) for p in node.values) else []
    return []


def of_rules() -> Iterator[tuple[str, str]]:
    """Sources of all rules, the blanks filled as a shop profile would."""
    for rule in all_rules():
        for breach in rule.breaches:
            yield f"rule {rule.code}", breach.source_with("shop profile")


def test_every_source_of_a_rule_can_be_found() -> None:
    found = list(of_rules())
    assert len(found) > 80
    assert [(where, text) for where, text in found if not can_be_found(text)] == []


def of_tables() -> Iterator[tuple[str, str]]:
    """Sources of rows, and of the shop and the gaps that are taken where nobody says."""
    for row in (*bolts(), *materials(), *bushes()):
        yield f"{type(row).__name__} {row.name}", row.source
    for row in (socket(17.0), ring_spanner(17.0)):
        yield type(row).__name__, row.source
    for into in ("steel", "cast iron", "cast aluminium", "magnesium"):
        yield "engagement", engagement(bolts()[0], into).source
    for kind, gap in DEFAULT_GAPS.items():
        yield f"gap {kind}", gap.why
    yield "shop", default().source
    for name, column in (("tubes.csv", "standard"), ("plates.csv", "standard"), ("strength.csv", "source")):
        rows = (line for line in (DATA / name).read_text("utf-8").splitlines() if not line.startswith("#"))
        for cells in csv.DictReader(rows):
            yield name, cells[column]
    for file in shipped().glob("*.toml"):
        for kind, gap in tomllib.loads(file.read_text("utf-8")).get("gap", {}).items():
            yield f"{file.name} gap {kind}", gap["why"]


def test_every_source_in_the_code_can_be_found() -> None:
    found = list(expressions())
    assert len([*found, *of_rules()]) > 120
    assert [(where, text) for where, text in found if not can_be_found(text)] == []


def test_every_source_of_a_row_can_be_found() -> None:
    found = dict.fromkeys(of_tables())
    assert len(found) > 80
    assert [(where, text) for where, text in found if not can_be_found(text)] == []


@pytest.mark.parametrize(
    "source",
    [
        "trade notes, fact 82", "trade handbooks: 1.6 mm is survivable", "a bolt maker's data sheet: 8.8",
        "build diary", "ISO 898-1", "EN 1993-1-8 table 3.3", "", "AWS D1.1:2019 table 7.7", "VDI 2230:2015",
        "inspection rule quoted at second hand: 25 mm", "ISO 898-1:2013 and ISO 4014",
    ],
)  # fmt: skip
def test_what_nobody_can_find_is_refused(source: str) -> None:
    assert not can_be_found(source)


@pytest.mark.parametrize(
    "source",
    [PRACTICE, "EN 1993-1-8:2005 table 3.3", "the bay file", "ISO 4032:2012 (from memory)", f"{GEOMETRY}: one"],
)
def test_what_can_be_found_passes(source: str) -> None:
    assert can_be_found(source)


def texts() -> list[Path]:
    """Everything we write: code, recipes, tables, the page."""
    kinds = ("*.py", "*.toml", "*.csv", "*.js", "*.html", "*.css")
    files = [path for kind in kinds for folder in (ROOT, shipped()) for path in folder.rglob(kind)]
    return sorted(set(files))


def test_no_line_leans_on_what_nobody_can_find() -> None:
    """Docstrings beside numbers, heads of tables, comments."""
    found = [
        f"{path.name}:{number}: {line.strip()}"
        for path in texts()
        for number, line in enumerate(path.read_text("utf-8").splitlines(), 1)
        if UNFINDABLE.search(line)
    ]
    assert found == []


@pytest.mark.parametrize("name", sorted(p.name for p in DATA.glob("*.*")))
def test_the_head_of_every_table_says_where_it_is_from(name: str) -> None:
    head = [line for line in (DATA / name).read_text("utf-8").splitlines() if line.startswith("#")]
    assert any(NAMED.search(line) or PRACTICE in line or SAMPLE in line or "source" in line for line in head), head

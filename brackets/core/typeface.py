"""The type that paper is printed in: which font has a letter, how wide it is, what stands for one that none has.

Two fonts that come as packages, so that every machine prints the same: Arimo (SIL Open Font License 1.1), Latin,
Greek and Cyrillic as wide as Helvetica's, and IPAexGothic (IPA Font License 1.0), the characters of JIS X 0213.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Mapping
from functools import cache, lru_cache
from importlib.util import find_spec
from io import BytesIO
from itertools import groupby
from pathlib import Path
from types import MappingProxyType
from typing import Any, Literal

from brackets.core.errors import InputError
from brackets.core.kept import keeps

Font = Literal["latin", "han"]

FILES: Mapping[Font, tuple[str, str]] = MappingProxyType(
    {"latin": ("fontpkg_arimo", "files/Arimo[wght].ttf"), "han": ("matplotlib_fontja", "fonts/ipaexg.ttf")}
)
"""The package of each font and its file there; a letter is taken from the first that has it."""

BOLD = 700
"""Weight of the bold type (Arimo's axis goes from 400 to 700)."""

BLOCK = 256
"""The bold type is made for blocks of so many letters, in 0.3 s; all blocks at once take 2 s."""

LATIN_BLOCKS = frozenset({0x00, 0x01, 0x20})
"""Blocks that are always among them: Latin and its punctuation."""

NOT_FOR_PAPER = ("GPOS", "GSUB", "GDEF", "STAT", "MVAR", "cvar", "fpgm", "prep", "cvt ", "gasp")
"""Tables of the font that paper has no use for: hints for screens, kerning, ligatures."""


def spelled(words: str) -> str:
    """The words as they are printed: what no font has is told by its Unicode name in brackets, never dropped.

    So are letters that run from right to left, which this program cannot set in their order.
    """
    if words.isascii() and words.isprintable():
        return words
    return "".join(letter if _printed(letter) else _named(letter) for letter in unicodedata.normalize("NFC", words))


def unprinted(texts: Iterable[str]) -> tuple[str, ...]:
    """The letters of the texts that are told by their names, in the order of their numbers."""
    letters = {letter for text in texts for letter in unicodedata.normalize("NFC", text)}
    return tuple(sorted(letter for letter in letters if not _printed(letter)))


@lru_cache(4096)
def runs(words: str) -> tuple[tuple[Font, str], ...]:
    """The words as printed, cut into stretches of one font each."""
    return tuple((font, "".join(letters)) for font, letters in groupby(spelled(words), _font_of))


@lru_cache(4096)
def width(words: str, size: float) -> float:
    """Length in mm of a line of plain type `size` mm high, by the fonts' own advance widths."""
    return sum(advances(font)[letter] for font, text in runs(words) for letter in text) * size


@cache
def advances(font: Font) -> Mapping[str, float]:
    """How far each letter of a font takes the line on, in sizes of the type."""
    found = _opened(font)
    units, wide = found["head"].unitsPerEm, found["hmtx"].metrics
    return {chr(code): wide[glyph][0] / units for code, glyph in found.getBestCmap().items()}


def file_of(font: Font) -> Path:
    """Where a font's file lies. Raises InputError where its package is not installed."""
    package, inside = FILES[font]
    spec = find_spec(package)  # which does not load it
    if spec is None or not spec.submodule_search_locations:
        raise InputError(f"{package} = not installed, must be: the font that paper is printed in comes with it")
    return Path(spec.submodule_search_locations[0]) / inside


def blocks(run: str) -> tuple[int, ...]:
    """The blocks of letters that the bold type of a run is made for."""
    return tuple(sorted(LATIN_BLOCKS.union(ord(letter) // BLOCK for letter in run)))


@keeps("bold type")
def bold(blocks: tuple[int, ...]) -> bytes:
    """The bold Arimo as a TrueType file, of the letters in some blocks."""
    from fontTools import subset
    from fontTools.varLib import instancer

    font = _opened("latin")
    for table in NOT_FOR_PAPER:
        if table in font:
            del font[table]
    options = subset.Options(layout_features=[], hinting=False, notdef_outline=True, name_IDs=["*"])
    cut = subset.Subsetter(options)
    cut.populate(unicodes=[code for block in blocks for code in range(block * BLOCK, (block + 1) * BLOCK)])
    cut.subset(font)
    keep = instancer.OverlapMode.KEEP_AND_DONT_SET_FLAGS
    made = instancer.instantiateVariableFont(font, {"wght": BOLD}, inplace=True, optimize=False, overlap=keep)
    for record in made["name"].names:
        if record.nameID == POSTSCRIPT_NAME:
            record.string = f"Arimo{''.join(f'{block:02X}' for block in blocks if block not in LATIN_BLOCKS)}-Bold"
    out = BytesIO()
    made.save(out)
    return out.getvalue()


POSTSCRIPT_NAME = 6
"""Number of the record that names a font in a PDF (OpenType specification, table name); two fonts of one name would
be one to the paper's library."""


def _opened(font: Font) -> Any:
    from fontTools.ttLib import TTFont

    return TTFont(file_of(font), recalcTimestamp=False)


def _printed(letter: str) -> bool:
    return unicodedata.bidirectional(letter) not in ("R", "AL") and any(letter in advances(font) for font in FILES)


@lru_cache(4096)
def _font_of(letter: str) -> Font:
    return next(font for font in FILES if letter in advances(font))


def _named(letter: str) -> str:
    return f"[{unicodedata.name(letter, f'U+{ord(letter):04X}')}]"

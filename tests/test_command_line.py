"""A command that is printed to be typed again comes back from a shell as the words it was made of."""

from __future__ import annotations

import shlex
import subprocess
import sys

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brackets.app.command_line import command_line

WORDS = [
    ["brackets", "fit", "bay.toml"],
    ["brackets", "fit", "my bay (2).toml", "--t", "1/4 in"],
    ["brackets", "make", "ears", "--t", '1-1/4"', "--name", "it's", ""],
    ["brackets", "make", "cup", "--limits", "-0.1, 0.2", "--what", "a&b|c<d>e^f;g", "$HOME", "`x`", "100%"],
    ["C:\\my folder\\", "a\\\\", 'back\\"quote'],
]


@pytest.mark.parametrize("words", WORDS)
def test_a_posix_shell_reads_the_words_back(words: list[str]) -> None:
    assert shlex.split(command_line(words, windows=False)) == words


@pytest.mark.skipif(sys.platform == "win32", reason="asks a POSIX shell")
@pytest.mark.parametrize("words", WORDS)
def test_a_shell_of_this_system_hands_them_to_a_program(words: list[str]) -> None:
    show = command_line([sys.executable, "-c", "import sys; print(ascii(sys.argv[1:]))", *words])
    told = subprocess.run(show, shell=True, check=True, capture_output=True, text=True)
    assert told.stdout.strip() == ascii(words)


def argv(line: str) -> list[str]:
    """As a program reads its command line on Windows: Microsoft, "Parsing C command-line arguments"."""
    words, i = [], 0
    while i < len(line):
        word, quoted = "", False
        while i < len(line) and (quoted or line[i] != " "):
            slashes = len(line[i:]) - len(line[i:].lstrip("\\"))
            i += slashes
            if i < len(line) and line[i] == '"':
                word += "\\" * (slashes // 2)
                if slashes % 2:
                    word += '"'
                else:
                    quoted = not quoted
                i += 1
            elif slashes:
                word += "\\" * slashes
            else:
                word += line[i]
                i += 1
        words.append(word)
        i += 1
    return words


@pytest.mark.parametrize("words", WORDS)
def test_a_program_on_windows_reads_the_words_back(words: list[str]) -> None:
    assert argv(command_line(words, windows=True)) == words
    assert argv(subprocess.list2cmdline(words)) == words  # the reader is a good one


@given(st.lists(st.text(alphabet="aZ \\\"'&,$%", max_size=8), min_size=1, max_size=4))
def test_whatever_the_words_are(words: list[str]) -> None:
    assert argv(command_line(words, windows=True)) == words
    assert shlex.split(command_line(words, windows=False)) == words


def test_on_windows_what_a_shell_reads_as_its_own_is_in_double_quotes() -> None:
    line = command_line(["fit", "C:\\bays\\tern.toml", "my bay.toml", "1,2", "a&b"], windows=True)
    assert line == 'fit C:\\bays\\tern.toml "my bay.toml" "1,2" "a&b"'

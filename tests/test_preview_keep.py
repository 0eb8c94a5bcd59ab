"""Keep, attacked: sixty files of every newline, mark, mode, form and unit, files that are broken in that moment,
and processes killed while they write. Not a byte changes but the values."""

from __future__ import annotations

import contextlib
import os
import random
import signal
import stat
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest
from preview_bay import TEXT, written

from brackets.app.preview.bay_source import BaySource
from brackets.app.preview.splice import with_value
from brackets.app.preview.write_back import keep, kept
from brackets.core.errors import InputError

HEAD = '# Motor­träger, geändert\nformat = 1\nunit = "{unit}"    # of bare numbers\n'
FORMS = {
    "blocks": """\
[[part]]
name = "cup"          # not = "stand"
recipe = 'cup'
at = [0, 0, 40]
  length = {length}\t# length = 12, as long as the tube at hand
{added}# of the next: length = 40

[[part]]
name = "stand"
recipe = "ears_on_base"
side = "chassis"
leg={leg}# no space
axis = [
  1, 0, # along
  0,
]
""",
    "one line each": """\
part = [ # all
  {{ name = "cup", recipe = "cup", at = [0, 0, 40], length = {length}{added} }}, # length = 9
  {{ "name" = "stand", recipe = "ears_on_base", leg = {leg} }},
]
""",
    "nested": """\
[[part]]
name = "cup"
recipe = "cup"
cup = {{ od = 70 }}
length = {length}
{added}[part.bush]
length = 40  # of the bush
[[part]]
name = "stand"
recipe = "ears_on_base"
'leg'   =   {leg}   # quoted
""",
    "no end of line": """\
[[part]]
name = "stand"
recipe = "ears_on_base"
leg = {leg}
[[part]]
name = "cup"
recipe = "cup"
length = {length}{added}""",
}
ADDED = {
    "blocks": "  wall = {}\n",
    "one line each": ", wall = {}",
    "nested": "wall = {}\n",
    "no end of line": "\nwall = {}",
}
"""What a value that is not there yet adds: in the line of the last, or a line below it."""
VALUES = {"mm": ("40", "50", "6", "8", "5"), "in": ('"40 mm"', '"50.8 mm"', '"6 mm"', '"8 mm"', '"5.5 mm"')}
TYPED = {"mm": ("50", "6", "5"), "in": ("2", "6mm", "5.5 mm")}


def texts(form: str, unit: str, change: tuple[bool, bool, bool]) -> tuple[str, str]:
    """The text before, and as it must be after length, wall and leg were kept as `change` says."""
    length, new_length, wall, leg, new_leg = VALUES[unit]
    whole, added = HEAD + FORMS[form], ADDED[form].format(wall) if change[1] else ""
    before = whole.format(unit=unit, length=length, leg=leg, added="")
    new = {"length": new_length if change[0] else length, "leg": new_leg if change[2] else leg}
    return before, whole.format(unit=unit, added=added, **new)


@pytest.mark.parametrize("number", range(60))
def test_nothing_changes_but_the_values(tmp_path: Path, number: int) -> None:
    rng = random.Random(f"18/{number}")
    form, unit = list(FORMS)[number % 4], rng.choice(["mm", "in"])
    change = rng.choice([(True, False, False), (False, True, False), (True, True, True), (False, False, True)])
    before, after = texts(form, unit, change)
    newline, mark = rng.choice(["\n", "\r\n"]), rng.choice([b"", b"\xef\xbb\xbf"])
    mode = rng.choice([0o600, 0o644, 0o640, 0o664])
    path = tmp_path / "bays" / "mine.toml"
    path.parent.mkdir()
    path.write_bytes(mark + before.replace("\n", newline).encode())
    path.chmod(mode)
    typed_as = tmp_path / "link.toml" if rng.random() < 0.3 else path
    if typed_as != path:
        typed_as.symlink_to(path)
    length, wall, leg = TYPED[unit]
    typed: dict[str, dict[str, str]] = {"cup": {}, "stand": {}}
    if change[0]:
        typed["cup"]["length"] = length
    if change[1]:
        typed["cup"]["wall"] = wall
    if change[2]:
        typed["stand"]["leg"] = leg
    told = keep(BaySource(str(typed_as)), typed)
    assert told["done"] is True, told
    assert path.read_bytes() == mark + after.replace("\n", newline).encode()
    assert len(told["lines"]) == 1 + sum(map(len, typed.values()))
    assert stat.S_IMODE(path.stat().st_mode) == mode
    assert typed_as == path or typed_as.is_symlink()
    assert [p.name for p in path.parent.iterdir()] == ["mine.toml"]


def _bytes(change: Callable[[bytes], bytes]) -> Callable[[Path], None]:
    return lambda path: void(path.write_bytes(change(path.read_bytes())))


def void(_: object) -> None: ...


BROKEN: dict[str, tuple[Callable[[Path], None], str]] = {
    "renamed": (_bytes(lambda b: b.replace(b'"cup"\nrecipe', b'"can"\nrecipe')), "cup: 0 parts of this name"),
    "twice": (_bytes(lambda b: b.replace(b'name = "stand"', b'name = "cup"')), "cup: 2 parts of this name"),
    "no TOML": (_bytes(lambda b: b.replace(b"[[part]]", b"[[part")), "is not TOML"),
    "half saved": (_bytes(lambda b: b[: len(b) * 3 // 4]), "is not TOML"),
    "no UTF-8": (_bytes(lambda b: b.replace(b"invented", b"erf\xfcnden", 1)), "is not text in UTF-8"),
    "UTF-16": (_bytes(lambda b: b.decode().encode("utf-16")), "is not text in UTF-8"),
    "empty": (_bytes(lambda b: b""), "cup: 0 parts"),
    "no recipe": (_bytes(lambda b: b.replace(b'recipe = "cup"', b"")), "cup: "),
    "another recipe": (_bytes(lambda b: b.replace(b'"cup"\nside', b'"gusset"\nside')), "must be a value of its"),
    "part no list": (_bytes(lambda b: b"part = 3\n"), "cup: 0 parts"),
    "gone": (lambda path: path.unlink(), "no such file"),
    "a folder": (lambda path: void((path.unlink(), path.mkdir())), "is a folder"),
    "read-only": (lambda path: path.chmod(0o444), "is read-only"),
}


@pytest.mark.parametrize("how", BROKEN)
def test_what_cannot_be_written_is_named_and_the_file_left(tmp_path: Path, how: str) -> None:
    path = written(tmp_path)
    what = BaySource(str(path))
    spoil, why = BROKEN[how]
    spoil(path)
    before = (path.read_bytes(), path.stat()) if path.is_file() else None
    told = keep(what, {"cup": {"length": "50", "wall": "6"}, "stand": {"leg": "5"}})
    assert told["done"] is False
    assert told["lines"][0] == "Nothing was written:"
    assert any(why in line for line in told["lines"]), told["lines"]
    assert told["lines"][-3:] == [
        "not written: cup: length = 50", "not written: cup: wall = 6", "not written: stand: leg = 5",
    ]  # fmt: skip
    if before is not None:
        assert (path.read_bytes(), path.stat()) == before


def test_every_wrong_value_is_named_and_none_of_the_others_written(tmp_path: Path) -> None:
    path = written(tmp_path)
    told = keep(BaySource(str(path)), {"cup": {"length": "5 kg", "wall": "6"}, "stand": {"leg": "-4", "none": "1"}})
    assert sum("must be" in line for line in told["lines"]) == 3
    assert sum(line.startswith("not written: ") for line in told["lines"]) == 4
    assert path.read_text("utf-8") == TEXT


def test_another_program_that_writes_in_this_moment_is_not_overwritten(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path, real = written(tmp_path), os.open

    def opened(name: str, *more: int) -> int:
        path.write_text(TEXT + "# saved by hand\n", "utf-8")
        return real(name, *more)

    monkeypatch.setattr(os, "open", opened)
    told = keep(BaySource(str(path)), {"cup": {"length": "50"}})
    assert told["done"] is False
    assert any("changed by another program" in line for line in told["lines"])
    assert path.read_text("utf-8") == TEXT + "# saved by hand\n"


@pytest.mark.skipif(sys.platform == "win32", reason="forks and sends POSIX signals")
def test_a_process_killed_while_it_keeps_leaves_the_old_file_or_the_new_one(tmp_path: Path) -> None:
    path, rng = written(tmp_path), random.Random(18)
    path.chmod(0o600)
    wanted = set()
    for length in ("50", "60"):
        kept(path, {"cup": {"length": length}})
        wanted.add(path.read_bytes())
    for _ in range(12):
        inode = path.stat().st_ino
        child = os.fork()
        if child == 0:
            with contextlib.suppress(BaseException):  # else it would go on with the tests, beside this process
                while True:
                    kept(path, {"cup": {"length": "50"}})
                    kept(path, {"cup": {"length": "60"}})
            os._exit(1)
        late = time.monotonic() + 120
        while not (wrote := path.stat().st_ino != inode) and time.monotonic() < late:
            time.sleep(0.002)
        time.sleep(rng.uniform(0.0, 0.05))
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        assert wrote  # by now the number may be in use again
        assert path.read_bytes() in wanted
        assert stat.S_IMODE(path.stat().st_mode) == 0o600
    kept(path, {"cup": {"length": "50"}})
    assert [p.name for p in tmp_path.iterdir()] == ["small.toml"]


def test_it_is_on_the_disk_before_it_takes_the_place_of_the_old(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    told: list[str] = []
    for name in ("fsync", "replace"):
        real = getattr(os, name)
        monkeypatch.setattr(os, name, lambda *a, real=real, name=name: void(told.append(name)) or real(*a))
    kept(written(tmp_path), {"cup": {"length": "50"}})
    assert told == ["fsync", "replace"]


@pytest.mark.parametrize("text", ["part = [{ }]\n", "[part]\n", "[[part]]\n[part.x]\ny = 1\n"])
def test_a_form_that_it_does_not_know_is_left_to_the_hand(text: str) -> None:
    with pytest.raises(InputError, match=r"length = 50, must be typed into the file by hand"):
        with_value(text, ("part", 0, "length"), 50)

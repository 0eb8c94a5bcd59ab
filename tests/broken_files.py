"""Broken variants of small good files, and a process of its own for each command that is given one.

`python broken_files.py` is the nursery: it loads everything once, then forks a child for each case it reads, a line
of JSON each, and answers with how the child ended, what it said and wrote, and its processor seconds and memory.
"""

from __future__ import annotations

import gc
import importlib
import json
import os
import random
import re
import sys
import time
from collections.abc import Callable
from pathlib import Path

import brackets

BAY = """\
# invented
format = 1
name = "Broken (invented)"
shop = "shop.toml"
[gap]
fixed = { rest = 8, moved = 3, why = "habit" }
"fuel line" = { rest = 20, moved = 12, why = "habit" }
[powertrain]
crank = { at = [10, 0, 300], axis = [1, 0, 0] }
moves = { about = "crank", roll = 1, up = 2, down = 2 }
[[datum]]
marks = [[0, 0, 0], [500, 0, 0], [500, 300, 0], [0, 300, 0]]
diagonals = [583, 583.5]
[[keep_out]]
name = "rail"
tube = { from = [-790, 355, 455], to = [360, 300, 325], od = 38, wall = 3 }
[[keep_out]]
name = "block"
side = "powertrain"
box = { from = [700, -120, 300], to = [1000, 100, 400] }
[[keep_out]]
name = "fuel"
kind = "fuel line"
tube = { from = [500, 200, 300], to = [700, 200, 300], od = 10 }
[[lump]]
name = "engine"
mass = 90
at = [10, 0, 350]
[[boss]]
name = "L1"
at = [45, 128, 432]
normal = [0, 1, 0]
depth = 24
[[boss]]
name = "L2"
at = [128, 128, 426]
normal = [0, 1, 0]
depth = 24
[[boss]]
name = "L3"
at = [52, 128, 481]
normal = [0, 1, 0]
depth = 24
[[boss]]
name = "L4"
at = [121, 124.5, 487]
normal = [0, 1, 0]
depth = 20
[[mount]]
name = "left"
bush = "R60"
at = [90, 283, 426]
axis = [1, 0, 0]
bolt = { size = "M12", class = "8.8" }
[mount.chassis]
part = "left_ears"
onto = "rail"
[mount.powertrain]
part = "left_arm"
[[bush]]
name = "R60"
kind = "bonded rubber"
od = 60
shell_length = 40
sleeve_od = 18
sleeve_bore = 12.2
sleeve_length = 52
bolt = "M12"
rubber = { inner_r = 9, outer_r = 28.5, length = 38, hardness = 45 }
stiffness = { radial = 310, axial = 104, torsion = 23200, known = "invented" }
travel = { radial = 7, axial = 6 }
load = 2600
heat = 80
mass = 0.34
[[part]]
name = "left_ears"
recipe = "ears"
t = 6
back = false
inside = 52.5
[[part]]
name = "left_arm"
recipe = "stay"
bosses = ["L1", "L2", "L3", "L4"]
plate_t = 8
edge = 20
washers = { L4 = 3.5 }
tube_from = [87, 136, 457]
cup_wall = 6
[[part]]
name = "left"
recipe = "gusset"
side = "chassis"
at = [200, 60, 40]
[[part]]
name = "right"
mirror_of = "left"
[[contact]]
pair = ["left_arm", "block"]
[[path]]
name = "gusset out"
part = "left"
legs = [[0, 0, 60], { turn = 20, through = [0, 0, 0], axis = [1, 0, 0] }]
gap = 2
"""
SHOP = """\
format = 1
name = "Broken shop (invented)"
sample = true
gap = 1
[printer]
paper = "A4"
bar_x = 99.5
bar_y = 100
[brake]
length = 1250
force = "400 kN"
punch = 12
[[die]]
v = 50
thin = 5
thick = 7
flange = 35
radius = 8
[[sheet]]
material = "S355"
t = [3, 5, 6, 8]
length = 2000
width = 1000
[[tube]]
od = 38
wall = [2.5, 3]
length = 6000
[[coupon]]
material = "S355"
t = 6
radius = 8
angle = 90
allowance = 17.5
[[former]]
od = 38
radius = 115
[tubing]
straight = 1
fit_up = 1.6
wrap = "bevel"
[welding]
process = "other"
[hole_tools]
drills = [6, 8, 8.4, 9, 10, 10.5]
reamers = [8, 10, 12]
ream_stock = 0.6
"""
READINGS = """\
format = 1
name = "Broken readings (invented)"
unit = "mm"
[tool]
calliper = 0.2
scale = "0.5 kg"
[pattern]
anticlockwise = ["H1", "H2", "H3"]
[place]
at = [190, -52, 152]
along = [0, 98, -8]
normal = [-1, 0, 0]
[[hole]]
name = "H1"
d = 8.5
thread = "M10"
depth = 24
into = "cast aluminium"
[[hole]]
name = "H2"
d = 8.5
[[hole]]
name = "H3"
d = 8.5
[[reading]]
between = ["H1", "H2"]
how = "outside"
values = [106.8, 106.9]
who = ["Ann", "Bob"]
[[reading]]
between = ["H2", "H3"]
how = "centre"
values = [80]
[[reading]]
between = ["H1", "H3"]
how = "inside"
values = ["4-11/32in"]
[[datum]]
marks = [[100, 330, 0], [100, -330, 0], [1000, 330, 0], [1000, -330, 0]]
diagonals = [1116.1, 1115.4]
[position]
about = [650, 15, 185]
[[point]]
name = "H1"
drawn = [190, -52, 152]
measured = [195, -56, 154]
[[point]]
name = "H2"
drawn = [190, 46, 144]
measured = [195, 42, 146]
[[point]]
name = "B1"
drawn = [812, -115, 152]
measured = [818, -115, 163]
[weigh]
[[weighing]]
name = "level"
stands = [[300, 150, 60], [300, -150, 60], [1000, 10, 55]]
reads = [33.4, 32.9, "91.7 kg"]
[[weighing]]
name = "nose up"
stands = [[300, 150, 60], [300, -150, 60], [1000, 10, 55]]
reads = ["89.0 lb", "86.1 lb", 78.6]
nose_up = 15
"""
FAMILY = """\
format = 1
name = "Broken family (invented)"
recipe = "./tab.py"
shop = "shop.toml"
skip = ["t == 8 and width < 90", "max(d, 9) > 20"]
row_name = "{width} by {t}"
[vary]
width = "80..100/20"
t = [6, "8 mm"]
[tied]
d = "t + 3"
[[row]]
name = "one"
many = 1
[[row]]
name = "two"
many = 2
holes = [[0, 0]]
"""
RECIPE = '''\
"""Tab: a square of plate with a row of holes. Invented."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated

from brackets import Checked, Finding, PLATE, PRACTICE, choice, count, mm, plate, points, rectangle, stock
from brackets import Hole, Part


@dataclass(frozen=True, kw_only=True)
class Params(Checked):
    t: Annotated[float, stock(PLATE, "plate")] = 6.0
    width: Annotated[float, mm(20, 300, "width")] = 80.0
    holes: Annotated[tuple[tuple[float, ...], ...], points(2, "holes")] = ((-20.0, 0.0), (20.0, 0.0))
    d: Annotated[float, mm(3, 30, "holes")] = 9.0
    many: Annotated[int, count(1, 4, "tabs")] = 1
    edge: Annotated[str, choice(("sharp", "round"), "corners")] = "round"

    @property
    def radius(self) -> float:
        return 6.0 if self.edge == "round" else 0.0

    def rules(self) -> Iterator[str]:
        if self.d * 2 > self.width:
            yield f"d = {self.d:g} mm, below {self.width / 2:g}: a hole in the tab"


def check(p: Params) -> Iterator[Finding]:
    if p.d < p.t:
        yield Finding(
            level="advice", code="small", piece="tab", value=p.d, limit=p.t, source=PRACTICE,
            sentence=f"holes of {p.d:g} mm in {p.t:g} mm plate are punched badly",
        )


def build(p: Params) -> Part:
    holes = tuple(Hole(at=at, d=p.d, bolt="M8") for at in p.holes)
    base = plate(rectangle(p.width, 60, radius=p.radius), p.t, name="tab", openings=holes)
    return Part(name="tab", pieces=(base,))
'''
GOOD = {"bay": BAY, "shop": SHOP, "readings": READINGS, "family": FAMILY, "recipe": RECIPE}
NAMES = {**{kind: f"{kind}.toml" for kind in GOOD}, "recipe": "tab.py"}
COMMANDS = {
    "bay": (
        ["fit", "bay.toml"],
        ["flat", "bay.toml"],
        ["card", "bay.toml", "--keep-outs"],
        ["bolts", "bay.toml"],
        ["view", "bay.toml", "--html", "x.html"],
    ),
    "shop": (
        ["make", "./tab.py", "--shop", "shop.toml"],
        ["flat", "./tab.py", "--shop", "shop.toml"],
        ["fit", "bay.toml"],
        ["measure", "readings.toml", "--shop", "shop.toml"],
    ),
    "readings": (["measure", "readings.toml"],),
    "family": (["family", "family.toml"],),
    "recipe": (
        ["make", "./tab.py"],
        ["flat", "./tab.py"],
        ["card", "./tab.py"],
        ["bolts", "./tab.py"],
        ["recipes", "./tab.py"],
        ["view", "./tab.py", "--html", "x.html"],
    ),
}  # fmt: skip
"""Commands that read each kind of file; a bay is the dearest, and half of its cases only lay it flat."""

SECONDS, BYTES = 10.0, 2e9
"""What a command may need for a broken file: processor seconds, and memory."""
WORKED_OUT = 60.0
"""Processor seconds where the file turns out to be good enough to be worked out."""
WALL = 90.0
"""Seconds by the clock after which a child is lost, on a machine that does much else."""

ODD = (
    "nan", "inf", "-inf", "1e308", "-1e308", "1e-308", "5e-324", "0", "-0.0", "-1", "1000000000", "9" * 400, "true",
    '""', '"x"', '"\\u0000"', '"a\\nb"', '"\\u001b[31m"', '"\\u202e"', "[]", "{}", "[[]]", "[{}]", "[1, 2]",
    "[nan, 0, 0]",
    "[1e300, 1e300, 1e300]", "[0, 0, 0]", '"1/0"', '"1e999mm"', '"-"', '"../../evil"', '"/etc/passwd"',
    "1979-05-27",
    "07:32:00", "0x7fffffffffffffff", '"none"', '"@/dev/zero"', '"@absent.csv"', "{ a = { b = { c = 1 } } }",
)  # fmt: skip
"""Values put in the place of others; Python reads most of them, too."""
HUGE = (
    ('"' + "n" * 3_000_000 + '"', "a name of 3 MB"),
    ("[" + "0," * 100_000 + "]", "100,000 numbers"),
    ("[" + "[0, 0, 0]," * 100_000 + "]", "100,000 points"),
    ("[" + '"B1",' * 100_000 + "]", "100,000 names"),
    ("[" * 900 + "]" * 900, "900 brackets"),
    ("[" * 50_000 + "]" * 50_000, "50,000 brackets"),
    ("{ a = " * 300 + "1" + " }" * 300, "300 tables"),
    ("1" * 4_300, "4,300 digits"),
    ("1" * 100_000, "100,000 digits"),
    ('["x"' + ', "' + "y" * 100_000 + '"]', "a long name in a list"),
)


def keyed(text: str) -> list[int]:
    """Lines that set a value at their start."""
    return [i for i, line in enumerate(text.splitlines()) if re.match(r'\s*["\w]+\s*(:[^=]*)?=[^=]', line)]


def with_line(text: str, at: int, line: str) -> str:
    lines = text.splitlines()
    lines[at] = line
    return "\n".join(lines) + "\n"


def cut(rng: random.Random, text: str) -> bytes:
    return text.encode()[: rng.randrange(len(text))]


def flipped(rng: random.Random, text: str) -> bytes:
    found = bytearray(text.encode())
    for _ in range(rng.choice([1, 2, 5, 40])):
        found[rng.randrange(len(found))] ^= 1 << rng.randrange(8)
    return bytes(found)


def lines_moved(rng: random.Random, text: str) -> bytes:
    lines = text.splitlines()
    for _ in range(rng.choice([1, 1, 3])):
        i, j = rng.randrange(len(lines)), rng.randrange(len(lines))
        what = rng.choice(["double", "drop", "swap"])
        if what == "double":
            lines.insert(j, lines[i])
        elif what == "drop":
            del lines[i]
        else:
            lines[i], lines[j] = lines[j], lines[i]
    return "\n".join(lines).encode()


def misspelt(rng: random.Random, text: str) -> bytes:
    words = list(re.finditer(r"[A-Za-z_]{3,}", text))
    for word in sorted(rng.sample(words, rng.choice([1, 1, 2])), key=lambda w: -w.start()):
        i = rng.randrange(word.start(), word.end())
        text = text[:i] + rng.choice(["", text[i] * 2, "x", "é", " "]) + text[i + 1 :]
    return text.encode()


def another_value(rng: random.Random, text: str) -> bytes:
    for _ in range(rng.choice([1, 1, 1, 3])):
        at = rng.choice(keyed(text))
        line = text.splitlines()[at]
        text = with_line(text, at, f"{line.partition('=')[0]}= {rng.choice(ODD)}")
    return text.encode()


def another_number(rng: random.Random, text: str) -> bytes:
    found = rng.choice(list(re.finditer(r"(?<![\w.])-?\d+(\.\d+)?(?![\w.])", text)))
    new = rng.choice(["nan", "inf", "-inf", "1e300", "-1e300", "1e-300", "1e9", "-5", "0", "1e-9", "400", "9" * 30])
    return (text[: found.start()] + new + text[found.end() :]).encode()


def another_word(rng: random.Random, text: str) -> bytes:
    """One word of the file in the place of another: things that stand on themselves, names that are there twice."""
    words = list(re.finditer(r'"([^"\n]*)"', text))
    if len(words) < 2:
        return another_value(rng, text)
    one, other = rng.sample(words, 2)
    odd = ["a\\nb", "\\u0007", "con", "../x", "x" * 300, "", "powertrain", "assembly", "ä" * 60, "a/b", "--into"]
    new = rng.choice([other[1], other[1], other[1], rng.choice(odd)])
    return (text[: one.start(1)] + new + text[one.end(1) :]).encode()


def huge_value(rng: random.Random, text: str) -> bytes:
    at = rng.choice(keyed(text))
    return with_line(text, at, f"{text.splitlines()[at].partition('=')[0]}= {rng.choice(HUGE)[0]}").encode()


def many_rows(rng: random.Random, text: str) -> bytes:
    """A table of the file 20,000 times, or 10 times under names of their own."""
    tables = list(re.finditer(r"(?ms)^\[\[\w+\]\].*?(?=^\[|\Z)", text))
    if not tables:
        tail = rng.choice(["x = 1\n" * 200_000, "    " * 100 + "pass\n", "(" * 5_000, "-" * 90_000 + "1"])
        return f"{text}\n{tail}".encode()
    row = rng.choice(tables)[0]
    if rng.random() < 0.5:
        return (text + row * min(20_000, 3_500_000 // len(row))).encode()
    return (text + "".join(re.sub(r'name = ".*"', f'name = "n{n}"', row) for n in range(10))).encode()


def encoded(rng: random.Random, text: str) -> bytes:
    plain = ["utf-16", "utf-32", "utf-8-sig", "crlf", "cr", "nul", "latin", "twice"]
    put = rng.choice([*plain, "empty", "blank", "spaces", "noise"])
    if put == "crlf":
        return text.replace("\n", "\r\n").encode()
    if put == "cr":
        return text.replace("\n", "\r").encode()
    if put == "nul":
        at = rng.randrange(len(text))
        return (text[:at] + "\0" + text[at:]).encode()
    if put == "latin":
        return text.replace("e", "é", 1).encode("latin-1")
    if put == "twice":
        return (text + text).encode()
    if put in ("empty", "blank", "spaces"):
        return {"empty": b"", "blank": b"\n", "spaces": b" " * 1_000_000}[put]
    if put == "noise":
        return rng.randbytes(3_000)
    return text.encode(put)


def device(rng: random.Random, text: str) -> str:
    """The name of a way to put something that is no file there."""
    devices = ["/dev/zero", "/dev/null", "/dev/full", "/dev/tty"]
    return rng.choice([*devices, "fifo", "folder", "loop", "sparse", "secret", "absent"])


BREAKS: tuple[Callable[[random.Random, str], bytes | str], ...] = (
    cut, flipped, lines_moved, misspelt, another_value, another_value, another_number, another_number, another_word,
    another_word, huge_value, many_rows, encoded, device,
)  # fmt: skip

RECIPES = (
    "def build(p):\n    return build(p)\n",
    "def build(p):\n    raise SystemExit(0)\n",
    "def build(p):\n    import os\n    os.chdir('/')\n    raise KeyError('x')\n",
    "def build(p):\n    return plate(rectangle(1e-9, 1e9), p.t)\n",
    "def build(p):\n    return Part(name='a\\nb', pieces=())\n",
    "def build(p):\n    raise ValueError('é' * 100_000 + chr(27))\n",
    "def build(p):\n    raise type('Odd', (BaseException,), {})('odd')\n",
    "def build(p):\n    class E(Exception):\n        def __str__(self):\n            raise OSError\n    raise E\n",
    "def build(p):\n    print('said'); import sys; sys.stdout.write('x'); return None\n",
    "def build(p):\n    return [0] * 10**12\n",
    "def check(p):\n    yield 'not a finding'\n",
    "def check(p):\n    return 7\n",
    "raise MemoryError\n",
    "raise GeneratorExit\n",
    "import absent_module\n",
    "from brackets import recipe\nrecipe(__file__)\n",
    "Params = 3\n",
    "del build\n",
    "build = check = 3\n",
    "import warnings; warnings.warn('of its own')\n",
    "def rules(self):\n    return 7\nParams.rules = rules\n",
    "def rules(self):\n    yield 7\nParams.rules = rules\n",
    "def rules(self):\n    yield 'a\\nb' * 10_000\nParams.rules = rules\n",
)
"""What a stranger's recipe may end with; what comes last counts."""


def broken(n: int, start: int) -> tuple[str, str, bytes | str, list[str]]:
    """The n-th case: kind of file, how it is broken, its bytes (or what is there instead), and the command."""
    rng = random.Random(f"{start}/{n}")
    kind = ("bay", "readings", "recipe", "shop", "family")[n % 5]
    commands = COMMANDS[kind]
    if kind == "recipe" and rng.random() < 0.3:
        i = rng.randrange(len(RECIPES))
        return kind, f"ends with {i}", f"{RECIPE}\n{RECIPES[i]}".encode(), rng.choice(commands)
    how = rng.choice(BREAKS)
    return kind, how.__name__, how(rng, GOOD[kind]), rng.choice(commands)


def put(folder: Path, kind: str, content: bytes | str) -> None:
    """The good files in `folder`, with the broken one in the place of its own."""
    for each, text in GOOD.items():
        (folder / NAMES[each]).write_text(text, "utf-8")
    path = folder / NAMES[kind]
    if isinstance(content, bytes):
        path.write_bytes(content)
        return
    path.unlink()
    if content == "fifo":
        os.mkfifo(path)
    elif content == "folder":
        path.mkdir()
    elif content == "loop":
        path.symlink_to(path.name)
    elif content == "sparse":
        path.touch()
        os.truncate(path, 10**12)
    elif content == "secret":
        path.write_text(GOOD[kind])
        path.chmod(0)
    elif content != "absent":
        path.symlink_to(content)


def wrong(ended: dict[str, object]) -> list[str]:
    """What a command did that it must not, from the nursery's answer; empty where it kept its word."""
    out, err, status = str(ended["out"]), str(ended["err"]), ended["status"]
    lines = err.splitlines()
    found = []
    if status not in (0, 1, 2):
        found.append(f"status {status}")
    if "Traceback" in err or "Traceback" in out:
        found.append("a traceback")
    if "Warning" in err and "UserWarning: of its own" not in err:
        found.append("a warning of Python's")
    if status == 2 and ended["new"]:
        found.append(f"wrote {ended['new']}")
    if status == 2 and out:
        found.append("results although the input is wrong")
    if status == 2 and not lines:
        found.append("status 2 and no word")
    if any(str(name).startswith(".") for name in ended["new"]):  # type: ignore[attr-defined]
        found.append(f"litter {ended['new']}")
    if any(not line.strip() or len(line) > 810 for line in lines):
        found.append("a line of 800 characters or none")
    if len(lines) > 110:
        found.append(f"{len(lines)} lines")
    if any(not line.isprintable() for line in lines):
        found.append("characters that steer a terminal")
    if float(ended["cpu"]) > (SECONDS if status == 2 else WORKED_OUT):  # type: ignore[arg-type]
        found.append(f"{ended['cpu']} s")
    if float(ended["memory"]) > BYTES:  # type: ignore[arg-type]
        found.append(f"{ended['memory']} bytes")
    return found


def run(folder: Path, command: list[str]) -> dict[str, object]:
    """The command in a child in `folder`: its status (minus the signal), words, new names, seconds and bytes."""
    before = {str(p.relative_to(folder)) for p in folder.rglob("*")}
    said = {name: folder.with_name(f"{folder.name}.{name}") for name in ("out", "err")}
    child = os.fork()
    if not child:
        _child(folder, command, said)
    began = time.monotonic()
    while True:
        found, how, used = os.wait4(child, os.WNOHANG)
        if found:
            break
        if time.monotonic() - began > WALL:
            os.kill(child, 9)
        time.sleep(0.005)
    scale = 1 if sys.platform == "darwin" else 1024
    return {
        "status": os.waitstatus_to_exitcode(how),
        "new": sorted({str(p.relative_to(folder)) for p in folder.rglob("*")} - before),
        "cpu": round(used.ru_utime + used.ru_stime, 2),
        "memory": used.ru_maxrss * scale,
        **{name: path.read_bytes().decode("utf-8", "replace") for name, path in said.items()},
    }


def _child(folder: Path, command: list[str], said: dict[str, Path]) -> None:
    import resource

    status = 99
    try:
        for number, name in ((1, "out"), (2, "err")):
            os.dup2(os.open(said[name], os.O_WRONLY | os.O_CREAT | os.O_TRUNC), number)
        os.dup2(os.open(os.devnull, os.O_RDONLY), 0)
        os.chdir(folder)
        resource.setrlimit(resource.RLIMIT_DATA, (6_000_000_000, 6_000_000_000))
        from brackets.app.cli.app import main

        status = main(command)
        sys.stdout.flush()
        sys.stderr.flush()
    except BaseException:
        import traceback

        traceback.print_exc()
        sys.stderr.flush()
    finally:
        os._exit(status)


def load_all() -> None:
    """The commands and what they work with, once, so that no child has to; and nothing of it is looked through for
    litter there."""
    home = Path(brackets.__file__).parent
    for path in sorted(home.rglob("*.py")):
        if "_recipes" not in path.parts and path.name != "__main__.py":
            parts = path.relative_to(home).with_suffix("").parts
            importlib.import_module(".".join(("brackets", *parts)).removesuffix(".__init__"))
    gc.freeze()


if __name__ == "__main__":
    load_all()
    for row in sys.stdin:
        case = json.loads(row)
        print(json.dumps(run(Path(case["folder"]), case["command"])), flush=True)

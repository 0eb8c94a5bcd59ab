"""Opening a recipe: where it is looked for, what its file must have, and who is blamed, on which line."""

from __future__ import annotations

import pickle
import subprocess
import sys
import textwrap
import threading
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

import brackets
from brackets.core.errors import BadRecipe, InputError
from brackets.core.schema.reading import stated
from brackets.library.recipe import Recipe, about, recipe, recipes, shipped
from brackets.model.part import Part

WASHER = '''
"""A washer: one turned ring.

More about it.
"""
from __future__ import annotations
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated
from brackets import Checked, Part, Step, Turned, mm

@dataclass(frozen=True, kw_only=True)
class Params(Checked):
    od: Annotated[float, mm(10, 100, "outer diameter")] = 24.0
    bore: Annotated[float, mm(3, 90, "hole")] = 13.0
    t: Annotated[float, mm(0.5, 10, "thickness")] = 2.5

    def rules(self) -> Iterator[str]:
        if self.bore >= self.od:
            yield f"bore = {self.bore:g} mm, must be under od {self.od:g}: hole"

def build(p: Params) -> Part:
    return Part(name="washer", pieces=(Turned(name="ring", steps=(Step(length=p.t, od=p.od, bore=p.bore),)),))
'''


def written(folder: Path, text: str, name: str = "washer.py") -> Path:
    path = folder / name
    path.write_text(textwrap.dedent(text), "utf-8")
    return path


def blamed(path: str | Path) -> str:
    with pytest.raises(BadRecipe) as caught:
        recipe(path)
    line = str(caught.value)
    assert "\n" not in line
    return line


def test_a_recipe_of_ones_own_is_opened_checked_and_built(tmp_path: Path) -> None:
    mine = recipe(written(tmp_path, WASHER))
    assert (mine.name, mine.doc) == ("washer", "A washer: one turned ring.")
    assert [param.name for param in mine.params] == ["od", "bore", "t"]
    part = mine.build(mine.Params(od=30))
    assert isinstance(part, Part)
    assert mine.check(mine.Params()) == ()


def test_a_recipe_never_takes_the_name_of_a_module(tmp_path: Path) -> None:
    mine = recipe(written(tmp_path, WASHER, "json.py"))
    assert mine.module.__name__.startswith("brackets_recipe_")
    assert sys.modules["json"].__name__ == "json"


def test_two_recipes_of_one_name_do_not_mix(tmp_path: Path) -> None:
    (tmp_path / "other").mkdir()
    one = recipe(written(tmp_path, WASHER))
    two = recipe(written(tmp_path / "other", WASHER.replace("= 24.0", "= 30.0")))
    assert one.name == two.name
    assert one != two
    assert one.source_hash != two.source_hash
    assert (one.Params().od, two.Params().od) == (24.0, 30.0)  # type: ignore[attr-defined]


def test_a_changed_file_is_loaded_anew(tmp_path: Path) -> None:
    before = recipe(written(tmp_path, WASHER))
    after = recipe(written(tmp_path, WASHER.replace("= 24.0", "= 30.0")))
    assert before.source_hash != after.source_hash
    assert after.Params().od == 30.0  # type: ignore[attr-defined]


def test_the_same_source_is_run_once(tmp_path: Path) -> None:
    path = written(tmp_path, WASHER)
    assert recipe(path).module is recipe(path).module
    assert recipe(path) == recipe(path)


def test_a_recipe_and_its_params_survive_pickle(tmp_path: Path) -> None:
    mine = recipe(written(tmp_path, WASHER))
    again = pickle.loads(pickle.dumps((mine, mine.Params(od=30))))
    assert again == (mine, mine.Params(od=30))


def test_a_copy_reads_what_lies_beside_it_and_outlives_the_first(tmp_path: Path) -> None:
    """Copies of one file once shared its module: the second had the first one's table, and its values led there."""
    reads = WASHER.replace("= 24.0", "= float(__import__('pathlib').Path(__file__ + '.txt').read_text())")
    one, two = (tmp_path / name for name in ("one.py", "two.py"))
    for path, od in ((one, 24.0), (two, 30.0)):
        path.write_text(reads, "utf-8")
        path.with_name(f"{path.name}.txt").write_text(str(od), "utf-8")
    first, second = recipe(str(one)), recipe(str(two))
    assert (first.Params().od, second.Params().od) == (24.0, 30.0)  # type: ignore[attr-defined]
    assert first.module.__file__ != second.module.__file__
    one.unlink()
    assert pickle.loads(pickle.dumps((second, second.Params(od=31)))) == (second, second.Params(od=31))


def test_a_path_is_relative_to_the_file_that_names_it(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "parts").mkdir()
    written(tmp_path / "parts", WASHER)
    assert recipe("parts/washer.py", beside=tmp_path).name == "washer"
    monkeypatch.chdir(tmp_path / "parts")
    assert recipe("washer.py").name == "washer"


def test_values_of_another_recipe_are_refused(tmp_path: Path) -> None:
    one = recipe(written(tmp_path, WASHER))
    two = recipe(written(tmp_path, WASHER.replace("= 24.0", "= 30.0"), "big.py"))
    with pytest.raises(BadRecipe, match=r"washer\.py: given the values of another recipe"):
        one.build(two.Params())


# ------------------------------------------------------------------------------------------- the shipped ones


def test_shipped_recipes_are_found_beside_the_package() -> None:
    assert {"cup", "ears", "base_plate", "bung", "gusset", "cap_plate", "adaptor", "dummy_bush"} <= set(recipes())
    assert all((shipped() / f"{name}.py").is_file() for name in recipes())


@pytest.mark.parametrize("name", recipes())
def test_a_shipped_recipe_says_what_it_is_and_opens(name: str) -> None:
    opened = brackets.recipe(name)
    assert isinstance(opened, Recipe)
    assert opened.doc == about(name) != ""
    assert opened.Params() == opened.Params()


@pytest.mark.parametrize("name", recipes())
def test_the_rules_of_a_shipped_recipe_say_what_a_value_is(name: str) -> None:
    for param in brackets.recipe(name).params:
        assert not param.required
        assert len(param.meaning) > 2
        assert param.meaning.strip(" .") == param.meaning
        assert param.rule.plain(param.default, name="x") == param.default if param.default is not None else True


def test_an_unknown_recipe_is_refused_with_the_nearest_and_all_there_are() -> None:
    line = blamed("eers")
    assert line.startswith('recipe = "eers", no such recipe, nearest: ears; there are ')
    assert all(name in line for name in recipes())
    assert line.endswith("your own ends in .py")


# ------------------------------------------------------------------------------------------- what goes wrong

BROKEN: dict[str, tuple[str, str]] = {
    "syntax": ("def build(p)\n    pass\n", "{path}:1: expected ':', must be: Python that reads"),
    "indent": ("x = 1\n  y = 2\n", "{path}:2: unexpected indent, must be: Python that reads"),
    "null": ("x = '\0'\n", "{path}: source code string cannot contain null bytes, must be: Python that reads"),
    "raises": ("x = 1\ny = x / 0\n", "{path}:2: ZeroDivisionError: division by zero, while loading"),
    "raises deep": (
        "import json\n\ny = json.loads('{')\n",
        "{path}:3: JSONDecodeError: Expecting property name enclosed in double quotes: line 1 column 2 (char 1), "
        "while loading",
    ),
    "own error": (
        "class Mine(Exception): ...\nraise Mine('a\\nb')\n",
        "{path}:2: Mine: a b, while loading",
    ),
    "leaves": ("import sys\nsys.exit(3)\n", "{path}:2: SystemExit: 3, while loading"),
    "no module": ("import nothing_here\n", "{path}:1: ModuleNotFoundError: No module named 'nothing_here', while"),
    "empty": ("", "{path}: has no Params and no build, must have: Params and build(p)"),
    "no build": (WASHER.replace("def build", "def built"), "{path}: has no build, must have: Params and build(p)"),
    "no params": (
        WASHER.replace("class Params", "class Values").replace("p: Params", "p"),
        "{path}: has no Params, must have: Params and build(p)",
    ),
    "build is a word": (WASHER + "build = 'x'\n", "{path}: build is no function, must be: build(p)"),
    "check is a word": (WASHER + "check = 'x'\n", "{path}: check is no function, must be: check(p)"),
    "params is a table": (
        WASHER + "Params = {}\n",
        "{path}: Params is a dict, must be: a dataclass deriving from Checked",
    ),
    "params is plain": (
        WASHER.replace("(Checked)", ""),
        "{path}: Params is a type, must be: a dataclass deriving from Checked",
    ),
    "not frozen": (
        WASHER.replace("frozen=True, ", ""),
        "{path}: TypeError: Params must be a @dataclass(frozen=True, kw_only=True) deriving from Checked, while "
        "reading the rules of Params",
    ),
    "no rule": (
        WASHER.replace('Annotated[float, mm(3, 90, "hole")]', "float"),
        "{path}: TypeError: Params.bore must be Annotated with one rule, such as mm(1, 25, ...), while reading",
    ),
    "unknown name": (
        WASHER.replace('mm(3, 90, "hole")', 'inch(3, 90, "hole")'),
        "{path}: NameError: name 'inch' is not defined, while reading the rules of Params",
    ),
    "limits": (
        WASHER.replace('mm(3, 90, "hole")', 'mm(90, 3, "hole")').replace("from __future__ import annotations", ""),
        "{path}:15: limits = 90.0 to 3.0, must be low to high: hole, while loading",
    ),
    "default": (
        WASHER.replace("= 24.0", "= 240.0"),
        "{path}: a default is refused: od = 240 mm, must be 10 to 100 mm: outer diameter",
    ),
    "taken": (
        WASHER.replace("    t:", "    json:"),
        "{path}: a value is named json, must be another word: the command line uses it",
    ),
}


@pytest.mark.parametrize("case", BROKEN)
def test_a_broken_recipe_is_refused_in_one_line(tmp_path: Path, case: str) -> None:
    text, line = BROKEN[case]
    path = written(tmp_path, text)
    assert blamed(path).startswith(line.format(path=path))
    assert str(path) in blamed(path)


def test_defaults_that_do_not_go_together_are_refused_when_they_are_used(tmp_path: Path) -> None:
    mine = recipe(written(tmp_path, WASHER.replace("= 13.0", "= 30.0")))
    with pytest.raises(InputError, match="bore = 30 mm, must be under od 24: hole"):
        mine.Params()
    assert mine.Params(od=40)


def test_a_broken_recipe_leaves_nothing_loaded(tmp_path: Path) -> None:
    before = set(sys.modules)
    blamed(written(tmp_path, "import sys\nraise RuntimeError('no')\n"))
    assert not [name for name in set(sys.modules) - before if name.startswith("brackets_recipe")]


def test_a_file_that_is_not_there_is_named(tmp_path: Path) -> None:
    path = tmp_path / "none.py"
    assert blamed(path) == f"{path}: no such file, must be a recipe, a Python file with Params and build"
    assert "is a folder, must be a recipe" in blamed(f"{tmp_path}/")


BUILDS: dict[str, tuple[str, str]] = {
    "raises": ("    return 1 / 0", "{path}:{line}: ZeroDivisionError: division by zero, while building"),
    "attribute": (
        "    return p.odd",
        "{path}:{line}: AttributeError: 'Params' object has no attribute 'odd', while building",
    ),
    "silent": ("    raise ValueError", "{path}:{line}: ValueError: no message, while building"),
    "nothing": ("    pass", "{path}: build returned nothing, must be: Part"),
    "number": ("    return 3.5", "{path}: build returned a float, must be: Part"),
}


@pytest.mark.parametrize("case", BUILDS)
def test_a_build_that_fails_is_blamed_on_its_line(tmp_path: Path, case: str) -> None:
    body, line = BUILDS[case]
    head = WASHER[: WASHER.index("    return Part")]
    path = written(tmp_path, head + body + "\n")
    mine = recipe(path)
    with pytest.raises(BadRecipe) as caught:
        mine.build(mine.Params())
    assert str(caught.value) == line.format(path=path, line=head.count("\n") + 1)


def test_a_build_that_refuses_a_value_says_so_as_it_is(tmp_path: Path) -> None:
    body = "    raise InputError('od = 24 mm, must be 30: a rule of the build')\n"
    head = WASHER[: WASHER.index("    return Part")] + "    from brackets import InputError\n"
    mine = recipe(written(tmp_path, head + body))
    with pytest.raises(InputError, match="od = 24 mm, must be 30"):
        mine.build(mine.Params())


def test_ctrl_c_in_a_recipe_stops_the_program(tmp_path: Path) -> None:
    with pytest.raises(KeyboardInterrupt):
        recipe(written(tmp_path, "raise KeyboardInterrupt\n"))


CHECKS = """
def check(p):
    from brackets import Finding
    if p.t < 1:
        yield "thin"
    if p.t > 9:
        raise LookupError("no row")
    if p.t < 2:
        yield Finding(level="advice", code="thin", piece="ring", sentence="thin", source="none")
"""


def test_a_check_yields_findings(tmp_path: Path) -> None:
    mine = recipe(written(tmp_path, WASHER + CHECKS))
    assert mine.check(mine.Params()) == ()
    assert [finding.code for finding in mine.check(mine.Params(t=1.5))] == ["thin"]


def test_a_check_that_fails_is_blamed_on_its_line(tmp_path: Path) -> None:
    path = written(tmp_path, WASHER + CHECKS)
    mine = recipe(path)
    line = (WASHER + CHECKS).partition("raise LookupError")[0].count("\n") + 1
    with pytest.raises(BadRecipe, match=rf"washer\.py:{line}: LookupError: no row, while checking"):
        mine.check(mine.Params(t=9.5))
    with pytest.raises(BadRecipe, match=r"washer\.py: check yielded a str, must be: Finding"):
        mine.check(mine.Params(t=0.5))


# ----------------------------------------------------------------------------------------- a light import


def in_a_fresh_process(script: str) -> str:
    run = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=False)
    assert run.returncode == 0, run.stderr
    return run.stdout.strip()


def test_import_brackets_loads_nothing_else() -> None:
    script = "import sys, brackets; print([m for m in sys.modules if m.startswith(('brackets', 'numpy'))])"
    assert in_a_fresh_process(script) == "['brackets']"


def test_names_and_rooms_are_there_after_a_plain_import() -> None:
    script = (
        "import brackets\n"
        "print(brackets.length('2in'), brackets.bolt('M12').d, brackets.recipe('cup').name)\n"
        "print(brackets.library.recipe is brackets.recipe, brackets.Part.__name__, brackets.recipes()[0])"
    )
    assert in_a_fresh_process(script) == f"50.8 12.0 cup\nFalse Part {recipes()[0]}"


def test_a_recipe_of_the_first_version_is_refused_with_what_to_write(tmp_path: Path) -> None:
    old = WASHER.replace("from brackets import", "from brackets.params import", 1)
    assert old != WASHER
    with pytest.raises(BadRecipe, match=r"no module brackets\.params: since 0\.2 .*`from brackets import \.\.\.`"):
        recipe(written(tmp_path, old))


def test_an_unknown_name_is_no_attribute() -> None:
    assert not hasattr(brackets, "nothing_of_the_kind")
    assert not hasattr(brackets, "_hidden")
    assert {"recipe", "recipes", "Part", "__version__"} <= set(dir(brackets))


def test_opening_a_recipe_loads_neither_numpy_nor_the_kernel() -> None:
    script = (
        "import sys, brackets\n"
        "assert all(brackets.recipe(name).params for name in brackets.recipes())\n"
        "print([m for m in ('numpy', 'scipy', 'cadquery', 'OCP', 'trimesh', 'fcl') if m in sys.modules])"
    )
    assert in_a_fresh_process(script) == "[]"


def test_an_installed_package_has_its_recipes_inside(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from brackets.library import recipe as recipe_file

    inside = tmp_path / "site" / "brackets" / "_recipes"
    inside.mkdir(parents=True)
    (tmp_path / "site" / "recipes").mkdir()
    written(tmp_path / "site" / "recipes", WASHER, "stranger.py")
    written(inside, WASHER.replace("A washer", "Another washer"), "ring.py")
    written(inside, WASHER, "_parts.py")
    monkeypatch.setattr(recipe_file, "__file__", str(inside.parent / "library" / "recipe.py"))
    assert recipes() == ("ring",)
    assert (recipe("ring").doc, about("ring")) == ("Another washer: one turned ring.",) * 2


def test_a_shipped_recipe_that_does_not_read_does_not_hide_the_others(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from brackets.library import recipe as recipe_file

    inside = tmp_path / "_recipes"
    inside.mkdir()
    written(inside, "def build(p)\n", "bad.py")
    monkeypatch.setattr(recipe_file, "__file__", str(tmp_path / "library" / "recipe.py"))
    assert about("bad") == "does not read: line 1: expected ':'"


SLOW = WASHER.replace("@dataclass(frozen", "import time\ntime.sleep(0.02)\n\n@dataclass(frozen", 1)


def test_threads_never_get_a_recipe_that_is_half_loaded(tmp_path: Path) -> None:
    def whole(path: Path) -> bool:
        return hasattr(recipe(path).module, "build")

    for n in range(5):
        path = written(tmp_path, f"# {n} of {tmp_path}\n{SLOW}", f"slow_{n}.py")
        with ThreadPoolExecutor(4) as pool:
            assert list(pool.map(whole, [path] * 4)) == [True] * 4


LOADED = "import pickle, sys; print(pickle.load(sys.stdin.buffer))"


def test_values_travel_to_a_process_that_never_opened_their_recipe(tmp_path: Path) -> None:
    opened = recipe(written(tmp_path, WASHER))
    params = opened.Params(od=30.0)
    again = pickle.loads(pickle.dumps(params))
    assert (again, stated(again)) == (params, frozenset({"od"}))
    done = subprocess.run([sys.executable, "-c", LOADED], input=pickle.dumps(params), capture_output=True)
    assert done.stdout.decode().strip() == repr(params)


def test_values_of_a_recipe_that_changed_since_are_refused(tmp_path: Path) -> None:
    path = written(tmp_path, f"# {tmp_path}\n{WASHER}")
    sent = pickle.dumps(recipe(path).Params(od=30.0))
    written(tmp_path, WASHER.replace("13.0", "14.0"))
    with pytest.raises(BadRecipe, match="has changed since these values were made"):
        pickle.loads(sent)


def test_a_rule_between_values_that_fails_is_blamed_on_its_line(tmp_path: Path) -> None:
    text = WASHER.replace("        if self.bore", "        len(3)\n        if self.bore")
    path = written(tmp_path, text)
    with pytest.raises(BadRecipe, match=r"washer\.py:\d+: TypeError: .*, while checking its values"):
        recipe(path).Params()


def test_the_output_is_as_before_when_recipes_of_several_threads_end_in_another_order(tmp_path: Path) -> None:
    """The first to begin ends first, while the other still runs and has found the output turned away."""
    opened = recipe(written(tmp_path, WASHER))
    before, inside, ended = sys.stdout, threading.Event(), threading.Event()
    builds = opened.module.build

    def slow(params: object) -> Part:
        second.start()
        inside.wait(10)
        return builds(params)  # type: ignore[no-any-return]

    def check(params: object) -> list[object]:
        inside.set()
        ended.wait(10)
        return []

    opened.module.build, opened.module.check = slow, check  # type: ignore[attr-defined]
    second = threading.Thread(target=lambda: opened.check(opened.Params()))
    opened.build(opened.Params())
    ended.set()
    second.join()
    assert sys.stdout is before


def test_what_a_recipe_prints_is_not_among_the_results(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = WASHER.replace("@data", "print('loading')\n@data")
    text = text.replace("    return", "    print('building')\n    return")
    opened = recipe(written(tmp_path, text))
    opened.build(opened.Params())
    assert capsys.readouterr() == ("", "loading\nbuilding\n")

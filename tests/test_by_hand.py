"""The engine moved by hand on the page: what it is told of every place, what is refused, and what Keep writes."""

from __future__ import annotations

import asyncio
import math
import stat
import sys
import tomllib
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from engine_bay import BOXES, MOUNTS, written

from brackets import recipe
from brackets.app.preview import messages
from brackets.app.preview.bay_source import BaySource
from brackets.app.preview.bay_typed import with_typed
from brackets.app.preview.blocks import pack, unpack
from brackets.app.preview.build import answers
from brackets.app.preview.fields import Refused
from brackets.app.preview.gap_rows import worth_drawing
from brackets.app.preview.messages import PLACE, Set, Try, message
from brackets.app.preview.place_back import with_place
from brackets.app.preview.render_mesh import LIVE
from brackets.app.preview.session import Session
from brackets.app.preview.splice import with_value
from brackets.app.preview.tabs import Tab
from brackets.app.preview.trials import Trials
from brackets.app.preview.typed_place import at_position, figure_text, position_of
from brackets.app.preview.write_back import keep
from brackets.bay.clear.pairs import Pair
from brackets.bay.file import read
from brackets.bay.fitting import at_rest, fit
from brackets.bay.position.live import live_bay
from brackets.bay.position.placing import bare_bay
from brackets.bay.position.reaches import arm_needs
from brackets.bay.schema.asked import FIGURES
from brackets.bay.schema.record import Bay
from brackets.bay.stand.gap_rules import GapRule
from brackets.bay.stand.part_links import given_to
from brackets.bay.stand.placed import placed_bay
from brackets.core.errors import InputError

RULE = GapRule(kind="fixed", rest=15.0, moved=5.0, why="a finger", moved_kind="fixed", moved_why="a finger")
MOVED = {"fore": "-7.5 mm", "left": "1/2in", "up": "9", "roll": "-2", "pitch": "90 arcmin", "yaw": "3 deg"}


def told(
    path: Path, place: Mapping[str, str], *, best: bool = False, newer: Callable[[], bool] = bool
) -> list[dict[str, Any]]:
    """Everything that a trial or a search says."""
    heard: list[Any] = []
    asked = {"stage": "best" if best else "trial", "place": place, "of": "me:1", "typed": {}}
    Trials(path).answer(asked, heard.append, newer)
    for header in heard:
        unpack(pack(header, {}))  # as JSON takes it
    return heard


def moved(path: Path, texts: Mapping[str, str]) -> Bay:
    bay = read(path)
    return at_position(bay, position_of(bay, texts))


# ------------------------------------------------------------------ what is told


def test_a_place_that_is_tried_has_the_gaps_that_fit_finds_once_it_is_kept(tmp_path: Path) -> None:
    path = written(tmp_path)
    (trial,) = told(path, MOVED)
    assert trial["at"] == pytest.approx([-7.5, 12.7, 9, -2, 1.5, 3])
    assert keep(BaySource(str(path)), {PLACE: MOVED})["done"]
    pairs = {frozenset((pair.a, pair.b)): pair for pair in fit(read(path)).pairs}
    assert len(trial["gaps"]) == 5
    for gap in trial["gaps"]:
        pair = pairs[frozenset((gap["a"], gap["b"]))]
        assert gap["low"] == pytest.approx(pair.low, abs=2e-3)  # either is settled to 0.001 mm
        assert gap["spare"] == pytest.approx(pair.spare, abs=2e-3)


ON_CHASSIS = """
[[part]]
name = "post"
recipe = "ears_on_base"
side = "chassis"
at = [230, 0, 200]
axis = [1, 0, 0]
up = [0, 0, 1]
"""


def test_brackets_on_the_chassis_are_measured_live_once_they_are_built(tmp_path: Path) -> None:
    """The first answer does not wait for them; the second has what `fit` finds there, still of other values too."""
    path = written(tmp_path, BOXES + ON_CHASSIS)
    trials, heard = Trials(path), []
    for values in ({}, {"post": {"foot": "40"}}):
        asked = {"stage": "trial", "place": MOVED, "of": "me:1", "typed": values}
        trials.answer(asked, heard.append, bool)
        first, more = heard[-1], trials.more(asked)
        assert more is not None
        assert trials.more(asked) is None
        assert not any("post" in (gap["a"], gap["b"]) for gap in first["gaps"])
        assert "built: post, bolts" in first["tables"][-1]["note"]
        there = placed_bay(with_typed(read(path), {PLACE: MOVED, **values}))
        pairs = {frozenset((pair.a, pair.b)): pair for pair in at_rest(there).pairs}
        mine = [gap for gap in more["gaps"] if "post" in (gap["a"], gap["b"])]
        assert mine
        for gap in mine:
            pair = pairs[frozenset((gap["a"], gap["b"]))]
            assert (gap["low"], gap["spare"]) == pytest.approx((pair.low, pair.spare), abs=2e-3)
        assert "parts and bushes that stay, 1 in all" in more["tables"][-1]["note"]
    trials.answer(asked, heard.append, bool)
    assert heard[-1]["gaps"] == more["gaps"]  # from then on at once


def test_a_part_that_is_made_for_the_place_waits(tmp_path: Path) -> None:
    """An arm from the engine's beam to a bush of the chassis, and one from its bosses; the bushes stay."""
    bay = read(written(tmp_path, BOXES + MOUNTS))
    live = live_bay(bare_bay(bay), bay)
    assert live.waits == ("ears", "arm")
    bushes = [f"{mount} {what}" for mount in ("left", "right") for what in ("bush", "sleeve")]
    assert {"post", *bushes} <= set(live.still)
    assert "right bolt" not in live.still  # as long as its arm is wide


def test_gaps_by_eye(tmp_path: Path) -> None:
    """Ten less four of x; thirty and six of z."""
    (trial,) = told(written(tmp_path), {"fore": "4", "up": "6"})
    low = {frozenset((gap["a"], gap["b"])): (gap["low"], gap["level"]) for gap in trial["gaps"]}
    assert low[frozenset(("block", "shelf"))] == (pytest.approx(6, abs=2e-3), "caution")
    assert low[frozenset(("sump", "floor"))] == (pytest.approx(36, abs=2e-3), "")


def test_what_fouls_says_how_far_to_draw_it_out(tmp_path: Path) -> None:
    (trial,) = told(written(tmp_path), {"fore": "13"})
    first = trial["gaps"][0]
    assert (first["said"], first["level"]) == ("fouls, 3.0 mm to draw it out", "stop")
    assert trial["tables"][0]["rows"][0]["cells"] == ["block | shelf", "-3.0", "15", "-18.0"]


def test_an_arm_is_asked_what_the_bay_gives_its_recipe(tmp_path: Path) -> None:
    """Of a seat on a rail of the engine the links themselves; by eye 55 mm, and 5 less when it comes 5 left."""
    path = written(tmp_path, BOXES + MOUNTS)
    assert [need.reach for need in arm_needs(read(path))] == pytest.approx([55, 50])
    bay = moved(path, {"left": "5", "roll": "2", "up": "3"})
    on_beam = next(need for need in arm_needs(bay) if need.part == "ears")
    given = given_to(bay, bay.part_by_name["ears"])
    for name in ("reach", "slope", "lean"):
        assert getattr(on_beam, name) == given[f"rail {name}"]["mount left"]
    assert moved_reach(path, {"left": "5"}) == pytest.approx([50, math.hypot(45, 30)])


def moved_reach(path: Path, texts: Mapping[str, str]) -> list[float | None]:
    return [need.reach for need in arm_needs(moved(path, texts))]


def test_an_arm_on_bosses_reaches_from_their_middle_and_rises(tmp_path: Path) -> None:
    """(0, -120, 60) to (0, -160, 90): 3, 4, 5; ten higher, ten less to rise; turned, the axis leaves the face."""
    path = written(tmp_path, BOXES + MOUNTS)
    arm = arm_needs(read(path))[1]
    assert (arm.onto, arm.slope, arm.lean) == ("bosses B1, B2", pytest.approx(math.degrees(math.asin(0.6))), 0)
    assert arm_needs(moved(path, {"up": "10"}))[1].reach == pytest.approx(math.hypot(40, 20))
    assert abs(arm_needs(moved(path, {"yaw": "4"}))[1].lean or 0) == pytest.approx(4)


def test_an_arm_that_no_face_looks_at_says_so(tmp_path: Path) -> None:
    path = written(tmp_path, BOXES + MOUNTS)
    (trial,) = told(path, {"left": "80"})
    row = trial["tables"][0]["rows"][0]
    assert row["level"] == "stop"
    assert row["cells"] == ["left", "none", "", "", ""]
    (line,) = (line for line in trial["outside"] if line.startswith("no arm"))
    assert line.startswith("no arm at mount left: onto = beam, give another toward: no face of it looks at the")


def test_limits_of_the_file_are_told_and_figures_it_does_not_name_are_free(tmp_path: Path) -> None:
    path = written(tmp_path, BOXES + '[[keep_within]]\nname = "lever"\nat = [0, 0, 200]\nz = { to = 210 }\n')
    (free,) = told(path, {"yaw": "2", "up": "10"})
    assert free["outside"] == []
    (trial,) = told(path, {"fore": "31", "up": "12"})
    assert trial["outside"] == [
        "not kept: fore = 31 mm, -20 to 30 mm under [place]",
        "not kept: lever z to 210 mm: 2.00 mm past it",
    ]


def test_wrong_figures_are_said_each_at_its_field(tmp_path: Path) -> None:
    (trial,) = told(written(tmp_path), {"up": "3/8", "roll": "91", "left": "2 kg"})
    assert sorted(trial["wrong"]) == ["left", "roll", "up"]
    assert "must be -90 to 90 deg" in trial["wrong"]["roll"]
    assert "tables" not in trial


def test_a_file_that_changes_is_read_anew(tmp_path: Path) -> None:
    path = written(tmp_path)
    trials, heard = Trials(path), []
    asked = {"stage": "trial", "place": {}, "of": "", "typed": {}}
    trials.answer(asked, heard.append, bool)
    written(tmp_path, BOXES.replace("from = [160, -60, 0]", "from = [155, -60, 0]"))
    trials.answer(asked, heard.append, bool)
    path.write_text("broken", "utf-8")
    trials.answer(asked, heard.append, bool)
    assert [gap["low"] for gap in (heard[0]["gaps"][0], heard[1]["gaps"][0])] == pytest.approx([10, 5], abs=2e-3)
    assert "is not TOML" in heard[2]["lines"][0]


def test_a_file_that_is_the_same_is_read_once(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A hand on a slider asks ten times a second."""
    path, reads = written(tmp_path), []

    def reading(file: Path) -> Bay:
        reads.append(file)
        return read(file)

    monkeypatch.setattr(sys.modules["brackets.app.preview.trials"], "read", reading)
    trials, heard = Trials(path), []
    for up in ("1", "2", "3"):
        asked = {"stage": "trial", "place": {"up": up}, "of": "", "typed": {}}
        trials.answer(asked, heard.append, bool)
        trials.more(asked)
    assert len(reads) == 1
    assert [header["at"][2] for header in heard] == [1, 2, 3]


@pytest.mark.parametrize("which", ["a recipe", "the shop"])
def test_what_the_file_names_is_read_anew_where_it_changes(tmp_path: Path, which: str) -> None:
    """A recipe of the user's own beside the bay, and a shop's profile: what is built of them is built again."""
    named = "recipe = \"./post.py\""
    path = written(tmp_path, BOXES + ON_CHASSIS.replace('recipe = "ears_on_base"', named))
    recipe_file = tmp_path / "post.py"
    recipe_file.write_text(Path(recipe("ears_on_base").path).read_text("utf-8"), "utf-8")
    shop = tmp_path / "shop.toml"
    shop.write_text("format = 1\nname = 'ours'\nbrake = { length = 1250 }\n", "utf-8")
    if which == "the shop":
        path.write_text('shop = "shop.toml"\n' + path.read_text("utf-8"), "utf-8")
    trials = Trials(path)
    asked = {"stage": "trial", "place": {}, "of": "", "typed": {}}
    assert trials.more(asked) is not None
    assert trials.more(asked) is None
    if which == "the shop":
        shop.write_text("format = 1\nname = 'ours'\nbrake = { length = 1260 }\n", "utf-8")
    else:
        recipe_file.write_text(recipe_file.read_text("utf-8") + "\n", "utf-8")
    assert trials.more(asked) is not None
    assert trials.more(asked) is None


# ------------------------------------------------------------------ the best position


def test_the_best_position_is_proposed_with_what_it_gains(tmp_path: Path) -> None:
    """The shelf alone is near: 10 mm and 20 further back are 30, 15 are asked; nothing else is moved."""
    *searching, best = told(written(tmp_path), {"up": "5"}, best=True)
    assert {header["answer"] for header in searching} == {"searching"}
    assert best["at"] == [-20, 0, 5, 0, 0, 0]
    assert best["texts"]["fore"] == "-20 mm"
    assert (best["before"], best["after"]) == (pytest.approx(-5, abs=2e-3), pytest.approx(15, abs=2e-3))
    assert best["lines"][0] == "least spare -5.0 mm as it stands, 15.0 mm there"
    assert "at the end of fore from -20 mm" in best["lines"]


def test_a_search_is_given_up_for_a_newer_question(tmp_path: Path) -> None:
    looks = iter([False, False, True])
    heard = told(written(tmp_path), {}, best=True, newer=lambda: next(looks))
    assert [header["answer"] for header in heard] == ["searching", "searching"]


def test_without_limits_there_is_nothing_to_search(tmp_path: Path) -> None:
    ends = "fore = [-20, 30]\nleft = [-25, 25]\nup = [0, 30]\n"
    path = written(tmp_path, BOXES.replace("[place]", "#").replace(ends, ""))
    (said,) = told(path, {}, best=True)
    assert said["lines"] == ["[place] = nothing, must say how far the powertrain may move: fore = [-20, 20]"]


def test_figures_are_proposed_as_people_type_them() -> None:
    assert figure_text(2, 12.7, "in") == "0.5 in"
    assert figure_text(2, -0.0, "mm") == "0 mm"
    assert figure_text(4, -1.25, "in") == "-1.25 deg"


# ------------------------------------------------------------------ as a value of the page


def test_the_figures_are_those_of_the_file() -> None:
    assert frozenset(FIGURES) == messages.FIGURES


def test_what_a_page_may_ask_of_a_place() -> None:
    assert message('{"do": "trial", "place": {"up": "3 mm"}, "of": "a:1"}') == Try({"up": "3 mm"}, "a:1")
    assert message('{"do": "best", "place": {}, "of": "a"}') == Try({}, "a", best=True)
    of = '"of": "a"'
    for wrong in ('"of": 3, "place": {}', f'{of}, "place": {{"down": "3"}}', f'{of}, "place": []', of):
        with pytest.raises(InputError, match="must be a place and whose it is|of another shape"):
            message(f'{{"do": "trial", {wrong}}}')


def picture(path: Path, typed: Mapping[str, Mapping[str, str]]) -> dict[str, Any]:
    return BaySource(str(path)).picture(typed, fineness=LIVE)[1]


def test_the_picture_stands_where_it_is_typed_and_says_so(tmp_path: Path) -> None:
    path = written(tmp_path)
    as_file, there = picture(path, {}), picture(path, {PLACE: MOVED})
    assert as_file["place"]["at"] == [0] * 6
    assert there["place"]["file"] == [0] * 6
    assert there["place"]["at"] == pytest.approx([-7.5, 12.7, 9, -2, 1.5, 3])
    assert there["place"]["typed"] == MOVED
    assert there["place"]["limits"] == {"fore": [-20, 30], "left": [-25, 25], "up": [0, 30]}
    block, other = (next(i for i in header["items"] if i["name"] == "block") for header in (as_file, there))
    assert block["mesh"] == other["mesh"]
    assert not np.allclose(block["place"], other["place"])


def test_a_wrong_figure_is_refused_at_its_field(tmp_path: Path) -> None:
    with pytest.raises(Refused) as refused:
        picture(written(tmp_path), {PLACE: {"up": "a bit", "yaw": "181"}})
    assert sorted(refused.value.fields[PLACE]) == ["up", "yaw"]


def test_a_moved_engine_sends_no_mesh_again(tmp_path: Path) -> None:
    what = BaySource(str(written(tmp_path)))
    asked: dict[str, Any] = {"seq": 1, "typed": {}, "have": [], "stage": "picture"}
    first = [unpack(block) for block in answers(what, asked, bool)]
    have = [key for _, blobs in first for key in blobs]
    asked = {"seq": 2, "typed": {PLACE: {"up": "9"}}, "have": have, "stage": "picture"}
    assert [blobs for _, blobs in map(unpack, answers(what, asked, bool))] == [{}, {}, {}]


def test_a_place_is_typed_undone_and_redone_with_all_else(tmp_path: Path) -> None:
    async def scene() -> None:
        session = Session(str(written(tmp_path)))
        built: list[Any] = []

        async def no_build() -> None:
            built.append(session.typed)

        session.build = no_build  # type: ignore[method-assign]
        assert await session.handle_message(Set(PLACE, {"up": "3 mm", "left": "1"})) is None
        assert await session.handle_message(Set(PLACE, {"left": None})) is None
        assert session.typed == {PLACE: {"up": "3 mm"}}
        await session.handle_message(messages.Back(again=False))
        await session.handle_message(messages.Back(again=False))
        assert session.typed == {}
        await session.handle_message(messages.Back(again=True))
        assert session.typed == {PLACE: {"up": "3 mm", "left": "1"}}
        assert await session.handle_message(Set(PLACE, {"down": "3"})) == "down: no such value"
        assert len(built) == 5
        await session.close()

    asyncio.run(scene())


def test_a_recipe_has_no_place() -> None:
    async def scene() -> None:
        session = Session("ears")
        assert await session.handle_message(Try({}, "a")) == "place: of a bay only"
        assert await session.handle_message(Set(PLACE, {"up": "3"})) == "up: no such value"
        await session.close()

    asyncio.run(scene())


def test_of_gaps_only_those_that_something_leads_to_are_sent() -> None:
    """The first 60, all that are short or have 40 mm spare, whatever stands behind the last of them."""

    def pair(spare: float, state: str = "clear") -> Pair:
        at = (0.0, 0.0, 0.0)
        return Pair(a="a", b="b", state=state, low=15 + spare, high=15 + spare, rule=RULE, p=at, q=at, across=True)

    far, declared = [pair(41.0)] * 200, [pair(-15.0, "contact")] * 9
    assert len(worth_drawing([*far, *declared])) == 60
    assert len(worth_drawing([*[pair(-1.0)] * 70, pair(40.0), *far, *declared])) == 71
    assert len(worth_drawing([pair(1.0)])) == 1
    assert len(worth_drawing([])) == 0


@pytest.mark.parametrize("kind", ["picture", "figures"])
def test_a_form_is_sent_once_to_each_page_until_it_changes(kind: str) -> None:
    tab, other = Tab(), Tab()

    def sent(to: Tab, **forms: list[str]) -> dict[str, Any]:
        header, _ = unpack(to.packed({"answer": kind, "forms": forms}, {}))
        return header["forms"]  # type: ignore[no-any-return]

    assert sent(tab, cup=["od"], ears=["leg"]) == {"cup": ["od"], "ears": ["leg"]}
    assert sent(tab, cup=["od 3"], ears=["leg"]) == {"cup": ["od 3"], "ears": None}
    assert sent(tab, cup=["od 3"]) == {"cup": None}
    assert sent(tab, cup=["od 3"], ears=["leg"]) == {"cup": None, "ears": ["leg"]}
    assert sent(other, cup=["od 3"]) == {"cup": ["od 3"]}


def test_what_is_refused_is_not_looked_for_over_the_movement(tmp_path: Path) -> None:
    async def scene(*shown: str) -> bool:
        session = Session(str(written(tmp_path)))
        for kind in shown:
            session.shown.add({"answer": kind})
        asked: list[Any] = []

        async def request(wish: dict[str, Any]) -> None:
            asked.append(wish)

        session._builder.request = request  # type: ignore[method-assign]
        await session._idle(session.seq)
        await session.close()
        return bool(asked)

    assert asyncio.run(scene("picture", "checks")) is True
    assert asyncio.run(scene("picture", "checks", "refused")) is False


# ------------------------------------------------------------------ Keep

TYPED = {"fore": "12.5 mm", "up": "1/2in", "yaw": "-2"}
FORMS = {
    "a table on one line": ("place = { at = [1.50, -2, 3], roll=1 } # c\n",
                            'place = { at = [12.5, -2, "1/2in"], roll=1, yaw = -2 } # c\n'),
    "its own heading": ("[powertrain.place]\nat = [\n  1, # fore\n  2,\n  3 ] # last\nyaw = 7.0\n",
                        '[powertrain.place]\nat = [\n  12.5, # fore\n  2,\n  "1/2in" ] # last\nyaw = -2\n'),
    "flat keys": ("place_at = [0, 4, 0]\nplace_yaw = 1 # y\n",
                  'place_at = [12.5, 4, "1/2in"]\nplace_yaw = -2 # y\n'),
    "a turn alone": ("place = { roll = 3 }\n", 'place = { roll = 3, at = [12.5, 0, "1/2in"], yaw = -2 }\n'),
    "a text": ('place = { at = "1, 2, 1in" }\n', 'place = { at = [12.5, 2, "1/2in"], yaw = -2 }\n'),
    "nothing": ("", 'place = {at = [12.5, 0, "1/2in"], yaw = -2}\n'),
    "an empty table": ("place = {  } # e\n", 'place = {at = [12.5, 0, "1/2in"], yaw = -2} # e\n'),
}  # fmt: skip
REST = "[[lump]] # at = [0, 0, 9]\nname = 'x'\nmass = 3\nat = [0, 0, 9]\nsize = [1, 1, 1]\n"


@pytest.mark.parametrize("newline", ["\n", "\r\n"])
@pytest.mark.parametrize("name", list(FORMS))
def test_not_a_byte_changes_but_the_figures(tmp_path: Path, name: str, newline: str) -> None:
    before, after = (f"# Möwe\nformat = 1\n[powertrain]\nidle = 900 # place\n{part}{REST}" for part in FORMS[name])
    path, link = tmp_path / "mine.toml", tmp_path / "link.toml"
    path.write_bytes(b"\xef\xbb\xbf" + before.replace("\n", newline).encode())
    path.chmod(0o640)
    link.symlink_to(path)
    done = keep(BaySource(str(link)), {PLACE: TYPED})
    assert done["lines"][1:] == [f"{PLACE}: {figure} = {text}" for figure, text in TYPED.items()]
    assert path.read_bytes() == b"\xef\xbb\xbf" + after.replace("\n", newline).encode()
    assert stat.S_IMODE(path.stat().st_mode) == 0o640
    assert link.is_symlink()
    there = read(path).powertrain
    assert (there.place_at[0], there.place_at[2], there.place_yaw) == (12.5, pytest.approx(12.7), -2)


@pytest.mark.parametrize("text", ["format = 1\n", "format = 1"])
def test_a_file_without_a_powertrain_gets_one_at_its_end(text: str) -> None:
    new, _ = with_place(text, {"roll": "1.5 deg"}, bare="mm")
    assert new == "format = 1\n\n[powertrain]\nplace = {roll = 1.5}\n"


@pytest.mark.parametrize("text", ["[powertrain.crank]\nat = [0, 0, 1]\n", "powertrain.idle = 900\n"])
def test_a_place_that_has_no_table_gets_a_heading_at_the_end(text: str) -> None:
    new, _ = with_place(text, {"roll": "1.5 deg"}, bare="mm")
    assert new == text + ("" if text.endswith("\n") else "\n") + "\n[powertrain.place]\nroll = 1.5\n"


def test_a_figure_keeps_the_unit_it_was_typed_in() -> None:
    """Plain where it is the file's own; a file in inches takes inches plain and mm as a text."""
    texts = {"fore": "0.5 in", "left": "12 mm", "up": "2", "roll": "0.02 rad"}
    new, _ = with_place('unit = "in"\n', texts, bare="in")
    assert tomllib.loads(new)["powertrain"]["place"] == {"at": [0.5, "12 mm", 2], "roll": "0.02 rad"}
    new, _ = with_place('unit = "in"\n', {"up": "1' 2\""}, bare="in")
    assert tomllib.loads(new)["powertrain"]["place"] == {"at": [0, 0, "1' 2\""]}
    new, _ = with_place("", {"fore": "1' 2\"", "left": "3 MM", "up": "1e1"}, bare="mm")
    assert tomllib.loads(new)["powertrain"]["place"]["at"] == ["1' 2\"", 3, 10]


def test_all_or_nothing_is_written(tmp_path: Path) -> None:
    path = written(tmp_path)
    before = path.read_bytes()
    done = keep(BaySource(str(path)), {PLACE: {"up": "3", "roll": "a lot"}})
    assert done["done"] is False
    assert f"not written: {PLACE}: up = 3" in done["lines"]
    done = keep(BaySource(str(path)), {PLACE: {"up": "3"}, "gone": {"length": "4"}})
    assert (done["done"], path.read_bytes()) == (False, before)
    path.chmod(0o444)
    done = keep(BaySource(str(path)), {PLACE: {"up": "3"}})
    assert "is read-only" in done["lines"][1]
    assert path.read_bytes() == before


UNKNOWN = ("[powertrain]\nplace = 3\n", "powertrain = 3\n", "[powertrain]\nplace.at = [1, 2, 3]\n")


@pytest.mark.parametrize("text", UNKNOWN)
def test_a_form_that_it_does_not_know_is_left_to_the_hand(text: str) -> None:
    with pytest.raises(InputError, match="must be typed into the file by hand"):
        with_place(text, {"yaw": "3"}, bare="mm")


def test_a_value_is_added_below_a_table_on_one_line() -> None:
    text = "[powertrain]\ncrank = { at = [0, 0, 1] } # c\n[powertrain.moves]\nroll = 1\n"
    new = with_value(text, ("powertrain", "idle"), 900)
    assert new == text.replace("# c\n", "# c\nidle = 900\n")

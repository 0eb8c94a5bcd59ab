"""Rows of a bay find the parts standing that they do not change, and say to the last bit what each says alone."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from brackets import default_shop, recipe
from brackets.bay.schema.record import Bay, PartEntry
from brackets.bay.stand import bodies, placed
from brackets.bay.stand.placed_part import PlacedPart
from brackets.core.identity import identity
from brackets.core.place import Place
from brackets.core.recent import Recent
from brackets.core.schema.rule import Plain
from brackets.library.recipe import shipped
from brackets.model.part import Part
from brackets.variants import bay_result, standing
from brackets.variants.job import InputFile, Job, text_of

BAY = """format = 1
keep_out = [
    { name = "rail", tube = { from = [-100, 0, 0], to = [300, 0, 0], od = 42.4, wall = 3.2 } },
    { name = "sheet", box = { from = [60, 60, 0], to = [140, 65, 140] } },
]
part = [
    { name = "ears", recipe = "ears", back = false, inside = 52.5, t = 6, seat = "round" },
    { name = "cup", recipe = "cup", at = [100, 0, 180], axis = [0, 0, 1], side = "chassis", bush_od = 45 },
    { name = "web", recipe = "gusset", at = [-60, -120, 90], side = "chassis" },
]
[[mount]]
name = "left"
bush = "R50"
at = [100, 0, 80]
axis = [1, 0, 0]
chassis = { part = "ears", onto = "rail" }
"""


@pytest.fixture(autouse=True)
def _nothing_stands() -> Iterator[None]:
    standing.forget()
    yield
    standing.forget()


@pytest.fixture
def bay(tmp_path: Path) -> Path:
    path = tmp_path / "bay.toml"
    path.write_text(BAY)
    return path


def row(path: Path, part: str, of: str, values: dict[str, Plain], inputs: str, *, depth: str = "rules") -> str:
    found = bay_result.of_part(path, part, values, recipe(of).Params, inputs=inputs, depth=depth)  # type: ignore[arg-type]
    return text_of(found)


def counted(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Names of the parts that are built from now on."""
    built: list[str] = []
    real = placed._standing

    def noted(bay: Bay, entry: PartEntry) -> PlacedPart:
        built.append(entry.row.name)
        return real(bay, entry)

    monkeypatch.setattr(placed, "_standing", noted)
    return built


def test_a_row_builds_what_it_changes_and_no_other_part(bay: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    built = counted(monkeypatch)
    first = row(bay, "cup", "cup", {"length": 50.0}, "k")
    assert built == ["ears", "cup", "web", "cup"]  # the bay as typed, then the row
    built.clear()
    refused = row(bay, "cup", "cup", {"bush_od": 60.0, "od": 50.0}, "k")
    assert '"refused"' in refused
    assert row(bay, "cup", "cup", {"length": 50.0}, "k") == first
    assert built == ["cup", "cup"]


def test_rows_fitted_among_standing_parts_are_those_made_alone(bay: Path) -> None:
    values: list[dict[str, Plain]] = [{"length": 50.0}, {"length": 64.5, "bush_od": 50.0}, {}, {"length": 50.0}]
    alone = [row(bay, "cup", "cup", each, "", depth="row") for each in values]
    assert alone[0] == alone[3] != alone[1]
    assert '"gap":' in alone[0]
    assert [row(bay, "cup", "cup", each, "k", depth="row") for each in values] == alone


TWO_HANDS = Path(__file__).with_name("two_hands.toml")


@pytest.mark.parametrize(
    ("path", "part", "of", "value"),
    [(shipped() / "tern.toml", "tray", "tray", "t"), (TWO_HANDS, "left_arm", "stay", "plate_t")],
)
def test_every_part_is_to_the_last_bit_what_it_is_built_anew(path: Path, part: str, of: str, value: str) -> None:
    """One value of a part another: every part, its place, findings and misfits, and all that is bought."""
    typed = placed.placed_bay(bay_result.with_values(path, part, {}, recipe(of).Params))
    changed = bay_result.with_values(path, part, {value: 10.0}, recipe(of).Params)
    again, anew = placed.placed_bay(changed, was=typed), placed.placed_bay(changed)
    for one, other, was in zip(again.parts, anew.parts, typed.parts, strict=True):
        assert _told(one) == _told(other), one.name
        still = one.name not in bay_result.hands_of(changed, part)
        assert (one.part is was.part) is still, one.name
    assert identity(again.bought) == identity(anew.bought)
    assert again.notes == anew.notes


def _told(one: PlacedPart) -> str:
    given = (tuple(one.worked_out.items()), one.unfilled)
    return identity(one.name, one.side, one.kind, one.part, one.params, given, one.findings, one.misfits, one.hand)


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("t = 6", "t = 8"),  # of another part
        ("od = 42.4", "od = 48.3"),  # of what another part is cut to
        ("at = [100, 0, 80]", "at = [100, 0, 90]"),  # of the mount another part is under
        ('bush = "R50"', 'bush = "R60"'),
        ("at = [-60, -120, 90]", "at = [-60, -120, 95]"),
        ("part = [", 'coating = 0.5\npart = ['),
    ],
)
def test_parts_that_were_typed_otherwise_are_built_even_under_a_stale_key(bay: Path, old: str, new: str) -> None:
    """The name of what the files hold is left as it was, as if it had not been worked out again."""
    assert old in BAY
    row(bay, "cup", "cup", {"length": 50.0}, "stale")
    [known] = standing._KEPT.values()
    assert known is not None
    was = known.stood
    bay.write_text(BAY.replace(old, new))
    changed = bay_result.with_values(bay, "cup", {"length": 50.0}, recipe("cup").Params)
    stood, anew = placed.placed_bay(changed, was=was), placed.placed_bay(changed)
    assert [_told(one) for one in stood.parts] == [_told(one) for one in anew.parts]
    assert identity(stood.bought) == identity(anew.bought)


def test_one_bay_stands_and_another_takes_its_place(bay: Path) -> None:
    row(bay, "cup", "cup", {"length": 50.0}, "k")
    other = bay.with_name("other.toml")
    other.write_text(BAY.replace("t = 6", "t = 8"))
    assert row(other, "cup", "cup", {"length": 50.0}, "k") == row(other, "cup", "cup", {"length": 50.0}, "")
    [key] = standing._KEPT
    assert isinstance(key, tuple)
    assert key[0] == other


def test_rows_of_a_bay_that_does_not_stand_as_typed_are_made_alone(
    bay: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    bay.write_text(BAY.replace("bush_od = 45", "bush_od = 45, od = 30"))
    built = counted(monkeypatch)
    mended = row(bay, "cup", "cup", {"od": 55.0}, "k")
    assert '"mass"' in mended
    [known] = standing._KEPT.values()
    assert known is not None
    assert known.stood is None
    assert row(bay, "cup", "cup", {"od": 55.0}, "") == mended
    assert built.count("ears") == 3


def test_what_stands_is_named_by_program_files_and_shop_and_not_by_what_is_asked_of_it() -> None:
    first = Job(program="1", files=(InputFile("a.toml", "f" * 64),), part="cup")
    for other in (
        replace(first, program="2"),
        replace(first, files=(InputFile("a.toml", "e" * 64),)),
        replace(first, files=(*first.files, InputFile("ears", "d" * 64))),
        replace(first, shop=default_shop()),
    ):
        assert other.inputs != first.inputs
        assert other.hash != first.hash
    for same in (replace(first, depth="rules"), replace(first, fit_all=True)):
        assert same.inputs == first.inputs
        assert same.hash != first.hash


def test_a_shop_file_that_changed_is_read_again_and_the_parts_with_it(bay: Path) -> None:
    """The bay file is as it was: what it names is another, and so is what its rows are kept under."""
    from brackets import family

    shop = bay.with_name("shop.toml")
    bay.write_text(BAY.replace("format = 1", 'format = 1\nshop = "shop.toml"'))
    for coating in ("0.1", "0.4"):
        shop.write_text(f"format = 1\nname = 'ours'\ncoating = {coating}\nbrake.length = 1250\n")
        [found] = family(bay, part="cup", length=[50], fit_all=True)
        [known] = standing._KEPT.values()
        assert known is not None
        assert known.bay.shop.coating == float(coating)
        values: dict[str, Plain] = {"length": 50.0}
        alone = bay_result.of_part(bay, "cup", values, recipe("cup").Params, fit_all=True)
        assert (found.mass, found.gap) == (alone["mass"], alone["gap"])


def test_workers_name_what_stands_by_their_job(bay: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from brackets import family

    asked: list[str] = []

    def seen(*_: object, inputs: str, **__: object) -> dict[str, object]:
        asked.append(inputs)
        return {"refused": ["seen"]}

    monkeypatch.setattr(bay_result, "of_part", seen)
    rows = family(bay, part="cup", length=[50, 60])
    assert asked == [rows.job.inputs] * 2


def test_a_body_is_that_of_its_own_part_whatever_it_is_called(monkeypatch: pytest.MonkeyPatch) -> None:
    cup = recipe("cup")

    def made(length: float) -> Part:
        return cup.build(cup.Params(length=length))

    monkeypatch.setattr(bodies, "_BODIES", Recent(2))
    short = bodies.part_body(made(40.0), name="cup")
    assert bodies.part_body(made(40.0), name="cup") is short
    for other in (
        bodies.part_body(made(50.0), name="cup"),
        bodies.part_body(made(40.0).placed(Place((5.0, 0.0, 0.0))), name="cup"),
    ):
        assert other is not short
        assert abs(other.box - short.box).max() > 4.9
    assert bodies.part_body(made(40.0), name="other").name == "other"
    bodies._BODIES.clear()
    first, *_ = [bodies.part_body(made(length), name="cup") for length in (60.0, 70.0, 80.0)]
    assert len(bodies._BODIES) == 2
    again = bodies.part_body(made(60.0), name="cup")
    assert again is not first
    assert (again.box == first.box).all()

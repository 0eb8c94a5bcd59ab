"""One list of what stands in a bay: what is cleared is in the picture, and in the assembly or said not to be."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from pathlib import Path

import pytest
import three_bays

from brackets.app.preview import bay_source
from brackets.app.preview.bay_scene import add_contents, add_measured
from brackets.app.preview.bay_source import BaySource
from brackets.app.preview.scene import Picture
from brackets.bay.file import read
from brackets.bay.fitting import AtRest, at_rest
from brackets.bay.schema.keep_out import KeepOut
from brackets.bay.stand.bodies import TOLERANCE, BayBody, bay_bodies
from brackets.bay.stand.placed import placed_bay
from brackets.bay.stand.placed_part import BossHead, PlacedBay
from brackets.kernel.solids import shape
from brackets.output import assembly
from brackets.output.assembly import assembled
from brackets.output.bay_files import cut_here

COARSE = (1.0, 0.5)


@pytest.fixture(scope="module")
def still(tmp_path_factory: pytest.TempPathFactory) -> AtRest:
    path = tmp_path_factory.mktemp("contents") / "bay.toml"
    path.write_text(three_bays.TEXT.format(name="Invented"), "utf-8")
    return at_rest(placed_bay(read(path)))


def test_what_is_cleared_is_shown_and_nothing_else(still: AtRest) -> None:
    first, later = Picture(COARSE), Picture(COARSE)
    add_contents(first, still.stood)
    add_measured(later, still.things)
    shown = [{item["thing"] for item in found.items} for found in (first, later)]
    assert shown == [{"ears", "arm", "m bush", "m sleeve", "m bolt", "rail", "engine"}, {"A bolt", "B bolt"}]
    assert shown[0] | shown[1] == {thing.name for thing in still.things}


def test_the_source_of_a_picture_shows_them_all(still: AtRest, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(bay_source, "at_rest", lambda _: still)
    source = BaySource(str(still.stood.bay.path))
    first, _ = source.picture({}, fineness=COARSE)
    later, _ = source.checks(fineness=COARSE)
    assert {item["thing"] for found in (first, later) for item in found.items} == {t.name for t in still.things}


def test_the_assembly_holds_what_is_made_and_bought(still: AtRest, tmp_path: Path) -> None:
    whole = [made for thing in still.things if (made := assembled(thing.of)) is not None]
    assembly.write(whole, tmp_path / "a.step", name="bay")
    products = set(re.findall(r"PRODUCT\('([^']*)'", (tmp_path / "a.step").read_text("ascii")))
    assert {"ears", "arm", "m bush", "m sleeve", "m bolt", "A bolt", "B bolt"} <= products
    left_out = {thing.name for thing in still.things if assembled(thing.of) is None}
    assert left_out == {"rail", "engine"}
    assert not left_out & products
    assert [thing.name for thing in still.things if cut_here(thing.of)] == ["ears", "arm"]


def test_a_head_stands_in_the_assembly_where_it_is_cleared(still: AtRest) -> None:
    """Box and volume of the head and washers that are written, against the body that gaps are measured to."""
    cleared = next(thing for thing in still.things if thing.name == "A bolt")
    made = assembled(cleared.of)
    assert made is not None
    box, corners = shape(made).BoundingBox(), cleared.body.corners
    assert corners.min(axis=0) == pytest.approx((box.xmin, box.ymin, box.zmin), abs=2 * TOLERANCE)
    assert corners.max(axis=0) == pytest.approx((box.xmax, box.ymax, box.zmax), abs=2 * TOLERANCE)


@dataclass(frozen=True)
class Hose:
    """A kind of thing that nobody knows yet."""

    name: str = "hose"


class WithHose(PlacedBay):
    @property
    def contents(self):  # type: ignore[no-untyped-def]
        return (*super().contents, Hose())


def test_a_new_kind_of_thing_is_passed_over_by_none(still: AtRest) -> None:
    """A type checker sees it first: each `match` ends in assert_never. At run time each says so too."""
    stood = still.stood
    more = WithHose(
        bay=stood.bay, parts=stood.parts, bought=stood.bought, left_out=stood.left_out, notes=stood.notes
    )
    strange = replace(still.things[0], of=Hose())  # type: ignore[arg-type]
    for tried in (
        lambda: bay_bodies(more),
        lambda: add_contents(Picture(COARSE), more),
        lambda: add_measured(Picture(COARSE), [strange]),
        lambda: assembled(Hose()),  # type: ignore[arg-type]
        lambda: cut_here(Hose()),  # type: ignore[arg-type]
    ):
        with pytest.raises(AssertionError, match="unreachable, but got: Hose"):
            tried()


def test_every_body_says_what_it_is_of(still: AtRest) -> None:
    of: dict[str, BayBody] = {thing.name: thing for thing in still.things}
    assert all(thing.of.name == name for name, thing in of.items())
    assert isinstance(of["rail"].of, KeepOut)
    head = of["A bolt"].of
    assert isinstance(head, BossHead)
    assert head.part == "arm"
    assert of["arm"].of is still.stood.parts[1]

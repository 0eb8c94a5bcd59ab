"""The picture of a bay: parts, bought things and keep-outs where they stand, and the gaps between them.

Drawn at once; the gaps at rest come after, everything else that `fit` finds last: a shape should not wait for it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from brackets.app.cli.inches import Lengths
from brackets.app.preview import bay_scene, bolt_rows, fit_tables, gap_rows, path_rows
from brackets.app.preview.bay_typed import bay_form, typed_wrong, with_typed
from brackets.app.preview.fields import Refused, Values, refusals
from brackets.app.preview.last_bay import LastBay
from brackets.app.preview.messages import PLACE
from brackets.app.preview.mode_shapes import mode_shapes
from brackets.app.preview.recipe_source import cautions_table, verdict_keys
from brackets.app.preview.scene import Fineness, Picture
from brackets.app.preview.typed_place import place_header
from brackets.bay.checks import bay_findings
from brackets.bay.clear.known import Known, any_known, known
from brackets.bay.clear.pairs import Pair
from brackets.bay.fitting import AtRest, Fit, at_rest, fit_at_rest, fit_stood
from brackets.bay.report.worst import most_short_first
from brackets.bay.schema.record import Bay
from brackets.bay.stand.bodies import BayBody
from brackets.bay.stand.owners import bay_cautions, with_accepted, with_owners
from brackets.bay.stand.placed import Unjudged, is_path, judged, unjudged_bay
from brackets.bay.stand.placed_part import PlacedBay
from brackets.core.finding import stopped, verdict
from brackets.library import recipe as recipe_file


class BaySource:
    """A bay file to look at; `picture` reads it anew, `checks` and `moved` speak of the bay last pictured."""

    def __init__(self, target: str) -> None:
        self.path = Path(target).expanduser().resolve()
        self._file = LastBay(self.path)
        self._stood: Unjudged | None = None
        self._read: Bay | None = None
        self._still: tuple[Values, AtRest] | None = None
        self._typed: Values = {}
        self._files: tuple[Path, ...] = ()
        self._place: dict[str, Any] | None = None

    def watched(self) -> tuple[Path, ...]:
        """The bay file, and the recipes and scans that it names, whether or not they can be used."""
        return tuple(dict.fromkeys((self.path, *self._files)))

    def picture(self, typed: Values, *, fineness: Fineness) -> tuple[Picture, dict[str, Any]]:
        """Everything where it stands, no gaps yet, and all that the header says before them. Raises Refused with
        what to say at which field."""
        found, header = self.shape(typed, fineness=fineness)
        return found, found.header(**header, **self.figures())

    def shape(self, typed: Values, *, fineness: Fineness) -> tuple[Picture, dict[str, Any]]:
        """What is drawn, as soon as it is known. Raises Refused with what to say at which field."""
        self._still = None
        standing = self._stand(typed)
        with self._refusals():
            found, header = placed_shape(standing.stood, fineness=fineness)
        return found, header | {"place": self._place}

    def figures(self) -> dict[str, Any]:
        """What stands beside the shape last drawn. Raises Refused."""
        assert self._stood is not None
        with self._refusals():
            return placed_figures(self._stood.stood, self._forms())

    def checks(self, *, fineness: Fineness) -> tuple[Picture, dict[str, Any]]:
        """Gaps at rest and what fouls, of the bay last pictured; its parts and solids are checked first. Raises
        Refused.

        The findings are those of standing still: `moved` brings all of them.
        """
        assert self._stood is not None
        assert self._read is not None
        found = Picture(fineness)
        with refusals(forms={}):
            with typed_wrong(self._read, self._typed, {}):
                standing = judged(self._stood)
            self._stood = Unjudged(standing, {})
            still = at_rest(standing)
        bay = standing.bay
        self._still = self._typed, still
        _add_still(found, still.things, still.pairs, bay.bare)
        bay_scene.add_shanks(found, still.held)
        so_far = bay_findings(still.stood, still.things, still.pairs, ())
        told = with_accepted(bay.accepts, with_owners(bay, so_far), unused=False)
        found.tables = [
            bay_scene.findings(most_short_first(told), so_far=True, at=Lengths(bay.bare)),
            gap_rows.at_rest(still.pairs, _known(bay, still.things), Lengths(bay.bare)),
        ]
        return found, found.header(stops=stopped(told), verdict=f"{verdict(told)} so far")

    def moved(self, typed: Values) -> dict[str, Any]:
        """Everything `fit` finds: all findings, the gaps over the movement, paths and bolts as tables, and the
        place where each gap is least.

        The search is long: a newer request may end it anywhere (`overtaken.py`). It goes on from the last `checks`
        where these were of the same values. Raises Refused.
        """
        if self._still is not None and self._still[0] == typed:
            with refusals(forms={}):
                return _fitted(fit_at_rest(self._still[1]))
        standing = self._stand(typed)
        with self._refusals():
            return _fitted(fit_stood(judged(standing)))

    def whole(self, typed: Values, *, fineness: Fineness) -> tuple[Picture, dict[str, Any]]:
        """The picture and everything `fit` finds at once, fitted once. Raises Refused."""
        standing = self._stand(typed)
        with self._refusals():
            return fitted_picture(fit_stood(judged(standing)), self._forms(), fineness=fineness)

    def _forms(self) -> dict[str, Any]:
        """The fields of every part that stands, by its name."""
        stood = None if self._stood is None else self._stood.stood
        return {} if stood is None else {part.name: bay_form(part, self._typed) for part in stood.parts}

    @contextmanager
    def _refusals(self) -> Iterator[None]:
        """Refuses with the fields of the parts that stand: they are worked out only then."""
        try:
            with refusals(forms={}):
                yield
        except Refused as refused:
            refused.forms = self._forms()
            raise

    def _stand(self, typed: Values) -> Unjudged:
        """Everything where it stands, which is spoken of from then on. Raises Refused."""
        forms: dict[str, Any] = {}
        with refusals(forms=forms):
            self._read = bay = self._file.read()
            self._files = (*recipes_of(bay), *scans_of(bay))
            names = {entry.row.name for entry in bay.parts}
            lost = {
                name: {value: f"{value} = {text}: no such part in the file now" for value, text in texts.items()}
                for name, texts in typed.items()
                if name not in names and name != PLACE
            }
            if lost:
                lines = [f"{name}: no such part" for name, texts in lost.items() if not texts]
                raise Refused(fields=lost, lines=lines)
            with typed_wrong(bay, typed, forms):
                there = with_typed(bay, typed)
                standing = unjudged_bay(there, was=self._stood)
        self._place = place_header(bay, there, typed.get(PLACE, {}))
        self._stood, self._typed = standing, typed
        return standing


def placed_shape(standing: PlacedBay, *, fineness: Fineness) -> tuple[Picture, dict[str, Any]]:
    """Everything where it stands. Raises BadFile where a keep-out's file cannot be used."""
    found, bay = Picture(fineness), standing.bay
    bay_scene.add_contents(found, standing)
    bay_scene.add_axes(found, bay)
    bay_scene.add_marks(found, standing)
    return found, found.shape(about="bay", title=bay.name, bare=bay.bare)


def placed_figures(standing: PlacedBay, forms: Mapping[str, Any]) -> dict[str, Any]:
    """What stands beside it: tables, fields, how it may move. Raises BadFile where that cannot be worked out."""
    bay = standing.bay
    return {
        "doc": "",
        "forms": forms,
        "tables": [bay_scene.mass_table(standing), cautions_table(bay_cautions(standing))],
        "moves": bay_scene.moves(bay),
        "movers": bay_scene.movers(bay),
        "modes": mode_shapes(bay),
        "bars": bay_scene.bars(standing),
        "notes": list(standing.notes),
    }


def placed_picture(
    standing: PlacedBay, forms: Mapping[str, Any], *, fineness: Fineness
) -> tuple[Picture, dict[str, Any]]:
    """Everything where it stands and what stands beside it, no gaps. Raises BadFile where a keep-out's file cannot
    be used."""
    found, header = placed_shape(standing, fineness=fineness)
    return found, found.header(**header, **placed_figures(standing, forms))


def fitted_picture(
    done: Fit, forms: Mapping[str, Any] | None = None, *, fineness: Fineness
) -> tuple[Picture, dict[str, Any]]:
    """The same with gaps and everything that `fit` found."""
    found, header = placed_picture(done.stood, forms or {}, fineness=fineness)
    _add_still(found, done.things, done.pairs, done.bay.bare)
    bay_scene.add_shanks(found, (one.bolt for one in done.bolts))
    told = _fitted(done)
    still = gap_rows.at_rest(done.pairs, _known(done.bay, done.things), Lengths(done.bay.bare))
    tables = [*told.pop("tables"), still, *header["tables"]]
    return found, header | told | {"pairs": found.pairs, "tables": tables}


def _add_still(found: Picture, all_things: Sequence[BayBody], still: Sequence[Pair], bare: str) -> None:
    """Gap lines, heads of bolts, and what fouls."""
    bay_scene.add_measured(found, all_things)
    bodies = {thing.name: thing.body for thing in all_things}
    for pair in still:
        if pair.state == "foul":
            bay_scene.add_foul(found, pair, bodies)
    at = Lengths(bare)
    found.pairs = [gap_rows.pair_record(pair, at) for pair in gap_rows.worth_drawing(still)]


def _known(bay: Bay, things: Sequence[BayBody]) -> Known | None:
    """The ± of every body; None where the bay file types none."""
    return known(bay, things) if any_known(bay) else None


def _fitted(done: Fit) -> dict[str, Any]:
    """What the page is told of a fitted bay."""
    at = Lengths(done.bay.bare)
    listed = most_short_first(done.findings)
    findings = bay_scene.findings(listed, at=at)
    fit_tables.with_places(findings["rows"], listed, done)
    notes = [at.said(line) for line in (*done.stood.left_out, *done.stood.notes)]
    return {
        "tables": [findings, *fit_tables.tables(done)],
        "worst": gap_rows.worst_places(done.moved, at),
        "bolts": [bolt_rows.bolt_record(one, at) for one in done.bolts if one.drawn is not None],
        "paths": [path_rows.path_record(one, at) for one in done.paths],
        "notes": notes,
        **fit_tables.top(done),
        **verdict_keys(done.findings),
    }


def recipes_of(bay: Bay) -> tuple[Path, ...]:
    """The files of the recipes that a bay names."""
    beside, shipped = bay.path.parent, recipe_file.shipped()
    names = [entry.row.recipe for entry in bay.parts]
    return tuple((beside / name).resolve() if is_path(name) else shipped / f"{name}.py" for name in names)


def scans_of(bay: Bay) -> tuple[Path, ...]:
    """The files of the keep-outs that a bay names."""
    return tuple(bay.path.parent / name for k in bay.keep_outs for name in (k.mesh, k.step) if name is not None)

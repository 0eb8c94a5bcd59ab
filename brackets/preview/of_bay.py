"""The picture of a bay: parts, bought things and keep-outs where they stand, and the gaps between them.

Drawn at once; the gaps at rest come after, the gaps when the engine moves last: a shape should not wait for them.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

from brackets import recipe_file
from brackets.bay import Bay, Stood, read, stood
from brackets.bay.bodies import things
from brackets.bay.judged import bay_findings
from brackets.bay.moving import moved
from brackets.bay.pairs import pairs
from brackets.bay.standing import checked, is_path
from brackets.preview import bay_scene, gap_rows
from brackets.preview.bay_typed import bay_form, typed_wrong, with_typed
from brackets.preview.fields import Values
from brackets.preview.pictured import Fineness, Picture
from brackets.preview.refused import Refused, refusals

MOVED = "gap moved"
"""The code of findings about gaps when the engine moves."""


class BaySource:
    """A bay file to look at; `picture` reads it anew, `checks` and `moved` speak of the bay last pictured."""

    def __init__(self, target: str) -> None:
        self.path = Path(target).expanduser().resolve()
        self._stood: Stood | None = None
        self._files: tuple[Path, ...] = ()

    def watched(self) -> tuple[Path, ...]:
        """The bay file, and the recipes and scans that it names, whether or not they can be used."""
        return tuple(dict.fromkeys((self.path, *self._files)))

    def picture(self, typed: Values, *, fineness: Fineness) -> tuple[Picture, dict[str, Any]]:
        """Everything where it stands, no gaps yet. Raises Refused with what to say at which field."""
        standing, forms = self._stand(typed)
        found = Picture(fineness)
        with refusals(forms=forms):
            bay_scene.add_parts(found, standing)
            bay_scene.add_keep_outs(found, standing.bay)
        bay_scene.add_axes(found, standing.bay)
        bay_scene.add_marks(found, standing)
        self._stood = standing
        found.tables += [bay_scene.mass_table(standing)]
        bay = standing.bay
        return found, found.header(
            about="bay",
            title=bay.name,
            doc="",
            forms=forms,
            bare=bay.bare,
            moves=bay_scene.moves(bay),
            notes=list(standing.notes),
        )

    def checks(self, *, fineness: Fineness) -> tuple[Picture, dict[str, Any]]:
        """Gaps at rest and what fouls, of the bay last pictured; its solids are checked first. Raises Refused."""
        assert self._stood is not None
        bay, found = self._stood.bay, Picture(fineness)
        with refusals(forms={}):
            all_things = things(self._stood)
            standing = checked(self._stood)
        at_rest = pairs(bay, all_things)
        bodies = {thing.name: thing.body for thing in all_things}
        for pair in at_rest:
            if pair.state == "foul":
                bay_scene.add_foul(found, pair, bodies)
        found.pairs = [gap_rows.pair_record(pair) for pair in at_rest]
        judged = bay_findings(standing, all_things, at_rest, ())
        found.tables = [bay_scene.findings(judged), gap_rows.at_rest(at_rest)]
        return found, found.header(stops=any(f.level == "stop" for f in judged))

    def moved(self, typed: Values) -> dict[str, Any]:
        """Gaps over the movement as a table, findings about them, and the place where each is least.

        For a process of its own: the search is long, and ends with it when values change.
        """
        standing, _ = self._stand(typed)
        all_things = things(standing)
        moves = moved(standing.bay, all_things)
        judged = [f for f in bay_findings(standing, all_things, (), moves) if f.code == MOVED]
        return {
            "tables": [gap_rows.when_moved(moves)],
            "found": bay_scene.findings(judged)["rows"],
            "worst": gap_rows.worst_places(moves),
            "stops": any(f.level == "stop" for f in judged),
        }

    def _stand(self, typed: Values) -> tuple[Stood, dict[str, Any]]:
        forms: dict[str, Any] = {}
        with refusals(forms=forms):
            bay = read(self.path)
            self._files = (*recipes_of(bay), *scans_of(bay))
            names = {entry.row.name for entry in bay.parts}
            strange = [f"{name}: no such part" for name in typed if name not in names]
            if strange:
                raise Refused(lines=strange)
            with typed_wrong(bay, typed, forms):
                standing = stood(with_typed(bay, typed))
        forms |= {part.name: bay_form(part, typed) for part in standing.parts}
        return standing, forms


def recipes_of(bay: Bay) -> tuple[Path, ...]:
    """The files of the recipes that a bay names."""
    beside, shipped = bay.path.parent, recipe_file.shipped()
    names = [entry.row.recipe for entry in bay.parts]
    return tuple((beside / name).resolve() if is_path(name) else shipped / f"{name}.py" for name in names)


def scans_of(bay: Bay) -> tuple[Path, ...]:
    """The files of the keep-outs that a bay names."""
    return tuple(bay.path.parent / name for k in bay.keep_outs for name in (k.mesh, k.step) if name is not None)

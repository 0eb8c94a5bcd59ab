"""The picture of a bay: parts, bought things and keep-outs where they stand, and the gaps between them.

Drawn at once; the gaps at rest come after, the gaps when the engine moves last: a shape should not wait for them.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import Any

from cadquery import Shape

from brackets.bay import Bay, Stood, read, stood
from brackets.bay.bodies import Thing, things
from brackets.bay.judged import bay_findings
from brackets.bay.moving import moved, moves_of
from brackets.bay.pairs import Pair, pairs
from brackets.bay.powertrain import mass_of
from brackets.bay.standing import Standing, bush_of
from brackets.clearance import Body, overlap
from brackets.errors import BadFile, BadRecipe
from brackets.pieces import Place
from brackets.pieces.vectors import add, scale, unit
from brackets.preview import gap_rows
from brackets.preview.fields import by_field, form, wrong
from brackets.preview.of_recipe import Values, findings_table
from brackets.preview.payload import blob
from brackets.preview.pictured import BEYOND, Fineness, Picture, at_text, row, table
from brackets.preview.refused import Refused, refusals
from brackets.preview.skin import of_triangles, skin
from brackets.recipe_file import recipe


class BaySource:
    """A bay file to look at; `picture` reads it anew, `checks` and `moved` speak of the bay last pictured."""

    def __init__(self, target: str) -> None:
        self.path = Path(target).expanduser().resolve()
        self._stood: Stood | None = None
        self._things: tuple[Thing, ...] = ()
        self._pairs: tuple[Pair, ...] = ()

    def watched(self) -> tuple[Path, ...]:
        """The bay file, and the recipes and scans beside it that it names."""
        found = [self.path]
        if self._stood is not None:
            bay = self._stood.bay
            found += [part.recipe.path for part in self._stood.parts]
            found += [
                self.path.parent / name for k in bay.keep_outs for name in (k.mesh, k.step) if name is not None
            ]
        return tuple(dict.fromkeys(found))

    def picture(self, typed: Values, *, fineness: Fineness) -> tuple[Picture, dict[str, Any]]:
        """Everything where it stands, no gaps yet. Raises Refused with what to say at which field."""
        standing, forms = self._stand(typed)
        found = Picture(fineness)
        with refusals(forms={}, recipe=self.path):
            self._things = things(standing)
            _add_things(found, standing, self._things)
        _add_marks(found, standing)
        self._stood = standing
        found.tables += [*_mass_tables(standing)]
        bay = standing.bay
        return found, found.header(
            about="bay",
            title=bay.name,
            doc="",
            forms=forms,
            bare=bay.bare,
            moves=_moves(bay),
            notes=list(standing.notes),
        )

    def checks(self, *, fineness: Fineness) -> tuple[Picture, dict[str, Any]]:
        """Gaps at rest and what fouls, of the bay last pictured."""
        assert self._stood is not None
        bay = self._stood.bay
        found = Picture(fineness)
        self._pairs = pairs(bay, self._things)
        bodies = {thing.name: thing.body for thing in self._things}
        for pair in self._pairs:
            if pair.state == "foul":
                _add_foul(found, pair, bodies)
        found.pairs = [gap_rows.pair_record(pair) for pair in self._pairs]
        judged = bay_findings(self._stood, self._things, self._pairs, ())
        found.tables = [_findings(judged), gap_rows.at_rest(self._pairs)]
        return found, found.header(stops=any(f.level == "stop" for f in judged))

    def moved(self, typed: Values) -> dict[str, Any]:
        """Gaps over the movement, as tables; with the place where each is least."""
        if self._stood is None:
            self._stood, _ = self._stand(typed)
            self._things = things(self._stood)
        if not self._pairs:
            self._pairs = pairs(self._stood.bay, self._things)
        bay = self._stood.bay
        moves = moved(bay, self._things)
        judged = bay_findings(self._stood, self._things, self._pairs, moves)
        places = gap_rows.worst_places(bay, self._things, moves)
        return {
            "tables": [_findings(judged), gap_rows.when_moved(moves), gap_rows.at_rest(self._pairs)],
            "worst": places,
            "stops": any(f.level == "stop" for f in judged),
        }

    def _stand(self, typed: Values) -> tuple[Stood, dict[str, Any]]:
        forms: dict[str, Any] = {}
        with refusals(forms=forms, recipe=self.path):
            bay = read(self.path)
            names = {entry.row.name for entry in bay.parts}
            strange = [f"{name}: no such part" for name in typed if name not in names]
            if strange:
                raise Refused(lines=strange)
            with _typed_wrong(bay, typed, forms):
                standing = stood(_with_typed(bay, typed))
        forms |= {part.name: _form(part, typed) for part in standing.parts}
        return standing, forms


def _form(part: Standing, typed: Values) -> list[dict[str, Any]]:
    texts = typed.get(part.name, {})
    return form(part.recipe.Params, texts, params=part.params, worked_out=part.worked_out)


def _with_typed(bay: Bay, typed: Values) -> Bay:
    """The bay with the values that were typed in the page in place of the file's."""
    entries = tuple(
        replace(
            entry, values={**_without(entry.values, typed.get(entry.row.name, {})), **typed.get(entry.row.name, {})}
        )
        for entry in bay.parts
    )
    return replace(bay, parts=entries)


def _without(given: Mapping[str, object], texts: Mapping[str, str]) -> dict[str, object]:
    """The file's values less those typed; `cup = { od = 60 }` loses its od where cup_od was typed."""
    left: dict[str, object] = {}
    for name, value in given.items():
        if isinstance(value, Mapping) and any(text.startswith(f"{name}_") for text in texts):
            left[name] = {key: v for key, v in value.items() if f"{name}_{key}" not in texts}
        elif name not in texts:
            left[name] = value
    return left


@contextmanager
def _typed_wrong(bay: Bay, typed: Values, forms: Mapping[str, Any]) -> Iterator[None]:
    """Says at the field what is wrong with a typed value, each by its own rule; then what the bay says of them."""
    bad: dict[str, dict[str, str]] = {}
    known: dict[str, list[str]] = {}
    for entry in bay.parts:
        name, texts = entry.row.name, typed.get(entry.row.name, {})
        if not texts:
            continue
        try:
            own = entry.row.recipe
            params = recipe(own, beside=bay.path.parent).Params
        except BadRecipe:
            continue
        bad[name] = wrong(params, texts, bare=bay.bare)
        known[name] = list(texts)
    bad = {name: fields for name, fields in bad.items() if fields}
    if bad:
        raise Refused(fields=bad, forms=forms)
    try:
        yield
    except BadFile as error:
        at, rest = _at_parts(str(error).splitlines(), known, str(bay.path))
        raise Refused(fields=at, lines=rest, forms=forms) from None


def _at_parts(
    lines: Sequence[str], known: Mapping[str, list[str]], path: str
) -> tuple[dict[str, dict[str, str]], list[str]]:
    """ "part X: name = ..." at the field of that part where it was typed; everything else as it is."""
    at: dict[str, dict[str, str]] = {}
    rest = []
    for line in lines:
        said = line.removeprefix(f"{path}: ")
        for name, fields in known.items():
            start = f"part {name}: "
            found, _ = by_field([said.removeprefix(start)], fields) if said.startswith(start) else ({}, [])
            if found:
                at.setdefault(name, {}).update(found)
                break
        else:
            rest.append(said)
    return at, rest


def _add_things(found: Picture, standing: Stood, all_things: Sequence[Thing]) -> None:
    for part in standing.parts:
        for piece in part.part.pieces:
            found.add_piece(piece, thing=part.name, what="part", side=part.side)
    for bought in standing.bought:
        for piece in bought.part.pieces:
            found.add_piece(piece, thing=bought.name, what=bought.what, side=bought.side)
    for thing in all_things:
        if thing.what == "keep-out":
            _add_body(found, thing.body, thing=thing.name, what="keep-out", side=thing.side)
    for mount in standing.bay.mounts:
        row_ = bush_of(standing.bay, mount)
        half = scale(unit(mount.axis), row_.sleeve_length / 2 + BEYOND)
        ends = [list(add(mount.at, scale(half, s))) for s in (-1.0, 1.0)]
        found.lines.append(
            {"what": "bush axis", "name": f"{mount.name} bush axis", "thing": mount.name, "side": "", "ends": ends}
        )
    for entry in standing.bay.bosses:
        out = scale(unit(entry.normal), 25.0)
        ends = [list(entry.at), list(add(entry.at, out))]
        found.lines.append(
            {
                "what": "bolt axis",
                "name": f"boss {entry.name}",
                "thing": entry.name,
                "side": "powertrain",
                "ends": ends,
            }
        )


def _add_body(found: Picture, body: Body, *, thing: str, what: str, side: str) -> None:
    if body.core.shape is None:
        seen = of_triangles(body.core.mesh.corners, body.core.mesh.triples)
    else:
        seen = skin(Shape(body.core.shape), deflection=found.fineness[0], angle=found.fineness[1])
    m = body.place.matrix
    place = Place.of_matrix([[float(v) for v in m[i]] for i in range(3)])
    found.add_mesh(blob(seen), thing=thing, name=thing, what=what, side=side, place=place)


def _add_foul(found: Picture, pair: Pair, bodies: Mapping[str, Body]) -> None:
    """What two bodies share, as a thing of its own."""
    shared = overlap(bodies[pair.a], bodies[pair.b], pulls=False)
    if not len(shared.triples):
        return
    name = f"{pair.a} fouls {pair.b}"
    item = found.add_mesh(
        blob(of_triangles(shared.corners, shared.triples)),
        thing=name,
        name=name,
        what="foul",
        side="",
        place=Place(),
    )
    item["of"] = [pair.a, pair.b]


def _add_marks(found: Picture, standing: Stood) -> None:
    whole = mass_of(standing.bay)
    if whole is not None:
        found.add_mark("powertrain", whole.centroid, thing="powertrain", side="powertrain", kg=float(whole.kg))
    for part in standing.parts:
        weight = part.part.mass
        found.add_mark(part.name, weight.centroid, thing=part.name, side=part.side, kg=float(weight.kg))


def _mass_tables(standing: Stood) -> Iterator[dict[str, Any]]:
    rows = []
    whole = mass_of(standing.bay)
    if whole is not None:
        rows.append(row(("powertrain, its lumps", "powertrain", f"{whole.kg:.1f}", at_text(whole.centroid))))
    for part in standing.parts:
        weight = part.part.mass
        rows.append(row((part.name, part.side, f"{weight.kg:.3f}", at_text(weight.centroid)), things=(part.name,)))
    yield table("mass", "Mass", "what|side|>kg|>centre of mass x, y, z mm", rows)


def _findings(judged: Sequence[Any]) -> dict[str, Any]:
    """Findings of the bay; each speaks of the parts or pair named before its colon."""
    found = findings_table([(f.piece, f) for f in judged])
    for row_, finding in zip(found["rows"], judged, strict=True):
        part, _, piece = finding.piece.partition(": ")
        row_["things"] = [piece, part] if piece else [name.strip() for name in part.split(" | ")]
    return found


def _moves(bay: Bay) -> dict[str, Any] | None:
    """How the powertrain may move, as the page turns and shifts it."""
    moves = moves_of(bay)
    if moves is None:
        return None
    return {
        "about": list(moves.about),
        "turns": [{"axis": list(t.axis), "low": t.low, "high": t.high} for t in moves.turns],
        "travel": [list(pair) for pair in moves.travel],
    }

"""What stands in a bay as things in the picture: parts, bought things, keep-outs, axes, what fouls."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from functools import lru_cache
from typing import Any, assert_never

from cadquery.occ_impl.shapes import Shape

from brackets.app.cli.inches import MM, Lengths
from brackets.app.preview.blocks import Blob, row, table
from brackets.app.preview.fit_tables import things_of
from brackets.app.preview.recipe_source import findings_table
from brackets.app.preview.render_mesh import mesh_of_shape, mesh_of_triangles
from brackets.app.preview.scene import BEYOND, Fineness, Picture, at_text, blob
from brackets.bay.bolts.boss_bolts import BossBolt
from brackets.bay.clear.pairs import Pair
from brackets.bay.clear.regions import moves_of
from brackets.bay.hung.mount_frames import mass_of, place_of
from brackets.bay.schema.keep_out import KeepOut
from brackets.bay.schema.links import links_of
from brackets.bay.schema.record import Bay
from brackets.bay.schema.standing import LINK
from brackets.bay.stand.bodies import BayBody, own_moves, placed_keep_out
from brackets.bay.stand.hardware import Bought, bush_of
from brackets.bay.stand.placed_part import BossHead, PlacedBay, PlacedPart, ThroughBolt
from brackets.clearance.bodies import Body
from brackets.clearance.cores import Core
from brackets.clearance.overlaps import overlap
from brackets.core.errors import BadFile, InputError
from brackets.core.finding import Finding
from brackets.core.place import Place
from brackets.core.tables.bush_rows import Bobbin
from brackets.core.vectors import add, scale, unit
from brackets.model.part import Part

SO_FAR = "Standing still only, so far: the movement, the paths in and out and the bolts are being worked out."
"""Note of findings that are not all there yet."""


def add_contents(found: Picture, standing: PlacedBay) -> None:
    """Everything that stands in the bay: parts, bushes and bolts piece by piece, keep-outs as bodies.

    Raises BadFile where the file of a keep-out cannot be used.
    """
    problems: list[str] = []
    for thing in standing.contents:
        match thing:
            case PlacedPart():
                _add_pieces(found, thing.part, thing=thing.name, what="part", side=thing.side)
            case Bought():
                _add_pieces(found, thing.part, thing=thing.name, what=thing.what, side=thing.side)
            case KeepOut():
                try:
                    made = placed_keep_out(standing.bay, thing)
                except InputError as error:
                    problems += [f"keep_out {thing.name}: {line}" for line in error.problems]
                    continue
                add_body(found, made, thing=thing.name, what="keep-out", side=thing.side)
            case _:
                assert_never(thing)
    if problems:
        raise BadFile(standing.bay.path, *problems)


def add_measured(found: Picture, all_things: Sequence[BayBody]) -> None:
    """The bodies whose place is known only once gaps are measured: heads and washers of the bolts into bosses, and
    the bolts through keep-outs. All others `add_contents` has drawn."""
    for thing in all_things:
        match thing.of:
            case BossHead() | ThroughBolt() as bolt:
                _add_pieces(found, bolt.made, thing=thing.name, what=thing.what, side=thing.side)
            case PlacedPart() | Bought() | KeepOut():
                pass
            case _:
                assert_never(thing.of)


def add_shanks(found: Picture, held: Iterable[object]) -> None:
    """The shanks of the bolts into bosses, among `held`: their heads are bodies, what is in the metal is not."""
    for one in held:
        if isinstance(one, BossBolt):
            found.add_piece(one.shank, thing=one.name, what="bolt", side="powertrain")


def _add_pieces(found: Picture, part: Part, *, thing: str, what: str, side: str) -> None:
    for piece in part.pieces:
        found.add_piece(piece, thing=thing, what=what, side=side)


def add_axes(found: Picture, bay: Bay) -> None:
    """The axis of every bush, and of the bolt that goes into every boss."""
    powertrain = place_of(bay.powertrain)
    for mount in bay.mounts:
        bush = bush_of(bay, mount)
        long = bush.height if isinstance(bush, Bobbin) else bush.sleeve_length
        half = scale(unit(mount.axis), long / 2 + BEYOND)
        middle = mount.at if isinstance(bush, Bobbin) else bay.centre(mount, mount.ears)
        ends = (add(middle, scale(half, -1.0)), add(middle, half))
        found.add_axis("bush axis", f"{mount.name} bush axis", ends, thing=mount.name, side="")
    for boss in bay.bosses:
        at, out = powertrain.point(boss.at), scale(unit(powertrain.direction(boss.normal)), 2 * BEYOND)
        ends = (at, add(at, out))
        found.add_axis("bolt axis", f"boss {boss.name}", ends, thing=boss.name, side="powertrain")


def add_body(found: Picture, body: Body, *, thing: str, what: str, side: str) -> None:
    """A body that is not made of pieces, such as a keep-out or a scan."""
    m = body.place.matrix
    place = Place.of_matrix([[float(v) for v in m[i]] for i in range(3)])
    made = _mesh_of_core(body.core, found.fineness)
    item = found.add_mesh(made, thing=thing, name=thing, what=what, side=side, place=place)
    if body.core.shape is None:
        item["scan"] = "closed" if body.closed else "open"


@lru_cache(maxsize=512)
def _mesh_of_core(core: Core, fineness: Fineness) -> Blob:
    """The mesh of a body that is no piece: keep-outs stay as they are at every step of a slider."""
    if core.shape is None:
        return blob(mesh_of_triangles(core.mesh.corners, core.mesh.triples))
    return blob(mesh_of_shape(Shape(core.shape), deflection=fineness[0], angle=fineness[1]))


def add_foul(found: Picture, pair: Pair, bodies: Mapping[str, Body]) -> None:
    """What two bodies share, as a thing of its own."""
    shared = overlap(bodies[pair.a], bodies[pair.b], pulls=False)
    if not len(shared.triples):
        return
    name = f"{pair.a} fouls {pair.b}"
    item = found.add_mesh(
        blob(mesh_of_triangles(shared.corners, shared.triples)),
        thing=name,
        name=name,
        what="foul",
        side="",
        place=Place(),
    )
    item["of"] = [pair.a, pair.b]


def add_marks(found: Picture, standing: PlacedBay) -> None:
    """Centres of mass: of the powertrain by its lumps, and of each part."""
    whole = mass_of(standing.bay)
    if whole is not None:
        found.add_mark("powertrain", whole.centroid, thing="powertrain", side="powertrain", kg=float(whole.kg))
    for part in standing.parts:
        weight = part.part.mass
        found.add_mark(part.name, weight.centroid, thing=part.name, side=part.side, kg=float(weight.kg))


def mass_table(standing: PlacedBay) -> dict[str, Any]:
    """What the lumps of the powertrain and each part weigh."""
    rows, at = [], Lengths(standing.bay.bare)
    whole = mass_of(standing.bay)
    if whole is not None:
        middle = at.cell(at_text(whole.centroid))
        rows.append(row(("powertrain, its lumps", "powertrain", f"{whole.kg:.1f}", middle)))
    for part in standing.parts:
        weight = part.part.mass
        middle = at.cell(at_text(weight.centroid))
        rows.append(row((part.name, part.side, f"{weight.kg:.3f}", middle), things=(part.name,)))
    return table("mass", "Mass", f"what|side|>kg|>centre of mass x, y, z {at.unit}", rows)


def findings(listed: Sequence[Finding], *, so_far: bool = False, at: Lengths = MM) -> dict[str, Any]:
    """Findings of the bay; each speaks of the bodies it is about, and of the piece named after its colon."""
    found = findings_table([(f.piece, f) for f in listed], at)
    for row_, finding in zip(found["rows"], listed, strict=True):
        row_["things"] = things_of(finding)
    return found | {"note": SO_FAR} if so_far else found


def moves(bay: Bay) -> dict[str, Any] | None:
    """How the powertrain may move, as the page turns and shifts it."""
    allowed = moves_of(bay)
    if allowed is None:
        return None
    return {
        "about": list(allowed.about),
        "turns": [{"axis": list(t.axis), "low": t.low, "high": t.high} for t in allowed.turns],
        "travel": [list(pair) for pair in allowed.travel],
    }


def movers(bay: Bay) -> list[dict[str, Any]]:
    """The keep-outs that turn or slide by themselves, as the page moves them: degrees about an axis, then mm."""
    return [
        {
            "thing": keep_out.name,
            "about": list(own.about),
            "axis": list(own.axis),
            "turn": list(own.turn),
            "along": list(own.along),
            "travel": list(own.travel),
        }
        for keep_out in bay.keep_outs
        if (own := own_moves(bay, keep_out)) is not None
    ]


def bars(standing: PlacedBay) -> list[dict[str, Any]]:
    """The links, as the page carries them: the things on each, and its bush centres, on the chassis and on the
    powertrain, as drawn."""
    found = []
    for link in links_of(standing.bay):
        mounts = {link.chassis.name, link.powertrain.name}
        on_it = (thing.name for thing in standing.bought if thing.side == LINK and thing.mount in mounts)
        ends = {"fixed": list(link.chassis.at), "moving": list(link.powertrain.at)}
        found.append({"things": [link.part, *on_it], **ends})
    return found

"""Stations: a body cut at a pitch along an axis into sheets of foam, card or plywood that stack up to it. mm."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from manifold3d import CrossSection

from brackets.clearance.bodies import Body
from brackets.clearance.scan_holes import ClosedScan, closed_up_to
from brackets.core.errors import InputError
from brackets.core.finding import Finding, stopped, worst_first
from brackets.core.schema.reading import values as values_of
from brackets.drawing.boards import FoamBoard, boards
from brackets.drawing.stations import Axes, Station, StationPiece
from brackets.kernel.sections import SHIFT, SlicedBody, sliced
from brackets.mockups.stations_cut import (
    StationCut,
    axes_of,
    cut_up,
    frame_of,
    hollowed,
    pieces_of,
    rings_of,
    stands_out,
)
from brackets.mockups.stations_dowels import DowelGroup, Dowels, Piece, dowels
from brackets.mockups.stations_marks import bosses_on, holes_of, letters_of, lines_of
from brackets.mockups.stations_rules import (
    board_findings,
    dowel_findings,
    short_findings,
    thin_findings,
    torn_findings,
)
from brackets.mockups.stations_source import StationSource, station_source
from brackets.mockups.stations_values import StationValues


@dataclass(frozen=True, kw_only=True)
class Stations:
    """A body's stations as plain values.

    name: of the body; values: what was asked; axes: which way they are seen; stations: the sheets from the low end
    of the axis up; boards: what each is cut from; dowels: rows of pieces held by the same two dowels, by their
    names; findings, notes: what is to be said; hash: of everything that is cut. Where a scan is torn wider than may
    be closed there are no stations, and the findings say where.
    """

    name: str
    values: StationValues
    axes: Axes
    stations: tuple[Station, ...] = ()
    boards: tuple[FoamBoard, ...] = ()
    dowels: tuple[tuple[tuple[str, ...], DowelGroup], ...] = ()
    findings: tuple[Finding, ...] = ()
    notes: tuple[str, ...] = ()

    @property
    def stops(self) -> bool:
        """Whether a finding says: do not cut."""
        return stopped(self.findings)

    @property
    def height(self) -> float:
        """mm from the first face of the stack to the last, spacers and all."""
        return self.stations[-1].high - self.stations[0].low if self.stations else 0.0

    @property
    def volume(self) -> float:
        """mm3 of board in the stack, holes for dowels not taken off."""
        return sum(piece.area for one in self.stations for piece in one.pieces) * self.values.board

    @property
    def board_volume(self) -> float:
        """mm3 of the boards it is cut from."""
        return sum(board.length * board.width for board in self.boards) * self.values.board

    @property
    def hash(self) -> str:
        """Eight figures that change with anything that is cut."""
        told = repr((self.name, values_of(self.values), self.stations))
        return hashlib.sha256(told.encode()).hexdigest()[:8]


def stations(
    what: Body | Sequence[Body] | str | Path,
    *,
    of: Sequence[str] = (),
    side: str | None = None,
    unit: str | None = None,
    name: str | None = None,
    axis: str = "x",
    pitch: float = 20.0,
    thickness: float | None = None,
    start: float | None = None,
    true_at: str = "middle",
    sheet: tuple[float, float] = (1000.0, 500.0),
    hollow: float | None = None,
    fill: bool = False,
    close_holes: float = 0.0,
    dowel: float = 8.0,
) -> Stations:
    """A body cut into sheets that stack up to it, for a mock-up of foam, card or plywood.

    what: one body or several, cut together, or the path of a bay file, a scan or a STEP file; of, side: of a bay,
    the keep-outs by name or all of a side, all of the powertrain where neither is given; unit: of a scan file,
    "mm", "cm", "m" or "in"; name: what sheets call it; axis: "x", "y" or "z"; pitch: from one sheet to the next,
    mm; thickness: of a sheet, mm, None for the pitch; start: where on the axis one sheet has its face, mm, None for
    the body's low end; true_at: "middle", the section at the middle of each sheet, or "outside", all of the body
    within its pitch; sheet: length and width of the board, mm; hollow: wall left, mm, None for solid pieces;
    fill: whether holes inside a section are filled; close_holes: the largest hole in a scan that may be closed, mm;
    dowel: diameter of the two dowels, mm. Raises InputError for values that make no sense.

    >>> block = body(shape(plate(rectangle(120, 80), 60)), name="block")
    >>> found = stations(block, axis="z", pitch=20)
    >>> len(found.stations), found.height, found.volume, len(found.boards)
    (3, 60.0, 576000.0, 1)
    """
    wanted = StationValues(
        axis=axis, pitch=pitch, thickness=thickness, start=start, true_at=true_at, sheet=sheet, hollow=hollow,
        fill=fill, close_holes=close_holes, dowel=dowel,
    )  # fmt: skip
    if isinstance(what, str | Path):
        source = station_source(Path(what), of=of, side=side, unit=unit)
    else:
        given = [(key, value) for key, value in (("of", of), ("side", side), ("unit", unit)) if value]
        if given:
            raise InputError(*(f"{key} = {value}, must not be given: it is for files" for key, value in given))
        bodies = (what,) if isinstance(what, Body) else tuple(what)
        if not bodies:
            raise InputError("what = no body, must be one or more")
        source = StationSource(" and ".join(one.name or "body" for one in bodies), bodies)
    return stations_of(source if name is None else replace(source, name=name), wanted)


def stations_of(source: StationSource, values: StationValues) -> Stations:
    """The stations of what `source` has, as `values` ask."""
    axes = axes_of(values.axis, named=source.in_bay)
    solids, findings = _solids(source, values)
    if stopped(findings):
        return Stations(name=source.name, values=values, axes=axes, findings=worst_first(findings))
    bound = max(one.bound for one in source.bodies)
    cuts = cut_up(solids, values, bound)
    if not cuts:
        raise InputError(
            f"pitch = {values.pitch:g} mm, must be less: no sheet's middle is in {source.name}, which is "
            f"{max(s.ends[1] for s in solids) - min(s.ends[0] for s in solids):.4g} mm along {values.axis}"
        )
    regions = pieces_of(cuts)
    edge = values.dowel
    held = dowels(_adjacent(cuts, regions), values.dowel, edge)
    held = _numbered(held, cuts)
    if values.hollow is not None:
        rib = values.dowel + 2 * edge
        regions = hollowed(cuts, regions, held.groups, wall=values.hollow, rib=rib)
    letters = letters_of(regions)
    marked = bosses_on(source.bosses, cuts, regions, values)
    found, names = [], dict[Piece, str]()
    holes = holes_of(held.groups, values.dowel)
    for k, cut in enumerate(cuts):
        pieces = []
        for i, region in enumerate(regions[k]):
            several = len(regions[k]) > 1
            names[k, i] = f"{cut.number}{letters[k, i]}" if several else str(cut.number)
            rings = rings_of(region)
            pieces.append(
                StationPiece(
                    name=names[k, i],
                    rings=rings,
                    holes=tuple(holes.get((k, i), ())),
                    bosses=tuple(marked.get((k, i), ())),
                    lines=lines_of(rings),
                )
            )
        found.append(
            Station(
                number=cut.number,
                low=cut.low,
                high=cut.high,
                at=cut.at,
                pieces=tuple(sorted(pieces, key=lambda one: one.name)),
                marked_face=rings_of(cut.marked_face),
                other_face=rings_of(cut.other_face),
            )
        )
    on, left = boards((piece for one in found for piece in one.pieces), *values.sheet)
    findings += [
        *short_findings(source.name, *stands_out(cuts)),
        *thin_findings([(names[k, i], region) for k, row in enumerate(regions) for i, region in enumerate(row)]),
        *dowel_findings(held, names, values.dowel),
        *board_findings(left, values.sheet),
    ]
    about = tuple(one.name for one in source.bodies)
    return Stations(
        name=source.name,
        values=values,
        axes=axes,
        stations=tuple(found),
        boards=on,
        dowels=tuple((tuple(names[key] for key in group.pieces), group) for group in held.groups),
        findings=worst_first([one if one.about else replace(one, about=about) for one in findings]),
        notes=(*source.notes, *_notes(source, values, cuts, solids)),
    )


def _solids(source: StationSource, values: StationValues) -> tuple[list[SlicedBody], list[Finding]]:
    """Each body as a solid in the frame of the sections, and what is said of its holes."""
    frame, found, said = frame_of(values.axis), list[SlicedBody](), list[Finding]()
    for one in source.bodies:
        mesh = one.core.mesh
        own = mesh.triples if one.core.shape is not None else mesh.triples[mesh.given >= 0]
        closed: ClosedScan = closed_up_to(mesh.corners, own, values.close_holes)
        corners = one.place.points(closed.corners)
        solid = None if closed.left else sliced(corners, closed.triples, frame)
        said += torn_findings(one, closed, values.close_holes, whole=bool(closed.left) or solid is not None)
        if solid is not None:
            found.append(solid)
    return found, said


def _adjacent(cuts: Sequence[StationCut], regions: Sequence[Sequence[CrossSection]]) -> list[list[CrossSection]]:
    """The pieces by number of their sheet, none where a sheet has nothing in it."""
    by_number = {cut.number: list(row) for cut, row in zip(cuts, regions, strict=True)}
    return [by_number.get(number, []) for number in range(cuts[0].number, cuts[-1].number + 1)]


def _numbered(held: Dowels, cuts: Sequence[StationCut]) -> Dowels:
    """The dowels with pieces by their place in `cuts` instead of by number."""
    place = {cut.number - cuts[0].number: k for k, cut in enumerate(cuts)}

    def put(key: Piece) -> Piece:
        return (place[key[0]], key[1])

    groups = tuple(replace(group, pieces=tuple(map(put, group.pieces))) for group in held.groups)
    return Dowels(groups, tuple((put(a), put(b)) for a, b in held.loose), tuple(map(put, held.apart)))


def _notes(
    source: StationSource, values: StationValues, cuts: Sequence[StationCut], solids: Sequence[SlicedBody]
) -> list[str]:
    axis, low, high = values.axis, cuts[0].low, cuts[-1].high
    told = [
        "Cut square along the full line. Dashed: the body's outline on the marked face; dotted: on the other face.",
        f"True at the middle of each sheet: its {values.board:g} mm stand half over, half under the cut."
        if values.true_at == "middle"
        else "Each sheet holds all of the body within its pitch: the stack is nowhere smaller than the body.",
    ]
    ends = min(s.ends[0] for s in solids), max(s.ends[1] for s in solids)
    told.append(
        f"The body runs from {axis} {ends[0]:.1f} to {ends[1]:.1f}, the stack from {low:.1f} to {high:.1f}: "
        f"its first face stands {low - ends[0]:+.1f}, its last {high - ends[1]:+.1f} from the body's ends."
    )
    if values.spacer > 0:
        told.append(f"Between sheets: {len(cuts) - 1} spacers of {values.spacer:g} mm on each dowel.")
    shifted = [str(cut.number) for cut in cuts if cut.shifted]
    if shifted:
        told.append(
            f"Station {', '.join(shifted)}: the cut lay in a flat face, and was shifted by {SHIFT:g} mm to the "
            "larger side."
        )
    empty = sorted({*range(cuts[0].number, cuts[-1].number + 1)} - {cut.number for cut in cuts})
    if empty:
        told.append(f"Nothing is cut for station {', '.join(map(str, empty))}: the body has a gap there.")
    if values.hollow is not None:
        told.append(
            f"Hollowed to a wall of {values.hollow:g} mm: cut in from a drilled hole, not through the wall. "
            "The end sheets stay whole."
        )
    return told

"""Stations on paper, as cut files of each board, and as a record for scripts."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import asdict
from pathlib import Path
from typing import Any

from brackets.core.finding import verdict
from brackets.core.schema.reading import values as values_of
from brackets.drawing.boards import board_cuts, board_picture
from brackets.drawing.record import Drawing, Table, Title
from brackets.drawing.stations import (
    FIT_CHECK,
    Station,
    StationHole,
    StationPiece,
    stack_picture,
    station_drawing,
)
from brackets.forming.shop import Shop
from brackets.forming.shop_file import default as default_shop
from brackets.geometry.segments import Point
from brackets.mockups.stations import Stations
from brackets.mockups.stations_dowels import DowelGroup
from brackets.output import cut_files, dxf, facts, folder, formats, pdf, svg
from brackets.output.paper import correction_of


def drawings(found: Stations) -> tuple[Drawing, ...]:
    """The stack with its tables, a picture of each board, and each station at true size, for paper."""
    title = _title(found)
    told = (
        ("stack of", found.name),
        *((("STOP", "do not cut: see Findings"),) if found.stops else ()),
        ("revision", "none given"),
        ("values", found.hash),
        ("material", f"{found.values.board:g} mm board, scale 1:1"),
        ("height", f"{found.height:.1f} mm, {len(found.stations)} stations at {found.values.pitch:g} mm along"
                   f" {found.values.axis}, true at {found.values.true_at}"),
        ("boards", f"{len(found.boards)} of {found.values.sheet[0]:g} x {found.values.sheet[1]:g}; "
                   f"{_litres(found.volume)} l of {_litres(found.board_volume)} l used"),
    )  # fmt: skip
    short = tuple(one for one in told if one[0] in ("revision", "values", "material", "boards", "STOP"))
    return (
        stack_picture(found.stations, found.axes, title, told, (_table(found), *_dowel_table(found))),
        *(board_picture(board, n, _plain(title), short) for n, board in enumerate(found.boards, 1)),
        *(station_drawing(one, found.axes, title, short) for one in found.stations),
    )


def _title(found: Stations) -> Title:
    whole = Title(part=f"{FIT_CHECK}. {found.name}", notes=found.notes)
    return cut_files.judged_title(whole, found.findings)


def _plain(title: Title) -> Title:
    """For sheets after the first, which has the notes and findings."""
    return Title(part=title.part, stops=title.stops)


def _litres(mm3: float) -> str:
    return f"{mm3 / 1e6:.2f}"


def _table(found: Stations) -> Table:
    axis = found.values.axis
    rows = tuple(
        (
            ", ".join(piece.name for piece in one.pieces),
            f"{one.low:.1f} to {one.high:.1f}",
            "faces" if one.at is None else f"{one.at:.1f}",
            "; ".join(_size(piece) for piece in one.pieces),
            ", ".join(boss.name for piece in one.pieces for boss in piece.bosses),
            "",
        )
        for one in found.stations
    )
    return Table("Stations", ("piece", f"faces at {axis}", f"cut at {axis}", "size", "bosses", "cut"), rows)


def _size(piece: StationPiece) -> str:
    u0, v0, u1, v1 = piece.bounds
    return f"{u1 - u0:.0f} x {v1 - v0:.0f}"


def _dowel_table(found: Stations) -> tuple[Table, ...]:
    if not found.dowels:
        return ()
    right, up = found.axes.right[0], found.axes.up[0]
    many = len(found.dowels) > 1
    rows = tuple(
        (
            str(n) if many else "",
            f"{names[0]} to {names[-1]}",
            _place(found, group.a),
            _place(found, group.b),
            "no room" if group.wire is None else _place(found, group.wire),
            f"{found.values.dowel:g} x {_reach(found, group):.0f}",
        )
        for n, (names, group) in enumerate(found.dowels, 1)
    )
    head = ("", "stations", f"P: {right}, {up}", f"Q: {right}, {up}", f"wire: {right}, {up}", "2 dowels each")
    return (Table("Dowels", head, rows),)


def _place(found: Stations, at: Point) -> str:
    return ", ".join(f"{value + 0.0:.4g}" for value in _in_bay(found, at))


def _in_bay(found: Stations, at: Point) -> Point:
    """The two coordinates of the bay that run right and up."""
    return (found.axes.right[1] * at[0] + 0.0, found.axes.up[1] * at[1] + 0.0)


def _reach(found: Stations, group: DowelGroup) -> float:
    first, last = (found.stations[group.pieces[i][0]] for i in (0, -1))
    return last.high - first.low


def write(
    found: Stations,
    into: str | Path,
    *,
    paper: str | None = None,
    shop: Shop | None = None,
    say: Callable[[str], None] = lambda _: None,
) -> tuple[str, ...]:
    """Write stations as one PDF at true size, a DXF and an SVG of each board, and the facts; the names, in order.

    found: by `stations`; into: the folder, swapped whole; paper: "A4", "A3" or "Letter", None for the shop's; shop:
    whose printer it is, the SAMPLE shop's without one; say: is told what is being done. Nothing is written of a
    scan that is torn. Raises InputError for an unknown paper or another's folder, OSError where the disk refuses.

    >>> import tempfile
    >>> found = stations(body(shape(plate(rectangle(120, 80), 60)), name="block"), axis="z")
    >>> with tempfile.TemporaryDirectory() as folder:  # gone again afterwards
    ...     write_stations(found, f"{folder}/block")
    ('block-stations.pdf', 'block-board-1.dxf', 'block-board-1.svg', 'facts.json')
    """
    if not found.stations:
        return ()
    mine = default_shop() if shop is None else shop
    stem, title = folder.stem(found.name), _title(found)
    with folder.fresh(into) as at:
        say(f"{found.name}: drawing {len(found.stations)} stations")
        files = [f"{stem}-stations.pdf"]
        pdf.write(drawings(found), at / files[0], paper or mine.paper, correction_of(mine.bars))
        for n, board in enumerate(found.boards, 1):
            cuts = board_cuts(board, n, found.axes, title, _said(found))
            for suffix, write_one in (("dxf", dxf.write), ("svg", svg.write)):
                files.append(f"{stem}-board-{n}.{suffix}")
                write_one(cuts, at / files[-1])
        files.append(facts.NAME)
        facts.write(record(found, files=tuple(files)), at / facts.NAME)
    return tuple(files)


def _said(found: Stations) -> tuple[str, ...]:
    values = found.values
    return (
        f"{FIT_CHECK}. {found.name}, values {found.hash}",
        f"{values.board:g} mm board, {values.sheet[0]:g} x {values.sheet[1]:g}, stations at {values.pitch:g} along "
        f"{values.axis}, true at {values.true_at}, scale 1:1",
    )


def record(found: Stations, *, files: tuple[str, ...] = ()) -> dict[str, Any]:
    """For scripts: what was asked, the stack, every station with its pieces in the bay's own coordinates, dowels,
    boards, findings, files."""
    return {
        "format": facts.FORMAT,
        "name": found.name,
        "asked": values_of(found.values),
        "hash": found.hash,
        "height_mm": found.height,
        "volume_mm3": found.volume,
        "board_volume_mm3": found.board_volume,
        "coordinates": [found.axes.right[0], found.axes.up[0]],
        "stations": [_station(found, one) for one in found.stations],
        "dowels": [
            {
                "pieces": list(names),
                "p_mm": _in_bay(found, group.a),
                "q_mm": _in_bay(found, group.b),
                "wire_mm": None if group.wire is None else _in_bay(found, group.wire),
                "length_mm": _reach(found, group),
            }
            for names, group in found.dowels
        ],
        "boards": [
            {
                "length_mm": board.length,
                "width_mm": board.width,
                "pieces": [{"piece": p.name, "at_mm": at, "turned": turned} for p, at, turned in board.pieces],
            }
            for board in found.boards
        ],
        "notes": list(found.notes),
        "verdict": verdict(found.findings),
        "findings": [asdict(finding) for finding in found.findings],
        "files": list(files),
        "formats": formats.named(files),
    }


def _station(found: Stations, one: Station) -> dict[str, Any]:
    def hole(each: StationHole) -> dict[str, Any]:
        return {"name": each.name, "at_mm": _in_bay(found, each.at), "d_mm": each.d}

    return {
        "number": one.number,
        "faces_mm": [one.low, one.high],
        "cut_at_mm": one.at,
        "pieces": [
            {
                "name": piece.name,
                "area_mm2": piece.area,
                "edges_mm": [[_in_bay(found, p) for p in ring] for ring in piece.rings],
                "holes": [hole(each) for each in piece.holes],
                "bosses": [{"name": boss.name, "at_mm": _in_bay(found, boss.at)} for boss in piece.bosses],
            }
            for piece in one.pieces
        ],
    }

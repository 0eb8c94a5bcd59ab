"""What scripts may rely on of a fitted bay: every figure and finding as one record. mm, degrees, kg."""

from __future__ import annotations

import math
from dataclasses import asdict
from typing import Any

from brackets.bay import held_rows
from brackets.bay.adjust import SlideGap
from brackets.bay.adjust_rules import Adjusted
from brackets.bay.clear.drive_rules import drive_record
from brackets.bay.clear.known import Known
from brackets.bay.clear.link_motion import LinkEnd, LinkFound
from brackets.bay.clear.moving import Moved, by_pair, in_words
from brackets.bay.clear.pairs import Pair
from brackets.bay.clear.paths import BayPath
from brackets.bay.clear.props import prop_record
from brackets.bay.clear.slack import Slack
from brackets.bay.fitting import Fit
from brackets.bay.hung.mount_frames import axle_torque, firing, mass_of, traction_cap
from brackets.bay.hung.movement import movement_of
from brackets.bay.report.bolt_records import bolt_record
from brackets.bay.report.rule_rows import RuleRow, rule_rows
from brackets.bay.report.worst import met, worst
from brackets.bay.seats.contact import SeatContact
from brackets.bay.stand.owners import bay_cautions
from brackets.bay.stand.placed_part import PlacedPart
from brackets.clearance.greatest import Most
from brackets.core.finding import verdict
from brackets.core.marks import NO_MARKS, Marks
from brackets.core.schema.reading import json_values, unstated
from brackets.output import bay_lists, facts, formats
from brackets.output.movement_facts import movement_record
from brackets.output.weld_facts import order_records, pull_records

FORMAT = 1


def record(fit: Fit, *, files: tuple[str, ...] = (), marks: Marks = NO_MARKS) -> dict[str, Any]:
    """What scripts may rely on: parts; pairs (a, b, state, low_mm, high_mm, needed_mm, spare_mm, points) ..."""
    bay = fit.bay
    moves = by_pair(fit.moved)
    mass = mass_of(bay)
    return {
        "format": FORMAT,
        "bay": bay.name,
        "shop": bay.shop.name,
        "title_block": marks.record,
        "powertrain": {
            "mass_kg": None if mass is None else mass.kg,
            "centroid_mm": None if mass is None else mass.centroid.tolist(),
            "inertia_kg_mm2": None if mass is None else mass.inertia.tolist(),
            "first_gear_torque_nm": axle_torque(bay.powertrain),
            "traction_cap_nm": traction_cap(bay.powertrain),
            "firing_at_idle_hz": firing(bay.powertrain),
        },
        "movement": movement_record(movement_of(bay)),
        "worst": [{"finding": asdict(one.finding), "do": one.do} for one in worst(fit)],
        "met": met(fit),
        **bay_lists.records(fit),
        "parts": [_part(part) for part in fit.stood.parts],
        "pairs": [_pair(pair, moves.get(frozenset((pair.a, pair.b))), fit.known) for pair in fit.pairs],
        "moved": [_moved(move, fit.known) for move in fit.moved],
        "pos_mm": dict(fit.known.pos),
        "adjusts": [_adjust(one) for one in fit.adjusts],
        "slacks": [_slack(one) for one in fit.slacks],
        "drives": [drive_record(one) for one in fit.drives],
        "props": [prop_record(one) for one in fit.props],
        "links": [_link(link) for link in fit.links],
        "rules": [_rule(row) for row in rule_rows(fit)],
        "strength": None if fit.held is None else held_rows.record(fit.held),
        "paths": [_path(one, fit.known) for one in fit.paths],
        "seats": [_seat(seat) for seat in fit.seats],
        "fit_ups": [
            {"part": seat.part, "onto": seat.onto[0], "widest_mm": seat.open, "at": list(seat.at)}
            for seat in fit.seats
            if seat.weld > 0
        ],
        "bolts": [bolt_record(bolt) for bolt in fit.bolts],
        "verdict": verdict(fit.findings),
        "cautions": [asdict(caution) for caution in bay_cautions(fit.stood)],
        "findings": [asdict(finding) for finding in fit.findings],
        "left_out": list(fit.stood.left_out),
        "notes": list(fit.stood.notes),
        "files": list(files),
        "formats": formats.named(files),
    }


def _part(part: PlacedPart) -> dict[str, Any]:
    from brackets.output.set_up import record as set_up_record

    mass = part.part.mass
    return {
        "name": part.name,
        "recipe": part.recipe.name,
        "side": part.side,
        "hand": None if part.hand is None else part.hand.record,
        "values": json_values(part.params),
        "worked_out": {k: list(v) if isinstance(v, tuple) else v for k, v in part.worked_out.items()},
        "not_given": list(part.unfilled),
        "not_stated": list(unstated(part.params)),
        "mass_kg": mass.kg,
        "centroid_mm": mass.centroid.tolist(),
        "inertia_kg_mm2": mass.inertia.tolist(),
        "pieces": facts.of(part.part)["pieces"],
        "set_up": set_up_record(part.part),
        "weld_order": order_records(part.part),
        "weld_pull": pull_records(part.part),
        "misfits": [
            {"seat": m.seat, "mount": m.mount, "off_mm": m.off, "angle_deg": m.angle} for m in part.misfits
        ],
    }


def _pair(pair: Pair, move: Moved | None, known: Known) -> dict[str, Any]:
    return {
        "a": pair.a,
        "b": pair.b,
        "state": pair.state,
        "low_mm": pair.low,
        "high_mm": pair.high,
        "needed_mm": pair.needed,
        "spare_mm": pair.spare,
        "pos_mm": known.between(pair.a, pair.b),
        "spare_less_pos_mm": known.less(pair.a, pair.b, pair.spare),
        "points": [list(pair.p), list(pair.q)],
        "class": pair.rule.kind,
        "why": pair.rule.why,
        "volume_mm3": pair.volume,
        "pull_out_mm": pair.deep,
        "pull_out_along": None if pair.out is None else list(pair.out),
        "how": pair.how,
        "note": pair.note,
        "moved_low_mm": None if move is None else move.low,
        "moved_high_mm": None if move is None else move.high,
        "moved_needed_mm": None if move is None else move.needed,
    }


def _link(link: LinkFound) -> dict[str, Any]:
    asked = link.demand
    return {
        "part": link.part,
        "length_mm": link.length,
        "apart_mm": link.apart,
        "stretch_mm": None if asked is None else _most(asked.stretch),
        "squeeze_mm": None if asked is None else _most(asked.squeeze),
        "ends": [_link_end(end) for end in (link.chassis, link.powertrain)],
    }


def _link_end(end: LinkEnd) -> dict[str, Any]:
    asked, row = end.demand, end.row
    return {
        "mount": end.mount,
        "bush": row.name,
        "radial_mm": None if asked is None else _most(asked.radial),
        "radial_limit_mm": row.travel_radial,
        "axial_mm": None if asked is None else _most(asked.axial),
        "axial_limit_mm": row.travel_axial,
        "tilt_deg": None if asked is None else _most(asked.tilt),
        "tilt_limit_deg": row.travel_tilt,
    }


def _most(most: Most) -> dict[str, Any]:
    return {"low": most.low, "high": most.high, "worst": in_words(most.worst.angles, most.worst.travel)}


def _seat(seat: SeatContact) -> dict[str, Any]:
    return {
        "part": seat.part,
        "seat": seat.seat,
        "onto": list(seat.onto),
        "area_mm2": seat.area,
        "contact_mm2": seat.contact,
        "share": seat.share,
        "widest_mm": seat.widest,
        "nearest_mm": seat.nearest if math.isfinite(seat.nearest) else None,
        "hangs": [{"edge": edge, "mm": far, "onto": onto} for edge, far, onto in seat.hangs],
        "weld_mm": seat.weld,
        "weld_on_nothing_mm": seat.bare,
        "weld_widest_mm": seat.open,
        "weld_widest_at": list(seat.at),
        "allowed_mm": seat.allowed,
    }


def _rule(row: RuleRow) -> dict[str, Any]:
    return {
        "class": row.kind,
        "needed_mm": row.rest,
        "moved_needed_mm": row.moved,
        "why": row.why,
        "whose": row.whose,
        "spare_mm": row.spare,
        "spare_less_pos_mm": row.less,
        "pair": row.what.split(" | "),
        "when": "moved" if row.moving else "still",
    }


def _path(one: BayPath, known: Known) -> dict[str, Any]:
    return {
        "name": one.name,
        "part": one.part,
        "without": list(one.without),
        "moving": list(one.moving),
        "out": one.out,
        "unloaded": one.unloaded,
        "held_by": list(one.held),
        "legs": [{"length": leg.length, "free": leg.free, "unit": leg.unit} for leg in one.legs],
        "low_mm": one.low,
        "high_mm": one.high,
        "needed_mm": one.needed,
        "spare_mm": one.spare,
        "spare_less_pos_mm": None
        if one.spare is None or one.pair is None
        else known.less(*one.pair, one.spare),
        "why": one.why,
        "notes": [{"pair": [a, b], "note": said} for a, b, said in one.notes],
        "looked_at_now_and_then": [list(pair) for pair in one.watched],
        "leg": None if one.at is None else one.at[0],
        "along": None if one.at is None else one.at[1],
        "pair": None if one.pair is None else list(one.pair),
        "points": None if one.p is None or one.q is None else [list(one.p), list(one.q)],
    }


def _adjust(one: Adjusted) -> dict[str, Any]:
    of = one.of
    return {
        "part": of.part,
        "stuck": of.stuck or None,
        "range_mm": of.far,
        "engine_gains_mm": list(of.shift),
        "mounts": list(of.mounts),
        "gaps": [_slide(gap) for gap in one.gaps],
        "worse_at_the_end": [asdict(finding) for finding in one.said],
    }


def _slide(gap: SlideGap) -> dict[str, Any]:
    return {
        "a": gap.a,
        "b": gap.b,
        "low_mm": gap.low,
        "high_mm": gap.high,
        "needed_mm": gap.needed,
        "spare_mm": gap.spare,
        "at_mm": gap.at,
        "when": "moved" if gap.moving else "still",
        "worst": gap.worst,
        "points": [list(gap.p), list(gap.q)],
    }


def _slack(one: Slack) -> dict[str, Any]:
    return {
        "name": one.row.name,
        "still_mm": one.found.rest,
        "least_mm": list(one.found.least),
        "may_be_mm": one.row.least,
        "most_mm": list(one.found.most),
        "length_mm": one.row.length,
        "margin_mm": one.row.margin,
        "spare_mm": one.spare,
        "least_by": one.least_by,
        "most_by": one.most_by,
    }


def _moved(move: Moved, known: Known) -> dict[str, Any]:
    return {
        "a": move.a,
        "b": move.b,
        "low_mm": move.low,
        "high_mm": move.high,
        "needed_mm": move.needed,
        "spare_mm": move.spare,
        "spare_less_pos_mm": known.less(move.a, move.b, move.spare),
        "note": move.note,
        "worst": move.worst,
        "by": move.by,
        "case": move.case or None,
        "own": [{"name": at.name, "deg": at.turn, "mm": at.travel} for at in move.own],
        "class": move.rule.moved_kind,
        "why": move.rule.moved_why,
        "points": [list(move.p), list(move.q)],
    }

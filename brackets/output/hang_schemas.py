"""The own keys of the facts of `hang`, for their JSON Schema; a figure's unit is in its key or its meaning."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from brackets.output.schema_terms import Schema, each, names, one_of, or_null, table, text, value


def _figure(about: str) -> Schema:
    return value("number", about)


def _three(unit: str, about: str) -> Schema:
    """Three figures, along or about x, y, z of the bay."""
    return each(value("number", unit), f"{unit}: {about}, along or about x, y, z of the bay")


def _maybe_three(unit: str, about: str, where: str) -> Schema:
    return or_null(_three(unit, f"{about}; null {where}"))


UNKNOWN = "where nothing holds the powertrain one way, so that no bound is known"


def hang(shared: Mapping[str, Any]) -> Mapping[str, Schema]:
    """Keys of a bay on its bushes."""
    return {
        "bay": text("name of the bay"),
        "mass_kg": _figure("of the powertrain"),
        "centroid_mm": _three("mm", "centre of mass"),
        "inertia_kg_mm2": each(each(value("number", "kg mm2"), "a row"), "kg mm2: about the centre of mass"),
        "cases": each(table("a case", _case()), "the weight, then every load case with the weight"),
        "missing": each(table("a mount", _missing()), "what holds where it has failed"),
        "heat": each(table("a mount", _heat()), "how hot its place becomes; empty where none is typed"),
        "modes": each(table("a mode", _mode()), "natural frequencies, the lowest first"),
        "idle": or_null(table("how it idles; null where that is not typed", _idle())),
        "stiffness": each(table("a stiffness", _stiffness()), "of each bush in each direction"),
        "set_height": or_null(table(f"where the chassis side is welded; null {UNKNOWN}", _set_height())),
        "movement": each(table("a case", _movement()), "how far each moves the powertrain from its place as drawn"),
        "driveline": each(table("a figure", _driveline()), "of each shaft and chain; empty where there is none"),
        "through": or_null(table("what comes through; null where it is not typed how it idles", _through())),
        "movers": each(table("a figure", _movers()), "worst load, travel and frequency, and what changes each"),
        "compared": each(table("one kind of bush", _compared()), "the same bay; empty without --compare"),
        "assumed": names("what was assumed"),
        "not_said": names("what the bay does not say, by its key"),
        **{key: shared[key] for key in ("verdict", "formats")},
        "findings": _findings(shared),
    }


def _findings(shared: Mapping[str, Any]) -> Schema:
    """Those of any command, whose keys at their default may be left out."""
    told = {**shared["findings"]["items"], "required": ["code", "level", "piece", "sentence", "source"]}
    about = "worst first; a key of a finding is left out where it has nothing to say, and a unit of mm"
    return {**shared["findings"], "description": about, "items": told}


def _case() -> dict[str, Schema]:
    mount = {
        "name": text("of the mount"),
        "after_the_weight": value("boolean", "whether it is bolted up after the weight is on"),
        "force_n": _three("newton", "force on the powertrain"),
        "share": _figure("share of what all mounts carry upwards"),
        "give_mm": each(value("number", "mm"), "mm: how far it is pressed along its own axes"),
        "of_load": or_null(_figure("share of the largest load of its row; null where none is typed")),
        "of_travel": or_null(_figure("share of the travel of its row, the worst way; null where none is typed")),
        "reverses": value("boolean", "whether it is pulled the other way than by the weight"),
        "lifts": value("boolean", "whether it holds the powertrain down"),
    }
    load = {
        "name": text("what pulls or turns"),
        "force_n": _three("newton", "force on the powertrain"),
        "at_mm": _three("mm", "where it acts"),
        "couple_n_mm": _three("newton mm", "couple on the powertrain"),
    }
    stop = {
        "name": text("of the snubber or washer"),
        "push_n": _figure("newton: what it pushes"),
        "closes": value("boolean", "whether this case closes it"),
    }
    return {
        "name": text("of the case"),
        "counts": text("whether its loads are characteristic or factored"),
        "why": text("where its figures are from"),
        "mounts": each(table("a mount", mount), "every mount"),
        "felt_g": each(_figure("number of g"), "number of g: what its mass feels beside its weight"),
        "loads": each(table("a load", load), "beside its weight"),
        "stops": each(table("a stop", stop), "snubbers and washers"),
        "separates": names("what carries the weight and lets go in this case"),
    }


def _missing() -> dict[str, Schema]:
    left = {
        "mount": text("that is left"),
        "n": _figure("newton: most that it carries in any case"),
        "of_load": or_null(_figure("share of the largest load of its bush; null where the bay gives none")),
        "case": text("it carries that in"),
    }
    return {
        "mount": text("that has failed"),
        "held": value("boolean", "whether the powertrain stays in every case"),
        "by": names("mounts and stops that carry it"),
        "drop_mm": or_null(_figure("most that its place moves; null beyond the sum")),
        "turn_deg": or_null(_figure("most that the powertrain turns; null beyond the sum")),
        "within_the_sum": value("boolean", "whether its turn is small enough for these figures"),
        "free": text("which way nothing holds it; empty where it is held"),
        "case": text("it is not held in; empty where it is held"),
        "loads": each(table("a mount that is left", left), "the most that each carries; none beyond the sum"),
    }


def _heat() -> dict[str, Schema]:
    return {
        "mount": text("that has its heat typed"),
        "bush": text("its row"),
        "place_deg_c": _figure("degrees C: hottest that its place becomes, as typed"),
        "allowed_deg_c": or_null(_figure("degrees C: hottest that its row allows; null where it does not say")),
        "spare_deg_c": or_null(_figure("degrees C: allowed less place; null where nothing is allowed")),
    }


def _mode() -> dict[str, Schema]:
    ways = ("x", "y", "z", "roll", "pitch", "yaw")
    share = {way: _figure("share of the energy of motion") for way in ways}
    return {
        "hz": _figure("Hz: natural frequency"),
        "low_hz": _figure("least by the scatter of the bushes"),
        "high_hz": _figure("most by the scatter of the bushes"),
        "energy_share": table("of its energy, by direction", share),
        "flags": or_null(each(text("code of a finding"), "what is found of it; null where it is not judged")),
    }


def _idle() -> dict[str, Schema]:
    order = {
        "order": _figure("number of times a turn of the crank"),
        "hz": _figure("Hz: at idle"),
        "cause": text("what shakes"),
    }
    return {
        "turns_a_minute": _figure("number of turns of the crank a minute"),
        "firing_hz": _figure("how often it fires"),
        "orders": each(table("one thing that shakes", order), "that is held against the modes"),
    }


def _stiffness() -> dict[str, Schema]:
    maybe = "in unit; null where nothing says"
    return {
        "bush": text("its row"),
        "mounts": names("that have it"),
        "direction": text("radial, axial, torsion or conical"),
        "unit": text("N/mm, or N mm/rad"),
        "value": or_null(_figure(f"stiffness at rest, {maybe}")),
        "low": or_null(_figure(f"least, {maybe}")),
        "high": or_null(_figure(f"most, {maybe}")),
        "how": or_null(text("how it is known; null where nothing says")),
    }


def _set_height() -> dict[str, Schema]:
    mount = {
        "name": text("of the mount"),
        "after_the_weight": value("boolean", "whether it is bolted up after the weight is on, and stays as drawn"),
        "sinks_mm": _three("mm", "what the powertrain there moves as its weight comes on"),
        "weld_mm": _three("mm", "from the bush centre as drawn to where the chassis side has it when it is welded"),
        "stands_low_mm": _three("mm", "least that it then stands off as drawn, by the scatter of the bushes"),
        "stands_high_mm": _three("mm", "most that it then stands off as drawn, by the scatter of the bushes"),
    }
    return {
        "sinks_mm": _three("mm", "what the centre of mass moves as the weight comes on"),
        "turns_deg": _three("degrees", "what the powertrain turns then; the chassis side is turned the other way"),
        "turns_low_deg": _three("degrees", "least that it is turned off as drawn, by the scatter of the bushes"),
        "turns_high_deg": _three("degrees", "most that it is turned off as drawn, by the scatter of the bushes"),
        "mounts": each(table("a mount", mount), "every mount"),
    }


def _movement() -> dict[str, Schema]:
    ends = each(value("number", "newton"), "least and most")
    force = each(ends, f"newton: size of each mount's force by the scatter of the bushes; null {UNKNOWN}")
    return {
        "case": text("its name"),
        "moved_mm": _three("mm", "of the centre of mass"),
        "turned_deg": _three("degrees", "of the powertrain, as a rotation vector"),
        "low_mm": _maybe_three("mm", "least of moved_mm by the scatter of the bushes", UNKNOWN),
        "high_mm": _maybe_three("mm", "most of moved_mm by the scatter of the bushes", UNKNOWN),
        "low_deg": _maybe_three("degrees", "least of turned_deg by the scatter of the bushes", UNKNOWN),
        "high_deg": _maybe_three("degrees", "most of turned_deg by the scatter of the bushes", UNKNOWN),
        "forces_n": or_null(force),
    }


def _driveline() -> dict[str, Schema]:
    case = {"case": text("its name"), "value": _figure("in unit")}
    return {
        "drive": text("name of the shaft or chain"),
        "figure": text("which"),
        "unit": text("deg or mm"),
        "drawn": _figure("in unit: as drawn, with the weight on"),
        "limit": or_null(_figure("in unit: what is typed for when the powertrain moves; null where nothing is")),
        "cases": each(table("a case", case), "in each case"),
    }


def _through() -> dict[str, Schema]:
    per = "newton for each Nm of the couple"
    mount = {
        "name": text("of the mount"),
        "idle_n_per_nm": _figure(f"{per}: at idle"),
        "slowly_n_per_nm": _figure(f"{per}: of a couple that is put on slowly"),
    }
    return {
        "order": _figure("number of times a turn that the couple comes"),
        "loss_factor": _figure("no unit: of the bushes"),
        "mounts": each(table("a mount", mount), "every mount"),
    }


def _movers() -> dict[str, Schema]:
    figure = {
        "kind": one_of(("load", "travel", "frequency"), "what it is"),
        "value": _figure("in unit"),
        "limit": or_null(_figure("in unit; null where there is none")),
        "unit": text("N, mm or Hz"),
        "mount": or_null(text("it is of; null of a frequency")),
        "case": or_null(text("it is in; null of a frequency")),
        "axis": or_null(text("of the mount, that it is along; null of all but a travel")),
        "mode": or_null(value("integer", "number of the mode, from 1; null of all but a frequency")),
    }
    slope = {
        "mount": text("that is changed"),
        "what": text("stiffness, x, y, z, about x, about y or about z"),
        "per": text("what is changed by"),
        "changes_by": _figure("in unit of the figure, for each per: the derivative"),
    }
    return {
        "figure": table("one of the worst figures", figure),
        "slopes": each(table("a change", slope), "what changes it, the most first"),
    }


def _compared() -> dict[str, Schema]:
    idle = "newton for each Nm"
    finding = {"code": text("its code"), "count": value("integer", "number of them")}
    return {
        "name": text("as typed, or material and hardness"),
        "load_n": _figure("largest force of a mount, newton"),
        "load_mount": text("which mount"),
        "load_case": text("in which case"),
        "sinks_mm": _figure("centre of mass by the weight alone"),
        "moved_mm": _figure("most that a case moves the centre of mass"),
        "moved_case": text("which case"),
        "turned_deg": _figure("most that a case turns the powertrain"),
        "turned_case": text("which case"),
        "lowest_hz": _figure("lowest natural frequency"),
        "highest_hz": _figure("highest natural frequency"),
        "idle_n_per_nm": or_null(_figure(f"{idle}: largest at a mount, firing, at idle; null: not typed")),
        "slowly_n_per_nm": or_null(_figure(f"{idle}: the same put on slowly; null: not typed")),
        "findings": each(table("of one rule", finding), "how many"),
        "notes": names("what was assumed"),
    }

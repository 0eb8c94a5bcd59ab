"""The powertrain on its bushes as it is read on the screen, and the same for scripts."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, fields
from typing import Any

from brackets.app.cli.findings_view import cautions_text
from brackets.app.cli.hang_cases_view import case_facts, case_notes
from brackets.app.cli.hang_table_view import table_text
from brackets.app.cli.inches import Lengths
from brackets.app.cli.screen import facts, line, table
from brackets.bay.hanging import Hanging
from brackets.bay.mount_heat import MountHeat, heat_at_mounts
from brackets.core.finding import PRACTICE, Finding, verdict
from brackets.core.rulebook.hang import MODE_ISOLATES, MODE_ORDER
from brackets.hang.bush import DIRECTIONS as WAYS
from brackets.hang.bush import HARDNESS_PM, TYPED_PM
from brackets.hang.cases import CaseResult, Missing
from brackets.hang.measured import Known
from brackets.hang.orders import orders
from brackets.hang.vibration import DIRECTIONS
from brackets.output.hang_tables import heat_table, left_table, missing_table
from brackets.rules.cautions import cautions

WORST = 3
WORKED_OUT = "finite elements"
UNITS = {"radial": "N/mm", "axial": "N/mm", "torsion": "N mm/rad", "conical": "N mm/rad"}
FLAGS = {MODE_ISOLATES.code: "over the firing frequency / √2", MODE_ORDER.code: "near an order"}


@dataclass(frozen=True, kw_only=True, eq=False)
class Hung(Hanging):
    """A bay on its bushes, and what it does not say, by key."""

    unsaid: tuple[str, ...]

    @classmethod
    def of(cls, found: Hanging, *, unsaid: tuple[str, ...]) -> Hung:
        return cls(**{field.name: getattr(found, field.name) for field in fields(found)}, unsaid=unsaid)

    def flags(self, mode: int) -> tuple[str, ...]:
        """Codes of what is found of one mode."""
        hz = float(self.modes.hz[mode])
        return tuple(each.code for each in self.findings if each.code in FLAGS and each.value == hz)

    def shakes(self) -> Iterator[tuple[float, float, str]]:
        """Order, Hz at idle and cause of what is held against the modes."""
        for each in orders(self.on.engine):
            if each.counts:
                yield each.order, each.hz(self.on.idle), each.cause

    @property
    def firing(self) -> float:
        """Hz at idle."""
        return self.on.engine.firing_order * self.on.idle / 60


def hang_text(hung: Hung, more: Sequence[str] = (), files: str = "") -> str:
    """The whole screen: verdict, the worst, tables, what was assumed, what is not said, what is not done.

    more: further blocks, after the frequencies; files: where these are, "" where none are written.
    """
    at = Lengths(hung.bay.bare)
    top = _verdict(hung, at)
    blocks = [
        f"{hung.bay.name}\n{top}",
        _mass(hung, at),
        *(_loads(result, at) for result in hung.results),
        table_text(missing_table(hung), at),
        table_text(left_table(hung), at),
        table_text(heat_table(hung), at),
        _modes(hung),
        *more,
        _stiffness(hung),
        _listed("assumed", assumed(hung)),
        _listed("what the bay does not say", hung.unsaid),
        _findings(hung, at),
        files,
        cautions_text(cautions("lifting", "strength")),
        verdict(hung.findings),
    ]
    return "\n\n".join(block for block in blocks if block)


def _said(finding: Finding, at: Lengths) -> tuple[str, str]:
    return finding.label, f"{finding.piece}: {at.told(finding)}"


def _verdict(hung: Hung, at: Lengths) -> str:
    told = hung.findings[:WORST]
    judged = ", ".join(result.case.name for result in hung.results)
    lines = [verdict(hung.findings), line(f"judged: {judged}{', idle' if hung.at_idle else ''}")]
    if told:
        more = f" of {len(hung.findings)}, all below" if len(hung.findings) > len(told) else ""
        lines.append("worst" + more if len(told) == 1 else f"the {len(told)} worst{more}")
        lines.append(facts([_said(finding, at) for finding in told]))
    return "\n".join(lines)


def _findings(hung: Hung, at: Lengths) -> str:
    if len(hung.findings) <= WORST:
        return ""
    return "all findings\n" + facts([_said(finding, at) for finding in hung.findings])


def _mass(hung: Hung, at: Lengths) -> str:
    x, y, z = (at.figure(float(v) + 0.0, ".1f") for v in hung.on.mass.centroid)
    centre = f"centre at {x}, {y}, {z} {at.unit}"
    lumps = len(hung.bay.lumps)
    told = f"{hung.on.mass.kg:g} kg, {centre}, from {lumps} {'lump' if lumps == 1 else 'lumps'}"
    return facts([("powertrain", told)])


def _loads(result: CaseResult, at: Lengths) -> str:
    carried = float(result.found.vertical.sum())
    rows = []
    for state, mount in zip(result.mounts, result.found.mounts, strict=True):
        x, y, z = (f"{round(value) + 0:d}" for value in state.force)
        share = f"{round(100 * state.force[2] / carried) + 0:d} %"
        limit = "not judged" if state.overload is None else f"{100 * state.overload:.0f} %"
        travel = "not judged" if state.overtravel is None else f"{100 * state.overtravel:.0f} %"
        said = [
            "bolted up after the weight is on" if mount.late else "",
            "holds it down" if state.lifts else "pulled the other way" if state.reverses else "",
        ]
        rows.append((state.mount, z, share, x, y, limit, travel, "; ".join(word for word in said if word)))
    head = ("mount", "up N", "share", "forward N", "left N", "of its load", "of its travel", "note")
    why = "" if result.case.name == "weight" else f" ({result.case.counts}: {result.case.why})"
    title = "at rest under its weight" if result.case.name == "weight" else f"{result.case.name}, with its weight"
    told = [line(f"{title}, force on the powertrain{why}"), table(head, rows, right=range(1, 7))]
    return "\n".join((*told, *(line(f"  {note}") for note in case_notes(result, at))))


def _modes(hung: Hung) -> str:
    rows = []
    for i, hz in enumerate(map(float, hung.modes.hz)):
        energy = (f"{round(100 * float(share)):d}" for share in hung.modes.energy[i])
        span = f"{float(hung.modes.low[i]):.1f}-{float(hung.modes.high[i]):.1f}"
        flags = "; ".join(FLAGS[code] for code in hung.flags(i)) if hung.at_idle else "not judged"
        rows.append((f"{hz:.2f}", span, *energy, flags if hz > 0 else "NOTHING HOLDS IT this way"))
    lines = ["six frequencies, with what the scatter of the bushes makes of each, and % of energy by direction"]
    if hung.at_idle:
        most = 1.25 * float(hung.modes.hz.max())
        shakes = "; ".join(f"{hz:.1f} Hz {cause}" for _, hz, cause in hung.shakes() if hz <= most)
        least = f"wanted under {hung.firing / math.sqrt(2):.1f} Hz, the firing frequency {hung.firing:.1f} Hz / √2"
        lines += [f"idle {hung.on.idle:g} a minute: {least}", f"what shakes at idle: {shakes}"]
    else:
        lines.append("not held against idle: see what the bay does not say")
    head = ("Hz", "from-to", *DIRECTIONS, "note")
    return "\n".join((*map(line, lines), table(head, rows, right=range(8))))


def _bushes(hung: Hung) -> Iterator[tuple[str, list[str], str, Known | None]]:
    """Bush, its mounts, direction, what is known of it; mounts with a ± of their own apart."""
    for name, pm in dict.fromkeys((row.bush, row.stiffness_pm) for row in hung.bay.mounts):
        on = [row.name for row in hung.bay.mounts if (row.bush, row.stiffness_pm) == (name, pm)]
        for way in WAYS:
            yield name, on, way, getattr(hung.on.springs[on[0]], way)


def _stiffness(hung: Hung) -> str:
    rows = []
    own = {row.name for row in hung.bay.mounts if row.stiffness_pm is not None}
    for name, on, way, known in _bushes(hung):
        named = f"{name} at {', '.join(on)}" if on[0] in own else name
        if known is None:
            rows.append((named, way, "none", "", UNITS[way], "NOT SAID, taken as none"))
        else:
            low, value, high = map(_stiff, (known.low, known.value, known.high))
            rows.append((named, way, value, f"{low} to {high}", UNITS[way], known.how))
    head = ("bush", "direction", "stiffness", "from-to", "unit", "how it is known")
    told = "stiffness of the bushes, at rest; each bush of a row by itself anywhere from-to\n"
    return told + table(head, rows, right=(2,))


def _stiff(value: float) -> str:
    return f"{value:.0f}" if value >= 1000 else f"{value:.3g}"


def assumed(hung: Hung) -> tuple[str, ...]:
    told = list(hung.on.notes)
    told += _scatter(hung)
    for mount in hung.bay.mounts:
        if mount.stiffness_pm is not None:
            told.append(f"{mount.name}: its own bush as known to {mount.stiffness_pm:.0%} either way, as typed")
    for name in dict.fromkeys(row.bush for row in hung.bay.mounts):
        springs = next(hung.on.springs[row.name] for row in hung.bay.mounts if row.bush == name)
        if springs.dynamic == 1:
            told.append(f"bush {name}: as stiff shaken as at rest (dynamic = 1); most rubber is stiffer")
        else:
            told.append(f"bush {name}: {springs.dynamic:g} times as stiff shaken as at rest, for the frequencies")
    told.append("lumps are solid boxes of their size; the chassis stands still; movements are small")
    return tuple(told)


def _scatter(hung: Hung) -> Iterator[str]:
    """How well the stiffness of each bush is taken to be known, where its row does not say."""
    for row in {m.bush: hung.bay.bush_of(m) for m in hung.bay.mounts if m.stiffness_pm is None}.values():
        named = f"bush {row.name}"
        by = [(way, known) for name, _, way, known in _bushes(hung) if name == row.name and known is not None]
        if row.stiffness_pm is None and any(known.how == row.known for _, known in by):
            yield f"{named}: its typed stiffness as known to {TYPED_PM:.0%} either way: {PRACTICE}"
        if row.hardness_pm is None and any(known.how.startswith(WORKED_OUT) for _, known in by):
            yield f"{named}: the hardness of its rubber as known to {HARDNESS_PM:g} IRHD either way: {PRACTICE}"


def _listed(title: str, told: tuple[str, ...]) -> str:
    return "\n".join((title, *(line(f"  {one}") for one in told))) if told else ""


def record(hung: Hung) -> dict[str, Any]:
    """The same for scripts; axes of the bay, a figure that nothing says is null."""
    return {
        "bay": hung.bay.name,
        "verdict": verdict(hung.findings),
        "mass_kg": hung.on.mass.kg,
        "centroid_mm": [float(v) for v in hung.on.mass.centroid],
        "inertia_kg_mm2": [[float(v) for v in row] for row in hung.on.mass.inertia],
        "cases": [_case(result) for result in hung.results],
        "missing": [_gone(each) for each in hung.missing],
        "heat": [_heat(one) for one in heat_at_mounts(hung.bay)],
        "modes": [_mode(hung, i) for i in range(len(hung.modes.hz))],
        "idle": _idle(hung),
        "stiffness": [
            {
                "bush": name,
                "mounts": on,
                "direction": way,
                "unit": UNITS[way],
                "value": known and known.value,
                "low": known and known.low,
                "high": known and known.high,
                "how": known and known.how,
            }
            for name, on, way, known in _bushes(hung)
        ],
        "assumed": list(assumed(hung)),
        "not_said": list(hung.unsaid),
        "findings": [finding.record for finding in hung.findings],
    }


def _case(result: CaseResult) -> dict[str, Any]:
    carried = float(result.found.vertical.sum())
    return {
        "name": result.case.name,
        "counts": result.case.counts,
        "why": result.case.why,
        **case_facts(result),
        "mounts": [
            {
                "name": state.mount,
                "after_the_weight": mount.late,
                "force_n": list(state.force),
                "share": state.force[2] / carried,
                "give_mm": list(state.give),
                "of_load": state.overload,
                "of_travel": state.overtravel,
                "reverses": state.reverses,
                "lifts": state.lifts,
            }
            for state, mount in zip(result.mounts, result.found.mounts, strict=True)
        ],
    }


def _gone(each: Missing) -> dict[str, Any]:
    return {
        "mount": each.mount,
        "held": each.held,
        "by": list(each.by),
        "drop_mm": each.drop if each.small else None,
        "turn_deg": each.turn if each.small else None,
        "within_the_sum": each.small,
        "free": each.free,
        "case": each.case,
        "loads": [
            {"mount": one.mount, "n": one.force, "of_load": one.overload, "case": one.case}
            for one in each.loads if each.small
        ],
    }  # fmt: skip


def _heat(one: MountHeat) -> dict[str, Any]:
    return {
        "mount": one.mount,
        "bush": one.bush,
        "place_deg_c": one.place,
        "allowed_deg_c": one.allowed,
        "spare_deg_c": one.spare,
    }


def _mode(hung: Hung, i: int) -> dict[str, Any]:
    energy = zip(DIRECTIONS, map(float, hung.modes.energy[i]), strict=True)
    return {
        "hz": float(hung.modes.hz[i]),
        "low_hz": float(hung.modes.low[i]),
        "high_hz": float(hung.modes.high[i]),
        "energy_share": dict(energy),
        "flags": list(hung.flags(i)) if hung.at_idle else None,
    }


def _idle(hung: Hung) -> dict[str, Any] | None:
    """None where the bay does not say how it idles."""
    if not hung.at_idle:
        return None
    shakes = [{"order": order, "hz": hz, "cause": cause} for order, hz, cause in hung.shakes()]
    return {"turns_a_minute": hung.on.idle, "firing_hz": hung.firing, "orders": shakes}

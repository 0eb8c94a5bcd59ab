"""brackets bolts: whether the bolts of a recipe or of a whole bay go in, and what to change if they may not."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from brackets.app.cli.trouble import FINE, STOPS

if TYPE_CHECKING:
    from brackets.app.cli.inches import Lengths
    from brackets.survey.advice import Option, PullWarning
    from brackets.survey.chance import HoleErrors
    from brackets.survey.patterns import Group, Settings


def bolts(target: str, values: Mapping[str, str], as_json: bool, into: Path | None) -> int:
    """Prints the chance of every bolt pattern and what would raise it; 1 where one cannot go in at all."""
    import json

    from brackets.app.cli.inches import NOTICE, Lengths
    from brackets.app.cli.screen import progress
    from brackets.core.errors import InputError
    from brackets.core.schema.checked import fields
    from brackets.core.schema.reading import from_texts, unstated
    from brackets.survey.patterns import Settings

    own = {p.name for p in fields(Settings)}
    mine = {k: v for k, v in values.items() if k.replace("-", "_") in own}
    rest = {k: v for k, v in values.items() if k not in mine}
    problems: list[str] = []
    settings = Settings()
    try:
        settings = from_texts(Settings, mine)
    except InputError as error:
        problems += error.problems
    found: tuple[Group, ...] = ()
    unit = "mm"
    try:
        with progress() as say:
            say(f"{target}: standing everything")
            if target.endswith(".toml"):
                found, unit = _bay(target, rest)
            else:
                found = _recipe(target, rest)
    except InputError as error:
        problems += error.problems
    if problems:
        raise InputError(*problems)
    judged = []
    with progress() as say:
        for n, group in enumerate(found, 1):
            say(f"{group.name}: trying its bolts, {n} of {len(found)}")
            judged.append(_judged(group, settings))
    record = {"format": 1, "target": target, "groups": [_facts(*one) for one in judged]}
    files = _write(into, record)
    stops = [g.name for g, _, left, _, _ in judged if left < 0]
    if as_json:
        print(json.dumps({**record, "files": list(files)}, indent=2))
    elif not judged:
        print("no part of this bay is bolted to two bosses or more: there is no pattern of bolts to judge")
    else:
        print("\n\n".join(_text(*one, Lengths(unit)) for one in judged))
        print(f"\nnot stated by you: {', '.join(unstated(settings))}")
        if unit == "in":
            print(f"lengths: {NOTICE}")
        for name in stops:
            print(f"STOP: do not cut. {name}: the bolts do not go in even when everything is made exactly")
    return STOPS if stops else FINE


def _recipe(name: str, values: Mapping[str, str]) -> tuple[Group, ...]:
    from brackets.core.errors import InputError
    from brackets.core.schema.reading import from_texts
    from brackets.library.recipe import recipe
    from brackets.survey.patterns import groups

    made = recipe(name)
    found = groups(made.build(from_texts(made.Params, values)))
    if not found:
        raise InputError(f"{name} = no two holes that bolts go through together, must have a bolt pattern")
    return found


def _bay(path: str, values: Mapping[str, str]) -> tuple[tuple[Group, ...], str]:
    """One group for each part that is bolted to bosses, with how well those are known; the bay's unit."""
    from dataclasses import replace

    from brackets.bay.file import read
    from brackets.bay.stand.placed import placed_bay
    from brackets.core.errors import InputError
    from brackets.survey.patterns import groups

    if values:
        raise InputError(
            *(
                f"--{k} = {v}, must be a setting of the drilling: the bay's parts have theirs"
                for k, v in values.items()
            )
        )
    bay = read(path)
    bosses, rows = bay.boss_by_name, {entry.row.name: entry.row for entry in bay.parts}
    found = []
    for standing in placed_bay(bay, known_only=True).parts:
        wanted = rows[standing.name].bosses
        for group in groups(standing.part) if wanted else ():
            named = [n if n in bosses else wanted[k] for k, n in enumerate(group.names) if k < len(wanted)]
            if len(named) == len(group.names):
                pos = tuple(bosses[n].pos for n in named)
                group = replace(group, name=standing.name, names=tuple(named), pos=pos)
            found.append(group)
    return tuple(found), bay.bare


Judged = tuple["Group", "HoleErrors", float, "tuple[Option, ...]", "tuple[PullWarning, ...]"]


def _judged(group: Group, settings: Settings) -> Judged:
    from brackets.survey.advice import advice, fillet_warnings
    from brackets.survey.assembly_fit import enters

    errors = settings.errors(group)
    centres = [(x, y) for x, y, _ in group.pattern]
    options = advice(
        group.pattern, group.holes, errors, classes=group.classes, names=group.names,
        trials=settings.trials, seed=settings.seed,
    )  # fmt: skip
    warned = fillet_warnings(group.pattern, group.holes) if errors.pulls else ()
    return group, errors, enters(centres, group.pattern, group.holes), options, warned


def _text(
    group: Group,
    errors: HoleErrors,
    left: float,
    options: tuple[Option, ...],
    warned: tuple[PullWarning, ...],
    at: Lengths,
) -> str:
    from brackets.app.cli.screen import table
    from brackets.survey.advice import WANTED, best
    from brackets.survey.chance import FILLET_PULL

    made = "welded on one by one" if group.apart else "in one plate"
    holes = dict.fromkeys(f"{b} in {_said(hole, at)}" for b, hole in zip(group.bolts, group.holes, strict=True))
    sizes = ", ".join(sorted(holes))
    lines = [
        f"{group.name}: {', '.join(group.names)}; {sizes}{'' if at.inch else ' mm'}, holes {made}",
        f"made exactly, the tightest bolt has {at.said(f'{left:.2f} mm')} of room all round",
        table(
            ("what to do", "all go in", "±"),
            [(at.said(o.do), f"{100 * o.chance.chance:.0f} %", f"{100 * o.chance.pm:.1f}") for o in options],
            right=(1, 2),
        ),
    ]
    chosen = best(options)
    if chosen is None:
        lines.append(f"nothing here reaches {100 * WANTED:.0f} %: combine them, or fit the bolts before welding")
    elif chosen is not options[0]:
        lines.append(f"for {100 * WANTED:.0f} %: {at.said(chosen.do)}")
    if warned:
        names = ", ".join(group.names[w.hole] for w in warned)
        room, least = min(w.room for w in warned), min(w.left for w in warned)
        warning = (
            f"caution: one fillet pulls about {FILLET_PULL:g} mm (TWI, shrinkage allowance), "
            f"more than the {room:.2f} mm of room in {names}; "
            f"laid as well as it can be {least:.2f} mm is left for everything else"
        )
        lines.append(at.said(warning))
    return "\n".join(lines)


def _facts(
    group: Group, errors: HoleErrors, left: float, options: tuple[Option, ...], warned: tuple[PullWarning, ...]
) -> dict[str, Any]:
    from brackets.survey.advice import best

    chosen = best(options)
    return {
        "name": group.name, "names": list(group.names), "pattern": [list(p) for p in group.pattern],
        "holes": [_hole(h) for h in group.holes], "bolts": list(group.bolts), "apart": group.apart, "room": left,
        "errors": {"drill": errors.drill, "mate": errors.mate, "scale": errors.scale, "scale_pm": errors.scale_pm,
                   "pos": None if group.pos is None else list(group.pos), "pulls": len(errors.pulls)},
        "options": [
            {"do": o.do, "kind": o.kind, "chance": o.chance.chance, "low": o.chance.low, "high": o.chance.high,
             "trials": o.chance.trials, "holes": [_hole(h) for h in o.holes], "enough": o.enough}
            for o in options
        ],
        "best": None if chosen is None else chosen.do,
        "fillets": [{"hole": group.names[w.hole], "room": w.room, "left": w.left} for w in warned],
    }  # fmt: skip


def _said(hole: Any, at: Lengths) -> str:
    """A hole's diameter, a slot's width and whole length, with a unit in a bay of inches."""
    if isinstance(hole, float | int):
        return at.both(hole) if at.inch else f"{hole:g}"
    wide, long = hole.d, hole.d + hole.extra
    return f"slots of {at.both(wide)} x {at.both(long)}" if at.inch else f"slots of {wide:g} x {long:g}"


def _hole(hole: Any) -> Any:
    return hole if isinstance(hole, float | int) else {"d": hole.d, "extra": hole.extra, "angle": hole.angle}


def _write(into: Path | None, record: Mapping[str, Any]) -> tuple[str, ...]:
    """facts.json where a folder was asked for."""
    from brackets.output import facts, folder

    if into is None:
        return ()
    with folder.fresh(into) as at:
        facts.write({**record, "files": [facts.NAME]}, at / facts.NAME)
    return (facts.NAME,)

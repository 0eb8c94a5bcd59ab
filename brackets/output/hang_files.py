"""The files of `brackets hang`: a PDF with tables and pictures, each picture as an SVG, and facts.json."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from hashlib import sha256
from pathlib import Path
from typing import Any

from brackets.bay.hang_compare import Compared
from brackets.bay.hang_study import FASTEST, HangStudy
from brackets.core.finding import Finding, stopped, verdict
from brackets.drawing.charts import Ink
from brackets.drawing.hang_pictures import (
    DIRECTIONS,
    WIDE,
    Bars,
    Idling,
    Mode,
    Ranged,
    broken,
    frequency_picture,
    load_picture,
    movement_picture,
    stacked,
    through_picture,
)
from brackets.drawing.record import Drawing, Stroke, Table, Title, Words
from brackets.hang.findings import NEAR, isolation_limit
from brackets.hang.orders import orders
from brackets.output import facts, formats
from brackets.output.folder import stem
from brackets.output.format_writers import Sheets
from brackets.output.hang_tables import compare_words, first_tables, more_tables, set_height_words, through_words
from brackets.rules.cautions import cautions

WORST = 3
PAGE = 236.0
"""mm: most that the pictures of one page of paper take."""

SEEN = 1.25
"""Times the highest frequency: what shakes faster than that at idle is not drawn, but for the lowest order."""

Picture = tuple[str, tuple[Ink, ...]]
"""What it shows, in a sentence or two, and its ink."""


def pictures_of(study: HangStudy) -> Mapping[str, Picture]:
    """Pictures by name: loads and movement; frequencies and through where it is typed how the engine idles."""
    hung = study.hung
    made: dict[str, Picture] = {
        "loads": (
            "Size of each mount's force in each case with the weight, N. Thin lines: what the scatter of the bushes"
            " can make of it. Thick dashed: the largest load of the bush's row.",
            load_picture(_loads(study)),
        ),
        "movement": (
            "Movement of the centre of mass and turn of the powertrain from the place as drawn, in each case. Thin"
            " lines: what the scatter of the bushes can make of it.",
            movement_picture(_movements(study)),
        ),
    }
    if hung.at_idle:
        made["frequencies"] = _frequencies(study)
    if study.through is not None:
        found = study.through
        curves = [(name, found.forces[:, i].tolist()) for i, name in enumerate(found.names)]
        made["through"] = (
            f"Force that comes through at each mount for each Nm of a couple about the crank, {found.order:g} times"
            f" a turn, as it fires; loss factor {found.loss:g} (common practice, no source).",
            through_picture(found.speeds.tolist(), curves, hung.on.idle),
        )
    return made


def _loads(study: HangStudy) -> list[Bars]:
    made = []
    for i, mount in enumerate(study.hung.on.mounts):
        bars = []
        for result, movement in zip(study.hung.results, study.movements, strict=True):
            x, y, z = result.mounts[i].force
            low, high = (None, None) if movement.forces is None else movement.forces[i]
            bars.append(Ranged(name=result.case.name, value=(x * x + y * y + z * z) ** 0.5, low=low, high=high))
        made.append(Bars(name=mount.name, bars=tuple(bars), limit=mount.load))
    return made


def _movements(study: HangStudy) -> list[Bars]:
    made = []
    for k, (name, unit) in enumerate(DIRECTIONS):
        bars = tuple(
            Ranged(
                name=one.case, value=one.moved[k], low=None if one.low is None else one.low[k],
                high=None if one.high is None else one.high[k],
            )
            for one in study.movements
        )  # fmt: skip
        made.append(Bars(name=f"{name}, {unit}", bars=bars))
    return made


def _frequencies(study: HangStudy) -> Picture:
    hung = study.hung
    on, found = hung.on, hung.modes
    modes = []
    for i, hz in enumerate(map(float, found.hz)):
        way, share = found.chief(i)
        modes.append(Mode(name=f"{hz:.1f} Hz, {way} {share:.0%}", hz=hz, low=float(found.low[i]),
                          high=float(found.high[i])))  # fmt: skip
    counted = [each for each in orders(on.engine) if each.counts]
    reach = max(SEEN * float(found.hz.max()), counted[0].hz(on.idle))
    shaking = [each for each in counted if each.hz(on.idle) <= reach]
    causes: dict[float, list[str]] = {}
    for each in shaking:
        causes.setdefault(each.order, []).append(each.cause)
    most = isolation_limit(on.engine, on.idle)
    named = "; ".join(f"order {order:g}: {', '.join(dict.fromkeys(why))}" for order, why in causes.items())
    sentence = (
        "Natural frequencies (full lines, dotted: by the scatter of the bushes) against what shakes, over the speed"
        f" of the engine. Boxes at idle: within {NEAR:.0%} of an order. Thick dashed: {most:.1f} Hz, the firing"
        f" frequency at idle / √2. {named}."
    )
    at = Idling(idle=on.idle, orders=tuple(causes), most=most, near=NEAR, fastest=FASTEST * on.idle)
    return sentence, frequency_picture(modes, at)


def drawings_of(
    study: HangStudy, findings: Sequence[Finding], *, notes: Sequence[str], found: Sequence[Compared] = ()
) -> tuple[Drawing, ...]:
    """What is printed: a page with the verdict, the worst and what counts; pictures, not to scale; then all else,
    the notes and every finding."""
    hung = study.hung
    bare = Title(
        part=f"{hung.bay.name}: on its bushes",
        stops=stopped(findings),
        mind=tuple(caution.sentence for caution in cautions("lifting", "strength")),
    )
    title = replace(
        bare,
        findings=tuple(str(finding) for finding in findings),
        urgent=tuple(str(finding) for finding in findings if finding.level == "stop" or finding.accepted),
        notes=tuple(notes),
    )
    x, y, z = (f"{float(v):z.1f}" for v in hung.on.mass.centroid)
    first, more = ([one.table for one in of] for of in (first_tables(study), more_tables(study, found)))
    lines = (
        ("part", title.part),
        ("revision", "none given"),
        ("values", sha256(repr([*first, *more]).encode()).hexdigest()[:8]),
        ("material", f"bushes {', '.join(dict.fromkeys(row.bush for row in hung.bay.mounts))}"),
        ("verdict", verdict(findings)),
        ("mass", f"{hung.on.mass.kg:g} kg, centre at {x}, {y}, {z} mm"),
        ("judged", ", ".join(result.case.name for result in hung.results) + (", idle" if hung.at_idle else "")),
    )
    worst = [
        (label if k == 0 else "", text)
        for finding in findings[:WORST]
        for label in (finding.label,)
        for k, text in enumerate(broken(f"{finding.piece}: {finding.said}", WIDE - 30.0))
    ]
    tables = [Table("The worst", ("", "what"), tuple(worst))] if worst else []
    words = (*set_height_words(study), *through_words(study), *(compare_words(found) if found else ()))
    one = Drawing(
        name="figures", title=bare, facts=lines, strokes=(), tables=(*tables, *first), true_size=False,
        own_page=False,
    )  # fmt: skip
    all_else = replace(one, name="all figures", title=title, facts=lines[:4], tables=tuple(more), notes=words)
    return (one, *_pages(bare, lines[:4], tuple(pictures_of(study).values())), all_else)


def _pages(title: Title, lines: tuple[tuple[str, str], ...], pictures: Sequence[Picture]) -> list[Drawing]:
    """Pictures on pages of their own, as many on one as have room."""
    pages: list[list[Picture]] = []
    for picture in pictures:
        if pages and _tall([*pages[-1], picture]) <= PAGE:
            pages[-1].append(picture)
        else:
            pages.append([picture])
    facts_ = (*lines, ("scale", "not to scale"))
    return [
        _drawn(f"pictures {number}", title, facts_, stacked(page), own_page=True)
        for number, page in enumerate(pages, 1)
    ]


def _tall(pictures: Sequence[Picture]) -> float:
    ink = stacked(pictures)
    boxes = [one.box if isinstance(one, Words) else one.bounds for one in ink]
    return max(box[3] for box in boxes) - min(box[1] for box in boxes)


def _drawn(
    name: str, title: Title, lines: tuple[tuple[str, str], ...], ink: Sequence[Ink], *, own_page: bool
) -> Drawing:
    return Drawing(
        name=name, title=title, facts=lines, strokes=tuple(one for one in ink if isinstance(one, Stroke)),
        words=tuple(one for one in ink if isinstance(one, Words)), own_page=own_page, sheet=False,
    )  # fmt: skip


def write_hang(
    study: HangStudy,
    findings: Sequence[Finding],
    into: Path,
    *,
    name: str,
    paper: str,
    correction: tuple[float, float],
    notes: Sequence[str],
    found: Sequence[Compared] = (),
    record: Callable[[tuple[str, ...]], dict[str, Any]],
    say: Callable[[str], None] = lambda _: None,
) -> tuple[str, ...]:
    """Writes NAME.pdf, an SVG a picture, and the facts that `record` makes of the files' names, into the folder
    `into`; their names, in order. Raises InputError for an unknown paper, OSError where the disk refuses."""
    into.mkdir(parents=True, exist_ok=True)
    called = stem(name)
    say("drawing")
    sheets = Sheets(drawings_of(study, findings, notes=notes, found=found), paper, correction)
    files = [*formats.write("paper", sheets, into, called)]
    for picture, (sentence, ink) in pictures_of(study).items():
        under = [*ink]
        boxes = [one.box if isinstance(one, Words) else one.bounds for one in ink]
        top = max(box[3] for box in boxes) + 2.0
        lines = broken(sentence, WIDE)
        under += [Words((0.0, top + 3.6 * (len(lines) - 1 - k)), text, 2.5) for k, text in enumerate(lines)]
        title = Title(part=study.hung.bay.name)
        drawing = _drawn(picture, title, (("part", title.part),), under, own_page=False)
        files += formats.write("chart", drawing, into, f"{called}-{picture}")
    files.append(facts.NAME)
    formats.write("facts", record(tuple(files)), into)
    return tuple(files)

"""Left and right: two parts of a bay in one table that marks what differs, and whether one drawing does for both.

Whether they are mirror images is decided by what is cut, drilled, bent and coped (`brackets.model.hands`), not by
their values: two values may differ and the metal be alike, and the other way round.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any

from brackets.bay.file import read as read_bay
from brackets.bay.schema.record import Bay
from brackets.bay.stand.hands import figures as placed_figures
from brackets.bay.stand.owners import of_part
from brackets.bay.stand.placed import placed_bay
from brackets.bay.stand.placed_part import PlacedBay, PlacedPart
from brackets.core.errors import InputError
from brackets.core.finding import Finding, stopped
from brackets.core.marks import NO_MARKS, Marks
from brackets.core.names import allowed
from brackets.core.units import shown
from brackets.forming.cut_rows import cut_rows, tubes_of
from brackets.forming.flat_pattern import blank_of
from brackets.forming.shop import Shop
from brackets.forming.shop_file import load as load_shop
from brackets.model.hands import WITHIN, Figure, compared
from brackets.model.part import reflected
from brackets.model.plate import Folded, Plate
from brackets.variants.file import read_hands
from brackets.variants.hand_files import HEAD, Relation, write

if TYPE_CHECKING:
    from brackets.bay.fitting import Fit

FORMAT = 1

LIGHTEST = 1e-6
"""kg below which two masses are one: rounding."""


@dataclass(frozen=True, kw_only=True)
class Hands:
    """Two parts of a bay, `left` and `right`, as they stand; `done` is the fitted bay, None where it is not."""

    stood: PlacedBay
    left: PlacedPart
    right: PlacedPart
    done: Fit | None = None

    @property
    def bay(self) -> Bay:
        return self.stood.bay

    @cached_property
    def relation(self) -> Relation:
        """ "mirror images" where the right is cut, drilled, bent and coped as the left turned over, "alike" where
        it is the left once more, else "different"; within WITHIN mm and degrees."""
        if not any(figure.differs for figure in self._alike):
            return "alike"
        return "different" if self.prevents else "mirror images"

    @property
    def prevents(self) -> tuple[str, ...]:
        """What of their metal is no mirror image, a line each; nothing where they are one."""
        return tuple(figure.said for figure in self._mirrored if figure.differs)

    @cached_property
    def _mirrored(self) -> tuple[Figure, ...]:
        return compared(self.left.part, self.right.part)

    @cached_property
    def _alike(self) -> tuple[Figure, ...]:
        return compared(self.left.part, self.right.part, mirrored=False)

    @cached_property
    def figures(self) -> tuple[Figure, ...]:
        """Every figure of both: values, bosses, bushes, mass, centre, lengths of cuts, what the pieces are made by,
        gaps, findings."""
        metal = self._alike if self.relation == "alike" else self._mirrored
        placed = placed_figures(self.bay, self.left, self.right, "right")
        return (*placed, *self._weights(), *self._lengths(), *metal, *self._gaps(), *self._findings())

    @property
    def differing(self) -> tuple[Figure, ...]:
        """The figures in which they differ."""
        return tuple(figure for figure in self.figures if figure.differs)

    def _weights(self) -> Iterator[Figure]:
        left, right = self.left.part.mass, self.right.part.mass
        off = abs(right.kg - left.kg)
        said = f"mass: left {left.kg:.3f} kg, right {right.kg:.3f}" if off > LIGHTEST else ""
        told = (f"{left.kg:.6g}", f"{right.kg:.6g}")
        yield Figure(about="part", what="mass", left=told[0], right=told[1], off=off, unit="kg", said=said)
        image = reflected(self.left.part, self.bay.plane).mass.centroid
        apart = float(sum((a - b) ** 2 for a, b in zip(image, right.centroid, strict=True)) ** 0.5)
        yield Figure(
            about="part",
            what="centre of mass",
            left=_point(left.centroid),
            image=_point(image),
            right=_point(right.centroid),
            off=apart,
            unit="mm",
            said=f"centre of mass: {apart:.2f} mm off the mirror image" if apart > WITHIN else "",
        )

    def _lengths(self) -> Iterator[Figure]:
        """What is sawn off for each tube, and the blank of each plate: size, and length of the edges to be cut."""
        here, there = (dict(_cut_lengths(part)) for part in (self.left, self.right))
        for left, right in zip(here, there, strict=False) if len(here) == len(there) else ():
            a, b = here[left], there[right]
            off = abs(a - b)
            said = f"{left}: left {a:.2f} mm, right {b:.2f}" if off > WITHIN else ""
            about, _, what = left.partition(": ")
            yield Figure(
                about=about, what=what, left=f"{a:.2f}", right=f"{b:.2f}", off=off, unit="mm", said=said
            )

    def _gaps(self) -> Iterator[Figure]:
        if self.done is None:
            return
        from brackets.variants.bay_result import gap_of

        told = [gap_of(self.done, {part.name}) for part in (self.left, self.right)]
        left, right = ("" if one is None else f"{one[0]:.2f} to {one[1]}" for one in told)
        a, b = (None if one is None else one[0] for one in told)
        off = None if a is None or b is None else abs(a - b)
        apart = (a is None) is not (b is None) or (off is not None and off > WITHIN)
        said = f"tightest gap: left {left or 'none'}, right {right or 'none'}" if apart else ""
        yield Figure(about="bay", what="tightest gap", left=left, right=right, off=off, unit="mm", said=said)

    @property
    def stops(self) -> bool:
        """Whether something that is said of either says: do not cut."""
        return stopped((*self.said_of(self.left), *self.said_of(self.right)))

    def said_of(self, part: PlacedPart) -> tuple[Finding, ...]:
        """What is said of one of the two: by its own rules, and where the bay is fitted by the bay's."""
        if self.done is None:
            return part.findings
        return of_part(self.bay, part.part, part.name, self.done.findings)

    def _findings(self) -> Iterator[Figure]:
        """Each finding once; names of the right hand's bosses, mounts and its own read as those of the left."""
        names = self._names()
        left = {_plain(finding, {}): finding for finding in self.said_of(self.left)}
        right = {_plain(finding, names): finding for finding in self.said_of(self.right)}
        for key in dict.fromkeys((*left, *right)):
            finding = left.get(key) or right[key]
            here, there = key in left, key in right
            side = "" if here and there else "left" if here else "right"
            yield Figure(
                about="finding",
                what=str(finding),
                left="yes" if here else "no",
                right="yes" if there else "no",
                said=f"only of the {side}: {finding}" if side else "",
            )

    def _names(self) -> dict[str, str]:
        """The left's names by the right's."""
        rows = [self.bay.part_by_name[part.name].row for part in (self.left, self.right)]
        mounts = [[mount.name for mount, _ in self.bay.mounts_of(row.name)] for row in rows]
        found = {self.right.name: self.left.name}
        found.update(zip(rows[1].bosses, rows[0].bosses, strict=False))
        found.update(zip(mounts[1], mounts[0], strict=False))
        return found

    @property
    def summary(self) -> tuple[str, ...]:
        """In what they stand to each other, in a few sentences."""
        pair, within = f"{self.left.name} and {self.right.name}", f"within {WITHIN:g} mm and {WITHIN:g} degrees"
        if self.relation == "mirror images":
            head = f"{pair} are mirror images {within}: one set of drawings, LEFT as drawn, RIGHT mirrored."
        elif self.relation == "alike":
            head = f"{pair} are one and the same part {within}: one set of drawings, none turned over."
        else:
            head = f"{pair} are no mirror images {within}: {len(self.prevents)} figures of their metal differ."
        count = sum(1 for figure in self.differing if figure.said not in self.prevents)
        also = f"{count} more differ: values, bosses, bushes, masses, lengths, gaps or findings." if count else ""
        judged = "" if self.done is not None else "Not fitted: no gaps are told, findings are of the parts alone."
        return tuple(line for line in (head, also, judged) if line)

    def cells(self) -> Iterator[tuple[str, ...]]:
        """The figures as rows of text under HEAD."""
        for f in self.figures:
            off = "" if f.off is None else f"{f.off:.4f}"
            yield ("yes" if f.differs else "", f.about, f.what, f.left, f.image, f.right, off, f.unit, f.said)

    def csv_text(self) -> str:
        """The table as CSV, "yes" before what differs."""
        out = io.StringIO()
        csv.writer(out, lineterminator="\n").writerows([HEAD, *self.cells()])
        return out.getvalue()

    def record(self) -> dict[str, Any]:
        """For scripts: format, hands, relation, within_mm, within_deg, prevents, figures, fitted."""
        keys = ("of", "what", "left", "left_mirrored", "right", "off", "unit", "differs", "says")
        rows = [
            (f.about, f.what, f.left, f.image or f.left, f.right, f.off, f.unit, f.differs, f.said)
            for f in self.figures
        ]
        return {
            "format": FORMAT,
            "hands": [self.left.name, self.right.name],
            "relation": self.relation,
            "within_mm": WITHIN,
            "within_deg": WITHIN,
            "prevents": list(self.prevents),
            "fitted": self.done is not None,
            "figures": [dict(zip(keys, row, strict=True)) for row in rows],
        }

    def write(self, into: str | Path, *, marks: Marks = NO_MARKS) -> tuple[str, ...]:
        """Writes the table (hands.csv, hands.xlsx, facts.json) and, where one does for both, the drawings.

        into: a folder, which is there whole or not at all; marks: of the title blocks. Returns the names. Fits the
        bay first where it is not fitted, so that the sheets say what it says. Raises KernelFailed, InputError,
        OSError.
        """
        return write(self.fitted(), Path(into), marks)

    def fitted(self) -> Hands:
        """The same with the bay fitted. Raises KernelFailed."""
        from brackets.bay.fitting import fit_stood

        if self.done is not None:
            return self
        done = fit_stood(self.stood)
        left, right = (next(p for p in done.stood.parts if p.name == q.name) for q in (self.left, self.right))
        return replace(self, stood=done.stood, left=left, right=right, done=done)


def hands(
    of: str | Path, left: str = "", right: str = "", *, shop: Shop | str | Path | None = None, fitted: bool = False
) -> Hands:
    """Two hands of one part in a bay: what differs, by how much, and whether one drawing does for both.

    of: a bay file, or a family file that says `bay` and `hands`; left, right: names of two parts of the bay, the
    right usually with mirror_of = "LEFT"; shop: whose tools, or its file, in place of the bay's; fitted: fits the
    bay too, for gaps and what the bay says. Returns a Hands: `relation`, `prevents`, `figures`, `write(folder)`.
    Raises BadFile where a file cannot be used, InputError for other parts, or where the bay says that the left is
    the right hand.

    >>> import pathlib, tempfile
    >>> text = '''format = 1
    ... part = [
    ...     { name = "near", recipe = "cup", bush_od = 50, at = [0, 300, 0] },
    ...     { name = "far", mirror_of = "near", length = 42 },
    ... ]'''
    >>> with tempfile.TemporaryDirectory() as folder:  # gone again afterwards
    ...     file = pathlib.Path(folder, "two.toml")
    ...     _ = file.write_text(text)
    ...     found = hands(file, "near", "far")
    >>> found.relation, found.prevents[1]
    ('different', 'piece cup: step 1 length: 42, of the mirror image 40')
    """
    if not (left or right):
        file = read_hands(Path(of))
        if file is None:
            raise InputError(f"{of}: hands = nothing, two parts of a bay: left, right")
        of, left, right = file.bay, file.left, file.right
        shop = file.shop if shop is None else shop
    mine = load_shop(shop) if isinstance(shop, str | Path) else shop
    read = read_bay(Path(of).resolve())
    wrong = [
        f"{side} = {shown(name)}, {allowed(name, tuple(read.part_by_name))}: one of two hands"
        for side, name in (("left", left), ("right", right))
        if name not in read.part_by_name
    ]
    if left == right and not wrong:
        wrong.append(f"right = {shown(right)}, another part than the left: one of two hands")
    if wrong:
        raise InputError(*wrong)
    stood = placed_bay(read if mine is None else replace(read, shop=mine))
    placed = {part.name: part for part in stood.parts}
    for side, name, other in (("left", left, "right"), ("right", right, "left")):
        hand = placed[name].hand
        if hand is not None and hand.word == other:
            wrong.append(f"{side} = {shown(name)}, must be a {side} hand: the bay says it is the {other} hand")
    if wrong:
        raise InputError(*wrong)
    found = Hands(stood=stood, left=placed[left], right=placed[right])
    return found.fitted() if fitted else found


def _cut_lengths(part: PlacedPart) -> Iterator[tuple[str, float]]:
    """mm by piece and what: edges of a blank, its length and width, of a tube what is sawn off."""
    tubes = {name: row.long for row in cut_rows(tubes_of(part.part)) for name in row.names}
    for piece in part.part.pieces:
        if piece.name in tubes:
            yield f"piece {piece.name}: over long points", tubes[piece.name]
        elif isinstance(piece, Plate | Folded):
            try:
                found = blank_of(piece)
            except InputError:
                continue  # why it cannot be laid flat, its findings say
            rings = (found.cut.outer, *found.cut.holes)
            yield f"piece {piece.name}: length of cuts", sum(s.length for ring in rings for s in ring.segments)
            yield f"piece {piece.name}: blank along", found.length
            yield f"piece {piece.name}: blank across", found.width


def _plain(finding: Finding, names: dict[str, str]) -> tuple[str, str, str, str]:
    """What a finding says, names of the one hand read as those of the other."""
    words = [finding.piece, finding.sentence]
    for name in sorted(names, key=len, reverse=True):
        words = [text.replace(name, names[name]) for text in words]
    return (finding.level, finding.code, *words)  # type: ignore[return-value]


def _point(at: Iterable[float]) -> str:
    return ", ".join(f"{round(float(c), 3) + 0.0:g}" for c in at)

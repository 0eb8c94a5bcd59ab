"""What may have been misread where a reading does not fit the others: units, ends, digits, the tape; mm."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from brackets.survey.readings import COVER, MeasuredHole, Reading

INCH = 25.4  # mm
VAGUE = 1.0  # mm: a ± of what the rest say above which it is told
FITS = 3.0  # sigmas within which a guess explains the reading
SLIPS = (10.0, 5.0, 100.0, 25.4)  # mm: one mark of the tape miscounted, or its end burnt off and forgotten


def guesses(
    reading: Reading,
    pair: tuple[MeasuredHole, MeasuredHole],
    *,
    got: float,
    sigma: float,
    others: Sequence[tuple[str, float]],
) -> tuple[str, ...]:
    """Sentences, most likely first, each turning the value read into what the rest says it should be.

    `got`: the reading as the other readings give it, mm, known to one `sigma` (its own ± included); `others`: what
    the same tool would have read between each other pair of holes.
    """
    ranked = []
    for order, (words, value) in enumerate(_ways(reading, pair)):
        off = abs(value - got) / sigma
        if off <= FITS:
            known = f", known to {COVER * sigma:.2f}" if COVER * sigma > VAGUE else ""
            ranked.append((order, f"{words}: {value:.2f} would fit ({value - got:+.2f} mm{known})"))
    wrong_pair = [
        f"fits {name} ({there:.2f}) instead" for name, there in others if abs(reading.value - there) <= reading.pm
    ]
    return (*(words for _, words in sorted(ranked)), *wrong_pair)


def _ways(reading: Reading, pair: tuple[MeasuredHole, MeasuredHole]) -> Iterator[tuple[str, float]]:
    value, (a, b) = reading.value, (pair[0].d or 0.0, pair[1].d or 0.0)
    yield "inches typed as mm", value * INCH
    yield "mm typed as inches", value / INCH
    half = (a + b) / 2.0
    if half > 0 and reading.how != "step":
        read = {"outside": half, "inside": -half, "centre": 0.0}
        for how, add in read.items():
            if how != reading.how:
                yield f"read {how}, written down as {reading.how}", value - add + read[reading.how]
        if reading.how == "centre":
            yield "one radius not taken off", value - a / 2.0
            yield "both diameters taken off instead of both radii", value + half
        else:
            sign = 1.0 if reading.how == "outside" else -1.0
            yield "a diameter forgotten", value + sign * max(a, b)
            yield "one radius forgotten", value + sign * a / 2.0
    if reading.how == "step":
        yield "step the other way (in, not out)", -value
    yield from ((f"digits swapped, {value:g} for {v:g}", v) for v in swapped(value))
    for slip in SLIPS:
        for way in (slip, -slip):
            yield f"tape misread by {slip:g} mm", value + way


def swapped(value: float) -> tuple[float, ...]:
    """The numbers that come of swapping two neighbouring digits of what was typed."""
    text, out = f"{value:g}", []
    places = [k for k, c in enumerate(text) if c.isdigit()]
    for i, j in zip(places, places[1:], strict=False):
        if text[i] != text[j]:
            digits = list(text)
            digits[i], digits[j] = digits[j], digits[i]
            out.append(float("".join(digits)))
    return tuple(out)

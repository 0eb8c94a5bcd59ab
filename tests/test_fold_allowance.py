"""Bend allowance, setback and joggle against published figures."""

from __future__ import annotations

import math

import pytest

from brackets.core.errors import InputError
from brackets.model.bend_allowance import (
    Measured,
    bend_allowance,
    deduction,
    din_k,
    joggle_web,
    k_of_allowance,
    setback,
)


@pytest.mark.parametrize(
    ("angle", "r", "t", "allowance"), [(90, 3, 3, 6.2439), (90, 6, 3, 11.3109), (45, 3, 3, 3.1220)]
)
def test_allowance_is_that_of_din_6935(angle: float, r: float, t: float, allowance: float) -> None:
    """DIN 6935, k = 0.65 + 0.5 lg(r/t) (from memory); figures computed by hand from it."""
    assert bend_allowance(angle, r, t) == pytest.approx(allowance, abs=5e-5)


@pytest.mark.parametrize(("angle", "r", "t", "v"), [(90, 3, 3, -5.7561), (90, 6, 3, -6.6891), (45, 3, 3, -1.8486)])
def test_deduction_is_minus_v_of_din_6935(angle: float, r: float, t: float, v: float) -> None:
    """DIN 6935's v (form read on a stored public page)."""
    assert deduction(angle, r, t) == pytest.approx(-v, abs=5e-5)


def test_worked_example_of_din_6935() -> None:
    """Legs 16 and 21, opening angle 60 degrees, r 6, t 5: L 31.18; the book rounds k to 0.7 and prints 32."""
    assert 2 * din_k(6, 5) == pytest.approx(0.6896, abs=5e-5)
    assert 16 + 21 - deduction(120, 6, 5) == pytest.approx(31.177, abs=5e-4)
    assert 16 + 21 - deduction(120, 6, 5, 0.35) == pytest.approx(37 - 5.77, abs=5e-3)


@pytest.mark.parametrize(("k", "constant"), [(0.350, 0.55), (0.407, 0.64), (0.452, 0.71)])
def test_constants_of_machinerys_handbook(k: float, constant: float) -> None:
    """L = constant T + 1.57 R: soft brass and copper, soft steel, hard (Machinery's Handbook, from memory)."""
    r, t = 5.0, 3.0
    assert bend_allowance(90, r, t, k) == pytest.approx(constant * t + math.pi / 2 * r, abs=1e-3 * t)


@pytest.mark.parametrize(
    ("angle", "k", "allowance"), [(90, 0.0, math.pi / 2 * 5), (90, 1.0, math.pi / 2 * 8), (180, 0.5, math.pi * 6.5),
                                  (-180, 0.5, math.pi * 6.5)]
)  # fmt: skip
def test_a_layer_at_either_face_and_a_bend_back_on_itself_are_the_ends_of_what_is_allowed(
    angle: float, k: float, allowance: float
) -> None:
    """The arc itself, r 5 in 3 mm: the unstretched layer k x 3 from the inside face."""
    assert bend_allowance(angle, 5, 3, k) == pytest.approx(allowance)
    assert k_of_allowance(allowance, angle, 5, 3) == pytest.approx(k)


def test_k_is_at_most_half() -> None:
    assert din_k(50, 1) == 0.5


def test_measured_strip_gives_its_k_back() -> None:
    assert k_of_allowance(bend_allowance(77, 5, 4, 0.41), 77, 5, 4) == pytest.approx(0.41, rel=1e-12)


def test_joggle_shifts_by_its_offset() -> None:
    a, r, t, offset = math.radians(35), 4.0, 3.0, 9.0
    web = joggle_web(offset, 35, r, t)
    risen = (r + t) * (1 - math.cos(a)) + web * math.sin(a) + r * (1 - math.cos(a))
    assert risen == pytest.approx(offset, rel=1e-12)


def test_joggle_smaller_than_its_bends_is_refused_with_the_least() -> None:
    with pytest.raises(InputError, match="must be at least 10 mm at 90 deg"):
        joggle_web(8.0, 90, 4.0, 2.0)


@pytest.mark.parametrize(
    ("angle", "measured", "reach"),
    [
        (90, "outside", 8),
        (90, "inside", 4),
        (90, "tangent", 0),
        (60, "outside", 8 * math.tan(math.pi / 6)),
        (135, "outside", 8),
        (135, "inside", 4),
    ],
)
def test_setback(angle: float, measured: str, reach: float) -> None:
    """To the apex up to 90 degrees, past it to the outermost tangent (DIN 6935, as read on a stored page)."""
    assert setback(angle, 4, 4, measured) == pytest.approx(reach)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("angle", "r", "t", "k", "words"),
    [
        (90, 0.1, 3, None, "DIN 6935 says nothing sharper"),
        (181, 3, 3, None, "must be -180 to 180 deg"),
        (90, -1, 3, 0.4, "inside_radius = -1 mm, must be 0 or more"),
        (90, 3, 0, 0.4, "thickness = 0 mm, must be over 0"),
        (90, 3, 3, 1.5, "k = 1.5, must be 0 to 1"),
        (math.nan, 3, 3, None, "angle = nan deg"),
    ],
)
def test_what_makes_no_sense_is_refused(angle: float, r: float, t: float, k: float | None, words: str) -> None:
    with pytest.raises(InputError, match=words):
        bend_allowance(angle, r, t, k)


@pytest.mark.parametrize(
    ("angle", "r", "t", "said"),
    [
        (180, 0, 0.01, None),
        (180.1, 0, 0.01, "angle = 180.1 deg"),
        (90, -0.1, 2, "inside_radius = -0.1 mm"),
        (90, 3, 0, "thickness = 0 mm"),
    ],
)
@pytest.mark.parametrize("measured", ["outside", "inside", "tangent"])
def test_a_setback_of_no_bend_is_refused(
    angle: float, r: float, t: float, said: str | None, measured: Measured
) -> None:
    if said is None:
        setback(angle, r, t, measured)
        return
    with pytest.raises(InputError, match=said):
        setback(angle, r, t, measured)

"""A shop's own bent strips take the place of the formula."""

from __future__ import annotations

from dataclasses import replace

from brackets.forming.shop import Coupon, Shop
from brackets.model.bend_allowance import k_of_allowance
from brackets.model.folded import Flange, Folded

SAME_T = 0.02
"""mm: thicknesses nearer than this are one sheet; gauges differ by more."""

SAME_RADIUS = 0.05
"""Part of the radius: a strip bent on a punch this near stands for it; K hardly changes with the radius."""


def with_coupons(piece: Folded, shop: Shop) -> Folded:
    """The piece with the K of the shop's coupons at every bend that has one and no K of its own.

    A strip of the same material and thickness and nearly the same radius serves; of several the one of the
    nearest angle. Where a K is given with the piece, it stays.
    """
    if piece.k is not None:
        return piece
    return replace(piece, flanges=tuple(_measured(flange, piece, shop) for flange in piece.flanges))


def _measured(flange: Flange, piece: Folded, shop: Shop) -> Flange:
    fitting = [c for c in shop.coupons if flange.k is None and _fits(c, flange, piece)]
    if not fitting:
        return flange
    coupon = min(fitting, key=lambda c: abs(c.angle - abs(flange.angle)))
    k = k_of_allowance(coupon.allowance, coupon.angle, coupon.radius, coupon.t)
    return replace(
        flange,
        k=k,
        k_note=(
            f"coupon {coupon.material} t {coupon.t:g} r {coupon.radius:g} {coupon.angle:g} deg: "
            f"{coupon.allowance:g} mm measured"
        ),
    )


def _fits(coupon: Coupon, flange: Flange, piece: Folded) -> bool:
    return (
        coupon.material == piece.material
        and abs(coupon.t - piece.t) <= SAME_T
        and abs(coupon.radius - flange.inside_radius) <= SAME_RADIUS * flange.inside_radius
    )

"""Sockets and ring spanners by the hexagon they fit, for the room they take, mm and degrees."""

from __future__ import annotations

from dataclasses import dataclass

_WIDE = 1.6
"""Outside of a socket or ring over its hexagon, at most: the large end of US CID A-A-1346A (1.5 to 1.6)."""
_HEAD = "head 1.6 x across flats: US CID A-A-1346A, large end"
_SWING = "swing 30 deg, twelve-point ring: NAVEDTRA 14001"
_SHORT_SOCKET = 38.0
"""mm: length of a short half-inch-drive socket up to 24 across flats, common practice, no source."""
_HANDLE, _REACH, _THICK = 0.8, 12.0, 0.6
"""A ring spanner's handle width, length and thickness over its hexagon: common practice, no source."""


@dataclass(frozen=True, kw_only=True)
class Socket:
    """A socket: od and length, mm; an extension bar behind it, drive_od thick, as far as reach, or None."""

    across_flats: float
    od: float
    length: float
    drive_od: float | None = None
    reach: float | None = None
    source: str


@dataclass(frozen=True, kw_only=True)
class RingSpanner:
    """A spanner: width over its head, of its handle, bolt to the handle's end, thickness, mm; swing, degrees."""

    across_flats: float
    head: float
    handle: float
    reach: float
    t: float
    swing: float
    source: str


def socket(across_flats: float) -> Socket:
    """The socket for a hexagon."""
    return Socket(
        across_flats=across_flats,
        od=_WIDE * across_flats,
        length=max(_SHORT_SOCKET, _WIDE * across_flats),
        source=f"{_HEAD}; length common practice, no source",
    )


def ring_spanner(across_flats: float) -> RingSpanner:
    """The ring spanner for a hexagon."""
    return RingSpanner(
        across_flats=across_flats,
        head=_WIDE * across_flats,
        handle=_HANDLE * across_flats,
        reach=_REACH * across_flats,
        t=_THICK * across_flats,
        swing=30.0,
        source=f"{_HEAD}; {_SWING}; handle common practice, no source",
    )

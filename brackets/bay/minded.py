"""What to mind in a bay: the steps that its parts and keep-outs bring, on screen, page and sheets."""

from __future__ import annotations

from brackets import cautions
from brackets.bay.record import Bay
from brackets.bay.standing import Standing, Stood
from brackets.cautions import Caution


def bay_cautions(stood: Stood) -> tuple[Caution, ...]:
    """Those of the whole bay."""
    bay = stood.bay
    onto = any(mount.chassis_onto is not None for mount in bay.mounts)
    return cautions.of_bay((part.part for part in stood.parts), keep_outs=_kinds(bay), onto=onto)


def sheet_cautions(bay: Bay, part: Standing) -> tuple[Caution, ...]:
    """Those for the sheets of one part: what is done to it, and what is around it in the bay."""
    onto = any(side == "chassis" and mount.chassis_onto is not None for mount, side in bay.mounts_of(part.name))
    steps = cautions.of_bay([part.part], keep_outs=_kinds(bay), onto=onto)
    return tuple(caution for caution in steps if caution.step != "lifting")


def _kinds(bay: Bay) -> list[tuple[str, str]]:
    return [(keep_out.name, keep_out.kind) for keep_out in bay.keep_outs]

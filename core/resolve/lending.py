"""Which manual could lend the pedal a stop by a coupler."""

from __future__ import annotations

from core.organ.model import UNISON, Feet, Role
from core.resolve.candidates import Desk
from core.resolve.traits import FLUES, REEDS, Sort, voices


def lenders(desk: Desk, feet: Feet | None, *, reed: bool) -> str:
    """The manuals, coupled to the pedal, that have a stop of that pitch: their names, or ""."""
    organ, pedal = desk.organ, desk.division
    if pedal.role != Role.PEDAL:
        return ""
    sorts = REEDS - {Sort.VOX_HUMANA} if reed else FLUES
    names = []
    for coupler in organ.couplers:
        if coupler.target != pedal.id or coupler.source == pedal.id or coupler.pitch != UNISON:
            continue
        source = organ.division(coupler.source)
        if any(v.sort in sorts and feet in (None, v.feet) for v in voices(organ, source)):
            names.append(source.name)
    return ", ".join(dict.fromkeys(names))

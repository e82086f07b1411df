"""Which of this organ's couplers answers one that a marking asks for."""

from __future__ import annotations

from collections.abc import Iterable

from core.organ.model import UNISON, Division, Feet, Organ, Role
from core.organ.spelling import write_feet


def find_coupler(organ: Organ, source: str, target: str, pitch: Feet) -> list[int]:
    """The couplers from one division to another at a pitch (both halves of a divided one)."""
    return [
        index
        for index, coupler in enumerate(organ.couplers)
        if (coupler.source, coupler.target, coupler.pitch) == (source, target, pitch) and not coupler.unison_off
    ]


def unison_off(organ: Organ, division: str | None) -> list[int]:
    """The couplers that silence a division's unison."""
    return [i for i, c in enumerate(organ.couplers) if c.unison_off and division in (None, c.source)]


def manual_couplers(organ: Organ, into: Iterable[str] | None = None) -> list[int]:
    """Unison couplers between manuals, into any or into these divisions."""
    pedal = organ.pedal.id if organ.pedal else None
    wanted = set(into) if into is not None else None
    return [
        i
        for i, c in enumerate(organ.couplers)
        if c.target != pedal
        and c.source != c.target
        and c.source != pedal
        and c.pitch == UNISON
        and (wanted is None or c.target in wanted)
    ]


def pedal_couplers(organ: Organ) -> list[int]:
    """Unison couplers into the pedal."""
    pedal = organ.pedal.id if organ.pedal else None
    return [i for i, c in enumerate(organ.couplers) if c.target == pedal and c.source != pedal and c.pitch == UNISON]


def octave_couplers(organ: Organ, pitch: Feet, division: str | None) -> list[int]:
    """A division's own octave or sub-octave couplers; of any division where none is named."""
    return [
        i
        for i, c in enumerate(organ.couplers)
        if c.pitch == pitch and not c.unison_off and (
            c.source == c.target and division in (None, c.source)
        )
    ]  # fmt: skip


def couplers_at(organ: Organ, pitch: Feet) -> list[int]:
    """The couplers from one manual to another at the octave or sub-octave."""
    return [i for i, c in enumerate(organ.couplers) if c.pitch == pitch and c.source != c.target and not c.unison_off]


def chief_manual(organ: Organ) -> Division | None:
    """The Great, or what stands for it."""
    great = organ.with_role(Role.GREAT)
    if great is not None:
        return great
    manuals = organ.manuals
    return min(manuals, key=lambda d: d.keyboard or "z") if manuals else None


def wanted_label(source: str, target: str, pitch: Feet) -> str:
    """A coupler asked for, for people: ``Swell to Great 4``."""
    label = f"{source} to {target}"
    return label if pitch == UNISON else f"{label} {write_feet(pitch)}"

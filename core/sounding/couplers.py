"""Which divisions a key reaches through the couplers in force, and how far shifted."""

from __future__ import annotations

from functools import lru_cache
from typing import NamedTuple

from core.organ.model import UNISON, Coupler, Half, Organ
from core.resolve.model import Registration

# common practice, no source: mechanical and Barker actions mostly carry on, electric and pneumatic do not
_CARRY_ON = frozenset({"french-symphonic", "french-classical", "german-baroque", "dutch", "italian", "spanish"})


class Way(NamedTuple):
    """A division that a played key reaches: its key is the played one plus `shift` semitones."""

    division: str
    shift: int
    half: Half | None = None


def carries_on(organ: Organ) -> bool:
    """Whether a coupler brings what is coupled to its source, stated or assumed from the tradition."""
    if organ.couplers_carry_on is not None:
        return organ.couplers_carry_on
    return organ.tradition in _CARRY_ON


def shift_of(coupler: Coupler) -> int:
    """Semitones a coupler adds: 16 ft an octave down, 4 ft an octave up."""
    if coupler.pitch == UNISON:
        return 0
    return -12 if coupler.pitch > UNISON else 12


@lru_cache(maxsize=4096)
def ways(organ: Organ, registration: Registration, division: str) -> tuple[Way, ...]:
    """All divisions that the keys of a division reach, itself first.

    A division's own octave couplers act on what is played from its own keys, and never go on into
    themselves; its unison off silences its unison only.
    """
    engaged = [organ.couplers[i] for i in sorted(registration.couplers)]
    engaged += [c for c in organ.couplers if c.permanent]
    found: list[Way] = []
    if not any(c.unison_off and c.source == division for c in engaged):
        found.append(Way(division, 0))
    seen = {division}
    queue = [(division, 0)]
    while queue:
        target, base = queue.pop(0)
        for coupler in engaged:
            if coupler.target != target or coupler.unison_off:
                continue
            way = Way(coupler.source, base + shift_of(coupler), coupler.half)
            if way not in found:
                found.append(way)
            further = coupler.source not in seen and coupler.source != target
            if further and carries_on(organ):
                seen.add(coupler.source)
                queue.append((coupler.source, way.shift))
    return tuple(found)

"""When the feet play a solo: a cantus firmus in the pedal, high or on reeds, with the hands above."""

from __future__ import annotations

from dataclasses import dataclass

from core.knowledge.loader import load
from core.markings.gathering import MarkingRead
from core.markings.model import Action
from core.organ.model import Family, Organ, Role
from core.resolve.model import Registration
from core.texts import Said, say


@dataclass(frozen=True, slots=True)
class FeetSolo:
    """The marking that makes the pedal a solo, and why."""

    mark: MarkingRead | None
    why: Said


def feet_solo(
    organ: Organ | None, marks: list[MarkingRead], before: Registration, after: Registration
) -> FeetSolo | None:
    """Whether the pedal becomes a solo at these markings.

    Common practice, no source: a pedal with nothing lower than 4 ft, or with reeds at 8 ft alone, plays a
    melody; so it does where the words say cantus firmus or solo.
    """
    for mark in marks:
        if _says_cantus_firmus(mark.text.text):
            return FeetSolo(mark, say("{text}: the pedal has the melody", text=mark.text.text))
        if any(i.action is Action.SOLO and i.division == Role.PEDAL for i in mark.instructions):
            return FeetSolo(mark, say("{text}: a pedal solo", text=mark.text.text))
    if organ is None or organ.pedal is None:
        return None
    drawn = _pedal_stops(organ, after)
    if not drawn or drawn == _pedal_stops(organ, before):
        return None
    stops = [organ.stop(s) for s in drawn]
    lowest = max((s.pitch for s in stops if s.pitch is not None), default=None)
    if lowest is None or lowest > 8:
        return None
    if lowest <= 4 or all(s.family is Family.REED for s in stops):
        by = next((m for m in marks if any(i.division == Role.PEDAL for i in m.instructions)), None)
        return FeetSolo(by, say("the pedal is registered as a melody, without a bass"))
    return None


def _pedal_stops(organ: Organ, registration: Registration) -> tuple[str, ...]:
    pedal = organ.pedal
    return tuple(s for s in registration.drawn if pedal and organ.division_of(s).id == pedal.id)


def _says_cantus_firmus(text: str) -> bool:
    squeezed = "".join(text.lower().split())
    return any(word in squeezed for word in load("passages")["cantus-firmus"])

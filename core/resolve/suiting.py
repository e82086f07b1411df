"""A pedal that suits the manuals: "Ped. to correspond", "Ped. passend" (common practice, no source)."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from core.knowledge.loader import load
from core.markings.model import Action, Instruction, StopRequest
from core.organ.model import Role
from core.resolve.desk import Work

_SOFT = 4  # loudness of the loudest manual stop up to which the pedal too is soft


def suiting_pedal(work: Work, instruction: Instruction) -> Instruction | None:
    """What a pedal "to correspond" draws, 16 and 8 ft; None where the words ask for no such thing.

    One that is drawn already is left as it is: it was set by a marking of its own.
    """
    printed = work.text.casefold()
    pedal = work.organ.pedal
    if pedal is None or not any(words in printed for words in load("recipes")["pedal_to_suit"]):
        return None
    if work.drawn_in(pedal.id):
        return None
    loudest = max((work.organ.stop(s).loudness for s in work.registration.drawn), default=_SOFT)
    here = {s.pitch for s in pedal.stops}
    pitches = tuple(p for p in (Fraction(16), Fraction(8)) if p in here)
    request = StopRequest(pitches=pitches, qualities=("soft",) if loudest <= _SOFT else ())
    return replace(instruction, action=Action.DRAW, division=str(Role.PEDAL), stops=(request,)) if pitches else None

"""Writes a plan into the score and plays it again: what would change the registration in force is taken back."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from fractions import Fraction

from core.analysis import Analysis, analyse_document
from core.document import Document
from core.edits import apply_what_fits
from core.marking_up.model import LeftOut, MarkedUp, Planned, Wishes
from core.marking_up.planning import plan
from core.resolve.model import Registration
from core.texts import say

_TRIES = 40
Heard = dict[tuple[Fraction, int, str], tuple[str | None, object]]
"""By onset in quarters, time through and hand."""


def _untold(_stage: str) -> None:
    """Nobody wants to know how far it is."""


def mark_up(
    document: Document,
    wishes: Wishes,
    analysis: Analysis | None = None,
    *,
    told: Callable[[str], None] = _untold,
) -> MarkedUp:
    """The document with what is wished for written in.

    Only what leaves the registration at every moment as it was is written: a text that would be read as an
    instruction of its own is left out and told.

    Args:
        document: where.
        wishes: what.
        analysis: of the document, where the caller has it; its user's words and player hold.
        told: called as each stage begins; what it raises ends the work.
    """
    before = analysis if analysis is not None else analyse_document(document)
    planned = plan(before, wishes)
    left = list(planned.left)
    chosen = list(planned.planned)
    wanted = _heard(before)
    for _ in range(_TRIES):
        marked, refused = apply_what_fits(document, [one.edit for one in chosen])
        for edit, error in refused:
            at = next((one.at for one in chosen if one.edit is edit), None)
            left.append(LeftOut(text="", why=say("{edit}: {why}", edit=edit.said, why=error.problem), at=at))
        chosen = [one for one in chosen if all(one.edit is not edit for edit, _ in refused)]
        moment = _first_difference(wanted, _heard(_again(marked, before, told)))
        if moment is None:
            return MarkedUp(
                document=marked,
                written=tuple(one.edit.said for one in chosen),
                written_at=tuple(one.at for one in chosen),
                left=tuple(left),
            )
        guilty = _guilty(chosen, moment)
        left += [
            LeftOut(text="", why=say("{edit}: it would change the registration", edit=one.edit.said), at=one.at)
            for one in guilty
        ]
        chosen = [one for one in chosen if all(one is not gone for gone in guilty)]
    return MarkedUp(document=document, left=(*left, LeftOut(text="", why=say("no way of writing it was found"))))


def _again(document: Document, before: Analysis, told: Callable[[str], None]) -> Analysis:
    """The marked-up piece worked through, with the same words of the user's own and the same player."""
    decided = before.decisions
    return analyse_document(
        document, language=decided.language, words=decided.words, player=decided.player, earlier=before, told=told
    )


def _heard(analysis: Analysis) -> Heard:
    """For each note that a hand or the feet strike: from which keyboard, and what is on."""
    found: Heard = {}
    states: dict[int, object] = {}
    for stretch in analysis.stretches:
        registration = stretch.registration
        state = states.setdefault(id(registration), _state(registration))
        for hand, division in registration.hands:
            for moment in analysis.lines[hand].between(stretch.start, stretch.end):
                found[analysis.score.quarters(moment.onset), stretch.nth, hand] = (division, state)
    return found


def _state(registration: Registration) -> object:
    return (
        frozenset(registration.drawn),
        registration.couplers,
        registration.tremulants,
        registration.boxes,
    )


def _first_difference(one: Heard, two: Heard) -> Fraction | None:
    """The first moment, in quarters as written, at which something else is heard."""
    return min((place[0] for place in {*one, *two} if one.get(place) != two.get(place)), default=None)


def _guilty(chosen: Sequence[Planned], moment: Fraction) -> list[Planned]:
    """What was written where it begins to differ: the last before or at that moment, else what has no place.

    What belongs to no marking (an opening block) is suspected before the notes beside the markings.
    """
    before = [one.at.onset for one in chosen if one.at is not None and one.at.onset <= moment]
    if not before:
        return [one for one in chosen if one.at is None] or list(chosen)
    there = [one for one in chosen if one.at is not None and one.at.onset == max(before)]
    return [one for one in there if one.marking is None] or there

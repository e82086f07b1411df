"""How a solo that nothing ends can be ended in the score: by a bracket, or by naming where the hand goes next."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from core.edit_values import AddBracket, AddMarking, MoveMarking
from core.knowledge.loader import load
from core.markings.model import Action
from core.markings.reading import read_marking
from core.passages.model import BoundaryProposal, Passage
from core.resolve.model import Keyboards, Step
from core.score.lines import HandLine
from core.score.model import Score, Ticks

_ROMAN = {"1": "I", "2": "II", "3": "III", "4": "IV", "5": "V"}
_OTHER = {"right": "left", "left": "right"}
_NUMBERED = "manual-"


@dataclass(frozen=True, slots=True, kw_only=True)
class Closing:
    """The edits that end a passage at one place; None where that way is not open."""

    bracket: AddBracket | None
    marking: AddMarking | None


def closing(
    score: Score,
    passage: Passage,
    proposal: BoundaryProposal,
    *,
    lines: dict[str, HandLine],
    steps: Iterable[Step],
    keyboards: Keyboards,
    language: str | None,
    roles: dict[str, str] | None = None,
) -> Closing:
    """The edits that end a passage where a proposal says.

    Args:
        score: the piece.
        passage: what is to be ended.
        proposal: the first moment that is no longer in it.
        lines: what each hand plays.
        steps: the registration's steps, for where the hand was before.
        keyboards: which of the organ's divisions answers each of the piece's.
        language: of the piece's markings; the new one is worded in it.
        roles: the organ's divisions' roles by id, for divisions that the piece has not named.
    """
    staff = _staff_of(score, passage)
    if staff is None:
        return Closing(bracket=None, marking=None)
    before = _before(score, passage, steps)
    home = _home(passage, before)
    marking = None
    if home is not None and passage.hand in _OTHER:
        word = next((word for word, division in keyboards.answers.items() if division == home), None)
        text = wording(passage.hand, word or (roles or {}).get(home, home), language or "en")
        marking = _marking(score, staff, passage.hand, proposal, text) if text else None
    # a bracket brings the hand back to where it was; a hand that was nowhere must be told where to go
    had_home = before is not None and before.registration.hand(passage.hand) is not None
    bracket = _bracket(score, staff, passage, proposal, lines) if had_home else None
    return Closing(bracket=bracket, marking=marking)


def beginning(score: Score, passage: Passage, proposal: BoundaryProposal) -> MoveMarking | None:
    """The edit that puts the passage's marking at the note where a proposal begins it."""
    if passage.marking is None:
        return None
    bar = score.bar_at(proposal.onset)
    return MoveMarking(
        marking=passage.marking,
        bar=bar.index,
        staff=passage.marking.staff,
        in_bar=proposal.onset - bar.onset,
        measure=bar.number,
    )


def wording(hand: str, division: str, language: str) -> str | None:
    """``R.H. Great`` in a language's words; None where they would not be read as that.

    Args:
        hand: ``right`` or ``left``.
        division: the piece's word for it: a role, or ``manual-2``.
        language: of the marking.
    """
    for tongue in dict.fromkeys((language, "en")):
        words = load(f"languages/{tongue}").get("words") or {}
        name = _name_of(division, words)
        hands = (words.get("hand") or {}).get(hand)
        if not name or not hands:
            continue
        text = f"{hands[0]} {name}"
        read = read_marking(text, hint=tongue).instructions
        sent = [i for i in read if i.action is Action.PLAY and i.division == division]
        if len(read) == 1 and sent and sent[0].hand == hand:
            return text
    return None


def _name_of(division: str, words: dict[str, dict[str, list[str]]]) -> str | None:
    if division.startswith(_NUMBERED):
        number = division.removeprefix(_NUMBERED)
        manual = next(iter(words.get("manual_word") or ()), None)
        return f"{manual} {_ROMAN.get(number, number)}" if manual else None
    return next(iter((words.get("division") or {}).get(division) or ()), None)


def _staff_of(score: Score, passage: Passage) -> tuple[int, int] | None:
    """(part, staff) that the passage's hand plays: of its marking's part where that has one."""
    parts = list(score.organ_parts)
    if passage.marking is not None and passage.marking.part in parts:
        parts.sort(key=lambda part: part != passage.marking.part if passage.marking else 0)
    for part in parts:
        for number, hand in enumerate(score.parts[part].hands, 1):
            if hand == passage.hand:
                return part, number
    if passage.marking is not None and passage.marking.part in parts:
        return passage.marking.part, passage.marking.staff
    return None


def _before(score: Score, passage: Passage, steps: Iterable[Step]) -> Step | None:
    """The last step before the passage's marking."""
    start = passage.start_onset
    if passage.marking is not None and 0 <= passage.marking.bar < len(score.bars):
        start = min(start, score.bars[passage.marking.bar].onset + passage.marking.in_bar)
    found = [step for step in steps if step.at.nth == 1 and int(step.at.onset * score.ticks) < start]
    return max(found, key=lambda step: step.at.onset, default=None)


def _home(passage: Passage, before: Step | None) -> str | None:
    """Where the hand was, else where the other hand is."""
    if before is None:
        return None
    was = before.registration.hand(passage.hand)
    if was is None or was == passage.division:
        was = before.registration.hand(_OTHER.get(passage.hand, passage.hand))
    return was if was != passage.division else None


def _marking(score: Score, staff: tuple[int, int], hand: str, proposal: BoundaryProposal, text: str) -> AddMarking:
    bar = score.bar_at(proposal.onset)
    return AddMarking(
        part=staff[0],
        staff=staff[1],
        bar=bar.index,
        in_bar=proposal.onset - bar.onset,
        text=text,
        placement="above" if hand == "right" else "below",
        measure=bar.number,
    )


def _bracket(
    score: Score,
    staff: tuple[int, int],
    passage: Passage,
    proposal: BoundaryProposal,
    lines: dict[str, HandLine],
) -> AddBracket | None:
    """From the first note of the passage to the last one before its end: a bracket takes in the note it ends at."""
    last: Ticks | None = None
    for moment in lines[passage.hand].moments:
        if passage.start_onset < moment.onset < proposal.onset:
            last = moment.onset
    if last is None:
        return None
    start, end = score.bar_at(passage.start_onset), score.bar_at(last)
    return AddBracket(
        part=staff[0],
        staff=staff[1],
        bar=start.index,
        in_bar=passage.start_onset - start.onset,
        end_bar=end.index,
        end_in_bar=last - end.onset,
        measure=start.number,
        end_measure=end.number,
    )

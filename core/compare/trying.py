"""What a text would do if it stood at a place of the piece: read and answered as the walk would, nothing written."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import partial

from core.analysis import Analysis, divisions_named
from core.markings.gathering import MarkingRead, Markings, gather
from core.markings.reading import read_marking
from core.organ.model import Organ
from core.resolve.keyboards import propose_keyboards
from core.resolve.model import Keyboards, Registration, Step
from core.resolve.playthrough import step_after
from core.score.model import MarkingId, ScoreText, TextKind, Ticks

_NEW = 1_000_000  # an ordinal and an element that no text of the file has


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """Where a text would stand: part, staff (from 1), bar index, ticks from the bar's start, side."""

    part: int
    staff: int
    bar: int
    in_bar: Ticks
    placement: str = "above"


@dataclass(frozen=True, slots=True, kw_only=True)
class Tried:
    """What a text would do.

    Attributes:
        mark: how it would be read there, with what its neighbours tell.
        before: what is on before it.
        step: what would be on after it, with reasons and what the organ lacks.
        keyboards: which of the organ's divisions would answer each of the piece's.
    """

    mark: MarkingRead
    before: Registration
    step: Step
    keyboards: Keyboards


def try_text(
    analysis: Analysis, text: str, spot: Spot, *, nth: int = 1, instead_of: MarkingId | None = None
) -> Tried | None:
    """Read a text at a place and answer it on the analysis' organ.

    Args:
        analysis: the piece as it is.
        text: the wording.
        spot: where it would stand.
        nth: which time through.
        instead_of: the marking that it would replace.

    Returns:
        None where the text is empty.
    """
    if not text.strip():
        return None
    score = analysis.score
    onset = score.bars[spot.bar].onset + spot.in_bar
    mark = _read_there(analysis, text.strip(), spot, onset, instead_of)
    keyboards = _keyboards_with(analysis, mark)
    before = _before(analysis, onset, nth, instead_of)
    step = step_after(
        score,
        analysis.markings,
        analysis.organ,
        keyboards,
        lines=analysis.lines,
        before=before,
        mark=mark,
        nth=nth,
        tradition=analysis.decisions.tradition,
    )
    return Tried(mark=mark, before=before, step=step, keyboards=keyboards)


def get_ready() -> None:
    """Build the tables that the first unknown words would wait for; may run beside a window."""
    for unknown in ("Sw. Flomptuba 8", "Sw. Flomp", "Flompt"):
        read_marking(unknown)


def _before(analysis: Analysis, onset: Ticks, nth: int, instead_of: MarkingId | None) -> Registration:
    """What is on at the place; without what the marking to be replaced does, where it stands alone."""
    step = analysis.at(onset, nth)
    if step is None:
        return Registration()
    if instead_of is not None and step.markings == (instead_of,):
        index = analysis.steps.index(step)
        if index:
            return analysis.steps[index - 1].registration
        hands = tuple((hand, None if hand != "feet" else division) for hand, division in step.registration.hands)
        return Registration(hands=hands)
    return step.registration


def _read_there(analysis: Analysis, text: str, spot: Spot, onset: Ticks, instead_of: MarkingId | None) -> MarkingRead:
    new = ScoreText(
        id=MarkingId(spot.part, spot.bar, spot.staff, spot.in_bar, _NEW),
        text=text,
        kind=TextKind.WORDS,
        part=spot.part,
        staff=spot.staff,
        bar=spot.bar,
        onset=onset,
        sounding_onset=onset,
        placement=spot.placement,
        order=0,
        element=_NEW,
        runs=(text,),
    )
    here = (TextKind.WORDS, spot.part, spot.staff, onset, spot.placement)
    beside = [
        other
        for other in analysis.score.texts
        if (other.kind, other.part, other.staff, other.onset, other.placement) == here and other.id != instead_of
    ]
    few = replace(analysis.score, texts=(*beside, new))
    reader = partial(read_marking, user_words=analysis.decisions.words)
    read = gather(few, reader, language=analysis.markings.language)
    found = next((mark for mark in read.all_texts if mark.id == new.id), None)
    if found is not None:
        return found
    reading = reader(text, hint=analysis.markings.language)
    return MarkingRead(id=new.id, text=new, reading=reading, instructions=(), stack=0)


def _keyboards_with(analysis: Analysis, mark: MarkingRead) -> Keyboards:
    """The piece's table, matched anew only where the text names a division the piece has not named before."""
    organ: Organ | None = analysis.organ
    named = divisions_named(Markings(language=None, marks=(mark,), all_texts=(mark,)))
    known = divisions_named(analysis.markings)
    if organ is None or set(named) <= set(known):
        return analysis.keyboards
    return propose_keyboards(
        tuple(dict.fromkeys((*known, *named))),
        organ,
        language=analysis.markings.language or mark.reading.language,
        user=analysis.decisions.keyboards,
    )

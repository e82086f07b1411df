"""Finds every solo passage: which hand, on which division, from where to where, and how that is known.

Common practice, no source: a hand sent to a manual of its own while the other accompanies begins a solo;
it ends where that hand is sent elsewhere or given other stops, at a closing bracket, at words that end it,
or with the piece. A stop added, a tremulant or the box end nothing; dialogues and echoes, in which both hands
change together, are none.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

from core.knowledge.loader import load
from core.markings.gathering import MarkingRead, Markings
from core.markings.model import Action
from core.memory import Memory
from core.organ.model import Organ
from core.passages.boundaries import proposals, ranked_ends
from core.passages.evidence import Surroundings
from core.passages.feet import feet_solo
from core.passages.model import Passage
from core.passages.starts import Start, find_start
from core.resolve.hands import (
    FEET,
    LEFT,
    RIGHT,
    Layout,
    Send,
    crossed,
    hands_meant,
    opens_passage,
    read_layout,
    sends_at,
)
from core.resolve.model import Keyboards, Registration, Step
from core.score.lines import HandLine
from core.score.model import MarkingId, Score, Ticks
from core.score.music import Music
from core.texts import Said, say


@dataclass(frozen=True, slots=True, kw_only=True)
class Open:
    """A passage that has begun and not ended."""

    hand: str
    division: str | None
    start: Start
    mark: MarkingRead | None
    how: Said
    stops: tuple[str, ...]
    by_bracket: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """What the search looks at."""

    score: Score
    organ: Organ | None
    keyboards: Keyboards
    layout: Layout
    lines: dict[str, HandLine]
    around: Surroundings
    marks: dict[MarkingId, MarkingRead]


@dataclass(slots=True)
class _Search:
    piece: Piece
    open: dict[str, Open] = field(default_factory=dict)
    found: list[Passage] = field(default_factory=list)


def find_passages(
    score: Score,
    markings: Markings,
    steps: Iterable[Step],
    organ: Organ | None,
    keyboards: Keyboards,
    music: Music,
    memory: Memory | None = None,
) -> tuple[Passage, ...]:
    """All solo passages as written, in order of their starts."""
    piece = Piece(
        score=score,
        organ=organ,
        keyboards=keyboards,
        layout=read_layout(score, markings),
        lines=music.lines,
        around=Surroundings(score, music, memory or Memory()),
        marks={m.id: m for m in markings.all_texts},
    )
    search = _Search(piece)
    before = Registration()
    for step, onset in _written(score, steps):
        _step(search, step, onset, before)
        before = step.registration
    for hand in list(search.open):
        _close_with_the_piece(search, hand)
    return tuple(sorted(search.found, key=lambda p: (p.start_onset, p.hand)))


def _written(score: Score, steps: Iterable[Step]) -> Iterator[tuple[Step, Ticks]]:
    """The steps of the first time through, in written order, with their onsets."""
    first = [step for step in steps if step.at.nth == 1]
    pairs = [(step, int(step.at.onset * score.ticks)) for step in first]
    return iter(sorted(pairs, key=lambda pair: (pair[0].at.bar, pair[1])))


def _step(search: _Search, step: Step, onset: Ticks, before: Registration) -> None:
    piece = search.piece
    marks = [piece.marks[i] for i in step.markings if i in piece.marks]
    sends = crossed(piece.layout, sends_at(piece.layout, marks, 1), piece.lines, onset)
    after = step.registration
    sends += _followed(piece, sends, marks, before, after)
    for hand in list(search.open):
        why = _ending(search, hand, sends, marks, before, after, onset)
        if why is not None:
            _close(search, hand, onset, why)
    for hand in _beginning(search, sends, after, onset):
        _begin(search, hand, sends, after, onset)
    feet = feet_solo(piece.organ, marks, before, after)
    if feet is not None and FEET not in search.open and piece.lines[FEET].from_(onset) < len(piece.lines[FEET].moments):
        start = find_start(piece.around, piece.lines[FEET], onset, named=True)
        search.open[FEET] = Open(
            hand=FEET,
            division=after.hand(FEET),
            start=start,
            mark=feet.mark,
            how=feet.why,
            stops=_drawn_in(piece.organ, after, after.hand(FEET)),
        )


def _followed(
    piece: Piece, sends: list[Send], marks: list[MarkingRead], before: Registration, after: Registration
) -> list[Send]:
    """A hand that went where the stops asked for it stand, though no division was named ("R.H. Oboe")."""
    said = {hand for send in sends for hand in send.hands}
    drawing = [m for m in marks if any(i.action is Action.DRAW and i.division is None for i in m.instructions)]
    moved = [h for h in (RIGHT, LEFT) if h not in said and after.hand(h) not in (None, before.hand(h))]
    found = []
    for hand in moved:
        for mark in drawing:
            named = next((i.hand for i in mark.instructions if i.hand), None)
            meant, sure, why = hands_meant(piece.layout, mark.text, named)
            if meant == (hand,):
                found.append(Send(hands=meant, division=after.hand(hand), sure=sure, why=why, mark=mark))
                break
    return found


# ---------------------------------------------------------------- ends
def _ending(
    search: _Search,
    hand: str,
    sends: list[Send],
    marks: list[MarkingRead],
    before: Registration,
    after: Registration,
    onset: Ticks,
) -> Said | None:
    """Why the open passage of a hand ends at this step, or None."""
    piece, passage = search.piece, search.open[hand]
    if onset <= passage.start.onset:
        return None
    if any(s.brings_home and hand in s.hands for s in sends):
        return say("the words end the solo")
    if hand == FEET:
        return _feet_ending(piece, passage, marks, before, after)
    mine = [s for s in sends if hand in s.hands]
    if after.hand(hand) != passage.division:
        if mine:
            return say("{text} sends the hand elsewhere", text=mine[-1].mark.text.text)
        return say("the bracket closes")
    other = LEFT if hand == RIGHT else RIGHT
    if after.hand(other) == passage.division and before.hand(other) != passage.division:
        return say("the other hand comes to the same manual")
    if _redrawn(piece, passage.division, before, after, marks):
        return say("the solo's manual is given other stops")
    return _marked_again(search, hand, mine, onset)


def _feet_ending(
    piece: Piece, passage: Open, marks: list[MarkingRead], before: Registration, after: Registration
) -> Said | None:
    if _redrawn(piece, passage.division, before, after, marks):
        return say("the pedal is given other stops")
    return None


def _redrawn(
    piece: Piece, division: str | None, before: Registration, after: Registration, marks: list[MarkingRead]
) -> bool:
    """Whether a marking sets a division's registration anew (an addition or removal does not)."""
    if piece.organ is None or division is None:
        return False
    draws = any(i.action in (Action.DRAW, Action.FULL) for m in marks for i in m.instructions)
    old = set(_drawn_in(piece.organ, before, division))
    new = set(_drawn_in(piece.organ, after, division))
    return draws and old != new and bool(old) and not old < new


def _marked_again(search: _Search, hand: str, mine: list[Send], onset: Ticks) -> Said | None:
    """The same solo marked again: it ended in between, if the music there says so."""
    if not mine:
        return None
    passage, piece = search.open[hand], search.piece
    ranked = ranked_ends(piece.around, piece.lines[hand], passage.start.onset, onset)
    if ranked and ranked[0].is_set_off:
        _close_open_ended(search, hand, onset, say("the same solo is marked again, so it had ended before"))
    return None


def _close(search: _Search, hand: str, onset: Ticks, why: Said) -> None:
    passage = search.open.pop(hand)
    search.found.append(_passage(search.piece, passage, onset, True, why, onset))


def _close_open_ended(search: _Search, hand: str, limit: Ticks, why: Said) -> None:
    passage = search.open.pop(hand)
    search.found.append(_passage(search.piece, passage, None, False, why, limit))


def _close_with_the_piece(search: _Search, hand: str) -> None:
    piece, passage = search.piece, search.open[hand]
    end = piece.score.end
    ranked = ranked_ends(piece.around, piece.lines[hand], passage.start.onset, end)
    if ranked and ranked[0].is_set_off:
        _close_open_ended(search, hand, end, say("nothing ends it"))
    else:
        _close(search, hand, end, say("it goes on to the end of the piece"))


def _passage(piece: Piece, passage: Open, end: Ticks | None, marked: bool, why: Said, limit: Ticks) -> Passage:
    line = piece.lines[passage.hand]
    start = passage.start
    found = () if marked else proposals(piece.around, ranked_ends(piece.around, line, start.onset, limit))
    return Passage(
        hand=passage.hand,
        division=passage.division,
        start=piece.score.position(start.onset),
        start_onset=start.onset,
        end=None if end is None else piece.score.position(end),
        end_onset=end,
        marked_start=start.marked,
        marked_end=marked,
        marking=passage.mark.id if passage.mark else None,
        how=say("{begins}; {ends}", begins=passage.how, ends=why),
        proposals=found,
        start_proposals=start.proposals,
        stops=passage.stops,
        staff=passage.mark.text.staff if passage.mark else None,
    )


# ---------------------------------------------------------------- starts
def _beginning(search: _Search, sends: list[Send], after: Registration, onset: Ticks) -> list[str]:
    """The hands whose solo begins at this step."""
    right, left = after.hand(RIGHT), after.hand(LEFT)
    alone = [s for s in sends if len(s.hands) == 1 and not s.brings_home and s.hands[0] != FEET]
    if right == left or not alone:
        return []
    candidates = [s.hands[0] for s in alone if after.hand(s.hands[0]) is not None]
    candidates = [h for h in dict.fromkeys(candidates) if h not in search.open]
    chosen = [h for h in candidates if _is_solo(search, h, alone, onset)]
    if not chosen and len(candidates) == 1:
        other = LEFT if candidates[0] == RIGHT else RIGHT
        if after.hand(other) is not None and other not in search.open and _is_line(search.piece, other, onset):
            return [other]
    return chosen


def _is_solo(search: _Search, hand: str, sends: list[Send], onset: Ticks) -> bool:
    mine = [s for s in sends if hand in s.hands]
    sent = {h for s in sends if any(s.mark is m.mark for m in mine) for h in s.hands}
    if len(sent) == 1 and any(s.solo or opens_passage(s.mark) or _under_bracket(search.piece, s, onset) for s in mine):
        return True
    return _is_line(search.piece, hand, onset)


def _under_bracket(piece: Piece, send: Send, onset: Ticks) -> bool:
    text = send.mark.text
    return any(
        b.onset == onset and (b.part, b.staff) == (text.part, text.staff) and not b.dashes for b in piece.score.brackets
    )


def _is_line(piece: Piece, hand: str, onset: Ticks) -> bool:
    """Whether a hand plays mostly single notes in the next bars."""
    start = piece.lines[hand].from_(onset)
    if start >= len(piece.lines[hand].moments):
        return False
    first = piece.lines[hand].moments[start]
    bar = min(first.bar + 4, len(piece.score.bars) - 1)
    end = piece.score.end if bar == first.bar else piece.score.bars[bar].onset
    share = piece.lines[hand].line_share(first.onset, end)
    return float(share) >= float(load("passages")["line-share"])


def _begin(search: _Search, hand: str, sends: list[Send], after: Registration, onset: Ticks) -> None:
    piece = search.piece
    mine = [s for s in sends if hand in s.hands and len(s.hands) == 1]
    send = mine[-1] if mine else next(s for s in sends if len(s.hands) == 1)
    named = any(not s.crossed for s in mine) or any(i.hand for i in send.mark.instructions)
    line = piece.lines[hand]
    if line.from_(onset) >= len(line.moments):
        return
    search.open[hand] = Open(
        hand=hand,
        division=after.hand(hand),
        start=find_start(piece.around, line, onset, named=named),
        mark=send.mark,
        how=say("{text} sends the hand to a manual of its own", text=send.mark.text.text),
        stops=_drawn_in(piece.organ, after, after.hand(hand)),
        by_bracket=opens_passage(send.mark),
    )


def _drawn_in(organ: Organ | None, registration: Registration, division: str | None) -> tuple[str, ...]:
    if organ is None or division is None:
        return ()
    return tuple(s for s in registration.drawn if organ.division_of(s).id == division)

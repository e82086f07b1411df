"""Plays the piece through: folds every marking, in played order, into the registration in force."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, fields, replace
from operator import attrgetter

from core.findings import Finding, Level
from core.markings.gathering import MarkingRead, Markings
from core.markings.model import Action, Instruction
from core.memory import Memory
from core.organ.model import Organ, Role
from core.position import Position
from core.resolve.desk import stand_in_words
from core.resolve.hands import (
    BOTH,
    FEET,
    LEFT,
    RIGHT,
    Layout,
    Send,
    crossed,
    hands_meant,
    read_layout,
    sends_at,
    widened,
)
from core.resolve.model import Because, Keyboards, Registration, Step
from core.resolve.resolver import call_prepared, resolve
from core.resolve.returns import Return, returns_by_bar
from core.score.lines import HandLine
from core.score.model import MarkingId, PlayedBar, Score, ScoreText, Ticks
from core.score.music import Music
from core.texts import say

_PLAYERS_OWN = frozenset({"piston-not-known"})  # who pencils in a piston's number has set it
Pins = Mapping[MarkingId, Mapping[str, tuple[str, ...]]]


@dataclass(slots=True)
class _Desk:
    """The fold's running state: what is on, and where each hand was before it was sent away alone.

    `waiting` are divisions whose next registration was prepared while no hand went there: the hand that comes
    finds it drawn. Reeds made ready as a family ("anches préparées") wait for their own call.
    """

    registration: Registration
    home: dict[str, str | None] = field(default_factory=dict)
    waiting: set[str] = field(default_factory=set)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Piece:
    score: Score
    organ: Organ | None
    keyboards: Keyboards
    layout: Layout
    language: str | None
    tradition: str | None
    pins: Pins
    lines: Mapping[str, HandLine]
    memory: Memory
    base: object  # the same thing as long as all of the above but the pins and the score's texts are the same


def play_through(
    score: Score,
    markings: Markings,
    organ: Organ | None,
    keyboards: Keyboards,
    *,
    music: Music,
    pins: Pins | None = None,
    tradition: str | None = None,
    memory: Memory | None = None,
) -> tuple[Step, ...]:
    """Every moment at which the registration changes, in played order, the opening one at onset 0.

    Without an organ the hands are followed by the piece's own names of divisions; nothing is drawn.
    """
    layout = read_layout(score, markings)
    memory = memory or Memory()
    piece = _Piece(
        score=score,
        organ=organ,
        keyboards=keyboards,
        layout=layout,
        language=markings.language,
        tradition=tradition,
        pins=pins or {},
        lines=music.lines,
        memory=memory,
        base=memory.settle(
            "piece", (organ, keyboards, layout, markings.language, tradition, music, score.bars, score.ticks), object
        ),
    )
    by_bar = _marks_by_bar(markings.marks)
    returns = returns_by_bar(score, markings, layout, music)
    desk = _Desk(_opening(organ))
    steps: list[Step] = []
    movements = set(score.movements) - {0}
    for played in score.played:
        if played.bar in movements and played.nth == 1 and by_bar.get(played.bar):
            desk = _Desk(_opening(organ))
        steps.extend(_bar_steps(piece, desk, played, by_bar.get(played.bar, {}), returns.get(played.bar, {})))
    return tuple(_with_opening(steps, score, organ))


def step_after(
    score: Score,
    markings: Markings,
    organ: Organ | None,
    keyboards: Keyboards,
    *,
    lines: Mapping[str, HandLine],
    before: Registration,
    mark: MarkingRead,
    nth: int = 1,
    tradition: str | None = None,
) -> Step:
    """What one marking would do over a registration, as `play_through` would have it; nothing else is played.

    Where a hand was before a solo is not known here: words that bring it home take it to the other hand's manual.
    """
    piece = _Piece(
        score=score,
        organ=organ,
        keyboards=keyboards,
        layout=read_layout(score, markings),
        language=markings.language,
        tradition=tradition,
        pins={},
        lines=lines,
        memory=Memory(),
        base=None,
    )
    at = score.position(mark.text.onset, mark.text.bar, nth)
    return _apply(piece, _Desk(before), [mark], at, mark.text.onset)


def _opening(organ: Organ | None) -> Registration:
    pedal = organ.pedal.id if organ and organ.pedal else ("pedal" if organ is None else None)
    return Registration(hands=((RIGHT, None), (LEFT, None), (FEET, pedal)))


def _marks_by_bar(marks: Iterable[MarkingRead]) -> dict[int, dict[Ticks, list[MarkingRead]]]:
    found: dict[int, dict[Ticks, list[MarkingRead]]] = defaultdict(lambda: defaultdict(list))
    for mark in marks:
        onset, bar = (0, 0) if mark.opening else (mark.text.onset, mark.text.bar)
        found[bar][onset].append(mark)
    return found


def _bar_steps(
    piece: _Piece,
    desk: _Desk,
    played: PlayedBar,
    marks: Mapping[Ticks, list[MarkingRead]],
    returns: Mapping[Ticks, list[Return]],
) -> Iterable[Step]:
    start = piece.score.bars[played.bar].onset
    for onset in sorted({*marks, *returns}):
        at = piece.score.position(onset, played.bar, played.nth)
        _bring_home(desk, returns.get(onset, []))
        here = marks.get(onset, [])
        if played.nth > 1:
            here = [mark for mark in here if not mark.opening]
        yield _recalled(piece, desk, here, at, played.onset + onset - start)


def _recalled(piece: _Piece, desk: _Desk, marks: list[MarkingRead], at: Position, played: Ticks) -> Step:
    """What `_apply` does; known already where the same markings come upon the same state, as before an edit."""
    pins = tuple(piece.pins.get(mark.id) for mark in marks)
    state = (desk.registration, dict(desk.home), frozenset(desk.waiting))

    def work() -> tuple[Step, dict[str, str | None], frozenset[str]]:
        step = _apply(piece, desk, marks, at, played)
        return step, dict(desk.home), frozenset(desk.waiting)

    key = ("step", at.bar, at.nth, at.onset)
    step, home, waiting = piece.memory.settle(key, (piece.base, at, played, state, _asked(marks), pins), work)
    desk.registration, desk.home, desk.waiting = step.registration, dict(home), set(waiting)
    return step


_OF_TEXT = attrgetter(*(f.name for f in fields(ScoreText) if f.name != "element"))
_OF_MARK = attrgetter(*(f.name for f in fields(MarkingRead) if f.name not in ("text", "stack")))


def _asked(marks: list[MarkingRead]) -> tuple[object, ...]:
    """All that markings say; of the numbers of directions and stacks only what they tell of order and company."""
    stacks = [mark.stack for mark in marks]
    order = sorted(range(len(marks)), key=lambda index: marks[index].text.element)
    together = [stacks.index(stack) for stack in stacks]
    return order, together, [_OF_TEXT(mark.text) for mark in marks], [_OF_MARK(mark) for mark in marks]


def _bring_home(desk: _Desk, returns: Iterable[Return]) -> None:
    for back in returns:
        for hand in back.hands:
            home = desk.home.pop(hand, None)
            if home is not None:
                desk.registration = _sent(desk.registration, hand, home)


def _apply(piece: _Piece, desk: _Desk, marks: list[MarkingRead], at: Position, played: Ticks) -> Step:
    because: list[Because] = []
    findings: list[Finding] = []
    onset = int(at.onset * piece.score.ticks)
    sends = crossed(piece.layout, sends_at(piece.layout, marks, at.nth), piece.lines, onset)
    said = {hand for send in sends for hand in send.hands}
    for send in sends:
        if LEFT not in said:
            send = widened(piece.layout, send, desk.registration, piece.lines, onset)
        findings.extend(_move(piece, desk, send, at))
    all_coupled = any(_couples_all(i) for m in marks for i in m.instructions)
    for mark in sorted(marks, key=lambda m: (not m.opening, m.text.element)):
        if piece.organ is None or not mark.instructions:
            continue
        done = resolve(
            mark.instructions,
            piece.organ,
            desk.registration,
            keyboards=piece.keyboards,
            staff_division=_where(piece, desk, mark),
            language=mark.reading.language or piece.language,
            tradition=piece.tradition,
            pins=piece.pins.get(mark.id, {}),
            nth=at.nth,
            marking=_printed(mark),
            at=at,
            staff=mark.text.staff,
            text=mark.text.text,
            all_coupled=all_coupled,
        )
        desk.registration = done.registration
        desk.waiting |= _prepared_in(piece, mark)
        _follow_stops(piece, desk, mark, done.because, said)
        because.extend(done.because)
        findings.extend(f for f in done.findings if not (mark.pencil and f.rule in _PLAYERS_OWN))
    return Step(
        at=at,
        played=played,
        registration=desk.registration,
        markings=tuple(m.id for m in marks if not m.pencil),
        texts=tuple(m.text.text for m in marks),
        readings=tuple(m.reading for m in marks),
        instructions=tuple(i for m in marks for i in m.instructions),
        because=tuple(because),
        findings=tuple(findings),
        staff=marks[0].text.staff if marks else None,
    )


def _follow_stops(piece: _Piece, desk: _Desk, mark: MarkingRead, because: tuple[Because, ...], said: set[str]) -> None:
    """Stops asked for a hand without a division are played where they stand: the hand goes there."""
    drawn = [i for i in mark.instructions if i.action is Action.DRAW and i.stops]
    if mark.opening or len(drawn) != len(mark.instructions) or any(i.division for i in drawn):
        return
    places = {b.division for b in because if b.chosen and b.division}
    hands = {i.hand for i in drawn}
    if len(places) != 1 or len(hands) != 1:
        return
    division = places.pop()
    pedal = piece.organ.pedal if piece.organ else None
    if division is None or (pedal and division == pedal.id):
        return
    for hand in hands_meant(piece.layout, mark.text, hands.pop())[0]:
        before = desk.registration.hand(hand)
        if hand in said or hand == FEET or before == division:
            continue
        desk.home[hand] = before
        desk.registration = _sent(desk.registration, hand, division)


def _move(piece: _Piece, desk: _Desk, send: Send, at: Position) -> Iterable[Finding]:
    """Send the hands of one marking; a division that this organ cannot answer is a finding."""
    if send.brings_home:
        _move_home(desk, send.hands)
        return
    word = send.division or ""
    division = _answering(piece, word)
    if division is None:
        if any(i.action is Action.PLAY and i.division == word for i in send.mark.instructions):
            yield _division_missing(piece, send, word, at)
        return
    if piece.organ is not None and word in piece.keyboards.substitutes:
        yield _division_missing(piece, send, word, at, piece.organ.division(division).name)
    for hand in send.hands:
        _leave_home(desk, hand, division, alone=len(send.hands) == 1)
        desk.registration = _sent(desk.registration, hand, division)
    if piece.organ is not None and division in desk.waiting:
        desk.waiting.discard(division)
        desk.registration = call_prepared(piece.organ, desk.registration, division)


def _couples_all(instruction: Instruction) -> bool:
    return instruction.action is Action.COUPLE and instruction.coupler is None and instruction.division is None


def _move_home(desk: _Desk, hands: tuple[str, ...]) -> None:
    """Words end a solo: a hand that is away comes home; where none is known to be, it joins the other hand."""
    away = [hand for hand in hands if desk.home.get(hand) is not None] or list(hands)
    for hand in away:
        home = desk.home.pop(hand, None) or desk.registration.hand(_other(hand))
        if home is not None:
            desk.registration = _sent(desk.registration, hand, home)


def _leave_home(desk: _Desk, hand: str, division: str, *, alone: bool) -> None:
    """Keep where a hand sent away by itself is at home: beside the other hand, from solo to solo."""
    before, home = desk.registration.hand(hand), desk.home.get(hand)
    if not alone or division == home:
        desk.home.pop(hand, None)
    elif before != division and (home is None or desk.registration.hand(_other(hand)) != home):
        desk.home[hand] = before


def _other(hand: str) -> str:
    return LEFT if hand == RIGHT else RIGHT


def _prepared_in(piece: _Piece, mark: MarkingRead) -> set[str]:
    """The divisions whose whole registration a marking makes ready for the hand that comes next."""
    drawn = {i.division for i in mark.instructions if i.action in (Action.DRAW, Action.ADD)}
    ready = {
        i.division
        for i in mark.instructions
        if i.action is Action.PREPARE
        and i.division not in drawn
        and not all(r.name is None and r.family == "reed" for r in i.stops)
    }
    answers = piece.keyboards.answers
    return {answers[word] for word in ready if word in answers}


def _answering(piece: _Piece, word: str) -> str | None:
    """The division of this organ that a word of the piece means; the chief manual where a full organ needs one."""
    if piece.organ is None:
        return word
    if word in piece.keyboards.answers or word != Role.GREAT:
        return piece.keyboards.answers.get(word)
    chief = piece.organ.with_role(Role.GREAT) or piece.organ.with_role(Role.MANUAL_1)
    return chief.id if chief else next((d.id for d in piece.organ.manuals), None)


def _division_missing(piece: _Piece, send: Send, word: str, at: Position, stand_in: str | None = None) -> Finding:
    """That the organ lacks a division a hand is sent to, and what stands in for it, if anything does."""
    assert piece.organ is not None
    message = say("{text}: {organ} has no such division", text=send.mark.text.text, organ=piece.organ.name)
    why = say("nothing on this organ answers “{word}”, so the hand stays where it is", word=word)
    if stand_in is not None:
        message, why = stand_in_words(word, stand_in)
    return Finding(
        rule="missing-division",
        level=Level.ERROR if stand_in is None else Level.WARNING,
        message=message,
        why=why,
        at=at,
        staff=send.mark.text.staff,
        marking=_printed(send.mark),
        cause=f"division:{word}",
    )


def _printed(mark: MarkingRead) -> MarkingId | None:
    """A marking's name, where the file has it: what is pencilled in has no place in the print to be mended."""
    return None if mark.pencil else mark.id


def _sent(registration: Registration, hand: str, division: str) -> Registration:
    hands = dict(registration.hands)
    hands[hand] = division
    return replace(registration, hands=tuple(hands.items()))


def _where(piece: _Piece, desk: _Desk, mark: MarkingRead) -> str | None:
    """The division where the hand of a marking's staff is (between the staves: the right hand's)."""
    hand = piece.layout.hand_of(mark.text)
    named = next((i.hand.value for i in mark.instructions if i.hand), None)
    if named in (*BOTH, FEET):
        hand = named
    return desk.registration.hand(hand or RIGHT)


def _with_opening(steps: list[Step], score: Score, organ: Organ | None) -> list[Step]:
    if (steps and steps[0].played == 0) or not score.bars:
        return steps
    return [Step(at=score.position(0, 0), played=0, registration=_opening(organ)), *steps]

"""The whole walk as one pure function: score, organ and the user's decisions in; readings to findings out."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from functools import partial

from core.checks.context import Context
from core.checks.dismissals import set_aside
from core.checks.runner import Report, run
from core.document import Document, score_of
from core.findings import Finding
from core.markings.gathering import MarkingRead, Markings, gather
from core.markings.house_style import Style
from core.markings.lexicon import Lexicon
from core.markings.pencil import PencilMark, read_pencil, with_pencil
from core.markings.reading import read_marking
from core.memory import Memory
from core.notes import pencil_on, pins_on
from core.organ.model import Organ
from core.passages.model import Passage
from core.passages.solo import find_passages
from core.practice.player import ALONE, Player
from core.resolve.feet import feet_spans, give_feet_their_notes
from core.resolve.keyboards import propose_keyboards
from core.resolve.model import Keyboards, Step
from core.resolve.playthrough import Pins, play_through
from core.resolve.stretches import Stretch
from core.resolve.traditions import TRADITIONS
from core.score.lines import HandLine
from core.score.model import Score, Ticks
from core.score.music import Music
from core.score.solo_staff import give_solo_hand_its_line

Told = Callable[[str], None]
STAGES = 4
"""How often `Told` is called in one walk over a document."""


def _untold(words: str) -> None:
    """Nobody listens."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Decisions:
    """What the user decided about a piece on an organ, as far as the walk needs it.

    Attributes:
        language: of the markings, where the vote is wrong.
        tradition: whose custom answers them, where what is found is wrong.
        words: the user's own.
        keyboards: rows of the keyboards table that the user set (piece's word to division id).
        pins: other stops than the proposed ones, by marking and request.
        style: the house style that the markings are proved against.
        player: alone at the console, or with assistants.
        pencil: what is pencilled in for this organ.
    """

    language: str | None = None
    tradition: str | None = None
    words: Lexicon | None = None
    keyboards: Mapping[str, str] = field(default_factory=dict)
    pins: Pins = field(default_factory=dict)
    style: Style | None = None
    player: Player = ALONE
    pencil: tuple[PencilMark, ...] = ()


@dataclass(frozen=True)
class Analysis:
    """Everything derived from a score and an organ.

    Attributes:
        stretches: in which one registration holds, in played order.
        score: with the notes given to whom the piece gives them; `read` is the score as it was read.
        memory: what the next walk can take from this one.
        pencil: the player's own marks, read; they are no part of `markings`.
    """

    score: Score
    organ: Organ | None
    decisions: Decisions
    markings: Markings
    keyboards: Keyboards
    steps: tuple[Step, ...]
    stretches: tuple[Stretch, ...]
    passages: tuple[Passage, ...]
    lines: dict[str, HandLine]
    report: Report
    memory: Memory = field(compare=False, repr=False)
    read: Score = field(compare=False, repr=False)
    pencil: tuple[MarkingRead, ...] = ()

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What a person should look at, in score order."""
        return self.report.findings

    def at(self, onset: Ticks, nth: int = 1) -> Step | None:
        """The step in force at a written onset, the n-th time it is played (the first where never)."""
        for stretch in self.stretches:
            if stretch.nth == nth and stretch.start <= onset < stretch.end:
                return stretch.step
        return self.steps[0] if self.steps else None

    def next_change(self, step: Step) -> Step | None:
        """The step after one in played order."""
        index = bisect_right([s.played for s in self.steps], step.played)
        return self.steps[index] if index < len(self.steps) else None


def analyse(
    score: Score,
    organ: Organ | None,
    decisions: Decisions | None = None,
    *,
    told: Told = _untold,
    earlier: Analysis | None = None,
) -> Analysis:
    """Run the whole walk. Without an organ, what needs none: readings, hands, passages, their findings.

    `told` is called with a few words as each stage begins, for a progress bar. `earlier` is the outcome of a
    walk before: what depends on nothing that differs is taken from there; the outcome is the same without it.
    """
    decided, as_read = decisions or Decisions(), score
    memory = Memory(earlier.memory if earlier is not None else None)
    told("reading the markings")
    read = partial(read_marking, user_words=decided.words) if decided.words else read_marking
    markings = gather(score, read, language=decided.language)
    music = _music(score, markings, memory)
    if music.notes is not score.notes:
        score = replace(score, notes=music.notes)
    pencil = read_pencil(score, decided.pencil, read, language=markings.language)
    played = with_pencil(markings, pencil)
    keyboards = _keyboards_played(match_keyboards(markings, organ, decided), played, organ, decided)
    told("playing the piece through")
    pins, custom = decided.pins, decided.tradition
    steps = play_through(score, played, organ, keyboards, music=music, pins=pins, tradition=custom, memory=memory)
    passages = find_passages(score, markings, steps, organ, keyboards, music, memory)
    told("checking")
    context = Context(
        score=score,
        markings=markings,
        organ=organ,
        keyboards=keyboards,
        steps=steps,
        passages=passages,
        music=music,
        memory=memory,
        style=decided.style,
        words=decided.words,
        player=decided.player,
    )
    report = run(context)
    memory.forget()
    return Analysis(
        score=score,
        organ=organ,
        decisions=decided,
        markings=markings,
        keyboards=keyboards,
        steps=steps,
        stretches=context.stretches,
        passages=passages,
        lines=music.lines,
        report=report,
        memory=memory,
        read=as_read,
        pencil=pencil,
    )


def _music(score: Score, markings: Markings, memory: Memory) -> Music:
    """What hands and feet play, with the notes given to whom the piece gives them."""
    spans = feet_spans(score, markings)
    notes = memory.settle(
        "notes",
        (score.notes, score.parts, spans),
        lambda: give_feet_their_notes(give_solo_hand_its_line(score), spans).notes,
    )
    return memory.settle("music", notes, lambda: Music(score if notes is score.notes else replace(score, notes=notes)))


def analyse_document(
    document: Document,
    *,
    language: str | None = None,
    words: Lexicon | None = None,
    style: Style | None = None,
    told: Told = _untold,
    score: Score | None = None,
    earlier: Analysis | None = None,
    player: Player = ALONE,
) -> Analysis:
    """Run the whole walk over a document: with the parts and hands that the user told, and every decision.

    `score` is the document's score, where the caller has it read already; `earlier` as in `analyse`.
    """
    told("reading the score")
    score = score or score_of(document, earlier.read if earlier is not None else None)
    organ, notes = document.organ, document.notes
    decisions = Decisions(
        language=language or notes.language or None,
        tradition=notes.tradition if notes.tradition in TRADITIONS else None,
        words=words,
        style=style,
        player=player,
        pencil=pencil_on(notes, score, organ.name if organ is not None else ""),
    )
    if organ is not None:
        keyboards, pins = notes.keyboards_on(organ.name), pins_on(notes, score, organ.name)
        decisions = replace(decisions, keyboards=keyboards, pins=pins)
    analysis = analyse(score, organ, decisions, told=told, earlier=earlier)
    return replace(analysis, report=set_aside(analysis.report, notes, analysis.score))


def match_keyboards(markings: Markings, organ: Organ | None, decisions: Decisions) -> Keyboards:
    """Which of the organ's divisions answers each that the piece names."""
    if organ is None:
        return Keyboards()
    return propose_keyboards(divisions_named(markings), organ, language=markings.language, user=decisions.keyboards)


def _keyboards_played(printed: Keyboards, played: Markings, organ: Organ | None, decisions: Decisions) -> Keyboards:
    """The table with what only the pencil names; the print's own rows stay as they are."""
    more = tuple(name for name in divisions_named(played) if name not in {*printed.answers, *printed.missing})
    if organ is None or not more:
        return printed
    added = propose_keyboards(more, organ, language=played.language, user=decisions.keyboards)
    return replace(
        printed,
        answers={**added.answers, **printed.answers},
        why={**added.why, **printed.why},
        missing=printed.missing | added.missing,
        substitutes=printed.substitutes | (added.substitutes - set(printed.answers)),
    )


def divisions_named(markings: Markings) -> tuple[str, ...]:
    """Every division or keyboard that the piece's markings name, in order of appearance."""
    found: dict[str, None] = {}
    for mark in markings.marks:
        for instruction in mark.instructions:
            for each in (instruction, *instruction.alternatives):
                if each.division:
                    found.setdefault(each.division)
                if each.coupler:
                    for end in (each.coupler.source, each.coupler.target):
                        if end:
                            found.setdefault(end)
    return tuple(found)

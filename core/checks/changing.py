"""Rules about changes: under a held key, too quick, or different the second time."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator
from operator import attrgetter

from core.checks.context import Context
from core.checks.registry import Needs, rule
from core.findings import Finding, Level
from core.markings.model import Action
from core.organ.model import AidKind, Organ
from core.organ.spelling import coupler_label, stop_label
from core.practice.leisure import Leisure
from core.practice.player import one_motion, seconds_needed
from core.resolve.model import Registration
from core.score.model import MarkingId
from core.texts import Said, say

_BY_PISTON = frozenset({AidKind.GENERAL, AidKind.DIVISIONAL, AidKind.STEPPER, AidKind.FIXED, AidKind.VENTIL})
_FEW = 3  # fewer controls than this a hand moves in passing


@rule("note-held-over-manual-change", level=Level.WARNING, needs=Needs.NOTHING)
def note_held_over_manual_change(context: Context) -> Iterator[Finding]:
    """A hand is sent to another manual while it holds a key.

    What: A tie or a long note goes on over the moment at which its hand changes manual.
    Why: The key falls silent when the hand leaves it.
    Example: "Sw." for the right hand in the middle of its tied chord.
    Remedy: Move the marking to the next note, or end the held note there.
    """
    held, longest = context.held, context.music.longest
    before: Registration | None = None
    for step in context.steps:
        now = step.registration
        if before is not None and step.at.nth == 1:
            onset = int(step.at.onset * context.score.ticks)
            for hand, notes in held.items():
                old, new = before.hand(hand), now.hand(hand)
                if old is None or old == new or not step.markings:
                    continue
                first = bisect_left(notes, onset - longest[hand], key=_onset)
                over = [n for n in notes[first : bisect_left(notes, onset, key=_onset)] if onset < n.end]
                if over and not _doubtful_solo_at(context, onset, hand):
                    yield Finding(
                        rule="note-held-over-manual-change",
                        level=Level.WARNING,
                        message=say("the {hand} hand is sent away while it holds a note", hand=say(hand)),
                        why=say("a key that a hand leaves falls silent"),
                        at=step.at,
                        staff=over[0].staff,
                        marking=step.markings[0],
                        cause="held",
                    )
        before = now


_onset = attrgetter("onset")


def _doubtful_solo_at(context: Context, onset: int, hand: str) -> bool:
    """Whether that place is told already as a solo whose first note is in doubt."""
    bar = context.score.bar_at(onset).index
    return any(not p.marked_start and p.hand == hand and abs(p.start.bar - bar) <= 1 for p in context.passages)


@rule("change-too-quick", level=Level.WARNING)
def change_too_quick(context: Context) -> Iterator[Finding]:
    """More stops change than the time allows.

    What: Several stops or couplers change at once while neither hand has a rest long enough to move them.
    Why: A hand draws one to four stops in about a second; a piston needs only a thumb or a toe. Time that is the
        player's own (a fermata, ad lib.) counts as enough; in a ritardando it is advice.
    Example: Six stops changed between two notes on an organ without pistons.
    Remedy: Set a piston, ask an assistant, or change fewer stops.
    """
    aids = any(a.kind in _BY_PISTON for a in context.the_organ.aids)
    for step, change in zip(context.steps, context.changes, strict=True):
        left = context.player.left_to_hands(change.movements)
        if change.seconds_free is None or left < _FEW or not step.markings:
            continue
        leisure = context.leisure(int(step.at.onset * context.score.ticks))
        if change.seconds_free >= seconds_needed(left) or leisure is Leisure.FREE:
            continue
        full = any(i.action is Action.FULL for i in step.instructions)  # helpers and ventils are usual for these
        mild = aids or full or leisure is Leisure.SLOWING or left <= one_motion()
        yield Finding(
            rule="change-too-quick",
            level=Level.ADVICE if mild else Level.WARNING,
            message=say(
                "{count} controls change with a hand free for {free} s: too quick by hand"
                if change.seconds_free
                else "{count} controls change while neither hand has a moment free: too quick by hand",
                count=change.movements,
                free=f"{float(change.seconds_free):.1f}",
            ),
            why=say("it needs a piston, or an assistant")
            if aids
            else say("this organ has no piston that would do it; it needs an assistant"),
            at=step.at,
            staff=step.staff,
            marking=step.markings[0],
            cause="time",
        )


@rule("second-time-differs", level=Level.WARNING)
def second_time_differs(context: Context) -> Iterator[Finding]:
    """A repeated section begins with another registration the second time.

    What: What was changed within a section is still so when the section is played again.
    Why: The second time sounds otherwise than the first; that may be meant, or forgotten.
    Example: "add Principal 4" in bar 7 of a section repeated from bar 3.
    Remedy: Write what holds at the repeat, or "2nd time" beside the change.
    """
    first_bars = _repeat_starts(context)
    firsts = {s.start: s for s in context.stretches if s.nth == 1}
    by_pass = [s for s in context.stretches if s.nth == 2 and s.start in first_bars]
    for stretch in by_pass:
        first = firsts.get(stretch.start) or context.stretch_at(stretch.start)
        if first is None or _passes_named(context, first.step.markings):
            continue
        difference = _difference(context.the_organ, first.registration, stretch.registration)
        if difference is None:
            continue
        yield Finding(
            rule="second-time-differs",
            level=Level.WARNING,
            message=say("the second time begins with another registration: {what}", what=difference),
            why=say("what changed within the section is still so when it is played again"),
            at=context.position(stretch.start, nth=2),
            staff=1,
        )


def _repeat_starts(context: Context) -> set[int]:
    """Written onsets of bars that begin a second time through."""
    found = set()
    before = None
    for played in context.score.played:
        if played.nth == 2 and (before is None or before.nth == 1 or before.bar + 1 != played.bar):
            found.add(context.score.bars[played.bar].onset)
        before = played
    return found


def _passes_named(context: Context, markings: tuple[MarkingId, ...]) -> bool:
    return any(i.passes for m in markings if m in context.marks for i in context.marks[m].instructions)


def _difference(organ: Organ, first: Registration, second: Registration) -> Said | None:
    added = [stop_label(organ.stop(s)) for s in second.drawn if s not in first.drawn]
    gone = [stop_label(organ.stop(s)) for s in first.drawn if s not in second.drawn]
    words = [f"+ {name}" for name in added] + [f"– {name}" for name in gone]
    for index in sorted(second.couplers ^ first.couplers):
        sign = "+" if index in second.couplers else "–"
        words.append(f"{sign} {coupler_label(organ, organ.couplers[index])}")
    for hand in ("right", "left"):
        if first.hand(hand) != second.hand(hand) and second.hand(hand):
            words.append(f"{hand} hand on the {organ.division(second.hand(hand) or '').name}")
    return say("{changes}", changes=", ".join(words)) if words else None

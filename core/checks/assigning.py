"""Rules about which hand plays where: what two hands cannot do at once."""

from __future__ import annotations

from collections.abc import Iterator

from core.checks.context import Context
from core.checks.registry import Needs, rule
from core.findings import Finding, Level
from core.knowledge.loader import load
from core.organ.model import Organ
from core.practice.changes import seconds_between
from core.resolve.hands import LEFT, RIGHT, Send, is_thumbed, sends_at
from core.resolve.model import Registration, Step
from core.texts import say

_HANDS = (RIGHT, LEFT)


@rule("hand-on-two-manuals", level=Level.WARNING, needs=Needs.NOTHING)
def hand_on_two_manuals(context: Context) -> Iterator[Finding]:
    """One hand is sent to two manuals at once.

    What: Two markings at one moment send a hand to different manuals, or three manuals are asked of two hands.
    Why: A hand plays one keyboard; only a thumb reaches the one next below.
    Example: "R.H. Sw." and "R.H. Ch." at the same note.
    Remedy: Strike one out, or say which notes are thumbed on the manual below.
    """
    for step in context.steps:
        if step.at.nth > 1:
            continue
        marks = [context.marks[m] for m in step.markings if m in context.marks]
        if len(marks) < 2 or any(is_thumbed(m) for m in marks):
            continue
        sends = sends_at(context.layout, marks, 1)
        crowded = _three_for_two(sends)
        clash = _clash(sends)
        if clash is None and crowded is None:
            continue
        one, two = clash or crowded or (sends[0], sends[0])
        yield Finding(
            rule="hand-on-two-manuals",
            level=Level.WARNING,
            message=say(
                "the {hand} hand is sent to two manuals at once: “{one}” and “{two}”",
                hand=one.hands[0],
                one=one.mark.text.text,
                two=two.mark.text.text,
            )
            if clash
            else say("three keyboards for two hands: nobody is left for “{one}”", one=one.mark.text.text),
            why=say("one hand plays one keyboard; two hands cannot serve three"),
            at=step.at,
            staff=two.mark.text.staff,
            marking=two.mark.id,
            cause="two-manuals",
        )


def _clash(sends: list[Send]) -> tuple[Send, Send] | None:
    """Two sends of the same single hand to different divisions, each named by a marking of its own."""
    for number, one in enumerate(sends):
        for two in sends[number + 1 :]:
            alone = len(one.hands) == 1 and one.hands == two.hands
            named = all(s.explicit or any(i.hand for i in s.mark.instructions) for s in (one, two))
            if alone and named and one.division != two.division and one.mark.id != two.mark.id:
                return one, two
    return None


def _three_for_two(sends: list[Send]) -> tuple[Send, Send] | None:
    """A send of both hands of which, at the same moment, each is sent to another manual still."""
    named = [s for s in sends if s.explicit or any(i.hand for i in s.mark.instructions)]
    for both in named:
        own = {s.hands[0]: s for s in named if len(s.hands) == 1 and s.division != both.division}
        if len(both.hands) > 1 and len(own) == len(_HANDS) and len({s.division for s in own.values()}) > 1:
            return both, own[LEFT]
    return None


@rule("thumb-out-of-reach", level=Level.WARNING)
def thumb_out_of_reach(context: Context) -> Iterator[Finding]:
    """A thumb is sent to a manual that it cannot reach.

    What: A melody or note for the thumb is marked on another manual than the one next below its hand's.
    Why: Only on the manual directly below can a thumb play while the fingers stay above.
    Example: "R.H. thumb on Ch." while the right hand plays the Swell and the Great lies between.
    Remedy: Play the fingers' part on the manual next above, or give the notes to the other hand.
    """
    for mark in context.markings.marks:
        if mark.opening or not is_thumbed(mark):
            continue
        onset = mark.text.onset
        stretch = context.stretch_at(onset)
        hand = next((i.hand.value for i in mark.instructions if i.hand), context.layout.hand_of(mark.text))
        asked = next((i.division for i in mark.instructions if i.division), None)
        above = stretch.registration.hand(hand) if stretch and hand else None
        below = context.keyboards.answers.get(asked) if asked else None
        if not above or not below or _is_next_below(context.the_organ, above, below):
            continue
        names = {d: context.the_organ.division(d).name for d in (above, below)}
        yield Finding(
            rule="thumb-out-of-reach",
            level=Level.WARNING,
            message=say("the thumb cannot reach the {below} from the {above}", below=names[below], above=names[above]),
            why=say("a thumb plays beside its hand only on the manual next below"),
            at=context.position(onset, mark.text.bar),
            staff=mark.text.staff,
            marking=mark.id,
            cause="thumb",
        )


def _is_next_below(organ: Organ, above: str, below: str) -> bool:
    """Whether one keyboard is directly below another; where the organ does not say, it may be."""
    numbers = [(organ.division(d).keyboard or "").rpartition("-")[2] for d in (above, below)]
    if not all(n.isdigit() for n in numbers):
        return True
    return int(numbers[0]) - int(numbers[1]) == 1


@rule("one-manual-for-two", level=Level.WARNING)
def one_manual_for_two(context: Context) -> Iterator[Finding]:
    """Two manuals of the piece fall on one of this organ while both are needed.

    What: The hands are sent to different manuals, and this organ has only one that answers both.
    Why: The solo and its accompaniment would sound alike.
    Example: "R.H. Solo" and "L.H. Ch." on an organ of two manuals, where both fall on the Great.
    Remedy: Choose other keyboards for the piece, or draw the solo on the manual that is free.
    """
    words: dict[str, str] = {}
    told: set[tuple[str, str]] = set()
    for step in context.steps:
        marks = [context.marks[m] for m in step.markings if m in context.marks]
        for send in sends_at(context.layout, marks, step.at.nth):
            words.update({hand: send.division for hand in send.hands if send.division})
        pair = (words.get(RIGHT, ""), words.get(LEFT, ""))
        here = step.registration.hand(RIGHT)
        answers = context.keyboards.answers
        apart = pair[0] != pair[1] and all(pair) and answers.get(pair[0]) == answers.get(pair[1])
        if not apart or here != step.registration.hand(LEFT) or pair in told or not _names_meet(pair):
            continue
        told.add(pair)
        yield Finding(
            rule="one-manual-for-two",
            level=Level.WARNING,
            message=say(
                "the hands are sent to two manuals, and both fall on the {division} here",
                division=context.the_organ.division(here).name if here else "?",
            ),
            why=say("this organ has no second keyboard that answers; two hands need one each"),
            at=step.at,
            staff=step.staff,
            marking=step.markings[0] if step.markings else None,
            cause="one-manual",
        )


def _names_meet(pair: tuple[str, str]) -> bool:
    """Whether two words are of one kind: a name and a number may well mean the same keyboard."""
    return pair[0].startswith("manual-") == pair[1].startswith("manual-")


@rule("move-without-time", level=Level.ADVICE)
def move_without_time(context: Context) -> Iterator[Finding]:
    """A hand changes manual with hardly any time for it.

    What: Quick notes run on, without a rest, over the moment at which their hand goes to another manual.
    Why: The hand needs a moment to reach the other keyboard.
    Example: "Ch." in the middle of a run of semiquavers.
    Remedy: Move the marking to a rest or a longer note, or lighten the note before it.
    """
    before: Registration | None = None
    for step in context.steps:
        if before is not None and step.at.nth == 1 and step.markings:
            yield from _hurried(context, step, before)
        before = step.registration


def _hurried(context: Context, step: Step, before: Registration) -> Iterator[Finding]:
    onset = int(step.at.onset * context.score.ticks)
    least = float(load("passages")["manual-change-seconds"]) / 2
    for hand in _HANDS:
        old, new = before.hand(hand), step.registration.hand(hand)
        line = context.lines[hand]
        index = line.from_(onset)
        if old is None or old == new or not 0 < index < len(line.moments) or not line.strikes_at(onset):
            continue
        last = line.moments[index - 1]
        if last.end < onset or float(seconds_between(context.score, last.onset, onset)) >= least:
            continue
        yield Finding(
            rule="move-without-time",
            level=Level.ADVICE,
            message=say("the {hand} hand has no time to move to the other manual", hand=say(hand)),
            why=say("quick notes run on over the change, and a hand needs a moment to reach another keyboard"),
            at=step.at,
            staff=last.staff,
            marking=step.markings[0],
            cause="move",
        )

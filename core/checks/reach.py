"""Rules about hands and feet: what one hand can span, what two feet can play."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction

from core.checks.context import Context
from core.checks.registry import Needs, rule
from core.findings import Finding, Level
from core.organ.model import Key
from core.organ.spelling import write_key
from core.practice.changes import seconds_between
from core.score.held import Grip
from core.score.lines import Moment
from core.score.music import Music
from core.texts import Said, say

_NINTH = 14  # semitones: what one hand spans (common practice, no source)
_TENTH = 16
_FINGERS = 5
_QUICK_NOTES = 6  # pedal notes under one hairpin that make a running line
_ONE_FOOT = Fraction(1, 2)  # seconds a note: quicker ones want both feet (common practice, no source)


@rule("beyond-one-hand", level=Level.WARNING, needs=Needs.NOTHING)
def beyond_one_hand(context: Context) -> Iterator[Finding]:
    """A chord is wider or fuller than one hand can hold.

    What: One hand is given more than five keys, or a stretch beyond a ninth, that the other cannot help with.
    Why: An organ has no sustaining pedal: a note that is let go is gone.
    Example: C3 and E4 held together in the left hand while the right plays on another manual.
    Remedy: Give a note to the other hand or the feet, or leave one out.
    """
    helped: set[str] = set()
    for hand in ("right", "left"):
        last_bar = -2
        for grip, fault, is_shareable in context.recall(_crowded, context.music, hand):
            if grip.bar <= last_bar + 1:
                last_bar = grip.bar
                continue
            wide = grip.keys[-1] - grip.keys[0] > _TENTH or len(grip.keys) > _FINGERS
            if is_shareable and _on_one_manual(context, grip):
                if wide and hand not in helped:
                    helped.add(hand)
                    yield _helped(context, hand, grip, fault)
                continue
            last_bar = grip.bar
            yield Finding(
                rule="beyond-one-hand",
                level=Level.WARNING if wide else Level.ADVICE,
                message=say("the {hand} hand cannot hold {what}", hand=say(hand), what=fault),
                why=say("one hand has five fingers and spans about a ninth"),
                at=context.position(grip.onset, grip.bar),
                staff=grip.staff,
            )


def _crowded(music: Music, hand: str) -> list[tuple[Grip, Said, bool]]:
    """The grips that are too much for one hand, what is too much in each, and whether two hands can share it."""
    faults = ((grip, _too_much(grip.keys)) for grip in music.grips[hand])
    return [(grip, fault, _can_share(music, hand, grip)) for grip, fault in faults if fault is not None]


def _helped(context: Context, hand: str, grip: Grip, fault: Said) -> Finding:
    """A chord that is too wide as written, but that the other hand can help with; told once for each hand."""
    return Finding(
        rule="beyond-one-hand",
        level=Level.ADVICE,
        message=say("the {hand} hand cannot hold {what} alone; the other hand must help", hand=say(hand), what=fault),
        why=say("one hand has five fingers and spans about a ninth; a bracket shows who takes which note"),
        at=context.position(grip.onset, grip.bar),
        staff=grip.staff,
    )


def _too_much(keys: tuple[Key, ...]) -> Said | None:
    if len(keys) > _FINGERS:
        return say("{count} keys at once", count=len(keys))
    if keys[-1] - keys[0] > _NINTH:
        return say("{low} and {high} together", low=write_key(keys[0]), high=write_key(keys[-1]))
    return None


def _on_one_manual(context: Context, grip: Grip) -> bool:
    """Whether both hands are on one manual, as far as is known."""
    stretch = context.stretch_at(grip.onset)
    return stretch is None or stretch.registration.hand("right") == stretch.registration.hand("left")


def _can_share(music: Music, hand: str, grip: Grip) -> bool:
    """Whether the other hand can take over some of the notes, with what it holds itself."""
    held = music.lines["left" if hand == "right" else "right"].held_over(grip.onset + 1)
    other = held.keys if held else ()
    keys = sorted({*grip.keys, *other})
    for cut in range(len(keys) + 1):
        sides = (tuple(keys[:cut]), tuple(keys[cut:]))
        if all(not side or _too_much(side) is None for side in sides):
            return True
    return False


@rule("beyond-the-feet", level=Level.WARNING, needs=Needs.NOTHING)
def beyond_the_feet(context: Context) -> Iterator[Finding]:
    """The pedal has more notes at once than two feet play.

    What: Three or more pedal notes stand together.
    Why: Two feet play one note each, or two with heel and toe where the music is slow.
    Example: A pedal chord of C2, G2 and E3.
    Remedy: Give a note to a hand, through a coupler.
    """
    last_bar = -2
    for grip in context.grips["feet"]:
        if len(grip.keys) < 3:
            continue
        if grip.bar > last_bar + 1:
            yield Finding(
                rule="beyond-the-feet",
                level=Level.WARNING,
                message=say("{count} pedal notes at once: beyond two feet", count=len(grip.keys)),
                why=say("two feet play one note each, with heel and toe two where the music is slow"),
                at=context.position(grip.onset, grip.bar),
                staff=grip.staff,
            )
        last_bar = grip.bar


@rule("box-needs-a-foot", level=Level.WARNING)
def box_needs_a_foot(context: Context) -> Iterator[Finding]:
    """A box is to move while the feet are both needed.

    What: A hairpin stands over a pedal part that leaves no foot free.
    Why: A box pedal needs a foot for as long as it moves; the other can play a simple low line.
    Example: A crescendo on the Swell over two pedal notes at once.
    Remedy: Move the hairpin, thin the pedal, or let an assistant or a second box pedal do it.
    """
    parts = set(context.score.organ_parts)
    told: set[int] = set()
    for wedge in context.score.wedges:
        if wedge.part not in parts or wedge.bar in told:
            continue
        moments = context.lines["feet"].between(wedge.onset, max(wedge.end, wedge.onset + 1))
        both = any(len(m.keys) >= 2 for m in moments)
        if not both and not _busy(context, moments):
            continue
        told.add(wedge.bar)
        yield Finding(
            rule="box-needs-a-foot",
            level=Level.WARNING if both else Level.ADVICE,
            message=say("the hairpin needs a foot for the box, and both feet are playing")
            if both
            else say("the hairpin needs a foot for the box, and the pedal moves too fast for one foot"),
            why=say("two pedal notes at once leave no foot for the box pedal")
            if both
            else say("one foot can take a slow low line, hardly this one: that is for the player to judge"),
            at=context.position(wedge.onset, wedge.bar),
            staff=wedge.staff,
        )


def _busy(context: Context, moments: Sequence[Moment]) -> bool:
    """Whether a single pedal line is too quick for one foot: several notes, shorter than a beat's half second."""
    if len(moments) < _QUICK_NOTES:
        return False
    seconds = seconds_between(context.score, moments[0].onset, moments[-1].end)
    return seconds < len(moments) * _ONE_FOOT

"""Rules about what the markings say: words not understood, readings in doubt."""

from __future__ import annotations

from collections.abc import Iterator

from core.checks.context import Context
from core.checks.registry import Needs, rule
from core.findings import Finding, Level
from core.knowledge.loader import load
from core.organ.model import Role
from core.texts import say


@rule("marking-not-understood", level=Level.WARNING, needs=Needs.NOTHING)
def marking_not_understood(context: Context) -> Iterator[Finding]:
    """A word of a registration was not understood.

    What: A marking holds a word that is neither a stop, a division, a pitch nor an action known here.
    Why: The rest is in force, but what this word asks is not; a player may stumble over it too.
    Example: "Gt. 8 & 4, grumfelt"
    Remedy: Correct the word, or add it to your own words.
    """
    for mark in context.markings.marks:
        suits = any(i.division == Role.PEDAL for i in mark.instructions)  # "Ped. to balance" is answered
        known = load("recipes")["pedal_to_suit"] if suits else ()
        words = [u.text for u in mark.reading.unread if u.text.casefold() not in known]
        if not words:
            continue
        yield Finding(
            rule="marking-not-understood",
            level=Level.WARNING,
            message=say("{text}: “{words}” was not understood", text=mark.text.text, words="”, “".join(words)),
            why=say("what this asks is not in force"),
            at=context.position(mark.text.onset, mark.text.bar),
            staff=mark.text.staff,
            marking=mark.id,
            cause="unread",
        )


@rule("reading-in-doubt", level=Level.ADVICE, needs=Needs.NOTHING)
def reading_in_doubt(context: Context) -> Iterator[Finding]:
    """A marking can as well be read otherwise.

    What: The words allow another reading that is as good as the one taken.
    Why: Another player may take the other one.
    Example: "Gt. 2"
    Remedy: Add the word that decides: "Gt. Pist. 2", or "Gt. 2 ft."
    """
    settled = {passage.marking for passage in context.passages}  # "Sw. Solo" where a solo does begin
    for mark in context.markings.marks:
        if not mark.reading.ambiguous or not mark.instructions or mark.id in settled:
            continue
        yield Finding(
            rule="reading-in-doubt",
            level=Level.ADVICE,
            message=say("{text} can be read in more than one way", text=mark.text.text),
            why=say("the words alone do not decide"),
            at=context.position(mark.text.onset, mark.text.bar),
            staff=mark.text.staff,
            marking=mark.id,
            cause="doubt",
        )

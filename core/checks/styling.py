"""The rule about wording: markings that are not in the house style, where one is chosen."""

from __future__ import annotations

from collections.abc import Iterator

from core.checks.context import Context
from core.checks.registry import Needs, rule
from core.edit_values import ChangeMarking
from core.findings import Finding, Level, Proposal
from core.markings.style_proof import off_style, restyled
from core.texts import say


@rule("off-style", level=Level.ADVICE, needs=Needs.STYLE)
def off_the_style(context: Context) -> Iterator[Finding]:
    """A marking is not worded in the house style.

    What: A keyboard, a hand, a family, a stop's name or a pitch is written otherwise than in the chosen style.
    Why: One thing worded in several ways looks like several things, and costs the player a thought.
    Example: "Sw Oboe 8ft" where the style has "Sw. Oboe 8"
    Remedy: Take the style's wording; it asks the same.
    """
    style = context.style
    assert style is not None
    for mark in context.markings.marks:
        text = mark.text.text
        changes = context.recall(off_style, text, style, hint=context.markings.language, user_words=context.words)
        if not changes:
            continue
        wanted = restyled(text, changes).strip()
        change = ChangeMarking(marking=mark.id, text=wanted, measure=context.score.bars[mark.text.bar].number)
        yield Finding(
            rule="off-style",
            level=Level.ADVICE,
            message=say(
                "{words} in the house style “{style}”",
                words=", ".join(f"“{one.printed}” is “{one.wanted}”" for one in changes),
                style=style.title or style.name,
            ),
            why=say("the same thing is worded alike throughout; what it asks stays the same"),
            at=context.position(mark.text.onset, mark.text.bar),
            staff=mark.text.staff,
            marking=mark.id,
            proposals=(Proposal(say("write ‘{text}’", text=wanted), change),),
            cause="style",
        )

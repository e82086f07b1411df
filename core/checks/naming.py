"""Rules about wording: the same thing called by two names in one piece."""

from __future__ import annotations

from collections.abc import Iterator

from core.checks.context import Context
from core.checks.registry import Needs, rule
from core.findings import Finding, Level
from core.markings.gathering import MarkingRead
from core.organ.normal import key_of, loose_key
from core.texts import say


@rule("two-names-for-one-stop", level=Level.ADVICE, needs=Needs.NOTHING)
def two_names_for_one_stop(context: Context) -> Iterator[Finding]:
    """One kind of stop is called by two names in the piece.

    What: Two markings ask for the same kind of stop under different names.
    Why: A player may look for two stops where one is meant.
    Example: "Sw. Oboe" in bar 1 and "Sw. Hautboy" in bar 20.
    Remedy: Use one name throughout.
    """
    first: dict[tuple[str | None, str], tuple[str, MarkingRead]] = {}
    told: set[tuple[str, str]] = set()
    for mark in context.markings.marks:
        for instruction in mark.instructions:
            for request in instruction.stops:
                if not request.kind or not request.name:
                    continue
                key = (instruction.division, request.kind)
                name = request.name
                known, _ = first.setdefault(key, (name, mark))
                pair = (loose_key(key_of(known)), loose_key(key_of(name)))
                if pair[0] == pair[1] or pair in told:
                    continue
                told.add(pair)
                yield Finding(
                    rule="two-names-for-one-stop",
                    level=Level.ADVICE,
                    message=say("{now} here, {before} earlier: two names for one stop", now=name, before=known),
                    why=say("a player may look for two stops where one is meant"),
                    at=context.position(mark.text.onset, mark.text.bar),
                    staff=mark.text.staff,
                    marking=mark.id,
                    cause=f"naming:{request.kind}",
                )


@rule("two-names-for-one-manual", level=Level.ADVICE)
def two_names_for_one_manual(context: Context) -> Iterator[Finding]:
    """One manual is called by a name here and by a number there.

    What: Two markings mean the same keyboard, one by its name, the other by its number.
    Why: A player may look for two manuals where one is meant; numbers also differ from country to country.
    Example: "Gt." in bar 1 and "II" in bar 20.
    Remedy: Use one way throughout.
    """
    first: dict[str, tuple[str, MarkingRead]] = {}
    told: set[str] = set()
    for mark in context.markings.marks:
        for instruction in mark.instructions:
            word = instruction.division or ""
            division = context.keyboards.answers.get(word)
            if division is None or word in context.keyboards.substitutes or division in told:
                continue
            known, earlier = first.setdefault(division, (word, mark))
            if known.startswith("manual-") == word.startswith("manual-"):
                continue
            told.add(division)
            yield Finding(
                rule="two-names-for-one-manual",
                level=Level.ADVICE,
                message=say(
                    "“{now}” here, “{before}” earlier: two names for the {division}",
                    now=mark.text.text,
                    before=earlier.text.text,
                    division=context.the_organ.division(division).name,
                ),
                why=say("a player may look for two manuals where one is meant"),
                at=context.position(mark.text.onset, mark.text.bar),
                staff=mark.text.staff,
                marking=mark.id,
                cause=f"manual:{division}",
            )

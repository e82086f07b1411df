"""Texts that begin like a registration and are none because a word is misprinted."""

from __future__ import annotations

import re
from collections.abc import Iterator
from difflib import get_close_matches
from functools import cache

from core.checks.context import Context
from core.checks.registry import rule
from core.findings import Finding, Level
from core.knowledge.loader import load
from core.markings.model import ReadingKind
from core.organ.model import Organ
from core.texts import say

_WORD = re.compile(r"[^\W\d_]{4,}")
_NEAR = 0.75  # likeness from which a word is taken for a misprint of another
_SHORT = 4  # letters up to which a division's word is an abbreviation


@rule("perhaps-a-misprint", level=Level.WARNING)
def perhaps_a_misprint(context: Context) -> Iterator[Finding]:
    """A text begins with a keyboard's abbreviation, and then comes a word that is nearly a stop's.

    What: "Sw." or its like, and a word that is no stop of this organ but almost.
    Why: It is not read as a registration, so nothing of it is in force, and a player stumbles over it.
    Example: "Sw. Obeo"
    Remedy: Correct the word.
    """
    for mark in context.markings.all_texts:
        text = mark.text
        if mark.reading.kind is not ReadingKind.OTHER or not context.score.parts[text.part].organ:
            continue
        first, _, rest = text.text.strip("[]( \n").partition(" ")
        if first.rstrip(".:").casefold() not in _abbreviations():
            continue
        meant = _nearly(rest, context.the_organ)
        if meant is None:
            continue
        yield Finding(
            rule="perhaps-a-misprint",
            level=Level.WARNING,
            message=say("{text}: “{word}” was not understood; {stop} may be meant", text=text.text, word=meant[0],
                        stop=meant[1]),
            why=say("no stop of this organ is called so, but one nearly is; nothing of this is in force"),
            at=context.position(text.onset, text.bar),
            staff=text.staff,
            marking=mark.id,
            cause="misprint",
        )  # fmt: skip


def _nearly(text: str, organ: Organ) -> tuple[str, str] | None:
    """A word that is nearly, and not quite, one of a stop's name, with that name."""
    names = {
        word.casefold(): stop.name for d in organ.divisions for stop in d.stops for word in _WORD.findall(stop.name)
    }
    for word in _WORD.findall(text):
        low = word.casefold()
        close = get_close_matches(low, names, n=1, cutoff=_NEAR)
        if close and low not in names:
            return word, names[close[0]]
    return None


@cache
def _abbreviations() -> frozenset[str]:
    """Keyboards' abbreviations in all languages, without full stops."""
    found = set()
    for tongue in ("en", "fr", "de", "it", "es", "nl"):
        for words in (load(f"languages/{tongue}")["words"].get("division") or {}).values():
            found |= {w.rstrip(".").casefold() for w in words if len(w.rstrip(".")) <= _SHORT and " " not in w}
    return frozenset(found)

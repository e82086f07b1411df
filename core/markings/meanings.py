"""What a word of one's own can mean, in plain words: the choices that are offered where a word is taught.

Each choice has the form that `core.markings.user_words.add_word` takes.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from core.markings.explaining import plain_words
from core.markings.user_words import known_words
from core.organ.model import Family

SHORT_FOR = "short"
"""The group in which the name of a stop is wanted beside the word."""

_GROUPS = {
    "stop": "a stop",
    SHORT_FOR: "short for a stop’s name",
    "division": "a division or keyboard",
    "family": "the stops of a family",
    "action": "what to do",
    "aid": "a coupler or an aid",
    "quality": "how a stop sounds",
    "who": "which hand",
    "none": "not registration",
}
_ACTIONS = ["draw", "add", "take_off", "reduce", "crescendo", "prepare", "full", "cancel", "with", "without"]
_AIDS = ["tremulant", "box", "coupler", "pedal_coupler", "crescendo_pedal", "piston", "general"]
_BY_VALUE = {"division": "division", "family": "family", "quality": "quality", "who": "hand"}
_NONE = {
    "nothing": "nothing: pass it over",
    "tempo": "tempo",
    "expression": "expression or touch",
    "other": "something else: no registration where it stands",
}


@dataclass(frozen=True, slots=True)
class Meaning:
    """One choice: its key for `add_word`, its group, and both in plain words."""

    key: str
    group: str
    words: str


def groups() -> dict[str, str]:
    """The groups of meanings with their plain words, in the order in which they are offered."""
    return dict(_GROUPS)


@cache
def meanings() -> tuple[Meaning, ...]:
    """Every choice, in order; that of `SHORT_FOR` wants a name after its key."""
    found = [Meaning("stop", "stop", "a stop; its family is not said")]
    found += [Meaning(f"stop: {family.value}", "stop", f"a {family.value} stop") for family in Family]
    found.append(Meaning("stop: ", SHORT_FOR, "the name it stands for"))
    for group, kind in _BY_VALUE.items():
        values = sorted(known_words()[kind])
        found += [Meaning(f"{kind}: {value}", group, plain_words(kind, value)) for value in values]
    found += [Meaning(kind, "action", plain_words(kind, "")) for kind in _ACTIONS]
    found += [Meaning(kind, "aid", plain_words(kind, "")) for kind in _AIDS]
    found += [Meaning(key, "none", words) for key, words in _NONE.items()]
    return tuple(found)


def in_plain_words(kind: str, value: str) -> str:
    """What an own word means, for people: ``the Swell``, ``short for Open Diapason``."""
    if kind == "abbreviation":
        return f"short for {value}"
    if kind in ("stop", "stops"):
        return f"a {value} stop" if value else "a stop"
    if kind == "filler":
        return _NONE["nothing"]
    return _NONE.get(kind) or plain_words(kind, value)

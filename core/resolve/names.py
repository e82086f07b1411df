"""How well a stop answers a name: the same name, the same stop in another tongue, the same place in a chorus.

A grade is a number, 0 the best. Up to `ANSWERS` the stop is what was asked for; above it, it would be a
substitute (`core.resolve.substitutes`).
"""

from __future__ import annotations

import re
from fractions import Fraction
from functools import cache, lru_cache

from core.knowledge.loader import load
from core.markings.model import StopRequest
from core.organ.kinds import StopKind, kind
from core.organ.model import Family, Feet
from core.organ.names import expand, know_stop
from core.organ.normal import key_of, loose_key
from core.resolve.traits import Sort, Voice

SAME_NAME = 0
SAME_KIND = 1
NAME_WITHIN = 2
SAME_PLACE = 3
ANSWERS = 3
SMALL = 9

_NUMBER = re.compile(
    r"\b(?:nos?\.?\s*|nr\.?\s*)?(?P<figure>[1-4])(?:st|nd|rd|th|d)?\b\.?|\b(?P<roman>I{1,3}|IV)\b\.?"
    r"|\b(?P<word>first|second|third|large|small|grand|grande|groß|petit|petite|klein|prim[oa]|second[oa]|terz[oa]"
    r"|premi(?:er|ère)|deuxième|secundus|primus)\b",
    re.IGNORECASE,
)
_WORDS = {
    "first": 1, "second": 2, "third": 3, "large": 1, "small": 9, "i": 1, "ii": 2, "iii": 3, "iv": 4,
    "primo": 1, "prima": 1, "secondo": 2, "seconda": 2, "terzo": 3, "premier": 1, "première": 1, "deuxième": 2,
    "primus": 1, "secundus": 2,
}  # fmt: skip
_STOPPED = re.compile(r"^ged[ae]k?t?$")
_SPLIT = re.compile(r"[\s\-.,=/'’]+")


@lru_cache(maxsize=4096)
def number_of(name: str) -> int | None:
    """The number of a numbered stop: "Open Diapason No. 2", "Diapason II" → 2; small is the highest, 9."""
    for found in _NUMBER.finditer(name):
        text = (found["figure"] or found["roman"] or found["word"]).casefold()
        if text.isdigit():
            return int(text)
        if text in _WORDS:
            return _WORDS[text]
    return None


def base_key(name: str) -> str:
    """A name's key without its number."""
    return key_of(_NUMBER.sub(" ", name)) or key_of(name)


def wanted_kind(request: StopRequest, *, pedal: bool, language: str | None, tradition: str | None) -> StopKind | None:
    """The kind of stop that a request's name means."""
    if request.kind:
        try:
            return kind(request.kind)
        except KeyError:
            pass
    if not request.name:
        return None
    pitch = request.pitches[0] if request.pitches else None
    found = know_stop(request.name, language=language, pedal=pedal, pitch=pitch, tradition=tradition)
    return found.kind if found else None


@cache
def _generic_words() -> dict[str, str]:
    return {key_of(word): family for family, words in load("recipes")["generic"].items() for word in words}


def generic_family(name: str) -> str | None:
    """The family whose bare word a name is, or None."""
    return _generic_words().get(key_of(name))


def name_grade(name: str, wanted: StopKind | None, voice: Voice, feet: Feet | None) -> int | None:
    """How well a stop answers a name, 0 to `ANSWERS`; None where it does not.

    Args:
        name: as the marking has it.
        wanted: the kind it means, where known.
        voice: the stop.
        feet: the pitch asked for, where one is.
    """
    if feet is not None and voice.feet and voice.feet != feet:
        return None
    if _numbers_differ(name, voice):
        return None
    grade = _by_letters(name, voice.stop.name)
    if grade == SAME_NAME and not _reed_and_flue(wanted, voice):
        return grade
    if wanted is not None and voice.stop.kind == wanted.id:
        return SAME_KIND
    if grade is not None and _fits_family(wanted, voice):
        return grade
    if wanted is not None and _kind_within(wanted, voice):
        return NAME_WITHIN
    if wanted is not None and _same_place(wanted, voice, feet):
        return SAME_PLACE
    return None


def _kind_within(wanted: StopKind, voice: Voice) -> bool:
    """Whether one word of a longer name is that kind in another tongue: Gambe in Echo Gamba."""
    if wanted.family != voice.stop.family:
        return False
    words = [w for w in _SPLIT.split(voice.stop.name) if len(w) > 3]
    return len(words) > 1 and any(_kind_of_word(w) == wanted.id for w in words)


@cache
def _kind_of_word(word: str) -> str | None:
    found = know_stop(word)
    return found.kind.id if found is not None and not found.guess else None


def _numbers_differ(name: str, voice: Voice) -> bool:
    """Whether both are numbered and differently; "small" is whatever is not the first."""
    number, other = number_of(name), number_of(voice.stop.name)
    if number is None or other is None:
        return False
    if SMALL in (number, other):
        return 1 in (number, other)
    return number != other


@lru_cache(maxsize=65536)
def _by_letters(name: str, printed: str) -> int | None:
    one, other = base_key(expand(name)), base_key(expand(printed))
    if one == other or loose_key(one) == loose_key(other):
        return SAME_NAME
    words = [key_of(w) for w in _SPLIT.split(name) if key_of(w)]
    theirs = [key_of(w) for w in _SPLIT.split(printed) if key_of(w)]
    if words and all(any(_same_word(w, t) for t in theirs) for w in words):
        return NAME_WITHIN
    return None


def _same_word(one: str, other: str) -> bool:
    return _STOPPED.sub("gedakt", loose_key(one)) == _STOPPED.sub("gedakt", loose_key(other))


def _reed_and_flue(wanted: StopKind | None, voice: Voice) -> bool:
    """Whether one name means a reed here and a flue there, as a pedal Cornet 2 and a Cornet."""
    reed = Family.REED
    return wanted is not None and voice.kind is not None and (wanted.family is reed) != (voice.stop.family is reed)


def _fits_family(wanted: StopKind | None, voice: Voice) -> bool:
    """Whether a name within a name is that stop: Cornet in Echo Cornet, not Quint in Quint Trumpet."""
    return (
        wanted is None
        or wanted.family == voice.stop.family
        or (voice.kind is not None and wanted.group == voice.kind.group)
    )


@cache
def _places() -> tuple[frozenset[str], ...]:
    return tuple(map(frozenset, load("recipes")["same_place"]))


def _same_place(wanted: StopKind, voice: Voice, feet: Feet | None) -> bool:
    """Whether both hold the same place in a chorus of principals: Principal 8 and Open Diapason 8."""
    if voice.kind is None:
        return False
    mine, theirs = {wanted.id, f"@{wanted.group}"}, {voice.kind.id, f"@{voice.kind.group}"}
    if not any(mine & place and theirs & place for place in _places()):
        return False
    if voice.sort is Sort.ECHO_PRINCIPAL:
        return False
    if "wooden-diapason" in (wanted.group, voice.group) and wanted.group != voice.group and not voice.in_pedal:
        return False
    target = feet if feet is not None else wanted.usual_feet(pedal=voice.in_pedal)
    return target is None or voice.feet in (target, Fraction(0))

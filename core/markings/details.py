"""Reads what belongs to a stop after its name: numbers, ranks, halves, qualities, pitches."""

from __future__ import annotations

import re
from fractions import Fraction
from functools import cache

from core.knowledge.loader import load
from core.markings.language import has
from core.markings.pitches import pitch_run, rounded
from core.markings.requests import target
from core.markings.state import AND_SIGNS, Request, State
from core.markings.stop_words import is_mixture
from core.markings.tokens import Token

_RANKS_F = re.compile(r"\d+ ?f\.?")  # 3f., three ranks; 3 F. would be feet


_ADJECTIVES_AFTER = ("fr", "it", "es")
_MATERIALS = (("wood",), ("metal",))


def _material(state: State, request: Request) -> bool:
    """``Open Diap. (wood)``: of what the pipes are belongs to the name."""
    offset = 1 if state.kind() == "(" else 0
    token = state.peek(offset)
    if token is None or token.words not in _MATERIALS or not request.words or state.language != "en":
        return False
    request.words = f"{request.words} {token.words[0].title()}"
    state.take(1 + offset)
    if offset and state.kind() == ")":
        state.take(1)
    return True


_NOTHING_AFTER = frozenset(("", "break", ",", ";", ".", ")", "]", "division", "tremulant"))
"""What ends a stop: nothing of its own begins so."""


def read_after(state: State, request: Request) -> None:
    """What belongs to the request just read: number, ranks, half, pitches, qualities after it."""
    while state.kind() not in _NOTHING_AFTER and (
        _material(state, request)
        or _interval(state, request)
        or _number(state, request)
        or _ranks_told(state, request)
        or _ranks(state, request)
        or half_after(state, request)
        or quality_after(state, request)
        or _pitches_after(state, request)
    ):
        request.end = state.tokens[state.at - 1].end


_INTERVALS = {"12": Fraction(8, 3), "15": Fraction(2), "17": Fraction(8, 5), "19": Fraction(4, 3), "22": Fraction(1)}


def _interval(state: State, request: Request) -> bool:
    """``Nasardo en 12``: the rank by its interval, which fixes its pitch."""
    if not (request.words or "").casefold().startswith("nasardo"):
        return False
    offset = 1 if state.kind() == "at" else 0
    token = state.peek(offset)
    if token is None or token.kind not in ("num", "ordinal", "word") or token.foot or request.pitches:
        return False
    printed = state.text[token.start : token.end]
    digits = re.match(r"\d+", printed)
    pitch = _INTERVALS.get(digits.group()) if digits else None
    if pitch is None:
        return False
    request.words = f"{request.words} {state.text[state.tokens[state.at].start : token.end].rstrip('.')}"
    request.pitches.append(pitch)
    state.take(offset + 1)
    return True


def _number(state: State, request: Request) -> bool:
    """``No. 2``, ``Nos. 2 & 3``: the number of a rank stays in the name."""
    if not has(state.peek(), "number_sign") or state.kind(1) not in ("num", "roman") or not request.words:
        return False
    state.take(1)
    _numbered(state, request, "No. ")
    return True


def _numbered(state: State, request: Request, sign: str) -> None:
    name = request.words or ""
    first = state.take(1)
    request.words = f"{_singular(name) if _more_numbers(state) else name} {sign}{_digits(first)}"
    while _more_numbers(state):
        state.take(1)
        token = state.take(1)
        again = request.copy()
        again.words = f"{_singular(name)} {sign}{_digits(token)}"
        again.start, again.end = token.start, token.end
        target(state).append(again)


def _more_numbers(state: State) -> bool:
    token = state.peek(1)
    return (
        state.kind() in ("and", ",", *AND_SIGNS)
        and token is not None
        and token.kind in ("num", "roman")
        and not token.foot
    )


def _digits(token: Token) -> str:
    return token.value.rstrip(". ")


def _singular(name: str) -> str:
    return name[:-1] if name.endswith("s") and len(name) > 4 else name


def _ranks(state: State, request: Request) -> bool:
    token = state.peek()
    if token is None or not request.words or request.ranks or request.pitches:
        return False
    mixture = is_mixture(request.words, state.language)
    if token.kind == "roman" and _manual_of_verb(state, token, mixture):
        return False
    if token.kind == "roman":
        if mixture:
            request.ranks = int(token.value)
            state.take(1)
            if state.kind() in ("-", "/") and state.kind(1) == "roman":
                state.take(2)
            _rank_word(state)
        elif (
            int(token.value) <= 4
            and state.kind(1) != "manual_word"
            and not token.dot
            and state.kind(1) not in (":", "/")
        ):
            state.take(1)
            request.words = f"{request.words} {state.text[token.start : token.end].rstrip('.')}"
            while _more_numbers(state) and state.peek(1).kind == "roman":  # type: ignore[union-attr]
                state.take(1)
                other = request.copy()
                other.words = f"{request.words.rsplit(' ', 1)[0]} {_roman_text(state)}"
                target(state).append(other)
        else:
            return False
        return True
    printed = state.text[token.start : token.end]
    if mixture and token.kind == "num" and token.foot and token.pitch is not None and _RANKS_F.fullmatch(printed):
        request.ranks = int(token.pitch)
        state.take(1)
        return True
    if token.kind == "num" and mixture and _composition(state):
        return True
    if token.kind == "num" and not token.foot and mixture and _counts_ranks(state, token):
        request.ranks = int(token.pitch or 0)
        state.take(1)
        if state.kind() in ("-", "/") and state.kind(1) == "num":
            state.take(2)
        _rank_word(state)
        return True
    return False


def _ranks_told(state: State, request: Request) -> bool:
    """``Fourniture de quatre tuyaux``, ``Cornet de cinq rangs``: a count, in words too, before a word for ranks."""
    offset = 1 if state.kind() in ("of", "at") else 0
    count = state.peek(offset)
    if (
        count is None
        or count.foot
        or not count.words
        or not request.words
        or not has(state.peek(offset + 1), "rank_word")
    ):
        return False
    number = counts().get(count.words[0]) or (int(count.pitch) if count.pitch and count.pitch.denominator == 1 else 0)
    if not number or (count.kind == "num" and not offset):
        return False
    request.ranks = number
    state.take(offset + 2)
    return True


@cache
def counts() -> dict[str, int]:
    """Words that count ranks, as core/knowledge/bare_names.yaml lists them."""
    return {word: int(number) for number, words in load("bare_names")["counts"].items() for word in words}


def _manual_of_verb(state: State, token: Token, mixture: bool) -> bool:
    """``Oboe III ab``, ``Mixtur I dazu``: the manual, where a verb comes next."""
    follow = state.peek(1)
    verb = has(follow, "off_after") or has(follow, "add_after")
    return verb and state.language == "de" and (not mixture or token.value == "1")


def _composition(state: State) -> bool:
    """``Mixture 19.22.26``: the ranks by their intervals; they are no pitches in feet."""
    taken = 0
    while (token := state.peek(taken)) is not None and token.kind in ("num", "sign"):
        if token.kind == "sign" and (token.value not in ".,-" or state.kind(taken + 1) != "num"):
            break
        if token.kind == "num" and (
            token.foot or token.pitch is None or not 12 <= token.pitch <= 40 or token.pitch in (16, 32)
        ):
            break
        taken += 1
    if taken < 2 or state.kind(taken - 1) != "num":
        return False
    state.take(taken)
    return True


def _counts_ranks(state: State, token: Token) -> bool:
    """Whether a bare number after a mixture's name counts its ranks rather than feet."""
    if token.pitch is None:
        return False
    if has(state.peek(1), "rank_word") or state.kind(1) in ("-", "/"):
        return True
    return token.pitch.denominator == 1 and 3 <= token.pitch <= 10 and token.pitch not in (4, 8)


def _roman_text(state: State) -> str:
    token = state.take(1)
    return state.text[token.start : token.end].rstrip(".")


def _rank_word(state: State) -> None:
    if has(state.peek(), "rank_word") or state.kind() == "stops_word":
        state.take(1)


def half_after(state: State, request: Request) -> bool:
    """The half of a divided stop, after its name."""
    if has(state.peek(), "half") or (state.kind() == "(" and has(state.peek(1), "half")):
        if state.kind() == "(":
            state.take(1)
        token = state.take(1)
        request.half = next(sense.value for sense in token.senses if sense.kind == "half")
        if state.kind() == ")":
            state.take(1)
        if state.kind() in ("and", "&") and has(state.peek(1), "half") and not has(state.peek(1), "half", request.half):
            state.take(2)
            request.half = None  # Tromba bassi e soprani: the whole stop
        return True
    return False


def quality_after(state: State, request: Request) -> bool:
    """A quality after the name: doux, allein, seul, ouvert; one before the next name is left for it."""
    offset = 1 if state.kind() in ("(", "-") else 0
    kind = state.kind(offset)
    if kind == "solo" and state.language != "en":
        state.take(1)
        request.qualities.append("alone")
        return True
    if kind == "alone":
        state.take(1 + offset)
        request.qualities.append("alone")
    elif kind == "box_state" and state.language != "en" and has(state.peek(offset), "quality") and not offset:
        sense = next(sense for sense in state.tokens[state.at].senses if sense.kind == "quality")
        request.qualities.append(sense.value)  # bourdon de huit pieds ouvert
        state.take(1)
    elif kind == "quality" and (
        not names_follow(state, 1 + offset)
        or (state.language in _ADJECTIVES_AFTER and state.kind(1 + offset) in ("num", "pitch_word"))
    ):
        request.qualities.append(state.tokens[state.at + offset].value)
        state.take(1 + offset)
    elif kind == "similar" and state.kind(1 + offset) not in ("stop", "family", "recipe", "quality"):
        state.take(1 + offset)
        request.qualities.append("or similar")
    else:
        return False
    if offset and state.kind() == ")":
        state.take(1)
    return True


def names_follow(state: State, offset: int) -> bool:
    """Whether something that can have a quality comes next."""
    kind = state.kind(offset)
    return kind in ("stop", "family", "num", "stops_word", "plenum", "quality", "recipe", "word", "pitch_word")


def _pitches_after(state: State, request: Request) -> bool:
    """Pitches printed after a name: ``8``, ``de 8 pieds``, ``(8, 4)``, ``8.4.2``."""
    offset = 0
    while state.kind(offset) in ("of", "(", "at", "stops_word", "filler", "-", ":") and offset < 3:
        offset += 1
    token = state.peek(offset)
    if token is None or token.kind not in ("num", "pitch_word"):
        return False
    if state.kind(offset - 1) == "-" and offset and token.gap is False and state.tokens[state.at].gap:
        return False
    pitches, count = pitch_run(state, state.at + offset)
    if not pitches:
        return False
    if request.words and not request.pitches and _is_ordinal(state, request, pitches, state.tokens[state.at + offset]):
        state.take(offset)
        _numbered(state, request, "")
        return True
    state.take(offset + count)
    if state.kind() == ")" and any(state.kind(-k) == "(" for k in range(1, offset + count + 1)):
        state.take(1)
    request.pitches.extend(rounded(pitch, request) for pitch in pitches)
    share_back(state, request)
    return True


def _is_ordinal(state: State, request: Request, pitches: list[Fraction], token: Token) -> bool:
    name = (request.words or "").casefold()
    return (
        not token.foot
        and len(pitches) <= 2
        and all(p in (1, 2, 3) for p in pitches)
        and "open" in name
        and "diap" in name
    )


def share_back(state: State, request: Request) -> None:
    """Over "and" a pitch also goes to a family word before it (Strings & Celestes 8)."""
    stops = target(state)
    place = next((k for k, stop in enumerate(stops) if stop is request), len(stops))
    while place > 0 and stops[place].joined and stops[place - 1].family_word and not stops[place - 1].pitches:
        if stops[place - 1].family == "celeste" and not {8, 16} & set(request.pitches):
            return  # Célestes & Flute 4: no celeste is of 4 ft
        stops[place - 1].pitches.extend(request.pitches)
        place -= 1

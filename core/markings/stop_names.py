"""Reads a stop by its name, as long as the table of stops knows the words together."""

from __future__ import annotations

import re
from functools import lru_cache

from core.markings.details import read_after
from core.markings.language import has
from core.markings.requests import add_request, target
from core.markings.state import AND_SIGNS, Request, State
from core.markings.stop_words import (
    expand,
    half_in_name,
    is_known_name,
    is_mixture,
    join_word,
    without_size,
)
from core.markings.tokens import PITCHES, Token

_BASSES = (("basse",), ("basso",), ("bass",))
"""Stops too where a pitch follows; by themselves a half, a voice or a hand."""
_SCANNED_NOUGHT = re.compile(r"\b0(?=[a-z])")  # 0boe
_NAME_KINDS = ("stop", "compact_stop")


def read_stop(state: State) -> bool:
    """A stop by its name, its words joined as far as the table of stops knows them together."""
    token = state.peek()
    if token is None:
        return False
    named = token.kind in _NAME_KINDS or (token.kind == "roman" and int(token.value) > 5 and has(token, "stop"))
    plain = token.kind == "word" or token.words in _BASSES
    if not named and not (plain and _in_stops_place(state)) and not has(token, "stop"):
        return False
    count, name, known = longest_name(state)
    if not named and not plain and (count < 2 or not known):
        return False
    first, last = token, state.tokens[state.at + count - 1]
    known = known or token.words in _BASSES
    unknown = not known and all(state.tokens[state.at + k].kind == "word" for k in range(count))
    request = Request(words=name, unknown=unknown, start=first.start, end=last.end,
                      guessed=any(state.tokens[state.at + k].guessed for k in range(count)))  # fmt: skip
    own = next((s.stop for s in first.senses if s.stop is not None and s.stop.family), None) if count == 1 else None
    if own is not None:
        request.family, request.own_feet = own.family, own.feet
    halved = half_in_name(name, state.language) if state.clause.divisions != ["pedal"] else None
    if halved is not None:
        name, request.half = halved
        request.words = name
    bare, size = without_size(name, state.language)
    if size is not None:
        request.words = bare
        request.qualities.append(size)
    if unknown:
        state.unread.extend(state.tokens[state.at : state.at + count])
    state.take(count)
    add_request(state, request)
    read_after(state, request)
    return True


def read_numbered_stop(state: State) -> bool:
    """``No. 2 Open Diap.``: the number before the name."""
    token, number = state.peek(), state.peek(1)
    if token is not None and token.kind == "ordinal" and number is not None and number.kind == "stop":
        return _ordinal_stop(state, token)
    if token is not None and token.kind == "roman" and number is not None and number.kind == "stop":
        return _ranks_before(state, token)
    if token is not None and token.kind == "ordinal" and _two_ordinals(state):
        return _several_ordinals(state)
    if not has(token, "number_sign") or number is None or number.kind != "num" or number.foot:
        return False
    if token is not None and token.lower and not token.dot and has(token, "without"):
        return False
    if not has(state.peek(2), "stop"):
        return _number_alone(state)
    state.take(2)
    before = len(target(state))
    if read_stop(state) and len(target(state)) > before:
        request = target(state)[-1]
        request.words = f"{request.words} No. {number.value.rstrip('. ')}"
    return True


def _ranks_before(state: State, ranks: Token) -> bool:
    """``Gt. III Mixture``: the ranks stand before the name."""
    names_one = state.kind(-1) == "division" or (state.kind(-1) in (",", "and", "&") and state.clause.stops)
    if not names_one or not 2 <= int(ranks.value) <= 8:
        return False
    if not is_mixture(printed_name(state, state.tokens[state.at + 1]), state.language):
        return False
    state.take(1)
    before = len(target(state))
    if read_stop(state) and len(target(state)) > before:
        target(state)[-1].ranks = int(ranks.value)
    return True


def _number_alone(state: State) -> bool:
    """``Add No. 1``: the number of something that the text does not name; it is listed."""
    sign, number = state.tokens[state.at], state.tokens[state.at + 1]
    if not sign.dot or number.gap is False or has(state.peek(-1), "piston"):
        return False
    state.unread.append(Token("num", "", sign.start, number.end))
    state.take(2)
    return True


def _two_ordinals(state: State) -> bool:
    joined = state.kind(1) in ("and", "&", ",") and state.kind(2) == "ordinal"
    return state.language == "en" and joined and state.kind(3) == "stop"


def _several_ordinals(state: State) -> bool:
    """``1st & 2nd Diapasons``: two of that name."""
    first = state.take(2)
    place = len(target(state))
    if not _ordinal_stop(state, state.tokens[state.at]) or len(target(state)) <= place:
        return True
    request = target(state)[place]
    again = request.copy()
    second, _, name = (request.words or "").partition(" ")
    again.words = f"{state.text[first.start : first.end].rstrip('.')} {name}"
    target(state).insert(place, again)
    return bool(second)


def _ordinal_stop(state: State, ordinal: Token) -> bool:
    """``1st Open Diap.``: which of several of that name."""
    if state.language != "en":
        return False
    state.take(1)
    before = len(target(state))
    if read_stop(state) and len(target(state)) > before:
        request = target(state)[-1]
        request.words = f"{state.text[ordinal.start : ordinal.end].rstrip('.')} {request.words}"
    return True


def longest_name(state: State) -> tuple[int, str, bool]:
    """How many tokens make up the name, the name, and whether it is known."""
    tokens = state.tokens
    first = tokens[state.at]
    best = (1, printed_name(state, first), first.kind in _NAME_KINDS)
    joined = best[1]
    for count in range(2, 5):
        place = state.at + count - 1
        if place >= len(tokens):
            break
        token = tokens[place]
        if token.kind == "num" or not (
            has(token, "stop") or token.kind == "word" or has(token, "quality") or has(token, "of")
        ):
            break
        if has(token, "half") and state.language in ("it", "es"):
            break  # Fagotto bassi: the half of a divided stop
        if token.dot is False and tokens[place - 1].dot and token.kind == "word":
            break
        joined = join_word(joined, printed_name(state, token), state.text[tokens[place - 1].end : token.start])
        if token.kind == "quality" and state.language == "en":
            break  # "Op. Diap. soft": the quality is not part of the name
        if has(token, "quality", "soft") and state.language == "fr" and "flute" not in first.words:
            break  # Trompette douce; a Flûte douce is a stop of its own
        if not has(token, "of") and is_known_name(joined, state.language):
            best = (count, joined, True)
    return best


def printed_name(state: State, token: Token) -> str:
    """The token's word as printed, written in full where it is an abbreviation of a stop's name."""
    kind = token.kind if token.kind in _NAME_KINDS else "stop"
    full = token.senses.full_name(kind, state.language)
    return full or _spelled(state.text[token.start : token.end], state.language)


@lru_cache(maxsize=4096)
def _spelled(printed: str, language: str) -> str:
    return clean(expand(printed, language))


def clean(text: str) -> str:
    """A printed name without long s, trailing points and line breaks."""
    plain = _SCANNED_NOUGHT.sub("O", text) if "0" in text else text
    return " ".join(plain.replace("ſ", "s").split()).rstrip(".,;:")


def _in_stops_place(state: State) -> bool:
    """Whether an unknown word stands where a stop would: before a pitch, or between stops of a list."""
    ahead = 1
    while ahead < 4 and state.kind(ahead) == "word":
        ahead += 1
    follows = state.peek(ahead)
    if follows is None:
        return False
    if (
        follows.kind == "num"
        and follows.pitch in PITCHES
        and (follows.foot or bool(state.clause.divisions or state.clause.stops))
    ):
        return True
    listed = (
        state.kind(ahead) in (",", "and", *AND_SIGNS)
        and state.clause.stops
        and state.clause.stops[-1].words is not None
    )
    if listed:
        after = state.peek(ahead + 1)
        return has(after, "stop")
    return False

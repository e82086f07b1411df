"""Reads runs of pitches, and tells what a rounded one stands for."""

from __future__ import annotations

from fractions import Fraction

from core.markings.state import Request, State
from core.markings.tokens import PITCHES

_ROUNDS = {
    Fraction(3): (Fraction(8, 3), Fraction(16, 5)),
    Fraction(6): (Fraction(16, 3),),
    Fraction(3, 2): (Fraction(4, 3), Fraction(8, 5)),
    Fraction(12): (Fraction(32, 3),),
    Fraction(11, 2): (Fraction(16, 3),),
    Fraction(21, 2): (Fraction(32, 3),),
    Fraction(7, 2): (Fraction(16, 5),),
}


def pitch_run(state: State, at: int) -> tuple[list[Fraction], int]:
    """A run of joined pitches from a token on, and how many tokens it takes: 16, 8 & 4 ft."""
    tokens = state.tokens
    pitches: list[Fraction] = []
    place = at
    while place < len(tokens):
        value = _pitch_of(state, place)
        if value is None:
            break
        pitches.append(value)
        place += 1
        if place + 1 < len(tokens) and tokens[place].value == "-" and tokens[place + 1].kind == "unit":
            place += 1
        if place < len(tokens) and tokens[place].kind == "unit":
            place += 1
        step = _to_next_pitch(state, place)
        if step is None:
            break
        place = step
    return pitches, place - at


def _pitch_of(state: State, place: int) -> Fraction | None:
    token = state.tokens[place]
    if token.kind == "num" and token.pitch is not None:
        if token.pitch in PITCHES or token.pitch in _ROUNDS:
            return token.pitch
        if token.pitch in (13, 26, 7, 52) and state.language == "es":
            return {13: Fraction(8), 26: Fraction(16), 7: Fraction(4), 52: Fraction(32)}[int(token.pitch)]
        return None
    if token.kind == "pitch_word":
        follow = state.tokens[place + 1] if place + 1 < len(state.tokens) else None
        before = state.tokens[place - 1] if place else None
        # le bourdon de seize, achtfüßige Stimmen
        led = (before is not None and before.kind == "of") or "fuss" in token.words[0]
        hyphened = follow is not None and follow.value == "-" and place + 2 < len(state.tokens)
        if hyphened and state.tokens[place + 2].kind == "unit":
            return Fraction(token.value)  # eight-foot
        if led or (follow is not None and follow.kind in ("unit", "and", "sign", "pitch_word")):
            return Fraction(token.value)
    return None


def _to_next_pitch(state: State, place: int) -> int | None:
    """The token of the next pitch of the run, if one follows and is not a new name's own."""
    tokens = state.tokens
    if place >= len(tokens):
        return None
    token = tokens[place]
    after = place
    joins = any(sense.kind == "and" for sense in token.senses) and tokens[place - 1].foot
    if token.kind == "and" or joins or (token.kind == "sign" and token.value in ",&+/-."):
        after = place + 1
        if after < len(tokens) and tokens[after].kind == "and":
            after += 1
    elif token.kind not in ("num", "pitch_word"):
        return None
    elif (
        token.gap
        and not tokens[place - 1].dot
        and tokens[place - 1].kind == "num"
        and not tokens[place - 1].foot
        and not token.foot
    ):
        pass
    if after < len(tokens) and tokens[after].kind in ("of", "at") and after > place:
        after += 1
    if after >= len(tokens) or _pitch_of(state, after) is None:
        return None
    if token.kind == "sign" and token.value in ",+" and _leads_name(state, after):
        listed = len(tokens) > after + 1 and tokens[after + 1].kind == "family" and token.value == ","
        if not listed or tokens[place - 1].foot or tokens[after].foot:
            return None  # but "16, 8, 4 Reeds" are all of the Reeds
    if token.kind == "sign" and token.value == "+" and tokens[after].foot and tokens[place - 1].foot and token.gap:
        return after
    return after


def _leads_name(state: State, place: int) -> bool:
    """Whether the pitch at a token belongs to the name after it (", 4 ft. Flute")."""
    follow = state.tokens[place + 1] if place + 1 < len(state.tokens) else None
    if follow is None or follow.kind not in ("stop", "family", "quality"):
        return False
    after = state.tokens[place + 2] if place + 2 < len(state.tokens) else None
    if follow.kind == "quality" and (after is None or after.kind == "break" or after.value in ",;)"):
        return False  # "16, 8 soft" are soft both
    return after is None or after.kind != "num" or follow.kind == "quality"


def rounded(pitch: Fraction, request: Request) -> Fraction:
    """The pitch that a rounded print stands for: Quinta 3 is 2 2/3."""
    choices = _ROUNDS.get(pitch)
    if not choices:
        return pitch
    name = (request.words or "").casefold()
    third = name.startswith(("ter", "tier")) and len(choices) > 1
    return choices[1] if third else choices[0]

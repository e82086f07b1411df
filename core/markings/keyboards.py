"""Finds keyboards: divisions by name, initials or number, alone or joined."""

from __future__ import annotations

from typing import NamedTuple

from core.markings.language import has
from core.markings.state import State
from core.markings.tokens import Token

STOPPY = ("stop", "compact_stop", "family", "num", "quality", "plenum", "recipe", "pitch_word", "stops_word")


_AFTER_SOLO = frozenset(
    {"to", "coupled", "uncoupled", "piston", "up_to", "full", "tremulant", "unison_off", "octave", "box", "box_of",
     "box_state", "add", "take_off", "prepare", "reduce", "coupler"}
)  # fmt: skip


class Keyboards(NamedTuple):
    """Divisions that stand at a place: their roles, the token after them, whether they are initials side by side."""

    roles: tuple[str, ...]
    after: int
    initials: bool = False


def keyboard(state: State, at: int) -> Keyboards | None:
    """The one keyboard that stands at a token: a name, a number, or initials side by side."""
    if at >= len(state.tokens) or at < 0:
        return None
    token = state.tokens[at]
    if token.kind == "division":
        return Keyboards((token.value,), at + 1)
    if token.kind == "initials":
        return Keyboards(tuple(token.value.split()), at + 1, initials=True)
    if token.kind == "solo":
        return Keyboards(("solo",), at + 1) if _is_solo_organ(state, at) else None
    return _numbered(state, at)


def _is_solo_organ(state: State, at: int) -> bool:
    before = state.tokens[at - 1] if at else None
    after = state.tokens[at + 1] if at + 1 < len(state.tokens) else None
    if state.language != "en":
        heads = before is None or before.kind == "break" or before.value == ";"
        return heads and after is not None and after.value == ":"
    if before is not None and before.kind in ("division", "roman"):
        return False
    if after is not None and after.kind == "at" and _named_at(state, at + 2):
        return False  # "R.H. solo on Gt. Trumpet"
    inside = state.tokens[at + 2].kind if at + 2 < len(state.tokens) else ""
    if before is None and after is not None and after.value == "(" and inside in ("stop", "family"):
        return True  # "Solo (Oboe 8)"
    if after is not None and after.value == ":" and inside in ("division", "roman"):
        return False  # "Solo: Ch. Clarinet"
    if after is not None and (after.kind in STOPPY or after.kind in _AFTER_SOLO or after.value in (":", "/")):
        return True
    if after is not None and (after.kind in ("and", "or") or after.value in ("&", "+")) and _named_at(state, at + 2):
        return True
    if before is not None and after is not None and before.value == "(" and after.value == ")":
        return at > 1 and state.tokens[at - 2].kind not in ("stop", "family", "num", "quality")
    return (before is not None and before.kind in ("or", "hand", "to", "and", "at", "full", "coupler")) or (
        before is not None and before.value in ("&", "/", "+")
    )


def _named_at(state: State, at: int) -> bool:
    return at < len(state.tokens) and state.tokens[at].kind == "division"


def _numbered(state: State, at: int) -> Keyboards | None:
    """``II. Man.``, ``Man. II``, ``2nd manual``, ``II``; a name in brackets after it wins."""
    tokens = state.tokens
    token = tokens[at]
    follow = tokens[at + 1] if at + 1 < len(tokens) else None
    number: int | None = None
    after = at + 1
    if token.kind == "roman" and int(token.value) <= 5:
        number = int(token.value)
        if has(follow, "manual_word"):
            after = at + 2
    elif has(follow, "manual_word") and (token.kind == "ordinal" or (token.kind == "num" and not token.foot)):
        number = int(token.value.rstrip(". ")) if token.value.rstrip(". ").isdecimal() else None
        after = at + 2
    elif (
        has(token, "manual_word")
        and follow is not None
        and (follow.kind in ("roman", "ordinal") or (follow.kind == "num" and not follow.foot))
    ):
        digits = follow.value.rstrip(". ")
        number = int(digits) if digits.isdecimal() else None
        after = at + 2
    if number is None or not 1 <= number <= 5:
        return None
    if (
        after + 2 < len(tokens)
        and tokens[after].value == "("
        and tokens[after + 1].kind == "division"
        and tokens[after + 2].value == ")"
    ):
        return Keyboards((tokens[after + 1].value,), after + 3)
    if after == at + 1 and after < len(tokens) and _names_it(tokens[after]) and token.kind == "roman":
        return Keyboards((tokens[after].value,), after + 1)
    return Keyboards((f"manual-{number}",), after)


def _names_it(follow: Token) -> bool:
    """``III Récit``: the name of the keyboard right after its number."""
    return follow.kind == "division" and follow.value != "pedal" and follow.gap


def keyboards(state: State, at: int, *, commas: bool = True) -> Keyboards | None:
    """The keyboards joined by "and" (or commas) that stand at a token."""
    roles: list[str] = []
    place, initials = at, False
    while True:
        one = keyboard(state, place)
        if one is None:
            break
        roles.extend(role for role in one.roles if role not in roles)
        initials = initials or one.initials
        place = one.after
        step = over_joint(state, place, commas)
        if step is None:
            break
        place = step
    return Keyboards(tuple(roles), place, initials) if roles else None


def over_joint(state: State, at: int, commas: bool) -> int | None:
    """The token after "and" (or commas) and small words, where a keyboard stands there."""
    tokens = state.tokens
    place = at
    joined = False
    while place < len(tokens) and (
        tokens[place].kind in ("and", "of", "at", "with_and")
        or (tokens[place].kind == "sign" and tokens[place].value in ("&", "+", *("," if commas else "")))
    ):
        joined = joined or tokens[place].kind not in ("of", "at")
        place += 1
    return place if joined and keyboard(state, place) else None

"""Decides which language a marking is in, and with it what its words mean."""

from __future__ import annotations

from collections.abc import Sequence

from core.markings.lexicon import Sense
from core.markings.tokens import Token

ORDER = ("en", "fr", "de", "it", "es", "nl", "la")
_LIGHT = frozenset(
    {"and", "or", "with", "to", "of", "at", "filler", "unit", "dynamic", "stop", "initials", "other", "title"}
)
_HEAVY = 1.0
_SLIGHT = 0.35
_KNOWN = frozenset(ORDER)
_HINT = 0.45
_ACCENTS = 0.3

_TELLING = """compact_stop two_manuals cancel at to manuals_only namely heading pass recipe plenum full full_plenum
family octave coupler box_of box_state pedal_coupler division solo stop coupled quality"""
PRECEDENCE = {kind: rank for rank, kind in enumerate(_TELLING.split())}


_LETTERS = {"fr": "éèêëàâçùûîïôœ", "de": "äöüß", "es": "ñáíóú", "it": "òìù", "nl": "ĳ"}


def decide_language(tokens: Sequence[Token], hint: str | None, text: str = "") -> str:
    """The language most of the words belong to; the piece's where they do not say."""
    votes = dict.fromkeys(ORDER, 0.0)
    for place, token in enumerate(tokens):
        if token.kind not in ("known", "num") or not token.senses:
            continue
        for language, vote in _votes_of(token.senses):
            votes[language] += vote
        if place and tokens[place - 1].kind == "roman" and has(token, "manual_word"):
            votes["de"] += _SLIGHT
    if not text.isascii():
        low = text.casefold()
        for language, letters in _LETTERS.items():
            if any(letter in low for letter in letters):
                votes[language] += _ACCENTS
    if hint in votes:
        votes[hint] += _HINT
    best = max(votes.values())
    if best <= 0:
        return hint if hint in votes else "en"
    return next(language for language in ORDER if votes[language] >= best - 1e-9)


def _votes_of(senses: Sequence[Sense]) -> list[tuple[str, float]]:
    """What a word says for each language: its own words of substance much, names and small words little."""
    weights: dict[str, float] = {}
    for sense in senses:
        language = sense.language
        if language:
            weight = _SLIGHT if sense.kind in _LIGHT else _HEAVY
            if weight > weights.get(language, 0.0):
                weights[language] = weight
    if len(weights) == len(ORDER):
        return []
    return [(language, weight / len(weights)) for language, weight in weights.items() if language in _KNOWN]


def choose(tokens: Sequence[Token], language: str) -> None:
    """Give each token the sense it has in the language, else in another."""
    for place, token in enumerate(tokens):
        if token.kind != "known":
            continue
        if token.words in _OPENS and language == "en" and _is_open_diapason(tokens, place):
            token.senses = (Sense("stop", _OPENS[token.words], "en"),)
        token.chosen = best_sense(_fitting(tokens, place), language)
        token.kind = token.chosen.kind
        token.value = token.chosen.value


_OPENS = {("open",): "Open Diapason", ("opens",): "Open Diapasons"}


_STOPPED = (("stopped",), ("stopd",), ("stop",), ("st",), ("stopt",))


def _is_open_diapason(tokens: Sequence[Token], place: int) -> bool:
    """``Gt. small Open``, ``Ped. Open``, ``Open No. 2``: the stop, not a box; it has a capital and no box by it."""
    if tokens[place].lower:
        return False
    before = tokens[place - 1] if place else None
    follow = tokens[place + 1] if place + 1 < len(tokens) else None
    if has(follow, "stop") or has(follow, "box") or has(before, "box") or has(before, "box_of"):
        return False
    if follow is not None and (follow.kind in ("num", "roman") or has(follow, "number_sign")):
        return True
    listed = follow is not None and (follow.value in ("&", ",") or has(follow, "and"))
    if listed and place + 2 < len(tokens) and tokens[place + 2].words[:1] in _STOPPED:
        return True  # Open & Stopped Diapasons
    if before is None:
        return False
    if before.kind in ("ordinal", "to", "up_to") or (before.kind == "quality" and before.value in ("small", "large")):
        return True
    if before.kind == "division" and before.value in ("great", "pedal"):
        return True
    return before.kind == "division" and listed and place + 2 < len(tokens) and has(tokens[place + 2], "stop")


def _fitting(tokens: Sequence[Token], place: int) -> Sequence[Sense]:
    """The senses that fit the place: a heading stands before a colon or a line's end."""
    senses = _by_case(tokens[place])
    follow = tokens[place + 1].value if place + 1 < len(tokens) else ""
    if any(sense.kind == "stop" for sense in senses) and any(s.value == "bombarde" for s in senses):
        wanted = "division" if follow == ":" else "stop"
        return [sense for sense in senses if sense.kind == wanted] or senses
    if follow not in (":", "\n"):
        return [sense for sense in senses if sense.kind != "heading"] or senses
    return senses


def _by_case(token: Token) -> Sequence[Sense]:
    """Espressivo is a division where it has a capital, expression where it has none."""
    if not token.lower:
        return (
            [sense for sense in token.senses if sense.kind != "expression"] or token.senses
            if _is_division(token)
            else token.senses
        )
    return (
        [sense for sense in token.senses if sense.kind == "expression"] or token.senses
        if _is_division(token)
        else token.senses
    )


def _is_division(token: Token) -> bool:
    return any(sense.kind == "division" for sense in token.senses)


def best_sense(senses: Sequence[Sense], language: str) -> Sense:
    """The sense of that language; among several, and among none, the one of the more telling kind."""
    if len(senses) == 1:
        return senses[0]

    def rank(sense: Sense) -> tuple[int, int, int]:
        own = 0 if sense.language == language else 1 if not sense.language else 2
        order = ORDER.index(sense.language) if sense.language in ORDER else len(ORDER)
        return (own, PRECEDENCE.get(sense.kind, len(PRECEDENCE)), order)

    return min(senses, key=rank)


def has(token: Token | None, kind: str, value: str | None = None) -> bool:
    """Whether a token may have a sense of a kind, chosen or not."""
    if token is None:
        return False
    return any(s.kind == kind and (value is None or s.value == value) for s in token.senses)


def sense_of(token: Token, kind: str, language: str) -> Sense | None:
    """The token's sense of a kind, the language's own first."""
    found = [sense for sense in token.senses if sense.kind == kind]
    return best_sense(found, language) if found else None

"""Decides which language a marking is in, and with it what its words mean."""

from __future__ import annotations

from collections.abc import Sequence

from core.markings.senses import ORDER, Sense, Senses, best_sense
from core.markings.tokens import Token

_SLIGHT = 0.35
_HINT = 0.45
_ACCENTS = 0.3

_LETTERS = {"fr": frozenset("éèêëàâçùûîïôœ"), "de": frozenset("äöüß"), "es": frozenset("ñáíóú"),
            "it": frozenset("òìù"), "nl": frozenset("ĳ")}  # fmt: skip


def decide_language(tokens: Sequence[Token], hint: str | None, text: str = "") -> str:
    """The language most of the words belong to; the piece's where they do not say."""
    votes = dict.fromkeys(ORDER, 0.0)
    for place, token in enumerate(tokens):
        if token.kind not in ("known", "num") or not token.senses:
            continue
        for language, vote in token.senses.votes:
            votes[language] += vote
        if place and tokens[place - 1].kind == "roman" and has(token, "manual_word"):
            votes["de"] += _SLIGHT
    if not text.isascii():
        low = set(text.lower())
        for language, letters in _LETTERS.items():
            if not letters.isdisjoint(low):
                votes[language] += _ACCENTS
    if hint in votes:
        votes[hint] += _HINT
    best = max(votes.values())
    if best <= 0:
        return hint if hint in votes else "en"
    return next(language for language in ORDER if votes[language] >= best - 1e-9)


def choose(tokens: Sequence[Token], language: str) -> None:
    """Give each token the sense it has in the language, else in another."""
    for place, token in enumerate(tokens):
        if token.kind != "known":
            continue
        if (
            token.words in _SHORT_OPENS
            and language == "en"
            and (_before_stopped(tokens, place) or _after_division(tokens, place))
        ):
            token.senses = Senses((Sense("stop", "Open Diapason", "en"),))
        if token.words in _OPENS and language == "en" and _is_open_diapason(tokens, place):
            token.senses = Senses((Sense("stop", _OPENS[token.words], "en"),))
        token.chosen = _fitting(tokens, place).best(language)
        token.kind = token.chosen.kind
        token.value = token.chosen.value


_OPENS = {("open",): "Open Diapason", ("opens",): "Open Diapasons"}


_SHORT_OPENS = (("op",), ("o",))


def _after_division(tokens: Sequence[Token], place: int) -> bool:
    """``Gt. Op. 8``: an Open Diapason, no opus."""
    return tokens[place].words == ("op",) and place > 0 and has(tokens[place - 1], "division")


def _before_stopped(tokens: Sequence[Token], place: int) -> bool:
    """``Open & Stopped Diapasons``, ``Op. & St. Diap.``."""
    if place + 2 >= len(tokens):
        return False
    follow, after = tokens[place + 1], tokens[place + 2]
    return (follow.value in ("&", ",") or has(follow, "and")) and after.words[:1] in _STOPPED and has(after, "stop")


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
    if _before_stopped(tokens, place):
        return True
    if before is None:
        return False
    listed = follow is not None and (follow.value in ("&", ",") or has(follow, "and"))
    if before.kind in ("ordinal", "to", "up_to") or (before.kind == "quality" and before.value in ("small", "large")):
        return True
    if before.kind == "division" and before.value in ("great", "pedal"):
        return True
    return before.kind == "division" and listed and place + 2 < len(tokens) and has(tokens[place + 2], "stop")


def _couples(tokens: Sequence[Token], place: int) -> bool:
    """``Bombarde to Gt.``: the keyboard."""
    after = tokens[place + 1 : place + 3]
    return len(after) == 2 and has(after[0], "to") and has(after[1], "division")


def _is_pedals_letter(tokens: Sequence[Token], place: int) -> bool:
    """``I: 8', II: 8', P: 16'``: beside numbered manuals P is the Pedal."""
    follow = tokens[place + 1].value if place + 1 < len(tokens) else ""
    return tokens[place].words == ("p",) and follow == ":" and any(t.kind == "roman" for t in tokens)


def _fitting(tokens: Sequence[Token], place: int) -> Senses:
    """The senses that fit the place: a heading stands before a colon or a line's end."""
    senses = _by_case(tokens[place])
    if len(senses) == 1:
        return senses
    follow = tokens[place + 1].value if place + 1 < len(tokens) else ""
    if _is_pedals_letter(tokens, place):
        return Senses(sense for sense in senses if sense.value == "pedal")
    if "stop" in senses.kinds and any(s.value == "bombarde" for s in senses):
        return senses.only("division" if follow == ":" or _couples(tokens, place) else "stop")
    return senses if follow in (":", "\n") else senses.but("heading")


def _by_case(token: Token) -> Senses:
    """Espressivo is a division where it has a capital, expression where it has none."""
    senses = token.senses
    if "division" not in senses.kinds or "expression" not in senses.kinds:
        return senses
    return senses.only("expression") if token.lower else senses.but("expression")


def has(token: Token | None, kind: str, value: str | None = None) -> bool:
    """Whether a token may have a sense of a kind, chosen or not."""
    if token is None or kind not in token.senses.kinds:
        return False
    return value is None or any(s.kind == kind and s.value == value for s in token.senses)


def sense_of(token: Token, kind: str, language: str) -> Sense | None:
    """The token's sense of a kind, the language's own first."""
    return best_sense(token.senses.only(kind), language) if kind in token.senses.kinds else None

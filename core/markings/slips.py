"""Mends misprints: a word nobody knows that lies one letter from a word of the trade is read so, with a doubt."""

from __future__ import annotations

from collections.abc import Sequence

from core.markings.lexicon import Lexicon
from core.markings.senses import Sense, Senses
from core.markings.stop_words import is_known_name
from core.markings.tokens import Token, near_words

_MENDED = frozenset(
    {"division", "stop", "family", "plenum", "tremulant", "pedal_coupler", "manual_word"}
)  # fmt: skip


_RANK = {"division": 0, "stop": 1, "family": 2, "coupler": 3, "tremulant": 3}


def mend_slips(tokens: Sequence[Token], lexicon: Lexicon) -> None:
    """Give words that are near misses the senses of the word they are taken for."""
    if not any(token.kind == "known" or token.kind == "num" for token in tokens) and len(tokens) > 1:
        return
    for token in tokens:
        if token.kind != "word" or len(token.value) < 4:
            continue
        if len(token.value) > 4 and is_known_name(token.value, "en"):
            token.senses, token.kind = Senses((Sense("stop"),)), "known"
            continue
        _mend(token, lexicon)


def _mend(token: Token, lexicon: Lexicon) -> None:
    best: tuple[tuple[int, int, int], str, Senses] | None = None
    for near in near_words(token.value, lexicon):
        for entry in lexicon.single.get(near, ()):
            senses = Senses(sense for sense in entry.senses if sense.kind in _MENDED)
            if entry.capitals or not senses:
                continue
            if len(token.value) < 5 and senses[0].kind != "division":
                continue
            rank = (_RANK.get(senses[0].kind, 9), int(near[0] != token.value[0]), abs(len(near) - len(token.value)))
            if best is None or rank < best[0]:
                best = (rank, near, senses)
    if best is not None:
        token.senses, token.kind, token.guessed = best[2], "known", best[1]

"""Which division a heading's words name: by its word, an abbreviation, a slip of print, a phrase that holds it."""

from __future__ import annotations

import re
from functools import cache

from core.organ.lists.knowing import near_division
from core.organ.lists.vocabulary import DivisionWord, division_words, fold, short_words, words

NOISE_SIGNS = re.compile(r"[^\w'#/-]+")


_Known = tuple[DivisionWord, bool, bool, str]


def look_up_division(folded: str, rest: str, text: str, colon: bool) -> _Known | None:
    """The division's word, whether it is short, whether a phrase holds it, and its print; None for none."""
    table = division_words()
    if folded in table:
        return table[folded][0], False, False, ""
    if folded in ("werk", "im werk", "das werk"):
        return table["hauptwerk"][0], False, False, "Werk"
    kept = [
        w
        for w in folded.replace("/", " ").split()
        if w not in words("heading_noise") and not re.fullmatch(r"\d+|[ivx]+", w)
    ]
    core = " ".join(kept)
    originals = " ".join(w for w in " ".join(NOISE_SIGNS.sub(" ", rest).split()).split() if fold(w) in kept)
    if core in table and len(folded.split()) <= len(kept) + 4:
        return table[core][0], False, False, originals
    bare = " ".join(w for w in folded.split() if w not in ("the", "im", "das", "i"))
    if " " in bare and bare in table:
        return table[bare][0], False, False, ""
    short = folded.replace(".", "").replace(" ", "")
    if short in short_words() and (
        colon
        or (re.fullmatch(r"[A-ZÅÄÖØ][A-Za-zé.ÅÄÖØ]{0,5}\.?:?", text.strip()) and len(short) > 1)
        or (len(short) == 1 and colon)
    ):
        return short_words()[short][0], True, False, ""
    return _twice_ornear_division(core, kept, text, originals, folded)


def _twice_ornear_division(core: str, kept: list[str], text: str, originals: str, folded: str) -> _Known | None:
    """Two words of one division ("RÉCIT (Swell)"), a misspelt word, or a phrase that holds the word."""
    table = division_words()
    long = [word for word in _keyboard_phrases() if word in folded and f" {word} " in f" {folded} "]
    if long:
        return table[long[0]][0], False, True, long[0]
    meant = [table[w][0] for w in kept if w in table]
    if meant and len(meant) == len(kept):
        return (
            meant[-1] if meant[0].role == "great" and len(meant) == 1 else meant[0],
            False,
            False,
            originals,
        )
    if (
        meant
        and text[:1].isupper()
        and fold(text).split()[0] not in words("borrowed")
        and all(w in table or w in words("heading_phrase") or w in words("function_words") for w in kept)
        and not re.search(r"\d", text)
    ):
        return meant[0], False, True, next(o for o in originals.split() if fold(o) in table)
    near = near_division(core) or near_division(folded)
    return (table[near][0], False, False, near.title()) if near else None


@cache
def _keyboard_phrases() -> tuple[str, ...]:
    """``teclado de pisas``, ``teclado mayor``: phrases that name a division within a sentence."""
    return tuple(word for word in division_words() if word.startswith("teclado "))

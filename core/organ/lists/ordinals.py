"""Finds the number of a keyboard in a heading: ``FIRST MANUAL``, ``II. Klavier``, ``Manual I``, ``1er clavier``."""

from __future__ import annotations

import re
from functools import cache

from core.organ.lists.vocabulary import fold, ordinal_values, words

_ROMAN = r"(?:I{1,3}|IV|VI{0,2}|[1-5])"
_ROMAN_VALUES = {"I": 1, "II": 2, "III": 3, "IV": 4, "V": 5, "VI": 6, "VII": 7}


@cache
def keyboard_forms() -> tuple[re.Pattern[str], ...]:
    """How the keyboard of a heading is printed."""
    manual = "|".join(sorted(map(re.escape, words("manual")), key=len, reverse=True))
    ordinals = "|".join(sorted(map(re.escape, ordinal_values()), key=len, reverse=True))
    forms = (
        rf"(?<!\w)(?P<word>{ordinals})\.?\s*(?:{manual})\b\.?",
        rf"(?<!\w)(?P<num>{_ROMAN.lower()})\.?(?:o|°|a|ª)?\s*(?:{manual})\b\.?",
        rf"(?<!\w)(?:{manual})\.?\s*(?:no\.?\s*|nr\.?\s*)?(?P<num>{_ROMAN.lower()})(?!\w)\.?",
        rf"(?<!\w)(?:{manual})\.?\s*(?P<word>{ordinals})(?!\w)",
        rf"^[(\s]*(?P<num>{_ROMAN.lower()})\s*[.):–/-]*\s+(?=\w|\()",
        rf"^(?P<num>{_ROMAN.lower()})\s*[.):]\s*(?=\w)",
        r"\s[(–/,-]*\s*(?P<num>i{1,3}|iv|v)[).,;\s]*$",
    )
    return tuple(re.compile(form) for form in forms)


def take_keyboard(text: str) -> tuple[int | None, str]:
    """Take ``FIRST MANUAL``, ``II. Klavier``, ``Manual I``, ``1er clavier``, a leading ``II.`` out of a heading."""
    folded = fold(text)
    for form in keyboard_forms():
        found = form.search(folded)
        if found is None:
            continue
        groups = found.groupdict()
        if groups.get("word"):
            keyboard = ordinal_values()[groups["word"].strip(".")]
        else:
            number = groups["num"].upper()
            keyboard = int(number) if number.isdigit() else _ROMAN_VALUES[number]
        return keyboard, _cut_like(text, folded, found.start(), found.end())
    return None, text


def _cut_like(text: str, folded: str, start: int, end: int) -> str:
    """The text without what stands at a place of its folded form."""
    squeezed = " ".join(text.split())
    places: list[int] = []
    for at, sign in enumerate(squeezed):
        places += [at] * (1 if sign == " " else len(fold(sign)))
    if len(places) != len(folded):
        return folded[:start] + " " + folded[end:]
    places.append(len(squeezed))
    return squeezed[: places[start]] + " " + squeezed[places[end] :]

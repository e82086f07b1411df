"""Guesses the language and the tradition of a list from its words."""

from __future__ import annotations

import re
from collections import Counter

from core.knowledge.loader import load
from core.organ.lists.drafts import DivisionDraft
from core.organ.lists.vocabulary import fold

_TRADITIONS = {"de": "german-baroque", "nl": "dutch", "it": "italian", "es": "spanish", "en": "english"}
_NORTHERN = {
    "da": "german-romantic",
    "sv": "german-romantic",
    "cs": "german-romantic",
    "pl": "german-romantic",
}


def guess_language(text: str, divisions: list[DivisionDraft]) -> str | None:
    """The language of the stop names, or None where nothing tells."""
    counts = Counter(re.findall(r"[^\W\d_]+", fold(text[:60000])))
    scores: Counter[str] = Counter()
    for language, words in load("lists/words")["language_words"].items():
        scores[language] = sum(min(counts[fold(str(word))], 3) for word in words)
    for division in divisions:
        names = " ".join(fold(stop.name) for stop in division.stops)
        for language, sign in _SIGNS.items():
            scores[language] += min(len(re.findall(sign, names)), 6)
        if division.language in scores and division.language not in ("en", "it"):
            scores[division.language] += 1
    if _english_frame(divisions):
        scores["en"] += 4
    best = scores.most_common(1)
    return best[0][0] if best and best[0][1] > 0 else None


_SIGNS = {
    "de": r"flote\b|bass\b|gedackt|oktave|octave\b|mixtur\b|trompete\b|posaune|principal\b",
    "fr": r"\bflute (?:harm|trav|octav|douce)|bourdon|prestant|trompette|clairon|\bjeu\b|soubasse|hautbois",
    "nl": r"fluit\b|octaaf|mixtuur|trompet\b|prestant|holpijp|bazuin|\bgedekt",
    "it": r"principale|ottava|quinta decima|decim|voce|tromb[ae]\b|flauto|contrabbass|ripieno|bordone",
    "es": r"flautado|octava|lleno|clarin|corneta|trompeta|quincena|docena|tapad",
    "en": r"diapason|fifteenth|twelfth|\bflute\b|mixture|trumpet|clarion|trombone",
    "da": r"flojte|gedakt|basun|trompet\b|principal\b",
    "sv": r"flojt|gedakt|basun|trumpet\b|kvinta",
    "cs": r"fletna|kryt|oktava|kvinta",
    "pl": r"\bflet|pryncypal|oktawa|kwinta",
}


def _english_frame(divisions: list[DivisionDraft]) -> bool:
    """Great, Swell and Choir: the keyboards lie as in England, whatever the stops are called."""
    roles = {division.role for division in divisions if division.language == "en"}
    return "great" in roles and bool(roles & {"swell", "choir"})


def guess_tradition(language: str | None, divisions: list[DivisionDraft], text: str = "") -> str | None:
    """The tradition an organ stands in, by its divisions and stops."""
    if _english_frame(divisions):
        language = "en"
    names = " ".join(fold(stop.name) for division in divisions for stop in division.stops)
    roles = {division.role for division in divisions}
    if language == "fr":
        romantic = re.search(r"celeste|gambe|harmonique|octaviante|basson|hautbois 8|salicional|salcional", names)
        return "french-symphonic" if romantic or any(d.enclosed for d in divisions) else "french-classical"
    if language == "de":
        old = bool(roles & {"brustwerk"}) or len(re.findall(r"\d\s*(?:fuss\b|fach\b)", fold(text))) >= 8
        romantic = re.search(
            (r"" if old else r"gambe|gamba|") + r"aeoline|salicional|harmon|celest|dolce|fugara|geigen", names
        )
        return "german-romantic" if romantic or "swell" in roles else "german-baroque"
    if language == "en":
        american = re.search(r"philomela|erzahler|melodia|gross floete|tibia|doppel|english horn|chimes", names)
        counted = len(re.findall(r"\b(?:61|73|32|49|85|97) (?:pipes|bars|notes)\b", text)) >= 4
        return "american" if american or counted else "english"
    return _NORTHERN.get(language or "") or _TRADITIONS.get(language or "")

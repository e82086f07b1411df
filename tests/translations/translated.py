"""Compares what is shown to people with the catalogues: what is missing, stale or filled with other values.

``make translations`` prints it; with ``--add`` it writes each missing text into the catalogues with an empty
translation, for a translator to fill in.
"""

from __future__ import annotations

import json
import re
import sys
from dataclasses import dataclass
from functools import cache

import tables
from collecting import ROOT, Collector, Lost

from core.knowledge.loader import read_yaml
from core.knowledge.translating import LANGUAGES

FOLDER = ROOT / "core" / "knowledge" / "translations"
_VALUE = re.compile(r"\{(\w*)(?::([^{}]*))?\}")
_LETTERS = re.compile(r"[A-Za-z].*[A-Za-z]")


@dataclass(frozen=True)
class Found:
    """What the sources show.

    Attributes:
        texts: English words, with a file where they stand.
        lost: what could not be followed.
        unused: entries of the tables that are no longer met.
    """

    texts: dict[str, str]
    lost: tuple[Lost, ...]
    unused: frozenset[str]


@cache
def found() -> Found:
    """Every text that is shown."""
    collector = Collector(set(tables.ELSEWHERE))
    texts = {text.words: text.file for text in collector.texts.values()}
    for place, words in tables.ELSEWHERE.items():
        for one in words():
            texts.setdefault(one, place.partition(":")[0])
    shown = {words: file for words, file in texts.items() if _is_worded(words)}
    shown = {words: file for words, file in shown.items() if words not in tables.NO_WORDS}
    return Found(shown, tuple(collector.lost.values()), frozenset(set(tables.ELSEWHERE) - collector.used))


def _is_worded(text: str) -> bool:
    """Whether there is anything to translate: letters, also those that a number chooses, or quotation marks."""
    bare = _VALUE.sub(lambda value: value[2] or "", text)
    return bool(_LETTERS.search(bare)) or "‘" in bare or "“" in bare


def catalogue(language: str) -> dict[str, str]:
    """The catalogue as it is written."""
    words = read_yaml((FOLDER / f"{language}.yaml").read_bytes())["words"]
    assert isinstance(words, dict)
    return words


def languages() -> list[str]:
    """All but English."""
    return [code for code in LANGUAGES if code != "en"]


def missing(language: str) -> list[str]:
    """Shown, but without a translation."""
    words = catalogue(language)
    return [text for text in found().texts if not words.get(text)]


def stale(language: str) -> list[str]:
    """Translated, but no longer shown."""
    return [text for text in catalogue(language) if text not in found().texts]


def ill_filled(language: str) -> list[str]:
    """Translations that name other values than their template, choose by a number badly, or lose a menu's letter."""
    wrong = []
    for text, translation in catalogue(language).items():
        values = {name for name, _ in _VALUE.findall(text)}
        others = _VALUE.findall(translation)
        good = values == {name for name, _ in others} and all(not spec or spec.count("|") == 1 for _, spec in others)
        if not good or _edges(text) != _edges(translation) or _mnemonics(text) != _mnemonics(translation):
            wrong.append(f"{text!r}: {translation!r}")
    return wrong


def _edges(text: str) -> tuple[bool, bool]:
    return text[:1].isspace(), text[-1:].isspace()


def _mnemonics(text: str) -> int:
    return len(re.findall(r"&[^\s&]", text))


def add_missing(language: str) -> None:
    """Write each missing text with an empty translation, in its place by the alphabet."""
    path = FOLDER / f"{language}.yaml"
    head = path.read_text("utf-8").partition("words:\n")[0]
    words = catalogue(language) | dict.fromkeys(missing(language), "")
    lines = (f"  {_quoted(text)}: {_quoted(words[text])}\n" for text in sorted(words, key=lambda w: (w.lower(), w)))
    path.write_text(f"{head}words:\n{''.join(lines)}", "utf-8")


def _quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)


def report() -> int:
    """Print what is amiss; the number of faults."""
    faults = 0
    for lost in found().lost:
        print(f"{lost.file}, line {lost.line}: cannot be followed: {lost.written}")
        faults += 1
    for place in sorted(found().unused):
        print(f"tables.py: no longer met: {place}")
        faults += 1
    for language in languages():
        for text in missing(language):
            print(f"{language}: missing: {found().texts[text]}: {text!r}")
        for text in stale(language):
            print(f"{language}: stale: {text!r}")
        for text in ill_filled(language):
            print(f"{language}: ill-formed: {text}")
        faults += len(missing(language)) + len(stale(language)) + len(ill_filled(language))
    print(f"{len(found().texts)} texts, {faults} faults")
    return faults


if __name__ == "__main__":
    status = report()
    if "--add" in sys.argv:
        for code in languages():
            add_missing(code)
    sys.exit(bool(status))

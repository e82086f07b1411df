"""Writes instructions as a marking: the reverse of reading, in a language and house style.

What is written is read again at once: of a style's wordings the first is taken that gives the same instructions. Where
a language has no such wording, another built-in style's is taken; nothing is left out in silence.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

from core.markings.contract import instruction_to_json
from core.markings.folding import fold_words
from core.markings.house_style import BUILT_IN, Style, read_style
from core.markings.model import Action, Brackets, Instruction, Reading, ReadingKind
from core.markings.phrases import phrases
from core.markings.reading import read_marking

_BRACKETS: dict[str, tuple[str, str]] = {Brackets.EDITORIAL: ("[", "]"), Brackets.REMINDER: ("(", ")")}
_SEPARATORS = (", ", "; ", ". ", "\n")
_NO_DIVISION_OF_ITS_OWN = (Action.COUPLE, Action.UNCOUPLE)


@dataclass(frozen=True, slots=True)
class Written:
    """A marking as written.

    Attributes:
        exact: whether reading it gives the same instructions.
        astray: instructions for which no wording was found that reads back; they stand in the text all the same.
        left_out: words of the text written again that no instruction holds: tempo, dynamics, what was not understood.
    """

    text: str
    exact: bool
    astray: tuple[Instruction, ...] = ()
    left_out: tuple[str, ...] = ()


def write_marking(instructions: tuple[Instruction, ...], style: Style) -> str:
    """The marking that asks for these instructions, in a house style."""
    return write(instructions, style).text


def write_reading(reading: Reading, style: Style) -> Written:
    """A text written again: its brackets kept, what it holds besides registration told. What is none stays as it is."""
    if reading.kind is ReadingKind.OTHER or not reading.instructions:
        return Written(reading.text, True)
    written = write(reading.instructions, style)
    before, after = _BRACKETS.get(reading.brackets or "", ("", ""))
    bracketed = f"{before}{written.text}{after}"
    if not before or read_back(bracketed, style.language) == meaning(reading.instructions):
        written = replace(written, text=bracketed)
    besides = [reading.text[n.span.start : n.span.end] for n in reading.words if _is_besides(str(n.meaning))]
    return replace(written, left_out=tuple(word.strip(" .,;:\n") for word in besides))


def _is_besides(said: str) -> bool:
    return "not registration" in said or said in ("not understood", "a title's word", "a lyric's word")


def write(instructions: Sequence[Instruction], style: Style) -> Written:
    """The marking, and whether reading it gives the same again."""
    if not instructions:
        return Written("", True)
    first: Written | None = None
    patience = _Patience()
    for order in _orders(instructions):
        for with_others in (False, True):
            written = _composed(order, style, patience, with_others=with_others)
            if written.exact:
                return written
            first = first or written
    for name in BUILT_IN:
        other = read_style(name)
        if other.language != style.language and patience.left > 0:
            told = replace(other, language=style.language)
            written = _composed(list(instructions), told, patience, with_others=False)
            if written.exact:
                return written
    assert first is not None
    return first


def _orders(instructions: Sequence[Instruction]) -> Iterator[list[Instruction]]:
    """The order given; then what names no division first, since a division holds for what follows it."""
    yield list(instructions)
    moved = sorted(instructions, key=lambda one: one.division is not None or one.action in _NO_DIVISION_OF_ITS_OWN)
    if moved != list(instructions):
        yield moved


class _Patience:
    """How many letters may still be read back in the search for a wording.

    What can be written at all is found within a few thousand; without an end, a long marking of which one
    instruction has no wording was sought for seconds.
    """

    def __init__(self) -> None:
        self.left = 60_000

    def read_back(self, text: str, language: str) -> tuple[str, ...] | None:
        """As `read_back`; None once patience is at an end."""
        if self.left <= 0:
            return None
        self.left -= len(text)
        return read_back(text, language)


def _composed(instructions: list[Instruction], style: Style, patience: _Patience, *, with_others: bool) -> Written:
    """Instruction by instruction, each in the first wording with which all so far reads back."""
    text, division = "", None
    astray: list[Instruction] = []
    for at, one in enumerate(instructions):
        wanted = meaning(instructions[: at + 1])
        found = None
        for candidate in _candidates(text, one, division, style, with_others):
            if astray or patience.left <= 0:
                break
            if patience.read_back(candidate, style.language) == wanted:
                found = candidate
                break
        if found is None:
            astray.append(one)
            choices = phrases(one, style)
            found = (f"{text}\n" if text else "") + (choices[0] if choices else one.action.value)
        text = found
        division = one.division if one.action not in _NO_DIVISION_OF_ITS_OWN and one.division else division
    if astray and read_back(text, style.language) == meaning(instructions):
        return Written(text, True)  # the rest made plain what one alone left open
    return Written(text, not astray, tuple(astray))


def _candidates(text: str, one: Instruction, division: str | None, style: Style, with_others: bool) -> Iterator[str]:
    """The text so far with each wording of the next instruction."""
    said: list[str] = []
    if division is not None and one.division == division and one.hand is None and one.action is not Action.PLAY:
        said += phrases(one, style, keep_division=False)
    said += phrases(one, style)
    if with_others:
        for name in BUILT_IN:
            said += phrases(one, read_style(name))
    if not text:
        yield from said
        return
    for separator in dict.fromkeys((style.signs["separator"], *_SEPARATORS)):
        for phrase in said:
            yield text + separator + phrase


@lru_cache(maxsize=4096)
def read_back(text: str, language: str) -> tuple[str, ...]:
    """What a text is read as, in the form of `meaning`."""
    return meaning(read_marking(text, hint=language).instructions)


def meaning(instructions: Sequence[Instruction]) -> tuple[str, ...]:
    """Instructions in a form in which two lists that ask for the same are equal: places, order and accents left out."""
    return tuple(sorted(json.dumps(_plain(instruction_to_json(one)), sort_keys=True) for one in instructions))


def _plain(data: dict[str, Any]) -> dict[str, Any]:
    plain = dict(data)
    for key in ("stops", "except"):
        if key in plain:
            plain[key] = sorted((_plain_stop(stop) for stop in plain[key]), key=json.dumps)
    if "or" in plain:
        plain["or"] = sorted((_plain(other) for other in plain["or"]), key=json.dumps)
    return plain


def _plain_stop(stop: dict[str, Any]) -> dict[str, Any]:
    name = " ".join(fold_words(stop["name"])) if stop["name"] else None
    return {**stop, "name": name, "pitches": sorted(stop["pitches"]), "qualities": sorted(stop["qualities"])}

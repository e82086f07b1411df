"""Words for people: English templates with their values, translated where they are shown.

A message is never a finished string inside core, so that the window can show it in its own
language while JSON and logs stay English. A template may choose a word by a number:
``"{count} {count:bar|bars}"`` has the first for one, the second for more.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass

Value = "str | int | Said"
Catalogue = Callable[[str], str]
"""Gives a template in another language; the template itself where it has none."""


class _Number(int):
    """A number that can choose between two words: ``format(number, "bar|bars")``."""

    def __format__(self, spec: str) -> str:
        one, bar, more = spec.partition("|")
        if not bar:
            return int.__format__(self, spec)
        return one if self == 1 else more


class _FrenchNumber(_Number):
    """In French nought and one are both singular."""

    def __format__(self, spec: str) -> str:
        return super().__format__(spec) if "|" not in spec else format(_Number(1 if self in (0, 1) else 2), spec)


_NUMBERS: dict[str, type[_Number]] = {"fr": _FrenchNumber}


@dataclass(frozen=True, slots=True)
class Said:
    """An English template with the values that fill it, e.g. ``"{stop} is not on this organ"``."""

    template: str
    values: tuple[tuple[str, object], ...] = ()

    def __str__(self) -> str:
        return self.translated(str)

    def translated(self, catalogue: Catalogue) -> str:
        """The message in another language; `catalogue` gives the template's translation.

        What `catalogue` says of itself in ``language`` tells how that language counts.
        """
        text = catalogue(self.template)
        if not self.values:
            return text
        number = _NUMBERS.get(getattr(catalogue, "language", ""), _Number)
        return text.format_map({name: _filled(value, catalogue, number) for name, value in self.values})


def _filled(value: object, catalogue: Catalogue, number: type[_Number]) -> str | int:
    if isinstance(value, Said):
        return value.translated(catalogue)
    return number(value) if isinstance(value, int) and not isinstance(value, bool) else str(value)


def say(template: str, /, **values: object) -> Said:
    """A message from its English template: ``say("{stop} is not on this organ", stop="Tuba 8")``."""
    return Said(template, tuple(sorted(values.items())))


def joined(separator: str, parts: Iterable[object]) -> Said:
    """Messages (or plain words) one after another, each still to be translated: ``joined("; ", changes)``."""
    values: Mapping[str, object] = {f"part{number}": part for number, part in enumerate(parts)}
    between = separator.replace("{", "{{").replace("}", "}}")
    return say(between.join(f"{{{name}}}" for name in values), **values)

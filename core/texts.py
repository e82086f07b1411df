"""Words for people: English templates with their values, translated where they are shown.

A message is never a finished string inside core, so that the window can show it in its own
language while JSON and logs stay English.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

Value = "str | int | Said"


@dataclass(frozen=True, slots=True)
class Said:
    """An English template with the values that fill it, e.g. ``"{stop} is not on this organ"``."""

    template: str
    values: tuple[tuple[str, object], ...] = ()

    def __str__(self) -> str:
        return self.translated(lambda template: template)

    def translated(self, catalogue: Callable[[str], str]) -> str:
        """The message in another language; `catalogue` gives the template's translation."""
        filled = {
            name: value.translated(catalogue) if isinstance(value, Said) else str(value) for name, value in self.values
        }
        text = catalogue(self.template)
        return text.format_map(filled) if filled else text


def say(template: str, /, **values: object) -> Said:
    """A message from its English template: ``say("{stop} is not on this organ", stop="Tuba 8")``."""
    return Said(template, tuple(sorted(values.items())))

"""The rules: generators with metadata; a docstring's What, Why, Example and Remedy are shown to users."""

from __future__ import annotations

import importlib
import pkgutil
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from enum import StrEnum
from functools import cache

from core.checks.context import Context
from core.findings import Finding, Level

Check = Callable[[Context], Iterator[Finding]]


class Needs(StrEnum):
    """What a rule needs to be run."""

    NOTHING = "nothing"
    ORGAN = "an organ"
    STYLE = "a house style"


@dataclass(frozen=True, slots=True)
class Rule:
    """A rule: its id is the kebab-case name of the fault and never changes."""

    id: str
    level: Level
    needs: Needs
    check: Check

    @property
    def parts(self) -> dict[str, str]:
        """The docstring's sections by heading: What, Why, Example, Remedy."""
        return sections(self.check.__doc__ or "")


_RULES: dict[str, Rule] = {}
HEADINGS = ("What", "Why", "Example", "Remedy")


def rule(rule_id: str, *, level: Level, needs: Needs = Needs.ORGAN) -> Callable[[Check], Check]:
    """Register a check under a rule id. Its docstring must have all four headings."""

    def register(check: Check) -> Check:
        missing = [h for h in HEADINGS if h not in sections(check.__doc__ or "")]
        if missing:
            raise TypeError(f"{rule_id}: the docstring lacks {', '.join(missing)}")
        if rule_id in _RULES:
            raise TypeError(f"{rule_id}: registered twice")
        _RULES[rule_id] = Rule(rule_id, level, needs, check)
        return check

    return register


def sections(text: str) -> dict[str, str]:
    """Divide a docstring at its headings."""
    found: dict[str, list[str]] = {}
    current: list[str] | None = None
    for line in text.splitlines():
        bare = line.strip()
        heading, colon, rest = bare.partition(":")
        if colon and heading in HEADINGS:
            current = found.setdefault(heading, [])
            bare = rest.strip()
        if current is not None and bare:
            current.append(bare)
    return {heading: " ".join(lines) for heading, lines in found.items()}


@cache
def all_rules() -> tuple[Rule, ...]:
    """Every rule, by id. Imports all modules of this package once."""
    import core.checks as package

    for module in pkgutil.iter_modules(package.__path__):
        importlib.import_module(f"core.checks.{module.name}")
    return tuple(sorted(_RULES.values(), key=lambda r: r.id))

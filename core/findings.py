"""Findings: what a person should look at. A finding is one flat value; rules and the resolver make them."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from core.edit_values import Edit
from core.position import Position
from core.score.model import MarkingId
from core.texts import Said


class Level(StrEnum):
    """How grave: this organ can't (error), somebody must decide (warning), taste or custom (advice)."""

    ERROR = "error"
    WARNING = "warning"
    ADVICE = "advice"


RANK = {Level.ADVICE: 0, Level.WARNING: 1, Level.ERROR: 2}


@dataclass(frozen=True, slots=True)
class Proposal:
    """A remedy: in words, and as an ordinary undoable edit where there is one.

    Attributes:
        text: what it is.
        edit: what does it.
        marking: what does the same by a marking, where `edit` does it by a bracket.
    """

    text: Said
    edit: Edit | None = None
    marking: Edit | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """Something a person should look at.

    Attributes:
        rule: kebab-case name of the fault; never changes or is reused.
        level: see `Level`.
        message: one sentence that names the thing in the trade's words, as printed.
        why: why it matters.
        at: where it begins; None for the piece as a whole.
        staff: staff of its part, from 1.
        marking: the marking it speaks of.
        cause: findings of one marking with the same cause are folded into the gravest.
    """

    rule: str
    level: Level
    message: Said
    why: Said
    at: Position | None = None
    until: Position | None = None
    staff: int | None = None
    marking: MarkingId | None = None
    division: str | None = None
    proposals: tuple[Proposal, ...] = ()
    cause: str = ""

    def to_json(self) -> dict[str, object]:
        """As the machine interface's `check` has it."""
        return {
            "rule": self.rule,
            "level": self.level.value,
            "at": self.at.to_json() if self.at else None,
            "until": self.until.to_json() if self.until else None,
            "staff": self.staff,
            "message": str(self.message),
            "why": str(self.why),
            "proposals": [{"text": str(p.text)} for p in self.proposals],
        }

"""Who is at the console: the player alone, or with assistants, and what they can move in time."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from core.knowledge.loader import load

MOST_ASSISTANTS = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Player:
    """A player and helpers.

    Attributes:
        assistants: people beside the console who draw stops and turn pages, 0 to 2.
    """

    assistants: int = 0

    @property
    def turned_for(self) -> bool:
        """Whether somebody turns the pages."""
        return self.assistants > 0

    def left_to_hands(self, movements: int) -> int:
        """Of so many controls, those that the assistants cannot move in one motion."""
        return max(0, movements - self.assistants * one_motion())


ALONE = Player()


def one_motion() -> int:
    """Controls that a hand moves in one motion."""
    return int(load("practice")["one_motion"])


def seconds_needed(movements: int) -> Fraction:
    """Seconds that one hand needs for so many controls: a second for each motion."""
    return Fraction(-(-movements // one_motion()))

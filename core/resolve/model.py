"""What is on now, and why: the registration in force, choices with their reasons, steps of a piece."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from core.findings import Finding
from core.markings.model import Instruction, Reading
from core.position import Position
from core.score.model import MarkingId, Ticks
from core.texts import Said


class Sure(StrEnum):
    """How sure a choice is."""

    STATED = "stated"
    CUSTOMARY = "customary"
    GUESS = "guess"
    USER = "user"


@dataclass(frozen=True, slots=True, kw_only=True)
class Because:
    """One request and what answers it (the machine interface, `because`). Stops by id, division by id.

    Attributes:
        octaves: how many octaves off its notes must be played for the pitch that was asked; -1 is lower.
    """

    request: str
    division: str | None
    chosen: tuple[str, ...]
    alternatives: tuple[str, ...] = ()
    substitute: bool = False
    why: Said
    sure: Sure = Sure.STATED
    octaves: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Registration:
    """What is on now. Stops, divisions by id; couplers by index in `organ.couplers`.

    Attributes:
        drawn: stop ids that are on, in the order drawn.
        prepared: stop ids made ready, not yet sounding.
        couplers: indexes into ``organ.couplers``.
        tremulants: division ids (None: the whole organ's).
        boxes: (division id, ``open`` | ``half`` | ``closed`` | ``opening`` | ``closing``).
        hands: (``right`` | ``left`` | ``feet``, division id or None).
        stands_for: (what was asked, stop id) of each stop that is on in place of something the organ has not.
    """

    drawn: tuple[str, ...] = ()
    prepared: tuple[str, ...] = ()
    couplers: frozenset[int] = frozenset()
    tremulants: frozenset[str | None] = frozenset()
    boxes: tuple[tuple[str, str], ...] = ()
    hands: tuple[tuple[str, str | None], ...] = ()
    stands_for: tuple[tuple[str, str], ...] = ()

    def hand(self, hand: str) -> str | None:
        """The division a hand or the feet play, or None."""
        return dict(self.hands).get(hand)

    def box(self, division: str) -> str | None:
        """The state of a division's box, or None where nothing was said."""
        return dict(self.boxes).get(division)


@dataclass(frozen=True, slots=True, kw_only=True)
class Resolution:
    """What a marking does on an organ: the registration after it, with reasons and findings."""

    registration: Registration
    because: tuple[Because, ...] = ()
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """A moment at which the registration changes, in played order.

    Attributes:
        played: ticks from the start as played.
        markings: ids of the markings applied here.
        texts: theirs, and the player's pencil marks.
        readings: their readings.
    """

    at: Position
    played: Ticks
    registration: Registration
    markings: tuple[MarkingId, ...] = ()
    texts: tuple[str, ...] = ()
    readings: tuple[Reading, ...] = ()
    instructions: tuple[Instruction, ...] = ()
    because: tuple[Because, ...] = ()
    findings: tuple[Finding, ...] = ()
    staff: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Keyboards:
    """Which of this organ's divisions answers each of the piece's, proposed once for the piece.

    `answers` maps what the piece says (role, ``manual-2``) to a division id of this organ, with a reason;
    `by_user` names the rows the user set.
    """

    answers: dict[str, str] = field(default_factory=dict)
    why: dict[str, Said] = field(default_factory=dict)
    by_user: frozenset[str] = frozenset()
    missing: frozenset[str] = frozenset()  # rows nothing answers
    substitutes: frozenset[str] = frozenset()  # rows answered by another kind of division

"""What a marking was read to ask for: instructions, each with the words it came from."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from typing import NamedTuple

from core.organ.model import Feet, Half
from core.position import Span
from core.texts import Said


class Action(StrEnum):
    """What an instruction asks to do (the machine interface, `action`)."""

    DRAW = "draw"
    ADD = "add"
    TAKE_OFF = "take-off"
    PREPARE = "prepare"
    COUPLE = "couple"
    UNCOUPLE = "uncouple"
    UNISON_OFF = "unison-off"
    PLAY = "play"
    FULL = "full"
    SOLO = "solo"
    SOLO_END = "solo-end"
    TREMULANT_ON = "tremulant-on"
    TREMULANT_OFF = "tremulant-off"
    BOX = "box"
    CRESCENDO = "crescendo"
    REDUCE = "reduce"
    CRESCENDO_PEDAL = "crescendo-pedal"
    CANCEL = "cancel"
    PISTON = "piston"


class Hand(StrEnum):
    """Who plays."""

    RIGHT = "right"
    LEFT = "left"
    FEET = "feet"
    BOTH = "both"


class ReadingKind(StrEnum):
    """Whether a text is registration, something else, or both."""

    REGISTRATION = "registration"
    OTHER = "other"
    MIXED = "mixed"


@dataclass(frozen=True, slots=True, kw_only=True)
class StopRequest:
    """One stop, family or pitch that a marking asks for.

    Attributes:
        name: as the text has it, expanded where abbreviated; None for a request by family or pitch.
        family: a `Family` value, or ``foundation``, ``plenum``, ``compound``, ``all``; None where unknown.
        pitches: printed ones, or those the name alone fixes.
        qualities: English words: ``soft``, ``loud``, ``alone`` …
        kind: id of the stop's kind in core/knowledge, where known.
        recipe: id of the recipe in core/knowledge (``grand-jeu``), where the request is one.
        span: its place in the marking's text.
    """

    name: str | None = None
    family: str | None = None
    pitches: tuple[Feet, ...] = ()
    qualities: tuple[str, ...] = ()
    half: Half | None = None
    ranks: int | None = None
    kind: str | None = None
    recipe: str | None = None
    span: Span | None = None


@dataclass(frozen=True, slots=True)
class CouplerRequest:
    """A coupler asked for, ends by role or ``manual-N``; None where no keyboard is named."""

    source: str | None
    target: str | None
    pitch: Feet = Fraction(8)


@dataclass(frozen=True, slots=True, kw_only=True)
class Instruction:
    """One thing to do (the machine interface, `stopwright read`)."""

    action: Action
    division: str | None = None
    hand: Hand | None = None
    stops: tuple[StopRequest, ...] = ()
    exceptions: tuple[StopRequest, ...] = ()
    up_to: bool = False
    optional: bool = False
    alternatives: tuple[Instruction, ...] = ()
    coupler: CouplerRequest | None = None
    passes: tuple[int, ...] | None = None
    box: str | None = None
    number: str | None = None
    to: str | None = None
    span: Span | None = None


@dataclass(frozen=True, slots=True)
class Unread:
    """A word of a registration that was not understood, as printed, with its place."""

    text: str
    span: Span


class WordNote(NamedTuple):
    """How a stretch of the text was understood, for people."""

    span: Span
    meaning: Said


class Brackets(StrEnum):
    """Brackets of a whole text, or a lone one."""

    EDITORIAL = "editorial"  # [Sw. Oboe]
    REMINDER = "reminder"  # (Gt.)
    OPENS = "opens"  # a lone [ opens a passage
    CLOSES = "closes"  # a lone ] closes one


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """What one text was understood to ask.

    Attributes:
        language: ``en``, ``fr``, ``de``, ``it``, ``es``, ``nl``, ``la``.
        also: other readings that are as good, where `ambiguous`.
        words: word by word how it was read; spans cover the text.
        brackets: brackets round the whole text, or a lone one at its edge.
    """

    text: str
    language: str
    kind: ReadingKind
    instructions: tuple[Instruction, ...] = ()
    unread: tuple[Unread, ...] = ()
    ambiguous: bool = False
    also: tuple[tuple[Instruction, ...], ...] = ()
    words: Sequence[WordNote] = ()
    brackets: Brackets | None = None

"""Explains word by word how a marking was read, in plain language."""

from __future__ import annotations

from core.markings.model import Instruction, WordNote
from core.markings.state import State
from core.position import Span
from core.texts import say


def explain(state: State, instructions: tuple[Instruction, ...]) -> tuple[WordNote, ...]:
    """A note for each stretch of the text; together they cover it."""
    return tuple(
        WordNote(Span(token.start, token.end), say("{kind}", kind=token.kind)) for token in state.tokens
    )


def instruction_in_words(instruction: Instruction) -> str:
    """One instruction as a line for people."""
    parts = [instruction.action.value, instruction.division or "(division not said)"]
    parts += [stop.name or stop.family or "stops" for stop in instruction.stops]
    return " ".join(parts)

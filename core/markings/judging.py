"""Tells registration from what is not ours, and finds the other readings of what is ambiguous."""

from __future__ import annotations

from dataclasses import replace

from core.markings.model import Action, Instruction, ReadingKind, StopRequest
from core.markings.state import State
from core.markings.tokens import Token
from fractions import Fraction

_STRONG = frozenset(
    {"stop", "compact_stop", "family", "plenum", "plenum_of", "recipe", "full", "full_plenum", "initials", "coupler", "coupled", "uncoupled",
     "pedal_coupler", "manual_coupler", "classical_coupler", "octave", "unison_off", "tremulant", "box", "crescendo_pedal",
     "piston", "general", "cancel", "two_manuals", "manuals_only", "division", "roman", "heading", "solo", "prominent"}
)  # fmt: skip
_FOREIGN = frozenset({"lyric", "title", "other"})
_MIXERS = frozenset({"tempo", "expression"})


def judge(state: State) -> ReadingKind:
    """Whether the text is registration, something else, or both."""
    tokens = state.tokens
    if not state.drafts:
        strong = [t for t in tokens if t.kind in ("stop", "family", "tremulant", "coupler") and not t.guessed]
        unknown = [t for t in tokens if t.kind == "word"]
        if not strong or len(unknown) >= len(strong):
            return ReadingKind.OTHER
        if any(t.kind in _FOREIGN for t in tokens):
            return ReadingKind.OTHER
        return ReadingKind.REGISTRATION if state.unread else ReadingKind.OTHER
    if _is_prose(state, tokens):
        return ReadingKind.OTHER
    return ReadingKind.MIXED if any(t.kind in _MIXERS for t in tokens) else ReadingKind.REGISTRATION


def _is_prose(state: State, tokens: list[Token]) -> bool:
    """Whether the words around make the trade's words mean something else: a title, a lyric, a direction."""
    foreign = sum(1 for t in tokens if t.kind in _FOREIGN)
    unknown = sum(1 for t in tokens if t.kind == "word")
    filler = sum(1 for t in tokens if t.kind == "filler")
    weight = sum(_weight(state, t) for t in tokens)
    against = 1.2 * foreign + 0.8 * unknown + 0.1 * filler
    return weight < against or weight <= 0


def _weight(state: State, token: Token) -> float:
    """How much a token speaks for registration."""
    text = state.text[token.start : token.end]
    if token.kind == "num":
        return 1.5 if token.foot else 0.8 if token.pitch in (8, 4, 16, 2, 32) else 0.0
    if token.kind not in _STRONG:
        return 0.3 if token.kind in ("add", "off", "prepare", "without", "quality", "hand", "box_state", "with") else 0.0
    if token.guessed:
        return 0.5
    if token.kind == "division" and (token.dot or len(text) <= 4):
        return 1.6
    return 1.0


def readings_beside(state: State, instructions: tuple[Instruction, ...]) -> tuple[tuple[Instruction, ...], ...]:
    """The other readings that are as good, where the text leaves it open."""
    also: list[tuple[Instruction, ...]] = []
    for reason in state.ambiguous:
        if reason == "piston-or-pitch":
            also.append(tuple(_as_pitch(i) if i.action is Action.PISTON else i for i in instructions))
        elif reason == "cresc-ped":
            also.append((Instruction(action=Action.CRESCENDO, division="pedal", span=instructions[0].span),))
            also.append(())
        else:
            also.append(())
    for token in state.tokens:
        roles = {s.value for s in token.senses if s.kind == "division" and s.language in ("de", "nl")}
        if token.kind == "division" and roles == {"oberwerk", "brustwerk"}:
            other = next(iter(roles - {token.value}))
            also.append(tuple(replace(i, division=other) if i.division == token.value else i for i in instructions))
            break
    return tuple(also)


def _as_pitch(instruction: Instruction) -> Instruction:
    request = StopRequest(pitches=(Fraction(instruction.number or 0),), span=instruction.span)
    return replace(instruction, action=Action.DRAW, number=None, stops=(request,))

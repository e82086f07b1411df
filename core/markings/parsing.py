"""Goes through a marking's tokens and reads them, each reader in its turn, into drafts of instructions."""

from __future__ import annotations

from core.markings.aids import read_aid
from core.markings.clauses import (
    read_full,
    read_joining,
    read_optional,
    read_or,
    read_solo,
    read_suffix,
    read_up_to,
    read_verb,
)
from core.markings.couplers import read_coupler
from core.markings.keyboards import keyboard, read_division, read_hand, read_pass
from core.markings.model import Action, Hand
from core.markings.state import AND_SIGNS, State
from core.markings.stop_lists import (
    read_family,
    read_pitches,
    read_quality,
    read_recipe,
    read_stop,
    read_stops_word,
    repeats_stop,
)
from core.markings.tokens import Token

QUIET = frozenset(
    {"filler", "tempo", "expression", "other", "title", "lyric", "dynamic", "of", "at", "unit", "number_sign",
     "manual_word", "ordinal", "rank_word", "solo_word", "pitch_word"}
)  # fmt: skip


def parse(text: str, tokens: list[Token], language: str) -> State:
    """Read all tokens; what no reader takes is quiet, or left as unread."""
    state = State(text, tokens, language)
    while state.at < len(tokens):
        before = state.at
        if not _step(state):
            _leave(state)
        if state.at == before:
            state.take(1)
    state.flush()
    return state


_READERS = (
    read_coupler, read_aid, read_pass, read_hand, read_or, repeats_stop, read_full, read_suffix, read_verb,
    read_joining, read_up_to, read_division, read_solo, read_optional, read_stop, read_family, read_recipe,
    read_pitches, read_quality, read_stops_word,
)  # fmt: skip


def _step(state: State) -> bool:
    if _heading(state) or _title_after(state) or _namely(state) or _half(state) or _similar(state) or _sign(state):
        return True
    return any(reader(state) for reader in _READERS)


def _heading(state: State) -> bool:
    """``Prepare:`` makes the block's draws preparations; ``Registration:`` changes nothing."""
    if state.kind() == "heading":
        token = state.take(1)
        if state.kind() == ":":
            state.take(1)
        state.heading = state.heading or token.value == "prepare"
        return True
    if state.kind() == "prepare" and (state.kind(1) == ":" or state.kind(1) == "break"):
        state.flush()
        state.take(2)
        state.heading = True
        return True
    return False


def _namely(state: State) -> bool:
    """A recipe spelled out: its name adds nothing to the stops that follow."""
    if state.kind() != "namely":
        return False
    state.take(1)
    state.clause.stops = []
    state.clause.hand = None
    return True


def _title_after(state: State) -> bool:
    """``Cromorne en taille``: the hand that has the solo."""
    if state.kind() != "title_after" or state.clause.empty:
        return False
    state.clause.hand = Hand(state.take(1).value)
    return True


def _half(state: State) -> bool:
    """``Medio registro de tiple:`` before its stops."""
    if state.kind() != "half_before":
        return False
    state.half = state.take(1).value
    return True


def _similar(state: State) -> bool:
    if state.kind() != "similar":
        return False
    state.take(1)
    stops = state.clause.stops or (state.drafts[-1].stops if state.drafts else [])
    if stops:
        stops[-1].qualities.append("or similar")
    return True


def _sign(state: State) -> bool:
    token = state.peek()
    if token is None:
        return False
    if token.kind == "break" or (token.kind == "sign" and token.value == ";"):
        return _hard_pause(state)
    if token.kind == "and":
        return _and(state)
    if token.kind != "sign":
        return False
    value = token.value
    if value in ",/":
        state.take(1)
        state.part += 1
        state.joined = state.clause.fresh and state.clause.empty and not state.clause.said and keyboard(state, state.at) is not None
        if state.clause.excepting and keyboard(state, state.at):
            state.clause.excepting = False
        return True
    if value in AND_SIGNS:
        return _plus(state) if value == "+" else _and(state)
    if value in "-−" and _takes_off(state):
        token = state.take(1)
        if not state.clause.empty:
            state.flush()
        clause = state.clause
        clause.action, clause.verb, clause.fresh = Action.TAKE_OFF, True, False
        clause.start = token.start if not clause.divisions else min(clause.start, token.start)
        return True
    if value in "([":
        state.depth += 1
    elif value in ")]":
        state.depth -= 1
    state.take(1)
    if value in "(":
        state.part += 1
    return True


def _hard_pause(state: State) -> bool:
    state.take(1)
    state.part += 1
    clause = state.clause
    if clause.verb or clause.excepting or clause.hand is not None or clause.full or clause.postfix or clause.up_to:
        state.flush()
    elif clause.fresh and clause.empty and not clause.said and state.peek() is not None and keyboard(state, state.at):
        state.flush()
    state.joined = False
    state.half = None
    return True


def _and(state: State) -> bool:
    state.take(1)
    state.joined = True
    if state.clause.excepting and keyboard(state, state.at):
        state.clause.excepting = False
    return True


def _plus(state: State) -> bool:
    clause = state.clause
    if clause.empty and not state.joined:
        token = state.take(1)
        if not clause.fresh or clause.divisions:
            clause.action, clause.verb = Action.ADD, True
            clause.start = min(clause.start, token.start) if clause.fresh else token.start
        return True
    return _and(state)


def _takes_off(state: State) -> bool:
    token, follow = state.peek(), state.peek(1)
    if token is None or follow is None or follow.kind not in ("stop", "family", "num", "compact_stop", "plenum"):
        return False
    printed = state.text[token.start : token.end]
    if token.value == "−" or state.at == 0 or state.kind(-1) in (",", ";", "break"):
        return True
    if printed == "-" and state.clause.fresh and state.clause.empty and token.gap:
        return True
    return token.gap and not follow.gap


def _leave(state: State) -> None:
    """A token nobody reads: quiet words pass, words that are not known are listed."""
    token = state.peek()
    assert token is not None
    if token.kind == "word" or token.kind not in QUIET:
        state.unread.append(token)
    state.take(1)

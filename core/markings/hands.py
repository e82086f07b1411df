"""Reads who plays, and which time through."""

from __future__ import annotations

from core.markings.keyboards import keyboard
from core.markings.model import Hand
from core.markings.state import State


def read_hand(state: State) -> bool:
    """A hand, before or after what it plays."""
    token = state.peek()
    if token is None or token.kind not in ("hand", "title_hand"):
        return False
    clause = state.clause
    twins = token.value.split()
    hand = Hand(twins[0])
    after = 1
    while state.kind(after) in ("of",) and token.kind == "title_hand":
        after += 1
    busy = not clause.empty or (clause.fresh and not clause.said)
    attach = busy and clause.hand is None and not _starts_new(state)
    state.take(after)
    if attach:
        clause.hand = hand
        clause.end = token.end
        if state.kind() in (":", ")"):
            state.take(1)
        return True
    keep = clause.divisions if not clause.hand_first else []
    passes = clause.passes
    state.flush()
    state.clause.divisions = list(keep)
    state.clause.passes = passes
    state.clause.hand = hand
    state.clause.hand_first, state.clause.titled = True, token.kind == "title_hand"
    state.clause.twin = Hand(twins[1]) if len(twins) > 1 else None
    state.clause.start = token.start
    if state.kind() == ":":
        state.take(1)
    while state.kind() in ("at", "to", "filler") and keyboard(state, state.at + 1):
        state.take(1)
    return True


def _starts_new(state: State) -> bool:
    """Whether the hand at the place begins something new rather than belonging to what precedes it."""
    before = state.peek(-1)
    if before is None:
        return True
    follow = state.kind(1)
    ends = follow in ("", "break", ",", ";", ")", "]", "and", "&")
    if before.kind == "sign" and before.value == "," and follow in ("", "break", ";") and state.clause.stops:
        return False  # "Corneta, mano derecha": nothing comes after it
    if before.kind == "break" or (before.kind == "sign" and before.value in ",;"):
        return True
    if state.clause.fresh and state.clause.empty:
        return False
    return not ends and before.value != "("


def read_pass(state: State) -> bool:
    """Which time through: before what holds in it, or after it."""
    earlier: tuple[int, ...] = ()
    if state.kind() == "ordinal" and state.kind(1) in ("and", "&", ",") and state.kind(2) == "pass":
        first = state.take(2).value  # 1st & 2nd times
        earlier = (int(first),) if first.isdecimal() else ()
    token = state.peek()
    if token is None or token.kind not in ("pass", "pass_both"):
        return False
    number = None if token.kind == "pass_both" else (*earlier, *map(int, token.value.split()))
    clause = state.clause
    follow = state.kind(1)
    busy = not clause.empty or (clause.fresh and not clause.said)
    state.take(1)
    if (
        busy
        and clause.passes is None
        and (follow in ("", ",", ";", ")", "break", "]", "and", "&", "alone"))
        and not _after_pause(state)
    ):
        clause.passes = number
        if state.kind() == "alone":
            state.take(1)
        state.flush()
        state.clause.passes = None
        return True
    state.flush()
    state.clause.passes = number
    state.clause.start = token.start
    while state.kind() in (":", "alone", ","):
        state.take(1)
    return True


def _after_pause(state: State) -> bool:
    before = state.peek(-2)
    return before is not None and before.kind == "sign" and before.value in ",;"

"""Reads octave couplers: sub, super, graves, aiguës, terza mano."""

from __future__ import annotations

from fractions import Fraction

from core.markings.coupler_pairs import directed, emit, keyboard_after, pair_at
from core.markings.keyboards import keyboard
from core.markings.language import has
from core.markings.state import State

_OCTAVES = (("octave",), ("oct",), ("octaves",))


def read_octave_of(state: State) -> bool:
    """``Sw. Octave to Gt.``, ``Solo Octave & Sub``: the coupler, not the stop of that name."""
    token = state.peek()
    if token is None or token.words not in _OCTAVES or not state.clause.divisions or not state.clause.empty:
        return False
    goal = keyboard(state, state.at + 2) if state.kind(1) == "to" else None
    own = state.clause.divisions[0] not in ("great", "pedal") and state.pauses(2)
    switched = own and (has(state.peek(1), "off_after") or has(state.peek(1), "add_after"))  # Swell Octave on
    beside = state.kind(1) in ("and", "&", ",") and state.kind(2) in ("octave", "unison_off")  # Octave, Unison Off
    if goal is None and not switched and not beside:
        return False
    token.kind, token.value = "octave", "4"
    return read_octave(state)


def read_octave(state: State) -> bool:
    """``Sub Octave``, ``Octaves aiguës R.``: a keyboard on itself, or two at that pitch."""
    if state.kind() != "octave":
        return False
    if _has_stop_sense(state) and state.kind(1) == "num":
        state.tokens[state.at].kind = "stop"  # Super Octave 2
        return False
    start = state.peek().start  # type: ignore[union-attr]
    pitches = _octave_pitches(state)
    found = keyboard_after(state)
    led = 1 if state.kind() in ("of", "at") else 0
    pair = pair_at(state, state.at + led)
    if pair is not None:
        state.take(pair[1].after - state.at)
        emit(state, start, [directed(a, b) for a in pair[0].roles for b in pair[1].roles], pitches)
        return True
    divisions = state.clause.divisions
    goal = keyboard(state, state.at + 1) if has(state.peek(), "to") and divisions else None
    if found is not None and goal is None:
        state.take(found.after - state.at)
        emit(state, start, [(role, role) for role in found.roles], pitches)
        return True
    state.clause.said = True
    if goal is not None:
        state.take(goal.after - state.at)
        emit(state, start, [directed(d, role) for d in divisions for role in goal.roles], pitches)
        return True
    emit(state, start, [(d, d) for d in divisions] or [(None, None)], pitches)
    return True


def _has_stop_sense(state: State) -> bool:
    token = state.peek()
    return token is not None and any(s.kind == "stop" for s in token.senses)


def _octave_pitches(state: State) -> list[Fraction]:
    found = [Fraction(state.take(1).value)]
    while True:
        if state.kind() in ("and", "&", "+", ",", "/") and state.kind(1) == "octave":
            state.take(1)
            found.append(Fraction(state.take(1).value))
        elif state.kind() in ("and", "&", "+") and _is_bare_octave(state):
            state.take(2)  # Sub Oct. & Oct.
            found.append(Fraction(4))
        elif state.kind() == "coupler":
            state.take(1)
        else:
            return found


def _is_bare_octave(state: State) -> bool:
    """Whether "Octave" stands next with nothing after it, so that it is no stop with a pitch or a goal."""
    token = state.peek(1)
    return token is not None and token.words in _OCTAVES and (state.pauses(2) or has(state.peek(2), "off_after"))

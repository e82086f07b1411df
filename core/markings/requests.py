"""Puts stop requests into the clause that is open."""

from __future__ import annotations

from core.markings.state import Request, State


def target(state: State) -> list[Request]:
    """Where the next request goes: what is left out, or what is asked for."""
    return state.clause.exceptions if state.clause.excepting else state.clause.stops


def add_request(state: State, request: Request) -> Request:
    """Put a request into the clause with the qualities that stood before it."""
    if state.clause.placed and state.clause.stops and not state.clause.excepting:
        _after_a_place(state)
    request.qualities.extend(state.qualities)
    state.qualities = []
    request.part = state.part
    request.joined = state.joined
    state.joined = False
    clause = state.clause
    if state.half and not request.half:
        request.half = state.half
    if clause.empty and not clause.verb:
        clause.start = request.start
    clause.end = request.end
    target(state).append(request)
    return request


def _after_a_place(state: State) -> None:
    """What stands before ("les Anches du G.O.") is closed by its division; the verb goes on."""
    clause, qualities, joined = state.clause, state.qualities, state.joined
    state.qualities = []
    state.flush()
    state.clause.action, state.clause.verb = clause.action, clause.verb
    state.clause.hand, state.clause.optional = clause.hand, clause.optional
    state.qualities, state.joined = qualities, joined

"""Puts stop requests into the clause that is open."""

from __future__ import annotations

from core.markings.state import Request, State


def target(state: State) -> list[Request]:
    """Where the next request goes: what is left out, or what is asked for."""
    return state.clause.exceptions if state.clause.excepting else state.clause.stops


def add_request(state: State, request: Request) -> Request:
    """Put a request into the clause with the qualities that stood before it."""
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

"""Reads what is left to the player: or, or similar, ad lib., if present."""

from __future__ import annotations

from core.markings.clauses import ASKS
from core.markings.goals import read_full
from core.markings.keyboards import keyboard, keyboards
from core.markings.language import has
from core.markings.model import Action
from core.markings.pitches import pitch_run
from core.markings.state import Clause, State
from core.markings.stop_lists import read_family, read_pitches, read_quality, read_recipe, read_stops_word
from core.markings.stop_names import read_stop
from core.markings.tokens import Token


def read_optional(state: State) -> bool:
    """``ad lib.`` and ``if present``, after what they are about or before it."""
    kind = state.kind()
    if kind not in ("adlib", "if_present"):
        return False
    token = state.take(1)
    clause = state.clause
    if state.drafts and state.at > 1 and state.drafts[-1].end >= state.tokens[state.at - 2].end and _an_aid(state):
        state.drafts[-1].optional = True  # Gt. to Ped. ad lib.
    elif clause.stops:
        _mark_optional(clause, kind)
    elif not clause.empty or clause.fresh or kind == "if_present" or not state.drafts:
        clause.optional = True
    elif state.drafts and state.pauses():
        state.drafts[-1].optional = True
    clause.end = max(clause.end, token.end)
    return True


def _an_aid(state: State) -> bool:
    """Whether what was read last is a coupler or a tremulant."""
    return state.drafts[-1].action in (Action.COUPLE, Action.UNCOUPLE, Action.TREMULANT_ON, Action.TREMULANT_OFF)


def _mark_optional(clause: Clause, kind: str) -> None:
    """The last part of the list is optional; where it is the only one, all of it is."""
    stops = clause.stops
    part = max(stop.part for stop in stops)
    last = [stop for stop in stops if stop.part == part]
    if len(last[-1].pitches) > 1 and not last[-1].words:
        split = last[-1].copy()
        split.pitches, split.adlib = [last[-1].pitches.pop()], True
        stops.append(split)
    elif len(last) < len(stops):
        for stop in last:
            stop.adlib = True
    elif kind == "adlib" and stops[-1].joined and len(stops) > 1:
        stops[-1].adlib = True
    else:
        clause.optional = True
        if kind == "adlib" and clause.action is Action.DRAW and not clause.full:
            clause.action = Action.ADD


def read_or(state: State) -> bool:
    """``or``: another division, another stop, another whole instruction would do as well."""
    if state.kind() != "or":
        return False
    if has(state.peek(1), "similar") and state.kind(2) not in ("stop", "family", "recipe"):
        state.take(2)
        _similar(state)
        return True
    clause = state.clause
    if clause.excepting or (clause.action is Action.TAKE_OFF and clause.verb):
        state.take(1)  # "without Reeds or Mixtures" leaves out both
        state.joined = True
        return True
    ahead = 1
    while state.kind(ahead) in ("at", "of", "filler", "to"):
        ahead += 1
    found = keyboards(state, state.at + ahead, commas=False)
    if found is not None:
        _or_division(state, found.roles, found.after)
        return True
    if clause.empty:
        state.take(1)
        return True
    state.take(1)
    if state.kind() == ":":
        state.take(1)  # "(à défaut: Cromorne)"
    if state.kind() == "lacking":
        _pass_over_lack(state)  # "ou au défaut de la Flûte, le Prestant"
        while state.kind() == "filler":
            state.take(1)
    or_stops(state)
    return True


def read_lacking(state: State) -> bool:
    """``if no Oboe, Clarinet``: what comes next is for an organ that has not the stop; the condition is listed."""
    if state.kind() != "lacking" or state.pauses(1):
        return False
    clause = state.clause
    asked = bool(clause.stops)
    _pass_over_lack(state)
    while asked and state.kind() in ("draw", "filler", ","):
        state.take(1)
    if not asked or state.pauses():
        return True
    found = keyboards(state, state.at, commas=False)
    if found is not None:
        _or_division(state, found.roles, found.after)
    else:
        or_stops(state)
    return True


def _pass_over_lack(state: State) -> None:
    """Go past what may be lacking, up to the pause or verb that ends the condition."""
    first = state.take(1)
    while not state.pauses() and state.kind() not in ("draw", "add"):
        state.take(1)
    state.unread.append(Token("lacking", "", first.start, state.tokens[state.at - 1].end))
    if state.kind() == ",":
        state.take(1)


def _similar(state: State) -> None:
    clause = state.clause
    if clause.stops:
        clause.stops[-1].qualities.append("or similar")
    elif state.drafts and state.drafts[-1].stops:
        state.drafts[-1].stops[-1].qualities.append("or similar")


def _or_division(state: State, roles: tuple[str, ...], after: int) -> None:
    clause = state.clause
    kind = state.tokens[after].kind if after < len(state.tokens) else ""
    if clause.empty:
        state.take(after - state.at)
        clause.other_divisions.extend(roles)
        return
    if kind in ASKS:
        state.take(after - state.at)
        _sub_clause(state, list(roles))
        return
    state.take(after - state.at)
    clause.other_divisions.extend(roles)


def _sub_clause(state: State, roles: list[str]) -> None:
    """Read the alternative's own stops up to the next pause."""
    main = state.clause
    part, joined = state.part, state.joined
    other = Clause(
        divisions=roles, hand=main.hand, start=state.tokens[state.at - 1].start, end=state.tokens[state.at - 1].end
    )
    state.clause = other
    state.joined = False
    _read_requests(state)
    state.clause = main
    state.part, state.joined = part, joined
    main.others.append(other)
    main.end = other.end
    if roles:
        state.named.extend(roles)


def or_stops(state: State) -> None:
    """Read the alternative's stops: they take the place of the last one."""
    main = state.clause
    kept = [stop.copy() for stop in main.stops[:-1]] if len(main.stops) > 1 else []
    other = Clause(
        divisions=list(main.divisions), hand=main.hand, full=False, start=main.start, end=main.end, up_to=main.up_to
    )
    state.clause = other
    part = state.part
    state.joined = False
    _read_requests(state)
    state.clause = main
    state.part = part
    _whose(state, main, other)
    if other.stops:
        other.stops = kept + other.stops
        main.others.append(other)
    elif other.full:
        main.others.append(other)


def _whose(state: State, main: Clause, other: Clause) -> None:
    """A bare pitch is the same stop's ("Fl. 8 or 4"); a place or pitch after the alternative belongs to it."""
    if state.kind() == "(" and keyboard(state, state.at + 1) is not None and state.kind(2) == ")" and other.stops:
        found = keyboard(state, state.at + 1)  # "Clarinet (Ch.) or Oboe (Sw.)"
        if found is not None:
            state.take(3)
            other.divisions = list(found.roles)
    if state.kind() in ("at", "of") and keyboard(state, state.at + 1) is not None and other.stops:
        found = keyboards(state, state.at + 1, commas=False)
        if found is not None:
            state.take(found.after - state.at)
            other.divisions = list(found.roles)
            if not main.divisions and state.kind() != ")":
                main.divisions = list(found.roles)  # "Clarinette ou Cromorne au Positif"
                state.named.extend(found.roles)
    if len(other.stops) == 1 and other.stops[0].words is None and other.stops[0].family is None and main.stops:
        other.stops[0].words, other.stops[0].family = main.stops[-1].words, main.stops[-1].family
    if state.kind() == ")" and state.kind(1) == "num" and main.stops and other.stops and not main.stops[-1].pitches:
        pitches, count = pitch_run(state, state.at + 1)
        state.take(1 + count)
        main.stops[-1].pitches = list(pitches)
        other.stops[-1].pitches = other.stops[-1].pitches or list(pitches)


def _read_requests(state: State) -> None:
    """Read requests up to a word that is none."""
    readers = (read_stop, read_family, read_pitches, read_recipe, read_quality, read_stops_word, read_full)
    while state.peek() is not None:
        if state.kind() in ("and", "&", "+", "with") and not keyboard(state, state.at + 1) and state.kind(1) in ASKS:
            state.take(1)
            state.joined = True
            continue
        if state.kind() in ("filler", "of", "at") and state.kind(1) in ASKS:
            state.take(1)
            continue
        if not any(reader(state) for reader in readers):
            return

"""Reads couplers by their own words: tirasses, Koppel, coupled, octave couplers, unison off."""

from __future__ import annotations

from fractions import Fraction

from core.markings.coupler_pairs import (
    COUPLER_PITCHES,
    coupler_pitches,
    directed,
    emit,
    emit_unnamed,
    keyboard_after,
    listed,
    pair_at,
    pair_by_order,
    read_pair,
)
from core.markings.keyboards import Keyboards, keyboard, keyboards
from core.markings.language import has
from core.markings.model import Action, CouplerRequest
from core.markings.octaves import read_octave
from core.markings.state import Draft, State

_KEYBOARDS = frozenset(("division", "initials", "solo", "roman", "manual_word", "ordinal"))


def read_coupler(state: State) -> bool:
    """A coupler in any of its wordings."""
    if state.kind() in _KEYBOARDS:
        return read_pair(state) or _coupled(state)
    for reader in (
        _named_coupler,
        _pitched_coupler,
        read_pair,
        read_octave,
        _unison_off,
        _pedal_coupler,
        _manual_coupler,
        _koppel,
        _coupled,
        _coupled_onto,
    ):
        if reader(state):
            return True
    return False


def _named_coupler(state: State) -> bool:
    """``claviers ensemble``: the French classical drawer, Positif to Grand-Orgue."""
    if state.kind() != "classical_coupler":
        return False
    start = state.take(1).start
    emit(state, start, [("positive", "great")])
    return True


def _pitched_coupler(state: State) -> bool:
    """``4' Koppel II/I``: the pitch before the coupler."""
    token = state.peek()
    if token is None or token.kind != "num" or token.pitch not in COUPLER_PITCHES or state.kind(1) != "coupler":
        return False
    before = len(state.drafts)
    state.take(1)
    _koppel(state)
    for draft in state.drafts[before:]:
        if draft.coupler is not None:
            draft.coupler = CouplerRequest(draft.coupler.source, draft.coupler.target, token.pitch or Fraction(8))
    return True


def _unison_off(state: State) -> bool:
    if state.kind() != "unison_off":
        return False
    token = state.take(1)
    found = keyboard_after(state)
    divisions: list[str | None] = list(state.clause.divisions) or [None]
    if found is not None and not state.clause.divisions:
        state.take(found.after - state.at)
        divisions = list(found.roles)
    state.clause.said = True
    for division in divisions:
        state.drafts.append(
            Draft(Action.UNISON_OFF, division, passes=state.clause.passes, start=token.start, end=token.end)
        )
    return True


def _pedal_coupler(state: State) -> bool:
    """``Tirasses G.P.R.``, ``Pedalkoppel II``; alone, the context decides which."""
    if state.kind() != "pedal_coupler":
        return False
    start = state.take(1).start
    goal = state.peek()
    if goal is not None and has(goal, "division", "bombarde") and state.pauses(1):
        goal.kind, goal.value = "division", "bombarde"  # Tirasse Bombarde: the keyboard, not the stop
    elif goal is not None and goal.kind == "solo" and state.pauses(1):
        goal.kind, goal.value = "division", "solo"  # Tirasse Solo
    found = keyboard_after(state)
    pair = pair_at(state, state.at)
    if pair is not None and "pedal" in (*pair[0].roles, *pair[1].roles):
        state.take(pair[1].after - state.at)
        emit(state, start, [directed(a, b) for a in pair[0].roles for b in pair[1].roles])
    elif found is not None:
        state.take(found.after - state.at)
        pitches = coupler_pitches(state)
        emit(state, start, [(role, "pedal") for role in found.roles if role != "pedal"], pitches)
    else:
        pitches = coupler_pitches(state)
        emit_unnamed(state, start, "pedal")
    state.clause.said = True
    return True


def _manual_coupler(state: State) -> bool:
    if state.kind() not in ("manual_coupler", "manual_uncoupler"):
        return False
    state.negated = state.negated or state.kind() == "manual_uncoupler"
    start = state.take(1).start
    found = keyboards(state, state.at)
    if (
        found is not None
        and len(found.roles) > 1
        and not (found.after < len(state.tokens) and state.tokens[found.after].kind in ("stop", "num", "family"))
    ):
        state.take(found.after - state.at)
        emit(state, start, [pair_by_order(role, found.roles[0]) for role in found.roles[1:]])
        return True
    pair = pair_at(state, state.at)
    if pair is not None:
        state.take(pair[1].after - state.at)
        emit(state, start, [directed(a, b) for a in pair[0].roles for b in pair[1].roles])
        return True
    emit_unnamed(state, start, None)
    state.negated = False
    return True


def _koppel(state: State) -> bool:
    """``Koppel II/I``, ``Unione II``, ``koppel HW``, ``couple Sw. to Gt.``: a word for the coupler, then its ends."""
    if state.kind() not in ("coupler", "couple"):
        return False
    couple_verb = state.kind() == "couple"
    start = state.take(1).start
    while state.kind() in (":", "of", "at", "filler", "all_word"):
        state.take(1)
    pair = pair_at(state, state.at)
    if pair is not None:
        state.take(pair[1].after - state.at)
        coupled = pair[2] == "coupled"
        pitches = coupler_pitches(state)
        emit(
            state,
            start,
            [pair_by_order(a, b) if coupled else directed(a, b) for a in pair[0].roles for b in pair[1].roles],
            pitches,
        )
        _more_pairs(state, start)
        return True
    found = keyboards(state, state.at, commas=False)
    if found is not None and len(found.roles) == 2:
        of_pedal = own_pedal(state) and not state.clause.empty and state.kind(-2) not in (";", "break")
        state.take(found.after - state.at)
        to_pedal = of_pedal and "pedal" not in found.roles
        emit(state, start, [(role, "pedal") for role in found.roles] if to_pedal else [pair_by_order(*found.roles)])
        return True
    beside = _beside(state, found)
    if found is not None and beside is not None:
        state.take(beside.after - state.at)
        numbered = found.roles[0].startswith("manual")
        ends = (directed if numbered else pair_by_order)(found.roles[0], beside.roles[0])
        emit(state, start, [ends], coupler_pitches(state))
        return True
    if found is not None and found.roles == ("pedal",):
        state.take(found.after - state.at)
        emit_unnamed(state, start, "pedal")
        return True
    if found is not None and not _starts_clause(state, found):
        state.take(found.after - state.at)
        emit(state, start, [(role, _receiver(state, role)) for role in found.roles], coupler_pitches(state))
        state.clause.said = state.clause.said or (state.clause.divisions == ["pedal"] and state.clause.empty)
        return True
    goal = keyboard(state, state.at + 1) if has(state.peek(), "to") else None
    if goal is not None and goal.roles == ("pedal",):
        state.take(goal.after - state.at)
        emit_unnamed(state, start, "pedal")
        return True
    if goal is not None and goal.after <= len(state.tokens) and state.pauses(goal.after - state.at):
        state.take(goal.after - state.at)
        emit_unnamed(state, start, None)
        return True
    if couple_verb and found is None and state.kind() not in ("", "break", ",", ";", ")"):
        state.clause.verb = True
    of_one = state.clause.divisions[0] if len(state.clause.divisions) == 1 and _right_before(state, start) else None
    emit_unnamed(state, start, "pedal" if state.clause.divisions == ["pedal"] else of_one)
    if (of_one or state.clause.divisions == ["pedal"]) and state.clause.empty:
        state.clause.said = True
    return True


def _right_before(state: State, start: int) -> bool:
    """``All Swell couplers off``: the division stands right before the word."""
    place = next((k for k in range(state.at - 1, -1, -1) if state.tokens[k].start < start), None)
    return place is not None and state.tokens[place].kind == "division"


def _beside(state: State, found: Keyboards | None) -> Keyboards | None:
    """``Unione II I``: a second number right after the first, with nothing of its own behind it."""
    second = keyboard(state, found.after) if found is not None else None
    if found is None or second is None or not state.pauses(second.after - state.at):
        return None
    numbered = [roles[0].startswith("manual") or roles[0] == "pedal" for roles in (found.roles, second.roles)]
    return second if numbered[0] == numbered[1] or second.roles == ("pedal",) else None


def _starts_clause(state: State, found: Keyboards) -> bool:
    kind = state.tokens[found.after].kind if found.after < len(state.tokens) else ""
    return kind in ("stop", "family", "num", "quality") and state.kind(-1) in (",", ";")


def _more_pairs(state: State, start: int) -> None:
    """Further pairs after one coupler word: "Koppel II/I, III/I"."""
    while state.kind() in (",", "and", "&", "+", "/") and pair_at(state, state.at + 1) is not None:
        pair = pair_at(state, state.at + 1)
        if pair is None or pair[2] not in ("slash",):
            return
        state.take(pair[1].after - state.at)
        state.negated = bool(state.drafts) and state.drafts[-1].action is Action.UNCOUPLE
        emit(state, start, [directed(a, b) for a in pair[0].roles for b in pair[1].roles])


def _receiver(state: State, role: str) -> str:
    divisions = [d for d in state.clause.divisions if d != role]
    if divisions:
        return divisions[-1]
    named = [d for d in state.named if d != role]
    if named:
        return named[-1]
    if role in ("great", "manual-1"):
        return "pedal"
    return "manual-1" if role.startswith("manual") else "great"


def _coupled(state: State) -> bool:
    """``coupled``, ``uncoupled`` after a division: to the one before it, else to the Great."""
    if state.kind() not in ("coupled", "uncoupled"):
        return False
    token = state.peek()
    assert token is not None
    bracketed = state.kind(-1) == "("
    led = 2 if state.kind(1) in ("filler", "at") else 1
    pair = pair_at(state, state.at + led)
    if pair is not None and (token.kind == "uncoupled" or not state.clause.divisions):
        state.negated = state.negated or token.kind == "uncoupled"
        state.take(led)
        done = read_pair(state)
        state.negated = False
        return done
    ahead = 1
    full = False
    while state.kind(ahead) in ("to", "of", "at", "with", "filler", "and", "full") and ahead < 4:
        full = full or state.kind(ahead) == "full"
        ahead += 1
    found = keyboards(state, state.at + ahead, commas=False)
    if found is not None and own_pedal(state):
        found = listed(state, found)  # Ped. coupled to Great, Swell, Choir
    clause = state.clause
    own = list(clause.divisions)
    start = token.start
    if token.kind == "uncoupled":
        state.negated = True
    if found is not None and (ahead > 1 or not own):
        state.take(found.after - state.at)
        if full:
            state.drafts.extend(Draft(Action.FULL, role, start=start, end=token.end) for role in found.roles)
        if not own and found.roles == ("pedal",):
            emit_unnamed(state, start, "pedal")
        else:
            emit(state, start, _ends_of_coupled(state, own, found))
    else:
        state.take(1)
        _emit_coupled(state, start, own)
    if found is not None and own and _goes_on_with_receiver(state, found):
        return True
    if clause.empty and not bracketed:  # "Gt. (coupled to Sw.)": the division itself is played
        clause.said = True
    state.negated = False
    return True


def _coupled_onto(state: State) -> bool:
    """``II (an I gekoppelt)``: the keyboard between the small word and "coupled" receives."""
    own = state.clause.divisions
    found = keyboard(state, state.at + 1) if state.kind() in ("to", "at") else None
    if found is None or not own or found.after >= len(state.tokens):
        return False
    if state.tokens[found.after].kind != "coupled" or not state.pauses(found.after + 1 - state.at):
        return False
    start = state.take(found.after + 1 - state.at).start
    emit(state, start, [directed(one, goal) for one in own for goal in found.roles if one != goal])
    return True


def _ends_of_coupled(state: State, own: list[str], found: Keyboards) -> list[tuple[str | None, str | None]]:
    """What "coupled" joins: the clause's own keyboards with those named, else those named with each other."""
    if own:
        return [pair_by_order(a, b) for a in own for b in found.roles if a != b]
    if len(found.roles) > 1:
        return [pair_by_order(role, found.roles[0]) for role in found.roles[1:]]
    return [(found.roles[0], _receiver(state, found.roles[0]))]


def _goes_on_with_receiver(state: State, found: Keyboards) -> bool:
    """``Full Sw. coupled to Gt. 8 & 4``: what comes next is the receiver's."""
    if (
        len(found.roles) != 1
        or state.tokens[state.at - 1].kind == "coupled"
        or state.kind() not in ("stop", "family", "num", "quality")
    ):
        return False
    state.flush()
    state.name_divisions(list(found.roles))
    return True


def own_pedal(state: State) -> bool:
    """Whether it is the Pedal that things are coupled to."""
    return state.clause.divisions == ["pedal"]


def _chief_of(state: State, division: str) -> str:
    """The keyboard that a division is coupled to in this text: of "G.P." the Grand-Orgue."""
    for draft in state.drafts:
        coupler = draft.coupler
        if draft.action is Action.COUPLE and coupler is not None and coupler.source == division:
            return coupler.target or division
    return division


def _emit_coupled(state: State, start: int, own: list[str]) -> None:
    outside = [d for d in state.named if d not in own and d != "pedal"]
    if len(own) > 1 and outside and "pedal" not in own:
        emit(state, start, [(role, outside[-1]) for role in own])
        return
    if len(own) > 1:
        emit(state, start, [pair_by_order(role, own[0]) for role in own[1:]])
        return
    if not own or own == ["pedal"]:
        emit_unnamed(state, start, own[0] if own else None)
        return
    others = [d for d in state.named if d != own[0]]
    before = [_chief_of(state, d) for d in others if d != "pedal"] or others
    if before and own[0] == "great":
        emit(state, start, [pair_by_order(own[0], before[-1])])
    elif before:
        emit(state, start, [(own[0], before[-1])])
    elif own[0] == "great":
        emit_unnamed(state, start, "great")
    else:
        goal = "manual-1" if own[0].startswith("manual") else "great"
        emit(state, start, [(own[0], goal)])

"""Reads couplers in every wording: X to Y, X/Y, tirasses, Koppel, coupled, octave couplers, unison off."""

from __future__ import annotations

from fractions import Fraction

from core.markings.keyboards import Keyboards, keyboard, keyboards
from core.markings.language import has
from core.markings.model import Action, CouplerRequest
from core.markings.state import Draft, State
from core.markings.stop_lists import pitch_run

_RECEIVERS = ("pedal", "great", "manual-1", "choir", "positive", "manual-2", "oberwerk", "swell", "manual-3",
              "brustwerk", "solo", "manual-4", "bombarde", "echo", "manual-5")  # fmt: skip
_PITCHES = (Fraction(16), Fraction(8), Fraction(4))


def read_coupler(state: State) -> bool:
    """A coupler in any of its wordings."""
    for reader in (
        _named_coupler,
        _pitched_coupler,
        _keyboard_pair,
        _octave,
        _unison_off,
        _pedal_coupler,
        _manual_coupler,
        _koppel,
        _coupled,
    ):
        if reader(state):
            return True
    return False


def _emit(
    state: State, start: int, pairs: list[tuple[str | None, str | None]], pitches: list[Fraction] | None = None
) -> None:
    action = _switch(state)
    for source, goal in pairs:
        for pitch in pitches or [Fraction(8)]:
            state.drafts.append(
                Draft(action, coupler=CouplerRequest(source, goal, pitch), passes=state.clause.passes or state.passes,
                      start=start, end=state.tokens[state.at - 1].end)
            )  # fmt: skip


def _emit_unnamed(state: State, start: int, division: str | None) -> None:
    action = _switch(state)
    state.drafts.append(Draft(action, division, passes=state.clause.passes or state.passes, start=start,
                              end=state.tokens[state.at - 1].end))  # fmt: skip


def _switch(state: State) -> Action:
    """Couple or uncouple, by the words before and after."""
    off = state.negated or state.clause.excepting
    clause = state.clause
    if clause.verb and clause.action is Action.TAKE_OFF:
        off = True
    offset = 1 if state.kind() == "(" else 0
    if (
        state.kind(offset) in ("take_off", "uncoupled") or has(state.peek(offset), "off_after")
    ) and not _off_is_for_next(state, offset):
        state.take(1 + offset)
        if offset and state.kind() == ")":
            state.take(1)
        off = True
    elif (
        (
            state.kind(offset) in ("coupled", "prepared")
            or (has(state.peek(offset), "add_after") and state.pauses(offset + 1))
        )
        and state.kind(1 + offset) != "to"
        and keyboard(state, state.at + 1 + offset) is None
    ):
        state.take(1 + offset)
        if offset and state.kind() == ")":
            state.take(1)
    return Action.UNCOUPLE if off else Action.COUPLE


def _off_is_for_next(state: State, offset: int) -> bool:
    """A verb that stands before its object ("ôtez les anches") is not this coupler's."""
    after = state.kind(offset + 1)
    if state.kind(offset) == "at" and after not in ("", "break", ",", ";", ")", "and"):
        return True
    return state.kind(offset) == "take_off" and after not in ("", "break", ",", ";", ")", "and")


def pair_by_order(one: str, other: str) -> tuple[str, str]:
    """From and to of two keyboards said to be coupled: the receiver by rank."""

    def rank(role: str) -> int:
        return _RECEIVERS.index(role) if role in _RECEIVERS else len(_RECEIVERS)

    return (other, one) if rank(one) < rank(other) else (one, other)


def _directed(source: str, goal: str) -> tuple[str, str]:
    """From and to, but the pedal always receives."""
    return (goal, source) if source == "pedal" else (source, goal)


# ---------------------------------------------------------------- X to Y
def pair_at(state: State, at: int) -> tuple[Keyboards, Keyboards, str] | None:
    """Keyboards, a joining word or sign, keyboards: ("Sw. & Ch. to Gt."), with how they are joined."""
    first = keyboards(state, at)
    if first is None:
        return None
    joint, place = _joint(state, first)
    if joint is None:
        return None
    second = keyboard(state, place)
    if second is None:
        return None
    if joint == "slash" and first.roles == second.roles:
        return None
    if (
        joint == "slash"
        and second.roles == ("positive",)
        and state.tokens[place].words == ("p",)
        and first.roles[0].startswith("manual")
    ):
        second = Keyboards(("pedal",), second.after)
    return first, _more_goals(state, second, joint), joint


def _joint(state: State, first: Keyboards) -> tuple[str | None, int]:
    at = first.after
    tokens = state.tokens
    if at >= len(tokens):
        return None, at
    token, numbers = tokens[at], all(role.startswith("manual") for role in first.roles)
    follow = tokens[at + 1] if at + 1 < len(tokens) else None
    if token.kind in ("coupled", "uncoupled"):
        place = at + 1
        while place < len(tokens) and tokens[place].kind in ("to", "of", "at", "filler", "with", "and"):
            place += 1
        return ("coupled" if token.kind == "coupled" else "uncoupled"), place
    if has(token, "to") or (token.kind == "up_to" and state.language != "en"):
        place = at + 1
        while place < len(tokens) and tokens[place].kind in ("filler",):
            place += 1
        return "to", place
    if has(token, "onto"):
        return "to", at + 1
    if token.kind == "at" and state.language in ("fr", "it", "es", "de", "nl"):
        return ("to" if state.language != "fr" else "coupled"), at + 1
    if token.kind == "sign" and token.value == "/":
        return "slash", at + 1
    if token.kind == "sign" and token.value == "-" and follow is not None:
        return ("slash" if numbers else "coupled") if not token.gap or not follow.gap or _after_coupler_word(
            state, first
        ) else None, at + 1
    if token.kind == "coupler" and keyboard(state, at + 1):
        return "coupled", at + 1
    return None, at


def _after_coupler_word(state: State, first: Keyboards) -> bool:
    return state.at > 0 and state.tokens[state.at - 1].kind == "coupler"


def _more_goals(state: State, second: Keyboards, joint: str) -> Keyboards:
    """Further receivers joined by "and", where what follows does not make them a new clause."""
    goals, place = list(second.roles), second.after
    while place < len(state.tokens) and (state.tokens[place].kind == "and" or state.tokens[place].value in ("&", "+")):
        more = keyboard(state, place + 1)
        if more is None:
            break
        follow = state.tokens[more.after] if more.after < len(state.tokens) else None
        if follow is not None and not (
            follow.kind in ("break", "coupled", "off_after") or (follow.kind == "sign" and follow.value in ",;.)]")
        ):
            break
        goals.extend(more.roles)
        place = more.after
    return Keyboards(tuple(goals), place)


def _keyboard_pair(state: State) -> bool:
    found = pair_at(state, state.at)
    if found is None:
        return False
    first, second, joint = found
    if _is_hand_move(state) or (joint in ("to", "coupled") and _at_is_place(state, first, joint)):
        return False
    start = state.tokens[state.at].start
    _close_fresh(state)
    state.take(second.after - state.at)
    pitches = _coupler_pitches(state)
    if state.kind() == "coupler" and keyboard(state, state.at + 1) is None:
        state.take(1)
    if joint == "uncoupled":
        state.negated = True
    pairs: list[tuple[str | None, str | None]] = []
    for source in first.roles:
        for goal in second.roles:
            if source == goal and not pitches:
                continue
            pairs.append(
                pair_by_order(source, goal) if joint == "coupled" and source != goal else _directed(source, goal)
            )
    _emit(state, start, list(dict.fromkeys(pairs)), pitches)
    state.negated = False
    return True


def _is_hand_move(state: State) -> bool:
    before = state.peek(-1)
    return before is not None and before.kind == "hand" and state.clause.empty and False


def _at_is_place(state: State, first: Keyboards, joint: str) -> bool:
    return False


def _close_fresh(state: State) -> None:
    """A clause that waits (a verb before the coupler) stays; one with stops stays open too."""


def _coupler_pitches(state: State) -> list[Fraction]:
    """Pitches and octave words after a coupler: "16, 8 & 4", "Super"."""
    found: list[Fraction] = []
    offset = 1 if state.kind() == "(" else 0
    if state.kind(offset) == "num":
        pitches, count = pitch_run(state, state.at + offset)
        after = state.kind(offset + count)
        if pitches and all(p in _PITCHES for p in pitches) and after not in ("stop", "family", "quality", "stops_word"):
            state.take(offset + count)
            if offset and state.kind() == ")":
                state.take(1)
            return pitches
    while True:
        offset = 1 if state.kind() in ("and", "&", "+", ",", "(") else 0
        kind = state.kind(offset)
        if kind not in ("octave", "unison_coupler") or (state.kind() == "," and kind == "octave" and not found):
            return found
        token = state.tokens[state.at + offset]
        found.append(Fraction(token.value or "8"))
        state.take(1 + offset)
        if state.kind() == "coupler":
            state.take(1)
        if state.kind() == ")":
            state.take(1)


# ---------------------------------------------------------------- couplers by their own word
def _named_coupler(state: State) -> bool:
    """``claviers ensemble``: the French classical drawer, Positif to Grand-Orgue."""
    if state.kind() != "classical_coupler":
        return False
    start = state.take(1).start
    _emit(state, start, [("positive", "great")])
    return True


def _pitched_coupler(state: State) -> bool:
    """``4' Koppel II/I``: the pitch before the coupler."""
    token = state.peek()
    if token is None or token.kind != "num" or token.pitch not in _PITCHES or state.kind(1) != "coupler":
        return False
    before = len(state.drafts)
    state.take(1)
    _koppel(state)
    for draft in state.drafts[before:]:
        if draft.coupler is not None:
            draft.coupler = CouplerRequest(draft.coupler.source, draft.coupler.target, token.pitch or Fraction(8))
    return True


def _octave(state: State) -> bool:
    if state.kind() not in ("octave",) or (_has_stop_sense(state) and state.kind(1) == "num"):
        return False
    start = state.peek().start  # type: ignore[union-attr]
    pitches = _octave_pitches(state)
    found = _keyboard_after(state)
    pair = pair_at(state, state.at)
    if pair is not None:
        state.take(pair[1].after - state.at)
        _emit(state, start, [_directed(a, b) for a in pair[0].roles for b in pair[1].roles], pitches)
        return True
    if found is not None:
        state.take(found.after - state.at)
        _emit(state, start, [(role, role) for role in found.roles], pitches)
        return True
    divisions = state.clause.divisions
    state.clause.said = True
    goal = keyboard(state, state.at + 1) if has(state.peek(), "to") and divisions else None
    if goal is not None:
        state.take(goal.after - state.at)
        _emit(state, start, [_directed(d, role) for d in divisions for role in goal.roles], pitches)
        return True
    _emit(state, start, [(d, d) for d in divisions] or [(None, None)], pitches)
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
        elif state.kind() == "coupler":
            state.take(1)
        else:
            return found


def _keyboard_after(state: State) -> Keyboards | None:
    at = state.at
    while at < len(state.tokens) and state.tokens[at].kind in ("of", "at", "filler"):
        at += 1
    found = keyboards(state, at, commas=False)
    if found is None:
        return None
    found = _listed(state, found)
    follow = state.tokens[found.after].kind if found.after < len(state.tokens) else ""
    prepositions = at > state.at
    if not prepositions and follow in ("stop", "family", "num", "quality", "full") and state.language != "fr":
        return None
    return found


def _listed(state: State, found: Keyboards) -> Keyboards:
    """Further keyboards after commas ("Tirasses G., P., R."), none of which begins a clause of its own."""
    roles, place = list(found.roles), found.after
    while place < len(state.tokens) and state.tokens[place].value == ",":
        more = keyboards(state, place + 1, commas=False)
        if more is None:
            break
        follow = state.tokens[more.after] if more.after < len(state.tokens) else None
        if follow is not None and follow.kind != "break" and follow.value not in ",;)":
            break
        roles.extend(more.roles)
        place = more.after
    return Keyboards(tuple(roles), place, found.initials)


def _unison_off(state: State) -> bool:
    if state.kind() != "unison_off":
        return False
    token = state.take(1)
    found = _keyboard_after(state)
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
    found = _keyboard_after(state)
    pair = pair_at(state, state.at)
    if pair is not None and "pedal" in (*pair[0].roles, *pair[1].roles):
        state.take(pair[1].after - state.at)
        _emit(state, start, [_directed(a, b) for a in pair[0].roles for b in pair[1].roles])
    elif found is not None:
        state.take(found.after - state.at)
        pitches = _coupler_pitches(state)
        _emit(state, start, [(role, "pedal") for role in found.roles if role != "pedal"], pitches)
    else:
        pitches = _coupler_pitches(state)
        _emit_unnamed(state, start, "pedal")
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
        _emit(state, start, [pair_by_order(role, found.roles[0]) for role in found.roles[1:]])
        return True
    pair = pair_at(state, state.at)
    if pair is not None:
        state.take(pair[1].after - state.at)
        _emit(state, start, [_directed(a, b) for a in pair[0].roles for b in pair[1].roles])
        return True
    _emit_unnamed(state, start, None)
    state.negated = False
    return True


def _koppel(state: State) -> bool:
    """``Koppel II/I``, ``Unione II``, ``koppel HW``, ``couple Sw. to Gt.``"""
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
        pitches = _coupler_pitches(state)
        _emit(
            state,
            start,
            [pair_by_order(a, b) if coupled else _directed(a, b) for a in pair[0].roles for b in pair[1].roles],
            pitches,
        )
        _more_pairs(state, start)
        return True
    found = keyboards(state, state.at, commas=False)
    if found is not None and len(found.roles) == 2:
        state.take(found.after - state.at)
        _emit(state, start, [pair_by_order(*found.roles)])
        return True
    if found is not None and not _starts_clause(state, found):
        state.take(found.after - state.at)
        _emit(state, start, [(role, _receiver(state, role)) for role in found.roles], _coupler_pitches(state))
        return True
    if couple_verb and found is None and state.kind() not in ("", "break", ",", ";", ")"):
        state.clause.verb = True
    _emit_unnamed(state, start, "pedal" if state.clause.divisions == ["pedal"] else None)
    return True


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
        _emit(state, start, [_directed(a, b) for a in pair[0].roles for b in pair[1].roles])


def _receiver(state: State, role: str) -> str:
    divisions = [d for d in state.clause.divisions if d != role]
    if divisions:
        return divisions[-1]
    named = [d for d in state.named if d != role]
    if named:
        return named[-1]
    return "manual-1" if role.startswith("manual") and role != "manual-1" else "great" if role != "great" else "pedal"


def _coupled(state: State) -> bool:
    """``coupled``, ``uncoupled`` after a division: to the one before it, else to the Great."""
    if state.kind() not in ("coupled", "uncoupled"):
        return False
    token = state.peek()
    assert token is not None
    pair = pair_at(state, state.at + 1)
    if pair is not None and (token.kind == "uncoupled" or not state.clause.divisions):
        state.negated = state.negated or token.kind == "uncoupled"
        state.take(1)
        done = _keyboard_pair(state)
        state.negated = False
        return done
    ahead = 1
    full = False
    while state.kind(ahead) in ("to", "of", "at", "with", "filler", "and", "full") and ahead < 4:
        full = full or state.kind(ahead) == "full"
        ahead += 1
    found = keyboards(state, state.at + ahead, commas=False)
    clause = state.clause
    own = list(clause.divisions)
    start = token.start
    if token.kind == "uncoupled":
        state.negated = True
    if found is not None and (ahead > 1 or not own):
        state.take(found.after - state.at)
        if full:
            state.drafts.extend(Draft(Action.FULL, role, start=start, end=token.end) for role in found.roles)
        if own:
            pairs: list[tuple[str | None, str | None]] = [
                pair_by_order(a, b) for a in own for b in found.roles if a != b
            ]
        elif len(found.roles) > 1:
            pairs = [pair_by_order(role, found.roles[0]) for role in found.roles[1:]]
        else:
            pairs = [(found.roles[0], _receiver(state, found.roles[0]))]
        _emit(state, start, pairs)
    else:
        state.take(1)
        _emit_coupled(state, start, own)
    if clause.empty:
        clause.said = True
    state.negated = False
    return True


def _emit_coupled(state: State, start: int, own: list[str]) -> None:
    if len(own) > 1:
        _emit(state, start, [pair_by_order(role, own[0]) for role in own[1:]])
        return
    if not own or own == ["pedal"]:
        _emit_unnamed(state, start, own[0] if own else None)
        return
    before = [d for d in state.named if d != own[0] and d != "pedal"]
    if before:
        _emit(state, start, [(own[0], before[-1])])
    elif own[0] == "great":
        _emit_unnamed(state, start, "great")
    else:
        goal = "manual-1" if own[0].startswith("manual") else "great"
        _emit(state, start, [(own[0], goal)])

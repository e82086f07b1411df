"""Reads the words that say what to do: add, off, without, up to, full, prepare, reduce, or, solo."""

from __future__ import annotations

from core.markings.couplers import pair_at
from core.markings.keyboards import keyboard, keyboards
from core.markings.language import has
from core.markings.model import Action
from core.markings.state import Clause, Draft, Request, State
from core.markings.stop_lists import add_request, read_after, target

_VERBS = {
    "add": Action.ADD,
    "take_off": Action.TAKE_OFF,
    "draw": Action.DRAW,
    "reduce": Action.REDUCE,
    "prepare": Action.PREPARE,
    "crescendo": Action.CRESCENDO,
}
_ASKS = (
    "stop",
    "compact_stop",
    "family",
    "num",
    "quality",
    "plenum",
    "recipe",
    "pitch_word",
    "stops_word",
    "all_word",
    "word",
    "full",
    "tremulant",
)
_AFTER_OFF = (
    "",
    "break",
    ",",
    ";",
    ")",
    "]",
    "and",
    "&",
    "division",
    "hand",
    "with",
    "solo",
    "pass",
    "tempo",
    "dynamic",
    "expression",
    "of",
    "at",
    "roman",
    "add",
    "-",
    "other",
    "adlib",
    "to",
    "initials",
)


def read_verb(state: State) -> bool:
    """A verb before its objects."""
    action = _VERBS.get(state.kind())
    if action is None:
        return False
    token = state.peek()
    assert token is not None
    if _also_after(state) and _follows_object(state):
        return read_suffix(state)
    if action is Action.DRAW and _only_a_recipe(state.clause):
        state.clause.stops = []
    if action is Action.DRAW and not state.clause.empty and state.clause.action is Action.DRAW:
        state.take(1)
        return True
    state.take(1)
    _open(state, action, token.start)
    if action is Action.CRESCENDO and state.pauses():
        state.drafts.extend(
            Draft(action, d, start=token.start, end=token.end) for d in state.clause.divisions or [None]
        )
        state.clause.fresh = state.clause.verb = False
        state.clause.action = Action.DRAW
    elif action is Action.REDUCE and (state.pauses() or keyboard(state, state.at)) and not _asks_later(state):
        _reduce_alone(state, token.start)
    return True


def _only_a_recipe(clause: Clause) -> bool:
    """ "Pour le plein jeu, on mettra …": the recipe is spelled out, so its name asks for nothing."""
    return bool(clause.stops) and all(stop.recipe or stop.family == "plenum" for stop in clause.stops)


def _asks_later(state: State) -> bool:
    found = keyboard(state, state.at)
    return (
        found is not None
        and found.after < len(state.tokens)
        and state.tokens[found.after].kind in (*_ASKS, "to", "up_to")
    )


def _reduce_alone(state: State, start: int) -> None:
    found = keyboards(state, state.at, commas=False)
    divisions: list[str | None] = list(state.clause.divisions) or [None]
    if found is not None:
        state.take(found.after - state.at)
        divisions = list(found.roles)
        state.name_divisions(list(found.roles))
    for division in divisions:
        state.drafts.append(Draft(Action.REDUCE, division, start=start, end=state.tokens[state.at - 1].end))
    state.clause.fresh = False
    state.clause.verb = False
    state.clause.action = Action.DRAW


def _open(state: State, action: Action, start: int) -> None:
    clause = state.clause
    waiting = clause.empty and (clause.fresh or not clause.divisions or clause.hand is not None)
    if not waiting or (clause.verb and not clause.empty):
        state.flush()
    clause = state.clause
    clause.action, clause.verb, clause.excepting = action, True, False
    clause.fresh = False if action is not Action.PREPARE or not clause.fresh else clause.fresh
    clause.start = min(start, clause.start) if waiting and clause.divisions else start


def _also_after(state: State) -> bool:
    token = state.peek()
    return has(token, "off_after") or has(token, "add_after") or has(token, "prepared")


def _follows_object(state: State) -> bool:
    """Whether the word stands after what it is about, and nothing to act on comes next."""
    before = state.kind(-1)
    return (
        state.kind(1) in _AFTER_OFF
        and before not in ("", "break", ",", ";")
        and not (state.clause.empty and not _after_thing(state))
    )


def _after_thing(state: State) -> bool:
    return state.kind(-1) in ("division", "roman", "manual_word", "pedal_coupler", "coupler", "tremulant")


def read_suffix(state: State) -> bool:
    """A verb after its objects: off, in, ab, an, dazu, ôtées."""
    token = state.peek()
    if token is None or not (has(token, "off_after") or has(token, "add_after") or has(token, "prepared")):
        return False
    if token.kind not in (
        "prepare",
        "off_after",
        "add_after",
        "prepared",
        "take_off",
        "add",
        "at",
        "filler",
        "to",
        "box_state",
        "with",
        "of",
    ):
        return False
    clause = state.clause
    if clause.empty and not clause.fresh:
        return False
    if token.kind in ("at", "filler", "to", "box_state", "of", "with") and not (
        state.kind(1) in _AFTER_OFF and not clause.empty and keyboard(state, state.at + 1) is None
    ):
        return False
    off = has(token, "off_after") and not (has(token, "add_after") and token.kind == "add_after")
    if clause.full and off:
        clause.full = False
        clause.stops = [Request(family="all", start=clause.start, end=clause.end)]
    action = Action.PREPARE if has(token, "prepared") else Action.TAKE_OFF if off else Action.ADD
    if clause.empty and clause.fresh and clause.divisions != ["pedal"] and action is not Action.PREPARE:
        return False
    state.take(1)
    _split_last_part(state)
    state.clause.action, state.clause.verb = action, True
    state.clause.end = token.end
    if state.clause.empty:
        state.drafts.extend(Draft(action, d, start=state.clause.start, end=token.end) for d in state.clause.divisions)
        state.clause.said = True
    passes = state.clause.passes
    state.flush()
    state.clause.passes = passes
    return True


def read_excepted(state: State) -> bool:
    """``Full Organ (Reeds excepted)``: what stands before the word is left out."""
    clause = state.clause
    if state.kind() != "excepted" or not clause.stops:
        return False
    token = state.take(1)
    part = clause.stops[-1].part
    last = [stop for stop in clause.stops if stop.part == part]
    clause.stops = [stop for stop in clause.stops if stop.part != part]
    clause.exceptions.extend(last)
    clause.end = token.end
    return True


def _split_last_part(state: State) -> None:
    """Of "Sw. Oboe, Reeds off" only the last part is taken off."""
    clause = state.clause
    if not clause.fresh and not clause.divisions:
        return
    last = [stop for stop in clause.stops if stop.part == state.part]
    rest = [stop for stop in clause.stops if stop.part != state.part]
    if not rest or not last:
        return
    clause.stops = rest
    state.flush()
    state.clause.stops = last


def read_joining(state: State) -> bool:
    """``with`` and ``without``: at the beginning they add and take off, in a list they join and except."""
    kind = state.kind()
    if kind == "with":
        token = state.take(1)
        clause = state.clause
        if (
            clause.empty
            and not clause.fresh
            and not clause.verb
            and not _with_stops_at_large(state)
            and not clause.hand
        ):
            _open(state, Action.ADD, token.start)
        clause = state.clause
        if clause.excepting:
            clause.excepting = False
        if clause.stops:
            state.joined = False
        return True
    if kind == "without":
        if has(state.peek(), "number_sign") and state.kind(1) == "num":
            return False
        token = state.take(1)
        clause = state.clause
        if _negates_aid(state):
            state.negated = True
            return True
        if clause.empty and not clause.full:
            _open(state, Action.TAKE_OFF, token.start)
        else:
            clause.excepting = True
        return True
    return False


def _with_stops_at_large(state: State) -> bool:
    """``mit hellen Stimmen``, ``mit vollem Werk``: how it sounds, not what is added."""
    ahead = 0
    while state.kind(ahead) in ("quality", "filler", "all_word", "and", ","):
        ahead += 1
    return state.kind(ahead) in ("stops_word", "full", "full_plenum") and (
        ahead > 0 or state.kind(ahead) != "stops_word"
    )


def _negates_aid(state: State) -> bool:
    ahead = 0
    while state.kind(ahead) in ("filler", "all_word", "of"):
        ahead += 1
    kind = state.kind(ahead)
    return (
        kind in ("tremulant", "coupler", "pedal_coupler", "manual_coupler", "octave", "crescendo_pedal", "coupled")
        or pair_at(state, state.at + ahead) is not None
    )


def read_up_to(state: State) -> bool:
    """``to Principal``, ``bis Mixtur``: everything up to and including it."""
    if state.kind() not in ("to", "up_to"):
        return False
    ahead = 1
    while state.kind(ahead) in ("filler", "of"):
        ahead += 1
    kind = state.kind(ahead)
    clause = state.clause
    if kind == "full":
        state.take(ahead)
        return True
    if kind not in ("stop", "family", "num", "ordinal", "plenum", "quality", "compact_stop", "recipe", "pitch_word"):
        return False
    state.take(ahead)
    if clause.action in (Action.REDUCE,) and clause.verb:
        return True
    last = clause.stops[-1] if clause.stops else None
    clause.stops = []
    before = len(target(state))
    from core.markings.stop_lists import read_family, read_pitches, read_quality, read_recipe, read_stop

    while state.kind() == "quality":
        read_quality(state)
    _ = read_stop(state) or read_family(state) or read_pitches(state) or read_recipe(state)
    if len(target(state)) > before:
        clause.up_to = True
        request = target(state)[-1]
        if request.words is None and request.family is None and last is not None and last.family:
            request.family = last.family
    return True


def read_full(state: State) -> bool:
    """``Full Sw.``, ``Tutti``, ``volles Werk``, ``Organo pleno``."""
    kind = state.kind()
    if kind not in ("full", "full_plenum"):
        return False
    token = state.peek()
    assert token is not None
    clause = state.clause
    if not clause.empty and not (clause.verb and clause.action in (Action.PREPARE, Action.REDUCE, Action.CRESCENDO)):
        state.flush()
        clause = state.clause
        if clause.divisions and state.kind(-1) in ("and", "&", "+"):
            clause.divisions = []
    state.take(1)
    clause.full = True
    clause.start = min(clause.start, token.start) if clause.fresh else token.start
    clause.end = token.end
    if clause.verb and clause.action is Action.ADD:
        clause.action = Action.DRAW
    if kind == "full_plenum":
        clause.stops.append(Request(family="plenum", start=token.start, end=token.end))
    _full_divisions(state)
    return True


def _full_divisions(state: State) -> None:
    ahead = 0
    while state.kind(ahead) in ("of", "at", "filler"):
        ahead += 1
    found = keyboards(state, state.at + ahead, commas=False)
    if found is None or (state.clause.fresh and state.clause.divisions and ahead == 0):
        return
    pair = pair_at(state, state.at + ahead)
    if pair is not None and pair[1].after > found.after:
        state.clause.divisions = list(pair[0].roles)
        state.named.extend(pair[0].roles)
        state.at += ahead
        clause = state.clause
        state.flush()
        state.clause.divisions = list(clause.divisions)
        return
    follow = state.tokens[found.after].kind if found.after < len(state.tokens) else ""
    if len(found.roles) > 1 and not found.initials and follow in ("to", "up_to"):
        found = keyboard(state, state.at + ahead)
        if found is None:
            return
        follow = ""
    if (
        follow in ("stop", "family", "num")
        and ahead == 0
        and len(state.text) > 0
        and state.tokens[found.after].kind == "num"
    ):
        return
    state.take(found.after - state.at)
    state.name_divisions(list(found.roles))
    state.clause.end = state.tokens[state.at - 1].end


def read_solo(state: State) -> bool:
    """``Solo`` that is no division; ``hervortretend``."""
    if state.kind() == "solo_end":
        token = state.take(1)
        state.drafts.append(Draft(Action.SOLO_END, start=token.start, end=token.end))
        return True
    if state.kind() not in ("solo", "prominent"):
        return False
    token = state.take(1)
    clause = state.clause
    ahead = 1 if state.kind() in ("of", ":") else 0
    if clause.divisions == ["pedal"] and clause.empty:
        return True
    if token.kind == "solo" and state.kind(ahead) in ("stop", "family", "quality", "compact_stop"):
        state.take(ahead) if ahead else None
        state.qualities.append("solo")
        return True
    if not clause.empty:
        if clause.stops:
            clause.stops[-1].qualities.append("solo")
        return True
    state.ambiguous.append("solo")
    divisions: list[str | None] = list(clause.divisions) if clause.fresh else [None]
    clause.said = True
    for division in divisions:
        state.drafts.append(
            Draft(Action.SOLO, division, clause.hand, passes=clause.passes, start=token.start, end=token.end)
        )
    return True


def read_optional(state: State) -> bool:
    """``ad lib.`` and ``if present``, after what they are about or before it."""
    kind = state.kind()
    if kind not in ("adlib", "if_present"):
        return False
    token = state.take(1)
    clause = state.clause
    if clause.empty and not clause.fresh:
        if kind == "if_present":
            clause.optional = True
        elif state.drafts and not state.pauses():
            pass
        elif state.drafts:
            state.drafts[-1].optional = True
        return True
    stops = clause.stops
    part = max((stop.part for stop in stops), default=0)
    last = [stop for stop in stops if stop.part == part]
    if last and len(last[-1].pitches) > 1 and not last[-1].words:
        split = last[-1].copy()
        split.pitches, split.adlib = [last[-1].pitches.pop()], True
        stops.append(split)
        return True
    if not stops:
        clause.optional = True
    elif kind == "adlib" and len(last) == len(stops):
        clause.optional = True
        if clause.action is Action.DRAW and not clause.full:
            clause.action = Action.ADD
    elif len(last) < len(stops):
        for stop in last:
            stop.adlib = True
    elif stops[-1].joined and len(stops) > 1 and kind == "adlib":
        stops[-1].adlib = True
    else:
        clause.optional = True
    clause.end = token.end
    return True


def read_or(state: State) -> bool:
    """``or``: another division, another stop, another whole instruction would do as well."""
    if state.kind() != "or":
        return False
    if has(state.peek(1), "similar") and state.kind(2) not in ("stop", "family", "recipe"):
        state.take(2)
        _similar(state)
        return True
    clause = state.clause
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
    or_stops(state)
    return True


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
    if kind in _ASKS:
        state.take(after - state.at)
        _sub_clause(state, list(roles))
        return
    state.take(after - state.at)
    if not clause.divisions or clause.postfix or True:
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
    if other.stops:
        if main.stops and not main.stops[-1].pitches and other.stops[-1].pitches and False:
            main.stops[-1].pitches = list(other.stops[-1].pitches)
        other.stops = kept + other.stops
        main.others.append(other)
    elif other.full:
        main.others.append(other)


def _read_requests(state: State) -> None:
    from core.markings.stop_lists import (
        read_family,
        read_pitches,
        read_quality,
        read_recipe,
        read_stop,
        read_stops_word,
    )

    readers = (read_stop, read_family, read_pitches, read_recipe, read_quality, read_stops_word, read_full)
    while state.peek() is not None:
        if state.kind() in ("and", "&", "+", "with") and not keyboard(state, state.at + 1) and state.kind(1) in _ASKS:
            state.take(1)
            state.joined = True
            continue
        if state.kind() in ("filler", "of", "at") and state.kind(1) in _ASKS:
            state.take(1)
            continue
        if not any(reader(state) for reader in readers):
            return


__all__ = [
    "add_request",
    "read_after",
    "read_excepted",
    "read_full",
    "read_joining",
    "read_optional",
    "read_or",
    "read_solo",
    "read_suffix",
    "read_up_to",
    "read_verb",
]

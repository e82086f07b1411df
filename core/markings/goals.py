"""Reads how far a registration goes: up to a stop, full, full divisions; and the solo."""

from __future__ import annotations

from core.markings.coupler_pairs import pair_at
from core.markings.keyboards import Keyboards, keyboard, keyboards
from core.markings.language import has
from core.markings.model import Action
from core.markings.requests import target
from core.markings.state import Draft, Request, State
from core.markings.stop_lists import read_family, read_pitches, read_quality, read_recipe
from core.markings.stop_names import read_stop


def read_up_to(state: State) -> bool:
    """``to Principal``, ``bis Mixtur``: everything up to and including it."""
    if state.kind() not in ("to", "up_to"):
        return False
    ahead = 1
    while state.kind(ahead) in ("filler", "of"):
        ahead += 1
    kind = state.kind(ahead)
    clause = state.clause
    if state.kind(-1) == "stops_word" and state.language == "de" and kind == "num":
        state.take(1)  # "Stimmen zu 8 und 4 Fuß"
        return True
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
    if token is not None and token.words == ("full",) and state.kind(1) == "family" and not state.clause.divisions:
        state.take(1)  # "Full Foundations": all of them
        return True
    assert token is not None
    clause = state.clause
    if not clause.empty and not (clause.verb and clause.action in (Action.PREPARE, Action.REDUCE, Action.CRESCENDO)):
        state.flush()
        clause = state.clause
        if clause.divisions and state.kind(-1) in ("and", "&", "+"):
            clause.divisions = []
    if clause.divisions and not clause.fresh and clause.empty and len(token.words) > 1 and not clause.verb:
        clause.divisions = []  # "Solo Tuba off; Full Organ"
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
    if state.kind() == "box_of" and state.tokens[state.at].value != "all" and not state.clause.divisions:
        state.name_divisions([state.tokens[state.at].value])  # "Full Sw. box closed"
        return
    ahead = 0
    while state.kind(ahead) in ("of", "at", "filler"):
        ahead += 1
    found = _listed_keyboards(state, state.at + ahead) or keyboards(state, state.at + ahead, commas=False)
    if found is None or (state.clause.fresh and state.clause.divisions and ahead == 0):
        return
    pair = pair_at(state, state.at + ahead)
    if pair is not None and pair[1].after > found.after:
        state.clause.divisions = list(pair[0].roles)
        state.named.extend(pair[0].roles)
        state.at += ahead
        return
    follow = state.tokens[found.after].kind if found.after < len(state.tokens) else ""
    if len(found.roles) > 1 and not found.initials and follow in ("to", "up_to", "stop", "family"):
        found = keyboard(state, state.at + ahead)
        if found is None:
            return
        follow = ""
    state.take(found.after - state.at)
    state.name_divisions(list(found.roles))
    state.clause.end = state.tokens[state.at - 1].end


def _listed_keyboards(state: State, at: int) -> Keyboards | None:
    """``Full Swell, Great and Pedal``: a list that "and" closes, with nothing of their own behind."""
    found = keyboards(state, at)
    if found is None or len(found.roles) < 3 or not state.pauses(found.after - state.at):
        return None
    before = [token for token in state.tokens[at : found.after] if token.kind == "and" or token.value in ("&", ",")]
    return found if before and before[-1].value != "," else None


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
    if token.kind == "prominent" and state.kind() == ":":
        return True  # a label: "uitkomende stem: RW Kromhoorn"
    ahead = 1 if state.kind() in ("of", ":", "(") else 0
    if token.kind == "solo" and state.kind() in ("at", "of", ":") and keyboard(state, state.at + 1) is not None:
        if not clause.empty:
            state.flush()
        state.qualities.append("solo")
        return True  # Solo au Positif: Clarinette
    if clause.divisions == ["pedal"] and clause.empty:
        if has(token, "alone") or state.language == "fr":
            state.qualities.extend(["alone"] if state.kind() in ("num", "stop", "family") else [])
        return True
    if token.kind == "solo" and state.kind(ahead) in ("stop", "family", "quality", "compact_stop"):
        state.depth += state.kind() == "("
        state.take(ahead) if ahead else None
        state.qualities.append("alone" if state.language == "it" else "solo")
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

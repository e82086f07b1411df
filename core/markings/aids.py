"""Reads what is neither stop nor coupler: tremulants, crescendo pedal, pistons, cancel, hands alone."""

from __future__ import annotations

from core.markings.boxes import emit_aid, read_box, read_moving_box, state_of
from core.markings.coupler_pairs import pair_at
from core.markings.keyboards import Keyboards, keyboard, keyboards
from core.markings.language import has
from core.markings.model import Action
from core.markings.state import Draft, State
from core.markings.tokens import PITCHES


def read_aid(state: State) -> bool:
    """A playing aid in any of its wordings."""
    for reader in (
        _tremulant,
        read_box,
        read_moving_box,
        _crescendo_pedal,
        _cancel,
        _piston,
        _division_number,
        _two_manuals,
        _manuals_only,
        _feet,
    ):
        if reader(state):
            return True
    return False


def _tremulant(state: State) -> bool:
    if state.kind() != "tremulant":
        return False
    token = state.take(1)
    negated, state.negated = state.negated, False
    off = negated or state.clause.takes_off(joined=state.joined)
    divisions: list[str] | None = None
    at = state.at
    while state.kind(at - state.at) in ("of", "at", "filler", "quality"):
        at += 1
    named = keyboard(state, at + 1) if state.kind() == "(" and not state.clause.divisions else None
    if named is not None and state.kind(named.after - state.at) == ")":  # "Trem. (Sw.)"
        state.take(named.after + 1 - state.at)
        divisions, at = list(named.roles), state.at
    found = keyboards(state, at, commas=False)
    follow = state.tokens[found.after].kind if found and found.after < len(state.tokens) else ""
    plain = not state.clause.divisions or state.clause.postfix or at > state.at
    if (
        found is not None
        and plain
        and follow not in ("stop", "family", "num", "quality", "full")
        and _same_line(state, at)
    ):
        state.take(found.after - state.at)
        divisions = list(found.roles)
    elif state.kind() == "quality":
        state.take(1)
    offset = 1 if state.kind() == "(" else 0
    if (state.kind(offset) == "take_off" or has(state.peek(offset), "off_after")) and state.kind(offset + 1) in (
        "",
        "break",
        ",",
        ";",
        ")",
        "and",
        "division",
    ):
        state.take(1 + offset)
        off = True
        clause = state.clause
        if state.joined and not clause.verb and not clause.divisions and clause.stops:
            clause.action, clause.verb = Action.TAKE_OFF, True  # "Oboe & Trem. off": both
    elif has(state.peek(offset), "add_after") and state.pauses(offset + 1):
        state.take(1 + offset)
    emit_aid(state, Action.TREMULANT_OFF if off else Action.TREMULANT_ON, token.start, divisions)
    return True


def _same_line(state: State, at: int) -> bool:
    return all(state.tokens[k].kind != "break" for k in range(state.at, at))


def _crescendo_pedal(state: State) -> bool:
    token = state.peek()
    offset = 1 if state.kind() == "to" and state.kind(1) == "crescendo_pedal" else 0
    if token is None or state.kind(offset) != "crescendo_pedal":
        return False
    alone = len(state.tokens) == 1 and token.words[:2] == ("cresc", "ped")
    word = state.tokens[state.at + offset]
    state.take(1 + offset)
    to: str | None = None
    negated, state.negated = state.negated, False
    off = negated or state.clause.takes_off(joined=state.joined)
    if state.kind() == "gradually":
        state.take(1)  # Walze langsam zu
    if state.kind() == "take_off" or has(state.peek(), "off_after") or has(state.peek(), "box_state"):
        closing = state.take(1)
        off = off or not has(closing, "box_state") or state_of(state, closing) in ("closed", "closing")
    elif has(state.peek(), "add_after"):
        state.take(1)
    if state.kind() in ("full", "dynamic") and state.pauses(1):
        state.take(1)  # Cresc. Ped. full
    if off:
        to = "off"
    if alone and not state.text[word.start : word.end].startswith("C"):
        state.ambiguous.append("cresc-ped")
    emit_aid(state, Action.CRESCENDO_PEDAL, token.start, [], to=to)
    return True


def _cancel(state: State) -> bool:
    if state.kind() != "cancel":
        return False
    if state.kind(1) in ("stop", "family", "tremulant", "coupler", "num") or pair_at(state, state.at + 1) is not None:
        token = state.take(1)  # "Cancel Reeds": these alone
        clause = state.begin(action=Action.TAKE_OFF, verb=True, start=token.start)
        clause.fresh = False
        return True
    token = state.take(1)
    found = keyboards(state, state.at, commas=False)
    ends = found is not None and (found.after >= len(state.tokens) or state.pauses(found.after - state.at))
    if found is not None and ends and not state.clause.divisions:
        state.take(found.after - state.at)
        emit_aid(state, Action.CANCEL, token.start, list(found.roles))
        return True
    emit_aid(state, Action.CANCEL, token.start, state.clause.divisions)
    return True


def _piston(state: State) -> bool:
    """``General 2``, ``Gt. Pist. 5``."""
    if state.kind() not in ("piston", "general") and not has(state.peek(), "piston"):
        return False
    general = state.kind() == "general"
    ahead = 1
    while state.kind(ahead) in ("piston", "general", "of", "filler", "(") or has(state.peek(ahead), "number_sign"):
        general = general or state.kind(ahead) == "general"
        ahead += 1
    named = _keyboard_before_number(state, ahead)
    if named is not None:
        ahead = named.after - state.at + int(state.kind(named.after - state.at) == "number_sign")
    number = state.peek(ahead)
    if number is None or not (
        number.kind in ("num", "roman", "ordinal") or (number.kind == "word" and len(number.words[0]) == 1)
    ):
        return False
    start = state.tokens[state.at].start
    state.take(ahead + 1)
    text = number.value.rstrip(". '") if number.kind != "word" else state.text[number.start : number.end]
    if state.kind() == ")":
        state.take(1)
    numbers = [text]
    while state.kind() in ("and", "&") and state.kind(1) == "num":
        state.take(1)
        numbers.append(state.take(1).value.rstrip(". '"))
    divisions: list[str] = [] if general else list(named.roles if named else state.clause.divisions)
    if not general:
        divisions = _keyboard_after_piston(state, divisions)
    for one in numbers:
        emit_aid(state, Action.PISTON, start, divisions, number=one)
    return True


def _keyboard_before_number(state: State, ahead: int) -> Keyboards | None:
    """``Piston G.O. 2``: the keyboard between the word and its number."""
    named = keyboard(state, state.at + ahead)
    if named is None or named.roles[0].startswith("manual"):
        return None  # Pist. II: its number
    return named if state.kind(named.after - state.at) in ("num", "number_sign") else None


def _keyboard_after_piston(state: State, divisions: list[str]) -> list[str]:
    """``Pist. 3 (Gt.)``, ``Piston 4 R.``: whose piston it is."""
    named = keyboard(state, state.at + 1) if state.kind() == "(" else None
    if named is not None and state.kind(named.after - state.at) == ")":
        state.take(named.after - state.at)
        divisions = list(named.roles)
    ahead = 1 if state.kind() in ("of", "at") else 0
    found = keyboards(state, state.at + ahead, commas=False) if not divisions else None
    if found is None or (not ahead and not state.pauses(found.after - state.at)):
        return divisions
    state.take(found.after - state.at)
    return list(found.roles)


def _division_number(state: State) -> bool:
    """``Ch. 7``: a division and a number that is no pitch; ``Gt. 2`` may be either."""
    token = state.peek()
    if token is None or token.kind != "num" or token.foot or token.pitch is None or token.pitch.denominator != 1:
        return False
    clause = state.clause
    follow = state.kind(1)
    if not (clause.fresh and clause.empty and clause.divisions and not clause.said and not state.qualities):
        return False
    joined = follow in ("and", "&", "+") and keyboard(state, state.at + 2) is not None  # Gt. 3 & Ped. 5
    if follow not in ("", "break", ",", ";", ")", "]") and not joined:
        return False
    if follow == "," and state.kind(2) in ("num", "pitch_word"):
        return False
    if (
        clause.action is not Action.DRAW
        or clause.verb
        or state.heading
        or state.kind(-1) not in ("division", "solo", "roman", "manual_word", ")", ":", "&")
    ):
        return False
    number = int(token.pitch)
    if token.pitch in PITCHES and number not in (1, 2, 4):
        return False
    if number in (2, 4):
        others = [t for t in state.tokens if t.kind == "num" and t is not token]
        if not all(t.kind in ("division", "num", "sign", "and", "solo") for t in state.tokens) or any(
            t.pitch in (8, 16, 32) for t in others
        ):
            return False
        state.ambiguous.append("piston-or-pitch")
    state.take(1)
    emit_aid(state, Action.PISTON, token.start, None, number=str(number))
    return True


def _two_manuals(state: State) -> bool:
    if state.kind() != "two_manuals":
        return False
    token = state.take(1)
    while state.kind() in ("and", "&", "+", "with", "filler", "of", ",") and keyboard(state, state.at + 1) is not None:
        found = keyboard(state, state.at + 1)
        if found is None or found.roles != ("pedal",):
            break
        state.take(found.after - state.at)
    state.ambiguous.append("two-manuals")
    state.drafts.append(Draft(Action.PLAY, None, start=token.start, end=state.tokens[state.at - 1].end))
    return True


def _manuals_only(state: State) -> bool:
    alone = len(state.tokens) == 1 and has(state.peek(), "manuals_only")
    if (
        not (state.kind() == "manuals_only" or alone)
        or keyboard(state, state.at) is not None
        or state.kind(-1) in ("roman", "ordinal")
    ):
        return False
    if state.kind(1) in ("and", "&", "+") and keyboard(state, state.at + 2) is not None:
        state.take(2)
        return True
    if (
        state.kind(1) in (":", "num", "stop", "family", "quality", "foundation")
        and len(state.tokens[state.at].words) == 1
    ):
        state.take(2 if state.kind(1) == ":" else 1)
        return True
    token = state.take(1)
    if (
        token.words[:1] in (("manualiter",), ("man",), ("mans",), ("manuals",), ("manual",), ("manuale",))
        and len(token.words) == 1
    ):
        state.ambiguous.append("manualiter")
    emit_aid(state, Action.TAKE_OFF, token.start, ["pedal"])
    return True


def _feet(state: State) -> bool:
    if state.kind() != "feet_only":
        return False
    token = state.take(1)
    if state.kind() == "of" and state.kind(1) in ("stop", "family"):
        state.flush()  # "avec Pédale de Trompette": the Pedal's stops
        state.take(1)
        state.clause.start = token.start
        state.name_divisions(["pedal"])
        return True
    if token.words[-1:] == ("pedaliter",):
        state.ambiguous.append("pedaliter")
    emit_aid(state, Action.PLAY, token.start, ["pedal"])
    return True

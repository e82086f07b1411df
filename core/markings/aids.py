"""Reads what is neither stop nor coupler: tremulants, boxes, crescendo pedal, pistons, cancel, hands alone."""

from __future__ import annotations

from fractions import Fraction

from core.markings.keyboards import Keyboards, keyboard, keyboards
from core.markings.language import has, sense_of
from core.markings.model import Action
from core.markings.state import Draft, State
from core.markings.tokens import PITCHES, Token

_STATES = {"open": "open", "closed": "closed", "half": "half", "opening": "opening", "closing": "closing"}
_MOVING = {"open": "opening", "closed": "closing", "half": "opening"}
_FRENCH_UNBOXED = ("great", "pedal")


def read_aid(state: State) -> bool:
    """A playing aid in any of its wordings."""
    for reader in (
        _tremulant,
        _box,
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


def _emit(state: State, action: Action, start: int, divisions: list[str] | None = None, **more: str | None) -> None:
    own = state.clause.divisions if divisions is None else divisions
    for division in own or [None]:
        state.drafts.append(
            Draft(action, division, passes=state.clause.passes or state.passes, start=start,
                  end=state.tokens[state.at - 1].end, **more)  # type: ignore[arg-type]
        )  # fmt: skip
    state.clause.said = True


# ---------------------------------------------------------------- tremulants
def _tremulant(state: State) -> bool:
    if state.kind() != "tremulant":
        return False
    token = state.take(1)
    off = state.negated or state.clause.excepting or (state.clause.verb and state.clause.action is Action.TAKE_OFF)
    divisions: list[str] | None = None
    at = state.at
    while state.kind(at - state.at) in ("of", "at", "filler", "quality"):
        at += 1
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
    elif has(state.peek(offset), "add_after") and state.pauses(offset + 1):
        state.take(1 + offset)
    _emit(state, Action.TREMULANT_OFF if off else Action.TREMULANT_ON, token.start, divisions)
    return True


def _same_line(state: State, at: int) -> bool:
    return all(state.tokens[k].kind != "break" for k in range(state.at, at))


# ---------------------------------------------------------------- boxes
def _box(state: State) -> bool:
    """``box open``, ``ouvrez peu à peu la boîte``, ``Sw. closed``."""
    if state.kind() not in ("box", "box_of", "box_state", "gradually") and not has(state.peek(), "box_state"):
        return False
    place = state.at
    words: list[str] = []
    box, how, gradual, roles = False, None, False, None
    of_box: str | None = None
    last = place
    while place < len(state.tokens):
        token = state.tokens[place]
        if token.kind in ("box", "box_of") and not box:
            box, of_box = True, token.value or of_box
            last = place + 1
        elif how is None and has(token, "box_state"):
            how = state_of(state, token)
            last = place + 1
        elif token.kind == "gradually":
            gradual = True
            last = place + 1
        elif token.kind == "num" and token.pitch == Fraction(1, 2) and box and how is None:
            how = "half"
        elif token.kind in ("filler", "of", "at") or (token.kind == "and" and gradual):
            pass
        elif has(token, "box_state") and how is not None and token.kind == "box_state":
            last = place + 1
        elif box and how and keyboard(state, place) and state.tokens[place - 1].kind in ("of", "at") and roles is None:
            found = keyboards(state, place, commas=False)
            assert found is not None
            roles, place = list(found.roles), found.after - 1
            last = found.after
        elif (not box and how and keyboard(state, place) and _box_after(state, place)) or (
            box
            and how is None
            and keyboard(state, place)
            and roles is None
            and state.tokens[place - 1].kind in ("of", "at", "box")
        ):
            found = keyboard(state, place)
            assert found is not None
            roles, place = list(found.roles), found.after - 1
        elif (
            token.kind == "sign"
            and token.value in "("
            and place + 1 < len(state.tokens)
            and has(state.tokens[place + 1], "box_state")
            and box
        ):
            pass
        else:
            break
        words.append(token.kind)
        place += 1
    if how is not None and not box and roles is None and not state.clause.divisions and state.kind() != "at":
        named = _opened_division(state, last)
        if named is not None:
            roles, last, box = list(named.roles), named.after, True
    if how is None or not (box or _boxless(state, last)):
        return False
    start = state.tokens[state.at].start
    state.take(last - state.at)
    if (
        state.kind() == ")"
        and "(" in [state.tokens[k].value for k in range(max(0, state.at - 3), state.at)]
        and state.depth == 0
    ):
        state.take(1)
    divisions = roles or ([of_box] if of_box and of_box != "all" else None)
    if gradual and how in _MOVING:
        how = _MOVING[how]
    _emit(state, Action.BOX, start, _box_divisions(state, divisions, of_box), box=_STATES[how])
    return True


def state_of(state: State, token: Token) -> str:
    """The box's state that a word names."""
    sense = sense_of(token, "box_state", state.language)
    return sense.value if sense else ""


def _opened_division(state: State, at: int) -> Keyboards | None:
    """``Ouvrez le Récit``: the division whose box it is, and nothing after it."""
    while at < len(state.tokens) and state.tokens[at].kind in ("filler", "at", "of"):
        at += 1
    found = keyboard(state, at)
    if found is None or found.roles[0] in _FRENCH_UNBOXED:
        return None
    ends = found.after >= len(state.tokens) or state.tokens[found.after].kind in ("break", "sign")
    return found if ends else None


def _box_after(state: State, place: int) -> bool:
    found = keyboard(state, place)
    return found is not None and found.after < len(state.tokens) and state.tokens[found.after].kind == "box"


def _boxless(state: State, last: int) -> bool:
    """``Sw. closed``, ``(closed)``: a state that the division alone explains."""
    kind = state.tokens[last].kind if last < len(state.tokens) else ""
    value = state.tokens[last].value if last < len(state.tokens) else ""
    ends = kind in ("", "break", "and") or value in ("&", ",", ";", ")", "]", "(", ".", "-")
    return bool(state.clause.divisions) and (ends or state.tokens[state.at].value in ("closed", "closing", "opening"))


def _box_divisions(state: State, divisions: list[str] | None, of_box: str | None) -> list[str] | None:
    if divisions is not None:
        return divisions
    if of_box == "all":
        return []
    if state.language != "fr":
        return None
    own = [d for d in state.clause.divisions if d not in _FRENCH_UNBOXED]
    return own[:1] or ["swell"]


# ---------------------------------------------------------------- pedals, pistons, cancel
def _crescendo_pedal(state: State) -> bool:
    token = state.peek()
    offset = 1 if state.kind() == "to" and state.kind(1) == "crescendo_pedal" else 0
    if token is None or state.kind(offset) != "crescendo_pedal":
        return False
    alone = len(state.tokens) == 1 and token.words[:2] == ("cresc", "ped")
    word = state.tokens[state.at + offset]
    state.take(1 + offset)
    to: str | None = None
    off = state.negated or (state.clause.verb and state.clause.action is Action.TAKE_OFF)
    if state.kind() == "take_off" or has(state.peek(), "off_after") or has(state.peek(), "box_state"):
        closing = state.take(1)
        off = off or not has(closing, "box_state") or state_of(state, closing) in ("closed", "closing")
    elif state.kind() == "add_after":
        state.take(1)
    if off:
        to = "off"
    if alone and not state.text[word.start : word.end].startswith("C"):
        state.ambiguous.append("cresc-ped")
    _emit(state, Action.CRESCENDO_PEDAL, token.start, [], to=to)
    return True


def _cancel(state: State) -> bool:
    if state.kind() != "cancel" or (state.kind(1) in ("stop", "family", "tremulant", "coupler", "num")):
        return False
    token = state.take(1)
    _emit(state, Action.CANCEL, token.start, state.clause.divisions)
    return True


def _piston(state: State) -> bool:
    """``General 2``, ``Gt. Pist. 5``."""
    if state.kind() not in ("piston", "general"):
        return False
    general = state.kind() == "general"
    ahead = 1
    while state.kind(ahead) in ("piston", "number_sign", "general", "of", "filler") or state.kind(ahead) == "(":
        general = general or state.kind(ahead) == "general"
        ahead += 1
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
    divisions: list[str] = [] if general else list(state.clause.divisions)
    if not general and state.kind() == "(" and keyboard(state, state.at + 1) is not None:
        found = keyboard(state, state.at + 1)
        assert found is not None
        state.take(found.after - state.at)
        divisions = list(found.roles)
    if not general and not divisions and state.kind() in ("of", "at") and keyboard(state, state.at + 1):
        found = keyboards(state, state.at + 1, commas=False)
        if found is not None:
            state.take(found.after - state.at)
            divisions = list(found.roles)
    for one in numbers:
        _emit(state, Action.PISTON, start, divisions, number=one)
    return True


def _division_number(state: State) -> bool:
    """``Ch. 7``: a division and a number that is no pitch; ``Gt. 2`` may be either."""
    token = state.peek()
    if token is None or token.kind != "num" or token.foot or token.pitch is None or token.pitch.denominator != 1:
        return False
    clause = state.clause
    follow = state.kind(1)
    if not (clause.fresh and clause.empty and clause.divisions and not clause.said and not state.qualities):
        return False
    if follow not in ("", "break", ",", ";", ")", "]") or (follow == "," and state.kind(2) in ("num", "pitch_word")):
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
    _emit(state, Action.PISTON, token.start, None, number=str(number))
    return True


# ---------------------------------------------------------------- which keyboards at all
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
    if (
        state.kind() != "manuals_only"
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
    _emit(state, Action.TAKE_OFF, token.start, ["pedal"])
    return True


def _feet(state: State) -> bool:
    if state.kind() != "feet_only":
        return False
    token = state.take(1)
    if token.words[-1:] == ("pedaliter",):
        state.ambiguous.append("pedaliter")
    _emit(state, Action.PLAY, token.start, ["pedal"])
    return True

"""Reads what a swell box does: box open, ouvrez peu à peu la boîte, Sw. closed."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from core.markings.keyboards import Keyboards, keyboard, keyboards
from core.markings.language import has, sense_of
from core.markings.model import Action
from core.markings.state import Draft, State
from core.markings.tokens import Token

_MOVING = {"open": "opening", "closed": "closing", "half": "opening"}
FRENCH_UNBOXED = ("great", "pedal")


def emit_aid(state: State, action: Action, start: int, divisions: list[str] | None = None, **more: str | None) -> None:
    """Draft an aid for the divisions given, else for those that hold."""
    own = state.clause.divisions if divisions is None else divisions
    optional = state.clause.optional and state.clause.empty  # Optional Trem.
    for division in own or (None,):
        state.drafts.append(
            Draft(action, division, optional=optional, passes=state.clause.passes or state.passes, start=start,
                  end=state.tokens[state.at - 1].end, **more)  # type: ignore[arg-type]
        )  # fmt: skip
    if state.depth <= state.clause.depth:  # "Sw. (box closed)": in brackets the division itself is played
        state.clause.said = True


@dataclass(slots=True)
class _Found:
    """What a stretch of words says about a box.

    Attributes:
        last: the token after the last word that belongs to it.
        of: the division that a word for its box names ("Ch. box"); ``all`` for every box.
    """

    last: int
    how: str | None = None
    box: bool = False
    gradual: bool = False
    roles: list[str] | None = None
    of: str | None = None


def read_box(state: State) -> bool:
    """``box open``, ``ouvrez peu à peu la boîte``, ``Sw. closed``."""
    found = _Found(state.at)
    place = state.at
    while place < len(state.tokens):
        after = _word_of_box(state, found, place)
        if after is None:
            break
        place = after
    if found.how is not None and not found.box and found.roles is None and not state.clause.divisions:
        _take_opened_division(state, found)
    before = _box_before(state)
    if found.how is None or not (
        found.box or before is not None or _boxless(state, found.last) or _moves_alone(state, found)
    ):
        return False
    if before is not None and not found.box and found.roles is None:
        found.roles = before
    start = state.tokens[state.at].start
    state.take(found.last - state.at)
    if state.kind() == ")" and state.depth == 0 and any(state.kind(-k) == "(" for k in (1, 2, 3)):
        state.take(1)
    if found.of not in (None, "all") and state.clause.empty and not state.clause.divisions:
        state.name_divisions([str(found.of)])
        state.clause.said = True
    how = _MOVING.get(found.how, found.how) if found.gradual else found.how
    divisions = found.roles if found.roles is not None else ([found.of] if found.of and found.of != "all" else None)
    emit_aid(state, Action.BOX, start, _box_divisions(state, divisions, found.of), box=how)
    return True


def _box_before(state: State) -> list[str] | None:
    """``Boîte fermée, puis ouvrez peu à peu``: the divisions of a box just named, which moves on."""
    if state.kind(-1) not in (",", "and", "-", ";") or not state.drafts or state.drafts[-1].action is not Action.BOX:
        return None
    division = state.drafts[-1].division
    return [division] if division else []


def read_moving_box(state: State) -> bool:
    """``cresc. with box``: the box makes the crescendo."""
    if state.kind() != "box_moving":
        return False
    token = state.take(1)
    emit_aid(state, Action.BOX, token.start, _box_divisions(state, None, None), box=token.value)
    return True


def _word_of_box(state: State, found: _Found, place: int) -> int | None:
    """Take one word into what is found; the token after it, or None where it no longer belongs."""
    token = state.tokens[place]
    if token.kind in ("box", "box_of") and not found.box:
        found.box, found.of = True, token.value or found.of
        found.last = place + 1
    elif found.how is None and has(token, "box_state"):
        found.how = state_of(state, token)
        found.last = place + 1
    elif token.kind == "gradually":
        found.gradual = True
        found.last = place + 1
    elif token.kind == "box_state":
        found.last = place + 1
    elif token.kind == "num" and token.pitch == Fraction(1, 2) and found.box and found.how is None:
        found.how = "half"
    elif token.kind == "num" and found.box and found.how is None and _is_fraction(state, place):
        found.how = "half"  # ¾ open
        return place + 3
    elif token.value == "(" and _bracketed(state, found, place) is not None:
        return _bracketed(state, found, place)
    elif not _joins(state, found, place):
        return _keyboard_of_box(state, found, place)
    return place + 1


def _is_fraction(state: State, place: int) -> bool:
    follow = state.tokens[place + 1 : place + 3]
    return len(follow) == 2 and follow[0].value == "/" and follow[1].kind == "num"


def _bracketed(state: State, found: _Found, place: int) -> int | None:
    """``Box (Sw.) closed``: the division in brackets."""
    named = keyboard(state, place + 1) if found.box and found.how is None else None
    if named is None or named.after >= len(state.tokens) or state.tokens[named.after].value != ")":
        return None
    found.roles = list(named.roles)
    return named.after + 1


def _joins(state: State, found: _Found, place: int) -> bool:
    """Whether a word only joins: articles, "and" between two ways of moving, a bracket before the state."""
    token = state.tokens[place]
    if token.kind in ("filler", "of", "at"):
        return True
    if token.kind == "and":
        return found.gradual
    follow = state.tokens[place + 1] if place + 1 < len(state.tokens) else None
    return token.value == "(" and found.box and has(follow, "box_state")


def _keyboard_of_box(state: State, found: _Found, place: int) -> int | None:
    """The division whose box it is, among the words."""
    if found.roles is not None or keyboard(state, place) is None:
        return None
    before = state.tokens[place - 1].kind if place else ""
    named = keyboard(state, place)
    after = named.after - state.at if named is not None else 0
    placed = state.language == "fr" and state.pauses(after) and state.kind(after) != ":"  # Boîte ouverte Pos.
    if found.box and found.how and (before in ("of", "at") or (placed and before == "box_state")):
        named = keyboards(state, place, commas=False)
        assert named is not None
        found.last = named.after
    elif (not found.box and found.how and _box_after(state, place)) or (
        found.box and found.how is None and before in ("of", "at", "box")
    ):
        named = keyboards(state, place, commas=False)
        assert named is not None
    else:
        return None
    found.roles = list(named.roles)
    return named.after


def _take_opened_division(state: State, found: _Found) -> None:
    if state.kind() == "at":
        return
    named = _opened_division(state, found.last)
    if named is not None:
        found.roles, found.last, found.box = list(named.roles), named.after, True


def state_of(state: State, token: Token) -> str:
    """The box's state that a word names."""
    sense = sense_of(token, "box_state", state.language)
    return sense.value if sense else ""


def _opened_division(state: State, at: int) -> Keyboards | None:
    """``Ouvrez le Récit``: the division whose box it is, and nothing after it."""
    while at < len(state.tokens) and state.tokens[at].kind in ("filler", "at", "of"):
        at += 1
    found = keyboard(state, at)
    if found is None or found.roles[0] in FRENCH_UNBOXED:
        return None
    ends = found.after >= len(state.tokens) or state.tokens[found.after].kind in ("break", "sign")
    return found if ends else None


def _box_after(state: State, place: int) -> bool:
    found = keyboard(state, place)
    return found is not None and found.after < len(state.tokens) and state.tokens[found.after].kind == "box"


def _moves_alone(state: State, found: _Found) -> bool:
    """``Ouvrez peu à peu``: nothing but a box is opened or closed gradually."""
    told = len(state.tokens) == 1 and state.tokens[0].words in (("ouvrez",), ("fermez",))
    if found.how is None or not (told or found.gradual or found.how in ("opening", "closing", "half")):
        return False
    before, after = state.kind(-1), state.tokens[found.last].kind if found.last < len(state.tokens) else ""
    return before in ("", ",", ";", "break", "(") and after in ("", "sign", "break") and not state.clause.divisions


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
        return list(state.clause.divisions) if state.clause.fresh and state.clause.empty else []
    if state.clause.divisions == ["pedal"] and state.language != "fr":
        return []  # the Pedal has no box
    if state.language != "fr":
        return None
    own = [d for d in state.clause.divisions if d not in FRENCH_UNBOXED]
    return own[:1] or ["swell"]

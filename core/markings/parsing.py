"""Goes through a marking's tokens and reads them, each reader in its turn, into drafts of instructions."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache

from core.markings.aids import read_aid
from core.markings.alternatives import read_lacking, read_optional, read_or
from core.markings.clauses import read_excepted, read_joining, read_suffix, read_verb
from core.markings.coupler_pairs import emit, pair_at
from core.markings.couplers import read_coupler
from core.markings.divisions import read_division
from core.markings.goals import read_full, read_solo, read_up_to
from core.markings.hands import read_hand, read_pass
from core.markings.headings import (
    read_accompaniment,
    read_half,
    read_heading,
    read_keeps,
    read_label,
    read_namely,
    read_same_as,
    read_similar,
    read_title_after,
    spell_out,
)
from core.markings.keyboards import keyboard
from core.markings.model import Action
from core.markings.octaves import read_octave_of
from core.markings.state import AND_SIGNS, State
from core.markings.stop_lists import (
    read_family,
    read_pitches,
    read_quality,
    read_recipe,
    read_stops_word,
    repeats_stop,
)
from core.markings.stop_names import read_numbered_stop, read_stop
from core.markings.tokens import Token

_QUIET_KINDS = """gradually filler tempo expression other title lyric dynamic of at unit number_sign manual_word ordinal
rank_word solo_word pitch_word label simile transposed"""
QUIET = frozenset(_QUIET_KINDS.split())
"""Kinds of words that ask for nothing and need no mention."""


def parse(text: str, tokens: list[Token], language: str) -> State:
    """Read all tokens; what no reader takes is quiet, or left as unread."""
    state = State(text, tokens, language)
    while state.at < len(tokens):
        before = state.at
        _step(state)
        if state.at == before:
            state.take(1)
    state.flush()
    return state


_KEYBOARD = "division initials solo roman manual_word ordinal num"
_READERS: tuple[tuple[Callable[[State], bool], str], ...] = (
    (read_coupler, _KEYBOARD + " octave unison_off pedal_coupler manual_coupler manual_uncoupler classical_coupler"
     " coupler couple coupled uncoupled to at"),
    (read_numbered_stop, "number_sign ordinal roman"),
    (read_aid, "tremulant box box_of box_moving box_state gradually to crescendo_pedal cancel piston general num"
     " two_manuals manuals_only feet_only"),
    (read_pass, "pass pass_both ordinal"),
    (read_hand, "hand title_hand"),
    (read_or, "or"),
    (repeats_stop, "same_stop"),
    (read_full, "full full_plenum"),
    (read_suffix, "off_after add_after prepared"),
    (read_excepted, "excepted"),
    (read_verb, "add take_off draw reduce prepare crescendo"),
    (read_joining, "with without"),
    (read_up_to, "to up_to"),
    (read_division, _KEYBOARD + " at of filler to"),
    (read_solo, "solo prominent solo_end"),
    (read_optional, "adlib if_present"),
    (read_octave_of, "stop"),
    (read_stop, "stop compact_stop word half other"),
    (read_family, "family plenum"),
    (read_recipe, "recipe plenum_of"),
    (read_pitches, "num pitch_word"),
    (read_quality, "quality alone"),
    (read_stops_word, "stops_word all_word rank_word"),
)  # fmt: skip
_STARTS = tuple((reader, frozenset(starts.split())) for reader, starts in _READERS)


@cache
def readers_for(kind: str, senses: frozenset[str]) -> tuple[Callable[[State], bool], ...]:
    """The readers that may begin at a token of this kind, which may have these too, in their order."""
    kinds = senses | {kind}
    return (*_OWN.get(kind, ()), *(reader for reader, starts in _STARTS if starts & kinds))


def _step(state: State) -> None:
    """Let the first reader that can take what stands here; what none takes is left."""
    token = state.tokens[state.at]
    for reader in readers_for(token.kind, token.senses.kinds):
        if reader(state):
            return
    _leave(state)


def _sign(state: State) -> bool:
    token = state.peek()
    if token is None:
        return False
    if token.kind == "break" or (token.kind == "sign" and token.value == ";"):
        return _hard_pause(state)
    if token.kind == "and":
        return _and(state)
    if token.kind != "sign":
        return False
    value = token.value
    if value in ",/":
        return _comma(state)
    if value in AND_SIGNS:
        return _plus(state) if value == "+" else _and(state)
    if value in "-−" and _takes_off(state):
        return _minus(state)
    return _other_sign(state, value)


def _comma(state: State) -> bool:
    """A comma parts a list; between keyboards it joins them."""
    if state.tokens[0].words == ("pour",):
        spell_out(state)
    state.take(1)
    state.part += 1
    beside = state.tokens[state.at - 2].kind if state.at > 1 else ""
    fresh = state.clause.fresh and state.clause.empty and not state.clause.said
    state.joined = fresh and beside in _KEYBOARD.split() and keyboard(state, state.at) is not None
    if state.clause.excepting and keyboard(state, state.at):
        state.clause.excepting = False
    return True


def _minus(state: State) -> bool:
    """A minus before stops takes them off."""
    token = state.take(1)
    if not state.clause.empty:
        state.flush()
    clause = state.clause
    clause.action, clause.verb, clause.fresh, clause.without = Action.TAKE_OFF, True, False, True
    clause.start = token.start if not clause.divisions else min(clause.start, token.start)
    return True


def _other_sign(state: State, value: str) -> bool:
    if value == ":":
        spell_out(state)
    if value in "([":
        state.depth += 1
    elif value in ")]":
        state.depth -= 1
    state.take(1)
    if value in "(":
        state.part += 1
    return True


def _hard_pause(state: State) -> bool:
    state.take(1)
    state.part += 1
    clause = state.clause
    if (
        clause.verb
        or clause.excepting
        or clause.hand is not None
        or clause.full
        or clause.postfix
        or clause.up_to
        or (
            clause.fresh and clause.empty and not clause.said and state.peek() is not None and keyboard(state, state.at)
        )
    ):
        state.flush()
    state.joined = False
    state.half = None
    return True


def _and(state: State) -> bool:
    state.take(1)
    state.joined = True
    if state.clause.excepting and keyboard(state, state.at):
        state.clause.excepting = False
    return True


def _plus(state: State) -> bool:
    clause = state.clause
    if _couples_to_pedal(state):
        return True
    if not clause.empty and state.kind(-1) in (",", ";", "(", "and"):
        token = state.take(1)  # "- P8, + F4": an addition of its own
        state.flush()
        state.clause.action, state.clause.verb, state.clause.start = Action.ADD, True, token.start
        return True
    if clause.fresh and clause.empty and not clause.verb and keyboard(state, state.at + 1) and state.kind(-1) != ":":
        return _and(state)
    if clause.empty and not state.joined:
        token = state.take(1)
        if not clause.fresh or clause.divisions:
            clause.action, clause.verb = Action.ADD, True
            clause.start = min(clause.start, token.start) if clause.fresh else token.start
        return True
    return _and(state)


def _couples_to_pedal(state: State) -> bool:
    """``Ped. 16' 8' + II``: a manual added to the Pedal."""
    clause = state.clause
    found = keyboard(state, state.at + 1)
    bracketed = clause.fresh and state.kind(-1) == "("  # Ped. (+ HW)
    if clause.divisions != ["pedal"] or (clause.empty and not bracketed) or clause.verb:
        return False
    if found is None or "pedal" in found.roles:
        return False
    if not state.pauses(found.after - state.at) or state.kind(found.after - state.at) == ":":
        return False
    start = state.tokens[state.at].start
    state.take(found.after - state.at)
    emit(state, start, [(role, "pedal") for role in found.roles])
    return True


def _minus_before_other(state: State, token: Token, follow: Token) -> bool:
    """A minus before a coupler, a tremulant, or (without space) a division."""
    begins = state.at == 0 or state.kind(-1) in (",", ";", "break")
    if not begins and token.value != "−":
        return False
    if (
        follow.kind in ("tremulant", "coupler", "pedal_coupler", "manual_coupler")
        or pair_at(state, state.at + 1) is not None
    ):
        return True
    plain = state.text[token.start : token.end] in "-−"  # a longer dash is a bullet or parts the texts
    return follow.kind in ("division", "solo") and ((plain and state.at == 0) or not follow.gap)


def _takes_off(state: State) -> bool:
    token, follow = state.peek(), state.peek(1)
    if token is not None and follow is not None and _minus_before_other(state, token, follow):
        return True
    if token is None or follow is None or follow.kind not in ("stop", "family", "num", "compact_stop", "plenum"):
        return False
    printed = state.text[token.start : token.end]
    if token.value == "−" or state.at == 0 or state.kind(-1) in (",", ";", "break"):
        return True
    if printed == "-" and state.clause.fresh and state.clause.empty and token.gap:
        return True
    return token.gap and not follow.gap


_OWN: dict[str, tuple[Callable[[State], bool], ...]] = {
    "heading": (read_heading,), "prepare": (read_heading,),
    "label": (read_label,), "same_as": (read_same_as,), "namely": (read_namely,), "title_after": (read_title_after,),
    "half_before": (read_half,), "half": (read_half,), "stop": (read_half,),
    "lacking": (read_lacking,), "similar": (read_similar,), "keeps": (read_keeps,), "filler": (read_accompaniment,),
    "sign": (_sign,), "break": (_sign,), "and": (_sign,),
}  # fmt: skip


def _leave(state: State) -> None:
    """A token nobody reads: quiet words pass, words that are not known are listed."""
    token = state.peek()
    assert token is not None
    quiet = token.kind in QUIET or not token.senses.kinds.isdisjoint(QUIET)
    if not quiet:
        state.unread.append(token)
    state.take(1)

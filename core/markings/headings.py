"""Reads the words that head a line or a list, or stand behind it: Prepare:, Verse 3:, namely, tiple:, or similar."""

from __future__ import annotations

from core.markings.alternatives import or_stops
from core.markings.language import has
from core.markings.model import Hand
from core.markings.other_texts import names
from core.markings.state import Request, State
from core.markings.tokens import Token


def read_heading(state: State) -> bool:
    """``Prepare:`` makes the block's draws preparations; ``Registration:`` changes nothing."""
    if state.kind() == "heading":
        token = state.take(1)
        if state.kind() == ":":
            state.take(1)
        state.heading = state.heading or token.value == "prepare"
        return True
    if state.clause.fresh and state.clause.empty and state.clause.divisions:
        return False  # "III. Man. vorbereiten: Aeoline": of this division
    if state.kind() == "prepare" and (state.kind(1) == ":" or state.kind(1) == "break"):
        state.flush()
        state.take(2)
        state.heading = True
        return True
    return False


def read_label(state: State) -> bool:
    """``Verse 3:`` says when, not what."""
    if state.kind() != "label":
        return False
    state.take(1)
    while state.kind() in ("num", "ordinal", "roman", "and", ",", ":") and not state.tokens[state.at].foot:
        if state.take(1).value == ":":
            break
    return True


def read_same_as(state: State) -> bool:
    """``as at A``: a registration given elsewhere; which, the text does not say, so the words are listed."""
    if state.kind() != "same_as" or state.pauses(1):
        return False
    first, last = state.tokens[state.at], state.tokens[state.at + 1]
    state.unread.append(Token(first.kind, "", first.start, last.end))
    state.take(2)
    return True


def read_accompaniment(state: State) -> bool:
    """``Accomp.:``, ``on l'accompagnera avec`` begin something of their own; no division named before holds for it."""
    token = state.tokens[state.at]
    told = any(word.startswith(("acc", "begl", "begel")) for word in token.words)
    heads, goes_on = state.kind(1) == ":", len(token.words) > 1 and token.words[-1] in names("accompanied")
    if not told or not (heads or goes_on):
        return False
    state.flush()
    state.clause.divisions = []
    state.take(2 if heads else 1)
    return True


def read_namely(state: State) -> bool:
    """A recipe spelled out: its name adds nothing to the stops that follow; a stop beside it stays."""
    if state.kind() != "namely":
        return False
    state.take(1)
    clause = state.clause
    titled = clause.hand is not None
    clause.stops = [] if titled else [stop for stop in clause.stops if not _is_made_of_others(stop)]
    clause.hand = None
    return True


def _is_made_of_others(stop: Request) -> bool:
    """A recipe, a plenum, a Cornet; "son fond": what is spelled out; of "le Cromorne avec son fond" just the fond."""
    ground = stop.family in ("foundation", "plenum", "compound") and not stop.pitches
    return stop.recipe is not None or ground


def spell_out(state: State) -> None:
    """``Plein jeu: montre, bourdon …``: the name of the recipe asks for nothing beside the stops that follow."""
    ahead = 1
    while state.kind(ahead) in ("filler", "all_word", "of", "with"):
        ahead += 1
    stops = state.clause.stops
    recipe = bool(stops) and not state.drafts and all(_is_recipe(state, s) for s in stops)
    if recipe and state.kind(ahead) in ("stop", "family", "num") and not state.clause.full:
        state.clause.stops = []


def _is_recipe(state: State, stop: Request) -> bool:
    """A recipe's name; "Fond d'Orgue:" before a colon; "la Basse de Trompette," by its hand."""
    if stop.recipe or stop.family == "plenum":
        return True
    if state.kind() == ":":
        return stop.family == "foundation" and not stop.pitches
    return state.clause.hand is not None and state.part == 0 and stop.words is not None and not stop.pitches


def read_title_after(state: State) -> bool:
    """``Cromorne en taille``: the hand that has the solo."""
    if state.kind() != "title_after" or state.clause.empty:
        return False
    state.clause.hand, state.clause.titled = Hand(state.take(1).value), True
    return True


def read_half(state: State) -> bool:
    """``Medio registro de tiple:``, ``tiple:`` before its stops."""
    label = state.kind(1) == ":" and has(state.peek(), "half")
    if state.kind() != "half_before" and not label:
        return False
    if label and not state.clause.empty:
        state.flush()
    token = state.take(1)
    state.half = next(sense.value for sense in token.senses if sense.kind in ("half", "half_before"))
    return True


def read_keeps(state: State) -> bool:
    """``resta il Principale``: what stays as it is; it is listed, so that nobody takes it off with the rest."""
    if state.kind() != "keeps":
        return False
    if not state.clause.empty:
        state.flush()
    first = state.take(1)
    while not state.pauses():
        state.take(1)
    state.unread.append(Token("keeps", "", first.start, state.tokens[state.at - 1].end))
    return True


def read_similar(state: State) -> bool:
    """``or similar``, in whatever words; before a name it is an alternative."""
    if state.kind() != "similar":
        return False
    token = state.take(1)
    if (
        state.kind() in ("stop", "family", "recipe", "quality")
        and state.clause.stops
        and token.words[0] in ("or", "ou", "oder", "o", "of")
    ):
        or_stops(state)
        return True
    stops = state.clause.stops or (state.drafts[-1].stops if state.drafts else [])
    if stops:
        stops[-1].qualities.append("or similar")
    return True

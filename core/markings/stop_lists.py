"""Reads what else a list of stops holds: families, bare pitches, recipes, qualities."""

from __future__ import annotations

from fractions import Fraction

from core.markings.details import half_after, names_follow, quality_after, read_after, share_back
from core.markings.language import has
from core.markings.model import Action
from core.markings.pitches import pitch_run, rounded
from core.markings.requests import add_request, target
from core.markings.state import Request, State
from core.markings.stop_names import clean, longest_name
from core.markings.stop_words import is_mixture
from core.markings.tokens import PITCHES, Token


def read_pitches(state: State) -> bool:
    """Pitches without a name before them: bare ones, or those of the name or family after them."""
    token = state.peek()
    if token is None or token.kind not in ("num", "pitch_word"):
        return False
    if _counts_or_ranges(state):
        return True
    if state.kind(-1) == "other" and not token.foot:
        state.take(1)  # Sw. at bar 16
        return True
    if state.kind(1) == ")" and not token.foot and state.kind(-1) in ("", "break", ";") and state.depth == 0:
        state.take(2)  # 1) Gt. Diapasons: the number of a note
        return True
    pitches, count = pitch_run(state, state.at)
    if not pitches or (pitches[0] not in PITCHES and not any(state.tokens[state.at + k].foot for k in range(count))):
        return False
    request = Request(start=token.start)
    state.take(count)
    _take_named(state, request, pitches, count)
    request.pitches = [rounded(pitch, request) for pitch in pitches]
    stops = target(state)
    bare = request.words is None and request.family is None and not state.qualities and not state.joined
    if bare and state.kind(-count - 1) == "," and state.tokens[state.at - 1].foot and state.pauses() and stops:
        last = stops[-1]  # "Flutes, 8 & 4 ft.": the comma parts nothing
        if (last.family_word or _alone_of_eight(state, request)) and not last.pitches and last.part == state.part - 1:
            last.pitches.extend(request.pitches)
            share_back(state, last)
            last.end = state.tokens[state.at - 1].end
            return True
    request.end = state.tokens[state.at - 1].end
    add_request(state, request)
    if not request.words and not request.family:
        share_back(state, request)
    _ = quality_after(state, request) or half_after(state, request)
    return True


def _alone_of_eight(state: State, request: Request) -> bool:
    """``Swell: Oboe, 8 foot``: one stop and the pitch that it has; other pitches are asked for beside it."""
    unison = 16 if state.clause.divisions == ["pedal"] else 8
    stops = target(state)
    return len(stops) == 1 and stops[0].words is not None and request.pitches == [unison]


def _take_named(state: State, request: Request, pitches: list[Fraction], count: int) -> None:
    """The name or family that stands after its pitches."""
    while state.kind() in ("of", "filler") and state.kind(1) in ("family", "stop", "quality", "stops_word"):
        state.take(1)
    while state.kind() == "quality" and state.kind(1) in ("family", "stop", "stops_word", "quality", "compact_stop"):
        state.qualities.append(state.take(1).value)
    follow = state.peek()
    last_pitch = state.tokens[state.at - 1]
    if follow is not None and follow.kind == "octave" and last_pitch.foot and has(follow, "stop"):
        follow.kind = "stop"  # 2' Super Octave
    if count > 1 and last_pitch.dot and not last_pitch.foot:
        follow = None  # "Swell 8.4. Oboe.": a point ends what stands before
    if follow is not None and follow.kind == "family" and follow.value != "all":
        request.family, request.family_word = follow.value, True
        state.take(1)
    elif (
        follow is not None and follow.kind == "stop" and not _own_pitch(state) and not _is_mixture_after(state, pitches)
    ):
        count, name, _ = longest_name(state)
        request.words = name
        state.take(count)
    elif follow is not None and follow.kind in ("stops_word", "quality") and follow.kind == "stops_word":
        state.take(1)


def _counts_or_ranges(state: State) -> bool:
    """``3 starke 8' Stimmen``: how many; ``1-3``: numbers of something that the text does not name."""
    token, third = state.tokens[state.at], state.peek(2)
    if token.kind != "num" or token.foot or third is None or third.kind != "num" or token.pitch is None:
        return False
    if state.kind(1) == "quality" and third.foot and token.pitch in (2, 3, 4, 5):
        state.take(1)
        return True
    if state.kind(1) == "-" and not third.foot and third.pitch is not None and token.pitch < third.pitch <= 12:
        state.unread.append(Token("num", "", token.start, third.end))
        state.take(3)
        return True
    return False


def _is_mixture_after(state: State, pitches: list[Fraction]) -> bool:
    """``8' 4' 2' Mix.``: a mixture after several pitches is not at those pitches."""
    return len(pitches) > 1 and is_mixture(longest_name(state)[1], state.language)


def _own_pitch(state: State) -> bool:
    """Whether the stop that comes next has a pitch of its own after it."""
    count, _, _ = longest_name(state)
    token = state.peek(count)
    return token is not None and token.kind == "num" and token.pitch in PITCHES


def read_family(state: State) -> bool:
    """A family by its own word."""
    token = state.peek()
    if token is None or token.kind not in ("family", "plenum"):
        return False
    state.take(1)
    family = "plenum" if token.kind == "plenum" else token.value
    request = Request(family=family, family_word=token.kind == "family", start=token.start, end=token.end)
    add_request(state, request)
    if state.kind() == "stops_word" or (state.kind() == "recipe" and state.tokens[state.at].value == "chorus"):
        state.take(1)  # Flue chorus
    if family == "plenum" and state.kind() == "roman" and state.pauses(1):
        request.ranks = int(state.take(1).value)  # Plein-jeu IV
    read_after(state, request)
    return True


def read_recipe(state: State) -> bool:
    """A recipe by its name (Grand jeu)."""
    if state.kind() not in ("recipe", "plenum_of"):
        return False
    token = state.take(1)
    if token.kind == "plenum_of":
        if state.clause.stops:
            state.flush()
            state.name_divisions([token.value])
        elif not state.clause.divisions:
            state.name_divisions([token.value])
        add_request(state, Request(family="plenum", start=token.start, end=token.end))
        return True
    name = clean(state.text[token.start : token.end])
    request = add_request(state, Request(words=name, recipe=token.value, start=token.start, end=token.end))
    read_after(state, request)
    return True


def read_quality(state: State) -> bool:
    """A quality before what it belongs to, or after it."""
    token = state.peek()
    if token is None or token.kind not in ("quality", "alone"):
        return False
    state.take(1)
    state.clause.end = max(state.clause.end, token.end)
    value = "alone" if token.kind == "alone" else token.value
    stops = target(state)
    if token.kind == "alone" and not names_follow(state, 0) and stops:
        stops[-1].qualities.append(value)
        return True
    if token.kind == "alone" and not names_follow(state, 0):
        if state.kind() == "with":
            state.qualities.append(value)  # nur mit 8'
        return True
    state.qualities.append(value)
    if state.kind() == "stops_word" and not names_follow(state, 1) and state.kind(1) != "of":
        state.take(1)
    return True


def read_stops_word(state: State) -> bool:
    """A word for "stops" at large; with a quality before or after it, it is what has the quality."""
    if state.kind() not in ("stops_word", "all_word", "rank_word"):
        return False
    token = state.take(1)
    if token.kind == "stops_word" and state.kind() == "quality":
        qualities = []
        while state.kind() == "quality":
            qualities.append(state.take(1).value)
        request = Request(qualities=qualities, start=token.start, end=state.tokens[state.at - 1].end)
        add_request(state, request)
        read_after(state, request)
    elif token.kind == "stops_word" and state.kind() == "of" and state.kind(1) in ("num", "pitch_word"):
        state.take(1)
    return True


def repeats_stop(state: State) -> bool:
    """``celui du Positif``: the stop just named, on another division."""
    if state.kind() != "same_stop" or not (state.clause.stops or state.drafts):
        return False
    state.take(1)
    stops = state.clause.stops or (state.drafts[-1].stops if state.drafts else [])
    if not stops:
        return True
    again = stops[-1].copy()
    action = state.clause.action
    state.flush()
    state.clause.divisions = []
    state.clause.action = action if action in (Action.ADD, Action.TAKE_OFF, Action.DRAW) else Action.DRAW
    state.clause.verb = True
    state.clause.stops.append(again)
    return True

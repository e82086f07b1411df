"""Reads a coupler by its two ends: X to Y, X/Y, X sur Y, X coupled to Y; and whether it goes on or off."""

from __future__ import annotations

from fractions import Fraction

from core.markings.keyboards import Keyboards, keyboard, keyboards
from core.markings.language import has
from core.markings.model import Action, CouplerRequest
from core.markings.pitches import pitch_run
from core.markings.state import Draft, State

_RECEIVERS = ("pedal", "great", "manual-1", "choir", "positive", "manual-2", "oberwerk", "swell", "manual-3",
              "brustwerk", "solo", "manual-4", "bombarde", "echo", "manual-5")  # fmt: skip
COUPLER_PITCHES = (Fraction(16), Fraction(8), Fraction(4))


def emit(
    state: State, start: int, pairs: list[tuple[str | None, str | None]], pitches: list[Fraction] | None = None
) -> None:
    """Draft a couple or uncouple for each pair and pitch."""
    action = _switch(state)
    for source, goal in pairs:
        for pitch in pitches or [Fraction(8)]:
            state.drafts.append(
                Draft(action, coupler=CouplerRequest(source, goal, pitch), passes=state.clause.passes or state.passes,
                      start=start, end=state.tokens[state.at - 1].end)
            )  # fmt: skip


def emit_unnamed(state: State, start: int, division: str | None) -> None:
    """Draft a couple or uncouple whose ends the context must decide."""
    action = _switch(state)
    state.drafts.append(Draft(action, division, passes=state.clause.passes or state.passes, start=start,
                              end=state.tokens[state.at - 1].end))  # fmt: skip


def _switch(state: State) -> Action:
    """Couple or uncouple, by the words before and after."""
    off = state.negated or state.clause.takes_off(joined=state.joined)
    if state.kind() == "keeps" and state.pauses(1):
        state.take(1)  # "Take off Gt. Reeds, Gt. to Ped. remains"
        return Action.COUPLE
    state.negated = False  # "without" reaches one coupler or list of couplers, not the next
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


def directed(source: str, goal: str) -> tuple[str, str]:
    """From and to, but the pedal always receives."""
    return (goal, source) if source == "pedal" else (source, goal)


def pair_at(state: State, at: int) -> tuple[Keyboards, Keyboards, str] | None:
    """Keyboards, a joining word or sign, keyboards: ("Sw. & Ch. to Gt."), with how they are joined."""
    first = keyboards(state, at)
    if first is None:
        return None
    joint, place = _joint(state, first)
    if joint is None and place < len(state.tokens) and state.tokens[place].kind == "division":
        more = keyboards(state, place)
        if more is not None and len(more.roles) > 1:  # "Sw. Gt. & Ch. to Ped."
            joint, place = _joint(state, more)
            joint = joint if joint == "to" else None
            first = Keyboards((*first.roles, *more.roles), more.after)
    if joint is None and first.roles[0] == "pedal" and len(first.roles) > 1 and _plus_only(state, at, first.after):
        return Keyboards(first.roles[1:], first.after), Keyboards(("pedal",), first.after), "to"  # Ped. + HW
    if joint is None:
        return None
    second = keyboard(state, place)
    if second is None:
        return None
    listed_by_comma = any(token.value == "," for token in state.tokens[at : first.after])
    if listed_by_comma and second.roles[0] in first.roles:
        return None  # "Full Gt., Sw. to Gt.": the first stands for itself
    if joint == "slash" and first.roles == second.roles and not _octave_follows(state, second.after):
        return None
    if (
        joint == "slash"
        and second.roles == ("positive",)
        and state.tokens[place].words == ("p",)
        and first.roles[0].startswith("manual")
    ):
        second = Keyboards(("pedal",), second.after)
    return first, _more_goals(state, second, joint), joint


def _octave_follows(state: State, after: int) -> bool:
    """``R/R 4``: a keyboard on itself at another pitch."""
    token = state.tokens[after] if after < len(state.tokens) else None
    return token is not None and (token.kind == "octave" or token.pitch in (Fraction(16), Fraction(4)))


def _plus_only(state: State, at: int, after: int) -> bool:
    """Whether keyboards are joined by plus signs and nothing is asked of them."""
    signs = [token.value for token in state.tokens[at:after] if token.kind not in ("division", "roman", "manual_word")]
    return (
        bool(signs) and set(signs) == {"+"} and state.pauses(after - state.at) and state.kind(after - state.at) != ":"
    )


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
    signs = ("&", "+", ",") if joint == "coupled" else ("&", "+")
    while place < len(state.tokens) and (state.tokens[place].kind == "and" or state.tokens[place].value in signs):
        led = 1
        while place + led < len(state.tokens) and state.tokens[place + led].kind in ("at", "of", "onto", "to"):
            led += 1
        more = keyboard(state, place + led)
        if more is None:
            break
        follow = state.tokens[more.after] if more.after < len(state.tokens) else None
        if follow is not None and follow.kind == "coupled" and state.tokens[place].value == ",":
            break
        if follow is not None and not (
            follow.kind in ("break", "coupled", "off_after") or (follow.kind == "sign" and follow.value in ",;.)]")
        ):
            break
        goals.extend(more.roles)
        place = more.after
    return Keyboards(tuple(goals), place)


def read_pair(state: State) -> bool:
    """A coupler by its two ends."""
    found = pair_at(state, state.at)
    if found is None:
        return False
    first, second, joint = found
    start = state.tokens[state.at].start
    state.take(second.after - state.at)
    pitches = coupler_pitches(state)
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
                pair_by_order(source, goal) if joint == "coupled" and source != goal else directed(source, goal)
            )
    emit(state, start, list(dict.fromkeys(pairs)), pitches)
    state.negated = False
    if not pitches and state.kind() in ("stop", "family") and second.roles != ("pedal",) and len(second.roles) == 1:
        state.flush()  # "Full Sw. to Gt. Diaps.": the stops are those of the keyboard just named
        state.name_divisions(list(second.roles))
    return True


def coupler_pitches(state: State) -> list[Fraction]:
    """Pitches and octave words after a coupler: "16, 8 & 4", "Super"."""
    found: list[Fraction] = []
    offset = 1 if state.kind() == "(" or (state.kind() in ("filler", "at") and state.language == "fr") else 0
    if state.kind(offset) == "num":
        pitches, count = pitch_run(state, state.at + offset)
        after = state.kind(offset + count)
        if (
            pitches
            and all(p in COUPLER_PITCHES for p in pitches)
            and after not in ("stop", "family", "quality", "stops_word")
        ):
            state.take(offset + count)
            if state.kind() == ")" and offset:
                state.take(1)
            return pitches
    while True:
        offset = 1 if state.kind() in ("and", "&", "+", ",", "(") else 0
        kind = state.kind(offset)
        token = state.peek(offset)
        if token is not None and kind == "stop" and token.words in (("oct",), ("octave",), ("octaves",)):
            found.append(Fraction(4))
            state.take(1 + offset)
            continue
        if kind not in ("octave", "unison_coupler") or (state.kind() == "," and kind == "octave" and not found):
            return found
        token = state.tokens[state.at + offset]
        found.append(Fraction(token.value or "8"))
        state.take(1 + offset)
        if state.kind() == "coupler":
            state.take(1)
        if state.kind() == ")":
            state.take(1)


def keyboard_after(state: State) -> Keyboards | None:
    """The keyboards that a coupler's word is about, after it."""
    at = state.at
    while at < len(state.tokens) and state.tokens[at].kind in ("of", "at", "filler", "to"):
        at += 1
    found = keyboards(state, at, commas=False)
    if found is None:
        return None
    found = listed(state, found)
    follow = state.tokens[found.after].kind if found.after < len(state.tokens) else ""
    prepositions = at > state.at
    if not prepositions and follow in ("stop", "family", "num", "quality", "full") and state.language != "fr":
        return None
    return found


def listed(state: State, found: Keyboards) -> Keyboards:
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

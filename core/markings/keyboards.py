"""Reads keyboards: divisions by name, initials or number, hands, and which time through."""

from __future__ import annotations

from typing import NamedTuple

from core.markings.language import has
from core.markings.model import Action, CouplerRequest, Hand
from core.markings.state import Draft, State
from core.markings.tokens import Token

_STOPPY = ("stop", "compact_stop", "family", "num", "quality", "plenum", "recipe", "pitch_word", "stops_word")


_AFTER_SOLO = frozenset(
    {"to", "coupled", "uncoupled", "piston", "up_to", "full", "tremulant", "unison_off", "octave", "box", "box_of",
     "box_state", "add", "take_off", "prepare", "reduce", "coupler"}
)  # fmt: skip


class Keyboards(NamedTuple):
    """Divisions that stand at a place: their roles, the token after them, whether they are initials side by side."""

    roles: tuple[str, ...]
    after: int
    initials: bool = False


def keyboard(state: State, at: int) -> Keyboards | None:
    """The one keyboard that stands at a token: a name, a number, or initials side by side."""
    if at >= len(state.tokens) or at < 0:
        return None
    token = state.tokens[at]
    if token.kind == "division":
        return Keyboards((token.value,), at + 1)
    if token.kind == "initials":
        return Keyboards(tuple(token.value.split()), at + 1, initials=True)
    if token.kind == "solo":
        return Keyboards(("solo",), at + 1) if _is_solo_organ(state, at) else None
    return _numbered(state, at)


def _is_solo_organ(state: State, at: int) -> bool:
    before = state.tokens[at - 1] if at else None
    after = state.tokens[at + 1] if at + 1 < len(state.tokens) else None
    if state.language != "en":
        heads = before is None or before.kind == "break" or before.value == ";"
        return heads and after is not None and after.value == ":"
    if before is not None and before.kind in ("division", "roman"):
        return False
    inside = state.tokens[at + 2].kind if at + 2 < len(state.tokens) else ""
    if before is None and after is not None and after.value == "(" and inside in ("stop", "family"):
        return True  # "Solo (Oboe 8)"
    if after is not None and (after.kind in _STOPPY or after.kind in _AFTER_SOLO or after.value in (":", "/")):
        return True
    if after is not None and (after.kind in ("and", "or") or after.value in ("&", "+")) and _named_at(state, at + 2):
        return True
    if before is not None and after is not None and before.value == "(" and after.value == ")":
        return at > 1 and state.tokens[at - 2].kind not in ("stop", "family", "num", "quality")
    return (before is not None and before.kind in ("or", "hand", "to", "and", "at", "full", "coupler")) or (
        before is not None and before.value in ("&", "/", "+")
    )


def _named_at(state: State, at: int) -> bool:
    return at < len(state.tokens) and state.tokens[at].kind == "division"


def _numbered(state: State, at: int) -> Keyboards | None:
    """``II. Man.``, ``Man. II``, ``2nd manual``, ``II``; a name in brackets after it wins."""
    tokens = state.tokens
    token = tokens[at]
    follow = tokens[at + 1] if at + 1 < len(tokens) else None
    number: int | None = None
    after = at + 1
    if token.kind == "roman" and int(token.value) <= 5:
        number = int(token.value)
        if has(follow, "manual_word"):
            after = at + 2
    elif has(follow, "manual_word") and (token.kind == "ordinal" or (token.kind == "num" and not token.foot)):
        number = int(token.value.rstrip(". ")) if token.value.rstrip(". ").isdecimal() else None
        after = at + 2
    elif (
        has(token, "manual_word")
        and follow is not None
        and (follow.kind in ("roman", "ordinal") or (follow.kind == "num" and not follow.foot))
    ):
        digits = follow.value.rstrip(". ")
        number = int(digits) if digits.isdecimal() else None
        after = at + 2
    if number is None or not 1 <= number <= 5:
        return None
    if (
        after + 2 < len(tokens)
        and tokens[after].value == "("
        and tokens[after + 1].kind == "division"
        and tokens[after + 2].value == ")"
    ):
        return Keyboards((tokens[after + 1].value,), after + 3)
    if after == at + 1 and after < len(tokens) and _names_it(tokens[after]) and token.kind == "roman":
        return Keyboards((tokens[after].value,), after + 1)
    return Keyboards((f"manual-{number}",), after)


def _names_it(follow: Token) -> bool:
    """``III Récit``: the name of the keyboard right after its number."""
    return follow.kind == "division" and follow.value != "pedal" and follow.gap


def keyboards(state: State, at: int, *, commas: bool = True) -> Keyboards | None:
    """The keyboards joined by "and" (or commas) that stand at a token."""
    roles: list[str] = []
    place, initials = at, False
    while True:
        one = keyboard(state, place)
        if one is None:
            break
        roles.extend(role for role in one.roles if role not in roles)
        initials = initials or one.initials
        place = one.after
        step = _over_joint(state, place, commas)
        if step is None:
            break
        place = step
    return Keyboards(tuple(roles), place, initials) if roles else None


def _over_joint(state: State, at: int, commas: bool) -> int | None:
    tokens = state.tokens
    place = at
    joined = False
    while place < len(tokens) and (
        tokens[place].kind in ("and", "of", "at", "with_and")
        or (tokens[place].kind == "sign" and tokens[place].value in ("&", "+", *("," if commas else "")))
    ):
        joined = joined or tokens[place].kind not in ("of", "at")
        place += 1
    return place if joined and keyboard(state, place) else None


def read_division(state: State) -> bool:
    """A division: from here it holds, or it belongs to the stops just named."""
    start = state.at
    if _is_pedal_stop(state):
        return False
    lead = _prepositions(state)
    found = keyboard(state, start + lead)
    if found is None:
        return False
    if _is_title_solo(state, start, found):
        return _read_title(state, found)
    if _is_postfix(state, start, found):
        return _read_postfix(state, start + lead)
    joined = state.clause.fresh and state.clause.empty and state.joined
    state.take(found.after - start)
    if joined:
        state.clause.divisions.extend(role for role in found.roles if role not in state.clause.divisions)
        state.named.extend(found.roles)
        state.joined = False
        return True
    _begin(state, list(found.roles), start)
    if found.initials:
        _read_initials(state, found.roles)
    elif found.roles == ("pedal",) and state.language == "fr":
        _read_pedal_letters(state)
    return True


def _read_pedal_letters(state: State) -> None:
    """French "Péd. R. G.": the Pedal with those keyboards coupled."""
    roles: list[str] = []
    at = state.at
    while at < len(state.tokens) and state.tokens[at].kind in ("division", "initials"):
        if not all(len(word) == 1 for word in state.tokens[at].words):
            return
        roles.extend(state.tokens[at].value.split())
        at += 1
    if not roles or (at < len(state.tokens) and state.tokens[at].kind not in ("break", "sign")):
        return
    if at < len(state.tokens) and state.tokens[at].value == ":":
        return
    start = state.tokens[state.at].start
    state.take(at - state.at)
    for role in roles:
        state.drafts.append(Draft(Action.COUPLE, coupler=CouplerRequest(role, "pedal"), start=start,
                                  end=state.tokens[at - 1].end))  # fmt: skip
    state.clause.said = True


def _is_pedal_stop(state: State) -> bool:
    """``Ped. Pos. 16``: among the Pedal's stops a Posaune, not the Positive."""
    token, follow = state.peek(), state.peek(1)
    if token is None or follow is None or state.clause.divisions != ["pedal"] or token.kind != "division":
        return False
    before = state.kind(-1)
    if before in (";", "break") or (before == "," and follow.pitch == 8):
        return False
    if token.words != ("pos",) or follow.kind != "num" or follow.pitch not in (8, 16, 32) or not has(token, "stop"):
        return False
    token.kind = "stop"
    return True


def _begin(state: State, roles: list[str], start: int) -> None:
    """Open a clause for these divisions; a hand or verb that waits for its division keeps it."""
    clause = state.clause
    waiting = clause.empty and not (clause.fresh and not clause.said and clause.divisions) and not clause.excepting
    if waiting:
        clause.start = state.tokens[start].start if not clause.verb and clause.hand is None else clause.start
        clause.leads = clause.verb and not clause.divisions
        state.name_divisions(roles)
        clause.postfix = False
    else:
        listed = state.kind(start - state.at - 1) == "," and clause.leads
        keep_action = clause.action if clause.verb and (state.joined or listed) else None
        state.flush()
        state.clause.postfix = False
        state.clause.start = state.tokens[start].start
        if keep_action is not None and keep_action is not Action.DRAW:
            state.clause.action, state.clause.verb, state.clause.leads = keep_action, True, clause.leads
        state.name_divisions(roles)
    state.clause.end = state.tokens[state.at - 1].end
    state.half = None


def _prepositions(state: State) -> int:
    count = 0
    while state.kind(count) in ("at", "of", "filler", "to") and count < 3:
        if state.kind(count) == "to" and (count or not _to_leads_division(state)):
            break
        count += 1
    return count


def _to_leads_division(state: State) -> bool:
    """``to Gt.``: the hands go there."""
    return keyboard(state, state.at + 1) is not None


def _is_postfix(state: State, start: int, found: Keyboards) -> bool:
    """Whether the division belongs to what was named before it ("Anches R.", "les fonds au G.O.")."""
    clause = state.clause
    if clause.empty or start == 0:
        return False
    if clause.divisions and not clause.postfix and not _of_before(state, start) and not _ends_a_part(state, found):
        return False
    before = state.tokens[start - 1]
    both = state.tokens[start].words == ("tant",)  # tant au grand Orgue qu'au Positif
    if before.kind == "break" or (before.kind == "sign" and before.value in ",;:" and not both):
        return before.value == "," and _closes_list(state, start, found)
    after = found.after
    step = _over_joint(state, after, False)
    if step is not None:
        joined = keyboards(state, after - 1, commas=False)
        after = joined.after if joined else after
    kind = state.kind(after - state.at)
    if kind in _STOPPY or kind == "full" or (kind == "of" and has(state.peek(after - state.at + 1), "stop")):
        return False
    return kind not in (":", "to", "/")


def _closes_list(state: State, start: int, found: Keyboards) -> bool:
    """``Bourdon, Prestant, au grand Corps``: a place at the end of a list that names none yet."""
    end = state.tokens[found.after] if found.after < len(state.tokens) else None
    ends = end is None or end.kind == "break" or end.value in (";", ".")
    return state.tokens[start].kind in ("of", "at") and not state.clause.divisions and state.language == "fr" and ends


def _ends_a_part(state: State, found: Keyboards) -> bool:
    """French "G.P.R. Fonds 8, Anches R. préparées": the letter belongs to the last part of the list."""
    if state.language != "fr" or not any(stop.part != state.part for stop in state.clause.stops):
        return False
    if not any(stop.part == state.part for stop in state.clause.stops):
        return False
    follow = state.tokens[found.after] if found.after < len(state.tokens) else None
    return (
        follow is None
        or follow.kind in ("break", "prepared", "off_after", "add_after")
        or follow.value in (",", ";", ")")
    )


def _of_before(state: State, start: int) -> bool:
    return state.tokens[start].kind in ("of", "at") and not state.clause.fresh


def _read_postfix(state: State, at: int) -> bool:
    found = keyboards(state, at, commas=False)
    if found is None:
        return False
    state.take(found.after - state.at)
    clause = state.clause
    if (clause.divisions and not clause.postfix) or clause.full:
        last = [stop for stop in clause.stops if stop.part == state.part]
        rest = [stop for stop in clause.stops if stop.part != state.part]
        if rest and last:
            action, verb = clause.action, clause.verb
            clause.stops = rest
            state.flush()
            clause = state.clause
            clause.stops, clause.action, clause.verb = last, action, verb
    clause.divisions = list(found.roles)
    clause.fresh, clause.said = True, True
    clause.postfix = True
    clause.end = state.tokens[state.at - 1].end
    state.named.extend(found.roles)
    return True


def _read_initials(state: State, roles: tuple[str, ...]) -> None:
    """French initials side by side: the later coupled to the first; alone, the first is played."""
    for role in roles[1:]:
        state.drafts.append(Draft(Action.COUPLE, coupler=CouplerRequest(role, roles[0]),
                                  start=state.clause.start, end=state.clause.end))  # fmt: skip
    if state.kind() == "coupled":
        state.take(1)
    ahead = 0
    while state.kind(ahead) in (":", "(", ",", "filler", "dynamic", "at", "with"):
        ahead += 1
    if state.kind(ahead) not in (*_STOPPY, "full", "all_word", "prepared", "quality", "full_plenum", "add"):
        state.clause.divisions = [roles[0]]


def _is_title_solo(state: State, start: int, found: Keyboards) -> bool:
    """``Récit de Cromorne``: the French classical title, a solo for the right hand."""
    token = state.tokens[start]
    if state.language != "fr" or found.roles != ("swell",) or "recit" not in token.words:
        return False
    after = state.tokens[found.after] if found.after < len(state.tokens) else None
    behind = state.tokens[found.after + 1] if found.after + 1 < len(state.tokens) else None
    return after is not None and after.kind == "of" and has(behind, "stop")


def _read_title(state: State, found: Keyboards) -> bool:
    state.take(found.after + 1 - state.at)
    state.begin(hand=Hand.RIGHT, divisions=[])
    return True

"""Reads a division where it stands: from there it holds, or it belongs to the stops just named."""

from __future__ import annotations

from core.markings.keyboards import STOPPY, Keyboards, keyboard, keyboards, over_joint
from core.markings.language import has
from core.markings.model import Action, CouplerRequest, Hand
from core.markings.state import Clause, Draft, State


def read_division(state: State) -> bool:
    """A division: from here it holds, or it belongs to the stops just named."""
    start = state.at
    if _is_pedal_stop(state):
        return False
    lead = _prepositions(state)
    found = keyboard(state, start + lead)
    if found is None:
        return False
    if _places_what_was_done(state, start, found):
        return True
    if _is_title_solo(state, start, found):
        return _read_title(state, found)
    if _goes_on_listing(state, start, found):
        state.take(found.after - start)
        state.clause.divisions.extend(role for role in found.roles if role not in state.clause.divisions)
        state.named.extend(found.roles)
        state.clause.end = state.tokens[state.at - 1].end
        return True
    if _is_postfix(state, start, found):
        return _read_postfix(state, start + lead)
    joined = state.clause.fresh and state.clause.empty and state.joined and not state.clause.said
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


def _places_what_was_done(state: State, start: int, found: Keyboards) -> bool:
    """``Clarinet prepared on Ch.``: the place of what the verb before it closed."""
    if state.tokens[start].kind not in ("at", "of") or not start or not state.drafts or not state.clause.empty:
        return False
    last = state.drafts[-1]
    verb = state.tokens[start - 1]
    closed = has(verb, "prepared") or has(verb, "add_after") or has(verb, "off_after")
    if not closed or last.division is not None or not last.stops or last.end != verb.end:
        return False
    state.take(found.after - start)
    last.division = found.roles[0]
    state.clause.divisions, state.clause.said = [found.roles[0]], True
    state.named.append(found.roles[0])
    return True


def _read_pedal_letters(state: State) -> None:
    """French "Péd. R. G.": the Pedal with those keyboards coupled."""
    roles: list[str] = []
    at = state.at
    while at < len(state.tokens) and state.tokens[at].kind in ("division", "initials"):
        letters = state.tokens[at].kind == "initials" or all(len(word) == 1 for word in state.tokens[at].words)
        if not letters:
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
        ahead, state.qualities = _qualities_ahead(state, start)
        keep_action = clause.action if clause.verb and (state.joined or listed) else None
        state.flush()
        state.clause.postfix = False
        state.clause.start = state.tokens[start].start
        if keep_action is not None and keep_action is not Action.DRAW:
            state.clause.action, state.clause.verb, state.clause.leads = keep_action, True, clause.leads
        state.name_divisions(roles)
        state.qualities = ahead
    state.clause.end = state.tokens[state.at - 1].end
    state.half = None


def _qualities_ahead(state: State, start: int) -> tuple[list[str], list[str]]:
    """Of the qualities that wait, those right before the division ("…, soft Ped.") and the rest."""
    count = 0
    while start - count > 0 and state.tokens[start - count - 1].kind == "quality" and count < len(state.qualities):
        count += 1
    cut = len(state.qualities) - count
    return state.qualities[cut:], state.qualities[:cut]


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
    own = clause.postfix or _of_before(state, start) or _ends_a_part(state, found) or _of_verb(state, found)
    if clause.divisions and not own:
        return False
    before = state.tokens[start - 1]
    both = state.tokens[start].words == ("tant",)  # tant au grand Orgue qu'au Positif
    if before.kind == "break" or (before.kind == "sign" and before.value in ",;:" and not both):
        return before.value == "," and _closes_list(state, start, found)
    after = found.after
    step = over_joint(state, after, False)
    if step is not None:
        joined = keyboards(state, after - 1, commas=False)
        after = joined.after if joined else after
    kind = state.kind(after - state.at)
    if kind in STOPPY or kind == "full" or (kind == "of" and has(state.peek(after - state.at + 1), "stop")):
        return False
    return kind not in (":", "to", "/")


def _goes_on_listing(state: State, start: int, found: Keyboards) -> bool:
    """``Anches Pos. Réc. Péd.``, ``Anches G.O., puis Péd.``: further places of the stops before them."""
    clause = state.clause
    if not clause.postfix or not clause.stops or start == 0 or state.language != "fr":
        return False
    before, follow = state.tokens[start - 1], state.tokens[found.after] if found.after < len(state.tokens) else None
    beside = before.kind in ("division", "initials", "and", "filler") or before.value in (",", "&")
    ends = (
        follow is None
        or follow.kind in ("break", "division", "initials", "and")
        or follow.value in (",", ";", ")", "&")
    )
    if not beside or not ends:
        return False
    while follow is not None and (
        follow.kind in ("division", "initials", "and", "of", "at") or follow.value in (",", "&")
    ):
        place = state.tokens.index(follow) + 1
        follow = state.tokens[place] if place < len(state.tokens) else None
    return follow is None or follow.kind == "break" or follow.value in (";", ")")


def _closes_list(state: State, start: int, found: Keyboards) -> bool:
    """``Bourdon, Prestant, au grand Corps``: a place at the end of a list that names none yet."""
    end = state.tokens[found.after] if found.after < len(state.tokens) else None
    ends = end is None or end.kind == "break" or end.value in (";", ".")
    return state.tokens[start].kind in ("of", "at") and not state.clause.divisions and state.language == "fr" and ends


def _of_verb(state: State, found: Keyboards) -> bool:
    """French "Pos. Flûte 8; préparez Anches R.": the letter is the verb's own, the place before it is only kept."""
    clause = state.clause
    kept = clause.verb and clause.said and not clause.fresh
    return (
        state.language == "fr"
        and kept
        and state.pauses(found.after - state.at)
        and state.kind(found.after - state.at) != ":"
    )


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
    if clause.full and clause.excepting and clause.exceptions and not clause.divisions:
        left, clause.exceptions = clause.exceptions, []  # "Tutti sans les Anches de la Pédale"
        state.flush()
        clause = state.clause
        clause.stops, clause.action, clause.verb = left, Action.TAKE_OFF, True
    elif (clause.divisions and not clause.postfix) or clause.full or _names_what_goes_with_it(clause):
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
    clause.postfix = clause.placed = True
    clause.end = state.tokens[state.at - 1].end
    state.named.extend(found.roles)
    return True


def _names_what_goes_with_it(clause: Clause) -> bool:
    """``Basse de Trompette, fonds au Positif``: the place is that of what goes with the solo."""
    return clause.titled and len(clause.stops) == 2 and clause.stops[0].part < clause.stops[1].part


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
    if state.kind(ahead) not in (*STOPPY, "full", "all_word", "prepared", "quality", "full_plenum", "add"):
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
    state.begin(hand=Hand.RIGHT, divisions=[], titled=True)
    return True

"""Reads the words that say what to do: add, off, with, without, prepare, reduce."""

from __future__ import annotations

from core.markings.coupler_pairs import pair_at
from core.markings.keyboards import keyboard, keyboards
from core.markings.language import has
from core.markings.model import Action
from core.markings.state import AND_SIGNS, Clause, Draft, Request, State, where
from core.markings.tokens import Token

_VERBS = {
    "add": Action.ADD,
    "take_off": Action.TAKE_OFF,
    "draw": Action.DRAW,
    "reduce": Action.REDUCE,
    "prepare": Action.PREPARE,
    "crescendo": Action.CRESCENDO,
}
ASKS = (
    "stop",
    "compact_stop",
    "family",
    "num",
    "quality",
    "plenum",
    "recipe",
    "pitch_word",
    "stops_word",
    "all_word",
    "word",
    "full",
    "tremulant",
)
_AFTER_OFF = (
    "",
    "break",
    ",",
    ";",
    ")",
    "]",
    "and",
    "&",
    "division",
    "hand",
    "with",
    "solo",
    "pass",
    "tempo",
    "dynamic",
    "expression",
    "of",
    "at",
    "roman",
    "add",
    "-",
    "other",
    "adlib",
    "to",
    "initials",
)


def read_verb(state: State) -> bool:
    """A verb before its objects."""
    action = _VERBS.get(state.kind())
    if action is None:
        return False
    token = state.peek()
    assert token is not None
    if _also_after(state) and _follows_object(state):
        return read_suffix(state)
    if action is Action.DRAW and _only_a_recipe(state.clause):
        state.clause.stops = []
    if action is Action.DRAW and not state.clause.empty and state.clause.action is Action.DRAW:
        state.take(1)
        return True
    state.take(1)
    _open(state, action, token.start)
    stops = 0
    while action in (Action.CRESCENDO, Action.REDUCE) and state.kind(stops) in ("filler", "all_word", "stops_word"):
        stops += 1
    if stops and state.pauses(stops):
        state.take(stops)  # "Aggiungere gradatamente i registri"
    if action is Action.CRESCENDO and state.pauses():
        state.drafts.extend(Draft(action, d, start=token.start, end=token.end) for d in where(state.clause))
        state.clause.fresh = state.clause.verb = False
        state.clause.action = Action.DRAW
    elif action is Action.REDUCE and (state.pauses() or keyboard(state, state.at)) and not _asks_later(state):
        _reduce_alone(state, token.start)
    return True


def _only_a_recipe(clause: Clause) -> bool:
    """Whether a recipe is spelled out by what follows, so that its name asks for nothing itself."""
    titled = clause.titled and len(clause.stops) == 1  # "Pour la Tierce en taille, on mettra …"
    return titled or (bool(clause.stops) and all(stop.recipe or stop.family == "plenum" for stop in clause.stops))


def _asks_later(state: State) -> bool:
    found = keyboard(state, state.at)
    return (
        found is not None
        and found.after < len(state.tokens)
        and state.tokens[found.after].kind in (*ASKS, "to", "up_to")
    )


def _reduce_alone(state: State, start: int) -> None:
    found = keyboards(state, state.at, commas=False)
    divisions: list[str | None] = list(state.clause.divisions) or [None]
    if found is not None:
        state.take(found.after - state.at)
        divisions = list(found.roles)
        state.name_divisions(list(found.roles))
    for division in divisions:
        state.drafts.append(Draft(Action.REDUCE, division, start=start, end=state.tokens[state.at - 1].end))
    state.clause.fresh = False
    state.clause.verb = False
    state.clause.action = Action.DRAW


def _open(state: State, action: Action, start: int) -> None:
    clause = state.clause
    waiting = clause.empty and (clause.fresh or not clause.divisions or clause.hand is not None)
    if not waiting or (clause.verb and not clause.empty):
        state.flush()
    clause = state.clause
    clause.action, clause.verb, clause.excepting = action, True, False
    clause.fresh = False if action is not Action.PREPARE or not clause.fresh else clause.fresh
    clause.start = min(start, clause.start) if waiting and clause.divisions else start


def _also_after(state: State) -> bool:
    token = state.peek()
    return has(token, "off_after") or has(token, "add_after") or has(token, "prepared")


def _follows_object(state: State) -> bool:
    """Whether the word stands after what it is about, and nothing to act on comes next."""
    before = state.kind(-1)
    return (
        state.kind(1) in _AFTER_OFF
        and before not in ("", "break", ",", ";")
        and not (state.clause.empty and not _after_thing(state))
    )


def _after_thing(state: State) -> bool:
    return state.kind(-1) in ("division", "roman", "manual_word", "pedal_coupler", "coupler", "tremulant")


def _acts_on_next(state: State, token: Token) -> bool:
    """Whether the word is no verb of what stands before it, but of what comes next, or no verb at all."""
    clause = state.clause
    if token.kind in _VERBS and state.kind(-1) in ("break", ",", ";", "(") and not state.pauses(1):
        return True  # "Sw. 8, 4; prepare Gt. Reeds"
    if clause.empty and token.kind == "prepare" and state.kind(1) in ASKS:
        return True  # "Sw. prepare Celestes"
    ends = state.kind(1) in _AFTER_OFF and not clause.empty and keyboard(state, state.at + 1) is None
    return token.kind in ("at", "filler", "to", "box_state", "of", "with") and not ends


def read_suffix(state: State) -> bool:
    """A verb after its objects: off, in, ab, an, dazu, ôtées."""
    token = state.peek()
    if token is None or not (has(token, "off_after") or has(token, "add_after") or has(token, "prepared")):
        return False
    if token.kind not in (
        "prepare",
        "off_after",
        "add_after",
        "prepared",
        "take_off",
        "add",
        "at",
        "filler",
        "to",
        "box_state",
        "with",
        "of",
    ):
        return False
    clause = state.clause
    if (clause.empty and not clause.fresh) or _acts_on_next(state, token):
        return False
    off = has(token, "off_after") and not (has(token, "add_after") and token.kind == "add_after")
    prepared = has(token, "prepared") and bool(clause.stops) and clause.stops[-1].family != "plenum"
    if clause.full and clause.stops and (off or prepared):  # "Tutti (anches préparées)"
        stops, clause.stops = clause.stops, []
        state.flush()
        clause = state.clause
        clause.stops = stops
    if clause.full and off:
        clause.full = False
        clause.stops = [Request(family="all", start=clause.start, end=clause.end)]
    action = Action.PREPARE if has(token, "prepared") else Action.TAKE_OFF if off else Action.ADD
    if clause.empty and clause.fresh and action is Action.PREPARE and state.kind(1) == ":":
        state.take(2)
        clause.action, clause.verb = action, True
        return True
    if clause.empty and clause.fresh and clause.divisions != ["pedal"] and action is not Action.PREPARE:
        return False
    state.take(1)
    _split_last_part(state)
    _reach_back(state, action)
    state.clause.action, state.clause.verb = action, True
    state.clause.end = token.end
    if state.clause.empty:
        state.drafts.extend(Draft(action, d, start=state.clause.start, end=token.end) for d in state.clause.divisions)
        state.clause.said = True
    passes = state.clause.passes
    state.flush()
    state.clause.passes = passes
    return True


def _reach_back(state: State, action: Action) -> None:
    """``Tuba & Gt. Reeds off``: "and" carries the verb to the stops before the division too."""
    before, clause = state.drafts[-1] if state.drafts else None, state.clause
    if before is None or before.action is not Action.DRAW or not clause.stops:
        return
    if before.division is not None and _asked(before.stops) != _asked(clause.stops):
        return  # "Gt. Diaps. & Sw. Reeds off" leaves the Diapasons; "Gt. Reeds & Ped. Reeds off" says one thing of both
    between = [token for token in state.tokens[: state.at] if before.end <= token.start < clause.stops[0].start]
    joint, rest = between[:1], between[1:]
    if joint and (joint[0].kind == "and" or joint[0].value in AND_SIGNS) and all(t.kind == "division" for t in rest):
        before.action = action


def _asked(stops: list[Request]) -> list[tuple[str | None, str | None]]:
    return [(stop.words, stop.family) for stop in stops]


def read_excepted(state: State) -> bool:
    """``Full Organ (Reeds excepted)``: what stands before the word is left out."""
    clause = state.clause
    if state.kind() != "excepted" or not clause.stops:
        return False
    token = state.take(1)
    part = clause.stops[-1].part
    last = [stop for stop in clause.stops if stop.part == part]
    clause.stops = [stop for stop in clause.stops if stop.part != part]
    clause.exceptions.extend(last)
    clause.end = token.end
    return True


def _split_last_part(state: State) -> None:
    """Of "Sw. Oboe, Reeds off" only the last part is taken off."""
    clause = state.clause
    if not clause.fresh and not clause.divisions:
        return
    last = [stop for stop in clause.stops if stop.part == state.part]
    rest = [stop for stop in clause.stops if stop.part != state.part]
    if not rest or not last:
        return
    clause.stops = rest
    state.flush()
    state.clause.stops = last


def read_joining(state: State) -> bool:
    """``with`` and ``without``: at the beginning they add and take off, in a list they join and except."""
    kind = state.kind()
    if kind == "with":
        _join(state)
        return True
    return kind == "without" and not _is_number_sign(state) and _leave_out(state)


def _join(state: State) -> None:
    token = state.take(1)
    clause = state.clause
    waits = clause.empty and not (clause.fresh or clause.verb or clause.hand) and "alone" not in state.qualities
    if waits and not _with_stops_at_large(state):
        _open(state, Action.ADD, token.start)
    state.clause.excepting = False
    if state.clause.stops:
        state.joined = False


def _is_number_sign(state: State) -> bool:
    """``No. 2``; but ``no 16``."""
    sign, number = state.tokens[state.at], state.peek(1)
    if not has(sign, "number_sign") or (sign.lower and not sign.dot):
        return False
    return number is not None and number.kind == "num" and not number.foot


def _leave_out(state: State) -> bool:
    if _spares_keyboard(state) or _leaves_box(state):
        return True
    all_before = state.kind(-1) == "all_word"
    token = state.take(1)
    clause = state.clause
    if clause.without and clause.stops and not clause.fresh:
        return True  # "ohne Posaune, ohne Mixturen"
    if _negates_aid(state):
        state.negated = True
        return True
    if _leaves_after_cancel(state):
        return True
    if clause.empty and not clause.full and (token.words == ("all", "but") or all_before):
        clause.stops.append(Request(family="all", start=token.start, end=token.end))
        clause.start = clause.start if clause.fresh else token.start
        clause.excepting = True
    elif clause.empty and not clause.full:
        _open(state, Action.TAKE_OFF, token.start)
        state.clause.without = True
    else:
        clause.excepting = True
    return True


def _spares_keyboard(state: State) -> bool:
    """``alle Zungen ab, außer Ped.``: a keyboard where nothing is taken off; its words are listed."""
    token = state.tokens[state.at]
    if token.words[0] in _PLAIN_WITHOUT or not state.clause.empty or not state.drafts:
        return False
    ahead = 1
    while state.kind(ahead) in ("filler", "at", "of"):
        ahead += 1
    found = keyboard(state, state.at + ahead)
    if (
        found is None
        or state.drafts[-1].action not in (Action.TAKE_OFF, Action.COUPLE)
        or not state.pauses(found.after - state.at)
    ):
        return False
    state.unread.append(Token("without", "", token.start, state.tokens[found.after - 1].end))
    state.take(found.after - state.at)
    return True


def _leaves_after_cancel(state: State) -> bool:
    """``Ôtez tout, sauf le Bourdon``: all is taken off but what follows."""
    if not state.drafts or state.drafts[-1].action is not Action.CANCEL or not state.clause.empty:
        return False
    cancelled = state.drafts.pop()
    clause = state.begin(action=Action.TAKE_OFF, verb=True, start=cancelled.start)
    clause.stops.append(Request(family="all", start=cancelled.start, end=cancelled.end))
    clause.excepting, clause.fresh = True, False
    return True


def _leaves_box(state: State) -> bool:
    """``ohne Schweller``: what the box does then, the text does not say; the words are listed."""
    if state.kind(1) != "box" or not state.pauses(2):
        return False
    first, last = state.tokens[state.at], state.tokens[state.at + 1]
    state.unread.append(Token("boxless", "", first.start, last.end))
    state.take(2)
    return True


_PLAIN_WITHOUT = ("ohne", "sans", "senza", "sin", "zonder", "without", "no", "w")


def _with_stops_at_large(state: State) -> bool:
    """``mit hellen Stimmen``, ``mit vollem Werk``: how it sounds, not what is added."""
    ahead = 0
    while state.kind(ahead) in ("quality", "filler", "all_word", "and", ",", "unit", "of") or (
        state.kind(ahead) == "num" and ahead
    ):
        ahead += 1
    return state.kind(ahead) in ("stops_word", "full", "full_plenum") and (
        ahead > 0 or state.kind(ahead) != "stops_word"
    )


def _negates_aid(state: State) -> bool:
    ahead = 0
    while state.kind(ahead) in ("filler", "all_word", "of"):
        ahead += 1
    kind = state.kind(ahead)
    return (
        kind in ("tremulant", "coupler", "pedal_coupler", "manual_coupler", "octave", "crescendo_pedal", "coupled")
        or pair_at(state, state.at + ahead) is not None
    )

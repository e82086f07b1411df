"""Reads lists of stops: names, families, pitches, qualities, ranks, numbers, halves."""

from __future__ import annotations

import re
from fractions import Fraction

from core.markings.language import has
from core.markings.model import Action
from core.markings.state import AND_SIGNS, Clause, Request, State
from core.markings.stop_words import expand, is_known_name, is_mixture, join_word, without_size
from core.markings.tokens import PITCHES, Token

_ROUNDS = {
    Fraction(3): (Fraction(8, 3), Fraction(16, 5)),
    Fraction(6): (Fraction(16, 3),),
    Fraction(3, 2): (Fraction(4, 3), Fraction(8, 5)),
    Fraction(12): (Fraction(32, 3),),
    Fraction(11, 2): (Fraction(16, 3),),
    Fraction(21, 2): (Fraction(32, 3),),
    Fraction(7, 2): (Fraction(16, 5),),
}
_RANKS_F = re.compile(r"\d+ ?f\.?")  # 3f., three ranks; 3 F. would be feet
_NAME_KINDS = ("stop", "compact_stop")


def target(state: State) -> list[Request]:
    """Where the next request goes: what is left out, or what is asked for."""
    return state.clause.exceptions if state.clause.excepting else state.clause.stops


def add_request(state: State, request: Request) -> Request:
    """Put a request into the clause with the qualities that stood before it."""
    request.qualities.extend(state.qualities)
    state.qualities = []
    request.part = state.part
    request.joined = state.joined
    state.joined = False
    clause = state.clause
    if state.half and not request.half:
        request.half = state.half
    if clause.empty and not clause.verb:
        clause.start = request.start
    clause.end = request.end
    target(state).append(request)
    return request


# ---------------------------------------------------------------- names
def read_stop(state: State) -> bool:
    """A stop by its name, its words joined as far as the table of stops knows them together."""
    token = state.peek()
    if token is None:
        return False
    named = token.kind in _NAME_KINDS or (token.kind == "roman" and int(token.value) > 5 and has(token, "stop"))
    if not named and not (token.kind == "word" and _in_stops_place(state)) and not has(token, "stop"):
        return False
    count, name, known = _longest_name(state)
    if not named and token.kind != "word" and (count < 2 or not known):
        return False
    first, last = token, state.tokens[state.at + count - 1]
    unknown = not known and all(state.tokens[state.at + k].kind == "word" for k in range(count))
    request = Request(words=name, unknown=unknown, start=first.start, end=last.end,
                      guessed=any(state.tokens[state.at + k].guessed for k in range(count)))  # fmt: skip
    bare, size = without_size(name, state.language)
    if size is not None:
        request.words = bare
        request.qualities.append(size)
    if unknown:
        state.unread.extend(state.tokens[state.at : state.at + count])
    state.take(count)
    add_request(state, request)
    read_after(state, request)
    return True


def _longest_name(state: State) -> tuple[int, str, bool]:
    """How many tokens make up the name, the name, and whether it is known."""
    tokens = state.tokens
    first = tokens[state.at]
    best = (1, printed_name(state, first), first.kind in _NAME_KINDS)
    joined = best[1]
    for count in range(2, 5):
        place = state.at + count - 1
        if place >= len(tokens):
            break
        token = tokens[place]
        if token.kind == "num" or not (
            has(token, "stop") or token.kind == "word" or has(token, "quality") or has(token, "of")
        ):
            break
        if token.dot is False and tokens[place - 1].dot and token.kind == "word":
            break
        joined = join_word(joined, printed_name(state, token), state.text[tokens[place - 1].end : token.start])
        if is_known_name(joined, state.language):
            best = (count, joined, True)
    return best


def printed_name(state: State, token: Token) -> str:
    """The token's word as printed, written in full where it is an abbreviation of a stop's name."""
    kind = token.kind if token.kind in _NAME_KINDS else "stop"
    printed = state.text[token.start : token.end]
    senses = [sense for sense in token.senses if sense.kind == kind]
    full = next((s.value for s in senses if s.value and s.language == state.language), "")
    full = full or next((s.value for s in senses if s.value and not s.language), "")
    if not full and not any(s.language == state.language and not s.value for s in senses):
        full = next((s.value for s in senses if s.value), "")
    return full or clean(expand(printed, state.language))


def clean(text: str) -> str:
    """A printed name without long s, trailing points and line breaks."""
    return " ".join(text.replace("ſ", "s").split()).rstrip(".,;:")


def _in_stops_place(state: State) -> bool:
    """Whether an unknown word stands where a stop would: before a pitch, or between stops of a list."""
    ahead = 1
    while ahead < 4 and state.kind(ahead) == "word":
        ahead += 1
    follows = state.peek(ahead)
    if follows is None:
        return False
    if (
        follows.kind == "num"
        and follows.pitch in PITCHES
        and (follows.foot or bool(state.clause.divisions or state.clause.stops))
    ):
        return True
    listed = (
        state.kind(ahead) in (",", "and", *AND_SIGNS)
        and state.clause.stops
        and state.clause.stops[-1].words is not None
    )
    if listed:
        after = state.peek(ahead + 1)
        return has(after, "stop")
    return False


# ---------------------------------------------------------------- what follows a name
def read_after(state: State, request: Request) -> None:
    """What belongs to the request just read: number, ranks, half, pitches, qualities after it."""
    while (
        _number(state, request)
        or _ranks(state, request)
        or _half(state, request)
        or _quality_after(state, request)
        or _pitches_after(state, request)
    ):
        request.end = state.tokens[state.at - 1].end


def _number(state: State, request: Request) -> bool:
    """``No. 2``, ``Nos. 2 & 3``: the number of a rank stays in the name."""
    if not has(state.peek(), "number_sign") or state.kind(1) not in ("num", "roman") or not request.words:
        return False
    state.take(1)
    _numbered(state, request, "No. ")
    return True


def _numbered(state: State, request: Request, sign: str) -> None:
    name = request.words or ""
    first = state.take(1)
    request.words = f"{_singular(name) if _more_numbers(state) else name} {sign}{_digits(first)}"
    while _more_numbers(state):
        state.take(1)
        token = state.take(1)
        again = request.copy()
        again.words = f"{_singular(name)} {sign}{_digits(token)}"
        again.start, again.end = token.start, token.end
        target(state).append(again)


def _more_numbers(state: State) -> bool:
    token = state.peek(1)
    return (
        state.kind() in ("and", ",", *AND_SIGNS)
        and token is not None
        and token.kind in ("num", "roman")
        and not token.foot
    )


def _digits(token: Token) -> str:
    return token.value.rstrip(". ")


def _singular(name: str) -> str:
    return name[:-1] if name.endswith("s") and len(name) > 4 else name


def _ranks(state: State, request: Request) -> bool:
    token = state.peek()
    if token is None or not request.words or request.ranks or request.pitches:
        return False
    mixture = is_mixture(request.words, state.language)
    if token.kind == "roman":
        if mixture:
            request.ranks = int(token.value)
            state.take(1)
            if state.kind() in ("-", "/") and state.kind(1) == "roman":
                state.take(2)
            _rank_word(state)
        elif (
            int(token.value) <= 4
            and state.kind(1) != "manual_word"
            and not token.dot
            and state.kind(1) not in (":", "/")
        ):
            state.take(1)
            request.words = f"{request.words} {state.text[token.start : token.end].rstrip('.')}"
            while _more_numbers(state) and state.peek(1).kind == "roman":  # type: ignore[union-attr]
                state.take(1)
                other = request.copy()
                other.words = f"{request.words.rsplit(' ', 1)[0]} {_roman_text(state)}"
                target(state).append(other)
        else:
            return False
        return True
    printed = state.text[token.start : token.end]
    if mixture and token.kind == "num" and token.foot and token.pitch is not None and _RANKS_F.fullmatch(printed):
        request.ranks = int(token.pitch)
        state.take(1)
        return True
    if token.kind == "num" and not token.foot and mixture and token.pitch is not None:
        if (
            has(state.peek(1), "rank_word")
            or (token.pitch.denominator == 1 and 3 <= token.pitch <= 10 and token.pitch not in (4, 8))
            or state.kind(1) in ("-", "/")
        ):
            request.ranks = int(token.pitch)
            state.take(1)
            if state.kind() in ("-", "/") and state.kind(1) == "num":
                state.take(2)
            _rank_word(state)
            return True
    return False


def _roman_text(state: State) -> str:
    token = state.take(1)
    return state.text[token.start : token.end].rstrip(".")


def _rank_word(state: State) -> None:
    if has(state.peek(), "rank_word") or state.kind() == "stops_word":
        state.take(1)


def _half(state: State, request: Request) -> bool:
    if has(state.peek(), "half") or (state.kind() == "(" and has(state.peek(1), "half")):
        if state.kind() == "(":
            state.take(1)
        token = state.take(1)
        request.half = next(sense.value for sense in token.senses if sense.kind == "half")
        if state.kind() == ")":
            state.take(1)
        return True
    return False


def _quality_after(state: State, request: Request) -> bool:
    """A quality after the name: doux, allein, seul, ouvert; one before the next name is left for it."""
    offset = 1 if state.kind() in ("(", "-") else 0
    kind = state.kind(offset)
    if kind == "solo" and state.language != "en":
        state.take(1)
        request.qualities.append("alone")
        return True
    if kind == "alone":
        state.take(1 + offset)
        request.qualities.append("alone")
    elif kind == "quality" and not _names_follow(state, 1 + offset):
        request.qualities.append(state.tokens[state.at + offset].value)
        state.take(1 + offset)
    elif kind == "similar":
        state.take(1 + offset)
        request.qualities.append("or similar")
    else:
        return False
    if offset and state.kind() == ")":
        state.take(1)
    return True


def _names_follow(state: State, offset: int) -> bool:
    kind = state.kind(offset)
    return kind in ("stop", "family", "num", "stops_word", "plenum", "quality", "recipe", "word", "pitch_word")


def _pitches_after(state: State, request: Request) -> bool:
    """Pitches printed after a name: ``8``, ``de 8 pieds``, ``(8, 4)``, ``8.4.2``."""
    offset = 0
    while state.kind(offset) in ("of", "(", "at", "stops_word", "filler", "-") and offset < 3:
        offset += 1
    token = state.peek(offset)
    if token is None or token.kind not in ("num", "pitch_word"):
        return False
    if state.kind(offset - 1) == "-" and offset and token.gap is False and state.tokens[state.at].gap:
        return False
    pitches, count = pitch_run(state, state.at + offset)
    if not pitches:
        return False
    if request.words and not request.pitches and _is_ordinal(state, request, pitches, state.tokens[state.at + offset]):
        state.take(offset)
        _numbered(state, request, "")
        return True
    state.take(offset + count)
    if state.kind() == ")" and any(state.kind(-k) == "(" for k in range(1, offset + count + 1)):
        state.take(1)
    request.pitches.extend(rounded(pitch, request) for pitch in pitches)
    _share_back(state, request)
    return True


def _is_ordinal(state: State, request: Request, pitches: list[Fraction], token: Token) -> bool:
    name = (request.words or "").casefold()
    return (
        not token.foot
        and len(pitches) <= 2
        and all(p in (1, 2, 3) for p in pitches)
        and "open" in name
        and "diap" in name
    )


def _share_back(state: State, request: Request) -> None:
    """Over "and" a pitch also goes to a family word before it (Strings & Celestes 8)."""
    stops = target(state)
    place = next((k for k, stop in enumerate(stops) if stop is request), len(stops))
    while place > 0 and stops[place].joined and stops[place - 1].family_word and not stops[place - 1].pitches:
        stops[place - 1].pitches.extend(request.pitches)
        place -= 1


def rounded(pitch: Fraction, request: Request) -> Fraction:
    """The pitch that a rounded print stands for: Quinta 3 is 2 2/3."""
    choices = _ROUNDS.get(pitch)
    if not choices:
        return pitch
    name = (request.words or "").casefold()
    third = name.startswith(("ter", "tier")) and len(choices) > 1
    return choices[1] if third else choices[0]


# ---------------------------------------------------------------- pitches
def pitch_run(state: State, at: int) -> tuple[list[Fraction], int]:
    """A run of joined pitches from a token on, and how many tokens it takes: 16, 8 & 4 ft."""
    tokens = state.tokens
    pitches: list[Fraction] = []
    place = at
    while place < len(tokens):
        value = _pitch_of(state, place)
        if value is None:
            break
        pitches.append(value)
        place += 1
        if place < len(tokens) and tokens[place].kind == "unit":
            place += 1
        step = _to_next_pitch(state, place)
        if step is None:
            break
        place = step
    return pitches, place - at


def _pitch_of(state: State, place: int) -> Fraction | None:
    token = state.tokens[place]
    if token.kind == "num" and token.pitch is not None:
        if token.pitch in PITCHES or token.pitch in _ROUNDS:
            return token.pitch
        if token.pitch in (13, 26, 7, 52) and state.language == "es":
            return {13: Fraction(8), 26: Fraction(16), 7: Fraction(4), 52: Fraction(32)}[int(token.pitch)]
        return None
    if token.kind == "pitch_word":
        follow = state.tokens[place + 1] if place + 1 < len(state.tokens) else None
        if follow is not None and follow.kind in ("unit", "and", "sign", "pitch_word"):
            return Fraction(token.value)
    return None


def _to_next_pitch(state: State, place: int) -> int | None:
    """The token of the next pitch of the run, if one follows and is not a new name's own."""
    tokens = state.tokens
    if place >= len(tokens):
        return None
    token = tokens[place]
    after = place
    if token.kind == "and" or (token.kind == "sign" and token.value in ",&+/-."):
        after = place + 1
        if after < len(tokens) and tokens[after].kind == "and":
            after += 1
    elif token.kind not in ("num", "pitch_word"):
        return None
    elif (
        token.gap
        and not tokens[place - 1].dot
        and tokens[place - 1].kind == "num"
        and not tokens[place - 1].foot
        and not token.foot
    ):
        pass
    if after < len(tokens) and tokens[after].kind in ("of", "at") and after > place:
        after += 1
    if after >= len(tokens) or _pitch_of(state, after) is None:
        return None
    if token.kind == "sign" and token.value in ",+" and _leads_name(state, after):
        return None
    if token.kind == "sign" and token.value == "+" and tokens[after].foot and tokens[place - 1].foot and token.gap:
        return after
    return after


def _leads_name(state: State, place: int) -> bool:
    """Whether the pitch at a token belongs to the name after it (", 4 ft. Flute")."""
    follow = state.tokens[place + 1] if place + 1 < len(state.tokens) else None
    if follow is None or follow.kind not in ("stop", "family", "quality"):
        return False
    after = state.tokens[place + 2] if place + 2 < len(state.tokens) else None
    return after is None or after.kind != "num" or follow.kind == "quality"


def read_pitches(state: State) -> bool:
    """Pitches without a name before them: bare ones, or those of the name or family after them."""
    token = state.peek()
    if token is None or token.kind not in ("num", "pitch_word"):
        return False
    pitches, count = pitch_run(state, state.at)
    if not pitches:
        return False
    request = Request(start=token.start)
    state.take(count)
    while state.kind() in ("of", "filler") and state.kind(1) in ("family", "stop", "quality", "stops_word"):
        state.take(1)
    while state.kind() == "quality" and state.kind(1) in ("family", "stop", "stops_word", "quality", "compact_stop"):
        state.qualities.append(state.take(1).value)
    follow = state.peek()
    if follow is not None and follow.kind == "family" and follow.value != "all":
        request.family, request.family_word = follow.value, True
        state.take(1)
    elif follow is not None and follow.kind == "stop" and not _own_pitch(state):
        count, name, _ = _longest_name(state)
        request.words = name
        state.take(count)
    elif follow is not None and follow.kind in ("stops_word", "quality") and follow.kind == "stops_word":
        state.take(1)
    request.pitches = [rounded(pitch, request) for pitch in pitches]
    request.end = state.tokens[state.at - 1].end
    add_request(state, request)
    if not request.words and not request.family:
        _share_back(state, request)
    _ = _quality_after(state, request) or _half(state, request)
    return True


def _own_pitch(state: State) -> bool:
    """Whether the stop that comes next has a pitch of its own after it."""
    count, _, _ = _longest_name(state)
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
    if state.kind() == "stops_word":
        state.take(1)
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
    value = "alone" if token.kind == "alone" else token.value
    stops = target(state)
    if token.kind == "alone" and not _names_follow(state, 0) and stops:
        stops[-1].qualities.append(value)
        return True
    if token.kind == "alone" and not _names_follow(state, 0):
        return True
    state.qualities.append(value)
    if state.kind() == "stops_word" and not _names_follow(state, 1) and state.kind(1) != "of":
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


def last_part(clause: Clause, part: int) -> list[Request]:
    """The requests of the last part of a list between commas."""
    return [stop for stop in clause.stops if stop.part == part]


def repeats_stop(state: State) -> bool:
    """``celui du Positif``: the stop just named, on another division."""
    if state.kind() != "same_stop" or not (state.clause.stops or state.drafts):
        return False
    state.take(1)
    stops = state.clause.stops or (state.drafts[-1].stops if state.drafts else [])
    if not stops:
        return True
    again = stops[-1].copy()
    divisions = state.clause.divisions
    action = state.clause.action
    state.flush()
    state.clause.divisions = [] if divisions else []
    state.clause.action = action if action in (Action.ADD, Action.TAKE_OFF, Action.DRAW) else Action.DRAW
    state.clause.verb = True
    state.clause.stops.append(again)
    return True

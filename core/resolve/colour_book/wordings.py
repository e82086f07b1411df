"""Words a colour for the score: a wording that fits this organ, and one that would travel.

Each is written in a house style and read again: the first wording is taken whose reading draws on this organ the very
stops of the colour.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import islice, product

from core.knowledge.loader import load
from core.markings.house_style import Style
from core.markings.model import Action, CouplerRequest, Hand, Instruction, StopRequest
from core.markings.phrases import phrases, stop_lists
from core.markings.reading import read_marking
from core.organ.kinds import kind
from core.organ.model import Division, Half, Organ, Role, Stop
from core.resolve.colour_book.labels import whole_stops
from core.resolve.colour_book.model import Accompaniment, Colour
from core.resolve.keyboards import propose_keyboards
from core.resolve.model import Registration
from core.resolve.names import number_of
from core.resolve.resolver import resolve

_TRIES = 8  # wordings of one part that are tried
_ALL_TRIES = 40
_NAMINGS = 3  # forms of numbered stops' names
_ROMAN = ("", "I", "II", "III", "IV")
_NUMBERED = re.compile(r"\bn[or]s?\.?\s*[1-4]\b|\b[1-4](?:st|nd|rd|th|d)\b\.?|\b(?:I{1,3}|IV)\b\.?$", re.IGNORECASE)
_LONG = 6  # stops from which a short wording is better than a list


@dataclass(frozen=True, slots=True)
class Worded:
    """A wording.

    Attributes:
        same: whether reading it draws the colour's very stops on this organ.
    """

    text: str
    same: bool


@dataclass(frozen=True, slots=True)
class Wordings:
    """The wordings of a colour: `here` names this organ's stops, `travels` the kinds of stop."""

    here: Worded
    travels: Worded


@dataclass(frozen=True, slots=True)
class _Drawn:
    stops: frozenset[str]
    tremulant: bool
    couplers: frozenset[int]
    read: bool


def wordings(organ: Organ, colour: Colour, style: Style) -> Wordings:
    """Both wordings of a colour in a house style."""
    travels = _first(organ, colour, style, _travelling(organ, colour, style))
    if travels.same and len(colour.stops) >= _LONG:
        return Wordings(travels, travels)
    here = _first(organ, colour, style, _local(organ, colour, style))
    if not here.same and travels.same:
        here = travels
    return Wordings(here, travels)


def with_accompaniment(organ: Organ, colour: Colour, other: Accompaniment, style: Style) -> Worded:
    """A solo for the right hand and its accompaniment for the left, each with its stops, in two lines."""
    by_feet = organ.division(colour.division).role is Role.PEDAL
    lines = []
    low = all(organ.stop(s).half is Half.BASS for s in colour.stops)
    hands = (Hand.LEFT, Hand.RIGHT) if low else (Hand.RIGHT, Hand.LEFT)
    for hand, division, stops in (
        (hands[0], colour.division, colour.stops),
        (hands[1], other.division, other.stops),
    ):
        role = organ.division(division).role
        requests = tuple(_called(stop, 0) for stop in whole_stops([organ.stop(s) for s in stops]))
        one = Instruction(action=Action.DRAW, division=role.value, stops=requests)
        lines.append(islice(phrases(one if by_feet else replace(one, hand=hand), style), _TRIES))
    wanted = {*colour.stops, *other.stops}
    first = None
    for both in islice(product(*map(list, lines)), _ALL_TRIES):
        text = "\n".join(both)
        first = first or text
        if drawn_by(organ, text, style.language).stops == wanted:
            return Worded(text, True)
    return Worded(first or "", False)


@lru_cache(maxsize=4096)
def drawn_by(organ: Organ, text: str, language: str) -> _Drawn:
    """What a wording draws on an organ where nothing is drawn before."""
    reading = read_marking(text, hint=language)
    keyboards = propose_keyboards(_roles(reading.instructions), organ, language=reading.language)
    resolution = resolve(
        reading.instructions, organ, Registration(), keyboards=keyboards, language=reading.language, text=text
    )
    state = resolution.registration
    return _Drawn(
        frozenset(state.drawn),
        bool(state.tremulants),
        state.couplers,
        bool(reading.instructions) and not reading.unread and not reading.ambiguous,
    )


def _roles(instructions: Iterable[Instruction]) -> list[str]:
    asked: list[str] = []
    for one in instructions:
        ends = (one.coupler.source, one.coupler.target) if one.coupler else ()
        asked += [role for role in (one.division, *ends) if role]
    return list(dict.fromkeys(asked))


def _first(organ: Organ, colour: Colour, style: Style, texts: Iterable[str]) -> Worded:
    """The first text that draws the colour; else the first that is understood; else the first."""
    first = understood = same = None
    for text in islice(texts, _ALL_TRIES):
        drawn = drawn_by(organ, text, style.language)
        first = first or text
        if drawn.stops == set(colour.stops) and drawn.tremulant == colour.tremulant:
            if drawn.read:
                return Worded(text, True)
            same = same or text
        if drawn.read:
            understood = understood or text
    return Worded(same or understood or first or "", same is not None)


def _local(organ: Organ, colour: Colour, style: Style) -> Iterator[str]:
    """The division and its stops by their names here; of several divisions one after the other."""
    parts: list[list[str]] = []
    homes = list(dict.fromkeys(organ.division_of(s).id for s in colour.stops))
    for home in homes:
        division = organ.division(home)
        stops = [organ.stop(s) for s in colour.stops if organ.division_of(s).id == home]
        parts.append(_division_texts(division, stops, style))
    yield from _joined(parts, organ, colour, style)


def _division_texts(division: Division, stops: Sequence[Stop], style: Style) -> list[str]:
    """A division with its stops: as they are printed, their numbers in other forms, the division by its own name."""
    found: list[str] = []
    for naming in range(_NAMINGS):
        requests = tuple(_called(stop, naming) for stop in whole_stops(stops))
        if naming and requests == tuple(_called(stop, 0) for stop in whole_stops(stops)):
            continue
        one = Instruction(action=Action.DRAW, division=division.role.value, stops=requests)
        found += phrases(one, style)[:_TRIES]
        found += (f"{division.name}: {words}" for words in stop_lists(requests, style)[:2])
        bare = replace(one, stops=tuple(replace(request, pitches=()) for request in requests))
        found += phrases(bare, style)[:2]
    return found


def _called(stop: Stop, naming: int) -> StopRequest:
    """A stop by its name; a numbered one ("2d Diapason", "Open Diapason, No. 1") in several forms."""
    pitches = (stop.pitch,) if stop.pitch is not None else ()
    ranks = stop.ranks.low if stop.ranks and not pitches and stop.ranks.low == stop.ranks.high else None
    return StopRequest(name=_name(stop.name, naming), pitches=pitches, half=stop.half, ranks=ranks)


def _name(printed: str, naming: int) -> str:
    plain = " ".join(printed.replace(",", " ").split())
    number = number_of(printed)
    if number is None or number >= len(_ROMAN) or naming == 0:
        return plain
    bare = " ".join(_NUMBERED.sub(" ", plain).split())
    return (f"{bare} No. {number}", f"{bare} {_ROMAN[number]}")[naming - 1]


def _travelling(organ: Organ, colour: Colour, style: Style) -> Iterator[str]:
    """The asking of any organ: kinds of stop in the style's language, families, pitches."""
    for marked, single in ((True, True), (True, False), (False, False)):
        asked = [_abroad(one, style, marked=marked, single=single) for one in colour.asked]
        yield from _joined([phrases(one, style)[:_TRIES] for one in asked], organ, colour, style)


def _abroad(one: Instruction, style: Style, *, marked: bool, single: bool) -> Instruction:
    """An asking with the names that stops have in another language, each said to be meant by its kind."""
    stops = (_foreign(stop, style, marked) for stop in one.stops)
    return replace(one, stops=tuple(_one_flute(stop, style) if single else stop for stop in stops))


def _one_flute(stop: StopRequest, style: Style) -> StopRequest:
    """One soft flute is called a flute, not flutes."""
    one: str | None = load("colours")["one_flute"].get(style.language)
    if one is None or stop.family != "flute" or "soft" not in stop.qualities or len(stop.pitches) != 1:
        return stop
    return replace(stop, name=one, family=None)


def _foreign(stop: StopRequest, style: Style, marked: bool) -> StopRequest:
    if stop.kind is None or stop.name is None:
        return stop
    its = kind(stop.kind)
    names = its.languages.get(style.language, ())
    name = names[0] if names else stop.name
    qualities = (*stop.qualities, "or similar") if marked and style.words("qualities", "or similar") else stop.qualities
    return replace(stop, name=name, kind=None, qualities=qualities)


def _joined(parts: Sequence[Sequence[str]], organ: Organ, colour: Colour, style: Style) -> Iterator[str]:
    """Each way of joining the parts with what belongs to the colour beside its stops."""
    extras = list(_extras(organ, colour, style))
    separators = list(dict.fromkeys((style.signs["separator"], "; ", "\n")))
    if len(parts) > 1:
        separators = ["; ", "\n", style.signs["separator"]]
    longest = max((len(part) for part in parts), default=0)
    for at in range(longest):
        chosen = [part[min(at, len(part) - 1)] for part in parts if part]
        for separator in separators if len(chosen) > 1 or extras else separators[:1]:
            for more in range(max((len(e) for e in extras), default=1)):
                yield separator.join([*chosen, *(e[min(more, len(e) - 1)] for e in extras)])


def _extras(organ: Organ, colour: Colour, style: Style) -> Iterator[list[str]]:
    """The wordings of tremulant, box and couplers, where they belong to it and no recipe brings them."""
    role = organ.division(colour.division).role.value
    if colour.tremulant:
        homes: tuple[str | None, ...] = (None, role)
        yield [t for home in homes for t in phrases(Instruction(action=Action.TREMULANT_ON, division=home), style)[:2]]
    if colour.box:
        yield phrases(Instruction(action=Action.BOX, division=role, box=colour.box), style)[:2]
    recipe = any(stop.name or stop.family == "plenum" for one in colour.asked for stop in one.stops)
    if colour.couplers and not recipe and not any(one.action is Action.FULL for one in colour.asked):
        for index in colour.couplers:
            coupler = organ.couplers[index]
            ends = CouplerRequest(
                organ.division(coupler.source).role, organ.division(coupler.target).role, coupler.pitch
            )
            yield phrases(Instruction(action=Action.COUPLE, coupler=ends), style)[:2]

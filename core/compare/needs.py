"""What a piece demands of any organ: manuals, divisions, stops by request, couplers, aids, compasses."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from core.analysis import Analysis
from core.markings.gathering import MarkingRead
from core.markings.model import Action, CouplerRequest, Instruction, StopRequest
from core.organ.model import UNISON, Key, Role
from core.position import Position
from core.score.model import Score
from core.texts import Said, joined, say

_ASKS_STOPS = frozenset({Action.DRAW, Action.ADD, Action.PREPARE, Action.FULL})
# common practice (from memory): a hairpin over these asks for a coupled box or for stops, not for a box of their own
_NEVER_BOXED = frozenset({Role.GREAT.value, Role.PEDAL.value})
_AIDS = {
    Action.PISTON: "pistons",
    Action.CRESCENDO_PEDAL: "crescendo pedal",
    Action.CANCEL: "general cancel",
    Action.TREMULANT_ON: "tremulant",
    Action.BOX: "swell box",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Request:
    """Stops asked of one division at one place, as the marking has them."""

    instruction: Instruction
    text: str
    at: Position


@dataclass(frozen=True, slots=True, kw_only=True)
class DivisionNeed:
    """What is asked of one division (role "": of none by name). `enclosed` is None where nothing tells."""

    role: str
    enclosed: bool | None
    requests: tuple[Request, ...]
    first: Position | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Need:
    """One coupler or aid asked for, with its first place."""

    what: str
    source: str | None = None
    target: str | None = None
    pitch: str | None = None
    at: Position | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Together:
    """Divisions that hands and feet play at one time, by the piece's own words, and where first."""

    divisions: tuple[str, ...]
    at: Position


@dataclass(frozen=True, slots=True, kw_only=True)
class Ends:
    """The lowest and highest key that hands or feet are asked for, each with its first place."""

    low: Key
    low_at: Position
    high: Key
    high_at: Position


@dataclass(frozen=True, slots=True, kw_only=True)
class Needs:
    """Everything that a piece demands.

    Attributes:
        together: which divisions are played at one time; no row is part of another.
    """

    manuals: int
    pedal: bool
    divisions: tuple[DivisionNeed, ...]
    couplers: tuple[Need, ...]
    aids: tuple[Need, ...]
    together: tuple[Together, ...]
    manual_compass: Ends | None
    pedal_compass: Ends | None
    unread: tuple[tuple[str, Position], ...]


def needs_of(analysis: Analysis) -> Needs:
    """Collect the demands of a piece from its analysis (with or without an organ)."""
    score = analysis.score
    asked = list(_instructions(analysis))
    roles = _roles(analysis, asked)
    hands = _ends(score, ("right", "left"))
    feet = _ends(score, ("feet",))
    manuals = [r for r in roles if r != Role.PEDAL]
    numbers = [int(r[-1]) for r in manuals if r.startswith("manual-")]
    return Needs(
        manuals=max([len(manuals), *numbers, 1 if hands else 0]),
        pedal=feet is not None,
        divisions=tuple(_division(analysis, role, asked) for role in (*roles, *_unnamed(asked))),
        couplers=tuple(_couplers(asked)),
        aids=tuple(_aids(asked)),
        together=_together(analysis),
        manual_compass=hands,
        pedal_compass=feet,
        unread=tuple(
            (u.text, score.position(m.text.onset, m.text.bar))
            for m in analysis.markings.marks
            for u in m.reading.unread
        ),
    )


def _ends(score: Score, hands: tuple[str, ...]) -> Ends | None:
    """The outermost keys of hands or feet, each where it comes first."""
    notes = [n for n in score.notes if n.hand in hands and not n.cue]
    if not notes:
        return None
    low = min(notes, key=lambda n: (n.key, n.onset))
    high = min(notes, key=lambda n: (-n.key, n.onset))
    return Ends(
        low=low.key,
        low_at=score.position(low.onset, low.bar),
        high=high.key,
        high_at=score.position(high.onset, high.bar),
    )


def _together(analysis: Analysis) -> tuple[Together, ...]:
    """Every set of divisions that is played at one time, the largest of those that hold one another."""
    words = {division: word for word, division in analysis.keyboards.answers.items()}
    first: dict[frozenset[str], Position] = {}
    for stretch in analysis.stretches:
        played = frozenset(
            words.get(division, division)
            for hand, division in stretch.registration.hands
            if division and analysis.lines[hand].between(stretch.start, stretch.end)
        )
        if played:
            first.setdefault(played, analysis.score.position(stretch.start, None, stretch.nth))
    largest = [names for names in first if not any(names < other for other in first)]
    return tuple(
        Together(divisions=tuple(sorted(names, key=lambda n: (n == Role.PEDAL, n))), at=first[names])
        for names in largest
    )


_Asked = tuple[MarkingRead, Instruction, Position]


def _instructions(analysis: Analysis) -> Iterator[_Asked]:
    for mark in analysis.markings.marks:
        at = analysis.score.position(0 if mark.opening else mark.text.onset, 0 if mark.opening else None)
        for instruction in mark.instructions:
            yield mark, instruction, at


def _roles(analysis: Analysis, asked: list[_Asked]) -> list[str]:
    """Divisions in order of appearance; the pedal too where the feet play."""
    found: dict[str, None] = {}
    for _, instruction, _ in asked:
        if instruction.division and instruction.action is not Action.TAKE_OFF:
            found.setdefault(instruction.division)
        if instruction.coupler and instruction.coupler.source:
            found.setdefault(instruction.coupler.source)
    if any(n.hand == "feet" for n in analysis.score.notes):
        found.setdefault(Role.PEDAL.value)
    return sorted(found, key=lambda r: r == Role.PEDAL)


def _unnamed(asked: list[_Asked]) -> tuple[str, ...]:
    """An empty role where stops are asked for on no named keyboard: their staff, or what was said before, must tell."""
    return ("",) if any(i.division is None and i.stops and i.action in _ASKS_STOPS for _, i, _ in asked) else ()


def _division(analysis: Analysis, role: str, asked: list[_Asked]) -> DivisionNeed:
    requests = []
    boxed = False
    first = None
    for mark, instruction, at in asked:
        if (instruction.division or "") != role:
            continue
        first = first or at
        boxed = boxed or instruction.action is Action.BOX
        if instruction.action in _ASKS_STOPS and (instruction.stops or instruction.action is Action.FULL):
            requests.append(Request(instruction=instruction, text=mark.text.text, at=at))
    return DivisionNeed(
        role=role,
        enclosed=True if (boxed and role) or (role not in _NEVER_BOXED and role in _under_hairpins(analysis)) else None,
        requests=tuple(requests),
        first=first,
    )


def _under_hairpins(analysis: Analysis) -> frozenset[str]:
    """Divisions, by the piece's names, that are played under a hairpin (without an organ only)."""
    if analysis.organ is not None:
        back = {division: word for word, division in analysis.keyboards.answers.items()}
    else:
        back = {}
    found = set()
    for wedge in analysis.score.wedges:
        step = analysis.at(wedge.onset)
        for hand in ("right", "left"):
            division = step.registration.hand(hand) if step else None
            if division:
                found.add(back.get(division, division))
    return frozenset(found)


def _couplers(asked: list[_Asked]) -> Iterator[Need]:
    told = set()
    for mark, instruction, at in asked:
        if instruction.action is not Action.COUPLE:
            continue
        coupler = instruction.coupler
        key = (coupler.source, coupler.target, str(coupler.pitch)) if coupler else (None, mark.text.text, "8")
        if key in told:
            continue
        told.add(key)
        yield Need(
            what=coupler_words(coupler) if coupler else mark.text.text,
            source=coupler.source if coupler else None,
            target=coupler.target if coupler else instruction.division,
            pitch=str(coupler.pitch) if coupler else "8",
            at=at,
        )


def _aids(asked: list[_Asked]) -> Iterator[Need]:
    told = set()
    for _, instruction, at in asked:
        what = _AIDS.get(instruction.action)
        if what and (what, instruction.division) not in told:
            told.add((what, instruction.division))
            yield Need(what=what, source=instruction.division, at=at)


def coupler_words(coupler: CouplerRequest) -> str:
    """A coupler in plain words: ``swell to great, 4 ft``."""
    if coupler.source is None:
        return "a coupler"
    words = coupler.source if coupler.source == coupler.target else f"{coupler.source} to {coupler.target}"
    return words if coupler.pitch == UNISON else f"{words}, {coupler.pitch} ft"


def request_words(request: StopRequest) -> str:
    """A stop request in plain English words: ``soft string 8``."""
    return str(said_request(request))


def said_request(request: StopRequest) -> Said:
    """A stop request in plain words: ``soft string 8``."""
    words: list[Said | str] = [say(quality) for quality in request.qualities]
    words.append(request.name or say(request.family or ""))
    words.append(", ".join(str(p) for p in request.pitches))
    return joined(" ", [word for word in words if str(word)])

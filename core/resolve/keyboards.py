"""Match the divisions a piece asks for to this organ's keyboards, once for the whole piece.

What the piece says is a role (``swell``) or a number (``manual-2``). A role is answered by the division of
that role, else by the one nearest in character that nothing else in the piece needs. A number is the
piece's own count: I is the chief manual in German and French scores, the Choir in English ones of three.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from core.knowledge.loader import load
from core.organ.model import Division, Organ, Role
from core.resolve.model import Keyboards
from core.texts import Said, say

_NUMBERED = "manual-"
_TRADITION_LANGUAGE = {
    "english": "en",
    "american": "en",
    "french-symphonic": "fr",
    "french-classical": "fr",
    "german-baroque": "de",
    "german-romantic": "de",
    "dutch": "nl",
    "italian": "it",
    "spanish": "es",
}
_ROMAN = {"1": "I", "2": "II", "3": "III", "4": "IV", "5": "V"}
NAMES = {
    "great": "Great",
    "swell": "Swell",
    "choir": "Choir",
    "positive": "Positive",
    "solo": "Solo",
    "echo": "Echo",
    "bombarde": "Bombarde",
    "oberwerk": "Oberwerk",
    "brustwerk": "Brustwerk",
    "pedal": "Pedal",
}


def role_name(role: str) -> str:
    """A role for people: ``swell`` is Swell, ``manual-2`` is manual II."""
    if role.startswith(_NUMBERED):
        number = role.removeprefix(_NUMBERED)
        return f"manual {_ROMAN.get(number, number)}"
    return NAMES.get(role, role)


def named_role(role: str) -> Said:
    """A role as part of a message."""
    if role.startswith(_NUMBERED):
        number = role.removeprefix(_NUMBERED)
        return say("manual {number}", number=_ROMAN.get(number, number))
    return say(NAMES.get(role, role))


@dataclass(slots=True)
class _Table:
    """The rows as they fill up."""

    organ: Organ
    answers: dict[str, str] = field(default_factory=dict)
    why: dict[str, Said] = field(default_factory=dict)
    missing: set[str] = field(default_factory=set)
    substitutes: set[str] = field(default_factory=set)

    def set(self, asked: str, division: Division, reason: str, **values: object) -> None:
        """Fill one row."""
        self.answers[asked] = division.id
        template = load("keyboards")["why"][reason]
        self.why[asked] = say(template, asked=named_role(asked), division=division.name, **values)


def propose_keyboards(
    asked: Iterable[str],
    organ: Organ,
    *,
    language: str | None = None,
    tradition: str | None = None,
    user: Mapping[str, str] | None = None,
) -> Keyboards:
    """Which division of the organ answers each role and manual number that a piece uses, each with why.

    Args:
        asked: roles and ``manual-N`` of the piece.
        organ: the organ.
        language: of the piece's markings; decides what a number means.
        tradition: of the piece, where known; stands in for the language.
        user: rows the player set, role or number to division id.
    """
    rows = list(dict.fromkeys(asked))
    table = _Table(organ)
    by_user = _rows_of_user(table, user or {})
    numbers = [row for row in rows if row.startswith(_NUMBERED) and row not in by_user]
    roles = [row for row in rows if not row.startswith(_NUMBERED) and row not in by_user]
    tongue = language or _TRADITION_LANGUAGE.get(tradition or "")
    for row in roles:
        exact = division_of_role(organ, row)
        if exact is not None:
            table.set(row, exact, "exact")
    for row in numbers:
        _answer_number(table, row, numbers, tongue)
    for row in roles:
        if row not in table.answers:
            _answer_by_stand_in(table, row)
    return Keyboards(
        answers=table.answers,
        why=table.why,
        by_user=frozenset(by_user),
        missing=frozenset(table.missing),
        substitutes=frozenset(table.substitutes),
    )


def _rows_of_user(table: _Table, user: Mapping[str, str]) -> set[str]:
    known = {division.id: division for division in table.organ.divisions}
    for row, division_id in user.items():
        if division_id in known:
            table.set(row, known[division_id], "user")
    return {row for row, division_id in user.items() if division_id in known}


def division_of_role(organ: Organ, role: str) -> Division | None:
    """The organ's own division of a role; where it only counts its manuals, the one that plays the part."""
    found = organ.with_role(role)
    if found is not None or role == Role.PEDAL:
        return found
    manuals = organ.manuals
    if not any(d.role.startswith(_NUMBERED) for d in manuals):
        return None
    ordered = sorted(manuals, key=lambda d: d.keyboard or d.role)
    order = _order_of_organ(organ, len(ordered))
    plays = ordered[order.index(role)] if role in order and order.index(role) < len(ordered) else None
    return plays if plays is not None and plays.role.startswith(_NUMBERED) else None


def _order_of_organ(organ: Organ, count: int) -> list[str]:
    """What the manuals of an organ that only numbers them are by its tradition."""
    tongue = _TRADITION_LANGUAGE.get(organ.tradition or "") or organ.language or "de"
    order = _order(tongue, count)
    if organ.tradition == "american" and count == 1:
        return ["great"]
    return order


def _order(tongue: str, count: int) -> list[str]:
    orders = load("keyboards")["numbers"].get(tongue, load("keyboards")["numbers"]["de"])["orders"]
    fitting = [o for o in orders if o["manuals"] >= count]
    return list((fitting[0] if fitting else orders[-1])["order"])


def _answer_number(table: _Table, row: str, numbers: list[str], tongue: str | None) -> None:
    organ = table.organ
    number = int(row.removeprefix(_NUMBERED))
    own = organ.on_keyboard(row)
    keyboards = {d.keyboard for d in organ.manuals if d.keyboard}
    highest = max(int(n.removeprefix(_NUMBERED)) for n in numbers)
    if not tongue or tongue not in load("keyboards")["numbers"] or _same_count(organ, tongue, highest):
        if own and not own[0].keyboard_assumed:
            table.set(row, own[0], "own", keyboard=_ROMAN.get(str(number), number))
            return
        tongue = tongue or _TRADITION_LANGUAGE.get(organ.tradition or "") or "de"
    order = _order(tongue, max(highest, 2 if highest < 3 and len(keyboards) < 3 else min(3, len(keyboards))))
    if tongue == "en" and highest < 3 and len(keyboards) != 3:
        order = _order(tongue, highest)
    role = order[number - 1] if number <= len(order) else "solo"
    numbers_data = load("keyboards")["numbers"].get(tongue, load("keyboards")["numbers"]["de"])
    free = bool(own) and own[0].id not in table.answers.values() and own[0].role != Role.GREAT
    own_here = own[0] if free and organ.with_role(role) is None else None
    division = division_of_role(organ, role) or own_here or _free_stand_in(table, role)
    if division is None:
        table.missing.add(row)
        return
    table.set(row, division, "number", custom=say(numbers_data["custom"]))
    if len(keyboards) < number:
        table.substitutes.add(row)


def _same_count(organ: Organ, tongue: str, highest: int) -> bool:
    """Whether the organ numbers its manuals as the piece's language does, so that numbers need no turning."""
    manuals = [d for d in organ.manuals if d.keyboard and d.keyboard.startswith(_NUMBERED)]
    great = next((d for d in manuals if d.role == Role.GREAT), None)
    if great is None:
        return True
    count = len({d.keyboard for d in manuals})
    if great.keyboard == "manual-1" and highest < 3:
        return True
    order = _order(tongue, max(2, count))
    return great.keyboard == f"{_NUMBERED}{order.index('great') + 1}"


def _free_stand_in(table: _Table, role: str) -> Division | None:
    """The nearest division in character, one not yet spoken for where there is one."""
    near = list(load("keyboards")["stand_in"].get(role, []))
    if role == Role.PEDAL:
        return None
    beside = load("keyboards")["chief_when"].get(role)
    if beside is not None and table.organ.with_role(beside) is not None:
        near.insert(0, str(Role.GREAT))
    manuals = [d for d in table.organ.manuals if d.stops] or list(table.organ.manuals)
    if not manuals:
        return None
    taken = set(table.answers.values())
    rank = {name: place for place, name in reversed(list(enumerate(near)))}

    def order(division: Division) -> tuple[bool, int, int]:
        enclosed_first = 0 if role != "swell" or division.enclosed else 1
        place = rank.get(_character(table.organ, division), len(rank))
        return (division.id in taken, enclosed_first if place >= len(rank) else 0, place)

    return min(manuals, key=order)


def _character(organ: Organ, division: Division) -> str:
    """A division's role; of a manual that is only numbered, the part it plays by its tradition's custom."""
    if not division.role.startswith(_NUMBERED):
        return division.role
    order = _order_of_organ(organ, len(organ.manuals))
    return next((r for r in order if division_of_role(organ, r) is division), division.role)


def _answer_by_stand_in(table: _Table, row: str) -> None:
    division = _free_stand_in(table, row)
    if division is None:
        table.missing.add(row)
        return
    if len(table.organ.manuals) == 1:
        table.set(row, division, "only")
        if row != Role.GREAT or not division.role.startswith(_NUMBERED):
            table.substitutes.add(row)
        return
    shared = division.id in table.answers.values()
    table.set(row, division, "shared" if shared else "stand_in")
    table.substitutes.add(row)

"""Finds whose pipes a borrowed or extended stop has: ``Bourdon 16 (Gt)``, ``Octave 8 (ext.)``, ``Flute 8 (from 3)``."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from typing import NamedTuple

from core.organ.lists.drafts import DivisionDraft
from core.organ.lists.vocabulary import division_words, fold, short_words
from core.organ.model import Division, Family, Stop
from core.organ.normal import key_of
from core.organ.specification_stops import octave_shift

_PARTLY = re.compile(r"part|bass\b|groov|\d\s*[-–]\s*\d|\b\d+ (?:notes?|from|aus)\b|lowest|common|gemeinsch|c-h\b")
_NUMBER = re.compile(r"(?:from|aus|uit|nr\.?|no\.?|n[°º]|reg\.?|#)\s*(\d{1,3})\b|^(\d{1,3})$")
_SHORTEST_NAME = 4
_PLAIN = (Family.PRINCIPAL, Family.FLUTE, Family.STRING, Family.REED)


class _Lender(NamedTuple):
    division: int
    stop: Stop
    number: str


def with_lenders(made: Sequence[Division], drafts: Sequence[DivisionDraft]) -> list[Division]:
    """The divisions, their borrowed stops with the rank of the stop that has the pipes, where the list tells which."""
    lenders = [
        _Lender(at, stop, draft.number)
        for at, (division, own) in enumerate(zip(made, drafts, strict=True))
        for stop, draft in zip(division.stops, own.stops, strict=True)
        if stop.borrowed is None or _PARTLY.search(fold(stop.borrowed))
    ]
    return [
        replace(division, stops=tuple(_linked(stop, at, lenders, drafts) for stop in division.stops))
        for at, division in enumerate(made)
    ]


def _linked(stop: Stop, within: int, lenders: Sequence[_Lender], drafts: Sequence[DivisionDraft]) -> Stop:
    if not stop.borrowed or _PARTLY.search(fold(stop.borrowed)) or stop.pitch is None or stop.rank:
        return stop
    owner = _owner(stop, within, lenders, drafts)
    if owner is None or owner.pitch is None or owner.id == stop.id:
        return stop
    return replace(stop, rank=owner.id, rank_shift=octave_shift(stop, owner))


def _owner(stop: Stop, within: int, lenders: Sequence[_Lender], drafts: Sequence[DivisionDraft]) -> Stop | None:
    """The one stop that a remark points to: by its number, by its name, or of the same name in the division named."""
    folded = fold(stop.borrowed or "")
    numbered = _NUMBER.search(folded)
    if numbered:
        wanted = numbered[1] or numbered[2]
        owner = _only([one.stop for one in lenders if one.number == wanted])
        return owner if owner is not None and owner.family is stop.family else None
    places = _places(folded, drafts)
    near = [one for one in lenders if (one.division in places if places else True)]
    called = [one for one in near if len(key_of(one.stop.name)) >= _SHORTEST_NAME and _names(folded, one.stop)]
    called = [one for one in called if one.division == within] or called
    if called:
        return _nearest(stop, [one.stop for one in called])
    if places:
        alike = [one.stop for one in near if one.division != within and key_of(one.stop.name) == key_of(stop.name)]
        return _nearest(stop, alike) or _only([one.stop for one in near if _same_kind(one.stop, stop)])
    if re.match(r"ext|auszug|verlang|unit", folded):
        own = [one.stop for one in lenders if one.division == within and _extends(stop, one.stop)]
        return _only(own)
    return None


def _places(folded: str, drafts: Sequence[DivisionDraft]) -> set[int]:
    roles = {
        meant.role
        for word in re.findall(r"[^\W\d_]+", folded)
        for meant in (*division_words().get(word, ()), *(short_words().get(word, ()) if len(word) > 1 else ()))
    }
    numbers = {len(found) if set(found) == {"i"} else 0 for found in re.findall(r"\b(i{1,3})\b", folded)}
    return {at for at, draft in enumerate(drafts) if draft.role in roles or (draft.keyboard in numbers)}


def _names(folded: str, stop: Stop) -> bool:
    return key_of(stop.name) in key_of(folded)


def _nearest(stop: Stop, found: Sequence[Stop]) -> Stop | None:
    """The stop at the same pitch, else the only one, else the one an octave or less away that is lowest."""
    same = [one for one in found if one.pitch == stop.pitch and one.family is stop.family]
    alike = len({(key_of(one.name), one.pitch) for one in found}) == 1
    return _only(same) or (found[0] if alike else None)


def _same_kind(one: Stop, other: Stop) -> bool:
    return one.kind is not None and one.kind == other.kind and one.pitch == other.pitch


def _extends(stop: Stop, other: Stop) -> bool:
    """Whether a stop may go on from another's pipes: of its family, an octave above or below, in one division."""
    if stop.pitch is None or other.pitch is None or stop.family not in _PLAIN or other.family is not stop.family:
        return False
    return other.id != stop.id and stop.pitch in (other.pitch / 2, other.pitch * 2)


def _only(found: Sequence[Stop]) -> Stop | None:
    return found[0] if len(found) == 1 else None

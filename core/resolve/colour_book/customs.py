"""The customs of the trade as data (``knowledge/colours.yaml``), read into values."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

from core.knowledge.loader import load
from core.markings.model import StopRequest
from core.organ.model import Feet
from core.organ.spelling import read_feet_exact, write_feet
from core.texts import Said, say

ANY = "any"
MANUAL, PEDAL, ORGAN = "manual", "pedal", "organ"


@dataclass(frozen=True, slots=True, kw_only=True)
class Custom:
    """One customary colour.

    Attributes:
        where: ``manual``, ``pedal``, ``organ`` or the roles of divisions.
        ask: what a marking would ask for; all of it must be there.
        optional: what comes with it where it is there.
        needs: what the pedal must have, for a colour of the whole organ.
        do: ``draw``, ``full`` or ``up-to``.
        kinds: kinds of stop one of which must be among those drawn; () for any.
        least: fewest stops that make it.
        must: families one of which must be among them; () for any.
        without: families none of which may be.
        reeds: sorts that its reeds must be of; () for any.
        most_loud: the loudest it may be.
        tells_gap: an organ that lacks it is told so.
    """

    id: str
    section: str
    name: Said
    also: tuple[str, ...] = ()
    traditions: tuple[str, ...] = (ANY,)
    language: str | None = None
    where: tuple[str, ...] = (MANUAL,)
    do: str = "draw"
    ask: tuple[StopRequest, ...] = ()
    optional: tuple[StopRequest, ...] = ()
    needs: tuple[StopRequest, ...] = ()
    kinds: tuple[str, ...] = ()
    least: int = 1
    must: tuple[str, ...] = ()
    without: tuple[str, ...] = ()
    reeds: tuple[str, ...] = ()
    most_loud: int = 10
    solo: bool = False
    box: str | None = None
    sounds: tuple[str, ...] = ()
    why: Said
    source: str
    caution: str = ""
    tells_gap: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Company:
    """What custom draws with a solo stop."""

    ask: tuple[StopRequest, ...]
    traditions: tuple[str, ...] = (ANY,)
    name: str = ""
    also: tuple[str, ...] = ()
    tremulant: bool = False
    short: bool = False
    why: str
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SoloCustom:
    """A sort of solo stop with its company."""

    id: str
    named: str
    kinds: frozenset[str] = frozenset()
    groups: frozenset[str] = frozenset()
    sorts: frozenset[str] = frozenset()
    flue: bool = False
    tells_gap: bool = True
    loud: int = 5
    at: tuple[Feet, ...] = ()
    never_alone: bool = False
    sounds: tuple[str, ...] = ()
    source: str
    company: tuple[Company, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Support:
    """A way to accompany a solo."""

    ask: tuple[StopRequest, ...]
    name: str
    traditions: tuple[str, ...] = (ANY,)
    loud: int = 0
    least: int = 1
    most_loud: int = 10


@dataclass(frozen=True, slots=True, kw_only=True)
class Undulating:
    """What is said of undulating stops of some groups."""

    groups: frozenset[str]
    sounds: tuple[str, ...]
    why: str


@cache
def sections() -> tuple[tuple[str, str], ...]:
    """The sections of the book in order: id and title."""
    return tuple((one["id"], one["title"]) for one in load("colours")["sections"])


@cache
def customs() -> tuple[Custom, ...]:
    """Every custom that is asked of a division or of the organ: the ladders of the families, then the rest."""
    return (*_ladders(), *map(_custom, load("colours")["colours"]))


@cache
def solo_customs() -> tuple[SoloCustom, ...]:
    """The sorts of solo stop, the more particular first."""
    return tuple(map(_solo, load("colours")["solos"]))


@cache
def supports() -> tuple[Support, ...]:
    """The ways to accompany, in the order they are tried."""
    return tuple(
        Support(
            ask=_requests(one["ask"]),
            name=one["name"],
            traditions=tuple(one.get("traditions", (ANY,))),
            loud=int(one.get("loud", 0)),
            least=int(one.get("least", 1)),
            most_loud=int(one.get("most_loud", 10)),
        )
        for one in load("colours")["accompaniments"]
    )


@cache
def undulating() -> tuple[Undulating, ...]:
    """What is said of undulating stops, the more particular first."""
    return tuple(
        Undulating(groups=frozenset(one["groups"]), sounds=tuple(one["sounds"]), why=one["why"])
        for one in load("colours")["undulating"]
    )


def is_custom_of(traditions: Sequence[str], tradition: str | None) -> bool:
    """Whether a custom is everybody's or that tradition's; all are where no tradition is given."""
    return tradition is None or ANY in traditions or tradition in traditions


def _ladders() -> Iterator[Custom]:
    for ladder in load("colours")["ladders"]:
        for number, rung in enumerate(ladder["rungs"]):
            request = _request({"family": ladder["family"], "at": rung["at"]})
            pitches = " ".join(write_feet(feet) for feet in request.pitches)
            yield Custom(
                id=f"{ladder['family']}s-{'-'.join(map(str, rung['at']))}".replace(" ", "+"),
                section=ladder["section"],
                name=say(ladder["name"], pitches=pitches),
                ask=(request,),
                least=len(rung["at"]),
                reeds=tuple(ladder.get("reeds", ())),
                sounds=tuple(rung["sounds"]),
                why=say(ladder["why"]),
                source=ladder["source"],
                caution=rung.get("caution", ""),
                tells_gap=number == 0 and ladder["family"] != "reed",
            )


def _custom(entry: Mapping[str, Any]) -> Custom:
    where = entry["where"]
    return Custom(
        id=entry["id"],
        section=entry["section"],
        name=say(entry["name"]),
        also=tuple(entry.get("also", ())),
        traditions=tuple(entry["traditions"]),
        language=entry.get("language"),
        where=(where,) if isinstance(where, str) else tuple(where),
        do=entry.get("do", "draw"),
        ask=_requests(entry["ask"]),
        optional=_requests(entry.get("and", ())),
        needs=_requests(entry.get("needs", {}).get("pedal", ())),
        kinds=tuple(entry.get("kinds", ())),
        least=int(entry.get("least", 1)),
        must=tuple(entry.get("must", ())),
        without=tuple(entry.get("without", ())),
        reeds=tuple(entry.get("reeds", ())),
        most_loud=int(entry.get("most_loud", 10)),
        tells_gap=bool(entry.get("gap")),
        solo=bool(entry.get("solo")),
        box=entry.get("box"),
        sounds=tuple(entry["sounds"]),
        why=say(entry["why"]),
        source=entry["source"],
        caution=entry.get("caution", ""),
    )


def _solo(entry: Mapping[str, Any]) -> SoloCustom:
    return SoloCustom(
        id=entry["id"],
        named=entry["named"],
        kinds=frozenset(entry.get("kinds", ())),
        groups=frozenset(entry.get("groups", ())),
        sorts=frozenset(entry.get("sorts", ())),
        flue=bool(entry.get("flue")),
        tells_gap=bool(entry.get("gap", not entry.get("flue"))),
        loud=int(entry["loud"]),
        at=_feet(entry.get("at", ())),
        never_alone=bool(entry.get("never_alone")),
        sounds=tuple(entry["sounds"]),
        source=entry["source"],
        company=tuple(map(_company, entry["with"])),
    )


def _company(entry: Mapping[str, Any]) -> Company:
    return Company(
        ask=_requests(entry["ask"]),
        traditions=tuple(entry.get("traditions", (ANY,))),
        name=entry.get("name", ""),
        also=tuple(entry.get("also", ())),
        tremulant=bool(entry.get("tremulant")),
        short=bool(entry.get("short")),
        why=entry["why"],
        source=entry["source"],
    )


def _requests(entries: Sequence[Mapping[str, Any]]) -> tuple[StopRequest, ...]:
    return tuple(map(_request, entries))


def _request(entry: Mapping[str, Any]) -> StopRequest:
    return StopRequest(
        name=entry.get("name"),
        family=entry.get("family"),
        pitches=_feet(entry.get("at", ())),
        qualities=tuple(entry.get("q", ())),
        kind=entry.get("kind"),
    )


def _feet(entries: Sequence[object]) -> tuple[Feet, ...]:
    return tuple(read_feet_exact(str(one)) for one in entries)

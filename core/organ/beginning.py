"""A new organ from nothing: the divisions that custom gives it, without a stop yet."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from core.errors import OrganError
from core.knowledge.loader import load
from core.organ.specification import VERSION
from core.organ.yaml_text import flow_mapping, scalar

MOST_MANUALS = 5


@dataclass(frozen=True, slots=True, kw_only=True)
class Beginning:
    """What organs of a tradition begin with.

    Attributes:
        tradition: as a specification writes it; words: as people call it.
        manuals: for each number of manuals, the divisions from the lowest up.
        boxes: those that customarily stand in a box.
        compass: of manuals and pedal.
        all_couple: every manual couples to the main one and to the pedal; else the main one alone to the pedal.
    """

    tradition: str
    words: str
    language: str
    main: str
    manuals: tuple[tuple[str, ...], ...]
    boxes: tuple[str, ...]
    pedal: str
    compass: tuple[str, str]
    all_couple: bool


@cache
def beginnings() -> tuple[Beginning, ...]:
    """One for each tradition, in the order of the data."""
    return tuple(
        Beginning(
            tradition=tradition,
            words=entry["words"],
            language=entry["language"],
            main=entry["main"],
            manuals=tuple(tuple(names) for names in entry["manuals"]),
            boxes=tuple(entry["boxes"]),
            pedal=entry["pedal"],
            compass=(entry["compass"][0], entry["compass"][1]),
            all_couple=entry["couplers"] == "all",
        )
        for tradition, entry in load("new_organs").items()
    )


def begin_organ(name: str, tradition: str, manuals: int, *, pedal: bool = True, couplers: bool = True) -> str:
    """The specification of a new organ, its divisions without stops.

    Args:
        name: the organ's.
        tradition: as a specification writes it.
        manuals: 1 to 5.
        pedal: whether it has a pedal division.
        couplers: whether to write the usual couplers.

    Raises:
        OrganError: there is no such tradition, or no such number of manuals.
    """
    custom = next((one for one in beginnings() if one.tradition == tradition), None)
    if custom is None:
        raise OrganError(f"there is no tradition called {tradition}")
    if not 1 <= manuals <= MOST_MANUALS:
        raise OrganError(f"an organ has one to {MOST_MANUALS} manuals here")
    names = custom.manuals[manuals - 1]
    compass = {"manuals": custom.compass[0]} | ({"pedal": custom.compass[1]} if pedal else {})
    lines = [
        "# An organ's specification. Keys are written with their octave; middle C is C4.",
        f"specification: {VERSION}",
        f"name: {scalar(name.strip() or 'New organ')}",
        f"language: {custom.language}",
        f"tradition: {tradition}",
        f"compass: {flow_mapping({key: scalar(value, flow=True) for key, value in compass.items()})}",
        "",
        "divisions:",
    ]
    for number, division in enumerate(names, 1):
        lines += [f"  - name: {scalar(division)}", f"    keyboard: manual {number}"]
        lines.append(f"    enclosed: {'yes' if division in custom.boxes else 'no'}")
        lines.append("    stops: []")
    if pedal:
        lines += [f"  - name: {scalar(custom.pedal)}", "    enclosed: no", "    stops: []"]
    joined = list(_couplers(custom, names, pedal)) if couplers else []
    lines += ["", "couplers:", *(f"  - {scalar(one)}" for one in joined)] if joined else []
    return "\n".join([*lines, "", "assumed:", "  - the compass and the boxes, by custom", ""])


def _couplers(custom: Beginning, names: tuple[str, ...], pedal: bool) -> list[str]:
    others = [name for name in reversed(names) if name != custom.main]
    found = [f"{name} to {custom.main}" for name in others]
    if custom.all_couple and len(others) > 1:
        found.append(f"{others[0]} to {others[-1]}")
    if pedal:
        found += [
            f"{name} to {custom.pedal}" for name in ([custom.main, *others] if custom.all_couple else [custom.main])
        ]
    return found

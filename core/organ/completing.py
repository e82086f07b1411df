"""What follows from a name or from custom where a specification is silent: family, loudness, keyboards."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import NamedTuple

from core.organ.mixtures import default_composition
from core.organ.model import Break, Family, Feet, Organ, Ranks, Role, Stop
from core.organ.names import kind as kind_of
from core.organ.names import know_stop

COMPOUND_FAMILIES = (Family.MIXTURE, Family.COMPOUND)
RANKED_FAMILIES = (*COMPOUND_FAMILIES, Family.CELESTE)
"""Families whose names a Roman figure follows as ranks: Mixture IV, Celeste II."""


class Setting(NamedTuple):
    """Where a stop stands, as far as it decides what a name means."""

    role: Role
    language: str | None = None
    tradition: str | None = None


class Known(NamedTuple):
    """What a stop's name tells. `known` is False where nothing is known of it."""

    known: bool
    family: Family
    kind: str | None
    guess: bool
    loudness: int
    list_pitch: Feet | None


def known_of(name: str, pitch: Feet | None, ranks: Ranks | None, setting: Setting) -> Known:
    """What the trade's knowledge says of a stop of this name at this place."""
    match = know_stop(
        name,
        language=setting.language,
        pedal=setting.role is Role.PEDAL,
        pitch=pitch,
        tradition=setting.tradition,
        ranks=ranks,
    )
    if match is None:
        return Known(False, Family.PRINCIPAL, None, True, 5, None)
    return Known(True, match.family, match.kind.id, match.guess, match.loudness, match.list_feet)


def customary_composition(
    kind: str | None, family: Family, ranks: Ranks | None, lowest: Feet | None, role: Role
) -> tuple[Break, ...]:
    """The composition taken for a compound stop of which none is stated; () for other stops."""
    if family not in COMPOUND_FAMILIES:
        return ()
    return default_composition(kind_of(kind) if kind else None, ranks, lowest, role)


def with_compositions(organ: Organ) -> Organ:
    """The organ with the customary composition, marked as assumed, in each compound stop that states none."""
    divisions = tuple(
        replace(division, stops=tuple(_with_composition(stop, division.role) for stop in division.stops))
        for division in organ.divisions
    )
    return replace(organ, divisions=divisions)


def _with_composition(stop: Stop, role: Role) -> Stop:
    if stop.composition:
        return stop
    composition = customary_composition(stop.kind, stop.family, stop.ranks, stop.pitch, role)
    return replace(stop, composition=composition, composition_assumed=True) if composition else stop


_BOXED_BY_NAME = ("swell", "expressif", "schwell", "espressivo", "expresivo")


def enclosed_by_name(name: str, role: Role) -> bool | None:
    """Whether a division's name says that it stands in a box; None where it does not say."""
    folded = name.casefold()
    return True if role is not Role.PEDAL and any(word in folded for word in _BOXED_BY_NAME) else None


_LOWEST_FIRST: dict[str, tuple[Role, ...]] = {
    "english": (Role.CHOIR, Role.POSITIVE, Role.GREAT, Role.SWELL, Role.SOLO, Role.BOMBARDE, Role.ECHO),
    "french-symphonic": (Role.GREAT, Role.POSITIVE, Role.SWELL, Role.BOMBARDE, Role.SOLO, Role.ECHO),
    "french-classical": (Role.POSITIVE, Role.GREAT, Role.BOMBARDE, Role.SWELL, Role.ECHO),
    "german": (
        Role.POSITIVE, Role.GREAT, Role.SWELL, Role.OBERWERK, Role.BRUSTWERK, Role.SOLO, Role.ECHO,
    ),
}  # fmt: skip
"""Order of the keyboards from the lowest, by custom: essexorganmuseum.com, "The Organ", part three (English);
enharmonia.es, article 56 (French); German ones differ from organ to organ (common practice, no source)."""


def customary_keyboards(roles: Sequence[Role], tradition: str | None) -> list[str | None]:
    """The keyboard of each division by custom; None where custom does not tell."""
    name = tradition or "english"
    family = "german" if name.startswith(("german", "dutch")) else name
    order = _LOWEST_FIRST.get(family, _LOWEST_FIRST["english"])
    manuals = [role for role in roles if role is not Role.PEDAL]
    numbered = {role: int(role.value[-1]) for role in manuals if role.value.startswith("manual-")}
    ranked = sorted({role for role in manuals if role in order}, key=order.index)
    free = [number for number in range(1, len(manuals) + 1) if number not in numbered.values()]
    places = {role: number for role, number in zip(ranked, free, strict=False)} | numbered
    return ["pedal" if role is Role.PEDAL else _manual(places.get(role)) for role in roles]


def _manual(number: int | None) -> str | None:
    return f"manual-{number}" if number is not None and 1 <= number <= 5 else None

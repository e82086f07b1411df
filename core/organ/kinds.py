"""The kinds of stop that the trade knows, read from the data under ``core/knowledge/stops``.

A kind is one sort of stop, whatever its pitch and spelling: family, usual pitches, loudness, use,
relatives. How a printed name leads to a kind is told in `core.organ.names`.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cache
from types import MappingProxyType
from typing import Any

from core.knowledge.loader import load
from core.organ.model import Family, Feet, Ranks
from core.organ.spelling import read_feet_exact

FILES = ("principals", "flutes", "strings", "reeds", "mutations", "mixtures", "percussion")
LANGUAGES = ("en", "fr", "de", "nl", "it", "es", "da", "sv", "nb", "fi", "cs", "pl", "pt", "la")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class StopKind:
    """One kind of stop.

    Attributes:
        id: stable, ``open-diapason``.
        name: the customary head name.
        family: by sound; COMPOUND for stops of several ranks that hold a tierce.
        feet: usual pitches in the manuals, the customary one first; () for mixtures and percussion.
        pedal_feet: the same in the pedal, whose unison is 16.
        fixed_feet: the manual pitch that the name alone fixes in a marking (no other name adds one).
        fixed_in: the languages whose spellings fix it.
        list_feet: the manual pitch that the name alone fixes in a stop list.
        pedal_list_feet: the same in the pedal.
        loudness: 1 to 10 on one scale over the whole organ.
        use: "chorus", "solo" or "both".
        group: the narrower kinship that substitutes come from.
        tone: how it sounds or is made, in one word.
        partner: kinds one of which it needs beside it (a celeste its unison).
        ranks: customary number of ranks of a compound stop.
        composition: ordinals of a compound stop that has a customary one.
        relatives: kinds that stand in for it, nearest first.
        languages: spellings by language.
        source: where it was read; "from memory" or "common practice, no source" where nowhere.
    """

    id: str
    name: str
    family: Family
    feet: tuple[Feet, ...] = ()
    pedal_feet: tuple[Feet, ...] = ()
    fixed_feet: Feet | None = None
    fixed_in: tuple[str, ...] = ()
    list_feet: Feet | None = None
    pedal_list_feet: Feet | None = None
    loudness: int = 5
    use: str = "both"
    group: str = ""
    tone: str = ""
    partner: tuple[str, ...] = ()
    ranks: Ranks | None = None
    composition: tuple[str, ...] = ()
    relatives: tuple[str, ...] = ()
    languages: Mapping[str, tuple[str, ...]] = field(hash=False)
    source: str = ""

    @property
    def fixed(self) -> bool:
        """Whether the name alone fixes the manual pitch in a marking."""
        return self.fixed_feet is not None

    def usual_feet(self, *, pedal: bool) -> Feet | None:
        """The customary pitch on a manual or in the pedal; None for mixtures and percussion."""
        usual = self.pedal_feet if pedal else self.feet
        return usual[0] if usual else None

    def listed_feet(self, *, pedal: bool) -> Feet | None:
        """The pitch that the name alone fixes in a stop list."""
        return self.pedal_list_feet if pedal else self.list_feet


@cache
def kinds() -> tuple[StopKind, ...]:
    """Every kind, in the order of the data."""
    return tuple(map(kind, _entries()))


@cache
def kind(kind_id: str) -> StopKind:
    """The kind of that id, made when it is first asked for. Raises KeyError."""
    return _kind(_entries()[kind_id])


@cache
def _entries() -> dict[str, Mapping[str, Any]]:
    return {entry["id"]: entry for file in FILES for block in load(f"stops/{file}") for entry in _block(block)}


def spellings(language: str | None = None) -> Iterator[tuple[str, str]]:
    """Every spelling with the id of its kind, of one language or of all; a spelling may come more than once."""
    for one in kinds():
        for its_language, names in one.languages.items():
            if language is None or language == its_language:
                for name in names:
                    yield name, one.id


def _block(block: Mapping[str, Any]) -> Iterable[Mapping[str, Any]]:
    common = {key: value for key, value in block.items() if key != "kinds"}
    return ({**common, **entry} for entry in block["kinds"])


def _kind(entry: Mapping[str, Any]) -> StopKind:
    feet = _feet(entry.get("feet", ""))
    fixed = _one_foot(entry.get("fixed"))
    listed = _one_foot(entry.get("listed")) or fixed
    pedal = _feet(entry["pedal"]) if "pedal" in entry else tuple(f * 2 for f in feet)
    pedal_listed = _one_foot(entry.get("pedal_listed")) or (listed * 2 if listed else None)
    ranks = str(entry["ranks"]).split("-") if "ranks" in entry else []
    return StopKind(
        id=entry["id"],
        name=entry["name"],
        family=Family(entry["family"]),
        feet=feet,
        pedal_feet=pedal,
        fixed_feet=fixed,
        fixed_in=tuple(entry.get("fixed_in", "").split()) or (LANGUAGES if fixed else ()),
        list_feet=listed,
        pedal_list_feet=pedal_listed,
        loudness=entry["loud"],
        use=entry.get("use", "both"),
        group=entry.get("group", ""),
        tone=entry.get("tone", ""),
        partner=tuple(entry.get("partner", "").split()),
        ranks=Ranks(int(ranks[0]), int(ranks[-1])) if ranks else None,
        composition=tuple(str(entry.get("composition", "")).split()),
        relatives=tuple(entry.get("near", "").split()),
        languages=MappingProxyType({tongue: _names(entry[tongue]) for tongue in LANGUAGES if tongue in entry}),
        source=entry["source"],
    )


def _names(text: str) -> tuple[str, ...]:
    return tuple(name.strip() for name in text.split(";"))


def _feet(text: str | int) -> tuple[Fraction, ...]:
    return tuple(read_feet_exact(part.replace("+", " ")) for part in str(text).split())


def _one_foot(text: str | int | None) -> Fraction | None:
    return None if text is None else _feet(text)[0]

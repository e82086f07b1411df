"""What was read of a list before it is an organ: stops, headings and couplers that may still be mended."""

from __future__ import annotations

from dataclasses import dataclass, field

from core.organ.lists.keys import Compass
from core.organ.model import Feet, Key, Ranks
from core.texts import Said


@dataclass(slots=True, kw_only=True)
class StopDraft:
    """A stop as printed."""

    name: str
    lines: tuple[int, ...]
    number: str = ""
    pitch: Feet | None = None
    ranks: Ranks | None = None
    lowest: Feet | None = None
    numeral: str = ""
    rank_or_feet: Feet | None = None
    ordinals: tuple[Feet, ...] = ()
    half: str | None = None
    half_word: str = ""
    both_halves: bool = False
    first: Key | None = None
    borrowed: str | None = None
    enclosed: bool | None = None
    prepared: bool = False
    remarks: list[str] = field(default_factory=list)
    marks: tuple[str, ...] = ()
    doubts: list[tuple[int, Said]] = field(default_factory=list)
    complete: bool = False
    exact: bool = False
    on_ventil: bool | None = None
    code: str = ""
    tremulant: bool = False
    summed: bool = False


@dataclass(slots=True, kw_only=True)
class DivisionDraft:
    """A division as printed."""

    name: str
    role: str | None
    keyboard: int | None
    lines: tuple[int, ...]
    language: str = ""
    enclosed: bool | None = None
    by_name: bool = False
    recit: bool = False
    weak: bool = False
    count: int | None = None
    compass: Compass | None = None
    stops: list[StopDraft] = field(default_factory=list)
    remark: str = ""
    shorts: tuple[str, ...] = ()
    guessed: bool = False
    first: Key | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class CouplerDraft:
    """A coupler: the ends as roles, numbers or words; None is the division it stands in."""

    source: str | int | None
    target: str | int | None
    pitch: int = 8
    lines: tuple[int, ...] = ()
    text: str = ""
    half: str | None = None
    permanent: bool = False
    unison_off: bool = False
    within: int | None = None
    slashed: bool = False
    count: int = 0
    manuals: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class TremulantDraft:
    """A tremulant: of the division with that index, of the words named, or of the whole organ."""

    within: int | None
    named: tuple[str | int, ...] = ()
    text: str = "Tremulant"
    lines: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class AidDraft:
    """A playing aid as printed."""

    kind: str
    text: str
    within: int | None = None
    lines: tuple[int, ...] = ()

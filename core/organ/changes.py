"""What may be changed in a specification, as values; `core.organ.changing` makes the changes."""

from __future__ import annotations

from dataclasses import dataclass

Entries = tuple[tuple[str, str | None], ...]
"""Keys of the format with their new texts, ``("loudness", "6")``; None takes an entry away."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SpecChange:
    """Base of all changes to a specification."""


@dataclass(frozen=True, slots=True, kw_only=True)
class AddStop(SpecChange):
    """A new stop: its short form (``Oboe 8``) and options, after another stop or last in the division."""

    division: str
    stop: str
    options: tuple[tuple[str, str], ...] = ()
    after: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class RemoveStop(SpecChange):
    """Take a stop out (by its id)."""

    stop: str


@dataclass(frozen=True, slots=True, kw_only=True)
class MoveStop(SpecChange):
    """Put a stop elsewhere: after another one, or first in a division."""

    stop: str
    division: str
    after: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeStop(SpecChange):
    """Change name, pitch, family, loudness, enclosure or any other entry of a stop."""

    stop: str
    entries: Entries


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeDivision(SpecChange):
    """Change name, compass, enclosure or another entry of a division."""

    division: str
    entries: Entries


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeOrgan(SpecChange):
    """Change name, place, builder, tradition or another plain entry of the whole organ."""

    entries: Entries


@dataclass(frozen=True, slots=True, kw_only=True)
class AddPart(SpecChange):
    """A new coupler, tremulant or aid, as the format writes it: ``Swell to Great 4``."""

    section: str
    entry: str


@dataclass(frozen=True, slots=True, kw_only=True)
class RemovePart(SpecChange):
    """Take the coupler, tremulant or aid at `index` out."""

    section: str
    index: int


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangePart(SpecChange):
    """Another coupler, tremulant or aid in the place of the one at `index`."""

    section: str
    index: int
    entry: str


@dataclass(frozen=True, slots=True, kw_only=True)
class AddDivision(SpecChange):
    """A new division without stops, after another one or last."""

    name: str
    entries: tuple[tuple[str, str], ...] = ()
    after: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class RemoveDivision(SpecChange):
    """Take a division out with its stops, and the couplers, tremulants and aids that name it."""

    division: str


@dataclass(frozen=True, slots=True, kw_only=True)
class MoveDivision(SpecChange):
    """Put a division elsewhere in the list: after another one, or first."""

    division: str
    after: str | None = None

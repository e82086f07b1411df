"""What the colour book holds: colours as this organ has them, and those it has not."""

from __future__ import annotations

from dataclasses import dataclass

from core.markings.model import Instruction
from core.organ.model import Organ
from core.texts import Said

LOUDEST = 10


@dataclass(frozen=True, slots=True, kw_only=True)
class Accompaniment:
    """What may go against a solo.

    Attributes:
        division: id of the division the other hand plays.
        name: in the trade's words: "a soft flute 8".
        stops: ids.
        loudness: of them together, 1 to 10.
        enclosed: whether all of it stands in a box; None: not known.
        balance: how it stands to the solo.
        other_half: it is the other half of the same manual's divided stops.
    """

    division: str
    name: Said
    stops: tuple[str, ...]
    loudness: int
    enclosed: bool | None
    balance: Said
    other_half: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Colour:
    """A colour as this organ has it.

    Attributes:
        id: of the custom and the place: ``plenum@great``.
        section: id of its section in the book.
        name: in the trade's words.
        also: other names of it.
        traditions: whose custom it is; ``any`` is everybody's.
        language: whose words its asking is in; None: the house style's.
        division: id of the division it is played on; for a colour of several, of the chief manual among them.
        stops: ids, in the order drawn; of several divisions where the colour is of several.
        couplers: indexes into ``organ.couplers`` that belong to it.
        tremulant: whether the tremulant belongs to it.
        box: ``closed`` or ``half`` where the box belongs to it.
        enclosed: whether all its stops stand in a box; None: not known, or some do.
        loudness: of the stops together by their names, 1 to 10.
        solo: it is a melody's, against an accompaniment.
        accompaniments: what may go against it, the best first.
        free: ids of the divisions on other keyboards.
        cautions: what to know before writing it.
        asked: as a marking would ask for it on any organ.
        sounds: ids of the plain words that fit it, the most fitting first.
    """

    id: str
    section: str
    name: Said
    also: tuple[Said, ...] = ()
    traditions: tuple[str, ...]
    language: str | None = None
    division: str
    stops: tuple[str, ...]
    couplers: tuple[int, ...] = ()
    tremulant: bool = False
    box: str | None = None
    enclosed: bool | None = None
    loudness: int = 0
    solo: bool = False
    accompaniments: tuple[Accompaniment, ...] = ()
    free: tuple[str, ...] = ()
    cautions: tuple[Said, ...] = ()
    why: Said
    source: str
    asked: tuple[Instruction, ...]
    sounds: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Gap:
    """A colour that this organ has not.

    Attributes:
        said: the whole in a sentence: what is lacking, and what comes nearest.
        division: id of the division where the nearest is; None where nothing is near.
        nearest: stop ids.
    """

    id: str
    section: str
    name: Said
    traditions: tuple[str, ...]
    said: Said
    division: str | None = None
    nearest: tuple[str, ...] = ()
    sounds: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Book:
    """The colour book of an organ."""

    organ: Organ
    colours: tuple[Colour, ...]
    gaps: tuple[Gap, ...]

    def colour(self, colour_id: str) -> Colour | None:
        """The colour of that id, or None."""
        return next((c for c in self.colours if c.id == colour_id), None)

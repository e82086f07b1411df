"""What an organ is: keyboards, divisions, stops, couplers, tremulants, boxes, aids. Immutable values."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum
from fractions import Fraction

from core.texts import Said

Feet = Fraction
"""The pitch of a stop in feet: 8 is written pitch; F feet on a key sounds harmonic 8/F."""

Key = int
"""A key or sounding pitch as a MIDI number (middle C, C4, is 60)."""

UNISON = Fraction(8)


class Family(StrEnum):
    """The family of a stop. `COMPOUND` (Cornet, Sesquialtera) is written as mixture in an organ's JSON."""

    PRINCIPAL = "principal"
    FLUTE = "flute"
    STRING = "string"
    CELESTE = "celeste"
    REED = "reed"
    MUTATION = "mutation"
    MIXTURE = "mixture"
    COMPOUND = "compound"
    PERCUSSION = "percussion"


class Role(StrEnum):
    """What a division is, whatever it is called."""

    GREAT = "great"
    SWELL = "swell"
    CHOIR = "choir"
    POSITIVE = "positive"
    SOLO = "solo"
    ECHO = "echo"
    BOMBARDE = "bombarde"
    OBERWERK = "oberwerk"
    BRUSTWERK = "brustwerk"
    PEDAL = "pedal"
    MANUAL_1 = "manual-1"
    MANUAL_2 = "manual-2"
    MANUAL_3 = "manual-3"
    MANUAL_4 = "manual-4"
    MANUAL_5 = "manual-5"


class Half(StrEnum):
    """Which half of a divided stop."""

    BASS = "bass"
    TREBLE = "treble"


@dataclass(frozen=True, slots=True)
class Ranks:
    """Number of ranks of a compound stop: 3, or 3 to 6."""

    low: int
    high: int

    def __str__(self) -> str:
        return str(self.low) if self.low == self.high else f"{self.low}-{self.high}"


@dataclass(frozen=True, slots=True)
class Break:
    """From `key` upwards a compound stop has these ranks (feet), until the next break."""

    key: Key
    feet: tuple[Feet, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Stop:
    """What is drawn.

    Attributes:
        id: unique within the organ and stable: ``swell/oboe-8``.
        name: as printed, without numbering, pitch and ranks.
        pitch: feet; None for a mixture without a stated one.
        ranks: of mixtures and other compound stops.
        composition: breaks of a compound stop, lowest key first; () where nothing is known.
        composition_assumed: the composition is customary, not stated.
        kind: id of the stop's kind in core/knowledge (None: unknown name).
        guess: family and kind are guessed from the name's parts.
        loudness: 1 (softest) to 10 within the whole organ, by the name until the player says otherwise.
        compass: first and last key it has; None on a side: as its division.
        missing: keys within the compass that have no pipe.
        half: bass or treble half of a divided stop.
        half_word: the source's own word for it (bajos, soprani); "": not known.
        enclosed: None: as its division.
        box: name of the box it stands in, where it is not the division's.
        rank: id of the rank of pipes it speaks from; stops that share one share pipes.
        rank_shift: how many pipes further up the rank a key finds its pipe (8 ft of 16 ft pipes: 12).
        borrowed: where it is borrowed from, as printed.
        on_ventil: stands on the reeds' wind (French anches chest); None where not said.
        in_use: False: not playable at present.
        remark: what else the source says of it.
        lines: source lines it came from (plain lists).
    """

    id: str
    name: str
    pitch: Feet | None
    family: Family
    ranks: Ranks | None = None
    composition: tuple[Break, ...] = ()
    composition_assumed: bool = False
    kind: str | None = None
    guess: bool = False
    loudness: int = 5
    compass: tuple[Key | None, Key | None] = (None, None)
    missing: frozenset[Key] = frozenset()
    half: Half | None = None
    half_word: str = ""
    enclosed: bool | None = None
    box: str | None = None
    rank: str = ""
    rank_shift: int = 0
    borrowed: str | None = None
    on_ventil: bool | None = None
    in_use: bool = True
    remark: str = ""
    lines: tuple[int, ...] = ()

    def __hash__(self) -> int:
        return hash((self.id, self.name))  # a hash over all fields would cost more than what it saves to look up


@dataclass(frozen=True, slots=True, kw_only=True)
class Division:
    """A set of stops played from a keyboard.

    Attributes:
        id: unique and stable: ``swell``.
        name: as the organ has it: ``Récit expressif``.
        keyboard: ``manual-1`` … ``pedal``; None where it floats or is not known.
        keyboard_assumed: the keyboard is the tradition's convention, not stated.
        enclosed: None: the source does not say.
        box: the box's name; None: its own, where enclosed.
        compass: first and last key; None: not stated.
        missing: keys that the keyboard lacks (short octave).
        also_on: further keyboards it can be played from (floating divisions).
    """

    id: str
    name: str
    role: Role
    keyboard: str | None
    stops: tuple[Stop, ...] = ()
    keyboard_assumed: bool = False
    enclosed: bool | None = None
    box: str | None = None
    compass: tuple[Key, Key] | None = None
    missing: frozenset[Key] = frozenset()
    also_on: tuple[str, ...] = ()
    remark: str = ""
    lines: tuple[int, ...] = ()

    def __hash__(self) -> int:
        return hash((self.id, self.name, len(self.stops)))


@dataclass(frozen=True, slots=True, kw_only=True)
class Coupler:
    """Adds division `source` to the keys of division `target` (ids), at 16, 8 or 4 ft.

    `source` equal to `target` is a division's own octave or sub-octave coupler, or with
    `unison_off` the one that silences its unison.
    """

    source: str
    target: str
    pitch: Feet = UNISON
    half: Half | None = None
    permanent: bool = False
    unison_off: bool = False
    text: str = ""
    lines: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Tremulant:
    """A tremulant of one division (id), or with None of the whole organ."""

    division: str | None
    name: str = "Tremulant"
    lines: tuple[int, ...] = ()


class AidKind(StrEnum):
    """Kinds of playing aids."""

    GENERAL = "general"
    DIVISIONAL = "divisional"
    STEPPER = "stepper"
    REVERSIBLE = "reversible"
    FIXED = "fixed"
    VENTIL = "ventil"
    CRESCENDO = "crescendo-pedal"
    BOX = "box-pedal"
    CANCEL = "cancel"
    TUTTI = "tutti"
    OTHER = "other"


class Reach(StrEnum):
    """What works an aid."""

    THUMB = "thumb"
    TOE = "toe"
    HAND = "hand"


@dataclass(frozen=True, slots=True, kw_only=True)
class Aid:
    """A playing aid: what it is, how many, what it moves, what reaches it."""

    kind: AidKind
    text: str
    division: str | None = None
    count: int | None = None
    moves: str = ""
    reach: tuple[Reach, ...] = ()
    lines: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Organ:
    """An organ as its specification says.

    Attributes:
        couplers_carry_on: whether a coupler carries on into a second one; None: not stated.
        tradition: ``english``, ``american``, ``french-symphonic``, ``french-classical``, ``german-baroque``,
            ``german-romantic``, ``dutch``, ``italian``, ``spanish`` or None.
        assumed: what was assumed where the source is silent, in words.
    """

    name: str
    divisions: tuple[Division, ...]
    couplers: tuple[Coupler, ...] = ()
    tremulants: tuple[Tremulant, ...] = ()
    aids: tuple[Aid, ...] = ()
    place: str = ""
    builder: str = ""
    language: str | None = None
    tradition: str | None = None
    couplers_carry_on: bool | None = None
    invented: bool = False
    remark: str = ""
    assumed: tuple[Said, ...] = ()
    _by_id: dict[str, Division] = field(init=False, repr=False, compare=False, hash=False)
    _stops: dict[str, tuple[Division, Stop]] = field(init=False, repr=False, compare=False, hash=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "_by_id", {d.id: d for d in self.divisions})
        object.__setattr__(self, "_stops", {s.id: (d, s) for d in self.divisions for s in d.stops})

    def __hash__(self) -> int:
        return hash((self.name, len(self.divisions)))

    def division(self, division_id: str) -> Division:
        """The division of that id. Raises KeyError."""
        return self._by_id[division_id]

    def stop(self, stop_id: str) -> Stop:
        """The stop of that id. Raises KeyError."""
        return self._stops[stop_id][1]

    def division_of(self, stop_id: str) -> Division:
        """The division that holds a stop. Raises KeyError."""
        return self._stops[stop_id][0]

    def with_role(self, role: str) -> Division | None:
        """The first division of that role, or None."""
        return next((d for d in self.divisions if d.role == role), None)

    def on_keyboard(self, keyboard: str) -> tuple[Division, ...]:
        """The divisions played from a keyboard."""
        return tuple(d for d in self.divisions if d.keyboard == keyboard)

    @property
    def pedal(self) -> Division | None:
        """The pedal division, or None."""
        return self.with_role(Role.PEDAL)

    @property
    def manuals(self) -> tuple[Division, ...]:
        """The divisions that are not the pedal's, in the specification's order."""
        return tuple(d for d in self.divisions if d.role != Role.PEDAL)


def is_enclosed(division: Division, stop: Stop) -> bool | None:
    """Whether a stop stands in a box; None where the specification does not say."""
    return division.enclosed if stop.enclosed is None else stop.enclosed

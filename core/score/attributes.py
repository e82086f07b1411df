"""Attributes: divisions, time and key signature, number of staves, transposition."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, NamedTuple

from lxml import etree

from core.score.pitch import AS_WRITTEN, transposition
from core.score.quantities import read_divisions, read_int

if TYPE_CHECKING:
    from core.score.timeline import PartWalk

Element = etree._Element

_OCTAVE = (
    "The organ's part asks to sound at another octave (first in bar {bar}): that is the pipes' pitch, "
    "its keys were read as written."
)
_TOO_FAR = "{count} transpositions go beyond four octaves (first in bar {bar}); they were passed over."


class SignatureState(NamedTuple):
    """The time and key signature in force."""

    beats: str
    beat_type: int
    quarters: Fraction
    fifths: int


class Signature:
    """The time and key signature in force in a part, and whether this bar changes them."""

    __slots__ = ("beat_type", "beats", "changed_key", "changed_time", "fifths", "quarters")

    def __init__(self) -> None:
        self.beats = "4"
        self.beat_type = 4
        self.quarters = Fraction(4)
        self.fifths = 0
        self.changed_key = False
        self.changed_time = False

    def state(self) -> SignatureState:
        """What is in force now."""
        return SignatureState(self.beats, self.beat_type, self.quarters, self.fifths)

    def resume(self, state: SignatureState) -> None:
        """Have again in force what was so."""
        self.beats, self.beat_type, self.quarters, self.fifths = state


def read_attributes(walk: PartWalk, element: Element) -> None:
    """Take what an `attributes` element changes."""
    for child in element:
        tag = child.tag
        if tag == "divisions":
            walk.set_divisions(read_divisions(child, walk.path))
        elif tag == "time":
            _time(walk.signature, child)
        elif tag == "key":
            fifths = child.findtext("fifths")
            if fifths is not None:
                walk.signature.changed_key = walk.signature.fifths != read_int(fifths, 0)
                walk.signature.fifths = read_int(fifths, 0)
        elif tag == "staves":
            walk.staves = min(max(1, read_int(child.text, 1)), 64)
        elif tag == "transpose":
            _transpose(walk, child)


def _time(signature: Signature, element: Element) -> None:
    """A time signature, additive ones (3+2/8, 2/4 + 3/8) too; what cannot be read changes nothing."""
    beats = ["".join((b.text or "").split()) for b in element.iterchildren("beats")]
    types = [read_int(t.text, 0) for t in element.iterchildren("beat-type")]
    if not beats or len(beats) != len(types) or not all(0 < kind <= 1024 for kind in types):
        return
    counts = [[int(n) if n.isdecimal() and len(n) < 5 else 0 for n in count.split("+")] for count in beats]
    if not all(all(count) for count in counts):
        return
    lower = max(types)
    quarters = sum((Fraction(4 * sum(c), kind) for c, kind in zip(counts, types, strict=True)), Fraction(0))
    signature.changed_time = signature.changed_time or quarters != signature.quarters or lower != signature.beat_type
    signature.quarters = quarters
    signature.beat_type = lower
    signature.beats = "+".join(beats) if len(set(types)) == 1 else str(quarters * lower / 4)


def _transpose(walk: PartWalk, element: Element) -> None:
    """A transposition. Of an organ's part by octaves alone: another pitch of the pipes, not another key."""
    chromatic = read_int(element.findtext("chromatic"), 0)
    diatonic = element.findtext("diatonic")
    octaves = read_int(element.findtext("octave-change"), 0)
    if abs(chromatic) > 48 or abs(octaves) > 4 or abs(read_int(diatonic, 0)) > 28:
        walk.found.trouble(_TOO_FAR, walk.number)
        return
    by = transposition(chromatic, None if diatonic is None else read_int(diatonic, 0), octaves)
    if walk.keys_as_written and by != AS_WRITTEN and by.chromatic % 12 == 0:
        walk.found.trouble(_OCTAVE, walk.number)
        by = AS_WRITTEN
    staff = read_int(element.get("number"), 0)
    walk.set_transposition(range(staff, staff + 1) if staff else range(1, 65), by)

"""The walk through a part's bars: every note in exact time.

Ticks are whole numbers of the score's common denominator; position = sum of durations / divisions in force.
Each bar starts at the bar's own start, the same for all parts, so that no error is carried on.
"""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from typing import NamedTuple

from lxml import etree

from core.score.attributes import Signature, SignatureState, read_attributes
from core.score.barlines import Layout, read_barline, read_print
from core.score.directions import read_direction, read_footnotes, read_notations, read_sound
from core.score.gathering import BarSigns, Gathering
from core.score.lengths import JUNK, Kids, Tuplets, odd_length, whole_ticks
from core.score.model import Note
from core.score.pitch import AS_WRITTEN, Transposition, spell
from core.score.quantities import read_fraction
from core.score.tree import BarElement

Element = etree._Element

_CLAMPED = "The file goes back before a bar's start {count} times (first in bar {bar}); read from its start."
_NO_PITCH = "{count} notes have neither pitch, rest nor drum (first in bar {bar}); they were passed over."
_LOOSE_CHORD = "{count} chord notes follow no note (first in bar {bar}); they begin where they stand."


class WalkState(NamedTuple):
    """What a walk carries from bar to bar: two walks in one state read the same bar alike."""

    signature: SignatureState
    staves: int
    transpositions: tuple[tuple[int, Transposition], ...]
    divisions: Fraction
    of_chord: int


class PartWalk:
    """Walks through one part, bar by bar; what it finds goes into the shared `Gathering`.

    Attributes:
        position: ticks from the bar's start.
        reach: the furthest position reached in this bar.
        factor: ticks to a division.
    """

    def __init__(
        self,
        part: int,
        found: Gathering,
        hands: tuple[str | None, ...],
        *,
        keys_as_written: bool,
        path: str | None,
    ) -> None:
        self.part = part
        self.found = found
        self.keys_as_written = keys_as_written
        self.path = path
        self.signature = Signature()
        self.layout = Layout()
        self.staves = 1
        self.transpositions: dict[int, Transposition] = {}
        self.bar = 0
        self.bar_start = 0
        self.number = ""
        self.signs = BarSigns()
        self.position = 0
        self.reach = 0
        self.note_ordinal = -1
        self.direction_ordinal = -1
        self.divisions = Fraction(1)
        self.factor = found.ticks
        self._staves: dict[str | None, tuple[int, str | None]] = {
            str(staff): (staff, hand) for staff, hand in enumerate(hands, 1)
        }
        self._lengths: dict[str | None, int] = {}
        self._chord_onset: int | None = None
        self._tuplets = Tuplets()
        self._has_content = False
        self._spelled: dict[tuple[str | None, ...], tuple[str, int]] = {}
        self._handlers: dict[object, Callable[[Element], None]] = {
            "note": self._note,
            "backup": self._backup,
            "forward": self._forward,
            "attributes": self._attributes,
            "direction": self._direction,
            "barline": self._barline,
            "print": self._print,
            "sound": self._sound,
        }

    def read_bar(self, bar: BarElement, index: int, start: int, number: str, signs: BarSigns) -> int:
        """Read a bar that starts at a tick; returns the length of its content in ticks (0: none)."""
        self.bar, self.bar_start, self.number, self.signs = index, start, number, signs
        self.position = self.reach = 0
        self._chord_onset = None
        self._has_content = False
        self._tuplets.drift = 0
        self.layout.clear()
        self.signature.changed_key = self.signature.changed_time = False
        if bar.first_note is not None:
            self.note_ordinal = bar.first_note - 1
        if bar.first_direction is not None:
            self.direction_ordinal = bar.first_direction - 1
        handlers = self._handlers
        for child in bar.element:
            handler = handlers.get(child.tag)
            if handler is not None:
                handler(child)
        return self.reach if self._has_content else 0

    def state(self) -> WalkState:
        """All that the next bar's reading depends on, but for the ordinals."""
        return WalkState(
            self.signature.state(),
            self.staves,
            tuple(self.transpositions.items()),
            self.divisions,
            self._tuplets.of_chord,
        )

    def resume(self, state: WalkState, note_ordinal: int, direction_ordinal: int) -> None:
        """Stand where a walk stood before a bar; the ordinals are those of the last note and direction before it."""
        self.signature.resume(state.signature)
        self.staves = state.staves
        self.transpositions = dict(state.transpositions)
        self.set_divisions(state.divisions)
        self._tuplets.of_chord = state.of_chord
        self.note_ordinal = note_ordinal
        self.direction_ordinal = direction_ordinal

    def advance(self, ticks: int) -> None:
        """Go on in time."""
        self.position += ticks
        if self.position > self.reach:
            self.reach = self.position

    def set_divisions(self, divisions: Fraction) -> None:
        """From here on a quarter note has that many divisions."""
        self.divisions = divisions
        self.factor = whole_ticks(Fraction(self.found.ticks) / divisions)
        self._lengths = {}

    def set_transposition(self, staves: range, by: Transposition) -> None:
        """From here on those staves sound otherwise than they are written."""
        for staff in staves:
            self.transpositions[staff] = by
        if all(each == AS_WRITTEN for each in self.transpositions.values()):
            self.transpositions = {}

    # -- notes ------------------------------------------------------------------------------------------

    def _note(self, note: Element) -> None:
        self.note_ordinal += 1
        kids: Kids = {child.tag: child for child in note}
        if "grace" in kids:
            duration = 0
        else:
            try:
                duration = self._lengths[kids["duration"].text]
            except KeyError:
                known = self._length(kids)
                if known is None:
                    return
                duration = known
        if "chord" in kids and self._chord_onset is not None:
            onset = self._chord_onset
        else:
            if "chord" in kids:
                self.found.trouble(_LOOSE_CHORD, self.number)
            onset = self._chord_onset = self.position
            self.position += duration
            if self.position > self.reach:
                self.reach = self.position
        self._has_content = True
        if "time-modification" in kids:
            onset, duration = self._tuplets.exact(self, kids, onset, duration)
        else:
            self._tuplets.drift = 0
        text = kids["staff"].text if "staff" in kids else "1"
        staff, hand = self._staves.get(text) or self._new_staff(text)
        if "notations" in kids or "footnote" in kids or "level" in kids:
            read_notations(self, note, self.bar_start + onset, staff)
            read_footnotes(self, note, self.bar_start + onset, staff, self.note_ordinal)
        if "rest" not in kids:
            self._sounding(note, kids, self.bar_start + onset, duration, staff, hand)

    def _sounding(self, note: Element, kids: Kids, onset: int, duration: int, staff: int, hand: str | None) -> None:
        pitch = kids.get("pitch")
        if pitch is None or self.transpositions:
            spelled = self._odd_pitch(kids, staff)
        else:
            asked = tuple([child.text for child in pitch])
            spelled = self._spelled.get(asked) or self._new_pitch(pitch, asked)
        if spelled is None:
            return
        voice = kids["voice"].text if "voice" in kids else "1"
        cue = "cue" in kids
        self.found.notes.append(
            tuple.__new__(  # as Note(...), in half the time
                Note,
                (
                    self.part,
                    staff,
                    voice or "1",
                    self.bar,
                    onset,
                    duration,
                    spelled[0],
                    spelled[1],
                    "grace" in kids,
                    cue,
                    _tie(note) if "tie" in kids else None,
                    None if cue else hand,
                    self.note_ordinal,
                ),
            )
        )

    def _new_pitch(self, pitch: Element, asked: tuple[str | None, ...]) -> tuple[str, int] | None:
        spelled = self._spell(pitch, AS_WRITTEN)
        if spelled is not None and [child.tag for child in pitch] in (
            ["step", "octave"],
            ["step", "alter", "octave"],
        ):
            self._spelled[asked] = spelled
        return spelled

    def _new_staff(self, text: str | None) -> tuple[int, str | None]:
        """A staff not met before: beyond the declared ones (nobody's), or no number (the first)."""
        plain = (text or "").strip()
        number = int(plain) if plain.isdecimal() and 0 < len(plain) < 3 else 1
        known = self._staves.get(str(number), (number, None))
        self._staves[text] = known
        return known

    def _odd_pitch(self, kids: Kids, staff: int) -> tuple[str, int] | None:
        """A transposed pitch, a drum (no spelling), or None where there is nothing to play."""
        pitch = kids.get("pitch")
        if pitch is not None:
            return self._spell(pitch, self.transpositions.get(staff, AS_WRITTEN))
        if "unpitched" in kids:
            return "", -1
        self.found.trouble(_NO_PITCH, self.number)
        return None

    def _spell(self, pitch: Element, by: Transposition) -> tuple[str, int] | None:
        texts = {child.tag: child.text for child in pitch}
        try:
            return spell(texts.get("step") or "", texts.get("alter"), texts.get("octave") or "", by)
        except (ValueError, OverflowError):
            self.found.trouble(JUNK, self.number)
            return None

    def _length(self, kids: Kids) -> int | None:
        """Ticks of a duration not met before in these divisions; a whole-bar rest is as long as its bar."""
        text = kids["duration"].text if "duration" in kids else None
        rest = kids.get("rest")
        if rest is not None and rest.get("measure") == "yes":
            length = odd_length(self, kids)
            signature = self.signature.quarters * self.found.ticks
            return length if length is None or length <= signature else whole_ticks(signature)
        if text is None or not text.isdecimal() or len(text) > 9:
            return odd_length(self, kids)
        self._lengths[text] = int(text) * self.factor
        return self._lengths[text]

    # -- time -------------------------------------------------------------------------------------------

    def _ticks_of(self, element: Element) -> int:
        text = next((child.text for child in element if child.tag == "duration"), None)
        if text in self._lengths:
            return self._lengths[text]
        number = read_fraction(text)
        if number is None:
            self.found.trouble(JUNK, self.number)
            return 0
        ticks = whole_ticks(number * self.factor)
        if text is not None and text.isdecimal():
            self._lengths[text] = ticks
        return ticks

    def _backup(self, element: Element) -> None:
        self._leave_note()
        self.position -= self._ticks_of(element)
        if self.position < 0:
            self.found.trouble(_CLAMPED, self.number)
            self.position = 0

    def _forward(self, element: Element) -> None:
        self._leave_note()
        self._has_content = True
        self.advance(max(self._ticks_of(element), -self.position))

    def _leave_note(self) -> None:
        self._chord_onset = None
        self._tuplets.drift = 0

    # -- the rest ---------------------------------------------------------------------------------------

    def _attributes(self, element: Element) -> None:
        read_attributes(self, element)
        read_footnotes(self, element, self.bar_start + self.position, 1, 0)

    def _direction(self, element: Element) -> None:
        self.direction_ordinal += 1
        read_direction(self, element)

    def _barline(self, element: Element) -> None:
        read_barline(self, element)

    def _print(self, element: Element) -> None:
        read_print(self.layout, element)

    def _sound(self, element: Element) -> None:
        read_sound(self, element, self.position)


def _tie(note: Element) -> str | None:
    kinds = {tie.get("type") for tie in note.iterchildren("tie")}
    if "start" in kinds:
        return "both" if "stop" in kinds else "start"
    return "stop" if "stop" in kinds else None

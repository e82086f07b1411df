"""The walk through a part's bars: every note in exact time.

Ticks are whole numbers of the score's common denominator; position = sum of durations / divisions in force.
Each bar starts at the bar's own start, the same for all parts, so that no error is carried on.
"""

from __future__ import annotations

from fractions import Fraction

from lxml import etree

from core.score.directions import read_direction, read_footnotes, read_notations, read_sound
from core.score.gathering import BarSigns, FinerTicks, Gathering
from core.score.model import Note
from core.score.pitch import AS_WRITTEN, Transposition, spell, transposition
from core.score.quantities import QUARTERS, read_divisions, read_int
from core.score.signs import read_barline
from core.score.tree import BarElement

Element = etree._Element

_JUNK_NOTE = "{count} notes whose pitch or duration is no number were passed over (first in bar {bar})."
_CLAMPED = "{count} times the file goes back before the start of a bar (first in bar {bar}); read from its start."
_NO_STEP = "{count} notes have neither pitch, rest nor drum place (first in bar {bar}); they were passed over."
_LOOSE_CHORD = "{count} chord notes follow no note (first in bar {bar}); they begin where they stand."
_NO_DURATION = "{count} notes have no duration (first in bar {bar}); the note's shape was taken."
_UNEVEN = "{count} tuplet notes are rounded in the file (first in bar {bar}); their exact length was taken."


class Signature:
    """The time and key signature in force in a part."""

    __slots__ = ("beat_type", "beats", "changed_key", "changed_time", "fifths", "quarters")

    def __init__(self) -> None:
        self.beats = "4"
        self.beat_type = 4
        self.quarters = Fraction(4)
        self.fifths = 0
        self.changed_key = False
        self.changed_time = False


class PartWalk:
    """Walks through one part, bar by bar; what it finds goes into the shared `Gathering`.

    Attributes:
        position: ticks from the bar's start.
        reach: the furthest position reached in this bar.
    """

    def __init__(
        self, part: int, found: Gathering, hands: tuple[str | None, ...], *, keys_as_written: bool
    ) -> None:
        self.part = part
        self.found = found
        self.hands = hands
        self.keys_as_written = keys_as_written
        self.factor = found.ticks
        self.divisions = Fraction(1)
        self.signature = Signature()
        self.staves = 1
        self.transpositions: dict[int, Transposition] = {}
        self.bar = 0
        self.bar_start = 0
        self.number = ""
        self.position = 0
        self.reach = 0
        self.chord_onset: int | None = None
        self.tuplet_drift = Fraction(0)
        self.note_ordinal = -1
        self.direction_ordinal = -1
        self.has_content = False
        self.signs = BarSigns()
        self.path: str | None = None
        self._spelled: dict[tuple[object, ...], tuple[str, int]] = {}
        self._handlers = {
            "note": self._note,
            "backup": self._backup,
            "forward": self._forward,
            "attributes": self._attributes,
            "direction": self._direction,
            "barline": self._barline,
            "sound": self._sound,
        }

    def read_bar(self, bar: BarElement, index: int, start: int, number: str, signs: BarSigns) -> int:
        """Read a bar that starts at a tick; returns the length of its content in ticks (0: none)."""
        self.bar, self.bar_start, self.number, self.signs = index, start, number, signs
        self.position = self.reach = 0
        self.chord_onset = None
        self.has_content = False
        self.tuplet_drift = Fraction(0)
        self.signature.changed_key = self.signature.changed_time = False
        self.note_ordinal = bar.first_note - 1
        self.direction_ordinal = bar.first_direction - 1
        handlers = self._handlers
        for child in bar.element:
            handler = handlers.get(child.tag)  # type: ignore[call-overload]
            if handler is not None:
                handler(child)
        return self.reach if self.has_content else 0

    # -- notes ------------------------------------------------------------------------------------------

    def _note(self, note: Element) -> None:
        self.note_ordinal += 1
        kids = {child.tag: child for child in note}
        grace = "grace" in kids
        if grace:
            duration = 0
        else:
            try:
                duration = int(kids["duration"].text) * self.factor  # type: ignore[arg-type]
            except (KeyError, TypeError, ValueError):
                known = self._odd_duration(kids)
                if known is None:
                    return
                duration = known
            if duration < 0:
                self.found.trouble(_JUNK_NOTE, self.number)
                return
        rest = kids.get("rest")
        if rest is not None and rest.get("measure") == "yes":
            duration = min(duration, int(self.signature.quarters * self.found.ticks))
        onset = self.position
        if "chord" in kids:
            if self.chord_onset is None:
                self.found.trouble(_LOOSE_CHORD, self.number)
            else:
                onset = self.chord_onset
        if "chord" not in kids or self.chord_onset is None:
            self.chord_onset = onset
            self.position = onset + duration
            if self.position > self.reach:
                self.reach = self.position
        self.has_content = True
        if "time-modification" in kids:
            onset, duration = self._exact_tuplet(kids, onset, duration, grace)
        elif self.tuplet_drift:
            self.tuplet_drift = Fraction(0)
        staff_text = kids["staff"].text if "staff" in kids else None
        staff = int(staff_text) if staff_text and staff_text.isdigit() else 1
        if "notations" in kids:
            read_notations(self, note, self.bar_start + onset, staff)
        if "footnote" in kids or "level" in kids:
            read_footnotes(self, note, self.bar_start + onset, staff, self.note_ordinal)
        if rest is None:
            self._sounding(note, kids, onset, duration, staff, grace)

    def _sounding(
        self, note: Element, kids: dict[str, Element], onset: int, duration: int, staff: int, grace: bool
    ) -> None:
        pitch = kids.get("pitch")
        if pitch is not None:
            spelled = self._pitch(pitch, staff)
            if spelled is None:
                self.found.trouble(_JUNK_NOTE, self.number)
                return
        elif "unpitched" in kids:
            spelled = ("", -1)
        else:
            self.found.trouble(_NO_STEP, self.number)
            return
        tie = _tie(note) if "tie" in kids else None
        cue = "cue" in kids
        voice = kids["voice"].text if "voice" in kids else None
        hand = self.hands[staff - 1] if not cue and 0 < staff <= len(self.hands) else None
        self.found.notes.append(
            Note(
                self.part,
                staff,
                voice or "1",
                self.bar,
                self.bar_start + onset,
                duration,
                spelled[0],
                spelled[1],
                grace,
                cue,
                tie,
                hand,
                self.note_ordinal,
            )
        )

    def _pitch(self, pitch: Element, staff: int) -> tuple[str, int] | None:
        by = self.transpositions.get(staff, AS_WRITTEN) if self.transpositions else AS_WRITTEN
        asked = (by, *[(child.tag, child.text) for child in pitch])
        spelled = self._spelled.get(asked)
        if spelled is None:
            texts = {child.tag: child.text for child in pitch}
            try:
                spelled = spell(texts.get("step") or "", texts.get("alter"), texts.get("octave") or "", by)
            except (ValueError, OverflowError):
                return None
            self._spelled[asked] = spelled
        return spelled

    def _odd_duration(self, kids: dict[str, Element]) -> int | None:
        """Ticks of a duration that is missing or no whole number; None where nothing says it."""
        text = (kids["duration"].text or "").strip() if "duration" in kids else ""
        if text:
            try:
                return self._ticks(Fraction(text))
            except (ValueError, ZeroDivisionError):
                pass
        shape = self._shape(kids)
        if shape is not None and not text:
            self.found.trouble(_NO_DURATION, self.number)
            return self._whole(shape * self.found.ticks)
        self.found.trouble(_JUNK_NOTE, self.number)
        if shape is not None and "chord" not in kids:
            self.position += self._whole(shape * self.found.ticks)
            self.reach = max(self.reach, self.position)
        return None

    def _shape(self, kids: dict[str, Element]) -> Fraction | None:
        """Quarters of the note's printed shape: type, dots (one, where several are told as one) and tuplet."""
        kind = kids.get("type")
        quarters = QUARTERS.get((kind.text or "").strip()) if kind is not None else None
        if quarters is None or kind is None:
            return None
        parent = kind.getparent()
        dots = sum(1 for _ in parent.iterchildren("dot")) if parent is not None and "dot" in kids else 0
        quarters = quarters * (2 - Fraction(1, 2 ** min(dots, 8)))
        tuplet = kids.get("time-modification")
        if tuplet is not None:
            try:
                quarters *= Fraction(
                    int(tuplet.findtext("normal-notes") or "1"), int(tuplet.findtext("actual-notes") or "1")
                )
            except (ValueError, ZeroDivisionError):
                return None
        return quarters

    def _exact_tuplet(
        self, kids: dict[str, Element], onset: int, duration: int, grace: bool
    ) -> tuple[int, int]:
        """The exact place and length of a tuplet note that the file rounds to a division."""
        if grace:
            return onset, duration
        exact = self._shape(kids)
        ticks = exact * self.found.ticks if exact is not None else Fraction(duration)
        drift = self.tuplet_drift
        rounded = ticks != duration and abs(ticks - duration) < self.factor and ticks.denominator == 1
        length = ticks if rounded else Fraction(duration)
        if rounded:
            self.found.trouble(_UNEVEN, self.number)
        if "chord" not in kids:
            self.chord_drift = drift
            self.tuplet_drift = drift + length - duration
            if abs(self.tuplet_drift) >= self.factor:
                self.tuplet_drift = Fraction(0)
        else:
            drift = getattr(self, "chord_drift", Fraction(0))
        return onset + int(drift), int(length)

    # -- time -------------------------------------------------------------------------------------------

    def _ticks(self, divisions: Fraction) -> int:
        return self._whole(divisions * self.found.ticks / self.divisions)

    def _whole(self, ticks: Fraction) -> int:
        if ticks.denominator != 1:
            raise FinerTicks(ticks.denominator)
        return ticks.numerator

    def duration_of(self, element: Element) -> int:
        """Ticks of an element's `duration`; 0 where it is no number."""
        text = (element.findtext("duration") or "").strip()
        try:
            return int(text) * self.factor
        except ValueError:
            try:
                return self._ticks(Fraction(text))
            except (ValueError, ZeroDivisionError):
                self.found.trouble(_JUNK_NOTE, self.number)
                return 0

    def _backup(self, element: Element) -> None:
        self.tuplet_drift = Fraction(0)
        self.chord_onset = None
        self.position -= self.duration_of(element)
        if self.position < 0:
            self.found.trouble(_CLAMPED, self.number)
            self.position = 0

    def _forward(self, element: Element) -> None:
        self.tuplet_drift = Fraction(0)
        self.chord_onset = None
        self.position = max(0, self.position + self.duration_of(element))
        if self.position > self.reach:
            self.reach = self.position
        self.has_content = True

    # -- attributes -------------------------------------------------------------------------------------

    def _attributes(self, element: Element) -> None:
        for child in element:
            tag = child.tag
            if tag == "divisions":
                self._divisions(child)
            elif tag == "time":
                self._time(child)
            elif tag == "key":
                self._key(child)
            elif tag == "staves":
                self.staves = max(1, read_int(child.text, 1))
            elif tag == "transpose":
                self._transpose(child)
        if element.find("footnote") is not None:
            read_footnotes(self, element, self.bar_start + self.position, 1, 0)

    def _divisions(self, element: Element) -> None:
        self.divisions = read_divisions(element, self.path)
        factor = Fraction(self.found.ticks) / self.divisions
        if factor.denominator != 1:
            raise FinerTicks(factor.denominator)
        self.factor = factor.numerator

    def _time(self, element: Element) -> None:
        beats = [(b.text or "").strip() for b in element.iterchildren("beats")]
        types = [read_int(t.text, 4) for t in element.iterchildren("beat-type")]
        if not beats or len(beats) != len(types) or not all(types):
            return
        try:
            quarters = sum(
                (
                    Fraction(sum(int(n) for n in count.split("+")) * 4, kind)
                    for count, kind in zip(beats, types, strict=True)
                ),
                Fraction(0),
            )
        except ValueError:
            return
        if quarters <= 0:
            return
        signature = self.signature
        signature.changed_time = self.position == 0 or signature.changed_time
        signature.beat_type = types[0] if len(set(types)) == 1 else max(types)
        signature.beats = "+".join(beats) if len(set(types)) == 1 else str(quarters * signature.beat_type / 4)
        signature.quarters = quarters

    def _key(self, element: Element) -> None:
        fifths = element.findtext("fifths")
        if fifths is not None:
            self.signature.fifths = read_int(fifths, 0)
            self.signature.changed_key = True

    def _transpose(self, element: Element) -> None:
        chromatic = read_int(element.findtext("chromatic"), 0)
        diatonic = element.findtext("diatonic")
        octaves = read_int(element.findtext("octave-change"), 0)
        if self.keys_as_written and chromatic % 12 == 0 and (chromatic or octaves):
            self.found.trouble(
                "The organ's part asks to sound at another octave (first in bar {bar}): that is the pipes' "
                "pitch, the keys were read as written.",
                self.number,
            )
            by = AS_WRITTEN
        else:
            by = transposition(chromatic, None if diatonic is None else read_int(diatonic, 0), octaves)
        staff = element.get("number")
        staves = [read_int(staff, 1)] if staff else range(1, max(self.staves, 8) + 1)
        for each in staves:
            self.transpositions[each] = by
        if all(t == AS_WRITTEN for t in self.transpositions.values()):
            self.transpositions = {}

    # -- the rest ---------------------------------------------------------------------------------------

    def _direction(self, element: Element) -> None:
        self.direction_ordinal += 1
        read_direction(self, element)

    def _barline(self, element: Element) -> None:
        read_barline(element, self.signs, self)

    def _sound(self, element: Element) -> None:
        read_sound(self, element, self.position, "")


def _tie(note: Element) -> str | None:
    kinds = {tie.get("type") for tie in note.iterchildren("tie")}
    if "start" in kinds:
        return "both" if "stop" in kinds else "start"
    return "stop" if "stop" in kinds else None

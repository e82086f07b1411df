"""What a pasted text was understood as: an organ with its lines, or a sentence why there is none. No window here."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from enum import StrEnum

from core.document import OrganFile, organ_from_text
from core.errors import StopwrightError
from core.export.list_specification import list_specification
from core.export.printed import roman, set_compass, set_coupler, set_pitch
from core.organ.lists import ListReading
from core.organ.lists.listing import MOST_SIGNS
from core.organ.model import Division, Organ, Role, Stop
from core.organ.reading import is_specification, read_list
from core.organ.summary import silences
from core.texts import say

Catalogue = Callable[[str], str]
UNNAMED = "Pasted organ"


class Kind(StrEnum):
    """What a row of the reading is."""

    HEADING = "heading"
    STOP = "stop"
    PART = "part"
    UNREAD = "unread"
    DOUBT = "doubt"
    ASSUMED = "assumed"


class Mark(StrEnum):
    """What is to be said of a line of the text."""

    READ = "read"
    DOUBT = "doubt"
    UNREAD = "unread"


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingRow:
    """One row: words left and right, the lines of the text it came from, what is in doubt of it."""

    kind: Kind
    left: str
    right: str = ""
    lines: tuple[int, ...] = ()
    doubt: str = ""
    tip: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Understood:
    """What was understood of a text.

    Attributes:
        text: what was read.
        organ: None where nothing can be made of it; then `refusal` says why.
        rows: what is shown, from the first division to what is assumed.
        marks: lines of the text (from 1) that were not blank.
    """

    text: str
    refusal: str = ""
    organ: Organ | None = None
    reading: ListReading | None = None
    rows: tuple[ReadingRow, ...] = ()
    marks: dict[int, Mark] = field(default_factory=dict)

    def count(self, mark: Mark) -> int:
        """How many lines bear a mark."""
        return sum(one is mark for one in self.marks.values())


def too_long(signs: int) -> str:
    """Why a text is not even shown; empty where it is short enough."""
    if signs <= MOST_SIGNS:
        return ""
    return f"This text is too long for a stop list ({signs} signs). Paste the list alone."


def understand(text: str, name: str = UNNAMED, catalogue: Catalogue = str) -> Understood:
    """Read a pasted text; whatever it is, something is said of it."""
    if not text.strip():
        return Understood(text=text)
    try:
        if is_specification(text, "pasted"):
            organ = organ_from_text(text, None)
            return Understood(text=text, organ=organ, rows=tuple(_Rows(organ, None, catalogue).all()))
        reading = read_list(text, f"{name}.txt")
    except StopwrightError as error:
        unread = {number: Mark.UNREAD for number, line in enumerate(text.split("\n"), 1) if line.strip()}
        return Understood(text=text, refusal=_refusal(error), marks=unread)
    marks = _marks(text, reading)
    rows = tuple(_Rows(reading.organ, reading, catalogue).all())
    return Understood(text=text, organ=reading.organ, reading=reading, rows=rows, marks=marks)


def organ_file(understood: Understood, name: str) -> OrganFile:
    """The organ as a specification without a file yet.

    Raises:
        OrganError: the specification cannot be read again.
    """
    assert understood.organ is not None
    if understood.reading is None:
        return OrganFile(path=None, text=understood.text, organ=understood.organ)
    organ = replace(understood.organ, name=name.strip() or understood.organ.name)
    text = list_specification(replace(understood.reading, organ=organ))
    return OrganFile(path=None, text=text, organ=organ_from_text(text, None))


def _refusal(error: StopwrightError) -> str:
    problems = [str(one) for one in getattr(error, "problems", ())]
    sentence = error.problem[:1].upper() + error.problem[1:].rstrip(".") + "."
    return " ".join([sentence, *problems[:3], *([f"{error.remedy.rstrip('.')}."] if error.remedy else [])])


def _marks(text: str, reading: ListReading) -> dict[int, Mark]:
    marks = {number: Mark.READ for number, line in enumerate(text.split("\n"), 1) if line.strip()}
    marks |= {doubt.line: Mark.DOUBT for doubt in reading.doubts if doubt.line in marks}
    return marks | {unread.line: Mark.UNREAD for unread in reading.left_over}


class _Rows:
    """Makes the rows of a reading."""

    def __init__(self, organ: Organ, reading: ListReading | None, catalogue: Catalogue) -> None:
        self.organ = organ
        self.reading = reading
        self.catalogue = catalogue
        self.doubts: dict[int, list[str]] = {}
        for doubt in reading.doubts if reading else ():
            self.doubts.setdefault(doubt.line, []).append(doubt.text.translated(catalogue))

    def say(self, template: str, /, **values: object) -> str:
        """A template in the reader's language, filled."""
        return say(template, **values).translated(self.catalogue)

    def all(self) -> Iterator[ReadingRow]:
        """From the first division to what is not said."""
        for division in self.organ.divisions:
            yield from self._division(division)
        yield from self._parts(
            self.say("Couplers"),
            [(set_coupler(self.organ, c).translated(self.catalogue), c.lines) for c in self.organ.couplers],
        )
        whole = [t for t in self.organ.tremulants if t.division is None]
        aids = [(aid.text, aid.lines) for aid in self.organ.aids]
        aids += [(self.say("Tremulant of the whole organ"), tremulant.lines) for tremulant in whole]
        yield from self._parts(self.say("Aids"), aids)
        yield from self._remarks()

    def _division(self, division: Division) -> Iterator[ReadingRow]:
        note = ", ".join(self._division_words(division))
        yield self._row(Kind.HEADING, division.name, division.lines, right=note)
        for stop in division.stops:
            yield self._stop(division, stop)
        for tremulant in self.organ.tremulants:
            if tremulant.division == division.id:
                yield self._row(Kind.PART, self.say("Tremulant"), tremulant.lines)

    def _division_words(self, division: Division) -> Iterator[str]:
        if division.keyboard and division.keyboard.startswith("manual-"):
            number = roman(int(division.keyboard.removeprefix("manual-")))
            yield self.say("{number} by custom", number=number) if division.keyboard_assumed else number
        if division.compass:
            yield set_compass(*division.compass)
        if division.enclosed is not None and (division.enclosed or division.role is not Role.PEDAL):
            yield self.say("enclosed") if division.enclosed else self.say("unenclosed")

    def _stop(self, division: Division, stop: Stop) -> ReadingRow:
        notes = [stop.half_word or self.say(stop.half.value)] if stop.half else []
        if stop.enclosed is not None and stop.enclosed is not division.enclosed:
            notes.append(self.say("enclosed") if stop.enclosed else self.say("unenclosed"))
        family = self.say("{family}, guessed by the name" if stop.guess else "{family}", family=stop.family.value)
        name = f"{stop.name} ({', '.join(notes)})" if notes else stop.name
        tip = "; ".join(text for text in (family, stop.borrowed, stop.remark) if text)
        return self._row(Kind.STOP, name, stop.lines, right=set_pitch(stop), tip=tip)

    def _row(self, kind: Kind, left: str, lines: tuple[int, ...], *, right: str = "", tip: str = "") -> ReadingRow:
        doubt = " ".join(text for line in lines for text in self.doubts.get(line, []))
        return ReadingRow(kind=kind, left=left, right=right, lines=lines, doubt=doubt, tip=tip)

    def _parts(self, heading: str, parts: list[tuple[str, tuple[int, ...]]]) -> Iterator[ReadingRow]:
        if parts:
            yield ReadingRow(kind=Kind.HEADING, left=heading)
            yield from (self._row(Kind.PART, words, lines) for words, lines in parts)

    def _remarks(self) -> Iterator[ReadingRow]:
        """What was not read, what may be read otherwise, what is assumed or not said."""
        if self.reading and self.reading.left_over:
            yield ReadingRow(kind=Kind.HEADING, left=self.say("Not read"))
            for unread in self.reading.left_over:
                yield ReadingRow(kind=Kind.UNREAD, left=unread.text, lines=(unread.line,))
        if self.reading and self.reading.heads:
            yield ReadingRow(kind=Kind.HEADING, left=self.say("Title and headings"))
            for head in self.reading.heads:
                yield ReadingRow(kind=Kind.PART, left=head.text, lines=(head.line,))
        if self.doubts:
            yield ReadingRow(kind=Kind.HEADING, left=self.say("May be read otherwise"))
            for line, texts in self.doubts.items():
                yield from (ReadingRow(kind=Kind.DOUBT, left=text, lines=(line,)) for text in texts)
        silent = [text for text in silences(self.organ) if "by custom" not in text]
        assumed = [said.translated(self.catalogue) for said in self.organ.assumed]
        for heading, texts in ((self.say("Assumed"), assumed), (self.say("Not said in the text"), silent)):
            if texts:
                yield ReadingRow(kind=Kind.HEADING, left=heading)
                yield from (ReadingRow(kind=Kind.ASSUMED, left=text) for text in texts)

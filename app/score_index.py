"""What the window looks up again and again in an analysis, made once beside the window. No toolkit here."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections import defaultdict
from collections.abc import Iterator
from enum import StrEnum

from core.analysis import Analysis
from core.findings import RANK, Finding, Level
from core.markings.gathering import MarkingRead
from core.organ.model import Key
from core.score.model import MarkingId, Note, Score, TextKind, Ticks


class Mark(StrEnum):
    """How a marking is set off by the rule under it."""

    PLAIN = "plain"  # understood
    DOTTED = "dotted"  # a doubt or an assumption
    WAVY = "wavy"  # something unread
    CROSSED = "crossed"  # cannot be had here


class NoteIndex:
    """Lookups over the notes alone."""

    def __init__(self, notes: tuple[Note, ...]) -> None:
        self.notes = notes
        self.note: dict[int, Note] = {note.ordinal: note for note in notes}
        self.onset_of_note: dict[int, Ticks] = {note.ordinal: note.onset for note in notes}
        self.bar_of_note: dict[int, int] = {note.ordinal: note.bar for note in notes}
        self.onsets: list[Ticks] = sorted({note.onset for note in notes if note.hand})
        self.keys_in_bar: dict[tuple[int, str], list[Key]] = defaultdict(list)
        for note in notes:
            if note.hand:
                self.keys_in_bar[note.bar, note.hand].append(note.key)
        self.hands_in_bar: set[tuple[int, str]] = set(self.keys_in_bar)


class ScoreIndex:
    """Lookups over one analysis; `earlier` lends what it knows of the same notes."""

    def __init__(self, analysis: Analysis, earlier: ScoreIndex | None = None) -> None:
        score = analysis.score
        self.score = score
        known: NoteIndex | None = earlier.notes if earlier is not None else None
        self.notes: NoteIndex = known if known is not None and known.notes == score.notes else NoteIndex(score.notes)
        self.note = self.notes.note
        self.onset_of_note = self.notes.onset_of_note
        self.bar_of_note = self.notes.bar_of_note
        self.onsets = self.notes.onsets
        self.hands_in_bar = self.notes.hands_in_bar
        self.keys_in_bar = self.notes.keys_in_bar
        self.rows = list(_rows(score))
        self.marks: dict[MarkingId, MarkingRead] = {mark.id: mark for mark in analysis.markings.marks}
        self.by_element: dict[int, list[MarkingRead]] = defaultdict(list)
        self.by_credit: dict[int, list[MarkingRead]] = defaultdict(list)
        for mark in analysis.markings.marks:
            credit = mark.text.kind is TextKind.CREDIT
            (self.by_credit if credit else self.by_element)[mark.text.element].append(mark)
        self.findings = analysis.findings
        self.findings_of: dict[MarkingId, list[int]] = defaultdict(list)
        self.findings_in_bar: dict[int, list[int]] = defaultdict(list)
        for number, finding in enumerate(analysis.findings):
            if finding.marking is not None:
                self.findings_of[finding.marking].append(number)
            if finding.at is not None:
                self.findings_in_bar[finding.at.bar].append(number)

    def row_of(self, finding: Finding) -> int:
        """The staff that a finding speaks of, counted from the top of the system from 0."""
        staff = finding.staff or 1
        part = finding.marking.part if finding.marking is not None else -1
        organ = self.score.organ_parts
        wanted = [(part, staff), *((number, staff) for number in organ)]
        return next((self.rows.index(pair) for pair in wanted if pair in self.rows), 0)

    def ticks(self, finding: Finding) -> Ticks | None:
        """The written onset of a finding in ticks."""
        return None if finding.at is None else int(finding.at.onset * self.score.ticks)

    def level_of(self, marking: MarkingId) -> Level | None:
        """The gravest level among the findings of a marking."""
        levels = [self.findings[number].level for number in self.findings_of.get(marking, ())]
        return max(levels, key=lambda level: RANK[level], default=None)

    def state(self, mark: MarkingRead) -> Mark:
        """How a marking is set off."""
        level = self.level_of(mark.id)
        if level is Level.ERROR:
            return Mark.CROSSED
        if mark.reading.unread:
            return Mark.WAVY
        return Mark.DOTTED if mark.reading.ambiguous or level is Level.WARNING else Mark.PLAIN

    def next_onset(self, onset: Ticks, steps: int) -> Ticks:
        """The organist's onset so many steps after (or before) one."""
        if not self.onsets:
            return onset
        if steps > 0:
            index = bisect_right(self.onsets, onset) + steps - 1
        else:
            index = bisect_left(self.onsets, onset) + steps
        return self.onsets[min(max(index, 0), len(self.onsets) - 1)]


def _rows(score: Score) -> Iterator[tuple[int, int]]:
    """(part, staff) of each staff from the top down."""
    for index, part in enumerate(score.parts):
        for staff in range(1, part.staves + 1):
            yield index, staff

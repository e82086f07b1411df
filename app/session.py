"""The one place that holds the current document, its revision, what follows from it, and the cursor."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import NamedTuple

from PySide6.QtCore import QObject, QTimer, Signal
from PySide6.QtGui import QUndoStack

from app.commands import EditCommand, Recent
from app.lane import LaneLine, lane_lines
from app.own_words import NO_AIDS, Aids, OwnWords
from app.queries import queries_among
from app.score_index import ScoreIndex
from app.translation import shown, told
from app.walk import walk
from app.workers import Workers
from core.analysis import Analysis
from core.compare.trying import get_ready
from core.document import Document, OrganFile, Shelf, open_document, open_organ, organ_from_text
from core.edits import Applied, Edit, apply
from core.errors import StopwrightError
from core.findings import Finding
from core.notes import Query
from core.organ.model import Organ
from core.resolve.model import Step
from core.score.model import MarkingId, Score, Ticks
from core.score.rereading import outline_of
from core.score.source import Source, read_source
from core.score.tree import read_tree

_LONG_PIECE = 500_000
_LONGEST_WAIT_MS = 2500


class Cursor(NamedTuple):
    """One beat of the score: written onset in ticks, which time through."""

    onset: Ticks = 0
    nth: int = 1


@dataclass(frozen=True)
class Derived:
    """What follows from a document."""

    analysis: Analysis
    index: ScoreIndex
    lines: tuple[LaneLine, ...]
    queries: Mapping[int, Query] = field(default_factory=dict)  # by the finding's number in the index


class Session(QObject):
    """Holds the document; all else listens.

    Signals:
        changed: another document (argument: whether the score's bytes are others).
        derived_ready: `derived` belongs to the document now.
        cursor_moved: `cursor` is elsewhere.
        finding_chosen: number of the chosen finding, or None.
        marking_chosen: the chosen marking's id, or None.
        failed: a sentence for the user.
        reading: whether a file is being read.
        source_read: the score that is being opened has been read (argument: its source).
    """

    changed = Signal(bool)
    derived_ready = Signal()
    cursor_moved = Signal()
    finding_chosen = Signal(object)
    marking_chosen = Signal(object)
    failed = Signal(str)
    reading = Signal(bool)
    source_read = Signal(object)

    def __init__(self, workers: Workers, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.workers = workers
        self.document = Document()
        self.revision = 0
        self.derived: Derived | None = None
        self.cursor = Cursor()
        self.finding: int | None = None
        self.marking: MarkingId | None = None
        self.undo = QUndoStack(self)
        self.recent = Recent()
        self.shelf = Shelf()
        self.saved = self.document  # as opened, or as saved last
        self._is_waiting = False
        self._last: tuple[Source, Derived] | None = None  # what was derived last, and from which score
        self._ready: tuple[Document, Derived] | None = None  # what an edit has derived already
        self.has_failed = False
        self.aids = NO_AIDS
        self.own_words = OwnWords(self)

    @property
    def organ(self) -> Organ | None:
        """The chosen organ."""
        return self.document.organ

    @property
    def score(self) -> Score | None:
        """The score as read, once it is."""
        return self.derived.analysis.score if self.derived else None

    @property
    def step(self) -> Step | None:
        """The registration's step in force at the cursor."""
        if self.derived is None:
            return None
        return self.derived.analysis.at(self.cursor.onset, self.cursor.nth)

    def open(
        self,
        score: str | Path | None,
        organs: Sequence[str | Path] = (),
        then: Callable[[], None] | None = None,
    ) -> None:
        """Open a score (None: keep the present one) and organs; what is wrong is told in one sentence.

        Args:
            score: the file.
            organs: specifications or stop lists; the first (without a score the last) is chosen.
            then: called when the document is there.
        """
        if score is None:
            self.add_organs(organs)
            return
        self.reading.emit(True)

        def done(opened: Document) -> None:
            self.reading.emit(False)
            saved = opened
            if not opened.organs:  # the organs stay, with what is not saved of them
                saved = replace(opened, organs=self.saved.organs)
                opened = replace(opened, organs=self.document.organs, chosen=self.document.chosen)
            self.undo.clear()
            self.cursor = Cursor()
            self.saved = saved
            self.own_words.load(score)
            self.set_document(opened)
            if then is not None:
                then()

        def failed(error: Exception) -> None:
            self.source_read.emit(self.document.source)  # back to the score that stays
            self.tell_failure(error)

        # the score alone is read first, so that its engraving begins while the organs are read
        self.workers.submit(lambda: read_source(score), self.source_read.emit, lambda _: None)
        self.workers.submit(lambda: _read_all(score, organs, self.shelf), done, failed)

    def add_organs(self, organs: Sequence[str | Path]) -> None:
        """Put organs beside the score; the last one given is chosen."""

        def done(opened: list[OrganFile]) -> None:
            files = list(self.document.organs)
            unsaved = {files[number].path: files[number] for number in self.unsaved_organs}
            for file in opened:  # one that is being changed stays as it is
                files = [known for known in files if known.path != file.path] + [unsaved.get(file.path, file)]
            if opened:
                fresh = [file for file in opened if file.path not in unsaved]
                kept = [file for file in self.saved.organs if all(file.path != one.path for one in fresh)]
                self.saved = replace(self.saved, organs=(*kept, *fresh))
                self.set_document(replace(self.document, organs=tuple(files), chosen=len(files) - 1))

        self.workers.submit(lambda: [open_organ(path, self.shelf) for path in organs], done, self.tell_failure)

    def tell_failure(self, error: Exception) -> None:
        """Say in one sentence what went wrong."""
        self.reading.emit(False)
        self.has_failed = True
        is_sentence = isinstance(error, StopwrightError | OSError)
        self.failed.emit(str(error) if is_sentence else _fault(error))

    def choose_organ(self, number: int | None) -> None:
        """Set the piece against another of the open organs."""
        self.set_document(replace(self.document, chosen=number))

    def set_document(self, document: Document) -> None:
        """Another document: tell everyone and work out what follows from it."""
        before, source = self.document.source, document.source
        is_other_score = source is not before
        is_edit = self._last is not None and source is not None and before is not None and source.path == before.path
        self.document = document
        self.revision += 1
        self.has_failed = False
        self.choose_marking(None)
        self.choose_finding(None)
        ready = self._ready[1] if self._ready is not None and self._ready[0] is document else None
        if is_other_score:
            self.derived = None
        self._is_waiting = ready is None
        self.changed.emit(is_other_score)
        if ready is not None:
            self._take(document, ready)
        elif is_other_score and not is_edit and source is not None and len(source.xml) > _LONG_PIECE:
            # the first page comes sooner while nothing else is worked at
            QTimer.singleShot(_LONGEST_WAIT_MS, self, self.start_deriving)
        else:
            self.start_deriving()

    def use(self, aids: Aids) -> None:
        """Read and prove the markings with other words or another house style."""
        if aids == self.aids:
            return
        self.aids = aids
        self.revision += 1
        self.choose_finding(None)
        if self.document.source is not None:
            self._is_waiting = True
            self.start_deriving()

    def start_deriving(self) -> None:
        """Work out what follows from the document, unless that has begun."""
        if self._is_waiting:
            self._is_waiting = False
            self._derive()

    def perform(self, edit: Edit) -> None:
        """Do an edit so that it can be undone; it is worked out beside the window."""
        document, last, aids = self.document, self._last, self.aids
        earlier = last[1] if last is not None else None
        is_read = last is not None and last[0] is document.source and earlier is not None
        score = earlier.analysis.read if earlier is not None and is_read else None

        def job() -> tuple[Applied, Derived | None]:
            applied = apply(document, edit, score)
            try:
                return applied, derive(applied.document, applied.score, earlier, aids)
            except Exception:  # the edit holds all the same; what is wrong is told when the piece is worked through
                return applied, None

        def done(outcome: tuple[Applied, Derived | None]) -> None:
            applied, derived = outcome
            if self.document is document:
                self._ready = (applied.document, derived) if derived is not None and aids is self.aids else None
                self.undo.push(EditCommand(self, shown(edit.said), document, applied.document))
                self._ready = None
            else:  # the document went on meanwhile
                self.perform(edit)

        self.workers.submit(job, done, self.tell_failure)

    def perform_now(self, edit: Edit, group: int = -1) -> None:
        """Do an edit of a specification at once, so that what it does not allow can be told beside its field.

        Edits of one `group`, one right after the other, are one step of undo.

        Raises:
            StopwrightError: it does not fit.
        """
        before = self.document
        after = apply(before, edit).document
        if after != before:
            self.undo.push(EditCommand(self, shown(edit.said), before, after, group))

    def add_new_organ(self, text: str) -> None:
        """Put an organ without a file beside the score and choose it, as one step of undo.

        Raises:
            StopwrightError: the text is no specification.
        """
        before = self.document
        file = OrganFile(path=None, text=text, organ=organ_from_text(text, None))
        after = replace(before, organs=(*before.organs, file), chosen=len(before.organs))
        self.undo.push(EditCommand(self, told("begin {organ}", organ=file.organ.name), before, after))

    @property
    def unsaved_organs(self) -> list[int]:
        """The numbers of the open organs whose text is not that of their file."""
        texts = {file.path: file.text for file in self.saved.organs if file.path}
        return [
            number
            for number, file in enumerate(self.document.organs)
            if file.text and (file.path is None or texts.get(file.path) != file.text)
        ]

    def note_saved_organ(self, number: int, path: str) -> None:
        """One of the organs was written to a file, which is its own from now on."""
        file = replace(self.document.organs[number], path=path)
        organs = (*self.document.organs[:number], file, *self.document.organs[number + 1 :])
        self.document = replace(self.document, organs=organs)
        others = tuple(one for one in self.saved.organs if one.path != path)
        self.saved = replace(self.saved, organs=(*others, file))

    def drop_unsaved_organs(self) -> None:
        """Go back to the organs as their files have them; those without a file are gone. Nothing is told yet."""
        saved = {file.path: file for file in self.saved.organs if file.path}
        unsaved = self.unsaved_organs
        kept = [saved.get(f.path or "") if n in unsaved else f for n, f in enumerate(self.document.organs)]
        chosen = self.document.chosen
        if chosen is not None:
            chosen = sum(file is not None for file in kept[:chosen]) if kept[chosen] is not None else None
        self.document = replace(self.document, organs=tuple(file for file in kept if file is not None), chosen=chosen)

    def _derive(self) -> None:
        document, revision, aids = self.document, self.revision, self.aids
        earlier = self._last[1] if self._last is not None else None
        if document.source is None:
            self.derived = None
            self.derived_ready.emit()
            return

        def done(derived: Derived | None) -> None:
            if revision == self.revision and derived is not None:
                self._take(document, derived)
                read = derived.analysis.read
                if read.kept is not None and read.kept.outline is None:
                    self.workers.submit(lambda: get_ready_for_edits(read), lambda _: None, lambda _: None)

        def failed(error: Exception) -> None:
            if revision == self.revision:
                self.tell_failure(error)

        def job() -> Derived | None:
            return derive(document, None, earlier, aids) if revision == self.revision else None  # another waits

        self.workers.submit(job, done, failed)

    def _take(self, document: Document, derived: Derived) -> None:
        """Tell what follows from the document."""
        assert document.source is not None
        self.derived = derived
        self._last = (document.source, derived)
        self.derived_ready.emit()

    def move_to(self, onset: Ticks, nth: int = 1) -> None:
        """Move the cursor; all places follow."""
        if (onset, nth) != self.cursor:
            self.cursor = Cursor(onset, nth)
            self.cursor_moved.emit()

    def choose_finding(self, number: int | None) -> None:
        """Choose a finding: the cursor goes to its place."""
        finding = self.finding_at(number)
        self.finding = number if finding is not None else None
        self.finding_chosen.emit(self.finding)
        if finding is not None and self.derived is not None:
            onset = self.derived.index.ticks(finding)
            if onset is not None and finding.at is not None:
                self.move_to(onset, finding.at.nth)

    def finding_at(self, number: int | None) -> Finding | None:
        """The finding of that number, or None."""
        if self.derived is None or number is None or not 0 <= number < len(self.derived.index.findings):
            return None
        return self.derived.index.findings[number]

    def choose_marking(self, marking: MarkingId | None) -> None:
        """Choose a marking: its card opens and the cursor goes to it."""
        self.marking = marking
        if marking is not None and self.derived is not None:
            mark = self.derived.index.marks.get(marking)
            if mark is not None:
                self.move_to(mark.text.onset)
        self.marking_chosen.emit(marking)


def _read_all(score: str | Path, organs: Sequence[str | Path], shelf: Shelf) -> Document:
    """A document whose score is known to be one. Raises ReadError."""
    document = open_document(score, organs, shelf=shelf)
    if document.source is not None:
        read_tree(document.source)
    return document


def _fault(error: Exception) -> str:
    fault = f"{type(error).__name__}: {error}"
    return told("The piece could not be worked through ({fault}).", fault=fault)


def get_ready_for_edits(score: Score) -> None:
    """Find out what the first edit would wait for; runs beside the window once the findings are shown."""
    get_ready()
    if score.kept is not None:
        outline_of(score.kept)


def derive(
    document: Document, score: Score | None = None, earlier: Derived | None = None, aids: Aids = NO_AIDS
) -> Derived:
    """Everything that follows from a document; runs beside the window. What has not changed comes from `earlier`.

    Raises:
        ScoreError: the score cannot be read.
    """
    analysis = walk(document, score, earlier.analysis if earlier is not None else None, aids)
    index = ScoreIndex(analysis, earlier.index if earlier is not None else None)
    queries = queries_among(document.notes, index.findings, analysis.score)
    return Derived(analysis, index, lane_lines(analysis, index), queries)

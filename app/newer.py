"""A newer file of the piece: opened with what was decided on the former one, and told what has changed."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QFileDialog

from app.commands import EditCommand
from app.newer_view import NewerView
from app.translation import told
from core.analysis import Analysis, analyse_document
from core.compare.bars import are_one_piece
from core.compare.carrying import Carried, carry_over
from core.compare.effects import Effect, effects_of
from core.document import Document, open_document
from core.notes import NO_NOTES, Notes

if TYPE_CHECKING:
    from app.window import Window


class Newer(QObject):
    """Takes a piece's decisions to its newer file."""

    def __init__(self, window: Window) -> None:
        super().__init__(window)
        self.window = window
        self.session = window.session
        self.view: NewerView | None = None
        self._latest: tuple[Document, Analysis] | None = None
        self.session.derived_ready.connect(self._on_derived)

    def ask(self) -> None:
        """Let the user name the newer file."""
        if self.session.derived is None:
            self.window.say(self.tr("Open the former file first: its notes go over to the newer one."))
            return
        path, _ = QFileDialog.getOpenFileName(
            self.window, self.tr("A newer file of this piece"), "", self.tr("Scores (*.musicxml *.xml *.mxl)")
        )
        if path and self.window.saving.may_lose_changes():
            self.open(path)

    def open(self, path: str | Path) -> None:
        """Open it with the present notes."""
        derived, document = self.session.derived, self.session.document
        if derived is not None and document.source is not None:
            self._open(path, document, derived.analysis)

    def _open(self, path: str | Path, document: Document, former: Analysis) -> None:
        shelf = self.session.shelf
        assert document.source is not None
        is_same_file = document.source.path is not None and Path(document.source.path) == Path(path)

        def job() -> tuple[Document, Carried, tuple[Effect, ...]]:
            opened = open_document(path, shelf=shelf)
            own = NO_NOTES if is_same_file else opened.notes
            later = _analysed(replace(opened, notes=own), document, former)
            carried = carry_over(document.notes, former, later, own)
            return opened, carried, effects_of(former, later)

        def done(outcome: tuple[Document, Carried, tuple[Effect, ...]]) -> None:
            self.session.reading.emit(False)
            self._take(document, *outcome)

        self.session.reading.emit(True)
        self.session.workers.submit(job, done, self.session.tell_failure)

    def _take(self, former: Document, opened: Document, carried: Carried, effects: tuple[Effect, ...]) -> None:
        """Show the newer file; that the notes came over is the first step of undo."""
        session = self.session
        source = opened.source
        assert source is not None
        base = replace(session.document, source=source, notes=opened.notes)
        session.undo.clear()
        session.saved = replace(opened, organs=session.saved.organs)
        session.own_words.load(source.path)
        after = replace(base, notes=carried.notes)
        if after == base:
            session.set_document(base)
        else:
            session.document = base  # what undo goes back to: the newer file without the former one's notes
            session.undo.push(EditCommand(session, self.tr("take over the notes"), base, after))
        self.window.settings = self.window.settings.with_recent(str(Path(source.path or "").resolve()))
        names = (_name(former), _name(opened))
        self._show(names, carried, effects)

    def _show(self, names: tuple[str, str], carried: Carried, effects: tuple[Effect, ...]) -> None:
        if self.view is not None:
            self.view.close()
        title = self.session.score.title if self.session.score is not None else names[1]
        self.view = NewerView(names, carried, effects, self.window.colours, self.window, title=title or names[1])
        self.view.place_chosen.connect(self._go)
        self.view.show()

    def _go(self, bar: int) -> None:
        """To a bar of the newer file."""
        score = self.session.score
        if score is not None and bar < len(score.bars):
            self.session.choose_marking(None)
            self.session.move_to(score.bars[bar].onset)

    # a newer file that was opened like any other

    def _on_derived(self) -> None:
        """Where what was opened looks like a newer file of what was open, offer its notes."""
        document, derived = self.session.document, self.session.derived
        if derived is None or document.source is None:
            return
        before, self._latest = self._latest, (document, derived.analysis)
        if before is None or not _has_decisions(before[0].notes) or _has_decisions(document.notes):
            return
        former, source = before[0].source, document.source
        if former is None or former.path == source.path or source.path is None:
            return
        later = derived.analysis

        def done(is_one: bool) -> None:
            if is_one and self.session.document.source is source:
                self._offer(before, str(source.path))

        self.session.workers.submit(lambda: are_one_piece(before[1].score, later.score), done, lambda _: None)

    def _offer(self, before: tuple[Document, Analysis], path: str) -> None:
        words = told("This looks like a newer file of {former}.", former=_name(before[0]))
        take = (self.tr("Take over its notes"), partial(self._take_over, before, path))
        self.window.banner.say(words, take)

    def _take_over(self, before: tuple[Document, Analysis], path: str) -> None:
        if self.window.saving.may_lose_changes_of_score():
            self.window.banner.say("")
            self._open(path, before[0], before[1])

    def changed_on_disc(self, path: str) -> None:
        """The open score's file is another by now: offer to read it again, with the notes."""
        words = told("{file} was changed by another program since it was opened.", file=Path(path).name)
        again = (self.tr("Read it again, with your notes"), partial(self._read_again, path))
        keep = (self.tr("Keep what is open"), lambda: self.window.banner.say(""))
        self.window.banner.say(words, again, keep)

    def _read_again(self, path: str) -> None:
        if self.window.saving.may_lose_changes_of_score():
            self.window.banner.say("")
            self.open(path)


def _analysed(opened: Document, document: Document, former: Analysis) -> Analysis:
    """The newer file's analysis on the organ that is chosen, read with the same words."""
    there = replace(opened, organs=document.organs, chosen=document.chosen)
    decided = former.decisions
    return analyse_document(there, words=decided.words, style=decided.style, player=decided.player)


def _has_decisions(notes: Notes) -> bool:
    """Whether there is anything to take over; which organ was chosen, and what is said of the piece, is not."""
    return bool(notes.pins or notes.dismissals or notes.boundaries or notes.player or notes.queries)


def _name(document: Document) -> str:
    source = document.source
    return Path(source.path).name if source is not None and source.path else ""

"""What leaves the desk on paper: the window's actions that open a preview, and what can be done from there."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Qt, QTimer
from PySide6.QtWidgets import QDialog, QFileDialog

from app.commands import EditCommand
from app.mark_up_card import MarkUpCard
from app.papers_fields import (
    differences_fields,
    front_page_fields,
    needs_fields,
    report_fields,
    score_fields,
    sheet_fields,
)
from app.papers_made import (
    PrintableReport,
    PrintableSheet,
    Subject,
    make_differences,
    make_front_page,
    make_needs,
    make_report,
    make_score,
    make_sheet,
    with_pistons,
)
from app.papers_printable import Printable
from app.papers_view import Asked, Deed, PapersView, Task
from app.translation import shown
from app.workers import Workers
from core.checks.queries import asking, unnumbered
from core.document import Document
from core.edits import Together
from core.errors import StopwrightError
from core.export.paper import PaperSize
from core.export.pistons import former_from_json, numbers_as_edit
from core.files import read_bytes
from core.organ.ids import slug
from core.organ.model import AidKind
from core.pistons.planning import Former
from core.texts import say

if TYPE_CHECKING:
    from app.window import Window

_LARGEST = 16 * 2**20  # bytes of a former plan


class Papers(QObject):
    """Opens the views of papers."""

    def __init__(self, window: Window) -> None:
        super().__init__(window)
        self.window = window
        self.session = window.session
        self.formers: dict[tuple[str, str], Former] = {}  # by file of the piece and name of the organ
        self._workers: Workers | None = None
        self._to_say = ""
        self._size = PaperSize.A4
        self.session.derived_ready.connect(self._on_derived)

    @property
    def workers(self) -> Workers:
        """Threads of their own: an edit does not wait for a paper."""
        if self._workers is None:
            self._workers = Workers(self)
        return self._workers

    def close(self) -> None:
        """Give up what is being made."""
        for view in self.window.findChildren(QDialog):
            if isinstance(view, PapersView | MarkUpCard):
                view.close()
        if self._workers is not None:
            self._workers.close()

    # what can be opened

    def sheet(self, pistons: str = "") -> PapersView | None:
        """The registration sheet; `pistons`: with a plan of them from the start."""
        if not self._has_piece(needs_organ=True):
            return None
        return self._open(
            Task(
                title=self.tr("Registration sheet"),
                file_name=self._name("registration"),
                begin=lambda: self._made(partial(make_sheet, former=self.formers.get(self._key))),
                fields=sheet_fields(self.session.organ, pistons, self._assistants),
                deeds=(
                    Deed(
                        words=self.tr("Write the pistons into the score"),
                        do=self.write_pistons,
                        fits=lambda pages: isinstance(pages, PrintableSheet) and bool(pages.plan),
                    ),
                    Deed(
                        words=self.tr("Keep the numbers of a saved plan …"),
                        do=self.keep_numbers,
                        fits=lambda pages: isinstance(pages, PrintableSheet) and bool(pages.plan),
                    ),
                ),
            )
        )

    def pistons(self) -> PapersView | None:
        """The registration sheet with a plan of pistons; of a stepper, where the organ has nothing else."""
        organ = self.session.organ
        kinds = {aid.kind for aid in organ.aids} if organ is not None else set()
        has_pistons = bool(kinds & {AidKind.GENERAL, AidKind.DIVISIONAL})
        return self.sheet("stepper" if AidKind.STEPPER in kinds and not has_pistons else "pistons")

    def report(self) -> PapersView | None:
        """The proof report."""
        if not self._has_piece():
            return None
        return self._open(
            Task(
                title=self.tr("Proof report"),
                file_name=self._name("proof"),
                begin=lambda: self._made(make_report),
                fields=report_fields(),
                deeds=(
                    Deed(
                        words=self.tr("Number the queries to the author"),
                        do=lambda _: self.number_queries(),
                        fits=lambda pages: isinstance(pages, PrintableReport),
                    ),
                ),
            )
        )

    def needs(self) -> PapersView | None:
        """What the piece asks of any organ, and how the open ones meet it."""
        if not self._has_piece():
            return None
        return self._open(
            Task(
                title=self.tr("What the piece asks for"),
                file_name=self._name("needs"),
                begin=lambda: self._made(make_needs),
                fields=needs_fields(len(self.session.document.organs)),
            )
        )

    def compare(self) -> PapersView | None:
        """Ask for another file of the piece and show what differs."""
        if not self._has_piece():
            return None
        path, _ = QFileDialog.getOpenFileName(
            self.window,
            self.tr("Another file of this piece"),
            "",
            self.tr("Scores (*.musicxml *.xml *.mxl);;All files (*)"),
        )
        return self.compare_with(path) if path else None

    def compare_with(self, path: str) -> PapersView | None:
        """What differs between the open piece and a file."""
        source = self.session.document.source
        mine = Path(source.path).name if source is not None and source.path else self.tr("the open score")
        return self._open(
            Task(
                title=self.tr("What differs"),
                file_name=self._name("differences"),
                begin=lambda: self._made(partial(make_differences, other=path, names=(mine, Path(path).name))),
                fields=differences_fields(),
            )
        )

    def front_page(self) -> PapersView | None:
        """The front page: specification, abbreviations, what may be replaced."""
        if not self._has_piece(needs_organ=True):
            return None
        derived = self.session.derived
        language = derived.analysis.markings.language if derived is not None else ""
        return self._open(
            Task(
                title=self.tr("Front page"),
                file_name=self._name("front-page"),
                begin=lambda: self._made(make_front_page),
                fields=front_page_fields(language or "en"),
            )
        )

    def score(self) -> PapersView | None:
        """The engraved score."""
        if not self._has_piece():
            return None
        return self._open(
            Task(
                title=self.tr("The score"),
                file_name=self._name("score"),
                begin=lambda: self._made(make_score),
                fields=score_fields(),
                can_be_large=False,
            )
        )

    def mark_up(self) -> MarkUpCard | None:
        """The card on which the score is marked up; the score can be read and scrolled beside it."""
        if not self._has_piece():
            return None
        for card in self.window.findChildren(MarkUpCard):
            if card.isVisible():
                card.activateWindow()
                return card
        card = MarkUpCard(self.session, self.workers, self.window)
        card.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        card.said.connect(self._say_when_read)
        card.show()
        return card

    # what can be done from there

    def write_pistons(self, pages: Printable) -> str:
        """Write the plan's pistons at their bars, as one edit; their numbers stay from then on."""
        assert isinstance(pages, PrintableSheet)
        plan, organ = pages.plan, pages.analysis.organ
        edit = numbers_as_edit(pages.analysis, plan) if plan is not None else None
        if edit is None or plan is None or organ is None:
            return self.tr("No piston is pressed; nothing was written.")
        self.formers[self._key] = former_from_json(pages.files(".json")[""].decode(), "")
        before, derived = self.session.document, self.session.derived
        if derived is None:
            return self.tr("The markings are being read; try again in a moment.")
        subject = Subject(document=before, analysis=derived.analysis, aids=self.session.aids)

        def done(after: Document) -> None:
            if self.session.document is before:
                self.session.undo.push(EditCommand(self.session, shown(edit.said), before, after))

        self.workers.submit(lambda: with_pistons(subject, edit), done, self._on_failed)
        return self.tr("The pistons are written into the score; undo takes them out again.")

    def keep_numbers(self, _pages: Printable) -> str:
        """Ask for a plan saved before, whose numbers stay."""
        path, _ = QFileDialog.getOpenFileName(
            self.window, self.tr("A plan saved before"), "", self.tr("Plans (*.json)")
        )
        if not path:
            return ""
        try:
            data, _stamp = read_bytes(path, limit=_LARGEST)
            self.formers[self._key] = former_from_json(data.decode("utf-8", errors="replace"), path)
        except StopwrightError as error:
            return str(error)
        for view in self.window.findChildren(PapersView):
            view.refresh()
        return ""

    def number_queries(self) -> str:
        """Give every error and everything to decide a number; one edit."""
        derived = self.session.derived
        if derived is None:
            return self.tr("Open a score first; the queries are about its markings.")
        score = derived.analysis.score
        fresh = unnumbered(self.session.document.notes, derived.analysis.findings, score)
        if not fresh:
            return self.tr("Every error and everything to decide has its number.")
        edits = tuple(asking(finding, score) for finding in fresh)
        self.session.perform(Together(edits=edits, what=say("number the queries")))
        return self.tr("{0} queries are numbered; save the score to keep them.").format(len(fresh))

    # how

    def _on_failed(self, error: Exception) -> None:
        self.window.say(str(error))

    def _keep_size(self, view: PapersView, _index: int) -> None:
        """The next view begins with the paper that was chosen last."""
        self._size = view.size_of_paper

    def _say_when_read(self, words: str) -> None:
        """Say it when the piece has been worked through: until then the foot tells how far that is."""
        self._to_say = words

    def _on_derived(self) -> None:
        words, self._to_say = self._to_say, ""
        if words:
            QTimer.singleShot(0, self, lambda: self.window.say(words))

    @property
    def _assistants(self) -> int:
        """Who help at the console, as the piece was worked through."""
        derived = self.session.derived
        return derived.analysis.decisions.player.assistants if derived is not None else 0

    @property
    def _key(self) -> tuple[str, str]:
        source, organ = self.session.document.source, self.session.organ
        return (str(source.path or "") if source is not None else "", organ.name if organ is not None else "")

    def _name(self, what: str) -> str:
        source = self.session.document.source
        stem = Path(source.path).stem if source is not None and source.path else "score"
        return slug(f"{stem} {what}")

    def _has_piece(self, *, needs_organ: bool = False) -> bool:
        if self.session.document.source is None:
            self.window.say(self.tr("Open a score first; this is made of it."))
        elif self.session.derived is None:
            self.window.say(self.tr("The markings are being read; try again in a moment."))
        elif needs_organ and self.session.organ is None:
            self.window.say(self.tr("Open or choose an organ first; this is made for one."))
        else:
            return True
        return False

    def _made(self, make: Callable[..., Printable]) -> Callable[[Asked], Printable]:
        """What makes the pages, of the document as it is now."""
        derived = self.session.derived
        if derived is None:
            raise StopwrightError(self.tr("The markings are being read."))
        subject = Subject(document=self.session.document, analysis=derived.analysis, aids=self.session.aids)
        return lambda asked: make(subject, asked=asked)

    def _open(self, task: Task) -> PapersView:
        view = PapersView(task, self.workers, self.window.colours, self.window, size=self._size)
        view.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        view.size_box.currentIndexChanged.connect(partial(self._keep_size, view))
        view.told.connect(self.window.say)
        self.session.derived_ready.connect(view.refresh)
        view.open()
        return view

"""What the actions do: one method for each line of the action table."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QFileDialog,
    QLabel,
    QMessageBox,
    QScrollArea,
    QVBoxLayout,
)

from app.actions import keys_page, keys_words
from app.builtin import demo_organ, demo_piece
from app.going import Going
from app.lettering import text_font
from app.listing import is_list
from app.translation import tr
from core import __version__
from core.document import Document


class Doing(Going):
    """The window's hands."""

    # files

    def do_open_score(self) -> None:
        """Ask for a score and open it."""
        self.ask_for_score(None)

    def ask_for_score(self, then: Callable[[], None] | None) -> None:
        """Ask for a score, open it, then call `then`."""
        path, _ = QFileDialog.getOpenFileName(
            self.window,
            self.tr("Open a score"),
            "",
            self.tr("Scores (*.musicxml *.xml *.mxl);;All files (*)"),
        )
        if path and self.window.saving.may_lose_changes():
            self.window.open(path, then=then)

    def do_open_organ(self) -> None:
        """Ask for a specification and open it."""
        path, _ = QFileDialog.getOpenFileName(
            self.window,
            self.tr("Open an organ"),
            "",
            self.tr("Specifications and stop lists (*.yaml *.yml *.txt);;All files (*)"),
        )
        if path and is_list(path):
            self.window.listing.open_list(path)
        elif path:
            self.window.open(None, [path])

    def do_paste_list(self) -> None:
        """Make an organ of a pasted stop list."""
        self.window.listing.paste()

    def do_organ_page(self) -> None:
        """The organ's specification page."""
        self.window.listing.show_page()

    def do_open_demo(self) -> None:
        """The built-in piece on the built-in organ."""
        piece, organ = demo_piece(), demo_organ()
        if piece is not None and self.window.saving.may_lose_changes():
            self.window.open(piece, [str(organ)] if organ else [])

    def do_newer_file(self) -> None:
        """Open a newer file of the piece with the notes."""
        self.window.newer.ask()

    def do_save(self) -> None:
        """Save the score and what was decided."""
        self.window.saving.save()

    def do_show_opening(self) -> None:
        """Close the score; the organs stay."""
        if not self.window.saving.may_lose_changes():
            return
        self.session.undo.clear()
        organs = self.session.document
        self.session.set_document(Document(organs=organs.organs, chosen=organs.chosen))
        self.window.show_opening()

    def do_quit(self) -> None:
        """Close the window."""
        self.window.close()

    # marking up

    def do_write(self) -> None:
        """Write a marking at the cursor."""
        if self.session.score is None:
            self.window.say(self.tr("Open a score first; a marking is written into it."))
            return
        self.window.score.writing.write()

    def do_mark_up(self) -> None:
        """Write what this organ needs into the score."""
        self.window.papers.mark_up()

    def do_copy_marking(self) -> None:
        """Copy the chosen marking."""
        if not self.window.score.copying.copy():
            self.window.say(self.tr("Choose a marking first: click it in the score."))

    def do_paste_marking(self) -> None:
        """Put the copied marking at the cursor."""
        if not self.window.score.copying.paste():
            self.window.say(self.tr("There is no marking to paste: choose one and copy it (Ctrl+C)."))

    def do_put_elsewhere(self) -> None:
        """Put the chosen marking at several other beats."""
        if self.session.marking is None:
            self.window.say(self.tr("Choose a marking first: click it in the score."))
            return
        self.window.score.copying.begin(self.session.marking)

    def do_bracket(self) -> None:
        """Begin a bracket at the cursor."""
        if self.session.score is None:
            self.window.say(self.tr("Open a score first; a bracket is drawn over one of its staves."))
            return
        self.window.score.setFocus()
        self.window.score.brackets.extend(1)
        self.window.say(
            self.tr("Shift and the arrows make the bracket longer or shorter; Enter writes it, Esc does not.")
        )

    def do_pencil(self) -> None:
        """Pencil something in at the cursor."""
        self.window.pencil.begin()

    def do_pencil_list(self) -> None:
        """All pencil marks of the organ."""
        self.window.pencil.show_list()

    def do_pencil_into_score(self) -> None:
        """Write the pencil marks into the score."""
        self.window.pencil.write_into_score()

    def do_piece(self) -> None:
        """What was found out about the piece."""
        self.window.ways.show_piece()

    def do_text_larger(self) -> None:
        """All words a step larger."""
        self.window.manners.resize_text(1)

    def do_text_smaller(self) -> None:
        """All words a step smaller."""
        self.window.manners.resize_text(-1)

    def do_colours(self) -> None:
        """The colour book."""
        self.window.colours_desk.show()

    def do_own_words(self) -> None:
        """The user's own words."""
        if self.session.score is None:
            self.window.say(self.tr("Open a score first; words are taught at its markings."))
            return
        self.window.score.teaching.show_list()

    def do_style_file(self) -> None:
        """Prove the wording against a house style of the user's own."""
        self.window.proof.by_style.ask_for_file()

    def do_style_copy(self) -> None:
        """Write a built-in house style to a file."""
        self.window.proof.by_style.copy_to_file()

    def do_brackets(self) -> None:
        """End solos by a bracket, or by a marking."""
        self.window.set_brackets(self.window.actions_by_id["brackets"].isChecked())

    # the organ

    def do_new_organ(self) -> None:
        """Begin a specification from nothing."""
        self._show_organ()
        self.window.organ.desk.begin_organ()

    def do_add_stop(self) -> None:
        """Add stops to the division of the chosen line, or the first."""
        self._add("stops")

    def do_add_division(self) -> None:
        """Add a division."""
        self._add("divisions")

    def do_add_coupler(self) -> None:
        """Add a coupler."""
        self._add("couplers")

    def do_add_aid(self) -> None:
        """Add a piston, a tremulant or another aid."""
        self._add("aids")

    def _add(self, section: str) -> None:
        if self._has_organ():
            self.window.organ.desk.add_to(section)

    def do_whole_organ(self) -> None:
        """Change name, place, tradition."""
        if self._has_organ():
            self.window.organ.desk.show_whole()

    def do_summary(self) -> None:
        """The organ in a few lines."""
        if self._has_organ():
            self.window.organ.desk.show_summary()

    def do_save_organ_as(self) -> None:
        """Save the organ in another file."""
        if self._has_organ():
            self.window.saving.save_organ_as()

    def _has_organ(self) -> bool:
        if self.session.organ is None:
            self.window.say(self.tr("There is no organ yet: open one, paste its stop list, or begin a new one."))
            return False
        self._show_organ()
        return True

    def _show_organ(self) -> None:
        self.window.organ.show()
        self.window.actions_by_id["fold_organ"].setChecked(True)

    # papers

    def do_sheet(self) -> None:
        """The registration sheet."""
        self.window.papers.sheet()

    def do_pistons(self) -> None:
        """The same with a plan of pistons."""
        self.window.papers.pistons()

    def do_needs(self) -> None:
        """What the piece asks of any organ."""
        self.window.papers.needs()

    def do_report(self) -> None:
        """The proof report."""
        self.window.papers.report()

    def do_number_queries(self) -> None:
        """Number the queries to the author."""
        self.window.say(self.window.papers.number_queries())

    def do_compare_files(self) -> None:
        """What differs between this file and another."""
        self.window.papers.compare()

    def do_front_page(self) -> None:
        """The front page."""
        self.window.papers.front_page()

    def do_print_score(self) -> None:
        """The engraved score."""
        self.window.papers.score()

    # looks

    def do_zoom_in(self) -> None:
        """A step larger."""
        self.window.score.zoom_in()

    def do_zoom_out(self) -> None:
        """A step smaller."""
        self.window.score.zoom_out()

    def do_fit_width(self) -> None:
        """As wide as the view."""
        self.window.score.fit_width()

    def do_strip(self) -> None:
        """One strip, or pages."""
        self.window.set_strip(self.window.actions_by_id["strip"].isChecked())

    def do_fold_organ(self) -> None:
        """Show or fold away the organ."""
        self.window.organ.setVisible(self.window.actions_by_id["fold_organ"].isChecked())

    def do_fold_proof(self) -> None:
        """Show or fold away the proof."""
        self.window.proof.setVisible(self.window.actions_by_id["fold_proof"].isChecked())

    def do_fold_beat(self) -> None:
        """Show or fold away the foot."""
        self.window.beat.setVisible(self.window.actions_by_id["fold_beat"].isChecked())

    def do_dark(self) -> None:
        """Light or dark."""
        self.window.set_dark(self.window.actions_by_id["dark"].isChecked())

    # help

    def do_show_keys(self) -> None:
        """All keys on one page."""
        cells = "<tr><td style='padding-right:24px'><b>{}</b></td><td>{}</td></tr>"
        rows = "".join(cells.format(keys_words(keys), tr(what).rstrip(".")) for keys, what in keys_page())
        dialog = QDialog(self.window)
        dialog.setWindowTitle(self.tr("Keys"))
        layout = QVBoxLayout(dialog)
        label = QLabel(f"<table cellspacing='3'>{rows}</table>", dialog)
        label.setFont(text_font())
        label.setWordWrap(True)
        rolled = QScrollArea(dialog)  # as long as the list is, it stays on the screen
        rolled.setWidget(label)
        rolled.setWidgetResizable(True)
        rolled.setFrameShape(QScrollArea.Shape.NoFrame)
        rolled.setAccessibleName(self.tr("Keys"))
        layout.addWidget(rolled)
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close, dialog)
        buttons.rejected.connect(dialog.reject)
        layout.addWidget(buttons)
        dialog.resize(round(self.window.width() * 0.75), round(self.window.height() * 0.85))
        dialog.open()

    def do_about(self) -> None:
        """What this is."""
        words = self.tr(
            "Reads the registration in an organ score, answers it with a given organ’s stops, and shows what "
            "will not work there. It is no guide to climbing into, wiring, tuning or repairing an organ: "
            "that is licensed organ builders’ work, under local rules."
        )
        box = QMessageBox(self.window)
        box.setWindowTitle(self.tr("About"))
        box.setText(f"Stopwright {__version__}")
        box.setInformativeText(words)
        box.open()

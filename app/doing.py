"""What the actions do: one method for each line of the action table."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject
from PySide6.QtWidgets import (
    QApplication,
    QDialog,
    QDialogButtonBox,
    QFileDialog,
    QLabel,
    QMessageBox,
    QVBoxLayout,
)

from app.actions import keys_page, keys_words
from app.builtin import demo_organ, demo_piece
from app.lettering import text_font
from app.listing import is_list
from app.translation import tr
from core import __version__
from core.document import Document

if TYPE_CHECKING:
    from app.window import Window


class Doing(QObject):
    """The window's hands."""

    def __init__(self, window: Window) -> None:
        super().__init__(window)
        self.window = window
        self.session = window.session

    # files

    def do_open_score(self) -> None:
        """Ask for a score and open it."""
        self._ask_for_score(None)

    def _ask_for_score(self, then: Callable[[], None] | None) -> None:
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

    def choose_way(self, way: str) -> None:
        """One of the three ways in: each begins with a score, and shows what it is about."""
        self._ask_for_score(partial(self._begin_way, way))

    def _begin_way(self, way: str) -> None:
        if way == "mark" and self.session.organ is None:
            self.do_open_organ()
        if way == "needs":
            self.session.choose_organ(None)
            self.window.organ.setVisible(True)
        if way == "proof":
            self.window.proof.setVisible(True)
            self.window.proof.view.setFocus()

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

    # going

    def do_next_finding(self) -> None:
        """The next remark after the chosen one, or after the cursor."""
        self._go_finding(1)

    def do_previous_finding(self) -> None:
        """The remark before."""
        self._go_finding(-1)

    def _go_finding(self, step: int) -> None:
        derived = self.session.derived
        if derived is None or not derived.index.findings:
            return
        if self.window.proof.is_grouped:  # then as the list has them
            following = self.window.proof.step(self.session.finding, step)
            if following is not None:
                self.session.choose_marking(None)
                self.session.choose_finding(following)
            return
        count = len(derived.index.findings)
        if self.session.finding is not None:
            number = self.session.finding + step
        else:
            onsets = [derived.index.ticks(f) or 0 for f in derived.index.findings]
            at = self.session.cursor.onset
            number = bisect_left(onsets, at) if step > 0 else bisect_left(onsets, at) - 1
        for _ in range(count):  # past those that the proof leaves out by what was chosen there
            if not self.window.proof.is_hidden(number % count):
                break
            number += step
        else:
            return
        self.session.choose_marking(None)
        self.session.choose_finding(number % count)

    def do_find_remark(self) -> None:
        """Search among the remarks."""
        self.window.proof.show()
        self.window.actions_by_id["fold_proof"].setChecked(True)
        self.window.proof.search()

    def do_next_change(self) -> None:
        """The next change of registration."""
        self._go_among(self._changes(), 1)

    def do_previous_change(self) -> None:
        """The change before."""
        self._go_among(self._changes(), -1)

    def do_next_passage(self) -> None:
        """The next solo."""
        self._go_among(self._passages(), 1)

    def do_previous_passage(self) -> None:
        """The solo before."""
        self._go_among(self._passages(), -1)

    def _changes(self) -> list[tuple[int, int]]:
        derived = self.session.derived
        if derived is None:
            return []
        ticks = derived.analysis.score.ticks
        return sorted({(int(s.at.onset * ticks), s.at.nth) for s in derived.analysis.steps})

    def _passages(self) -> list[tuple[int, int]]:
        derived = self.session.derived
        return sorted({(p.start_onset, 1) for p in derived.analysis.passages}) if derived else []

    def _go_among(self, places: list[tuple[int, int]], step: int) -> None:
        here = tuple(self.session.cursor)
        index = bisect_right(places, here) if step > 0 else bisect_left(places, here) - 1
        if 0 <= index < len(places):
            self.session.choose_marking(None)
            self.session.move_to(*places[index])
        else:
            self.window.say(self.tr("There is none further on.") if step > 0 else self.tr("There is none before."))

    def do_next_place(self) -> None:
        """To the next of the four places."""
        self._go_round(1)

    def do_previous_place(self) -> None:
        """To the place before."""
        self._go_round(-1)

    def _go_round(self, step: int) -> None:
        places = [place for place in self.window.places() if place.isVisibleTo(self.window)]
        focus = QApplication.focusWidget()
        here = next((n for n, p in enumerate(places) if focus is p or (focus and p.isAncestorOf(focus))), -1)
        target = places[(here + step) % len(places)] if here >= 0 else places[0]
        target.setFocus()

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
        layout.addWidget(label)
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close, dialog)
        buttons.rejected.connect(dialog.reject)
        layout.addWidget(buttons)
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

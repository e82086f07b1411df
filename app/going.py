"""The actions that go somewhere: to remarks, changes, solos, and round the four places."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Qt
from PySide6.QtWidgets import QApplication

from app.compare_organs import SwitchView

if TYPE_CHECKING:
    from app.window import Window


class Going(QObject):
    """The window's feet."""

    def __init__(self, window: Window) -> None:
        super().__init__(window)
        self.window = window
        self.session = window.session

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

    def do_next_organ(self) -> None:
        """The next of the open organs."""
        if not self.window.organ.switch.choose_next(1):
            self.window.say(self.tr("No other organ is open: open one, or take one of the built-in ones."))

    def do_organ_changes(self) -> None:
        """What the chosen organ changes beside the one before."""
        switched = self.window.organ.switch.switched
        if switched is None:
            self.window.say(self.tr("Change to another organ first (F4); then this says what that changes."))
            return
        view = SwitchView(self.session, switched, self.window)
        view.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        view.show()

    def do_show_needs(self) -> None:
        """What the piece asks for, or the score again."""
        self.window.ways.turn()

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

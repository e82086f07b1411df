"""The card beside a marking: how it was read word by word, what it draws here and why, what else would do."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from html import escape

from PySide6.QtCore import Qt
from PySide6.QtGui import QFont
from PySide6.QtWidgets import QFrame, QLabel, QVBoxLayout, QWidget

from app.lettering import heading_font, text_font
from app.links import link_label
from app.palette import SIGNS
from app.sentences import chosen_words, label_of, read_word_by_word
from app.session import Session
from core.edits import PinStops
from core.markings.gathering import MarkingRead
from core.markings.model import Action
from core.organ.model import Organ
from core.resolve.model import Because, Keyboards, Step
from core.score.model import MarkingId

CARD_WIDTH = 380
_CHOICES = 4
_ASKING = frozenset({Action.FULL, Action.REDUCE, Action.COUPLE, Action.UNCOUPLE, Action.PISTON})


class MarkingCard(QFrame):
    """Shows one marking of the session's piece."""

    def __init__(self, session: Session, parent: QWidget) -> None:
        super().__init__(parent)
        self.session = session
        self.setObjectName("card")
        self.setFixedWidth(CARD_WIDTH)
        self.setAutoFillBackground(True)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName(self.tr("Marking"))
        self._layout = QVBoxLayout(self)
        self._layout.setContentsMargins(16, 12, 16, 12)
        self._layout.setSpacing(5)

    def show_marking(self, marking: MarkingId) -> None:
        """Fill the card."""
        self._empty()
        derived = self.session.derived
        mark = derived.index.marks.get(marking) if derived else None
        if derived is None or mark is None:
            return
        self._say(f"“{mark.text.text.strip()}”", text_font(1.2, italic=True))
        self._heading(self.tr("Read as"))
        self._word_by_word(mark)
        step = self._step_of(marking)
        organ = self.session.organ
        if organ is None:
            self._say(self.tr("Choose an organ at the left to see what it draws there."))
        else:
            self._heading(self.tr("Draws here"))
            self._answers(marking, mark, step, organ)
        self._findings(marking)
        self._link(self.tr("Close (Esc)"), lambda: self.session.choose_marking(None))

    def _empty(self) -> None:
        while (item := self._layout.takeAt(0)) is not None:
            widget = item.widget()
            if widget is not None:
                widget.hide()
                widget.deleteLater()

    def _say(self, words: str, font: QFont | None = None, *, rich: bool = False) -> QLabel:
        label = QLabel(words, self)
        label.setWordWrap(True)
        label.setTextFormat(Qt.TextFormat.RichText if rich else Qt.TextFormat.PlainText)
        label.setFont(font if font is not None else text_font())
        self._layout.addWidget(label)
        return label

    def _heading(self, words: str) -> None:
        label = self._say(words, heading_font(0.82))
        label.setContentsMargins(0, 6, 0, 0)

    def _link(self, words: str, call: Callable[[], None]) -> QLabel:
        """Words that do something when they are clicked, or chosen with Tab and Enter."""
        label = link_label(words, call, self)
        self._layout.addWidget(label)
        return label

    def _word_by_word(self, mark: MarkingRead) -> None:
        rows = read_word_by_word(mark)
        if not rows:
            self._say(self.tr("Nothing that asks for registration."))
            return
        cells = "".join(
            f"<tr><td style='padding-right:12px'><i>{escape(words)}</i></td><td>{escape(meaning)}</td></tr>"
            for words, meaning in rows
        )
        self._say(f"<table cellspacing='1'>{cells}</table>", rich=True)
        if mark.reading.ambiguous:
            self._say(self.tr("It can be read in another way too."), text_font(italic=True))

    def _step_of(self, marking: MarkingId) -> Step | None:
        derived = self.session.derived
        steps = derived.analysis.steps if derived else ()
        return next((step for step in steps if marking in step.markings), None)

    def _answers(self, marking: MarkingId, mark: MarkingRead, step: Step | None, organ: Organ) -> None:
        derived = self.session.derived
        keyboards = derived.analysis.keyboards if derived is not None else Keyboards()
        mine = [b for b in step.because if _belongs(b, mark, step, keyboards)] if step is not None else []
        reasons = list({(b.request, b.division, b.chosen): b for b in mine}.values())
        if not reasons:
            self._say(self.tr("It draws no stop; it says who plays where, or how."))
        for because in reasons:
            if because.chosen:
                name = "" if because.division is None else organ.division(because.division).name + ": "
                self._say(f"{name}{chosen_words(organ, because)}", text_font(bold=True))
            self._say(f"for ‘{because.request}’: {because.why}")
            for other in because.alternatives[:_CHOICES]:
                pin = PinStops(organ=organ.name, marking=marking, request=because.request, stops=(other,))
                words = self.tr("Take {0} instead").format(label_of(organ, other))
                self._link(words, partial(self.session.perform, pin))

    def _findings(self, marking: MarkingId) -> None:
        derived = self.session.derived
        if derived is None:
            return
        numbers = derived.index.findings_of.get(marking, [])
        if numbers:
            self._heading(self.tr("To look at"))
        for number in numbers:
            finding = derived.index.findings[number]
            words = f"{SIGNS[finding.level.value]} {finding.message}"
            self._link(words, partial(self.session.choose_finding, number))


def _belongs(because: Because, mark: MarkingRead, step: Step, keyboards: Keyboards) -> bool:
    """Whether a reason speaks of this marking, where several markings share a step."""
    if len(step.markings) <= 1:
        return True
    asking = [i for i in mark.instructions if i.stops or i.action in _ASKING]
    if not asking:
        return False
    divisions = {keyboards.answers.get(i.division) for i in asking if i.division}
    if divisions and because.division is not None and because.division not in divisions:
        return False
    words = because.request.casefold()
    named = [s.name.casefold() for i in asking for s in i.stops if s.name]
    return any(name in words or words in name for name in named) or not named

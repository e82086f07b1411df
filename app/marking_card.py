"""The card beside a marking: how it was read word by word, what it draws here and why, what else would do."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from app.card import Card
from app.lettering import text_font
from app.palette import SIGNS
from app.sentences import chosen_words, label_of, read_word_by_word, word_table
from app.session import Session
from app.translation import shown, told
from core.edits import PinStops
from core.markings.gathering import MarkingRead
from core.markings.model import Action
from core.organ.model import Organ
from core.resolve.model import Because, Keyboards, Step
from core.score.model import MarkingId, TextKind
from core.texts import say

_MOVEABLE = frozenset({TextKind.WORDS, TextKind.REHEARSAL})
_CHANGEABLE = _MOVEABLE | {TextKind.CREDIT}
_CHOICES = 4
_ASKING = frozenset({Action.FULL, Action.REDUCE, Action.COUPLE, Action.UNCOUPLE, Action.PISTON})


class MarkingCard(Card):
    """Shows one marking of the session's piece.

    Signals:
        change_wanted, move_wanted, delete_wanted, copies_wanted: what is to be done with the marking, by its id.
    """

    change_wanted = Signal(object)
    move_wanted = Signal(object)
    delete_wanted = Signal(object)
    copies_wanted = Signal(object)

    def __init__(self, session: Session, parent: QWidget) -> None:
        super().__init__(parent)
        self.session = session
        self.setAccessibleName(self.tr("Marking"))

    def show_marking(self, marking: MarkingId) -> None:
        """Fill the card."""
        self.empty()
        derived = self.session.derived
        mark = derived.index.marks.get(marking) if derived else None
        if derived is None or mark is None:
            return
        self.say(told("“{text}”", text=mark.text.text.strip()), text_font(1.2, italic=True))
        self.heading(self.tr("Read as"))
        self._word_by_word(mark)
        step = self._step_of(marking)
        organ = self.session.organ
        if organ is None:
            self.say(self.tr("Choose an organ at the left to see what it draws there."))
        else:
            self.heading(self.tr("Draws here"))
            self._answers(marking, mark, step, organ)
        self._findings(marking)
        self.heading(self.tr("This marking"))
        if mark.text.kind in _CHANGEABLE:
            self.link(self.tr("Change the wording (F2)"), lambda: self.change_wanted.emit(marking))
        if mark.text.kind in _MOVEABLE:
            self.link(self.tr("Move it to another beat"), lambda: self.move_wanted.emit(marking))
        if mark.text.kind in _MOVEABLE:
            self.link(self.tr("Put it at other places too …"), lambda: self.copies_wanted.emit(marking))
        if mark.text.kind in _CHANGEABLE:
            self.link(self.tr("Delete it (Delete)"), lambda: self.delete_wanted.emit(marking))
        self.link(self.tr("Close (Esc)"), lambda: self.session.choose_marking(None))

    def _word_by_word(self, mark: MarkingRead) -> None:
        rows = read_word_by_word(mark)
        if not rows:
            self.say(self.tr("Nothing that asks for registration."))
            return
        self.say(word_table(rows), rich=True)
        for unread in mark.reading.unread:
            teach = partial(self.session.own_words.teach_wanted.emit, mark.id, unread.text)
            self.link(self.tr("Teach ‘{0}’ …").format(unread.text), teach)
        if mark.reading.ambiguous:
            self.say(self.tr("It can be read in another way too."), text_font(italic=True))

    def _step_of(self, marking: MarkingId) -> Step | None:
        derived = self.session.derived
        steps = derived.analysis.steps if derived else ()
        return next((step for step in steps if marking in step.markings), None)

    def _answers(self, marking: MarkingId, mark: MarkingRead, step: Step | None, organ: Organ) -> None:
        derived = self.session.derived
        keyboards = derived.analysis.keyboards if derived is not None else Keyboards()
        mine = [b for b in step.because if _belongs(b, mark, step, keyboards)] if step is not None else []
        reasons = list({(b.division, b.chosen or b.request): b for b in mine}.values())
        if not reasons:
            self.say(self.tr("It draws no stop; it says who plays where, or how."))
        for because in reasons:
            if because.chosen:
                name = "" if because.division is None else organ.division(because.division).name + ": "
                self.say(f"{name}{chosen_words(organ, because)}", text_font(bold=True))
            self.say(told("for ‘{request}’: {why}", request=say(because.request), why=because.why))
            for other in because.alternatives[:_CHOICES]:
                pin = PinStops(organ=organ.name, marking=marking, request=because.request, stops=(other,))
                words = self.tr("Take {0} instead").format(label_of(organ, other))
                self.link(words, partial(self.session.perform, pin))

    def _findings(self, marking: MarkingId) -> None:
        derived = self.session.derived
        if derived is None:
            return
        numbers = derived.index.findings_of.get(marking, [])
        if numbers:
            self.heading(self.tr("To look at"))
        for number in numbers:
            finding = derived.index.findings[number]
            words = f"{SIGNS[finding.level.value]} {shown(finding.message)}"
            self.link(words, partial(self.session.choose_finding, number))


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

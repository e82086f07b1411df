"""Above the list of remarks: a field to search in, what to leave out, and how the rest is grouped."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QEvent, QObject, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QGridLayout, QLineEdit, QVBoxLayout, QWidget

from app.choice_box import ChoiceBox
from app.lettering import text_font
from app.links import link_label
from app.open_finding import place_words, printed_words
from app.palette import LEVEL_WORDS, SIGNS
from app.proof_kinds import kind_words
from app.queries import matches, query_choices, query_of, query_words
from app.session import Session
from app.translation import shown, tr
from core.findings import Finding
from core.score.printed_places import PrintedPlace, printed_places

_LOW = 420  # in a window of less height the choices are folded away until they are asked for


class Sieve(QWidget):
    """What is shown of the remarks, and in which order.

    Signals:
        changed: something else is to be shown.
        regrouped: the lines come in another order.
        down: the list is wanted (the arrow, or Enter, in the search field).
    """

    changed = Signal()
    regrouped = Signal()
    down = Signal()

    def __init__(self, session: Session, parent: QWidget) -> None:
        super().__init__(parent)
        self.session = session
        self.findings: tuple[Finding, ...] = ()
        self.places: tuple[PrintedPlace, ...] = ()
        self._words: list[str] = []
        self._is_open: bool | None = None  # None: as the window's height has it
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(4)
        self.search = QLineEdit(self)
        self.search.setFont(text_font())
        self.search.setClearButtonEnabled(True)
        self.search.setPlaceholderText(self.tr("Find among the remarks (Ctrl+F)"))
        self.search.setAccessibleName(self.tr("Find among the remarks"))
        self.search.textChanged.connect(lambda _: self.changed.emit())
        self.search.installEventFilter(self)
        layout.addWidget(self.search)
        self.fold = link_label("", self._turn, self)
        layout.addWidget(self.fold)
        self.choices = QWidget(self)
        layout.addWidget(self.choices)
        self.by_level, self.by_kind = self._box(self.tr("Which remarks")), self._box(self.tr("Of which kind"))
        self.by_division, self.by_page = self._box(self.tr("Of which division")), self._box(self.tr("On which page"))
        self.order = self._box(self.tr("In which order"))
        grid = QGridLayout(self.choices)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setHorizontalSpacing(10)
        grid.setVerticalSpacing(2)
        for number, box in enumerate((self.by_level, self.by_kind, self.by_division, self.by_page)):
            grid.addWidget(box, number // 2, number % 2)
            box.currentIndexChanged.connect(lambda _: self.changed.emit())
        grid.addWidget(self.order, 2, 0, 1, 2)
        self.order.currentIndexChanged.connect(lambda _: self.regrouped.emit())

    def _box(self, name: str) -> ChoiceBox:
        box = ChoiceBox(self.choices)
        box.setFont(text_font())
        box.setAccessibleName(name)
        box.setSizeAdjustPolicy(ChoiceBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        box.setMinimumContentsLength(6)
        return box

    # what there is to choose from

    def offer(self, findings: tuple[Finding, ...]) -> None:
        """Offer what the findings speak of; what was chosen stays, where it is still there."""
        score = self.session.score
        self.findings = findings
        self.places = printed_places(score) if score is not None else ()
        self._words = []
        present = {finding.level.value for finding in findings}
        levels = [(level, f"{SIGNS[level]} {tr(LEVEL_WORDS[level])}") for level in LEVEL_WORDS if level in present]
        kinds = sorted(((f.rule, kind_words(f.rule)) for f in {f.rule: f for f in findings}.values()), key=_by_words)
        divisions = [(d, self.division_name(d)) for d in dict.fromkeys(f.division for f in findings if f.division)]
        pages = [(str(p), self.tr("Page {0}").format(p)) for p in sorted({self._page(f) for f in findings} - {0})]
        queries = query_choices(self.session)
        self.by_level.offer([("", self.tr("All remarks")), *levels, *queries])
        self.by_kind.offer([("", self.tr("All kinds")), *kinds])
        self.by_division.offer([("", self.tr("All divisions")), *divisions])
        self.by_page.offer([("", self.tr("All pages")), *pages])
        orders = [
            ("", self.tr("In score order")),
            ("kind", self.tr("By kind")),
            ("level", self.tr("The gravest first")),
        ]
        orders += [("division", self.tr("By division"))] if divisions else []
        orders += [("page", self.tr("By page"))] if pages else []
        self.order.offer(orders)
        self.by_level.setVisible(len(levels) > 1 or bool(queries))
        self.by_kind.setVisible(len(kinds) > 1)
        self.by_division.setVisible(len(divisions) > 1)
        self.by_page.setVisible(len(pages) > 1)
        self.setVisible(bool(findings))
        self.unfold()

    def division_name(self, division: str) -> str:
        """A division as the organ calls it."""
        organ = self.session.organ
        for one in organ.divisions if organ is not None else ():
            if one.id == division:
                return one.name
        return division.replace("-", " ").capitalize()

    def _page(self, finding: Finding) -> int:
        return self.places[finding.at.bar].page if finding.at is not None and self.places else 0

    def group(self) -> Callable[[Finding], str] | None:
        """The heading of each finding's group in the order that was chosen; None: in score order."""
        orders: dict[str, Callable[[Finding], str]] = {
            "kind": lambda f: kind_words(f.rule),
            "level": lambda f: f"{SIGNS[f.level.value]} {tr(LEVEL_WORDS[f.level.value])}",
            "division": lambda f: (
                self.division_name(f.division) if f.division else self.tr("no division in particular")
            ),
            "page": lambda f: self.tr("Page {0}").format(self._page(f)) if self._page(f) else self.tr("whole piece"),
        }
        return orders.get(str(self.order.currentData() or ""))

    # what is left out

    def leaves_out(self, number: int) -> bool:
        """Whether a finding is left out by what was chosen or is searched for."""
        finding = self.findings[number]
        level, kind = self.by_level.currentData(), self.by_kind.currentData()
        division, page = self.by_division.currentData(), self.by_page.currentData()
        return bool(
            (level and not self._is_of(finding, level))
            or (kind and finding.rule != kind)
            or (division and finding.division != division)
            or (page and str(self._page(finding)) != page)
            or not self._is_found(number)
        )

    def _is_of(self, finding: Finding, level: str) -> bool:
        """Whether it is of a level, or of the queries that were asked for."""
        among = matches(query_of(self.session, finding), level)
        return finding.level.value == level if among is None else among

    def _is_found(self, number: int) -> bool:
        wanted = self.search.text().casefold().split()
        if not wanted:
            return True
        if not self._words:
            self._words = [self._said(finding) for finding in self.findings]
        return all(word in self._words[number] for word in wanted)

    def _said(self, finding: Finding) -> str:
        texts = [place_words(finding), printed_words(self.places, finding), kind_words(finding.rule)]
        texts += [shown(finding.message), shown(finding.why), *(shown(p.text) for p in finding.proposals)]
        texts += [tr(LEVEL_WORDS[finding.level.value]), query_words(query_of(self.session, finding))]
        texts += [self.division_name(finding.division)] if finding.division else []
        derived = self.session.derived
        mark = derived.index.marks.get(finding.marking) if derived is not None and finding.marking else None
        texts += [mark.text.text] if mark is not None else []
        return " ".join(texts).casefold()

    # folding

    def _turn(self) -> None:
        self._is_open = not self.choices.isVisibleTo(self)
        self.unfold()

    def unfold(self) -> None:
        """Show the choices where there is room for them, or they were asked for."""
        parent = self.parentWidget()
        is_low = parent is not None and parent.height() < _LOW
        is_open = self._is_open if self._is_open is not None else not is_low
        self.choices.setVisible(is_open)
        self.fold.setVisible(is_low or self._is_open is not None)
        self.fold.set_words(self.tr("Narrow the list ▴") if is_open else self.tr("Narrow the list ▾"))

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Down or Enter in the search field goes on to the list; Escape empties the field."""
        if watched is self.search and event.type() == QEvent.Type.KeyPress and isinstance(event, QKeyEvent):
            if event.key() in (Qt.Key.Key_Down, Qt.Key.Key_Return, Qt.Key.Key_Enter):
                self.down.emit()
                return True
            if event.key() == Qt.Key.Key_Escape and self.search.text():
                self.search.clear()
                return True
        return super().eventFilter(watched, event)


def _by_words(choice: tuple[str, str]) -> str:
    return choice[1].casefold()

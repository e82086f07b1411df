"""A finding opened in its place in the proof: why, what can be done, and letting it stand."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QLabel, QLineEdit, QVBoxLayout, QWidget

from app.lettering import heading_font, text_font
from app.links import LinkLabel, link_label
from app.palette import LEVEL_COLOURS, LEVEL_WORDS, SIGNS, Colours
from app.proof_kinds import kind_words
from app.queries import QueryLines
from app.session import Session
from app.translation import shown, told, tr
from core.edits import ChangeMarking, Dismiss, Edit, Raise, Together
from core.findings import Finding, Proposal
from core.score.model import Score
from core.score.printed_places import PrintedPlace, printed_places
from core.texts import Said, say

MARGIN = 14


def sentence(said: Finding | Said | str) -> str:
    """A finding's message, or other words, as a sentence."""
    words = shown(said if isinstance(said, (str, Said)) else said.message)
    return words[:1].upper() + words[1:] + ("" if words.endswith((".", "?", "!")) else ".")


def place_words(finding: Finding) -> str:
    """``bar 12`` or ``bars 12–15``, or what stands for the whole piece."""
    if finding.at is None:
        return tr("whole piece")
    if finding.until is not None and finding.until.measure != finding.at.measure:
        return told("bars {first}–{last}", first=finding.at.measure, last=finding.until.measure)
    return told("bar {bar}", bar=finding.at.measure)


def printed_words(places: tuple[PrintedPlace, ...], finding: Finding) -> str:
    """``page 2, system 3`` by the file's own breaks; empty where it has none, or the finding no place."""
    if not places or finding.at is None:
        return ""
    place = places[finding.at.bar]
    return told("page {page}, system {system}", page=place.page, system=place.system)


def raising(finding: Finding, score: Score | None) -> Raise:
    """The edit that shows a finding again that was let stand."""
    stood = dismissal(finding, score, "")
    return Raise(
        rule=stood.rule,
        marking=stood.marking,
        bar=stood.bar,
        onset=stood.onset,
        part=stood.part,
        staff=stood.staff,
    )


def dismissal(finding: Finding, score: Score | None, reason: str) -> Dismiss:
    """The edit that lets a finding stand: by its marking, else by its place, else for the piece."""
    if finding.marking is not None or finding.at is None or score is None:
        return Dismiss(rule=finding.rule, marking=finding.marking, reason=reason)
    onset = int(finding.at.onset * score.ticks)
    part = score.organ_parts[0] if score.organ_parts and finding.staff is not None else None
    staff = finding.staff if part is not None and (finding.staff or 0) <= score.parts[part].staves else None
    return Dismiss(
        rule=finding.rule,
        bar=finding.at.bar,
        onset=onset,
        part=part if staff is not None else None,
        staff=staff,
        reason=reason,
    )


class OpenFinding(QWidget):
    """A finding opened in its place.

    Signals:
        left: Escape: the list is wanted again.
    """

    left = Signal()

    def __init__(
        self, session: Session, finding: Finding, colours: Colours, parent: QWidget, *, by_bracket: bool = True
    ) -> None:
        super().__init__(parent)
        self.session = session
        self.finding = finding
        self.by_bracket = by_bracket
        self.setAutoFillBackground(True)
        palette = self.palette()
        palette.setColor(self.backgroundRole(), colours.colour("chosen"))
        self.setPalette(palette)
        self._lines = QVBoxLayout(self)
        self._lines.setContentsMargins(MARGIN, 6, MARGIN, 8)
        self._lines.setSpacing(4)
        level = finding.level.value
        score = session.score
        printed = printed_words(printed_places(score), finding) if score is not None else ""
        places = " · ".join(filter(None, (place_words(finding), printed, tr(LEVEL_WORDS[level]))))
        head = f"{SIGNS[level]}  {places}"
        self._say(head, colours.colour(LEVEL_COLOURS[level]).name())
        self._say(sentence(finding), bold=True)
        self._say(sentence(finding.why))
        if finding.proposals:
            heading = QLabel(self.tr("What can be done"), self)
            heading.setFont(heading_font(0.8))
            self._lines.addWidget(heading)
        for proposal in finding.proposals:
            self._offer(proposal)
        self._offer_teaching()
        if finding.marking is not None:
            show = partial(session.choose_marking, finding.marking)
            self._lines.addWidget(link_label(self.tr("Show the marking"), show, self))
        self._lines.addWidget(link_label(self.tr("This is clear: let it stand"), self.let_stand, self))
        self._offer_all_stand()
        self.reason = QLineEdit(self)
        self.reason.setFont(text_font())
        self.reason.setPlaceholderText(self.tr("Or say why it may stand, and press Enter"))
        self.reason.setAccessibleName(self.tr("Why it may stand"))
        self.reason.returnPressed.connect(self.let_stand)
        self._lines.addWidget(self.reason)
        self.query = QueryLines(session, finding, self)
        self._lines.addWidget(self.query)

    def _offer(self, proposal: Proposal) -> None:
        """A proposal: one click where there is an edit for it, in the form that the user prefers."""
        edit = self._edit_of(proposal)
        if edit is None:
            self._say(f"– {shown(proposal.text)}")
            return
        words = f"→ {sentence(proposal.text).rstrip('.')}"
        if proposal.marking is not None or proposal.edit is not edit:
            words += f": {shown(edit.said)}"
        self._lines.addWidget(link_label(words, partial(self.session.perform, edit), self))
        every = alike(self._findings, self.finding, proposal, by_bracket=self.by_bracket)
        if len(every) > 1:
            words = told("→→ The same for all {count} of this kind", count=len(every))
            self._lines.addWidget(link_label(words, partial(self.session.perform, all_of(every, proposal)), self))

    @property
    def _findings(self) -> tuple[Finding, ...]:
        derived = self.session.derived
        return derived.index.findings if derived is not None else ()

    def _offer_all_stand(self) -> None:
        """To let all of this kind stand at once, with the same reason."""
        every = [finding for finding in self._findings if finding.rule == self.finding.rule]
        if len(every) > 1:
            words = told("Let all {count} of this kind stand: {kind}", count=len(every), kind=kind_words(every[0].rule))
            self._lines.addWidget(link_label(words, self.let_all_stand, self))

    def _offer_teaching(self) -> None:
        """Where words were not understood: to say what they mean."""
        derived, marking = self.session.derived, self.finding.marking
        mark = derived.index.marks.get(marking) if derived is not None and marking is not None else None
        if mark is None or self.finding.rule != "marking-not-understood":
            return
        for unread in mark.reading.unread:
            teach = partial(self.session.own_words.teach_wanted.emit, mark.id, unread.text)
            self._lines.addWidget(link_label(self.tr("Teach ‘{0}’ …").format(unread.text), teach, self))

    def _edit_of(self, proposal: Proposal) -> Edit | None:
        return edit_of(proposal, by_bracket=self.by_bracket)

    def let_stand(self) -> None:
        """Dismiss it, with what was said as the reason; that is kept in the notes."""
        self.session.perform(dismissal(self.finding, self.session.score, self._why()))

    def let_all_stand(self) -> None:
        """Dismiss all of its kind, as one step."""
        every = [finding for finding in self._findings if finding.rule == self.finding.rule]
        edits = tuple(dict.fromkeys(dismissal(one, self.session.score, self._why()) for one in every))
        self.session.perform(Together(edits=edits, what=say("let {count} findings stand", count=len(edits))))

    def _why(self) -> str:
        return self.reason.text().strip() or self.tr("this is clear")

    # keys

    def focus_first(self) -> None:
        """Go to the first thing that can be done."""
        links = [link for link in self.findChildren(LinkLabel) if link.isVisibleTo(self)]
        if links:
            links[0].take_focus()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Escape goes back to the list."""
        if event.key() == Qt.Key.Key_Escape:
            self.left.emit()
        else:
            super().keyPressEvent(event)

    def _say(self, words: str, colour: str = "", *, bold: bool = False) -> None:
        label = QLabel(words, self)
        label.setTextFormat(label.textFormat().PlainText)
        label.setWordWrap(True)
        label.setFont(text_font(bold=bold))
        if colour:
            label.setStyleSheet(f"color: {colour}")
        self._lines.addWidget(label)


def edit_of(proposal: Proposal, *, by_bracket: bool) -> Edit | None:
    """What does a proposal, in the form that the user prefers."""
    first, second = proposal.edit, proposal.marking
    if not by_bracket:
        first, second = second, first
    return first if first is not None else second


def alike(findings: tuple[Finding, ...], finding: Finding, proposal: Proposal, *, by_bracket: bool) -> tuple[Edit, ...]:
    """The edits that do the same for every finding of a kind; of a marking that two of them change, the first."""
    found: dict[object, Edit] = {}
    for other in findings:
        if other.rule != finding.rule:
            continue
        same = proposal if other is finding else _same_remedy(other, proposal)
        edit = edit_of(same, by_bracket=by_bracket) if same is not None else None
        if edit is not None:
            found.setdefault(edit.marking if isinstance(edit, ChangeMarking) else edit, edit)
    return tuple(found.values())


def _same_remedy(finding: Finding, proposal: Proposal) -> Proposal | None:
    """A finding's proposal of the same wording but for what it names."""
    return next((one for one in finding.proposals if one.text.template == proposal.text.template), None)


def all_of(edits: tuple[Edit, ...], proposal: Proposal) -> Together:
    """All of a kind as one step of undo."""
    return Together(edits=edits, what=say("{what}; {count} of a kind", what=proposal.text, count=len(edits)))

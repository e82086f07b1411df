"""Edits as values: what a user (or a finding's remedy) wants changed, with a name for the undo list.

Places are part, bar index, staff and ticks from the bar's start, as `core.score.model` has them; `measure` is
the printed number, for the name alone.
"""

from __future__ import annotations

from dataclasses import dataclass

from core.organ.changes import AddPart, AddStop, ChangeStop, MoveStop, RemoveStop, SpecChange
from core.score.model import MarkingId, Ticks
from core.texts import Said, say


@dataclass(frozen=True, slots=True, kw_only=True)
class Edit:
    """Base of all edits; `name` says it in words for the undo list."""

    @property
    def said(self) -> Said:
        """The edit in words, to be shown in any language."""
        return say("change the document")

    @property
    def name(self) -> str:
        """The edit in English words."""
        return str(self.said)


def _number(measure: str, bar: int) -> str:
    return measure or str(bar + 1)


@dataclass(frozen=True, slots=True, kw_only=True)
class AddMarking(Edit):
    """Put a text into the score.

    Attributes:
        small: in small italics, as a second layer of text beside the print.
        under: printed beneath the texts above the staff that stand there already, not over them.
    """

    part: int
    bar: int
    staff: int
    in_bar: Ticks
    text: str
    placement: str = "above"
    measure: str = ""
    small: bool = False
    under: bool = False

    @property
    def said(self) -> Said:
        """``add ‘Sw. Oboe’ at bar 12``."""
        return say("add ‘{text}’ at bar {bar}", text=short(self.text), bar=_number(self.measure, self.bar))


@dataclass(frozen=True, slots=True, kw_only=True)
class AddCredit(Edit):
    """Put a text beside the music on a page: at its foot."""

    text: str
    page: int = 1

    @property
    def said(self) -> Said:
        """``add ‘…’ to page 1``."""
        return say("add ‘{text}’ to page {page}", text=short(self.text), page=self.page)


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeMarking(Edit):
    """Give a marking (or a line of the title block) another text."""

    marking: MarkingId
    text: str
    measure: str = ""

    @property
    def said(self) -> Said:
        """``change the marking at bar 12 to ‘Sw. Oboe’``."""
        bar = _number(self.measure, self.marking.bar)
        return say("change the marking at bar {bar} to ‘{text}’", text=short(self.text), bar=bar)


@dataclass(frozen=True, slots=True, kw_only=True)
class MoveMarking(Edit):
    """Put a marking elsewhere; `part` None: in its own part."""

    marking: MarkingId
    bar: int
    staff: int
    in_bar: Ticks
    part: int | None = None
    measure: str = ""

    @property
    def said(self) -> Said:
        """``move a marking to bar 13``."""
        return say("move a marking to bar {bar}", bar=_number(self.measure, self.bar))


@dataclass(frozen=True, slots=True, kw_only=True)
class DeleteMarking(Edit):
    """Take a marking out of the score; `text` is for the name alone."""

    marking: MarkingId
    text: str = ""
    measure: str = ""

    @property
    def said(self) -> Said:
        """``delete ‘Sw. Oboe’ at bar 12``."""
        bar = _number(self.measure, self.marking.bar)
        if not self.text:
            return say("delete the marking at bar {bar}", bar=bar)
        return say("delete ‘{text}’ at bar {bar}", text=short(self.text), bar=bar)


@dataclass(frozen=True, slots=True, kw_only=True)
class AddBracket(Edit):
    """Draw a bracket over a staff; `end` is the first moment no longer under it."""

    part: int
    staff: int
    bar: int
    in_bar: Ticks
    end_bar: int
    end_in_bar: Ticks
    placement: str = "above"
    measure: str = ""
    end_measure: str = ""

    @property
    def said(self) -> Said:
        """``add a bracket from bar 12 to bar 16``."""
        start, end = _number(self.measure, self.bar), _number(self.end_measure, self.end_bar)
        return say("add a bracket from bar {start} to bar {end}", start=start, end=end)


@dataclass(frozen=True, slots=True, kw_only=True)
class DeleteBracket(Edit):
    """Take out the bracket that begins at a place."""

    part: int
    staff: int
    bar: int
    in_bar: Ticks
    measure: str = ""

    @property
    def said(self) -> Said:
        """``delete the bracket at bar 12``."""
        return say("delete the bracket at bar {bar}", bar=_number(self.measure, self.bar))


@dataclass(frozen=True, slots=True, kw_only=True)
class ReplaceSpecification(Edit):
    """Give one of the document's organs another text of its file; `what` says what changed in it."""

    organ: int
    text: str
    what: str = ""

    @property
    def said(self) -> Said:
        """``change the specification: Oboe 8 renamed``."""
        return say("change the specification: {what}", what=self.what) if self.what else say("change the specification")


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeSpecification(Edit):
    """Change one entry of one of the document's organs; its file's comments and layout stay.

    `what` says it for the undo list in better words than the change itself can.
    """

    organ: int
    change: SpecChange
    what: Said | None = None

    @property
    def said(self) -> Said:
        """Its own words, else ``add Oboe 8 to the specification``."""
        if self.what is not None:
            return self.what
        match self.change:
            case AddStop(stop=stop):
                return say("add {stop} to the specification", stop=short(stop))
            case RemoveStop(stop=stop):
                return say("take {stop} out of the specification", stop=stop)
            case MoveStop(stop=stop):
                return say("move {stop} in the specification", stop=stop)
            case ChangeStop(stop=stop):
                return say("change {stop} in the specification", stop=stop)
            case AddPart(entry=entry):
                return say("add {stop} to the specification", stop=short(entry))
        return say("change the specification")


@dataclass(frozen=True, slots=True, kw_only=True)
class ChooseOrgan(Edit):
    """Take another of the document's organs; None: no organ."""

    organ: int | None

    @property
    def said(self) -> Said:
        """``choose another organ``."""
        return say("choose another organ")


@dataclass(frozen=True, slots=True, kw_only=True)
class PinStops(Edit):
    """The user's own stops (ids) for a request of a marking on one organ (its name); None: as proposed."""

    organ: str
    marking: MarkingId
    request: str
    stops: tuple[str, ...] | None

    @property
    def said(self) -> Said:
        """``choose the stops for ‘soft 8’``."""
        if self.stops is None:
            return say("go back to the proposed stops for ‘{request}’", request=short(self.request))
        return say("choose the stops for ‘{request}’", request=short(self.request))


@dataclass(frozen=True, slots=True, kw_only=True)
class SetKeyboard(Edit):
    """The division (id) of an organ (its name) that answers what the piece asks for; None: as proposed."""

    organ: str
    asked: str
    division: str | None

    @property
    def said(self) -> Said:
        """``change which keyboard answers the swell``."""
        return say("change which keyboard answers {asked}", asked=self.asked)


@dataclass(frozen=True, slots=True, kw_only=True)
class Dismiss(Edit):
    """Let a finding stand: its rule with its marking, or its place (written onset in ticks)."""

    rule: str
    marking: MarkingId | None = None
    bar: int | None = None
    onset: Ticks | None = None
    part: int | None = None
    staff: int | None = None
    reason: str = ""

    @property
    def said(self) -> Said:
        """``let a finding stand``."""
        return say("let a finding stand")


@dataclass(frozen=True, slots=True, kw_only=True)
class Raise(Edit):
    """Take a dismissal back: the finding is shown again."""

    rule: str
    marking: MarkingId | None = None
    bar: int | None = None
    onset: Ticks | None = None
    part: int | None = None
    staff: int | None = None

    @property
    def said(self) -> Said:
        """``show a finding again``."""
        return say("show a finding again")


@dataclass(frozen=True, slots=True, kw_only=True)
class SetBoundary(Edit):
    """Where the user says that the passage of a marking begins or ends (written onset); None: as proposed."""

    marking: MarkingId
    which: str
    onset: Ticks | None
    bar: int | None = None
    hand: str = ""

    @property
    def said(self) -> Said:
        """``set the end of a solo``."""
        if self.which == "start":
            return say("set the beginning of a solo")
        return say("set the end of a solo")


@dataclass(frozen=True, slots=True, kw_only=True)
class PencilIn(Edit):
    """A line of the player's own layer at a written onset, for one organ (its name); no text: rub it out."""

    onset: Ticks
    text: str
    organ: str = ""
    bar: int | None = None
    part: int | None = None
    staff: int | None = None

    @property
    def said(self) -> Said:
        """``pencil in ‘+ Oboe’``."""
        return say("pencil in ‘{text}’", text=short(self.text)) if self.text else say("rub out a pencil mark")


@dataclass(frozen=True, slots=True, kw_only=True)
class SetHand(Edit):
    """Which hand plays a staff (``right``, ``left``, ``feet``, None: nobody of ours); `clear`: as found."""

    part: int
    staff: int
    hand: str | None
    clear: bool = False

    @property
    def said(self) -> Said:
        """``change which hand plays a staff``."""
        return say("change which hand plays staff {staff}", staff=self.staff)


@dataclass(frozen=True, slots=True, kw_only=True)
class SetOrganParts(Edit):
    """Which parts (ids) are the organist's; empty: as found."""

    parts: tuple[str, ...]

    @property
    def said(self) -> Said:
        """``change which parts the organist plays``."""
        return say("change which parts the organist plays")


@dataclass(frozen=True, slots=True, kw_only=True)
class SetLanguage(Edit):
    """The language of the markings (``fr``); empty: as found."""

    language: str

    @property
    def said(self) -> Said:
        """``change the language of the markings``."""
        return say("change the language of the markings")


@dataclass(frozen=True, slots=True, kw_only=True)
class SetTradition(Edit):
    """Whose custom answers the markings (``french-symphonic``); empty: as found."""

    tradition: str

    @property
    def said(self) -> Said:
        """``change whose custom answers the markings``."""
        return say("change whose custom answers the markings")


@dataclass(frozen=True, slots=True, kw_only=True)
class Together(Edit):
    """Several edits as one step of undo. Markings in all of them are named as before the first."""

    edits: tuple[Edit, ...]
    what: Said | None = None

    @property
    def said(self) -> Said:
        """Its own name, else the first edit's."""
        return self.what or (self.edits[0].said if self.edits else say("change nothing"))


def short(text: str) -> str:
    """A text on one line and not too long, for a name."""
    flat = " ".join(text.split())
    return flat if len(flat) <= 40 else f"{flat[:38]}…"

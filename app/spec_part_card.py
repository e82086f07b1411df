"""The card of a coupler, tremulant or playing aid: put together, and written as one step of undo."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

from PySide6.QtWidgets import QWidget

from app.organ_rows import AIDS, COUPLERS
from app.palette import SIGNS, Colours
from app.spec_card import SpecCard
from app.spec_fields import ChoiceField, FlagField, TextField
from app.spec_words import TREMULANT, aid_kinds, divisions
from core.organ.changes import AddPart, ChangePart, SpecChange
from core.organ.mending import coupler_entry
from core.organ.model import Aid, AidKind, Coupler, Half, Reach, Role, Tremulant
from core.organ.part_names import aid_text
from core.organ.shorthand import ShortCoupler
from core.organ.spelling import write_feet
from core.organ.yaml_text import flow_list, flow_mapping, scalar
from core.texts import Said, say

if TYPE_CHECKING:
    from app.spec_desk import SpecDesk

_COUNTED = (AidKind.GENERAL, AidKind.DIVISIONAL, AidKind.REVERSIBLE)
_OF_A_DIVISION = (AidKind.DIVISIONAL, AidKind.VENTIL, AidKind.BOX)


class PartCard(SpecCard):
    """Base: fields that are read together when all is said."""

    section = ""

    def __init__(self, desk: SpecDesk, colours: Colours, parent: QWidget, number: int) -> None:
        super().__init__(desk, colours, parent)
        self.number = number  # -1: a new one
        self.wrong = self.say("")
        self.wrong.setStyleSheet(f"color: {colours.error}")
        self.wrong.hide()

    def _finish_making(self, add: str, change: str) -> None:
        self.lines.removeWidget(self.wrong)
        self.lines.addWidget(self.wrong)
        links = [(add if self.number < 0 else change, self.finish)]
        if self.number >= 0:
            links.append((self.tr("Take it out"), lambda: self.desk.remove_part(self.section, self.number)))
        self.ways(*links)
        self.check()

    def choose(self, key: str, name: str, choices: list[tuple[str, str]], value: str) -> ChoiceField:
        """A choice that is read with the others."""
        field = ChoiceField(name, self.colours, self)
        field.show_value(value, choices)
        field.given.connect(lambda _: self.check())
        self.fields[key] = field
        self.lines.addWidget(field)
        return field

    def write(self, key: str, name: str, value: str) -> TextField:
        """A text that is read with the others."""
        field = TextField(name, self.colours, self)
        field.show_value(value)
        field.edit.textEdited.connect(lambda _: self.check())
        field.edit.returnPressed.connect(self.finish)
        self.fields[key] = field
        self.lines.addWidget(field)
        return field

    def tick(self, key: str, name: str, words: str, is_so: bool) -> FlagField:
        """A yes or no that is read with the others."""
        field = FlagField(name, words, self.colours, self)
        field.show_value(is_so)
        field.given.connect(lambda _: self.check())
        self.fields[key] = field
        self.lines.addWidget(field)
        return field

    def value(self, key: str) -> str:
        """What a field says."""
        return self.fields[key].value()

    def is_there(self) -> bool:
        """A list of couplers or aids that was changed meanwhile is gone through anew."""
        return False

    def words(self) -> str:
        """What is being put together, in words."""
        return ""

    def entry(self) -> tuple[str, str]:
        """The section, and what is to be written there."""
        raise NotImplementedError

    def change(self) -> SpecChange:
        """The change of the specification."""
        section, entry = self.entry()
        if self.number < 0:
            return AddPart(section=section, entry=entry)
        return ChangePart(section=section, index=self.number, entry=entry)

    def said(self) -> Said:
        """Its name in the list of undo."""
        words = self.words()
        return say("add {what}", what=words) if self.number < 0 else say("change a playing aid to {what}", what=words)

    def trouble(self) -> str:
        """What is wrong with it; empty where nothing is."""
        return self.desk.fault(self.change())

    def check(self) -> bool:
        """Tell what it would be, or what is wrong with it; whether nothing is."""
        self.facts.setText(self.words())
        wrong = self.trouble()
        self.wrong.setText(f"{SIGNS['error']} {wrong}" if wrong else "")
        self.wrong.setVisible(bool(wrong))
        self.grown.emit()
        return not wrong

    def finish(self) -> None:
        """Write it."""
        if self.check():
            self.desk.perform(self.said(), self.change())
            self.left.emit()


class CouplerCard(PartCard):
    """A coupler."""

    section = COUPLERS

    def __init__(self, desk: SpecDesk, colours: Colours, parent: QWidget, number: int) -> None:
        super().__init__(desk, colours, parent, number)
        self.setAccessibleName(self.tr("Coupler"))
        self.title.setText(self.tr("A new coupler") if number < 0 else self.tr("Coupler"))
        names = divisions(self.organ)
        ids = [division.id for division in self.organ.divisions]
        coupler = self.organ.couplers[number] if number >= 0 else self._proposed(ids)
        self.choose("from", self.tr("Brings the"), names, coupler.source)
        self.choose("to", self.tr("to the"), names, coupler.target)
        pitches = [
            ("8", self.tr("at its pitch (8)")),
            ("16", self.tr("an octave lower (16)")),
            ("4", self.tr("an octave higher (4)")),
            ("off", self.tr("unison off")),
        ]
        pitch = "off" if coupler.unison_off else write_feet(coupler.pitch)
        self.choose("pitch", self.tr("Pitch"), pitches, pitch)
        halves = [("", self.tr("all keys")), ("bass", self.tr("bass")), ("treble", self.tr("treble"))]
        self.choose("half", self.tr("Keys"), halves, coupler.half.value if coupler.half else "")
        self.tick("permanent", self.tr("Always on"), self.tr("cannot be put off"), coupler.permanent)
        self._finish_making(self.tr("Add it"), self.tr("Write it"))

    def _proposed(self, ids: list[str]) -> Coupler:
        """One that is not there yet."""
        there = {(coupler.source, coupler.target) for coupler in self.organ.couplers}
        main, pedal = self.organ.with_role(Role.GREAT), self.organ.pedal
        manuals = [division.id for division in reversed(self.organ.manuals)]
        for target in [division.id for division in (main, pedal) if division is not None] + manuals:
            for source in manuals:
                if source != target and (source, target) not in there:
                    return Coupler(source=source, target=target)
        return Coupler(source=ids[-1], target=ids[0])

    def short(self) -> ShortCoupler:
        """What the fields say."""
        pitch = self.value("pitch")
        source, target = (self.organ.division(self.value(key)).name for key in ("from", "to"))
        half = self.value("half")
        return ShortCoupler(
            source=source,
            target=target,
            pitch=Fraction(8 if pitch == "off" else int(pitch)),
            half=Half(half) if half else None,
            permanent=self.value("permanent") == "yes",
            unison_off=pitch == "off",
        )

    def words(self) -> str:
        """``Swell to Great 4``."""
        short = self.short()
        if short.unison_off:
            return self.tr("{0} unison off").format(short.source)
        if short.source == short.target:
            way = self.tr("sub octave") if short.pitch == 16 else self.tr("octave")
            return f"{short.source} {way}"
        pitch = "" if short.pitch == 8 else f" {write_feet(short.pitch)}"
        return self.tr("{0} to {1}").format(short.source, short.target) + pitch

    def said(self) -> Said:
        """``add Swell to Great 4``."""
        words = self.words()
        return say("add {what}", what=words) if self.number < 0 else say("change a coupler to {what}", what=words)

    def entry(self) -> tuple[str, str]:
        """As the format writes it; a division that its name does not find goes by its id."""
        return COUPLERS, coupler_entry(self.short())

    def trouble(self) -> str:
        """Also one that is there already."""
        short = self.short()
        if short.unison_off and short.source != short.target:
            return self.tr("Unison off acts on one division: choose the same one twice.")
        if short.source == short.target and short.pitch == 8 and not short.unison_off:
            return self.tr("A division does not couple to itself at its pitch; choose another one, or another octave.")
        for number, one in enumerate(self.organ.couplers):
            same = (self.organ.division(one.source).name, self.organ.division(one.target).name, one.pitch, one.half)
            is_same = same == (short.source, short.target, short.pitch, short.half)
            if number != self.number and is_same and one.unison_off is short.unison_off:
                return self.tr("This coupler is there already.")
        return super().trouble()


class AidCard(PartCard):
    """A playing aid, or a tremulant."""

    section = AIDS

    def __init__(
        self, desk: SpecDesk, colours: Colours, parent: QWidget, number: int, *, tremulant: bool = False
    ) -> None:
        super().__init__(desk, colours, parent, number)
        self.is_tremulant = tremulant
        self.section = "tremulants" if tremulant else AIDS
        self.setAccessibleName(self.tr("Playing aid"))
        self.title.setText(self.tr("A new playing aid") if number < 0 else self.tr("Playing aid"))
        aid, trembling = self._present(number)
        kinds = aid_kinds() if number < 0 else [one for one in aid_kinds() if (one[0] == TREMULANT) is tremulant]
        self.choose("kind", self.tr("Kind"), kinds, TREMULANT if tremulant else aid.kind.value)
        whole = divisions(self.organ, self.tr("the whole organ"))
        self.choose("division", self.tr("Of"), whole, (trembling.division if tremulant else aid.division) or "")
        count = self.write("count", self.tr("How many"), str(aid.count or ""))
        count.edit.setPlaceholderText("1")
        self.tick("thumb", self.tr("Worked by"), self.tr("thumb"), Reach.THUMB in aid.reach)
        self.tick("toe", "", self.tr("toe"), Reach.TOE in aid.reach)
        self.tick("hand", "", self.tr("hand"), Reach.HAND in aid.reach)
        moves = self.write("moves", self.tr("Moves"), aid.moves)
        moves.edit.setPlaceholderText(self.tr("all stops and couplers"))
        text = self.write("text", self.tr("Called"), self._called(aid, trembling if tremulant else None))
        text.edit.setPlaceholderText(self.tr("as is usual"))
        self._finish_making(self.tr("Add it"), self.tr("Write it"))

    def _present(self, number: int) -> tuple[Aid, Tremulant]:
        first = Tremulant(division=None)
        aid = Aid(kind=AidKind.GENERAL, text="", count=8, reach=(Reach.THUMB,))
        if number < 0:
            return aid, first
        if self.is_tremulant:
            return aid, self.organ.tremulants[number]
        return self.organ.aids[number], first

    def _called(self, aid: Aid, tremulant: Tremulant | None) -> str:
        if tremulant is not None:
            return "" if tremulant.name == "Tremulant" else tremulant.name
        name = self.organ.division(aid.division).name if aid.division else ""
        return "" if aid.text == aid_text(aid.kind, aid.count, name) else aid.text

    @property
    def kind(self) -> AidKind | None:
        """The kind of aid; None for a tremulant."""
        value = self.value("kind")
        return None if value == TREMULANT else AidKind(value)

    def check(self) -> bool:
        """Only what the kind has is asked for."""
        kind = self.kind
        for key, is_asked in (
            ("division", kind is None or kind in (*_OF_A_DIVISION, AidKind.OTHER, AidKind.REVERSIBLE, AidKind.FIXED)),
            ("count", kind in _COUNTED),
            ("moves", kind is not None and kind not in (AidKind.CANCEL, AidKind.BOX)),
            *((reach, kind is not None) for reach in ("thumb", "toe", "hand")),
        ):
            self.fields[key].setVisible(is_asked)
        return super().check()

    def words(self) -> str:
        """``Swell: 6 pistons``."""
        chosen = self.value("division") if self.fields["division"].isVisibleTo(self) else ""
        name = self.organ.division(chosen).name if chosen else ""
        text = self.value("text") if "text" in self.fields else ""
        if self.kind is None:
            return f"{text or self.tr('Tremulant')} ({name or self.tr('whole organ')})"
        return text or aid_text(self.kind, self._count(), name)

    def _count(self) -> int | None:
        count = self.value("count")
        is_number = self.kind in _COUNTED and count.isascii() and count.isdigit()
        return int(count) if is_number else None

    def entry(self) -> tuple[str, str]:
        """As the format writes it."""
        kind = self.kind
        chosen = self.value("division") if self.fields["division"].isVisibleTo(self) else ""
        division = self.organ.division(chosen).name if chosen else ""
        text = self.value("text")
        if kind is None:
            place = scalar(division or "whole organ", flow=True)
            named = flow_mapping({"division": place, "name": scalar(text, flow=True)})
            return "tremulants", named if text else place
        entries = {"kind": kind.value}
        entries |= {"division": scalar(division, flow=True)} if division else {}
        count = self.value("count") if kind in _COUNTED else ""
        entries |= {"count": scalar(count, flow=True)} if count else {}
        entries |= {"text": scalar(text, flow=True)} if text else {}
        moves = self.value("moves") if self.fields["moves"].isVisibleTo(self) else ""
        entries |= {"moves": scalar(moves, flow=True)} if moves else {}
        reach = [one.value for one in Reach if self.value(one.value) == "yes"]
        entries |= {"reach": flow_list(reach)} if reach else {}
        return AIDS, flow_mapping(entries)

    def trouble(self) -> str:
        """A division's pistons belong to a division; something else has a name."""
        if self.kind is AidKind.DIVISIONAL and not self.value("division"):
            return self.tr("Choose the division whose pistons they are.")
        if self.kind is AidKind.OTHER and not self.value("text"):
            return self.tr("Say what it is called: Zimbelstern, for one.")
        return super().trouble()

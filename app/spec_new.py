"""The cards that begin something: a new organ from nothing, a new division."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtWidgets import QWidget

from app.palette import SIGNS, Colours
from app.spec_card import SpecCard
from app.spec_fields import ChoiceField, FlagField, TextField
from app.spec_words import fault_words, roles
from core.errors import StopwrightError
from core.organ.beginning import MOST_MANUALS, begin_organ, beginnings
from core.organ.changes import AddDivision
from core.organ.model import Role
from core.organ.part_names import role_of_name
from core.texts import say

if TYPE_CHECKING:
    from app.spec_desk import SpecDesk

_MANUALS = ("one manual", "two manuals", "three manuals", "four manuals", "five manuals")


class NewOrganCard(SpecCard):
    """Asks for name, tradition, manuals and pedal; the divisions are written as custom has them."""

    stands_alone = True

    def __init__(self, desk: SpecDesk, colours: Colours, parent: QWidget) -> None:
        super().__init__(desk, colours, parent)
        self.setAccessibleName(self.tr("A new organ"))
        self.title.setText(self.tr("A new organ"))
        self.facts.hide()
        self.name = TextField(self.tr("Name"), colours, self)
        self.name.edit.setPlaceholderText(self.tr("St Mary, Anytown"))
        self.name.edit.returnPressed.connect(self.finish)
        self.tradition = ChoiceField(self.tr("Tradition"), colours, self)
        self.tradition.show_value("english", [(one.tradition, self.tr(one.words)) for one in beginnings()])
        self.manuals = ChoiceField(self.tr("Keyboards"), colours, self)
        counts = [(str(number), self.tr(_MANUALS[number - 1])) for number in range(1, MOST_MANUALS + 1)]
        self.manuals.show_value("2", counts)
        self.pedal = FlagField("", self.tr("and pedal"), colours, self)
        self.pedal.show_value(True)
        self.couplers = FlagField(self.tr("Couplers"), self.tr("the usual ones"), colours, self)
        self.couplers.show_value(True)
        for key in ("name", "tradition", "manuals", "pedal", "couplers"):
            field = getattr(self, key)
            self.fields[key] = field
            self.lines.addWidget(field)
            field.given.connect(lambda _: self.preview())
        self.shown = self.say("")
        self.ways((self.tr("Begin it"), self.finish))
        self.preview()

    def _text(self) -> str:
        return begin_organ(
            self.name.value(),
            self.tradition.value(),
            int(self.manuals.value()),
            pedal=self.pedal.value() == "yes",
            couplers=self.couplers.value() == "yes",
        )

    def preview(self) -> None:
        """The divisions that it would begin with, from the highest keyboard down."""
        custom = next(one for one in beginnings() if one.tradition == self.tradition.value())
        names = list(reversed(custom.manuals[int(self.manuals.value()) - 1]))
        if self.pedal.value() == "yes":
            names.append(custom.pedal)
        self.shown.setText(self.tr("From the top: {0}. All of it can be changed.").format(", ".join(names)))
        self.grown.emit()

    def finish(self) -> None:
        """Begin it; it is chosen at once."""
        try:
            self.desk.session.add_new_organ(self._text())
        except StopwrightError as error:
            self.shown.setText(f"{SIGNS['error']} {fault_words(error)}")
            return
        self.left.emit()
        first = self.desk.organ.divisions[0].id if self.desk.organ is not None else ""
        self.desk.add_stop(first)


class NewDivisionCard(SpecCard):
    """Asks for a division's name, and what it is where the name does not tell."""

    def __init__(self, desk: SpecDesk, colours: Colours, parent: QWidget) -> None:
        super().__init__(desk, colours, parent)
        self.setAccessibleName(self.tr("A new division"))
        self.title.setText(self.tr("A new division"))
        self.facts.hide()
        self.name = TextField(self.tr("Name"), colours, self)
        self.name.edit.setPlaceholderText(self.tr("Solo"))
        self.name.edit.textEdited.connect(lambda _: self.check())
        self.name.edit.returnPressed.connect(self.finish)
        self.role = ChoiceField(self.tr("Serves as"), colours, self)
        self.role.show_value("", [("", self.tr("as its name tells")), *roles()])
        self.role.given.connect(lambda _: self.check())
        for key in ("name", "role"):
            self.fields[key] = getattr(self, key)
            self.lines.addWidget(self.fields[key])
        self.ways((self.tr("Add it"), self.finish))

    def change(self) -> AddDivision:
        """The change of the specification; it gets the next keyboard where the others say theirs."""
        entries: dict[str, str] = {}
        name, chosen = self.name.value(), self.role.value()
        role = Role(chosen) if chosen else role_of_name(name)
        if chosen and role_of_name(name) is not role:
            entries["role"] = chosen
        manuals = [one for one in self.organ.divisions if one.role is not Role.PEDAL]
        are_stated = any(one.keyboard and not one.keyboard_assumed for one in manuals)
        if are_stated and role is not None and role is not Role.PEDAL:
            taken = {one.keyboard for one in manuals}
            free = next((n for n in range(1, MOST_MANUALS + 1) if f"manual-{n}" not in taken), None)
            entries["keyboard"] = f"manual {free}" if free is not None else "none"
        after = manuals[-1].id if manuals and role is not Role.PEDAL else None
        return AddDivision(name=name, entries=tuple(entries.items()), after=after)

    def is_there(self) -> bool:
        """It stays open whatever else changes."""
        return True

    def check(self) -> bool:
        """Tell what is wrong beside the field; whether nothing is."""
        wrong = (
            self.desk.fault(self.change()) if self.name.value() else self.tr("A division has a name: Solo, for one.")
        )
        if wrong and role_of_name(self.name.value()) is None and self.name.value() and not self.role.value():
            wrong = self.tr("What “{0}” is cannot be told by its name: choose it below.").format(self.name.value())
        self.name.say_wrong(wrong)
        self.grown.emit()
        return not wrong

    def finish(self) -> None:
        """Add it, and begin its first stop."""
        if not self.check():
            return
        change = self.change()
        before = {division.id for division in self.organ.divisions}
        self.desk.perform(say("add the division {name}", name=change.name), change)
        self.left.emit()
        new = next((division.id for division in self.organ.divisions if division.id not in before), None)
        if new is not None:
            self.desk.add_stop(new)

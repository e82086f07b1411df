"""The card of a stop: everything that a specification can say of it."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from PySide6.QtWidgets import QWidget

from app.organ_rows import set_pitch
from app.palette import Colours
from app.spec_card import Change, Choices, SpecCard
from app.spec_words import families, family_word, loudnesses, setting_in
from core.organ.changes import ChangeStop
from core.organ.completing import Known, known_of
from core.organ.mending import loan_forms
from core.organ.model import Division, Stop, is_enclosed
from core.organ.spelling import stop_label, write_feet, write_key
from core.texts import Said, say

if TYPE_CHECKING:
    from app.spec_desk import SpecDesk

_OWN = ""


class StopCard(SpecCard):
    """Changes one stop."""

    def __init__(self, desk: SpecDesk, colours: Colours, parent: QWidget, stop: str) -> None:
        super().__init__(desk, colours, parent)
        self.key = stop
        self.setAccessibleName(self.tr("Stop"))
        self._name_and_pitch()
        self._sound()
        self._place()
        self._keys()
        self.ways(
            (self.tr("Move to another division …"), lambda: desk.move_menu(self)),
            (self.tr("Take it out"), lambda: desk.remove_stop(self.key)),
        )
        self.refresh()

    # what it is about

    def is_there(self) -> bool:
        """Whether the stop is still there; it may have another name by now."""
        self.key = self.desk.now(self.key)
        return bool(self.key)

    @property
    def stop(self) -> Stop:
        """The stop as it stands."""
        return self.organ.stop(self.key)

    @property
    def division(self) -> Division:
        """Where it stands."""
        return self.organ.division_of(self.key)

    @property
    def known(self) -> Known:
        """What its name tells."""
        return known_of(self.stop.name, self.stop.pitch, self.stop.ranks, setting_in(self.organ, self.division.id))

    def refresh(self) -> None:
        """Show the stop as it stands."""
        stop, division = self.stop, self.division
        self.title.setText(f"{stop.name} {set_pitch(stop)}".strip())
        facts = [division.name, family_word(stop.family).partition(" (")[0]]
        if stop.guess:
            facts.append(self.tr("family guessed by the name"))
        if is_enclosed(division, stop):
            facts.append(self.tr("in a box"))
        if stop.borrowed:
            facts.append(stop.borrowed)
        self.facts.setText(", ".join(facts))
        super().refresh()

    def _change(self, said: Callable[[str], Said], *keys: str) -> Callable[[str], Change]:
        """A change of entries that all get the value; an empty one takes them away."""

        def change(value: str) -> Change:
            entries = tuple((key, value or None) for key in keys)
            return said(stop_label(self.stop)), (ChangeStop(stop=self.key, entries=entries),)

        return change

    # its fields

    def _name_and_pitch(self) -> None:
        renamed = self._change(lambda stop: say("rename {stop}", stop=stop), "name")
        self.text("name", self.tr("Name"), lambda: self.stop.name, renamed)

        def pitched(value: str) -> Change:
            wanted = value.replace("′", "").removesuffix("ft").strip() or "none"
            said = say("change the pitch of {stop}", stop=stop_label(self.stop))
            return said, (ChangeStop(stop=self.key, entries=(("pitch", wanted),)),)

        self.text("pitch", self.tr("Pitch in feet"), self._feet, pitched)
        ranks = self._change(lambda stop: say("change the ranks of {stop}", stop=stop), "ranks")
        self.text("ranks", self.tr("Ranks"), lambda: str(self.stop.ranks or ""), ranks)

    def _feet(self) -> str:
        return "" if self.stop.pitch is None else write_feet(self.stop.pitch)

    def _sound(self) -> None:
        family = self._change(lambda stop: say("change the family of {stop}", stop=stop), "family")
        self.choice("family", self.tr("Family"), lambda: families(self.known.family), self._family, family)
        loud = self._change(lambda stop: say("change how loud {stop} is", stop=stop), "loudness")
        self.choice(
            "loudness", self.tr("Heard as"), lambda: loudnesses(self.known.loudness), self._loudness, loud
        ).setToolTip(self.tr("How loud its player hears it, within the whole organ: 1 is softest, 10 loudest."))

    def _family(self) -> str:
        return "" if self.stop.family is self.known.family else self.stop.family.value

    def _loudness(self) -> str:
        return "" if self.stop.loudness == self.known.loudness else str(self.stop.loudness)

    def _place(self) -> None:
        boxed = self._change(lambda stop: say("change whether {stop} is enclosed", stop=stop), "enclosed")
        self.choice("enclosed", self.tr("In a box"), self._boxes, self._enclosed, boxed)
        pipes = self._change(lambda stop: say("change whose pipes {stop} speaks from", stop=stop), "pipes of")
        self.choice("pipes of", self.tr("Pipes"), self._pipes, self._owner, pipes)

        def used(value: str) -> Change:
            out = value == "no"
            label = stop_label(self.stop)
            said = say("put {stop} out of use", stop=label) if out else say("put {stop} into use", stop=label)
            return said, (ChangeStop(stop=self.key, entries=(("in use", "no" if out else None),)),)

        self.flag("in use", self.tr("In use"), self.tr("can be played at present"), lambda: self.stop.in_use, used)

    def _boxes(self) -> Choices:
        whole = {True: self.tr("enclosed"), False: self.tr("not enclosed")}
        as_division = whole.get(self.division.enclosed is True) if self.division.enclosed is not None else ""
        first = self.tr("as its division: {0}").format(as_division) if as_division else self.tr("as its division")
        return [("", first), ("yes", self.tr("enclosed")), ("no", self.tr("not enclosed"))]

    def _enclosed(self) -> str:
        return "" if self.stop.enclosed is None else "yes" if self.stop.enclosed else "no"

    def _pipes(self) -> Choices:
        found = [(_OWN, self.tr("its own"))]
        for division in self.organ.divisions:
            for stop in division.stops:
                if stop.id != self.key and (not stop.rank or stop.id == self.stop.rank):
                    form = loan_forms(stop, division)[1]
                    found.append((form, self.tr("those of {0}").format(form)))
        return found

    def _owner(self) -> str:
        for division in self.organ.divisions:
            for stop in division.stops:
                if stop.id == self.stop.rank and stop.id != self.key:
                    return loan_forms(stop, division)[1]
        return _OWN

    def _keys(self) -> None:
        for key, name, number in (("from", self.tr("From key"), 0), ("to", self.tr("To key"), 1)):
            change = self._change(lambda stop: say("change the compass of {stop}", stop=stop), key)
            field = self.text(key, name, lambda number=number: self._end(number), change)  # type: ignore[misc]
            field.edit.setPlaceholderText(self.tr("as its division"))
        half = self._change(lambda stop: say("change which half {stop} is", stop=stop), "half")
        halves: Choices = [("", self.tr("the whole compass")), ("bass", self.tr("bass")), ("treble", self.tr("treble"))]
        self.choice(
            "half", self.tr("Half"), lambda: halves, lambda: self.stop.half.value if self.stop.half else "", half
        )
        missing = self._change(lambda stop: say("change the silent notes of {stop}", stop=stop), "missing keys")
        field = self.text("missing keys", self.tr("Silent notes"), self._missing, missing)
        field.edit.setPlaceholderText(self.tr("C#2, F5: no pipe, or out of use"))
        remark = self._change(lambda stop: say("change the remark on {stop}", stop=stop), "remark")
        self.text("remark", self.tr("Remark"), lambda: self.stop.remark, remark)

    def _end(self, number: int) -> str:
        key = self.stop.compass[number]
        return "" if key is None else write_key(key)

    def _missing(self) -> str:
        return ", ".join(write_key(key) for key in sorted(self.stop.missing))

"""The cards of a division and of the organ as a whole."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from PySide6.QtWidgets import QWidget

from app.organ_rows import compass_words, extent
from app.palette import Colours
from app.spec_card import Change, Choices, SpecCard
from app.spec_words import keyboards, roles
from core.organ.beginning import beginnings
from core.organ.changes import AddPart, ChangeDivision, ChangeOrgan, RemovePart, SpecChange
from core.organ.model import Division, Role
from core.organ.spelling import write_key
from core.organ.yaml_text import scalar
from core.texts import Said, say

if TYPE_CHECKING:
    from app.spec_desk import SpecDesk

_LANGUAGES = (
    ("en", "English"), ("fr", "French"), ("de", "German"), ("nl", "Dutch"), ("it", "Italian"), ("es", "Spanish"),
    ("pt", "Portuguese"), ("da", "Danish"), ("sv", "Swedish"), ("nb", "Norwegian"), ("fi", "Finnish"), ("cs", "Czech"),
    ("pl", "Polish"),
)  # fmt: skip


class DivisionCard(SpecCard):
    """Changes one division."""

    def __init__(self, desk: SpecDesk, colours: Colours, parent: QWidget, division: str) -> None:
        super().__init__(desk, colours, parent)
        self.key = division
        self.setAccessibleName(self.tr("Division"))
        self._who_and_where()
        self._box_and_keys()
        self.ways(
            (self.tr("Add a stop …"), lambda: desk.add_stop(self.key)),
            (self.tr("Take the division out"), lambda: desk.remove_division(self.key)),
        )
        self.refresh()

    def is_there(self) -> bool:
        """Whether the division is still there; it may have another name by now."""
        self.key = self.desk.now(self.key)
        return bool(self.key)

    @property
    def division(self) -> Division:
        """The division as it stands."""
        return self.organ.division(self.key)

    def refresh(self) -> None:
        """Show the division as it stands."""
        self.title.setText(self.division.name)
        count = len(self.division.stops)
        stops = self.tr("no stops yet") if not count else self.tr("1 stop") if count == 1 else self.tr("{0} stops")
        facts = [stops.format(count), compass_words(self.division)]
        if self.division.keyboard_assumed:
            facts.append(self.tr("keyboard by custom"))
        self.facts.setText(", ".join(fact for fact in facts if fact))
        super().refresh()

    def _change(self, said: Callable[[str], Said], key: str) -> Callable[[str], Change]:
        def change(value: str) -> Change:
            made = ChangeDivision(division=self.key, entries=((key, value or None),))
            return said(self.division.name), (made,)

        return change

    def _who_and_where(self) -> None:
        renamed = self._change(lambda name: say("rename the division {name}", name=name), "name")
        self.text("name", self.tr("Name"), lambda: self.division.name, renamed)
        role = self._change(lambda name: say("change what the {name} is", name=name), "role")
        self.choice("role", self.tr("Serves as"), roles, lambda: self.division.role.value, role).setToolTip(
            self.tr("What the division is to a piece, whatever it is called here.")
        )
        self.choice("keyboard", self.tr("Played from"), keyboards, self._keyboard, self._with_keyboard)

    def _keyboard(self) -> str:
        return (self.division.keyboard or "none").replace("-", " ")

    def _with_keyboard(self, value: str) -> Change:
        """A keyboard; where custom gave all of them so far, the others' are written down as they are."""
        said = say("change the keyboard of the {name}", name=self.division.name)
        own: list[SpecChange] = [ChangeDivision(division=self.key, entries=(("keyboard", value),))]
        if self.division.keyboard_assumed:
            own = [ChangeDivision(division=self.key, entries=(("keyboard assumed", None),)), *own]
        others: list[SpecChange] = []
        if any(division.keyboard_assumed for division in self.organ.divisions):
            for division in self.organ.divisions:
                if division.id != self.key and division.role is not Role.PEDAL and division.keyboard:
                    told = division.keyboard.replace("-", " ")
                    entries = (("keyboard", told),)
                    others.append(ChangeDivision(division=division.id, entries=entries))
        return said, (*own, *others)

    def _box_and_keys(self) -> None:
        boxed = self._change(lambda name: say("change whether the {name} is enclosed", name=name), "enclosed")
        choices: Choices = [
            ("not known", self.tr("not known")),
            ("yes", self.tr("enclosed")),
            ("no", self.tr("not enclosed")),
        ]
        self.choice("enclosed", self.tr("In a box"), lambda: choices, self._enclosed, boxed)
        box = self._change(lambda name: say("change the box of the {name}", name=name), "box")
        field = self.text("box", self.tr("Name of the box"), lambda: self.division.box or "", box)
        field.edit.setPlaceholderText(self.tr("where two divisions share one"))
        compass = self._change(lambda name: say("change the compass of the {name}", name=name), "compass")
        field = self.text("compass", self.tr("Compass"), self._compass, compass)
        field.edit.setPlaceholderText(self.tr("C2-G6, or 56 notes; middle C is C4"))
        missing = self._change(lambda name: say("change the keys that the {name} lacks", name=name), "missing keys")
        field = self.text("missing keys", self.tr("Keys it lacks"), self._missing, missing)
        field.edit.setPlaceholderText(self.tr("C#2, D#2: a short octave"))
        self.flag("tremulant", self.tr("Tremulant"), self.tr("has one of its own"), self._trembles, self._tremulant)
        remark = self._change(lambda name: say("change the remark on the {name}", name=name), "remark")
        self.text("remark", self.tr("Remark"), lambda: self.division.remark, remark)

    def _enclosed(self) -> str:
        return {None: "not known", True: "yes", False: "no"}[self.division.enclosed]

    def _compass(self) -> str:
        compass = self.division.compass
        return f"{write_key(compass[0])}-{write_key(compass[1])}" if compass else ""

    def _missing(self) -> str:
        return ", ".join(write_key(key) for key in sorted(self.division.missing))

    def _trembles(self) -> bool:
        return any(tremulant.division == self.key for tremulant in self.organ.tremulants)

    def _tremulant(self, value: str) -> Change:
        name = self.division.name
        if value == "yes":
            entry = scalar(name, flow=True)
            return say("add a tremulant to the {name}", name=name), (AddPart(section="tremulants", entry=entry),)
        gone = [n for n, one in enumerate(self.organ.tremulants) if one.division == self.key]
        changes = tuple(RemovePart(section="tremulants", index=number) for number in reversed(gone))
        return say("take out the tremulant of the {name}", name=name), changes


class OrganCard(SpecCard):
    """Changes what concerns the whole organ."""

    def __init__(self, desk: SpecDesk, colours: Colours, parent: QWidget) -> None:
        super().__init__(desk, colours, parent)
        self.setAccessibleName(self.tr("The whole organ"))
        self.text("name", self.tr("Name"), lambda: self.organ.name, self._change("name"))
        self.text("place", self.tr("Place"), lambda: self.organ.place, self._change("place"))
        self.text("builder", self.tr("Builder, year"), lambda: self.organ.builder, self._change("builder"))
        self.choice(
            "tradition",
            self.tr("Tradition"),
            self._traditions,
            lambda: self.organ.tradition or "",
            self._change("tradition"),
        ).setToolTip(self.tr("Decides what some names mean, and how keyboards lie where nothing is stated."))
        self.choice(
            "language",
            self.tr("Stop names in"),
            self._languages,
            lambda: self.organ.language or "",
            self._change("language"),
        )
        self.choice(
            "couplers carry on", self.tr("Couplers"), self._ways, self._carry, self._change("couplers carry on")
        )
        self.text("remark", self.tr("Remark"), lambda: self.organ.remark, self._change("remark"))
        self.ways()
        self.refresh()

    def refresh(self) -> None:
        """Show the organ as it stands."""
        self.title.setText(self.organ.name)
        self.facts.setText(extent(self.organ))
        super().refresh()

    def _change(self, key: str) -> Callable[[str], Change]:
        said = {
            "name": say("rename the organ"),
            "tradition": say("change the organ’s tradition"),
            "language": say("change the language of the stop names"),
            "couplers carry on": say("change whether couplers carry on"),
        }.get(key, say("change the organ’s {what}", what=key))
        return lambda value: (said, (ChangeOrgan(entries=((key, value or None),)),))

    def _traditions(self) -> Choices:
        return [("", self.tr("not said")), *((one.tradition, self.tr(one.words)) for one in beginnings())]

    def _languages(self) -> Choices:
        return [("", self.tr("not said")), *((code, self.tr(words)) for code, words in _LANGUAGES)]

    def _ways(self) -> Choices:
        return [
            ("", self.tr("not said: as is the custom")),
            ("yes", self.tr("carry on what is coupled already")),
            ("no", self.tr("bring a division’s own stops alone")),
        ]

    def _carry(self) -> str:
        return {None: "", True: "yes", False: "no"}[self.organ.couplers_carry_on]

"""The organ in a few lines, as an organist would tell a colleague: manuals, stops, compass, aids, what it lacks."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

from PySide6.QtWidgets import QWidget

from app.organ_rows import compass_words, coupler_words, extent, roman
from app.palette import Colours
from app.spec_card import SpecCard
from app.spec_division_card import OrganCard
from core.organ.model import Division
from core.organ.summary import gaps, solo_stops

if TYPE_CHECKING:
    from app.spec_desk import SpecDesk


class SummaryCard(SpecCard):
    """Shows; changes nothing."""

    def __init__(self, desk: SpecDesk, colours: Colours, parent: QWidget) -> None:
        super().__init__(desk, colours, parent)
        self.setAccessibleName(self.tr("Summary"))
        self.table = self.say("", rich=True)
        self.heading(self.tr("Couplers and aids"))
        self.helps = self.say("")
        self.heading(self.tr("Solo stops"))
        self.solos = self.say("")
        self.heading(self.tr("What it lacks"))
        self.lacks = self.say("")
        self.ways((self.tr("Change name, place, tradition …"), self._change))
        self.refresh()

    def refresh(self) -> None:
        """Tell the organ as it stands."""
        organ = self.organ
        self.title.setText(organ.name)
        self.facts.setText(extent(organ))
        rows = "".join(self._row(division) for division in organ.divisions)
        self.table.setText(f"<table cellspacing='0' cellpadding='2'>{rows}</table>")
        couplers = ", ".join(coupler_words(organ, coupler) for coupler in organ.couplers)
        aids = "; ".join(aid.text for aid in organ.aids)
        count = len(organ.tremulants)
        trembling = (
            "" if not count else self.tr("1 tremulant") if count == 1 else self.tr("{0} tremulants").format(count)
        )
        helps = ". ".join(text for text in (couplers, trembling, aids) if text)
        self.helps.setText(f"{helps}." if helps else self.tr("None are written down."))
        self.solos.setText("\n".join(solo_stops(organ)) or self.tr("None."))
        lacks = "; ".join(gaps(organ))
        self.lacks.setText(
            f"{lacks[:1].upper()}{lacks[1:]}." if lacks else self.tr("Nothing that pieces usually ask for.")
        )

    def _row(self, division: Division) -> str:
        keyboard = division.keyboard or ""
        number = roman(int(keyboard[-1])) if keyboard.startswith("manual-") else self.tr("Ped.") if keyboard else "–"
        count = len(division.stops)
        stops = self.tr("1 stop") if count == 1 else self.tr("{0} stops").format(count)
        box = self.tr("in a box") if division.enclosed else ""
        cells = (number, division.name, stops, compass_words(division), box)
        return "<tr>" + "".join(f"<td style='padding-right:10px'>{escape(cell)}</td>" for cell in cells) + "</tr>"

    def _change(self) -> None:
        desk, window = self.desk, self.desk.panel.window()
        desk.show_card(OrganCard(desk, self.colours, window), None)

    def focus_first(self, key: str = "") -> None:
        """Nothing is to be filled in."""
        self.setFocus()

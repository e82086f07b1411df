"""What a reading has gathered so far."""

from __future__ import annotations

from dataclasses import dataclass, field

from core.organ.lists.drafts import AidDraft, CouplerDraft, DivisionDraft, StopDraft, TremulantDraft
from core.organ.lists.headings import Heading
from core.organ.lists.keys import Compass, first_key
from core.organ.lists.lines import Piece
from core.texts import Said, say


@dataclass(frozen=True, slots=True, kw_only=True)
class Note:
    """A sentence that speaks of stops of a division: of boxes, or of what a mark means."""

    piece: Piece
    within: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Scope:
    """A compass and whose it is: ``manuals``, ``pedal``, ``all`` or the index of a division."""

    whose: str | int
    compass: Compass
    lines: tuple[int, ...]


@dataclass(slots=True)
class Gathered:
    """The drafts of a whole list, and which lines gave something."""

    divisions: list[DivisionDraft] = field(default_factory=list)
    couplers: list[CouplerDraft] = field(default_factory=list)
    tremulants: list[TremulantDraft] = field(default_factory=list)
    aids: list[AidDraft] = field(default_factory=list)
    notes: list[Note] = field(default_factory=list)
    compasses: list[Scope] = field(default_factory=list)
    doubts: list[tuple[int, Said]] = field(default_factory=list)

    def open_division(self, heading: Heading) -> int:
        """A new division for a heading; its index."""
        word = heading.word
        compass = heading.compass
        if compass is None and heading.keys:
            compass = Compass(36, 36 + heading.keys - 1)
        division = DivisionDraft(
            name=heading.printed or (word.name if word else ""),
            role=word.role if word else None,
            keyboard=heading.keyboard,
            lines=heading.piece.lines,
            language=word.language if word else "",
            enclosed=heading.enclosed,
            recit=bool(word and word.recit),
            weak=bool(word and word.weak),
            count=heading.count,
            compass=compass,
            shorts=(heading.abbreviation,) if heading.short else (),
            first=first_key(heading.first) if heading.first else None,
        )
        if heading.enclosed is None and word and word.enclosed:
            division.enclosed, division.by_name = True, True
        self.divisions.append(division)
        if heading.note:
            piece = Piece(heading.note, heading.piece.lines)
            self.notes.append(Note(piece=piece, within=len(self.divisions) - 1))
        if heading.permanent and division.role == "pedal":
            self.couplers.append(
                CouplerDraft(
                    source="main", target="pedal", permanent=True, lines=division.lines, text=heading.piece.text
                )
            )
        if heading.odd_count:
            self.doubt(heading.piece, say("{count} is taken for a misprinted figure", count=heading.odd_count))
        if heading.phrase:
            self.doubt(heading.piece, say("the line is taken for the heading of {name}", name=division.name))
        return len(self.divisions) - 1

    def doubt(self, piece: Piece, said: Said) -> None:
        """Note another possible reading of a line."""
        self.doubts.append((piece.lines[0], said))

    def last_stop(self, within: int | None) -> StopDraft | None:
        """The stop read last in a division."""
        stops = self.divisions[within].stops if within is not None else []
        return stops[-1] if stops else None


@dataclass(slots=True)
class Place:
    """Where in the list the reading stands."""

    within: int | None = None
    section: str = "division"
    label: str = ""
    pitch_first: bool = False
    near: int | None = None
    half: str | None = None
    ventil: bool | None = None
    named: bool = False

"""What can be written into a score, and what came of it."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from core.document import Document
from core.edit_values import Edit
from core.markings.house_style import Style
from core.position import Position
from core.score.model import MarkingId
from core.texts import Said


class Resolved(StrEnum):
    """Where the stops that answer a marking are written."""

    UNDER = "under"  # beneath it, in round brackets
    INSTEAD = "instead"
    FOOTNOTES = "footnotes"
    LAYER = "layer"  # beside it in small italics


@dataclass(frozen=True, slots=True, kw_only=True)
class Wishes:
    """What is to be written.

    Attributes:
        style: the language and house style of what is written.
        resolved: the stops that answer each marking; None: not at all.
        solos: brackets round solos whose ends are known.
        opening: a block of what is drawn before playing, a line for each keyboard.
        rewrite: the print's own markings in that language and style.
        portable: beside what names stops of one organ, what would do elsewhere.
    """

    style: Style
    resolved: Resolved | None = None
    solos: bool = False
    opening: bool = False
    rewrite: bool = False
    portable: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Planned:
    """One thing to write, with the marking that it belongs to (None: the piece's)."""

    edit: Edit
    marking: MarkingId | None = None
    at: Position | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftOut:
    """What was not written, and why."""

    text: str
    why: Said
    at: Position | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class MarkedUp:
    """The marked-up document.

    Attributes:
        written: the names of the edits, in order.
        written_at: the place of each; None: it is of the whole piece.
        left: what was wished for and not written.
    """

    document: Document
    written: tuple[Said, ...] = ()
    written_at: tuple[Position | None, ...] = ()
    left: tuple[LeftOut, ...] = field(default=())

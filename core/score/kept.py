"""What a reading keeps, so that after an edit only the bars that differ need be read again."""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

from core.score.gathering import BarSigns, Gathering, Piece, TextDraft
from core.score.model import Bar, Note, Part
from core.score.outline import Outline
from core.score.parts import PartHeader
from core.score.timeline import WalkState
from core.texts import Said


@dataclass(frozen=True, slots=True)
class Players:
    """Whose the parts are, as read from their list and their first attributes."""

    headers: tuple[PartHeader, ...]
    parts: tuple[Part, ...]
    offers: tuple[Said, ...]


class BarRead(NamedTuple):
    """How one bar of one part was read.

    Attributes:
        before: the walk's state before it; `after` is that behind it.
        note: ordinal of the last note before it.
        direction: ordinal of the last direction before it, in the file in which it was read.
        piece: what was found in it.
        signs: what this part's bar says about the order of playing.
        number: the bar's printed number.
    """

    part: int
    before: WalkState
    after: WalkState
    note: int
    direction: int
    piece: Piece
    signs: BarSigns
    number: str


@dataclass(slots=True, kw_only=True)
class Kept:
    """The inner side of a score that was read. Nothing in it changes once made, save that `outline` is found late.

    Attributes:
        text: the score's XML as UTF-8.
        notes: as the file gives them to the hands.
        told: the organ's part as the caller named it.
        elements: how many elements the file holds, at the most.
        found: everything but the notes, in reading order.
        records: by bar, its parts in the order in which they were read.
        troubles: by bar, what had to be put right in the bar as a whole.
        title: the piece's title, and `headings`: the texts outside the bars.
        outline: what stands where in `text`; None until an edit asks.
        open_lines: what was said of signs that never end.
        playing: what was said of the order of playing.
        by_hands: parts and notes as the user's word on the hands, the key, makes them.
        is_readable_in_part: whether bars of this file can be read apart from the rest.
    """

    text: bytes
    notes: tuple[Note, ...]
    told: str | None
    players: Players
    ticks: int
    elements: int
    repairs: tuple[Said, ...]
    found: Gathering
    records: Sequence[Sequence[BarRead]]
    troubles: Mapping[int, Sequence[tuple[str, str]]]
    bars: tuple[Bar, ...]
    title: str
    headings: Sequence[TextDraft]
    is_readable_in_part: bool
    outline: Outline | None = None
    open_lines: list[Said] = field(default_factory=list)
    playing: tuple[Said, ...] = ()
    by_hands: dict[Hashable, tuple[tuple[Part, ...], tuple[Note, ...]]] = field(default_factory=dict)


def joined_signs(signs: Sequence[BarSigns]) -> BarSigns:
    """What all parts together say of one bar."""
    if len(signs) == 1:
        return signs[0]
    whole = BarSigns()
    for each in signs:
        whole.forward = whole.forward or each.forward
        whole.backward = max(whole.backward, each.backward)
        whole.after_jump = whole.after_jump or each.after_jump
        whole.mid_bar = whole.mid_bar or each.mid_bar
        whole.ending_starts = whole.ending_starts | each.ending_starts
        whole.ending_stops = whole.ending_stops or each.ending_stops
        whole.jumps += each.jumps
        whole.words += each.words
    return whole

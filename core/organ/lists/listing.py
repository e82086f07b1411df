"""Reads a pasted stop list as a whole."""

from __future__ import annotations

import re
from dataclasses import dataclass

from core.errors import OrganError
from core.organ.lists.asides import set_apart
from core.organ.lists.building import build
from core.organ.lists.counts import tidied
from core.organ.lists.lines import Piece, read_lines
from core.organ.lists.sections import section_of
from core.organ.lists.vocabulary import fold
from core.organ.lists.walk import walk
from core.organ.model import Organ
from core.texts import Said

MOST_SIGNS = 60_000
MOST_LINES = 700
LONGEST_LINE = 8_000
_ROUND_A_NAME = " \t*#=_:."
_MANY_LINES = 100
_MANY_SIGNS = 4_000
_WORD = re.compile(r"[^\W\d_]{3}")


@dataclass(frozen=True, slots=True, kw_only=True)
class UnreadLine:
    """A line that nothing was read from, as printed."""

    line: int
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Doubt:
    """A line of which another reading is possible, and which was taken."""

    line: int
    text: Said


@dataclass(frozen=True, slots=True, kw_only=True)
class ListReading:
    """The organ that a list was read as, the lines left over, and the doubts."""

    organ: Organ
    unread: tuple[UnreadLine, ...]
    doubts: tuple[Doubt, ...]

    @property
    def left_over(self) -> tuple[UnreadLine, ...]:
        """The unread lines that told nothing: neither the organ's name nor that a section begins."""
        return tuple(one for one in self.unread if not self._only_heads(one))

    @property
    def heads(self) -> tuple[UnreadLine, ...]:
        """The other unread lines: the organ's name and the headings of couplers, accessories, compasses."""
        return tuple(one for one in self.unread if self._only_heads(one))

    def _only_heads(self, one: UnreadLine) -> bool:
        if one.text[:1].isdigit():  # "6 thumb pistons" is no heading: it should have been read
            return False
        return one.text.strip(_ROUND_A_NAME) == self.organ.name or section_of(fold(one.text).strip()) is not None


def read_stop_list(text: str, *, name: str | None = None) -> ListReading:
    """The organ of a pasted stop list. Raises OrganError where no list can be found in the text."""
    if not text.strip():
        raise OrganError("the text is empty", remedy="Paste a stop list: one stop a line under headings")
    count = sum(map(bool, map(str.strip, text.split("\n"))))
    if len(text) > MOST_SIGNS or count > MOST_LINES:
        size = f"{len(text)} signs" if len(text) > MOST_SIGNS else f"{count} lines"
        raise OrganError(f"the text is too long for a stop list ({size})", remedy="Paste the list alone")
    if _is_hopeless(text):
        raise _nothing_found()
    lines = [line if len(line.text) <= LONGEST_LINE else Piece("", line.lines) for line in read_lines(text)]
    gathered = walk(set_apart(tidied(lines)))
    found = sum(len(division.stops) for division in gathered.divisions)
    if not found:
        raise _nothing_found()
    organ, cited = build(gathered, text, name or _title(lines, gathered.divisions[0].lines))
    printed = text.split("\n")
    unread = tuple(
        UnreadLine(line=number, text=line.strip())
        for number, line in enumerate(printed, 1)
        if line.strip() and number not in cited
    )
    doubts = dict.fromkeys((line, said) for line, said in sorted(gathered.doubts, key=lambda pair: pair[0]))
    return ListReading(organ=organ, unread=unread, doubts=tuple(Doubt(line=line, text=said) for line, said in doubts))


def _nothing_found() -> OrganError:
    return OrganError(
        "no stop was found in this text",
        remedy="A stop list has one stop a line under headings: GREAT, then Open Diapason 8",
    )


def _is_hopeless(text: str) -> bool:
    """Whether a long text can hold no list: hardly a word in it, or hardly a sign that a list is written with."""
    lines = [line for line in text.split("\n") if line.strip()]
    if len(lines) < _MANY_LINES and len(text) < _MANY_SIGNS:
        return False
    if sum(bool(_WORD.search(line)) for line in lines) * 20 < len(lines):
        return True
    signs = [sign for sign in text[:_MANY_SIGNS] if not sign.isspace()]
    return sum(sign < "\u0530" for sign in signs) * 5 < len(signs)


def _title(lines: list[Piece], first: tuple[int, ...]) -> str:
    """The first line before the list serves as its name."""
    before = [line.text.strip() for line in lines[: (first or (1,))[0] - 1] if line.text.strip()]
    return before[0][:80] if before else "Organ"

"""A page for print as a value: headings, rows in columns, notes. HTML, plain text and print are made of it.

Whoever makes a sheet, a plan or a report makes a `Paper`; nothing here knows what is printed on it.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Any

from core.export.wording import language


class PaperSize(StrEnum):
    """The paper it is printed on."""

    A4 = "a4"
    LETTER = "letter"

    @property
    def millimetres(self) -> tuple[float, float]:
        """Width and height."""
        return (210.0, 297.0) if self is PaperSize.A4 else (215.9, 279.4)


@dataclass(frozen=True, slots=True)
class Run:
    """A stretch of text in one style; a line feed in it breaks the line."""

    text: str
    bold: bool = False
    italic: bool = False
    raised: bool = False


Runs = tuple[Run, ...]
RAISED = str.maketrans("0123456789", "⁰¹²³⁴⁵⁶⁷⁸⁹")


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """A drawing in a row of its own.

    Attributes:
        svg: the drawing.
        width: in millimetres; made smaller where the column is narrower.
        height: in millimetres.
        words: what is seen on it, for those who cannot.
    """

    svg: str
    width: float
    height: float
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """Cells side by side, one for each column of its group; or a picture across them all."""

    cells: tuple[Runs, ...] = ()
    picture: Picture | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """How the cells below each other stand.

    Attributes:
        share: of the width that is left over; 0: as wide as its widest cell.
        right: set against the right edge.
    """

    share: float = 1.0
    right: bool = False


ONE_COLUMN = (Column(),)


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """Rows under a heading, kept together where there is room.

    Attributes:
        heading: set in spaced capitals; empty: none.
        note: beside or under the heading, in italics.
        columns: of its rows.
        head: names of the columns, said again after a page break.
        ruled: a hairline between the rows.
        small: set in the smaller size.
    """

    heading: str = ""
    note: str = ""
    rows: tuple[Row, ...] = ()
    columns: tuple[Column, ...] = ONE_COLUMN
    head: Row | None = None
    ruled: bool = False
    small: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Flow:
    """Groups that follow each other down so many columns of the page."""

    groups: tuple[Group, ...]
    columns: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Paper:
    """What is printed: a title, lines under it, flows.

    Attributes:
        language: of its words, as HTML names it.
        large: in large print.
    """

    title: str
    under: tuple[str, ...] = ()
    flows: tuple[Flow, ...] = ()
    language: str = field(default_factory=language)
    large: bool = False

    @property
    def groups(self) -> tuple[Group, ...]:
        """All groups in their order."""
        return tuple(group for flow in self.flows for group in flow.groups)


def plain(text: str) -> Runs:
    """A text without any style."""
    return (Run(text),)


def row(*texts: str) -> Row:
    """A row of plain texts."""
    return Row(cells=tuple(plain(text) for text in texts))


def text_of(runs: Iterable[Run]) -> str:
    """The words of runs; raised figures by signs of their own, so that they are not read as part of a name."""
    return "".join(run.text.translate(RAISED) if run.raised else run.text for run in runs)


def paper_to_json(paper: Paper) -> dict[str, Any]:
    """A paper as JSON: its words by group and row."""
    return {
        "title": paper.title,
        "under": list(paper.under),
        "groups": [
            {
                "heading": group.heading,
                "note": group.note,
                "rows": [[text_of(cell) for cell in row.cells] for row in group.rows if row.cells],
            }
            for group in paper.groups
        ],
    }

"""A paper as plain text in a fixed width."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator

from core.export.paper import Group, Paper, Row, text_of

WIDTH = 78
_GAP = 2
_INDENT = "  "
_NARROWEST = 8


def page_text(paper: Paper, width: int = WIDTH) -> str:
    """The whole page, ending in a line feed."""
    parts = [[paper.title.upper(), *(line for text in paper.under for line in _wrapped(text, width))]]
    parts += [list(_group(group, width)) for group in paper.groups]
    return "\n\n".join("\n".join(line.rstrip() for line in part) for part in parts if part) + "\n"


def _group(group: Group, width: int) -> Iterator[str]:
    if group.heading:
        yield group.heading.upper()
    if group.note:
        yield from _wrapped(group.note, width)
    rows = [row for row in ((group.head,) if group.head else ()) + group.rows if row.cells]
    widths = _widths(group, rows, width - len(_INDENT))
    for row in (group.head, *group.rows):
        if row is not None and row.cells:
            yield from _row(row, group, widths)
        elif row is not None and row.picture is not None:
            yield f"{_INDENT}[{row.picture.words}]"


def _widths(group: Group, rows: list[Row], width: int) -> list[int]:
    """As wide as the widest cell, but together no wider than the page; columns with a share give way."""
    widest = [
        max((max(map(len, text_of(row.cells[n]).split("\n"))) for row in rows if n < len(row.cells)), default=0)
        for n in range(len(group.columns))
    ]
    room = width - _GAP * (len(widest) - 1)
    giving = {n: column.share for n, column in enumerate(group.columns) if column.share}
    left = room - sum(one for n, one in enumerate(widest) if n not in giving)
    while giving:  # those that need less than their share leave the rest to the others
        total = sum(giving.values())
        content = [n for n, share in giving.items() if widest[n] <= left * share / total]
        if not content:
            for n, share in giving.items():
                widest[n] = max(_NARROWEST, int(left * share / total))
            break
        for n in content:
            left -= widest[n]
            del giving[n]
    return [max(1, one) for one in widest]


def _row(row: Row, group: Group, widths: list[int]) -> Iterator[str]:
    cells = [
        _wrapped(text_of(cell), width, can_break=bool(column.share))
        for cell, width, column in zip(row.cells, widths, group.columns, strict=False)
    ]
    for line in range(max(map(len, cells), default=0)):
        texts = []
        for cell, width, column in zip(cells, widths, group.columns, strict=False):
            text = cell[line] if line < len(cell) else ""
            texts.append(text.rjust(width) if column.right else text.ljust(width))
        yield _INDENT + (" " * _GAP).join(texts)


def _wrapped(text: str, width: int, *, can_break: bool = True) -> list[str]:
    lines = text.split("\n")
    if not can_break:
        return lines
    return [part for line in lines for part in (textwrap.wrap(line, max(width, 8)) or [""])]

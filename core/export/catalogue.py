"""The summary of many scores: a table, and as CSV."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping, Sequence
from pathlib import PurePath

from core.export.paper import Column, Flow, Group, Paper, row
from core.export.tables import safe_cell

_LEVELS = ("error", "warning", "advice")
_COLUMNS = ("score", "organ", "status", "title", "bars", "markings", "unread", *_LEVELS, "seconds", "why")
Result = Mapping[str, object]


def catalogue_paper(results: Sequence[Result], *, large: bool = False) -> Paper:
    """One line for each score and organ; what could not be read first."""
    bad = [r for r in results if r["status"] != "done"]
    good = [r for r in results if r["status"] == "done"]
    groups = []
    if bad:
        rows = tuple(row(_name(r["score"]), str(r["why"])) for r in bad)
        groups.append(Group(heading="Not read", rows=rows, columns=(Column(share=0), Column()), ruled=True))
    if good:
        rows = tuple(
            row(_name(r["score"]), _name(r["organ"]), str(r["markings"]), str(r["unread"]), *map(str, _counts(r)))
            for r in good
        )
        right = Column(share=0, right=True)
        groups.append(
            Group(
                heading="Checked",
                head=row("Score", "Organ", "markings", "unread", "▲", "◆", "●"),
                rows=rows,
                columns=(Column(), Column(), right, right, right, right, right),
                ruled=True,
            )
        )
    scores = len({r["score"] for r in results})
    under = f"{scores} scores, {len(results)} checks, {len(bad)} not read. ▲ cannot be done, ◆ to decide, ● advice"
    return Paper(title="Catalogue", under=(under,), flows=(Flow(groups=tuple(groups)),), large=large)


def _name(path: object) -> str:
    return PurePath(str(path)).name if path else "–"


def _counts(result: Result) -> list[int]:
    counts = result["counts"]
    assert isinstance(counts, Mapping)
    return [int(counts.get(level, 0)) for level in _LEVELS]


def catalogue_to_csv(results: Sequence[Result]) -> str:
    """One row for each score and organ."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(_COLUMNS)
    for result in results:
        counts = dict(zip(_LEVELS, _counts(result), strict=True)) if result["status"] == "done" else {}
        cells = [counts.get(name, result.get(name)) for name in _COLUMNS]
        writer.writerow([safe_cell(c) if isinstance(c, str) else ("" if c is None else c) for c in cells])
    return out.getvalue()

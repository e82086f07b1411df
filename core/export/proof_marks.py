"""Where findings are shown on an engraved page: a rectangle behind each bar with its sign."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence

from core.export.drawn_svg import Mark
from core.export.report import SIGNS
from core.findings import RANK, Finding
from core.score.drawing import Page

_ABOVE, _BELOW = 420.0, 260.0


def marks_on(page: Page, findings: Iterable[Finding]) -> list[Mark]:
    """The highlights of one page (its draw lists): one for each bar with findings, the gravest sign first."""
    by_bar: dict[int, list[Finding]] = defaultdict(list)
    for finding in findings:
        if finding.at is not None:
            by_bar[finding.at.bar].append(finding)
    marks = []
    for system in page["systems"]:
        for bar in system["bars"]:
            found = by_bar.get(bar["bar"]) if bar["bar"] is not None else None
            if found and bar["x"] and bar["staves"]:
                marks.append(_mark(bar, found))
    return marks


def _mark(bar: Page, found: Sequence[Finding]) -> Mark:
    left, right = bar["x"]
    top = min(pair[0] for pair in bar["staves"]) - _ABOVE
    bottom = max(pair[1] for pair in bar["staves"]) + _BELOW
    ordered = sorted(found, key=lambda f: -RANK[f.level])
    signs = "".join(dict.fromkeys(SIGNS[f.level] for f in ordered))
    number = f" {len(found)}" if len(found) > 1 else ""
    return Mark(left, top, right - left, bottom - top, signs + number, "; ".join(str(f.message) for f in ordered))

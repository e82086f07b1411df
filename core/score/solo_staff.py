"""A solo line on a staff of its own above the two of the accompaniment: then one hand has the line alone.

Common practice, no source: where the right hand has two staves and the upper carries a line while the lower sounds
too, the right hand plays the line and the left hand both staves of the accompaniment. Where the upper staff is silent,
each hand has its own again.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import replace
from fractions import Fraction

from core.score.model import Note, Score

_RIGHT, _LEFT = "right", "left"
_LINE = Fraction(7, 10)  # of the upper staff's onsets carry one note: a line


def give_solo_hand_its_line(score: Score) -> Score:
    """The score with the accompaniment under a solo staff given to the left hand; else the score itself."""
    upper = _right_staves(score)
    if len(upper) < 2 or not any(_LEFT in score.parts[p].hands for p in score.organ_parts):
        return score
    top, lower = upper[0], set(upper[1:])
    by_bar: dict[int, dict[bool, list[Note]]] = defaultdict(lambda: {True: [], False: []})
    for note in score.notes:
        place = (note.part, note.staff)
        if not note.grace and not note.cue and (place == top or place in lower):
            by_bar[note.bar][place == top].append(note)
    given = {bar for run in _runs(by_bar) if _is_solo(by_bar[b] for b in run) for bar in run}
    if not given:
        return score
    notes = tuple(
        n._replace(hand=_LEFT) if n.bar in given and n.hand == _RIGHT and (n.part, n.staff) in lower else n
        for n in score.notes
    )
    return replace(score, notes=notes)


def _right_staves(score: Score) -> list[tuple[int, int]]:
    """Every staff of the right hand, from the top of the page."""
    return [
        (part, staff)
        for part in score.organ_parts
        for staff, hand in enumerate(score.parts[part].hands, 1)
        if hand == _RIGHT
    ]


def _runs(by_bar: dict[int, dict[bool, list[Note]]]) -> Iterable[list[int]]:
    """Bars on end in which the upper staff sounds."""
    run: list[int] = []
    for bar in sorted(b for b, notes in by_bar.items() if notes[True]):
        if run and bar != run[-1] + 1:
            yield run
            run = []
        run.append(bar)
    if run:
        yield run


def _is_solo(bars: Iterable[dict[bool, list[Note]]]) -> bool:
    """Whether the upper staff has a line, and the staff below sounds under it."""
    struck: dict[int, int] = defaultdict(int)
    together = False
    for bar in bars:
        for note in bar[True]:
            struck[note.onset] += 1
        for low in bar[False]:
            together = together or any(
                n.onset < low.onset + low.duration and low.onset < n.onset + n.duration for n in bar[True]
            )
    singles = sum(count == 1 for count in struck.values())
    return together and Fraction(singles, len(struck)) >= _LINE

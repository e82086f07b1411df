"""Where a closing bracket brings a hand home: a bracket line's end, or a lone ``]``.

A bracket or ``]`` at a note includes the note: the hand is free again when that note ends.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections import defaultdict
from dataclasses import dataclass

from core.markings.gathering import MarkingRead, Markings
from core.markings.model import Brackets
from core.resolve.hands import LEFT, RIGHT, Layout, hands_meant
from core.score.model import BracketLine, MarkingId, Note, Score, Ticks
from core.score.music import Music
from core.texts import Said, say


@dataclass(frozen=True, slots=True, kw_only=True)
class Return:
    """Hands brought home at a moment (ticks as written) by a bracket that closes."""

    onset: Ticks
    hands: tuple[str, ...]
    opened: Ticks | None
    mark: MarkingId | None
    why: Said


def closing_brackets(score: Score, markings: Markings, layout: Layout, music: Music) -> list[Return]:
    """All moments at which a bracket closes over a staff of the hands, as written."""
    if not score.brackets and not any(_closes(m) for m in markings.all_texts):
        return []
    lines = music.hand_notes
    begun = {(m.text.part, m.text.staff, m.text.onset) for m in markings.marks if m.is_registration}
    found = [r for b in score.brackets if (r := _line_return(b, layout, lines, begun)) is not None]
    found += [_text_return(m, layout, lines) for m in markings.all_texts if _closes(m)]
    return sorted((r for r in found if r.hands), key=lambda r: r.onset)


def returns_by_bar(
    score: Score, markings: Markings, layout: Layout, music: Music
) -> dict[int, dict[Ticks, list[Return]]]:
    """The same by the bar in which the hand comes home."""
    found: dict[int, dict[Ticks, list[Return]]] = defaultdict(lambda: defaultdict(list))
    for back in closing_brackets(score, markings, layout, music):
        if back.onset < score.end:
            found[score.bar_at(back.onset).index][back.onset].append(back)
    return found


def after_note_at(line: list[Note], onset: Ticks) -> Ticks:
    """When the notes that begin at an onset have ended; the onset itself where none begins there."""
    first = bisect_left(line, onset, key=lambda n: n.onset)
    last = bisect_right(line, onset, key=lambda n: n.onset)
    return max((n.onset + n.duration for n in line[first:last]), default=onset)


def _line_return(
    bracket: BracketLine, layout: Layout, lines: dict[str, list[Note]], begun: set[tuple[int, int, Ticks]]
) -> Return | None:
    """Dashes count only where they begin at a registration ("Solo – – –"): else they belong to a dynamic."""
    hand = layout.hands.get((bracket.part, bracket.staff))
    if bracket.end is None or hand not in (RIGHT, LEFT, "feet"):
        return None
    if bracket.dashes and (bracket.part, bracket.staff, bracket.onset) not in begun:
        return None
    return Return(
        onset=after_note_at(lines[hand], bracket.end),
        hands=(hand,),
        opened=bracket.onset,
        mark=None,
        why=say("the bracket closes here"),
    )


def _closes(mark: MarkingRead) -> bool:
    return mark.reading.brackets is Brackets.CLOSES


def _text_return(mark: MarkingRead, layout: Layout, lines: dict[str, list[Note]]) -> Return:
    hand = layout.hand_of(mark.text)
    hands = (hand,) if hand in (RIGHT, LEFT) else hands_meant(layout, mark.text, None)[0]
    onset = max(after_note_at(lines[h], mark.text.onset) for h in hands)
    return Return(onset=onset, hands=hands, opened=None, mark=mark.id, why=say("the bracket closes here"))

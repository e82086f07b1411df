"""Putting in order what the walk gathered: texts with their ids, lines with their ends, tempos."""

from __future__ import annotations

from bisect import bisect_right
from collections import Counter, defaultdict
from fractions import Fraction
from itertools import groupby

from core.score.directions import bracket
from core.score.gathering import Gathering, LineEvent, TextDraft
from core.score.model import Bar, BracketLine, MarkingId, ScoreText, Slur, Tempo, Wedge
from core.texts import Said, say


def arrange_texts(drafts: list[TextDraft], bars: tuple[Bar, ...]) -> tuple[ScoreText, ...]:
    """Texts in written order (onset, part, staff), each with the bar it belongs to and its id."""
    numbered = sorted(enumerate(drafts), key=lambda item: (item[1].onset, item[1].part, item[1].staff, item[0]))
    ordinals: Counter[tuple[int, int, int, int]] = Counter()
    texts = []
    for _, group in groupby((draft for _, draft in numbered), key=lambda d: (d.onset, d.part, d.staff)):
        stack = list(group)
        for draft, order, placement in _printed_order(stack):
            bar = _bar_of(draft.onset, bars)
            in_bar = draft.onset - bar.onset
            place = (draft.part, bar.index, draft.staff, in_bar)
            texts.append(
                ScoreText(
                    id=MarkingId(*place, ordinals[place]),
                    text="".join(draft.runs),
                    kind=draft.kind,
                    part=draft.part,
                    staff=draft.staff,
                    bar=bar.index,
                    onset=draft.onset,
                    sounding_onset=draft.sounding_onset,
                    placement=placement,
                    order=order,
                    element=draft.element,
                    runs=draft.runs,
                    boxed=draft.boxed,
                    role=draft.role,
                )
            )
            ordinals[place] += 1
    return tuple(texts)


def _bar_of(onset: int, bars: tuple[Bar, ...]) -> Bar:
    """The bar of a printed place: the end of a bar is the next one's downbeat, save the piece's end."""
    return bars[max(bisect_right(bars, onset, key=lambda bar: bar.onset) - 1, 0)]


def _printed_order(stack: list[TextDraft]) -> list[tuple[TextDraft, int, str | None]]:
    """Each text of one place with its order (the highest is read first) and its side.

    Heights order them where every one has its own; else the file's order is the reading order. A side that
    the file does not say is the neighbours'.
    """
    sides = [draft.placement for draft in stack if draft.placement]
    placements = [draft.placement or (sides[0] if len(set(sides)) == 1 else None) for draft in stack]
    heights = [draft.height for draft in stack]
    if None not in heights and len(set(heights)) == len(heights):
        ranks = sorted(range(len(stack)), key=lambda i: heights[i] or Fraction(0))
        order = {index: rank for rank, index in enumerate(ranks)}
    else:
        order = {index: len(stack) - 1 - index for index in range(len(stack))}
    return [(draft, order[i], placements[i]) for i, draft in enumerate(stack)]


def arrange_lines(
    found: Gathering, bars: tuple[Bar, ...]
) -> tuple[tuple[Wedge, ...], tuple[BracketLine, ...], tuple[Slur, ...], list[Said]]:
    """Hairpins, brackets, dashes and slurs with their ends, and what was left open."""
    chains: dict[tuple[str, int, str], list[LineEvent]] = defaultdict(list)
    for event in found.lines:
        chains[event.what, event.part, event.number].append(event)
    wedges: list[Wedge] = []
    brackets: list[BracketLine] = []
    slurs: list[Slur] = []
    left_open: Counter[str] = Counter()
    never_begun: Counter[str] = Counter()
    for (what, _, _), events in chains.items():
        pairs, loose = _pairs(events)
        never_begun[what] += loose
        for start, end in pairs:
            if end is None:
                left_open[what] += 1
            if what == "slur":
                if end is not None:
                    slurs.append(Slur(start.part, start.staff, start.onset, end))
            elif what == "wedge":
                last = end if end is not None else bars[start.bar].onset + bars[start.bar].length
                growing = start.detail == "crescendo"
                wedges.append(Wedge(start.part, start.staff, start.bar, start.onset, last, growing, start.placement))
            else:
                brackets.append(bracket(start, end))
    repairs = [
        say("{count} signs ({what}) begin and never end.", count=count, what=what) for what, count in left_open.items()
    ]
    repairs += [
        say("{count} signs ({what}) end that never began.", count=count, what=what)
        for what, count in never_begun.items()
        if count
    ]
    return (
        tuple(sorted(wedges, key=lambda w: (w.onset, w.part, w.staff))),
        tuple(sorted(brackets, key=lambda b: (b.onset, b.part, b.staff))),
        tuple(sorted(slurs, key=lambda s: (s.onset, s.part, s.staff, s.end))),
        repairs,
    )


def _pairs(events: list[LineEvent]) -> tuple[list[tuple[LineEvent, int | None]], int]:
    """Starts with their ends, and how many ends have no start.

    A stop may stand before its start in the file, after it in time.
    """
    loose = 0
    ordered = sorted(events, key=lambda event: (event.onset, event.start))
    waiting: list[LineEvent] = []
    pairs: list[tuple[LineEvent, int | None]] = []
    for event in ordered:
        if event.start:
            if waiting:  # the same number twice: the first was never closed
                pairs += [(each, None) for each in waiting]
                waiting = []
            waiting.append(event)
        elif waiting:
            pairs.append((waiting.pop(), event.onset))
        else:
            loose += 1
    return pairs + [(event, None) for event in waiting], loose


def tempos_in_order(found: list[tuple[int, int, Fraction | None, str]]) -> tuple[Tempo, ...]:
    """Tempos in written order, the same one of several parts or of a mark and its sound once."""
    merged: dict[int, Tempo] = {}
    for bar, onset, speed, text in sorted(found, key=lambda item: item[1]):
        before = merged.get(onset)
        if before is None:
            merged[onset] = Tempo(bar, onset, speed, text)
        else:
            merged[onset] = before._replace(
                quarters_a_minute=before.quarters_a_minute or speed, text=before.text or text
            )
    return tuple(merged.values())

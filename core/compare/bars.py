"""Which bar of one file answers which of another, by their notes: bars put in or taken out shift the rest."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from difflib import SequenceMatcher

from core.score.model import Score

Pair = tuple[int | None, int | None]
Print = tuple[tuple[str, str, int], ...]
"""What a bar holds: onset and length in quarters, key, of every note."""


def match_bars(former: Score, later: Score) -> tuple[Pair, ...]:
    """Pairs of bar indexes in order; None where the other file has no such bar."""
    one, two = _prints(former), _prints(later)
    matcher = SequenceMatcher(None, one, two, autojunk=False)
    found: list[Pair] = []
    for tag, low, high, low2, high2 in matcher.get_opcodes():
        if tag == "equal":
            found += zip(range(low, high), range(low2, high2), strict=True)
        else:
            found += _alike(one, two, range(low, high), range(low2, high2))
    return tuple(found)


def _prints(score: Score) -> list[Print]:
    notes: dict[int, list[tuple[str, str, int]]] = defaultdict(list)
    for note in score.notes:
        if not note.grace:
            at = score.quarters(note.onset - score.bars[note.bar].onset)
            notes[note.bar].append((str(at), str(score.quarters(note.duration)), note.key))
    return [tuple(sorted(notes[bar.index])) for bar in score.bars]


def _alike(one: list[Print], two: list[Print], former: range, later: range) -> Iterator[Pair]:
    """Within a stretch that differs: as many bars as there are on both sides in order, the rest without answer."""
    if len(former) == len(later):
        yield from zip(former, later, strict=True)
        return
    shorter, longer, swapped = (former, later, False) if len(former) < len(later) else (later, former, True)
    prints = (two, one) if swapped else (one, two)
    offsets = range(len(longer) - len(shorter) + 1)
    best = max(
        offsets,
        key=lambda shift: sum(
            len(set(prints[0][bar]) & set(prints[1][longer[index + shift]])) for index, bar in enumerate(shorter)
        ),
        default=0,
    )
    for index, bar in enumerate(longer):
        place = index - best
        answer = shorter[place] if 0 <= place < len(shorter) else None
        yield (bar, answer) if swapped else (answer, bar)


def are_one_piece(former: Score, later: Score) -> bool:
    """Whether two scores look like files of one piece: half of the bars of the longer have the very same notes."""
    one, two = _prints(former), _prints(later)
    if not any(one) or not any(two):
        return False
    same = SequenceMatcher(None, one, two, autojunk=False).get_matching_blocks()
    alike = sum(bool(one[block.a + n]) for block in same for n in range(block.size))
    return 2 * alike >= max(sum(map(bool, one)), sum(map(bool, two)))


def later_bar_of(pairs: tuple[Pair, ...]) -> dict[int, int]:
    """For each bar of the former file that has an answer, the later one's."""
    return {one: two for one, two in pairs if one is not None and two is not None}


def bars_of_one_side(pairs: tuple[Pair, ...]) -> tuple[list[int], list[int]]:
    """Bars of the former file without answer, and of the later one."""
    gone = [one for one, two in pairs if two is None and one is not None]
    new = [two for one, two in pairs if one is None and two is not None]
    return gone, new

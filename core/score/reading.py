"""Reading a score: from a source's bytes to bars, notes, texts and signs in exact time."""

from __future__ import annotations

import gc
from dataclasses import dataclass
from math import lcm
from operator import itemgetter
from pathlib import Path

from core.errors import ScoreError
from core.score.arranging import arrange_lines, arrange_texts, tempos_in_order
from core.score.gathering import BarSigns, FinerTicksError, Gathering
from core.score.headings import find_title, heading_texts
from core.score.lengths import whole_ticks
from core.score.model import Bar, Part, Score
from core.score.parts import PartHeader, find_organ, read_headers
from core.score.playback import played_order
from core.score.quantities import read_divisions
from core.score.source import Source, read_source
from core.score.staves import Hands, octave_offers, propose_hands
from core.score.timeline import PartWalk
from core.score.tree import BarElement, Tree, read_tree
from core.texts import Said, say

MAX_TICKS = 10**9
"""More to a quarter than any score needs; beyond it the divisions are nonsense."""


def load_score(path: str | Path, part: str | None = None) -> tuple[Source, Score]:
    """Read a score file. Raises ScoreError."""
    source = read_source(path)
    return source, read_score(source, part=part)


def read_score(source: Source, *, part: str | None = None) -> Score:
    """Read a score.

    Args:
        source: the file's bytes.
        part: the organ's part, by id or name (several with commas); found where None.

    Raises:
        ScoreError: the source is no usable score.
    """
    collecting = gc.isenabled()
    gc.disable()  # the walk makes no rings, only many small values: 15 to 25 % faster
    try:
        tree = read_tree(source)
        return _read(tree, source, part)
    finally:
        if collecting:
            gc.enable()


_OVERFULL = "{count} bars hold more than their time signature (first bar {bar}); nothing of them was dropped."
_UNEQUAL = "In {count} bars the parts are of unequal length (first in bar {bar}); the longest was taken."


@dataclass(frozen=True, slots=True)
class _Players:
    headers: tuple[PartHeader, ...]
    parts: tuple[Part, ...]
    offers: tuple[Said, ...]


def _read(tree: Tree, source: Source, told: str | None) -> Score:
    players = _players(tree, told, source.path)
    ticks = _first_ticks(tree, source.path)
    while True:
        try:
            found, bars = _walk(tree, players, ticks, source.path)
            break
        except FinerTicksError as finer:
            ticks *= finer.factor
            if ticks > MAX_TICKS:
                raise ScoreError(
                    "its divisions and durations have no common measure",
                    path=source.path,
                    remedy="Export it again",
                ) from finer
    if not found.notes:
        junk = f" ({sum(found.troubles.values())} could not be read)" if found.troubles else ""
        raise ScoreError(
            f"the score holds no notes{junk}",
            path=source.path,
            where=source.member,
            remedy="Export the score with its notes",
        )
    return _arranged(tree, source, players, found, bars)


def _arranged(tree: Tree, source: Source, players: _Players, found: Gathering, bars: tuple[Bar, ...]) -> Score:
    found.notes.sort(key=itemgetter(4, 0, 1, 7))
    movements = _movements(bars)
    played, playing = played_order(bars, found.signs, movements)
    first_organ = next((i for i, p in enumerate(players.parts) if p.organ), 0)
    found.texts += heading_texts(tree.root, players.headers, players.parts, first_organ)
    wedges, brackets, slurs, open_lines = arrange_lines(found, bars)
    return Score(
        title=find_title(tree.root),
        ticks=found.ticks,
        parts=players.parts,
        bars=bars,
        notes=tuple(found.notes),
        texts=arrange_texts(found.texts, bars),
        wedges=wedges,
        brackets=brackets,
        slurs=slurs,
        dynamics=tuple(sorted(found.dynamics, key=lambda d: (d.onset, d.part, d.staff))),
        tempos=tempos_in_order(found.tempos),
        fermatas=tuple(sorted(set(found.fermatas), key=lambda f: (f.onset, f.part, f.staff))),
        played=played,
        movements=movements,
        repairs=(*source.repairs, *tree.repairs, *players.offers, *found.repairs(), *open_lines, *playing),
    )


def _players(tree: Tree, told: str | None, path: str | None) -> _Players:
    headers = read_headers(tree)
    if not headers:
        raise ScoreError("the score has no parts", path=path, remedy="Export the score with its notes")
    organ, others = find_organ(headers, told, path)
    hands: dict[int, tuple[Hands, Said]] = propose_hands(h for h in headers if h.index in organ)
    nobody = say("not the organ's")
    parts = []
    for header in headers:
        own, why = hands.get(header.index, ((None,) * header.staves, nobody))
        parts.append(
            Part(
                id=header.id,
                name=header.name,
                organ=header.index in organ,
                staves=header.staves,
                hands=own,
                why=organ.get(header.index) or others[header.index],
                hands_why=why,
            )
        )
    return _Players(headers, tuple(parts), tuple(octave_offers(headers, hands)))


def _first_ticks(tree: Tree, path: str | None) -> int:
    """The common measure of all divisions, and of the tuplets, whose lengths files may round."""
    ticks = 1
    for element in tree.root.iter("divisions"):
        ticks = lcm(ticks, read_divisions(element, path).numerator)
    for text in {element.text for element in tree.root.iter("actual-notes")}:
        number = int(text) if text and text.strip().isdigit() and len(text.strip()) < 4 else 1
        ticks = lcm(ticks, max(number, 1))
    if ticks > MAX_TICKS:
        raise ScoreError("its divisions have no common measure", path=path, remedy="Export the score again")
    return ticks


def _walk(tree: Tree, players: _Players, ticks: int, path: str | None) -> tuple[Gathering, tuple[Bar, ...]]:
    found = Gathering(ticks)
    walks = []
    for index, part in enumerate(players.parts):
        walks.append(PartWalk(index, found, part.hands, keys_as_written=part.organ, path=path))
    leader = next((i for i, part in enumerate(players.parts) if part.organ), 0)
    bars: list[Bar] = []
    start = 0
    for index in range(max(len(part) for part in tree.parts)):
        here = [(w, part[index]) for w, part in zip(walks, tree.parts, strict=True) if index < len(part)]
        first = next((bar for walk, bar in here if walk.part == leader), here[0][1])
        number = (first.measure.get("number") or str(index + 1)).strip()
        signs = BarSigns()
        found.signs.append(signs)
        lengths = [walk.read_bar(bar, index, start, number, signs) for walk, bar in here]
        length = max(lengths)
        if any(0 < each < length for each in lengths):
            found.trouble(_UNEQUAL, number)
        lead = next((walk for walk, _ in here if walk.part == leader), here[0][0])
        if length > lead.signature.quarters * ticks:
            found.trouble(_OVERFULL, number)
        if not length:
            length = whole_ticks(lead.signature.quarters * ticks)
        bars.append(_bar(index, number, start, length, lead, first))
        start += length
    return found, tuple(bars)


def _bar(index: int, number: str, start: int, length: int, lead: PartWalk, element: BarElement) -> Bar:
    signature, layout = lead.signature, lead.layout
    return Bar(
        index=index,
        number=number,
        onset=start,
        length=length,
        beats=signature.beats,
        beat_type=signature.beat_type,
        fifths=signature.fifths,
        implicit=element.measure.get("implicit") == "yes",
        barline=layout.barline,
        new_page=layout.new_page,
        new_system=layout.new_system,
        key_changes=signature.changed_key and index > 0,
        time_changes=signature.changed_time and index > 0,
    )


def _movements(bars: tuple[Bar, ...]) -> tuple[int, ...]:
    """Bars at which the numbers start again after a close."""
    starts = [0]
    highest = -1
    for bar in bars:
        number = int(bar.number) if bar.number.isdecimal() and len(bar.number) < 6 else None
        if number is None:
            continue
        if number <= 1 and highest >= 2:
            starts.append(bar.index)
            highest = number
        highest = max(highest, number)
    return tuple(starts)

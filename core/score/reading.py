"""Reading a score: from a source's bytes to bars, notes, texts and signs in exact time."""

from __future__ import annotations

import gc
from dataclasses import dataclass
from math import lcm
from operator import itemgetter
from pathlib import Path

from core.errors import ScoreError
from core.score.assembling import assemble
from core.score.gathering import BarSigns, FinerTicksError, Gathering
from core.score.headings import find_title, heading_texts
from core.score.kept import BarRead, Kept, Players, joined_signs
from core.score.lengths import whole_ticks
from core.score.model import Bar, Note, Part, Score
from core.score.parts import find_organ, read_headers
from core.score.quantities import read_divisions
from core.score.rereading import reread
from core.score.source import Source, read_source
from core.score.staves import Hands, octave_offers, propose_hands
from core.score.timeline import PartWalk
from core.score.tree import BarElement, Tree, count_elements, read_tree
from core.texts import Said, say

MAX_TICKS = 10**9
"""More to a quarter than any score needs; beyond it the divisions are nonsense."""


def load_score(path: str | Path, part: str | None = None) -> tuple[Source, Score]:
    """Read a score file. Raises ScoreError."""
    source = read_source(path)
    return source, read_score(source, part=part)


def read_score(source: Source, *, part: str | None = None, earlier: Score | None = None) -> Score:
    """Read a score.

    Args:
        source: the file's bytes.
        part: the organ's part, by id or name (several with commas); found where None.
        earlier: a score read before, of whose bytes these may be an edited form: what is the same in both is
            taken from there. The outcome is the same with and without it.

    Raises:
        ScoreError: the source is no usable score.
    """
    if earlier is not None:
        again = reread(source, part, earlier)
        if again is not None:
            return again
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


@dataclass(slots=True)
class _Walked:
    found: Gathering
    notes: list[Note]
    bars: tuple[Bar, ...]
    records: list[list[BarRead]]
    troubles: dict[int, list[tuple[str, str]]]


def _read(tree: Tree, source: Source, told: str | None) -> Score:
    players = _players(tree, told, source.path)
    ticks = _first_ticks(tree, source.path)
    while True:
        try:
            walked = _walk(tree, players, ticks, source.path)
            break
        except FinerTicksError as finer:
            ticks *= finer.factor
            if ticks > MAX_TICKS:
                raise ScoreError(
                    "its divisions and durations have no common measure",
                    path=source.path,
                    remedy="Export it again",
                ) from finer
    if not walked.notes:
        junk = f" ({len(walked.found.troubles)} could not be read)" if walked.found.troubles else ""
        raise ScoreError(
            f"the score holds no notes{junk}",
            path=source.path,
            where=source.member,
            remedy="Export the score with its notes",
        )
    walked.notes.sort(key=itemgetter(4, 0, 1, 7))
    first_organ = next((i for i, p in enumerate(players.parts) if p.organ), 0)
    kept = Kept(
        text=tree.text,
        notes=tuple(walked.notes),
        told=told,
        players=players,
        ticks=ticks,
        elements=count_elements(tree.text),
        repairs=tree.repairs,
        found=walked.found,
        records=walked.records,
        troubles=walked.troubles,
        bars=walked.bars,
        title=find_title(tree.root),
        headings=heading_texts(tree.root, players.headers, players.parts, first_organ),
        is_readable_in_part=tree.is_partwise,
    )
    return assemble(kept, source)


def _players(tree: Tree, told: str | None, path: str | None) -> Players:
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
    return Players(headers, tuple(parts), tuple(octave_offers(headers, hands)))


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


def _walk(tree: Tree, players: Players, ticks: int, path: str | None) -> _Walked:
    found = Gathering(ticks)
    walks = []
    for index, part in enumerate(players.parts):
        walks.append(PartWalk(index, found, part.hands, keys_as_written=part.organ, path=path))
    leader = next((i for i, part in enumerate(players.parts) if part.organ), 0)
    bars: list[Bar] = []
    records: list[list[BarRead]] = []
    troubles: dict[int, list[tuple[str, str]]] = {}
    start = 0
    for index in range(max(len(part) for part in tree.parts)):
        here = [(w, part[index]) for w, part in zip(walks, tree.parts, strict=True) if index < len(part)]
        first = next((bar for walk, bar in here if walk.part == leader), here[0][1])
        number = (first.measure.get("number") or str(index + 1)).strip()
        read: list[BarRead] = []
        lengths = [_read_bar(walk, bar, index, start, number, read) for walk, bar in here]
        records.append(read)
        found.signs.append(joined_signs([each.signs for each in read]))
        length = max(lengths)
        count = len(found.troubles)
        if any(0 < each < length for each in lengths):
            found.trouble(_UNEQUAL, number)
        lead = next((walk for walk, _ in here if walk.part == leader), here[0][0])
        if length > lead.signature.quarters * ticks:
            found.trouble(_OVERFULL, number)
        if len(found.troubles) > count:
            troubles[index] = found.troubles[count:]
        if not length:
            length = whole_ticks(lead.signature.quarters * ticks)
        bars.append(_bar(index, number, start, length, lead, first))
        start += length
    notes, found.notes = found.notes, []
    return _Walked(found, notes, tuple(bars), records, troubles)


def _read_bar(walk: PartWalk, bar: BarElement, index: int, start: int, number: str, read: list[BarRead]) -> int:
    """Read one part's bar, with a record of how it was read; returns its length."""
    signs = BarSigns()
    before, sizes = walk.state(), walk.found.sizes()
    note = walk.note_ordinal if bar.first_note is None else bar.first_note - 1
    direction = walk.direction_ordinal if bar.first_direction is None else bar.first_direction - 1
    length = walk.read_bar(bar, index, start, number, signs)
    after = walk.state()
    if after == before:
        after = before
    read.append(BarRead(walk.part, before, after, note, direction, walk.found.since(sizes), signs, number))
    return length


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

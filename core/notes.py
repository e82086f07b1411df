"""What a user decided about a piece: pins, dismissals, keyboards, boundaries, a player's own layer.

Decisions are kept by place and marking (`Anchor`), so that they outlive edits before them and a newer file of
the same piece; what cannot be found again is listed, never dropped. Their file is `core.notes_file`'s.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from difflib import SequenceMatcher
from fractions import Fraction
from typing import TypeVar

from core.markings.pencil import PencilMark
from core.score.model import MarkingId, Score, ScoreText

_ALIKE = 0.8


@dataclass(frozen=True, slots=True, kw_only=True)
class Anchor:
    """What names a marking outside the program: its place, its text and its neighbours' texts.

    Attributes:
        part: id of its part in the file.
        bar: index of its bar, from 0.
        measure: the printed measure number.
        time: quarters from the bar's start.
        nth: which among the texts at one place, from 1.
        before: the text before it in its part; empty where there is none.
        after: the text after it.
    """

    part: str
    bar: int
    measure: str
    staff: int
    time: Fraction
    nth: int
    text: str
    before: str = ""
    after: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """A place of the piece that is no marking's.

    Attributes:
        staff: None: of no staff in particular.
        waits: a newer file has no such bar: the place is as it was in the former one, and found nowhere.
    """

    bar: int
    measure: str
    time: Fraction
    part: str = ""
    staff: int | None = None
    waits: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class StaffHand:
    """Which hand plays a staff, as the user says: ``right``, ``left``, ``feet`` or None (nobody of ours)."""

    part: str
    staff: int
    hand: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class KeyboardRow:
    """Which division (id) of an organ answers what the piece asks for (``swell``, ``manual-2``)."""

    organ: str
    asked: str
    division: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Pin:
    """The stops (ids) that the user chose for one request of a marking on one organ."""

    organ: str
    marking: Anchor
    request: str
    stops: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Dismissal:
    """A finding that the user let stand: its rule, with its marking or place, and why."""

    rule: str
    marking: Anchor | None = None
    at: Spot | None = None
    reason: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Boundary:
    """Where the user says that a solo passage begins (``start``) or ends (``end``)."""

    marking: Anchor
    which: str
    at: Spot
    hand: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlayerNote:
    """What a player pencils in for one organ (its name; empty: for any)."""

    at: Spot
    text: str
    organ: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Query:
    """A question to the author, numbered once and for all proofs.

    Attributes:
        message: what was asked, as it was put when it got its number.
        state: ``open``, ``answered`` or ``stands`` (let stand).
        answer: what the author said, or why it stands.
    """

    number: int
    rule: str
    message: str
    marking: Anchor | None = None
    at: Spot | None = None
    state: str = "open"
    answer: str = ""


QUERY_STATES = ("open", "answered", "stands")


@dataclass(frozen=True, slots=True, kw_only=True)
class Notes:
    """All that a user decided about a piece.

    Attributes:
        organ: path of the organ's file, from the score's folder.
        language: of the markings (``fr``); empty: as found.
        tradition: whose custom answers them (``french-symphonic``); empty: as found.
        parts: ids of the parts that are the organist's; empty: as found.
    """

    organ: str = ""
    language: str = ""
    tradition: str = ""
    parts: tuple[str, ...] = ()
    hands: tuple[StaffHand, ...] = ()
    keyboards: tuple[KeyboardRow, ...] = ()
    pins: tuple[Pin, ...] = ()
    dismissals: tuple[Dismissal, ...] = ()
    boundaries: tuple[Boundary, ...] = ()
    player: tuple[PlayerNote, ...] = ()
    queries: tuple[Query, ...] = ()

    def anchors(self) -> tuple[Anchor, ...]:
        """Every marking that a decision names."""
        found = [pin.marking for pin in self.pins]
        found += [dismissal.marking for dismissal in self.dismissals if dismissal.marking]
        found += [boundary.marking for boundary in self.boundaries]
        found += [query.marking for query in self.queries if query.marking]
        return tuple(dict.fromkeys(found))

    def keyboards_on(self, organ: str) -> dict[str, str]:
        """The user's keyboard rows for an organ: asked → division id."""
        return {row.asked: row.division for row in self.keyboards if row.organ == organ}


NO_NOTES = Notes()


def follow_organ(notes: Notes, name: str, new_name: str, ids: Mapping[str, str | None]) -> Notes:
    """The notes after an organ's specification was changed: its divisions and stops may have other ids now.

    Args:
        notes: as they were.
        name: the organ's name before.
        new_name: its name now.
        ids: ids of divisions and stops before, with those they have now; None where one is gone. What named one
            that is gone stays as it was, and is told as such.
    """

    def now(old: str) -> str:
        return ids.get(old) or old

    keyboards = tuple(
        replace(row, organ=new_name, division=now(row.division)) if row.organ == name else row
        for row in notes.keyboards
    )
    pins = tuple(
        replace(pin, organ=new_name, stops=tuple(map(now, pin.stops))) if pin.organ == name else pin
        for pin in notes.pins
    )
    player = tuple(replace(line, organ=new_name) if name and line.organ == name else line for line in notes.player)
    return replace(notes, keyboards=keyboards, pins=pins, player=player)


def anchor_of(score: Score, marking: MarkingId) -> Anchor:
    """The anchor of a marking. Raises KeyError where the score has none of that id."""
    texts = [text for text in score.texts if text.id.part == marking.part]
    for index, text in enumerate(texts):
        if text.id == marking:
            return Anchor(
                part=score.parts[marking.part].id,
                bar=marking.bar,
                measure=score.bars[marking.bar].number,
                staff=marking.staff,
                time=score.quarters(marking.in_bar),
                nth=marking.ordinal + 1,
                text=_plain(text.text),
                before=_plain(texts[index - 1].text) if index else "",
                after=_plain(texts[index + 1].text) if index + 1 < len(texts) else "",
            )
    raise KeyError(marking)


def spot_of(
    score: Score, onset: int, *, bar: int | None = None, part: int | None = None, staff: int | None = None
) -> Spot:
    """The spot of a written onset (ticks)."""
    where = score.bars[bar] if bar is not None else score.bar_at(onset)
    return Spot(
        bar=where.index,
        measure=where.number,
        time=score.quarters(onset - where.onset),
        part=score.parts[part].id if part is not None else "",
        staff=staff,
    )


def find_spot(score: Score, spot: Spot) -> int | None:
    """The written onset (ticks) of a spot: by its bar, or by the measure's number where bars have shifted."""
    if spot.waits:
        return None
    bars = score.bars
    same = [bar for bar in bars if bar.number == spot.measure]
    if spot.bar < len(bars) and (bars[spot.bar].number == spot.measure or not same):
        bar = bars[spot.bar]
    elif same:
        bar = min(same, key=lambda one: abs(one.index - spot.bar))
    else:
        return None
    ticks = spot.time * score.ticks
    if ticks.denominator != 1 or not 0 <= ticks <= bar.length:
        return None
    return bar.onset + ticks.numerator


class Finder:
    """Finds the markings that decisions name in a score, be it the same file, an edited or a newer one."""

    def __init__(self, score: Score) -> None:
        self._score = score
        self._parts = {part.id: index for index, part in enumerate(score.parts)}
        self._texts: dict[int, list[ScoreText]] = {}
        for text in score.texts:
            self._texts.setdefault(text.id.part, []).append(text)

    def find(self, anchor: Anchor) -> MarkingId | None:
        """The marking that an anchor names, or None.

        Taken is the text at the very place where it still says the same; else the same text with the most
        of: both neighbours, its measure number, its place in the bar; else a like text at the very place.
        """
        part = self._parts.get(anchor.part, 0 if len(self._parts) == 1 else -1)
        texts = self._texts.get(part, [])
        exact = next((t for t in texts if self._stands_at(t, anchor) and _plain(t.text) == anchor.text), None)
        if exact is not None:
            return exact.id
        weighed = [
            (weight, -abs(text.bar - anchor.bar), index)
            for index, text in enumerate(texts)
            if (weight := self._weight(texts, index, anchor))
        ]
        if not weighed:
            return None
        best = sorted(weighed, reverse=True)[:2]
        if len(best) == 2 and best[0][:2] == best[1][:2]:
            return None  # two are as likely: better to ask than to take the wrong one
        return texts[best[0][2]].id

    def _stands_at(self, text: ScoreText, anchor: Anchor) -> bool:
        same_place = (text.id.bar, text.id.staff, text.id.ordinal) == (
            anchor.bar,
            anchor.staff,
            anchor.nth - 1,
        )
        return same_place and text.id.in_bar == anchor.time * self._score.ticks

    def _weight(self, texts: list[ScoreText], index: int, anchor: Anchor) -> int:
        """How much speaks for a text; 0: it is not the one."""
        text = texts[index]
        said = _plain(text.text)
        if said.casefold() != anchor.text.casefold():
            alike = self._stands_at(text, anchor) and _is_alike(said, anchor.text)
            return 1 if alike else 0
        weight = 0
        weight += 4 * (bool(anchor.before) and _said(texts, index - 1) == anchor.before)
        weight += 4 * (bool(anchor.after) and _said(texts, index + 1) == anchor.after)
        weight += 3 * (self._score.bars[text.bar].number == anchor.measure)
        weight += 2 * (text.staff == anchor.staff)
        weight += text.id.in_bar == anchor.time * self._score.ticks
        alone = sum(_plain(t.text).casefold() == said.casefold() for t in texts) == 1
        return weight if weight >= (2 if alone else 5) else 0


def missing(notes: Notes, score: Score) -> tuple[Anchor, ...]:
    """The markings that decisions name and that this score has not."""
    finder = Finder(score)
    return tuple(anchor for anchor in notes.anchors() if finder.find(anchor) is None)


def pins_on(notes: Notes, score: Score, organ: str) -> dict[MarkingId, dict[str, tuple[str, ...]]]:
    """The user's choices for an organ: marking → request → stop ids."""
    finder = Finder(score)
    found: dict[MarkingId, dict[str, tuple[str, ...]]] = {}
    for pin in notes.pins:
        if pin.organ == organ and (marking := finder.find(pin.marking)) is not None:
            found.setdefault(marking, {})[pin.request] = pin.stops
    return found


def pencil_on(notes: Notes, score: Score, organ: str) -> tuple[PencilMark, ...]:
    """What is pencilled in for an organ, or for any, at the places that this score has."""
    found = []
    parts = {part.id: index for index, part in enumerate(score.parts)}
    first = score.organ_parts[0] if score.organ_parts else 0
    for line in notes.player:
        onset = find_spot(score, line.at)
        part = parts.get(line.at.part, first)
        if line.organ not in ("", organ) or onset is None or part >= len(score.parts):
            continue
        bar = score.bar_at(onset)
        staff = min(line.at.staff or 1, score.parts[part].staves)
        found.append(PencilMark(bar=bar.index, onset=onset, part=part, staff=staff, text=line.text))
    return tuple(found)


def follow(notes: Notes, before: Score, after: Score, renamed: Mapping[MarkingId, MarkingId | None]) -> Notes:
    """The notes after an edit of the score: each anchor goes with its marking to its new name and place."""
    if not notes.anchors():
        return notes
    finder = Finder(before)

    def carry(anchor: Anchor) -> Anchor:
        old = finder.find(anchor)
        if old is None:
            return anchor
        new = renamed.get(old, old)
        return anchor if new is None else anchor_of(after, new)

    return with_anchors(notes, carry)


def with_anchors(notes: Notes, change: Callable[[Anchor], Anchor]) -> Notes:
    """The notes with every anchor replaced."""
    return replace(
        notes,
        pins=tuple(replace(pin, marking=change(pin.marking)) for pin in notes.pins),
        dismissals=tuple(replace(one, marking=change(one.marking)) if one.marking else one for one in notes.dismissals),
        boundaries=tuple(replace(one, marking=change(one.marking)) for one in notes.boundaries),
        queries=tuple(replace(one, marking=change(one.marking)) if one.marking else one for one in notes.queries),
    )


T = TypeVar("T")


def put(rows: Iterable[T], new: T | None, same: Callable[[T], bool]) -> tuple[T, ...]:
    """Rows with those that are the same as the new one replaced by it; None takes them out."""
    kept = tuple(row for row in rows if not same(row))
    return kept if new is None else (*kept, new)


def _plain(text: str) -> str:
    return " ".join(text.split())


def _said(texts: list[ScoreText], index: int) -> str:
    return _plain(texts[index].text) if 0 <= index < len(texts) else ""


def _is_alike(one: str, other: str) -> bool:
    return SequenceMatcher(None, one.casefold(), other.casefold()).ratio() >= _ALIKE

"""Whose hands and feet play which staff: by names, clefs and order, then range. A proposal with its why."""

from __future__ import annotations

from bisect import bisect_left
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import replace

from core.score.model import Note, Score
from core.score.parts import PartHeader
from core.score.words import score_words
from core.texts import Said, say

Hands = tuple[str | None, ...]
RIGHT, LEFT, FEET = "right", "left", "feet"
_PEDAL_TOP_OCTAVE = 4  # pedalboards end at F4 or G4


def propose_hands(headers: Iterable[PartHeader]) -> dict[int, tuple[Hands, Said]]:
    """For each organ part, by index: who plays each of its staves, and why it is thought so."""
    parts = list(headers)
    named = {h.index: _by_name(h) for h in parts}
    open_single = [h for h in parts if named[h.index] is None and _playable(h) == 1]
    several = [h for h in parts if _playable(h) > 1]
    answer: dict[int, tuple[Hands, Said]] = {}
    for header in parts:
        by_name = named[header.index]
        if by_name is not None and (_playable(header) == 1 or by_name == FEET):
            why = say("its name, {name}, says whose it is", name=header.name)
            answer[header.index] = (_fill(header, (by_name,) * _playable(header)), why)
        elif _playable(header) > 1:
            hands, why = _several_staves(header)
            answer[header.index] = (_fill(header, hands), why)
    answer.update(_single_staves(open_single, bool(several), {n for n in named.values() if n}))
    return answer


def _playable(header: PartHeader) -> int:
    return max(header.staves - len(header.ossia), 0)


def _fill(header: PartHeader, hands: Hands) -> Hands:
    """The hands of all staves: an ossia's or cue's is nobody's."""
    rest = iter(hands)
    return tuple(None if staff in header.ossia else next(rest, None) for staff in range(1, header.staves + 1))


def _by_name(header: PartHeader) -> str | None:
    words = score_words()
    for name in header.names:
        for kind, hand in (("pedal", FEET), ("right", RIGHT), ("left", LEFT)):
            if words.is_named(kind, name) and not (kind == "pedal" and words.is_named("manuals", name)):
                return hand if not (kind == "pedal" and words.is_named("organ", name)) else _organ_pedal(header)
    return None


def _organ_pedal(header: PartHeader) -> str | None:
    """The feet for an "organ pedal" of one staff; of several staves such a name says nothing."""
    return FEET if _playable(header) == 1 else None


def _several_staves(header: PartHeader) -> tuple[Hands, Said]:
    staves = [s for s in range(1, header.staves + 1) if s not in header.ossia]
    clefs = [header.clefs[s - 1] for s in staves]
    last = header.octaves
    if len(staves) == 2:
        return (RIGHT, LEFT), say("two staves: the right hand's and the left hand's")
    if last is not None and last[1] > _PEDAL_TOP_OCTAVE + 1:
        hands: Hands = (*[RIGHT] * (len(staves) - 1), LEFT)
        return hands, say("the lowest staff goes higher than any pedalboard, so it is a hand's")
    if len(staves) == 3:
        why = say("three staves: the lowest is the pedal's, as is customary")
        return (RIGHT, LEFT, FEET), why
    if len(staves) == 4:
        second = LEFT if clefs[1] == "F" else RIGHT
        return (RIGHT, second, LEFT, FEET), say("four staves: by their clefs, the lowest the pedal's")
    middle = [LEFT if clef == "F" else RIGHT for clef in clefs[1:-2]]
    return (RIGHT, *middle, LEFT, FEET), say("by the order of the staves and their clefs")


def _single_staves(headers: list[PartHeader], beside_keyboard: bool, taken: set[str]) -> dict[int, tuple[Hands, Said]]:
    """Parts of one staff without a telling name: by order and clef."""
    if beside_keyboard:
        feet = say("one staff in the bass beside a part of several: the pedal's")
        hand = say("one staff beside a part of several: a hand's, by its clef")
        return {
            h.index: (_fill(h, (FEET,)), feet)
            if h.clefs[0] == "F" and FEET not in taken
            else (_fill(h, (LEFT if h.clefs[0] == "F" else RIGHT,)), hand)
            for h in headers
        }
    order: list[str] = [hand for hand in (RIGHT, LEFT, FEET) if hand not in taken]
    if len(headers) == 1 and not taken:
        bass = headers[0].clefs[0] == "F"
        why = say("a single staff: by its clef")
        return {headers[0].index: (_fill(headers[0], (LEFT if bass else RIGHT,)), why)}
    if len(headers) == 2 and FEET in order and not taken:
        order = [RIGHT, LEFT]
    why = say("by the order of the one-staff parts")
    spare = len(headers) - len(order)
    if spare > 0:
        order = [RIGHT] * spare + order
    return {h.index: (_fill(h, (hand,)), why) for h, hand in zip(headers, order, strict=False)}


# -- the octave of the pedal clef ---------------------------------------------------------------------------


def octave_offers(headers: Iterable[PartHeader], hands: dict[int, tuple[Hands, Said]]) -> list[Said]:
    """Pedal staves whose clef asks for another octave: its keys may be meant an octave from the file's."""
    return [
        say(
            "The pedal clef of {part} is marked {octaves} octave: the keys were read as the file gives them; "
            "they may be meant an octave higher.",
            part=header.name,
            octaves=octave,
        )
        for header in headers
        for octave, hand in zip(header.clef_octaves, hands.get(header.index, ((), ""))[0], strict=False)
        if hand == FEET and octave < 0
    ]


def with_staff_octave(score: Score, part: int, staff: int, octaves: int) -> Score:
    """The score with the keys of one staff moved by octaves, as its player says they are meant."""
    notes = [
        note._replace(
            key=note.key + 12 * octaves,
            spelling=f"{note.spelling.rstrip('-0123456789')}{_octave_of(note.spelling) + octaves}",
        )
        if (note.part, note.staff) == (part, staff) and note.spelling
        else note
        for note in score.notes
    ]
    return replace(score, notes=tuple(sorted(notes, key=lambda n: (n.onset, n.part, n.staff, n.key))))


def _octave_of(spelling: str) -> int:
    return int(spelling.lstrip("ABCDEFG#b"))


# -- the feet on two staves ---------------------------------------------------------------------------------


def with_feet_on_lowest(score: Score, spans: Iterable[tuple[int, int, int]]) -> Score:
    """The score with the lowest notes of the lowest manual staff given to the feet.

    Args:
        score: the score as read.
        spans: (part, from, to) in ticks as written: where "Ped." holds until "Man.".
    """
    chosen = set()
    for part, start, end in spans:
        chosen.update(_lowest(score, part, start, end))
    if not chosen:
        return score
    notes = tuple(n._replace(hand=FEET) if n.ordinal in chosen else n for n in score.notes)
    return replace(score, notes=notes)


def _lowest(score: Score, part: int, start: int, end: int) -> set[int]:
    """Ordinals of the notes that are the lowest sounding ones on the part's lowest manual staff."""
    hands = score.parts[part].hands
    if FEET in hands or not hands:
        return set()
    staff = max((s for s, hand in enumerate(hands, 1) if hand is not None), default=0)
    first = bisect_left(score.notes, start, key=lambda note: note.onset)
    by_onset: dict[int, list[Note]] = defaultdict(list)
    held: list[Note] = []
    for note in score.notes[first:]:
        if note.onset >= end:
            break
        if note.part == part and note.staff == staff and note.hand is not None and not note.grace:
            by_onset[note.onset].append(note)
    chosen: set[int] = set()
    for onset in sorted(by_onset):
        held = [note for note in held if note.onset + note.duration > onset]
        lowest = min(by_onset[onset], key=lambda note: note.key)
        under = [note for note in held if note.ordinal in chosen]
        if not under or lowest.key < min(note.key for note in under):
            chosen.add(lowest.ordinal)
        held += by_onset[onset]
    return chosen


def hymn_bass_to_feet(score: Score) -> tuple[Score, Said] | None:
    """A plain four-part hymn on two staves with its bass given to the feet, and why; None for others."""
    for part in score.organ_parts:
        if [hand for hand in score.parts[part].hands if hand] != [RIGHT, LEFT]:
            continue
        notes = [n for n in score.notes if n.part == part and n.hand and not n.grace]
        by_onset: dict[int, dict[str, int]] = defaultdict(lambda: {RIGHT: 0, LEFT: 0})
        for note in notes:
            by_onset[note.onset][note.hand or RIGHT] += 1
        full = sum(1 for count in by_onset.values() if count[RIGHT] == 2 and count[LEFT] == 2)
        crowded = any(count[RIGHT] > 3 or count[LEFT] > 3 for count in by_onset.values())
        if not notes or crowded or full * 2 < len(by_onset):
            return None
        why = say("four parts on two staves, as in a hymn: the bass can be the pedal's")
        return with_feet_on_lowest(score, [(part, 0, score.end + 1)]), why
    return None

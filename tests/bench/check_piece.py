"""Check the part-writing of a piece on three staves: ranges, hand spans, pedal line, parallels.

    python tests/bench/check_piece.py FILE.musicxml [--doubled 61-68]

The rules are those of any harmony primer and of organ playing (common practice, no source): no fifths or
octaves in parallel between voices, no hidden ones between the outer voices unless the upper one steps, one
hand holds at most five keys within a ninth, the feet one note at a time with no leap over an octave.
"""

from __future__ import annotations

import argparse
from collections import defaultdict
from fractions import Fraction
from itertools import combinations, pairwise
from pathlib import Path
from typing import NamedTuple

from lxml import etree

STEPS = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
NINTH = 14
MANUALS = (36, 93)
PEDAL = (36, 65)


class Note(NamedTuple):
    bar: int
    start: Fraction
    end: Fraction
    staff: int
    voice: str
    key: int
    ties_on: bool


def read_notes(path: str | Path) -> tuple[list[Note], dict[int, Fraction]]:
    """The sounding notes with their times in quarters from the start, and where each bar starts."""
    root = etree.parse(str(path)).getroot()
    notes: list[Note] = []
    bars: dict[int, Fraction] = {}
    start, divisions = Fraction(0), 1
    for number, measure in enumerate(root.iterfind(".//part/measure"), 1):
        bars[number] = now = longest = start
        for item in measure:
            if item.tag == "attributes" and item.find("divisions") is not None:
                divisions = int(item.findtext("divisions"))
            length = Fraction(int(item.findtext("duration") or 0), divisions)
            if item.tag == "backup":
                now -= length
            elif item.tag == "forward":
                now += length
            elif item.tag == "note":
                if item.find("chord") is not None:
                    now -= length
                if item.find("pitch") is not None:
                    notes.append(_note(item, number, now, now + length))
                now += length
            longest = max(longest, now)
        start = longest
    return notes, bars


def _note(item: etree._Element, bar: int, start: Fraction, end: Fraction) -> Note:
    pitch = item.find("pitch")
    key = STEPS[pitch.findtext("step")] + int(pitch.findtext("alter") or 0) + 12 * (int(pitch.findtext("octave")) + 1)
    ties_on = any(tie.get("type") == "stop" for tie in item.iterfind("tie"))
    return Note(bar, start, end, int(item.findtext("staff")), item.findtext("voice"), key, ties_on)


def voices_at(notes: list[Note], doubled: range) -> list[tuple[Fraction, int, dict[str, int]]]:
    """What each voice sounds at every onset, the highest first; chords give a voice to each of their notes.

    A left hand that breaks its chords in eighths counts as two voices, its lower and its upper notes. In
    `doubled` bars the right hand plays the melody in octaves: its top note alone is a voice.
    """
    broken = _broken_bars(notes)
    notes = _sustained(notes)
    moments = []
    for now in sorted({note.start for note in notes}):
        sounding = [note for note in notes if note.start <= now < note.end]
        bar = next(note.bar for note in notes if note.start == now)
        voices: dict[str, int] = {}
        by_voice: dict[tuple[int, str], list[int]] = defaultdict(list)
        for note in sounding:
            by_voice[note.staff, note.voice].append(note.key)
        for (staff, voice), keys in sorted(by_voice.items()):
            if staff == 2 and bar in broken:
                continue
            top_first = sorted(keys, reverse=True)
            kept = top_first[:1] if staff == 1 and bar in doubled else top_first
            voices.update({f"{staff}.{voice}.{place}": key for place, key in enumerate(kept)})
        if bar in broken:
            pair = [note for note in notes if note.staff == 2 and note.bar == bar and abs(note.start - now) < 1]
            group = [note.key for note in pair if note.start // 1 == now // 1]
            if group:
                voices |= {"2.low": min(group), "2.high": max(group)}
        moments.append((now, bar, voices))
    return moments


def _sustained(notes: list[Note]) -> list[Note]:
    """The notes held on through rests of a quaver, as off-beat figures are heard."""
    starts: dict[tuple[int, str], list[Fraction]] = defaultdict(list)
    for note in notes:
        starts[note.staff, note.voice].append(note.start)
    held = []
    for note in notes:
        later = [start for start in starts[note.staff, note.voice] if note.end <= start]
        gap = min(later) - note.end if later else Fraction(1)
        held.append(note._replace(end=note.end + gap) if gap <= Fraction(1, 2) else note)
    return held


def _broken_bars(notes: list[Note]) -> set[int]:
    """Bars in which the left hand plays eighths one after another, the last beat perhaps excepted."""
    by_bar = defaultdict(list)
    for note in notes:
        if note.staff == 2:
            by_bar[note.bar].append(note)
    half = Fraction(1, 2)
    return {bar for bar, them in by_bar.items() if sum(note.end - note.start == half for note in them) >= 4}


def parallels(notes: list[Note], doubled: range = range(0)) -> list[str]:
    """Fifths and octaves in parallel between any two voices, hidden ones between the outer two."""
    found = []
    moments = voices_at(notes, doubled)
    silences = _rests(notes)
    for (_, _, before), (now, bar, after) in pairwise(moments):
        if now in silences:
            continue
        shared = [voice for voice in after if voice in before]
        for one, other in combinations(shared, 2):
            a, b = (before[one], before[other]), (after[one], after[other])
            if a[0] == b[0] or a[1] == b[1]:
                continue
            first, second = abs(a[0] - a[1]) % 12, abs(b[0] - b[1]) % 12
            if first == second and first in (0, 7):
                found.append(f"bar {bar}: parallel {'octaves' if first == 0 else 'fifths'} ({one}, {other})")
        found += _hidden(bar, before, after)
    return found


def _rests(notes: list[Note]) -> set[Fraction]:
    """Where the pedal comes in again after a rest: a new phrase, no voice leads over it."""
    line = sorted((note for note in notes if note.staff == 3), key=lambda note: note.start)
    return {other.start for one, other in pairwise(line) if other.start > one.end}


def _hidden(bar: int, before: dict[str, int], after: dict[str, int]) -> list[str]:
    tops = [max(v.items(), key=lambda item: item[1]) for v in (before, after)]
    basses = [next((key for voice, key in v.items() if voice.startswith("3.")), None) for v in (before, after)]
    if basses[0] is None or basses[1] is None or tops[0][0] != tops[1][0]:
        return []
    up, down = tops[1][1] - tops[0][1], basses[1] - basses[0]
    arrives = (tops[1][1] - basses[1]) % 12 in (0, 7)
    if up * down > 0 and arrives and abs(up) > 2:
        return [f"bar {bar}: hidden fifth or octave between the outer voices, the upper one leaping"]
    return []


def hands(notes: list[Note]) -> list[str]:
    """Keys outside the manuals, hands stretched over a ninth or holding more than five keys."""
    found = []
    for note in notes:
        low, high = PEDAL if note.staff == 3 else MANUALS
        if not low <= note.key <= high:
            found.append(f"bar {note.bar}: key {note.key} is outside the compass")
    for now in sorted({note.start for note in notes}):
        for staff in (1, 2):
            held = [note for note in notes if note.staff == staff and note.start <= now < note.end]
            keys = [note.key for note in held]
            if keys and (max(keys) - min(keys) > NINTH or len(set(keys)) > 5):
                found.append(f"bar {held[0].bar}: staff {staff} cannot be held in one hand: {sorted(keys)}")
    return found


def feet(notes: list[Note]) -> list[str]:
    """Pedal notes together, too fast, or leaping over an octave."""
    line = sorted((note for note in notes if note.staff == 3), key=lambda note: note.start)
    found = []
    for one, other in pairwise(line):
        if other.start < one.end:
            found.append(f"bar {other.bar}: two pedal notes at once")
        if abs(other.key - one.key) > 12:
            found.append(f"bar {other.bar}: the pedal leaps over an octave")
    found += [f"bar {note.bar}: a pedal note shorter than a crotchet" for note in line if note.end - note.start < 1]
    return found


def faults(path: str | Path, doubled: range = range(0)) -> list[str]:
    """All that a teacher or a player would mark."""
    notes, _ = read_notes(path)
    return parallels(notes, doubled) + hands(notes) + feet(notes)


def main() -> int:
    """Print the faults of a file; exit status 1 where there are any."""
    parser = argparse.ArgumentParser(description="Check the part-writing of a piece on three staves.")
    parser.add_argument("file")
    parser.add_argument("--doubled", default="0-0", help="bars whose melody is doubled in octaves: 61-68")
    arguments = parser.parse_args()
    first, last = map(int, arguments.doubled.split("-"))
    found = faults(arguments.file, range(first, last + 1))
    notes, bars = read_notes(arguments.file)
    print("\n".join(found) or f"{len(bars)} bars, {len(notes)} notes: nothing to mark")
    return 1 if found else 0


if __name__ == "__main__":
    raise SystemExit(main())

"""The registration lane in words: what changes where on each keyboard, and where somebody plays."""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass

from app.score_index import ScoreIndex
from app.translation import told, tr
from core.analysis import Analysis
from core.organ.model import Division, Organ, Role
from core.organ.spelling import stop_label
from core.resolve.model import Registration, Step
from core.score.model import Ticks

_SHORT = {
    Role.GREAT: "Gt.",
    Role.SWELL: "Sw.",
    Role.CHOIR: "Ch.",
    Role.POSITIVE: "Pos.",
    Role.SOLO: "Solo",
    Role.ECHO: "Echo",
    Role.BOMBARDE: "Bomb.",
    Role.OBERWERK: "OW",
    Role.BRUSTWERK: "BW",
    Role.PEDAL: "Ped.",
}
_SHORT_BY_NAME = {  # common practice, no source
    "grand-orgue": "G.O.",
    "grand orgue": "G.O.",
    "recit": "R.",
    "positif": "Pos.",
    "bombarde": "Bomb.",
    "pedale": "Péd.",
    "hauptwerk": "HW",
    "schwellwerk": "SW",
    "oberwerk": "OW",
    "brustwerk": "BW",
    "ruckpositiv": "RP",
    "ruckwerk": "RW",
    "hoofdwerk": "HW",
    "rugwerk": "RW",
    "rugpositief": "RP",
    "bovenwerk": "BW",
    "borstwerk": "Bor.",
    "pedaal": "Ped.",
    "grand'organo": "G.O.",
    "organo espressivo": "O.E.",
    "organo mayor": "O.M.",
    "cadereta": "Cad.",
}
_BOX = {"open": "box open", "half": "box half", "closed": "box shut", "opening": "box ↗", "closing": "box ↘"}
_LONG = 4
_AGAIN = {2: "2nd time", 3: "3rd time", 4: "4th time"}


@dataclass(frozen=True, slots=True)
class Change:
    """A few words on one line of the lane at a written onset.

    Attributes:
        pencil: the player's own mark alone asks for it.
    """

    onset: Ticks
    bar: int
    text: str
    nth: int
    pencil: bool = False


@dataclass(frozen=True, slots=True)
class LaneLine:
    """One keyboard's line: its changes, and the bars in which somebody plays on it."""

    division: str
    name: str
    changes: tuple[Change, ...]
    bars: frozenset[int]


def short_name(division: Division) -> str:
    """What the line is called: the organ's own name where it is short, else its customary short form."""
    plain = unicodedata.normalize("NFKD", division.name).encode("ascii", "ignore").decode().casefold()
    for beginning, short in _SHORT_BY_NAME.items():
        if plain.startswith(beginning):
            return short
    if len(division.name) <= 6:
        return division.name
    english = _SHORT.get(division.role)
    if english is not None and english[0] == division.name[0]:
        return english
    return division.name[:4].rstrip() + "."


def lane_lines(analysis: Analysis, index: ScoreIndex) -> tuple[LaneLine, ...]:
    """One line for each keyboard in use, the organ's own order, pedal last."""
    organ = analysis.organ
    if organ is None:
        return ()
    written = _as_written(analysis.steps)
    played = _bars_played(written, analysis, index)
    lines = []
    for division in sorted(organ.divisions, key=lambda d: d.role is Role.PEDAL):
        changes = _changes(organ, division, written, analysis.score.ticks)
        if changes or division.id in played:
            lines.append(LaneLine(division.id, short_name(division), changes, frozenset(played.get(division.id, ()))))
    return tuple(lines)


def _as_written(steps: tuple[Step, ...]) -> list[Step]:
    """The steps of the first time through, and those of a later one that stand nowhere else."""
    seen: set[tuple[int, Registration]] = set()
    kept = []
    for step in steps:
        key = (step.at.bar, step.registration)
        if step.at.nth == 1 or key not in seen:
            kept.append(step)
        seen.add(key)
    return kept


def _ticks(step: Step, analysis: Analysis) -> Ticks:
    return int(step.at.onset * analysis.score.ticks)


def _bars_played(steps: list[Step], analysis: Analysis, index: ScoreIndex) -> dict[str, set[int]]:
    """Which bars a hand or the feet play on each division."""
    first = [step for step in steps if step.at.nth == 1]
    found: dict[str, set[int]] = {}
    at = 0
    for bar in analysis.score.bars:
        while at + 1 < len(first) and _ticks(first[at + 1], analysis) < bar.onset + bar.length:
            at += 1
            _note_hands(found, first[at], bar.index, index)
        if first:
            _note_hands(found, first[at], bar.index, index)
    return found


def _note_hands(found: dict[str, set[int]], step: Step, bar: int, index: ScoreIndex) -> None:
    if step.at.bar > bar:
        return
    for hand, division in step.registration.hands:
        if division is not None and (bar, hand) in index.hands_in_bar:
            found.setdefault(division, set()).add(bar)


def _changes(organ: Organ, division: Division, steps: list[Step], ticks: int) -> tuple[Change, ...]:
    changes = []
    before = Registration()
    for step in steps:
        text = change_words(organ, division, before, step.registration)
        before = step.registration
        if text:
            again = "" if step.at.nth == 1 else f"{_again_words(step.at.nth)}: "
            onset, is_pencil = int(step.at.onset * ticks), bool(step.texts) and not step.markings
            changes.append(Change(onset, step.at.bar, again + text, step.at.nth, is_pencil))
    return tuple(changes)


def _again_words(nth: int) -> str:
    return tr(_AGAIN[nth]) if nth in _AGAIN else told("time {number}", number=nth)


def change_words(organ: Organ, division: Division, before: Registration, after: Registration) -> str:
    """What a player would pencil in for a division; empty where nothing changes."""
    words = [
        _stop_words(organ, division, before, after),
        *_coupler_words(organ, division, before, after),
        _tremulant_words(division, before, after),
    ]
    box = after.box(division.id)
    if box is not None and box != before.box(division.id):
        words.append(tr(_BOX.get(box, box)))
    return ", ".join(word for word in words if word)


def _stop_words(organ: Organ, division: Division, before: Registration, after: Registration) -> str:
    mine = {stop.id: stop for stop in division.stops}
    old = [stop for stop in before.drawn if stop in mine]
    new = [stop for stop in after.drawn if stop in mine]
    added = [stop for stop in new if stop not in old]
    gone = [stop for stop in old if stop not in new]
    if not added and not gone:
        return ""
    if not new:
        return tr("off")
    if not old or len(gone) > len(set(old) & set(new)):
        return _names([stop_label(mine[stop]) for stop in new])
    parts = []
    if added:
        parts.append("+ " + _names([stop_label(mine[stop]) for stop in added]))
    if gone:
        parts.append("− " + _names([stop_label(mine[stop]) for stop in gone]))
    return ", ".join(parts)


def _names(labels: list[str]) -> str:
    if len(labels) <= _LONG:
        return ", ".join(labels)
    rest = len(labels) - _LONG + 1
    return told("{names} and {count} more", names=", ".join(labels[: _LONG - 1]), count=rest)


def _coupler_words(organ: Organ, division: Division, before: Registration, after: Registration) -> list[str]:
    words = []
    for number in sorted(after.couplers ^ before.couplers):
        coupler = organ.couplers[number]
        if coupler.target != division.id:
            continue
        name = short_name(organ.division(coupler.source))
        words.append(f"{'+' if number in after.couplers else '−'} {name}")
    return words


def _tremulant_words(division: Division, before: Registration, after: Registration) -> str:
    now, then = division.id in after.tremulants, division.id in before.tremulants
    if now == then:
        return ""
    return tr("+ trem.") if now else tr("− trem.")

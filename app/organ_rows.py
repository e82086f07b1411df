"""The lines of the booklet page: a specification as a reader sees it, with what is on at a moment."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from app.translation import shown, told, tr
from core.analysis import Analysis
from core.organ.model import Aid, Coupler, Division, Organ, Stop
from core.organ.spelling import write_feet, write_key
from core.resolve.model import Registration
from core.texts import say

_FRACTIONS = {
    Fraction(2, 3): "⅔",
    Fraction(1, 3): "⅓",
    Fraction(3, 5): "⅗",
    Fraction(1, 5): "⅕",
    Fraction(1, 7): "⅐",
    Fraction(1, 2): "½",
    Fraction(2, 5): "⅖",
    Fraction(4, 5): "⅘",
    Fraction(1, 4): "¼",
    Fraction(3, 4): "¾",
}


class RowKind(StrEnum):
    """What a line is."""

    TITLE = "title"
    PLACE = "place"
    ANSWER = "answer"
    HEADING = "heading"
    STOP = "stop"
    COUPLER = "coupler"
    TREMULANT = "tremulant"
    NOTE = "note"
    SUMMARY = "summary"
    AID = "aid"
    ADD = "add"


class On(StrEnum):
    """Whether a thing is on at the cursor."""

    OFF = "off"
    DRAWN = "drawn"
    PREPARED = "prepared"


@dataclass(frozen=True, slots=True)
class OrganRow:
    """One line: name left, pitch right.

    Attributes:
        key: a stop's, division's or answer's id; of what can be added here, the list it would stand in.
        division: id of the division that the line stands in.
        number: which coupler, tremulant or aid; -1 for other lines.
    """

    kind: RowKind
    left: str
    right: str = ""
    on: On = On.OFF
    solo: bool = False
    key: str = ""
    tip: str = ""
    division: str = ""
    number: int = -1
    faint: bool = False


DIVISIONS, STOPS, COUPLERS, AIDS = "divisions", "stops", "couplers", "aids"
"""What `key` of a line says where something can be added."""


def set_pitch(stop: Stop) -> str:
    """A pitch as a booklet sets it: ``8′``, ``2⅔′``; a mixture's ranks in Roman figures."""
    ranks = ""
    if stop.ranks is not None:
        low, high = roman(stop.ranks.low), roman(stop.ranks.high)
        ranks = low if low == high else f"{low}–{high}"
    if stop.pitch is None:
        return ranks
    whole, rest = divmod(stop.pitch, 1)
    part = _FRACTIONS.get(rest)
    text = write_feet(stop.pitch) if rest and part is None else f"{int(whole) or ''}{part or ''}"
    return f"{ranks} {text}′".strip() if ranks else f"{text}′"


def roman(number: int) -> str:
    """A small number in Roman figures."""
    text = ""
    for value, letters in ((10, "X"), (9, "IX"), (5, "V"), (4, "IV"), (1, "I")):
        while number >= value:
            text += letters
            number -= value
    return text


def organ_rows(organ: Organ, registration: Registration | None, solo: frozenset[str]) -> list[OrganRow]:
    """The booklet page, from the organ's name to its couplers."""
    now = registration or Registration()
    rows = [OrganRow(RowKind.TITLE, organ.name)]
    place = ", ".join(text for text in (organ.place, organ.builder) if text)
    if organ.invented and "invented" not in place:
        place = told("{place} (invented)", place=place).strip()
    if place:
        rows.append(OrganRow(RowKind.PLACE, place))
    rows.append(OrganRow(RowKind.SUMMARY, extent(organ)))
    for division in organ.divisions:
        rows += _division_rows(organ, division, now, solo)
    rows.append(OrganRow(RowKind.ADD, tr("Add a division …"), key=DIVISIONS))
    rows += _part_rows(organ, now)
    return rows


def extent(organ: Organ) -> str:
    """How big it is, as organists say it: ``Three manuals and pedal, 36 stops``."""
    boards = {d.keyboard for d in organ.manuals if d.keyboard} or {d.id for d in organ.manuals}
    words = ("No manual", "One manual", "Two manuals", "Three manuals", "Four manuals", "Five manuals")
    manuals = say(words[len(boards)]) if len(boards) < len(words) else say("{count} manuals", count=len(boards))
    stops = sum(len(division.stops) for division in organ.divisions)
    count = say("{count} {count:stop|stops}", count=stops) if stops else say("no stops yet")
    template = "{manuals} and pedal, {stops}" if organ.pedal else "{manuals}, {stops}"
    return told(template, manuals=manuals, stops=count)


def _division_rows(organ: Organ, division: Division, now: Registration, solo: frozenset[str]) -> list[OrganRow]:
    tip = compass_words(division)
    rows = [
        OrganRow(
            RowKind.HEADING, division.name, _division_note(division), key=division.id, tip=tip, division=division.id
        )
    ]
    rows.extend(_stop_row(stop, now, solo, division) for stop in division.stops)
    for number, tremulant in enumerate(organ.tremulants):
        if tremulant.division == division.id:
            on = On.DRAWN if division.id in now.tremulants else On.OFF
            rows.append(
                OrganRow(RowKind.TREMULANT, tremulant.name, on=on, key=division.id, division=division.id, number=number)
            )
    return [*rows, OrganRow(RowKind.ADD, tr("Add a stop …"), key=STOPS, division=division.id)]


def _part_rows(organ: Organ, now: Registration) -> list[OrganRow]:
    rows = [OrganRow(RowKind.HEADING, tr("Couplers"))]
    for number, coupler in enumerate(organ.couplers):
        on = On.DRAWN if number in now.couplers else On.OFF
        rows.append(OrganRow(RowKind.COUPLER, coupler_words(organ, coupler), on=on, number=number))
    rows.append(OrganRow(RowKind.ADD, tr("Add a coupler …"), key=COUPLERS))
    rows.append(OrganRow(RowKind.HEADING, tr("Playing aids")))
    for number, tremulant in enumerate(organ.tremulants):
        if tremulant.division is None:
            rows.append(OrganRow(RowKind.TREMULANT, tremulant.name, tr("whole organ"), number=number))
    for number, aid in enumerate(organ.aids):
        rows.append(OrganRow(RowKind.AID, aid.text[:1].upper() + aid.text[1:], number=number, tip=aid_tip(aid)))
    return [*rows, OrganRow(RowKind.ADD, tr("Add a playing aid …"), key=AIDS)]


def coupler_words(organ: Organ, coupler: Coupler) -> str:
    """A coupler by its divisions: ``Swell to Great 4``, ``Swell octave``."""
    if coupler.source == coupler.target and not coupler.unison_off:
        template = "{name} sub octave" if coupler.pitch == 16 else "{name} octave"
        label = told(template, name=organ.division(coupler.source).name)
    else:
        label = coupler_in_words(organ, coupler)
    half = f" {tr(coupler.half.value)}" if coupler.half else ""
    return told("{coupler} (always on)", coupler=label + half) if coupler.permanent else f"{label}{half}"


def coupler_in_words(organ: Organ, coupler: Coupler) -> str:
    """A coupler as the window's language has it: ``Swell to Great 4``."""
    source, target = organ.division(coupler.source).name, organ.division(coupler.target).name
    if coupler.unison_off:
        return told("{division} Unison Off", division=source)
    label = told("{source} to {target}", source=source, target=target)
    return label if coupler.pitch == 8 else f"{label} {write_feet(coupler.pitch)}"


def compass_words(division: Division) -> str:
    """``C2 to G6, 56 keys``; empty where nothing is stated."""
    if division.compass is None:
        return ""
    low, high = division.compass
    count = high - low + 1 - len(division.missing)
    return told("{low} to {high}, {count} {count:key|keys}", low=write_key(low), high=write_key(high), count=count)


def aid_tip(aid: Aid) -> str:
    """What works an aid and what it moves."""
    ways = tr(" or ").join(tr(one.value) for one in aid.reach)
    reach = told("by {ways}", ways=ways) if ways else ""
    moves = told("moves {what}", what=aid.moves) if aid.moves else ""
    return ", ".join(words for words in (reach, moves) if words)


def _division_note(division: Division) -> str:
    words = []
    if division.keyboard and division.keyboard.startswith("manual-"):
        words.append(roman(int(division.keyboard.removeprefix("manual-"))))
    if division.enclosed:
        words.append(tr("enclosed"))
    return ", ".join(words)


def _stop_row(stop: Stop, now: Registration, solo: frozenset[str], division: Division) -> OrganRow:
    on = On.DRAWN if stop.id in now.drawn else On.PREPARED if stop.id in now.prepared else On.OFF
    name = stop.name + (f" ({tr(stop.half.value)})" if stop.half else "")
    return OrganRow(
        RowKind.STOP,
        name if stop.in_use else told("{name} (out of use)", name=name),
        set_pitch(stop),
        on=on,
        solo=stop.id in solo,
        key=stop.id,
        tip=stop.remark,
        division=division.id,
        faint=not stop.in_use,
    )


def answer_rows(analysis: Analysis, organ: Organ) -> Iterator[OrganRow]:
    """Which of this organ's keyboards answers each that the piece names; `organ` may have been changed since."""
    there = {division.id: division.name for division in organ.divisions}
    keyboards = analysis.keyboards
    for asked, division in keyboards.answers.items():
        if division not in there:
            continue
        name = told("{name} (yours)", name=there[division]) if asked in keyboards.by_user else there[division]
        why = shown(keyboards.why.get(asked, ""))
        yield OrganRow(RowKind.ANSWER, asked_words(asked), name, key=asked, tip=why)
    for asked in sorted(keyboards.missing - set(keyboards.answers)):
        yield OrganRow(RowKind.ANSWER, asked_words(asked), tr("nothing here"), key=asked)


def asked_words(asked: str) -> str:
    """A role or keyboard as a reader says it: ``Great``, ``Manual II``."""
    if asked.startswith("manual-"):
        return told("Manual {number}", number=roman(int(asked.removeprefix("manual-"))))
    return tr(asked.capitalize())


def needs_rows(analysis: Analysis) -> list[OrganRow]:
    """With no organ: what the piece asks of any organ, in the same form."""
    asked: dict[str, dict[str, None]] = {}
    for mark in analysis.markings.marks:
        for instruction in mark.instructions:
            where = asked_words(instruction.division) if instruction.division else tr("Not said where")
            for request in instruction.stops:
                pitches = ", ".join(f"{write_feet(p)}′" for p in request.pitches)
                name = request.name or (tr(request.family.capitalize() + "s") if request.family else tr("Stops"))
                asked.setdefault(where, {})[f"{name}|{pitches}"] = None
            if instruction.division:
                asked.setdefault(where, {})
    rows = [OrganRow(RowKind.TITLE, tr("What this piece asks for"))]
    for where, lines in asked.items():
        rows.append(OrganRow(RowKind.HEADING, where))
        named = {line.partition("|")[0] for line in lines if not line.endswith("|")}
        for line in lines:
            if line.endswith("|") and line[:-1] in named:
                continue  # the same stop stands there with its pitch
            name, _, pitches = line.partition("|")
            rows.append(OrganRow(RowKind.STOP, name, pitches))
    return rows


def solo_stops(analysis: Analysis, onset: int) -> frozenset[str]:
    """The stops that a solo uses at a moment."""
    found: set[str] = set()
    for passage in analysis.passages:
        end = passage.end_onset if passage.end_onset is not None else analysis.score.end
        if passage.start_onset <= onset < end:
            found.update(passage.stops)
    return frozenset(found)

"""Finds the registration texts of a score, reads each, and settles what only their neighbours tell.

A text is read by itself; from the texts stacked with it (same staff, onset and side) it takes the division
that an earlier line named, and the heading ("Prepare:") under which it stands. The piece's language is
voted by its own texts, then decides doubtful words ("BW", "P.").
"""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from functools import cache

from core.knowledge.loader import load
from core.markings.model import Action, Brackets, Hand, Instruction, Reading, ReadingKind
from core.position import Span
from core.score.model import MarkingId, Score, ScoreText, TextKind

_SIGN = r"\(?(?:(\*{1,3}|[†‡])\)?|([1-9]\d?)\))"  # a note's sign: *, (*), 1), (1)
_POINTER = re.compile(_SIGN)
_NOTE = re.compile(rf"\s*{_SIGN}\s+(?=\S)")

Reader = Callable[..., Reading]

DRAW_LIKE = frozenset({Action.DRAW, Action.ADD, Action.TAKE_OFF, Action.PREPARE, Action.FULL, Action.REDUCE})
_TAKES_DIVISION = DRAW_LIKE | {Action.TREMULANT_ON, Action.TREMULANT_OFF, Action.BOX, Action.CRESCENDO}
_READ_ALWAYS = frozenset({TextKind.WORDS, TextKind.OTHER_DIRECTION, TextKind.FOOTNOTE})
_NO_LETTERS = re.compile(r"[\W_]+")
_NAMES_STOPS = frozenset({Action.DRAW, Action.ADD, Action.PREPARE, Action.FULL})


@dataclass(frozen=True, slots=True, kw_only=True)
class MarkingRead:
    """A text of the score and what it asks for where it stands.

    Attributes:
        reading: what the text says by itself.
        instructions: the same with what its neighbours tell (division of a continuation line).
        stack: number shared by the texts stacked with it.
        opening: stands in the title block: in force from the first bar.
        pencil: the player's own, not in the file.
    """

    id: MarkingId
    text: ScoreText
    reading: Reading
    instructions: tuple[Instruction, ...]
    stack: int
    opening: bool = False
    pencil: bool = False

    @property
    def is_registration(self) -> bool:
        """Whether the text holds registration at all."""
        return self.reading.kind is not ReadingKind.OTHER


@dataclass(frozen=True, slots=True, kw_only=True)
class Markings:
    """All texts of the organist's parts, read: registration in `marks`, everything in `all_texts`."""

    language: str | None
    marks: tuple[MarkingRead, ...]
    all_texts: tuple[MarkingRead, ...]


def gather(score: Score, read: Reader, *, language: str | None = None) -> Markings:
    """Read every text that may hold registration. `language` overrides the vote."""
    texts = [text for text in score.texts if _may_hold_registration(score, text)]
    printed = {text.id: text.text for text in texts}
    texts = _notes_at_their_pointers(score, texts)
    readings = {text.id: read(text.text, hint=language) for text in texts}
    spoken = language or _vote(readings.values())
    if spoken and not language:
        readings = {text.id: read(text.text, hint=spoken) for text in texts}
    found: list[MarkingRead] = []
    for stack, group in enumerate(_stacks(texts)):
        found.extend(_read_stack(stack, group, readings, read, spoken))
    found = [_as_printed(_in_company(score, mark), printed[mark.id]) for mark in found if _believed(score, mark)]
    found.sort(key=lambda m: (m.text.onset, m.id.part, m.id.staff, m.text.element))
    return Markings(
        language=spoken,
        marks=tuple(_acting([m for m in found if m.is_registration or m.reading.brackets])),
        all_texts=tuple(found),
    )


def _in_company(score: Score, mark: MarkingRead) -> MarkingRead:
    """A "tutti" or "both hands" by itself in the organ's own part ends a solo; in another part it is a cue."""
    text = mark.text
    if mark.reading.kind is not ReadingKind.OTHER or text.kind is TextKind.CREDIT or not score.parts[text.part].organ:
        return mark
    if _NO_LETTERS.sub("", text.text.casefold()) not in _together():
        return mark
    span = Span(0, len(text.text))
    instructions = (Instruction(action=Action.SOLO_END, hand=Hand.BOTH, span=span),)
    reading = replace(mark.reading, kind=ReadingKind.REGISTRATION, instructions=instructions)
    return replace(mark, reading=reading, instructions=instructions)


@cache
def _together() -> frozenset[str]:
    return frozenset(_NO_LETTERS.sub("", words.casefold()) for words in load("passages")["together"])


def _acting(marks: list[MarkingRead]) -> list[MarkingRead]:
    """The marks without those in round brackets beside another: "(Salicional 8)" under "Sw. strings" explains it."""
    acting = [m for m in marks if m.instructions and m.reading.brackets is not Brackets.REMINDER]
    moments = {m.text.onset for m in acting}
    places = {(m.text.part, m.text.onset) for m in acting}

    def is_beside_another(mark: MarkingRead) -> bool:
        of_the_page = mark.text.kind is TextKind.CREDIT
        return mark.text.onset in moments if of_the_page else (mark.text.part, mark.text.onset) in places

    return [m for m in marks if not (_explains(m) and is_beside_another(m))]


def _explains(mark: MarkingRead) -> bool:
    return (
        mark.reading.brackets is Brackets.REMINDER
        and bool(mark.instructions)
        and all(i.action in _NAMES_STOPS for i in mark.instructions)
    )


def _notes_at_their_pointers(score: Score, texts: list[ScoreText]) -> list[ScoreText]:
    """A note in the title block or at the foot ("1) Sw. Oboe") stands where its pointer ("1)") stands in the staff.

    The pointer before the note is blanked, so that the places of its words remain. A pointer in the first moment,
    or none, leaves the note to the opening.
    """
    pointers: dict[str, ScoreText] = {}
    for text in texts:
        alone = _POINTER.fullmatch(text.text.strip())
        if alone and text.kind is not TextKind.CREDIT and score.parts[text.part].organ:
            pointers.setdefault(_mark_of(alone), text)
    found = []
    for text in texts:
        before = _NOTE.match(text.text) if text.kind is TextKind.CREDIT else None
        if before is not None:
            place = pointers.get(_mark_of(before))
            text = replace(text, text=" " * before.end() + text.text[before.end() :])
            if place is not None and place.onset > 0:
                text = replace(
                    text, part=place.part, staff=place.staff, bar=place.bar, onset=place.onset,
                    sounding_onset=place.sounding_onset, placement=place.placement, kind=TextKind.FOOTNOTE,
                )  # fmt: skip
        found.append(text)
    return found


def _as_printed(mark: MarkingRead, words: str) -> MarkingRead:
    return mark if mark.text.text == words else replace(mark, text=replace(mark.text, text=words))


def _mark_of(match: re.Match[str]) -> str:
    return next(group for group in match.groups() if group)


def _may_hold_registration(score: Score, text: ScoreText) -> bool:
    if not score.organ_parts:
        return False
    if text.kind is TextKind.CREDIT:
        return True
    if text.kind in _READ_ALWAYS:
        return True
    return text.kind is TextKind.PART_NAME and score.parts[text.part].organ


def _believed(score: Score, mark: MarkingRead) -> bool:
    """Outside the organist's staves only a text that cannot be anything else is registration."""
    text = mark.text
    elsewhere = text.kind is not TextKind.CREDIT and not score.parts[text.part].organ
    if text.kind in _READ_ALWAYS and not elsewhere:
        return True
    if not mark.is_registration:
        return False
    named = any(i.division and i.stops for i in mark.instructions)
    if text.kind is TextKind.PART_NAME:
        return any(i.stops for i in mark.instructions) and not mark.reading.unread
    return named and not mark.reading.ambiguous


def _vote(readings: Iterable[Reading]) -> str | None:
    """The language of most markings; round brackets may name a foreign organ's stops, and have no vote."""
    votes = Counter(
        r.language
        for r in readings
        if r.kind is not ReadingKind.OTHER and r.language != "la" and r.brackets is not Brackets.REMINDER
    )
    return votes.most_common(1)[0][0] if votes else None


def _stacks(texts: list[ScoreText]) -> list[list[ScoreText]]:
    """Texts of one staff, onset and side, in the order of the file."""
    groups: dict[tuple[object, ...], list[ScoreText]] = defaultdict(list)
    for text in texts:
        groups[text.kind, text.part, text.staff, text.onset, text.placement].append(text)
    return [sorted(group, key=lambda t: t.element) for group in groups.values()]


def _read_stack(
    stack: int,
    group: list[ScoreText],
    readings: dict[MarkingId, Reading],
    read: Reader,
    language: str | None,
) -> list[MarkingRead]:
    found = []
    division: str | None = None
    heading = ""
    for text in group:
        opening = text.kind is TextKind.CREDIT
        reading = readings[text.id]
        if heading:
            under = read(f"{heading}\n{text.text}", hint=language)
            reading = replace(reading, kind=under.kind, instructions=under.instructions, unread=under.unread)
        elif not reading.instructions and _is_heading(text.text, read, language):
            heading = text.text
        instructions = reading.instructions
        if opening or (text.onset == 0 and (heading or _has_heading(text.text, read, language))):
            own = readings[text.id] if heading and not opening else reading
            instructions = _opened(text.text, own, read, language)
        instructions = tuple(_inherit(i, division) for i in instructions)
        division = _last_division(instructions) or division
        found.append(
            MarkingRead(
                id=text.id,
                text=text,
                reading=reading,
                instructions=instructions,
                stack=stack,
                opening=opening,
            )
        )
    return found


def _is_heading(text: str, read: Reader, language: str | None) -> bool:
    """Whether a text is a heading like "Prepare:", under which stops are made ready."""
    if not text.rstrip().endswith(":"):
        return False
    under = read(f"{text}\n8, 4", hint=language).instructions
    return any(i.action is Action.PREPARE and i.division is None for i in under)


def _has_heading(text: str, read: Reader, language: str | None) -> bool:
    """Whether a text begins with such a heading, which at the first note has become what is drawn."""
    head, colon, rest = text.partition(":")
    return bool(colon and rest.strip()) and _is_heading(f"{head}:", read, language)


def _opened(text: str, reading: Reading, read: Reader, language: str | None) -> tuple[Instruction, ...]:
    """A preparation in the title block or at the first note is drawn by then; what is prepared inside it stays so."""
    if not any(i.action is Action.PREPARE for i in reading.instructions):
        return reading.instructions
    _, colon, rest = text.partition(":")
    if colon:
        inside = read(rest.strip(), hint=language)
        if inside.kind is not ReadingKind.OTHER:
            return inside.instructions
    return tuple(replace(i, action=Action.DRAW) if i.action is Action.PREPARE else i for i in reading.instructions)


def _inherit(instruction: Instruction, division: str | None) -> Instruction:
    if division and instruction.division is None and instruction.action in _TAKES_DIVISION:
        if instruction.action is Action.FULL and not instruction.stops:
            return instruction
        return replace(instruction, division=division)
    return instruction


def _last_division(instructions: tuple[Instruction, ...]) -> str | None:
    named = [i.division for i in instructions if i.division and i.action in DRAW_LIKE | {Action.PLAY}]
    return named[-1] if named else None

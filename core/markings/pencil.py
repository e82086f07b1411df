"""What a player pencils in for an organ, read like a marking but kept apart from the print."""

from __future__ import annotations

from dataclasses import dataclass, replace

from core.markings.gathering import MarkingRead, Markings, Reader
from core.score.model import MarkingId, Score, ScoreText, TextKind, Ticks

FIRST_ORDINAL = 2_000_000  # beyond any text of a file: a pencil mark comes after the print of its place


@dataclass(frozen=True, slots=True, kw_only=True)
class PencilMark:
    """A line of the player's layer at a written onset; `part` and `staff` tell for whom it is meant."""

    bar: int
    onset: Ticks
    part: int
    staff: int
    text: str


def read_pencil(
    score: Score, marks: tuple[PencilMark, ...], read: Reader, *, language: str | None
) -> tuple[MarkingRead, ...]:
    """Each pencil mark as read where it stands, in score order.

    One that asks for nothing ("turn early") is a remark to the player: it has no instructions, and is no fault.
    """
    found = []
    for number, mark in enumerate(sorted(marks, key=lambda m: (m.onset, m.part, m.staff))):
        in_bar = mark.onset - score.bars[mark.bar].onset
        name = MarkingId(mark.part, mark.bar, mark.staff, in_bar, FIRST_ORDINAL + number)
        text = ScoreText(
            id=name,
            text=mark.text,
            kind=TextKind.WORDS,
            part=mark.part,
            staff=mark.staff,
            bar=mark.bar,
            onset=mark.onset,
            sounding_onset=mark.onset,
            placement="above",
            order=0,
            element=FIRST_ORDINAL + number,
            runs=(mark.text,),
        )
        reading = read(mark.text, hint=language)
        stack = FIRST_ORDINAL + number
        found.append(
            MarkingRead(
                id=name, text=text, reading=reading, instructions=reading.instructions, stack=stack, pencil=True
            )
        )
    return tuple(found)


def with_pencil(markings: Markings, pencil: tuple[MarkingRead, ...]) -> Markings:
    """The markings that are played: the print's, and after them at their places the player's."""
    acting = [mark for mark in pencil if mark.instructions]
    if not acting:
        return markings
    marks = sorted((*markings.marks, *acting), key=lambda m: (m.text.onset, m.id.part, m.id.staff, m.text.element))
    return replace(markings, marks=tuple(marks))

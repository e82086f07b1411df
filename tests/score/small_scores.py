"""Small invented scores for the reading tests: one quarter note's worth of writing each."""

from __future__ import annotations

from core.score.model import Score
from core.score.reading import read_score
from core.score.source import source_from_bytes

ATTRIBUTES = (
    "<attributes><divisions>{divisions}</divisions><key><fifths>0</fifths></key><time><beats>4</beats>"
    "<beat-type>4</beat-type></time><staves>{staves}</staves>{clefs}</attributes>"
)
CLEFS = {
    1: '<clef number="1"><sign>G</sign><line>2</line></clef>',
    2: '<clef number="2"><sign>F</sign><line>4</line></clef>',
    3: '<clef number="3"><sign>F</sign><line>4</line></clef>',
}


def note(pitch: str = "C4", length: int = 4, *, staff: int = 1, inside: str = "", before: str = "") -> str:
    """A note element: ``note("F#4", 2)``; `inside` goes before the staff, `before` before the pitch."""
    step, octave = pitch[0], pitch[-1]
    alter = {"#": "<alter>1</alter>", "b": "<alter>-1</alter>"}.get(pitch[1:-1], "")
    return (
        f"<note>{before}<pitch><step>{step}</step>{alter}<octave>{octave}</octave></pitch>"
        f"<duration>{length}</duration>{inside}<staff>{staff}</staff></note>"
    )


def words(text: str, *, staff: int | None = 1, placement: str = "above", more: str = "", attributes: str = "") -> str:
    """A direction with one text; `more` follows its direction-type."""
    side = f' placement="{placement}"' if placement else ""
    where = f"<staff>{staff}</staff>" if staff else ""
    return (
        f"<direction{side}><direction-type><words{attributes}>{text}</words></direction-type>{more}{where}</direction>"
    )


def backup(length: int) -> str:
    """Going back."""
    return f"<backup><duration>{length}</duration></backup>"


def attributes(divisions: int = 1, staves: int = 1) -> str:
    """The first attributes of a part of 4/4."""
    clefs = "".join(CLEFS[staff] for staff in range(1, min(staves, 3) + 1))
    return ATTRIBUTES.format(divisions=divisions, staves=staves, clefs=clefs)


def part(*bars: str, staves: int = 1, divisions: int = 1, part_id: str = "P1", numbers: list[str] | None = None) -> str:
    """A part of bars; the first gets its attributes."""
    body = []
    for index, bar in enumerate(bars):
        number = numbers[index] if numbers else str(index + 1)
        head = attributes(divisions, staves) if index == 0 else ""
        body.append(f'<measure number="{number}">{head}{bar}</measure>')
    return f'<part id="{part_id}">{"".join(body)}</part>'


def document(*parts: str, names: tuple[str, ...] = ("Organ",), head: str = "", prolog: str = "") -> bytes:
    """A whole score of parts with those names."""
    listed = "".join(
        f'<score-part id="P{n}"><part-name>{name}</part-name></score-part>' for n, name in enumerate(names, 1)
    )
    return (
        f'<?xml version="1.0" encoding="UTF-8"?>{prolog}<score-partwise version="4.0">{head}'
        f"<part-list>{listed}</part-list>{''.join(parts)}</score-partwise>"
    ).encode()


def read(data: bytes, part_name: str | None = None) -> Score:
    """Read it."""
    return read_score(source_from_bytes(data, "small.musicxml"), part=part_name)


def organ(*bars: str, staves: int = 1, divisions: int = 1, head: str = "", numbers: list[str] | None = None) -> Score:
    """Read a score of one organ part."""
    return read(document(part(*bars, staves=staves, divisions=divisions, numbers=numbers), head=head))


def played(score: Score) -> str:
    """The played order by printed numbers."""
    return " ".join(score.bars[bar.bar].number for bar in score.played)

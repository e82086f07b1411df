"""A player's pencil marks into the score: only when it is asked for, as one step."""

from __future__ import annotations

from core.analysis import Analysis
from core.edits import AddMarking, Edit, PencilIn, Together
from core.notes import Notes, PlayerNote, find_spot
from core.score.model import Score, Ticks
from core.texts import say


def pencil_lines(notes: Notes, score: Score, organ: str) -> list[tuple[PlayerNote, Ticks | None]]:
    """The lines for an organ (and for any) in score order, each with its onset; those without a place last."""
    lines = [(line, find_spot(score, line.at)) for line in notes.player if line.organ in ("", organ)]
    return sorted(lines, key=lambda pair: (pair[1] is None, pair[1] or 0))


def rubbed_out(line: PlayerNote, onset: Ticks, score: Score) -> PencilIn:
    """The edit that takes a line out of the layer."""
    part = next((n for n, part in enumerate(score.parts) if part.id == line.at.part), None)
    bar = score.bar_at(onset).index
    return PencilIn(onset=onset, text="", organ=line.organ, bar=bar, part=part, staff=line.at.staff)


def pencil_into_score(analysis: Analysis, notes: Notes) -> Together | None:
    """The edit that writes the layer of the analysis' organ into the score and rubs it out; None: there is none."""
    score, organ = analysis.read, analysis.organ
    if organ is None:
        return None
    first = score.organ_parts[0] if score.organ_parts else 0
    edits: list[Edit] = []
    written: list[Edit] = []
    for line, onset in pencil_lines(notes, score, organ.name):
        if onset is None:
            continue
        rub = rubbed_out(line, onset, score)
        bar = score.bar_at(onset)
        part = first if rub.part is None else rub.part
        edits.append(rub)
        written.append(
            AddMarking(
                part=part,
                bar=bar.index,
                staff=min(line.at.staff or 1, score.parts[part].staves),
                in_bar=onset - bar.onset,
                text=line.text,
                measure=bar.number,
            )
        )
    if not written:
        return None
    what = say("write {count} pencil marks into the score", count=len(written))
    return Together(edits=(*edits, *written), what=what)

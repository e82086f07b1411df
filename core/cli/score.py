"""``stopwright score SCORE``: what was read from a score file."""

from __future__ import annotations

import argparse
import sys
from typing import Any

from core.cli.decided import add_notes_arguments, open_arguments, warn_of_missing
from core.cli.output import EXIT_DONE, print_json
from core.document import score_of
from core.score.model import Note, Score, ScoreText


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The command's words."""
    parser.add_argument("score", metavar="SCORE", help="the score: .musicxml, .xml or .mxl (others are converted)")
    parser.add_argument(
        "--part", metavar="P", help="the organ's part, by id or name (several with commas); else it is found"
    )
    add_notes_arguments(parser)
    parser.add_argument("--json", action="store_true", help="print one JSON document")


def run(arguments: argparse.Namespace) -> int:
    """Print what was read."""
    document = open_arguments(arguments)
    score = score_of(document)
    warn_of_missing(document, score)
    if arguments.json:
        print_json("score", score_json(score))
    else:
        sys.stdout.write("\n".join(score_lines(score)) + "\n")
    return EXIT_DONE


def score_json(score: Score) -> dict[str, Any]:
    """The score as the machine interface's ``stopwright score`` has it, and what was repaired."""
    return {
        "title": score.title,
        "parts": [
            {
                "id": part.id,
                "name": part.name,
                "organ": part.organ,
                "staves": part.staves,
                "hands": list(part.hands),
                "why": str(part.why),
                "hands_why": str(part.hands_why),
            }
            for part in score.parts
        ],
        "measures": [
            {"number": b.number, "onset": _quarters(score, b.onset), "length": _quarters(score, b.length)}
            for b in score.bars
        ],
        "played": [score.bars[played.bar].number for played in score.played],
        "notes": [_note(score, note) for note in score.notes],
        "texts": [_text(score, text) for text in score.texts],
        "repairs": [str(repair) for repair in score.repairs],
    }


def _quarters(score: Score, ticks: int) -> str:
    return str(score.quarters(ticks))


def _note(score: Score, note: Note) -> dict[str, Any]:
    bar = score.bars[note.bar]
    return {
        "part": score.parts[note.part].id,
        "staff": note.staff,
        "voice": note.voice,
        "measure": bar.number,
        "onset": _quarters(score, note.onset),
        "duration": _quarters(score, note.duration),
        "pitch": note.spelling or None,
        "grace": note.grace,
        "tie": note.tie,
        "hand": note.hand,
        "bar": note.bar,
        "in_bar": _quarters(score, note.onset - bar.onset),
    }


def _text(score: Score, text: ScoreText) -> dict[str, Any]:
    return {
        "text": text.text,
        "at": score.position(text.onset, text.bar).to_json(),
        "part": score.parts[text.part].id,
        "staff": text.staff,
        "kind": _kind(score, text),
        "found_as": text.kind.value,
        "placement": text.placement,
    }


def _kind(score: Score, text: ScoreText) -> str:
    """Whether a text is registration; nothing is, where no organ plays."""
    if not any(part.organ for part in score.parts):
        return "other"
    try:
        from core.markings.reading import read_marking
    except ImportError:
        return "other"
    return str(read_marking(text.text).kind.value)


def score_lines(score: Score) -> list[str]:
    """What was read, for people."""
    lines = [score.title or "(no title)", "", "Parts"]
    for part in score.parts:
        whose = "organ" if part.organ else "not the organ"
        staves = "1 staff" if part.staves == 1 else f"{part.staves} staves"
        lines.append(f"  {part.id}  {part.name}, {staves}: {whose} ({part.why})")
        if part.organ:
            hands = ", ".join(f"staff {n} {hand or 'nobody'}" for n, hand in enumerate(part.hands, 1))
            lines.append(f"      {hands} ({part.hands_why})")
    counts = f"{len(score.bars)} bars, {len(score.notes)} notes, {len(score.texts)} texts"
    lines += ["", counts, "", "Texts"]
    for text in score.texts:
        where = score.position(text.onset, text.bar)
        words = " / ".join(" ".join(line.split()) for line in text.text.splitlines() if line.strip())
        lines.append(f"  {where}, {score.parts[text.part].id} staff {text.staff} ({_kind(score, text)}): {words}")
    if [played.bar for played in score.played] != list(range(len(score.bars))):
        lines += ["", "Played: bars " + ", ".join(_runs(score))]
    if score.repairs:
        lines += ["", "Put right while reading", *(f"  {repair}" for repair in score.repairs)]
    return lines


def _runs(score: Score) -> list[str]:
    """The played order as stretches of bars: ``1-8``, ``1-7``, ``9-16``."""
    runs: list[list[int]] = []
    for played in score.played:
        if runs and played.bar == runs[-1][1] + 1:
            runs[-1][1] = played.bar
        else:
            runs.append([played.bar, played.bar])
    numbers = [bar.number for bar in score.bars]
    return [numbers[a] if a == b else f"{numbers[a]}–{numbers[b]}" for a, b in runs]

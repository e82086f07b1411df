"""How fast a score is read, beside music21 reading the same file in the same run.

Usage: python tests/bench/bench_reading.py [BARS ...] [--alone]
"""

from __future__ import annotations

import argparse
import random
import tempfile
import time
import warnings
from pathlib import Path

from core.score.reading import load_score

_STEPS = "CDEFGAB"


def write_score(bars: int, seed: int = 1, *, thin: bool = False) -> str:
    """An organ score on three staves with 60 texts; 28 notes a bar, where `thin` 18."""
    dice = random.Random(seed)
    every = max(bars // 60, 1)
    body = []
    for bar in range(bars):
        head = ""
        if bar == 0:
            head = (
                "<attributes><divisions>4</divisions><key><fifths>0</fifths></key><time><beats>4</beats>"
                "<beat-type>4</beat-type></time><staves>3</staves>"
                '<clef number="1"><sign>G</sign><line>2</line></clef>'
                '<clef number="2"><sign>F</sign><line>4</line></clef>'
                '<clef number="3"><sign>F</sign><line>4</line></clef></attributes>'
            )
        if bar % every == 0:
            head += (
                '<direction placement="above"><direction-type><words>Sw. Oboe 8</words></direction-type>'
                "<staff>1</staff></direction>"
            )
        upper = "".join(_note(dice, 5, 2, "eighth", 1, 1) for _ in range(8))
        if thin:
            chords = "".join(_note(dice, 4, 8, "half", 1, 2) for _ in range(2))
            lower = "".join(_note(dice, 3, 4, "quarter", 2, 5) for _ in range(4))
        else:
            chords = "".join(
                _note(dice, 4, 4, "quarter", 1, 2) + _note(dice, 4, 4, "quarter", 1, 2, chord=True) for _ in range(4)
            )
            lower = "".join(_note(dice, 3, 2, "eighth", 2, 5) for _ in range(8))
        pedal = "".join(_note(dice, 2, 4, "quarter", 3, 9) for _ in range(4))
        back = "\n<backup><duration>16</duration></backup>"
        body.append(f'\n<measure number="{bar + 1}">{head}{upper}{back}{chords}{back}{lower}{back}{pedal}\n</measure>')
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n<score-partwise version="4.0"><part-list><score-part id="P1">'
        "<part-name>Organ</part-name></score-part></part-list>"
        f'<part id="P1">{"".join(body)}</part></score-partwise>'
    )


def _note(
    dice: random.Random, octave: int, length: int, kind: str, staff: int, voice: int, *, chord: bool = False
) -> str:
    joined = "<chord/>" if chord else ""
    return (
        f"\n  <note>{joined}<pitch><step>{dice.choice(_STEPS)}</step><octave>{octave}</octave></pitch>"
        f"<duration>{length}</duration><voice>{voice}</voice><type>{kind}</type><staff>{staff}</staff></note>"
    )


def time_reading(path: Path, repeats: int = 5) -> tuple[float, int]:
    """The best of some readings, in seconds, and the number of notes."""
    best, notes = float("inf"), 0
    for _ in range(repeats):
        start = time.process_time()
        _, score = load_score(path)
        best = min(best, time.process_time() - start)
        notes = len(score.notes)
    return best, notes


def time_music21(path: Path) -> float:
    """One parse by music21, its own cache left out, in seconds of this process's own time."""
    import music21

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        start = time.process_time()
        music21.converter.parse(path, forceSource=True)
        return time.process_time() - start


def main() -> None:
    """Print times and ratios."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("bars", type=int, nargs="*", default=[300, 2000])
    parser.add_argument("--alone", action="store_true", help="without music21")
    arguments = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        for bars in arguments.bars:
            path = Path(folder) / f"bench{bars}.musicxml"
            path.write_text(write_score(bars), encoding="utf-8")
            ours, notes = time_reading(path)
            line = f"{bars} bars, {notes} notes, {path.stat().st_size / 1e6:.1f} MB: read in {ours:.3f} s"
            if not arguments.alone:
                theirs = time_music21(path)
                line += f"; music21 {theirs:.2f} s; {theirs / ours:.1f} times as fast"
            print(line)


if __name__ == "__main__":
    main()

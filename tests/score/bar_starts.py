"""Where music21 starts a bar elsewhere than we do: writes bar_starts.yaml, with the cause by the XML.

Usage: python tests/score/bar_starts.py     (about three minutes; needs the music21 package)

Who is right is not asserted but worked out: an own count of the durations of each part's first differing bar,
by plain fractions, apart from the reader under test. A bar is as long as its longest part (MusicXML 4.0, `measure`:
the parts of a measure sound together), so the reader whose length is that is right.
"""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path
from typing import Any

import yaml
from lxml import etree
from second_opinion import corpus_files, name_of, ours, theirs

from core.score.source import read_source

TABLE = Path(__file__).with_name("bar_starts.yaml")


def counted_lengths(path: Path, bar: int) -> list[Fraction]:
    """Quarters that each part's content of a bar reaches to, counted from the XML."""
    root = etree.fromstring(read_source(path).xml, etree.XMLParser(load_dtd=False, no_network=True))
    lengths = []
    for part in root.iterfind("part"):
        divisions, reach = Fraction(1), Fraction(0)
        for index, measure in enumerate(part.iterfind("measure")):
            position = reach = Fraction(0)
            for element in measure.iterfind("*"):
                if element.tag == "attributes" and element.find("divisions") is not None:
                    divisions = Fraction(element.findtext("divisions").strip())
                duration = Fraction((element.findtext("duration") or "0").strip()) / divisions
                if element.tag == "backup":
                    position -= duration
                elif element.tag == "forward" or (element.tag == "note" and element.find("chord") is None):
                    position += duration
                reach = max(reach, position)
            if index == bar:
                break
        lengths.append(reach)
    return lengths


def cause(counted: list[Fraction], mine: Fraction, other: Fraction, signature: Fraction) -> str:
    """Why the two lengths of a bar differ."""
    if max(counted) != mine:
        return "our length is not the longest part's"
    if other == counted[0] < mine:
        return "the first part's bar is shorter than another's; music21 starts each part's bars by that part alone"
    if mine > signature and other <= signature:
        return "the bar holds more than its signature; music21 starts the next one by the signature"
    if other > mine:
        return "music21 makes the bar longer than its durations add up to"
    return "music21 makes the bar shorter than its durations add up to"


def row_of(path: Path) -> dict[str, Any] | None:
    """The table's row of a file; None where all bars start alike."""
    score, mine = ours(path)
    other = theirs(path, tuple(part.staves for part in score.parts))
    count = min(len(mine.starts), len(other.starts))
    bars = [
        (i, mine.starts[i + 1] - mine.starts[i], other.starts[i + 1] - other.starts[i])
        for i in range(count - 1)
        if mine.starts[i + 1] - mine.starts[i] != other.starts[i + 1] - other.starts[i]
    ]
    if not bars:
        return None
    index, our_length, their_length = bars[0]
    counted = counted_lengths(path, index)
    bar = score.bars[index]
    beats = sum(Fraction(n) for n in bar.beats.split("+"))
    signature = beats * Fraction(4, bar.beat_type)
    right = "ours" if max(counted) == our_length else "music21" if max(counted) == their_length else "neither"
    return {
        "bars": len(bars),
        "first": {
            "number": bar.number,
            "signature": f"{bar.beats}/{bar.beat_type}",
            "counted": [str(length) for length in counted],
            "ours": str(our_length),
            "music21": str(their_length),
        },
        "cause": cause(counted, our_length, their_length, signature),
        "right by the XML": right,
    }


HEAD = """# Files of the music21 package in which music21 starts bars elsewhere than our reader does. Written by
# bar_starts.py, which says how it judges; lengths in quarter notes, of the first bar that differs; `bars` is how
# many differ in length. "counted" is each part's content of that bar, counted apart from the reader.
"""


def main() -> None:
    """Write the table."""
    rows = {}
    for path in corpus_files():
        row = row_of(path)
        if row is not None:
            rows[name_of(path)] = row
    text = yaml.safe_dump(rows, sort_keys=True, allow_unicode=True, width=110)
    TABLE.write_text(HEAD + text, encoding="utf-8")
    print(f"{len(rows)} files of {len(corpus_files())}")


if __name__ == "__main__":
    main()

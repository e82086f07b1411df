"""Our reading beside music21's, bar by bar, over the MusicXML files of the music21 package.

Compared: onset within the bar, duration, sounding pitch, tie and grace of every note, printed bar numbers.
Where tuplets are rounded to divisions in the file our exact lengths may differ by less than the rounding. Where a
bar starts elsewhere, the file stands in bar_starts.yaml with the cause.

One run over all 654 takes two to three minutes (`make corpus`); `make test` takes a sample that changes by the day.
"""

from __future__ import annotations

import datetime
import random
from pathlib import Path
from typing import Any

import pytest
import yaml
from second_opinion import compare, corpus_files, name_of

SAMPLE = 24
SMALL = 60_000  # bytes; the largest take seconds each and are left to the whole run
BAR_STARTS: dict[str, Any] = yaml.safe_load(Path(__file__).with_name("bar_starts.yaml").read_text(encoding="utf-8"))


# Files in which notes differ, how many bars, and who is right by the XML: ours in both.
NOTES_DIFFER = {
    "schubert/Lindenbaum.xml": (
        48,
        "chord notes shorter than their first note; music21 gives all its length",
    ),
    "trecento/PMFC_13_04-Credo Cursor.xml": (1, "an editor's sharp without `alter`; music21 raises the note"),
}


def assert_alike(path: Path) -> None:
    found = compare(path)
    assert len(found.different) == NOTES_DIFFER.get(name_of(path), (0, ""))[0], found.different[:3]
    assert found.numbers == []
    assert bool(found.starts) == (name_of(path) in BAR_STARTS)


def todays_sample() -> list[Path]:
    day = datetime.date.today().toordinal()
    small = [path for path in corpus_files() if path.stat().st_size < SMALL]
    return random.Random(day).sample(small, SAMPLE)


def test_the_package_holds_the_files_that_were_counted() -> None:
    assert len(corpus_files()) == 654


def test_a_sample_is_read_as_music21_reads_it() -> None:
    for path in todays_sample():
        try:
            assert_alike(path)
        except AssertionError as error:
            raise AssertionError(f"{name_of(path)} (the sample of {datetime.date.today()})") from error


@pytest.mark.corpus
@pytest.mark.parametrize("path", corpus_files(), ids=name_of)
def test_every_file_is_read_as_music21_reads_it(path: Path) -> None:
    assert_alike(path)


def test_the_table_of_bar_starts_names_a_cause_and_who_is_right() -> None:
    assert BAR_STARTS
    for name, row in BAR_STARTS.items():
        assert row["cause"], name
        assert row["right by the XML"] == "ours", name


@pytest.mark.corpus
def test_the_table_of_bar_starts_is_what_its_script_finds() -> None:
    from bar_starts import row_of

    files = {name_of(path): path for path in corpus_files()}
    for name in random.Random(7).sample(sorted(BAR_STARTS), 6):
        assert row_of(files[name]) == BAR_STARTS[name]

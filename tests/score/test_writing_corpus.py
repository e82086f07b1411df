"""One marking added to files of the music21 package: nothing else differs, and two readers agree on that."""

from __future__ import annotations

import importlib.util
import random
import warnings
from pathlib import Path

import pytest
from musicxml_schema import is_valid

from core.document import Document
from core.edits import AddMarking, DeleteMarking, apply
from core.errors import EditError, ScoreError
from core.score.ranges import record_text
from core.score.reading import read_score
from core.score.source import Source, read_source

pytestmark = pytest.mark.corpus

_spec = importlib.util.find_spec("music21")
assert _spec is not None
assert _spec.origin is not None
ROOT = Path(_spec.origin).parent
FILES = sorted(p for p in ROOT.rglob("*") if p.suffix in (".mxl", ".xml", ".musicxml"))
SAMPLE = random.Random(1886).sample(FILES, 80)
SECOND_OPINION = sorted(SAMPLE, key=lambda p: p.stat().st_size)[:60:5]


def added(path: Path) -> tuple[Source, Source, AddMarking] | None:
    """The file before and after a marking was added at a place of its own; None where it holds no score."""
    source = read_source(path)
    try:
        score = read_score(source)
    except ScoreError:
        return None
    chance = random.Random(path.name)
    note = chance.choice(score.notes)
    bar = score.bars[note.bar]
    edit = AddMarking(
        part=note.part,
        bar=note.bar,
        staff=chance.randint(1, score.parts[note.part].staves),
        in_bar=note.onset - bar.onset,
        text="Sw. Oboe 8′ & Trem.",
    )
    document = Document(source=source)
    try:
        done = apply(document, edit, score)
    except EditError as error:
        pytest.fail(f"{path.name}: {error}")
    assert done.document.source is not None
    assert done.made is not None
    assert done.made.part == edit.part
    assert done.made.bar == edit.bar
    assert done.made.staff == edit.staff
    back = apply(done.document, DeleteMarking(marking=done.made), done.score)
    assert back.document.source is not None
    assert back.document.source.xml == source.xml
    return source, done.document.source, edit


@pytest.mark.parametrize("path", SAMPLE, ids=lambda p: p.name)
def test_one_added_marking_changes_only_its_own_lines(path: Path) -> None:
    found = added(path)
    if found is None:
        return
    before, after, _ = found
    old, new = record_text(before.xml).text, record_text(after.xml).text
    start = next((i for i, (a, b) in enumerate(zip(old, new, strict=False)) if a != b), len(old))
    grown = len(new) - len(old)
    assert new[start + grown :] == old[start:]
    stretch = new[start : start + grown]
    assert stretch.count(b"direction placement=") == 1
    assert b"<note" not in stretch
    if is_valid(old_for_schema(before)):
        assert is_valid(old_for_schema(after))


def old_for_schema(source: Source) -> bytes:
    """The score's bytes for the validator, in UTF-8 whatever they declare."""
    text = record_text(source.xml).text.lstrip(b"\xef\xbb\xbf")
    declared = text.find(b"?>") if text.startswith(b"<?xml") else -2
    return text[declared + 2 :].strip()


@pytest.mark.parametrize("path", SECOND_OPINION, ids=lambda p: p.name)
def test_music21_reads_the_same_notes(path: Path) -> None:
    from music21 import converter

    found = added(path)
    if found is None:
        return
    readings = []
    for source in found[:2]:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            stream = converter.parseData(record_text(source.xml).text.decode(), format="musicxml")
        notes = [
            (
                n.getOffsetInHierarchy(stream),
                n.duration.quarterLength,
                tuple(p.nameWithOctave for p in n.pitches),
            )
            for n in stream.recurse().notes
        ]
        readings.append(sorted(notes))
    assert readings[0] == readings[1]

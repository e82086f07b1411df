"""Other formats come in as a conversion through music21, and say so; what cannot is one sentence."""

from __future__ import annotations

import io
from pathlib import Path

import pytest

from core.errors import ScoreError
from core.score import importing
from core.score.importing import foreign_format
from core.score.reading import load_score, read_score
from core.score.source import source_from_bytes

ABC = b"X:1\nT:Air\nM:4/4\nL:1/4\nK:C\nCDEF|GABc|\n"
KERN = b"**kern\n*M4/4\n=1\n4c\n4d\n4e\n4f\n=2\n1g\n*-\n"
MEI = (
    b'<?xml version="1.0"?><mei xmlns="http://www.music-encoding.org/ns/mei"><music><body><mdiv><score>'
    b'<scoreDef meter.count="4" meter.unit="4"><staffGrp><staffDef n="1" lines="5" clef.shape="G" clef.line="2"/>'
    b'</staffGrp></scoreDef><section><measure n="1"><staff n="1"><layer n="1"><note pname="c" oct="4" dur="1"/>'
    b"</layer></staff></measure></section></score></mdiv></body></music></mei>"
)


def midi() -> bytes:
    """One track of two quarter notes, by the Standard MIDI File format."""
    track = b"\x00\x90\x3c\x40\x60\x80\x3c\x00\x00\x90\x3e\x40\x60\x80\x3e\x00\x00\xff\x2f\x00"  # delta, event …
    return b"MThd\0\0\0\x06\0\0\0\x01\0\x60MTrk" + len(track).to_bytes(4, "big") + track


@pytest.mark.parametrize(
    ("data", "name", "keys"),
    [
        (ABC, "ABC", [60, 62, 64, 65, 67, 69, 71, 72]),
        (KERN, "Humdrum", [60, 62, 64, 65, 67]),
        (MEI, "MEI", [60]),
        (midi(), "MIDI", [60, 62]),
    ],
)
def test_other_formats_are_converted_and_say_so(data: bytes, name: str, keys: list[int]) -> None:
    source = source_from_bytes(data)
    assert source.data == data
    assert source.converted_from == name
    score = read_score(source)
    assert [n.key for n in score.notes] == keys
    assert f"converted from {name}" in str(score.repairs[0])


def test_the_name_of_the_file_does_not_matter(tmp_path: Path) -> None:
    path = tmp_path / "air.musicxml"
    path.write_bytes(ABC)
    assert len(load_score(path)[1].notes) == 8


@pytest.mark.parametrize(
    "data", [b"MThd", midi()[:20], b"X:1\nK:C\n", b"**kern\n*-\n", MEI[:300], MEI.replace(b"note", b"nix")]
)
def test_what_cannot_be_converted_is_one_sentence(data: bytes) -> None:
    with pytest.raises(ScoreError) as caught:
        read_score(source_from_bytes(data, "odd.file"))
    sentence = str(caught.value)
    assert sentence.startswith("odd.file")
    assert "\n" not in sentence
    assert "Traceback" not in sentence


def test_a_conversion_that_takes_too_long_is_ended(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(importing, "SECONDS", 0.01)
    with pytest.raises(ScoreError, match="takes more than"):
        source_from_bytes(ABC)


@pytest.mark.parametrize("data", [b"<score-partwise/>", b"words", b"", b"\xef\xbb\xbf<score-timewise/>", b"K:C"])
def test_others_are_not_taken_for_them(data: bytes) -> None:
    assert foreign_format(data) is None


def test_the_converter_itself_says_its_fault_in_one_line(
    monkeypatch: pytest.MonkeyPatch, capsysbinary: pytest.CaptureFixture[bytes]
) -> None:
    from core.score import converting

    class Stream:
        buffer = io.BytesIO(b"MThd")

    monkeypatch.setattr("sys.stdin", Stream)
    monkeypatch.setattr("sys.argv", ["converting", "MIDI"])
    assert converting.main() == 1
    assert capsysbinary.readouterr().err.count(b"\n") == 0

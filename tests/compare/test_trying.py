"""What a text would do at a place, against what it does once it is written there."""

from __future__ import annotations

import pytest

from core.analysis import Analysis, analyse_document
from core.compare.trying import Spot, try_text
from core.document import Document, OrganFile, organ_from_text
from core.edits import AddMarking, apply
from core.score.source import source_from_bytes
from making import Piece

ORGAN = """
specification: 1
name: St Breward, Lower Combe (invented)
tradition: english
divisions:
  - name: Great
    stops: [Open Diapason 8, Principal 4]
  - name: Swell
    enclosed: true
    stops: [Salicional 8, Oboe 8]
  - name: Pedal
    stops: [Bourdon 16]
couplers: [Swell to Great]
"""


def _document() -> Document:
    piece = Piece()
    for _ in range(4):
        piece.bar("C5 D5 E5 F5", "C3+E3:4", "C2:4")
    piece.text(1, 1, "Gt. Open Diapason 8", staff=1)
    piece.text(2, 1, "Sw. Salicional 8", staff=2)
    organ = organ_from_text(ORGAN, "organ.yaml")
    files = (OrganFile(path=None, text=ORGAN, organ=organ),)
    return Document(source=source_from_bytes(piece.xml()), organs=files, chosen=0)


@pytest.fixture(scope="module")
def document() -> Document:
    return _document()


@pytest.fixture(scope="module")
def analysis(document: Document) -> Analysis:
    return analyse_document(document)


@pytest.mark.parametrize("staff", [1, 2, 3])
@pytest.mark.parametrize(
    "text",
    [
        "Sw. Oboe",
        "add Principal 4",
        "Gt. Tuba 8",
        "L.H. Gt.",
        "Sw. to Gt.",
        "Ped. Bourdon",
        "box closed",
        "Gt. Principal off",
    ],
)
def test_a_text_tried_does_what_it_does_when_written(
    document: Document, analysis: Analysis, text: str, staff: int
) -> None:
    tried = try_text(analysis, text, Spot(part=0, staff=staff, bar=2, in_bar=0))
    assert tried is not None
    written = analyse_document(apply(document, AddMarking(part=0, bar=2, staff=staff, in_bar=0, text=text)).document)
    step = written.at(written.score.bars[2].onset)
    assert step is not None
    assert step.texts == (text,)
    assert tried.step.registration == step.registration
    assert [str(b.why) for b in tried.step.because] == [str(b.why) for b in step.because]
    assert [f.rule for f in tried.step.findings] == [f.rule for f in step.findings]


def test_what_the_organ_lacks_is_said(analysis: Analysis) -> None:
    tried = try_text(analysis, "Gt. Tuba 8", Spot(part=0, staff=1, bar=1, in_bar=0))
    assert tried is not None
    assert any("Tuba" in str(finding.message) for finding in tried.step.findings)


def test_an_empty_text_does_nothing(analysis: Analysis) -> None:
    assert try_text(analysis, "  ", Spot(part=0, staff=1, bar=1, in_bar=0)) is None


def test_another_wording_is_tried_over_what_was_on_before_the_marking(analysis: Analysis) -> None:
    marking = next(m.id for m in analysis.markings.marks if "Salicional" in m.text.text)
    tried = try_text(analysis, "add Principal 4", Spot(part=0, staff=2, bar=1, in_bar=0), instead_of=marking)
    assert tried is not None
    assert not any("salicional" in stop for stop in tried.before.drawn)


def test_any_text_at_all_is_tried_without_a_fault(analysis: Analysis) -> None:
    spot = Spot(part=0, staff=1, bar=3, in_bar=0)
    for text in ("[", "]", "8", "Sw.", "Prepare:", "\n", "ﷺ Oboe", "Sw. " * 60, "Oboe & & &"):
        tried = try_text(analysis, text, spot)
        assert tried is None or tried.mark.text.text.strip() == text.strip()

"""Whose custom answers the markings: found with its reason, and as the user says.

That "Fonds" are the open and stopped flues and, in French symphonic usage, the strings too, while elsewhere the
word is taken at its own: common practice, no source.
"""

from __future__ import annotations

import pytest

from core.analysis import Decisions, analyse, analyse_document
from core.document import Document, OrganFile
from core.edits import SetTradition, apply
from core.notes_file import read_notes, write_notes
from core.organ.reading import read_organ
from core.resolve.traditions import TRADITIONS, tradition_of, why_tradition
from core.score.reading import read_score
from core.score.source import source_from_bytes
from making import Piece
from walking import CHORDS

HALL = read_organ(
    b"Great\nOpen Diapason 8\nStopped Diapason 8\nGamba 8\nPrincipal 4\nFifteenth 2\nMixture III\n\n"
    b"Swell\nSalicional 8\nLieblich Gedeckt 8\nOboe 8\n\nPedal\nBourdon 16\n",
    "hall.txt",
)

BARE = read_organ(b"Great\nOpen Diapason 8\nPrincipal 4\n\nChoir\nStopped Diapason 8\n", "bare.txt")


def piece() -> Piece:
    return Piece().repeat_bars(4, *CHORDS).text(1, 1, "Plein jeu")


def drawn(tradition: str | None) -> tuple[str, ...]:
    score = read_score(source_from_bytes(piece().xml()))
    analysis = analyse(score, HALL, Decisions(tradition=tradition))
    return analysis.steps[0].registration.drawn


def test_as_the_user_says_another_custom_may_answer() -> None:
    answers = {drawn(tradition) for tradition in TRADITIONS}
    assert len(answers) > 1
    assert drawn(None) in answers


@pytest.mark.parametrize("language", ["en", "fr", "de", "it", None])
def test_each_finding_of_a_tradition_has_a_reason(language: str | None) -> None:
    assert str(why_tradition(HALL, language))
    if language == "fr":
        assert tradition_of(BARE, language) == "french-classical"
        assert "no box" in str(why_tradition(BARE, language))


def test_kept_in_the_notes_and_undone_by_an_empty_one() -> None:
    file = OrganFile(path=None, text="", organ=HALL)
    document = Document(source=source_from_bytes(piece().xml()), organs=(file,), chosen=0)
    told = apply(document, SetTradition(tradition="german-baroque")).document
    assert read_notes(write_notes(told.notes), "x.yaml").tradition == "german-baroque"
    assert analyse_document(told).decisions.tradition == "german-baroque"
    assert apply(told, SetTradition(tradition="")).document.notes == document.notes


def test_a_tradition_that_nobody_knows_is_not_followed() -> None:
    file = OrganFile(path=None, text="", organ=HALL)
    document = Document(source=source_from_bytes(piece().xml()), organs=(file,), chosen=0)
    told = apply(document, SetTradition(tradition="martian")).document
    assert analyse_document(told).decisions.tradition is None

"""From a document to its analysis: the one call of core's walk that the window makes."""

from __future__ import annotations

from app.own_words import NO_AIDS, Aids
from core.analysis import Analysis, analyse_document
from core.document import Document
from core.errors import ScoreError
from core.score.model import Score


def walk(
    document: Document, score: Score | None = None, earlier: Analysis | None = None, aids: Aids = NO_AIDS
) -> Analysis:
    """Read the document's score and work it through with the chosen organ and the user's decisions.

    `score` is the document's score, where it has been read already; `earlier` an analysis before, of which all is
    taken that has not changed; `aids` the user's own words and house style.

    Raises:
        ScoreError: there is no score, or it cannot be read.
    """
    if document.source is None:
        raise ScoreError("there is no score", remedy="Open one first")
    return analyse_document(
        document, words=aids.lexicon, style=aids.style, score=score, earlier=earlier, player=aids.player
    )

"""From a document to its analysis: the one call of core's walk that the window makes."""

from __future__ import annotations

from core.analysis import Analysis, analyse_document
from core.document import Document
from core.errors import ScoreError
from core.score.model import Score


def walk(document: Document, score: Score | None = None, earlier: Analysis | None = None) -> Analysis:
    """Read the document's score and work it through with the chosen organ and the user's decisions.

    `score` is the document's score, where it has been read already; `earlier` an analysis before, of which all is
    taken that has not changed.

    Raises:
        ScoreError: there is no score, or it cannot be read.
    """
    if document.source is None:
        raise ScoreError("there is no score", remedy="Open one first")
    return analyse_document(document, score=score, earlier=earlier)

"""The language tables: spellings are text, sources are named, every kind of word is one the reader knows."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

import core.markings
from core.knowledge.loader import load
from core.markings.lexicon import LANGUAGES

SOURCE = "\n".join(p.read_text(encoding="utf-8") for p in Path(core.markings.__file__).parent.glob("*.py"))


@pytest.mark.parametrize("language", LANGUAGES)
def test_table(language: str) -> None:
    data = load(f"languages/{language}")
    assert data["language"] == language
    assert data["sources"]
    for kind, content in data["words"].items():
        assert isinstance(kind, str), f"{kind!r}: YAML took a word for a truth value"
        assert kind == "abbreviation" or re.search(rf"\b{kind}\b", SOURCE), f"nobody reads {kind}"
        groups = content.values() if isinstance(content, dict) else [content]
        for spellings in groups:
            assert all(isinstance(spelling, str) for spelling in spellings), (kind, spellings)

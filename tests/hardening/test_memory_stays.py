"""A long session does not grow: what is remembered of words that were only tried is forgotten again."""

from __future__ import annotations

import gc

from core.markings.lexicon import Lexicon
from core.markings.reading import read_marking
from core.markings.user_words import words_of_text


def test_words_that_were_tried_are_forgotten() -> None:
    """Each letter typed while a word is taught makes a lexicon of over a megabyte."""
    for number in range(25):
        words = words_of_text(f"language: en\nwords: {{division: {{choir: [Quire{number}]}}}}\n", path="words.yaml")
        read_marking(f"Quire{number} Zzyx 8", user_words=words.lexicon)
    del words
    gc.collect()
    assert sum(isinstance(one, Lexicon) for one in gc.get_objects()) < 16

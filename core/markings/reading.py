"""Reads one marking: text in, instructions with their places out. Never raises, loses no character."""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache, partial

from core.markings.explaining import Notes
from core.markings.finishing import finish
from core.markings.judging import judge, readings_beside
from core.markings.language import choose, decide_language
from core.markings.lexicon import Lexicon, lexicon
from core.markings.model import Brackets, Reading, ReadingKind, Unread
from core.markings.parsing import parse
from core.markings.slips import mend_slips
from core.markings.state import State
from core.markings.tokens import Cutter, Token
from core.position import Span


def read_marking(text: str, *, hint: str | None = None, user_words: Lexicon | None = None) -> Reading:
    """What a text asks for.

    Args:
        text: the marking as printed; line breaks within it are kept.
        hint: the language of the piece, where known; it decides what the text leaves open.
        user_words: words of the user's own, which win over the built-in ones.
    """
    return _reader_with(user_words)(text, hint)


@lru_cache(maxsize=4)
def _reader_with(user_words: Lexicon | None) -> Callable[[str, str | None], Reading]:
    """A reader that remembers, and is forgotten with its words: a reading holds all of them (a megabyte and more)."""
    words = lexicon() if user_words is None else _joined(user_words)

    @lru_cache(maxsize=4096)
    def read(text: str, hint: str | None) -> Reading:
        return _read(text, hint, words)

    return read


@lru_cache(maxsize=4)
def _joined(user_words: Lexicon) -> Lexicon:
    return lexicon().joined_with(user_words)


def cut_words(text: str, *, hint: str | None = None, user_words: Lexicon | None = None) -> tuple[list[Token], str]:
    """The words of a text with the sense each has there, and the text's language."""
    return _cut(text, hint, lexicon() if user_words is None else _joined(user_words))


def _cut(text: str, hint: str | None, words: Lexicon) -> tuple[list[Token], str]:
    tokens = Cutter(text, words).run()
    mend_slips(tokens, words)
    language = decide_language(tokens, hint, text)
    choose(tokens, language)
    return tokens, language


def _parsed(text: str, hint: str | None, words: Lexicon) -> tuple[State, ReadingKind]:
    tokens, language = _cut(text, hint, words)
    state = parse(text, tokens, language)
    return state, judge(state)


def _read(text: str, hint: str | None, words: Lexicon) -> Reading:
    state, verdict = _parsed(text, hint, words)
    notes = Notes(text, partial(_parsed, text, hint, words))
    if verdict is ReadingKind.OTHER:
        return Reading(text=text, language=state.language, kind=verdict, words=notes, brackets=_brackets(text))
    instructions = finish(state.drafts, state.language)
    also = readings_beside(state, instructions)
    return Reading(
        text=text,
        language=state.language,
        kind=verdict,
        instructions=instructions,
        unread=tuple(Unread(text[t.start : t.end].rstrip(".,;"), Span(t.start, t.end)) for t in state.unread),
        ambiguous=bool(also),
        also=also,
        words=notes,
        brackets=_brackets(text),
    )


def _brackets(text: str) -> Brackets | None:
    """Brackets round the whole text, or a lone one at its edge."""
    bare = text.strip()
    if not bare:
        return None
    if bare[0] == "[" and bare[-1] == "]" and bare.count("[") == 1:
        return Brackets.EDITORIAL
    if bare[0] == "(" and bare[-1] == ")" and bare.count("(") == 1:
        return Brackets.REMINDER
    if "[" in bare and "]" not in bare:
        return Brackets.OPENS
    if "]" in bare and "[" not in bare:
        return Brackets.CLOSES
    return None

"""Proves a marking against a house style: which of its words the style words otherwise.

Looked at are the words that a style has in its tables: divisions, hands, families, names of stops, the sign for feet.
A word is called off the style only where the style's word in its place asks the same.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from core.markings.folding import fold_text
from core.markings.house_style import Style
from core.markings.language import has
from core.markings.lexicon import Lexicon
from core.markings.reading import cut_words, read_marking
from core.markings.tokens import PITCHES, Token
from core.markings.wording import meaning
from core.organ.spelling import write_feet
from core.position import Span


@dataclass(frozen=True, slots=True)
class OffStyle:
    """A word that the style words otherwise: its place, as printed, and the style's."""

    span: Span
    printed: str
    wanted: str


def off_style(
    text: str, style: Style, *, hint: str | None = None, user_words: Lexicon | None = None
) -> tuple[OffStyle, ...]:
    """The words of a marking that are not the style's; none where it is in another language, or no registration.

    Args:
        text: the marking.
        style: the house style.
        hint: the piece's language.
        user_words: words of the user's own.
    """
    reading = read_marking(text, hint=hint, user_words=user_words)
    if reading.language != style.language or not reading.instructions:
        return ()
    tokens, _ = cut_words(text, hint=hint, user_words=user_words)
    asked = meaning(reading.instructions)
    found: list[OffStyle] = []
    for one in _candidates(text, tokens, style):
        changed = read_marking(restyled(text, (*found, one)), hint=hint, user_words=user_words)
        if meaning(changed.instructions) == asked and len(changed.unread) == len(reading.unread):
            found.append(one)
    return tuple(found)


def restyled(text: str, changes: tuple[OffStyle, ...]) -> str:
    """The text with the style's words in their places."""
    for one in sorted(changes, key=lambda change: change.span, reverse=True):
        text = text[: one.span.start] + one.wanted + text[one.span.end :]
    return text


def _candidates(text: str, tokens: list[Token], style: Style) -> Iterator[OffStyle]:
    for place, token in enumerate(tokens):
        words = _words_for(tokens, place, style, text)
        printed = text[token.start : token.end]
        if not words or any(_is_same(printed, word, token) for word in words):
            continue
        yield OffStyle(Span(token.start, token.end), printed, _fitted(words[0], text, token))


def _words_for(tokens: list[Token], place: int, style: Style, text: str) -> tuple[str, ...]:
    """How the style words what a token says, the preferred first; none where it leaves that open."""
    token = tokens[place]
    if token.kind == "division":
        plain = style.own_words("divisions", token.value)
        coupled = style.own_words("in_couplers", token.value)
        words = (*coupled, *plain) if coupled and _is_coupled(tokens, place) else (*plain, *coupled)
        return tuple(word.rstrip(":") for word in words)
    if token.kind == "hand" and token.value in ("right", "left"):
        return style.own_words("hands", token.value)
    if token.kind == "family":
        words = style.own_words("families", token.value)
        return words if words and _is_short_for(token, words[0]) else ()
    if token.kind == "stop":
        return _stop_words(token, style, text)
    if token.kind == "num":
        return _pitch_words(tokens, place, style)
    return ()


def _is_coupled(tokens: list[Token], place: int) -> bool:
    beside = tokens[max(0, place - 1) : place + 2]
    return any(t.kind in ("to", "onto") or t.value in ("/", "-") for t in beside)


def _is_short_for(token: Token, word: str) -> bool:
    """``Founds.`` for Foundations; other words for a family (chorus reeds, string tone) say something of their own."""
    folded = fold_text(word)[0]
    return len(token.words) == 1 and token.words[0][0] == folded[0] and len(token.words[0]) < len(folded)


def _stop_words(token: Token, style: Style, text: str) -> tuple[str, ...]:
    """A stop's name: as the style abbreviates it, else in full."""
    name = token.value or text[token.start : token.end].rstrip(".")
    own = next((words for key, words in style.own["stops"].items() if key.casefold() == name.casefold()), ())
    return own or ((name,) if token.value else ())


def _pitch_words(tokens: list[Token], place: int, style: Style) -> tuple[str, ...]:
    """A pitch with the style's sign for feet; a bare one may borrow the word of the next in its list."""
    token, form = tokens[place], style.signs["foot"]
    if token.pitch is None or token.pitch not in PITCHES or (place and has(tokens[place - 1], "number_sign")):
        return ()
    if token.foot or not any(map(str.isalpha, form.replace("{feet}", ""))):
        return (form.format(feet=write_feet(token.pitch)),)
    return ()


def _is_same(printed: str, word: str, token: Token) -> bool:
    """Whether a word is printed as the style has it.

    Spaces and the sort of apostrophe count for nothing, nor do capitals but in keyboards; words round it may stay
    (``op HW``, ``Récit expressif``).
    """
    one, other = " ".join(printed.split()), " ".join(word.split())
    if token.kind == "division" and (one.startswith(f"{other} ") or one.endswith(f" {other}")):
        return True
    one, other = one.replace(" ", ""), other.replace(" ", "")
    if token.kind == "num":
        one = one.removesuffix("s")  # two soft 8s
    return one == other or (token.kind != "division" and _folded(one) == _folded(other))


def _folded(word: str) -> str:
    return "".join(fold_text(word)[0].split())


def _fitted(word: str, text: str, token: Token) -> str:
    """The style's word with the capital that the printed one has at a text's beginning."""
    if token.kind == "family" and text[token.start].isupper():
        return word[:1].upper() + word[1:]
    if token.kind == "family" and text[token.start].islower() and token.start:
        return word[:1].lower() + word[1:]
    return word

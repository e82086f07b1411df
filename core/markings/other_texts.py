"""Texts in the trade's words that are another thing: cues, credits, chord symbols, titles, lyrics, touch, pages.

Their words are read before they are judged here; what is found to be another thing asks for nothing. The word
lists lie in core/knowledge/bare_names.yaml.
"""

from __future__ import annotations

import re
from fractions import Fraction
from functools import cache

from core.knowledge.loader import load
from core.markings.language import has
from core.markings.state import State
from core.markings.tokens import Token


@cache
def names(key: str) -> frozenset[str]:
    """Words that core/knowledge/bare_names.yaml lists."""
    return frozenset(load("bare_names")[key])


def is_another_thing(state: State) -> bool:
    """A chord symbol, an orchestral cue, a singer's solo, heels and toes, a sentence with stops' names in it."""
    tokens = state.tokens
    words = [t for t in tokens if t.kind not in ("sign", "break")]
    kinds = {t.kind for t in words}
    noted = len(tokens) > 2 and tokens[0].value == "*"  # * Sw. Oboe 8: a note; but "* Ped."
    if not words or any(t.value in _FOREIGN_SIGNS for t in tokens[noted:]) or _is_imprint(state, tokens):
        return True
    if _is_called(state, tokens) or _is_small_word(words, kinds) or _is_compound(state, tokens):
        return True
    head = tokens[0]
    if head.kind in ("division", "family", "add", "take_off", "hand") and len(head.words[0]) > 1:
        return _is_touch(words, kinds)  # the trade's own beginning
    return (
        _is_symbol(tokens, words)
        or ("solo" in kinds and _is_a_singers(words, kinds))
        or ("solo" in kinds and _is_players_solo(state, words, kinds))
        or _is_cue(words, kinds)
        or _is_label(state, tokens, words, kinds)
        or _is_touch(words, kinds)
        or _names_one_thing(state, words, kinds)
        or _is_sentence(state, tokens, words, kinds)
    )


_FOREIGN_SIGNS = ("#", "♯", "♭", "*")
_PAGE = re.compile(r"\W*[-–—]\s*\d+\s*[-–—]\W*|\d+\n\d+|\D*\d+:\d+\D*")
_DURATION = re.compile(r"\D*\d+['’′] ?(?!16|32)[0-5]\d(?:[\"”″]|'')\D*")  # 2' 45"
_FIRST_YEAR, _LAST_YEAR = 1400, 2100


def _is_imprint(state: State, tokens: list[Token]) -> bool:
    """A credit, a year, a page, a verse: ``Words: S. Clarion``, ``P. Gedackt (1685–1750)``, ``- 8 -``, ``Luke 2:8``."""
    numbers = [t.pitch for t in tokens if t.pitch is not None and not t.foot]
    if numbers and (any(_FIRST_YEAR < number < _LAST_YEAR for number in numbers) or _PAGE.fullmatch(state.text)):
        return True
    if _DURATION.fullmatch(state.text):
        return True
    head = tokens[0]
    if any(t.foot for t in tokens):
        return False  # Melodie: Oboe 8'
    if not head.words or head.words[-1] not in names("credits") or len(tokens) < 3:
        return False
    follow = tokens[1]
    return follow.value == ":" or bool(follow.words and follow.words[0] in names("by"))


def _is_called(state: State, tokens: list[Token]) -> bool:
    """``O dolce flauto``: a vocative at the head, before words and no number."""
    head = tokens[0]
    if len(tokens) < 2 or state.text[head.start : head.end] != "O" or any(t.kind in ASKING for t in tokens[1:]):
        return False
    return bool(tokens[1].words) and tokens[1].gap


_TRADE = frozenset({"division", "stop", "family", "manuals_only", "feet_only", "solo", "coupler"})
_COMPOUNDED = frozenset({"word", "title", "lyric", "other", "tempo", "expression"})


def _is_compound(state: State, tokens: list[Token]) -> bool:
    """``ohne Pedal-Auftakt``, ``Trompeten-Fanfare``: the trade's word is half of another; nothing else is asked."""
    if (
        "-" not in state.text
        or sum(t.kind in _TRADE or t.kind in ("num", "roman", "hand", "piston") for t in tokens) != 1
    ):
        return False
    for place, token in enumerate(tokens[:-2]):
        sign, after = tokens[place + 1 : place + 3]
        if token.kind in _TRADE and sign.value == "-" and not sign.gap and not after.gap and after.kind in _COMPOUNDED:
            return True
    return False


_EVERYDAY = frozenset({"word", "filler", "lyric", "other", "expression", "tempo", "title", "and", "of", "at"})


def _is_small_word(words: list[Token], kinds: set[str]) -> bool:
    """Everyday words of the language that are abbreviations too: ``so``, ``un``, ``man``."""
    if kinds & {"num", "stop", "family", "roman", "hand"}:
        return False
    strong = [t for t in words if t.kind not in _EVERYDAY]
    return all(len(t.words) == 1 and t.words[0] in names("small_words") and _is_small(t) for t in strong)


def _is_small(token: Token) -> bool:
    """Printed small without a point; the point of "so." ends a sentence."""
    return token.lower and (not token.dot or token.words == ("so",))


def _is_players_solo(state: State, words: list[Token], kinds: set[str]) -> bool:
    """``Flute Solo`` and ``ob. solo`` of an orchestral part, ``Solo Violin``; ``Solo, espr.`` of a line."""
    if kinds <= {"solo", "expression", "tempo", "dynamic"}:
        return len(kinds) > 1 and "[" not in state.text
    if not kinds <= {"solo", "stop", "expression", "tempo", "dynamic", "of", "filler"}:
        return False
    stops = [t for t in words if t.kind == "stop"]
    if stops and all(t.words[0] in names("bowed") for t in stops):
        return True
    first = words[0]
    players = names("orchestral") - names("bowed") - {"tuba"}  # Tuba Solo is the organ's
    known = first.kind == "stop" and (first.words[0] in players or first.words[-1] in players)
    return known and words[-1].kind == "solo" and len(words) == 2 and state.language in ("en", "de", "nl")


_JOINING = frozenset({"filler", "simile", "word", "expression", "at"})


def _is_cue(words: list[Token], kinds: set[str]) -> bool:
    """``Fl. & Ob. tacet``, ``Tpt. 1 & 2``, ``Corni I e II``, ``2 fl.``."""
    first, rest = words[0], words[1:]
    said = {t.words[0] for t in words if t.words}
    if first.kind in ("stop", "compact_stop", "family") and said & names("entries") and not kinds & {"num", "division"}:
        return True
    plain = {t.kind for t in words if not (t.words and t.words[0] in names("for"))}
    if said & names("organs") and plain <= {"stop", "and", "filler"} and not any(t.foot for t in words):
        return "and" in kinds  # a duet with the organ
    if len(words) > 2 and any(t.words and t.words[0] in names("for") for t in words[1:]):
        return plain <= {"stop", "solo", "title", "filler", "and", "quality", "or", "at"}
    if first.words and first.words[0] in names("like") and rest and first.kind in _JOINING:
        return {t.kind for t in rest} <= {"stop", "family", "and", "filler"}
    if len(words) > 2 and "word" in kinds and all(t.words and t.words[0] in names("orchestral") for t in words):
        return True  # Fl., Ob., Cl.
    if first.kind == "num" and not first.foot and first.pitch in (1, 2, 3) and len(words) == 2:
        return rest[0].kind == "stop" and rest[0].lower and rest[0].words[0] in names("orchestral")
    if not rest or first.kind != "stop" or first.words[0] not in names("orchestral"):
        return False
    numbers = [t for t in rest if t.kind in ("num", "roman")]
    if not {t.kind for t in rest} <= {"num", "and"} or any(t.foot for t in numbers):
        players = first.words[0] in names("players")
        return players and bool(numbers) and {t.kind for t in rest} <= {"roman", "and"}
    counts = {t.pitch for t in numbers}
    return bool(counts & {1, 3}) and counts <= {1, 2, 3, 4}


def _is_touch(words: list[Token], kinds: set[str]) -> bool:
    """``Pedal non legato``: how the pedal is played, nothing of its stops."""
    if [t.kind for t in words] == ["num", "division"] and words[0].pitch == Fraction(1, 2):
        return words[1].value == "pedal"  # 1/2 ped. of the piano
    if "expression" not in kinds or not kinds <= {"division", "expression", "at", "filler", "with"}:
        return False
    return all(t.value == "pedal" for t in words if t.kind == "division")


_ASIDE = frozenset({"stop", "compact_stop", "and", "filler", "word", "lyric", "title", "other", "expression", "family"})


def _names_one_thing(state: State, words: list[Token], kinds: set[str]) -> bool:
    """``The Cuckoo and the Nightingale``, ``Die Flöte klagt``: an article at the head, and no stop list after it."""
    first = words[0]
    if len(words) < 2 or first.words not in _ARTICLES[state.language] or not kinds <= _ASIDE:
        return False
    asked = [t for t in words if t.kind in ("stop", "family")]
    if any(t.kind == "family" for t in asked) or any("," in t.value for t in state.tokens):
        return len(words) > 2 and any(t.kind == "word" and t.lower for t in words) and state.language != "fr"
    return state.language != "fr"  # French prefaces list stops with their articles


_ARTICLES: dict[str, frozenset[tuple[str, ...]]] = {
    "en": frozenset({("the",)}),
    "fr": frozenset({("le",), ("la",), ("les",), ("l",)}),
    "de": frozenset({("der",), ("die",), ("das",)}),
    "it": frozenset({("il",), ("la",), ("lo",), ("i",), ("gli",), ("le",), ("l",)}),
    "es": frozenset({("el",), ("la",), ("los",), ("las",)}),
    "nl": frozenset({("de",), ("het",)}),
    "la": frozenset(),
}


def _is_symbol(tokens: list[Token], words: list[Token]) -> bool:
    """``B2``, ``E/G#``, ``Fl. I``, ``L R L R``."""
    bare = len(words) == 2 and all(t.value in "[]()" for t in tokens if t.kind == "sign")
    if bare and words[1].kind in ("num", "roman") and not words[1].foot:
        first, small = words[0], words[1].kind == "roman" or words[1].pitch in (1, 2, 3)
        if first.kind == "compact_stop":
            return len(first.words[0]) == 1 and first.words[0] <= "g"
        if first.kind == "stop" and small and first.words and first.words[0] in names("orchestral"):
            return True
    if any(t.value == "/" for t in tokens):
        return False  # P/G R/G: couplers
    return len(words) > 2 and all(t.end - t.start == 1 and t.kind not in ("num", "roman") for t in words)


def _is_label(state: State, tokens: list[Token], words: list[Token], kinds: set[str]) -> bool:
    """``arr. R. Pos``, ``Nos. 2 and 8``, ``Musette in A``, ``Soprano I & II``, ``bell-like``, ``Clarinet Polka``."""
    if not words:
        return False
    first, last = words[0], words[-1]
    if first.words == ("arr",) or (last.words == ("like",) and len(tokens) > 1 and tokens[-2].value == "-"):
        return True
    if has(tokens[0], "number_sign") and not any(t.foot for t in tokens):
        return kinds <= {"num", "and", "number_sign", "known", "roman"} or all(
            t.kind in ("num", "and") for t in words[1:]
        )
    if len(words) > 2 and words[-2].words == ("in",) and last.end - last.start == 1:
        return not kinds & {"num", "division", "initials"}
    if "roman" in kinds and kinds <= {"roman", "and", "other", "half", "word"}:
        return first.words[0] in names("voices") | names("orchestral")
    if "label" in kinds and kinds <= {"division", "num", "label"} and "num" in kinds:
        return True  # chapter and verse
    if len(words) == 2 and _is_interval(first, last):
        return True
    if len(words) == 2 and first.kind == "stop" and last.lower and has(last, "title"):
        return True  # Trumpet fanfare
    if first.words == ("tutti",) and _tells_who_sings(words, kinds):
        return True
    if last.words == ("stimmen",) and kinds <= {"at", "with", "filler", "num", "stops_word"}:
        return sum(t.kind == "num" and not t.foot for t in words) == 1  # voices are counted
    if len(words) == 1:
        return first.words == ("ottava",) and first.lower
    return [t.kind for t in words] == ["stop", "word"] and any(last is u for u in state.unread)


def _tells_who_sings(words: list[Token], kinds: set[str]) -> bool:
    """``Tutti (choir)``, ``Tutti vv. 1 & 4``."""
    if [t.words for t in words[1:]] in ([("choir",)], [("chorus",)]) and words[1].lower:
        return True
    return "label" in kinds and kinds <= {"full", "label", "num", "and"}


def _is_interval(first: Token, last: Token) -> bool:
    """``in 8``, ``in Oktaven``, ``mit Terzen``, ``Terzen staccato``: how many, how far apart; no stops."""
    if first.kind == "at":
        return (last.kind == "num" and not last.foot) or (bool(last.words) and last.words[0] in names("intervals"))
    several = [t.words[0] in names("intervals") and t.words[0].endswith(("n", "s")) for t in (first, last) if t.words]
    if first.kind in ("with", "filler", "word"):
        return several[-1:] == [True]
    return several[:1] == [True] and last.kind == "expression"


def _is_a_singers(words: list[Token], kinds: set[str]) -> bool:
    """``Solo (Soprano)``, ``v. 1 Solo``."""
    if "label" in kinds and kinds <= {"solo", "label", "num", "ordinal", "other"}:
        return True
    if all(t.kind in ("solo", "and") or t.words == ("chorus",) for t in words) and len(words) > 1:
        return any(t.words == ("chorus",) for t in words)
    voiced = any(t.words and t.words[0] in names("voices") and t.kind != "stop" for t in words)
    return voiced and kinds <= {"solo", "other", "half", "adlib", "stop", "quality", "filler", "and"}


_ASKING_WORDS = "num division initials roman hand add take_off draw prepare reduce without coupler tremulant full pass"
ASKING = frozenset(_ASKING_WORDS.split())
"""Kinds of words that ask for something of the organ, and that no lyric has beside its own."""


def _is_sentence(state: State, tokens: list[Token], words: list[Token], kinds: set[str]) -> bool:
    """Four words and more without a sign, a number, a keyboard or a verb of the trade, some of them unknown."""
    if len(words) < 4 or kinds & ASKING or any(t.value in (",", ":", ";", "&", "+", "(") for t in tokens):
        return False
    told = state.language == "en" and len(words) > 4 and sum(t.kind == "filler" for t in words) > 2
    return told or any(t.kind in ("word", "lyric", "title") or t.guessed for t in words)

"""Reads couplers: ``Swell to Great``, ``II/I``, ``Koppel OW/HW``, ``Tirasses I, II``, ``Octaves graves``."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache

from core.organ.lists.drafts import CouplerDraft
from core.organ.lists.lines import Piece
from core.organ.lists.vocabulary import division_words, fold, pattern, short_words, words

_ROMAN_VALUES = {"i": 1, "ii": 2, "iii": 3, "iv": 4, "v": 5, "1": 1, "2": 2, "3": 3, "4": 4, "5": 5}
_TOKEN = re.compile(r"\d+\s?(?:'|ft\b\.?|fuss|foot|pieds?)|[^\W\d_]+(?:['.-][^\W\d_]+)*\.?|\d+|[/+>:=&-]|–|—|→")
_COUPLERISH = re.compile(
    r"(?:koppeln?|coppeln?|kopplung(?:en)?|koppling(?:ar)?|koppelung(?:en)?|koppelingen?|accouplements?|acoplamientos?|copula\w*|couplers?)$"
)
_ALSO = re.compile(r"\(\s*(?:auch|also|aussi|anche|ook|también|mit|with)(?: als| in| en)?\s+([^)]*)\)", re.IGNORECASE)
_SUMMARY = re.compile(r"\(?(?:\d|[IVX]+)\s*\+\s*p(?:ed(?:al)?)?\.?\)?", re.IGNORECASE)
_ONE_MANUAL = frozenset(
    ("m", "manual", "manuale", "manuaal", "manualen", "man", "klavier", "tastiera", "teclado", "manuel")
)
_BRACKET = re.compile(r"\([^)]*\)?")


def read_couplers(piece: Piece, *, within: int | None, section: bool, label: str = "") -> list[CouplerDraft] | None:
    """The couplers that an item is, or None where it is something else.

    Args:
        piece: one item of a list.
        within: index of the division it stands in.
        section: it stands under a heading for couplers.
        label: the word that heads the line ("Tirasses"), for bare items behind it.
    """
    text = piece.text
    if not section and _SUMMARY.fullmatch(text.strip()):
        return None
    also = _ALSO.search(text)
    if also is not None:
        text = text[: also.start()] + text[also.end() :]
    text = _BRACKET.sub(_keep_divisions, text).strip(" .,;")
    folded = fold(f"{label} {text}").replace("’", "'")
    base = CouplerDraft(source=None, target=None, lines=piece.lines, text=piece.text.strip(), within=within)
    if (shared := _sizes_for(base, folded)) is not None:
        return shared
    if pattern("unison_off").search(folded):
        return _unison_off(base, folded, within)
    parsed = _parse(folded, section=section or bool(label))
    if parsed is None:
        return None
    refs, pitches, flags = parsed
    if flags & {"terza"}:
        ends = (refs[0], refs[0]) if refs else ("main", "main")
        return [replace(base, source=ends[0], target=ends[1], pitch=4, half="treble")]
    made = _from_parts(base, refs, pitches, flags, section=section or bool(label))
    if made and also is not None:
        sizes = [
            size
            for word, size in _octave_words().items()
            if re.search(rf"(?<!\w){re.escape(word)}(?!\w)", fold(also[1]))
        ]
        made += [replace(made[0], pitch=size) for size in dict.fromkeys(sizes) if size != made[0].pitch]
    if made and "off" in flags:
        made.append(replace(made[0], source=made[0].target, pitch=8, unison_off=True))
    return made


def shares_sizes(piece: Piece) -> bool:
    """Whether an item lists sizes and the divisions that have them all."""
    return _sizes_for(CouplerDraft(source=None, target=None), fold(piece.text).strip(" .,;")) is not None


def _sizes_for(base: CouplerDraft, folded: str) -> list[CouplerDraft] | None:
    """``Octave, sub-octave and unison off to Swell and Choir``: each size on each of the divisions named."""
    found = _SIZES_FOR.fullmatch(folded.strip())
    if found is None:
        return None
    sizes = [part.strip() for part in _LISTED.split(found["sizes"]) if part.strip()]
    meant = [reference(part.strip()) for part in _LISTED.split(found["whose"]) if part.strip()]
    known = [size for size in sizes if size in _octave_words() or pattern("unison_off").fullmatch(size)]
    if len(sizes) < 2 or len(known) < len(sizes) or not meant or any(ref is None for ref in meant):
        return None
    return [
        replace(
            base, source=ref, target=ref, pitch=_octave_words().get(size, 8), unison_off=size not in _octave_words()
        )
        for ref in meant
        for size in sizes
    ]


_LISTED = re.compile(r"\s*(?:,|&|\band\b|\bund\b|\bet\b)\s*")
_SIZES_FOR = re.compile(r"(?P<sizes>[a-z][a-z ,&-]+?)\s+(?:to|on|for|fur)\s+(?:the )?(?P<whose>[a-z][a-z ,&.]+)")


def _keep_divisions(found: re.Match[str]) -> str:
    inside = fold(found.group().strip("()"))
    if _octave_pattern().fullmatch(inside):
        return " " + inside + " "
    if any(w in division_words() for w in re.split(r"[\s,]+", inside)):
        return " " + found.group().strip("()") + " "
    if re.fullmatch(r"[ivp\d]+\s?[-/–]\s?[ivp\d]+|16|4", inside):
        return " " + inside + " "
    return " "


def _unison_off(base: CouplerDraft, folded: str, within: int | None) -> list[CouplerDraft] | None:
    rest = pattern("unison_off").sub(" ", folded)
    named = next((reference(w) for w in rest.split() if reference(w) is not None), None)
    if named is None and within is None:
        return None
    return [replace(base, source=named, target=named, unison_off=True)]


@cache
def _octave_words() -> dict[str, int]:
    """Words for an octave coupler; sub-octave words win where a word is both."""
    return {word: pitch for pitch in (4, 16) for word in words("octave", str(pitch)) if not word[0].isdigit()}


@cache
def _octave_pattern() -> re.Pattern[str]:
    longest = sorted(_octave_words(), key=lambda word: (-len(word), word))
    return re.compile(r"(?<![\w'])(?:" + "|".join(map(re.escape, longest)) + r")(?![\w'])")


def octave_sizes(text: str) -> list[int]:
    """The sizes that an item names which names nothing else: ``Sub, Super and Unison``."""
    rest = f" {fold(text)} ".replace("(on itself)", " ")
    sizes: list[int] = []
    while (spot := _octave_pattern().search(rest)) is not None:
        sizes.append(_octave_words()[spot.group()])
        rest = rest[: spot.start()] + " " + rest[spot.end() :]
    left = re.findall(r"[^\W_]+", rest)
    sizes += [8 for word in left if word in words("unison")]
    alone = all(word in words("unison") or word in ("and", "und", "et", "e", "en", "y", "couplers") for word in left)
    return sizes if alone else []


def _parse(folded: str, *, section: bool) -> tuple[list[str | int], list[int], set[str]] | None:
    """References, pitches and flags of an item of which every word is understood, else None."""
    flags: set[str] = set()
    text = f" {folded} "
    for name, path in (("pedal", "pedal_coupler"), ("manual", "manual_coupler")):
        found = pattern(path).search(text)
        if found:
            flags.add(name)
            text = text[: found.start()] + " " + text[found.end() :]
    if "terza mano" in text or "tercera mano" in text:
        flags.add("terza")
        text = text.replace("terza mano", " ").replace("tercera mano", " ")
    pitches: list[int] = []
    while (spot := _octave_pattern().search(text)) is not None:
        pitches.append(_octave_words()[spot.group()])
        text = text[: spot.start()] + " " + text[spot.end() :]
    refs: list[str | int] = []
    unknown = 0
    for token in longest_tokens(text):
        if token == "uo":
            flags.add("off")
        elif not _take(token, refs, pitches, flags, section=section):
            unknown += 1
    if "main" in refs and (len(refs) != 2 or not any(is_pedal(ref) for ref in refs)):
        refs = [ref for ref in refs if ref != "main"]
    own = section and len(refs) == 1 and any(pitch != 8 for pitch in pitches)
    if unknown and not (
        unknown <= 2 and ((len(refs) >= 2 and (section or flags & {"word", "manual", "pedal"})) or own)
    ):
        return None
    return refs, pitches, flags


def longest_tokens(text: str) -> list[str]:
    """Tokens, where names of two words (``grand orgue``) stay together."""
    tokens = [part for t in _TOKEN.findall(text) for part in _unhyphened(t.strip())]
    made: list[str] = []
    at = 0
    while at < len(tokens):
        pair = " ".join(tokens[at : at + 2])
        if at + 1 < len(tokens) and pair in division_words():
            made.append(pair)
            at += 2
        else:
            made.append(tokens[at])
            at += 1
    return made


def _unhyphened(token: str) -> list[str]:
    """``ii-i`` and ``hw-ped`` are two names with a stroke between; ``grand-orgue`` is one."""
    parts = token.split("-")
    if len(parts) == 2 and token not in division_words() and all(reference(part) is not None for part in parts):
        return [parts[0], "-", parts[1]]
    return [token]


def _take(token: str, refs: list[str | int], pitches: list[int], flags: set[str], *, section: bool) -> bool:
    size = re.fullmatch(r"(16|8|4)\s?(?:'|ft\.?|fuss|foot|pieds?)?", token)
    if size and not (size[1] == "4" and token == "4" and len(refs) < 2 and "connected" not in flags and not refs):
        number = int(size[1])
        if number == 4 and token == "4" and not refs:
            refs.append(4)
        else:
            pitches.append(number)
        return True
    if token.strip(".") in _ONE_MANUAL and not any(isinstance(ref, int) for ref in refs):
        refs.append("main")
        return True
    meant = reference(token)
    if meant is not None:
        refs.append(meant)
        return True
    if token in ("/", "-", "–", "—", "→", "+", ">", ":", "=", "&"):
        flags |= {"slashes"} if token == "/" and "slash" in flags else set()
        flags.add("slash" if token != ":" else "colon")
        return True
    if token in words("connectors"):
        flags.add("connected")
        return True
    if token.strip(".") in words("coupler_words") or _COUPLERISH.search(token):
        flags.add("word")
        return True
    if token in words("unison"):
        pitches.append(8)
        return True
    bare = token.strip(".")
    return (
        bare in words("heading_noise")
        or bare in words("unison")
        or (section and bare in ("normal", "mechanical", "electric", "st", "manuals", "reversible"))
    )


def reference(token: str) -> str | int | None:
    """A role, or the number of a keyboard, that a word refers to."""
    bare = token.strip(". ")
    if bare == "werk":
        return "word:hauptwerk"  # "Oberwerk zum Werk"
    if bare in _ROMAN_VALUES:
        return _ROMAN_VALUES[bare]
    if bare in division_words() and bare != "organo" and division_words()[bare][0].role != "manual-1":
        return "word:" + bare
    flat = bare.replace(".", "")
    if flat in short_words():
        return "word:" + flat
    return None


def _from_parts(
    base: CouplerDraft, refs: list[str | int], pitches: list[int], flags: set[str], *, section: bool
) -> list[CouplerDraft] | None:
    if "slashes" in flags and len(refs) > 3:
        return None  # several couplers run together
    sizes = sorted(set(pitches), reverse=True) or [8]
    if "pedal" in flags:
        sources: list[str | int] = [ref for ref in refs if not is_pedal(ref)] or ["main"]
        return [replace(base, source=ref, target="pedal", pitch=size) for ref in sources for size in sizes]
    if "manual" in flags and any(is_pedal(ref) for ref in refs):
        return [
            replace(base, source="upper", target="main", manuals=True),
            replace(base, source="main", target="pedal"),
        ]
    if "manual" in flags and len(refs) < 2:
        return [replace(base, source="upper", target="main", manuals=True)]
    slashed = "slash" in flags and "connected" not in flags
    if len(refs) >= 2 and (flags & {"connected", "slash", "word", "colon"} or section):
        if len(refs) == 2:
            return [replace(base, source=refs[0], target=refs[1], pitch=size, slashed=slashed) for size in sizes]
        return [
            replace(base, source=ref, target=refs[-1], pitch=size, slashed=slashed)
            for ref in refs[:-1]
            for size in sizes
        ]
    return _onereference(base, refs, pitches, sizes, flags, section=section)


def _onereference(
    base: CouplerDraft,
    refs: list[str | int],
    pitches: list[int],
    sizes: list[int],
    flags: set[str],
    *,
    section: bool,
) -> list[CouplerDraft] | None:
    own = [size for size in sizes if size != 8]
    if len(refs) == 1 and own:
        return [replace(base, source=refs[0], target=refs[0], pitch=size) for size in own]
    if len(refs) == 1 and _is_main(refs[0]) and _COUPLED_TO.match(fold(base.text)):
        return [replace(base, source="upper", target=refs[0], manuals=True)]  # "Koppel zum Hauptwerk"
    if len(refs) == 1 and flags & {"word"} and not is_pedal(refs[0]):
        return [replace(base, source=refs[0], target="place")]
    if len(refs) == 1 and flags & {"word"}:
        return [replace(base, source="main", target="pedal")]
    if len(refs) == 1 and flags & {"connected"} and base.within is not None:
        return [replace(base, source=refs[0], target=None)]
    if not refs and 8 in pitches and own and flags & {"word"}:
        return [replace(base, source="upper", target="main", pitch=size, manuals=True) for size in sizes]
    if not refs and own and base.within is None and re.search(r"[ck]oppel|spojka", fold(base.text)):
        return [replace(base, source="only", target="only", pitch=size) for size in own]
    if not refs and own and base.within is not None:
        return [replace(base, pitch=size) for size in own]
    return None


_COUPLED_TO = re.compile(r"(?:[ck]oppel\w*|coupler|accouplement|copula)\s+(?:zum|zu|ans?|to|au|aan|auf)\b")


def _is_main(meant: str | int) -> bool:
    word = meant.removeprefix("word:") if isinstance(meant, str) else ""
    return any(one.role == "great" for one in (*division_words().get(word, ()), *short_words().get(word, ())))


def is_pedal(meant: str | int) -> bool:
    """Whether a reference is to the pedal."""
    if isinstance(meant, int):
        return False
    word = meant.removeprefix("word:")
    meanings = division_words().get(word) or short_words().get(word) or ()
    return any(one.role == "pedal" for one in meanings)


_COUNTED_PEDAL = re.compile(
    r"(?P<count>[2-5]|zwei|drei|vier|two|three|four|deux|trois|quatre|twee|drie|vier|due|tre|dos|tres)\s+"
    r"(?:pedal[- ]?[ck]oppeln?|pedal couplers|tirasses|pedaalkoppel(?:s|ingen)?|pedalkoppler|pedalkoblinger"
    r"|manual to pedal couplers)"
)
_COUNTS = {"zwei": 2, "two": 2, "deux": 2, "twee": 2, "due": 2, "dos": 2, "vier": 4, "four": 4, "quatre": 4}


def normal_couplers(piece: Piece) -> list[CouplerDraft] | None:
    """``Normalkoppeln``: every manual to every lower one and to the pedal; ``2 Pedalkoppeln``: each of two manuals."""
    counted = _COUNTED_PEDAL.fullmatch(fold(piece.text).strip(" .,;:"))
    if counted is not None:
        count = int(counted["count"]) if counted["count"].isdigit() else _COUNTS.get(counted["count"], 3)
        return [CouplerDraft(source="each", target="pedal", count=count, lines=piece.lines, text=piece.text.strip())]
    if not pattern("normal_couplers").fullmatch(fold(piece.text).strip(" .,;:")):
        return None
    return [CouplerDraft(source="all", target="all", lines=piece.lines, text=piece.text.strip())]

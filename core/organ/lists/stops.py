"""Reads stops from a stretch of a list: one, or several set side by side."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from core.organ.lists.cells import FROM_KEY
from core.organ.lists.drafts import StopDraft
from core.organ.lists.lines import Piece
from core.organ.lists.remarks import apply_remark, is_half, is_said_of_stops
from core.organ.lists.tokens import Sort, Token, tokens_of
from core.organ.lists.vocabulary import fold, pattern, words
from core.organ.mixtures import read_ordinals, read_ranks
from core.organ.model import Family, Feet, Ranks
from core.organ.names import find_kind
from core.organ.pitch import feet_of_ordinal, read_feet
from core.texts import say

_LETTERS = re.compile(r"[^\W\d_]{2,}")
_NOT_NAMES = re.compile(r"^(?:uit|aus|op|von|de|of|a|à|and|und|et|&|ft|feet|no|nr|from|n|ab)\.?$", re.IGNORECASE)
_SEVERAL_NUMBERS = re.compile(
    r"(?:[b♭]?\s?[\dl]{1,2}(?:th|st|nd|rd|d)?[\s.,;:&+·/–-]+)+[b♭]?\s?[\dl]{1,2}(?:th|st|nd|rd|d)?\.?"
)
_STRONG_HALVES = frozenset(
    ("soprani", "bassi", "tiples", "bajos", "discant", "diskant", "disc", "disk", "treble", "soprano")
)
_HALF_LETTERS = frozenset("bsdt")
_PIPES = re.compile(
    r"[(\[]?\b\d+\s*(?:pipes|tubes|notes|bars|bells|tuyaux|pfeifen|pijpen|canne|tubos|tones)\b\.?[)\]]?", re.IGNORECASE
)
_ORDINAL_NAMES = frozenset(("XII", "XV", "XIX", "XXII", "XXVI", "XXIX", "XXXIII", "XXXVI"))
_BOTH_HALVES = re.compile(
    r"(?<=[\w.'′’])[ ,]+\(?(?:bass?e?i?o?s?|bajos)\.?\s*(?:en|et|e|y|und|og|och|and|&|/|\+)\s*"
    r"(?:dis[ck](?:ant)?|dessus|soprani|tiples|treble)\b\.?\)?",
    re.IGNORECASE,
)
_DOUBLED = re.compile(
    r"[ ,(]+(?:dis[ck](?:ant)?\.?\s*dubb?el[dt]?|dubb?el[dt]?\s+(?:in de )?dis[ck]\w*)\b\.?\)?", re.IGNORECASE
)
_TENOR_C = re.compile(r"(?<=\w)\s+T\.?\s?C\b\.?(?!\w)")
_UNIT = re.compile(r"(?:ft|feet|fu(?:ß|ss)|pieds?|vt|voet)\.?$", re.IGNORECASE)


def without_pipes(text: str) -> str:
    """A text without its counts of pipes, which say nothing of a stop's pitch."""
    return _PIPES.sub(lambda found: " " * len(found.group()), text)


def read_stops(piece: Piece, *, pitch_first: bool = False) -> list[StopDraft]:
    """The stops that a stretch holds, in its order; what has no name is none."""
    text = _TENOR_C.sub(" (TC)", FROM_KEY.sub(r" (\1)", piece.text))
    text = _BOTH_HALVES.sub(" (B/D)", _DOUBLED.sub(" ", text))
    text = without_pipes(text)
    piece = Piece(text, piece.lines, piece.at)
    if _DIGITS_OF_RIPIENO.fullmatch(fold(text)):
        counted = StopDraft(name=text.strip(" *."), lines=piece.lines)
        _counted_by_name(counted)
        counted.complete = counted.ranks is not None
        return [counted]
    tokens = tokens_of(text)
    drafts = [_draft(piece, chunk, pitch_first) for chunk in _chunks(tokens, pitch_first)]
    return [draft for draft in drafts if draft is not None]


def _chunks(tokens: Sequence[Token], pitch_first: bool) -> Iterable[list[Token]]:
    """Cuts after each pitch or rank before the next name; before each pitch where the pitch comes first."""
    chunk: list[Token] = []
    named = closed = False
    for at, token in enumerate(tokens):
        if pitch_first:
            starts = named and token.sort is Sort.PITCH and _name_follows(tokens, at + 1)
        else:
            starts = (
                closed
                and (
                    (_is_name(token) and not _half_follows(tokens, at) and not _remark_follows(token))
                    or _numbers_next(tokens, at)
                    or token.sort is Sort.MARK
                    or _is_ordinal_name(token)
                )
            ) or (named and _is_ordinal_name(token) and _names_no_compound(chunk))
        if starts:
            yield chunk
            chunk, named, closed = [], False, False
        chunk.append(token)
        if _is_name(token):
            named = True
        elif (named and token.sort in (Sort.PITCH, Sort.RANKS) and not _after_of(tokens, at)) or (
            named and token.sort is Sort.NUMERAL and _closes(tokens, at)
        ):
            closed = True
    if chunk:
        yield chunk


def _is_ordinal_name(token: Token) -> bool:
    """``XIX``, ``XXVI-XXIX``: stops of the Italian ripieno."""
    parts = re.findall(r"[IVX]+", token.text) if token.sort is Sort.NUMERAL else []
    return bool(parts) and all(part in _ORDINAL_NAMES for part in parts)


def _names_no_compound(chunk: Sequence[Token]) -> bool:
    """Whether the name so far is a known one that has no ranks to count."""
    name = " ".join(token.text for token in chunk if token.sort is Sort.WORD)
    match = find_kind(name)
    return match is not None and match.family not in (Family.MIXTURE, Family.COMPOUND) and " in" not in name[-3:]


def _half_follows(tokens: Sequence[Token], at: int) -> bool:
    """Whether a word after the pitch tells the half of its stop: ``Tromba 8' soprani``, ``Cornet 4 st. Discant``."""
    word = fold(tokens[at].text).strip(".,")
    if word in _STRONG_HALVES or (word in _HALF_LETTERS and tokens[at - 1].sort in (Sort.PITCH, Sort.RANKS)):
        return True
    alone = at + 1 >= len(tokens) or not _name_follows(tokens, at + 1)
    return alone and is_half(tokens[at].text) and not any(t.sort is Sort.PITCH for t in tokens[at + 1 : at + 2])


def _remark_follows(token: Token) -> bool:
    """Whether a word after the pitch begins a remark rather than the next stop: ``prep.``, ``HZ``."""
    if len(token.text) <= 3 and token.text.isupper() and find_kind(token.text) is None:
        return True
    return fold(token.text).strip(".,") in words("remark_words")


def _is_name(token: Token) -> bool:
    return token.sort is Sort.WORD and bool(_LETTERS.search(token.text)) and not _NOT_NAMES.match(token.text)


def _name_follows(tokens: Sequence[Token], at: int) -> bool:
    return at < len(tokens) and (_is_name(tokens[at]) or tokens[at].sort is Sort.MARK)


def _numbers_next(tokens: Sequence[Token], at: int) -> bool:
    """A number of the next stop: ``Principal 8' 2. Gedackt 8'``."""
    token = tokens[at]
    return token.sort is Sort.NUMBER and _name_follows(tokens, at + 1)


def _after_of(tokens: Sequence[Token], at: int) -> bool:
    return at > 0 and tokens[at - 1].sort is Sort.WORD and fold(tokens[at - 1].text) in ("no.", "no", "nr.", "n°")


def _closes(tokens: Sequence[Token], at: int) -> bool:
    """Whether a bare Roman figure ends its stop: not where the pitch is still to come."""
    rest = [t for t in tokens[at + 1 :] if t.sort is not Sort.BRACKET]
    return bool(rest) and _is_name(rest[0])


def _draft(piece: Piece, chunk: list[Token], pitch_first: bool) -> StopDraft | None:
    names = [at for at, token in enumerate(chunk) if _is_name(token)]
    if not names:
        return _ordinal_name(piece, chunk)
    first = _name_start(chunk, names[0])
    draft = StopDraft(name="", lines=piece.lines)
    draft.marks = tuple(token.text for token in chunk if token.sort is Sort.MARK)
    for token in chunk[:first]:
        _before_name(draft, token, pitch_first)
    last = _name_end(chunk, first)
    draft.name = _clean_name(piece.text[chunk[first].start : chunk[last].end])
    palmos = re.match(r"\s*(?:de (?:a )?)(?:13|26|52|7|6 ?½|14|28|24|12)\b", piece.text[chunk[last].end :])
    if palmos and re.match(r"(?:flaut|contra|viol|octav)", fold(draft.name)):
        draft.name += " " + " ".join(palmos.group().split())
    for at in range(last + 1, len(chunk)):
        _after_name(draft, chunk, at, last)
    _behind(draft, piece, chunk[last + 1 :])
    for at in range(first, last + 1):
        if _ordinal_in_name(chunk, at) and draft.pitch is None:
            _take_pitch(draft, chunk[at])
        elif _ordinal_in_name(chunk, at) and draft.pitch == chunk[at].value:
            draft.exact = True
    interval = _IN_INTERVAL.search(fold(draft.name)) if draft.pitch is None else None
    if interval is not None:
        draft.pitch = _INTERVALS[interval[1]]
    inside = [token for token in chunk[first : last + 1] if token.sort is Sort.BRACKET]
    for token in inside:
        draft.name = _clean_name(draft.name.replace(token.text, " "))
        _bracket(draft, token)
    if not _LETTERS.search(draft.name):
        return None
    apply_remark(draft, "", name=True)
    _counted_by_name(draft)
    begins = chunk[0]
    leads = begins.sort is Sort.NUMERAL and piece.text[begins.end : begins.end + 1] == " "
    if leads and draft.pitch is None and draft.ranks is None and not draft.numeral:
        draft.numeral, draft.number = begins.text, ""  # "IV Mixture"
    draft.complete = draft.pitch is not None or draft.ranks is not None
    return draft


_IN_INTERVAL = re.compile(r" en (octava|docena|quincena|decinovena|diecinovena|veintidosena)$")
_INTERVALS = {
    "octava": Feet(4), "docena": Feet(8, 3), "quincena": Feet(2), "decinovena": Feet(4, 3),
    "diecinovena": Feet(4, 3), "veintidosena": Feet(1),
}  # fmt: skip
_OF_RIPIENO = re.compile(
    r"(?P<count>\d|due|tre|quattro|cinque|sei|sette) (?:file )?di rip(?:ieno|\.)?"
    r"|(?:vi|de)[cg][ie]\w+(?: \w+)? e (?:vigesim\w+(?: \w+)?|nona)"
)
_DIGITS_OF_RIPIENO = re.compile(r"\W*\d (?:file )?di rip(?:ieno)?\.?\s*")
_ITALIAN = {"due": 2, "tre": 3, "quattro": 4, "cinque": 5, "sei": 6, "sette": 7}


def _counted_by_name(draft: StopDraft) -> None:
    """``Quattro di ripieno``, ``Vigesimasesta e nona``: the name tells the ranks."""
    found = _OF_RIPIENO.fullmatch(fold(draft.name))
    if found and draft.ranks is None:
        told = found["count"] or ""
        count = int(told) if told.isdigit() else _ITALIAN.get(told, 2)
        draft.ranks = Ranks(count, count)


def _behind(draft: StopDraft, piece: Piece, rest: Sequence[Token]) -> None:
    """Words behind the pitch without brackets: ``Trumpet 16 prep. for``, ``Octave 4 from Great``."""
    places = [at for at, token in enumerate(rest) if token.sort is Sort.PITCH]
    behind = rest[places[0] + 1 :] if places else ()
    said = [token for token in behind if token.sort is Sort.WORD]
    if said and _LETTERS.search(said[0].text):
        tail = piece.text[said[0].start : behind[-1].end].strip(" .,;")
        if is_said_of_stops(tail):
            apply_remark(draft, tail)


def _ordinal_name(piece: Piece, chunk: list[Token]) -> StopDraft | None:
    """``XIX``, ``XXVI-XXIX``: stops of the ripieno that are named by their ordinals."""
    numerals = [token for token in chunk if token.sort is Sort.NUMERAL]
    parts = re.findall(r"[IVX]+", numerals[0].text) if len(numerals) == 1 else []
    if not parts or any(part not in _ORDINAL_NAMES for part in parts):
        return None
    draft = StopDraft(name=" ".join(numerals[0].text.split()), lines=piece.lines)
    for token in chunk:
        if token.sort is Sort.PITCH:
            _take_pitch(draft, token)
    feet = read_ordinals(" ".join(str(_ORDINALS[part]) for part in parts)) if len(parts) > 1 else None
    if len(parts) > 1:
        draft.ranks, draft.ordinals = Ranks(len(parts), len(parts)), feet or ()
    elif draft.pitch is None:
        draft.pitch, draft.exact = feet_of_ordinal(_ORDINALS[parts[0]]), True
    draft.complete = True
    return draft


_ORDINALS = {"XII": 12, "XV": 15, "XIX": 19, "XXII": 22, "XXVI": 26, "XXIX": 29, "XXXIII": 33, "XXXVI": 36}


def _name_start(chunk: list[Token], first: int) -> int:
    """The name's first token: an opening quotation mark or a short word before it belongs to it."""
    while first > 0 and chunk[first - 1].sort is Sort.WORD:
        first -= 1
    return first


def _name_end(chunk: list[Token], first: int) -> int:
    last = first
    for at in range(first, len(chunk)):
        token = chunk[at]
        if (
            token.sort is Sort.WORD
            and at > first
            and chunk[at - 1].sort in (Sort.PITCH, Sort.RANKS)
            and is_half(token.text)
        ):
            break
        if _ordinal_in_name(chunk, at) or (
            token.sort is Sort.WORD and (not _NOT_NAMES.match(token.text) or _name_follows(chunk, at + 1))
        ):
            last = at
        elif token.sort in (Sort.BRACKET, Sort.SIGN, Sort.WORD, Sort.MARK):
            continue
        elif token.sort is Sort.NUMERAL and (_more_name(chunk, at) or fold(chunk[at - 1].text) == "in"):
            last = at
        else:
            break
    return last


def _ordinal_in_name(chunk: Sequence[Token], at: int) -> bool:
    """``Nasardo en 12ª``, ``Flauto in 8ª``: the ordinal belongs to the name and tells the pitch too."""
    token = chunk[at]
    ordinal = token.sort is Sort.PITCH and token.text.strip()[-1:] in "ªº"
    return ordinal and at > 0 and fold(chunk[at - 1].text) in ("en", "in", "de", "a")


def _more_name(chunk: Sequence[Token], at: int) -> bool:
    return any(_is_name(token) and not is_half(token.text) for token in chunk[at + 1 : at + 3])


def _clean_name(text: str) -> str:
    return " ".join(text.split()).strip(" .,;:-–—*+|/").replace(" ,", ",")


def _before_name(draft: StopDraft, token: Token, pitch_first: bool) -> None:
    if token.sort is Sort.PITCH and (pitch_first or token.marked) and draft.pitch is None:
        draft.pitch = token.value
    elif token.sort is Sort.NUMERAL and pitch_first:
        draft.numeral = token.text
    elif token.sort in (Sort.PITCH, Sort.NUMBER, Sort.NUMERAL):
        draft.number = token.text.strip(" .)")
    elif token.sort is Sort.RANKS:
        if token.value is not None and pitch_first:
            draft.pitch = token.value
        else:
            draft.ranks = read_ranks(token.text.strip())
    elif token.sort is Sort.BRACKET:
        feet = read_feet(token.text)
        if feet is not None and draft.pitch is None:
            draft.pitch = feet.value
        elif feet is None and draft.ranks is None:
            draft.ranks = read_ranks(token.text.strip("()[] "))


def _after_name(draft: StopDraft, chunk: Sequence[Token], at: int, last: int) -> None:
    token = chunk[at]
    if token.sort is Sort.PITCH:
        _take_pitch(draft, token, "".join(t.text for t in chunk[max(0, at - 2) : at] if t.sort is not Sort.PITCH))
    elif token.sort is Sort.RANKS:
        draft.rank_or_feet = token.value if draft.ranks is None else draft.rank_or_feet
        draft.ranks = read_ranks(token.text.strip()) or draft.ranks
    elif token.sort is Sort.NUMERAL:
        draft.numeral = draft.numeral or token.text
    elif token.sort is Sort.ORDINALS:
        _take_ordinals(draft, token.text)
    elif token.sort is Sort.BRACKET:
        _bracket(draft, token)
    elif token.sort is Sort.WORD and len(token.text.strip(".")) == 1:
        draft.code = token.text.strip(".").upper()
    elif token.sort is Sort.WORD and fold(chunk[at - 1].text) in ("grooved", "gvd", "grvd", "stopped", "common"):
        draft.remarks.append(token.text)  # "Dulciana 8 grooved bass"
    elif token.sort is Sort.WORD and is_half(token.text) and draft.half is None:
        apply_remark(draft, token.text.strip(".,"))
    elif token.sort is Sort.WORD and at > last and _LETTERS.search(token.text) and not _NOT_NAMES.match(token.text):
        draft.remarks.append(token.text)


def _take_pitch(draft: StopDraft, token: Token, between: str = "") -> None:
    if draft.pitch is None:
        draft.pitch = token.value
        draft.exact = token.text.strip()[-1:] in "ªº"
    elif draft.lowest is None:
        draft.lowest = token.value
        draft.summed = draft.summed or bool(re.search(r"\+|\bu\.|\b(?:und|and|et|en|e|y)\b|&", between))


def _take_ordinals(draft: StopDraft, text: str) -> None:
    ordinals = read_ordinals(text)
    count = len(re.findall(r"\d+", text))
    numbers = [int(n) for n in re.findall(r"\d+", text)]
    if max(numbers) >= 10:
        draft.ordinals = ordinals or ()
        draft.ranks = draft.ranks or Ranks(count, count)
    else:
        draft.ranks = Ranks(min(numbers), max(numbers))
    draft.remarks.append(text)


def _bracket(draft: StopDraft, token: Token) -> None:
    inside = token.text.strip("()[] .")
    feet = read_feet(inside)
    if not inside:
        return
    if len(inside) == 1 and inside.isalpha() and inside.isupper():
        draft.code = inside  # a half, a maker, a rank: the whole list tells
        draft.remarks.append(inside)
        return
    if (halved := re.fullmatch(r"(?P<feet>\d{1,2})\s*['’′]?\s*(?P<half>[BSDT])\.?", inside)) and draft.pitch is None:
        draft.pitch, draft.code = Feet(int(halved["feet"])), halved["half"]  # "Fagotto [8 B]"
        return
    if pattern("states", "then").search(fold(inside)):
        said = say("{stop}: “{remark}” tells of an earlier state", stop=draft.name, remark=inside)
        draft.doubts.append((draft.lines[0], said))
    if feet is not None and draft.pitch is None and not (inside.isdigit() and feet.value > 32):
        draft.pitch = feet.value
        return
    if _SEVERAL_NUMBERS.fullmatch(inside) and max(int(n) for n in re.findall(r"\d+", inside)) >= 10:
        _take_ordinals(draft, inside)
        return
    if re.search(r"[,;]", inside) and not _SEVERAL_NUMBERS.fullmatch(inside):
        for part in re.split(r"\s*[,;]\s*", inside):
            if read_ranks(part) is not None or is_half(part):
                _bracket(draft, Token(Sort.BRACKET, part, 0, 0))
    ranks = read_ranks(inside)
    if ranks is not None and draft.ranks is None:
        draft.ranks = ranks
        return
    apply_remark(draft, inside)

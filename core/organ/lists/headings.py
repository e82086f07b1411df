"""Recognises headings: a division's, with keyboard, count, compass and box glued on, or a section's."""

from __future__ import annotations

import re
from dataclasses import dataclass, field, replace
from functools import lru_cache

from core.organ.lists.divisionnames import NOISE_SIGNS, look_up_division
from core.organ.lists.keys import BOTTOM, SHORT_OCTAVE, Compass, find_compasses, short_octave_keys
from core.organ.lists.knowing import knows
from core.organ.lists.lines import Piece
from core.organ.lists.ordinals import keyboard_forms, take_keyboard
from core.organ.lists.sections import section_of
from core.organ.lists.vocabulary import (
    DivisionWord,
    division_words,
    fold,
    pattern,
    short_words,
    words,
)

_COUNTED = re.compile(
    r"[-–,;:(\[]*\s*(?<!\w)(?:(?P<count>\d{1,3}|[A-Z])\s*(?:speaking\s+|sounding\s+)?"
    r"(?:stops?|jeux|registers?|stimmen|stemmen|registri|registros|st\.|reg\.|rejst\w*|głos\w*|stämmor|stemmer|voices|stem\.)"
    r"|\d+\s*(?:pipes|pfeifen|pijpen|tuyaux|canne|ranks|rangs)"
    r"|(?P<keys>\d{2})\s*(?:notes?|notas?|note|keys|tasten|toetsen|touches|tasti|teclas|n\.|tangenter|tones|toner|taster|klawiszy|kláves|töne))"
    r"(?:\s*(?:and|&|,)\s+\d+\s*(?:pipes|ranks|couplers?|koppeln?|accessories|tuyaux|pfeifen))*\.?\s*[)\]]*",
    re.IGNORECASE,
)
_GLUED_COMPASS = re.compile(r"(?<=[A-ZÀ-Ýa-zà-ÿ]{4})(?=C\s?[-–]\s?[a-g])")
_TO_KEY = re.compile(r",?\s*(?:down )?(?:to|from) (?:fiddle|tenor|gamut|middle) [A-G]\b\.?", re.IGNORECASE)
_WIND = re.compile(
    r"[(,;]?\s*(?:wind(?: pressure)?:?\s*)?\d+(?:\s?[-–]?\s?\d/\d|\s?[½¼¾])?\s*(?:\"|”|″|''|inch(?:es)?|ins?\.?|mm)\s*"
    r"(?:\(\d+\s*mm\)\s*)?(?:of\s+)?(?:wind(?:\s+pressure)?|pressure|w\.?\s?p\.?|winddruck|ws)\b\.?\s*\)?",
    re.IGNORECASE,
)
_COUNTED_ORGAN = re.compile(
    r"^(?:first|second|third|fourth|fifth|sixth) organ\s*[,.:;—–-]+\s*(?=[A-Z].*\borgan\b)", re.IGNORECASE
)
_COMPASS_WORD = re.compile(r"(?:[,.;:—–-]|(?<=organ))\s*\bcompass:?(?=\s+[CFG])", re.IGNORECASE)
_WORK = re.compile(r"[A-ZÀ-Ž][^\W\d_]{3,}(?:werk|verk|v[æa]rk|orgel|organ|positiv|manual)(?:et)?")
_BRACKETS = re.compile(r"\s*[(\[]([^()\[\]]*)[)\]]")
_NEVER = re.compile(
    r"[!?]|\d{4}|^\W*(?:\d|[ivx]+|two|three|four|zwei|drei|vier|deux|trois|due|tre|dos|tres|twee|drie)\s+(?:\w+\s)?"
    r"(?:manuals|manuale|manualen|claviers|klaviere|clavieren|klavieren|handklavieren|tastiere|teclados|keyboards)\b",
    re.IGNORECASE,
)


@dataclass(slots=True, kw_only=True)
class Heading:
    """A heading. `section` is set for what heads no division."""

    piece: Piece
    section: str | None = None
    word: DivisionWord | None = None
    printed: str = ""
    keyboard: int | None = None
    suffix: str = ""
    enclosed: bool | None = None
    count: int | None = None
    odd_count: str = ""
    keys: int | None = None
    compass: Compass | None = None
    rest: Piece | None = None
    phrase: bool = False
    first: str = ""
    permanent: bool = False
    note: str = ""
    short: bool = False
    abbreviation: str = ""
    doubts: list[str] = field(default_factory=list)


def read_heading(piece: Piece) -> Heading | None:
    """The heading that a stretch is, or None; a rest behind its colon is handed over with it."""
    found = _heading(piece)
    return None if found is None else replace(found)


@lru_cache(maxsize=1024)
def _heading(piece: Piece) -> Heading | None:
    text = piece.text.strip()
    if not text or len(text) > 8_000 or _NEVER.search(_BRACKETS.sub(" ", text[:160]).strip()[:90]):
        return None
    return (
        whole_heading(piece, text) or _without_asides(piece, text) or _before_rest(piece) or _counted_organ(piece, text)
    )


_ORGAN = re.compile(r"(?P<name>[A-ZÀ-Ý][\w'’.&-]*(?:\s[\w'’.&-]+){0,3})\s+ORGAN\b|(?P<bare>ORGAN)\b", re.IGNORECASE)


def _counted_organ(piece: Piece, text: str) -> Heading | None:
    """``ALTAR ORGAN, 5 STOPS``, ``ORGAN (10 STOPS)``: a division no list of words knows, told by its count of stops."""
    plain = " ".join(told_brackets(text).split())
    heading = Heading(piece=piece)
    rest = _take_counts(heading, plain).strip(" ,;:.-–—")
    found = _ORGAN.fullmatch(rest)
    if found is None or (heading.count is None and not heading.odd_count):
        return None
    heading.printed = _tidy(found["name"]) if found["name"] else "Organ"
    return heading


def _without_asides(piece: Piece, text: str) -> Heading | None:
    """``GRAND'ORGANO (Do1–Fa5, divisione tra Si e Do)``: what a bracket adds beside them says nothing here."""
    if not _BRACKETS.search(text) or len(text) > 200:
        return None
    plain = told_brackets(text)
    return None if plain == text else whole_heading(piece, " ".join(plain.split()))


def told_brackets(text: str) -> str:
    """A text without what its brackets hold that says nothing of a division."""
    return _BRACKETS.sub(lambda found: _told(found[1]), text)


def _told(inside: str) -> str:
    """The parts of a bracket that a heading can hold."""
    parts = [part.strip() for part in re.split(r"[,;]", inside) if part.strip()]
    kept = [part for part in parts if _tells(part)]
    return f" ({', '.join(kept)}) " if kept else " "


def _tells(part: str) -> bool:
    folded = fold(part)
    return bool(
        find_compasses(part)
        or _COUNTED.fullmatch(part)
        or SHORT_OCTAVE.fullmatch(part)
        or pattern("enclosed").search(folded)
        or pattern("unenclosed").search(folded)
        or folded in division_words()
        or re.fullmatch(r"[IV]{1,3}\.?|[1-5]\.?", part)
        or folded.replace(".", "").replace(" ", "") in short_words()
        or any(form.search(folded) for form in keyboard_forms()[:5])
        or re.match(r"(?:depuis|from|ab|vanaf|fra|dal|desde|à partir de)\s", part, re.IGNORECASE)
    )


def _before_rest(piece: Piece) -> Heading | None:
    """``HW: Principal 8', …``, ``GREAT ORGAN – Open Diapason …``."""
    for sign in (":", " – ", " — ", " - ", ". ", "–"):
        at = piece.text.find(sign)
        if not 0 < at <= 60 or (sign == "." and at < 3):
            continue
        before = piece.text[:at].strip()
        head = whole_heading(piece, before, colon=sign == ":") or (
            _without_asides(piece, before) if sign == ":" else None
        )
        rest = piece.cut(at + len(sign))
        if head is None or not re.search(r"\w", rest.text) or (sign == ". " and head.short):
            continue
        if sign != ":" and (head.section or not re.search(r"[^\W\d_]{3,}", rest.text)):
            continue
        if head.word is None and head.keyboard is not None and (named := _numbered(piece, head, rest)) is not None:
            return named
        rest = _contras(before, _led_by_compass(head, rest))
        head.piece = Piece(piece.text[:at].strip(), piece.lines, piece.at)
        head.rest = rest
        return head
    return None


def _numbered(piece: Piece, head: Heading, rest: Piece) -> Heading | None:
    """``I. manual - hlavní stroj C–c3``: the keyboard before the stroke, the name behind it."""
    named = whole_heading(piece, rest.text)
    if named is None or named.word is None or named.section or named.phrase or named.keyboard is not None:
        return None
    named.keyboard = head.keyboard
    return named


def _contras(before: str, rest: Piece) -> Piece:
    """``Contras: 8 pisas de 26 palmos``: the word heads the pedal and is its stop too."""
    if fold(before) != "contras":
        return rest
    told = re.sub(r"^\d+\s+(?:pisas|notas|pedales|peanas)\s+", "", rest.text)
    return rest if knows(re.split(r"[\d,;]", told)[0]) else replace(rest, text=f"Contras {told}")


def _led_by_compass(head: Heading, rest: Piece) -> Piece:
    """``Hauptwerk: C–f3 Principal 8', …``: a compass before the first stop belongs to the heading."""
    found = find_compasses(rest.text[:40])
    if head.section or not found or rest.text[: found[0].start].strip(" (") or not rest.text[found[0].end :].strip():
        return rest
    head.compass = found[0]
    left = rest.text[found[0].end :]
    return rest.cut(found[0].end + len(left) - len(left.lstrip(" ,;:.)–-")))


def whole_heading(piece: Piece, text: str, *, colon: bool = False) -> Heading | None:
    """A stretch that is a heading from end to end."""
    text = _COMPASS_WORD.sub("", _COUNTED_ORGAN.sub("", _WIND.sub(" ", text))).strip()
    if len(text) > 110 or not text:
        return None
    colon = colon or (text.endswith(":") and len(text) <= 4)
    first = _TO_KEY.search(text) or re.search(
        r"\s*\((?:depuis|from|ab|vanaf|fra|dal|desde|from tenor|à partir de)\s[^()]*\)", text, re.IGNORECASE
    )
    if first is not None:
        text = text[: first.start()] + text[first.end() :]
    permanent = pattern("permanent").search(fold(text))
    if permanent is not None and len(fold(text)) == len(text):
        text = (text[: permanent.start()] + text[permanent.end() :]).strip(" ,;")
    text = SHORT_OCTAVE.sub(" ", printed := text).strip(" ,;")
    section = section_of(fold(text))
    if section is not None:
        return Heading(piece=piece, section=section, printed=text)
    if _tells_two(text):
        return None
    heading = Heading(piece=piece, first=first.group().strip(" ()").split(maxsplit=1)[-1] if first else "")
    rest = _take_counts(heading, text)
    rest = _take_compass(heading, rest)
    heading.permanent = permanent is not None
    if printed.strip(" ,;") != text:
        _shorten(heading)
    heading.keyboard, rest = take_keyboard(" ".join(rest.split()))
    rest = _take_box(heading, " ".join(rest.split()))
    return _named(heading, rest, text, colon)


def _tells_two(text: str) -> bool:
    """``Manuale C-g''', Pedal C-f'``: the compasses of an organ, not a heading."""
    ranges = [one for one in find_compasses(text) if re.match(r"\D+[-–—]", text[one.start : one.end])]
    if len(ranges) != 2:
        return False
    return bool(re.match(r"\W*\w*ped", fold(text[ranges[0].end : ranges[1].start]).lstrip("'’′ ,;")))


def _shorten(heading: Heading) -> None:
    """A short octave leaves four keys out; a count of keys counts those that are there."""
    if heading.compass is not None and not heading.compass.missing:
        heading.compass = replace(heading.compass, missing=short_octave_keys(heading.compass.low))
    elif heading.compass is None and heading.keys:
        heading.compass = Compass(BOTTOM, BOTTOM + heading.keys + 3, short_octave_keys(BOTTOM))


def _take_counts(heading: Heading, text: str) -> str:
    for found in _COUNTED.finditer(text):
        count = found["count"]
        if count and count.isdigit():
            heading.count = int(count)
        elif count:
            heading.odd_count = count
        if found["keys"]:
            heading.keys = int(found["keys"])
    bare = _BARE_KEYS.search(text)
    if bare is not None and heading.keys is None and (int(bare["keys"]) > 32) is (_PEDAL.match(fold(text)) is None):
        heading.keys = int(bare["keys"])
        text = text[: bare.start()] + " " + text[bare.end() :]
    return re.sub(r"\(\s*[,;]\s*", "(", _COUNTED.sub(" ", text))


_BARE_KEYS = re.compile(r"\((?P<keys>2[57]|3[02]|45|49|5[012468]|61|73)\)")
_PEDAL = re.compile(r"\W*ped")


def _take_compass(heading: Heading, text: str) -> str:
    spaced = _GLUED_COMPASS.sub(" ", text)
    found = [c for c in find_compasses(spaced) if c.end > c.start]
    if not found:
        return text
    ranges = [one for one in found if not spaced[one.start : one.end][:2].isdigit()]
    heading.compass = (ranges or found)[0]
    counted = heading.compass.low + (heading.keys or 0) - 1
    if heading.keys and (counted - heading.compass.high) % 12 == 0:
        heading.compass = replace(heading.compass, high=counted)  # "C–g, 56 notes"
    for one in reversed(found):
        spaced = spaced[: one.start] + " " + spaced[one.end :]
    return re.sub(r"\(\s*[,;]\s*", "(", spaced)


_BOXED = re.compile(
    r"[(,]?\s*\b(?:enclosed\s+)?in\s+(?:an?\s|the\s|its\s|one\s)?(?:(?:new|own|separate|second|same|swell|expression)[\s-])*"
    r"box(?:es)?\b(?:\s+no\.?\s?\d)?\s*\)?",
    re.IGNORECASE,
)


def _take_box(heading: Heading, text: str) -> str:
    if not pattern("unenclosed").search(fold(text)) and not pattern("except").search(fold(text)):
        text = " ".join(_BOXED.sub(" enclosed ", text).split())
    folded = fold(text)
    name = " ".join(NOISE_SIGNS.sub(" ", folded).split()).strip(" -/")
    if any(name in table and table[name][0].enclosed for table in (division_words(),)):
        return text
    for path, value in (("unenclosed", False), ("enclosed", True)):
        found = pattern(path).search(folded)
        if found is None or (heading.keyboard is None and fold(text)[: found.start()].strip() == ""):
            continue
        if len(folded) != len(text):
            return _take_box_loosely(heading, text, path, value)
        heading.enclosed = value
        exception = re.search(r"\([^()]*\)|[^()]*$", text[found.start() :])
        if pattern("except").search(folded[found.end() :]) and exception:
            heading.note = text[found.start() :].strip(" ().")
            return text[: found.start()]
        bracketed = re.compile(r"\([^)]*\)")
        inside = next((b for b in bracketed.finditer(text) if b.start() <= found.start() < b.end()), None)
        start, end = (inside.start(), inside.end()) if inside and not _has_division(inside.group()) else found.span()
        heading.suffix = text[found.start() : found.end()]
        return text[:start] + " " + text[end:]
    return text


def _take_box_loosely(heading: Heading, text: str, path: str, value: bool) -> str:
    kept = [w for w in text.split() if fold(w).strip("().,") not in words(path)]
    if len(kept) < len(text.split()):
        heading.enclosed = value
    return " ".join(kept)


def _has_division(text: str) -> bool:
    return any(fold(w).strip("(),.") in division_words() for w in text.split())


def _named(heading: Heading, rest: str, text: str, colon: bool) -> Heading | None:
    """Whether what is left names a division, or nothing more is left than a keyboard."""
    bare = " ".join(NOISE_SIGNS.sub(" ", rest).split()).strip(" '-/")
    folded = fold(bare)
    if re.search(r"\d", re.sub(r"\([^)]*\)", "", rest)):
        return None
    known = look_up_division(folded, rest, text, colon or (heading.compass is not None and len(folded) > 1))
    if known is None and heading.keyboard is not None and len(short := folded.replace(".", "").replace(" ", "")) > 1:
        known = (short_words()[short][0], True, False, "") if short in short_words() else None
    if known is None:
        if heading.keyboard is not None and all(w in words("heading_noise") or len(w) < 2 for w in folded.split()):
            heading.printed = _keyboard_name(text)
            bare_number = heading.compass is not None and re.match(r"\s*[IV]{1,3}\b", text)
            return heading if bare_number or re.search(r"[^\W\d_]{2,}|^\s*(?:I{1,3}|IV)\.?:?\s*$", text) else None
        if _WORK.fullmatch(bare) and not knows(bare):
            heading.printed, heading.phrase = _tidy(bare), True  # "Pastoraleverk": a division no list of words knows
            return heading
        return None
    heading.word, heading.short, heading.phrase, printed = known
    heading.abbreviation = folded.replace(".", "").replace(" ", "") if heading.short else ""
    heading.printed = heading.word.name if heading.short else _tidy(printed or bare)
    _suffix(heading, text)
    return heading


def _keyboard_name(text: str) -> str:
    """``I. Manual`` of ``I. Manual (C–f3), 54 Tasten``."""
    bare = _COUNTED.sub(" ", _GLUED_COMPASS.sub(" ", re.sub(r"\([^()]*\)?", " ", text)))
    for path in ("unenclosed", "enclosed"):
        found = pattern(path).search(fold(bare))
        if found is not None and len(fold(bare)) == len(bare):
            bare = bare[: found.start()] + bare[found.end() :]
    for compass in reversed(find_compasses(bare)):
        bare = bare[: compass.start] + " " + bare[compass.end :]
    name = " ".join(bare.split()).replace(" ,", ",").strip(" :.,;-–") or " ".join(text.split()).strip(" :.-")
    name = re.sub(r"[\s,;]+(?:schwellbar|im schweller|enclosed|expressif)$", "", name, flags=re.IGNORECASE)
    return _tidy(name) if name.isupper() and " " in name else name


def _suffix(heading: Heading, text: str) -> None:
    division = re.search(r"\(?\b(?:division|div\.?|section)\s+(?P<n>[IVX]+|\d|[A-C])\b", text, re.IGNORECASE)
    if division:
        heading.printed += f" (Division {division['n']})"
    if heading.enclosed and heading.word and fold(heading.suffix) in ("expressif", "espressivo", "expresivo"):
        heading.printed += f" {heading.suffix.lower()}"


def _tidy(printed: str) -> str:
    kept = [w for w in printed.split() if fold(w) not in ("organ", "department", "the", "im", "das")]
    name = " ".join(kept) or printed
    if name.isupper():
        name = " ".join(w if re.fullmatch(r"[IVX]+[.:]?", w) else w[:1] + w[1:].lower() for w in name.split())
        name = re.sub(r"(?<=\s)(?:Expressif|Espressivo|Expresivo|De|Dos)\b", lambda found: found.group().lower(), name)
    return name[:1].upper() + name[1:]

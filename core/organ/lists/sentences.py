"""Takes from sentences and statements what they tell of the organ: compasses, tremulants, pull-downs, aids."""

from __future__ import annotations

import re
from dataclasses import replace

from core.organ.lists.aids import read_aid, read_tremulant
from core.organ.lists.couplers import read_couplers
from core.organ.lists.drafts import CouplerDraft
from core.organ.lists.items import split_at
from core.organ.lists.keys import SHORT_OCTAVE, Compass, find_compasses, pair_of_counts, short_octave_keys
from core.organ.lists.knowing import knows
from core.organ.lists.lines import Piece
from core.organ.lists.prose import is_prose
from core.organ.lists.state import Gathered, Note, Scope
from core.organ.lists.stops import read_stops
from core.organ.lists.vocabulary import division_words, fold, pattern, short_words, words

_MARK_FIRST = re.compile(r"^\s*(?P<mark>[*†‡§+°]{1,3}|[¹²³]|\(\*\))\s*(?P<rest>.*)$")
_BOX = re.compile(
    r"swell[- ]?box|\bin (?:a |the |one )?(?:\w+ )?box(?:es)?\b|\benclosed\b|schwell(?:kasten|bar|gehaus)"
    r"|zwelkast|cassa espressiva|caja expresiva|boite expressive|under expression|generalschweller"
    r"|im schweller\b|\bexpressi[fv]"
)
_MARK_WORDS = re.compile(r"prepared|\bfrom\b|borrowed|digital|\bab\b|vanaf|depuis|transm|emprunt|\bext\b|vorbereitet")
_WIDEST_PEDAL = 40
_SEMICOLONS = re.compile(r"\s*;\s*")
_MANUALS = re.compile(
    r"\b(?:manuals?|manual(?:e[nr]?)?(?:-?umfang|omfang|omfång|s)?|manuaalomvang|klavieromvang|klaviaturen|manuale|manualen?|manuali|klaviere?n?|claviers?|clavieren|tastiere|tastiera|teclados?|keyboards?|man|werke|manualer|manualy|manualow|manualu|manuale|manualomfanget|manualowa)\b\.?"
)
_PEDAL = re.compile(
    r"\b(?:pedals?|pedal-?umfang|pedalomf[aå]ng|pedaalomvang|pedalwerk|pedaal|pedale|pedali|pedaliera|pedalier|pedalero|pedalboard|ped|pedalen|pedalu|pedalowa|pedal)\b\.?"
)


def is_note(text: str) -> bool:
    """Whether a line explains marks, or says what stands in a box."""
    folded = fold(text)
    found = _MARK_FIRST.match(text)
    if found:
        rest = found["rest"]
        if re.match(r"[=:–-]", rest.strip()) or (
            re.search(r"\bmarked|stops\b|\bnew\b|\bneu\b", fold(rest)) and not re.search(r"\s\d+\s*$", rest)
        ):
            return True
        if _BOX.search(fold(rest)):
            return True
    if found and len(folded.split()) <= 6 and (_MARK_WORDS.search(folded)):
        return True
    if re.search(r"\*", text) and re.search(
        r"marked|gekennzeichnet|bezeichnet|marques|those|gemerkt|aangeduid|with", folded
    ):
        return True
    if re.search(r"\([^()]*box[^()]*\)", folded) and any(
        draft.complete and knows(draft.name) for draft in read_stops(Piece(text, (0,)))
    ):
        return False
    if re.match(r"^[+A-Z]{1,2}\s*[=:]\s*\w", text) and not re.search(r"\d['′]", text):
        return True
    return (
        bool(_BOX.search(folded))
        and (bool(pattern("except").search(folded)) or len(folded.split()) >= 3)
        and not re.search(r"\d\s*(?:ft|')\.?\s*$", folded)
    )


def take_compass(gathered: Gathered, piece: Piece, within: int | None, *, section: bool) -> bool:
    """Take the compasses of a line that states them; was it one?"""
    pair = pair_of_counts(f"compass {piece.text}" if section else piece.text)
    if pair:
        gathered.compasses.append(Scope(whose="manuals", compass=Compass(36, 35 + pair[0]), lines=piece.lines))
        gathered.compasses.append(Scope(whose="pedal", compass=Compass(36, 35 + pair[1]), lines=piece.lines))
        return True
    found = find_compasses(piece.text)
    if not found:
        return False
    folded = fold(piece.text)
    named = read_stops(piece) if not section else []
    if named and knows(named[0].name) and fold(named[0].name) not in division_words():
        return False  # "Chimes 25 notes" is a stop
    rest = piece.text
    for one in reversed(found):
        rest = rest[: one.start] + " " + rest[one.end :]
    left = [w for w in re.findall(r"[^\W\d_]{2,}", fold(rest)) if w not in words("heading_noise")]
    known = [
        w
        for w in left
        if _scope_word(w)
        or w in words("sections", "compass")
        or w
        in (
            "short",
            "octave",
            "kurze",
            "notes",
            "from",
            "full",
            "both",
            "all",
            "each",
            "chromatic",
            "tasten",
            "toetsen",
            "keys",
            "oktave",
            "touches",
            "tasti",
        )
    ]
    if not section and len(left) - len(known) > 2 and len(known) * 2 < len(left):
        return False
    if not (section or known or not left):
        return False
    _scopes(gathered, piece, found, folded, within)
    return True


def _scope_word(word: str) -> bool:
    return bool(_MANUALS.fullmatch(word) or _PEDAL.fullmatch(word)) or word in division_words() or word in short_words()


def _scopes(gathered: Gathered, piece: Piece, found: list[Compass], folded: str, within: int | None) -> None:
    text = piece.text
    before = 0
    for one in found:
        stretch = fold(text[before : one.start])
        whose = _whose(stretch) or _whose(fold(text[one.end : one.end + 25]).split(",")[0].split(";")[0])
        pedal = whose == "pedal"
        better = next((c for c in find_compasses(text, pedal=pedal) if c.start == one.start), one)
        if SHORT_OCTAVE.search(text[one.end : one.end + 40]) and not better.missing and not pedal:
            better = replace(better, missing=short_octave_keys(better.low))
        if whose == "pedal" and better.high - better.low > _WIDEST_PEDAL:
            whose = "manuals"
        fallback = within if within is not None else "manuals"
        gathered.compasses.append(Scope(whose=fallback if whose is None else whose, compass=better, lines=piece.lines))
        before = one.end


def _whose(folded: str) -> str | None:
    """Whose compass follows: the last scope word before it."""
    places: list[tuple[int, str]] = [(m.start(), "pedal") for m in _PEDAL.finditer(folded)]
    places += [(m.start(), "manuals") for m in _MANUALS.finditer(folded)]
    for m in re.finditer(r"[^\W\d_]+", folded):
        meant = division_words().get(m.group())
        if meant and meant[0].role not in ("pedal",) and not _MANUALS.fullmatch(m.group()):
            places.append((m.start(), "word:" + m.group()))
    return max(places)[1] if places else None


def take_noted(gathered: Gathered, piece: Piece, within: int | None) -> None:
    """A paragraph one sentence of which says what stands in a box; the others may tell of compasses and tremulants."""
    start = 0
    ends = [found.end() for found in re.finditer(r"(?<=[\w)])\.(?=\s+[A-ZÀ-Ý])", piece.text)]
    for end in [*ends, len(piece.text)]:
        sentence = piece.cut(start, end)
        if is_note(sentence.text):
            gathered.notes.append(Note(piece=sentence, within=within))
        listed = [read_couplers(part, within=within, section=False) for part in split_at(sentence, _SEMICOLONS)]
        if all(listed):
            gathered.couplers.extend(one for couplers in listed for one in couplers or ())
        elif is_prose(sentence.text) or not is_note(sentence.text):
            take_sentence(gathered, sentence, within)
        start = end


def take_sentences(gathered: Gathered, pieces: list[Piece], within: int | None) -> None:
    """Take what the sentences of a paragraph tell, each with the lines it stands on."""
    if not pieces:
        return
    joined, places = "", []
    for piece in pieces:
        places.append((len(joined), piece.lines))
        joined += piece.text + " "
    start = 0
    for end in [m.end() for m in re.finditer(r"(?<=\w\w)[.;](?=\s)", joined)] + [len(joined)]:
        lines = [
            at[1]
            for number, at in enumerate(places)
            if at[0] < end and (number + 1 == len(places) or places[number + 1][0] > start)
        ]
        text = joined[start:end].strip()
        if text:
            take_sentence(gathered, Piece(text, tuple(sorted({n for one in lines for n in one}))), within)
        start = end


def take_sentence(gathered: Gathered, piece: Piece, within: int | None) -> bool:
    """Take what a sentence tells."""
    folded = fold(piece.text)
    taken = False
    pair = pair_of_counts(piece.text) if re.search(r"manual|klavier|clavier|tastier|teclado", folded) else None
    if pair is not None:
        gathered.compasses.append(Scope(whose="manuals", compass=Compass(36, 35 + pair[0]), lines=piece.lines))
        gathered.compasses.append(Scope(whose="pedal", compass=Compass(36, 35 + pair[1]), lines=piece.lines))
        return True
    found = [c for c in find_compasses(piece.text) if c.high - c.low >= 12]
    if found and re.search(
        r"manual|pedal|klavier|clavier|tastier|teclado|keyboard|pedaal|compass|umfang|omvang|omf[ao]ng|estensione|etendue"
        r"|skala|rozsah|tasti\b",
        folded,
    ):
        _scopes(gathered, piece, found, folded, within=None)
        taken = True
    if pattern("permanent").search(folded) and _PEDAL.search(folded):
        gathered.couplers.append(
            CouplerDraft(source="main", target="pedal", permanent=True, lines=piece.lines, text=piece.text.strip())
        )
        taken = True
    if pattern("tremulant").search(folded):
        tremulant = read_tremulant(piece, None, free=True)
        if tremulant:
            gathered.tremulants.append(tremulant)
            taken = True
    if re.search(
        r"pistons?\b|combination pedals?|composition pedals?|swell pedal|crescendo pedal|foot piston|combination action"
        r"|couplers|sforzando|reversible",
        folded,
    ):
        aid = read_aid(piece, None, section=True)
        if aid:
            gathered.aids.append(aid)
            taken = True
    return taken

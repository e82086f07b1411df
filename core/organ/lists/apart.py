"""Reads the items under headings for couplers and accessories, one by one."""

from __future__ import annotations

import re
from dataclasses import replace

from core.organ.lists.aids import read_aid, read_tremulant
from core.organ.lists.couplers import normal_couplers, octave_sizes, read_couplers, shares_sizes
from core.organ.lists.items import split_at
from core.organ.lists.knowing import knows
from core.organ.lists.lines import Piece
from core.organ.lists.phrases import carried_on, labelled_tremulant, run_of_couplers
from core.organ.lists.prose import is_about, is_prose, is_wind
from core.organ.lists.state import Gathered, Place
from core.organ.lists.stops import read_stops
from core.organ.lists.vocabulary import fold, pattern, words

COMMAS = re.compile(
    r"\s*;\s*|\s*,(?!\s*\d{1,2}\b\s*(?:'|′|ft\b)?\s*(?:[,;.)&]|$|(?:and|et|und|e|y|en|och|og)\b)|\s*UO\b)\s*|(?<=[^\W\d_]{4})\.\s+(?=[A-ZÀ-Ý])|\s+[•·|]\s+"
)
_LABEL = re.compile(r"^(?P<label>[^:]{2,40}):\s*(?P<rest>.*)$")
_PAGE = re.compile(r"photo\b|contact\b|copyright|©|https?:|www\.|@", re.IGNORECASE)
_NO_AID = re.compile(
    r"^(?:stimm|quelle|source|fonte|bron\b|literatur|foto|winddr|wind pressure|temper|gegenwartig)|\bhz\b"
)


def lists_aids(piece: Piece, within: int | None) -> bool:
    """Whether a sentence lists couplers, tremulants or aids and no stop."""
    items = split_at(piece, COMMAS)
    if any(draft.complete and knows(draft.name) for draft in read_stops(piece)):
        return False
    return bool(
        read_couplers(piece, within=within, section=True)
        or read_couplers(items[0], within=within, section=True)
        or read_tremulant(piece, None)
        or read_aid(piece, None)
        or normal_couplers(piece)
    )


def read_apart(gathered: Gathered, piece: Piece, place: Place) -> None:
    """An item under couplers or accessories."""
    if (labelled := labelled_tremulant(piece)) is not None:
        gathered.tremulants.append(labelled)
    elif place.section != "accessories" or not is_wind(piece.text):
        _read_unlabelled(gathered, piece, place)


def _read_unlabelled(gathered: Gathered, piece: Piece, place: Place) -> None:
    label = _LABEL.match(piece.text)
    if label and label["rest"] and is_label(label["label"]):
        place = Place(place.within, place.section, label["label"])
        piece = Piece(label["rest"], piece.lines, piece.at)
    elif label and not label["rest"]:
        place.label = label["label"]
        return
    carried = place.label if is_label(place.label) and fold(place.label) not in words("sections", "accessories") else ""
    pulls = pattern("pedal_coupler").match(fold(piece.text))
    if not carried and pulls and "," in piece.text and fold(piece.text)[pulls.end() :].lstrip()[:1] not in (",", ";"):
        carried = pulls.group()  # "Tirasses I, II, III"
    if place.section == "accessories" and ";" in piece.text:
        for part in split_at(piece, _SEMICOLON):
            read_apart(gathered, part, place)
        return
    before = len(gathered.couplers)
    for part in carried_on(piece) or _items_apart(piece, place, carried):
        sizes = octave_sizes(part.text)
        last = gathered.couplers[-1] if len(gathered.couplers) > before else None
        own = re.search(r"[ck]oppel|coupler|spojka", fold(part.text))  # "Suboctavkoppel" is a coupler of its own
        if sizes and not own and last is not None and last.source is not None and last.source != last.target:
            gathered.couplers += [replace(last, pitch=size, lines=part.lines) for size in sizes]
            continue  # "Solo to Great, Sub, Super and Unison"
        _apart(gathered, part, place, carried)


_NUMBERED = re.compile(r"[.,;]?\s+(?=\d{1,3}\.\s+[A-ZÀ-Ý])")
_SEMICOLON = re.compile(r"\s*;\s*")


def _items_apart(piece: Piece, place: Place, carried: str) -> list[Piece]:
    """The items of a line of couplers or aids; a sentence about aids stays whole."""
    numbered = split_at(piece, _NUMBERED)
    if len(numbered) > 1 and re.match(r"\s*\d{1,3}\.\s", piece.text):
        return [item for one in numbered for item in _items_apart(one, place, carried)]
    whole = read_couplers(piece, within=place.within, section=place.section == "couplers", label=carried)
    if whole and ";" in piece.text:
        halves = split_at(piece, _SEMICOLON)
        if all(read_couplers(part, within=place.within, section=True, label=carried) for part in halves):
            return [item for half in halves for item in _items_apart(half, place, carried)]
    if not whole and (run := run_of_couplers(piece)) is not None:
        return run
    if shares_sizes(piece):
        return [piece]
    parts = [piece] if whole and "," not in piece.text else split_at(piece, COMMAS)
    if place.section != "accessories":
        return parts
    aids = [read_aid(part, None) is not None for part in parts]
    mechanics = re.search(
        r"piston|revers|studs?\b|pedals\b"
        r"|(?:swell|expression|balanced|composition|combination|crescendo|foot) pedals?\b",
        fold(piece.text),
    )
    others = [read_couplers(part, within=None, section=True) or read_tremulant(part, None) for part in parts]
    told = aids if mechanics else [aid or bool(other) for aid, other in zip(aids, others, strict=True)]
    if 2 * sum(told) >= len(told) and sum(told) > sum(aids):
        return parts
    tiny = any(len(part.text) < 4 for part in parts)
    return [piece] if tiny or (aids[0] and not all(told)) else parts


def is_label(text: str) -> bool:
    """Whether a word before a colon heads couplers."""
    folded = fold(text)
    return bool(
        pattern("pedal_coupler").search(folded)
        or pattern("coupler_words").search(folded)
        or pattern("sections", "couplers").search(folded)
    )


def _apart(gathered: Gathered, part: Piece, place: Place, label: str) -> None:
    text = re.sub(r"^\s*(?:(?:\d{1,3}|[ivxl]{1,6})[.)]\s*|[ivxl]{1,6}\s+(?=[A-Z]))", "", part.text)
    bare = Piece(text, part.lines, part.at)
    ranged = place.section == "accessories" and re.match(r"[A-Za-z. ]{2,}\s\d+\s*[-–]\s*\d+", text)
    if ranged or re.search(
        r"revers|piston|(?:composition|combination|thumb|toe) (?:pedal|stud)|tritt\b.*\babs", fold(text)
    ):
        aid = read_aid(bare, place.within, section=True)
        if aid:
            gathered.aids.append(aid)
            return
    trembles = pattern("tremulant").search(fold(text)) and read_tremulant(bare, place.within)
    if trembles:
        gathered.tremulants.append(trembles)
        return
    couplers = normal_couplers(part) or read_couplers(
        bare, within=place.within, section=place.section == "couplers" or bool(label)
    )
    if couplers is None and label:
        couplers = read_couplers(bare, within=place.within, section=True, label=label)
    if couplers is None and place.near is not None:
        couplers = read_couplers(bare, within=place.near, section=True, label=label)
    if couplers is None:
        couplers = normal_couplers(bare)
    if couplers:
        gathered.couplers.extend(couplers)
        return
    tremulant = read_tremulant(bare, place.within)
    if tremulant:
        gathered.tremulants.append(tremulant)
        return
    if _PAGE.search(text) or _NO_AID.search(fold(text)) or (is_about(text) and place.section != "accessories"):
        return
    aid = read_aid(bare, place.within, section=place.section == "accessories")
    if aid:
        gathered.aids.append(aid)


def lists_only_aids(piece: Piece) -> bool:
    """Whether each of a line's items is a coupler, a tremulant or an aid."""
    parts = split_at(piece, COMMAS)
    if len(parts) < 3 or any(is_prose(part.text) for part in parts):
        return False
    return all(
        read_couplers(part, within=None, section=False) or read_tremulant(part, None) or read_aid(part, None)
        for part in parts
    )

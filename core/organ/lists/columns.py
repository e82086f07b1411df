"""Reads a column of a list, item by item: stops, couplers, tremulants, aids, remarks, notes."""

from __future__ import annotations

import re
from itertools import pairwise

from core.organ.lists.aids import read_aid, read_tremulant
from core.organ.lists.apart import COMMAS, is_label, lists_aids, read_apart
from core.organ.lists.couplers import normal_couplers, read_couplers, shares_sizes
from core.organ.lists.drafts import CouplerDraft, TremulantDraft
from core.organ.lists.headings import Heading, read_heading
from core.organ.lists.items import mended, split_at, unrolled
from core.organ.lists.keys import find_compasses
from core.organ.lists.knowing import knows, likely
from core.organ.lists.lines import Piece
from core.organ.lists.phrases import labelled_tremulant, sentences_of
from core.organ.lists.prose import is_about, is_caption, is_prose, is_wind
from core.organ.lists.remarks import apply_remark
from core.organ.lists.sentences import is_note, take_compass, take_noted, take_sentence
from core.organ.lists.state import Gathered, Note, Place, Scope
from core.organ.lists.stops import read_stops, without_pipes
from core.organ.lists.unknown import unknown_names
from core.organ.lists.vocabulary import fold, pattern, words

_LABEL = re.compile(r"^(?P<label>[^:]{2,40}):\s*(?P<rest>.*)$")
_DITTO = re.compile(r"^(?P<mark>[\"”″„]|do\.?|id\.?|idem|ditto)\s+(?=\S)", re.IGNORECASE)


def read_column(gathered: Gathered, pieces: list[Piece], place: Place) -> None:
    """Read the pieces of one column into what was gathered."""
    pieces = unrolled(mended(pieces)) if place.section == "division" else _wrapped(pieces, place)
    odd = unknown_names(pieces) if place.section == "division" else frozenset()
    for at, piece in enumerate(pieces):
        place.named = at in odd
        _read(gathered, piece, place)


def _wrapped(pieces: list[Piece], place: Place) -> list[Piece]:
    """Lines of couplers with one that ends in a comma or "and" joined to the next."""
    made: list[Piece] = []
    for piece in pieces:
        before = made[-1].text.rstrip() if made else ""
        near = made and piece.lines[0] - made[-1].lines[-1] == 1
        if place.section == "couplers" and near and re.search(r"(?:,|&|\b(?:and|und|et|en|e|y|to|zu|an))$", before):
            made[-1] = made[-1].joined(piece)
        else:
            made.append(piece)
    return made


def _read(gathered: Gathered, piece: Piece, place: Place) -> None:
    text = piece.text.strip()
    if not any(sign.isalnum() for sign in text) or (is_caption(text) and not find_compasses(text)):
        return
    half = next((h for h in ("bass", "treble") if fold(text).strip(" :.") in words("half", h)), None)
    if place.section == "division" and half and len(text) > 4:
        place.half = half
        _mark(gathered, piece, place)
        return
    if place.section == "division" and _turns(gathered, piece, place):
        return
    if _take_sentenced(gathered, piece, place):
        return
    ditto = _DITTO.match(text)
    if ditto:
        piece = _undittoed(gathered, Piece(text[ditto.end() :], piece.lines, piece.at), place)
    if _take_told(gathered, piece, place):
        return
    if take_compass(gathered, piece, place.within, section=place.section == "compass"):
        return
    if place.section in ("couplers", "accessories") or (place.label and place.section != "division"):
        read_apart(gathered, piece, place)
        return
    _read_in_division(gathered, piece, place)


def _take_told(gathered: Gathered, piece: Piece, place: Place) -> bool:
    """Take a sentence, or a note on boxes and marks; was it one?"""
    several = is_prose(piece.text) or re.search(r"\w{3}\.\s+[A-Z]", piece.text)
    if several and is_note(piece.text) and piece.text[:1] not in "*†‡§+°":
        take_noted(gathered, piece, place.within)
    elif is_note(piece.text):
        gathered.notes.append(Note(piece=piece, within=place.within))
        if place.within is not None and (ranges := find_compasses(piece.text)):
            gathered.compasses.append(Scope(whose=place.within, compass=ranges[0], lines=piece.lines))
    elif not is_prose(piece.text):
        return False
    elif not _take_several(gathered, split_at(piece, COMMAS), place):
        take_sentence(gathered, piece, place.within)
    return True


def _take_sentenced(gathered: Gathered, piece: Piece, place: Place) -> bool:
    """``Tirasses I, II. Accouplements I/II. Tremblant.``: sentences each of which lists couplers or aids."""
    parts = sentences_of(piece)
    if len(parts) < 2 or is_prose(piece.text) or ";" in piece.text:
        return False
    section = place.section if place.section in ("couplers", "accessories") else "couplers"
    if not all(lists_aids(part, place.within) for part in parts):
        return False
    for part in parts:
        read_apart(gathered, part, Place(place.within, section))
    return True


def _undittoed(gathered: Gathered, piece: Piece, place: Place) -> Piece:
    """A line without its ditto mark: the name above stands for it, or that name's first word."""
    last = None if place.label or place.section != "division" else gathered.last_stop(place.within)
    if last is None:
        return piece
    words_above = last.name.split()
    own_name = piece.text[:1].isalpha()
    above = " ".join(words_above[: max(1, len(words_above) - 1)] if own_name else words_above)
    return Piece(f"{above} {piece.text}", piece.lines, piece.at)


def _turns(gathered: Gathered, piece: Piece, place: Place) -> bool:
    """A heading within the column: another division, or a label such as ``Couplers:``."""
    heading = heading_of(piece)
    if heading is None or (heading.word and heading.word.stop and heading.rest is None):
        return False
    if heading.section in ("couplers", "accessories") and heading.rest is None and normal_couplers(piece):
        return False
    if heading.section in ("couplers", "accessories"):
        place.label = heading.section
        _mark(gathered, piece, place)
        if heading.rest is not None:
            read_apart(gathered, heading.rest, Place(place.within, heading.section, heading.printed))
        return True
    if heading.rest is None or heading.word is None or not read_stops(heading.rest):
        return False
    place.within, place.label = gathered.open_division(heading), ""
    _read(gathered, heading.rest, place)
    return True


def _mark(gathered: Gathered, piece: Piece, place: Place) -> None:
    """A label's line is cited by the division it stands in."""
    if place.within is not None:
        division = gathered.divisions[place.within]
        division.lines = tuple(sorted({*division.lines, *piece.lines}))


def _read_in_division(gathered: Gathered, piece: Piece, place: Place) -> None:
    text = piece.text
    if (labelled := labelled_tremulant(piece)) is not None:
        gathered.tremulants.append(labelled)
        return
    label = None if re.match(r"revers(?:ible|ing)\b", fold(text)) else _LABEL.match(text)
    if label and is_label(label["label"]) and label["rest"]:
        read_apart(
            gathered,
            Piece(label["rest"], piece.lines, piece.at),
            Place(place.within, "couplers", label["label"]),
        )
        place.label = "couplers"
        return
    half = next((h for h in ("bass", "treble") if label and fold(label["label"]) in words("half", h)), None)
    if label and label["rest"] and half and len(label["label"]) > 3:
        place.half = half  # "Mano derecha: Flautado 8, …"
        piece = Piece(label["rest"], piece.lines, piece.at)
        label = None
    if place.label == "accessories":
        read_apart(gathered, piece, Place(place.within, "accessories"))
        return
    if label and read_stops(Piece(label["rest"], piece.lines)) and not knows(text):
        place.ventil = bool(re.search(r"combinaison|ventil|anches", fold(label["label"]))) or None
        piece = Piece(label["rest"], piece.lines, piece.at)
    if _take_odds(gathered, piece, place):
        return
    if place.within is None:
        take_sentence(gathered, piece, None)
        return
    _take_stops(gathered, piece, place)


def _take_odds(gathered: Gathered, piece: Piece, place: Place) -> bool:
    """Couplers, tremulants and aids among the stops."""
    text = re.sub(r"^\s*(?:\d{1,3}[.)]?|[ivxl]{1,6}\.|[ivxl]{1,6}(?=\s+[A-Z]))\s+(?=[^\W\d])", "", piece.text)
    bare = Piece(text, piece.lines, piece.at)
    counted = piece if re.match(r"\s*\d{1,3}\s", piece.text) else bare  # "8 general pistons, 4 to each manual"
    if re.match(r"revers(?:ible|ing|er)\b", fold(text)) and (reversible := read_aid(bare, place.within)) is not None:
        gathered.aids.append(reversible)
        return True
    if not shares_sizes(bare) and _take_several(gathered, split_at(counted, COMMAS), place):
        return True
    if _take_numbered(gathered, piece, place):
        return True
    couplers = normal_couplers(piece) or read_couplers(bare, within=place.within, section=bool(place.label))
    if couplers and not _is_own_stop(gathered, bare, place, couplers):
        gathered.couplers.extend(couplers)
        return True
    drafts = read_stops(bare, pitch_first=place.pitch_first)
    named = bool(drafts) and (drafts[0].complete or knows(drafts[0].name))
    tremulant = None if named and drafts[0].complete and knows(drafts[0].name) else read_tremulant(bare, place.within)
    if tremulant:
        gathered.tremulants.append(tremulant)
        return True
    if not named and (usual := normal_couplers(bare)):
        gathered.couplers.extend(usual)
        return True
    effect = named and not drafts[0].complete and pattern("aids", "other").match(fold(text))
    effect = effect or re.match(
        r"(?:pedalett[oi]|staff[ae]|pistoncin[oi]|pulsant[ei]|tiratutt[oi]|tirapieno)\b", fold(text)
    )
    if named and not effect:
        return False
    aid = read_aid(piece, place.within) or read_aid(bare, place.within)
    if aid is None:
        return False
    gathered.aids.append(aid)
    return True


def _take_numbered(gathered: Gathered, piece: Piece, place: Place) -> bool:
    """``IX Octave X Sub Octave``: among stops with Arabic figures those with Roman ones are couplers and the like."""
    last = gathered.last_stop(place.within)
    if last is None or not last.number.isdigit() or not _ROMAN_NUMBER.match(piece.text):
        return False
    starts = [found.start() for found in _ROMAN_NUMBER.finditer(piece.text)]
    parts = [piece.cut(a, b) for a, b in pairwise([*starts, len(piece.text)])]
    bare = [Piece(_ROMAN_NUMBER.sub("", part.text), part.lines, part.at) for part in parts]
    told = [
        read_couplers(part, within=place.within, section=False) or read_tremulant(part, place.within) for part in bare
    ]
    if not all(told):
        return False
    for one in told:
        if isinstance(one, TremulantDraft):
            gathered.tremulants.append(one)
        elif one:
            gathered.couplers.extend(one)
    return True


_ROMAN_NUMBER = re.compile(r"(?<!\S)[IVX]{1,5}[.)]?\s+(?=[A-Z][a-z])")


def _take_several(gathered: Gathered, parts: list[Piece], place: Place) -> bool:
    """A line of couplers, tremulants and aids only; with aids among them a tremulant is the whole organ's."""
    if len(parts) < 2:
        return False
    couplers = [
        normal_couplers(part) or read_couplers(part, within=place.within, section=bool(place.label)) for part in parts
    ]
    tremulants = [read_tremulant(part, None) for part in parts]
    aids = [read_aid(part, place.within) for part in parts]
    told = [bool(a or b or c) for a, b, c in zip(couplers, tremulants, aids, strict=True)]
    odd = [part for part, one in zip(parts, told, strict=True) if not one]
    if len(odd) > (1 if couplers[0] and len(parts) > 2 else 0) or any(len(part.text) > 6 for part in odd):
        return False
    if any(draft.complete and likely(draft.name) for part in parts for draft in read_stops(part)[:1]):
        return False
    for coupler, tremulant, aid in zip(couplers, tremulants, aids, strict=True):
        if coupler:
            gathered.couplers.extend(coupler)
        elif tremulant:
            gathered.tremulants.append(tremulant)
        elif aid:
            gathered.aids.append(aid)
    return True


def _is_own_stop(gathered: Gathered, piece: Piece, place: Place, couplers: list[CouplerDraft]) -> bool:
    """A bare ``Octave`` is a coupler only after a coupler, a tremulant or a Unison Off of its division."""
    if place.label or place.within is None:
        return False
    drafts = read_stops(piece, pitch_first=place.pitch_first)
    if len(drafts) != 1 or not knows(drafts[0].name):
        return False
    if drafts[0].complete:
        return True
    near = piece.lines[0]
    others: list[CouplerDraft | TremulantDraft] = [*gathered.couplers, *gathered.tremulants]
    return not any(item.within == place.within and 0 <= near - item.lines[0] <= 4 for item in others)


def _take_stops(gathered: Gathered, piece: Piece, place: Place) -> None:
    assert place.within is not None
    division = gathered.divisions[place.within]
    text = piece.text.strip()
    last = gathered.last_stop(place.within)
    if last is not None and re.fullmatch(r"[(\[].*[)\]]?\.?", text) and apply_remark(last, text.strip("()[] .")):
        last.lines = tuple(sorted({*last.lines, *piece.lines}))
        return
    if is_wind(text) or (
        is_about(without_pipes(text))
        and not any((d.complete and likely(d.name)) or knows(d.name) for d in read_stops(piece))
    ):
        return
    drafts = read_stops(piece, pitch_first=place.pitch_first)
    good = [d for d in drafts if _is_stop(d.name, d.complete, bool(d.numeral), text) or place.named]
    if not good:
        if last is not None and text[:1].islower() and len(text) < 40 and apply_remark(last, text):
            last.lines = tuple(sorted({*last.lines, *piece.lines}))
        return
    for draft in good:
        draft.half = draft.half or place.half
        draft.on_ventil = place.ventil
    division.stops.extend(good)


def _is_stop(name: str, complete: bool, numeral: bool, text: str) -> bool:
    if len(name) > 60 or len(name.split()) > 7 or (_NO_STOP.search(fold(name)) and not knows(name)):
        return False
    if complete or numeral:
        return True
    return knows(name) or (likely(name) and len(name.split()) <= 3 and len(text) < 40)


_NO_STOP = re.compile(
    r"\b(?:kombination\w*|combina(?:zion|ison|isaison|cion|tion)\w*|suitable bass\w*|memor\w+|setzer\w*"
    r"|livelli|niveaux|ebenen|coupled)\b"
)
_NUMBERED_COUPLER = re.compile(
    r"(?:\d{1,3}|[ivxl]{1,6})[.)]?\s+[\w'.-]+(?: organ)? (?:to|zu|auf|au|sur|al|naar|aan) [\w'.-]+"
)


def heading_of(piece: Piece) -> Heading | None:
    """The heading that a cell is; couplers and tremulants are none."""
    heading = read_heading(piece)
    if (
        heading is None
        or (heading.section and heading.rest)
        or heading.count is not None
        or heading.odd_count
        or heading.permanent
    ):
        return heading
    if heading.rest is None and _NUMBERED_COUPLER.match(fold(piece.text)):
        return None
    numbered = heading.keyboard is not None and heading.word is not None and not heading.short
    rest = read_stops(heading.rest) if heading.rest is not None and heading.word is not None else []
    if rest and rest[0].complete and knows(rest[0].name):
        return heading
    if numbered and heading.word is not None and heading.word.role != "pedal":
        return heading  # "II – Schwellwerk" numbers a division; a coupler would not mix number and name
    return None if read_couplers(piece, within=None, section=False) else heading

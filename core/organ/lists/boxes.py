"""Reads what stands in a box: sentences with ``except``, marks explained by a footnote, box pedals."""

from __future__ import annotations

import re

from core.organ.lists.drafts import AidDraft, DivisionDraft, StopDraft
from core.organ.lists.keys import first_key
from core.organ.lists.state import Note
from core.organ.lists.vocabulary import division_words, fold, pattern, short_words
from core.organ.normal import key_of

_BOX = re.compile(
    r"box|enclosed|expressi|espressiv|expresiv|schwell(?:kasten|bar|gehaus|er\b)|zwelkast|cassa|caja|boite"
)
_NOT = re.compile(r"\b(?:not|outside|nicht|niet|non|no(?!\.)|ausserhalb|hors|fuera|fuori|exposed)\b|unenclosed")
_MARK = re.compile(r"[*†‡§+°¹²³]{1,3}")


def apply_note(note: Note, divisions: list[DivisionDraft]) -> list[int]:
    """Apply a sentence to the stops it speaks of.

    A mark explained at the end of a list, or outside every division, is explained for all of them.

    Returns:
        The indices of the divisions to which something was done.
    """
    last = note.within is None or note.within == len(divisions) - 1
    begins = re.match(r"^\s*[*†‡§+°¹²³]{1,3}", note.piece.text)
    manuals = [at for at, division in enumerate(divisions) if division.role != "pedal"]
    only = manuals if len(manuals) == 1 else []
    places = range(len(divisions)) if last and begins else [note.within] if note.within is not None else only
    if last and not begins:
        places = _spoken_of(note.piece.text, divisions) or places
    return [at for at in places if at < len(divisions) and _apply(note, divisions[at])]


def _spoken_of(text: str, divisions: list[DivisionDraft]) -> list[int]:
    """The divisions that a sentence names: ``Both manuals are enclosed``, ``The Swell is in a box``."""
    box = _BOX.search(fold(text))
    folded = fold(text)[: box.start() if box else None].replace("swell pedal", " ")
    if not re.search(r"\b(?:is|are|enclosed|ist|sind|stehen|steht|staan|staat|est|sont|e|es)\b", folded):
        return []
    if re.search(
        r"\b(?:both|all|two|the) manuals?\b|\b(?:beide|alle|all) (?:manuale|klaviere|manualen|divisions)\b", folded
    ):
        return [at for at, division in enumerate(divisions) if division.role != "pedal"]
    if re.search(r"\b(?:whole|entire|ganze|gesamte) (?:organ|instrument|orgel|pedal)|\ball divisions\b", folded):
        return list(range(len(divisions)))
    words = re.findall(r"[^\W\d_]+", folded)
    roles = {one.role for word in words for one in division_words().get(word, ()) if word not in ("manual", "manuals")}
    return [at for at, division in enumerate(divisions) if division.role in roles]


def _apply(note: Note, division: DivisionDraft) -> bool:
    text, folded = note.piece.text, fold(note.piece.text)
    if not _BOX.search(folded):
        return _marked(text, folded, division)
    mark = re.match(r"^\s*([*†‡§+°¹²³]{1,3})", text)
    exception = pattern("except").search(folded)
    value = not _NOT.search(folded[: exception.start()] if exception else folded)
    if mark and not exception:
        return _on_marks(division, mark[1], value)
    if exception:
        division.enclosed, division.by_name = value, False
        rest = folded[exception.end() :]
        found = _MARK.search(text[max(0, exception.start() - 4) :])
        if found and not re.search(r"\bthe\b.*\band\b", rest.split(".")[0]):
            _on_marks(division, found.group(), not value)
        for stop in division.stops:
            if key_of(stop.name) and key_of(stop.name) in key_of(rest.split(".")[0]):
                stop.enclosed = not value
        return True
    later = _MARK.search(text)
    if later:
        return _on_marks(division, later.group(), value)
    division.enclosed, division.by_name = value, False
    return True


def _on_marks(division: DivisionDraft, mark: str, value: bool) -> bool:
    done = False
    for stop in division.stops:
        if mark in stop.marks:
            stop.enclosed, done = value, True
    return done


def _marked(text: str, folded: str, division: DivisionDraft) -> bool:
    """A mark that means borrowed or prepared; others tell nothing that a specification holds."""
    mark = re.match(r"^\s*([*†‡§+°¹²³]{1,3})", text)
    if mark is None:
        return False
    stops = [stop for stop in division.stops if mark[1] in stop.marks]
    if pattern("prepared").search(folded):
        for stop in stops:
            stop.prepared = True
    elif (key := _first_key(folded)) is not None:
        for stop in stops:
            stop.first = key
    elif re.match(r"\W*(?:=\s*)?(?:from|aus|uit|borrowed|transmi|ext|derived|emprunt)", folded):
        for stop in stops:
            stop.borrowed = text.strip("*†‡§+°= ")
    return bool(stops)


def _first_key(folded: str) -> int | None:
    found = re.search(r"(?:from|ab|vanaf|fra|depuis|to) (tenor [a-g]|[a-g]\d?'{0,3})\W*$", folded)
    return first_key(found[1]) if found else None


def box_pedals(aids: list[AidDraft], divisions: list[DivisionDraft]) -> None:
    """``Balanced Solo Pedal``, ``Swell pedals to Swell and Choir``: those divisions stand in boxes."""
    for aid in aids:
        folded = fold(aid.text)
        for found in re.finditer(
            r"balanced ([^.;,]*?)pedals?(?: to ([^.;]*))?"
            r"|(?:swell|expression|expressive) (?:pedals?|shoes?) (?:to|for) ([^.;]*)"
            r"|schwelltritte? (?:fur|f\.) ([^.;]*)|zweltreden? (?:voor|op) ([^.;]*)",
            folded,
        ):
            named = " ".join(group for group in found.groups()[1:] if group) or (found[1] or "")
            if "crescendo" in named:
                continue
            _enclose(named, aid, divisions)


def _enclose(named: str, aid: AidDraft, divisions: list[DivisionDraft]) -> None:
    for word in re.findall(r"[^\W\d_]+", named):
        meant = division_words().get(word) or short_words().get(word) or ()
        roles = {one.role for one in meant}
        for division in divisions:
            if division.role in roles and division.role != "pedal":
                division.enclosed = True if division.enclosed is None or division.by_name else division.enclosed
                division.lines = tuple(sorted({*division.lines, *aid.lines}))


def tidy(stop: StopDraft, division: DivisionDraft) -> None:
    """A stop that differs in nothing from its division says nothing of its own."""
    if stop.enclosed is not None and stop.enclosed == division.enclosed:
        stop.enclosed = None

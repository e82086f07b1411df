"""Edits applied to a document: each gives a new document; the former one is what undo goes back to."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from fractions import Fraction

from core.document import Document, organ_from_text, score_of
from core.edit_values import (
    AddBracket,
    AddCredit,
    AddMarking,
    ChangeMarking,
    ChangeSpecification,
    ChooseOrgan,
    DeleteBracket,
    DeleteMarking,
    Dismiss,
    Edit,
    MoveMarking,
    PencilIn,
    PinStops,
    Raise,
    ReplaceSpecification,
    SetBoundary,
    SetHand,
    SetKeyboard,
    SetLanguage,
    SetOrganParts,
    SetTradition,
    Together,
)
from core.errors import EditError, ScoreError
from core.note_edits import NOTE_EDITS, change_notes
from core.notes import follow, follow_organ
from core.organ.following import followed
from core.organ.reading import is_specification
from core.organ.writing import change_specification, write_organ
from core.query_edits import AskAuthor, SettleQuery
from core.score.model import MarkingId, Note, Score, ScoreText, TextKind
from core.score.placing import AsRead, find_gap
from core.score.rewriting import add_bracket, add_credit, change_text, delete_bracket, delete_text, move_text
from core.score.source import Source
from core.score.writing import (
    Manuscript,
    NewDirection,
    Place,
    Splice,
    added_directions,
    insert_direction,
    open_bar,
    open_manuscript,
    splice,
    words,
)

__all__ = [
    "AddBracket",
    "AddCredit",
    "AddMarking",
    "Applied",
    "AskAuthor",
    "ChangeMarking",
    "ChangeSpecification",
    "ChooseOrgan",
    "DeleteBracket",
    "DeleteMarking",
    "Dismiss",
    "Edit",
    "MoveMarking",
    "PencilIn",
    "PinStops",
    "Raise",
    "ReplaceSpecification",
    "SetBoundary",
    "SetHand",
    "SetKeyboard",
    "SetLanguage",
    "SetOrganParts",
    "SetTradition",
    "SettleQuery",
    "Together",
    "apply",
    "apply_what_fits",
]

_OF_A_MARKING = (ChangeMarking, MoveMarking, DeleteMarking, PinStops, Dismiss, Raise, SetBoundary, AskAuthor)
_DIRECTIONS = (TextKind.WORDS, TextKind.REHEARSAL, TextKind.OTHER_DIRECTION)


@dataclass(frozen=True, slots=True, kw_only=True)
class Applied:
    """What came of an edit.

    Attributes:
        document: the new document.
        renamed: markings whose name changed: old id → new id, or None where it was deleted.
        made: the marking that was added or moved.
        score: the new document's score as read again, where the edit was one of the score.
    """

    document: Document
    renamed: Mapping[MarkingId, MarkingId | None] = field(default_factory=dict)
    made: MarkingId | None = None
    score: Score | None = None


def apply(document: Document, edit: Edit, score: Score | None = None) -> Applied:
    """Apply an edit.

    Args:
        document: where.
        edit: what.
        score: the document's score, where the caller has it read already.

    Raises:
        EditError: it does not fit the document, which is as it was.
    """
    if isinstance(edit, Together):
        return _apply_all(document, edit, score)
    if isinstance(edit, ReplaceSpecification | ChangeSpecification):
        return Applied(document=_with_specification(document, edit))
    if isinstance(edit, ChooseOrgan):
        if edit.organ is not None and not 0 <= edit.organ < len(document.organs):
            raise EditError("there is no such organ in this document")
        return Applied(document=replace(document, chosen=edit.organ))
    if document.source is None:
        raise EditError("there is no score in this document", remedy="Open one first.")
    before = score if score is not None else score_of(document)
    if isinstance(edit, NOTE_EDITS):
        notes = change_notes(document.notes, edit, before)
        # other parts or hands are another reading of the same file
        same = (notes.parts, notes.hands) == (document.notes.parts, document.notes.hands)
        return Applied(document=replace(document, notes=notes), score=before if same else None)
    return _apply_to_score(document, document.source, edit, before)


def _apply_all(document: Document, edit: Together, score: Score | None) -> Applied:
    renamed: dict[MarkingId, MarkingId | None] = {}
    made = None
    for one in edit.edits:
        step = apply(document, _translated(one, renamed), score)
        document = step.document
        score = step.score or (score_of(document, score) if score is not None and document.source else None)
        made = step.made or made
        renamed = _composed(renamed, step.renamed)
    return Applied(document=document, renamed=renamed, made=made, score=score)


def apply_what_fits(document: Document, edits: Iterable[Edit]) -> tuple[Document, list[tuple[Edit, EditError]]]:
    """The document after several edits, markings in all of them named as before the first.

    Returns:
        the document, and the edits that do not fit it, each with why; they were passed over.
    """
    renamed: dict[MarkingId, MarkingId | None] = {}
    score: Score | None = None
    refused: list[tuple[Edit, EditError]] = []
    for one in edits:
        try:
            step = apply(document, _translated(one, renamed), score)
        except EditError as error:
            refused.append((one, error))
            continue
        document, score = step.document, step.score or score
        renamed = _composed(renamed, step.renamed)
    return document, refused


def _translated(edit: Edit, renamed: Mapping[MarkingId, MarkingId | None]) -> Edit:
    """The edit with its marking's name as it is by now."""
    if not isinstance(edit, _OF_A_MARKING) or edit.marking is None or edit.marking not in renamed:
        return edit
    now = renamed[edit.marking]
    if now is None:
        raise EditError("this marking was deleted by an earlier step of the same edit")
    return replace(edit, marking=now)


def _composed(
    first: Mapping[MarkingId, MarkingId | None], then: Mapping[MarkingId, MarkingId | None]
) -> dict[MarkingId, MarkingId | None]:
    reached = {old: then.get(now, now) if now is not None else None for old, now in first.items()}
    taken = {now for now in first.values() if now is not None}
    return {**{old: new for old, new in then.items() if old not in taken and old not in reached}, **reached}


def _with_specification(document: Document, edit: ReplaceSpecification | ChangeSpecification) -> Document:
    if not 0 <= edit.organ < len(document.organs):
        raise EditError("there is no such organ in this document")
    file = document.organs[edit.organ]
    path = file.path
    if isinstance(edit, ReplaceSpecification):
        text = edit.text
    elif path is None or is_specification(file.text, path):
        text = change_specification(file.text, edit.change)
    else:  # a plain stop list becomes a specification with its first change, to be saved as a new file
        text, path = change_specification(write_organ(file.organ), edit.change), None
    files = list(document.organs)
    organ = organ_from_text(text, path)
    files[edit.organ] = replace(file, path=path, text=text, organ=organ)
    ids = followed(file.organ, organ, edit.change) if isinstance(edit, ChangeSpecification) else {}
    notes = follow_organ(document.notes, file.organ.name, organ.name, ids)
    return replace(document, organs=tuple(files), notes=notes)


def _apply_to_score(document: Document, source: Source, edit: Edit, before: Score) -> Applied:
    manuscript = open_manuscript(source, before)
    splices = _splices(manuscript, edit, before)
    new_source = splice(manuscript, splices)
    try:
        after = score_of(replace(document, source=new_source), before)
    except ScoreError as error:
        raise EditError("the file is laid out too oddly for this edit; nothing was changed") from error
    if not _same_music(before, after):
        raise EditError("this edit would disturb the notes around it", remedy="Choose another place.")
    renamed, made = _renames(manuscript, splices, before, after)
    if isinstance(edit, MoveMarking):
        renamed[edit.marking] = made
    _check_place(manuscript, edit, before, after, made)
    changed = {old: new for old, new in renamed.items() if old != new}
    notes = follow(document.notes, before, after, changed)
    return Applied(document=replace(document, source=new_source, notes=notes), renamed=changed, made=made, score=after)


def _same_music(before: Score, after: Score) -> bool:
    """Whether two scores have the same notes in the same time (their ticks, and whose hands, may differ)."""
    if before.notes == after.notes:
        return before.bars == after.bars
    if len(before.notes) != len(after.notes):
        return False
    if before.ticks == after.ticks:
        hand = Note._fields.index("hand")
        return before.bars == after.bars and all(
            one[:hand] == other[:hand] and one.ordinal == other.ordinal
            for one, other in zip(before.notes, after.notes, strict=True)
        )
    return all(
        one._replace(onset=0, duration=0, hand=None) == other._replace(onset=0, duration=0, hand=None)
        and one.onset * after.ticks == other.onset * before.ticks
        and one.duration * after.ticks == other.duration * before.ticks
        for one, other in zip(before.notes, after.notes, strict=True)
    )


def _splices(manuscript: Manuscript, edit: Edit, score: Score) -> list[Splice]:
    match edit:
        case AddMarking():
            return [_adding(manuscript, edit, score)]
        case AddCredit():
            return [add_credit(manuscript, _clean(edit.text), edit.page)]
        case ChangeMarking():
            text = _text(score, edit.marking)
            return change_text(manuscript, text.kind, text.element, _clean(edit.text))
        case DeleteMarking():
            text = _text(score, edit.marking)
            return delete_text(manuscript, text.kind, text.element)
        case MoveMarking():
            return _moving(manuscript, edit, score)
        case AddBracket():
            start = _place(score, edit.part, edit.bar, edit.staff, edit.in_bar)
            end = _place(score, edit.part, edit.end_bar, edit.staff, edit.end_in_bar)
            return add_bracket(manuscript, start, end, edit.placement, score.parts[edit.part].staves)
        case DeleteBracket():
            start = Place(edit.part, edit.bar, edit.staff, Fraction(edit.in_bar, score.ticks))
            return delete_bracket(manuscript, start)
    raise EditError(f"nobody knows how to {edit.name}")


def _adding(manuscript: Manuscript, edit: AddMarking, score: Score) -> Splice:
    text = _clean(edit.text)
    place = _place(score, edit.part, edit.bar, edit.staff, edit.in_bar)
    staves = score.parts[edit.part].staves
    new = NewDirection(
        content=words(text, small=edit.small), placement=edit.placement, staff=edit.staff if staves > 1 else None
    )
    opened = open_bar(manuscript, place.part, place.bar, _as_read(score, edit.part, edit.bar))
    first = edit.under and edit.placement == "above"
    return insert_direction(manuscript, opened, place.staff, place.time, new, first=first)


def _moving(manuscript: Manuscript, edit: MoveMarking, score: Score) -> list[Splice]:
    text = _text(score, edit.marking)
    part = text.id.part if edit.part is None else edit.part
    place = _place(score, part, edit.bar, edit.staff, edit.in_bar)
    opened = open_bar(manuscript, place.part, place.bar, _as_read(score, part, edit.bar))
    return move_text(manuscript, text.kind, text.element, opened, place, score.parts[part].staves)


def _text(score: Score, marking: MarkingId) -> ScoreText:
    found = next((text for text in score.texts if text.id == marking), None)
    if found is None:
        raise EditError("this marking is no longer in the score")
    return found


def _place(score: Score, part: int, bar: int, staff: int, in_bar: int) -> Place:
    if not 0 <= part < len(score.parts):
        raise EditError("the score has no such part")
    if not 0 <= bar < len(score.bars):
        raise EditError("the score has no such bar")
    if not 1 <= staff <= score.parts[part].staves:
        raise EditError(f"this part has no staff {staff}")
    if not 0 <= in_bar <= score.bars[bar].length:
        raise EditError(f"bar {score.bars[bar].number} is not as long as that")
    return Place(part, bar, staff, Fraction(in_bar, score.ticks))


def _as_read(score: Score, part: int, bar: int) -> AsRead:
    """Where the reader put the notes of one part's bar, and how long the bar is."""
    where = score.bars[bar]
    low = bisect_left(score.notes, where.onset, key=lambda note: note.onset)
    found = {}
    for note in score.notes[low:]:
        if note.onset > where.onset + where.length:
            break
        if note.part == part and note.bar == bar:
            found[note.ordinal] = score.quarters(note.onset - where.onset)
    return AsRead(found, score.quarters(where.length))


def _clean(text: str) -> str:
    cleaned = text.replace("\r\n", "\n").replace("\r", "\n").strip()
    if not cleaned:
        raise EditError("a marking needs a text")
    return cleaned


def _renames(
    manuscript: Manuscript, splices: list[Splice], before: Score, after: Score
) -> tuple[dict[MarkingId, MarkingId | None], MarkingId | None]:
    """Each old marking's new name, and the marking that is new; found by which direction became which."""
    became, fresh = added_directions(manuscript, splices)
    new_ids: dict[tuple[TextKind, str, int], list[MarkingId]] = {}
    for text in after.texts:
        new_ids.setdefault((text.kind, text.role, text.element), []).append(text.id)
    renamed: dict[MarkingId, MarkingId | None] = {}
    for text in before.texts:
        moves = text.kind in _DIRECTIONS or text.role.endswith("of direction")
        element = became(text.element) if moves else text.element
        found = new_ids.get((text.kind, text.role, -1 if element is None else element), [])
        renamed[text.id] = found.pop(0) if found else None
    made = next((text.id for text in after.texts if text.kind in _DIRECTIONS and text.element in fresh), None)
    return renamed, made


def _check_place(manuscript: Manuscript, edit: Edit, before: Score, after: Score, made: MarkingId | None) -> None:
    """Whether what was written is read at the very place that was asked for."""
    if not isinstance(edit, AddMarking | MoveMarking):
        return
    part = edit.part if edit.part is not None else getattr(made, "part", -1)
    opened = open_bar(manuscript, part, edit.bar, _as_read(before, part, edit.bar))
    gap = find_gap(opened.children, edit.staff, Fraction(edit.in_bar, before.ticks))
    wanted = (part, edit.bar, edit.staff, gap.time)
    if made is None or (made.part, made.bar, made.staff, after.quarters(made.in_bar)) != wanted:
        bar = before.bars[edit.bar]
        if edit.in_bar == bar.length:  # a marking there belongs to the next bar, unless a grace note ends this one
            raise EditError(f"bar {bar.number} ends here", remedy="Choose the first beat of the next.")
        raise EditError("no place in the file was found for this", remedy="Choose a place with a note.")

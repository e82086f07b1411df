"""Edits of the user's decisions: each gives new notes, with markings and places named so that they last."""

from __future__ import annotations

from dataclasses import replace

from core.edit_values import (
    Dismiss,
    Edit,
    PencilIn,
    PinStops,
    Raise,
    SetBoundary,
    SetHand,
    SetKeyboard,
    SetLanguage,
    SetOrganParts,
    SetTradition,
)
from core.errors import EditError
from core.notes import (
    Anchor,
    Boundary,
    Dismissal,
    Finder,
    KeyboardRow,
    Notes,
    Pin,
    PlayerNote,
    Spot,
    StaffHand,
    anchor_of,
    find_spot,
    put,
    spot_of,
)
from core.query_edits import QUERY_EDITS, AskAuthor, SettleQuery, change_queries
from core.score.model import MarkingId, Score

NOTE_EDITS = (
    Dismiss,
    PencilIn,
    PinStops,
    Raise,
    SetBoundary,
    SetHand,
    SetKeyboard,
    SetLanguage,
    SetOrganParts,
    SetTradition,
    *QUERY_EDITS,
)


def change_notes(notes: Notes, edit: Edit, score: Score) -> Notes:
    """The notes after an edit of them.

    Raises:
        EditError: it names a marking or part that the score has not.
    """
    match edit:
        case PinStops():
            return _pin(notes, edit, score)
        case SetKeyboard():
            row = None
            if edit.division is not None:
                row = KeyboardRow(organ=edit.organ, asked=edit.asked, division=edit.division)
            key = (edit.organ, edit.asked)
            return replace(notes, keyboards=put(notes.keyboards, row, lambda r: (r.organ, r.asked) == key))
        case Dismiss() | Raise():
            return _dismiss(notes, edit, score)
        case SetBoundary():
            return _boundary(notes, edit, score)
        case PencilIn():
            spot = spot_of(score, edit.onset, bar=edit.bar, part=edit.part, staff=edit.staff)
            line = PlayerNote(at=spot, text=edit.text, organ=edit.organ) if edit.text else None
            return replace(notes, player=put(notes.player, line, lambda r: _is_there(r, edit, spot, score)))
        case SetHand():
            return _hand(notes, edit, score)
        case SetLanguage() | SetTradition() | SetOrganParts():
            return _of_piece(notes, edit, score)
        case AskAuthor() | SettleQuery():
            return change_queries(notes, edit, score)
    raise EditError(f"nobody knows how to {edit.name}")


def _of_piece(notes: Notes, edit: SetLanguage | SetTradition | SetOrganParts, score: Score) -> Notes:
    """What is said of the piece as a whole."""
    match edit:
        case SetLanguage():
            return replace(notes, language=edit.language)
        case SetTradition():
            return replace(notes, tradition=edit.tradition)
    unknown = set(edit.parts) - {part.id for part in score.parts}
    if unknown:
        raise EditError(f"the score has no part {', '.join(sorted(unknown))}")
    return replace(notes, parts=edit.parts)


def _is_there(line: PlayerNote, edit: PencilIn, spot: Spot, score: Score) -> bool:
    """Whether a line of the layer is the one at an edit's place."""
    same = (line.organ, line.at.part, line.at.staff) == (edit.organ, spot.part, spot.staff)
    return same and (line.at == spot or find_spot(score, line.at) == edit.onset)


def _anchor(score: Score, marking: MarkingId) -> Anchor:
    try:
        return anchor_of(score, marking)
    except KeyError as error:
        raise EditError("this marking is no longer in the score") from error


def _pin(notes: Notes, edit: PinStops, score: Score) -> Notes:
    anchor = _anchor(score, edit.marking)
    finder = Finder(score)

    def same(pin: Pin) -> bool:
        return (pin.organ, pin.request) == (edit.organ, edit.request) and (finder.find(pin.marking) == edit.marking)

    pin = None
    if edit.stops is not None:
        pin = Pin(organ=edit.organ, marking=anchor, request=edit.request, stops=edit.stops)
    return replace(notes, pins=put(notes.pins, pin, same))


def _dismiss(notes: Notes, edit: Dismiss | Raise, score: Score) -> Notes:
    marking = _anchor(score, edit.marking) if edit.marking is not None else None
    spot: Spot | None = None
    if edit.onset is not None:
        spot = spot_of(score, edit.onset, bar=edit.bar, part=edit.part, staff=edit.staff)
    finder = Finder(score)

    def same(one: Dismissal) -> bool:
        if one.rule != edit.rule:
            return False
        if one.marking is not None or edit.marking is not None:
            return one.marking is not None and finder.find(one.marking) == edit.marking
        if one.at is None or spot is None or one.at == spot:
            return one.at == spot
        return (one.at.part, one.at.staff, find_spot(score, one.at)) == (spot.part, spot.staff, edit.onset)

    new = None
    if isinstance(edit, Dismiss):
        new = Dismissal(rule=edit.rule, marking=marking, at=spot, reason=edit.reason)
    return replace(notes, dismissals=put(notes.dismissals, new, same))


def _boundary(notes: Notes, edit: SetBoundary, score: Score) -> Notes:
    if edit.which not in ("start", "end"):
        raise EditError("a boundary is the start or the end of a passage")
    anchor = _anchor(score, edit.marking)
    finder = Finder(score)

    def same(one: Boundary) -> bool:
        key = (one.which, one.hand, finder.find(one.marking))
        return key == (edit.which, edit.hand, edit.marking)

    new = None
    if edit.onset is not None:
        at = spot_of(score, edit.onset, bar=edit.bar)
        new = Boundary(marking=anchor, which=edit.which, at=at, hand=edit.hand)
    return replace(notes, boundaries=put(notes.boundaries, new, same))


def _hand(notes: Notes, edit: SetHand, score: Score) -> Notes:
    if not 0 <= edit.part < len(score.parts):
        raise EditError("the score has no such part")
    part = score.parts[edit.part].id
    new = None if edit.clear else StaffHand(part=part, staff=edit.staff, hand=edit.hand)
    return replace(notes, hands=put(notes.hands, new, lambda row: (row.part, row.staff) == (part, edit.staff)))

"""The notes file, ``NAME.stopwright.yaml`` beside the score: YAML of our own format, version 1.

Read safely, as plain text with lines (all faults told at once); written only when the user saves.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Any, TypeVar

import yaml

from core.errors import NotesError, OrganError, ReadError
from core.files import is_there, read_bytes
from core.notes import (
    NO_NOTES,
    QUERY_STATES,
    Anchor,
    Boundary,
    Dismissal,
    KeyboardRow,
    Notes,
    Pin,
    PlayerNote,
    Query,
    Spot,
    StaffHand,
)
from core.organ.yaml_fields import Fields
from core.organ.yaml_nodes import Mapping, Problems, read_tree

SUFFIX = ".stopwright.yaml"
MAX_BYTES = 2_000_000
VERSION = "1"
_HEADER = "# What was decided about this piece: written by Stopwright, may be edited by hand.\n"

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class NotesFile:
    """Notes with the file they came from; `data` None: there was none yet, or it was left unread."""

    path: Path
    notes: Notes
    data: bytes | None


def notes_path(score_path: str | Path) -> Path:
    """Where the notes of a score lie: ``Prelude.stopwright.yaml`` beside ``Prelude.musicxml``."""
    path = Path(score_path)
    return path.with_name(path.stem + SUFFIX)


def load_notes(score_path: str | Path, *, file: str | Path | None = None, without: bool = False) -> NotesFile:
    """The notes of a score.

    Args:
        score_path: the score.
        file: another notes file (``--notes F``); it must be there.
        without: leave them unread (``--without-notes``).

    Raises:
        NotesError: the file cannot be read.
    """
    path = Path(file) if file is not None else notes_path(score_path)
    if without or (file is None and not is_there(path)):
        return NotesFile(path, NO_NOTES, None)
    try:
        data, _ = read_bytes(path, limit=MAX_BYTES)
    except ReadError as error:
        raise NotesError(error.problem, path=error.path, remedy=error.remedy) from error
    return NotesFile(path, read_notes(data, path), data)


def read_notes(data: bytes, path: str | Path) -> Notes:
    """Notes from a file's bytes.

    Raises:
        NotesError: with all its faults.
    """
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise NotesError("this file is not in UTF-8", path=path, remedy="Save it as UTF-8.") from error
    problems = Problems()
    try:
        tree = read_tree(text, path)
        if not isinstance(tree, Mapping):
            raise NotesError("this is no notes file", path=path, line=1, remedy="Its first line is stopwright notes: 1")
        notes = _notes(tree, problems)
        problems.raise_if_any(path)
    except OrganError as error:
        told = "".join(f"\n  {problem}" for problem in error.problems)
        raise NotesError(
            error.problem.replace("specifications", "notes files").replace("specification", "notes file") + told,
            path=path,
            line=error.line,
            remedy=error.remedy,
        ) from error
    return notes


def _notes(tree: Mapping, problems: Problems) -> Notes:
    lists = ("parts", "hands", "keyboards", "pins", "dismissals", "boundaries", "player", "queries")
    known = ("stopwright notes", "organ", "language", "tradition", *lists)
    fields = Fields(tree, "", problems, known)
    if fields.text("stopwright notes") != VERSION:
        fields.problem("stopwright notes", "this is no notes file of version 1", "Write stopwright notes: 1")
    return Notes(
        organ=fields.text("organ"),
        language=fields.text("language"),
        tradition=fields.text("tradition"),
        parts=tuple(part for part, _ in fields.words("parts")),
        hands=_rows(fields, "hands", ("part", "staff", "hand"), _hand),
        keyboards=_rows(fields, "keyboards", ("organ", "asked", "division"), _keyboard),
        pins=_rows(fields, "pins", ("organ", "marking", "request", "stops"), _pin),
        dismissals=_rows(fields, "dismissals", ("rule", "marking", "at", "reason"), _dismissal),
        boundaries=_rows(fields, "boundaries", ("marking", "which", "hand", "at"), _boundary),
        player=_rows(fields, "player", ("organ", "at", "text"), _player),
        queries=_rows(fields, "queries", ("number", "rule", "message", "state", "answer", "marking", "at"), _query),
    )


def _rows(fields: Fields, key: str, known: tuple[str, ...], make: Callable[[Fields], T | None]) -> tuple[T, ...]:
    rows = []
    for number, item in enumerate(fields.items(key, f"- {known[0]}: …")):
        where = f"{key}[{number}]"
        if not isinstance(item, Mapping):
            fields.problems.add(item.line, where, "entries with names are wanted here", f"Write {known[0]}: …")
            continue
        row = make(Fields(item, where, fields.problems, known))
        if row is not None:
            rows.append(row)
    return tuple(rows)


def _required(fields: Fields, *keys: str) -> bool:
    absent = [key for key in keys if not fields.has(key)]
    for key in absent:
        fields.problem(key, f"“{key}” is not said", f"Write {key}: …")
    return not absent


def _hand(fields: Fields) -> StaffHand | None:
    if not _required(fields, "part", "staff"):
        return None
    hand = fields.text("hand") or "nobody"
    if hand not in ("right", "left", "feet", "nobody"):
        fields.problem("hand", f"“{hand}” is no hand", "Write right, left, feet or nobody")
    staff = fields.number("staff", 1, 99, 1)
    return StaffHand(part=fields.text("part"), staff=staff, hand=None if hand == "nobody" else hand)


def _keyboard(fields: Fields) -> KeyboardRow | None:
    if not _required(fields, "organ", "asked", "division"):
        return None
    texts = {key: fields.text(key) for key in ("organ", "asked", "division")}
    return KeyboardRow(**texts)


def _pin(fields: Fields) -> Pin | None:
    marking = _anchor(fields)
    if not _required(fields, "organ", "marking", "request") or marking is None:
        return None
    stops = tuple(stop for stop, _ in fields.words("stops"))
    return Pin(organ=fields.text("organ"), marking=marking, request=fields.text("request"), stops=stops)


def _dismissal(fields: Fields) -> Dismissal | None:
    if not _required(fields, "rule"):
        return None
    return Dismissal(rule=fields.text("rule"), marking=_anchor(fields), at=_spot(fields), reason=fields.text("reason"))


def _query(fields: Fields) -> Query | None:
    if not _required(fields, "number", "rule"):
        return None
    state = fields.text("state") or "open"
    if state not in QUERY_STATES:
        fields.problem("state", f"“{state}” is no state of a query", f"Write {', '.join(QUERY_STATES)}")
    return Query(
        number=fields.number("number", 1, 1_000_000, 1),
        rule=fields.text("rule"),
        message=fields.text("message"),
        marking=_anchor(fields),
        at=_spot(fields),
        state=state,
        answer=fields.text("answer"),
    )


def _boundary(fields: Fields) -> Boundary | None:
    marking, at = _anchor(fields), _spot(fields)
    which = fields.text("which")
    if which not in ("start", "end"):
        fields.problem("which", f"“{which}” is no side of a passage", "Write start or end")
    if not _required(fields, "marking", "at") or marking is None or at is None:
        return None
    return Boundary(marking=marking, which=which, at=at, hand=fields.text("hand"))


def _player(fields: Fields) -> PlayerNote | None:
    at = _spot(fields)
    if not _required(fields, "at", "text") or at is None:
        return None
    return PlayerNote(at=at, text=fields.text("text"), organ=fields.text("organ"))


def _inner(fields: Fields, key: str, known: tuple[str, ...]) -> Fields | None:
    node = fields.value(key)
    if node is None:
        return None
    if not isinstance(node, Mapping):
        fields.problem(key, "a place with its names is wanted here", "Write {bar: 12, measure: 12, time: 0}")
        return None
    return Fields(node, fields.place(key), fields.problems, known)


def _anchor(fields: Fields) -> Anchor | None:
    inner = _inner(fields, "marking", ("part", "bar", "measure", "staff", "time", "nth", "text", "before", "after"))
    if inner is None or not _required(inner, "part", "bar", "text"):
        return None
    return Anchor(
        part=inner.text("part"),
        bar=inner.number("bar", 1, 1_000_000, 1) - 1,
        measure=inner.text("measure"),
        staff=inner.number("staff", 1, 99, 1),
        time=_time(inner),
        nth=inner.number("nth", 1, 10_000, 1),
        text=inner.text("text"),
        before=inner.text("before"),
        after=inner.text("after"),
    )


def _spot(fields: Fields) -> Spot | None:
    inner = _inner(fields, "at", ("part", "bar", "measure", "staff", "time", "waits"))
    if inner is None or not _required(inner, "bar"):
        return None
    return Spot(
        bar=inner.number("bar", 1, 1_000_000, 1) - 1,
        measure=inner.text("measure"),
        time=_time(inner),
        part=inner.text("part"),
        staff=inner.number("staff", 1, 99, 1) if inner.has("staff") else None,
        waits=inner.flag("waits", False),
    )


def _time(fields: Fields) -> Fraction:
    text = fields.text("time", "0")
    try:
        if len(text) > 40:
            raise ValueError(text)
        time = Fraction(text)
    except (ValueError, ZeroDivisionError):
        time = Fraction(-1)
    if time < 0:
        fields.problem("time", f"“{text[:40]}” is no time in quarter notes", "Write 0, 2 or 3/2")
    return max(time, Fraction(0))


def write_notes(notes: Notes) -> bytes:
    """The notes as their file's bytes."""
    document: dict[str, Any] = {"stopwright notes": 1}
    document |= _plain(notes, "organ", "language", "tradition")
    if notes.parts:
        document["parts"] = list(notes.parts)
    document |= {
        key: rows
        for key, rows in (
            ("hands", [{"part": r.part, "staff": r.staff, "hand": r.hand or "nobody"} for r in notes.hands]),
            ("keyboards", [_plain(r, "organ", "asked", "division") for r in notes.keyboards]),
            ("pins", [_pin_row(pin) for pin in notes.pins]),
            ("dismissals", [_placed(r, "rule", "reason") for r in notes.dismissals]),
            ("boundaries", [_placed(r, "which", "hand") for r in notes.boundaries]),
            ("player", [_placed(r, "organ", "text") for r in notes.player]),
            ("queries", [_placed(r, "number", "rule", "message", "state", "answer") for r in notes.queries]),
        )
        if rows
    }
    text = yaml.safe_dump(document, sort_keys=False, allow_unicode=True, width=10_000)
    return (_HEADER + text).encode("utf-8")


def _plain(row: object, *keys: str) -> dict[str, Any]:
    return {key: value for key in keys if (value := getattr(row, key))}


def _pin_row(pin: Pin) -> dict[str, Any]:
    row = {"organ": pin.organ, "marking": _anchor_row(pin.marking), "request": pin.request}
    return row | {"stops": list(pin.stops)}


def _placed(row: object, *keys: str) -> dict[str, Any]:
    written = _plain(row, *keys)
    marking = getattr(row, "marking", None)
    at = getattr(row, "at", None)
    if marking is not None:
        written["marking"] = _anchor_row(marking)
    if at is not None:
        written["at"] = _spot_row(at)
    return written


def _anchor_row(anchor: Anchor) -> dict[str, Any]:
    row: dict[str, Any] = {"part": anchor.part, "bar": anchor.bar + 1, "measure": anchor.measure}
    row |= {"staff": anchor.staff, "time": str(anchor.time), "nth": anchor.nth}
    return row | _plain(anchor, "text", "before", "after")


def _spot_row(spot: Spot) -> dict[str, Any]:
    row: dict[str, Any] = {"bar": spot.bar + 1, "measure": spot.measure, "time": str(spot.time)}
    return row | _plain(spot, "part", "staff", "waits")

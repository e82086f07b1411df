"""The document: a score, organs for it, the user's decisions. One immutable value, nothing in it derived."""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from core.errors import OrganError, WriteError
from core.files import REAL, FileOperations, FileStamp, backup_path, is_there, printable, write_bytes
from core.notes import NO_NOTES, Notes, StaffHand
from core.notes_file import load_notes, notes_path, write_notes
from core.organ.model import Organ
from core.organ.reading import decode, read_file, read_organ
from core.score.model import Note, Part, Score
from core.score.reading import read_score
from core.score.source import Source, read_source
from core.score.writing import file_bytes
from core.texts import say


@dataclass(frozen=True, slots=True, kw_only=True)
class OrganFile:
    """An organ with the text of its file; `path` None: not saved yet, or built in."""

    path: str | None
    text: str
    organ: Organ


@dataclass(frozen=True, slots=True, kw_only=True)
class Document:
    """A score, organs, which of them is chosen, and the user's decisions. Undo keeps former values of it."""

    source: Source | None = None
    organs: tuple[OrganFile, ...] = ()
    chosen: int | None = None
    notes: Notes = NO_NOTES

    @property
    def organ(self) -> Organ | None:
        """The chosen organ, or None."""
        return None if self.chosen is None else self.organs[self.chosen].organ


class Shelf:
    """The user's files as this session last saw them: what they hold, and of which a backup is kept.

    It is no part of the document: undo does not bring an older file back to the disc.
    """

    def __init__(self, operations: FileOperations = REAL) -> None:
        self._stamps: dict[Path, FileStamp] = {}
        self._unkept: set[Path] = set()
        self._kept: set[Path] = set()
        self._operations = operations

    def opened(self, path: str | Path, data: bytes) -> None:
        """Note what a file held when it was read."""
        key = _key(path)
        self._stamps[key] = FileStamp.of(data)
        if key not in self._kept:
            self._unkept.add(key)

    def save(self, path: str | Path, data: bytes, *, overwrite: bool = False) -> None:
        """Write a file; one that we opened is first kept as it was opened, once.

        Args:
            path: the file.
            data: its new content.
            overwrite: the user was asked and wants it, whatever the file holds by now.

        Raises:
            WriteError: the file is as it was; or it was changed by another program since we saw it.
        """
        key = _key(path)
        known = self._stamps.get(key)
        first = key in self._unkept and known != FileStamp.of(data)
        self._stamps[key] = write_bytes(
            path, data, expected=None if overwrite else known, backup=first, operations=self._operations
        )
        if first:
            self._unkept.discard(key)
            self._kept.add(key)

    def is_changed(self, path: str | Path) -> bool:
        """Whether a file that we read or wrote holds something else by now; one that cannot be read does not."""
        known = self._stamps.get(_key(path))
        try:
            return known is not None and known != FileStamp.of(Path(path).read_bytes())
        except OSError:
            return False

    def backup_of(self, path: str | Path) -> Path | None:
        """Where a file is kept as it was opened; None where this session kept none."""
        return backup_path(path) if _key(path) in self._kept else None


def _key(path: str | Path) -> Path:
    try:
        return Path(path).resolve()
    except (OSError, ValueError, RuntimeError) as error:
        raise WriteError("no file can have this name", path=printable(path)) from error


def open_organ(path: str | Path, shelf: Shelf | None = None) -> OrganFile:
    """An organ from its file.

    Raises:
        OrganError: with all its faults.
    """
    data = read_file(path)
    organ = read_organ(data, path)
    if shelf is not None:
        shelf.opened(path, data)
    return OrganFile(path=str(path), text=decode(data, path), organ=organ)


def open_document(
    score: str | Path | None,
    organs: Sequence[str | Path] = (),
    *,
    notes: str | Path | None = None,
    without_notes: bool = False,
    shelf: Shelf | None = None,
) -> Document:
    """Open a score with its notes, and organs.

    Args:
        score: the score file, or None for organs alone.
        organs: specifications or stop lists; the first is chosen. With none, the notes' organ is taken.
        notes: another notes file than the score's own.
        without_notes: leave the notes unread.
        shelf: is told what the files held.

    Raises:
        ReadError: one of them cannot be read.
    """
    decided = NO_NOTES
    source = None
    if score is not None:
        source = read_source(score)
        found = load_notes(score, file=notes, without=without_notes)
        decided = found.notes
        if shelf is not None:
            shelf.opened(score, source.data)
            if found.data is not None:
                shelf.opened(found.path, found.data)
    paths = [Path(path) for path in organs]
    if not paths and decided.organ and score is not None:
        noted = Path(score).parent / decided.organ
        paths = [noted] if noted.exists() else []  # it may have moved: the score opens all the same
    files = tuple(open_organ(path, shelf) for path in paths)
    return Document(source=source, organs=files, chosen=0 if files else None, notes=decided)


def score_of(document: Document, earlier: Score | None = None) -> Score:
    """The document's score read, with the parts and hands that the user told.

    `earlier` is a score read before, of this document or one it came from: reading is quicker with it, and the same.

    Raises:
        ScoreError: it is no usable score.
    """
    assert document.source is not None
    told = ",".join(document.notes.parts) or None
    return with_hands(read_score(document.source, part=told, earlier=earlier), document.notes.hands)


def with_hands(score: Score, rows: Sequence[StaffHand]) -> Score:
    """The score with the user's own word on which hand plays a staff."""
    index = {part.id: number for number, part in enumerate(score.parts)}
    told = {(index[row.part], row.staff): row.hand for row in rows if row.part in index}
    if not told:
        return score
    known = score.kept.by_hands if score.kept is not None else {}
    key = tuple(sorted(told.items()))
    if key not in known:
        known.clear()
        known[key] = _with_hands(score, told)
    parts, notes = known[key]
    return replace(score, parts=parts, notes=notes)


def _with_hands(score: Score, told: Mapping[tuple[int, int], str | None]) -> tuple[tuple[Part, ...], tuple[Note, ...]]:
    parts = []
    for number, part in enumerate(score.parts):
        hands = tuple(told.get((number, staff), hand) for staff, hand in enumerate(part.hands, 1))
        why = part.hands_why if hands == part.hands else say("as the user says")
        parts.append(replace(part, hands=hands, hands_why=why))
    notes = tuple(
        note._replace(hand=told[note.part, note.staff]) if (note.part, note.staff) in told and not note.cue else note
        for note in score.notes
    )
    return tuple(parts), notes


def save_score(document: Document, path: str | Path, shelf: Shelf, *, overwrite: bool = False) -> Document:
    """Save the score; the document then belongs to that file.

    Raises:
        WriteError: nothing was changed.
    """
    if document.source is None:
        raise WriteError("there is no score to save", path=printable(path))
    data = file_bytes(document.source, path)
    shelf.save(path, data, overwrite=overwrite)
    return replace(document, source=replace(document.source, path=str(path)))


def save_notes(document: Document, shelf: Shelf, path: str | Path | None = None, *, overwrite: bool = False) -> None:
    """Save the user's decisions beside the score, the chosen organ's file among them.

    With none, and no file there, nothing is written.

    Raises:
        WriteError: nothing was changed.
    """
    if path is None:
        if document.source is None or document.source.path is None:
            raise WriteError("the score has no file yet, so its notes have no place", remedy="Save the score first.")
        path = notes_path(document.source.path)
    notes = replace(document.notes, organ=_organ_path(document, Path(path)))
    if notes == NO_NOTES and not is_there(path):
        return
    shelf.save(path, write_notes(notes), overwrite=overwrite)


def _organ_path(document: Document, notes: Path) -> str:
    """The chosen organ's file as seen from the notes' folder; what the notes have where it has no file."""
    path = None if document.chosen is None else document.organs[document.chosen].path
    if path is None:
        return document.notes.organ
    try:
        return Path(os.path.relpath(path, notes.parent)).as_posix()
    except ValueError:  # on another drive
        return str(Path(path).absolute())


def save_organ(document: Document, index: int, path: str | Path, shelf: Shelf, *, overwrite: bool = False) -> Document:
    """Save one organ's text; the document's organ then belongs to that file.

    Raises:
        WriteError: nothing was changed.
    """
    file = document.organs[index]
    shelf.save(path, file.text.encode("utf-8"), overwrite=overwrite)
    files = list(document.organs)
    files[index] = replace(file, path=str(path))
    return replace(document, organs=tuple(files))


def organ_from_text(text: str, path: str | None) -> Organ:
    """An organ from its file's text.

    Raises:
        OrganError: with all its faults.
    """
    try:
        return read_organ(text.encode("utf-8"), path or "organ.yaml")
    except UnicodeEncodeError as error:
        raise OrganError("the text holds signs that no file can hold", path=path) from error

"""The user's own words and house style: what markings are read and proved with besides the piece itself."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal
from PySide6.QtGui import QUndoCommand

from app.translation import told
from core.errors import StopwrightError
from core.files import ABSENT, FileStamp, make_folder, read_text, write_bytes
from core.markings.house_style import Style
from core.markings.lexicon import Lexicon
from core.markings.own_words import OwnWord, own_words, without_word
from core.markings.user_words import MAX_BYTES, UserWords, add_word, words_of_text
from core.markings.words_places import find_place, words_of_user
from core.practice.player import ALONE, Player

if TYPE_CHECKING:
    from app.session import Session


@dataclass(frozen=True, slots=True)
class Aids:
    """What markings are read and proved with, and who is at the console; None: nothing of the user's own."""

    words: UserWords | None = None
    style: Style | None = None
    player: Player = ALONE

    @property
    def lexicon(self) -> Lexicon | None:
        """The own words as a reader takes them."""
        return self.words.lexicon if self.words is not None else None


NO_AIDS = Aids()


class OwnWords(QObject):
    """Keeps the file of own words; teaching and forgetting a word are steps of undo.

    Signals:
        teach_wanted: the card for a word is wanted (arguments: its marking's id or None, the word).
        changed: the file holds other words.
    """

    teach_wanted = Signal(object, str)
    changed = Signal()

    def __init__(self, session: Session) -> None:
        super().__init__(session)
        self.session = session
        self.path: Path | None = None
        self.text: str | None = None  # None: there is no file
        self._stamp: FileStamp = ABSENT

    @property
    def place(self) -> Path:
        """Where the words stand, or will stand once there are any."""
        return self.path or words_of_user()

    @property
    def words(self) -> tuple[OwnWord, ...]:
        """The words, one by one."""
        return own_words(self.text, path=self.place) if self.text is not None else ()

    def load(self, score: str | Path | None) -> None:
        """Take the words that stand beside a score, else those of the user; what is wrong is told."""
        self.path = find_place(None, str(score) if score is not None else None)
        try:
            self._read()
            words = words_of_text(self.text, path=self.place) if self.text is not None else None
        except (StopwrightError, OSError) as error:
            self.text, words = None, None
            self.session.failed.emit(str(error))
        self.session.use(replace(self.session.aids, words=words))
        self.changed.emit()

    def _read(self) -> None:
        """What the file holds now."""
        there = self.place.exists()
        self.text, self._stamp = read_text(self.place, limit=MAX_BYTES) if there else (None, ABSENT)

    def preview(self, word: str, meaning: str, language: str) -> UserWords:
        """The words as they would be with one more. Raises StopwrightError where it cannot be added."""
        return words_of_text(add_word(self.place, word, meaning, language), path=self.place)

    def teach(self, word: str, meaning: str, language: str) -> None:
        """Add a word to the file, as a step of undo. Raises StopwrightError where it cannot be added."""
        self._read()
        text = add_word(self.place, word, meaning, language)
        self._push(told("teach ‘{word}’", word=word), text)

    def forget(self, word: OwnWord) -> None:
        """Take a word out of the file, as a step of undo. Raises StopwrightError where it stands among others."""
        self._read()
        text = without_word(self.text or "", word, path=self.place)
        self._push(told("forget ‘{word}’", word=word.word), text)

    def _push(self, name: str, text: str) -> None:
        command = _WordsCommand(self, name, self.text, text)
        self.write(text)  # what cannot be written is told before there is a step to undo
        self.session.undo.push(command)

    def write(self, text: str | None) -> None:
        """Let the file hold this; None: let there be none. In force at once. Raises StopwrightError."""
        if text == self.text:
            return
        words = words_of_text(text, path=self.place) if text is not None else None
        if text is None:
            self.place.unlink(missing_ok=True)
            self._stamp = ABSENT
        else:
            make_folder(self.place.parent)
            self._stamp = write_bytes(self.place, text.encode("utf-8"), expected=self._stamp)
        self.text = text
        self.session.use(replace(self.session.aids, words=words))
        self.changed.emit()


class _WordsCommand(QUndoCommand):
    """Lets the words file hold another text, and what it held before again."""

    def __init__(self, own: OwnWords, name: str, before: str | None, after: str) -> None:
        super().__init__(name)
        self._own = own
        self._before = before
        self._after = after

    def redo(self) -> None:
        """The file with the change."""
        self._write(self._after)

    def undo(self) -> None:
        """The file as it was."""
        self._write(self._before)

    def _write(self, text: str | None) -> None:
        try:
            self._own.write(text)
        except (StopwrightError, OSError) as error:
            self._own.session.failed.emit(str(error))

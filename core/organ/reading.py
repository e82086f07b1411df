"""Reads an organ from a file: a specification (YAML, format 1) or a plain stop list."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from core.errors import OrganError
from core.organ.completing import with_compositions
from core.organ.model import Organ

if TYPE_CHECKING:
    from core.organ.lists import ListReading

MAX_BYTES = 2_000_000
_TITLE_WORDS = 12
_SPECIFICATION_ENDINGS = (".yaml", ".yml")


def load_organ(path: str | Path) -> Organ:
    """The organ of a file: a YAML specification, or a plain stop list. Raises OrganError."""
    return read_organ(read_file(path), path)


def read_organ(source: bytes, path: str | Path) -> Organ:
    """The organ of a file's bytes; `path` tells what it is called, and by its ending what it is."""
    text = decode(source, path)
    if not is_specification(text, path):
        organ: Organ = read_list(text, path).organ
        return organ
    from core.organ.specification import read_specification

    return read_specification(text, path)


def is_specification(text: str, path: str | Path) -> bool:
    """Whether a text is a specification (else a plain stop list): by its ending, else by its first key."""
    ending = Path(path).suffix.lower()
    if ending in _SPECIFICATION_ENDINGS:
        return True
    lines = (line.strip() for line in text.splitlines())
    first = next((line for line in lines if line and not line.startswith(("#", "---", "%"))), "")
    return ending != ".txt" and first.startswith("specification:")


def read_list(text: str, path: str | Path) -> ListReading:
    """A plain stop list read; what holds no stop at all is refused."""
    from core.organ.lists import read_stop_list

    try:
        reading = read_stop_list(text, name=Path(path).stem)
    except OrganError as error:
        error.path = error.path or str(path)
        raise
    if not any(division.stops for division in reading.organ.divisions):
        raise OrganError(
            "no stop was found in this text",
            path=path,
            remedy="A stop list has one stop a line under headings: GREAT, then Open Diapason 8",
        )
    title = _title(text, {unread.line for unread in reading.unread})
    organ = with_compositions(reading.organ)
    return replace(reading, organ=replace(organ, name=title) if title else organ)


def _title(text: str, unread: set[int]) -> str | None:
    """The list's first line, where nothing was read from it and it looks like a name: short and no sentence."""
    for number, line in enumerate(text.splitlines(), 1):
        words = line.strip(" \t*#=_:.").split()
        if not words:
            continue
        heading = line.isupper() and ("/" in line or len(words) == 1)  # "DISPOSITION (II/20)"
        named = number in unread and len(words) <= _TITLE_WORDS and words[0][:1].isupper() and not heading
        return " ".join(words) if named and not line.rstrip().endswith(".") else None
    return None


def read_file(path: str | Path) -> bytes:
    """The bytes of a specification or list; what is too large, missing or no file is refused."""
    place = Path(path)
    try:
        if place.is_dir():
            raise OrganError("this is a folder, not a file", path=path, remedy="Name the organ's file in it")
        if place.exists() and not place.is_file():
            raise OrganError("this is no ordinary file", path=path, remedy="Name a file, or - for standard input")
        with place.open("rb") as file:
            source = file.read(MAX_BYTES + 1)
    except FileNotFoundError:
        raise OrganError("there is no such file", path=path, remedy="Check the name and the folder") from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "no file can have this name"
        raise OrganError(f"the file cannot be read ({reason})", path=path) from None
    if len(source) > MAX_BYTES:
        raise OrganError("the file is larger than 2 MB; no organ needs that", path=path)
    return source


def decode(source: bytes, path: str | Path) -> str:
    """The text of a file: UTF-8 or UTF-16 with its mark, else Windows-1252 for a plain list."""
    if not source.strip():
        raise OrganError("the file is empty", path=path, remedy="Write the organ's name and its stops in it")
    if source.startswith((b"\xff\xfe", b"\xfe\xff")):
        encodings = ["utf-16"]
    elif Path(path).suffix.lower() in _SPECIFICATION_ENDINGS:
        encodings = ["utf-8-sig"]
    else:
        encodings = ["utf-8-sig", "cp1252"]
    for encoding in encodings:
        try:
            text = source.decode(encoding)
        except UnicodeDecodeError:
            continue
        if not any(ord(sign) < 32 and sign not in "\t\n\r\f\v" for sign in text):
            return text
    raise OrganError("this is not a text file", path=path, remedy="Save the list as plain text in UTF-8")

"""Other formats (MEI, ABC, Humdrum, MIDI, MuseData): converted to MusicXML through music21, and said so."""

from __future__ import annotations

import re
import tempfile
from pathlib import Path

from core.errors import ScoreError
from core.texts import Said, say

_SUFFIXES = {"MIDI": ".mid", "ABC": ".abc", "Humdrum": ".krn", "MEI": ".mei"}
_READERS = {"MIDI": "midi", "ABC": "abc", "Humdrum": "humdrum", "MEI": "mei"}
_MEI = re.compile(rb"<(?:\w+:)?mei[\s>]")


def foreign_format(data: bytes, path: str | None = None) -> str | None:
    """The format of a score that is no MusicXML, by its bytes; None for anything else."""
    head = data[:4096]
    if head.startswith(b"MThd"):
        return "MIDI"
    if head.lstrip(b"\xef\xbb\xbf \t\r\n").startswith(b"<") or b"<\0" in head[:8] or b"\0<" in head[:8]:
        return "MEI" if _MEI.search(head) and b"<score-" not in head else None
    if re.search(rb"(?m)^\*\*(kern|recip|root|harm|text|dynam)\b", data[:65536]):
        return "Humdrum"
    if re.search(rb"(?m)^X:\s*\d*\s*$", head) and re.search(rb"(?m)^K:", data[:65536]):
        return "ABC"
    return None


def convert(data: bytes, format_name: str, path: str | None = None) -> tuple[bytes, Said]:
    """The score as MusicXML, and a sentence that says it was converted.

    Raises:
        ScoreError: music21 cannot read it.
    """
    try:
        xml = _through_music21(data, format_name)
    except Exception as error:  # it raises anything at all on odd input; the user gets one sentence
        raise ScoreError(
            f"this {format_name} score cannot be converted ({_one_line(error)})",
            path=path,
            remedy="Give it as MusicXML",
        ) from error
    return xml, say(
        "The score was converted from {format}: signs and texts that the conversion does not know are lost.",
        format=format_name,
    )


def _through_music21(data: bytes, format_name: str) -> bytes:
    import warnings

    import music21

    with tempfile.TemporaryDirectory(prefix="stopwright-") as folder, warnings.catch_warnings():
        warnings.simplefilter("ignore")
        source = Path(folder) / f"score{_SUFFIXES[format_name]}"
        source.write_bytes(data)
        score = music21.converter.parse(source, format=_READERS[format_name], forceSource=True)
        if not score.flatten().notes:
            raise ValueError("it holds no notes")
        exporter = music21.musicxml.m21ToXml.GeneralObjectExporter()
        return bytes(exporter.parse(score))


def _one_line(error: Exception) -> str:
    text = " ".join(str(error).split()) or type(error).__name__
    return text if len(text) <= 120 else text[:117] + "…"

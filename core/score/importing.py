"""Other formats (MEI, ABC, Humdrum, MIDI, MuseData): converted to MusicXML through music21, and said so."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

from core.errors import ScoreError
from core.texts import Said, say

SECONDS = 60
"""A long piece takes music21 ten to twenty."""

CHILD = Path(__file__).with_name("converting.py")
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
        ScoreError: it cannot be converted, or not in time.
    """
    xml, fault = _in_a_child(data, format_name)
    if fault:
        raise ScoreError(
            f"this {format_name} score cannot be converted ({fault})", path=path, remedy="Give it as MusicXML"
        )
    return xml, say(
        "The score was converted from {format}: signs and texts that the conversion does not know are lost.",
        format=format_name,
    )


def _in_a_child(data: bytes, format_name: str) -> tuple[bytes, str]:
    """The converted bytes, and what went wrong (empty: nothing)."""
    try:
        done = subprocess.run(
            # apart from the folder one works in: a music21.py lying there must not be taken for the library
            [sys.executable, "-I", str(CHILD), format_name],
            input=data,
            capture_output=True,
            timeout=SECONDS,
            check=False,
        )
    except subprocess.TimeoutExpired:
        return b"", f"it takes more than {SECONDS} seconds"
    except OSError as error:
        return b"", error.strerror or str(error)
    if done.returncode or not done.stdout:
        lines = done.stderr.decode("utf-8", "replace").strip().splitlines()
        return b"", lines[-1][:160] if lines else "it came to nothing"
    return done.stdout, ""

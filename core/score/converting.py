"""The child that converts a score to MusicXML through music21: bytes on standard input, XML on standard output.

A process of its own, since music21 can take for ever on odd input and holds the interpreter while it works.
"""

from __future__ import annotations

import contextlib
import sys
import tempfile
import warnings
from pathlib import Path

MOST_MEMORY = 4 * 2**30
"""Bytes of address space: the libraries alone map nearly one."""
MOST_XML = 64 * 2**20
READERS = {
    "MIDI": ("midi", ".mid"),
    "ABC": ("abc", ".abc"),
    "Humdrum": ("humdrum", ".krn"),
    "MEI": ("mei", ".mei"),
}


def convert(data: bytes, format_name: str) -> bytes:
    """The score as MusicXML. Raises anything at all on odd input."""
    import music21

    reader, suffix = READERS[format_name]
    with tempfile.TemporaryDirectory(prefix="stopwright-") as folder:
        source = Path(folder) / f"score{suffix}"
        source.write_bytes(data)
        score = music21.converter.parse(source, format=reader, forceSource=True)
        if not score.flatten().notes:
            raise ValueError("it holds no notes")
        xml = bytes(music21.musicxml.m21ToXml.GeneralObjectExporter().parse(score))
    if len(xml) > MOST_XML:
        raise ValueError("it grows to more than any score holds")
    return xml


def limit_memory() -> None:
    """Let odd input end this process before it fills the machine, where the system can do that."""
    with contextlib.suppress(ImportError, OSError, ValueError):
        import resource

        resource.setrlimit(resource.RLIMIT_AS, (MOST_MEMORY, MOST_MEMORY))


def main() -> int:
    """Convert what stands on standard input; on failure one line on standard error and status 1."""
    warnings.simplefilter("ignore")
    limit_memory()
    try:
        xml = convert(sys.stdin.buffer.read(), sys.argv[1])
    except Exception as error:  # anything at all, made one sentence by the parent
        text = " ".join(str(error).split()) or type(error).__name__
        sys.stderr.write(text if len(text) <= 120 else text[:119] + "…")
        return 1
    sys.stdout.buffer.write(xml)
    return 0


if __name__ == "__main__":
    sys.exit(main())

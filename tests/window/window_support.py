"""Scores made for the window's tests, and waiting."""

from __future__ import annotations

import time
from collections.abc import Callable

from PySide6.QtWidgets import QApplication

from core.document import Document, OrganFile
from core.organ.model import Organ
from core.score.source import source_from_bytes

_HEAD = """<?xml version="1.0" encoding="UTF-8"?>
<score-partwise version="4.0"><work><work-title>{title}</work-title></work>
<part-list><score-part id="P1"><part-name>Organ</part-name><score-instrument id="P1-I1"><instrument-name>Organ
</instrument-name><instrument-sound>keyboard.organ.pipe</instrument-sound></score-instrument></score-part>
</part-list><part id="P1">"""
_ATTRIBUTES = """<attributes><divisions>2</divisions><key><fifths>1</fifths></key><time><beats>4</beats>
<beat-type>4</beat-type></time><staves>3</staves><clef number="1"><sign>G</sign><line>2</line></clef>
<clef number="2"><sign>F</sign><line>4</line></clef><clef number="3"><sign>F</sign><line>4</line></clef>
</attributes>"""


def _note(step: str, octave: int, length: int, voice: int, staff: int) -> str:
    kind = {1: "eighth", 2: "quarter", 4: "half", 8: "whole"}[length]
    return (
        f"<note><pitch><step>{step}</step><octave>{octave}</octave></pitch><duration>{length}</duration>"
        f"<voice>{voice}</voice><type>{kind}</type><staff>{staff}</staff></note>"
    )


def words(text: str, staff: int = 1, placement: str = "above") -> str:
    """A direction with a text."""
    return (
        f'<direction placement="{placement}"><direction-type><words>{text}</words></direction-type>'
        f"<staff>{staff}</staff></direction>"
    )


def make_score(bars: int, texts: dict[int, list[str]], *, notes: int = 8, title: str = "Voluntary") -> bytes:
    """A score of so many bars on three staves; `texts` are directions before a bar's notes."""
    steps = "GABCDEFG"
    made = [_HEAD.format(title=title)]
    for bar in range(bars):
        length = 8 // notes
        right = "".join(_note(steps[(bar + n) % 7], 4 + (n % 2), length, 1, 1) for n in range(notes))
        left = "".join(_note(steps[(bar * 2 + n) % 7], 3, length, 2, 2) for n in range(notes))
        feet = _note(steps[bar % 7], 2, 8, 3, 3)
        made.append(
            f'<measure number="{bar + 1}">{_ATTRIBUTES if bar == 0 else ""}{"".join(texts.get(bar, []))}'
            f"{right}<backup><duration>8</duration></backup>{left}<backup><duration>8</duration></backup>"
            f"{feet}</measure>"
        )
    return ("".join(made) + "</part></score-partwise>").encode()


def wait_for(ready: Callable[[], bool], seconds: float = 20.0) -> None:
    """Let events happen until something is so; fail where it never is."""
    end = time.monotonic() + seconds
    while not ready():
        assert time.monotonic() < end, "waited too long"
        QApplication.processEvents()
        time.sleep(0.002)


def document_of(score: bytes, organ: Organ | None) -> Document:
    """A document without files."""
    organs = (OrganFile(path=None, text="", organ=organ),) if organ is not None else ()
    return Document(source=source_from_bytes(score), organs=organs, chosen=0 if organs else None)

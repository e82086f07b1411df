"""Directions and what hangs on notes: texts with their runs, hairpins, lines, slurs, dynamics, tempos."""

from __future__ import annotations

import re
from fractions import Fraction
from typing import TYPE_CHECKING

from lxml import etree

from core.score.gathering import Jump, LineEvent, TextDraft
from core.score.jumps import said_jump
from core.score.model import BracketLine, Dynamic, Fermata, TextKind
from core.score.quantities import QUARTERS, read_fraction, read_int
from core.score.words import glyphs_read, score_words

if TYPE_CHECKING:
    from core.score.timeline import PartWalk

Element = etree._Element

_NO_STAFF = "{count} directions name no staff (first in bar {bar}); they were taken for the first staff."
_KINDS = {
    "words": TextKind.WORDS,
    "rehearsal": TextKind.REHEARSAL,
    "other-direction": TextKind.OTHER_DIRECTION,
}
_LINES = ("wedge", "bracket", "dashes")
_JUMPS = ("segno", "coda", "tocoda", "fine", "dacapo", "dalsegno")
_NO_TYPE = ("no", "")


def read_direction(walk: PartWalk, element: Element) -> None:
    """Take a `direction` with all its signs."""
    staff_text = element.findtext("staff")
    staff = read_int(staff_text, 1)
    if staff_text is None and walk.staves > 1:
        walk.found.trouble(_NO_STAFF, walk.number)
    position, sounding = _places(walk, element)
    placement = element.get("placement")
    if placement not in ("above", "below"):
        placement = None
    runs: dict[TextKind, list[Element | None]] = {}
    for sign in (sign for kind in element.iterchildren("direction-type") for sign in kind):
        tag = str(sign.tag)
        if tag in _KINDS:
            if sign.get("print-object") != "no":
                runs.setdefault(_KINDS[tag], []).append(sign)
            continue
        for texts in runs.values():
            texts.append(None)  # a sign stands between two runs
        _read_sign(walk, sign, tag, staff, walk.bar_start + position, placement)
    read_footnotes(walk, element, walk.bar_start + position, staff, walk.direction_ordinal)
    text = ""
    for kind, parts in runs.items():
        text = _add_text(walk, kind, parts, staff, position, sounding, placement) or text
    _read_tempo(walk, element, text, position)
    sound = element.find("sound")
    if sound is not None:
        read_sound(walk, sound, sounding)


def _places(walk: PartWalk, element: Element) -> tuple[int, int]:
    """Printed and sounding place in ticks from the bar's start."""
    sounding = walk.position
    offset = element.find("offset")
    if offset is None:
        return sounding, sounding
    divisions = read_fraction(offset.text)
    if divisions is None:
        return sounding, sounding
    printed = max(sounding + round(divisions * walk.factor), -walk.bar_start)
    return printed, printed if offset.get("sound") == "yes" else sounding


def _add_text(
    walk: PartWalk,
    kind: TextKind,
    elements: list[Element | None],
    staff: int,
    position: int,
    sounding: int,
    placement: str | None,
) -> str:
    while elements and elements[-1] is None:
        elements.pop()
    runs = tuple(" " if e is None else glyphs_read(e.text or "") for e in elements)
    text = "".join(runs)
    if not text.strip():
        return ""
    first = next(e for e in elements if e is not None)
    height = _height(first)
    if placement is None and height is not None:
        placement = "above" if height > 0 else "below"
    start = walk.bar_start
    walk.found.texts.append(
        TextDraft(
            kind=kind,
            part=walk.part,
            staff=staff,
            onset=start + position,
            sounding_onset=start + sounding,
            placement=placement,
            height=height,
            element=walk.direction_ordinal,
            runs=runs,
            boxed=(first.get("enclosure") or "none") != "none",
        )
    )
    mark = text.strip()
    if kind is TextKind.WORDS:
        if said_jump(mark):
            walk.signs.words.append((sounding, mark))
        if mark in score_words().dynamics:
            walk.found.dynamics.append(Dynamic(walk.part, staff, walk.bar, start + position, mark))
    return mark


def _height(element: Element) -> Fraction | None:
    return read_fraction(element.get("default-y") or element.get("relative-y"))


def _read_sign(walk: PartWalk, sign: Element, tag: str, staff: int, onset: int, placement: str | None) -> None:
    if tag in _LINES:
        kind = sign.get("type") or ""
        if kind == "continue":
            return
        number = sign.get("number") or "1"
        walk.found.lines.append(
            LineEvent(tag, walk.part, number, onset, kind != "stop", staff, walk.bar, kind, placement)
        )
    elif tag == "dynamics":
        mark = dynamic_mark(sign)
        if mark:
            walk.found.dynamics.append(Dynamic(walk.part, staff, walk.bar, onset, mark))
    elif tag in ("segno", "coda"):
        walk.signs.jumps.append(Jump(tag, walk.position, spoken=True))


def dynamic_mark(element: Element) -> str:
    """The mark of a `dynamics` element: its signs side by side, ``sf`` as well as ``other-dynamics``."""
    marks = []
    for child in element:
        marks.append(glyphs_read(child.text or "").strip() if child.tag == "other-dynamics" else str(child.tag))
    return "".join(marks)


def _read_tempo(walk: PartWalk, element: Element, text: str, position: int) -> None:
    """A metronome mark, or a tempo word that stands alone."""
    speed = None
    for metronome in element.iterfind("direction-type/metronome"):
        speed = _metronome(metronome) or speed
    word = text if text and score_words().is_tempo(text) else ""
    sound = element.find("sound")
    if speed is None and sound is not None:
        speed = _quarters(sound.get("tempo"))
    if speed is not None or word:
        walk.found.tempos.append((walk.bar, walk.bar_start + position, speed, word))


def _metronome(element: Element) -> Fraction | None:
    units = [(unit.text or "").strip() for unit in element.iterchildren("beat-unit")]
    minute = element.findtext("per-minute")
    if len(units) != 1 or units[0] not in QUARTERS or minute is None:
        return None  # one note equal to another: a proportion, no speed
    number = re.search(r"\d{1,4}(?:[.,]\d{1,4})?", minute)
    if number is None:
        return None
    dots = sum(1 for _ in element.iterchildren("beat-unit-dot"))
    unit = QUARTERS[units[0]] * (2 - Fraction(1, 2 ** min(dots, 8)))
    return Fraction(number[0].replace(",", ".")) * unit or None


def _quarters(text: str | None) -> Fraction | None:
    speed = read_fraction(text)
    return speed if speed is not None and 0 < speed < 10000 else None


def read_sound(walk: PartWalk, element: Element, position: int) -> None:
    """What a `sound` element says about jumps, and about the tempo where it stands outside a direction."""
    parent = element.getparent()
    if parent is None or parent.tag != "direction":
        speed = _quarters(element.get("tempo"))
        if speed is not None:
            walk.found.tempos.append((walk.bar, walk.bar_start + position, speed, ""))
    for kind in _JUMPS:
        label = element.get(kind)
        if label is not None and label.strip().lower() not in _NO_TYPE:
            plain = label.strip().lower() in ("yes", "1")
            passes = frozenset(int(n) for n in re.findall(r"\d{1,2}", element.get("time-only") or ""))
            walk.signs.jumps.append(Jump(kind, position, "" if plain else label.strip(), passes=passes))
    if element.get("forward-repeat") == "yes":
        walk.signs.forward = True


def read_notations(walk: PartWalk, note: Element, onset: int, staff: int) -> None:
    """Slurs, fermatas and dynamics that hang on a note or rest."""
    for notations in note.iterchildren("notations"):
        for sign in notations:
            if sign.tag == "slur":
                kind = sign.get("type")
                if kind in ("start", "stop"):
                    number = sign.get("number") or "1"
                    walk.found.lines.append(
                        LineEvent("slur", walk.part, number, onset, kind == "start", staff, walk.bar, "", None)
                    )
            elif sign.tag == "fermata":
                fermata = Fermata(walk.part, staff, onset)
                if not walk.found.fermatas or walk.found.fermatas[-1] != fermata:
                    walk.found.fermatas.append(fermata)
            elif sign.tag == "dynamics":
                mark = dynamic_mark(sign)
                if mark:
                    walk.found.dynamics.append(Dynamic(walk.part, staff, walk.bar, onset, mark))


def read_footnotes(walk: PartWalk, element: Element, onset: int, staff: int, ordinal: int) -> None:
    """The `footnote` and `level` of a direction, note or attributes, as texts."""
    for child in element.iterchildren("footnote", "level"):
        text = glyphs_read(child.text or "")
        if text.strip():
            draft = TextDraft(
                kind=TextKind.FOOTNOTE,
                part=walk.part,
                staff=staff,
                onset=onset,
                sounding_onset=onset,
                placement=None,
                height=None,
                element=ordinal,
                runs=(text,),
                role=f"{child.tag} of {element.tag}",
            )
            walk.found.texts.append(draft)


def bracket(event: LineEvent, end: int | None) -> BracketLine:
    """The bracket or dashes that a start event begins."""
    return BracketLine(event.part, event.staff, event.bar, event.onset, end, event.what == "dashes", event.placement)

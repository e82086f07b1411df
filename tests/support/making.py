"""Makes small MusicXML scores for tests from a compact notation.

    piece = Piece(title="Air (invented)", time="3/4")
    piece.bar("C5 D5 E5", "C3+E3:3", "C2:3")
    piece.text(1, 1, "Sw. Oboe", staff=1, above=True)
    data = piece.xml()

A note is ``PITCHES:QUARTERS`` (``A3+C4:1/2``; 1 where left out), a rest ``r:2``; after it ``(`` and ``)``
begin and end a slur, ``~`` begins a tie and ``=`` ends one, ``^`` is a fermata.

Staves are counted through all parts of the organist: ``Piece(parts=(("Manuals", 2), ("Pedal", 1)))`` has three.
``choir`` adds a part of singers above, a bar of theirs by ``sing``.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from fractions import Fraction
from xml.sax.saxutils import escape

DIVISIONS = 12
_TOKEN = re.compile(r"^([A-Gr][^:()~=^]*)(?::([0-9/]+))?([()~=^]*)$")
CLEFS = {"right": ("G", 2), "left": ("F", 4), "feet": ("F", 4)}


@dataclass
class Piece:
    title: str = "Study (invented)"
    time: str = "4/4"
    staves: int = 3
    fifths: int = 0
    part_name: str = "Organ"
    sound: str = "keyboard.organ.pipe"
    bars: list[list[str]] = field(default_factory=list)
    directions: dict[int, list[tuple[Fraction, int, str]]] = field(default_factory=dict)
    barlines: dict[int, str] = field(default_factory=dict)
    left_barlines: dict[int, str] = field(default_factory=dict)
    attributes: dict[int, str] = field(default_factory=dict)
    credits: list[str] = field(default_factory=list)
    parts: tuple[tuple[str, int], ...] = ()
    choir: str = ""
    sung: dict[int, str] = field(default_factory=dict)
    numbers: dict[int, str] = field(default_factory=dict)
    pages: set[int] = field(default_factory=set)

    def bar(self, *staves: str) -> Piece:
        """One bar more, a string a staff."""
        self.bars.append(list(staves))
        return self

    def repeat_bars(self, count: int, *staves: str) -> Piece:
        for _ in range(count):
            self.bar(*staves)
        return self

    def text(self, bar: int, beat: str | int, words: str, *, staff: int = 1, above: bool = True) -> Piece:
        return self.direction(bar, beat, f"<words>{escape(words)}</words>", staff=staff, above=above)

    def direction(self, bar: int, beat: str | int, content: str, *, staff: int = 1, above: bool = True) -> Piece:
        side = "above" if above else "below"
        offset = Fraction(beat) - 1
        place = f"<offset>{int(offset * self.beat * DIVISIONS)}</offset>" if offset else ""
        element = (
            f'<direction placement="{side}"><direction-type>{content}</direction-type>'
            f"{place}<staff>{staff}</staff></direction>"
        )
        self.directions.setdefault(bar, []).append((offset, staff, element))
        return self

    def dynamic(self, bar: int, mark: str, *, beat: str | int = 1, staff: int = 1) -> Piece:
        return self.direction(bar, beat, f"<dynamics><{mark}/></dynamics>", staff=staff, above=False)

    def hairpin(self, bar: int, to: int, kind: str, *, staff: int = 1) -> Piece:
        self.direction(bar, 1, f'<wedge type="{kind}"/>', staff=staff, above=False)
        return self.direction(to, 1, '<wedge type="stop"/>', staff=staff, above=False)

    def rehearsal(self, bar: int, mark: str) -> Piece:
        return self.direction(bar, 1, f"<rehearsal>{mark}</rehearsal>")

    def bracket(self, bar: int, to: int, *, beat: str | int = 1, to_beat: str | int = 1, staff: int = 1) -> Piece:
        self.direction(bar, beat, '<bracket type="start" number="1" line-end="down"/>', staff=staff)
        return self.direction(to, to_beat, '<bracket type="stop" number="1" line-end="down"/>', staff=staff)

    def tempo(self, word: str, quarters: int) -> Piece:
        element = (
            f'<direction placement="above"><direction-type><words>{word}</words></direction-type>'
            f'<staff>1</staff><sound tempo="{quarters}"/></direction>'
        )
        self.directions.setdefault(1, []).insert(0, (Fraction(0), 1, element))
        return self

    def double_bar(self, bar: int) -> Piece:
        self.barlines[bar] = "<bar-style>light-light</bar-style>"
        return self

    def repeat(self, bar: int, to: int) -> Piece:
        self.left_barlines[bar] = '<bar-style>heavy-light</bar-style><repeat direction="forward"/>'
        self.barlines[to] = '<bar-style>light-heavy</bar-style><repeat direction="backward"/>'
        return self

    def key_change(self, bar: int, fifths: int) -> Piece:
        self.attributes[bar] = f"<key><fifths>{fifths}</fifths></key>"
        return self

    def ending(self, bar: int, to: int, number: str, *, back: bool) -> Piece:
        """A bracketed ending over some bars; `back` closes it with a repeat sign."""
        self.left_barlines[bar] = f'<ending number="{number}" type="start"/>'
        repeat = "<bar-style>light-heavy</bar-style>" if back else ""
        after = '<repeat direction="backward"/>' if back else ""
        kind = "stop" if back else "discontinue"
        self.barlines[to] = f'{repeat}<ending number="{number}" type="{kind}"/>{after}'
        return self

    def jump(self, bar: int, words: str, sound: str, *, beat: str | int = 1) -> Piece:
        """Words of a jump with the sound attribute that plays it ("dacapo", "fine", ...)."""
        element = (
            f'<direction placement="above"><direction-type><words>{words}</words></direction-type>'
            f'<staff>1</staff><sound {sound}="yes"/></direction>'
        )
        self.directions.setdefault(bar, []).append((Fraction(90), 1, element))
        return self

    def dashes(self, bar: int, to: int, *, staff: int = 1) -> Piece:
        self.direction(bar, 1, '<dashes type="start" number="1"/>', staff=staff)
        return self.direction(to, 1, '<dashes type="stop" number="1"/>', staff=staff)

    def sing(self, bar: int, content: str) -> Piece:
        """A bar of the choir, which rests where nothing is given."""
        self.sung[bar] = content
        return self

    def page(self, bar: int) -> Piece:
        """A new page before a bar."""
        self.pages.add(bar)
        return self

    def number_again(self, bar: int) -> Piece:
        """Bars count from 1 again from here: another movement."""
        for index in range(bar, len(self.bars) + 1):
            self.numbers[index] = str(index - bar + 1)
        return self

    @property
    def beat(self) -> Fraction:
        return Fraction(4, int(self.time.split("/")[1]))

    @property
    def bar_length(self) -> Fraction:
        return Fraction(int(self.time.split("/")[0])) * self.beat

    def xml(self) -> bytes:
        """The whole score."""
        credits = "".join(
            f'<credit page="1"><credit-words>{escape(c)}</credit-words></credit>' for c in [self.title, *self.credits]
        )
        organ_parts = self.parts or ((self.part_name, self.staves),)
        heads, bodies, first = [], [], 1
        if self.choir:
            heads.append(f'<score-part id="P0"><part-name>{self.choir}</part-name></score-part>')
            measures = "".join(self._sung(number) for number in range(1, len(self.bars) + 1))
            bodies.append(f'<part id="P0">{measures}</part>')
        for index, (name, staves) in enumerate(organ_parts, 1):
            heads.append(
                f'<score-part id="P{index}"><part-name>{name}</part-name><score-instrument id="I{index}">'
                f"<instrument-name>{name}</instrument-name><instrument-sound>{self.sound}</instrument-sound>"
                "</score-instrument></score-part>"
            )
            measures = "".join(self._measure(number, first, staves) for number in range(1, len(self.bars) + 1))
            bodies.append(f'<part id="P{index}">{measures}</part>')
            first += staves
        text = (
            '<?xml version="1.0" encoding="UTF-8"?>\n<score-partwise version="4.0">'
            f"<work><work-title>{escape(self.title)}</work-title></work>{credits}"
            f"<part-list>{''.join(heads)}</part-list>{''.join(bodies)}</score-partwise>\n"
        )
        return text.encode("utf-8")

    def _number(self, number: int) -> str:
        return self.numbers.get(number, str(number))

    def _sung(self, number: int) -> str:
        content = self.sung.get(number, f"r:{self.bar_length}")
        head = self._head(1, ["right"]) if number == 1 else ""
        notes = "".join(_notes(content, 1, self.bar_length))
        return f'<measure number="{self._number(number)}">{head}{notes}</measure>'

    def _measure(self, number: int, first: int, staves: int) -> str:
        parts = [f'<measure number="{self._number(number)}">']
        if number in self.pages:
            parts.append('<print new-page="yes"/>')
        if number in self.left_barlines:
            parts.append(f'<barline location="left">{self.left_barlines[number]}</barline>')
        parts.append(self._attributes(number, first, staves))
        for _, staff, element in sorted(self.directions.get(number, []), key=lambda d: d[0]):
            if first <= staff < first + staves:
                parts.append(element.replace(f"<staff>{staff}</staff>", f"<staff>{staff - first + 1}</staff>"))
        length = int(self.bar_length * DIVISIONS)
        for index, content in enumerate(self.bars[number - 1][first - 1 : first - 1 + staves], 1):
            if index > 1:
                parts.append(f"<backup><duration>{length}</duration></backup>")
            parts.extend(_notes(content, index, self.bar_length))
        barline = self.barlines.get(number)
        if number == len(self.bars) and not barline:
            barline = "<bar-style>light-heavy</bar-style>"
        if barline:
            parts.append(f'<barline location="right">{barline}</barline>')
        return "".join([*parts, "</measure>"])

    def _attributes(self, number: int, first: int, staves: int) -> str:
        if number > 1:
            change = self.attributes.get(number)
            return f"<attributes>{change}</attributes>" if change else ""
        total = sum(count for _, count in self.parts) or self.staves
        hands = {
            1: ["right"],
            2: ["right", "left"],
            3: ["right", "left", "feet"],
            4: ["right", "right", "left", "feet"],
        }[total]
        return self._head(staves, hands[first - 1 : first - 1 + staves])

    def _head(self, staves: int, hands: list[str]) -> str:
        beats, beat_type = self.time.split("/")
        clefs = "".join(
            f'<clef number="{n}"><sign>{CLEFS[h][0]}</sign><line>{CLEFS[h][1]}</line></clef>'
            for n, h in enumerate(hands, 1)
        )
        return (
            f"<attributes><divisions>{DIVISIONS}</divisions><key><fifths>{self.fifths}</fifths></key>"
            f"<time><beats>{beats}</beats><beat-type>{beat_type}</beat-type></time>"
            f"<staves>{staves}</staves>{clefs}</attributes>"
        )


def _notes(content: str, staff: int, bar_length: Fraction) -> list[str]:
    found = []
    total = Fraction(0)
    for token in content.split():
        match = _TOKEN.match(token)
        assert match, f"no note: {token}"
        pitches, quarters, signs = match.groups()
        length = Fraction(quarters or 1)
        total += length
        duration = int(length * DIVISIONS)
        if pitches == "r":
            found.append(
                f"<note><rest/><duration>{duration}</duration><voice>{staff}</voice><staff>{staff}</staff></note>"
            )
            continue
        for n, pitch in enumerate(pitches.split("+")):
            found.append(_note(pitch, duration, staff, signs, n > 0))
    assert total == bar_length, f"{content!r} lasts {total}, not {bar_length}"
    return found


def _note(pitch: str, duration: int, staff: int, signs: str, chord: bool) -> str:
    step, accidental, octave = re.match(r"^([A-G])(##|bb|#|b)?(\d)$", pitch).groups()
    alter = {"#": 1, "b": -1, "##": 2, "bb": -2}.get(accidental or "", 0)
    altered = f"<alter>{alter}</alter>" if alter else ""
    tie = ('<tie type="stop"/>' if "=" in signs else "") + ('<tie type="start"/>' if "~" in signs else "")
    notations = ""
    if not chord:
        if "(" in signs:
            notations += '<slur type="start" number="1"/>'
        if ")" in signs:
            notations += '<slur type="stop" number="1"/>'
        if "^" in signs:
            notations += "<fermata/>"
    start = "<note><chord/>" if chord else "<note>"
    return (
        f"{start}<pitch><step>{step}</step>{altered}<octave>{octave}</octave></pitch>"
        f"<duration>{duration}</duration>{tie}<voice>{staff}</voice><staff>{staff}</staff>"
        f"{f'<notations>{notations}</notations>' if notations else ''}</note>"
    )

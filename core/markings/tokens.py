"""Cuts a marking into tokens: the longest phrases the lexicon knows, numbers in feet, and signs."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from core.markings.folding import Atom, cut
from core.markings.lexicon import Entry, Lexicon, near_index, near_shapes
from core.markings.senses import NO_SENSES, Sense, Senses

PITCHES = frozenset(
    Fraction(a, b)
    for a, b in (
        (64, 1), (32, 1), (64, 3), (16, 1), (32, 3), (8, 1), (32, 5), (16, 3), (32, 7), (4, 1), (16, 5),
        (8, 3), (16, 7), (2, 1), (8, 5), (4, 3), (8, 7), (1, 1), (8, 9), (4, 5), (2, 3), (4, 7), (1, 2),
        (2, 5), (1, 3), (1, 4),
    )
)  # fmt: skip
"""The pitches that stops have, in feet (harmonics of 64 ft, arithmetic)."""

_ROUNDED = {"2.66": (8, 3), "2.67": (8, 3), "1.6": (8, 5), "1.60": (8, 5), "1.33": (4, 3), "5.33": (16, 3),
            "10.66": (32, 3), "3.2": (16, 5), "0.66": (2, 3)}  # fmt: skip
_WHOLE = {str(number): Fraction(number) for number in range(1, 65)}
_ROMAN = {"i": 1, "ii": 2, "iii": 3, "iv": 4, "v": 5, "vi": 6, "vii": 7, "viii": 8, "ix": 9, "x": 10, "xii": 12}
_ROMAN_ORDINAL = re.compile(r"(I{1,3}|IV|V)(?:er|re|e|me|ème|o|a|do|te|tes|ten|st)")
_SHORTEST_BARE = 4  # an abbreviation up to this length wants its point or a capital
_SKIPPED = ".'-"
_MARKS = "'\""


@dataclass(slots=True)
class Token:
    """A stretch of the text with what it may mean.

    Attributes:
        kind: ``num``, ``roman``, ``sign``, ``break``, ``word`` (unknown), or the chosen sense's kind.
        value: the chosen sense's value; a sign itself.
        senses: all senses the lexicon gives it; the language decides among them.
        pitch: of numbers.
        foot: a number with a sign or word for feet.
        gap: white space stands before it.
        guessed: a near miss of this word, read with a doubt.
    """

    kind: str
    value: str
    start: int
    end: int
    senses: Senses = NO_SENSES
    chosen: Sense | None = None
    pitch: Fraction | None = None
    foot: bool = False
    gap: bool = False
    words: tuple[str, ...] = field(default=())
    guessed: str | None = None
    spelled: bool = False
    dot: bool = False
    lower: bool = False

    def kinds(self) -> frozenset[str]:
        """The kind it was given and all it might have."""
        kinds = self.senses.kinds
        return kinds if self.kind in kinds else kinds | {self.kind}


class Cutter:
    """Reads the atoms of one text into tokens."""

    def __init__(self, text: str, lexicon: Lexicon) -> None:
        self.text = text
        self.lexicon = lexicon
        self.atoms = cut(text)
        self.at = 0
        self.tokens: list[Token] = []
        self.unit: Senses = NO_SENSES

    def run(self) -> list[Token]:
        """All tokens, in order."""
        while self.at < len(self.atoms):
            atom = self.atoms[self.at]
            if atom.sort in "wo":
                self._word(atom)
            elif atom.sort == "n":
                if not self._phrase(atom):
                    self._number(atom)
            elif atom.sort == "l":
                self._push(Token("break", "\n", atom.start, atom.end, gap=atom.gap), 1)
            else:
                self._sign(atom)
        tokens = self.tokens
        if any(token.kind == "num" for token in tokens):
            for place, token in enumerate(tokens):
                if token.kind in ("known", "word"):
                    self._spaced_compact(place)
        return tokens

    def _spaced_compact(self, place: int) -> None:
        """A compact name away from its number, in a list of such (``P 8', O 4', M``)."""
        token = self.tokens[place]
        if len(token.words) != 1 or len(token.words[0]) > 2 or token.lower:
            return
        entries = self.lexicon.single.get(token.words[0], ())
        senses = Senses(s for entry in entries for s in entry.senses.compact)
        if not senses or not (self._numbered_in_list(place, token) or self._closes_list(place, senses)):
            return
        token.kind, token.senses = "known", senses

    def _numbered_in_list(self, place: int, token: Token) -> bool:
        follow = self.tokens[place + 1] if place + 1 < len(self.tokens) else None
        before = self.tokens[place - 1] if place else None
        if follow is None or follow.kind != "num" or not follow.gap or before is None or before.value not in ",:+&":
            return False
        if not any(sense.kind in ("division", "initials", "manual_word") for sense in token.senses):
            return True
        after = [t.words[0] for t in self.tokens[place + 2 : place + 4] if t.words]
        return after in (["o"], ["ok"], ["okt"], ["oct"])  # a keyboard's letter, but for the Octave beside it

    def _closes_list(self, place: int, senses: Senses) -> bool:
        """``P8, O4, M``: a mixture has no number."""
        if not any(sense.value.startswith("Mix") for sense in senses) or place < 3:
            return False
        name, number, sign = self.tokens[place - 3 : place]
        listed = sign.value in ",+&" and number.kind == "num" and any(s.kind == "compact_stop" for s in name.senses)
        follow = self.tokens[place + 1] if place + 1 < len(self.tokens) else None
        return listed and (follow is None or follow.kind in ("sign", "break"))

    def _push(self, token: Token, atoms: int) -> None:
        self.tokens.append(token)
        self.at += atoms

    def _sign(self, atom: Atom) -> None:
        if atom.text == "." and self.tokens and not atom.gap:
            self.tokens[-1].dot = True
            self.tokens[-1].end = max(self.tokens[-1].end, atom.end)
            self.at += 1
            return
        self._push(Token("sign", atom.text, atom.start, atom.end, gap=atom.gap), 1)

    def _next_word(self, at: int) -> str | None:
        """The text of the next atom that a phrase may go on with."""
        atoms = self.atoms
        while at < len(atoms):
            atom = atoms[at]
            if atom.sort != "p" or atom.text not in _SKIPPED:
                return atom.text
            at += 1
        return None

    def _follows(self, at: int, words: tuple[str, ...], capitals: bool) -> int | None:
        """The atom after the phrase's words from `at` on, or None where they do not stand there."""
        atoms = self.atoms
        for word in words:
            while at < len(atoms) and atoms[at].sort == "p" and atoms[at].text in _SKIPPED:
                at += 1
            if at >= len(atoms) or atoms[at].text != word or (capitals and not atoms[at].capital):
                return None
            at += 1
        return at

    def _phrase(self, atom: Atom, *, longer: bool = False) -> bool:
        follows = self._next_word(self.at + 1)
        entries = self.lexicon.longer.get((atom.text, follows), ()) if follows is not None else ()
        if entries and self._first_of(atom, entries):
            return True
        return not longer and self._first_of(atom, self.lexicon.single.get(atom.text, ()))

    def _first_of(self, atom: Atom, entries: Sequence[Entry]) -> bool:
        """Take the first of these phrases that stands here."""
        for entry in entries:
            if entry.capitals and atom.sort == "w" and not atom.capital:
                continue
            after = self._follows(self.at + 1, entry.rest, entry.capitals) if entry.rest else self.at + 1
            if after is None or (entry.rest and self._ends_a_pair(entry)):
                continue
            senses = self._allowed(entry.senses, after)
            if not senses:
                continue
            last = self.atoms[after - 1]
            token = Token("known", "", atom.start, last.end, senses=senses, gap=atom.gap,
                          words=(atom.text, *entry.rest), lower=self.text[atom.start].islower())  # fmt: skip
            self._push(token, after - self.at)
            return True
        return False

    def _ends_a_pair(self, entry: Entry) -> bool:
        """``P/G R/G``: the letter after a stroke is that pair's, not the first of initials side by side."""
        slashed = bool(self.tokens) and self.tokens[-1].value == "/"
        return slashed and all(sense.kind == "initials" for sense in entry.senses)

    def _allowed(self, senses: Senses, after: int) -> Senses:
        """The senses that hold here: a compact name (P8, SB16) asks for its number at once."""
        follows = self.atoms[after] if after < len(self.atoms) else None
        compact = follows is not None and follows.sort == "n" and not follows.gap
        if compact and senses.compact:
            return senses.compact
        bare = follows is None or follows.text != "." or follows.gap
        short = bare and self.atoms[after - 1].end - self.atoms[self.at].start <= _SHORTEST_BARE
        if short and self.text[self.atoms[self.at].start].islower():
            return senses.unshortened
        return senses.spelled

    def _word(self, atom: Atom) -> None:
        numeral = atom.capital and atom.text in _ROMAN
        if self._phrase(atom, longer=numeral) or self._hyphened(atom) or self._roman(atom) or self._phrase(atom):
            return
        self._push(Token("word", atom.text, atom.start, atom.end, gap=atom.gap, words=(atom.text,)), 1)

    def _hyphened(self, atom: Atom) -> bool:
        """One word printed with a hyphen: Ober-Werck."""
        atoms = self.atoms
        if self.at + 2 >= len(atoms) or atoms[self.at + 1].text != "-" or atoms[self.at + 1].gap:
            return False
        second = atoms[self.at + 2]
        if second.sort != "w" or second.gap:
            return False
        for entry in self.lexicon.single.get(atom.text + second.text, ()):
            if not entry.capitals:
                token = Token("known", "", atom.start, second.end, senses=entry.senses, gap=atom.gap,
                              words=(atom.text + second.text,))  # fmt: skip
                self._push(token, 3)
                return True
        return False

    def _roman(self, atom: Atom) -> bool:
        value = _ROMAN.get(atom.text) if atom.capital else None
        if value is None:
            numeral = _ROMAN_ORDINAL.fullmatch(self.text[atom.start : atom.end])
            value = _ROMAN.get(numeral.group(1).lower()) if numeral else None
        if value is None:
            return False
        senses = Senses(s for e in self.lexicon.single.get(atom.text, ()) for s in e.senses)
        self._push(Token("roman", str(value), atom.start, atom.end, senses=senses, gap=atom.gap, words=(atom.text,)), 1)
        return True

    # ------------------------------------------------------------ numbers
    def _atom(self, offset: int) -> Atom | None:
        place = self.at + offset
        return self.atoms[place] if place < len(self.atoms) else None

    def _is(self, offset: int, text: str) -> bool:
        atom = self._atom(offset)
        return atom is not None and atom.text == text

    def _fraction(self, offset: int) -> Fraction | None:
        """``2/3`` standing at an offset."""
        above, below = self._atom(offset), self._atom(offset + 2)
        if above is None or below is None or above.sort != "n" or below.sort not in "no":
            return None
        if not self._is(offset + 1, "/") or not below.text.isdigit() or int(below.text) == 0:
            return None
        value = Fraction(int(above.text[-1:]), int(below.text))
        return value if 0 < value < 1 and len(below.text) == 1 else None

    def _number(self, atom: Atom) -> None:
        pitch, taken = self._value(atom)
        self.unit = NO_SENSES
        foot, after = self._unit(self.at + taken)
        last = self.atoms[after - 1]
        token = Token("num", self.text[atom.start : last.end], atom.start, last.end, pitch=pitch, foot=foot,
                      gap=atom.gap, words=(atom.text,), senses=self.unit)  # fmt: skip
        if self.atoms[after - 1].text == ".":
            token.dot = True
        self._push(token, after - self.at)

    def _value(self, atom: Atom) -> tuple[Fraction | None, int]:
        """The number's value and how many atoms it takes."""
        digits = atom.text
        if len(digits) > 6:
            return None, 1
        whole = _WHOLE.get(digits) or Fraction(int(digits))
        dash = 2 if self._is(1, "-") else 1
        part = self._fraction(dash)
        if part is not None and whole + part in PITCHES | {
            Fraction(3, 2),
            Fraction(11, 2),
            Fraction(21, 2),
            Fraction(7, 2),
        }:
            return whole + part, dash + 3
        bare = self._fraction(0)
        if bare is not None and len(digits) == 2 and int(digits[0]) + bare in PITCHES:
            return int(digits[0]) + bare, 3
        if bare is not None and len(digits) == 1 and bare in PITCHES:
            return bare, 3
        return self._decimal(whole)

    def _decimal(self, whole: Fraction) -> tuple[Fraction | None, int]:
        follows, digits = self._atom(1), self._atom(2)
        if follows is not None and digits is not None and follows.text in ".," and digits.sort == "n":
            rounded = _ROUNDED.get(f"{whole}.{digits.text}")
            if rounded is not None and not follows.gap and not digits.gap:
                return Fraction(*rounded), 3
        return whole, 1

    def _unit(self, at: int) -> tuple[bool, int]:
        """Whether feet are named at an atom, and the atom after them."""
        atoms = self.atoms
        start = at
        if at < len(atoms) and atoms[at].text == "s" and not atoms[at].gap:
            return True, at + 1  # two soft 8s
        if at < len(atoms) and atoms[at].text == "." and not atoms[at].gap and at + 1 < len(atoms):
            at += 1
        if at < len(atoms) and atoms[at].text in _MARKS and atoms[at].sort == "p":
            while at < len(atoms) and atoms[at].sort == "p" and atoms[at].text in _MARKS and not atoms[at].gap:
                at += 1
            return True, max(at, start + 1)
        if at < len(atoms) and atoms[at].text == "-":
            at += 1
        if at < len(atoms) and atoms[at].sort == "w":
            for entry in self.lexicon.single.get(atoms[at].text, ()):
                if entry.capitals and not atoms[at].capital:
                    continue
                if any(sense.kind == "unit" for sense in entry.senses):
                    if atoms[at].text == "p" and atoms[at].capital and not self._ends_with_point(at + 1):
                        continue
                    self.unit = Senses(sense for sense in entry.senses if sense.kind == "unit")
                    after = at + 1
                    if after < len(atoms) and atoms[after].text == "." and not atoms[after].gap:
                        after += 1
                    return True, after
        return False, start

    def _ends_with_point(self, at: int) -> bool:
        """``16 P.`` before a pause: pieds, not the Positif."""
        atoms = self.atoms
        if at >= len(atoms) or atoms[at].text != "." or atoms[at].gap:
            return False
        return at + 1 >= len(atoms) or atoms[at + 1].sort == "l" or atoms[at + 1].text in ",;)"


def near_words(word: str, lexicon: Lexicon) -> list[str]:
    """Words of the lexicon that a misprint may stand for: a letter missing, doubled, changed or swapped."""
    found: dict[str, None] = {}
    shapes = near_index(lexicon)
    for shape in near_shapes(word):
        for known in shapes.get(shape, ()):
            if abs(len(known) - len(word)) <= 1 and _one_slip(word, known):
                found[known] = None
    return list(found)


def _one_slip(word: str, known: str) -> bool:
    """Whether one letter put in, left out or changed, or two neighbours swapped, make the one the other."""
    if len(word) == len(known):
        places = [k for k, (a, b) in enumerate(zip(word, known, strict=True)) if a != b]
        if len(places) == 1:
            return True
        swapped = len(places) == 2 and places[1] == places[0] + 1
        return swapped and word[places[0]] == known[places[1]] and word[places[1]] == known[places[0]]
    return True

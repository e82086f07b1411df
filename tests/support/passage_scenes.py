"""Scenes drawn at random for the bench of solo passages: chords, a solo that nothing ends, and what follows.

Every scene has one solo whose end no marking gives. Where it ends is laid down when the scene is drawn: at the place
from which the hand no longer plays the solo's line. Inside the solo stand decoys (rests, a double bar, a key change,
a rehearsal mark, a dynamic) after which the same line simply goes on. Common practice, no source.
"""

from __future__ import annotations

import random
from fractions import Fraction

from passage_set import Case, left, opened_de, opened_en, opened_fr, right

STEPS = "CDEFGAB"
TIMES = ("4/4", "4/4", "3/4", "2/2", "6/8")
OPENED = {"en": opened_en, "fr": opened_fr, "de": opened_de}
SENT = {
    "right": {"en": ("R.H. Sw.", "Sw. (r.h.)"), "fr": ("m.d. R.", "R. m.d."), "de": ("r. H. II. Man.", "II (r. H.)")},
    "left": {"en": ("L.H. Sw.", "l.h. on Swell"), "fr": ("m.g. R.", "R. m.g."), "de": ("l. H. II. Man.", "II (l. H.)")},
}
FASTER = {"en": "Allegro", "fr": "Vif", "de": "Lebhaft"}
ENDS = ("chords", "chords", "chords", "opening", "opening", "together")
BESIDE = ("double-bar", "key", "rehearsal", "dynamic", "fermata", "tempo", "rest", "nothing")
DECOYS = ("double-bar", "key", "rehearsal", "dynamic", "nothing")


class Scene:
    """One scene as it is built up, bar after bar."""

    def __init__(self, seed: int) -> None:
        self.dice = random.Random(seed)
        self.language = self.dice.choice(("en", "fr", "de"))
        self.hand = self.dice.choice(("right", "right", "left"))
        time = self.dice.choice(TIMES)
        self.piece = OPENED[self.language](f"Scene {seed}", time=time)
        self.unit = Fraction(3, 2) if time == "6/8" else Fraction(1)
        self.count = int(self.piece.bar_length / self.unit)

    def key(self, low: int, high: int) -> str:
        number = self.dice.randint(low, high)
        return f"{STEPS[number % 7]}{number // 7}"

    def chord(self, low: int, size: int) -> str:
        first = low + self.dice.randint(0, 3)
        return "+".join(f"{STEPS[(first + 2 * n) % 7]}{(first + 2 * n) // 7}" for n in range(size))

    def moving(self, low: int, size: int) -> str:
        return " ".join(f"{self.chord(low, size)}:{self.unit}" for _ in range(self.count))

    def line(self, low: int, high: int) -> str:
        lengths = [self.unit] * self.count
        if self.dice.random() < 0.5:
            lengths[0:1] = [self.unit / 2, self.unit / 2]
        signs = ["("] + [""] * (len(lengths) - 2) + [")"]
        return " ".join(f"{self.key(low, high)}:{n}{s}" for n, s in zip(lengths, signs, strict=True))

    def close(self, key: str, *, rest: bool, fermata: bool = False) -> str:
        whole = self.piece.bar_length
        sign = "^" if fermata else ""
        return f"{key}:{whole / 2}{sign} r:{whole / 2}" if rest else f"{key}:{whole}{sign}"

    def chords(self, bars: int) -> None:
        for _ in range(bars):
            self.piece.bar(self.moving(28, 3), self.moving(21, 2), f"{self.key(14, 21)}:{self.piece.bar_length}")

    def solo(self, bars: int) -> None:
        for _ in range(bars):
            self.add(self.line(32, 39) if self.hand == "right" else self.line(22, 29))

    def add(self, melody: str) -> None:
        whole = self.piece.bar_length
        other = f"{self.chord(21 if self.hand == 'right' else 31, 3)}:{whole}"
        pair = (melody, other) if self.hand == "right" else (other, melody)
        self.piece.bar(*pair, f"{self.key(14, 20)}:{whole}")

    def sign(self, kind: str, bar: int, mark: str) -> None:
        """What is printed before a bar."""
        if kind == "double-bar":
            self.piece.double_bar(bar - 1)
        elif kind == "key":
            self.piece.key_change(bar, {"B": 2, "C": -1}[mark])
        elif kind == "rehearsal":
            self.piece.rehearsal(bar, mark)
        elif kind == "dynamic":
            self.piece.dynamic(bar, {"B": "p", "C": "f"}[mark])
        elif kind == "tempo":
            self.piece.direction(bar, 1, f"<words>{FASTER[self.language]}</words>")

    def together(self, bars: int) -> None:
        """Both hands keep close together, the solo's with a line still."""
        for _ in range(bars):
            low = self.dice.randint(26, 28)
            pairs = [(low + self.dice.randint(0, 2), low - 1) for _ in range(self.count)]
            upper, lower = (
                " ".join(f"{STEPS[n % 7]}{n // 7}:{self.unit}" for n in voice) for voice in zip(*pairs, strict=True)
            )
            self.piece.bar(upper, lower, f"{self.key(14, 20)}:{self.piece.bar_length}")


def scene(seed: int) -> Case:
    """A solo with no marked end, drawn from a seed, and where it ends."""
    here = Scene(seed)
    dice = here.dice
    here.chords(dice.randint(3, 5))
    opening = list(here.piece.bars)
    start = len(here.piece.bars) + 1
    here.piece.text(start, 1, dice.choice(SENT[here.hand][here.language]), staff=1 if here.hand == "right" else 2)
    close = "C5" if here.hand == "right" else "G3"
    here.solo(dice.randint(3, 5))
    decoy, quieter = dice.choice(DECOYS), dice.random() < 0.3
    here.add(here.close(close, rest=dice.random() < 0.6))
    here.sign(decoy, len(here.piece.bars) + 1, "B")
    if quieter:
        here.sign("dynamic", len(here.piece.bars) + 1, "B")
    here.solo(dice.randint(3, 5))
    how, beside = dice.choice(ENDS), dice.choice(BESIDE)
    rest = beside == "rest" or how == "together" or dice.random() < 0.4
    here.add(here.close(close, rest=rest, fermata=beside == "fermata"))
    end = len(here.piece.bars) + 1
    here.sign(beside, end, "C")
    if how == "opening":
        here.piece.bars.extend(opening)
        here.chords(1)
    elif how == "together":
        here.together(4)
        here.chords(1)
    else:
        here.chords(5)
    made = here.piece
    passage = (right if here.hand == "right" else left)(str(start), None, str(end))
    return Case(f"scene {seed}: {how} beside {beside}, decoy {decoy}", here.language, lambda: made, (passage,))

"""Faulty small scores and their clean twins, composed for this project: more than one way for each fault.

What counts as a fault: common practice, no source. `words`: one of them must stand in a finding's rule, message or
reason; `silent`: none of them may stand in a finding's rule or message on the clean twin.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from core.organ.model import Organ
from core.organ.reading import load_organ
from making import Piece
from walking import CHORDS, LINE, LINE_REST

Make = Callable[[], Piece]


@dataclass(frozen=True)
class Fault:
    name: str
    faulty: Make
    clean: Make
    words: tuple[str, ...]
    silent: tuple[str, ...]
    organ: str = "en"


@cache
def organ_named(name: str) -> Organ:
    return load_organ(Path(__file__).parent / "organs_lists" / f"{name}.txt")


HEADS = {
    "en": (("Gt. Open Diapason 8", "Sw. Oboe", "Ch. Clarinet", "Ped. Bourdon 16"), "Gt.", "Andante"),
    "fr": (("G. Montre 8", "R. Hautbois 8", "Pos. Salicional 8", "Péd. Soubasse 16"), "G.", "Modéré"),
    "de": (("I. Man. Principal 8'", "II. Man. Oboe 8'", "Ped. Subbass 16'"), "I. Man.", "Ruhig"),
}
SILENT_BAR = ("r:4", "r:4", "r:4")


def head(
    language: str = "en", *, lines: tuple[str, ...] | None = None, manual: str | None = None, **more: object
) -> Piece:
    """A piece with a block of stops at its opening and both hands on a manual."""
    stops, first, word = HEADS[language]
    piece = Piece(**more).tempo(word, 80)
    for line in stops if lines is None else lines:
        piece.text(1, 1, line)
    return piece.text(1, 1, manual or first, above=False)


def hymn(*texts: tuple[int, str], language: str = "en", between: bool = False, bars: int = 8, **more: object) -> Piece:
    """Bars of chords with markings at given bars."""
    piece = head(language, **more).repeat_bars(bars, *CHORDS)
    for bar, words in texts:
        piece.text(bar, 1, words, above=not between)
    return piece


def bars_of(
    right: str, left: str = "C3+G3:4", pedal: str = "C3:4", *, count: int = 4, start: Piece | None = None
) -> Piece:
    """Two bars of chords, some bars as given, two bars of chords."""
    piece = (start or head()).repeat_bars(2, *CHORDS).repeat_bars(count, right, left, pedal)
    return piece.repeat_bars(2, *CHORDS)


def solo(
    *,
    before: tuple[str, ...] = (),
    sent: str = "R.H. Sw.",
    back: str = "R.H. Gt.",
    language: str = "en",
    **more: object,
) -> Piece:
    """A right-hand solo from bar 5 to bar 9."""
    piece = head(language, **more).repeat_bars(4, *CHORDS).repeat_bars(3, *LINE).bar(*LINE_REST).repeat_bars(4, *CHORDS)
    for words in before:
        piece.text(3, 1, words)
    return piece.text(5, 1, sent).text(9, 1, back)


def swelling(piece: Piece, bar: int = 4, to: int = 6, kind: str = "crescendo") -> Piece:
    return piece.hairpin(bar, to, kind)


NOT_ON = ("not on this organ", "no such", "substitut", "has no", "not drawn", "is not on")
ALREADY = ("already", "is on", "nothing to add", "no effect", "redundant", "drawn before")
OCTAVES = ("octave", "4 ft", "4-ft")
HAIRPIN = ("hairpin", "unenclosed", "wedge", "no box")
RUN = "C4+C5 D4+D5 E4+E5 G4+G5"
THICK = "C4+E4+C5 D4+F4+D5 E4+G4+E5 G4+B4+G5"
THIN = "C4+E4+G4 D4+F4+A4 E4+G4+B4 G4+B4+D5"

FAULTS: tuple[Fault, ...] = (
    Fault(
        "stop missing in an addition",
        lambda: hymn((5, "Gt. add Gross Flute 8")),
        lambda: hymn((5, "Gt. add Clarabella 8")),
        ("gross flute",),
        NOT_ON,
    ),
    Fault(
        "stop missing in the pedal",
        lambda: hymn((5, "Ped. add Open Diapason 32")),
        lambda: hymn((5, "Ped. add Bass Flute 8")),
        ("32",),
        NOT_ON,
    ),
    Fault(
        "stop missing, French",
        lambda: hymn((5, "G. ajoutez Cornet"), language="fr"),
        lambda: hymn((5, "G. ajoutez Prestant"), language="fr"),
        ("cornet",),
        NOT_ON,
        "fr",
    ),
    Fault(
        "stop missing, German",
        lambda: hymn((5, "II. Man. Vox humana 8'"), language="de"),
        lambda: hymn((5, "II. Man. Gedackt 8'"), language="de"),
        ("vox humana",),
        NOT_ON,
        "de",
    ),
    Fault(
        "division missing", lambda: hymn((5, "Solo Tuba")), lambda: hymn((5, "Gt. Trumpet")), ("tuba", "solo"), NOT_ON
    ),
    Fault(
        "coupler missing",
        lambda: hymn((5, "Ch. to Sw.")),
        lambda: hymn((5, "Ch. to Gt.")),
        ("coupler",),
        ("no coupler", "has no", "not on"),
    ),
    Fault(
        "tremulant missing",
        lambda: hymn((5, "Ch. Trem.")),
        lambda: hymn((5, "Sw. Trem.")),
        ("tremulant",),
        ("has no", "no tremulant"),
    ),
    Fault(
        "box missing",
        lambda: hymn((5, "Ch. box closed")),
        lambda: hymn((5, "Sw. box closed")),
        ("box", "enclosed"),
        ("no box", "not enclosed", "unenclosed"),
    ),
    Fault(
        "hairpin on the Choir",
        lambda: swelling(hymn((3, "Ch."), between=True)),
        lambda: swelling(hymn((3, "Sw."), between=True)),
        HAIRPIN,
        HAIRPIN,
    ),
    Fault(
        "hairpin after the coupler went off",
        lambda: swelling(hymn((2, "Sw. to Gt."), (4, "Sw. to Gt. off"), bars=8)),
        lambda: swelling(hymn((2, "Sw. to Gt."), bars=8)),
        HAIRPIN,
        HAIRPIN,
    ),
    Fault(
        "hairpin, French",
        lambda: swelling(hymn((3, "G."), language="fr", between=True), kind="diminuendo"),
        lambda: swelling(hymn((3, "R."), language="fr", between=True), kind="diminuendo"),
        HAIRPIN,
        HAIRPIN,
        "fr",
    ),
    Fault(
        "hairpin, German",
        lambda: swelling(hymn((3, "I. Man."), language="de", between=True)),
        lambda: swelling(hymn((3, "II. Man."), language="de", between=True)),
        HAIRPIN,
        HAIRPIN,
        "de",
    ),
    Fault(
        "cresc. in words on the Great",
        lambda: hymn().text(4, 1, "cresc.", above=False),
        lambda: hymn((3, "Sw."), between=True).text(4, 1, "cresc.", above=False),
        ("crescendo", "box"),
        ("no box", "unenclosed"),
    ),
    Fault("octaves in one hand", lambda: bars_of(RUN), lambda: bars_of("C5 D5 E5 G5"), OCTAVES, OCTAVES),
    Fault("octaves in chords", lambda: bars_of(THICK), lambda: bars_of(THIN), OCTAVES, OCTAVES),
    Fault(
        "octaves in the left hand",
        lambda: bars_of("C5+E5+G5:4", "C3+C4 D3+D4 E3+E4 G3+G4"),
        lambda: bars_of("C5+E5+G5:4", "C3 C4 D3 D4"),
        OCTAVES,
        OCTAVES,
    ),
    Fault(
        "both hands an octave apart",
        lambda: bars_of("C5 D5 E5 G5", "C4 D4 E4 G4"),
        lambda: bars_of("C5 D5 E5 G5", "E4 F4 G4 B4"),
        OCTAVES,
        OCTAVES,
    ),
    Fault(
        "both hands on the same keys",
        lambda: bars_of("C4 D4 E4 G4", "C4 D4 E4 G4"),
        lambda: bars_of("C4 D4 E4 G4", "A3 B3 C4 E4"),
        ("adds nothing",),
        ("adds nothing", "doubl"),
    ),
    Fault(
        "feet double through the coupler alone",
        lambda: bars_of(
            "C5+E5:4", "C3 D3 E3 G3", "C3 D3 E3 G3", start=head(lines=("Gt. Open Diapason 8", "Gt. to Ped."))
        ),
        lambda: bars_of(
            "C5+E5:4",
            "C3 D3 E3 G3",
            "C3 D3 E3 G3",
            start=head(lines=("Gt. Open Diapason 8", "Ped. Bourdon 16", "Gt. to Ped.")),
        ),
        ("adds nothing",),
        ("adds nothing", "same pipe"),
    ),
    Fault(
        "addition of what is on",
        lambda: hymn((5, "Gt. add Open Diapason")),
        lambda: hymn((5, "Gt. add Dulciana")),
        ALREADY,
        ALREADY,
    ),
    Fault(
        "addition of what is on, French",
        lambda: hymn((5, "G. ajoutez Montre 8"), language="fr"),
        lambda: hymn((5, "G. ajoutez Bourdon 8"), language="fr"),
        ALREADY,
        ALREADY,
        "fr",
    ),
    Fault(
        "addition of what is on, German",
        lambda: hymn((5, "I. Man. + Principal 8'"), language="de"),
        lambda: hymn((5, "I. Man. + Oktave 4'"), language="de"),
        ALREADY,
        ALREADY,
        "de",
    ),
    Fault(
        "coupler on already",
        lambda: hymn((3, "Sw. to Gt."), (5, "Sw. to Gt.")),
        lambda: hymn((3, "Sw. to Gt."), (5, "Gt. to Ped.")),
        ALREADY,
        ALREADY,
    ),
    Fault(
        "tremulant on already",
        lambda: hymn((3, "Sw. Trem."), (5, "Sw. Trem.")),
        lambda: hymn((3, "Sw. Trem."), (4, "Sw. Trem. off"), (5, "Sw. Trem.")),
        ALREADY,
        ALREADY,
    ),
    Fault(
        "box open already",
        lambda: hymn((3, "Sw. box open"), (5, "Sw. box open")),
        lambda: hymn((3, "Sw. box closed"), (5, "Sw. box open")),
        ALREADY,
        ALREADY,
    ),
    Fault(
        "removal of what is not on",
        lambda: hymn((5, "Gt. Principal off")),
        lambda: hymn((3, "Gt. add Principal"), (5, "Gt. Principal off")),
        ("not drawn", "not on"),
        ("not drawn", "not on"),
    ),
    Fault(
        "uncoupling of what is not on",
        lambda: hymn((5, "Sw. to Gt. off")),
        lambda: hymn((3, "Sw. to Gt."), (5, "Sw. to Gt. off")),
        ("not on", "not coupled", "not drawn"),
        ("not on", "not coupled", "not drawn"),
    ),
    Fault(
        "tremulant off that is not on",
        lambda: hymn((5, "Sw. Trem. off")),
        lambda: hymn((3, "Sw. Trem."), (5, "Sw. Trem. off")),
        ("not on", "not drawn"),
        ("not on", "not drawn"),
    ),
    Fault(
        "coupler left on in a solo",
        lambda: solo(before=("Sw. to Gt.",)),
        lambda: solo(before=("Sw. to Ped.",)),
        ("still on", "coupler"),
        ("still on", "coupler", "coupled"),
    ),
    Fault(
        "coupler left on, French",
        lambda: solo(before=("R. au G.O.",), sent="m.d. R.", back="m.d. G.", language="fr"),
        lambda: solo(sent="m.d. R.", back="m.d. G.", language="fr"),
        ("still on", "coupler"),
        ("still on", "coupler", "coupled"),
        "fr",
    ),
    Fault(
        "pedal coupler left on",
        lambda: hymn((3, "Gt. to Ped."), (5, "Sw."), between=True),
        lambda: hymn((3, "Gt. to Ped."), (5, "Sw."), between=True).text(5, 1, "Gt. to Ped. off"),
        ("still on", "coupler"),
        ("still on", "coupler"),
    ),
    Fault(
        "tremulant left on, other stops",
        lambda: solo(before=("Sw. Trem.",)).text(10, 1, "Sw. Gedackt 8, Gemshorn 4"),
        lambda: solo(before=("Sw. Trem.",)).text(9, 1, "Sw. Trem. off").text(10, 1, "Sw. Gedackt 8, Gemshorn 4"),
        ("tremulant",),
        ("tremulant",),
    ),
    Fault(
        "tremulant left on, chords",
        lambda: solo(before=("Sw. Trem.",)).text(11, 1, "Sw.", above=False),
        lambda: solo(before=("Sw. Trem.",)).text(9, 1, "Sw. Trem. off").text(11, 1, "Sw.", above=False),
        ("tremulant",),
        ("tremulant",),
    ),
    Fault(
        "tremulant left on under full Swell",
        lambda: hymn((3, "Sw. Trem."), (5, "Full Sw.")),
        lambda: hymn((3, "Sw. Trem."), (4, "Trem. off"), (5, "Full Sw.")),
        ("tremulant",),
        ("tremulant",),
    ),
    Fault(
        "solo too soft",
        lambda: solo(lines=("Gt. Open Diapason 8, Principal 4", "Sw. Salicional", "Ped. Bourdon 16")),
        lambda: solo(lines=("Gt. Dulciana 8", "Sw. Oboe", "Ped. Bourdon 16")),
        ("quieter", "covered", "balance"),
        ("quieter", "covered", "balance", "louder"),
    ),
    Fault(
        "solo too soft on the Choir",
        lambda: solo(sent="R.H. Ch.", lines=("Gt. Trumpet 8", "Ch. Lieblich Gedackt 8", "Ped. Bourdon 16")),
        lambda: solo(sent="R.H. Ch.", lines=("Gt. Dulciana 8", "Ch. Clarinet", "Ped. Bourdon 16")),
        ("quieter", "covered", "balance"),
        ("quieter", "covered", "balance", "louder"),
    ),
    Fault(
        "solo too soft, German",
        lambda: solo(
            sent="r.H. II. Man.",
            back="r.H. I. Man.",
            language="de",
            lines=("I. Man. Principal 8', Oktave 4'", "II. Man. Salicional 8'", "Ped. Subbass 16'"),
        ),
        lambda: solo(
            sent="r.H. II. Man.",
            back="r.H. I. Man.",
            language="de",
            lines=("I. Man. Gamba 8'", "II. Man. Oboe 8'", "Ped. Subbass 16'"),
        ),
        ("quieter", "covered", "balance"),
        ("quieter", "covered", "balance", "louder"),
        "de",
    ),
    Fault(
        "low octave of the celeste",
        lambda: bars_of(
            "C4+E4+G4:4",
            "F2+C3:4",
            start=head(lines=("Sw. Salicional & Voix Celestes", "Ped. Bourdon 16"), manual="Sw."),
        ),
        lambda: bars_of(
            "C4+E4+G4:4",
            "F3+C4:4",
            start=head(lines=("Sw. Salicional & Voix Celestes", "Ped. Bourdon 16"), manual="Sw."),
        ),
        ("celeste", "no pipe", "tenor c"),
        ("no pipe", "silent", "low", "compass"),
    ),
    Fault(
        "above the top of the manual",
        lambda: bars_of("C5 E5 G5 A6"),
        lambda: bars_of("C5 E5 G5 G6"),
        ("compass",),
        ("compass",),
    ),
    Fault(
        "below the manual", lambda: bars_of("C5:4", "B1:4"), lambda: bars_of("C5:4", "C2:4"), ("compass",), ("compass",)
    ),
    Fault(
        "above the pedal",
        lambda: bars_of("C5:4", "C4:4", "C4 D4 E4 F#4"),
        lambda: bars_of("C5:4", "C4:4", "C4 D4 E4 F4"),
        ("compass",),
        ("compass",),
    ),
    Fault(
        "mutation alone",
        lambda: hymn((5, "Ch. Nazard 2 2/3 alone")).text(5, 1, "Ch.", above=False),
        lambda: hymn((5, "Ch. Lieblich Gedackt 8, Nazard 2 2/3")).text(5, 1, "Ch.", above=False),
        ("foundation", "unison", "nothing at"),
        ("foundation", "unison", "nothing at"),
    ),
    Fault(
        "mixture alone",
        lambda: hymn((5, "Gt. Mixture")),
        lambda: hymn((5, "Gt. Open Diapason, Principal, Mixture")),
        ("foundation", "unison", "nothing at"),
        ("foundation", "unison", "nothing at"),
    ),
    Fault(
        "mixture alone, German",
        lambda: hymn((5, "I. Man. Mixtur"), language="de"),
        lambda: hymn((5, "I. Man. Principal 8', Oktave 4', Mixtur"), language="de"),
        ("foundation", "unison", "nothing at"),
        ("foundation", "unison", "nothing at"),
        "de",
    ),
    Fault(
        "celeste alone",
        lambda: hymn((5, "Sw. Voix Celestes")).text(5, 1, "Sw.", above=False),
        lambda: hymn((5, "Sw. Salicional, Voix Celestes")).text(5, 1, "Sw.", above=False),
        ("partner", "beats"),
        ("partner", "beat", "alone"),
    ),
    Fault(
        "celeste alone, French",
        lambda: hymn((5, "R. Voix céleste"), language="fr").text(5, 1, "R.", above=False),
        lambda: hymn((5, "R. Viole de gambe, Voix céleste"), language="fr").text(5, 1, "R.", above=False),
        ("partner", "beats"),
        ("partner", "beat", "alone"),
        "fr",
    ),
    Fault(
        "16 alone",
        lambda: hymn((5, "Ch. Double Bourdon 16")).text(5, 1, "Ch.", above=False),
        lambda: hymn((5, "Ch. Double Bourdon 16, Lieblich Gedackt 8")).text(5, 1, "Ch.", above=False),
        ("16",),
        ("16 alone", "octave lower"),
    ),
    Fault(
        "16 alone, French",
        lambda: hymn((5, "G. Bourdon 16"), language="fr"),
        lambda: hymn((5, "G. Bourdon 16, Montre 8"), language="fr"),
        ("16",),
        ("octave lower",),
        "fr",
    ),
    Fault(
        "same pipe through the coupler",
        lambda: solo_crossing("Sw. to Gt."),
        lambda: solo_crossing(None),
        ("same pipe",),
        ("same pipe",),
    ),
    Fault(
        "same pipe, German",
        lambda: solo_crossing("Koppel II/I", "de"),
        lambda: solo_crossing(None, "de"),
        ("same pipe",),
        ("same pipe",),
        "de",
    ),
    Fault(
        "hand beyond a tenth",
        lambda: bars_of("C4+G5:4"),
        lambda: bars_of("C4+C5:4"),
        ("cannot hold", "span", "stretch"),
        ("cannot hold", "span", "stretch"),
    ),
    Fault(
        "six keys in a hand",
        lambda: bars_of("C5:4", "C3+D3+E3+F3+G3+A3:4", start=head().text(2, 1, "L.H. Ch.", staff=2)),
        lambda: bars_of("C5:4", "C3+E3+G3:4", start=head().text(2, 1, "L.H. Ch.", staff=2)),
        ("keys at once",),
        ("keys at once",),
    ),
    Fault(
        "three pedal notes",
        lambda: bars_of("C5:4", "C4:4", "C2+G2+C3:4"),
        lambda: bars_of("C5:4", "C4:4", "C2+C3:4"),
        ("feet",),
        ("beyond two feet",),
    ),
    Fault(
        "box over two pedal notes",
        lambda: swelling(bars_of("C5:4", "C4:4", "C2+C3:4", start=head(manual="Sw."))),
        lambda: swelling(bars_of("C5:4", "C4:4", "C2:4", start=head(manual="Sw."))),
        ("foot",),
        ("foot", "feet"),
    ),
    Fault(
        "box over a running pedal",
        lambda: swelling(
            bars_of("C5:4", "C4:4", "C3:1/2 E3:1/2 G2:1/2 C3:1/2 F2:1/2 A2:1/2 D3:1/2 G2:1/2", start=head(manual="Sw."))
        ),
        lambda: swelling(bars_of("C5:4", "C4:4", "C3:4", start=head(manual="Sw."))),
        ("foot",),
        ("foot", "feet"),
    ),
    Fault(
        "many stops with no rest",
        lambda: hymn((5, "Gt. Clarabella 8, Dulciana 8, Principal 4, Trumpet 8")),
        lambda: hymn((5, "Gt. add Principal 4")),
        ("too quick",),
        ("too quick",),
    ),
    Fault(
        "second time differs",
        lambda: hymn((5, "Gt. add Principal")).repeat(3, 6),
        lambda: hymn((3, "Gt. Open Diapason"), (5, "Gt. add Principal")).repeat(3, 6),
        ("second time",),
        ("second time",),
    ),
    Fault(
        "second time differs by the coupler",
        lambda: hymn((5, "Sw. to Gt.")).repeat(3, 6),
        lambda: hymn((3, "Sw. to Gt. off"), (5, "Sw. to Gt.")).repeat(3, 6),
        ("second time",),
        ("second time",),
    ),
    Fault(
        "second time on another manual",
        lambda: hymn((5, "Sw."), between=True).repeat(3, 6),
        lambda: hymn((3, "Gt."), (5, "Sw."), between=True).repeat(3, 6),
        ("second time",),
        ("second time",),
    ),
    Fault(
        "no stops on the Choir",
        lambda: hymn((5, "Ch."), between=True, lines=("Gt. Open Diapason 8", "Ped. Bourdon 16")),
        lambda: hymn((5, "Ch."), between=True),
        ("nothing is drawn", "registration"),
        ("nothing is drawn",),
    ),
    Fault(
        "no pedal stops",
        lambda: hymn(lines=("Gt. Open Diapason 8",)),
        lambda: hymn(),
        ("nothing is drawn", "registration"),
        ("nothing is drawn",),
    ),
    Fault(
        "two names, French word",
        lambda: hymn((5, "Sw. Hautbois")),
        lambda: hymn((5, "Sw. Oboe")),
        ("two names",),
        ("two names", "name"),
    ),
    Fault(
        "two names for a manual",
        lambda: hymn((5, "II")),
        lambda: hymn((5, "Great")),
        ("two names", "called"),
        ("two names", "called"),
    ),
    Fault(
        "hand on two manuals",
        lambda: hymn((5, "R.H. Sw."), (5, "R.H. Ch.")),
        lambda: hymn((5, "R.H. Sw.")).text(5, 1, "L.H. Ch.", staff=2).text(7, 1, "Gt.", above=False),
        ("two manuals", "two keyboards"),
        ("two manuals", "two keyboards", "three"),
    ),
    Fault(
        "held chord, hand sent away",
        lambda: held_over("Sw."),
        lambda: held_over("add Principal 4"),
        ("holds", "held", "tie"),
        ("holds a note", "held"),
    ),
    Fault(
        "solo without an end",
        lambda: bars_solo("R.H. Sw."),
        lambda: bars_solo("R.H. Sw.").text(9, 1, "R.H. Gt."),
        ("no marked end",),
        ("solo-without-end", "no marked end"),
    ),
    Fault(
        "bracket that never closes, French",
        lambda: bars_solo("[ m.d. R.", "fr"),
        lambda: bars_solo("[ m.d. R.", "fr").text(8, 1, "]"),
        ("end",),
        ("solo-without-end", "no end"),
        "fr",
    ),
    Fault(
        "word not understood",
        lambda: hymn((5, "Gt. 8 & 4, zzarblen")),
        lambda: hymn((5, "Gt. 8 & 4")),
        ("understood",),
        ("understood", "unread"),
    ),
    Fault(
        "soft Great under a loud coupled Swell",
        lambda: hymn((2, "Sw. to Gt."), (3, "Full Sw."), (6, "Gt. Dulciana"), between=True).text(
            4, 1, "Gt.", above=False
        ),
        lambda: hymn((2, "Sw. to Gt."), (3, "Full Sw."), (5, "Sw. to Gt. off"), (6, "Gt. Dulciana"), between=True).text(
            4, 1, "Gt.", above=False
        ),
        ("still on", "coupler"),
        ("still on", "coupler"),
    ),
    Fault(
        "sesquialtera alone",
        lambda: hymn((5, "II. Man. Sesquialtera"), language="de", between=True),
        lambda: hymn((5, "II. Man. Gedackt 8', Sesquialtera"), language="de", between=True),
        ("foundation", "unison", "nothing at"),
        ("foundation", "unison", "nothing at"),
        "sesqui",
    ),
    Fault(
        "feet with the left hand is everyday",
        lambda: solo_crossing("Sw. to Gt."),
        lambda: bars_of(
            "C5+E5:4",
            "C3 D3 E3 G3",
            "C3 D3 E3 G3",
            start=head(lines=("Gt. Open Diapason 8", "Ped. Bourdon 16", "Gt. to Ped.")),
        ),
        ("same pipe",),
        ("same pipe", "adds nothing"),
    ),
    Fault(
        "hands together on one manual is everyday",
        lambda: solo_crossing("Sw. to Gt."),
        lambda: bars_of("C4+E4+G4 C4+F4+A4 C4+E4+G4 B3+D4+G4", "E3+C4 F3+C4 E3+C4 D3+B3"),
        ("same pipe",),
        ("same pipe", "adds nothing", "octave"),
    ),
    Fault(
        "one key on two manuals uncoupled is everyday",
        lambda: solo_crossing("Sw. to Gt."),
        lambda: solo_crossing("Gt. to Ped."),
        ("same pipe",),
        ("same pipe",),
    ),
    Fault(
        "broken octaves are figuration",
        lambda: bars_of(RUN),
        lambda: bars_of("C4:1/2 C5:1/2 D4:1/2 D5:1/2 E4:1/2 E5:1/2 G4:1/2 G5:1/2"),
        OCTAVES,
        OCTAVES,
    ),
    Fault(
        "hairpin over the left hand's staff",
        lambda: hymn().hairpin(4, 6, "crescendo", staff=2),
        lambda: hymn((3, "Sw."), between=True).hairpin(4, 6, "crescendo", staff=2),
        HAIRPIN,
        HAIRPIN,
    ),
    Fault(
        "hairpin in a Choir solo",
        lambda: solo(sent="R.H. Ch.").hairpin(6, 7, "crescendo"),
        lambda: solo(sent="R.H. Sw.").hairpin(6, 7, "crescendo"),
        HAIRPIN,
        HAIRPIN,
    ),
    Fault(
        "hairpin over the pedal alone",
        lambda: hymn().hairpin(4, 6, "crescendo", staff=3),
        lambda: hymn((2, "Sw. to Ped.")).hairpin(4, 6, "crescendo", staff=3),
        HAIRPIN,
        HAIRPIN,
    ),
    Fault(
        "no stops where the piece begins",
        lambda: hymn(lines=("Ped. Bourdon 16",)),
        lambda: hymn(),
        ("nothing is drawn",),
        ("nothing is drawn",),
    ),
    Fault(
        "nothing drawn, German pedal",
        lambda: hymn(language="de", lines=("I. Man. Principal 8'",)),
        lambda: hymn(language="de"),
        ("nothing is drawn",),
        ("nothing is drawn",),
        "de",
    ),
    Fault(
        "two names, Gamba",
        lambda: hymn((3, "Ch. Gamba"), (6, "Ch. Viola da gamba")),
        lambda: hymn((3, "Ch. Gamba"), (6, "Ch. Gamba")),
        ("two names",),
        ("two names", "name"),
    ),
    Fault(
        "second time differs, French",
        lambda: hymn((5, "G. ajoutez Prestant"), language="fr").repeat(3, 6),
        lambda: hymn((5, "G. ajoutez Prestant"), (6, "ôtez Prestant"), language="fr").repeat(3, 6),
        ("second time",),
        ("second time",),
        "fr",
    ),
    Fault(
        "many stops with no rest, German",
        lambda: hymn((5, "I. Man. Rohrflöte 8', Gamba 8', Oktave 4', Trompete 8'"), language="de"),
        lambda: hymn((5, "I. Man. + Oktave 4'"), language="de"),
        ("too quick",),
        ("too quick",),
        "de",
    ),
    Fault(
        "move under a tie, French",
        lambda: held_over("R.", "fr"),
        lambda: held_over("ajoutez Prestant", "fr"),
        ("holds", "held", "tie"),
        ("holds a note", "held"),
        "fr",
    ),
    Fault(
        "box closed already, French",
        lambda: hymn((3, "boîte fermée"), (6, "boîte fermée"), language="fr"),
        lambda: hymn((3, "boîte fermée"), (6, "boîte ouverte"), language="fr"),
        ALREADY,
        ALREADY,
        "fr",
    ),
    Fault(
        "hand on two manuals, French",
        lambda: hymn((5, "m.d. R."), (5, "m.d. Pos."), language="fr"),
        lambda: hymn((5, "m.d. R., m.g. Pos."), language="fr").text(7, 1, "G.", above=False),
        ("two manuals",),
        ("two manuals", "three"),
        "fr",
    ),
    Fault(
        "three keyboards for two hands",
        lambda: hymn((5, "R.H. Sw."), (5, "Gt. (both hands)")).text(5, 1, "L.H. Ch.", staff=2),
        lambda: hymn((5, "R.H. Sw.")).text(5, 1, "L.H. Ch.", staff=2).text(7, 1, "Gt. (both hands)"),
        ("three keyboards",),
        ("three", "two manuals"),
    ),
    Fault(
        "thumb on the manual below is everyday",
        lambda: hymn((5, "R.H. Sw."), (5, "R.H. Ch.")),
        lambda: hymn((5, "R.H. Sw."), (5, "R.H. thumb on Gt.")),
        ("two manuals",),
        ("two manuals", "three"),
    ),
)


def bars_solo(sent: str, language: str = "en") -> Piece:
    piece = head(language).repeat_bars(4, *CHORDS).repeat_bars(3, *LINE).bar(*LINE_REST).repeat_bars(4, *CHORDS)
    return piece.text(5, 1, sent)


def solo_crossing(coupler: str | None, language: str = "en") -> Piece:
    """A solo that strikes a key which the left hand holds on the other manual."""
    right, home = {"en": ("R.H. Sw.", "R.H. Gt."), "de": ("r.H. II. Man.", "r.H. I. Man.")}[language]
    piece = (
        head(language).repeat_bars(3, *CHORDS).repeat_bars(4, "G4 C4 E4 D4", "C4+E3:4", "C3:4").repeat_bars(2, *CHORDS)
    )
    piece.text(4, 1, right).text(8, 1, home)
    return piece.text(2, 1, coupler) if coupler else piece


def held_over(words: str, language: str = "en") -> Piece:
    piece = (
        head(language)
        .repeat_bars(3, *CHORDS)
        .bar("C4+E4+G4:4~", "C3+G3:4", "C3:4")
        .bar("C4+E4+G4:4=", "C3+G3:4", "C3:4")
    )
    return piece.repeat_bars(2, *CHORDS).text(5, 1, words, above=False)

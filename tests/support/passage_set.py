"""Forty and more solo passages composed for this project, with the boundaries a player would take.

All kinds: right hand, tenor, pedal, duet, trio; clear and ambiguous ends and starts; English, French, German; two,
three and separate staves. What begins and ends a solo: common practice, no source. The weights of the evidence were
set before this set was composed and have not been fitted to it; figures are given for its two halves apart.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path

from core.analysis import analyse
from core.organ.model import Organ
from core.organ.reading import load_organ
from core.position import Position
from core.score.reading import read_score
from core.score.source import source_from_bytes
from making import Piece
from organs import small_organ


@dataclass(frozen=True)
class Expected:
    """A passage: hand, division (role), first bar and beat, last; `end` None where nothing marks it."""

    hand: str
    division: str
    start: str
    end: str | None
    likeliest: str | None = None
    start_marked: bool = True


@dataclass(frozen=True)
class Case:
    name: str
    organ: str
    make: Callable[[], Piece]
    passages: tuple[Expected, ...] = field(default_factory=tuple)


# Chordal bars (right hand, left hand, pedal), bars with a line above, and bars with a tenor line, in 4/4 and 3/4.
CHORDS_4 = (
    ("C4+E4+G4 E4+G4+C5 F4+A4+C5 D4+G4+B4", "C3+G3:2 F3+A3 G3+B3", "C3 E3 F3 G2"),
    ("E4+G4+C5:2 D4+F4+A4 D4+G4+B4", "C3+G3:2 D3+A3 G2+F3", "C3:2 D3 G2"),
    ("C4+F4+A4 D4+F4+B4 E4+G4+C5:2", "F3+C4 G3+D4 C3+G3:2", "F2 G2 C3:2"),
    ("E4+A4+C5 F4+A4+D5 D4+G4+B4 E4+G4+C5", "A2+E3 D3+A3 G3+B3 C3+G3", "A2 D3 G2 C3"),
)
LINE_4 = (
    ("G4( A4 B4:1/2 C5:1/2 D5)", "C3+E3+G3:2 D3+F3+A3:2", "C3:2 D3:2"),
    ("E5:3/2( D5:1/2 C5 B4)", "C3+E3+G3:2 G2+D3+F3:2", "C3:2 G2:2"),
    ("A4( C5 E5 D5)", "F3+A3:2 D3+F3:2", "F2:2 D3:2"),
    ("C5( B4 A4 G4)", "E3+G3:2 C3+F3:2", "C3:2 F2:2"),
)
LINE_REST_4 = ("C5:2 r:2", "C3+E3+G3:2 D3+F3+G3:2", "C3:2 G2:2")
LINE_CLOSE_4 = ("C5:4", "C3+E3+G3:4", "C3:4")
TENOR_4 = (
    ("E4+G4+C5:2 F4+A4+C5:2", "C4( B3 A3 G3)", "C3:2 F3:2"),
    ("D4+G4+B4:2 E4+G4+C5:2", "F3( G3 A3 G3)", "G2:2 C3:2"),
)
TENOR_REST_4 = ("E4+G4+C5:4", "C4:2 r:2", "C3:4")
DUET_4 = (("C5( D5 E5:2)", "A3( G3 F3:2)", "F2:2 D3:2"), ("F5( E5 D5 C5)", "D4( C4 B3 A3)", "G2:2 F2:2"))
DUET_REST_4 = ("C5:2 r:2", "E3:2 r:2", "C3:4")
CHORDS_3 = (
    ("D4+F4+A4 F4+A4+D5 E4+A4+C5", "D3+A3 D3+F3 A2+E3", "D3:2 A2"),
    ("F4+Bb4+D5:2 E4+G4+C5", "Bb2+F3:2 C3+G3", "Bb2:2 C3"),
)
LINE_3 = (
    ("A4( Bb4 C5)", "F3+A3:2 F3+C4", "F2:3"),
    ("D5:2( C5)", "Bb2+F3:3", "Bb2:3"),
    ("Bb4( A4 G4)", "C3+E3:3", "C3:3"),
)
LINE_REST_3 = ("F4:2 r", "F2+C3+A3:3", "F2:3")


@cache
def organ_of(case: Case) -> Organ:
    """The invented organ a case is played on."""
    if case.organ == "en":
        return small_organ()
    return load_organ(Path(__file__).parent / "organs_lists" / f"{case.organ}.txt")


def outcome(case: Case) -> list[Expected]:
    """The passages found in a case, in the terms of `Expected`."""
    organ = organ_of(case)
    analysis = analyse(read_score(source_from_bytes(case.make().xml(), case.name)), organ)
    found = []
    for passage in analysis.passages:
        end = "end" if passage.end_onset == analysis.score.end else _place(passage.end)
        best = passage.proposals[0].at if passage.proposals and not passage.marked_end else None
        role = organ.division(passage.division).role.value if passage.division else ""
        found.append(Expected(passage.hand, role, _place(passage.start) or "", end, _place(best), passage.marked_start))
    return found


def _place(position: Position | None) -> str | None:
    if position is None:
        return None
    return position.measure if position.beat == 1 else f"{position.measure}.{position.beat}"


def opened_en(title: str, **more: object) -> Piece:
    piece = Piece(title=f"{title} (invented)", **more).tempo("Andante", 76)
    for line in ("Sw. Oboe", "Gt. Clarabella 8", "Ch. Clarinet", "Ped. Bourdon 16"):
        piece.text(1, 1, line)
    return piece.text(1, 1, "Gt.", above=False)


def opened_fr(title: str, **more: object) -> Piece:
    piece = Piece(title=f"{title} (invented)", part_name="Orgue", **more).tempo("Lent", 60)
    for line in ("R. Hautbois 8", "G. Flûte harmonique 8", "Pos. Salicional 8", "Péd. Soubasse 16"):
        piece.text(1, 1, line)
    return piece.text(1, 1, "G.", above=False)


def opened_de(title: str, **more: object) -> Piece:
    piece = Piece(title=f"{title} (invented)", part_name="Orgel", **more).tempo("Ruhig", 66)
    for line in ("II. Man. Oboe 8'", "I. Man. Gamba 8', Rohrflöte 8'", "Ped. Subbass 16'"):
        piece.text(1, 1, line)
    return piece.text(1, 1, "I. Man.", above=False)


def bars(piece: Piece, *groups: tuple[int, tuple[tuple[str, str, str], ...]], staves: int = 3) -> Piece:
    """Append bars from materials: (count, bars that take turns)."""
    for count, material in groups:
        for n in range(count):
            piece.bar(*material[n % len(material)][:staves])
    return piece


def chords_solo_chords(piece: Piece, solo: int = 7, *, staves: int = 3) -> Piece:
    """Four bars of chords, a solo of `solo` bars and a bar of rest, five bars of chords."""
    return bars(piece, (4, CHORDS_4), (solo, LINE_4), (1, (LINE_REST_4,)), (5, CHORDS_4), staves=staves)


def waltz(piece: Piece) -> Piece:
    return bars(piece, (4, CHORDS_3), (7, LINE_3), (1, (LINE_REST_3,)), (4, CHORDS_3))


def right(
    start: str, end: str | None, likeliest: str | None = None, *, marked: bool = True, on: str = "swell"
) -> Expected:
    return Expected("right", on, start, end, likeliest, marked)


def left(start: str, end: str | None, likeliest: str | None = None, *, on: str = "swell") -> Expected:
    return Expected("left", on, start, end, likeliest)


def tenor(piece: Piece) -> Piece:
    return bars(piece, (4, CHORDS_4), (7, TENOR_4), (1, (TENOR_REST_4,)), (5, CHORDS_4))


def duet(piece: Piece) -> Piece:
    return bars(piece, (4, CHORDS_4), (7, DUET_4), (1, (DUET_REST_4,)), (4, CHORDS_4))


def cantus(piece: Piece) -> Piece:
    silent = tuple((upper, lower, "r:4") for upper, lower, _ in CHORDS_4)
    high = tuple((upper, lower, "C4( D4 E4 D4)") for upper, lower, _ in CHORDS_4)
    return bars(piece, (3, silent), (6, high), (4, CHORDS_4))


CASES: tuple[Case, ...] = (
    Case(
        "en-next-manual",
        "en",
        lambda: chords_solo_chords(opened_en("Air")).text(5, 1, "R.H. Sw.").text(13, 1, "Gt."),
        (right("5", "13"),),
    ),
    Case(
        "en-both-hands",
        "en",
        lambda: (
            chords_solo_chords(opened_en("Second Air"))
            .text(5, 1, "Sw. Solo")
            .text(13, 1, "Gt. both hands", above=False)
        ),
        (right("5", "13"),),
    ),
    Case(
        "en-end-solo",
        "en",
        lambda: chords_solo_chords(opened_en("Third Air")).text(5, 1, "Solo: Sw.").text(13, 1, "end solo"),
        (right("5", "13"),),
    ),
    Case(
        "en-tutti",
        "en",
        lambda: (
            chords_solo_chords(opened_en("Fourth Air"))
            .text(5, 1, "R.H. Ch. Clarinet")
            .text(13, 1, "Full Gt.", above=False)
        ),
        (right("5", "13", on="choir"),),
    ),
    Case(
        "en-bracket-line",
        "en",
        lambda: chords_solo_chords(opened_en("Fifth Air")).text(5, 1, "Ch.").bracket(5, 12),
        (right("5", "12.3", on="choir"),),
    ),
    Case(
        "en-square-words",
        "en",
        lambda: chords_solo_chords(opened_en("Sixth Air")).text(5, 1, "[ R.H. Sw.").text(12, 1, "]"),
        (right("5", "12.3"),),
    ),
    Case(
        "en-nothing-chords",
        "en",
        lambda: chords_solo_chords(opened_en("Seventh Air")).text(5, 1, "R.H. Sw."),
        (right("5", None, "13"),),
    ),
    Case(
        "en-nothing-double-bar",
        "en",
        lambda: chords_solo_chords(opened_en("Eighth Air")).text(5, 1, "Sw. Solo").double_bar(12),
        (right("5", None, "13"),),
    ),
    Case(
        "en-nothing-key",
        "en",
        lambda: chords_solo_chords(opened_en("Ninth Air")).text(5, 1, "Ch. Clarinet solo").key_change(13, 2),
        (right("5", None, "13", on="choir"),),
    ),
    Case(
        "en-decoys",
        "en",
        lambda: (
            chords_solo_chords(opened_en("Tenth Air"), 8)
            .text(5, 1, "R.H. Sw.")
            .text(7, 1, "add Salicional")
            .text(8, 1, "Trem.")
            .text(9, 1, "Sw. box open")
            .text(10, 1, "Ped. add Bass Flute", staff=3, above=False)
            .text(14, 1, "Gt.")
        ),
        (right("5", "14"),),
    ),
    Case(
        "en-to-the-end",
        "en",
        lambda: bars(
            opened_en("Eleventh Air"),
            (4, CHORDS_4),
            (6, LINE_4),
            (1, (LINE_REST_4,)),
            (4, LINE_4),
            (1, (LINE_CLOSE_4,)),
        ).text(5, 1, "R.H. Sw."),
        (right("5", "end"),),
    ),
    Case(
        "en-again",
        "en",
        lambda: (
            bars(opened_en("Twelfth Air"), (4, CHORDS_4), (5, LINE_4), (4, CHORDS_4), (4, LINE_4), (1, (LINE_CLOSE_4,)))
            .text(5, 1, "Sw. Solo")
            .text(14, 1, "Sw. Solo")
        ),
        (right("5", None, "10"), right("14", "end")),
    ),
    Case(
        "en-opening-returns",
        "en",
        lambda: (
            bars(
                opened_en("Thirteenth Air"),
                (4, LINE_4),
                (3, LINE_4[1:]),
                (1, (LINE_REST_4,)),
                (4, LINE_4),
                (1, (LINE_CLOSE_4,)),
            )
            .text(5, 1, "R.H. Sw.")
            .dynamic(5, "p")
            .dynamic(9, "mf")
        ),
        (right("5", None, "9"),),
    ),
    Case(
        "en-tempo",
        "en",
        lambda: (
            chords_solo_chords(opened_en("Fourteenth Air"))
            .text(5, 1, "R.H. Ch.")
            .direction(13, 1, "<words>Tempo primo</words>")
        ),
        (right("5", None, "13", on="choir"),),
    ),
    Case(
        "en-rehearsal",
        "en",
        lambda: chords_solo_chords(opened_en("Fifteenth Air"), 6).text(5, 1, "Sw. Solo").rehearsal(12, "B"),
        (right("5", None, "12"),),
    ),
    Case(
        "en-tenor",
        "en",
        lambda: (
            tenor(opened_en("Tenor Air"))
            .text(5, 1, "L.H. Sw.", staff=2, above=False)
            .text(13, 1, "L.H. Gt.", staff=2, above=False)
        ),
        (left("5", "13"),),
    ),
    Case(
        "en-tenor-nothing",
        "en",
        lambda: tenor(opened_en("Second Tenor Air")).text(5, 1, "L.H. Ch.", staff=2, above=False),
        (left("5", None, "13", on="choir"),),
    ),
    Case(
        "en-held-start",
        "en",
        lambda: (
            bars(
                opened_en("Doubtful Air"),
                (3, CHORDS_4),
                (1, (("C4+E4+G4:3 E5", "C3+G3:4", "C3:4"),)),
                (6, LINE_4),
                (1, (LINE_REST_4,)),
                (4, CHORDS_4),
            )
            .text(4, 3, "Sw. Solo")
            .text(12, 1, "Gt.")
        ),
        (right("4.4", "12", marked=False),),
    ),
    Case(
        "en-rest-start",
        "en",
        lambda: (
            bars(
                opened_en("Clear Air"),
                (4, CHORDS_4),
                (1, (("r G4 A4 B4", "C3+G3:4", "C3:4"),)),
                (6, LINE_4),
                (1, (LINE_REST_4,)),
                (4, CHORDS_4),
            )
            .text(5, 1, "Sw. Solo")
            .text(13, 1, "Gt.")
        ),
        (right("5.2", "13"),),
    ),
    Case(
        "en-dialogue",
        "en",
        lambda: (
            bars(opened_en("Dialogue"), (12, CHORDS_4)).text(5, 1, "Sw.", above=False).text(9, 1, "Gt.", above=False)
        ),
        (),
    ),
    Case(
        "en-two-solos",
        "en",
        lambda: (
            bars(opened_en("Two Voices"), (4, CHORDS_4), (4, LINE_4), (4, LINE_4), (4, CHORDS_4))
            .text(5, 1, "R.H. Sw.")
            .text(9, 1, "R.H. Ch.")
            .text(13, 1, "R.H. Gt.")
        ),
        (right("5", "9"), right("9", "13", on="choir")),
    ),
    Case(
        "en-waltz",
        "en",
        lambda: waltz(opened_en("Waltz", time="3/4", fifths=-1)).text(5, 1, "Sw. Solo").text(13, 1, "Gt."),
        (right("5", "13"),),
    ),
    Case(
        "en-waltz-nothing",
        "en",
        lambda: waltz(opened_en("Second Waltz", time="3/4", fifths=-1)).text(5, 1, "Sw. Solo"),
        (right("5", None, "13"),),
    ),
    Case(
        "en-two-staves",
        "en",
        lambda: (
            chords_solo_chords(opened_en("Manual Air", staves=2), staves=2).text(5, 1, "R.H. Sw.").text(13, 1, "Gt.")
        ),
        (right("5", "13"),),
    ),
    Case(
        "en-two-staves-nothing",
        "en",
        lambda: (
            chords_solo_chords(opened_en("Second Manual Air", staves=2), staves=2).text(5, 1, "Sw. Solo").double_bar(12)
        ),
        (right("5", None, "13"),),
    ),
    Case(
        "fr-next-manual",
        "fr",
        lambda: chords_solo_chords(opened_fr("Cantilène")).text(5, 1, "m.d. R.").text(13, 1, "G."),
        (right("5", "13"),),
    ),
    Case(
        "fr-hands",
        "fr",
        lambda: (
            chords_solo_chords(opened_fr("Prière"))
            .text(5, 1, "m.d. Récit")
            .text(8, 1, "m.g. Pos.", staff=2, above=False)
            .text(13, 1, "m.d. G.")
            .text(13, 1, "m.g. G.", staff=2, above=False)
        ),
        (right("5", "13"),),
    ),
    Case(
        "fr-fin-du-solo",
        "fr",
        lambda: chords_solo_chords(opened_fr("Romance")).text(5, 1, "Récit solo").text(13, 1, "fin du solo"),
        (right("5", "13"),),
    ),
    Case(
        "fr-nothing",
        "fr",
        lambda: chords_solo_chords(opened_fr("Élégie")).text(5, 1, "R. solo").dynamic(13, "f"),
        (right("5", None, "13"),),
    ),
    Case(
        "fr-tenor",
        "fr",
        lambda: (
            tenor(opened_fr("Offertoire")).text(5, 1, "m.g. R.", staff=2, above=False).text(13, 1, "G.", above=False)
        ),
        (left("5", "13"),),
    ),
    Case(
        "fr-tenor-nothing",
        "fr",
        lambda: tenor(opened_fr("Verset")).text(5, 1, "m.g. Récit", staff=2, above=False).double_bar(12),
        (left("5", None, "13"),),
    ),
    Case(
        "fr-grand-choeur",
        "fr",
        lambda: (
            chords_solo_chords(opened_fr("Sortie")).text(5, 1, "m.d. Pos. Clarinette").text(13, 1, "Tutti", above=False)
        ),
        (right("5", "13", on="positive"),),
    ),
    Case(
        "fr-pedal",
        "fr",
        lambda: cantus(
            Piece(title="Choral (invented)", part_name="Orgue")
            .tempo("Calme", 60)
            .text(1, 1, "G. Flûte harmonique 8")
            .text(1, 1, "G.", above=False)
            .text(1, 1, "Péd. Flûte 4", staff=3)
        ).text(10, 1, "Péd. Soubasse 16", staff=3),
        (Expected("feet", "pedal", "4", "10"),),
    ),
    Case(
        "fr-dialogue",
        "fr",
        lambda: bars(opened_fr("Dialogue"), (12, CHORDS_4)).text(5, 1, "R.", above=False).text(9, 1, "G.", above=False),
        (),
    ),
    Case(
        "de-next-manual",
        "de",
        lambda: chords_solo_chords(opened_de("Andacht")).text(5, 1, "r.H. II. Man.").text(13, 1, "I. Man."),
        (right("5", "13"),),
    ),
    Case(
        "de-ende",
        "de",
        lambda: (
            chords_solo_chords(opened_de("Zweite Andacht")).text(5, 1, "II. Man. Solo").text(13, 1, "Ende des Solos")
        ),
        (right("5", "13"),),
    ),
    Case(
        "de-nothing",
        "de",
        lambda: chords_solo_chords(opened_de("Dritte Andacht")).text(5, 1, "r.H. II"),
        (right("5", None, "13"),),
    ),
    Case(
        "de-nothing-double-bar",
        "de",
        lambda: waltz(opened_de("Ländler", time="3/4", fifths=-1)).text(5, 1, "II. Man. Solo").double_bar(12),
        (right("5", None, "13"),),
    ),
    Case(
        "de-duet",
        "de",
        lambda: (
            duet(opened_de("Duett"))
            .text(5, 1, "r.H. II. Man.")
            .text(5, 1, "l.H. I. Man.", staff=2, above=False)
            .text(13, 1, "I. Man.", above=False)
        ),
        (right("5", "13"), left("5", "13", on="great")),
    ),
    Case(
        "de-tenor",
        "de",
        lambda: (
            tenor(opened_de("Tenorchoral"))
            .text(5, 1, "l.H. II. Man.", staff=2, above=False)
            .text(13, 1, "beide Hände I. Man.")
        ),
        (left("5", "13"),),
    ),
    Case(
        "de-pedal",
        "de",
        lambda: cantus(
            Piece(title="Cantus (invented)", part_name="Orgel")
            .tempo("Ruhig", 60)
            .text(1, 1, "I. Man. Rohrflöte 8'")
            .text(1, 1, "I. Man.", above=False)
            .text(1, 1, "Ped. Oktave 4' (c. f.)", staff=3)
        ).text(10, 1, "Ped. Subbass 16'", staff=3),
        (Expected("feet", "pedal", "4", "10"),),
    ),
    Case(
        "de-volles-werk",
        "de",
        lambda: (
            chords_solo_chords(opened_de("Nachspiel"))
            .text(5, 1, "II. Man. Oboe 8' Solo")
            .text(13, 1, "Volles Werk", above=False)
        ),
        (right("5", "13"),),
    ),
)

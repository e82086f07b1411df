"""More solo passages composed for this project: other layouts, words, languages, decoys and kinds of evidence.

What begins and ends a solo: common practice, no source. Not used to set the weights.
"""

from __future__ import annotations

from making import Piece
from passage_set import (
    CHORDS_4,
    DUET_4,
    DUET_REST_4,
    LINE_4,
    LINE_CLOSE_4,
    LINE_REST_4,
    TENOR_4,
    Case,
    Expected,
    bars,
    left,
    opened_de,
    opened_en,
    opened_fr,
    right,
)

E = Expected


def air(piece: Piece, *, solo: int = 7, rest: bool = True, tail: int = 5) -> Piece:
    """Four bars of chords, a solo that closes with a rest or a long note, then chords (solo bars 5 to 12)."""
    return bars(piece, (4, CHORDS_4), (solo, LINE_4), (1, (LINE_REST_4 if rest else LINE_CLOSE_4,)), (tail, CHORDS_4))


def apart(language: str = "en") -> Piece:
    """Manuals and pedal in parts of their own."""
    opened = {"en": opened_en, "fr": opened_fr, "de": opened_de}[language]
    return opened("Air in parts", parts=(("Manuals", 2), ("Pedal", 1)))


def three_parts(*texts: tuple[int, str, int]) -> Piece:
    piece = Piece(title="Trio (invented)", parts=(("R.H.", 1), ("L.H.", 1), ("Pedal", 1))).tempo("Andante", 76)
    for bar, words, staff in texts:
        piece.text(bar, 1, words, staff=staff)
    return piece


def choral() -> Piece:
    piece = air(opened_en("Anthem", choir="Soprano"))
    for bar in (2, 3, 13, 14, 15):
        piece.sing(bar, "C5:2 D5:2")
    return piece.text(5, 1, "R.H. Sw.")


def thumbed() -> Piece:
    """The left hand accompanies on the Swell, the right thumb plays the melody on the Choir below."""
    piece = opened_en("Thumbed").text(5, 1, "L.H. Ch. (thumb)", staff=2)
    return bars(piece, (4, CHORDS_4), (7, TENOR_4), (1, TENOR_4[:1]), (4, CHORDS_4)).text(13, 1, "Gt.", above=False)


def tune_again() -> Piece:
    """The same solo marked twice; the first ended at the double bar where chords begin."""
    piece = bars(opened_en("Twice"), (4, CHORDS_4), (5, LINE_4), (1, (LINE_REST_4,)), (4, CHORDS_4))
    bars(piece, (5, LINE_4), (1, (LINE_CLOSE_4,)), (3, CHORDS_4))
    return piece.text(5, 1, "R.H. Sw.").text(15, 1, "R.H. Sw.").text(21, 1, "Gt.").double_bar(10)


def pedal_tune(piece: Piece, mark: str, end: str | None) -> Piece:
    silent = tuple((upper, lower, "r:4") for upper, lower, _ in CHORDS_4)
    high = tuple((upper, lower, "C4( D4 E4 D4)") for upper, lower, _ in CHORDS_4)
    bars(piece, (3, silent), (6, high), (4, CHORDS_4)).text(4, 1, mark, staff=3)
    return piece.text(10, 1, end, staff=3) if end else piece


def ends_with(language: str, sent: str, words: str, **more: bool) -> Piece:
    opened = {"en": opened_en, "fr": opened_fr, "de": opened_de}[language]
    return air(opened("Air")).text(5, 1, sent).text(13, 1, words, above=more.get("above", True))


def decoys(language: str, sent: str, words: tuple[str, ...], back: str) -> Piece:
    opened = {"en": opened_en, "fr": opened_fr, "de": opened_de}[language]
    piece = air(opened("Decoys")).text(5, 1, sent)
    for bar, word in enumerate(words, 6):
        piece.text(bar, 1, word)
    return piece.text(13, 1, back, above=False)


def trio_two_staves() -> Piece:
    piece = Piece(title="Trio on two staves (invented)", staves=2).tempo("Andante", 76)
    piece.text(1, 1, "Sw. Oboe").text(1, 1, "Ch. Lieblich Gedackt 8", staff=2)
    return bars(piece, (7, DUET_4), (1, (DUET_REST_4,)), (4, CHORDS_4), staves=2).text(
        9, 1, "Gt. Clarabella", above=False
    )


def after_rest(*material: tuple[str, str, str], close: tuple[str, str, str] = LINE_REST_4) -> Piece:
    """A high solo from bar 5 that comes to rest in bar 12; from bar 13 the right hand plays something else."""
    piece = bars(opened_en("Change"), (4, CHORDS_4), (7, LINE_4), (1, (close,)), (6, material))
    return piece.text(5, 1, "R.H. Sw.")


MORE: tuple[Case, ...] = (
    Case(
        "dashes after Solo",
        "en",
        lambda: air(opened_en("Dashes")).text(5, 1, "Sw. Solo").dashes(5, 12),
        (right("5", "12.3"),),
    ),
    Case(
        "bracket over parts apart", "en", lambda: air(apart()).text(5, 1, "Sw.").bracket(5, 12), (right("5", "12.3"),)
    ),
    Case(
        "square words, left hand",
        "en",
        lambda: (
            bars(opened_en("Tenor"), (4, CHORDS_4), (8, TENOR_4), (4, CHORDS_4))
            .text(5, 1, "[ L.H. Sw.", staff=2)
            .text(12, 1, "]", staff=2)
        ),
        (left("5", "12.2"),),
    ),
    Case(
        "square words, French",
        "fr",
        lambda: air(opened_fr("Air")).text(5, 1, "[ m.d. R.").text(12, 1, "]"),
        (right("5", "12.3"),),
    ),
    Case("solo off", "en", lambda: ends_with("en", "R.H. Sw.", "solo off"), (right("5", "13"),)),
    Case("end of solo", "en", lambda: ends_with("en", "Sw. Solo", "end of solo"), (right("5", "13"),)),
    Case("fin du solo", "fr", lambda: ends_with("fr", "R. solo", "fin du solo"), (right("5", "13"),)),
    Case("Solo Ende", "de", lambda: ends_with("de", "r.H. II. Man. Solo", "Solo Ende"), (right("5", "13"),)),
    Case("Tutti", "en", lambda: ends_with("en", "Sw. Solo", "Tutti", above=False), (right("5", "13"),)),
    Case("Tutti, French", "fr", lambda: ends_with("fr", "m.d. R.", "Tutti", above=False), (right("5", "13"),)),
    Case("Tutti, German", "de", lambda: ends_with("de", "r.H. II. Man.", "Tutti", above=False), (right("5", "13"),)),
    Case("Full Organ", "en", lambda: ends_with("en", "R.H. Sw.", "Full Organ", above=False), (right("5", "13"),)),
    Case("other stops", "en", lambda: ends_with("en", "R.H. Sw.", "Sw. Salicional"), (right("5", "13"),)),
    Case(
        "other stops, German",
        "de",
        lambda: ends_with("de", "r.H. II. Man.", "II. Man. Gedackt 8'"),
        (right("5", "13"),),
    ),
    Case("other hand joins", "en", lambda: ends_with("en", "R.H. Sw.", "L.H. Sw."), (right("5", "13"),)),
    Case("other hand joins, French", "fr", lambda: ends_with("fr", "m.d. R.", "m.g. R."), (right("5", "13"),)),
    Case("both hands home, French", "fr", lambda: ends_with("fr", "m.d. R.", "G.O.", above=False), (right("5", "13"),)),
    Case("hand home, by letter", "de", lambda: ends_with("de", "r.H. II", "r.H. I"), (right("5", "13"),)),
    Case(
        "decoys",
        "en",
        lambda: decoys(
            "en",
            "R.H. Sw.",
            ("add Cornopean", "+ Trem.", "Sw. box open", "L.H. Ch.", "Ped. add Bass Flute 8", "Sw. to Ped."),
            "Gt.",
        ),
        (right("5", "13"),),
    ),
    Case(
        "decoys, French",
        "fr",
        lambda: decoys(
            "fr",
            "m.d. R.",
            ("R. ajoutez Flûte traversière 8", "trémolo", "boîte ouverte", "Péd. ajoutez Flûte 8"),
            "G.",
        ),
        (right("5", "13"),),
    ),
    Case(
        "decoys, German",
        "de",
        lambda: decoys(
            "de",
            "r.H. II. Man.",
            ("+ Gedackt 8'", "mit Tremulant", "Schweller auf", "Ped. + Principalbass 8'"),
            "I. Man.",
        ),
        (right("5", "13"),),
    ),
    Case(
        "editor's brackets are decoys",
        "en",
        lambda: decoys("en", "R.H. Sw.", ("[add Gedackt]", "[p]"), "Gt."),
        (right("5", "13"),),
    ),
    Case(
        "reminder is a decoy",
        "en",
        lambda: air(opened_en("Reminder")).text(5, 1, "R.H. Sw.").text(8, 1, "(Sw.)").text(13, 1, "Gt."),
        (right("5", "13"),),
    ),
    Case("thumbed melody", "en", thumbed, (left("5", "13", on="choir"),)),
    Case(
        "trio in three parts",
        "en",
        lambda: bars(
            three_parts(
                (1, "Sw. Oboe", 1),
                (1, "Ch. Lieblich Gedackt 8", 2),
                (1, "Bourdon 16", 3),
                (9, "Gt. Clarabella", 1),
                (9, "Gt.", 2),
            ),
            (7, DUET_4),
            (1, (DUET_REST_4,)),
            (4, CHORDS_4),
        ),
        (E("left", "choir", "1", "9"), E("right", "swell", "1", "9")),
    ),
    Case("trio on two staves", "en", trio_two_staves, (E("left", "choir", "1", "9"), E("right", "swell", "1", "9"))),
    Case(
        "duet, French",
        "fr",
        lambda: (
            bars(opened_fr("Duo"), (4, CHORDS_4), (7, DUET_4), (1, (DUET_REST_4,)), (4, CHORDS_4))
            .text(5, 1, "m.d. R., m.g. Pos.")
            .text(13, 1, "G.", above=False)
        ),
        (E("left", "positive", "5", "13"), E("right", "swell", "5", "13")),
    ),
    Case(
        "pedal at 4 ft",
        "en",
        lambda: pedal_tune(
            Piece(title="Pedal tune (invented)")
            .tempo("Andante", 76)
            .text(1, 1, "Gt. Clarabella 8")
            .text(1, 1, "Gt.", above=False),
            "Ped. Choral Bass 4 alone",
            "Ped. Bourdon 16, Bass Flute 8",
        ),
        (E("feet", "pedal", "4", "10"),),
    ),
    Case(
        "pedal reed with c.f., German",
        "de",
        lambda: pedal_tune(opened_de("Choral"), "Ped. Oktave 4' (c.f.)", "Ped. Subbass 16'"),
        (E("feet", "pedal", "4", "10"),),
    ),
    Case(
        "full organ in both hands is no solo",
        "en",
        lambda: air(opened_en("None")).text(5, 1, "Full Sw.", above=False),
        (),
    ),
    Case(
        "echo, both hands",
        "fr",
        lambda: air(opened_fr("Écho")).text(5, 1, "R.", above=False).text(9, 1, "G.", above=False),
        (),
    ),
    Case(
        "left hand sent for chords",
        "en",
        lambda: (
            bars(opened_en("Chords apart"), (12, CHORDS_4))
            .text(5, 1, "L.H. Sw.", staff=2)
            .text(9, 1, "L.H. Gt.", staff=2)
        ),
        (),
    ),
    Case("choir re-enters", "en", choral, (right("5", None, "13"),)),
    Case(
        "fermata and chords",
        "en",
        lambda: bars(
            opened_en("Fermata"), (4, CHORDS_4), (7, LINE_4), (1, (("C5:4^", "C3+E3+G3:4", "C3:4"),)), (5, CHORDS_4)
        ).text(5, 1, "R.H. Sw."),
        (right("5", None, "13"),),
    ),
    Case(
        "time changes",
        "en",
        lambda: air(opened_en("Key"), rest=False).text(5, 1, "R.H. Sw.").key_change(13, 2),
        (right("5", None, "13"),),
    ),
    Case("same solo again", "en", tune_again, (right("5", None, "11"), right("15", "21"))),
    Case(
        "no word, French",
        "fr",
        lambda: air(opened_fr("Sans fin")).text(5, 1, "R. solo").double_bar(12),
        (right("5", None, "13"),),
    ),
    Case(
        "no word, German",
        "de",
        lambda: air(opened_de("Ohne Ende")).text(5, 1, "r.H. II. Man. Solo").rehearsal(13, "C"),
        (right("5", None, "13"),),
    ),
    Case("no word, parts apart", "de", lambda: air(apart("de")).text(5, 1, "r.H. II. Man."), (right("5", None, "13"),)),
    Case(
        "no word, left hand, two staves",
        "en",
        lambda: bars(
            opened_en("Tenor", staves=2),
            (4, CHORDS_4),
            (7, TENOR_4),
            (1, (("E4+G4+C5:4", "C4:2 r:2", ""),)),
            (5, CHORDS_4),
            staves=2,
        ).text(5, 1, "L.H. Sw.", staff=2),
        (left("5", None, "13"),),
    ),
    Case(
        "left hand's staff without its name",
        "en",
        lambda: (
            air(opened_en("Other staff")).text(5, 1, "Sw. Solo", staff=2, above=False).text(13, 1, "Gt.", above=False)
        ),
        (right("5", "13", marked=False),),
    ),
    Case(
        "on an upbeat",
        "en",
        lambda: (
            bars(
                opened_en("Upbeat"),
                (3, CHORDS_4),
                (1, (("C4+E4+G4:3 G4(", "C3+G3:4", "C3:4"),)),
                (1, (("C5:2 B4 A4)", "C3+E3+G3:4", "C3:4"),)),
                (6, LINE_4),
                (1, (LINE_REST_4,)),
                (4, CHORDS_4),
            )
            .text(5, 1, "Sw. Solo")
            .text(13, 1, "Gt.")
        ),
        (right("4.4", "13", marked=False),),
    ),
    Case(
        "hands double each other",
        "en",
        lambda: after_rest(("C4 D4 E4 F4", "C3 D3 E3 F3", "C3:4"), ("G4 F4 E4 D4", "G3 F3 E3 D3", "G2:4")),
        (right("5", None, "13"),),
    ),
    Case(
        "hand joins the other",
        "en",
        lambda: after_rest(("B3 C4 D4 C4", "C3+E3+G3:4", "C3:4"), ("A3 B3 C4 D4", "D3+F3+A3:4", "D3:4")),
        (right("5", None, "13"),),
    ),
    Case(
        "fermata and dynamic",
        "en",
        lambda: after_rest(*LINE_4, close=("C5:3^ r", "C3+E3+G3:4", "C3:4")).dynamic(5, "p").dynamic(13, "mf"),
        (right("5", None, "13"),),
    ),
    Case(
        "tempo in words",
        "en",
        lambda: after_rest(*LINE_4).direction(13, 1, "<words>Più mosso</words>"),
        (right("5", None, "13"),),
    ),
    Case(
        "rest inside, on to the end",
        "en",
        lambda: bars(
            opened_en("On"), (4, CHORDS_4), (3, LINE_4), (1, (LINE_REST_4,)), (5, LINE_4), (1, (LINE_CLOSE_4,))
        ).text(5, 1, "R.H. Sw."),
        (right("5", "end"),),
    ),
    Case(
        "last chord closes the line",
        "en",
        lambda: bars(opened_en("Close"), (4, CHORDS_4), (8, LINE_4), (1, (("C4+E4+G4+C5:4", "C3+G3:4", "C3:4"),))).text(
            5, 1, "R.H. Sw."
        ),
        (right("5", "end"),),
    ),
    Case(
        "to the last bar, German",
        "de",
        lambda: bars(opened_de("Schluss"), (4, CHORDS_4), (7, LINE_4), (1, (LINE_CLOSE_4,))).text(
            5, 1, "r.H. II. Man."
        ),
        (right("5", "end"),),
    ),
)

"""Small scores in many layouts with the registration in force that a player would take, asked at places and passes.

What a marking does: common practice, no source; repeats and jumps as MusicXML 4.0 says. Composed for this project.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction

from fault_set import HEADS, head
from making import Piece
from walking import CHORDS

FOUR = ("E4+G4+C5:4", "C4:4", "C3+G3:4", "C3:4")


@dataclass(frozen=True)
class State:
    """What must hold in a bar (``"5"``, ``"5.3"`` for its third beat) the n-th time: roles of hands, stops by role."""

    at: str
    nth: int = 1
    hands: tuple[str | None, str | None] | None = None
    need: tuple[tuple[str, str], ...] = ()
    out: tuple[tuple[str, str], ...] = ()
    on: tuple[str, ...] = ()
    off: tuple[str, ...] = ()
    tremulant: bool | None = None
    box: str | None = None
    nothing: bool = False


@dataclass(frozen=True)
class StateCase:
    name: str
    organ: str
    make: Callable[[], Piece]
    states: tuple[State, ...]


def page(*texts: tuple[str, str], language: str = "en", bars: int = 10, **more: object) -> Piece:
    """Chords with markings: ("5", words) above, ("5_", words) between the staves, ("5.3", …), ("5p", …) at the pedal,
    ("5l", …) at the left hand's staff."""
    piece = head(language, **more).repeat_bars(bars, *CHORDS)
    return mark(piece, texts)


def mark(piece: Piece, texts: tuple[tuple[str, str], ...]) -> Piece:
    for place, words in texts:
        where, side = (place[:-1], place[-1]) if not place[-1].isdigit() else (place, "")
        bar, _, beat = where.partition(".")
        staff = {"p": 3, "l": 2}.get(side, 1)
        piece.text(int(bar), beat or 1, words, staff=staff, above=side in ("", "p"))
    return piece


def manuals_and_pedal(*texts: tuple[str, str]) -> Piece:
    piece = head(parts=(("Manuals", 2), ("Pedal", 1))).repeat_bars(10, *CHORDS)
    return mark(piece, texts)


def three_parts(*texts: tuple[str, str]) -> Piece:
    piece = Piece(parts=(("Right hand", 1), ("Left hand", 1), ("Pedal", 1))).tempo("Andante", 80)
    return mark(piece.repeat_bars(8, *CHORDS), texts)


def with_choir(*texts: tuple[str, str]) -> Piece:
    piece = head(choir="Soprano").repeat_bars(10, *CHORDS)
    return mark(piece.sing(3, "C5:4").sing(4, "D5:4"), texts)


def two_staves(*texts: tuple[str, str]) -> Piece:
    piece = (
        Piece(staves=2).tempo("Andante", 80).text(1, 1, "Gt. Open Diapason 8, Sw. Oboe").text(1, 1, "Gt.", above=False)
    )
    return mark(piece.repeat_bars(8, CHORDS[0], "C3+G3:2 F3+A3 G3+B3"), texts)


def four_staves(*texts: tuple[str, str]) -> Piece:
    piece = head(staves=4).repeat_bars(8, *FOUR)
    for place, words in texts:
        piece.text(int(place[:-1]), 1, words, staff={"a": 1, "b": 2, "c": 3, "p": 4}[place[-1]], above=place[-1] != "c")
    return piece


def split(words: tuple[str, ...], bar: int, **more: object) -> Piece:
    """A marking split over several words of one direction."""
    runs = "".join(f"<words>{word}</words>" for word in words)
    return page(**more).direction(bar, 1, runs)


def other(bar: int, words: str, language: str = "en") -> Piece:
    return page(language=language).direction(bar, 1, f"<other-direction>{words}</other-direction>")


def credited(language: str, *credits: str, first: str) -> Piece:
    piece = Piece().tempo(HEADS[language][2], 80)
    piece.credits.extend(credits)
    return piece.text(1, 1, first, above=False).repeat_bars(6, *CHORDS)


def endings() -> Piece:
    """Bars 1-2, a first ending in bars 3-4, a second in bars 5-6, then on."""
    piece = page(("4", "Gt. add Principal 4"), ("5", "Gt. Principal 4 off"), ("6_", "Sw."), bars=8)
    return piece.ending(3, 4, "1", back=True).ending(5, 6, "2", back=False)


def da_capo() -> Piece:
    piece = page(("5_", "Sw."), ("7", "Gt. add Principal 4"), bars=8)
    return piece.jump(4, "Fine", "fine").jump(8, "D.C. al Fine", "dacapo")


def movements() -> Piece:
    piece = page(("3", "Gt. add Principal 4"), ("4", "Sw. to Gt."), bars=4)
    piece.barlines[4] = "<bar-style>light-heavy</bar-style>"
    piece.repeat_bars(4, *CHORDS).number_again(5)
    return mark(piece, (("5", "Sw. Salicional"), ("5_", "Sw."), ("5p", "Ped. Bourdon 16")))


def footnoted(place: str, pointer: str, note: str, lines: tuple[str, ...] = ()) -> Piece:
    """A pointer in the staff, its note in the title block."""
    piece = page((place, pointer), bars=6, lines=lines)
    piece.credits.append(note)
    return piece


def signed(piece: Piece, bar: int, content: str, sound: str, *, last: bool) -> None:
    element = f"<direction><direction-type>{content}</direction-type><staff>1</staff><sound {sound}/></direction>"
    piece.directions.setdefault(bar, []).append((Fraction(90 if last else 0), 1, element))


def dal_segno() -> Piece:
    piece = page(("3", "Gt. add Principal 4"), ("6_", "Sw."))
    signed(piece, 2, "<segno/>", 'segno="a"', last=False)
    signed(piece, 4, "<words>To Coda</words>", 'tocoda="b"', last=True)
    signed(piece, 8, "<words>D.S. al Coda</words>", 'dalsegno="a"', last=True)
    signed(piece, 9, "<coda/>", 'coda="b"', last=False)
    return piece


def three_times() -> Piece:
    piece = page(("3", "Gt. add Principal 4"), bars=6).repeat(2, 4)
    piece.barlines[4] = '<bar-style>light-heavy</bar-style><repeat direction="backward" times="3"/>'
    return piece


S = State
GREAT, SWELL, BOTH_GREAT, BOTH_SWELL = "great", "swell", ("great", "great"), ("swell", "swell")
OD, P4, FLUTE = ("great", "Open Diapason 8"), ("great", "Principal 4"), ("great", "Clarabella 8")

CASES: tuple[StateCase, ...] = (
    StateCase(
        "stacked block in mid piece",
        "en",
        lambda: page(("5", "Sw. Salicional"), ("5", "Gt. Clarabella 8"), ("5", "Ch. Flute 4")),
        (
            S(
                "5",
                hands=BOTH_GREAT,
                need=(("swell", "Salicional 8"), FLUTE, ("choir", "Flute 4")),
                out=(OD, ("swell", "Oboe 8")),
            ),
        ),
    ),
    StateCase(
        "split words", "en", lambda: split(("Gt. add Prin", "cipal 4"), 5), (S("4", out=(P4,)), S("5", need=(OD, P4)))
    ),
    StateCase(
        "split words, French",
        "fr",
        lambda: split(("G", "d", " Orgue ajoutez Prestant"), 5, language="fr"),
        (S("5", need=(("great", "Prestant 4"), ("great", "Montre 8"))),),
    ),
    StateCase(
        "offset within the bar",
        "en",
        lambda: page(("5.3", "Gt. add Principal 4")),
        (S("5", out=(P4,)), S("5.3", need=(P4,))),
    ),
    StateCase(
        "manual in mid bar",
        "en",
        lambda: page(("5.3_", "Sw.")),
        (S("5.2", hands=BOTH_GREAT), S("5.3", hands=BOTH_SWELL)),
    ),
    StateCase("other-direction", "en", lambda: other(5, "Gt. add Principal 4"), (S("5", need=(P4,)),)),
    StateCase(
        "other-direction, German",
        "de",
        lambda: other(5, "Koppel II/I", "de"),
        (S("4", off=("swell-great",)), S("5", on=("swell-great",))),
    ),
    StateCase(
        "credits, English",
        "en",
        lambda: credited("en", "Prepare: Gt. Open Diapason 8; Sw. Oboe; Ped. Bourdon 16; Sw. to Gt.", first="Gt."),
        (S("1", hands=BOTH_GREAT, need=(OD, ("swell", "Oboe 8"), ("pedal", "Bourdon 16")), on=("swell-great",)),),
    ),
    StateCase(
        "credits in lines, French",
        "fr",
        lambda: credited("fr", "Préparez :\nR. Hautbois 8\nG. Montre 8, Bourdon 8\nPéd. Soubasse 16", first="G."),
        (
            S(
                "1",
                hands=BOTH_GREAT,
                need=(("swell", "Hautbois 8"), ("great", "Montre 8"), ("great", "Bourdon 8"), ("pedal", "Soubasse 16")),
            ),
        ),
    ),
    StateCase(
        "credits in lines, German",
        "de",
        lambda: credited(
            "de",
            "Registrierung:\nI. Man. Principal 8'\nII. Man. Gedackt 8', Flöte 4'\nPed. Subbass 16'",
            first="II. Man.",
        ),
        (S("1", hands=BOTH_SWELL, need=(("great", "Principal 8"), ("swell", "Flöte 4"), ("pedal", "Subbass 16"))),),
    ),
    StateCase(
        "several credits",
        "en",
        lambda: credited("en", "Sw. Oboe", "Gt. Open Diapason 8", "Ped. Bourdon 16", first="Gt."),
        (S("1", hands=BOTH_GREAT, need=(OD, ("swell", "Oboe 8"), ("pedal", "Bourdon 16"))),),
    ),
    StateCase(
        "prepared reeds called",
        "fr",
        lambda: page(("3", "Anches R. préparées"), ("6", "Anches R."), language="fr"),
        (S("4", out=(("swell", "Trompette 8"),)), S("6", need=(("swell", "Trompette 8"), ("swell", "Hautbois 8")))),
    ),
    StateCase(
        "prepared stop called",
        "en",
        lambda: page(("3", "prepare Sw. Cornopean"), ("6", "Sw. Cornopean")),
        (S("4", out=(("swell", "Cornopean 8"),)), S("6", need=(("swell", "Cornopean 8"),))),
    ),
    StateCase(
        "first and second time",
        "en",
        lambda: page(("3_", "1st time Gt., 2nd time Sw.")).repeat(3, 6),
        (S("4", hands=BOTH_GREAT), S("4", 2, hands=BOTH_SWELL)),
    ),
    StateCase(
        "first and second time, French",
        "fr",
        lambda: page(("3_", "1re fois G., 2e fois R."), language="fr").repeat(3, 6),
        (S("4", hands=BOTH_GREAT), S("4", 2, hands=BOTH_SWELL)),
    ),
    StateCase(
        "first and second time, German",
        "de",
        lambda: page(("3_", "1. Mal I. Man., 2. Mal II. Man."), language="de").repeat(3, 6),
        (S("4", hands=BOTH_GREAT), S("4", 2, hands=BOTH_SWELL)),
    ),
    StateCase(
        "second time alone",
        "en",
        lambda: page(("4", "2nd time: Gt. add Principal 4")).repeat(3, 6),
        (S("5", out=(P4,)), S("5", 2, need=(P4,)), S("8", need=(P4,))),
    ),
    StateCase(
        "second time alone, French",
        "fr",
        lambda: page(("3_", "2e fois R."), language="fr").repeat(3, 6),
        (S("4", hands=BOTH_GREAT), S("4", 2, hands=BOTH_SWELL)),
    ),
    StateCase(
        "endings",
        "en",
        endings,
        (S("1", out=(P4,)), S("4", need=(P4,)), S("1", 2, out=(P4,)), S("5", out=(P4,)), S("7", hands=BOTH_SWELL)),
    ),
    StateCase(
        "da capo al fine",
        "en",
        da_capo,
        (S("3", hands=BOTH_GREAT), S("6", hands=BOTH_SWELL), S("3", 2, hands=BOTH_GREAT, out=(P4,))),
    ),
    StateCase(
        "movements",
        "en",
        movements,
        (
            S("4", need=(OD, P4), on=("swell-great",)),
            S(
                "m2:2",
                hands=BOTH_SWELL,
                need=(("swell", "Salicional 8"),),
                out=(P4, OD, ("swell", "Oboe 8")),
                off=("swell-great",),
            ),
        ),
    ),
    StateCase(
        "box opens and closes",
        "en",
        lambda: page(
            ("2", "Sw. box closed"), ("4", "open Sw. box gradually"), ("6", "Sw. box open"), ("8", "Sw. box half open")
        ),
        (S("3", box="closed"), S("4", box="opening"), S("7", box="open"), S("8", box="half")),
    ),
    StateCase(
        "box, French",
        "fr",
        lambda: page(
            ("2", "R. boîte fermée"), ("4", "ouvrez peu à peu la boîte"), ("6", "boîte ouverte"), language="fr"
        ),
        (S("3", box="closed"), S("4", box="opening"), S("7", box="open")),
    ),
    StateCase(
        "box, German",
        "de",
        lambda: page(("2", "Schweller zu"), ("6", "Schweller auf"), language="de"),
        (S("3", box="closed"), S("7", box="open")),
    ),
    StateCase(
        "tremulant",
        "en",
        lambda: page(("3", "Sw. + Trem."), ("6", "Trem. off")),
        (S("2", tremulant=False), S("4", tremulant=True), S("6", tremulant=False)),
    ),
    StateCase(
        "tremulant, French",
        "fr",
        lambda: page(("3", "R. mettez le trémolo"), ("6", "ôtez le trémolo"), language="fr"),
        (S("4", tremulant=True), S("6", tremulant=False)),
    ),
    StateCase(
        "tremulant, German",
        "de",
        lambda: page(("3", "II. Man. mit Tremulant"), ("6", "ohne Tremulant"), language="de"),
        (S("4", tremulant=True), S("6", tremulant=False)),
    ),
    StateCase(
        "G.P.R. couples",
        "fr",
        lambda: page(("5_", "G.P.R."), language="fr"),
        (S("5", hands=BOTH_GREAT, on=("positive-great", "swell-great")),),
    ),
    StateCase(
        "G.R. with stops",
        "fr",
        lambda: page(("5", "G.R. Fonds 8"), language="fr"),
        (S("5", on=("swell-great",), need=(("great", "Montre 8"), ("swell", "Flûte traversière 8"))),),
    ),
    StateCase(
        "tirasses",
        "fr",
        lambda: page(("3", "Tirasse R."), ("5", "Tirasse G."), ("7", "ôtez tirasses"), language="fr"),
        (
            S("4", on=("swell-pedal",)),
            S("6", on=("swell-pedal", "great-pedal")),
            S("8", off=("great-pedal", "swell-pedal")),
        ),
    ),
    StateCase(
        "full organ",
        "en",
        lambda: page(("5_", "Full Organ")),
        (
            S(
                "5",
                hands=BOTH_GREAT,
                need=(OD, P4, ("great", "Trumpet 8"), ("swell", "Cornopean 8"), ("pedal", "Trombone 16")),
                out=(("swell", "Voix Celestes 8"),),
            ),
        ),
    ),
    StateCase(
        "full organ, French",
        "fr",
        lambda: page(("5_", "Grand chœur"), language="fr"),
        (
            S(
                "5",
                hands=BOTH_GREAT,
                need=(("great", "Trompette 8"), ("swell", "Trompette 8"), ("pedal", "Bombarde 16")),
            ),
        ),
    ),
    StateCase(
        "full organ, German",
        "de",
        lambda: page(("5_", "Volles Werk"), language="de"),
        (S("5", hands=BOTH_GREAT, need=(("great", "Mixtur"), ("pedal", "Posaune 16"))),),
    ),
    StateCase(
        "general cancel",
        "en",
        lambda: page(("5", "General cancel"), ("6", "Gt. Dulciana")),
        (S("5", nothing=True), S("6", need=(("great", "Dulciana 8"),), out=(OD,))),
    ),
    StateCase(
        "hands by words",
        "en",
        lambda: page(("5", "R.H. Sw."), ("5l", "L.H. Ch."), ("8", "both hands Gt.")),
        (S("5", hands=("swell", "choir")), S("8", hands=BOTH_GREAT)),
    ),
    StateCase(
        "hands by words, French",
        "fr",
        lambda: page(("5", "m.d. R., m.g. Pos."), ("8_", "G."), language="fr"),
        (S("5", hands=("swell", "positive")), S("8", hands=BOTH_GREAT)),
    ),
    StateCase(
        "hands by words, German",
        "de",
        lambda: page(("5", "r.H. II. Man."), ("8", "l.H. II. Man."), language="de"),
        (S("5", hands=("swell", "great")), S("8", hands=BOTH_SWELL)),
    ),
    StateCase(
        "hands by staff",
        "en",
        lambda: page(("5", "Sw."), ("7l", "Ch.")),
        (S("5", hands=("swell", "great")), S("7", hands=("swell", "choir"))),
    ),
    StateCase(
        "manuals and pedal apart",
        "en",
        lambda: manuals_and_pedal(("3_", "Sw."), ("5p", "add Bass Flute 8"), ("7", "Gt. to Ped.")),
        (
            S("3", hands=BOTH_SWELL),
            S("5", need=(("pedal", "Bass Flute 8"), ("pedal", "Bourdon 16"))),
            S("7", on=("great-pedal",)),
        ),
    ),
    StateCase(
        "three parts",
        "en",
        lambda: three_parts(
            ("1", "Sw. Oboe"), ("1l", "Ch. Lieblich Gedackt 8"), ("1p", "Bourdon 16"), ("5", "Gt. Clarabella")
        ),
        (
            S("1", hands=("swell", "choir"), need=(("pedal", "Bourdon 16"),)),
            S("5", hands=("great", "choir"), need=(FLUTE,)),
        ),
    ),
    StateCase(
        "choir and organ",
        "en",
        lambda: with_choir(("3_", "Sw."), ("6", "Gt. add Principal 4")),
        (S("3", hands=BOTH_SWELL), S("6", need=(P4,))),
    ),
    StateCase(
        "two staves",
        "en",
        lambda: two_staves(("3_", "Sw."), ("5", "Gt. add Principal 4"), ("6_", "Gt.")),
        (S("3", hands=BOTH_SWELL), S("6", hands=BOTH_GREAT, need=(OD, P4))),
    ),
    StateCase(
        "four staves",
        "en",
        lambda: four_staves(("3c", "Ch."), ("5p", "add Bass Flute 8")),
        (S("3", hands=("great", "choir")), S("5", need=(("pedal", "Bass Flute 8"),))),
    ),
    StateCase(
        "coupler off by words",
        "en",
        lambda: page(("3", "Sw. to Gt."), ("5", "Sw. to Gt. in"), ("6", "couple Sw. to Gt."), ("8", "uncouple Sw.")),
        (
            S("3", on=("swell-great",)),
            S("5", off=("swell-great",)),
            S("6", on=("swell-great",)),
            S("8", off=("swell-great",)),
        ),
    ),
    StateCase(
        "coupler off, German",
        "de",
        lambda: page(("3", "Koppel II/I"), ("5", "Koppel ab"), ("7", "Pedalkoppel I"), language="de"),
        (S("3", on=("swell-great",)), S("5", off=("swell-great",)), S("7", on=("great-pedal",))),
    ),
    StateCase(
        "stops off",
        "en",
        lambda: page(("3", "Gt. add Principal 4, Fifteenth"), ("5", "Gt. Fifteenth off"), ("7", "- Principal 4")),
        (
            S("3", need=(OD, P4, ("great", "Fifteenth 2"))),
            S("5", need=(OD, P4), out=(("great", "Fifteenth 2"),)),
            S("7", need=(OD,), out=(P4,)),
        ),
    ),
    StateCase(
        "Italian",
        "en",
        lambda: page(("3", "Gt. aggiungere Principal 4"), ("6", "togliere Principal 4")),
        (S("3", need=(OD, P4)), S("6", out=(P4,))),
    ),
    StateCase(
        "Dutch",
        "de",
        lambda: page(("3_", "Hoofdwerk"), ("5_", "Zwelwerk"), language="de"),
        (S("3", hands=BOTH_GREAT), S("5", hands=BOTH_SWELL)),
    ),
    StateCase(
        "editor's brackets",
        "en",
        lambda: page(("3_", "[Sw.]"), ("6_", "(Sw.)"), ("8_", "[Gt.]")),
        (S("3", hands=BOTH_SWELL), S("6", hands=BOTH_SWELL), S("8", hands=BOTH_GREAT)),
    ),
    StateCase(
        "piston words ask nothing of stops",
        "en",
        lambda: page(("5", "Gen. 2")),
        (S("5", hands=BOTH_GREAT, need=(OD,)),),
    ),
    StateCase(
        "note in the title block",
        "en",
        lambda: footnoted("1", "1)", "1) Gt. Open Diapason 8, Sw. Oboe, Ped. Bourdon 16"),
        (S("1", need=(OD, ("swell", "Oboe 8"), ("pedal", "Bourdon 16"))),),
    ),
    StateCase(
        "starred note, prepared",
        "en",
        lambda: footnoted("1", "*", "* Prepare: Sw. Oboe; Gt. Open Diapason 8"),
        (S("1", need=(OD, ("swell", "Oboe 8"))),),
    ),
    StateCase(
        "note at its pointer",
        "en",
        lambda: footnoted("4", "(*)", "*) Gt. Clarabella 8", lines=HEADS["en"][0]),
        (S("3", need=(OD,), out=(FLUTE,)), S("4", need=(FLUTE,), out=(OD,))),
    ),
    StateCase(
        "dal segno to the coda",
        "en",
        dal_segno,
        (S("5", hands=BOTH_GREAT), S("3", 2, hands=BOTH_SWELL, need=(P4,)), S("9", hands=BOTH_SWELL)),
    ),
    StateCase("three times", "en", three_times, (S("2", out=(P4,)), S("2", 2, need=(P4,)), S("2", 3, need=(P4,)))),
    StateCase(
        "each time its own text",
        "en",
        lambda: page(("3", "1st time: Gt. add Principal 4"), ("3", "2nd time: Gt. add Fifteenth")).repeat(3, 6),
        (S("4", need=(P4,), out=(("great", "Fifteenth 2"),)), S("4", 2, need=(("great", "Fifteenth 2"),))),
    ),
    StateCase(
        "a block in one text",
        "en",
        lambda: page(("5", "Sw. Salicional\nGt. Clarabella 8\nPed. Bass Flute 8")),
        (S("5", hands=BOTH_GREAT, need=(("swell", "Salicional 8"), FLUTE, ("pedal", "Bass Flute 8")), out=(OD,)),),
    ),
    StateCase(
        "reeds off again, French",
        "fr",
        lambda: page(("3", "Anches R."), ("6", "ôtez anches R."), language="fr"),
        (
            S("4", need=(("swell", "Trompette 8"),)),
            S("6", out=(("swell", "Trompette 8"),), need=(("swell", "Hautbois 8"),)),
        ),
    ),
    StateCase(
        "reduced to one stop",
        "en",
        lambda: page(("3_", "Full Gt."), ("6", "reduce to Open Diapason")),
        (S("6", need=(OD,), out=(P4, ("great", "Trumpet 8"))),),
    ),
    StateCase(
        "one division cancelled",
        "en",
        lambda: page(("3", "cancel Gt.")),
        (S("3", out=(OD,), need=(("swell", "Oboe 8"),)),),
    ),
    StateCase(
        "all couplers off",
        "en",
        lambda: page(("2", "Sw. to Gt., Gt. to Ped."), ("5", "couplers off")),
        (S("3", on=("swell-great", "great-pedal")), S("5", off=("swell-great", "great-pedal"))),
    ),
    StateCase(
        "all couplers off, German",
        "de",
        lambda: page(("3", "Koppel II/I, Pedalkoppel I"), ("6", "ohne Koppeln"), language="de"),
        (S("3", on=("great-pedal", "swell-great")), S("6", off=("great-pedal", "swell-great"))),
    ),
)

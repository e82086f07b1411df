"""Pitch arithmetic against the handbook tables; the source stands beside each check."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from music21.pitch import Pitch

from core.organ import pitch
from core.organ.kinds import kind
from core.organ.names import know_stop
from core.organ.pitch import read_feet, true_feet
from core.organ.spelling import read_key, write_feet

F = Fraction

# feet, harmonic of 8 ft, of 16 ft, of 32 ft, ordinal, cents above 8 ft. Source: arithmetic (8 ft / harmonic); anchors:
# MILLER, The Recent Revolution in Organ Building (1913), lines 2158-2181 (8 ft, 16 ft, 4 ft);
# https://weldonwhipple.blogspot.com/2019/04/pipe-organ-mutations-and-arithmetic.html (2 2/3, 1 3/5, 1 1/3, 5 1/3).
FOOTAGE = [
    (F(64), None, None, None, "-22", -3600.00),
    (F(32), None, None, 1, "-15", -2400.00),
    (F(16), None, 1, 2, "-8", -1200.00),
    (F(32, 3), None, None, 3, "-4", -498.04),
    (F(8), 1, 2, 4, "1", 0.00),
    (F(32, 5), None, None, 5, "3", 386.31),
    (F(16, 3), None, 3, 6, "5", 701.96),
    (F(32, 7), None, None, 7, "b7", 968.83),
    (F(4), 2, 4, 8, "8", 1200.00),
    (F(16, 5), None, 5, 10, "10", 1586.31),
    (F(8, 3), 3, 6, 12, "12", 1901.96),
    (F(16, 7), None, 7, 14, "b14", 2168.83),
    (F(2), 4, 8, 16, "15", 2400.00),
    (F(8, 5), 5, 10, 20, "17", 2786.31),
    (F(4, 3), 6, 12, 24, "19", 3101.96),
    (F(8, 7), 7, 14, 28, "b21", 3368.83),
    (F(1), 8, 16, 32, "22", 3600.00),
    (F(8, 9), 9, 18, 36, "23", 3803.91),
    (F(4, 5), 10, 20, 40, "24", 3986.31),
    (F(2, 3), 12, 24, 48, "26", 4301.96),
    (F(4, 7), 14, 28, 56, "b28", 4568.83),
    (F(1, 2), 16, 32, 64, "29", 4800.00),
    (F(2, 5), 20, 40, 80, "31", 5186.31),
    (F(1, 3), 24, 48, 96, "33", 5501.96),
    (F(1, 4), 32, 64, 128, "36", 6000.00),
]


@pytest.mark.parametrize(("feet", "of_8", "of_16", "of_32", "ordinal", "cents"), FOOTAGE)
def test_footage_table(feet, of_8, of_16, of_32, ordinal, cents):
    for unison, number in ((F(8), of_8), (F(16), of_16), (F(32), of_32)):
        if number is None:
            assert pitch.harmonic(feet, unison).denominator != 1 or pitch.harmonic(feet, unison) < 1
        else:
            assert pitch.harmonic(feet, unison) == number
            assert pitch.feet_of_harmonic(number, unison) == feet
    assert pitch.ordinal(feet) == ordinal
    assert round(pitch.cents_above_unison(feet), 2) == cents
    if feet <= 8:
        assert pitch.feet_of_ordinal(ordinal) == feet


def test_series():
    # source: common practice and arithmetic: 5 1/3 belongs to the 16 ft series, 10 2/3 and 6 2/5 to the 32 ft series
    assert pitch.series(F(8, 3)) == 8
    assert pitch.series(F(16, 3)) == 16
    assert pitch.series(F(32, 3)) == 32
    assert pitch.series(F(32, 5)) == 32
    assert pitch.series(F(7, 11)) is None


# Printed spellings of real lists. Source: the published lists named for each (St Paul's, Notre-Dame, Liverpool,
# St John the Divine, Portland in MILLER lines 4648-5935; Forchheim, Freiberg, Stendal, Lüdingworth: Silbermann,
# Schnitger and others, www.stadtgemeinde-stendal.de, jehmlich-orgelbau.de, orgelstiftung.com).
PRINTED = [
    ("8/3", "quint", ["2 2/3", "2⅔", "2 2⁄3", "2 2/3'", "2.66′", "3", "3 Fuß", "3.Fuß", "3′", "3 vt", "[2 2/3']",
                      "22/3’"]),
    ("8/5", "tierce", ["1 3/5", "1⅗", "1.6′", "(13/5’)", "1⅜", "1 3/5'"]),
    ("4/3", "quint", ["1 1/3", "1.333ft", "1½.Fuß", "1 ½ Fuß", "1½′", "11/3’"]),
    ("16/3", "quint", ["5 1/3", "5 1/2", "6’", "6", "5 2/3"]),
    ("16/5", "tenth", ["3 1/5", "3 1/2"]),
    ("16/7", "septieme", ["2 2/7", "2 1/7"]),
    ("32/3", "gross-quint", ["10 2/3", "10 1/2"]),
    ("64/3", "gross-quint", ["21 1/3"]),
]  # fmt: skip


@pytest.mark.parametrize(("feet", "kind_id", "text"), [(f, k, text) for f, k, texts in PRINTED for text in texts])
def test_printed_spellings(feet, kind_id, text):
    printed = read_feet(text)
    assert printed is not None
    true, doubt = true_feet(printed.value, kind(kind_id), "")
    assert true == F(feet)
    assert (doubt is None) == (printed.value == true)


# Source: D. "A Composer's-Eye View of Writing for the Organ" (WAC organ4): 3 ft and 1 1/2 ft each stand for two
# pitches, the name decides.
@pytest.mark.parametrize(
    ("name", "printed", "true"),
    [
        ("Quint", "12", "32/3"),
        ("Quint", "6", "16/3"),
        ("Quint", "3", "8/3"),
        ("Quint", "1 1/2", "4/3"),
        ("Terz", "3", "16/5"),
        ("Terz", "1 1/2", "8/5"),
        ("Nasat", "3", "8/3"),
        ("Gross Quint", "10 1/2", "32/3"),
        ("Open Diapason", "8", "8"),
        ("Gemshorn", "3", "8/3"),
        ("Mixtur", "3", "8/3"),
        ("Larigot", "1 1/2", "4/3"),
        ("Principal", "4", "4"),
        ("Quintadena", "8", "8"),
    ],
)
def test_name_decides_rounded_feet(name, printed, true):
    found = know_stop(name)
    assert found is not None
    value = read_feet(printed).value
    assert true_feet(value, found.kind, name)[0] == F(true)
    assert true_feet(value, None, name)[0] == F(true)


@pytest.mark.parametrize(
    ("text", "feet"),
    [
        # source: palmos: enharmonia.es/blog/76 (Flautado de 13 is 8 ft), thediapason.com on Iberian organs (26 is 16)
        ("13 palmos", "8"), ("26 palmos", "16"), ("6 1/2 palmos", "4"), ("6½ palmos", "4"), ("13", "8"), ("26", "16"),
        ("8 ft.", "8"), ("16 feet", "16"), ("4 pieds", "4"), ("2 p.", "2"), ("8 F.", "8"), ("16 voet", "16"),
        ("2-2/3", "8/3"), ("2 - 2/3", "8/3"), ("8ˊ", "8"), ("½", "1/2"), ("8''", "8"), ("102/3", "32/3"),
        ("62/5", "32/5"), ("16/3", "16/3"), ("8/9", "8/9"), ("51/3’", "16/3"), ("5,33", "16/3"), ("2,67", "8/3"),
        ("1.14", "8/7"), ("0.5", "1/2"), ("16 stopa", "16"), ("8 piedi", "8"), ("32´", "32"),
        ("8-Fuß", "8"), ("16 Fußton", "16"), ("8 jalkaa", "8"), ("8 stop", "8"), ("4⁴⁄₇", "32/7"), ("2.5", "5/2"),
    ],
)  # fmt: skip
def test_marks_and_numbers(text, feet):
    assert read_feet(text).value == F(feet)


@pytest.mark.parametrize(
    "text", ["", "Oboe", "III", "0", "1/0", "1998", "8 ranks", "4.5.6", "100", "²", "8.4", "8 4", "4-8"]
)
def test_what_is_no_pitch(text):
    assert read_feet(text) is None


@given(st.text(max_size=12) | st.text("0123456789/ .,½⅓⅔'′ftpalmosFu-", max_size=12))
def test_read_feet_never_raises(text):
    printed = read_feet(text)
    assert printed is None or 0 < printed.value <= 64


@given(st.sampled_from(pitch.PITCHES))
def test_written_pitch_is_read_back(feet):
    if feet <= 64:
        printed = read_feet(write_feet(feet))
        assert printed is not None
        assert printed.value == feet


@given(st.integers(12, 108))
def test_frequency_equals_reference_library(key):
    # source: music21's equal temperament at A4 = 440 Hz (ISO 16)
    assert pitch.frequency(key) == pytest.approx(Pitch(midi=key).frequency, rel=1e-9)


# Source: arithmetic from f(m) = 440 x 2^((m-69)/12).
@pytest.mark.parametrize(
    ("key", "hertz"),
    [("C1", 32.703), ("C2", 65.406), ("C3", 130.813), ("C4", 261.626), ("C5", 523.251), ("C6", 1046.502),
     ("C7", 2093.005), ("G1", 48.999), ("G3", 195.998), ("F4", 349.228), ("G4", 391.995), ("A6", 1760.0),
     ("C#4", 277.183), ("Bb4", 466.164), ("B4", 493.883)],
)  # fmt: skip
def test_frequency_table(key, hertz):
    assert pitch.frequency(read_key(key)) == pytest.approx(hertz, abs=6e-4)


def test_stop_sounds_its_harmonic():
    assert pitch.frequency(60, F(16)) == pytest.approx(261.6256 / 2, rel=1e-6)
    assert pitch.frequency(60, F(8, 3)) == pytest.approx(261.6256 * 3, rel=1e-6)


# Source: arithmetic. Harmonic: cents by which it differs from the tempered note.
@pytest.mark.parametrize(
    ("harmonic", "cents"),
    [(1, 0), (2, 0), (3, 1.96), (5, -13.69), (6, 1.96), (7, -31.17), (9, 3.91), (10, -13.69), (11, -48.68),
     (13, 40.53), (14, -31.17), (15, -11.73), (16, 0)],
)  # fmt: skip
def test_harmonics_against_temperament(harmonic, cents):
    assert round(pitch.tempering_cents(pitch.feet_of_harmonic(harmonic)), 2) == cents


# Source: arithmetic, b = f x (2^(c/1200) - 1); example 442 against 440 Hz: 2 beats are 7.85 cents.
@pytest.mark.parametrize(
    ("key", "cents", "per_second"),
    [("C3", 3, 0.23), ("C3", 10, 0.76), ("C4", 5, 0.76), ("A4", 5, 1.27), ("C5", 8, 2.42), ("C6", 10, 6.06)],
)
def test_beats(key, cents, per_second):
    assert round(pitch.beats(pitch.frequency(read_key(key)), cents), 2) == per_second


@pytest.mark.parametrize(
    ("key", "per_second", "cents"), [("C3", 1, 13.18), ("C4", 2, 13.18), ("A4", 2, 7.85), ("C6", 3, 4.96)]
)
def test_cents_of_beats(key, per_second, cents):
    assert round(pitch.cents_of_beats(pitch.frequency(read_key(key)), per_second), 2) == cents


@pytest.mark.parametrize("text", ["0", "13", "11", "b19", "x", "", "100"])
def test_what_is_no_ordinal(text):
    with pytest.raises(ValueError, match=r".*"):
        pitch.feet_of_ordinal(text)


@pytest.mark.parametrize(
    ("kind_id", "printed", "true"),
    [("flautado", "13", "8"), ("flautado", "12", "8"), ("octave", "6 1/2", "4"), ("principale", "12", "8")],
)
def test_palmos_without_the_word(kind_id, printed, true):
    # source: enharmonia.es/blog/76 (Flautado de 13 is 8 ft); Portuguese Flautado de 12: from memory
    assert true_feet(F(*_parts(printed)), kind(kind_id), "")[0] == F(true)


def _parts(printed):
    whole, _, half = printed.partition(" ")
    return (int(whole) * 2 + 1, 2) if half else (int(whole), 1)

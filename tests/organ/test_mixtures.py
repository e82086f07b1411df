"""Ranks, ordinals and compositions of compound stops; the source stands beside each check."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.organ.kinds import kind
from core.organ.mixtures import composition_from, default_composition, read_ordinals, read_ranks
from core.organ.model import Break, Ranks
from core.organ.pitch import ordinal

F = Fraction


@pytest.mark.parametrize(
    ("text", "low", "high"),
    [
        ("III", 3, 3), ("IV", 4, 4), ("VII", 7, 7), ("3 ranks", 3, 3), ("3 rks.", 3, 3), ("IVrks.", 4, 4),
        ("3 f.", 3, 3),
        ("3-fach", 3, 3), ("3fach", 3, 3), ("dreifach", 3, 3), ("dreyfach", 3, 3), ("vierfach", 4, 4), ("3 st.", 3, 3),
        ("3 sterk", 3, 3), ("3 ch.", 3, 3), ("3 chor", 3, 3), ("3 rangs", 3, 3), ("3 file", 3, 3), ("3 hil.", 3, 3),
        ("3x", 3, 3), ("III-V", 3, 5), ("III–V", 3, 5), ("3 to 6 ranks", 3, 6), ("3 to 5 ranks", 3, 5),
        ("2-3-4 st", 2, 4), ("3, 4 und 5fach", 3, 5), ("III-IV-V", 3, 5), ("IIIrks.", 3, 3), ("4-fach", 4, 4),
        ("4 f.", 4, 4), ("II-III rgs", 2, 3), ("VI ranks", 6, 6), ("3.F.", 3, 3), ("(IV)", 4, 4),
    ],
)  # fmt: skip
def test_ranks_as_printed(text, low, high):
    assert read_ranks(text) == Ranks(low, high)


@pytest.mark.parametrize(
    "text", ["", "8", "4", "Oboe", "3 feet", "IIII IIII", "VX", "0 ranks", "99 ranks", "5-3 ranks", "3 rangen"]
)
def test_what_is_no_ranks(text):
    assert read_ranks(text) is None


# Ordinals printed on real stop lists. Source: MILLER, The Recent Revolution in Organ Building, lines 5802-5935
# (Liverpool Cathedral 1913); 15.19.22.26: Wikipedia, "Mixture (organ stop)", oldid 862572520.
@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("17th, 19th, 22d", "17 19 22"),
        ("19, b2l, 22, 26, 29", "19 b21 22 26 29"),
        ("10, 12, 17, 19, 22", "10 12 17 19 22"),
        ("12, 17, 19, b21, 22", "12 17 19 b21 22"),
        ("10, 12, 15", "10 12 15"),
        ("15.19.22.26", "15 19 22 26"),
        ("(19. 22. 26)", "19 22 26"),
        ("(12. 17.)", "12 17"),
        ("15-17-b21", "15 17 b21"),
        ("1.8.12.15.17", "1 8 12 15 17"),
    ],
)
def test_ordinals_as_printed(text, wanted):
    feet = read_ordinals(text)
    assert feet is not None
    assert [ordinal(f) for f in feet] == wanted.split()


def test_mixture_15_19_22_26_in_feet():
    # source: Wikipedia, "Mixture (organ stop)", oldid 862572520
    assert read_ordinals("15.19.22.26") == (F(2), F(4, 3), F(1), F(2, 3))


@pytest.mark.parametrize("text", ["", "8 4 2", "19", "1.2.3", "1998", "22.19", "15.16"])
def test_what_is_no_composition(text):
    assert read_ordinals(text) is None


@given(st.text(max_size=15) | st.text("0123456789IVXb.,- fachtorks", max_size=15))
def test_whatever_is_read_is_a_possible_mixture(text):
    ranks, feet = read_ranks(text), read_ordinals(text)
    assert ranks is None or 1 <= ranks.low <= ranks.high
    assert feet is None or (len(feet) > 0 and all(one > 0 for one in feet))


def test_fourniture_breaks_as_published():
    # source: "Mixture (music)", https://mixtures.askdefine.com/, typical Great Fourniture IV
    made = default_composition(kind("fourniture"), Ranks(4, 4), None, "great")
    assert [(b.key - 36 + 1, b.feet) for b in made] == [
        (1, (F(4, 3), F(1), F(2, 3), F(1, 2))),
        (13, (F(2), F(4, 3), F(1), F(2, 3))),
        (25, (F(8, 3), F(2), F(4, 3), F(1))),
        (37, (F(4), F(8, 3), F(2), F(4, 3))),
        (49, (F(16, 3), F(4), F(8, 3), F(2))),
    ]


def test_three_ranks_begin_as_published():
    # source: http://www.essexorganmuseum.com/Mixtures-Mutations.html: 19.22.26, from key 13 15.19.22
    made = default_composition(kind("mixture"), Ranks(3, 3))
    assert [[ordinal(f) for f in b.feet] for b in made[:2]] == [["19", "22", "26"], ["15", "19", "22"]]


@pytest.mark.parametrize(
    ("kind_id", "ranks", "wanted"),
    [
        ("cornet", 5, "1 8 12 15 17"),  # source: BÉDOS art. 179; WEDGWOOD p. 31
        ("cornet", 4, "8 12 15 17"),  # source: WEDGWOOD p. 31
        ("cornet", 3, "12 15 17"),  # source: WEDGWOOD p. 31
        ("sesquialtera", 2, "12 17"),  # source: STAUFF "Sesquialtera"; Shenfield's stop list
        ("sesquialtera", 3, "17 19 22"),  # source: STAUFF "Sesquialtera" (older English)
        ("tertian", 2, "17 19"),  # source: STAUFF "Tertian"
        ("rauschquinte", 2, "12 15"),  # source: WEDGWOOD p. 125
        ("doublette-ranks", 2, "15 22"),  # source: MILLER lines 2384-2386
        ("carillon-mix", 3, "12 17 22"),  # source: STAUFF "Carillon" (Skinner)
        ("cornet-violes", 3, "10 12 15"),  # source: MILLER lines 5802-5935
    ],
)
def test_compound_stops_as_published(kind_id, ranks, wanted):
    made = default_composition(kind(kind_id), Ranks(ranks, ranks))
    assert [ordinal(f) for f in made[0].feet] == wanted.split()


def test_single_sesquialtera_breaks_at_c1():
    # source: https://silbermann.org/Testumgebung/?p=809 (Burgk: 4/5 ft, from c1 1 3/5)
    made = default_composition(kind("sesquialtera"), Ranks(1, 1))
    assert made == (Break(36, (F(4, 5),)), Break(60, (F(8, 5),)))


def test_tertian_of_the_pedal_lies_an_octave_lower():
    # source: STAUFF "Tertian" (pedal 3 1/5 + 2 2/3)
    assert default_composition(kind("tertian"), None, F(16, 5), "pedal")[0].feet == (F(16, 5), F(8, 3))


def test_pedal_mixtures_do_not_break():
    assert len(default_composition(kind("mixtur"), Ranks(4, 4), None, "pedal")) == 1


@given(
    st.sampled_from(["mixture", "mixtur", "zimbel", "scharf", "plein-jeu", "lleno", "cornet", "sesquialtera"]),
    st.integers(1, 8),
    st.integers(0, 4),
)
def test_default_rows_are_whole(kind_id, low, more):
    made = default_composition(kind(kind_id), Ranks(low, low + more))
    assert made
    assert made[0].key == 36
    assert [b.key for b in made] == sorted({b.key for b in made})
    assert all(b.feet for b in made)


def test_stated_composition():
    assert composition_from((F(8, 3), F(8, 5))) == (Break(36, (F(8, 3), F(8, 5))),)
    assert composition_from(ranks=Ranks(4, 4), lowest=F(2)) == (Break(36, (F(2), F(4, 3), F(1), F(2, 3))),)
    assert composition_from(breaks=[(60, [F(8, 5)]), (36, [F(4, 5)])])[0].key == 36
    assert composition_from() == ()

"""The specification page: what stands on it, how the trade prints it, and that nothing of a name becomes HTML."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from html.parser import HTMLParser
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.export.html import page_html
from core.export.paper import PaperSize, paper_to_json
from core.export.plain_text import page_text
from core.export.printed import roman, set_compass, set_composition, set_feet, set_key
from core.export.specification_page import specification_page
from core.organ.model import (
    Aid,
    AidKind,
    Break,
    Coupler,
    Division,
    Family,
    Half,
    Organ,
    Ranks,
    Reach,
    Role,
    Stop,
    Tremulant,
)
from core.organ.reading import load_organ
from core.texts import say

SAMPLES = sorted((Path(__file__).resolve().parents[2] / "sample_specs").glob("*.yaml"))


def _stop(name: str, pitch: str | None = "8", **fields: object) -> Stop:
    feet = None if pitch is None else sum((Fraction(part) for part in pitch.split()), Fraction(0))
    made = Stop(id=f"great/{name}-{pitch}", name=name, pitch=feet, family=Family.FLUTE)
    return replace(made, **fields)  # type: ignore[arg-type]


def _organ(*stops: Stop, **fields: object) -> Organ:
    """An organ of one manual; church and place are invented for these tests."""
    great = Division(id="great", name="Great", role=Role.GREAT, keyboard="manual-1", stops=stops, compass=(36, 91))
    made = Organ(name="St Wendreda, Long Fenby", divisions=(great,))
    return replace(made, **fields)  # type: ignore[arg-type]


class _Reader(HTMLParser):
    """What a browser would make of a page: its tags, and its words in table cells."""

    def __init__(self, page: str) -> None:
        super().__init__(convert_charrefs=True)
        self.tags: list[str] = []
        self.words: list[str] = []
        self.links: list[str] = []
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.links += [value or "" for name, value in attrs if name in ("src", "href", "srcset", "action")]

    def handle_data(self, data: str) -> None:
        if self.tags[-1:] != ["style"]:
            self.words.append(data)


# Helmholtz's names of keys and their numbers: C = 36, c = 48, c' = 60, c'' = 72 (middle C is c', MIDI 60);
# A. J. Ellis's translation of Helmholtz, On the Sensations of Tone (1885), p. 15f., from memory.
@pytest.mark.parametrize(
    ("key", "printed"), [(36, "C"), (48, "c"), (60, "c¹"), (72, "c²"), (91, "g³"), (54, "f♯"), (35, "B₁"), (24, "C₁")]
)
def test_keys_are_printed_as_helmholtz_names_them(key: int, printed: str) -> None:
    assert set_key(key) == printed


def test_pitches_ranks_and_compositions_are_set_as_the_trade_prints_them() -> None:
    """Common practice, no source."""
    assert [set_feet(Fraction(*pair)) for pair in ((8, 1), (8, 3), (8, 5), (4, 3), (32, 3), (1, 2), (8, 7))] == [
        "8′",
        "2⅔′",
        "1⅗′",
        "1⅓′",
        "10⅔′",
        "½′",
        "1⅐′",
    ]
    assert set_feet(Fraction(16, 7)) == "2²⁄₇′"
    assert set_compass(36, 91) == "C–g³"
    assert [roman(n) for n in (1, 4, 6, 9, 14, 40)] == ["I", "IV", "VI", "IX", "XIV", "XL"]
    assert set_composition((Fraction(4, 3), Fraction(1), Fraction(2, 3))) == "19.22.26"
    assert set_composition((Fraction(8, 3), Fraction(2)), pedal=True) == "19.22"
    assert set_composition((Fraction(16), Fraction(8, 3))) == "16′ + 2⅔′"


def test_a_page_has_all_that_the_organ_has() -> None:
    for path in SAMPLES:
        organ = load_organ(path)
        words = page_text(specification_page(organ)).casefold()
        for division in organ.divisions:
            assert division.name.casefold() in words
            for stop in division.stops:
                assert stop.name.casefold() in words, (path.name, stop.name)
        for aid in organ.aids:
            assert " ".join(aid.text.casefold().split())[:30] in " ".join(words.split()), (path.name, aid.text)


def test_what_a_stop_differs_in_stands_behind_its_name_or_in_a_footnote() -> None:
    organ = _organ(
        _stop("Tuba", enclosed=True),
        _stop("Vox Angelica", compass=(48, None)),
        _stop("Cornet", half=Half.TREBLE, half_word="dessus"),
        _stop("Bass Flute", borrowed="from the Bourdon"),
        _stop("Octave Bass", "4", borrowed="from the Bourdon"),
        _stop("Oboe", in_use=False),
        _stop("Larigot", "1 1/3", missing=frozenset({37})),
    )
    text = page_text(specification_page(organ))
    assert "Tuba (enclosed)" in text
    assert "Vox Angelica (from c)" in text
    assert "Cornet (dessus)" in text
    assert "Bass Flute¹" in text
    assert "Octave Bass¹" in text  # one note for both
    assert "Oboe²" in text
    assert "²  Not in use at present" in text
    assert "³  Without C♯" in text
    assert "1⅓′" in text


def test_couplers_aids_and_tremulants_stand_under_their_headings() -> None:
    swell = Division(id="swell", name="Swell", role=Role.SWELL, keyboard="manual-2", enclosed=True)
    plain = _organ(_stop("Flute"))
    organ = replace(
        plain,
        divisions=(*plain.divisions, swell),
        couplers=(
            Coupler(source="swell", target="great"),
            Coupler(source="swell", target="swell", pitch=Fraction(4)),
            Coupler(source="swell", target="great", pitch=Fraction(16), half=Half.BASS),
            Coupler(source="swell", target="swell", unison_off=True),
        ),
        tremulants=(Tremulant(division="swell"), Tremulant(division=None, name="Tremblant fort")),
        aids=(
            Aid(kind=AidKind.GENERAL, text="4 general pistons", reach=(Reach.THUMB, Reach.TOE)),
            Aid(kind=AidKind.BOX, text="Balanced swell pedal"),
        ),
    )
    groups = {g["heading"]: g["rows"] for g in paper_to_json(specification_page(organ))["groups"]}
    assert groups["Couplers"] == [
        ["Swell to Great"],
        ["Swell Octave"],
        ["Swell to Great 16′ (bass)"],
        ["Swell Unison Off"],
        ["Tremblant fort"],
    ]
    assert groups["Combinations"] == [["4 general pistons (thumb, toe)"]]
    assert groups["Pedals"] == [["Balanced swell pedal"]]
    assert ["Tremulant", ""] in groups["Swell"]


def test_what_is_assumed_and_what_is_not_stated_is_said() -> None:
    plain = _organ(_stop("Flute"), assumed=(say("the one manual is keyboard 1"),))
    great = replace(plain.divisions[0], keyboard_assumed=True, compass=None)
    text = page_text(specification_page(replace(plain, divisions=(great,))))
    assert "Manual I*" in text
    assert "* the keyboard by custom" in " ".join(text.split()).replace("* The", "* the")
    assert "The one manual is keyboard 1" in text
    assert "Great: compass" in text
    assert "whether it is enclosed" in text


def test_only_a_stated_composition_is_printed() -> None:
    rows = (Break(36, (Fraction(4, 3), Fraction(1))), Break(60, (Fraction(8, 3), Fraction(2))))
    stated = _stop("Mixture", None, ranks=Ranks(2, 2), composition=rows)
    assert "19.22; c¹ 12.15" in page_text(specification_page(_organ(stated)))
    assert "19.22" not in page_text(specification_page(_organ(replace(stated, composition_assumed=True))))


HOSTILE = "<script>alert('x')</script>\"><img src=x onerror=alert(1)>"


def test_markup_in_any_text_of_a_specification_stays_text() -> None:
    organ = _organ(
        _stop(HOSTILE, remark=HOSTILE, borrowed=HOSTILE, half=Half.BASS, half_word=HOSTILE),
        name=HOSTILE,
        place=HOSTILE,
        builder=HOSTILE,
        remark=HOSTILE,
        couplers=(Coupler(source="great", target="great", text=HOSTILE),),
        tremulants=(Tremulant(division="great", name=HOSTILE),),
        aids=(Aid(kind=AidKind.OTHER, text=HOSTILE, moves=HOSTILE),),
        assumed=(say("{x}", x=HOSTILE),),
    )
    organ = replace(organ, divisions=(replace(organ.divisions[0], name=HOSTILE, remark=HOSTILE),))
    page = page_html(specification_page(organ))
    read = _Reader(page)
    assert "script" not in read.tags
    assert "img" not in read.tags
    assert "&lt;script&gt;" in page
    assert HOSTILE in read.words


@settings(deadline=None)
@given(st.text(max_size=40), st.text(max_size=40))
def test_whatever_a_name_holds_the_page_has_the_same_tags(name: str, remark: str) -> None:
    usual = _Reader(page_html(specification_page(_organ(_stop("Flute", remark="x")))))
    odd = _Reader(page_html(specification_page(_organ(_stop(name, remark=remark or "x")))))
    ignored = ("br",)  # a line feed in a text is a line break on the page
    assert [t for t in odd.tags if t not in ignored] == [t for t in usual.tags if t not in ignored]


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_the_html_needs_no_other_file_and_names_its_paper(path: Path) -> None:
    paper = specification_page(load_organ(path))
    for size, name in ((PaperSize.A4, "size: A4"), (PaperSize.LETTER, "size: letter")):
        page = page_html(paper, size)
        assert name in page
        assert _Reader(page).links == []
        assert "@import" not in page
        assert "url(" not in page
    assert page_html(replace(paper, large=True)) != page_html(paper)


def test_an_organ_of_which_nothing_is_known_has_a_page_too() -> None:
    empty = Organ(name="", divisions=())
    assert "0 stops" in page_text(specification_page(empty))
    assert "<h1></h1>" in page_html(specification_page(empty))
    bare = _organ(replace(_stop("Nameless", None), ranks=Ranks(2, 12)))
    assert "II–XII" in page_text(specification_page(bare))


def test_plain_text_stays_within_its_width() -> None:
    long = _stop("Double Open Diapason of the largest scale in the county", remark="word " * 60)
    for path in SAMPLES:
        assert max(map(len, page_text(specification_page(load_organ(path))).splitlines())) <= 78
    assert max(map(len, page_text(specification_page(_organ(long))).splitlines())) <= 78

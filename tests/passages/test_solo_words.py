"""A right-hand solo begun and ended in the many words that editions use, in three languages.

The same music each time, bars 5 to 12 the solo. What begins and ends it: common practice, no source.
"""

from __future__ import annotations

import pytest

from making import Piece
from passage_set import Case, chords_solo_chords, opened_de, opened_en, opened_fr, outcome

OPENED = {"en": opened_en, "fr": opened_fr, "de": opened_de}
PLAIN = {"en": ("R.H. Sw.", "R.H. Gt."), "fr": ("m.d. R.", "m.d. G."), "de": ("r.H. II. Man.", "r.H. I. Man.")}
STARTS = {
    "en": (
        "R.H. Sw.",
        "r.h. Sw.",
        "RH Sw",
        "Sw. Solo",
        "Solo (Sw.)",
        "Solo: Sw. Oboe",
        "R.H. Sw. Oboe",
        "Sw. (R.H.)",
        "r. h. Swell Oboe",
        "Sw. Oboe, R.H.",
        "R.H. on Swell",
        "Right hand: Swell",
        "Solo Sw. Oboe 8",
        "R.H. III",
        "R.H. Sw. Oboe solo",
        "Sw. R.H.",
        "melody on Sw.",
        "Swell solo",
        "R.H. solo",
        "R.H. to Sw.",
    ),
    "fr": (
        "m.d. R.",
        "M.D. Récit",
        "m. d. Réc.",
        "R. solo",
        "m.d. R. solo",
        "Récit (m.d.)",
        "main droite Récit",
        "m.d. R. Hautbois",
        "solo R.",
        "Solo de Hautbois (R.)",
        "R. Hautbois solo",
        "R. (m.d.)",
        "M. dr. Récit",
        "m.d. au Récit",
        "Récit: Hautbois, m.d.",
        "le chant au Récit",
        "Solo: Récit",
        "mdr Récit",
    ),
    "de": (
        "r.H. II. Man.",
        "r. H. II",
        "R.H. II. Man.",
        "rechte Hand II. Man.",
        "II. Man. Solo",
        "Solo II. Man.",
        "r.H. II. Man. Oboe 8'",
        "Solo: II. Man. Oboe",
        "II (r. H.)",
        "II. Man. (r.H.)",
        "II. Man. Oboe 8' solo",
        "r. Hd. II. Man.",
        "r.H. auf II",
        "Melodie II. Man.",
    ),
}
ENDS = {
    "en": (
        "tutti",
        "R.H. joins L.H.",
        "both hands",
        "Gt.",
        "R.H. Gt.",
        "both hands Gt.",
        "Gt. both hands",
        "Gt. (both hands)",
        "Tutti",
        "end solo",
        "end of solo",
        "Full Gt.",
        "Gt. to Fifteenth",
        "both Gt.",
        "Gt. (R.H.)",
        "R.H. Gt. Clarabella",
        "R.H. back to Gt.",
        "Full Organ",
        "Full Sw.",
        "Ch.",
        "Ch. both hands",
        "(end solo)",
        "solo ends",
        "Gt. diaps.",
        "Great",
        "GREAT",
        "R.H. Gt. with L.H.",
        "Both hands on Gt.",
        "R.H. Ch.",
        "add Gt. R.H.",
        "Sw. to Gt., both hands Gt.",
    ),
    "fr": (
        "tutti",
        "les deux mains",
        "G.",
        "m.d. G.",
        "m.d. G.O.",
        "G. (les deux mains)",
        "les 2 mains G.",
        "Tutti",
        "fin du solo",
        "Fin du Solo",
        "G.P.R.",
        "les deux mains au G.O.",
        "G. 2 mains",
        "Grand chœur",
        "Grand jeu",
        "Pos.",
        "m.d. Pos.",
        "G.O.",
        "Grand-Orgue",
        "m. d. Pos. Salicional",
        "(fin du solo)",
    ),
    "de": (
        "tutti",
        "beide Hände",
        "I. Man.",
        "r.H. I. Man.",
        "beide Hände I. Man.",
        "I. Man. beide Hände",
        "Tutti",
        "Ende des Solos",
        "Solo Ende",
        "Volles Werk",
        "I",
        "r. H. I",
        "I (beide H.)",
        "HW",
        "beide H. I",
        "I. Man. (b. H.)",
        "Org. Pl.",
        "(Ende Solo)",
        "Hw.",
    ),
}
LAYOUTS: dict[str, dict[str, object]] = {
    "pedal in a part of its own": {"parts": (("Manuals", 2), ("Pedal", 1))},
    "a choir above": {"choir": "Soprano"},
    "two staves": {"staves": 2},
}


def ends_at_13(language: str, start: str, end: str, *, above: bool = True, **layout: object) -> bool:
    """Whether the solo is found, alone, from bar 5 to bar 13."""

    def piece() -> Piece:
        staves = int(str(layout.get("staves", 3)))
        made = chords_solo_chords(OPENED[language]("Words", **layout), staves=staves)
        return made.text(5, 1, start).text(13, 1, end, above=above)

    found = outcome(Case("words", language, piece))
    return [(p.hand, p.start, p.end) for p in found] == [("right", "5", "13")]


@pytest.mark.parametrize(("language", "start"), [(lang, words) for lang in STARTS for words in STARTS[lang]])
def test_words_that_begin_a_solo(language: str, start: str) -> None:
    assert ends_at_13(language, start, PLAIN[language][1])


@pytest.mark.parametrize("above", [True, False])
@pytest.mark.parametrize(("language", "end"), [(lang, words) for lang in ENDS for words in ENDS[lang]])
def test_words_that_end_a_solo(language: str, end: str, above: bool) -> None:
    assert ends_at_13(language, PLAIN[language][0], end, above=above)


@pytest.mark.parametrize("layout", LAYOUTS)
@pytest.mark.parametrize("language", OPENED)
def test_in_every_layout(language: str, layout: str) -> None:
    assert ends_at_13(language, *PLAIN[language], **LAYOUTS[layout])

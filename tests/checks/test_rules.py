"""Each rule on a faulty piece and its clean twin. What counts as a fault: common practice, no source."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from core.analysis import Analysis
from core.checks.registry import all_rules
from core.findings import RANK
from fault_set import FAULTS
from making import Piece
from walking import CHORDS, LINE, LINE_REST, opened, rules, walk


def hymn(*texts: tuple[int, str]) -> Piece:
    """Eight bars of chords on the Great, with markings above at given bars."""
    piece = opened().repeat_bars(8, *CHORDS)
    for bar, words in texts:
        piece.text(bar, 1, words)
    return piece


def solo(end: bool) -> Piece:
    piece = opened().repeat_bars(4, *CHORDS).repeat_bars(3, *LINE).bar(*LINE_REST).repeat_bars(3, *CHORDS)
    piece.text(5, 1, "R.H. Sw.")
    return piece.text(9, 1, "R.H. Gt.") if end else piece


def over_held_chord(beat: int) -> Piece:
    held = ("C4+E4+G4:3 E5", "C3+G3:4", "C3:4")
    piece = opened().repeat_bars(3, *CHORDS).bar(*held).repeat_bars(4, *LINE).repeat_bars(2, *CHORDS)
    return piece.text(4, beat, "Sw. Solo").text(9, 1, "Gt.")


def swelling(on: str) -> Piece:
    return opened().repeat_bars(8, *CHORDS).text(3, 1, on, above=False).hairpin(4, 6, "crescendo")


def octaves(broken: bool) -> Piece:
    line = "C4:1/2 C5:1/2 D4:1/2 D5:1/2 E4:1/2 E5:1/2 G4:1/2 G5:1/2" if broken else "C4+C5 D4+D5 E4+E5 G4+G5"
    return opened().repeat_bars(2, *CHORDS).repeat_bars(4, line, *CHORDS[1:])


def low(key: str) -> Piece:
    return opened().repeat_bars(3, *CHORDS).bar(CHORDS[0], CHORDS[1], f"{key}:4").repeat_bars(2, *CHORDS)


def on_swell(stops: str, left: str = "C3+G3:4") -> Piece:
    piece = Piece().tempo("Andante", 80).text(1, 1, stops).text(1, 1, "Ped. Bourdon 16", staff=3)
    piece.text(1, 1, "Sw.", above=False)
    return piece.repeat_bars(4, CHORDS[0], left, CHORDS[2])


def on_great(stops: str) -> Piece:
    piece = Piece().tempo("Andante", 80).text(1, 1, stops).text(1, 1, "Ped. Bourdon 16", staff=3)
    return piece.text(1, 1, "Gt.", above=False).repeat_bars(4, *CHORDS)


def ended_by(words: str) -> Piece:
    piece = opened().repeat_bars(4, *CHORDS).repeat_bars(3, *LINE).bar(*LINE_REST).repeat_bars(3, *CHORDS)
    return piece.text(5, 1, "R.H. Sw.").text(9, 1, words)


def without_feet(words: str) -> Piece:
    piece = opened().repeat_bars(4, *CHORDS).repeat_bars(3, CHORDS[0], CHORDS[1], "r:4").repeat_bars(2, *CHORDS)
    return piece.text(5, 1, words).text(8, 1, "Ped.", staff=3)


def on_choir(stops: str) -> Piece:
    piece = Piece().tempo("Andante", 80).text(1, 1, stops).text(1, 1, "Ped. Bourdon 16", staff=3)
    return piece.text(1, 1, "Ch.", above=False).repeat_bars(4, *CHORDS)


def without_pedal_marking(said: bool) -> Piece:
    piece = Piece().tempo("Andante", 80).text(1, 1, "Gt. Open Diapason 8").text(1, 1, "Gt.", above=False)
    if said:
        piece.text(1, 1, "Ped. Bourdon 16", staff=3, above=False)
    return piece.repeat_bars(4, *CHORDS)


def without_manual(said: bool) -> Piece:
    piece = Piece().tempo("Andante", 80)
    for line in ("Gt. Open Diapason 8", "Sw. Oboe", "Ped. Bourdon 16"):
        piece.text(1, 1, line)
    return (piece.text(1, 1, "Gt.", above=False) if said else piece).repeat_bars(4, *CHORDS)


def stretched(chord: str) -> Piece:
    """The left hand alone on the Choir, where the right cannot help."""
    piece = opened().repeat_bars(2, *CHORDS).bar(CHORDS[0], chord, CHORDS[2]).repeat_bars(2, *CHORDS)
    return piece.text(2, 1, "L.H. Ch.", staff=2, above=False)


def swelling_over(pedal: str) -> Piece:
    piece = opened().repeat_bars(3, *CHORDS).repeat_bars(2, CHORDS[0], CHORDS[1], pedal).repeat_bars(2, *CHORDS)
    return piece.text(3, 1, "Sw.", above=False).hairpin(4, 6, "crescendo")


def rest_before(bar: int, words: str) -> Piece:
    piece = opened().repeat_bars(bar - 2, *CHORDS).bar("r:4", "r:4", "r:4").repeat_bars(4, *CHORDS)
    return piece.text(bar, 1, words)


def tied_over(words: str) -> Piece:
    tied = ("C4+E4+G4:4~", "C3+G3:4", "C3:4")
    stops = ("C4+E4+G4:4=", "C3+G3:4", "C3:4")
    piece = opened().repeat_bars(3, *CHORDS).bar(*tied).bar(*stops).repeat_bars(2, *CHORDS)
    return piece.text(5, 1, words, above=False)


def crossing(coupled: bool) -> Piece:
    """A solo on the Swell that strikes a key which the left hand holds on the Great."""
    held = ("G4 C4 E4 D4", "C4+E3:4", "C3:4")
    piece = opened().repeat_bars(3, *CHORDS).repeat_bars(4, *held).repeat_bars(2, *CHORDS)
    piece.text(4, 1, "R.H. Sw.").text(8, 1, "R.H. Gt.")
    return piece.text(2, 1, "Sw. to Gt.") if coupled else piece


def solo_on(choir: str, great: str) -> Piece:
    """A solo on the Great against a Great-like accompaniment on another manual."""
    piece = Piece().tempo("Andante", 80)
    swell = "Cornopean" if great == "Trumpet 8" else "Salicional"
    solo_stop = "Dulciana 8" if choir == "Dulciana 8" else "Trumpet 8"
    for line in (f"Gt. {solo_stop}", f"Sw. {swell} 8", "Ped. Bourdon 16"):
        piece.text(1, 1, line)
    piece.text(1, 1, "Sw.", above=False)
    piece.repeat_bars(4, *CHORDS).repeat_bars(4, *LINE).repeat_bars(2, *CHORDS)
    return piece.text(5, 1, "R.H. Gt.").text(9, 1, "R.H. Sw.")


def full_after_solo(trem_off: bool) -> Piece:
    piece = solo(True).bar("r:4", "r:4", "r:4").repeat_bars(2, *CHORDS).text(5, 1, "+ Trem.")
    piece.text(13, 1, "Full Sw.", above=False)
    return piece.text(9, 1, "Sw. Trem. off") if trem_off else piece


def of(name: str) -> tuple[Callable[[], Piece], Callable[[], Piece]]:
    """A fault of the composed set, which is looked into in its own test too."""
    fault = next(f for f in FAULTS if f.name == name)
    return fault.faulty, fault.clean


def louder(to: str) -> Piece:
    piece = opened().repeat_bars(8, *CHORDS).text(2, 1, "Sw.", above=False)
    return piece.dynamic(3, "p").hairpin(4, 6, "crescendo").dynamic(6, to)


def run_over(words: str) -> Piece:
    run = " ".join(["C4:1/4 D4:1/4 E4:1/4 F4:1/4"] * 4)
    return opened().repeat_bars(2, *CHORDS).repeat_bars(4, run, *CHORDS[1:]).text(4, 2, words)


def hands_on(right: str, left: str) -> Piece:
    piece = opened().repeat_bars(8, *CHORDS)
    return piece.text(5, 1, right).text(5, 1, left, staff=2)


Maker = Callable[[], Piece]
TWINS: dict[str, tuple[Maker, Maker]] = {
    "beyond-one-hand": (lambda: stretched("C3+G4:4"), lambda: stretched("C3+C4:4")),
    "beyond-the-feet": (lambda: low("C2+G2+E3"), lambda: low("C2+G2")),
    "box-needs-a-foot": (
        lambda: swelling_over("C2+C3:4"),
        lambda: swelling_over("C2:4"),
    ),
    "celeste-without-partner": (
        lambda: on_swell("Sw. Voix Celestes alone"),
        lambda: on_swell("Sw. Salicional & Voix Celestes"),
    ),
    "change-too-quick": (
        lambda: hymn((5, "Gt. Clarabella 8, Dulciana 8, Trumpet 8")),
        lambda: rest_before(5, "Gt. Clarabella 8, Dulciana 8, Trumpet 8"),
    ),
    "coupler-already-on": (
        lambda: hymn((3, "Sw. to Gt."), (5, "Sw. to Gt.")),
        lambda: hymn((3, "Sw. to Gt."), (4, "Sw. to Gt. off"), (5, "Sw. to Gt.")),
    ),
    "hairpin-without-box": (lambda: swelling("Gt."), lambda: swelling("Sw.")),
    "key-outside-compass": (lambda: low("G4"), lambda: low("F4")),
    "marking-not-understood": (
        lambda: hymn((5, "Gt. 8 & 4, grumfelt")),
        lambda: hymn((5, "Gt. 8 & 4")),
    ),
    "mutation-without-foundation": (
        lambda: on_choir("Ch. Nazard 2 2/3 alone"),
        lambda: on_choir("Ch. Lieblich Gedackt 8, Nazard 2 2/3"),
    ),
    "no-manual-said": (lambda: without_manual(False), lambda: without_manual(True)),
    "note-without-pipe": (
        lambda: on_swell("Sw. Voix Celestes alone", "G2+E3:4"),
        lambda: on_swell("Sw. Salicional & Voix Celestes", "G2+E3:4"),
    ),
    "note-held-over-manual-change": (lambda: tied_over("Sw."), lambda: tied_over("add Principal 4")),
    "nothing-drawn": (lambda: without_pedal_marking(False), lambda: without_pedal_marking(True)),
    "octaves-doubled": (lambda: octaves(False), lambda: octaves(True)),
    "reading-in-doubt": (lambda: hymn((5, "Gt. 2")), lambda: hymn((5, "Gt. Pist. 2"))),
    "same-pipe-twice": (lambda: crossing(coupled=True), lambda: crossing(coupled=False)),
    "second-time-differs": (
        lambda: hymn((5, "Gt. add Principal 4")).repeat(3, 6),
        lambda: hymn((5, "Gt. add Principal 4"), (6, "Gt. Principal 4 off")).repeat(3, 6),
    ),
    "sixteen-foot-alone": (
        lambda: on_choir("Ch. Double Bourdon 16 alone"),
        lambda: on_choir("Ch. Double Bourdon 16, Lieblich Gedackt 8"),
    ),
    "solo-coupled-to-accompaniment": (
        lambda: solo(True).text(3, 1, "Sw. to Gt."),
        lambda: solo(True).text(3, 1, "Sw. to Ped."),
    ),
    "solo-covered": (lambda: solo_on("Dulciana 8", "Trumpet 8"), lambda: solo_on("Trumpet 8", "Dulciana 8")),
    "solo-start-doubtful": (lambda: over_held_chord(3), lambda: over_held_chord(4)),
    "solo-without-end": (lambda: solo(False), lambda: solo(True)),
    "tremulant-left-on": (
        lambda: full_after_solo(trem_off=False),
        lambda: full_after_solo(trem_off=True),
    ),
    "box-already-so": of("box open already"),
    "tremulant-already-so": of("tremulant on already"),
    "celeste-named-alone": of("celeste alone"),
    "coupled-louder-than-drawn": of("soft Great under a loud coupled Swell"),
    "coupler-left-on": of("pedal coupler left on"),
    "crescendo-in-words-without-box": of("cresc. in words on the Great"),
    "crescendo-needs-stops": (lambda: louder("ff"), lambda: louder("f")),
    "doubling-adds-nothing": of("both hands on the same keys"),
    "hand-on-two-manuals": of("hand on two manuals"),
    "move-without-time": (lambda: run_over("R.H. Sw."), lambda: run_over("add Principal 4")),
    "one-manual-for-two": (
        lambda: hands_on("R.H. Positive", "L.H. Choir"),
        lambda: hands_on("R.H. Swell", "L.H. Great"),
    ),
    "stop-ends-before-note": of("low octave of the celeste"),
    "thumb-out-of-reach": (
        lambda: hymn((5, "R.H. Sw."), (6, "R.H. thumb on Ch.")),
        lambda: hymn((5, "R.H. Sw."), (6, "R.H. thumb on Gt.")),
    ),
    "second-time-never-comes": (
        lambda: hymn((3, "1st time Sw., 2nd time Ch.")),
        lambda: hymn((3, "1st time Sw., 2nd time Ch.")).repeat(3, 6).text(7, 1, "Gt.", above=False),
    ),
    "solo-end-without-solo": (lambda: hymn((5, "end solo")), lambda: ended_by("end solo")),
    "feet-play-though-silenced": (
        lambda: hymn((5, "senza Ped.")),
        lambda: without_feet("senza Ped."),
    ),
    "coupler-brings-nothing": (
        lambda: on_great("Gt. Open Diapason 8, Sw. to Gt."),
        lambda: on_great("Gt. Open Diapason 8, Sw. Oboe, Sw. to Gt."),
    ),
    "drawn-never-heard": (
        lambda: hymn((4, "Prepare Ch. Clarinet")),
        lambda: hymn((4, "Prepare Ch. Clarinet")).text(6, 1, "Ch.", above=False),
    ),
    "markings-contradict": (
        lambda: hymn((5, "Sw. box open"), (5, "Sw. box closed")),
        lambda: hymn((5, "Sw. box open"), (7, "Sw. box closed")),
    ),
    "box-at-its-end": (
        lambda: swelling("Sw.").text(2, 1, "Sw. box open"),
        lambda: swelling("Sw.").text(2, 1, "Sw. box closed"),
    ),
    "perhaps-a-misprint": (lambda: hymn((5, "Sw. Obeo")), lambda: hymn((5, "Sw. quietly"))),
    "two-names-for-one-manual": of("two names for a manual"),
    "two-names-for-one-stop": (
        lambda: hymn((5, "Sw. Hautboy")),
        lambda: hymn((5, "Sw. Oboe")),
    ),
}


ON_A_LARGER_ORGAN = {"solo-without-tremulant", "solo-reed-lean", "solo-hands-far-apart"}  # test_solo_advice.py
IN_TIME = {"change-at-page-turn", "piston-out-of-reach", "octave-off-runs-out"}  # test_pressing.py, test_octaves.py
WITH_A_STYLE = {"off-style"}  # test_styling.py


def test_every_rule_has_its_twins() -> None:
    assert set(TWINS) | ON_A_LARGER_ORGAN | WITH_A_STYLE | IN_TIME == {r.id for r in all_rules()}


@pytest.mark.parametrize("rule", sorted(TWINS))
def test_the_fault_is_found_and_its_twin_is_quiet(rule: str) -> None:
    faulty, clean = (walk(make()) for make in TWINS[rule])
    assert rule in rules(faulty), said(faulty)
    assert rule not in rules(clean), said(clean)


@pytest.mark.parametrize("rule", sorted(TWINS))
def test_a_clean_twin_has_no_error_or_warning(rule: str) -> None:
    analysis = walk(TWINS[rule][1]())
    grave = [f for f in analysis.findings if RANK[f.level] >= 1 and f.rule != "missing-piston-setting"]
    assert not grave, said(analysis)


@pytest.mark.parametrize("rule", sorted(TWINS))
def test_a_fault_is_given_once(rule: str) -> None:
    found = [f for f in walk(TWINS[rule][0]()).findings if f.rule == rule]
    assert len(found) == (2 if rule == "no-manual-said" else 1), [str(f.message) for f in found]


def test_rules_that_need_an_organ_are_named_when_there_is_none() -> None:
    analysis = walk(solo(False), without_organ=True)
    assert "hairpin-without-box" in {s.rule for s in analysis.report.skipped}
    assert "solo-without-end" in rules(analysis)


def test_no_rule_fails() -> None:
    for faulty, clean in TWINS.values():
        assert not walk(faulty()).report.failed
        assert not walk(clean()).report.failed


def said(analysis: Analysis) -> str:
    return "\n".join(f"{f.rule} at {f.at}: {f.message}" for f in analysis.findings)

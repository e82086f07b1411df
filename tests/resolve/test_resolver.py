"""What single instructions do, rule by rule; facts of the trade: common practice, no source, unless named."""

from __future__ import annotations

from dataclasses import replace

import pytest
from small_organ import ask, names, organ, play

from core.findings import Level
from core.organ.model import Role
from core.resolve.contract import because_to_json, registration_to_json
from core.resolve.model import Registration, Sure
from core.resolve.resolver import call_prepared

ENGLISH = organ(
    {
        "choir": "Dulciana 8, Claribel Flute 8, Suabe Flute 4, Nazard 2 2/3, Piccolo 2, Tierce 1 3/5, Clarinet 8",
        "great": "Double Open Diapason 16, Open Diapason I 8, Open Diapason II 8, Stopped Diapason 8, "
        "Principal 4, Twelfth 2 2/3, Fifteenth 2, Mixture, Trumpet 8",
        "swell": "Open Diapason 8, Lieblich Gedeckt 8, Salicional 8, Voix Celestes 8, Principal 4, Mixture, "
        "Oboe 8, Cornopean 8, Vox Humana 8",
        "pedal": "Open Wood 16, Bourdon 16, Bass Flute 8, Quint 10 2/3, Trombone 16",
    },
    couplers="swell>great, swell>choir, great>pedal, swell>pedal, swell>swell@4",
    tremulants="swell",
    tradition="english",
)
FRENCH = organ(
    {
        "great": "Montre 8, Bourdon 8, Gambe 8, Prestant 4, Trompette 8",
        "swell": "Flûte harmonique 8, Gambe 8, Voix céleste 8, Flûte octaviante 4, Hautbois 8, !Trompette 8, "
        "!Plein jeu, Voix humaine 8",
        "pedal": "Soubasse 16, Flûte 8, Bombarde 16",
    },
    couplers="swell>great, great>pedal, swell>pedal",
    tradition="french-symphonic",
)


def test_a_draw_makes_the_division_s_registration_and_leaves_the_others() -> None:
    done = play(ENGLISH, ask("draw", "swell", "Oboe"), drawn=("swell/salicional8", "great/principal4"))
    assert names(ENGLISH, done) == ["Principal 4", "Oboe 8"]


def test_an_addition_that_is_not_to_be_had_leaves_what_is_on() -> None:
    done = play(ENGLISH, ask("add", "choir", "Trumpet"), drawn=("choir/dulciana8",))
    assert names(ENGLISH, done)[:1] == ["Dulciana 8"]
    assert [f.rule for f in done.findings] == ["missing-stop"]


def test_what_is_missed_is_named_as_printed_with_what_comes_nearest() -> None:
    done = play(ENGLISH, ask("draw", "swell", "Aeoline"))
    (finding,) = done.findings
    assert str(finding.message) == "Aeoline is not on this organ's Swell; Salicional 8 comes nearest"
    assert finding.level is Level.WARNING
    assert done.because[0].substitute


def test_an_optional_stop_is_not_missed() -> None:
    assert play(ENGLISH, ask("add", "choir", "Bombarde", optional=True)).findings == ()


def test_a_second_choice_at_hand_is_no_substitute() -> None:
    one = ask("draw", "choir", "Corno di Bassetto")
    other = ask("draw", "choir", "Clarinet")
    done = play(ENGLISH, replace(one, alternatives=(other,)))
    assert names(ENGLISH, done) == ["Clarinet 8"]
    assert not done.findings


def test_a_celeste_brings_its_unison_unless_it_is_to_be_alone() -> None:
    """STAUFF "Voix Céleste": never alone, with Salicional or Gamba."""
    assert names(ENGLISH, play(ENGLISH, ask("draw", "swell", "celeste:"))) == [
        "Voix Celestes 8",
        "Salicional 8",
    ]
    assert names(ENGLISH, play(ENGLISH, ask("draw", "swell", "celeste:|alone"))) == ["Voix Celestes 8"]


def test_a_cornet_is_made_of_its_parts_and_told() -> None:
    """Cornet V = 8, 4, 2 2/3, 2, 1 3/5: BÉDOS art. 179; STAUFF "Cornet"."""
    done = play(ENGLISH, ask("draw", "choir", "Cornet"))
    assert sorted(names(ENGLISH, done)) == [
        "Claribel Flute 8",
        "Nazard 8/3",
        "Piccolo 2",
        "Suabe Flute 4",
        "Tierce 8/5",
    ]
    assert done.because[0].substitute


def test_a_32_ft_is_resultant_where_there_is_a_quint() -> None:
    """16 and 10 2/3 together: difference 32 ft pitch (arithmetic)."""
    done = play(ENGLISH, ask("draw", "pedal", "Subbass 32"))
    assert names(ENGLISH, done) == ["Open Wood 16", "Quint 32/3"]
    assert done.because[0].substitute


def test_a_32_ft_is_not_invented() -> None:
    done = play(FRENCH, ask("draw", "pedal", "Soubasse 32"))
    assert names(FRENCH, done) == []
    assert done.findings[0].level is Level.ERROR


def test_an_octave_trick_states_its_price() -> None:
    here = organ({"choir": "Gedackt 8, Clarinet 16", "pedal": "Bourdon 16"})
    done = play(here, ask("draw", "choir", "Clarinet 8"))
    assert names(here, done) == ["Clarinet 16"]
    assert "octave higher" in str(done.because[0].why)


def test_full_swell_leaves_out_what_is_never_in_a_chorus() -> None:
    """Full Swell: EB14, and from memory."""
    on = names(ENGLISH, play(ENGLISH, ask("full", "swell")))
    assert {"Cornopean 8", "Mixture", "Open Diapason 8", "Oboe 8"} <= set(on)
    assert not {"Voix Celestes 8", "Vox Humana 8"} & set(on)


def test_full_organ_couples() -> None:
    done = play(ENGLISH, ask("full"))
    coupled = registration_to_json(ENGLISH, done.registration)["couplers"]
    assert coupled == ["Swell to Great", "Great to Pedal", "Swell to Pedal"]


def test_exceptions_stay_out() -> None:
    on = names(ENGLISH, play(ENGLISH, ask("full", "great", without=("reed:",))))
    assert "Trumpet 8" not in on
    assert "Mixture" in on


def test_up_to_is_the_chorus_without_the_double() -> None:
    done = play(ENGLISH, ask("draw", "great", "Fifteenth", up_to=True))
    on = set(names(ENGLISH, done))
    assert {"Principal 4", "Twelfth 8/3", "Fifteenth 2"} <= on
    assert not {"Double Open Diapason 16", "Mixture", "Trumpet 8"} & on


def test_up_to_what_is_lacking_goes_as_far_as_there_is_and_says_so() -> None:
    done = play(ENGLISH, ask("draw", "swell", "Fifteenth", up_to=True))
    assert names(ENGLISH, done) == ["Open Diapason 8", "Principal 4"]
    assert done.because[0].substitute


def test_taking_off_what_is_not_drawn_is_a_finding() -> None:
    done = play(ENGLISH, ask("take-off", "great", "Mixture"), drawn=("great/principal4",))
    assert names(ENGLISH, done) == ["Principal 4"]
    assert [f.rule for f in done.findings] == ["not-drawn"]


def test_taking_off_without_a_division_is_wherever_it_is_drawn() -> None:
    drawn = ("great/doubleopendiapason16", "great/principal4", "pedal/bourdon16", "swell/oboe8")
    done = play(ENGLISH, ask("take-off", None, "reed:"), drawn=drawn)
    assert "Oboe 8" not in names(ENGLISH, done)


def test_numbers_name_a_stop() -> None:
    assert names(ENGLISH, play(ENGLISH, ask("draw", "great", "Open Diapason No. 2"))) == ["Open Diapason II 8"]


def test_anches_are_called_with_what_stands_on_their_wind() -> None:
    """Widor, Avant-propos: reeds with the mixtures on the appel; Hautbois with the fonds: from memory."""
    prepared = play(FRENCH, ask("draw", "swell", "foundation:8"), ask("prepare", "swell", "reed:"), language="fr")
    assert "Trompette 8" not in names(FRENCH, prepared)
    assert set(prepared.registration.prepared) == {"swell/trompette8", "swell/pleinjeu"}
    called = play(FRENCH, ask("add", "swell", "reed:"), before=prepared.registration, language="fr")
    assert {"Trompette 8", "Plein jeu"} <= set(names(FRENCH, called))
    assert called.registration.prepared == ()
    by_hand = call_prepared(FRENCH, prepared.registration, "swell")
    assert set(by_hand.drawn) == set(called.registration.drawn)


def test_what_else_is_prepared_replaces_what_was_on_when_called() -> None:
    before = play(ENGLISH, ask("prepare", "swell", "Salicional"), drawn=("swell/principal4",)).registration
    assert before.drawn == ("swell/principal4",)
    assert call_prepared(ENGLISH, before, "swell").drawn == ("swell/salicional8",)
    assert call_prepared(ENGLISH, before, "great") == before


def test_a_coupler_the_organ_lacks_is_a_finding_with_a_way_round() -> None:
    coupler = {"from": "choir", "to": "great", "pitch": "8"}
    done = play(ENGLISH, ask("couple", None, coupler=coupler))
    assert not done.registration.couplers
    assert [f.rule for f in done.findings] == ["missing-coupler"]


def test_tirasses_are_all_of_them_and_a_pedal_coupler_the_chief_manual_s() -> None:
    every = play(FRENCH, ask("couple", "pedal", coupler=None), text="Tirasses", language="fr")
    assert len(every.registration.couplers) == 2
    one = play(FRENCH, ask("couple", "pedal", coupler=None), text="Pedalkoppel", language="de")
    assert registration_to_json(FRENCH, one.registration)["couplers"] == ["Great to Pedal"]


def test_manuals_coupled_and_uncoupled() -> None:
    on = play(FRENCH, ask("couple", None, coupler=None), text="Claviers accouplés", language="fr")
    assert registration_to_json(FRENCH, on.registration)["couplers"] == ["Swell to Great"]
    off = play(FRENCH, ask("uncouple", None, coupler=None), before=on.registration, language="fr")
    assert not off.registration.couplers


def test_an_octave_coupler_without_a_keyboard_is_the_hand_s() -> None:
    coupler = {"from": None, "to": None, "pitch": "4"}
    done = play(ENGLISH, ask("couple", None, coupler=coupler), staff_division="swell")
    assert registration_to_json(ENGLISH, done.registration)["couplers"] == ["Swell to Swell 4"]


def test_tremulants_own_whole_and_missing() -> None:
    assert play(ENGLISH, ask("tremulant-on", "swell")).registration.tremulants == {"swell"}
    missing = play(ENGLISH, ask("tremulant-on", "choir"))
    assert [f.rule for f in missing.findings] == ["missing-tremulant"]
    whole = organ({"great": "Principal 8"}, tremulants="all")
    assert play(whole, ask("tremulant-on", "great")).registration.tremulants == {None}
    assert play(ENGLISH, ask("tremulant-on")).registration.tremulants == {"swell"}
    off = play(ENGLISH, ask("tremulant-off"), before=Registration(tremulants=frozenset({"swell"})))
    assert not off.registration.tremulants


def test_a_box_the_organ_lacks_is_a_finding() -> None:
    assert play(ENGLISH, ask("box", "swell", box="closed")).registration.box("swell") == "closed"
    assert [f.rule for f in play(ENGLISH, ask("box", "great", box="open")).findings] == ["no-box"]


def test_cancel_clears_all_or_one_division() -> None:
    before = Registration(drawn=("great/principal4", "swell/oboe8"), couplers=frozenset({0}))
    assert play(ENGLISH, ask("cancel"), before=before).registration == Registration()
    assert play(ENGLISH, ask("cancel", "swell"), before=before).registration.drawn == ("great/principal4",)


def test_a_piston_is_not_guessed() -> None:
    done = play(ENGLISH, ask("piston", "great", number="5"), drawn=("great/principal4",))
    assert names(ENGLISH, done) == ["Principal 4"]
    assert [f.level for f in done.findings] == [Level.ADVICE]


def test_pins_are_respected() -> None:
    pins = {"loud 8 reeds": ("swell/oboe8",)}
    done = play(ENGLISH, ask("draw", "swell", "reed:8|loud"), pins=pins)
    assert names(ENGLISH, done) == ["Oboe 8"]
    assert done.because[0].sure is Sure.USER


def test_passes_hold_for_their_time_alone() -> None:
    first = ask("draw", "swell", "Oboe", passes=[1])
    second = ask("draw", "swell", "Cornopean", passes=[2])
    assert names(ENGLISH, play(ENGLISH, first, second)) == ["Oboe 8"]
    assert names(ENGLISH, play(ENGLISH, first, second, nth=2)) == ["Cornopean 8"]


def test_stops_without_a_division_go_where_the_hand_is_if_it_can() -> None:
    assert names(ENGLISH, play(ENGLISH, ask("draw", None, "Oboe"), staff_division="swell")) == ["Oboe 8"]
    only = play(ENGLISH, ask("draw", None, "Clarinet"), staff_division="great")
    assert names(ENGLISH, only) == ["Clarinet 8"]
    assert not only.findings
    asked = play(ENGLISH, ask("draw", None, ":8+4"))
    assert [f.rule for f in asked.findings] == ["division-not-stated"]
    assert names(ENGLISH, asked) == ["Open Diapason I 8", "Principal 4"]


def test_a_missing_division_is_told_and_answered_by_the_nearest() -> None:
    done = play(FRENCH, ask("draw", "choir", "flute:8"))
    assert "missing-division" in [f.rule for f in done.findings]
    assert done.because[0].substitute


def test_no_pedal_draws_nothing_and_says_so() -> None:
    here = organ({"great": "Principal 8"})
    done = play(here, ask("draw", "pedal", "Bourdon 16"))
    assert names(here, done) == []
    assert [(f.rule, f.level) for f in done.findings] == [("missing-division", Level.ERROR)]


def test_divided_stops_come_whole_or_by_the_hand() -> None:
    here = organ({"great": "Principale bassi 8, Principale soprani 8, Tromba bassi 8, Tromba soprani 8"})
    assert len(play(here, ask("draw", "great", "Tromba")).registration.drawn) == 2
    right = play(here, ask("draw", "great", "Tromba", hand="right"), ask("draw", "great", "Principale", hand="left"))
    assert set(right.registration.drawn) == {"great/trombasoprani8", "great/principalebassi8"}


def test_a_half_drawn_leaves_the_other_half() -> None:
    here = organ({"great": "Principale bassi 8, Principale soprani 8, Tromba bassi 8, Tromba soprani 8"})
    done = play(
        here,
        ask("draw", "great", "Tromba", hand="right"),
        drawn=("great/principalebassi8", "great/principalesoprani8"),
    )
    assert set(done.registration.drawn) == {"great/principalebassi8", "great/trombasoprani8"}


def test_three_manuals_music_on_two_keeps_the_stops_of_both() -> None:
    here = organ({"great": "Open Diapason 8", "swell": "Oboe 8, Gedackt 8", "pedal": "Bourdon 16"})
    done = play(here, ask("draw", "swell", "Oboe"), ask("draw", "choir", "Gedackt"))
    assert set(names(here, done)) >= {"Oboe 8", "Gedackt 8"}


def test_reduce_puts_in_the_loudest_first_or_draws_what_it_names() -> None:
    drawn = ("great/opendiapasoni8", "great/principal4", "great/mixture", "great/trumpet8")
    done = play(ENGLISH, ask("reduce", "great"), drawn=drawn)
    assert "Trumpet 8" not in names(ENGLISH, done)
    assert "Mixture" in names(ENGLISH, done)
    named = play(ENGLISH, ask("reduce", "great", ":8+4"), drawn=drawn)
    assert names(ENGLISH, named) == ["Open Diapason I 8", "Principal 4"]


@pytest.mark.parametrize(("action", "rule"), [("add", "already-drawn"), ("uncouple", "not-drawn")])
def test_what_changes_nothing_is_said(action: str, rule: str) -> None:
    coupler = {"from": "swell", "to": "great", "pitch": "8"} if action == "uncouple" else None
    stops = ("Oboe",) if action == "add" else ()
    division = "swell" if action == "add" else None
    done = play(ENGLISH, ask(action, division, *stops, coupler=coupler), drawn=("swell/oboe8",))
    assert [(f.rule, f.level) for f in done.findings] == [(rule, Level.ADVICE)]


def test_a_reason_is_given_as_the_contract_has_it() -> None:
    done = play(ENGLISH, ask("draw", "swell", "reed:8|loud"))
    assert because_to_json(ENGLISH, done.because[0]) == {
        "request": "loud 8 reeds",
        "division": "Swell",
        "chosen": ["Cornopean 8"],
        "alternatives": ["Oboe 8"],
        "substitute": False,
        "why": "Cornopean 8: loudest of the Swell's 8 reeds",
        "sure": "customary",
    }


def test_pedal_lacking_an_8_says_that_only_a_coupler_brings_it() -> None:
    here = organ({"great": "Open Diapason 8", "pedal": "Bourdon 16"}, couplers="great>pedal")
    done = play(here, ask("draw", "pedal", ":16+8|soft"))
    assert names(here, done) == ["Bourdon 16"]
    assert "manual coupler" in str(done.findings[0].message)
    assert here.division("pedal").role is Role.PEDAL

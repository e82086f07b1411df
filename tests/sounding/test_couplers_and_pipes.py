"""Which pipes a key reaches.

Feet to harmonic: arithmetic (8 ft is the unison). Octave couplers, carrying on: common practice, no source.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.organ.model import Organ
from core.resolve.model import Registration
from core.sounding.couplers import Way, ways
from core.sounding.pipes import pipes_of, ratios_of, stop_range
from organs import small_organ


def with_couplers(organ: Organ, *which: int, drawn: tuple[str, ...] = ()) -> Registration:
    return Registration(drawn=drawn, couplers=frozenset(which))


def test_a_division_reaches_itself_and_what_is_coupled_to_it() -> None:
    organ = small_organ()
    assert ways(organ, with_couplers(organ, 0), "great") == (Way("great", 0), Way("swell", 0))
    assert ways(organ, with_couplers(organ, 0), "swell") == (Way("swell", 0),)


def test_octave_coupler_shifts_up_and_unison_off_silences_the_unison() -> None:
    organ = small_organ()
    assert ways(organ, with_couplers(organ, 5, 7), "swell") == (Way("swell", 12),)
    assert ways(organ, with_couplers(organ, 8), "great") == (Way("great", 0), Way("swell", 12))


@pytest.mark.parametrize(("carries", "reached"), [(True, {"pedal", "great", "swell"}), (False, {"pedal", "great"})])
def test_couplers_carry_on_only_where_the_specification_says_so(carries: bool, reached: set[str]) -> None:
    organ = replace(small_organ(), couplers_carry_on=carries)
    assert {w.division for w in ways(organ, with_couplers(organ, 0, 2), "pedal")} == reached


def test_unstated_carrying_on_follows_the_tradition() -> None:
    organ = replace(small_organ(), couplers_carry_on=None, tradition="french-symphonic")
    assert "swell" in {w.division for w in ways(organ, with_couplers(organ, 0, 2), "pedal")}


def test_an_octave_coupler_ends_where_the_pipes_end() -> None:
    organ = small_organ()
    registration = with_couplers(organ, 5, drawn=("swell/oboe-8",))
    assert [p.number for p in pipes_of(organ, registration, "swell", 60)] == [60, 72]
    assert [p.number for p in pipes_of(organ, registration, "swell", 91)] == [91]


def test_a_tenor_c_celeste_has_no_low_pipes() -> None:
    organ = small_organ()
    registration = with_couplers(organ, drawn=("swell/voix-celestes-8",))
    assert pipes_of(organ, registration, "swell", 47) == ()
    assert len(pipes_of(organ, registration, "swell", 48)) == 1


def test_sounding_ratios_are_the_harmonics_of_the_pitch() -> None:
    organ = small_organ()
    assert ratios_of(organ.stop("choir/nazard-2-2/3"), 60) == (Fraction(3),)
    assert ratios_of(organ.stop("pedal/bourdon-16"), 40) == (Fraction(1, 2),)
    mixture = organ.stop("great/mixture")
    assert ratios_of(mixture, 40) == (Fraction(6), Fraction(8), Fraction(12))
    assert ratios_of(mixture, 72) == (Fraction(3), Fraction(4), Fraction(6))


@given(
    st.sets(st.integers(0, 8)),
    st.sampled_from(["great", "swell", "choir", "pedal"]),
    st.integers(24, 108),
)
def test_couplers_never_sound_a_pipe_outside_its_rank(couplers: set[int], division: str, key: int) -> None:
    organ = small_organ()
    drawn = tuple(s.id for d in organ.divisions for s in d.stops)
    for pipe in pipes_of(organ, with_couplers(organ, *couplers, drawn=drawn), division, key):
        low, high = stop_range(organ.division_of(pipe.stop), organ.stop(pipe.stop))
        assert low <= pipe.key <= high

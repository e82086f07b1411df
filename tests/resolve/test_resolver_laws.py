"""Laws of the resolver, for any marking on any of the invented organs."""

from __future__ import annotations

import draw_judge
from hypothesis import given, settings
from hypothesis import strategies as st

from core.cli.draw import roles_asked
from core.markings.contract import instruction_from_json
from core.markings.model import Action, Instruction
from core.organ.model import Organ
from core.resolve.keyboards import propose_keyboards
from core.resolve.model import Registration, Resolution
from core.resolve.resolver import resolve

KEYS = list(draw_judge.document()["organs"])
FAMILIES = [
    "principal",
    "flute",
    "string",
    "celeste",
    "reed",
    "mutation",
    "mixture",
    "foundation",
    "plenum",
    "all",
]
ROLES = [
    "great",
    "swell",
    "choir",
    "positive",
    "solo",
    "oberwerk",
    "pedal",
    "manual-1",
    "manual-2",
    "manual-3",
    None,
]
NAMES = [
    "Oboe",
    "Trompete",
    "Gamba",
    "Flauto",
    "Cornet",
    "Principal",
    "Voix céleste",
    "Jeu de tierce",
    "Zzyx",
    None,
]


@st.composite
def requests(draw: st.DrawFn) -> dict[str, object]:
    name = draw(st.sampled_from(NAMES))
    return {
        "name": name,
        "family": None if name else draw(st.sampled_from([*FAMILIES, None])),
        "pitches": draw(st.lists(st.sampled_from(["16", "8", "4", "2 2/3", "2"]), max_size=3, unique=True)),
        "qualities": draw(st.lists(st.sampled_from(["soft", "loud", "alone", "two", "half"]), max_size=1)),
        "half": draw(st.sampled_from([None, None, "bass", "treble"])),
    }


@st.composite
def instructions(draw: st.DrawFn, action: str | None = None) -> Instruction:
    return instruction_from_json(
        {
            "action": action
            or draw(st.sampled_from(["draw", "add", "take-off", "prepare", "full", "reduce", "cancel"])),
            "division": draw(st.sampled_from(ROLES)),
            "hand": None,
            "stops": draw(st.lists(requests(), min_size=1, max_size=3)),
            "except": [],
            "up_to": draw(st.sampled_from([False, False, True])),
            "optional": False,
            "or": [],
        }
    )


def answer(organ: Organ, instruction: Instruction, before: Registration) -> Resolution:
    keyboards = propose_keyboards(roles_asked([instruction]), organ)
    return resolve((instruction,), organ, before, keyboards=keyboards)


@given(key=st.sampled_from(KEYS), one=instructions(), two=instructions())
@settings(deadline=None, max_examples=150)
def test_every_newly_drawn_stop_is_named_in_a_reason(key: str, one: Instruction, two: Instruction) -> None:
    organ = draw_judge.organ(key)
    before = answer(organ, one, Registration()).registration
    done = answer(organ, two, before)
    new = set(done.registration.drawn) - set(before.drawn)
    told = {stop for because in done.because for stop in because.chosen if str(because.why)}
    assert new <= told
    assert len(set(done.registration.drawn)) == len(done.registration.drawn)
    assert not set(done.registration.drawn) & set(done.registration.prepared)


@given(key=st.sampled_from(KEYS), one=instructions(action="draw"))
@settings(deadline=None, max_examples=150)
def test_drawing_what_is_drawn_changes_nothing(key: str, one: Instruction) -> None:
    organ = draw_judge.organ(key)
    first = answer(organ, one, Registration()).registration
    assert answer(organ, one, first).registration == first


@given(key=st.sampled_from(KEYS), one=instructions(), two=instructions())
@settings(deadline=None, max_examples=100)
def test_the_registration_depends_only_on_what_was_before(key: str, one: Instruction, two: Instruction) -> None:
    organ = draw_judge.organ(key)
    before = answer(organ, one, Registration()).registration
    assert answer(organ, two, before) == answer(organ, two, before)


@given(key=st.sampled_from(KEYS), one=instructions(action="add"), two=instructions(action="draw"))
@settings(deadline=None, max_examples=100)
def test_an_addition_takes_nothing_off(key: str, one: Instruction, two: Instruction) -> None:
    organ = draw_judge.organ(key)
    before = answer(organ, two, Registration()).registration
    assert set(before.drawn) <= set(answer(organ, one, before).registration.drawn)


@given(key=st.sampled_from(KEYS), one=instructions(action="draw"))
@settings(deadline=None, max_examples=100)
def test_a_draw_touches_only_the_divisions_it_speaks_of(key: str, one: Instruction) -> None:
    organ = draw_judge.organ(key)
    everything = Registration(drawn=tuple(s.id for d in organ.divisions for s in d.stops))
    done = answer(organ, one, everything)
    spoken = {because.division for because in done.because}
    kept = {s for s in everything.drawn if organ.division_of(s).id not in spoken}
    assert kept <= set(done.registration.drawn)
    assert one.action is Action.DRAW

"""Writing is the reverse of reading: what is written in a house style reads back to the same instructions."""

from __future__ import annotations

import json
from fractions import Fraction
from pathlib import Path

import pytest
import yaml
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from core.cli.main import main
from core.markings.house_style import BUILT_IN, read_style
from core.markings.model import Action, CouplerRequest, Hand, Instruction, StopRequest
from core.markings.reading import read_marking
from core.markings.wording import meaning, write, write_marking, write_reading

CASES = yaml.safe_load((Path(__file__).parent / "cases.yaml").read_text(encoding="utf-8"))
MANUALS = ["great", "swell", "positive", "oberwerk", "manual-1", "manual-2", "manual-3"]
ROLES = [*MANUALS, "pedal"]
FAMILIES = ["principal", "flute", "string", "celeste", "reed", "mutation", "mixture", "foundation"]
QUALITIES = ["soft", "loud", "small", "large", "alone", "dark", "bright"]
# names that fix no pitch in any language, so that they mean the same under every hint
NAMES = {
    "Bourdon": "flute",
    "Salicional": "string",
    "Trumpet": "reed",
    "Gamba": "string",
    "Oboe": "reed",
}
FEET = [Fraction(32), Fraction(16), Fraction(8), Fraction(4), Fraction(2)]

pitches = st.lists(st.sampled_from(FEET), max_size=3, unique=True).map(lambda some: tuple(sorted(some, reverse=True)))
by_family = st.builds(StopRequest, family=st.sampled_from(FAMILIES), pitches=pitches)
by_pitch = st.builds(StopRequest, pitches=pitches.filter(bool))
by_name = st.sampled_from(sorted(NAMES)).flatmap(
    lambda name: st.builds(
        StopRequest, name=st.just(name), family=st.just(NAMES[name]), pitches=st.sampled_from([(), (Fraction(8),)])
    )
)
qualified = st.builds(
    lambda stop, quality: StopRequest(name=stop.name, family=stop.family, pitches=stop.pitches, qualities=(quality,)),
    st.one_of(by_family, by_name),
    st.sampled_from(QUALITIES),
)
one_stop = st.one_of(by_family, by_name, by_pitch, qualified)
divisions = st.one_of(st.none(), st.sampled_from(ROLES))
styles = st.sampled_from(BUILT_IN).map(read_style)
stop_actions = st.builds(
    Instruction,
    action=st.sampled_from([Action.DRAW, Action.ADD, Action.TAKE_OFF, Action.PREPARE]),
    division=divisions,
    stops=one_stop.map(lambda stop: (stop,)),
)
bare_actions = st.one_of(
    st.builds(
        Instruction,
        action=st.sampled_from([Action.FULL, Action.TREMULANT_ON, Action.TREMULANT_OFF]),
        division=st.one_of(st.none(), st.sampled_from(MANUALS)),
    ),
    st.builds(Instruction, action=st.just(Action.PLAY), division=st.sampled_from(ROLES)),
    st.builds(
        Instruction,
        action=st.just(Action.PLAY),
        division=st.sampled_from(MANUALS),
        hand=st.sampled_from([Hand.RIGHT, Hand.LEFT]),
    ),
    st.builds(
        Instruction,
        action=st.just(Action.BOX),
        division=st.just("swell"),
        box=st.sampled_from(["open", "half", "closed", "opening", "closing"]),
    ),
    st.builds(
        Instruction, action=st.just(Action.PISTON), division=divisions, number=st.sampled_from(["1", "3", "5", "7"])
    ),
    st.just(Instruction(action=Action.CANCEL)),
    st.just(Instruction(action=Action.SOLO)),
    st.just(Instruction(action=Action.SOLO_END)),
    st.just(Instruction(action=Action.TAKE_OFF, division="pedal")),
    st.builds(Instruction, action=st.sampled_from([Action.CRESCENDO, Action.REDUCE])),
    st.sampled_from([None, "off"]).map(lambda to: Instruction(action=Action.CRESCENDO_PEDAL, to=to)),
    st.builds(Instruction, action=st.just(Action.UNISON_OFF), division=st.sampled_from(["great", "swell"])),
)
coupler_actions = st.builds(
    Instruction,
    action=st.sampled_from([Action.COUPLE, Action.UNCOUPLE]),
    coupler=st.one_of(
        st.builds(CouplerRequest, st.sampled_from(MANUALS), st.just("pedal")),
        st.builds(
            CouplerRequest,
            st.sampled_from(["swell", "positive"]),
            st.just("great"),
            st.sampled_from([Fraction(16), Fraction(8), Fraction(4)]),
        ),
        st.sampled_from(["great", "swell"]).flatmap(
            lambda role: st.builds(
                CouplerRequest, st.just(role), st.just(role), st.sampled_from([Fraction(16), Fraction(4)])
            )
        ),
    ),
)
any_action = st.one_of(stop_actions, bare_actions, coupler_actions)


@pytest.mark.parametrize("name", BUILT_IN)
def test_each_reading_is_written_in_each_style_and_reads_back(name: str) -> None:
    style = read_style(name)
    for language, rows in CASES.items():
        for text, *_ in rows:
            instructions = read_marking(text, hint=language).instructions
            written = write_marking(instructions, style)
            again = read_marking(written, hint=style.language).instructions
            assert meaning(again) == meaning(instructions), f"{text!r} was written {written!r}"


@given(any_action, styles)
@settings(max_examples=400, deadline=None)
def test_an_instruction_of_any_kind_reads_back(one, style) -> None:  # type: ignore[no-untyped-def]
    written = write([one], style)
    again = read_marking(written.text, hint=style.language).instructions
    assert meaning(again) == meaning([one]), f"{written.text!r} in {style.name}"


@given(st.lists(any_action, min_size=2, max_size=4), styles)
@settings(max_examples=150, deadline=None)
def test_what_is_called_exact_reads_back(several, style) -> None:  # type: ignore[no-untyped-def]
    assume(len({(one.action, one.division) for one in several}) == len(several))
    written = write(several, style)
    same = meaning(read_marking(written.text, hint=style.language).instructions) == meaning(several)
    assert written.exact == same
    assert written.exact or written.astray


@pytest.mark.parametrize(
    ("text", "style", "expected"),
    [
        ("Sw. soft 8 & 4 ft., Gt. to Ped. off", "en-full", "Swell soft 8 ft., 4 ft.; Great to Pedal off"),
        ("II. Man. 8′, 4′ (Koppel II/I)", "de", "II: 8', 4', Koppel II/I"),
        ("Via le ance", "nl", "tongwerken af"),
        ("Full Organ without Reeds", "fr", "Tutti sans Anches"),
    ],
)
def test_wordings_are_the_trades(text: str, style: str, expected: str) -> None:
    assert write_marking(read_marking(text).instructions, read_style(style)) == expected


def test_nothing_that_cannot_be_said_is_left_out() -> None:
    odd = Instruction(action=Action.DRAW, division="great", stops=(StopRequest(name="Xyzzy", qualities=("purple",)),))
    written = write([odd], read_style("en"))
    assert "Xyzzy" in written.text
    assert not written.exact
    assert written.astray == (odd,)


@pytest.mark.parametrize(
    ("text", "expected", "left_out"),
    [
        ("[Sw. Oboe]", "[SW Oboe]", ()),
        ("(Gt.)", "(HW)", ()),
        ("Allegro. Gt. Reeds off", "HW Zungen ab", ("Allegro",)),
        ("Sw. Oboe, Wobbulator", "SW Oboe", ("Wobbulator",)),
        ("rit.", "rit.", ()),
    ],
)
def test_a_text_is_written_again_and_what_is_left_out_is_said(
    text: str, expected: str, left_out: tuple[str, ...]
) -> None:
    written = write_reading(read_marking(text), read_style("de"))
    assert (written.text, written.left_out) == (expected, left_out)
    assert written.exact


def test_the_command_writes(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["read", "Sw. Oboe, Trem.", "--write", "fr", "--json"]) == 0
    reading = json.loads(capsys.readouterr().out)["readings"][0]
    assert (reading["written"], reading["written_exact"]) == ("Récit Oboe, Trémolo", True)
    assert main(["read", "Sw. Oboe, Trem.", "--write", "de"]) == 0
    assert "SW Oboe, Tremulant" in capsys.readouterr().out

"""A substitute goes in by the printed name's "off"; what is drawn under its own name stays."""

from __future__ import annotations

import pytest

from core.document import organ_from_text
from core.markings.reading import read_marking
from core.resolve.keyboards import propose_keyboards
from core.resolve.model import Registration, Resolution
from core.resolve.resolver import resolve

ORGAN = organ_from_text(
    """
specification: 1
name: St Erme, Little Carn (invented)
tradition: english
divisions:
  - name: Great
    stops: [Open Diapason 8, Clarabella 8, Principal 4]
  - name: Swell
    enclosed: true
    stops: [Lieblich Gedackt 8, Salicional 8, Oboe 8]
  - name: Pedal
    stops: [Bourdon 16]
""",
    "organ.yaml",
)


def after(*texts: str) -> tuple[Registration, Resolution]:
    """The registration after some markings, one by one, and what the last did."""
    now, last = Registration(), None
    for text in texts:
        reading = read_marking(text, hint="en")
        roles = [i.division for i in reading.instructions if i.division]
        last = resolve(
            reading.instructions, ORGAN, now, keyboards=propose_keyboards(roles, ORGAN), language="en", text=text
        )
        now = last.registration
    assert last is not None
    return now, last


def names(registration: Registration) -> list[str]:
    return [ORGAN.stop(s).name for s in registration.drawn]


@pytest.mark.parametrize(
    ("drawn", "off", "left"),
    [
        ("Sw. Lieblich Gedackt 8, Clarinet 8", "Clarinet off", ["Lieblich Gedackt"]),
        ("Sw. Lieblich Gedackt 8, Clarinet 8", "Sw. Clarinet in", ["Lieblich Gedackt"]),
        ("Sw. Celestes", "Celestes off", []),
        ("Gt. Open Diapason 8, Hohl Flute 8", "Gt. - Hohl Flute", ["Open Diapason"]),
    ],
)
def test_the_stop_that_stood_for_it_goes_in(drawn: str, off: str, left: list[str]) -> None:
    before, _ = after(drawn)
    assert len(names(before)) > len(left)
    now, last = after(drawn, off)
    assert names(now) == left
    assert not [f for f in last.findings if f.rule == "not-drawn"]
    assert any("it stood for the" in str(b.why) for b in last.because)


def test_a_stop_asked_for_by_its_own_name_since_then_stays() -> None:
    now, last = after("Sw. Clarinet 8", "Sw. Oboe 8", "Sw. Clarinet off")
    assert names(now) == ["Oboe"]
    assert [f.rule for f in last.findings] == ["not-drawn"]


def test_nothing_is_remembered_of_what_went_off() -> None:
    now, _ = after("Sw. Clarinet 8", "Sw. Salicional 8")
    assert now.stands_for == ()
    again, last = after("Sw. Clarinet 8", "Sw. Salicional 8", "Sw. Clarinet off")
    assert names(again) == ["Salicional"]
    assert [f.rule for f in last.findings] == ["not-drawn"]

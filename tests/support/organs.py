"""An invented organ made by hand, so that tests of later rooms need no file and no stop knowledge."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from core.organ.model import (
    Break,
    Coupler,
    Division,
    Family,
    Organ,
    Ranks,
    Role,
    Stop,
    Tremulant,
)

F = Family


def stop(division: str, name: str, pitch: str | None, family: Family, loudness: int = 5, **more: object) -> Stop:
    feet = sum((Fraction(p) for p in pitch.split()), Fraction(0)) if pitch else None
    slug = f"{division}/{name.lower().replace(' ', '-')}" + (f"-{pitch.replace(' ', '-')}" if pitch else "")
    return Stop(id=slug, name=name, pitch=feet, family=family, loudness=loudness, rank=slug, **more)


def small_organ() -> Organ:
    """St Candida, Upper Wenning (invented): three manuals and pedal."""
    great = (
        stop("great", "Open Diapason", "8", F.PRINCIPAL, 7, kind="open-diapason"),
        stop("great", "Clarabella", "8", F.FLUTE, 4, kind="clarabella"),
        stop("great", "Dulciana", "8", F.STRING, 2, kind="dulciana"),
        stop("great", "Principal", "4", F.PRINCIPAL, 6, kind="principal"),
        stop("great", "Fifteenth", "2", F.PRINCIPAL, 6, kind="fifteenth"),
        stop(
            "great",
            "Mixture",
            None,
            F.MIXTURE,
            7,
            kind="mixture",
            ranks=Ranks(3, 3),
            composition=(
                Break(36, (Fraction(4, 3), Fraction(1), Fraction(2, 3))),
                Break(60, (Fraction(8, 3), Fraction(2), Fraction(4, 3))),
            ),
        ),
        stop("great", "Trumpet", "8", F.REED, 8, kind="trumpet"),
    )
    swell = (
        stop("swell", "Gedackt", "8", F.FLUTE, 4, kind="gedackt"),
        stop("swell", "Salicional", "8", F.STRING, 3, kind="salicional"),
        stop("swell", "Voix Celestes", "8", F.CELESTE, 3, kind="voix-celeste", compass=(48, None)),
        stop("swell", "Gemshorn", "4", F.PRINCIPAL, 4, kind="gemshorn"),
        stop("swell", "Cornopean", "8", F.REED, 7, kind="cornopean"),
        stop("swell", "Oboe", "8", F.REED, 5, kind="oboe"),
    )
    choir = (
        stop("choir", "Lieblich Gedackt", "8", F.FLUTE, 3, kind="lieblich-gedackt"),
        stop("choir", "Flute", "4", F.FLUTE, 4, kind="flute"),
        stop("choir", "Nazard", "2 2/3", F.MUTATION, 4, kind="nasard"),
        stop("choir", "Clarinet", "8", F.REED, 5, kind="clarinet"),
        stop("choir", "Double Bourdon", "16", F.FLUTE, 3, kind="bourdon"),
    )
    pedal = (
        stop("pedal", "Bourdon", "16", F.FLUTE, 4, kind="bourdon"),
        stop("pedal", "Bass Flute", "8", F.FLUTE, 4, kind="bass-flute"),
        stop("pedal", "Choral Bass", "4", F.PRINCIPAL, 5, kind="choralbass"),
        stop("pedal", "Trombone", "16", F.REED, 8, kind="trombone"),
    )
    return Organ(
        name="St Candida, Upper Wenning (invented)",
        invented=True,
        language="en",
        tradition="english",
        couplers_carry_on=False,
        divisions=(
            _division("great", Role.GREAT, "manual-2", great, enclosed=False),
            _division("swell", Role.SWELL, "manual-3", swell, enclosed=True),
            _division("choir", Role.CHOIR, "manual-1", choir, enclosed=False),
            replace(_division("pedal", Role.PEDAL, "pedal", pedal, enclosed=False), compass=(36, 65)),
        ),
        couplers=(
            Coupler(source="swell", target="great"),
            Coupler(source="swell", target="choir"),
            Coupler(source="great", target="pedal"),
            Coupler(source="swell", target="pedal"),
            Coupler(source="choir", target="pedal"),
            Coupler(source="swell", target="swell", pitch=Fraction(4)),
            Coupler(source="swell", target="swell", pitch=Fraction(16)),
            Coupler(source="swell", target="swell", unison_off=True),
            Coupler(source="swell", target="great", pitch=Fraction(4)),
        ),
        tremulants=(Tremulant(division="swell"),),
    )


def _division(name: str, role: Role, keyboard: str, stops: tuple[Stop, ...], *, enclosed: bool | None) -> Division:
    return Division(
        id=name,
        name=name.capitalize(),
        role=role,
        keyboard=keyboard,
        stops=stops,
        enclosed=enclosed,
        compass=(36, 91),
    )

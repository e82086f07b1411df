"""Organs as hypothesis makes them, and organs compared without the lines that they came from."""

from dataclasses import replace
from fractions import Fraction

from hypothesis import strategies as st

from core.organ.completing import Setting, customary_composition, known_of
from core.organ.ids import slug, stop_slug, unused
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
from core.organ.pitch import PITCHES
from core.texts import Said

TEXT = st.text(st.characters(exclude_categories=("Cs",)), min_size=1, max_size=20).filter(str.strip)
KNOWN_NAMES = st.sampled_from(
    ["Oboe", "Open Diapason II", "Mixture", "Voix Céleste", "Cornet", "No", "2", "Flautado de 13", "Quinte",
     "Twelfth", "stop", "name", "Trumpet (horizontal)", "Celesta", "Gamba (from C3)", "Scharf", "~", "x: y"]
)  # fmt: skip
NAMES = KNOWN_NAMES | TEXT
KEYS = st.integers(24, 108)
REAL = [pitch for pitch in PITCHES if pitch >= Fraction(1, 4)]
FEET = st.sampled_from(REAL) | st.sampled_from([Fraction(7), Fraction(13)])
KEYBOARDS = st.sampled_from([None, "manual-1", "manual-2", "manual-3", "manual-4", "manual-5", "pedal"])
OPTIONAL_FLAG = st.none() | st.booleans()
KINDS = ["open-diapason", None]


@st.composite
def compositions(draw):
    keys = sorted(draw(st.sets(KEYS, max_size=3)))
    rows = st.lists(st.sampled_from(REAL), min_size=1, max_size=5)
    return tuple(Break(key, tuple(draw(rows))) for key in keys)


@st.composite
def stops(draw, setting, division_id, taken):
    name = draw(NAMES)
    pitch = draw(st.none() | FEET)
    ranks = draw(st.none() | st.builds(lambda low, more: Ranks(low, low + more), st.integers(1, 9), st.integers(0, 4)))
    half = draw(st.none() | st.sampled_from(Half))
    known = known_of(name, pitch, ranks, setting)
    family = draw(st.just(known.family) | st.sampled_from(Family))
    kind = draw(st.just(known.kind) | st.sampled_from(KINDS))
    composition, assumed = draw(compositions()), False
    if not composition and (ranks or family in (Family.MIXTURE, Family.COMPOUND)):
        composition = customary_composition(kind, family, ranks, pitch, setting.role)
        assumed = bool(composition)
    wanted = draw(st.just(f"{division_id}/{stop_slug(name, pitch, half)}") | TEXT)
    first, last = draw(st.none() | KEYS), draw(st.none() | KEYS)
    return Stop(
        id=unused(wanted, taken),
        name=name,
        pitch=pitch,
        family=family,
        ranks=ranks,
        composition=composition,
        composition_assumed=assumed,
        kind=kind,
        guess=draw(st.just(known.guess) | st.booleans()),
        loudness=draw(st.just(known.loudness) | st.integers(1, 10)),
        compass=(first, last),
        missing=draw(st.frozensets(KEYS, max_size=2)),
        half=half,
        enclosed=draw(OPTIONAL_FLAG),
        box=draw(st.none() | TEXT),
        rank=draw(st.just("") | TEXT),
        rank_shift=draw(st.just(0) | st.integers(-60, 60)),
        borrowed=draw(st.none() | TEXT),
        on_ventil=draw(OPTIONAL_FLAG),
        in_use=draw(st.booleans()),
        remark=draw(st.just("") | TEXT),
    )


@st.composite
def divisions(draw, taken, taken_stops, language, tradition):
    role = draw(st.sampled_from(Role))
    name = draw(st.sampled_from(["Great", "Swell", "Récit expressif", "Pedal", "Solo"]) | TEXT)
    setting = Setting(role, language, tradition)
    division_id = unused(draw(st.just(slug(name)) | TEXT), taken)
    low = draw(KEYS)
    return Division(
        id=division_id,
        name=name,
        role=role,
        keyboard=draw(KEYBOARDS),
        keyboard_assumed=draw(st.booleans()),
        enclosed=draw(OPTIONAL_FLAG),
        box=draw(st.none() | TEXT),
        compass=draw(st.none() | st.just((low, low + 12)) | st.just((36, 91))),
        missing=draw(st.frozensets(KEYS, max_size=2)),
        also_on=tuple(draw(st.lists(KEYBOARDS.filter(bool), max_size=2))),
        remark=draw(st.just("") | TEXT),
        stops=tuple(draw(stops(setting, division_id, taken_stops)) for _ in range(draw(st.integers(0, 4)))),
    )


@st.composite
def organs(draw):
    """Any organ that the model can hold."""
    taken: set[str] = set()
    taken_stops: set[str] = set()
    language = draw(st.sampled_from([None, "en", "fr", "de", "it"]))
    tradition = draw(st.sampled_from([None, "english", "french-symphonic", "german-baroque"]))
    made = tuple(draw(divisions(taken, taken_stops, language, tradition)) for _ in range(draw(st.integers(1, 3))))
    ids = st.sampled_from([d.id for d in made])
    return Organ(
        name=draw(TEXT),
        divisions=made,
        couplers=tuple(draw(st.lists(couplers(ids), max_size=3))),
        tremulants=tuple(draw(st.lists(st.builds(Tremulant, division=st.none() | ids, name=TEXT), max_size=2))),
        aids=tuple(draw(st.lists(aids(ids), max_size=3))),
        place=draw(st.just("") | TEXT),
        builder=draw(st.just("") | TEXT),
        language=language,
        tradition=tradition,
        couplers_carry_on=draw(OPTIONAL_FLAG),
        invented=draw(st.booleans()),
        remark=draw(st.just("") | TEXT),
        assumed=tuple(draw(st.lists(st.builds(Said, TEXT), max_size=2))),
    )


def couplers(ids):
    def useful(coupler):
        return coupler.source != coupler.target or coupler.pitch != 8 or coupler.unison_off

    return st.builds(
        Coupler,
        source=ids,
        target=ids,
        pitch=st.sampled_from([Fraction(16), Fraction(8), Fraction(4)]),
        half=st.none() | st.sampled_from(Half),
        permanent=st.booleans(),
        unison_off=st.booleans(),
        text=st.sampled_from(["", "Swell to Great", "Sw. to Gt."]) | TEXT,
    ).filter(useful)


def aids(ids):
    return st.builds(
        Aid,
        kind=st.sampled_from(AidKind),
        text=TEXT,
        division=st.none() | ids,
        count=st.none() | st.integers(1, 99),
        moves=st.just("") | TEXT,
        reach=st.lists(st.sampled_from(Reach), max_size=2).map(tuple),
    )


def without_lines(organ):
    """An organ without the lines of the file it came from."""
    return replace(
        organ,
        divisions=tuple(
            replace(d, lines=(), stops=tuple(replace(s, lines=()) for s in d.stops)) for d in organ.divisions
        ),
        couplers=tuple(replace(c, lines=()) for c in organ.couplers),
        tremulants=tuple(replace(t, lines=()) for t in organ.tremulants),
        aids=tuple(replace(a, lines=()) for a in organ.aids),
    )

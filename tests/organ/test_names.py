"""What printed stop names mean; the source stands beside each check."""

import time
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.organ.claims import index
from core.organ.kinds import LANGUAGES, kind, kinds, spellings
from core.organ.model import Family, Ranks
from core.organ.names import expand, find_kind, guess_kind, homonyms, know_stop
from core.organ.normal import key_of, loose_key, within_one_edit

F = Fraction

SPELLINGS = [(name, language, one.id) for one in kinds() for language, names in one.languages.items() for name in names]


def test_breadth_of_the_data():
    assert len(kinds()) >= 600
    assert len({one.id for one in kinds()}) == len(kinds())
    for language in ("en", "fr", "de", "nl", "it", "es"):
        assert len(list(spellings(language))) >= 250, language


def test_every_kind_is_whole():
    ids = {one.id for one in kinds()}
    for one in kinds():
        assert one.languages, one.id
        assert set(one.languages) <= set(LANGUAGES), one.id
        assert 1 <= one.loudness <= 10, one.id
        assert one.use in ("chorus", "solo", "both"), one.id
        assert one.group, one.id
        assert one.source, one.id
        assert {*one.relatives, *one.partner} <= ids, one.id
        assert bool(one.feet) != (one.family in (Family.MIXTURE, Family.COMPOUND, Family.PERCUSSION)), one.id
        assert one.family != Family.CELESTE or one.partner or one.ranks, one.id


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_spelling_finds_a_kind_that_claims_it(language):
    for name, its, kind_id in SPELLINGS:
        if its != language or key_of(name) in homonyms():
            continue
        found = find_kind(name, language=language)
        assert found is not None, name
        assert not found.guess
        assert found.kind.id == kind_id, name


def test_a_spelling_claimed_twice_is_told_apart():
    """Two kinds may claim a spelling in different languages, or by the rules for homonyms, never otherwise."""
    for key, claims in index().items():
        if len(claims) > 1 and key not in homonyms():
            languages = [language for claim in claims for language in set(claim.languages)]
            assert len(languages) == len(set(languages)), key


def test_rules_for_homonyms_always_decide():
    for key, rules in homonyms().items():
        assert set(rules[-1]) == {"kind", "why"}, key
        for rule in rules:
            assert rule["kind"] is None or kind(rule["kind"]), key


# Names whose family misleads. Sources: enharmonia.es/blog/76 (Flautado), /82 (Spanish Violón);
# http://www.orgelartmuseum.org/Exponate/orgeln/pirani-orgel.htm (Voce umana, Vox humana); STAUFF "Zink", "Unda Maris",
# "Piffaro", "Cremona", "Cornet", "Larigot", "Nasard", "Twelfth"; thediapason.com on Iberian organs (Flautado de 26).
@pytest.mark.parametrize(
    ("name", "given", "family"),
    [
        ("Flautado", {}, "principal"),
        ("Flautado de 13", {"language": "es"}, "principal"),
        ("Flautado de 26", {"language": "es"}, "principal"),
        ("Violón", {"language": "es"}, "flute"),
        ("Violon", {"language": "de", "pedal": True}, "string"),
        ("Voce umana", {"language": "it"}, "celeste"),
        ("Vox humana", {}, "reed"),
        ("Voix humaine", {"language": "fr"}, "reed"),
        ("Voz humana", {"language": "es"}, "reed"),
        ("Cornet", {"pedal": True, "pitch": F(2), "language": "de"}, "reed"),
        ("Cornet", {"pedal": True, "pitch": F(4), "language": "nl"}, "reed"),
        ("Cornet", {"pedal": True, "pitch": F(2)}, "reed"),
        ("Cornet", {"ranks": Ranks(5, 5), "pedal": True, "language": "de"}, "compound"),
        ("Cornet", {}, "compound"),
        ("Cornett", {"pedal": True, "pitch": F(2), "tradition": "german-baroque"}, "reed"),
        ("Zink", {}, "reed"),
        ("Unda maris", {}, "celeste"),
        ("Piffaro", {"language": "it"}, "celeste"),
        ("Cremona", {}, "reed"),
        ("Larigot", {}, "mutation"),
        ("Nineteenth", {}, "mutation"),
        ("Quarte de nasard", {"pitch": F(2)}, "flute"),
        ("Koppelflöte", {}, "flute"),
        ("Koppel", {"pitch": F(8)}, "flute"),
        ("Corno di notte", {}, "flute"),
        ("Nachthorn", {}, "flute"),
        ("Gemshorn", {}, "flute"),
        ("Corno", {}, "reed"),
        ("Horn", {}, "reed"),
        ("Tromba", {}, "reed"),
        ("Dulzian", {}, "reed"),
        ("Dulciana", {}, "string"),
        ("Regal", {}, "reed"),
        ("Rankett", {}, "reed"),
        ("Sordun", {}, "reed"),
        ("Bärpfeife", {}, "reed"),
        ("Schwegel", {}, "flute"),
        ("Sifflöte", {}, "flute"),
        ("Doublette", {"ranks": Ranks(2, 2), "language": "en"}, "mixture"),
        ("Doublette", {"language": "fr"}, "principal"),
        ("Chimes", {}, "percussion"),
        ("Rohrflöte", {"pitch": F(8, 3)}, "mutation"),
        ("Gemshorn", {"pitch": F(2)}, "flute"),
    ],
)
def test_misleading_names(name, given, family):
    found = find_kind(name, **given)
    assert found is not None
    assert found.family == family


def test_a_bare_koppel_is_no_stop():
    assert know_stop("Koppel") is None


# Old and abbreviated spellings. Source: the published lists of Forchheim (Silbermann 1726), Vaassen (1824), Notre-Dame
# and Liverpool as printed; the abbreviations: common practice, no source.
@pytest.mark.parametrize(
    ("name", "kind_id"),
    [
        ("Qvinta", "quint"), ("Qvintadena", "quintadena"), ("Rohr=Flöte", "rohrflote"), ("Spitz=Flöte", "spitzflote"),
        ("Gedacktes", "gedackt"), ("Nassat", "nasat"), ("Tertia", "terz"), ("Zimbeln", "zimbel"),
        ("Octaven Baß", "octave"), ("Poſaunen Baß", "posaune"), ("Voile de Gambe", "viola-da-gamba"),
        ("Sexqualter", "sesquialtera"), ("Centre Bombarde", "bombarde"), ("Dble. Open Diap.", "double-open-diapason"),
        ("Sup. Oct.", "superoctave"), ("St. Diap.", "stopped-diapason"), ("Fl. harm.", "flute-harmonique"),
        ("V. d. G.", "viola-da-gamba"), ("Lieb. Ged.", "lieblich-gedackt"), ("Fr. Horn", "french-horn"),
        ("Clar.", "clarinet"), ("Corn.", "cornopean"), ("Princ. Baß", "principal"),
        ("Open Diapason, No. 2", "open-diapason"),
        ("1st Diapason", "open-diapason"), ("2d Flute", "flute"), ("Fifteenth, No. 1", "fifteenth"),
        ("Floete", "flute"),
        ("Flute (Orchestral)", "orchestral-flute"), ("Bourdon (wood)", "bourdon"), ("HAUTBOY", "oboe"),
        ("Bourdons", "bourdon"), ("Violes d'Orchestre", "viole-d-orchestre"), ("Clarionet", "clarinet"),
    ],
)  # fmt: skip
def test_spellings_of_real_lists(name, kind_id):
    found = find_kind(name)
    assert found is not None
    assert (found.kind.id, found.guess) == (kind_id, False)


@pytest.mark.parametrize(
    ("short", "language", "full"),
    [
        ("Op. Diap.", "en", "Open Diapason"), ("Clar.", "en", "Clarinet"), ("Clar.", "fr", "Clarinette"),
        ("Lieb. Ged.", None, "Lieblich Gedackt"), ("St. Diap.", "en", "Stopped Diapason"),
        ("Fl. harm.", "fr", "Flûte harmonique"), ("Harm. Fl.", "en", "Harmonic Flute"), ("Oboe", "en", "Oboe"),
        ("Op. Diap. No. 2", "en", "Open Diapason No. 2"), ("Princ. Baß", "de", "Principalbaß"),
        ("Fr. Horn", "en", "French Horn"), ("", None, ""),
    ],
)  # fmt: skip
def test_expand(short, language, full):
    assert expand(short, language) == full


# Source: the conventions of readings: these names fix their pitch on a manual, in the pedal none does.
@pytest.mark.parametrize(
    ("name", "language", "feet"),
    [
        ("Octave", None, "4"), ("Oktave", "de", "4"), ("Ottava", "it", "4"), ("Octaaf", "nl", "4"),
        ("Octava", "es", "4"),
        ("Prestant", "fr", "4"), ("Clairon", "fr", "4"), ("Clarion", "en", "4"), ("Flûte octaviante", "fr", "4"),
        ("Flauto in ottava", "it", "4"), ("Principal", "en", "4"), ("Twelfth", "en", "8/3"), ("Nasard", "fr", "8/3"),
        ("Docena", "es", "8/3"), ("Fifteenth", "en", "2"), ("Doublette", "fr", "2"), ("Superoctave", "de", "2"),
        ("Quarte", "fr", "2"), ("Piccolo", "en", "2"), ("Octavin", "fr", "2"), ("Quincena", "es", "2"),
        ("XV", "it", "2"),
        ("Tierce", "fr", "8/5"), ("Seventeenth", "en", "8/5"), ("Larigot", "fr", "4/3"), ("Nineteenth", "en", "4/3"),
        ("XIX", "it", "4/3"), ("Principal", "de", None), ("Principale", "it", None), ("Oboe", "en", None),
        ("Trompette", "fr", None), ("Clarín", "es", None), ("Diapasons", "en", None), ("Montre", "fr", None),
        ("Terz", "de", None), ("Nasat", "de", None), ("Flageolet", "en", None), ("Cornet", "fr", None),
    ],
)  # fmt: skip
def test_names_that_fix_their_pitch(name, language, feet):
    found = find_kind(name, language=language)
    assert found is not None
    assert found.fixed_feet == (F(feet) if feet else None)
    in_pedal = find_kind(name, language=language, pedal=True)
    assert in_pedal is not None
    assert in_pedal.fixed_feet is None


# Source: STAUFF "Octave", "Fifteenth" (in the pedal 8 and 4 ft); the rest common practice, no source.
@pytest.mark.parametrize(
    ("name", "pedal", "feet"),
    [("Fifteenth", False, "2"), ("Fifteenth", True, "4"), ("Doublette", False, "2"), ("Octave", True, "8"),
     ("XIX", False, "4/3"), ("Decimanona", False, "4/3"), ("Clairon", True, "4"), ("XXII", False, "1")],
)  # fmt: skip
def test_names_that_fix_their_pitch_in_a_list(name, pedal, feet):
    found = find_kind(name, pedal=pedal)
    assert found is not None
    assert found.list_feet == F(feet)


# Orders of loudness, soft to loud. Sources: STAUFF "Aeoline", "Gamba", "Fernflöte", "Dolcissimo", "Dulciana", "Tuba",
# "Ophicleide", "Trumpet", "Echo Horn", "Echo", "First, Second etc."; EB9 p. 833; EB11 djvu 294 (Open Wood, Open Metal,
# Bourdon); place of the Vox humana, lieblich, grand: common practice, no source.
@pytest.mark.parametrize(
    "order",
    [
        ["Aeoline", "Salicional", "Gamba"], ["Dulciana", "Open Diapason"], ["Vox humana", "Oboe", "Trumpet", "Tuba"],
        ["Echo Horn", "French Horn"], ["Bourdon", "Open Metal", "Open Wood"], ["Fernflöte", "Flute"],
        ["Echoflöte", "Flute"], ["Dolcissimo", "Flute"], ["Trumpet", "Ophicleide"], ["Echo Oboe", "Oboe"],
        ["Lieblich Gedackt", "Gedackt"], ["Stillgedackt", "Gedackt"], ["Open Diapason", "Stentorphone"],
        ["Small Open Diapason", "Open Diapason"], ["Trumpet", "Tuba Mirabilis"],
    ],
)  # fmt: skip
def test_loudness_respects_the_published_orders(order):
    loudness = [find_kind(name).loudness for name in order]
    assert loudness == sorted(set(loudness))


def test_softest_flutes_and_strings():
    # source: STAUFF "Aeoline" (softest string), "Fernflöte", "Dolcissimo"
    flutes = min(one.loudness for one in kinds() if one.family == Family.FLUTE)
    assert all(find_kind(name).loudness == flutes for name in ("Fernflöte", "Echoflöte", "Dolcissimo"))
    assert find_kind("Aeoline").loudness == min(one.loudness for one in kinds() if one.family == Family.STRING)
    assert find_kind("Tuba").loudness == max(one.loudness for one in kinds())


# Source: STAUFF "Voix Céleste", "Unda Maris", "Gemshorn Celeste", "Viole Celeste", "Voix Éolienne", "Erzähler Celeste".
@pytest.mark.parametrize(
    ("name", "partner"),
    [("Voix céleste", "Salicional"), ("Voix céleste", "Viola da gamba"), ("Voix céleste", "Aeoline"),
     ("Unda maris", "Dulciana"), ("Gemshorn Celeste", "Gemshorn"), ("Viole Celeste", "Viole d'Orchestre"),
     ("Voix éolienne", "Flûte harmonique"), ("Voix éolienne", "Cor de nuit"), ("Erzähler Celeste", "Erzähler")],
)  # fmt: skip
def test_celestes_name_their_partners(name, partner):
    assert find_kind(partner).kind.id in find_kind(name).kind.partner


@pytest.mark.parametrize(
    ("name", "feet"),
    [("Contra Gamba", "16"), ("Kontrafagott", "16"), ("Contra Salicional", "16"), ("Double Trumpet", "16"),
     ("Octave Viola", "4"), ("Sub Bourdon", "32")],
)  # fmt: skip
def test_words_of_size_move_the_pitch(name, feet):
    found = find_kind(name)
    assert found is not None
    assert F(feet) in found.feet[:2]


@pytest.mark.parametrize(
    ("name", "kind_id"),
    [("Trornpete", "trumpet"), ("C1arinet", "clarinet"), ("Bourdcn", "bourdon"), ("Salicionai", "salicional"),
     ("Gerrshorn", "gemshorn"), ("Dulcianq", "dulciana")],
)  # fmt: skip
def test_slips_of_print_are_guesses(name, kind_id):
    assert find_kind(name) is None
    found = know_stop(name)
    assert found is not None
    assert found.guess
    assert found.kind.id == kind_id


@pytest.mark.parametrize(
    ("name", "family"),
    [
        ("Birkenflöte", "flute"), ("Schneegedackt", "flute"), ("Contra Zephyr", "principal"), ("Nebelpfeife", "flute"),
        ("Viola marina", "string"), ("Trompa grandiosa", "reed"), ("Tromparde", "reed"), ("Sternhorn", "reed"),
        ("Wolkenmixtur", "mixture"), ("Mondquinte", "mutation"), ("Nordbass", "flute"), ("Amselregal", "reed"),
        ("Nordic Celeste", "celeste"),
    ],
)  # fmt: skip
def test_unknown_names_are_guessed_by_their_parts_and_say_so(name, family):
    found = know_stop(name)
    assert found is not None
    assert found.family == family
    if found.guess:
        assert guess_kind(name) is not None
        assert "guess" in str(found.why) or "nearly" in str(found.why)


@pytest.mark.parametrize(
    "name", ["", "   ", "grumfelt", "Zimberine", "8", "(TC)", "the", "Swell to Great", "Tremulant"]
)
def test_what_nobody_knows(name):
    assert know_stop(name) is None


@given(st.text(max_size=30))
def test_any_text_is_borne(text):
    found = know_stop(text)
    assert found is None or str(found.why)
    expand(text)


@given(st.text(max_size=30))
def test_normalisation_is_idempotent(text):
    assert key_of(key_of(text)) == key_of(text)


@given(
    st.sampled_from(SPELLINGS),
    st.sampled_from([str.upper, str.lower, str.title, lambda s: s.replace(" ", "-"), lambda s: f" {s}."]),
)
def test_a_spelling_is_found_however_it_is_set(spelling, setting):
    name, language, _ = spelling
    plain, changed = find_kind(name, language=language), find_kind(setting(name), language=language)
    assert (plain and plain.kind.id) == (changed and changed.kind.id)


@given(st.text("abcdefgh", min_size=1, max_size=8), st.integers(0, 7), st.sampled_from("xyz"))
def test_one_edit(word, at, letter):
    at = min(at, len(word) - 1)
    assert within_one_edit(word, word[:at] + letter + word[at + 1 :])
    assert within_one_edit(word, word[:at] + letter + word[at:])
    assert within_one_edit(word, word[:at] + word[at + 1 :])
    assert within_one_edit(word[:at] + word[at + 1 :], word)
    assert not within_one_edit(word, word + "xyz")


def test_loose_key_levels_habits_of_spelling():
    assert loose_key(key_of("Crumhorn")) == loose_key(key_of("Krummhorn"))
    assert loose_key(key_of("Posaunen")) == loose_key(key_of("Posaune"))


def test_ten_thousand_lookups_are_quick():
    names = ([name for name, _ in spellings()] * 3)[:10_000]
    find_kind("Oboe")
    start = time.process_time()
    for name in names:
        find_kind(name)
    assert len(names) == 10_000
    assert time.process_time() - start < 0.5

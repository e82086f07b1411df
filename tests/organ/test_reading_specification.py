"""Specification files: what they may say, and how their faults are told."""

import os
from fractions import Fraction

import pytest

from core.errors import OrganError
from core.organ.model import AidKind, Family, Half, Ranks, Reach, Role
from core.organ.reading import load_organ, read_organ
from core.organ.specification import read_specification

F = Fraction
HEAD = "specification: 1\nname: St Wenna\n"


def read(text):
    return read_specification(HEAD + text, "organ.yaml")


def stop_of(line, division="Great"):
    return read(f"divisions:\n  - {division}:\n      - {line}\n").divisions[0].stops[0]


def problems_of(text):
    with pytest.raises(OrganError) as caught:
        read_specification(text, "organ.yaml")
    return caught.value.problems


@pytest.mark.parametrize(
    ("line", "name", "pitch"),
    [
        ("Oboe 8", "Oboe", F(8)),
        ("Twelfth 2 2/3", "Twelfth", F(8, 3)),
        ("Tierce 1⅗", "Tierce", F(8, 5)),
        ("Fifteenth", "Fifteenth", F(2)),
        ("Open Diapason II 8", "Open Diapason II", F(8)),
        ("Open Diapason No. 2 8", "Open Diapason No. 2", F(8)),
        ("Flautado de 13 8", "Flautado de 13", F(8)),
        ('"No 8"', "No", F(8)),
        ("{name: No, pitch: 2, family: flute}", "No", F(2)),
        ("{name: 'Trumpet: the great one', pitch: 8}", "Trumpet: the great one", F(8)),
    ],
)
def test_a_stop_is_its_name_and_pitch(line, name, pitch):
    stop = stop_of(line)
    assert (stop.name, stop.pitch) == (name, pitch)


def test_ranks_and_composition():
    stop = stop_of("Mixture IV: 19.22.26.29")
    assert (stop.name, stop.ranks, stop.pitch) == ("Mixture", Ranks(4, 4), None)
    assert stop.composition[0].feet == (F(4, 3), F(1), F(2, 3), F(1, 2))
    assert not stop.composition_assumed
    assert stop.family is Family.MIXTURE


def test_intervals_of_the_pedal_count_from_its_own_unison():
    # a pedal Mixture 19.22 holds 2 2/3 and 2 ft, an octave lower than on a manual
    # (common practice, no source)
    stop = stop_of("Mixture II: 19.22", division="Pedal")
    assert stop.composition[0].feet == (F(8, 3), F(2))


def test_breaks_of_a_mixture_as_published():
    # The break table of a Great Fourniture IV as printed in the encyclopedia article "Mixture (music)".
    stop = stop_of(
        "Fourniture IV:\n          C2: 19.22.26.29\n          C3: 15.19.22.26\n          C4: 12.15.19.22\n"
        "          C5: 8.12.15.19\n          C6: 5.8.12.15\n"
    )
    table = [
        ("4/3", "1", "2/3", "1/2"),
        ("2", "4/3", "1", "2/3"),
        ("8/3", "2", "4/3", "1"),
        ("4", "8/3", "2", "4/3"),
        ("16/3", "4", "8/3", "2"),
    ]
    assert [part.key for part in stop.composition] == [36, 48, 60, 72, 84]
    assert [part.feet for part in stop.composition] == [tuple(F(f) for f in row) for row in table]


def test_feet_may_be_written_instead_of_intervals():
    assert stop_of("Mixture III: 2 2/3 + 2 + 1 1/3").composition[0].feet == (F(8, 3), F(2), F(4, 3))
    assert stop_of("Mixture III: [2 2/3, 2, 1 1/3]").composition[0].feet == (F(8, 3), F(2), F(4, 3))


def test_a_mixture_without_composition_gets_the_customary_one_and_says_so():
    stop = stop_of("Mixture III")
    assert stop.composition
    assert stop.composition_assumed


def test_what_stands_in_brackets_after_the_pitch():
    stop = stop_of("Cornet V 8 (treble, from C4, unenclosed)")
    assert (stop.half, stop.compass, stop.enclosed) == (Half.TREBLE, (60, None), False)
    assert stop_of("Bassoon 8 (C2-B3)").compass == (36, 59)


def test_options_beside_a_stop():
    stop = stop_of(
        "Oboe 8: {loudness: 7, enclosed: no, in use: no, on ventil: yes, remark: cracked, missing keys: [C#2]}"
    )
    assert (stop.loudness, stop.enclosed, stop.in_use, stop.on_ventil) == (7, False, False, True)
    assert (stop.remark, stop.missing) == ("cracked", frozenset({37}))


def test_extended_and_borrowed_ranks_share_pipes():
    organ = read(
        "divisions:\n  - Great: [Double Diapason 16]\n"
        "  - Pedal:\n      - Bourdon 16\n      - Bass Flute 8: {pipes of: Bourdon 16}\n"
        '      - Great Double 16: {pipes of: "Great: Double Diapason 16"}\n'
    )
    bourdon, bass_flute, double = organ.divisions[1].stops
    assert (bass_flute.rank, bass_flute.rank_shift) == (bourdon.id, 12)
    assert (double.rank, double.rank_shift) == ("great/double-diapason-16", 0)


def test_divisions_short_and_complete():
    organ = read(
        "tradition: english\ncompass: {manuals: C2-G6, pedal: 30 notes}\ncouplers carry on: no\n"
        "divisions:\n"
        "  - Great: [Open Diapason 8]\n"
        "  - {name: Swell, compass: C2-C7, box: Swell box, stops: [Oboe 8]}\n"
        "  - {name: Echo, keyboard: none, also on: [manual 2, manual 3], enclosed: yes, stops: [Flute 8]}\n"
        "  - {name: Pedal, missing keys: [C#2, D#2], stops: []}\n"
    )
    great, swell, echo, pedal = organ.divisions
    assert (great.role, great.compass, great.enclosed) == (Role.GREAT, (36, 91), None)
    assert (swell.compass, swell.enclosed, swell.box) == ((36, 96), True, "Swell box")
    assert (echo.keyboard, echo.also_on) == (None, ("manual-2", "manual-3"))
    assert (pedal.compass, pedal.missing) == ((36, 65), frozenset({37, 39}))
    assert organ.couplers_carry_on is False


def test_keyboards_by_custom_are_said_to_be():
    # Order of the manuals: essexorganmuseum.com, "The Organ", part three: Swell III, Great II, Choir I.
    organ = read("tradition: english\ndivisions: [Great: [Flute 8], Swell: [Oboe 8], Choir: [Dulciana 8]]\n")
    assert [d.keyboard for d in organ.divisions] == ["manual-2", "manual-3", "manual-1"]
    assert all(d.keyboard_assumed for d in organ.divisions)


def test_couplers_tremulants_and_aids():
    organ = read(
        "divisions: [Great: [Flute 8], Swell: [Oboe 8], Pedal: [Bourdon 16]]\n"
        "couplers:\n  - Swell to Great\n  - Swell to Great 4 treble\n  - Swell sub octave\n"
        "  - Swell unison off\n"
        "  - Great to Pedal (permanent)\n  - {from: swell, to: great, pitch: 16, text: Sw. 16}\n"
        "tremulants: [Swell, whole organ]\n"
        "aids:\n  - {kind: general, count: 8, reach: [thumb, toe], moves: all stops}\n"
        "  - {kind: ventil, division: Great, reach: toe, text: Anches}\n"
    )
    told = [(c.source, c.target, int(c.pitch), c.half, c.permanent, c.unison_off) for c in organ.couplers]
    assert told == [
        ("swell", "great", 8, None, False, False), ("swell", "great", 4, Half.TREBLE, False, False),
        ("swell", "swell", 16, None, False, False), ("swell", "swell", 8, None, False, True),
        ("great", "pedal", 8, None, True, False), ("swell", "great", 16, None, False, False),
    ]  # fmt: skip
    assert [t.division for t in organ.tremulants] == ["swell", None]
    general, ventil = organ.aids
    assert (general.kind, general.count, general.reach) == (AidKind.GENERAL, 8, (Reach.THUMB, Reach.TOE))
    assert (ventil.division, ventil.text) == ("great", "Anches")


def test_scalars_come_through_as_written():
    organ = read_specification(
        "specification: 1\nname: 2:30\nplace: off\nbuilder: 010\ndivisions: [Great: [Flute 8]]\n", "x.yaml"
    )
    assert (organ.name, organ.place, organ.builder) == ("2:30", "off", "010")


def test_all_faults_are_told_at_once_with_line_path_and_remedy():
    found = problems_of(
        HEAD + "divisons: []\ndivisions:\n  - Great:\n      - Open Diapason\n      - Quint 3\n"
        "      - Flute 4: {loudnes: 5, loudness: 12, family: flut}\n  - Chior: [Gamba 8]\n"
        "couplers: [Swell to Great]\ncompass: C-g3\n"
    )
    told = {(p.line, p.where): f"{p.problem}. {p.remedy}" for p in found}
    assert "divisions" in told[3, "divisons"]
    assert "Open Diapason 8" in told[6, "divisions[0].stops[0].pitch"]
    assert "2 2/3" in told[7, "divisions[0].stops[1]"]
    assert "loudness" in told[8, "divisions[0].stops[2].loudnes"]
    assert "from 1 to 10" in told[8, "divisions[0].stops[2].loudness"]
    assert "flute" in told[8, "divisions[0].stops[2].family"]
    assert "Choir" in told[9, "divisions[1].role"]
    assert "The divisions are: Great" in told[10, "couplers[0].from"]
    assert "C2-G6" in told[11, "compass"]
    assert all(p.remedy for p in found)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("name: x\n", "does not say which format"),
        ("specification: 2\nname: x\n", "newer program"),
        ("specification: one\n", "is not known"),
        ("- a\n- b\n", "no specification"),
        (HEAD, "no divisions"),
        (HEAD + "name: again\ndivisions: [Great: [Flute 8]]\n", "twice"),
        (HEAD + "divisions: [Great: [Flute 8]]\ntremulants: [Swel]\n", "no division"),
        (HEAD + "divisions:\n  - Great: [Oboe 8 (tenor C)]\n", "not understood"),
        (HEAD + "divisions:\n  - Great: [[Oboe 8]]\n", "not a list"),
        (HEAD + "divisions:\n  - Great: [Mixture III: 19.zz]\n", "no composition"),
        (HEAD + "divisions:\n  - Pedal: [Flute 8: {pipes of: Bourdn 16}, Bourdon 16]\n", "no stop"),
        (HEAD + "divisions:\n  - {name: Great, compass: G6-C2, stops: [Flute 8]}\n", "below its beginning"),
        (HEAD + "divisions: [Great: [Flute 8]]\ncouplers: [Great to Great]\n", "to itself"),
        (HEAD + "divisions: [Great: [Flute 8]]\naids: [{kind: genral}]\n", "not one of its words"),
        (HEAD + "language: english\ndivisions: [Great: [Flute 8]]\n", "no language"),
        (HEAD + "tradition: baroque\ndivisions: [Great: [Flute 8]]\n", "no tradition"),
        (HEAD + "name: [a]\ndivisions: [Great: [Flute 8]]\n", "stands here twice"),
        (HEAD.replace("St Wenna", "[a]") + "divisions: [Great: [Flute 8]]\n", "a text is wanted"),
        (HEAD.replace("St Wenna", "") + "divisions: [Great: [Flute 8]]\n", "no name"),
        (HEAD + "divisions: Great\n", "a list is wanted"),
        (HEAD + "divisions: [Great]\n", "a division is wanted"),
        (HEAD + "divisions: [{stops: [Flute 8]}]\n", "the division has no name"),
        (HEAD + "divisions: [{name: Great, id: a}, {name: Swell, id: a}]\n", "is taken"),
        (HEAD + "divisions: [{name: Great, keyboard: manual 9}]\n", "no keyboard"),
        (HEAD + "divisions: [{name: Great, enclosed: perhaps}]\n", "neither yes nor no"),
        (HEAD + "divisions: [{name: Great, missing keys: [H2]}]\n", "no key"),
        (HEAD + "divisions: [{name: Great, missing keys: [[C2]]}]\n", "a text is wanted"),
        (HEAD + "divisions: [{name: Great, compass: C2}]\n", "no compass"),
        (HEAD + "divisions:\n  - Great: [{loudness: 5, pitch: 8}]\n", "the stop has no name"),
        (HEAD + "divisions:\n  - Great: [Oboe 8: {missing keys: [C99]}]\n", "no key"),
        (HEAD + "divisions:\n  - Great: [Oboe 8: {kind: obo}]\n", "no kind of stop"),
        (HEAD + "divisions:\n  - Great: [Oboe 8: {ranks: many}]\n", "no number of ranks"),
        (HEAD + "divisions:\n  - Great: [Oboe 8: {pitch: high}]\n", "no pitch"),
        (HEAD + "divisions:\n  - Great: [Oboe 8: {pitch: 99 exactly}]\n", "no pitch"),
        (HEAD + "divisions:\n  - Great: [Oboe 8: {id: a}, Flute 8: {id: a}]\n", "is taken"),
        (HEAD + "divisions:\n  - Great: [Oboe 8: {rank: a, pipes of: Flute 8}, Flute 8]\n", "both say"),
        (HEAD + "divisions:\n  - Great: [Mixture III: {composition: {C2: 15.19, C2: 19.22}}]\n", "twice"),
        (HEAD + "divisions:\n  - Great: [Mixture III: {composition: {X2: 15.19}}]\n", "no key"),
        (HEAD + "divisions:\n  - Great: [Mixture III: {C2: {a: b}}]\n", "a composition is wanted"),
        (HEAD + "divisions:\n  - Great: [8]\n", "has no name"),
        (HEAD + "divisions: [Great: [Flute 8]]\ncouplers: [[a]]\n", "a coupler is wanted"),
        (HEAD + "divisions: [Great: [Flute 8]]\ncouplers: [Great]\n", "no coupler"),
        (HEAD + "divisions: [Great: [Flute 8]]\ncouplers: [{from: Great}]\n", "does not say to where"),
        (HEAD + "divisions: [Great: [Flute 8]]\ncouplers: [{coupler: Great, text: x}]\n", "no coupler"),
        (HEAD + "divisions: [Great: [Flute 8]]\ntremulants: [[Great]]\n", "a division is wanted"),
        (HEAD + "divisions: [Great: [Flute 8]]\naids: [[a]]\n", "an aid is wanted"),
        (HEAD + "divisions: [Great: [Flute 8]]\naids: [{count: 8}]\n", "does not say what it is"),
        (HEAD + "divisions: [Great: [Flute 8]]\naids: [{kind: tutti, reach: elbow}]\n", "not one of its"),
        (HEAD + "divisions: [Great: [Flute 8]]\naids: [{kind: tutti, division: Swell}]\n", "no division"),
    ],
)
def test_single_faults(text, words):
    assert any(words in str(problem) for problem in problems_of(text))


@pytest.mark.parametrize(
    ("source", "words"),
    [
        (b"", "empty"),
        (b"   \n", "empty"),
        (b"# nothing\n", "nothing but comments"),
        (b"\x00\x01\x02\xff", "not a text file"),
        (b"\xff\xd8\xff\xe0\x00\x10JFIF", "not a text file"),
        (b"specification: 1\nname: [", "not YAML"),
        (b"specification: 1\n\tname: x", "tabs"),
        (b"a: &x [1]\nb: *x\n", "aliases"),
        (b"a: &a [1]\nb: &b [*a, *a]\nc: &c [*b, *b]\n", "aliases"),
        (b"a: {}\nb: {<<: {c: d}}\n", "merge keys"),
        (b"a: !!python/object:os.system x\n", "tags"),
        (b"specification: 1\n---\nspecification: 1\n", "second document"),
        (b"[" * 5000, "nest"),
        (b"a: 2024-13-45\n", "does not say which format"),
        (b"? [a]\n: b\n", "where a key should be"),
        (b"a: %x\n b: c\n", "not YAML"),
        (b'a: "x\\q"\n', "not YAML"),
        (b"specification: 1\nname: x: y\n", "in quotes"),
        (b"specification: 1\nname: @x\n", "in quotes"),
        (b"- a\n" * 100_001, "more than 100000 entries"),
    ],
)
def test_hostile_and_broken_files_give_one_clear_sentence(source, words):
    with pytest.raises(OrganError) as caught:
        read_organ(source, "organ.yaml")
    assert words in str(caught.value)
    assert str(caught.value).startswith("organ.yaml")


def test_very_many_faults_are_counted_and_the_first_told():
    stops = "".join("      - Flute\n" for _ in range(150))
    with pytest.raises(OrganError, match="150 faults, of which the first 100") as caught:
        read_specification(f"{HEAD}divisions:\n  - Great:\n{stops}", "organ.yaml")
    assert len(caught.value.problems) == 100


def test_a_list_in_an_old_encoding_is_read_and_an_odd_one_refused():
    assert read_organ("R\xc9CIT\nVoix c\xe9leste 8\n".encode("cp1252"), "a.txt").divisions[0].stops
    with pytest.raises(OrganError, match="not a text file"):
        read_organ("specification: 1\nname: \xe9\n".encode("cp1252"), "a.yaml")


def test_an_aid_may_be_a_text_and_a_tremulant_may_have_a_name():
    organ = read(
        "divisions: [Great: [Flute 8]]\naids: [Zimbelstern]\ntremulants: [{division: great, name: Tremblant doux}]\n"
    )
    assert (organ.aids[0].kind, organ.aids[0].text) == (AidKind.OTHER, "Zimbelstern")
    assert (organ.tremulants[0].name, organ.tremulants[0].division) == ("Tremblant doux", "great")


def test_files_that_cannot_be_read(tmp_path):
    for path, words in ((tmp_path, "folder"), (tmp_path / "none.yaml", "no such file")):
        with pytest.raises(OrganError, match=words):
            load_organ(path)
    with pytest.raises(OrganError, match="no file can have this name"):
        load_organ("a\0b.yaml")
    if os.name == "posix":
        with pytest.raises(OrganError, match="no ordinary file"):
            load_organ("/dev/null")
    large = tmp_path / "large.yaml"
    large.write_bytes(b"#" * 2_000_001)
    with pytest.raises(OrganError, match="2 MB"):
        load_organ(large)


def test_a_file_with_windows_line_ends_and_a_mark_is_read():
    source = ("\ufeff" + HEAD + "divisions:\n  - Great: [Flute 8]\n").replace("\n", "\r\n").encode()
    assert read_organ(source, "organ.yaml").divisions[0].stops[0].name == "Flute"


def test_a_list_is_called_by_its_title_or_else_by_its_file() -> None:
    stops = "GREAT\nOpen Diapason 8\nPrincipal 4\n"
    titled = read_organ(f"St Ebba, Little Wickham (invented)\n\n{stops}".encode(), "organ.txt")
    assert titled.name == "St Ebba, Little Wickham (invented)"
    assert read_organ(stops.encode(), "wickham.txt").name == "wickham"
    told = read_organ(f"The organ stands in the west gallery and has two manuals.\n{stops}".encode(), "organ.txt")
    assert told.name == "organ"

"""Played order: worked by hand from the MusicXML 4.0 standard's semantics (repeat, ending, sound), and beside
what verovio's timemap plays of the same small scores."""

from __future__ import annotations

import json

import pytest
from small_scores import document, note, organ, part, played, read, words

BAR = note("C4", 4)


def sound(attribute: str, value: str = "yes") -> str:
    return f'<sound {attribute}="{value}"/>'


def left(inside: str = '<repeat direction="forward"/>') -> str:
    return f'<barline location="left"><bar-style>heavy-light</bar-style>{inside}</barline>'


def right(inside: str = '<repeat direction="backward"/>', style: str = "light-heavy") -> str:
    return f'<barline location="right"><bar-style>{style}</bar-style>{inside}</barline>'


def opens(number: str) -> str:
    return f'<barline location="left"><ending number="{number}" type="start"/></barline>'


def closes(number: str, repeat: bool = True, kind: str = "stop") -> str:
    again = '<repeat direction="backward"/>' if repeat else ""
    return f'<barline location="right"><ending number="{number}" type="{kind}"/>{again}</barline>'


def sign(tag: str) -> str:
    return f"<direction><direction-type><{tag}/></direction-type></direction>"


REPEATS = {
    "plain": ([BAR, BAR, BAR], "1 2 3"),
    "back to the start": ([BAR, BAR + right(), BAR], "1 2 1 2 3"),
    "back to the sign": ([BAR, left() + BAR, BAR + right(), BAR], "1 2 3 2 3 4"),
    "two repeats": ([BAR + right(), left() + BAR + right()], "1 1 2 2"),
    "second without a sign": ([BAR + right(), BAR + right(), BAR], "1 1 2 2 3"),
    "times": ([left() + BAR + right('<repeat direction="backward" times="3"/>'), BAR], "1 1 1 2"),
    "first and second ending": (
        [
            left() + BAR,
            opens("1") + BAR + closes("1"),
            opens("2") + BAR + closes("2", False, "discontinue"),
            BAR,
        ],
        "1 2 1 3 4",
    ),
    "ending of two passes": (
        [left() + BAR, opens("1, 2") + BAR + closes("1, 2"), opens("3") + BAR + closes("3", False), BAR],
        "1 2 1 2 1 3 4",
    ),
    "long endings": (
        [BAR, opens("1") + BAR, BAR + closes("1"), opens("2") + BAR, BAR + closes("2", False), BAR],
        "1 2 3 1 4 5 6",
    ),
    "first ending without a second": ([left() + BAR, opens("1") + BAR + closes("1"), BAR], "1 2 1 3"),
    "a first ending of which only the close is written": (
        [left() + BAR, BAR + closes(""), opens("2") + BAR + closes("2", False), BAR],
        "1 2 1 3 4",
    ),
    "both endings with a repeat": (
        [left() + BAR, opens("1") + BAR + closes("1"), opens("2") + BAR + closes("2"), BAR],
        "1 2 1 3 4",
    ),
}

NESTED = {
    "nested": (
        [left() + BAR, left() + BAR + right(), BAR + right(), BAR],
        "1 2 2 3 1 2 2 3 4",
    ),
}

JUMPS = {
    "da capo": ([BAR, BAR + sound("dacapo")], "1 2 1 2"),
    "da capo al fine": ([BAR, BAR + sound("fine"), BAR, BAR + sound("dacapo")], "1 2 3 4 1 2"),
    "fine at the start of its bar": ([BAR, sound("fine") + BAR, BAR + sound("dacapo")], "1 2 3 1 2"),
    "repeats are not taken again": (
        [left() + BAR, BAR + right() + sound("fine"), left() + BAR, BAR + right() + sound("dacapo")],
        "1 2 1 2 3 4 3 4 1 2",
    ),
    "the last ending after a jump": (
        [
            left() + BAR,
            opens("1") + BAR + closes("1"),
            opens("2") + BAR + sound("fine") + closes("2", False),
            BAR + sound("dacapo"),
        ],
        "1 2 1 3 4 1 3",
    ),
    "dal segno": ([BAR, sound("segno", "s") + BAR, BAR + sound("dalsegno", "s"), BAR], "1 2 3 2 3 4"),
    "dal segno al fine": (
        [BAR, sound("segno", "s") + BAR, BAR + sound("fine"), BAR + sound("dalsegno", "s")],
        "1 2 3 4 2 3",
    ),
    "dal segno al coda": (
        [
            BAR,
            sound("segno", "s") + BAR,
            BAR + sound("tocoda", "c"),
            BAR + sound("dalsegno", "s"),
            sound("coda", "c") + BAR,
            BAR,
        ],
        "1 2 3 4 2 3 5 6",
    ),
    "da capo al coda": (
        [BAR, BAR + sound("tocoda", "c"), BAR + sound("dacapo"), sound("coda", "c") + BAR],
        "1 2 3 1 2 4",
    ),
    "repeats of the coda are taken": (
        [BAR + sound("tocoda", "c"), BAR + sound("dacapo"), left() + sound("coda", "c") + BAR + right()],
        "1 2 1 3 3",
    ),
    "after-jump": (
        [
            left() + BAR + right('<repeat direction="backward" after-jump="yes"/>') + sound("fine"),
            BAR + sound("dacapo"),
        ],
        "1 1 2 1 1",
    ),
    "time-only": (
        [left() + BAR + '<sound dacapo="yes" time-only="2"/>' + right(), BAR],
        "1 1 1 2",
    ),
    "words alone: D.C. al Fine": (
        [BAR, BAR + words("Fine"), BAR, BAR + words("D.C. al Fine")],
        "1 2 3 4 1 2",
    ),
    "words alone: da capo": ([BAR, BAR + words("Da Capo")], "1 2 1 2"),
    "words and signs: D.S. al Coda": (
        [
            BAR,
            sign("segno") + BAR,
            BAR + words("To Coda"),
            BAR + words("D.S. al Coda"),
            sign("coda") + BAR,
        ],
        "1 2 3 4 2 3 5",
    ),
    "two coda signs": (
        [BAR, sign("coda") + BAR, BAR + words("D. C. al Coda"), sign("coda") + BAR],
        "1 2 3 1 2 4",
    ),
    "in brackets and two words": (
        [BAR, words("[segno]") + BAR, BAR + words("Dal Segno"), BAR],
        "1 2 3 2 3 4",
    ),
    "vom Anfang bis Fine": (
        [BAR + words("Fine"), BAR + words("Da capo bis Fine")],
        "1 2 1",
    ),
    "a coda that nothing jumps to": ([BAR, words("Coda") + BAR], "1 2"),
    "al Fine without a Fine: straight": ([BAR, BAR + words("D.C. al Fine")], "1 2"),
    "no segno: straight": ([BAR, BAR + words("D.S.")], "1 2"),
}


@pytest.mark.parametrize("name", [*REPEATS, *NESTED, *JUMPS])
def test_played_order(name: str) -> None:
    bars, expected = {**REPEATS, **NESTED, **JUMPS}[name]
    assert played(organ(*bars)) == expected


def timemap(bars: list[str]) -> str:
    """The order in which verovio plays the bars, by the bars' ids."""
    import verovio

    toolkit = verovio.toolkit()
    toolkit.setOptions({"xmlIdSeed": 1, "header": "none", "footer": "none"})
    data = document(part(*bars)).decode()
    for index in range(len(bars)):
        data = data.replace(f'<measure number="{index + 1}">', f'<measure number="{index + 1}" id="m{index + 1}">')
    assert toolkit.loadData(data)
    events = toolkit.renderToTimemap({"includeMeasures": True})
    events = json.loads(events) if isinstance(events, str) else events
    return " ".join(e["measureOn"].split("-rend")[0].removeprefix("m") for e in events if "measureOn" in e)


WORDS = "verovio follows sound attributes alone; the words say the jump to a player (common practice, no source)"
ELSEWHERE = {
    "second without a sign": "verovio goes back to the very start; a player only to the repeat before",
    "first ending without a second": "verovio plays straight on; the repeat sign in the ending asks for a repeat",
    "a first ending of which only the close is written": "verovio then repeats nothing",
    "time-only": "verovio does not look at time-only, which the standard gives `sound`",
    "words alone: D.C. al Fine": WORDS,
    "words alone: da capo": WORDS,
    "words and signs: D.S. al Coda": WORDS,
    "two coda signs": WORDS,
    "in brackets and two words": WORDS,
    "vom Anfang bis Fine": WORDS,
}


@pytest.mark.parametrize("name", [n for n in [*REPEATS, *JUMPS] if n not in ELSEWHERE])
def test_played_order_is_the_timemap_of_verovio(name: str) -> None:
    bars, _ = {**REPEATS, **JUMPS}[name]
    assert played(organ(*bars)) == timemap(bars)


@pytest.mark.parametrize("name", ELSEWHERE)
def test_where_verovio_goes_another_way_it_still_does(name: str) -> None:
    """Else the list would hide a check that could be made."""
    bars, _ = {**REPEATS, **JUMPS}[name]
    assert played(organ(*bars)) != timemap(bars)


def test_a_jump_in_any_part_binds_all() -> None:
    bars = [BAR, BAR + sound("fine"), BAR + sound("dacapo")]
    score = read(document(part(BAR, BAR, BAR), part(*bars, part_id="P2"), names=("Soprano", "Organ")))
    assert played(score) == "1 2 3 1 2"


def test_passes_and_times_of_the_played_order() -> None:
    score = organ(left() + BAR, BAR + right(), BAR)
    assert [(p.bar, p.nth, p.onset) for p in score.played] == [
        (0, 1, 0),
        (1, 1, 4),
        (0, 2, 8),
        (1, 2, 12),
        (2, 1, 16),
    ]


def test_numbers_that_start_again_are_movements() -> None:
    bars = [BAR, BAR + sound("fine"), BAR + sound("dacapo"), BAR, BAR + right()]
    score = organ(*bars, numbers=["1", "2", "3", "1", "2"])
    assert score.movements == (0, 3)
    assert played(score) == "1 2 3 1 2 1 2 1 2"


def test_a_repeat_without_beginning_goes_back_to_the_double_bar_and_says_so() -> None:
    score = organ(BAR, BAR + right("", "light-light"), BAR, BAR + right())
    assert played(score) == "1 2 3 4 3 4"
    assert any("double bar" in str(repair) for repair in score.repairs)


def test_endless_repeats_are_played_straight() -> None:
    inner = BAR + right('<repeat direction="backward" times="99"/>')
    score = organ(*[left() + BAR] * 4, *[inner] * 4)
    assert [p.bar for p in score.played] == list(range(8))
    assert any("straight through" in str(repair) for repair in score.repairs)

"""At this beat: the keys that are down, the pipes that sound, how far they reach; on staves and in parts."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from window_support import document_of, make_score, wait_for, words

from app.beat_keys import keyboards_at, keys_down, pipes_in_words
from app.window import Window
from core.organ.model import Organ
from core.organ.spelling import read_key

PARTS = b"""<?xml version="1.0" encoding="UTF-8"?><score-partwise version="4.0"><part-list>
<score-part id="P1"><part-name>Organ, manuals</part-name></score-part>
<score-part id="P2"><part-name>Pedal</part-name></score-part></part-list>
<part id="P1"><measure number="1"><attributes><divisions>1</divisions><key><fifths>0</fifths></key>
<time><beats>4</beats><beat-type>4</beat-type></time><staves>2</staves>
<clef number="1"><sign>G</sign><line>2</line></clef><clef number="2"><sign>G</sign><line>2</line></clef></attributes>
<direction placement="above"><direction-type><words>R.H. Sw. Oboe 8</words></direction-type><staff>1</staff></direction>
<direction placement="above"><direction-type><words>L.H. Gt. Open Diapason 8 &amp; Principal 4</words></direction-type>
<staff>2</staff></direction>
<note><pitch><step>C</step><octave>5</octave></pitch><duration>4</duration><voice>1</voice><type>whole</type>
<staff>1</staff></note><backup><duration>4</duration></backup>
<note><pitch><step>E</step><octave>4</octave></pitch><duration>2</duration><voice>2</voice><type>half</type>
<staff>2</staff></note>
<note><pitch><step>F</step><octave>4</octave></pitch><duration>2</duration><voice>2</voice><type>half</type>
<staff>2</staff></note></measure></part>
<part id="P2"><measure number="1"><attributes><divisions>1</divisions><key><fifths>0</fifths></key>
<time><beats>4</beats><beat-type>4</beat-type></time><clef><sign>F</sign><line>4</line></clef></attributes>
<direction placement="above"><direction-type><words>Ped. Bourdon 16</words></direction-type></direction>
<note><pitch><step>C</step><octave>2</octave></pitch><duration>4</duration><voice>1</voice><type>whole</type></note>
</measure></part></score-partwise>"""


def _keys(*names: str) -> tuple[int, ...]:
    return tuple(read_key(name) for name in names)


def _open(window: Window, score: bytes, organ: Organ) -> None:
    window.session.set_document(document_of(score, organ))
    wait_for(lambda: window.session.derived is not None)


def test_keys_and_pipes_at_a_beat_of_a_score_in_separate_parts(window: Window, small_organ: Organ) -> None:
    _open(window, PARTS, small_organ)
    session = window.session
    assert session.derived is not None
    score, step = session.derived.analysis.score, session.step
    assert step is not None
    half = score.ticks * 2
    assert keys_down(score, 0)["right"] == _keys("C5")
    assert keys_down(score, half)["right"] == _keys("C5"), "a note held over is down still"
    assert keys_down(score, half)["feet"] == _keys("C2")
    boards = keyboards_at(small_organ, step.registration, session.derived.index, half)
    by_name = {board.name: board for board in boards}
    right = by_name["R.H. Swell"]
    assert (right.pipes, right.sounding) == (1, (72, 72)), "8 ft sounds as written"
    left = by_name["L.H. Great"]
    assert left.pipes == 2 * len(left.down)
    assert left.sounding is not None
    assert left.sounding[1] == 65 + 12, "4 ft sounds an octave above the highest key"
    feet = next(board for board in boards if board.name.startswith("Feet"))
    assert (feet.pipes, feet.sounding) == (1, (24, 24)), "16 ft sounds an octave below"
    assert sum(board.pipes for board in boards) == int(re.findall(r"^\d+", pipes_in_words(boards))[0])


def test_the_foot_tells_what_sounds_what_is_enclosed_and_what_comes_next(opened: Window) -> None:
    opened.session.move_to(opened.session.score.bars[4].onset)  # type: ignore[union-attr]
    beat = opened.beat
    assert "Swell: Salicional 8, Oboe 8, enclosed" in beat.now.text()
    assert "Great: Open Diapason 8" in beat.now.text()
    assert "since ‘add Oboe’, bar 4" in beat.since.text()
    assert beat.pipes.text() == "4 pipes sound at this beat: R.H. Swell 2, L.H. Great 1, Feet Pedal 1"
    assert beat.next.text().startswith("Next, at bar ")
    assert "written" in beat.compass.accessibleName()
    assert "sounding" in beat.compass.accessibleName()


@pytest.mark.parametrize("name", ["two", "three"])
def test_pieces_on_fewer_staves(window: Window, small_organ: Organ, name: str) -> None:
    score = make_score(4, {0: [words("Gt. Open Diapason 8")]}, notes=4)
    if name == "two":
        score = re.sub(rb"<staves>3</staves>", b"<staves>2</staves>", score)
        score = re.sub(rb'<clef number="3">.*?</clef>', b"", score, flags=re.DOTALL)
        score = re.sub(
            rb"<backup><duration>8</duration></backup><note>(?:(?!<note>).)*<staff>3</staff></note>", b"", score
        )
    _open(window, score, small_organ)
    boards = window.beat.compass.keyboards
    assert len(boards) == (2 if name == "two" else 3)
    assert all(board.down for board in boards)


def test_a_key_without_a_pipe_is_told(window: Window, small_organ: Organ) -> None:
    low = make_score(2, {0: [words("Gt. Open Diapason 8")]}, notes=1).replace(
        b"<octave>4</octave>", b"<octave>1</octave>", 1
    )
    _open(window, low, small_organ)
    assert "silent: G1" in window.beat.pipes.text()


def test_the_picture_is_painted_in_both_colours(opened: Window, tmp_path: Path) -> None:
    light = opened.beat.compass.grab().toImage()
    opened.doing.window.set_dark(True)
    assert opened.beat.compass.grab().toImage() != light

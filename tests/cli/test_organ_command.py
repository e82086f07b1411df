"""``stopwright organ read`` and ``organ show``, run as a user runs them."""

import io
import json
import sys
from pathlib import Path

import pytest

from core.cli.main import main
from core.organ.reading import load_organ

SAMPLES = Path(__file__).parent.parent.parent / "sample_specs"
LIST = """St Wenna, Nether Cobley (invented)

GREAT
Open Diapason 8
Clarabella 8
Principal 4

SWELL (enclosed)
Gamba (tenor C) 8
Oboe 8

PEDAL
Bourdon 16

Couplers: Swell to Great, Great to Pedal
Manuals CC-G, 56 notes; Pedals CCC-F, 30 notes
The case is of oak and was gilded.
"""


@pytest.fixture
def stop_list(tmp_path):
    path = tmp_path / "wenna.txt"
    path.write_text(LIST, encoding="utf-8")
    return path


def test_read_prints_a_specification_that_can_be_read_again(stop_list, tmp_path, capsys):
    assert main(["organ", "read", str(stop_list)]) == 0
    captured = capsys.readouterr()
    made = tmp_path / "made.yaml"
    made.write_text(captured.out, encoding="utf-8")
    again, organ = load_organ(made), load_organ(stop_list)
    assert [[s.id for s in d.stops] for d in again.divisions] == [[s.id for s in d.stops] for d in organ.divisions]
    assert "was not read: The case is of oak and was gilded." in captured.err
    assert organ.name == "St Wenna, Nether Cobley (invented)"
    assert "St Wenna" not in captured.err, "a line that names the organ was used"


def test_read_writes_where_it_is_told(stop_list, tmp_path, capsys):
    out = tmp_path / "out.yaml"
    assert main(["organ", "read", str(stop_list), "-o", str(out)]) == 0
    assert capsys.readouterr().out == ""
    assert load_organ(out).divisions[0].name.casefold() == "great"


def test_read_as_json(stop_list, capsys):
    assert main(["organ", "read", str(stop_list), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert list(told)[:2] == ["stopwright", "command"]
    assert told["command"] == "organ read"
    assert [d["role"] for d in told["divisions"]] == ["great", "swell", "pedal"]


def test_read_takes_standard_input(monkeypatch, capsys):
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(LIST.encode())))
    assert main(["organ", "read", "-"]) == 0
    assert "Open Diapason 8" in capsys.readouterr().out


def test_show_in_words_and_as_json(stop_list, capsys):
    for path in (SAMPLES / "english_three_manual.yaml", stop_list):
        assert main(["organ", "show", str(path)]) == 0
        text = capsys.readouterr().out
        assert "WHAT IT CAN ANSWER" in text
        assert "Open Diapason" in text
        assert main(["organ", "show", str(path), "--json"]) == 0
        assert json.loads(capsys.readouterr().out)["command"] == "organ show"


@pytest.mark.parametrize(
    ("name", "content", "words"),
    [
        ("none.txt", None, "no such file"),
        ("empty.txt", b"", "empty"),
        ("binary.yaml", b"\x00\x01\x02", "not a text file"),
        ("prose.txt", b"Dear friends,\nwe thank you all.\n", ""),
        ("bomb.yaml", b"a: &a [x]\nb: [*a, *a]\n", "aliases"),
        ("faults.yaml", b"specification: 1\nname: x\ndivisions:\n  - Great: [Oboe]\n", "line 4"),
    ],
)
@pytest.mark.parametrize("part", ["read", "show"])
def test_what_cannot_be_used_is_told_in_a_sentence(tmp_path, capsys, name, content, words, part):
    path = tmp_path / name
    if content is not None:
        path.write_bytes(content)
    assert main(["organ", part, str(path)]) == 2
    captured = capsys.readouterr()
    assert captured.out == ""
    assert "Traceback" not in captured.err
    assert name in captured.err
    if part == "show" or name not in ("faults.yaml", "bomb.yaml"):
        assert words in captured.err


def test_a_folder_is_no_organ(tmp_path, capsys):
    assert main(["organ", "show", str(tmp_path)]) == 2
    assert "folder" in capsys.readouterr().err


def test_a_specification_need_not_be_read_again(capsys):
    assert main(["organ", "read", str(SAMPLES / "village.yaml")]) == 2
    assert "organ show" in capsys.readouterr().err

"""Damaged specifications: never a raw error, never slow; what can still be read is written and read alike."""

import random
import time
from pathlib import Path

from core.errors import OrganError
from core.organ.contract import organ_to_json
from core.organ.reading import read_organ
from core.organ.summary import summary
from core.organ.writing import write_organ
from made_organs import without_lines

FILES = sorted((Path(__file__).parent.parent.parent / "sample_specs").glob("*.yaml"))
PIECES = [
    b":", b"- ", b"  ", b"{", b"}", b"[", b"]", b'"', b"'", b"#", b"&a ", b"*a", b"\t", b"\n", b"!!x ", b"no", b"8",
    b"2 2/3", b"C2", b"(", b")", b"\xff", b"\x00", b"999999999999", b"|", b">", b"<<: ", b"? ", b"IV", b"-", b",",
    b"from C3", "½".encode(), "²".encode(), "٣".encode(), b"exactly", b"none",
]  # fmt: skip
MUTANTS = 2000


def damaged(source, chance):
    made = bytearray(source)
    for _ in range(chance.randint(1, 3)):
        at = chance.randrange(len(made))
        what = chance.choice(("cut", "put", "change", "repeat", "repeat", "end"))
        if what == "cut":
            del made[at : at + chance.randint(1, 30)]
        elif what == "put":
            made[at:at] = chance.choice(PIECES)
        elif what == "change":
            made[at] = chance.randrange(256)
        elif what == "repeat":
            start = chance.randrange(len(made))
            made[at:at] = made[start : start + chance.randint(1, 200)]
        elif chance.random() < 0.1:
            del made[at + 1 :]
    return bytes(made)


def outcome(source):
    """The organ, or the sentence that refuses it; any other error is the test's to see."""
    try:
        return read_organ(source, "organ.yaml"), ""
    except OrganError as error:
        return None, str(error)


def test_damaged_specifications_give_faults_or_an_organ():
    chance = random.Random(11)
    sources = [path.read_bytes() for path in FILES]
    read = 0
    for number in range(MUTANTS):
        mutant = damaged(sources[number % len(sources)], chance)
        began = time.perf_counter()
        organ, fault = outcome(mutant)
        assert organ or fault.startswith("organ.yaml")
        if organ:
            read += 1
            summary(organ)
            organ_to_json(organ)
            assert without_lines(read_organ(write_organ(organ).encode(), "organ.yaml")) == without_lines(organ)
        assert time.perf_counter() - began < 2
    assert read > MUTANTS / 20

"""Lists of invented churches whose readings were written by hand before the reader saw them.

The readings rest on the trade's common practice (no source) and on what each list says; the layouts are those of
booklets, newspapers, contracts, church pages and registers of organs. Below ``=====`` a division is a line: role,
printed keyboard (``-`` where none is printed), box, compass (``-`` where none is printed), then its stops in order:
the pitch (``223`` is 2 2/3, ``x`` none) or a mixture's ranks, a letter for the family (p f s c r u m x: principal,
flute, string, celeste, reed, mutation, mixture or compound, percussion; ``|`` where the trade allows two), ``b`` or
``t`` for a half, ``~`` borrowed, ``+`` or ``!`` a box of its own, ``/c3`` the first key. Couplers are written
``swell>great@4``, by roles; ``swell-off`` is a Unison Off. ``all`` is a tremulant of the whole organ.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from core.organ.lists import ListReading, read_stop_list
from core.organ.model import Division, Stop
from core.organ.spelling import write_feet, write_key

CASES = sorted((Path(__file__).parent / "lists_by_hand").glob("*.txt"))
ODD = {
    "223": "2 2/3", "135": "1 3/5", "113": "1 1/3", "513": "5 1/3", "1023": "10 2/3", "315": "3 1/5", "625": "6 2/5",
}  # fmt: skip
FAMILIES = {
    "p": "principal", "f": "flute", "s": "string", "c": "celeste", "r": "reed", "u": "mutation", "x": "percussion",
    "m": "mixture compound",
}  # fmt: skip
RANKS = {numeral: str(n) for n, numeral in enumerate(["I", "II", "III", "IV", "V", "VI", "VII", "VIII"], 1)}
CODE = re.compile(
    r"(?P<size>\d+|[IVX]+(?:-[IVX]+)?|x)?(?P<family>[pfscruxm])(?P<half>[bt])?(?P<borrowed>~)?(?P<box>[+!])?(?:/(?P<key>\w+))?"
)


def parts(path: Path) -> tuple[str, list[str]]:
    text, _, gold = path.read_text(encoding="utf-8").partition("=====\n")
    return text, [line for line in gold.splitlines() if line.strip()]


def stop_faults(code: str, stop: Stop) -> list[str]:
    found = [match for one in code.split("|") if (match := CODE.fullmatch(one))]
    first, size = found[0], found[0]["size"]
    wrong = []
    if first["family"] == "m" and size != "x":
        ranks = "-".join(RANKS[one] for one in size.split("-"))
        wrong += [f"ranks {stop.ranks}"] if str(stop.ranks or "") != ranks else []
    elif first["family"] not in "mx":
        pitches = {ODD.get(one["size"], one["size"]) for one in found if one["size"]}
        wrong += [f"pitch {stop.pitch}"] if not stop.pitch or write_feet(stop.pitch) not in pitches else []
    families = " ".join(FAMILIES[one["family"]] for one in found)
    wrong += [f"family {stop.family.value}"] if stop.family.value not in families.split() else []
    half = stop.half.value[0] if stop.half else None
    known_half = half == first["half"] or (first["family"] == "m" and first["half"] is None)
    wrong += [] if known_half else [f"half {half}"]
    wrong += ["not borrowed"] if first["borrowed"] and not stop.borrowed else []
    wrong += ["box"] if first["box"] and stop.enclosed is not {"+": True, "!": False}[first["box"]] else []
    key = write_key(stop.compass[0]).lower() if stop.compass[0] is not None else None
    wrong += [f"first key {key}"] if first["key"] and key != first["key"] else []
    return [f"{stop.name} [{code}]: {'; '.join(wrong)}"] if wrong else []


def division_faults(head: str, codes: list[str], division: Division) -> list[str]:
    _, keyboard, box, compass = head.split()
    wrong = []
    printed = "pedal" if keyboard == "p" else f"manual-{keyboard}"
    wrong += [f"keyboard {division.keyboard}"] if keyboard != "-" and division.keyboard != printed else []
    wrong += (
        [f"box {division.enclosed}"] if division.enclosed is not {"?": None, "box": True, "open": False}[box] else []
    )
    keys = "-".join(map(write_key, division.compass)) if division.compass else ""
    wrong += [f"compass {keys}"] if compass not in ("-", keys) else []
    wrong += [f"{len(division.stops)} stops, not {len(codes)}"] if len(codes) != len(division.stops) else []
    wrong += [fault for code, stop in zip(codes, division.stops, strict=False) for fault in stop_faults(code, stop)]
    return [f"{division.name}: {fault}" for fault in wrong]


def faults(reading: ListReading, gold: list[str]) -> list[str]:
    organ = reading.organ
    left = list(organ.divisions)
    wrong: list[str] = []
    for line in gold:
        if line.startswith(("couplers:", "tremulants:")):
            continue
        head, codes = line.split(":", 1)
        roles = head.split()[0]
        division = next((one for one in left if roles == "*" or one.role.value in roles.split("|")), None)
        if division is None:
            wrong.append(f"no division {roles}")
            continue
        left.remove(division)
        wrong += division_faults(head, codes.split(), division)
    wrong += [f"{division.name} is too much" for division in left]
    roles = {division.id: division.role.value for division in organ.divisions}
    couplers = {
        f"{roles[c.source]}-off" if c.unison_off else f"{roles[c.source]}>{roles[c.target]}@{write_feet(c.pitch)}"
        for c in organ.couplers
    }
    told = {
        part.strip() for line in gold if line.startswith("couplers:") for part in line[9:].split(",") if part.strip()
    }
    wanted = {one if "@" in one or one.endswith("-off") else f"{one}@8" for one in told}
    wrong += [f"coupler {one}: {'missing' if one in wanted else 'false'}" for one in sorted(couplers ^ wanted)]
    tremulants = {roles[one.division] if one.division else "all" for one in organ.tremulants}
    named = {one for line in gold if line.startswith("tremulants:") for one in line[11:].split()}
    return wrong + [f"tremulant {one}" for one in sorted(tremulants ^ named)]


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_list_is_read_as_written_by_hand(path: Path) -> None:
    text, gold = parts(path)
    assert faults(read_stop_list(text), gold) == []


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_each_line_is_read_or_listed(path: Path) -> None:
    text, _ = parts(path)
    reading = read_stop_list(text)
    organ = reading.organ
    things = [*organ.divisions, *organ.couplers, *organ.tremulants, *organ.aids]
    cited = {n for thing in [*things, *(s for d in organ.divisions for s in d.stops)] for n in thing.lines}
    cited |= {item.line for item in reading.unread}
    assert {n for n, line in enumerate(text.split("\n"), 1) if line.strip()} <= cited

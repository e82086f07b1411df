"""Lists of invented churches in the layouts that real ones have, each with its reading.

The lists are composed for this project; their readings are common practice, no source. A reading was first written by
this reader, then gone through against its list line by line, and mended by hand or by mending the reader where it was
wrong; so it holds what was found right, it is no independent judgement. In an ``.expected`` file a division is a line
without indentation (name; role; keyboard, ~ where assumed; box; compass), its stops stand below it (name; pitch;
ranks; family; half, first key, borrowed, box of its own, out of use), then come couplers, tremulants, aids and
the numbers of the unread lines.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from core.organ.lists import ListReading, read_stop_list
from core.organ.model import Division, Stop
from core.organ.spelling import coupler_label, write_feet, write_key

LISTS = sorted((Path(__file__).parent / "lists").glob("*.txt"))


def outline(reading: ListReading) -> str:
    """A reading as an ``.expected`` file has it."""
    organ = reading.organ
    lines = []
    for division in organ.divisions:
        lines.append(_division(division))
        lines += [f"  {_stop(stop)}" for stop in division.stops]
    for coupler in organ.couplers:
        extra = [coupler.half.value] if coupler.half else []
        extra += ["permanent"] if coupler.permanent else []
        lines.append("; ".join([f"coupler {coupler_label(organ, coupler)}", *extra]))
    lines += [f"tremulant {t.division or 'whole organ'}" for t in organ.tremulants]
    lines += [f"aid {aid.kind.value}: {aid.text}" for aid in organ.aids]
    lines.append("unread " + " ".join(str(item.line) for item in reading.unread))
    lines.append(f"language {organ.language}, {organ.tradition}")
    return "\n".join(lines) + "\n"


def _division(division: Division) -> str:
    keyboard = f"{division.keyboard}{'~' if division.keyboard_assumed else ''}"
    compass = "-".join(map(write_key, division.compass)) if division.compass else "?"
    missing = f" without {' '.join(write_key(key) for key in sorted(division.missing))}" if division.missing else ""
    box = {True: "in a box", False: "no box", None: "?"}[division.enclosed]
    return "; ".join([division.name, division.role.value, keyboard, box, compass + missing])


def _stop(stop: Stop) -> str:
    parts = [stop.name, write_feet(stop.pitch) if stop.pitch else "-", str(stop.ranks or "-"), stop.family.value]
    parts += [stop.half.value] if stop.half else []
    parts += [f"from {write_key(stop.compass[0])}"] if stop.compass[0] is not None else []
    parts += [f"borrowed: {stop.borrowed}"] if stop.borrowed else []
    parts += [{True: "in a box", False: "no box"}[stop.enclosed]] if stop.enclosed is not None else []
    parts += ["on the ventil"] if stop.on_ventil else []
    parts += [] if stop.in_use else ["out of use"]
    return "; ".join(parts)


@pytest.mark.parametrize("path", LISTS, ids=lambda p: p.stem)
def test_list_is_read_as_found_right(path: Path) -> None:
    reading = read_stop_list(path.read_text(encoding="utf-8"))
    assert outline(reading) == path.with_suffix(".expected").read_text(encoding="utf-8")


@pytest.mark.parametrize("path", LISTS, ids=lambda p: p.stem)
def test_no_line_is_lost(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    reading = read_stop_list(text)
    organ = reading.organ
    things = [*organ.divisions, *organ.couplers, *organ.tremulants, *organ.aids]
    cited = {n for thing in things for n in thing.lines}
    cited |= {n for division in organ.divisions for stop in division.stops for n in stop.lines}
    cited |= {item.line for item in reading.unread}
    assert {n for n, line in enumerate(text.split("\n"), 1) if line.strip()} <= cited

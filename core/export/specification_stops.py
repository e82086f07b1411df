"""A stop's line on the specification page: its name, what stands in brackets behind it, its footnotes."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator

from core.export.paper import Row, Run, Runs, plain
from core.export.printed import set_key
from core.organ.mixtures import read_ordinals
from core.organ.model import Division, Stop

Say = Callable[..., str]
_KEY = re.compile(r"(?:from |to |tenor )?[A-Ga-g][#♯b♭]?\d{0,2}", re.IGNORECASE)


class StopNotes:
    """Names with their footnotes; a note that several stops share is printed once."""

    def __init__(self, say: Say) -> None:
        self.say = say
        self._numbers: dict[str, int] = {}

    def name(self, division: Division, stop: Stop) -> Runs:
        """The name as printed, brackets in italics, signs of footnotes raised."""
        short = list(self._short(division, stop))
        runs = [Run(stop.name)]
        if short:
            runs.append(Run(f" ({', '.join(short)})", italic=True))
        numbers = [self._numbers.setdefault(text, len(self._numbers) + 1) for text in self._long(division, stop)]
        if numbers:
            runs.append(Run(" ".join(map(str, numbers)), raised=True))
        return tuple(runs)

    def rows(self) -> tuple[Row, ...]:
        """The footnotes in their order."""
        return tuple(
            Row(cells=((Run(f"{number}", raised=True),), plain(text[:1].upper() + text[1:])))
            for text, number in self._numbers.items()
        )

    def _short(self, division: Division, stop: Stop) -> Iterator[str]:
        if stop.half:
            yield stop.half_word or self.say(stop.half.value)
        first, last = stop.compass
        if first is not None:
            yield self.say("from {key}", key=set_key(first))
        if last is not None:
            yield self.say("to {key}", key=set_key(last))
        if stop.enclosed is not None and stop.enclosed is not division.enclosed:
            yield self.say("enclosed") if stop.enclosed else self.say("unenclosed")

    def _long(self, division: Division, stop: Stop) -> Iterator[str]:
        if stop.borrowed:
            is_said = stop.borrowed.casefold().startswith(("from", "extension", "borrowed"))
            yield stop.borrowed if is_said else self.say("Borrowed: {source}", source=stop.borrowed)
        if stop.box and stop.box != division.box:
            yield self.say("In the {box}", box=stop.box)
        if stop.on_ventil:
            yield self.say("On the wind of the reeds, called by a ventil")
        if stop.missing:
            yield self.say("Without {keys}", keys=", ".join(set_key(key) for key in sorted(stop.missing)))
        if not stop.in_use:
            yield self.say("Not in use at present")
        remark = "; ".join(part for part in stop.remark.split("; ") if part and not _is_said(part, stop))
        if remark:
            yield remark


def _is_said(part: str, stop: Stop) -> bool:
    """Whether a part of a remark says what is printed anyhow: the compass in brackets, the ranks of a mixture."""
    if stop.compass != (None, None) and _KEY.fullmatch(part.strip()):
        return True
    return bool(stop.composition) and read_ordinals(part) is not None

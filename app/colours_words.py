"""What is said of a chosen colour: its stops, its box, how loud it is, what may go against it, what to mind."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from core.organ.model import Organ
from core.resolve.colour_book.labels import LOUDNESS, labels_of
from core.resolve.colour_book.model import Accompaniment, Colour

Tr = Callable[[str], str]

_BOXED = {True: "in the box", False: "in no box", None: "box: not said, or only in part"}
_BOX = {"closed": "box shut", "half": "box half open"}


def drawn_words(organ: Organ, colour: Colour) -> str:
    """Its stops; by division where there are several."""
    homes = list(dict.fromkeys(organ.division_of(s).id for s in colour.stops))
    parts = []
    for home in homes:
        stops = ", ".join(labels_of(organ, [s for s in colour.stops if organ.division_of(s).id == home]))
        parts.append(stops if len(homes) == 1 else f"{organ.division(home).name}: {stops}")
    return "; ".join(parts)


def place_words(organ: Organ, colour: Colour, tr: Tr) -> str:
    """Where it is played, in a box or not, how loud, with what beside the stops."""
    facts = [organ.division(colour.division).name, tr(_BOXED[colour.enclosed]), tr(LOUDNESS[colour.loudness])]
    facts += [tr(_BOX[colour.box])] if colour.box else []
    facts += [tr("with the tremulant")] if colour.tremulant else []
    return " · ".join(facts)


def against_words(organ: Organ, one: Accompaniment, tr: Tr) -> str:
    """One way to accompany it."""
    stops = ", ".join(labels_of(organ, one.stops))
    return f"{organ.division(one.division).name}: {stops} ({one.balance.translated(tr)})"


def free_words(organ: Organ, colour: Colour, tr: Tr) -> str:
    """The manuals that are left."""
    names = ", ".join(organ.division(d).name for d in colour.free)
    return tr("Free: {0}").format(names) if names else tr("No other manual is free.")


def other_names(colour: Colour, tr: Tr) -> Iterator[str]:
    """Its other names and whose custom it is."""
    if colour.also:
        yield tr("Also: {0}").format(", ".join(name.translated(tr) for name in colour.also))
    own = [tradition for tradition in colour.traditions if tradition != "any"]
    if own and "any" not in colour.traditions:
        yield tr("Custom: {0}").format(", ".join(tr(tradition) for tradition in own))

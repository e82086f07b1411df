"""What to know before writing a colour: keys without pipes, octaves, breaks, what only guesses say."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from core.organ.model import UNISON, Division, Family, Half, Organ, Role, Stop
from core.organ.spelling import stop_label, write_key
from core.resolve.colour_book.labels import whole_stops
from core.texts import Said, say


def cautions(
    organ: Organ, division: Division, stops: Sequence[Stop], *, solo: bool, enclosed: bool | None
) -> tuple[Said, ...]:
    """Cautions for stops played from one division."""
    return tuple(
        dict.fromkeys(
            (
                *_compass(division, stops),
                *_octaves(division, stops, solo=solo),
                *_grounds(stops),
                *(_breaks(stops) if solo else ()),
                *_shared(stops),
                *_twins(division, stops),
                *_unsure(division, stops, enclosed=enclosed),
            )
        )
    )


def _compass(division: Division, stops: Sequence[Stop]) -> Iterator[Said]:
    """Stops that lack keys below, above or between."""
    first, last = division.compass or (None, None)
    for stop in whole_stops(stops):
        low, high = stop.compass
        label = stop_label(stop)
        if stop.half is Half.TREBLE:
            yield say("{stop} is a treble half: nothing below the split", stop=label)
        elif stop.half is Half.BASS:
            yield say("{stop} is a bass half: nothing above the split", stop=label)
        elif low is not None and (first is None or low > first):
            yield say("{stop} speaks only from {key} up", stop=label, key=write_key(low))
        if high is not None and stop.half is None and (last is None or high < last):
            yield say("{stop} ends at {key}", stop=label, key=write_key(high))
        if stop.missing:
            keys = ", ".join(write_key(key) for key in sorted(stop.missing))
            yield say("{stop} has no pipe at {keys}", stop=label, keys=keys)


def _octaves(division: Division, stops: Sequence[Stop], *, solo: bool) -> Iterator[Said]:
    """Where nothing sounds at the written pitch."""
    pitches = [stop.pitch for stop in stops if stop.pitch]
    if not pitches or division.role is Role.PEDAL:
        return
    if solo and all(pitch == 2 * UNISON for pitch in pitches):
        yield say("sounds an octave below what is written: play it an octave higher for the written pitch")
    elif solo and all(pitch == UNISON / 2 for pitch in pitches):
        yield say("sounds an octave above what is written: play it an octave lower for the written pitch")


def _grounds(stops: Sequence[Stop]) -> Iterator[Said]:
    """A mutation by itself, or louder than what it stands on."""
    mutations = [s for s in whole_stops(stops) if s.family is Family.MUTATION]
    grounds = [s for s in stops if s.family is not Family.MUTATION and s.pitch]
    loudest = max((s.loudness for s in grounds), default=0)
    for stop in mutations:
        if grounds and stop.loudness > loudest:
            yield say("{stop} is stronger than its ground and will stand out", stop=stop_label(stop))


def _breaks(stops: Sequence[Stop]) -> Iterator[Said]:
    """Compound stops that break back within the compass."""
    for stop in stops:
        if len(stop.composition) < 2 or stop.family not in (Family.MIXTURE, Family.COMPOUND):
            continue
        keys = ", ".join(write_key(one.key) for one in stop.composition[1:])
        if stop.composition_assumed:
            yield say("{stop} will break back somewhere; where is not said", stop=stop_label(stop))
        else:
            yield say("{stop} breaks at {keys}", stop=stop_label(stop), keys=keys)


def _shared(stops: Sequence[Stop]) -> Iterator[Said]:
    """Stops of one rank of pipes: octaves played on it double nothing."""
    ranks: dict[str, list[Stop]] = {}
    for stop in stops:
        if stop.rank:
            ranks.setdefault(stop.rank, []).append(stop)
    for group in ranks.values():
        if len(group) > 1:
            names = ", ".join(stop_label(s) for s in group)
            yield say("{stops} share one rank of pipes: octaves on it double nothing", stops=names)


def _twins(division: Division, stops: Sequence[Stop]) -> Iterator[Said]:
    """Stops that the score cannot tell from another of the same name and pitch."""
    names = [stop_label(s) for s in division.stops if s.in_use]
    for label in dict.fromkeys(stop_label(s) for s in stops):
        if names.count(label) > 1:
            yield say("the {division} has {stop} more than once: a wording cannot tell them apart",
                      stop=label, division=division.name)  # fmt: skip


def _unsure(division: Division, stops: Sequence[Stop], *, enclosed: bool | None) -> Iterator[Said]:
    guessed = [s for s in stops if s.guess]
    if guessed:
        names = ", ".join(stop_label(s) for s in guessed)
        yield say("{stops}: the family is guessed by the name", stops=names)
    if enclosed is None and division.enclosed is not None and division.role is not Role.PEDAL:
        yield say("only some of these stops stand in the box")

"""Rules about keys: beyond a keyboard's compass, or without a pipe in any stop drawn."""

from __future__ import annotations

from collections.abc import Iterator

from core.checks.context import Context
from core.checks.registry import rule
from core.findings import Finding, Level
from core.organ.model import Division, Key
from core.organ.spelling import stop_label, write_key
from core.resolve.stretches import Stretch
from core.score.lines import Moment
from core.score.model import Ticks
from core.score.music import Music
from core.sounding.pipes import reachable_stops, speaks, stop_range
from core.texts import say


@rule("key-outside-compass", level=Level.ERROR)
def key_outside_compass(context: Context) -> Iterator[Finding]:
    """A note lies beyond the keys of the keyboard that plays it.

    What: A hand or the feet play a note that this organ's keyboard does not have.
    Why: The note cannot be played where it is written.
    Example: Bourdon pedal G4 on a pedalboard that ends at F4.
    Remedy: Play it an octave lower with a stop an octave higher, on another manual, or leave it out.
    """
    organ = context.the_organ
    told: set[tuple[str, str, int]] = set()
    for stretch, hand, division_id, _ in context.playing():
        division = organ.division(division_id)
        if division.compass is None:
            continue
        low, high = division.compass
        beyond = context.recall(
            _first_beyond, context.music, hand, (stretch.start, stretch.end), (low, high), division.missing
        )
        fault = (hand, division_id, stretch.start)
        if beyond is not None and fault not in told:
            moment, outside = beyond
            told.add(fault)
            yield Finding(
                rule="key-outside-compass",
                level=Level.ERROR,
                message=say(
                    "{keys} is outside the compass of the {division} ({low} to {high})",
                    keys=", ".join(write_key(k) for k in outside),
                    division=division.name,
                    low=write_key(low),
                    high=write_key(high),
                ),
                why=say("this keyboard has no such key"),
                at=context.position(moment.onset, moment.bar, stretch.nth),
                staff=moment.staff,
                division=division_id,
            )


def _first_beyond(
    music: Music, hand: str, stretch: tuple[Ticks, Ticks], compass: tuple[Key, Key], missing: frozenset[Key]
) -> tuple[Moment, list[Key]] | None:
    """The first moment of a stretch with keys that a keyboard lacks, and these."""
    low, high = compass
    for moment in music.lines[hand].between(*stretch):
        outside = [k for k in moment.keys if not low <= k <= high or k in missing]
        if outside:
            return moment, outside
    return None


@rule("note-without-pipe", level=Level.WARNING)
def note_without_pipe(context: Context) -> Iterator[Finding]:
    """No stop drawn has a pipe for a note that is played.

    What: The stops drawn begin above the note, or end below it, so the key is silent.
    Why: A celeste from tenor C or a treble Cornet leaves the low notes unheard.
    Example: "Sw. Voix Celestes" alone (from C3), with a low G2 in the left hand.
    Remedy: Draw a stop of full compass with it, or take the note elsewhere.
    """
    told: set[tuple[str, str, int]] = set()
    for stretch, hand, division_id, moments in context.playing():
        stops = reachable_stops(context.the_organ, stretch.registration, division_id)
        short = [s for _, s in stops if s.compass != (None, None) or s.half or s.missing]
        if not stops or len(short) < len(stops):
            continue
        for moment in moments:
            fault = (hand, division_id, stretch.start)
            silent = _silent(context, stretch, division_id, moment)
            if not silent or fault in told:
                continue
            told.add(fault)
            yield Finding(
                rule="note-without-pipe",
                level=Level.WARNING,
                message=say(
                    "{keys} is silent: {stops} has no pipe there",
                    keys=", ".join(write_key(k) for k in silent),
                    stops=", ".join(stop_label(s) for s in short),
                ),
                why=say("every stop drawn for this hand ends before this note"),
                at=context.position(moment.onset, moment.bar, stretch.nth),
                staff=moment.staff,
                division=division_id,
            )


@rule("stop-ends-before-note", level=Level.ADVICE)
def stop_ends_before_note(context: Context) -> Iterator[Finding]:
    """A stop that is drawn has no pipe for some of the notes, and other stops sound alone there.

    What: A celeste from tenor C, a treble stop or a short mixture is silent for notes that are played on it.
    Why: Its colour leaves the line where the pipes end; the ear hears the step.
    Example: "Sw. Salicional & Voix Celestes" with G2 in the left hand, where the celeste begins at C3.
    Remedy: Keep the line within the stop's compass, or accept that it thins there.
    """
    told: set[str] = set()
    for stretch, _, division_id, moments in context.playing():
        organ = context.the_organ
        stops = reachable_stops(organ, stretch.registration, division_id)
        short = [(d, s) for d, s in stops if s.id not in told and s.half is None and s.compass != (None, None)]
        if not short or len(short) == len(stops):
            continue
        for division, stop in short:
            low, high = stop_range(division, stop)
            for moment in moments:
                beyond = [k for k in moment.keys if not low <= k <= high and _has_key(home_of(context, division_id), k)]
                if not beyond:
                    continue
                told.add(stop.id)
                yield Finding(
                    rule="stop-ends-before-note",
                    level=Level.ADVICE,
                    message=say(
                        "{stop} has no pipe {side} {end}: {key} sounds without it",
                        stop=stop_label(stop),
                        side=say("below" if beyond[0] < low else "above"),
                        end=write_key(low if beyond[0] < low else high),
                        key=write_key(beyond[0]),
                    ),
                    why=say("its compass is shorter than the keyboard's"),
                    at=context.position(moment.onset, moment.bar, stretch.nth),
                    staff=moment.staff,
                    division=division.id,
                )
                break


def home_of(context: Context, division_id: str) -> Division:
    """The division whose keys are played."""
    return context.the_organ.division(division_id)


def _has_key(division: Division, key: int) -> bool:
    low, high = division.compass or (0, 127)
    return low <= key <= high


def _silent(context: Context, stretch: Stretch, division_id: str, moment: Moment) -> list[int]:
    organ = context.the_organ
    stops = reachable_stops(organ, stretch.registration, division_id)
    home = organ.division(division_id)
    low, high = home.compass or (0, 127)
    return [
        key
        for key in moment.keys
        if low <= key <= high and not any(speaks(division, stop, key) for division, stop in stops)
    ]

"""Says which customary colours an organ has not, and what comes nearest to each."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from core.knowledge.loader import load
from core.markings.model import StopRequest
from core.organ.model import Organ, Stop
from core.organ.names import know_stop
from core.organ.strength import strength
from core.resolve.colour_book.asking import HERE, Answer, ask, draw_of, stops_of
from core.resolve.colour_book.customs import ANY, ORGAN, PEDAL, Custom, solo_customs
from core.resolve.colour_book.labels import labels_of, whole_stops
from core.resolve.colour_book.making import means_another_recipe, places
from core.resolve.colour_book.model import Colour, Gap
from core.resolve.colour_book.solos import solo_custom
from core.resolve.traits import voices
from core.texts import Said, say

_TWO = 2
_AS_LOUD = 2  # a stop much louder or softer than what is asked for is not near it


def gaps(organ: Organ, customs: Iterable[Custom], found: Iterable[Colour]) -> Iterator[Gap]:
    """The customs and the solo stops that no colour answers."""
    have = {one.id.partition("@")[0] for one in found}
    for custom in customs:
        if custom.id not in have and custom.tells_gap and _is_expected(organ, custom):
            answer = _ask(organ, custom)
            if answer is not None and not _is_most_of_it(organ, custom.ask, answer):
                answer = None
            name = say(custom.name.template, **{**dict(custom.name.values), "division": ""})
            yield _gap(organ, custom.id, custom.section, name, custom.traditions, custom.sounds, answer)
    yield from _solo_gaps(organ)


def _is_expected(organ: Organ, custom: Custom) -> bool:
    """Whether an organ of that tradition might be thought to have it."""
    if (PEDAL in custom.where and organ.pedal is None) or means_another_recipe(organ, custom):
        return False
    return ANY in custom.traditions or organ.tradition is None or organ.tradition in custom.traditions


def _ask(organ: Organ, custom: Custom) -> Answer | None:
    """What the organ draws for a colour that it has not in full: on the place where most of it is there."""
    if ORGAN in custom.where:
        return ask(organ, [draw_of(custom.ask, do=custom.do, division=None)], None, language=custom.language)
    answers = [
        ask(organ, [draw_of(custom.ask, do=custom.do, division=HERE)], division, language=custom.language)
        for division in places(organ, custom)
    ]
    return min(answers, key=_lack, default=None)


def _lack(answer: Answer) -> tuple[int, int]:
    """How far an answer is from what was asked: requests that nothing answers, then those that a substitute does."""
    because = answer.because
    return (sum(not b.chosen for b in because), sum(b.substitute for b in because))


def _is_most_of_it(organ: Organ, requests: Sequence[StopRequest], answer: Answer) -> bool:
    """Whether all or all but one of the pitches asked for are there, of a near family: less is no near colour."""
    wanted = sum(max(1, len(one.pitches)) for one in requests)
    drawn = whole_stops(stops_of(organ, answer.stops))
    family = requests[0].family if len(requests) == 1 else None
    return len(drawn) >= max(1, wanted - 1 if wanted > _TWO else wanted) and _is_near(family, drawn)


def _is_near(family: str | None, drawn: Sequence[Stop]) -> bool:
    """Whether stops are of a family that is near the one that is lacking."""
    near = load("colours")["near"].get(family)
    return near is None or any(stop.family.value in near for stop in drawn)


def _solo_gaps(organ: Organ) -> Iterator[Gap]:
    """The customary solo stops that no manual has."""
    present = {
        custom.id
        for division in organ.manuals
        for voice in voices(organ, division)
        if (custom := solo_custom(voice)) is not None
    }
    for custom in solo_customs():
        if custom.id in present or not custom.tells_gap:
            continue
        request = StopRequest(name=custom.named)
        answer: Answer | None = ask(organ, [draw_of([request], division=None)], None, language="en")
        drawn = stops_of(organ, answer.stops) if answer is not None else []
        known = know_stop(custom.named, language="en")
        family = known.family.value if known else None
        if abs(strength(drawn) - custom.loud) > _AS_LOUD or not _is_near(family, drawn):
            answer = None
        yield _gap(organ, custom.id, "solo", say(custom.named), (ANY,), custom.sounds, answer)


def _gap(
    organ: Organ,
    gap_id: str,
    section: str,
    name: Said,
    traditions: tuple[str, ...],
    sounds: tuple[str, ...],
    answer: Answer | None,
) -> Gap:
    stops = answer.stops if answer is not None else ()
    homes = list(dict.fromkeys(organ.division_of(s).id for s in stops))
    if not stops:
        said = say("no {colour}; nothing on this organ comes near it", colour=name)
    else:
        said = say(
            "no {colour}; nearest: {stops} ({division})",
            colour=name,
            stops=", ".join(labels_of(organ, stops)),
            division=", ".join(organ.division(d).name for d in homes),
        )
    return Gap(
        id=gap_id,
        section=section,
        name=name,
        traditions=traditions,
        said=said,
        division=homes[0] if homes else None,
        nearest=stops,
        sounds=sounds,
    )

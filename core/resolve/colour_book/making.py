"""Makes the colours of the customs that are asked of a division or of the whole organ."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from core.markings.model import Action, Instruction
from core.organ.model import Division, Organ, Role, Stop, is_enclosed
from core.organ.strength import strength
from core.resolve.colour_book.accompanying import Accompanists, boxed, free_divisions
from core.resolve.colour_book.asking import HERE, Answer, adds_each, ask, draw_of, stops_of
from core.resolve.colour_book.cautions import cautions
from core.resolve.colour_book.customs import MANUAL, ORGAN, PEDAL, Custom, is_custom_of
from core.resolve.colour_book.model import LOUDEST, Colour
from core.resolve.couplers import chief_manual
from core.resolve.recipes import recipe_of
from core.resolve.traditions import tradition_of
from core.resolve.traits import REEDS, voice
from core.texts import Said, say


def made(organ: Organ, custom: Custom, accompanists: Accompanists) -> Iterator[Colour]:
    """The colour on each division that has it, or once where it is the whole organ's."""
    if means_another_recipe(organ, custom):
        return
    if ORGAN in custom.where:
        yield from _of_organ(organ, custom)
        return
    for division in places(organ, custom):
        found = _on(organ, custom, division, accompanists)
        if found is not None:
            yield found


def means_another_recipe(organ: Organ, custom: Custom) -> bool:
    """Whether the words of a custom mean another tradition's recipe on this organ: a Grand jeu on a symphonic one."""
    if custom.language is None:
        return False
    tradition = tradition_of(organ, custom.language)
    named = any(recipe_of(one, tradition) is not None for one in custom.ask if one.name)
    return named and not is_custom_of(custom.traditions, tradition)


def places(organ: Organ, custom: Custom) -> list[Division]:
    """The divisions that a custom is asked of, the chief manual first."""
    if PEDAL in custom.where:
        return [organ.pedal] if organ.pedal and organ.pedal.stops else []
    chief = chief_manual(organ)
    divisions = sorted((d for d in organ.manuals if d.stops), key=lambda d: d is not chief)
    if MANUAL in custom.where:
        return divisions
    return sorted((d for d in divisions if d.role in custom.where), key=lambda d: custom.where.index(d.role))


def _on(organ: Organ, custom: Custom, division: Division, accompanists: Accompanists) -> Colour | None:
    if not _has_pitches(custom, division):
        return None
    answer = ask(organ, [draw_of(custom.ask, do=custom.do)], division, language=custom.language)
    if not _is_it(organ, custom, answer):
        return None
    stops = stops_of(organ, answer.stops)
    enclosed = boxed(division, stops)
    if custom.box and not all(is_enclosed(division, stop) for stop in stops):
        return None
    asked = custom.ask
    if custom.optional:
        more = ask(
            organ,
            [Instruction(action=Action.ADD, division=HERE, stops=custom.optional)],
            division,
            language=custom.language,
            before=answer.stops,
        )
        if more.whole and len(more.stops) > len(answer.stops):
            answer, asked, stops = more, (*asked, *custom.optional), stops_of(organ, more.stops)
    against = accompanists.against(stops, division, custom.traditions) if custom.solo else ()
    return Colour(
        id=f"{custom.id}@{division.id}",
        section=custom.section,
        name=_named(custom, division),
        also=tuple(map(say, custom.also)),
        traditions=custom.traditions,
        language=custom.language,
        division=division.id,
        stops=answer.stops,
        couplers=answer.couplers,
        box=custom.box,
        enclosed=enclosed,
        loudness=_loudness(stops),
        solo=custom.solo,
        accompaniments=against,
        free=free_divisions(organ, division),
        cautions=(
            *((say(custom.caution),) if custom.caution else ()),
            *cautions(organ, division, stops, solo=custom.solo, enclosed=enclosed),
            *lonely(organ, division, custom.solo, bool(against)),
        ),
        why=custom.why,
        source=custom.source,
        asked=(draw_of(asked, do=custom.do, division=division.role.value),),
        sounds=custom.sounds,
    )


def _named(custom: Custom, division: Division) -> Said:
    """The custom's name, with the division's where it is part of it."""
    return say(custom.name.template, **{**dict(custom.name.values), "division": division.name})


def _has_pitches(custom: Custom, division: Division) -> bool:
    """Whether the division has the bare pitches asked for: spares a vain question."""
    here = {stop.pitch for stop in division.stops if stop.in_use}
    return all(pitch in here for one in custom.ask if not one.name for pitch in one.pitches)


def _is_it(organ: Organ, custom: Custom, answer: Answer) -> bool:
    """Whether what was drawn is the colour asked for."""
    if not answer.whole or len(answer.stops) < custom.least:
        return False
    if len(custom.ask) > 1 and not adds_each(answer.because):
        return False
    stops = stops_of(organ, answer.stops)
    families = {stop.family.value for stop in stops} | _sorts(organ, answer)
    if _loudness(stops) > custom.most_loud or (custom.must and families.isdisjoint(custom.must)):
        return False
    if not families.isdisjoint(custom.without) or not _reeds_fit(organ, custom, answer):
        return False
    return not custom.kinds or any(stop.kind in custom.kinds for stop in stops)


def _loudness(stops: Sequence[Stop]) -> int:
    return min(LOUDEST, strength(stops))


def _reeds_fit(organ: Organ, custom: Custom, answer: Answer) -> bool:
    """Whether its reeds are of the sorts it may have."""
    if not custom.reeds:
        return True
    return all(sort in custom.reeds for sort in _sorts(organ, answer) & {str(reed) for reed in REEDS})


def _sorts(organ: Organ, answer: Answer) -> set[str]:
    return {voice(organ.stop(s), organ.division_of(s)).sort.value for s in answer.stops}


def _of_organ(organ: Organ, custom: Custom) -> Iterator[Colour]:
    chief = chief_manual(organ)
    if chief is None:
        return
    asking = draw_of(custom.ask, do=custom.do, division=None)
    answer = ask(organ, [asking], None, language=custom.language)
    chiefly = any(b.division == chief.id and b.chosen and not b.substitute for b in answer.because)
    answer = replace(answer, whole=chiefly)  # another manual may lack a mixture of its own
    if not _is_it(organ, custom, answer) or not any(organ.division_of(s).role != Role.PEDAL for s in answer.stops):
        return
    if custom.needs and not _has_in_pedal(organ, custom):
        return
    stops = stops_of(organ, answer.stops)
    states = {is_enclosed(organ.division_of(s), organ.stop(s)) for s in answer.stops}
    yield Colour(
        id=custom.id,
        section=custom.section,
        name=custom.name,
        also=tuple(map(say, custom.also)),
        traditions=custom.traditions,
        language=custom.language,
        division=chief.id,
        stops=answer.stops,
        couplers=answer.couplers,
        enclosed=states.pop() if len(states) == 1 else None,
        loudness=_loudness(stops),
        free=tuple(
            d for d in free_divisions(organ, chief) if not any(organ.division_of(s).id == d for s in answer.stops)
        ),
        cautions=(say(custom.caution),) if custom.caution else (),
        why=custom.why,
        source=custom.source,
        asked=(asking,),
        sounds=custom.sounds,
    )


def _has_in_pedal(organ: Organ, custom: Custom) -> bool:
    if organ.pedal is None:
        return False
    return ask(organ, [draw_of(custom.needs)], organ.pedal, language=custom.language).whole


def lonely(organ: Organ, division: Division, solo: bool, accompanied: bool) -> Iterator[Said]:
    """Why a solo has no accompaniment."""
    if not solo or accompanied or division.role is Role.PEDAL:
        return
    if free_divisions(organ, division):
        yield say("no other manual has anything quieter at 8 or 4 ft: by itself, or both hands on it")
    else:
        yield say("there is no other manual to accompany it: both hands play on it, or it plays a single line")

"""What the window says in sentences: what each hand plays, what changes next, how a marking was read."""

from __future__ import annotations

from collections.abc import Iterator
from html import escape

from app.lane import change_words, short_name
from app.organ_rows import coupler_in_words
from app.translation import shown, told, tr
from core.analysis import Analysis
from core.edit_values import short
from core.markings.gathering import MarkingRead
from core.organ.model import Organ, Role
from core.organ.spelling import stop_label, write_feet, write_key
from core.resolve.model import Because, Registration, Step
from core.score.model import Note
from core.sounding.pipes import pipes_of
from core.texts import say

HANDS = {"right": "R.H.", "left": "L.H.", "feet": "Feet", "both": "Both hands"}
_BOXES = {
    "open": "box open",
    "half": "box half open",
    "closed": "box shut",
    "opening": "box opening",
    "closing": "box closing",
}


def hand_sentence(organ: Organ, registration: Registration, hand: str) -> str:
    """``Swell: Oboe 8, box half``: what a hand (or the feet) has under it."""
    division_id = registration.hand(hand)
    if division_id is None:
        return tr("not said where")
    division = organ.division(division_id)
    stops = [stop_label(organ.stop(s)) for s in registration.drawn if organ.division_of(s).id == division_id]
    coupled = [
        told("{name} coupled", name=short_name(organ.division(c.source)))
        if c.pitch == 8
        else told("{name} coupled at {pitch} ft", name=short_name(organ.division(c.source)), pitch=write_feet(c.pitch))
        for number, c in enumerate(organ.couplers)
        if number in registration.couplers and c.target == division_id and not c.unison_off
    ]
    words = [*stops, *coupled] or [tr("nothing drawn")]
    if division_id in registration.tremulants:
        words.append(tr("tremulant"))
    box = registration.box(division_id)
    if box is not None:
        words.append(tr(_BOXES.get(box, box)))
    elif division.enclosed:
        words.append(tr("enclosed"))
    name = "" if division.role is Role.PEDAL and hand == "feet" else f"{division.name}: "
    return name + ", ".join(words)


def since(step: Step) -> str:
    """Since which marking it holds: ``since ‘Sw. Oboe’, bar 12``."""
    texts = [short(text.replace("\n", " / ")) for text in step.texts if text.strip()]
    if not texts:
        return told("since bar {bar}", bar=step.at.measure)
    shown = ", ".join(told("‘{text}’", text=text) for text in texts[:3]) + (" …" if len(texts) > 3 else "")
    return told("since {marking}, bar {bar}", marking=shown, bar=step.at.measure)


def next_sentence(analysis: Analysis, step: Step) -> str:
    """What changes next and when; markings that move nothing are passed over."""
    organ, following = analysis.organ, analysis.next_change(step)
    while organ is not None and following is not None:
        changes = [
            f"{short_name(division)} {words}"
            for division in organ.divisions
            if (words := change_words(organ, division, step.registration, following.registration))
        ]
        changes += hand_moves(organ, step.registration, following.registration)
        if changes:
            what, at = "; ".join(changes).rstrip("."), following.at
            return told("Next, at bar {bar}, beat {beat}: {what}.", bar=at.measure, beat=at.beat, what=what)
        following = analysis.next_change(following)
    return tr("No further change.")


def hand_moves(organ: Organ, before: Registration, after: Registration) -> Iterator[str]:
    """``R.H. to Swell`` for each hand that goes elsewhere."""
    for hand in ("right", "left"):
        goes = after.hand(hand)
        if goes is not None and goes != before.hand(hand):
            yield told("{hand} to {name}", hand=say(HANDS[hand]), name=organ.division(goes).name)


def read_word_by_word(mark: MarkingRead) -> list[tuple[str, str]]:
    """Each stretch of a marking's text with how it was understood."""
    text = mark.reading.text
    rows = []
    for note in mark.reading.words:
        words = text[note.span.start : note.span.end].strip()
        if any(sign.isalnum() for sign in words):
            rows.append((words, shown(note.meaning)))
    for unread in mark.reading.unread:
        if all(words != unread.text for words, _ in rows):
            rows.append((unread.text, tr("not understood")))
    return rows


def word_table(rows: list[tuple[str, str]]) -> str:
    """Words with their meanings, as rich text."""
    cells = "".join(
        f"<tr><td style='padding-right:12px'><i>{escape(words)}</i></td><td>{escape(meaning)}</td></tr>"
        for words, meaning in rows
    )
    return f"<table cellspacing='1'>{cells}</table>"


def chosen_words(organ: Organ, because: Because) -> str:
    """What answers a request, by name."""
    if not because.chosen:
        return tr("nothing here")
    return ", ".join(label_of(organ, item) for item in because.chosen)


def label_of(organ: Organ, item: str) -> str:
    """A stop's label by its id; a coupler or anything else as it is."""
    try:
        return stop_label(organ.stop(item))
    except KeyError:
        return item


def sounding_sentence(organ: Organ, registration: Registration, note: Note) -> str:
    """``G4 on the Swell sounds Oboe 8; coupled, Great: Principal 4``: the pipes that a note's key makes speak."""
    key = write_key(note.key)
    division_id = registration.hand(note.hand or "")
    if division_id is None:
        return told("{key}: not said on which manual", key=key)
    played = organ.division(division_id)
    labels: dict[str, list[str]] = {}
    for pipe in pipes_of(organ, registration, division_id, note.key):
        label = stop_label(organ.stop(pipe.stop))
        found = labels.setdefault(pipe.division, [])
        if label not in found:
            found.append(label)
    if not labels:
        drawn = any(organ.division_of(stop).id == division_id for stop in registration.drawn)
        why = say("no stop that is drawn has a pipe there" if drawn else "nothing is drawn")
        return told("{key} on the {name}: silent, {why}", key=key, name=played.name, why=why)
    own = labels.pop(division_id, [])
    template = "{key} on the {name} sounds {stops}" if own else "{key} on the {name}"
    parts = [told(template, key=key, name=played.name, stops=", ".join(own))]
    parts += [
        told("coupled, {name}: {stops}", name=organ.division(other).name, stops=", ".join(names))
        for other, names in labels.items()
    ]
    return "; ".join(parts)


def coupler_names(organ: Organ, registration: Registration) -> list[str]:
    """The couplers that are on, by name."""
    return [coupler_in_words(organ, organ.couplers[number]) for number in sorted(registration.couplers)]

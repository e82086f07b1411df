"""What the window says in sentences: what each hand plays, what changes next, how a marking was read."""

from __future__ import annotations

from collections.abc import Iterator
from html import escape

from app.lane import change_words, short_name
from core.analysis import Analysis
from core.markings.gathering import MarkingRead
from core.organ.model import Organ, Role
from core.organ.spelling import coupler_label, stop_label, write_key
from core.resolve.model import Because, Registration, Step
from core.score.model import Note
from core.sounding.pipes import pipes_of

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
        return "not said where"
    division = organ.division(division_id)
    stops = [stop_label(organ.stop(s)) for s in registration.drawn if organ.division_of(s).id == division_id]
    coupled = [
        f"{short_name(organ.division(c.source))} coupled" + ("" if c.pitch == 8 else f" at {c.pitch} ft")
        for number, c in enumerate(organ.couplers)
        if number in registration.couplers and c.target == division_id and not c.unison_off
    ]
    words = [*stops, *coupled] or ["nothing drawn"]
    if division_id in registration.tremulants:
        words.append("tremulant")
    box = registration.box(division_id)
    if box is not None:
        words.append(_BOXES.get(box, box))
    name = "" if division.role is Role.PEDAL and hand == "feet" else f"{division.name}: "
    return name + ", ".join(words)


def since(step: Step) -> str:
    """Since which marking it holds: ``since ‘Sw. Oboe’, bar 12``."""
    texts = [text.replace("\n", " / ") for text in step.texts if text.strip()]
    if not texts:
        return f"since bar {step.at.measure}"
    shown = ", ".join(f"‘{text}’" for text in texts[:3]) + (" …" if len(texts) > 3 else "")
    return f"since {shown}, bar {step.at.measure}"


def next_sentence(analysis: Analysis, step: Step) -> str:
    """What changes next and when."""
    following = analysis.next_change(step)
    organ = analysis.organ
    if following is None or organ is None:
        return "No further change."
    changes = []
    for division in organ.divisions:
        words = change_words(organ, division, step.registration, following.registration)
        if words:
            changes.append(f"{short_name(division)} {words}")
    changes += list(hand_moves(organ, step.registration, following.registration))
    what = ("; ".join(changes) or "nothing to move").rstrip(".")
    return f"Next, at bar {following.at.measure}, beat {following.at.beat}: {what}."


def hand_moves(organ: Organ, before: Registration, after: Registration) -> Iterator[str]:
    """``R.H. to Swell`` for each hand that goes elsewhere."""
    for hand in ("right", "left"):
        goes = after.hand(hand)
        if goes is not None and goes != before.hand(hand):
            yield f"{HANDS[hand]} to {organ.division(goes).name}"


def read_word_by_word(mark: MarkingRead) -> list[tuple[str, str]]:
    """Each stretch of a marking's text with how it was understood."""
    text = mark.reading.text
    rows = []
    for note in mark.reading.words:
        words = text[note.span.start : note.span.end].strip()
        if any(sign.isalnum() for sign in words):
            rows.append((words, str(note.meaning)))
    for unread in mark.reading.unread:
        if all(words != unread.text for words, _ in rows):
            rows.append((unread.text, "not understood"))
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
        return "nothing here"
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
        return f"{key}: not said on which manual"
    played = organ.division(division_id)
    labels: dict[str, list[str]] = {}
    for pipe in pipes_of(organ, registration, division_id, note.key):
        label = stop_label(organ.stop(pipe.stop))
        found = labels.setdefault(pipe.division, [])
        if label not in found:
            found.append(label)
    if not labels:
        drawn = any(organ.division_of(stop).id == division_id for stop in registration.drawn)
        why = "no stop that is drawn has a pipe there" if drawn else "nothing is drawn"
        return f"{key} on the {played.name}: silent, {why}"
    own = labels.pop(division_id, [])
    parts = [f"{key} on the {played.name} sounds {', '.join(own)}"] if own else [f"{key} on the {played.name}"]
    parts += [f"coupled, {organ.division(other).name}: {', '.join(names)}" for other, names in labels.items()]
    return "; ".join(parts)


def coupler_names(organ: Organ, registration: Registration) -> list[str]:
    """The couplers that are on, by name."""
    return [coupler_label(organ, organ.couplers[number]) for number in sorted(registration.couplers)]

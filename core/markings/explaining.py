"""Explains word by word how a marking was read, and says an instruction in plain language."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from fractions import Fraction
from functools import lru_cache
from typing import overload

from core.markings.model import Action, Instruction, ReadingKind, StopRequest, WordNote
from core.markings.state import State
from core.markings.tokens import Token
from core.organ.spelling import write_feet
from core.position import Span
from core.texts import Said, say

_ROLES = {
    "great": "Great", "swell": "Swell", "choir": "Choir", "positive": "Positive", "solo": "Solo", "echo": "Echo",
    "bombarde": "Bombarde", "oberwerk": "Oberwerk", "brustwerk": "Brustwerk", "pedal": "Pedal",
    "manual-1": "manual I", "manual-2": "manual II", "manual-3": "manual III", "manual-4": "manual IV",
    "manual-5": "manual V",
}  # fmt: skip
_QUALITIES = {
    "soft": "quietest that answers", "loud": "loudest that answers", "small": "the smaller one",
    "large": "the larger one", "two": "two of them", "dark": "dark in colour", "bright": "bright in colour",
    "half": "half of it", "open": "open pipes",
}  # fmt: skip
_FAMILIES = {
    "principal": "the principals", "flute": "the flutes", "string": "the strings", "celeste": "the celestes",
    "reed": "the reeds", "mutation": "the mutations", "mixture": "the mixtures", "percussion": "the percussion",
    "foundation": "the foundation stops", "all": "all stops", "plenum": "the principal chorus with mixtures",
    "compound": "the compound stops",
}  # fmt: skip
_PLAIN = {
    "add": "add what follows or stands before", "add_after": "added", "take_off": "take off", "off_after": "off",
    "draw": "draw", "reduce": "reduce, stop by stop", "crescendo": "add stops little by little",
    "prepare": "make ready, not yet sounding", "prepared": "made ready, not yet sounding", "with": "with",
    "without": "without", "and": "and", "or": "or this instead", "to": "up to, or to the keyboard named",
    "up_to": "up to and including", "onto": "onto", "at": "on", "of": "of", "namely": "spelled out as",
    "lacking": "where that stop is lacking", "transposed": "where the notes are played, not registration",
    "same_stop": "the same stop again", "alone": "that alone", "half": "half of a divided stop",
    "half_before": "half of a divided stop", "stops_word": "stops at large", "all_word": "all of them",
    "coupled": "coupled", "uncoupled": "not coupled", "couple": "couple", "coupler": "coupler",
    "pedal_coupler": "coupler to the Pedal", "manual_coupler": "the manuals coupled",
    "classical_coupler": "Positive coupled to the Great", "unison_off": "the division's own pitch silent",
    "tremulant": "tremulant", "box": "swell box", "box_of": "its swell box", "gradually": "little by little",
    "crescendo_pedal": "crescendo pedal", "piston": "piston", "general": "general piston", "cancel": "all stops off",
    "two_manuals": "two keyboards are needed", "manuals_only": "hands alone, no pedal",
    "feet_only": "with the pedal", "pass": "this time through only", "adlib": "at pleasure",
    "if_present": "where the organ has it", "similar": "or something like it", "heading": "heading of the block",
    "number_sign": "number", "solo": "solo", "prominent": "to be heard above the rest", "solo_end": "the solo ends",
    "dynamic": "dynamic, not registration", "tempo": "tempo, not registration",
    "expression": "expression, not registration", "other": "not registration", "title": "a title's word",
    "lyric": "a lyric's word", "filler": "joins the words", "manual_word": "manual", "unit": "feet",
    "full": "full", "full_plenum": "full, the principal chorus with mixtures", "initials": "keyboards side by side",
    "title_hand": "the hand that plays the solo", "title_after": "the hand that plays the solo",
    "rank_word": "ranks", "ordinal": "which one", "recipe": "a customary combination of stops, by its name",
    "sign": "joins or parts the words", "break": "a new line", "word": "not a word of registration",
    "excepted": "left out", "manual_uncoupler": "the manuals not coupled", "compact_stop": "a stop by its letters",
    "unison_coupler": "at the unison",
}  # fmt: skip


class Notes(Sequence[WordNote]):
    """Notes that are made when somebody looks at them: most readings are never explained.

    A text that is explained is read a second time, so that the thousands that are kept hold their answers alone.
    """

    __slots__ = ("_made", "_read", "_text")

    def __init__(self, text: str, read: Callable[[], tuple[State, ReadingKind]]) -> None:
        self._text = text
        self._read = read
        self._made: tuple[WordNote, ...] | None = None

    def _notes(self) -> tuple[WordNote, ...]:
        if self._made is None:
            self._made = explain(*self._read())
        return self._made

    @overload
    def __getitem__(self, at: int) -> WordNote: ...

    @overload
    def __getitem__(self, at: slice) -> tuple[WordNote, ...]: ...

    def __getitem__(self, at: int | slice) -> WordNote | tuple[WordNote, ...]:
        """A note, or some."""
        return self._notes()[at]

    def __len__(self) -> int:
        """How many there are."""
        return len(self._notes())

    def __eq__(self, other: object) -> bool:
        """Whether the notes are the same."""
        if isinstance(other, Notes):
            return self is other or (self._text == other._text and self._notes() == other._notes())
        return self._notes() == other

    def __hash__(self) -> int:
        """As their text's."""
        return hash(self._text)


def explain(state: State, kind: ReadingKind) -> tuple[WordNote, ...]:
    """A note for each stretch of the text; together they cover it, spaces going with the word before."""
    tokens = state.tokens
    if not tokens:
        return (WordNote(Span(0, len(state.text)), say("nothing to read")),) if state.text else ()
    notes = []
    unread = {id(token) for token in state.unread} if kind is not ReadingKind.OTHER else ()
    ends = [*(token.start for token in tokens[1:]), len(state.text)]
    start = 0
    for token, end in zip(tokens, ends, strict=True):
        if end > start:
            meaning = say("not understood") if id(token) in unread else _meaning(token)
            notes.append(WordNote(Span(start, end), meaning))
            start = end
    return tuple(notes)


def _meaning(token: Token) -> Said:
    name = token.chosen.value if token.chosen else ""
    said = _plain_meaning(token.kind, token.value, token.pitch, name)
    if token.guessed:
        return say("taken for “{word}”: {meaning}", word=token.guessed, meaning=said)
    return said


_HANDS = {"right": "right hand", "left": "left hand", "both": "both hands", "feet": "feet"}
_WORDED: dict[str, tuple[str, dict[str, str]]] = {
    "division": ("the {value}", _ROLES),
    "plenum_of": ("the {value}", _ROLES),
    "hand": ("{value}", _HANDS),
    "quality": ("{value}", _QUALITIES),
    "family": ("{value}", _FAMILIES),
    "plenum": ("{value}", _FAMILIES),
    "pitch_word": ("{value} ft pitch", {}),
    "roman": ("number {value}: a manual, a rank or how many ranks", {}),
    "octave": ("octave coupler at {value} ft", {}),
    "box_state": ("box {value}", {}),
}


def plain_words(kind: str, value: str) -> str:
    """What a kind of word, or one of its values, means, for people."""
    return str(_plain_meaning(kind, value, None, ""))


@lru_cache(maxsize=4096)
def _plain_meaning(kind: str, value: str, pitch: Fraction | None, name: str) -> Said:
    if kind in ("stop", "compact_stop"):
        return say("the stop {name}", name=name) if name else say("a stop by its name")
    if kind == "num" and pitch is not None:
        return say("{pitch} ft pitch, or a number", pitch=write_feet(pitch))
    worded = _WORDED.get(kind)
    if worded is not None:
        template, table = worded
        return say(template, value=say(table.get(value or "plenum", value)))
    return say(_PLAIN.get(kind, "read"))


# ---------------------------------------------------------------- instructions in words
_ACTIONS = {
    Action.DRAW: "draw", Action.ADD: "add", Action.TAKE_OFF: "take off", Action.PREPARE: "prepare",
    Action.PLAY: "play", Action.FULL: "full", Action.REDUCE: "reduce", Action.CRESCENDO: "add stops little by little",
    Action.SOLO: "solo", Action.SOLO_END: "end of the solo", Action.TREMULANT_ON: "tremulant on",
    Action.TREMULANT_OFF: "tremulant off", Action.CANCEL: "all stops off", Action.UNISON_OFF: "unison off",
    Action.CRESCENDO_PEDAL: "crescendo pedal", Action.BOX: "box", Action.PISTON: "piston",
}  # fmt: skip


def instruction_in_words(instruction: Instruction) -> str:
    """One instruction as a line for people."""
    return " ".join(_parts(instruction))


def _parts(one: Instruction) -> Iterator[str]:
    if one.action in (Action.COUPLE, Action.UNCOUPLE):
        yield _coupler_in_words(one)
        return
    yield _ACTIONS[one.action]
    if one.number:
        yield one.number
    if one.box:
        yield one.box
    if one.division:
        yield f"on the {_ROLES.get(one.division, one.division)}"
    if one.hand:
        yield f"({_HANDS[one.hand.value]})"
    if one.passes:
        yield "(time through: " + ", ".join(map(str, one.passes)) + ")"
    if one.stops:
        yield ("up to " if one.up_to else "") + ", ".join(request_in_words(stop) for stop in one.stops)
    if one.exceptions:
        yield "without " + ", ".join(request_in_words(stop) for stop in one.exceptions)
    if one.optional:
        yield "(at pleasure)"
    for other in one.alternatives:
        yield f"or {instruction_in_words(other)}"


def _coupler_in_words(one: Instruction) -> str:
    verb = "couple" if one.action is Action.COUPLE else "uncouple"
    if one.coupler is None:
        where = f" of the {_ROLES[one.division]}" if one.division in _ROLES else ""
        return f"{verb} (which couplers{where}, the context decides)"
    ends = [_ROLES.get(end or "", end or "a keyboard not named") for end in (one.coupler.source, one.coupler.target)]
    pitch = "" if one.coupler.pitch == 8 else f" at {write_feet(one.coupler.pitch)} ft"
    return f"{verb} {ends[0]} to {ends[1]}{pitch}"


def request_in_words(stop: StopRequest) -> str:
    """One stop request for people."""
    what = stop.name or (_FAMILIES.get(stop.family, stop.family) if stop.family else "stops")
    pitches = ", ".join(write_feet(pitch) for pitch in stop.pitches)
    words = [what, f"{pitches} ft" if pitches else "", ", ".join(stop.qualities), stop.half.value if stop.half else ""]
    return " ".join(word for word in words if word)

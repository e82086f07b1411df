"""What the reader of one marking holds while it goes from word to word."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction

from core.markings.model import Action, CouplerRequest, Hand
from core.markings.tokens import Token

PAUSES = frozenset(",;:()[]")
AND_SIGNS = frozenset("&+")


@dataclass(slots=True)
class Request:
    """A stop request as it grows: a name or a family, then what belongs to it.

    Attributes:
        words: the printed name, expanded; None for a request by family or pitch.
        part: which part of the list between commas it stands in.
        joined: it follows the one before by "and".
        own_feet: the pitch that a table of words gives its name, where the table of stops gives none.
    """

    words: str | None = None
    family: str | None = None
    pitches: list[Fraction] = field(default_factory=list)
    qualities: list[str] = field(default_factory=list)
    half: str | None = None
    ranks: int | None = None
    recipe: str | None = None
    unknown: bool = False
    guessed: bool = False
    family_word: bool = False
    start: int = 0
    end: int = 0
    part: int = 0
    joined: bool = False
    adlib: bool = False
    own_feet: Fraction | None = None

    def copy(self) -> Request:
        """Another request that asks the same."""
        return Request(
            self.words, self.family, list(self.pitches), list(self.qualities), self.half, self.ranks,
            self.recipe, self.unknown, self.guessed, self.family_word, self.start, self.end, self.part,
            self.joined, self.adlib, self.own_feet,
        )  # fmt: skip


@dataclass(slots=True)
class Clause:
    """One action on one or more divisions, as it grows."""

    divisions: list[str] = field(default_factory=list)
    hand: Hand | None = None
    action: Action = Action.DRAW
    stops: list[Request] = field(default_factory=list)
    exceptions: list[Request] = field(default_factory=list)
    up_to: bool = False
    optional: bool = False
    fresh: bool = False
    said: bool = False
    verb: bool = False
    full: bool = False
    excepting: bool = False
    other_divisions: list[str] = field(default_factory=list)
    others: list[Clause] = field(default_factory=list)
    passes: tuple[int, ...] | None = None
    half: str | None = None
    start: int = 0
    end: int = 0
    hand_first: bool = False
    twin: Hand | None = None
    leads: bool = False
    without: bool = False
    postfix: bool = False
    placed: bool = False
    titled: bool = False
    depth: int = 0

    def takes_off(self, *, joined: bool) -> bool:
        """Whether a coupler or aid that comes next is taken off: by the verb; by "without" only over "and"."""
        if self.excepting or self.without:
            return joined or (self.without and self.empty)
        return self.verb and self.action is Action.TAKE_OFF

    @property
    def empty(self) -> bool:
        """Whether nothing has been asked for yet."""
        return not (self.stops or self.full or self.exceptions)


@dataclass(slots=True)
class Draft:
    """An instruction before its stops are looked up."""

    action: Action
    division: str | None = None
    hand: Hand | None = None
    stops: list[Request] = field(default_factory=list)
    exceptions: list[Request] = field(default_factory=list)
    up_to: bool = False
    optional: bool = False
    others: list[Draft] = field(default_factory=list)
    coupler: CouplerRequest | None = None
    passes: tuple[int, ...] | None = None
    box: str | None = None
    number: str | None = None
    to: str | None = None
    start: int = 0
    end: int = 0


@dataclass(slots=True)
class State:
    """The reader's place in the tokens, the clause that is open, and what is already read."""

    text: str
    tokens: list[Token]
    language: str
    at: int = 0
    clause: Clause = field(default_factory=Clause)
    drafts: list[Draft] = field(default_factory=list)
    named: list[str] = field(default_factory=list)
    qualities: list[str] = field(default_factory=list)
    heading: bool = False
    part: int = 0
    joined: bool = False
    passes: tuple[int, ...] | None = None
    depth: int = 0
    unread: list[Token] = field(default_factory=list)
    doubts: list[str] = field(default_factory=list)
    ambiguous: list[str] = field(default_factory=list)
    optional: bool = False
    negated: bool = False
    half: str | None = None

    def peek(self, offset: int = 0) -> Token | None:
        """The token at an offset from the place, or None past the end."""
        place = self.at + offset
        return self.tokens[place] if 0 <= place < len(self.tokens) else None

    def kind(self, offset: int = 0) -> str:
        """The kind of a token, ``""`` past the end; signs give themselves."""
        place, tokens = self.at + offset, self.tokens
        if not 0 <= place < len(tokens):
            return ""
        token = tokens[place]
        kind = token.kind
        return token.value if kind == "sign" else kind

    def pauses(self, offset: int = 0) -> bool:
        """Whether the text ends, breaks or pauses there."""
        kind = self.kind(offset)
        return kind in ("", "break") or kind in PAUSES

    def take(self, count: int = 1) -> Token:
        """Go on past tokens, which are thereby read; the first of them."""
        first = self.tokens[self.at]
        self.at += count
        return first

    def flush(self) -> None:
        """Close the clause: what it asks becomes instructions."""
        clause = self.clause
        self.drafts.extend(drafts_of(clause, self))
        self.clause = Clause(
            divisions=list(clause.divisions),
            passes=clause.passes,
            said=True,
            half=None,
            postfix=clause.postfix,
            depth=clause.depth,
        )
        self.qualities = []
        self.joined = False

    def begin(self, **changes: object) -> Clause:
        """Close the clause and open one that keeps the division."""
        self.flush()
        for name, value in changes.items():
            setattr(self.clause, name, value)
        return self.clause

    def name_divisions(self, divisions: list[str]) -> None:
        """The division that holds from here on."""
        self.clause.divisions = list(divisions)
        self.clause.fresh = True
        self.clause.said = False
        self.clause.depth = self.depth
        self.named.extend(divisions)


def where(clause: Clause) -> Sequence[str | None]:
    """The clause's divisions, or one that is not said."""
    return clause.divisions or (None,)


def drafts_of(clause: Clause, state: State) -> list[Draft]:
    """The instructions of one clause: one for each of its divisions."""
    if state.qualities and clause.stops == [] and not clause.full and not clause.exceptions:
        clause.stops.append(Request(qualities=list(state.qualities), start=clause.start, end=clause.end))
        state.qualities = []
    elif state.qualities and clause.stops:
        clause.stops[-1].qualities.extend(state.qualities)
        state.qualities = []
    if clause.empty and not _plays(clause):
        return []
    made = [_draft(clause, division, state) for division in where(clause)]
    if clause.twin is not None:
        made += [replace(draft, hand=clause.twin, stops=[s.copy() for s in draft.stops]) for draft in made]
    adlib = any(stop.adlib for stop in clause.stops)
    extra = [draft for draft in (_adlib(clause, d) for d in where(clause)) if draft] if adlib else []
    made = [draft for draft in made if draft.stops or draft.exceptions or draft.action not in _NEED_STOPS]
    for draft in made:
        for division in clause.other_divisions:
            other = _draft(clause, division, state)
            draft.others.append(other)
        for alternative in clause.others:
            if not alternative.divisions:
                alternative.divisions = [draft.division] if draft.division else []
            if alternative.hand is None:
                alternative.hand = draft.hand
            if alternative.action is Action.DRAW:
                alternative.action = (
                    draft.action if draft.action in (Action.ADD, Action.PREPARE, Action.TAKE_OFF) else Action.DRAW
                )
            draft.others.extend(drafts_of(alternative, state))
    return made + extra


def _calls_reeds(clause: Clause, state: State) -> bool:
    """French "Anches X" alone: the reeds, prepared before, are called."""
    if state.language != "fr" or not clause.postfix or clause.verb or clause.action is not Action.DRAW:
        return False
    return bool(clause.stops) and all(s.family == "reed" and not s.pitches and not s.words for s in clause.stops)


_NEED_STOPS = (Action.DRAW, Action.ADD)


def _plays(clause: Clause) -> bool:
    if clause.verb and clause.action in (Action.REDUCE, Action.TAKE_OFF, Action.CRESCENDO) and clause.divisions:
        return clause.fresh
    return clause.fresh and not clause.said and bool(clause.divisions)


def _draft(clause: Clause, division: str | None, state: State) -> Draft:
    action = clause.action
    stops = [stop for stop in clause.stops if not stop.adlib]
    if clause.full:
        action = _full_action(clause, stops, state)
    elif not clause.stops and not clause.exceptions and action in (Action.DRAW, Action.ADD, Action.PREPARE):
        action = Action.PLAY
    elif state.heading and action is Action.DRAW:
        action = Action.PREPARE
    elif _calls_reeds(clause, state):
        action = Action.ADD
    if not clause.stops and clause.exceptions and action is Action.DRAW:
        action, stops = Action.TAKE_OFF, list(clause.exceptions)
        clause = Clause(
            divisions=clause.divisions, hand=clause.hand, passes=clause.passes, start=clause.start, end=clause.end
        )
    return Draft(
        action, division, clause.hand, stops, list(clause.exceptions), clause.up_to, clause.optional or state.optional,
        passes=clause.passes or state.passes, start=clause.start, end=clause.end,
    )  # fmt: skip


def _full_action(clause: Clause, stops: list[Request], state: State) -> Action:
    if clause.up_to:
        return Action.PREPARE if clause.action is Action.PREPARE or state.heading else Action.DRAW
    if clause.action is Action.PREPARE or state.heading:
        if not stops:
            stops.append(Request(family="all", start=clause.start, end=clause.end))
        return Action.PREPARE
    if clause.action in (Action.REDUCE, Action.CRESCENDO):
        return clause.action
    return Action.FULL


def _adlib(clause: Clause, division: str | None) -> Draft | None:
    stops = [stop for stop in clause.stops if stop.adlib]
    if not stops:
        return None
    return Draft(Action.ADD, division, clause.hand, stops, optional=True, passes=clause.passes,
                 start=stops[0].start, end=stops[-1].end)  # fmt: skip

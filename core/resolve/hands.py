"""Which hands a marking sends, by the staff it stands at, its side, and the words for hands.

Common practice, no source: beside a staff a division is for that staff's hand; between the two manual
staves, or where one staff serves both hands, for both; words for a hand say which.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction

from core.knowledge.loader import load
from core.markings.gathering import DRAW_LIKE, MarkingRead, Markings
from core.markings.model import Action, Brackets, Hand, Instruction
from core.organ.model import Role
from core.resolve.model import Registration, Sure
from core.score.lines import HandLine
from core.score.model import Score, ScoreText, TextKind, Ticks
from core.texts import Said, say

RIGHT, LEFT, FEET = "right", "left", "feet"
BOTH = (RIGHT, LEFT)
_IN_BRACKETS = re.compile(r"\([^)]*\)")
_SOLO_HEADING = re.compile(r"^\W*solo\s*:|\(\s*solo\s*\)", re.IGNORECASE)
_WORD = re.compile(r"[^\W\d_]+")

_SENDING_DRAWS = frozenset({Action.DRAW, Action.FULL})
_PEDAL = "pedal"


@dataclass(frozen=True, slots=True, kw_only=True)
class Send:
    """Hands that a marking sends to a division (the piece's word for it), or brings home (None)."""

    hands: tuple[str, ...]
    division: str | None
    sure: Sure
    why: Said
    mark: MarkingRead
    solo: bool = False
    explicit: bool = False  # the text names the hand, or is a bare division
    brings_home: bool = False
    crossed: bool = False  # stands at the other hand's staff, and no word names the hand


@dataclass(frozen=True, slots=True)
class Layout:
    """Which staff is whose, over all parts of the organist."""

    hands: dict[tuple[int, int], str | None]
    has_left: bool
    habit_both: bool  # the piece writes divisions for both hands above the upper staff

    def hand_of(self, text: ScoreText) -> str | None:
        """The hand of the staff a text stands at."""
        return self.hands.get((text.part, text.staff))

    def has_part_of_its_own(self, text: ScoreText) -> bool:
        """Whether a text stands in a part of one staff, while another part has the left hand."""
        return self.has_left and (text.part, 2) not in self.hands and LEFT not in self._hands_of(text.part)

    def is_one_of_two_for_a_hand(self, text: ScoreText) -> bool:
        """Whether the hand of a text's staff has another staff too: a solo line stands on a staff of its own."""
        hand = self.hand_of(text)
        return hand is not None and sum(h == hand and p == text.part for (p, _), h in self.hands.items()) > 1

    def _hands_of(self, part: int) -> set[str | None]:
        return {hand for (index, _), hand in self.hands.items() if index == part}

    def is_between(self, text: ScoreText) -> bool:
        """Whether a text stands between the two manual staves of one part."""
        hand = self.hand_of(text)
        if hand == RIGHT:
            return text.placement == "below" and self.hands.get((text.part, text.staff + 1)) == LEFT
        return hand == LEFT and text.placement == "above" and (self.hands.get((text.part, text.staff - 1)) == RIGHT)


def read_layout(score: Score, markings: Markings) -> Layout:
    """The layout of a score's staves, with the habit its division marks show."""
    hands: dict[tuple[int, int], str | None] = {}
    for index in score.organ_parts:
        for staff, hand in enumerate(score.parts[index].hands, 1):
            hands[index, staff] = hand
    has_left = LEFT in hands.values()
    layout = Layout(hands, has_left, False)
    plays = [
        m
        for m in markings.marks
        if any(i.action is Action.PLAY for i in m.instructions) and not layout.is_one_of_two_for_a_hand(m.text)
    ]
    habit = bool(plays) and all(_above_upper_without_hand(layout, m) for m in plays)
    return Layout(hands, has_left, habit)


def _above_upper_without_hand(layout: Layout, mark: MarkingRead) -> bool:
    named = any(i.hand for i in mark.instructions)
    return layout.hand_of(mark.text) == RIGHT and not layout.is_between(mark.text) and not named


def hands_meant(layout: Layout, text: ScoreText, hand: Hand | None) -> tuple[tuple[str, ...], Sure, Said]:
    """The hands a division at this text is for, how sure that is, and why."""
    if hand is Hand.BOTH:
        return BOTH, Sure.STATED, say("the words say both hands")
    if hand is not None:
        return (hand.value,), Sure.STATED, say("the words name the hand")
    if not layout.has_left:
        return BOTH, Sure.CUSTOMARY, say("one staff serves both hands")
    if layout.is_between(text):
        return BOTH, Sure.CUSTOMARY, say("it stands between the manual staves")
    staff_hand = layout.hand_of(text)
    if staff_hand == RIGHT:
        if layout.habit_both and not layout.is_one_of_two_for_a_hand(text):
            return BOTH, Sure.GUESS, say("this piece writes its manuals above the upper staff for both hands")
        return (RIGHT,), Sure.CUSTOMARY, say("it stands at the right hand's staff")
    if staff_hand == LEFT:
        return (LEFT,), Sure.CUSTOMARY, say("it stands at the left hand's staff")
    if staff_hand == FEET:
        return (LEFT,), Sure.GUESS, say("it stands over the pedal staff, under the left hand")
    return BOTH, Sure.GUESS, say("it stands at no staff of the organist's")


def sends_at(layout: Layout, marks: Iterable[MarkingRead], nth: int) -> list[Send]:
    """All sends of the markings at one onset, the widest first, so that a hand's own word has the last say.

    A draw sends the hand of its staff too, but not as a line of a block of several divisions, nor where
    a bare division beside it says where the hands go.
    """
    marks = [m for m in marks if not m.opening and not is_thumbed(m)]
    explicit = [send for mark in marks for send in _explicit(layout, mark, nth)]
    lists = {id(send.mark) for send in explicit if _lists_divisions(send.mark)}
    if any(id(send.mark) not in lists for send in explicit):
        explicit = [send for send in explicit if id(send.mark) not in lists]
    by_draw = [send for mark in marks for send in _by_draw(layout, mark, marks, nth)]
    if any(_is_at_right_staff(layout, send) for send in (*explicit, *by_draw)):
        explicit = [_left_only(layout, send) for send in explicit]
        by_draw = [_left_only(layout, send) for send in by_draw]
    said = {hand for send in explicit for hand in send.hands}
    found = list(explicit)
    for send in by_draw:
        hands = tuple(h for h in send.hands if h not in said)
        if hands:
            found.append(_narrowed(send, hands))
    return sorted(found, key=lambda s: (not s.brings_home, -len(s.hands), s.explicit))


def _lists_divisions(mark: MarkingRead) -> bool:
    """Whether a text only lists how loud its divisions are ("Gt. mf, Sw. p"): it sends no hand."""
    plays = [i for i in mark.instructions if i.action is Action.PLAY and i.division != _PEDAL]
    plain = all(i.hand is None and i.passes is None for i in plays)
    coupled = any(i.action is Action.COUPLE for i in mark.instructions)
    return plain and not coupled and len(manual_divisions([mark])) > 1


def says_solo(mark: MarkingRead) -> bool:
    """Whether a marking asks for a solo: by its reading, or by the word beside stops of another division."""
    if any(i.action is Action.SOLO for i in mark.instructions):
        return True
    named = manual_divisions([mark])
    if named == {Role.SOLO}:
        return False
    words = set(_WORD.findall(mark.text.text.casefold()))
    return bool(words & set(load("passages")["solo-words"]))


def is_thumbed(mark: MarkingRead) -> bool:
    """Whether a marking sends a thumb alone to the manual below ("thumb on Gt."): the hand stays where it is.

    In brackets ("L.H. Ch. (thumb)") it only tells how the hand that goes there plays.
    """
    low = _IN_BRACKETS.sub("", mark.text.text.casefold())
    return any(word in low for word in load("passages")["thumb"])


def _is_at_right_staff(layout: Layout, send: Send) -> bool:
    text = send.mark.text
    return send.hands == (RIGHT,) and layout.hand_of(text) == RIGHT and not layout.is_between(text)


def _left_only(layout: Layout, send: Send) -> Send:
    """Over the left staff, with a marking of its own over the right one, a division is the left hand's."""
    text = send.mark.text
    over_left = send.hands == BOTH and layout.hand_of(text) == LEFT and layout.is_between(text)
    return _narrowed(send, (LEFT,)) if over_left and send.sure is Sure.CUSTOMARY else send


def _narrowed(send: Send, hands: tuple[str, ...]) -> Send:
    return replace(send, hands=hands)


def _holds(instruction: Instruction, nth: int) -> bool:
    return instruction.passes is None or nth in instruction.passes


def _explicit(layout: Layout, mark: MarkingRead, nth: int) -> list[Send]:
    found: list[Send] = []
    solo = says_solo(mark)
    plays = False
    for instruction in mark.instructions:
        if not _holds(instruction, nth):
            continue
        action = instruction.action
        if action is Action.SOLO_END:
            hands, sure, why = hands_meant(layout, mark.text, instruction.hand)
            found.append(Send(hands=hands, division=None, sure=sure, why=why, mark=mark, brings_home=True))
        if action not in (Action.PLAY, Action.SOLO) or instruction.division in (None, _PEDAL):
            continue
        if action is Action.SOLO and plays:
            continue
        if instruction in solo_headings(mark):
            continue
        plays = plays or action is Action.PLAY
        hands, sure, why = hands_meant(layout, mark.text, instruction.hand)
        found.append(
            Send(
                hands=hands,
                division=instruction.division,
                sure=sure,
                why=why,
                mark=mark,
                solo=solo,
                explicit=True,
            )
        )
    return found


def _is_for_the_whole_organ(instruction: Instruction) -> bool:
    """Full organ, or a plenum or grand jeu of no named division."""
    if instruction.action is Action.FULL:
        return True
    return any(request.family == "plenum" or request.recipe == "grand-jeu" for request in instruction.stops)


def _by_draw(layout: Layout, mark: MarkingRead, beside: list[MarkingRead], nth: int) -> list[Send]:
    divisions = manual_divisions(m for m in beside if m.stack == mark.stack)
    found = []
    solo = says_solo(mark)
    for instruction in mark.instructions:
        if instruction.action not in _SENDING_DRAWS or not _holds(instruction, nth):
            continue
        if instruction.division == _PEDAL or mark.text.kind is TextKind.CREDIT:
            continue
        alone = len(divisions) <= 1
        if instruction.division is None:
            if instruction.hand is None and _is_for_the_whole_organ(instruction):
                why = say("the full organ is played by both hands on the chief manual")
                found.append(Send(hands=BOTH, division="great", sure=Sure.GUESS, why=why, mark=mark))
            continue
        if not alone and instruction.hand is None:
            continue
        hands, sure, why = hands_meant(layout, mark.text, instruction.hand)
        found.append(Send(hands=hands, division=instruction.division, sure=sure, why=why, mark=mark, solo=solo))
    return found


def crossed(layout: Layout, sends: list[Send], lines: Mapping[str, HandLine], onset: Ticks) -> list[Send]:
    """Sends in which a solo at the staff of a hand that plays chords goes to the hand that plays the line."""
    return [_crossed(layout, send, lines, onset) for send in sends]


def _crossed(layout: Layout, send: Send, lines: Mapping[str, HandLine], onset: Ticks) -> Send:
    named = any(i.hand for i in send.mark.instructions)
    if not send.solo or send.brings_home or named or layout.has_part_of_its_own(send.mark.text):
        return send
    shares = {h: lines[h].line_share(onset, lines[h].after(onset, 8)) for h in BOTH if h in lines}
    singing = [hand for hand, share in shares.items() if share >= Fraction(1, 2)]
    if len(shares) < len(BOTH) or len(singing) != 1 or send.hands not in ((RIGHT,), (LEFT,), BOTH):
        return send
    hand = singing[0]
    if send.hands == (hand,):
        return send
    why = (
        say("the solo's line is in the other hand") if len(send.hands) == 1 else say("the solo's line is in that hand")
    )
    return replace(send, hands=(hand,), sure=Sure.GUESS, why=why, crossed=layout.hand_of(send.mark.text) != hand)


def widened(
    layout: Layout, send: Send, registration: Registration, lines: Mapping[str, HandLine], onset: Ticks
) -> Send:
    """A send of the right hand alone that means both, by what the hands did before and do from here.

    A hand that nothing has sent anywhere goes along; and after a solo, chords in the right hand over a
    manual where neither hand was bring both there. A part of its own holds for its own hand alone.
    """
    named = any(i.hand for i in send.mark.instructions)
    if send.hands != (RIGHT,) or named or send.solo or send.brings_home:
        return send
    right, left = registration.hand(RIGHT), registration.hand(LEFT)
    if left is None and right is None:
        return replace(send, hands=BOTH, sure=Sure.GUESS, why=say("no word sends the left hand elsewhere"))
    if layout.has_part_of_its_own(send.mark.text):
        return send
    apart = right is not None and left is not None and right != left
    line = lines.get(RIGHT)
    if apart and line is not None and line.line_share(onset, line.after(onset, 8)) < Fraction(1, 2):
        return replace(
            send, hands=BOTH, sure=Sure.GUESS, why=say("the solo is over and the hands play chords together")
        )
    return send


def manual_divisions(marks: Iterable[MarkingRead]) -> set[str]:
    """The manual divisions that draw-like instructions of these texts name."""
    return {
        i.division
        for m in marks
        for i in m.instructions
        if i.division and i.division != _PEDAL and i.action in DRAW_LIKE | {Action.PLAY} and i not in solo_headings(m)
    }


def solo_headings(mark: MarkingRead) -> tuple[Instruction, ...]:
    """What reads as the Solo division and only says so of another: "Solo: R. Hautbois", "Sw. (solo)"."""
    words = [i for i in mark.instructions if i.action is Action.PLAY and i.division == Role.SOLO]
    if not words or not _SOLO_HEADING.search(mark.text.text):
        return ()
    others = {i.division for i in mark.instructions} - {None, Role.SOLO, _PEDAL}
    return tuple(words) if others else ()


def opens_passage(mark: MarkingRead) -> bool:
    """Whether a lone opening bracket stands in the text."""
    return mark.reading.brackets is Brackets.OPENS

"""Which keyboard plays which division: as printed, else by the tradition's custom."""

from __future__ import annotations

from core.organ.lists.drafts import DivisionDraft
from core.texts import Said, say

_ORDERS: dict[str, tuple[str, ...]] = {
    # lowest keyboard first; sources: Essex museum, ENH 56, BÉDOS art. 180, NIE, Norden, Grenzing
    "english": ("choir", "positive", "great", "swell", "solo", "bombarde", "echo"),
    "american": ("choir", "positive", "great", "swell", "solo", "bombarde", "echo"),
    "french-symphonic": ("great", "positive", "choir", "swell", "bombarde", "solo", "echo"),
    "french-classical": ("positive", "great", "bombarde", "swell", "echo", "solo"),
    "german-baroque": ("positive", "great", "oberwerk", "brustwerk", "swell", "solo", "echo"),
    "german-romantic": ("great", "positive", "oberwerk", "brustwerk", "swell", "solo", "bombarde", "echo"),
    "dutch": ("positive", "great", "oberwerk", "brustwerk", "swell", "echo"),
    "italian": ("positive", "great", "swell", "solo", "echo"),
    "spanish": ("positive", "great", "swell", "solo", "bombarde", "echo"),
}
_CHAIR = ("rück", "ruck", "rug", "dos", "chair", "tergal", "rygg", "ryg", "cadereta")


def settle_keyboards(divisions: list[DivisionDraft], tradition: str | None) -> tuple[list[bool], list[Said]]:
    """Give each division its keyboard number where none is printed.

    Returns:
        Which keyboards were assumed, and what to say of it.
    """
    assumed = [False] * len(divisions)
    manuals = [at for at, d in enumerate(divisions) if d.role != "pedal"]
    open_ones = [at for at in manuals if divisions[at].keyboard is None]
    if not open_ones:
        return assumed, []
    order = _order(divisions, manuals, tradition)
    taken = {divisions[at].keyboard for at in manuals}
    free = iter(number for number in range(1, 12) if number not in taken)
    for at in sorted(open_ones, key=lambda at: (_rank(divisions[at], order), at)):
        twin = _twin(divisions, at, manuals)
        divisions[at].keyboard = twin if twin is not None else next(free, None)
        assumed[at] = True
    names = ", ".join(f"{divisions[at].name} {divisions[at].keyboard}" for at in open_ones)
    if len(manuals) == 1:
        return assumed, [say("the one manual is keyboard 1")]
    return assumed, [say("keyboards by custom, lowest first, not by the source: {keyboards}", keyboards=names)]


def _twin(divisions: list[DivisionDraft], at: int, manuals: list[int]) -> int | None:
    """Two divisions of one name (``Solo I``, ``Solo II``) share a keyboard."""
    role = divisions[at].role
    same = [o for o in manuals if o != at and divisions[o].name == divisions[at].name and divisions[o].role == role]
    if role is None or ("(Division" not in divisions[at].name and not same):
        return None
    return next(
        (divisions[o].keyboard for o in manuals if o != at and divisions[o].role == role and divisions[o].keyboard),
        None,
    )


def _order(divisions: list[DivisionDraft], manuals: list[int], tradition: str | None) -> tuple[str, ...]:
    order = _ORDERS.get(tradition or "english", _ORDERS["english"])
    chair = any(any(word in divisions[at].name.casefold() for word in _CHAIR) for at in manuals)
    if tradition in ("german-baroque", "dutch", "german-romantic") and not chair:
        return ("great", "positive", *(r for r in order if r not in ("great", "positive")))
    if tradition == "german-romantic" and chair:
        return _ORDERS["german-baroque"]
    two = tradition in ("italian", "spanish", "english", "american") and len(manuals) == 2
    south = tradition in ("italian", "spanish") and {divisions[at].role for at in manuals} == {"great", "positive"}
    if two and not south:
        return ("great", *(r for r in order if r != "great"))
    return order


def _rank(division: DivisionDraft, order: tuple[str, ...]) -> int:
    return order.index(division.role) if division.role in order else len(order)

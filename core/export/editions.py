"""The differences between two files as JSON and as a paper."""

from __future__ import annotations

from core.compare.editions import Difference, Differing, Editions
from core.compare.effects import Effect
from core.export.paper import Column, Flow, Group, Paper, Row, plain, row
from core.export.wording import bar, told
from core.position import Position
from core.texts import say

NAMES = {
    Difference.ADDED: "added",
    Difference.REMOVED: "removed",
    Difference.MOVED: "moved",
    Difference.CHANGED: "changed in meaning",
    Difference.REWORDED: "other words, same meaning",
}
_HANDS = {"right": "right hand", "left": "left hand", "feet": "feet"}


def editions_to_json(editions: Editions, effects: tuple[Effect, ...]) -> dict[str, object]:
    """The differences for programs."""
    return {
        "differences": [
            {
                "kind": d.kind.value,
                "former": d.former,
                "later": d.later,
                "former_at": d.former_at.to_json() if d.former_at else None,
                "later_at": d.later_at.to_json() if d.later_at else None,
                "staff": d.staff,
            }
            for d in editions.differences
        ],
        "bars_gone": [at.to_json() for at in editions.bars_gone],
        "bars_new": [at.to_json() for at in editions.bars_new],
        "effects": [
            {
                "start": e.start.to_json(),
                "until": e.until.to_json() if e.until else None,
                "now": list(e.now),
                "before": list(e.before),
                "hands": [{"hand": hand, "before": before, "now": now} for hand, before, now in e.hands],
            }
            for e in effects
        ],
    }


def editions_paper(
    title: str, names: tuple[str, str], editions: Editions, effects: tuple[Effect, ...], *, large: bool = False
) -> Paper:
    """The difference report.

    Args:
        title: of the piece.
        names: of the former and the later file.
        editions: what differs.
        effects: what sounds differently, where an organ is known.
        large: in large print.
    """
    groups = []
    if editions.differences:
        groups.append(_markings(editions.differences))
    bars = [row(bar(at.measure), told("only in the former file")) for at in editions.bars_gone]
    bars += [row(bar(at.measure), told("only in the later file")) for at in editions.bars_new]
    if bars:
        groups.append(Group(heading=told("Bars"), rows=tuple(bars), columns=(Column(share=0), Column()), ruled=True))
    if effects:
        groups.append(_effects(effects))
    if not groups:
        groups.append(Group(rows=(row(told("Nothing differs in the registration.")),)))
    return Paper(
        title=title,
        under=(told("{former} compared with {later}", former=names[0], later=names[1]),),
        flows=(Flow(groups=tuple(groups)),),
        large=large,
    )


def _markings(differences: tuple[Differing, ...]) -> Group:
    rows = [
        Row(cells=(plain(_place(d)), plain(told(NAMES[d.kind])), plain(_flat(d.former)), plain(_flat(d.later))))
        for d in differences
    ]
    return Group(
        heading=told("Markings"),
        head=row(told("Place"), "", told("Former"), told("Later")),
        rows=tuple(rows),
        columns=(Column(share=0), Column(share=0), Column(), Column()),
        ruled=True,
    )


def _flat(text: str | None) -> str:
    return " ".join(text.split()) if text else "–"


def _place(difference: Differing) -> str:
    former, later = difference.former_at, difference.later_at
    if difference.kind is Difference.MOVED and former and later and former != later:
        return f"{_bar(former)} → {_bar(later)}"
    at = later or former
    return _bar(at) if at else ""


def _bar(at: Position) -> str:
    return bar(at.measure, at.beat)


def _effects(effects: tuple[Effect, ...]) -> Group:
    rows = []
    for effect in effects:
        until = told("to before {place}", place=_bar(effect.until)) if effect.until else told("to the end")
        said = []
        if effect.now:
            said.append(told("now also {stops}", stops=", ".join(effect.now)))
        if effect.before:
            said.append(told("no longer {stops}", stops=", ".join(effect.before)))
        said += [
            told("{hand} on {now} instead of {before}", hand=say(_HANDS[hand]), now=now or "–", before=before or "–")
            for hand, before, now in effect.hands
        ]
        rows.append(row(f"{_bar(effect.start)} {until}", "; ".join(said)))
    return Group(
        heading=told("What sounds differently"),
        note=told("at the beginning of each bar, on this organ"),
        rows=tuple(rows),
        columns=(Column(share=0), Column()),
        ruled=True,
    )

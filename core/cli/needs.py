"""``stopwright needs``: what a piece demands of any organ."""

from __future__ import annotations

import argparse

from core.cli.organ_page import add_paper_options, format_of, write_paper
from core.cli.output import print_json
from core.cli.piece import add_piece_arguments, analyse_arguments
from core.compare.needs import DivisionNeed, Ends, Need, Needs, needs_of, request_words
from core.markings.contract import instruction_to_json
from core.markings.model import Instruction
from core.organ.spelling import write_key


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The command's arguments."""
    add_piece_arguments(parser, organ_required=False)
    add_paper_options(parser)


def run(arguments: argparse.Namespace) -> int:
    """List the demands of a score."""
    kind = format_of(arguments.output, arguments.score)
    analysis = analyse_arguments(arguments)
    needs = needs_of(analysis)
    if arguments.output:
        from core.export.needs_page import needs_paper

        write_paper(needs_paper(analysis, large=arguments.large), kind, arguments)
    if arguments.json:
        print_json("needs", to_json(needs))
    elif not arguments.output:
        print(to_text(needs, analysis.score.title))
    return 0


def to_json(needs: Needs) -> dict[str, object]:
    """The demands as the machine interface has them."""
    return {
        "manuals": needs.manuals,
        "pedal": needs.pedal,
        "divisions": [_division_json(d) for d in needs.divisions if d.role],
        "unassigned": [r for d in needs.divisions if not d.role for r in _requests_json(d)],
        "couplers": [
            {
                "text": n.what,
                "from": n.source,
                "to": n.target,
                "pitch": n.pitch,
                "at": n.at.to_json() if n.at else None,
            }
            for n in needs.couplers
        ],
        "aids": [{"what": n.what, "division": n.source, "at": n.at.to_json() if n.at else None} for n in needs.aids],
        "together": [{"divisions": list(t.divisions), "at": t.at.to_json()} for t in needs.together],
        "compass": {
            "manual": _compass(needs.manual_compass),
            "pedal": _compass(needs.pedal_compass),
        },
        "compass_at": {
            "manual": _compass_at(needs.manual_compass),
            "pedal": _compass_at(needs.pedal_compass),
        },
        "unread": [{"text": text, "at": at.to_json()} for text, at in needs.unread],
    }


def _division_json(need: DivisionNeed) -> dict[str, object]:
    return {
        "role": need.role,
        "enclosed": need.enclosed,
        "requests": _requests_json(need),
    }


def _requests_json(need: DivisionNeed) -> list[dict[str, object]]:
    return [{"text": r.text, "at": r.at.to_json(), **_stops_json(r.instruction)} for r in need.requests]


def _stops_json(instruction: Instruction) -> dict[str, object]:
    whole = instruction_to_json(instruction)
    return {"action": whole["action"], "stops": whole.get("stops", [])}


def _compass(ends: Ends | None) -> list[str] | None:
    return [write_key(ends.low), write_key(ends.high)] if ends else None


def _compass_at(ends: Ends | None) -> list[dict[str, object]] | None:
    return [ends.low_at.to_json(), ends.high_at.to_json()] if ends else None


def _bar(need: Need) -> str:
    return f", bar {need.at.measure}" if need.at else ""


def to_text(needs: Needs, title: str) -> str:
    """The demands for people."""
    manuals = "1 manual" if needs.manuals == 1 else f"{needs.manuals} manuals"
    lines = [f"{title or 'Untitled'} asks for {manuals}{' and pedal' if needs.pedal else ''}", ""]
    for division in needs.divisions:
        box = ", in a box" if division.enclosed else ""
        lines.append(f"{division.role or 'no keyboard named'}{box}")
        for request in division.requests:
            words = "; ".join(request_words(s) for s in request.instruction.stops)
            words = words or request.instruction.action.value
            lines.append(f"    bar {request.at.measure}: {words}")
    if needs.couplers:
        lines.append("couplers")
        lines += [f"    {n.what}{_bar(n)}" for n in needs.couplers]
    if needs.aids:
        lines.append("aids")
        lines += [f"    {n.what}{f' ({n.source})' if n.source else ''}{_bar(n)}" for n in needs.aids]
    if needs.together:
        lines.append("played at one time")
        lines += [f"    {' and '.join(t.divisions)} (bar {t.at.measure})" for t in needs.together]
    for name, ends in (("manuals", needs.manual_compass), ("pedal", needs.pedal_compass)):
        if ends:
            low = f"{write_key(ends.low)} (bar {ends.low_at.measure})"
            lines.append(f"compass of the {name}: {low} to {write_key(ends.high)} (bar {ends.high_at.measure})")
    for text, at in needs.unread:
        lines.append(f"not understood: {text} (bar {at.measure})")
    return "\n".join(lines)

"""``stopwright draw``: what a marking draws on an organ, and why."""

from __future__ import annotations

import argparse
import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Any

from core.cli.output import EXIT_DONE, FAIL_ON, exit_status, print_json
from core.cli.words import add_words_argument, words_named
from core.errors import ReadError, UsageError
from core.files import read_text
from core.findings import Finding, Level
from core.markings.contract import reading_to_json
from core.markings.lexicon import Lexicon
from core.markings.model import Instruction, Reading
from core.markings.reading import read_marking
from core.organ.model import Organ
from core.organ.reading import load_organ
from core.resolve.before import read_drawn
from core.resolve.contract import because_to_json, registration_to_json
from core.resolve.keyboards import propose_keyboards
from core.resolve.model import Resolution
from core.resolve.resolver import resolve
from core.resolve.traditions import language_hint
from core.texts import say

_MAX_BYTES = 64 * 2**20


@dataclass(frozen=True, slots=True)
class Drawn:
    """One answer: how the text was read, and what it does."""

    reading: Reading
    resolution: Resolution


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The command's words."""
    parser.add_argument("text", nargs="?", metavar="TEXT", help="a marking, quoted: 'Gt. 8 & 4'")
    parser.add_argument("--organ", required=True, metavar="SPEC", help="a specification (YAML) or a plain stop list")
    parser.add_argument(
        "--drawn",
        action="append",
        default=[],
        metavar="STOPS",
        help="what is drawn before, repeatable: 'Swell: Oboe 8, Stopped Diapason 8'",
    )
    parser.add_argument(
        "--file", metavar="F", help='one JSON object a line: {"text": …, "drawn": ["Great: Principal 4"]}'
    )
    parser.add_argument("--language", choices=("en", "fr", "de", "it", "es", "nl", "la"), help="the marking's language")
    add_words_argument(parser)
    parser.add_argument("--fail-on", choices=FAIL_ON, default="error", help="level from which the exit status is 1")
    parser.add_argument("--json", action="store_true", help="for programs: one JSON document")


def run(arguments: argparse.Namespace) -> int:
    """Answer the marking, or every line of a file."""
    if (arguments.text is None) == (arguments.file is None):
        raise UsageError("give one marking, or a file of them with --file")
    organ = load_organ(arguments.organ)
    cases = [(arguments.text, list(arguments.drawn))] if arguments.file is None else list(read_cases(arguments.file))
    words = words_named(arguments)
    answers = [answer(organ, text, drawn, language=arguments.language, words=words) for text, drawn in cases]
    if arguments.json:
        documents = [answer_to_json(organ, one) for one in answers]
        print_json("draw", documents[0] if arguments.file is None else {"draws": documents})
    else:
        print("\n\n".join(as_text(organ, one) for one in answers))
    levels = (finding.level.value for one in answers for finding in one.resolution.findings)
    return exit_status(levels, arguments.fail_on) if answers else EXIT_DONE


def answer(
    organ: Organ, text: str, drawn: Sequence[str], *, language: str | None = None, words: Lexicon | None = None
) -> Drawn:
    """What one marking does on an organ with these stops drawn before."""
    reading = read_marking(text, hint=language or language_hint(organ, text), user_words=words)
    keyboards = propose_keyboards(roles_asked(reading.instructions), organ, language=reading.language)
    before, unknown = read_drawn(organ, drawn)
    resolution = resolve(
        reading.instructions,
        organ,
        before,
        keyboards=keyboards,
        language=reading.language,
        text=text,
    )
    strange = tuple(
        Finding(
            rule="unknown-drawn",
            level=Level.WARNING,
            message=said,
            why=say("so it is left out of what was drawn"),
        )
        for said in unknown
    )
    return Drawn(reading, replace(resolution, findings=(*strange, *resolution.findings)))


def roles_asked(instructions: Iterable[Instruction]) -> list[str]:
    """The roles and manual numbers that instructions speak of."""
    asked: list[str] = []
    for one in instructions:
        ends = (one.coupler.source, one.coupler.target) if one.coupler else ()
        asked += [role for role in (one.division, *ends) if role]
        asked += roles_asked(one.alternatives)
    return list(dict.fromkeys(asked))


def read_cases(path: str) -> Iterable[tuple[str, list[str]]]:
    """The lines of a file of cases. Raises ReadError with the line that cannot be used."""
    text, _ = read_text(path, limit=_MAX_BYTES)
    for number, line in enumerate(text.split("\n"), start=1):
        if not line.strip():
            continue
        yield _case(line, path, number)


def _case(line: str, path: str, number: int) -> tuple[str, list[str]]:
    remedy = 'Write {"text": "Gt. add Mixture", "drawn": ["Great: Principal 4"]}'
    try:
        case: Any = json.loads(line)
    except (ValueError, RecursionError) as error:
        raise ReadError("not a JSON object", path=path, line=number, remedy=remedy) from error
    drawn = case.get("drawn", []) if isinstance(case, dict) else None
    drawn = [drawn] if isinstance(drawn, str) else drawn
    if not isinstance(case, dict) or not isinstance(case.get("text"), str) or not _is_texts(drawn):
        raise ReadError("not a case with a text", path=path, line=number, remedy=remedy)
    return case["text"], [str(item) for item in drawn or ()]


def _is_texts(value: object) -> bool:
    return isinstance(value, list) and all(isinstance(item, str) for item in value)


def answer_to_json(organ: Organ, one: Drawn) -> dict[str, Any]:
    """One answer as the contract has it."""
    state = registration_to_json(organ, one.resolution.registration)
    return {
        "reading": reading_to_json(one.reading),
        **state,
        "because": [because_to_json(organ, b) for b in one.resolution.because],
        "findings": [finding.to_json() for finding in one.resolution.findings],
    }


def as_text(organ: Organ, one: Drawn) -> str:
    """One answer for people."""
    state: dict[str, Any] = registration_to_json(organ, one.resolution.registration)
    lines = [one.reading.text]
    lines += [f"  {division}: {', '.join(stops)}" for division, stops in state["drawn"].items()]
    lines += [f"  {coupler}" for coupler in state["couplers"]]
    lines += [f"  Tremulant: {division or 'whole organ'}" for division in state["tremulants"]]
    lines += [f"  box of the {division}: {box}" for division, box in state["boxes"].items()]
    lines += [f"  - {b.why}" + (" (substitute)" if b.substitute else "") for b in one.resolution.because]
    lines += [f"  {f.level.value}: {f.message}" for f in one.resolution.findings]
    lines += [f"  not read: {unread.text}" for unread in one.reading.unread]
    return "\n".join(lines)

"""``stopwright compare``: the same piece on several organs, ranked by how much of it each can play."""

from __future__ import annotations

import argparse
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path

from core.cli.decided import add_notes_arguments, open_arguments
from core.cli.organ_page import add_paper_options, format_of, write_paper
from core.cli.output import print_json, warn
from core.cli.words import add_words_argument, words_named
from core.compare.organs import Fit, play_on
from core.compare.questions import Question, questions_of
from core.document import OrganFile, open_organ
from core.errors import ReadError, StopwrightError
from core.findings import Level
from core.texts import say

_ENDINGS = (".yaml", ".yml", ".txt")
Unusable = tuple[str, str]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The command's arguments."""
    parser.add_argument("score", metavar="SCORE", help="a MusicXML score (.musicxml, .xml or .mxl)")
    parser.add_argument(
        "--organs",
        metavar="DIR|FILE",
        nargs="+",
        required=True,
        help="a folder of organs, or their files: specifications (.yaml) or plain stop lists (.txt)",
    )
    parser.add_argument("--part", metavar="PART", help="the organist's part, by its name or id in the score")
    add_notes_arguments(parser)
    parser.add_argument("--language", metavar="LL", help="language of the markings: en, fr, de, it, es, nl")
    add_words_argument(parser)
    add_paper_options(parser)
    parser.add_argument("--json", action="store_true", help="print one JSON document for programs")


def run(arguments: argparse.Namespace) -> int:
    """Rank the organs. A file of a folder that is no organ is told and passed over; one that was named is refused."""
    kind = format_of(arguments.output, arguments.score)
    document = open_arguments(arguments)
    organs, unusable = organs_named(arguments.organs)
    for path, reason in unusable:
        warn(f"{path}: passed over: {reason}")
    words = words_named(arguments, arguments.score)
    played = play_on(document, organs, language=arguments.language, words=words)
    fits = tuple(fit for _, fit in played)
    if arguments.output:
        from core.export.needs_page import Against, needs_paper

        against = [Against(analysis=analysis, fit=fit) for analysis, fit in played]
        write_paper(needs_paper(played[0][0], against, large=arguments.large), kind, arguments)
    if arguments.json:
        questions = {fit.path: [question_json(q) for q in questions_of(analysis)] for analysis, fit in played}
        print_json("compare", to_json(fits, unusable, questions))
    elif not arguments.output:
        print(to_text(fits))
    return 0


def organs_named(paths: Iterable[str]) -> tuple[list[OrganFile], list[Unusable]]:
    """The organs of files and folders, and the files of folders that are none. Raises ReadError where there is none."""
    organs: list[OrganFile] = []
    unusable: list[Unusable] = []
    for path in map(Path, paths):
        if not path.is_dir():
            organs.append(open_organ(path))
            continue
        for file in sorted(p for p in path.iterdir() if p.suffix.lower() in _ENDINGS and p.is_file()):
            try:
                organs.append(open_organ(file))
            except StopwrightError as error:
                unusable.append((str(file), str(error)))
    if not organs:
        raise ReadError(
            "no organ is there",
            path=", ".join(paths),
            remedy="Give a folder with specifications (.yaml) or stop lists (.txt), or name the files",
        )
    return organs, unusable


def to_json(
    fits: Sequence[Fit],
    unusable: Sequence[Unusable] = (),
    questions: Mapping[str, list[dict[str, object]]] | None = None,
) -> dict[str, object]:
    """The comparison as the machine interface has it."""
    return {
        "organs": [
            {"rank": rank, **_fit_json(fit), "questions": (questions or {}).get(fit.path, [])}
            for rank, fit in enumerate(fits, start=1)
        ],
        "unusable": [{"path": path, "why": why} for path, why in unusable],
    }


def question_json(question: Question) -> dict[str, object]:
    """A question to a church, with the first place that depends on its answer."""
    return {"text": str(question.text), "at": question.at.to_json() if question.at else None}


def _fit_json(fit: Fit) -> dict[str, object]:
    return {
        "organ": fit.organ.name,
        "path": fit.path,
        "share": float(round(fit.share, 3)),
        "why": str(fit.why),
        "exact": fit.exact,
        "elsewhere": fit.elsewhere,
        "substituted": len(fit.instead),
        "lacking": len(fit.lacks),
        "impossible": fit.impossible,
        "keyboards": [
            {"asked": r.asked, "division": r.division, "stand_in": r.stand_in, "why": str(r.why) if r.why else None}
            for r in fit.keyboards
        ],
        "substitutes": [
            {
                "at": i.at.to_json(),
                "request": i.request,
                "division": i.division,
                "chosen": list(i.chosen),
                "why": str(i.why),
            }
            for i in fit.instead
        ],
        "lacks": [{"at": lack.at.to_json() if lack.at else None, "message": str(lack.message)} for lack in fit.lacks],
        "counts": {level.value: fit.counts[level] for level in Level},
        "worst": [finding.to_json() for finding in fit.worst],
    }


def to_text(fits: Sequence[Fit]) -> str:
    """The comparison for people: a table, then each organ with its reasons."""
    width = max(len(fit.organ.name) for fit in fits)
    lines = [f"    {'organ':<{width}}  answers  as written  elsewhere  otherwise  lacking  errors  warnings"]
    for rank, fit in enumerate(fits, start=1):
        figures = (fit.exact, fit.elsewhere, len(fit.instead), len(fit.lacks))
        columns = "  ".join(f"{n:>{w}}" for n, w in zip(figures, (11, 9, 9, 7), strict=True))
        found = f"{fit.counts[Level.ERROR]:>6}  {fit.counts[Level.WARNING]:>8}"
        lines.append(f"{rank:>2}. {fit.organ.name:<{width}}  {float(fit.share):>6.0%}  {columns}  {found}")
    for rank, fit in enumerate(fits, start=1):
        lines += ["", f"{rank}. {fit.organ.name}: {fit.why}", *_details(fit)]
    return "\n".join(lines)


def _details(fit: Fit) -> list[str]:
    keyboards = ", ".join(
        f"{row.asked} → {row.division or 'nothing'}{' (stands in)' if row.stand_in else ''}" for row in fit.keyboards
    )
    lines = [f"   keyboards: {keyboards}"] if keyboards else []
    places: dict[str, list[str]] = {}
    for one in fit.instead:
        places.setdefault(f"{one.request}: {one.why}", []).append(one.at.measure)
    for words, bars in places.items():
        every = list(dict.fromkeys(bars))
        lines.append(f"   bar{'s' if len(every) > 1 else ''} {', '.join(every)}: {words}")
    for finding in fit.worst:
        if finding.level is not Level.ADVICE:
            place = f"bar {finding.at.measure}" if finding.at else "whole piece"
            lines.append("   " + str(say("{level}, {place}: {message}", level=finding.level.value, place=place,
                                         message=finding.message)))  # fmt: skip
    return lines

"""The front page of a marked-up score: the organ's specification, the abbreviations used, what may be replaced."""

from __future__ import annotations

from dataclasses import replace

from core.analysis import Analysis
from core.export.paper import Column, Flow, Group, Paper, Row, Run, plain, row
from core.export.specification_page import specification_page
from core.export.wording import catalogue, shown, told
from core.marking_up.wording import elsewhere
from core.markings.house_style import Style
from core.organ.spelling import stop_label

_LONGEST = 8  # letters of an abbreviation


def front_page(analysis: Analysis, style: Style, *, large: bool = False) -> Paper:
    """The page, for a piece on its organ; what may be replaced in the words of a style."""
    organ = analysis.organ
    assert organ is not None
    page = specification_page(organ, large=large, catalogue=catalogue())
    groups = tuple(g for g in (_abbreviations(analysis), _replaceable(analysis, style)) if g.rows)
    return Paper(
        title=analysis.score.title or told("Untitled piece"),
        under=(told("marked up for {organ}", organ=page.title), *page.under),
        flows=(*page.flows, *((Flow(groups=groups, columns=len(groups)),) if groups else ())),
        language=page.language,
        large=large,
    )


def _abbreviations(analysis: Analysis) -> Group:
    """Words with a point, or in capitals, with what they were read as; the commonest meaning of each."""
    found: dict[str, str] = {}
    for mark in analysis.markings.marks:
        for note in mark.reading.words:
            text = mark.reading.text[note.span.start : note.span.end].strip(" ,;:&()[]\n")
            is_short = text.endswith(".") or (text.isupper() and text.isalpha())
            if is_short and 1 < len(text) <= _LONGEST and not any(c.isdigit() for c in text):
                found.setdefault(text, shown(note.meaning))
    rows = tuple(
        Row(cells=((Run(text, italic=True),), plain(meaning))) for text, meaning in sorted(found.items(), key=_folded)
    )
    return Group(heading=told("Abbreviations"), rows=rows, columns=(Column(share=0), Column()), small=True)


def _folded(pair: tuple[str, str]) -> str:
    return pair[0].casefold()


def _replaceable(analysis: Analysis, style: Style) -> Group:
    """Each named stop with what would do elsewhere, and what stands in for it here."""
    organ = analysis.organ
    assert organ is not None
    here: dict[str, str] = {}
    for step in analysis.steps:
        for because in step.because:
            if because.substitute and because.chosen:
                here.setdefault(because.request, ", ".join(stop_label(organ.stop(s)) for s in because.chosen))
    rows: dict[str, Row] = {}
    for mark in analysis.markings.marks:
        for one in mark.instructions:
            for stop in one.stops:
                words = elsewhere([replace(one, stops=(stop,))], style).strip("()")
                name = stop.name or ""
                if name and words and name not in rows:
                    stands_in = next((text for request, text in here.items() if request.startswith(name)), "")
                    rows[name] = row(name, words, told("here {stops}", stops=stands_in) if stands_in else "")
    return Group(
        heading=told("What may be replaced"),
        rows=tuple(rows.values()),
        columns=(Column(), Column(), Column()),
        small=True,
    )

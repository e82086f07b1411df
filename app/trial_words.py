"""What a wording would do, in words: how it is read, what changes and why, what the organ lacks."""

from __future__ import annotations

from html import escape

from app.lane import change_words
from app.palette import LEVEL_COLOURS, SIGNS, Colours
from app.sentences import hand_moves, read_word_by_word, word_table
from app.translation import shown, tr
from core.compare.trying import Tried
from core.organ.model import Organ
from core.resolve.model import Because


def changes(organ: Organ, tried: Tried) -> list[str]:
    """``Swell: + Oboe 8`` for each division, then ``R.H. to Swell``, where something changes."""
    before, after = tried.before, tried.step.registration
    found = []
    for division in organ.divisions:
        words = change_words(organ, division, before, after)
        if words:
            found.append(f"{division.name}: {words}")
    return [*found, *hand_moves(organ, before, after)]


def trial_words(organ: Organ | None, tried: Tried, colours: Colours) -> str:
    """The whole answer as rich text."""
    rows = read_word_by_word(tried.mark)
    parts = [_heading(tr("Read as"), colours)]
    if rows and tried.mark.is_registration:
        parts.append(word_table(rows))
    else:
        parts.append(_line(tr("Nothing that asks for registration.")))
    if tried.mark.reading.ambiguous:
        parts.append(_line(f"<i>{escape(tr('It can be read in another way too.'))}</i>"))
    if organ is None:
        parts.append(_line(escape(tr("Choose an organ at the left to see what it would draw there."))))
        return "".join(parts)
    if tried.mark.is_registration:
        parts.append(_heading(tr("Would change here"), colours))
        said = changes(organ, tried)
        parts += [_line(f"<b>{escape(words)}</b>") for words in said] or [
            _line(escape(tr("Nothing: it is so already.")))
        ]
        for because in {(b.request, str(b.why)): b for b in tried.step.because}.values():
            is_told = any(because.request in str(finding.message) for finding in tried.step.findings)
            parts.append(_line(_reason(because, colours, is_told=is_told)))
    for finding in tried.step.findings:
        level = finding.level.value
        colour = colours.colour(LEVEL_COLOURS[level]).name()
        parts.append(_line(f"<span style='color:{colour}'>{SIGNS[level]}</span> {escape(shown(finding.message))}"))
    return "".join(parts)


def _reason(because: Because, colours: Colours, *, is_told: bool) -> str:
    """Why it is answered so; first of all where something else stands in for what was asked."""
    words = f"‘{escape(tr(because.request))}’: {escape(shown(because.why))}"
    if is_told or not because.substitute:
        return words
    colour = colours.colour(LEVEL_COLOURS["warning"]).name()
    asked = escape(tr("‘{0}’ is not here, so").format(because.request))
    return f"<span style='color:{colour}'>{SIGNS['warning']}</span> {asked} {escape(shown(because.why))}"


def _line(words: str) -> str:
    return f"<p style='margin:1px 0'>{words}</p>"


def _heading(words: str, colours: Colours) -> str:
    return f"<p style='margin:6px 0 2px 0; color:{colours.colour('faint').name()}'>{escape(words)}</p>"

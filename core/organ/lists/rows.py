"""The rows of a list before it is walked: lines cut at headings, rows led by a division, former states."""

from __future__ import annotations

import re
from dataclasses import dataclass
from itertools import pairwise

from core.organ.lists.columns import heading_of
from core.organ.lists.couplers import read_couplers
from core.organ.lists.headrow import read_headings
from core.organ.lists.items import run_in
from core.organ.lists.knowing import knows, likely
from core.organ.lists.lines import Piece
from core.organ.lists.midline import cut_midline, cut_told
from core.organ.lists.prose import is_about, is_caption, is_prose, is_unit_rank
from core.organ.lists.remarks import is_half_label
from core.organ.lists.state import Gathered
from core.organ.lists.stops import read_stops
from core.organ.lists.tokens import Sort, tokens_of
from core.organ.lists.vocabulary import fold, pattern
from core.texts import say

_STATE = re.compile(r"[^\d:;,]{0,30}(?:\b1[5-9]\d\d|\b20\d\d)?[^\d:;,]{0,24}:?")

_GLUED_HEAD = re.compile(r"(?<=[\d'’′´])(?=[A-ZÀ-Ý][^\W\d_]{3,}(?:\s\([IVX]+\))?:\s*$)")
_MIDDLE = re.compile(r"(?<=[.;:,)])\s+(?=(?P<head>[A-ZÀ-Ý][^:.;,()\d]{1,30}(?:\([^()]*\)\s?)?):)")


@dataclass(slots=True)
class Row:
    """A line that is not blank, cut into cells."""

    line: Piece
    cells: list[Piece]


def led(rows: list[Row]) -> list[Row]:
    """``Great | Open Diapason | 8``: rows that begin with their division, which heads them."""
    made: list[Row] = []
    before = ""
    for row in rows:
        if len(row.cells) < 2 or not re.search(r"[|\t]", row.line.text):
            made.append(row)
            continue
        first, rest = row.cells[0], row.cells[1:]
        head = heading_of(first)
        leads = head is not None and head.rest is None and not (head.word and head.word.stop and head.keyboard is None)
        leads = leads and (head is not None and (head.word is not None or head.section == "couplers"))
        if not leads or any(heading_of(cell) for cell in rest) or not all(is_item(c) or _is_coupler(c) for c in rest):
            made.append(row)
            continue
        if first.text != before:
            made.append(Row(first, [first]))
        before = first.text
        made += [Row(cell, [cell]) for cell in rest]
    return made


def _is_coupler(cell: Piece) -> bool:
    return bool(read_couplers(cell, within=None, section=True)) or bool(pattern("tremulant").match(fold(cell.text)))


def present_state(gathered: Gathered, rows: list[Row]) -> list[Row]:
    """Where a list gives a former and the present state of the organ, the rows of the present one, with a doubt."""
    labels = {at: state for at, row in enumerate(rows) if (state := _state_of(row)) is not None}
    if set(labels.values()) != {"now", "then"}:
        return rows
    kept: list[Row] = []
    former = False
    for at, row in enumerate(rows):
        if at in labels:
            former = labels[at] == "then"
            if former:
                gathered.doubt(
                    row.line, say("an earlier state of the organ is described here; the present one is read")
                )
            continue
        if not former:
            kept.append(row)
    return kept if sum(is_item(cell) for row in kept for cell in row.cells) >= 3 else rows


def _state_of(row: Row) -> str | None:
    """Whether a line is a label for the present or a former state of the organ."""
    text = row.line.text.strip()
    if len(text) > 60 or len(text.split()) > 7 or not _STATE.fullmatch(text) or is_prose(text):
        return None
    if any(draft.complete for draft in read_stops(row.line)):
        return None
    folded = fold(text)
    found = {state for state in ("now", "then") if pattern("states", state).search(folded)}
    return found.pop() if len(found) == 1 else None


def cut_at_headings(line: Piece) -> list[Piece]:
    """``… Cornet 3 fach. Oberwerk: Principal 4 Fuß``: a division may begin in mid-line."""
    cuts = [0]
    if (glued := _GLUED_HEAD.search(line.text)) is not None:
        head = heading_of(Piece(line.text[glued.end() :].strip(), line.lines))
        if head is not None and head.word is not None and read_stops(line.cut(0, glued.end())):
            return [line.cut(0, glued.end()), line.cut(glued.end())]  # "Oboe 8Pedal:"
    if (several := cut_midline(line) or cut_told(line)) is not None:
        return several
    if (begun := _cut_at_section(line) or _cut_at_first_stop(line)) is not None:
        return begun
    halves = [found.end() for found in re.finditer(r"[.;]\s+(?=[^\W\d_ ]+(?: [^\W\d_ ]+)?:)", line.text)]
    cuts += [at for at in halves if is_half_label(Piece(line.text[at:].split(":")[0], line.lines))]
    for found in _MIDDLE.finditer(line.text):
        heading = heading_of(Piece(found["head"].strip(), line.lines))
        numbered = re.fullmatch(r"\s*[\w°ª.]{1,6}[.:)]?\s*", line.text[cuts[-1] : found.start()])
        if (
            numbered is None
            and heading is not None
            and (heading.word is not None or heading.section in ("couplers", "accessories"))
        ):
            cuts.append(found.end())
    return [line] if len(cuts) == 1 else [line.cut(a, b) for a, b in pairwise([*sorted(set(cuts)), len(line.text)])]


def _cut_at_section(line: Piece) -> list[Piece] | None:
    """``COUPLERS Swell to Great, …``: a section's word in capitals without a colon."""
    found = re.match(r"([A-ZÀ-Ý]{6,})\s+(?=\w)", line.text)
    if found is None or (heading := heading_of(Piece(found[1], line.lines))) is None or heading.section != "couplers":
        return None
    rest = line.cut(found.end())
    first = Piece(re.split(r"[,;]", rest.text)[0], line.lines)
    return [line.cut(0, found.end()), rest] if read_couplers(first, within=None, section=True) else None


def _cut_at_first_stop(line: Piece) -> list[Piece] | None:
    """``I Hauptwerk C–g3 1. Principal 8′ 2. Gedackt 8′ …``: a heading and its stops run together on a line."""
    tokens = tokens_of(line.text)
    if len(line.text) < 24 or ":" in line.text[:70] or "|" in line.text or "\t" in line.text or "   " in line.text:
        return None
    if sum(token.sort in (Sort.PITCH, Sort.RANKS) for token in tokens) < 2:
        return None
    for token in reversed(tokens[1:12]):
        if token.sort not in (Sort.WORD, Sort.NUMBER, Sort.PITCH) or token.start > 70:
            continue
        head, rest = line.cut(0, token.start), line.cut(token.start)
        if (
            head.text[-1:] in ",;:–-"
            or fold(head.text).endswith(" open")
            or (re.search(r"\d['’′]?$", head.text) and not re.search(r"[a-h]\S{0,3}$", head.text))
        ):
            continue
        heading = heading_of(head)
        if (
            heading is None
            or heading.rest is not None
            or heading.section
            or (heading.word is None and not heading.keyboard)
        ):
            continue
        items = read_stops(rest)
        certain = heading.keyboard is not None and heading.word is not None and (heading.compass or heading.keys)
        enough = 2 if head.text.isupper() or certain else 3
        if len(items) >= enough and items[0].complete and likely(items[0].name) and not read_headings(line):
            return [head, rest]
    return None


def is_item(cell: Piece) -> bool:
    """Whether a cell holds a stop."""
    if is_caption(cell.text) or is_unit_rank(cell.text) or (is_prose(cell.text) and run_in(cell) is None):
        return False
    drafts = read_stops(cell)
    return any(
        (draft.complete and likely(draft.name) and not is_about(draft.name)) or knows(draft.name) for draft in drafts
    )

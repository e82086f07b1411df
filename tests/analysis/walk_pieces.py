"""Pieces of many kinds for walks that are edited, and edits drawn at random."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from hypothesis import strategies as st

from core.analysis import Analysis
from core.document import Document, OrganFile, organ_from_text
from core.edits import (
    AddBracket,
    AddMarking,
    ChangeMarking,
    ChooseOrgan,
    DeleteBracket,
    DeleteMarking,
    Dismiss,
    Edit,
    MoveMarking,
    PinStops,
    ReplaceSpecification,
    SetHand,
    SetKeyboard,
    SetLanguage,
    SetOrganParts,
    Together,
)
from core.score.packing import pack
from core.score.source import source_from_bytes
from making import Piece
from organs import small_organ
from walking import CHORDS, LEFT_LINE, LINE, LINE_REST, opened

WORDS = (
    "Sw.", "Gt.", "Ch.", "Gt. 8 & 4", "Sw. Oboe", "R.H. Sw. Oboe", "L.H. Ch. Clarinet", "Ped. Bourdon 16", "Ped.",
    "Man.", "Sw. to Gt.", "Sw. to Gt. off", "add Principal 4", "Full Sw.", "Trem.", "Trem. off", "Solo", "II",
    "Prepare: Sw. Voix Celestes", "Sw. Flomptuba 8", "box closed", "cresc.", "rit.", "D.C. al Fine", "Fine", "dolce",
    "1st time Sw., 2nd time Ch.", "[Gt. Flute 4]", "Récit: Hautbois", "Hw. Prinzipal 8'", "(Gt.)", "]", "Allegro",
)  # fmt: skip
"""What a composer may write: registration of several kinds, half of it, and words that are none."""

BARS = (CHORDS, LINE, LINE_REST, LEFT_LINE)


def _plain() -> Piece:
    piece = opened()
    for number in range(12):
        piece.bar(*BARS[number % 3])
    piece.text(3, 1, "R.H. Sw. Oboe").text(7, 3, "Gt.", above=False).text(9, 1, "Sw. to Gt.")
    piece.dynamic(2, "mf").hairpin(4, 6, "crescendo").rehearsal(5, "A").bracket(8, 9, staff=1)
    return piece.double_bar(6).key_change(7, 2)


def _repeated() -> Piece:
    piece = opened("Round (invented)")
    for number in range(10):
        piece.bar(*BARS[number % 4])
    piece.repeat(2, 5).ending(5, 5, "1", back=True).ending(6, 6, "2", back=False)
    piece.text(4, 1, "add Principal 4").jump(10, "D.C. al Fine", "dacapo").jump(7, "Fine", "fine")
    return piece.text(3, 1, "1st time Sw., 2nd time Ch.")


def _two_staves() -> Piece:
    piece = Piece(title="Hymn (invented)", staves=2)
    for _ in range(8):
        piece.bar("C5+E5 D5+F5 E5+G5 C5+E5", "C3+G3:2 F3+A3:2")
    piece.text(1, 1, "Gt. 8 & 4").text(3, 1, "Ped.", staff=2, above=False).text(6, 1, "Man.", staff=2, above=False)
    return piece


def _choir() -> Piece:
    piece = Piece(title="Anthem (invented)", parts=(("Manuals", 2), ("Pedal", 1)), choir="Choir")
    for number in range(8):
        piece.bar(*BARS[number % 2])
    return piece.sing(4, "C5:2 D5:2").text(1, 1, "Sw.").text(4, 1, "Ch. Clarinet", staff=2).text(2, 3, "16", staff=3)


def _solo_staff() -> Piece:
    piece = Piece(title="Aria (invented)", staves=4)
    for _ in range(8):
        piece.bar("G5( A5 B5 D6)", "C5+E5:4", "C4+G4:4", "C3:4")
    return piece.text(1, 1, "Sw. Oboe").text(1, 1, "Gt.", staff=2).text(5, 1, "Ch. Clarinet")


def _movements() -> Piece:
    piece = opened("Suite (invented)", credits=["Prepare: Sw. Oboe", "1) Gt. Trumpet"])
    for number in range(10):
        piece.bar(*BARS[number % 2])
    piece.double_bar(5)
    return piece.number_again(6).text(6, 1, "Gt.").text(3, 1, "1)").text(8, 1, "Solo", staff=2)


PIECES: tuple[Callable[[], Piece], ...] = (_plain, _repeated, _two_staves, _choir, _solo_staff, _movements)


def _as_is(data: bytes) -> bytes:
    return data


def _with_namespace(data: bytes) -> bytes:
    return data.replace(b"<score-partwise ", b'<score-partwise xmlns="http://www.musicxml.org/ns" ', 1)


def _with_remarks(data: bytes) -> bytes:
    return data.replace(b"</measure>", b"<!-- a <measure> in a remark -->\n</measure>").replace(
        b"<note>", b"\r\n<note>"
    )


def _in_another_encoding(data: bytes) -> bytes:
    return data.decode().replace('encoding="UTF-8"', 'encoding="UTF-16"').encode("utf-16")


def _packed(data: bytes) -> bytes:
    return pack("study.musicxml", data)


FORMS: tuple[Callable[[bytes], bytes], ...] = (_as_is, _with_namespace, _with_remarks, _in_another_encoding, _packed)
_VILLAGE = (Path(__file__).parents[2] / "sample_specs" / "village.yaml").read_text(encoding="utf-8")
_ANOTHER = _VILLAGE.replace("Dulciana", "Salicional")
ORGANS = (
    OrganFile(path=None, text="", organ=small_organ()),
    OrganFile(path=None, text=_VILLAGE, organ=organ_from_text(_VILLAGE, None)),
)


def document_of(data: bytes) -> Document:
    """A score of made bytes on the first of two organs."""
    return Document(source=source_from_bytes(data, "study.musicxml"), organs=ORGANS, chosen=0)


@st.composite
def edits(draw: st.DrawFn, analysis: Analysis) -> Edit:
    """Any one edit of a piece; it may not fit."""
    kinds = [_adding, _adding, _changing, _changing, _moving, _deleting, _bracketing, _deciding, _deciding]
    kind = draw(st.sampled_from(kinds))
    if draw(st.integers(0, 11)) == 0:
        one, two = kind(draw, analysis), draw(st.sampled_from(kinds))(draw, analysis)
        return Together(edits=(one, two))
    return kind(draw, analysis)


def _place(draw: st.DrawFn, analysis: Analysis) -> dict[str, int]:
    score = analysis.score
    part = draw(st.integers(0, len(score.parts) - 1))
    note = draw(st.sampled_from(score.notes))
    staff = draw(st.integers(1, score.parts[part].staves))
    return {"part": part, "bar": note.bar, "staff": staff, "in_bar": note.onset - score.bars[note.bar].onset}


def _adding(draw: st.DrawFn, analysis: Analysis) -> Edit:
    side = draw(st.sampled_from(("above", "below")))
    return AddMarking(**_place(draw, analysis), text=draw(st.sampled_from(WORDS)), placement=side)


def _marking(draw: st.DrawFn, analysis: Analysis) -> object:
    return draw(st.sampled_from(analysis.score.texts)).id


def _changing(draw: st.DrawFn, analysis: Analysis) -> Edit:
    return ChangeMarking(marking=_marking(draw, analysis), text=draw(st.sampled_from(WORDS)))


def _moving(draw: st.DrawFn, analysis: Analysis) -> Edit:
    place = _place(draw, analysis)
    return MoveMarking(marking=_marking(draw, analysis), **place)


def _deleting(draw: st.DrawFn, analysis: Analysis) -> Edit:
    return DeleteMarking(marking=_marking(draw, analysis))


def _bracketing(draw: st.DrawFn, analysis: Analysis) -> Edit:
    brackets = analysis.score.brackets
    if brackets and draw(st.booleans()):
        one = draw(st.sampled_from(brackets))
        in_bar = one.onset - analysis.score.bars[one.bar].onset
        return DeleteBracket(part=one.part, staff=one.staff, bar=one.bar, in_bar=in_bar)
    place = _place(draw, analysis)
    end = draw(st.integers(place["bar"], len(analysis.score.bars) - 1))
    return AddBracket(**place, end_bar=end, end_in_bar=0)


def _deciding(draw: st.DrawFn, analysis: Analysis) -> Edit:
    organ, score = analysis.organ, analysis.score
    name = organ.name if organ is not None else ""
    choices: list[Edit] = [
        ChooseOrgan(organ=draw(st.sampled_from((None, 0, 1)))),
        SetLanguage(language=draw(st.sampled_from(("", "en", "de", "fr")))),
        SetHand(part=len(score.parts) - 1, staff=1, hand=draw(st.sampled_from(("right", "left", "feet", None)))),
        SetHand(part=len(score.parts) - 1, staff=1, hand=None, clear=True),
        ReplaceSpecification(
            organ=1, text=draw(st.sampled_from((_VILLAGE, _VILLAGE.replace("Dulciana", "Salicional"))))
        ),
        SetOrganParts(parts=draw(st.sampled_from(((), (score.parts[-1].id,))))),
    ]
    if organ is not None:
        division = draw(st.sampled_from(organ.divisions)).id
        choices.append(
            SetKeyboard(organ=name, asked=draw(st.sampled_from(("swell", "great", "choir"))), division=division)
        )
        asked = [(step.markings[0], b) for step in analysis.steps for b in step.because if step.markings]
        if asked:
            marking, because = draw(st.sampled_from(asked))
            stops = draw(st.sampled_from((None, (organ.divisions[0].stops[0].id,))))
            choices.append(PinStops(organ=name, marking=marking, request=because.request, stops=stops))
    if analysis.findings:
        finding = draw(st.sampled_from(analysis.findings))
        choices.append(Dismiss(rule=finding.rule, marking=finding.marking, reason="meant so"))
    return draw(st.sampled_from(choices))

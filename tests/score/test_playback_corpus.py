"""Our played order beside verovio's timemap, over the smaller files of the music21 package that repeat anything."""

from __future__ import annotations

import json

import pytest
from lxml import etree
from second_opinion import corpus_files, name_of

from core.score.reading import read_score
from core.score.source import read_source, source_from_bytes

NO_START = "a repeat without a start: verovio goes back to the last start sign or the beginning, a player to the "
NO_START += "repeat or double bar before (common practice, no source)"
ONE_ENDING = "a first ending without a second, or without a start: verovio then repeats nothing"
ELSEWHERE = {
    "beethoven/opus18no1/movement3.mxl": NO_START,
    "haydn/opus1no1/movement1.mxl": "verovio leaves out a bar that has no sign at all",
    "haydn/opus74no1/movement3.mxl": ONE_ENDING,
    "joplin/maple_leaf_rag.mxl": ONE_ENDING,
    "mozart/k156/movement2.mxl": NO_START,
    "mozart/k458/movement1.mxl": ONE_ENDING,
    "mozart/k458/movement2.mxl": NO_START,
    "mozart/k80/movement1.mxl": NO_START,
    "mozart/k80/movement3.mxl": NO_START,
    "mozart/k80/movement4.mxl": NO_START,
    "schumann_clara/polonaise_op1n1.mxl": NO_START,
    "schumann_clara/polonaise_op1n2.mxl": NO_START,
    "schumann_robert/opus41no1/movement2.mxl": NO_START,
}


def both_orders(xml: bytes) -> tuple[list[int], list[int]] | None:
    """Bar indexes in our order and in verovio's; None where verovio cannot be asked."""
    import verovio

    root = etree.fromstring(xml, etree.XMLParser(load_dtd=False, no_network=True, remove_comments=True))
    part = root.find("part")
    if root.tag != "score-partwise" or part is None:
        return None
    for index, measure in enumerate(part.iterfind("measure")):
        measure.set("id", f"m{index}")
    toolkit = verovio.toolkit()
    toolkit.setOptions({"xmlIdSeed": 1, "header": "none", "footer": "none", "breaks": "none"})
    if not toolkit.loadData(etree.tostring(root).decode()):
        return None
    events = toolkit.renderToTimemap({"includeMeasures": True})
    events = json.loads(events) if isinstance(events, str) else events
    theirs = [int(e["measureOn"].split("-rend")[0][1:]) for e in events if "measureOn" in e]
    return [bar.bar for bar in read_score(source_from_bytes(xml)).played], theirs


@pytest.mark.corpus
def test_repeats_are_played_as_verovio_plays_them() -> None:
    signs = (b"<repeat", b"dacapo", b"dalsegno")
    compared, different = 0, set()
    for path in corpus_files():
        if path.stat().st_size > 40_000:
            continue
        xml = read_source(path).xml
        orders = both_orders(xml) if any(sign in xml for sign in signs) else None
        if orders is not None:
            compared += 1
            if orders[0] != orders[1]:
                different.add(name_of(path))
    assert compared > 150
    assert different == set(ELSEWHERE)

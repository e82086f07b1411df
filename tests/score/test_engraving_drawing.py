"""From the engraver's drawing to plain lists."""

from __future__ import annotations

from math import isclose

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.score.drawing import Matrix, read_page, read_transform

SVG = """<svg xmlns="http://www.w3.org/2000/svg" id="x">
<defs><g id="E0A4-x"><path d="M0 0 L10 10 Z"/></g></defs>
<svg class="definition-scale" viewBox="0 0 21000 29700">
<g class="page-margin" transform="translate(100, 200)">
<g class="system" id="s1"><g class="measure" id="m4">
<g class="staff"><path d="M0 0 L500 0" stroke-width="13"/><path d="M0 720 L500 720" stroke-width="13"/>
<g class="layer"><g class="note" id="n7"><g class="notehead"><use href="#E0A4-x"
 transform="translate(50, 60) scale(0.72, 0.72)"/></g></g></g></g>
<g class="dir"><text x="20" y="-80" font-size="0px"><tspan class="rend" fill="#00000A"
><tspan font-size="405px">Sw. Oboe</tspan></tspan><tspan x="20" y="-40"
 font-size="405px" font-style="normal">second line</tspan></text></g>
<g class="section placeholder"><path d="M0 0 L1 1"/></g>
<g class="reh"><rect fill-opacity="0" x="1" y="2" width="3" height="4" stroke-width="20"/></g>
</g></g></g></svg></svg>"""


def test_a_page_is_taken_apart_by_bar_with_every_owner() -> None:
    page = read_page(SVG, {"#00000A": "d3.0"})
    assert page["size"] == [21000.0, 29700.0]
    assert page["notes"] == [(7, 150.0, 260.0)]
    system = page["systems"][0]
    assert system["bars"][0]["bar"] == 4
    assert system["bars"][0]["x"] == [100.0, 600.0]
    assert system["staves"] == [[200.0, 920.0]]
    (chunk,) = page["chunks"]
    assert chunk["bar"] == 4
    assert chunk["uses"][0][0] == "E0A4"
    assert chunk["uses"][0][-1] == "n7"
    assert len(chunk["lines"]) == 2
    assert len(chunk["shapes"]) == 1, "the placeholder is left out"
    assert chunk["shapes"][0][2] is False, "the box round a rehearsal mark is not filled"


def test_texts_are_blocks_of_runs_with_their_style() -> None:
    (chunk,) = read_page(SVG, {"#00000A": "d3.0"})["chunks"]
    first, second = chunk["texts"]
    assert (first["x"], first["y"]) == (120.0, 120.0)
    assert first["runs"] == [["Sw. Oboe", 405.0, False, True, False, "d3.0"]]
    assert second["runs"][0][0] == "second line"
    assert second["runs"][0][3] is False, "set upright in the file"


@pytest.mark.parametrize(
    ("text", "point", "expected"),
    [
        ("translate(3, 4)", (1, 1), (4, 5)),
        ("scale(2)", (3, 4), (6, 8)),
        ("translate(10, 0) scale(2, 3)", (1, 1), (12, 3)),
        ("rotate(90)", (1, 0), (0, 1)),
        ("rotate(90, 5, 5)", (5, 0), (10, 5)),
        ("matrix(1 0 0 1 7 8)", (0, 0), (7, 8)),
        ("", (2, 3), (2, 3)),
    ],
)
def test_transforms_follow_the_svg_recommendation(
    text: str, point: tuple[float, float], expected: tuple[float, float]
) -> None:
    """Examples after W3C SVG 1.1, section 7.6, "The transform attribute"."""
    assert read_transform(text).point(*point) == pytest.approx(expected)


numbers = st.integers(-50, 50).map(float)
matrices = st.builds(Matrix, numbers, numbers, numbers, numbers, numbers, numbers)


@given(matrices, matrices, numbers, numbers)
def test_one_map_after_the_other_is_their_product(first: Matrix, second: Matrix, x: float, y: float) -> None:
    inner = second.point(x, y)
    expected = first.point(*inner)
    found = first.then(second).point(x, y)
    assert all(isclose(a, b, abs_tol=0.02) for a, b in zip(found, expected, strict=True))

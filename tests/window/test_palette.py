"""Contrast and colour vision, after published formulas."""

from __future__ import annotations

from itertools import combinations

import pytest

from app.palette import DARK, LEVEL_COLOURS, LEVEL_WORDS, LIGHT, SIGNS, Colours

# Simulation matrices at full severity: Machado, Oliveira, Fernandes 2009, "A Physiologically-based Model for
# Simulation of Color Vision Deficiency", table of matrices (from memory).
DEFICIENCIES = {
    "protanopia": (
        (0.152286, 1.052583, -0.204868),
        (0.114503, 0.786281, 0.099216),
        (-0.003882, -0.048116, 1.051998),
    ),
    "deuteranopia": (
        (0.367322, 0.860646, -0.227968),
        (0.280085, 0.672501, 0.047413),
        (-0.011820, 0.042940, 0.968881),
    ),
    "tritanopia": (
        (1.255528, -0.076749, -0.178779),
        (-0.078411, 0.930809, 0.147602),
        (0.004733, 0.691367, 0.303900),
    ),
}
Triple = tuple[float, float, float]


def _linear(colour: str) -> Triple:
    values = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    r, g, b = (v / 12.92 if v <= 0.04045 else ((v + 0.055) / 1.055) ** 2.4 for v in values)
    return r, g, b


def _luminance(rgb: Triple) -> float:
    return 0.2126 * rgb[0] + 0.7152 * rgb[1] + 0.0722 * rgb[2]


def contrast(one: str, other: str) -> float:
    """Contrast ratio as WCAG 2.1 defines it (W3C Recommendation, "contrast ratio")."""
    lighter, darker = sorted((_luminance(_linear(one)), _luminance(_linear(other))), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


def _lab(rgb: Triple) -> Triple:
    """CIE 1976 L*a*b* under D65 (CIE 15)."""
    x = (0.4124 * rgb[0] + 0.3576 * rgb[1] + 0.1805 * rgb[2]) / 0.9505
    y = _luminance(rgb)
    z = (0.0193 * rgb[0] + 0.1192 * rgb[1] + 0.9505 * rgb[2]) / 1.089
    fx, fy, fz = (t ** (1 / 3) if t > 0.008856 else 7.787 * t + 16 / 116 for t in (x, y, z))
    return 116 * fy - 16, 500 * (fx - fy), 200 * (fy - fz)


def _seen(colour: str, matrix: tuple[Triple, ...]) -> Triple:
    rgb = _linear(colour)
    r, g, b = (min(max(sum(m * v for m, v in zip(row, rgb, strict=True)), 0.0), 1.0) for row in matrix)
    return _lab((r, g, b))


def test_the_formula_gives_the_published_extremes() -> None:
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)  # WCAG 2.1: 21:1 at most
    assert contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.01)  # the known near miss of AA


@pytest.mark.parametrize("colours", [LIGHT, DARK], ids=["light", "dark"])
@pytest.mark.parametrize("ground", ["page", "chosen"])
@pytest.mark.parametrize("name", ["ink", "faint", "accent", "error", "doubt", "advice"])
def test_words_are_legible_on_every_ground(colours: Colours, ground: str, name: str) -> None:
    assert contrast(getattr(colours, name), getattr(colours, ground)) >= 4.5


@pytest.mark.parametrize("colours", [LIGHT, DARK], ids=["light", "dark"])
@pytest.mark.parametrize("deficiency", DEFICIENCIES)
def test_errors_doubts_and_accent_are_told_apart(colours: Colours, deficiency: str) -> None:
    matrix = DEFICIENCIES[deficiency]
    for one, other in combinations(("error", "doubt", "accent"), 2):
        first, second = _seen(getattr(colours, one), matrix), _seen(getattr(colours, other), matrix)
        distance = sum((a - b) ** 2 for a, b in zip(first, second, strict=True)) ** 0.5
        assert distance >= 12, f"{one} and {other} look alike: {distance:.1f}"


def test_every_level_has_a_sign_and_words_of_its_own() -> None:
    assert set(SIGNS) == set(LEVEL_WORDS) == set(LEVEL_COLOURS) == {"error", "warning", "advice"}
    assert len(set(SIGNS.values())) == len(set(LEVEL_WORDS.values())) == 3

"""Compasses as published lists print them, against the numbers of keys that the same sources give.

Sources: Encyclopædia Britannica, 9th ed., "Organ" (English, 56 and 30); the AGO recommendations of 1933 as
summarised at organbench.com (61 and 32); G. L. Miller, The Recent Revolution in Organ Building, 1913 (CC-a3 58,
CC-c4 61, CCC-F 30); echo-organs.org (Altenburg: 58 and 30); kirchenmusik-prenzlau.de (54 and 27); jehmlich-orgelbau.de
(Freiberg: C,D-c3, 48 keys); orgelartmuseum.org (Pirani 1779: C/D/E/F/G/A-c''', 45); inventaire-des-orgues.fr (C1-F5,
54; a Récit F2-F5, 37); tamburiniorgani.it (Do1-La5, 58; Do1-Re3, 27); A Dictionary of Music and Musicians, 1st ed.,
"Organ" (GG to D in alt, 56).
"""

from __future__ import annotations

import pytest

from core.organ.lists.keys import find_compasses, first_key
from core.organ.spelling import write_key

PUBLISHED = [
    ("CC to G, 56 notes", False, "C2", "G6", 56),
    ("CCC to F, 30 notes", True, "C2", "F4", 30),
    ("CC–c4", False, "C2", "C7", 61),
    ("CCC-g", True, "C2", "G4", 32),
    ("CC to a|3|", False, "C2", "A6", 58),
    ("C-a3", False, "C2", "A6", 58),
    ("C-f1", True, "C2", "F4", 30),
    ("C-f3", False, "C2", "F6", 54),
    ("C-d1", True, "C2", "D4", 27),
    ("C,D-c3", False, "C2", "C6", 48),
    ("C/D/E/F/G/A-c'''", False, "C2", "C6", 45),
    ("C1-F5", False, "C2", "F6", 54),
    ("F2-F5", False, "F3", "F6", 37),
    ("Do1-La5", False, "C2", "A6", 58),
    ("Do1-Re3", True, "C2", "D4", 27),
    ("GG to D in alt", False, "G1", "D6", 56),
]


@pytest.mark.parametrize(("text", "pedal", "low", "high", "keys"), PUBLISHED, ids=[p[0] for p in PUBLISHED])
def test_compass_has_the_published_number_of_keys(text: str, pedal: bool, low: str, high: str, keys: int) -> None:
    (found,) = find_compasses(text, pedal=pedal)
    assert (write_key(found.low), write_key(found.high)) == (low, high)
    assert found.high - found.low + 1 - len(found.missing) == keys


@pytest.mark.parametrize(
    ("text", "key"),
    [("tenor C", "C3"), ("C13", "C3"), ("c1", "C4"), ("c'", "C4"), ("c", "C3"), ("fiddle G", "G3"), ("middle C", "C4")],
)
def test_first_keys(text: str, key: str) -> None:
    """Old English names: A Dictionary of Music and Musicians, 1st ed., "Organ"; the rest common practice."""
    found = first_key(text)
    assert found is not None
    assert write_key(found) == key

"""Specifications written: short, and read again to an equal organ."""

from hypothesis import HealthCheck, given, settings

from core.organ.specification import read_specification
from core.organ.writing import write_organ
from made_organs import organs, without_lines

BY_HAND = """\
# An organ's specification. Keys are written with their octave; middle C is C4.
specification: 1
name: St Wenna
language: en
tradition: english
invented: yes
compass: {manuals: C2-G6, pedal: C2-F4}
couplers carry on: no

divisions:
  - name: Great
    stops:
      - Open Diapason II 8
      - Dulciana 8 (from C3)
      - Mixture IV: 19.22.26.29
      - Trumpet 8: {loudness: 10}
  - name: Swell
    stops:
      - Oboe 8
      - Mixture III:
          C2: 19.22.26
          C4: 12.15.19
  - name: Pedal
    stops:
      - Bourdon 16
      - Bass Flute 8: {pipes of: Bourdon 16}

couplers:
  - Swell to Great
  - Swell to Great 4
  - Swell unison off

tremulants:
  - Swell

aids:
  - {kind: general, count: 8, reach: [thumb, toe]}
"""


def test_what_is_written_well_by_hand_is_written_so_again():
    assert write_organ(read_specification(BY_HAND, "organ.yaml")) == BY_HAND


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])
@given(organs())
def test_written_and_read_again_an_organ_is_equal(organ):
    again = read_specification(write_organ(organ), "organ.yaml")
    assert without_lines(again) == organ

"""The window offscreen: one application with our fonts, small organs and scores, leaks that fail."""

from __future__ import annotations

import os

os.environ["QT_QPA_PLATFORM"] = "offscreen"  # before the toolkit is imported

import sys
import threading
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))

import pytest
from PySide6.QtCore import QCoreApplication, QEvent
from PySide6.QtWidgets import QApplication
from window_support import document_of, make_score, wait_for, words

from app.lettering import load_fonts
from app.settings import Settings
from app.window import Window
from core.organ.model import Coupler, Division, Family, Organ, Role, Stop, Tremulant


def _stops(division: str, *lines: tuple[str, str, Family]) -> tuple[Stop, ...]:
    return tuple(
        Stop(
            id=f"{division}/{name.lower().replace(' ', '-')}-{feet.replace('/', '-')}",
            name=name,
            pitch=Fraction(feet),
            family=family,
        )
        for name, feet, family in lines
    )


@pytest.fixture(scope="session")
def small_organ() -> Organ:
    """Two manuals and pedal, made for these tests."""
    great = _stops(
        "great",
        ("Open Diapason", "8", Family.PRINCIPAL),
        ("Principal", "4", Family.PRINCIPAL),
        ("Twelfth", "8/3", Family.MUTATION),
    )
    swell = _stops(
        "swell",
        ("Salicional", "8", Family.STRING),
        ("Stopped Diapason", "8", Family.FLUTE),
        ("Oboe", "8", Family.REED),
    )
    pedal = _stops("pedal", ("Bourdon", "16", Family.FLUTE))
    return Organ(
        name="St Osyth, Little Marling",
        invented=True,
        divisions=(
            Division(id="great", name="Great", role=Role.GREAT, keyboard="manual-1", stops=great),
            Division(id="swell", name="Swell", role=Role.SWELL, keyboard="manual-2", stops=swell, enclosed=True),
            Division(id="pedal", name="Pedal", role=Role.PEDAL, keyboard="pedal", stops=pedal),
        ),
        couplers=(
            Coupler(source="swell", target="great"),
            Coupler(source="great", target="pedal"),
            Coupler(source="swell", target="pedal"),
        ),
        tremulants=(Tremulant(division="swell"),),
    )


@pytest.fixture(scope="session")
def short_piece() -> bytes:
    """Twelve bars with markings: understood, unread, and not to be had on the small organ."""
    return make_score(
        12,
        {
            0: [words("Sw. Salicional 8"), words("Gt. Open Diapason 8", 2), words("Ped. Bourdon 16", 3)],
            3: [words("add Oboe")],
            6: [words("Gt. Tuba 8", 2)],
            8: [words("Sw. Flomptuba 8 &amp; Oboe")],
            10: [words("Sw. soft 8 ft.")],
        },
        notes=4,
    )


@pytest.fixture(scope="session")
def application() -> QApplication:
    """The one application, with the shipped fonts."""
    running = QApplication.instance()
    app = running if isinstance(running, QApplication) else QApplication([])
    load_fonts()
    return app


@pytest.fixture
def window(application: QApplication) -> Iterator[Window]:
    """A window of its own; nothing may be left running after it."""
    made = Window(Settings(width=1280, height=800))
    made.show()
    yield made
    made.session.undo.setClean()  # nobody is there to answer whether to save
    made.session.drop_unsaved_organs()
    made.close()
    child = made.score.engraver._process
    made.deleteLater()
    application.processEvents()
    # no event loop ever runs here, so what was to be deleted later would stay with all that its window holds
    QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete.value)
    assert child is None
    left = [t.name for t in threading.enumerate() if t.name.startswith("stopwright") and t.is_alive()]
    assert not left, f"still running: {left}"


@pytest.fixture
def opened(window: Window, short_piece: bytes, small_organ: Organ) -> Window:
    """A window with the short piece on the small organ, engraved and worked through."""
    window.session.set_document(document_of(short_piece, small_organ))
    wait_for(lambda: window.session.derived is not None and window.score.store.has(0))
    return window

"""The colour book beside the score: sought, chosen, written at the cursor."""

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from window_support import wait_for

from app.links import LinkLabel
from core.organ.reading import load_organ
from core.resolve.colour_book.words import find


@pytest.fixture
def colours(opened):
    """The panel, shown as with Ctrl+K, with the small organ's book."""
    opened.actions_by_id["colours"].trigger()
    panel = opened.colour_book
    wait_for(lambda: panel.book is not None)
    return panel


def links(panel):
    return [one for one in panel.detail.findChildren(LinkLabel) if not one.isHidden()]


def choose(panel, colour_id):
    index = panel.index_of(colour_id)
    assert index.isValid(), colour_id
    panel.view.setCurrentIndex(index)
    QApplication.processEvents()


def test_it_comes_in_the_organ_s_place_and_goes_again(opened, colours):
    assert colours.isVisible()
    assert not opened.organ.isVisible()
    assert "St Osyth" in colours.title.text()
    QTest.keyClick(colours.field, Qt.Key.Key_Escape)
    assert opened.organ.isVisible()
    assert not colours.isVisible()


def test_it_holds_what_the_command_line_lists(opened, colours):
    listed = [row.colour.id for row in colours.model.rows if row.colour is not None]
    assert listed == [one.id for one in find(colours.book, "").colours]


def test_a_sound_is_sought_as_it_is_typed(colours):
    QTest.keyClicks(colours.field, "far off")
    assert colours.chosen is not None
    assert all("far-off" in row.colour.sounds for row in colours.model.rows if row.colour)
    before = colours.chosen.id
    QTest.keyClick(colours.field, Qt.Key.Key_Down)
    assert colours.row.line.value in ("colour", "gap")
    assert colours.chosen is None or colours.chosen.id != before


def test_unknown_words_are_said_to_be(colours):
    QTest.keyClicks(colours.field, "blurgh")
    assert colours.chosen is None
    assert "known" in colours.told.text()


def test_what_is_said_of_a_colour(colours):
    choose(colours, "swell/oboe-8")
    said = " ".join(label.text() for label in colours.detail.findChildren(type(colours.told)) if not label.isHidden())
    assert "Oboe 8" in said
    assert "in the box" in said
    assert "Sw. Oboe 8" in " ".join(link.words for link in links(colours))


def test_enter_puts_the_wording_on_the_card_and_enter_writes_it(opened, colours):
    choose(colours, "swell/oboe-8")
    QTest.keyClick(colours.view, Qt.Key.Key_Return)
    card = opened.score.writing.card
    assert card.isVisible()
    assert card.field.text() == "Sw. Oboe 8"
    before = opened.session.revision
    QTest.keyClick(card.field, Qt.Key.Key_Return)
    wait_for(lambda: opened.session.revision > before)
    assert any(text.text == "Sw. Oboe 8" for text in opened.session.score.texts)


def test_control_and_enter_takes_the_wording_that_travels(opened, colours):
    choose(colours, "flutes-8@swell")
    QTest.keyClick(colours.view, Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)
    assert opened.score.writing.card.field.text() == "Sw. Flutes 8"


def test_a_pedal_colour_is_written_at_the_pedal_staff(opened, colours):
    choose(colours, "pedal-soft-16@pedal")
    QTest.keyClick(colours.view, Qt.Key.Key_Return)
    card = opened.score.writing.card
    assert card.field.text() == "Ped. Bourdon 16"
    part, staff, _ = card.place.currentData()
    assert opened.session.score.parts[part].hands[staff - 1] == "feet"


def test_a_click_on_an_accompaniment_writes_both_hands(opened, colours):
    choose(colours, "great/open-diapason-8")
    against = next(link for link in links(colours) if link.words.startswith("Swell: "))
    against.linkActivated.emit("#")
    assert opened.score.writing.card.field.text().startswith("R.H. Gt. Open Diapason 8 / L.H. Sw. ")
    assert "\n" in opened.score.writing.card.text


def test_another_organ_has_another_book(opened, colours):
    path = "sample_specs/village.yaml"
    opened.session.add_organs([path])
    name = load_organ(path).name
    wait_for(lambda: colours.book is not None and colours.book.organ.name == name)


def test_a_tradition_sifts_the_customs(colours):
    colours.tradition.setCurrentIndex(colours.tradition.findData("italian"))
    wait_for(lambda: not any("english" in c.traditions and "any" not in c.traditions for c in colours.book.colours))


def test_without_an_organ_it_says_so(window):
    window.actions_by_id["colours"].trigger()
    assert "No organ" in window.colour_book.told.text()


def test_a_double_click_writes_too(opened, colours):
    choose(colours, "swell/oboe-8")
    colours.view.scrollTo(colours.view.currentIndex())
    where: QPoint = colours.view.visualRect(colours.view.currentIndex()).center()
    QTest.mouseClick(colours.view.viewport(), Qt.MouseButton.LeftButton, pos=where)
    QTest.mouseDClick(colours.view.viewport(), Qt.MouseButton.LeftButton, pos=where)
    QApplication.processEvents()
    assert opened.score.writing.card.isVisible()

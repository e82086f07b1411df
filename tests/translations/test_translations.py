"""Every text shown to people is translated, with the same values; numbers choose the right words."""

from __future__ import annotations

import pytest
import translated

from core.knowledge.translating import LANGUAGES, Words, language_among, words_of
from core.texts import joined, say

LANGUAGE = pytest.mark.parametrize("language", translated.languages())


def test_every_text_is_followed_to_its_words() -> None:
    assert translated.found().lost == ()
    assert not translated.found().unused


@LANGUAGE
def test_every_text_is_translated(language: str) -> None:
    assert translated.missing(language) == []


@LANGUAGE
def test_no_translation_is_stale(language: str) -> None:
    assert translated.stale(language) == []


@LANGUAGE
def test_translations_take_the_same_values(language: str) -> None:
    assert translated.ill_filled(language) == []


@LANGUAGE
def test_every_translation_can_be_filled(language: str) -> None:
    catalogue = words_of(language)
    for text in catalogue.templates():
        names = {name for name, _ in translated._VALUE.findall(text) if name and not name.isdigit()}
        if names:
            for number in (0, 1, 7):
                assert say(text, **dict.fromkeys(names, number)).translated(catalogue)


@LANGUAGE
def test_letters_of_one_menu_do_not_meet(language: str) -> None:
    from app.actions import ACTIONS, MENU_TITLES

    catalogue = words_of(language)
    menus: dict[str, list[str]] = {"": list(MENU_TITLES.values())}
    for action in ACTIONS:
        menus.setdefault(action.menu, []).append(action.title)
    for name, titles in menus.items():
        letters = [catalogue(title).partition("&")[2][:1].lower() for title in titles if "&" in title]
        twice = sorted({letter for letter in letters if letters.count(letter) > 1})
        assert not twice, f"{name or 'menu bar'}: {twice}"


def test_french_counts_nought_as_one() -> None:
    # CLDR 44, plural rules: fr one for i = 0, 1; de and en one for i = 1 (from memory)
    french = Words("fr", {"{count} {count:stop|stops}": "{count} {count:jeu|jeux}"})
    said = [say("{count} {count:stop|stops}", count=count).translated(french) for count in (0, 1, 2)]
    assert said == ["0 jeu", "1 jeu", "2 jeux"]
    assert [str(say("{count} {count:stop|stops}", count=count)) for count in (0, 1, 2)] == [
        "0 stops", "1 stop", "2 stops",
    ]  # fmt: skip


def test_words_inside_a_message_are_translated_too() -> None:
    german = Words("de", {"{who} before bar {bar}": "{who} vor Takt {bar}", "the feet": "die Füße"})
    message = joined("; ", [say("{who} before bar {bar}", who=say("the feet"), bar="3a"), "{as it is}"])
    assert message.translated(german) == "die Füße vor Takt 3a; {as it is}"
    assert str(message) == "the feet before bar 3a; {as it is}"


@pytest.mark.parametrize(
    ("wanted", "code"),
    [(["de-CH", "en"], "de"), (["fr_BE"], "fr"), (["nl", "pt"], "en"), ([], "en"), (["cs-CZ", "fr-FR"], "fr")],
)
def test_the_systems_language_is_the_first_that_is_here(wanted: list[str], code: str) -> None:
    assert language_among(wanted) == code
    assert code in LANGUAGES

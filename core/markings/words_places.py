"""Where a user's own words stand: by one score, or in the platform's folder for settings."""

from __future__ import annotations

from pathlib import Path

from core.files import is_there

FILE_NAME = "words.yaml"


def words_beside(score: str | Path) -> Path:
    """Where the words of one piece stand: beside its score, ``NAME.words.yaml``."""
    return Path(score).with_suffix(f".{FILE_NAME}")


def words_of_user() -> Path:
    """Where the words of all pieces stand."""
    from platformdirs import user_config_path

    return user_config_path("stopwright", appauthor=False) / FILE_NAME


def find_place(named: str | None, score: str | None = None) -> Path | None:
    """The file that is named, else the one beside the score, else the user's; None where there is none."""
    if named is not None:
        return Path(named)
    places = [*([words_beside(score)] if score else []), words_of_user()]
    return next((place for place in places if is_there(place)), None)

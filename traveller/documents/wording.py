"""The fixed words of the papers in the customer's language: one TOML file for each, beside this one.

A further language is a further file with the same keys; a test says which are missing.
"""

from __future__ import annotations

import tomllib
from functools import cache
from pathlib import Path

from traveller.errors import InputError

FOLDER = Path(__file__).with_name("words")


def languages() -> tuple[str, ...]:
    return tuple(sorted(path.stem for path in FOLDER.glob("*.toml")))


class Words:
    """``words("part.lot")``: the text of a key, its places filled with what is given."""

    def __init__(self, language: str) -> None:
        if language not in languages():
            raise InputError(f'There are no papers in "{language}": the languages are {", ".join(languages())}.')
        self.language = language
        self._texts = catalogue(language)

    def __call__(self, key: str, **given: object) -> str:
        return self._texts[key].format(**given)


@cache
def catalogue(language: str) -> dict[str, str]:
    """Every text of a language by ``table.key``."""
    data = tomllib.loads((FOLDER / f"{language}.toml").read_text(encoding="utf-8"))
    return {f"{table}.{key}": str(text) for table, texts in data.items() for key, text in texts.items()}

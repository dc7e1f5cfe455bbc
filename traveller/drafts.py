"""What was typed and not yet entered: on the disk of this terminal a moment later, by person and place, so that it
outlives a closed page, a broken line and a killed program. Each is a file of its own; several programs may use them
at once. Only who typed it gets it back: nobody enters a half-typed reading of somebody else in their own name.
"""

from __future__ import annotations

import hashlib
import json
from threading import Condition, Thread
from typing import NamedTuple

from pydantic import BaseModel, ConfigDict, ValidationError

from traveller.errors import InputError
from traveller.terminal import home, keep_words, kept_words

FOLDER = "typed"
LONGEST_FAREWELL = 3.0
"""Seconds that the end of the program waits for a slow disk."""


class Place(NamedTuple):
    """Where the words stand: a unit, or "" for none, and the check or the title of the sheet."""

    unit: str
    field: str


class Draft(BaseModel):
    model_config = ConfigDict(frozen=True, extra="ignore")

    by: str
    unit: str
    field: str
    words: str


Key = tuple[str, Place]


class Drafts:
    """Written by a thread of its own, the latest words only: nobody who types waits for the disk."""

    def __init__(self) -> None:
        self._unwritten: dict[Key, str] = {}
        self._line: Key | None = None
        self._change = Condition()
        self._writer: Thread | None = None

    def keep(self, by: str, place: Place, words: str) -> None:
        """The words as they stand now; empty ones are forgotten. Who has signed on before words of somebody else
        that still stand there takes them over.
        """
        key = (by, place)
        before = self._line
        if before and before != key and before[1] == place and words and self.at(*before) == words:
            self._write(before, "")
        self._line = key
        kept = words if words.strip() else ""
        if kept != self.at(by, place):
            self._write(key, kept)

    def at(self, by: str, place: Place) -> str:
        with self._change:
            if (by, place) in self._unwritten:
                return self._unwritten[by, place]
        draft = _read(_name(by, place))
        return draft.words if draft else ""

    def drop(self, by: str, place: Place) -> None:
        self.keep(by, place, "")

    def units(self, by: str) -> list[str]:
        """The units on which this person has left something half typed."""
        self.flush()
        found = (_read(f"{FOLDER}/{one.name}") for one in sorted((home() / FOLDER).glob("*.json")))
        return sorted({one.unit for one in found if one and one.by == by and one.unit})

    def flush(self) -> bool:
        """Wait until all of it is on the disk; False when the disk does not take it."""
        with self._change:
            self._change.wait_for(lambda: self._writer is None, LONGEST_FAREWELL)
            return not self._unwritten

    def _write(self, key: Key, words: str) -> None:
        with self._change:
            self._unwritten[key] = words
            if self._writer is None:
                self._writer = Thread(target=self._write_out, name="drafts", daemon=True)
                self._writer.start()

    def _write_out(self) -> None:
        """Ends when nothing is left. What the disk does not take stays in memory, and is tried with the next words."""
        tried: dict[Key, str] = {}
        while True:
            taken = [key for key, words in tried.items() if _written(key, words)]
            with self._change:
                for key in taken:
                    if self._unwritten.get(key) == tried[key]:
                        del self._unwritten[key]
                if not self._unwritten or (tried and not taken):
                    self._writer = None
                    self._change.notify_all()
                    return
                tried = dict(self._unwritten)


def _written(key: Key, words: str) -> bool:
    by, place = key
    draft = Draft(by=by, unit=place.unit, field=place.field, words=words)
    try:
        keep_words(_name(by, place), draft.model_dump_json() if words else "")
    except InputError:
        return False
    return True


def _read(name: str) -> Draft | None:
    try:
        return Draft.model_validate_json(kept_words(name))
    except ValidationError:
        return None


def _name(by: str, place: Place) -> str:
    """Titles of sheets are words of people: the name of a file is their digest."""
    said = json.dumps([by, *place]).encode()
    return f"{FOLDER}/{hashlib.sha256(said).hexdigest()[:32]}.json"

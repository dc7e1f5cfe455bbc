"""Places on a board as people and files write them: ``Q3``, ``C17, C18``, ``C1-C4``."""

from __future__ import annotations

import re

from pydantic import TypeAdapter, ValidationError

from traveller.errors import InputError
from traveller.record.work_entries import Reference

MOST_PLACES = 2000
_RANGE = re.compile(r"([A-Za-z]{1,6})([0-9]{1,5})\s*(?:-|–|\.{2,3})\s*([A-Za-z]{1,6})([0-9]{1,5})")
_HALF_RANGE = re.compile(r"([A-Za-z]{1,6})([0-9]{1,5})\s*(?:-|–|\.{2,3})\s*([0-9]{1,5})")
_SPACED = re.compile(r"\s*(?:-|–|\.{2,3})\s*")
_REFERENCE: TypeAdapter[str] = TypeAdapter(Reference)


def expanded(text: str) -> tuple[str, ...]:
    """The places that are named, in capitals, ranges written out; InputError for anything else.

    Between two is a comma, a semicolon or a blank. ``C1-C4`` are four places, ``A1-C1`` is one on board A1.
    """
    closed = _SPACED.sub(lambda found: found[0].strip(), text)
    places = [place for item in re.split(r"[,;\s]+", closed) if item for place in _one(item)]
    if not places:
        raise InputError("The place on the board is missing: write it as printed, for example C17.")
    if len(places) > MOST_PLACES:
        raise InputError(f"{len(places)} places at once are too many: {MOST_PLACES} may be named.")
    return tuple(places)


def _one(item: str) -> list[str]:
    if found := _RANGE.fullmatch(item):
        letters, first, again, last = found.groups()
        if letters.casefold() == again.casefold():
            return _range(item, letters.upper(), int(first), int(last))
    if found := _HALF_RANGE.fullmatch(item):
        letters, first, last = found.groups()
        raise InputError(
            f'"{item}" may be one place or many: write {letters}{first}-{letters}{last} for all from {first} to '
            f"{last}, or {letters}{first}_{last} for one."
        )
    try:
        return [_REFERENCE.validate_python(item)]
    except ValidationError:
        raise InputError(
            f'"{item[:40]}" is no place on a board: letters and a number as printed, for example Q3 or A1-C17.'
        ) from None


def _range(item: str, letters: str, first: int, last: int) -> list[str]:
    if last < first:
        raise InputError(f'"{item}" counts backwards: write {letters}{last}-{letters}{first}.')
    if last - first >= MOST_PLACES:
        raise InputError(f'"{item}" are {last - first + 1} places: {MOST_PLACES} may be named at once.')
    return [f"{letters}{number}" for number in range(first, last + 1)]

"""The parts list of a unit, and what its kinds and columns are called by people and by files."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Self

from pydantic import model_validator

from traveller.record.parts_entries import Part, PartAdded, PartKind, PartsListed
from traveller.vocabulary import Plain

FIELDS = ("reference", "kind", "value", "rating", "footprint", "matched_set", "board", "drives")
BY_HAND = "by hand"
NEEDED = ("reference", "kind")


@dataclass(frozen=True)
class PartsOnUnit:
    """The parts by their reference, in the order of the list; `origin` is empty while there is no list."""

    parts: Mapping[str, Part] = field(default_factory=dict)
    origin: str = ""

    @property
    def says(self) -> str:
        """``349 parts, from file board.csv``."""
        where = self.origin if self.origin == BY_HAND else f"from {self.origin}"
        return f"{len(self.parts)} parts, {where}" if self.parts else "no parts list"

    def in_set(self, name: str) -> list[Part]:
        """The members of a matched set; case and blanks do not matter."""
        wanted = folded(name)
        return [part for part in self.parts.values() if wanted and folded(part.matched_set) == wanted]


def with_entry(state: PartsOnUnit, body: PartsListed | PartAdded) -> PartsOnUnit:
    """The list after one entry; of two parts with one reference the later one counts."""
    match body:
        case PartsListed(parts=parts, origin=origin):
            return PartsOnUnit({part.reference: part for part in parts}, origin)
        case PartAdded(part=part):
            return replace(state, parts={**state.parts, part.reference: part}, origin=state.origin or BY_HAND)


def folded(text: str) -> str:
    """Letters and digits only, case and width alike: ``E-Cap`` and ``e cap`` are the same word."""
    return "".join(sign for sign in unicodedata.normalize("NFKC", text).casefold() if sign.isalnum())


class PartNames(Plain):
    """What kinds and columns are called, by the words in `PartKind` and `FIELDS` that they mean."""

    kinds: Mapping[str, tuple[str, ...]]
    columns: Mapping[str, tuple[str, ...]]

    @model_validator(mode="after")
    def _mean_one_thing(self) -> Self:
        for known, named in (({kind.value for kind in PartKind}, self.kinds), (set(FIELDS), self.columns)):
            if unknown := sorted(set(named) - known):
                raise ValueError(f"{', '.join(unknown)} is not known here; known are {', '.join(sorted(known))}")
            _need_one_meaning(named)
        return self

    @cached_property
    def _kinds(self) -> dict[str, PartKind]:
        own = {folded(kind.value): kind for kind in PartKind}
        return {folded(word): PartKind(kind) for kind, words in self.kinds.items() for word in words} | own

    @cached_property
    def _columns(self) -> dict[str, str]:
        own = {folded(name): name for name in FIELDS}
        return {folded(word): name for name, words in self.columns.items() for word in words} | own

    def kind_of(self, text: str) -> PartKind | None:
        """The kind that a word means, in the singular or with an s behind it; None when nobody knows."""
        word = folded(text)
        return self._kinds.get(word) or self._kinds.get(word.removesuffix("s"))

    def column_of(self, header: str) -> str:
        """The field that a column is for; empty when its header is not known."""
        return self._columns.get(folded(header), "")


def _need_one_meaning(named: Mapping[str, Iterable[str]]) -> None:
    meant: dict[str, str] = {}
    for name, words in named.items():
        for word in words:
            if meant.setdefault(folded(word), name) != name:
                raise ValueError(f'"{word}" stands for {meant[folded(word)]} and for {name}: leave one of them out')

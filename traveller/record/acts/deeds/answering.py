"""Answers to checks, as deeds."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal
from uuid import UUID

from traveller.record.acts import answer as answering
from traveller.record.acts.deeds.deed import Deed, Looked
from traveller.record.acts.rights import Proposed
from traveller.record.answers import Answer, in_words
from traveller.record.unit import Unit


class Answering(Deed):
    """`seen` is the entry that the person saw as the current answer, None when there was none. `asked` is the question
    as it stood there: what is kept can be read without the database."""

    deed: Literal["answer"] = "answer"
    check: str
    given: Answer
    instruments: tuple[str, ...] = ()
    seen: UUID | bool | None = None
    corrects: UUID | None = None
    because: str = ""
    asked: str = ""

    def propose(self, scene: Looked) -> Sequence[Proposed]:
        return answering.answer(
            scene.view,
            scene.person,
            self.check,
            self.given,
            scene.instruments(self.instruments),
            self.seen,
            self.corrects,
            self.because,
            scene.today,
        )

    def says(self) -> str:
        return f"{self.asked or self.check}: {in_words(self.given)}"

    def on_top(self, unit: Unit) -> Deed:
        current = unit.current(self.check)
        return self.model_copy(update={"seen": current.entry if current else None})

"""From what was typed at a check to the answer: words, the fields of a calculation, paths of pictures and curves."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from uuid import UUID

from traveller.curves import with_curves_read
from traveller.errors import Refused
from traveller.record.acts.answer import need_check
from traveller.record.acts.deeds.answering import Answering
from traveller.record.answering import read_answer
from traveller.record.answers import Answer, Calculated, Pictured
from traveller.record.view import UnitView
from traveller.tags import read_tag

Typed = str | Mapping[str, str] | Answer


def answer_given(view: UnitView, full_key: str, typed: Typed) -> Answer:
    """The answer; of pictures only their number, because they are kept apart."""
    check = need_check(view, full_key)
    if isinstance(typed, Mapping):
        return _with_curves(view, check.judge_name, Calculated(inputs=dict(typed)))
    given = read_answer(check, typed) if isinstance(typed, str) else typed
    if given is not typed and isinstance(given, Pictured):
        raise Refused("The sheets of this unit have changed meanwhile: look at it again, then answer.")
    return _with_curves(view, check.judge_name, given) if isinstance(given, Calculated) else given


def _with_curves(view: UnitView, judge_name: str, given: Calculated) -> Calculated:
    judge = view.judges.get(judge_name)
    return Calculated(inputs=with_curves_read(judge.model, given.inputs)) if judge else given


def instrument_tags(scanned: Sequence[str]) -> tuple[str, ...]:
    """The tags of instruments that were scanned or typed."""
    return tuple(read_tag(one).text for one in scanned)


def kept_answer(
    view: UnitView,
    full_key: str,
    typed: Typed,
    instruments: tuple[str, ...],
    seen: UUID | bool | None,
    corrects: UUID | None,
    because: str,
) -> Answering:
    """The same answer in the form in which it waits; who did not say what they saw saw the view."""
    given, current = answer_given(view, full_key, typed), view.unit.current(full_key)
    return Answering(
        check=full_key,
        given=given,
        instruments=instruments,
        seen=(current.entry if current else None) if seen is False else seen,
        corrects=corrects,
        because=because,
        asked=view.book.asked(full_key),
    )

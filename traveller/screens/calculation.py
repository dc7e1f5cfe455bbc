"""A calculation inside a check: its fields come from the model of its judge, without further code."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import partial
from types import MappingProxyType
from typing import TYPE_CHECKING

from traveller.errors import InputError
from traveller.screens.sheet_of_fields import Line, SheetOfFields, Values

if TYPE_CHECKING:
    from pydantic import BaseModel

    from traveller.record.forms import FormField
    from traveller.record.view import UnitView
    from traveller.screens.unit import UnitPage
    from traveller.sheets import Check


def lines_of(model: type[BaseModel], filled: Mapping[str, str] = MappingProxyType({})) -> list[Line]:
    """A line for every field of a judge's model that the record does not fill."""
    from traveller.record.forms import fields_of

    return [
        Line(
            name=field.name,
            label=f"{field.label}{f' ({field.unit})' if field.unit else ''}",
            hint=f"{field.description}{_how_to_type(field)}",
            options=field.options,
            optional=not field.required,
        )
        for field in fields_of(model, filled)
    ]


def _how_to_type(field: FormField) -> str:
    if field.curve:
        return f"; path of a file with two columns, {' and '.join(field.curve)}"
    if field.words:
        return "; several with commas between"
    return "; several values with blanks between" if field.many else ""


def fill_in(page: UnitPage, view: UnitView, check: Check, done: Callable[[UnitView], None]) -> None:
    """Open the fields; entering them answers the check."""
    judge = view.judges.get(check.judge_name)
    if judge is None:
        page.terminal.refuse(InputError(f"The judge {check.judge} is missing: tell the shift lead."))
        return
    lines = lines_of(judge.model, check.fill)
    meter = page.terminal.in_hand.get(check.instrument)
    used = [meter.tag] if meter else []

    def job(values: Values) -> UnitView:
        given = {name: text for name, text in values.items() if text}
        answer = partial(page.workshop.answer, page.tag, check.full_key, given, page.terminal.by, used)
        return answer()

    page.app.push_screen(SheetOfFields(check.ask, lines, job, done, check.help, check.caution))

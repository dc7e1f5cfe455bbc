"""What else a person wants to know about the unit, where the screen has room for it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich.text import Text

from traveller.screens.words import time_words

if TYPE_CHECKING:
    from traveller.record.shop import Shop
    from traveller.record.view import UnitView


HEAD = 11


def aside(view: UnitView, shop: Shop | None) -> Text:
    """Fault as reported, place, work, open nonconformities, the last notes."""
    from traveller.quantities import show
    from traveller.record.findings import estimate_words
    from traveller.record.worklist import progress

    unit, words = view.unit, Text()

    def line(head: str, text: str) -> None:
        words.append(f"\n{head + '  ':{HEAD}}", style="dim")
        words.append(text)

    if unit.nameplate:
        line("reported", unit.nameplate.fault)
        ratings = ", ".join(f"{label} {show(value, si)}" for label, value, si in unit.nameplate.rating_lines())
        line("nameplate", ratings or "no ratings booked")
    if unit.place:
        line("lies at", shop.called(unit.place) if shop else unit.place)
    if unit.returned:
        line("came back", f"{unit.returned.earlier}, {unit.returned.fault} fault, {unit.returned.in_words()}")
    line("work", progress(unit.work, "verified"))
    if unit.findings_made.latest:
        found = unit.findings_made.latest.said
        line("findings", f"{found.advice}, estimate {estimate_words(found)}")
    if unit.findings_made.authority:
        line("authority", unit.findings_made.authority.in_words())
    for one in unit.open_nonconformities():
        line("nonconformity", one.found)
    for entry in unit.notes[-4:]:
        who = shop.called(entry.by) if shop else entry.by
        line(f"note {time_words(entry.at, shop.zone if shop else 'UTC')}", f"{getattr(entry.body, 'text', '')} ({who})")
    return words

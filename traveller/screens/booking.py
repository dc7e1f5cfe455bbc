"""Booking a unit in, and correcting what was booked."""

from __future__ import annotations

from typing import TYPE_CHECKING

from traveller.screens.acts import read_day
from traveller.screens.sheet_of_fields import Line, SheetOfFields, Values

if TYPE_CHECKING:
    from traveller.record.entries import Nameplate
    from traveller.record.view import UnitView
    from traveller.screens.app import TravellerApp
    from traveller.screens.unit import UnitPage

CAUTION = "It may hold a charge: nobody reaches in yet. Conductive dust, unknown powder: gloves and mask first."


def lines_for(known: Nameplate | None = None) -> list[Line]:
    from traveller.quantities import show
    from traveller.vocabulary import RATINGS, UnitKind

    def rating(name: str) -> str:
        value = known.ratings.get(name) if known else None
        return "" if value is None else show(value, RATINGS[name].unit)

    promised = known.promised.isoformat() if known and known.promised else ""
    return [
        Line(
            "kind",
            "kind of unit",
            "",
            known.unit_kind.label if known else "",
            tuple(k.label for k in UnitKind),
        ),
        Line("maker", "maker", "", known.maker if known else ""),
        Line("model", "model", "", known.model if known else ""),
        Line("serial", "serial number", "", known.serial if known else ""),
        Line("customer", "customer", "", known.customer if known else ""),
        Line("order", "order reference", "", known.order if known else "", optional=True),
        Line(
            "fault",
            "fault as reported",
            "in their words; cold, hot, under load?",
            known.fault if known else "",
        ),
        Line("promised", "promised for", "year-month-day, for example 2026-12-31", promised, optional=True),
        *(
            Line(
                name,
                f"{one.label}{f' ({one.unit})' if one.unit else ''}",
                f"from the nameplate, for example {one.example}",
                rating(name),
                optional=True,
            )
            for name, one in RATINGS.items()
        ),
    ]


def read_sheet(values: Values) -> Nameplate:
    from traveller.errors import InputError
    from traveller.quantities import read_quantity
    from traveller.record.entries import Nameplate
    from traveller.record.forms import build
    from traveller.vocabulary import RATINGS, UnitKind

    ratings = {}
    for name, rating in RATINGS.items():
        if values[name]:
            try:
                ratings[name] = read_quantity(values[name], rating.unit).value
            except InputError as error:
                raise InputError(f"{rating.label}: {error}") from None
    return build(
        Nameplate,
        {
            "unit_kind": next(kind for kind in UnitKind if kind.label == values["kind"]),
            "maker": values["maker"],
            "model": values["model"],
            "serial": values["serial"],
            "customer": values["customer"],
            "order": values["order"],
            "fault": values["fault"],
            "promised": read_day(values["promised"]) if values["promised"] else None,
            "ratings": ratings,
        },
    )


def book_in(terminal: TravellerApp) -> None:
    """The sheet for a new unit; afterwards the unit opens on the first check of the first station."""

    def job(values: Values) -> tuple[UnitView, str]:
        nameplate = read_sheet(values)
        before = terminal.workshop.seen_before(nameplate.serial, nameplate.maker)
        view = terminal.workshop.book_in(terminal.by, nameplate)
        return view, ", ".join(card.tag for card in before)

    def done(result: tuple[UnitView, str]) -> None:
        view, before = result
        terminal.open_unit(view.unit.tag, view.unit.station)
        again = f" This serial number was here before: {before}. F6, y links it." if before else ""
        terminal.tell(f"Booked in as {view.unit.tag}. F6, s shows its tag: print it and fix it.{again}")

    first, person = terminal.workshop.desk.stations.book.first, terminal.person
    able = " or ".join(role.label for role in first.who)
    intro = "" if person is None or person.may(*first.who) else f"A {able} scans a badge here before F10."
    terminal.push_screen(SheetOfFields("Book a unit in", lines_for(), job, done, intro, CAUTION))


def correct_booking(page: UnitPage, view: UnitView) -> None:
    because = Line("because", "why it is corrected")

    def job(values: Values) -> UnitView:
        return page.workshop.correct_nameplate(page.tag, page.terminal.by, read_sheet(values), values["because"])

    lines = [*lines_for(view.unit.nameplate), because]
    caution = "Checks whose limits rest on the nameplate have to be answered again."
    page.app.push_screen(
        SheetOfFields(
            "Correct the nameplate", lines, job, lambda after: page.acted(after, "corrected"), caution=caution
        )
    )

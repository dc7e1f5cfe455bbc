"""The lines that the sheets of the siblings ask for, and how a cell and the chosen row are put into words."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from rich.text import Text

from traveller.errors import InputError
from traveller.quantities import read_quantity, show
from traveller.screens.sheet_of_fields import Line
from traveller.screens.words import KEPT_HERE, just_answered, zone

if TYPE_CHECKING:
    from traveller.record.siblings import Row, SiblingSet
    from traveller.record.view import UnitView
    from traveller.screens.app import TravellerApp

READINGS = "one value a device with blanks between: 0.42 0.41 OL 0.43"


def in_hand(terminal: TravellerApp) -> Line:
    tags = ", ".join(one.tag for one in terminal.in_hand.values())
    return Line("used", "measured with", "tags of the instruments, those in hand", tags, optional=True)


def row_lines(terminal: TravellerApp) -> list[Line]:
    return [
        Line("row", "what is measured", "diode C-E, gate resistance, leakage"),
        Line("unit", "unit", "V, Ω, A, F; empty for a bare number", optional=True),
        Line("readings", "readings", READINGS),
        Line("tolerance", "tolerance (%)", "from the median; empty: the usual one for such a row", optional=True),
        in_hand(terminal),
    ]


def cell_lines(table: SiblingSet, row: Row) -> list[Line]:
    unit = f" ({row.unit})" if row.unit else ""
    return [Line(f"d{n}", f"{one}{unit}", value=typed_before(row, one)) for n, one in enumerate(table.devices)]


def cell(row: Row, device: str) -> Text:
    reading = row.readings.get(device)
    if reading is None:
        return Text("–")
    said = "OL" if reading.bound == "overrange" else show(reading.value, row.unit, 3).removesuffix(row.unit).strip()
    if device == row.suspect:
        return Text(f"{said} ◆odd", style="bold reverse")
    return Text(said)


def chosen_words(row: Row, stale: str, width: int, zone_name: str, kept: bool = False) -> Text:
    """The bars of a row, its verdict, its tolerance and the working behind them; days are those of the shop's zone."""
    from traveller.plots import row_bars
    from traveller.record.siblings import named

    words = Text("\n".join(row_bars(row, width)) + "\n")
    words.append(f"{row.finding.verdict.sign} {row.finding.verdict}", style="bold")
    words.append(f"  {row.name}: {row.says}\n")
    if kept:
        words.append(f"{KEPT_HERE}\n", style="bold")
    if stale:
        words.append(f"↻ stale: {stale}\n", style="bold")
    words.append(f"  {row.finding.limit}, {row.tolerance_source or 'as typed'}\n", style="dim")
    lines = [named(line, row.devices) for line in row.finding.working]
    lines += [f"with {', '.join(one.name for one in row.instruments)}"] if row.instruments else []
    lines += [f"measured {len(row.earlier) + 1} times; the latest stands"] if row.earlier else []
    words.append("".join(f"  {line}\n" for line in lines), style="dim")
    measured = row.at.astimezone(zone(zone_name)).date()
    for late in (one for one in row.instruments if one.calibration_due < measured):
        words.append(f"! {late.name} was out of calibration: the row does not count\n", style="bold")
    words.append(f"! {row.finding.caution}", style="dim")
    return words


def typed_before(row: Row, device: str) -> str:
    reading = row.readings.get(device)
    if reading is None:
        return ""
    return "OL" if reading.bound == "overrange" else repr(reading.value)


def one_by_one(table: SiblingSet, row: Row, values: Mapping[str, str]) -> str:
    """The cells as one line, each read alone first, so that a cell with two values is named."""
    for number, device in enumerate(table.devices):
        try:
            read_quantity(values[f"d{number}"], row.unit)
        except InputError as error:
            raise InputError(f"{device}: {error}") from None
    return " ; ".join(values[f"d{number}"] for number in range(len(table.devices)))


def what_was_entered(view: UnitView) -> str:
    """The check that was answered, or that none asks for it here; the note stands in either case."""
    answered = just_answered(view)
    if answered is None:
        return "Noted. No check asks for this row on such a unit."
    check = view.book.check(answered.check)
    return (
        f"Noted, and answered: {check.ask if check else ''} {answered.finding.verdict.sign} {answered.finding.verdict}"
    )

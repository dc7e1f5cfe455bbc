"""The load rigs on a time line: what each takes, its state, who has it and when."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime, timedelta
from functools import partial
from typing import TYPE_CHECKING, Any, ClassVar

from rich.text import Text
from textual.binding import Binding, BindingType
from textual.widget import Widget
from textual.widgets import DataTable

from traveller.screens.page import Page
from traveller.screens.sheet_of_fields import Line, SheetOfFields, Values
from traveller.screens.widgets.fitted_table import FittedTable
from traveller.screens.widgets.lines import Words
from traveller.screens.words import shortened, time_words, zone

if TYPE_CHECKING:
    from traveller.record.rigs import Booking
    from traveller.record.shop import Shop

Rigs = tuple["Shop", "dict[str, list[Booking]]", datetime]
COLUMNS = (("rig", 22), ("state", 12), ("the next 24 hours", 48))
AHEAD, STEP, SHORT_STEP = timedelta(hours=24), timedelta(hours=1), timedelta(minutes=30)
WIDE = 92


def time_line(booked: Sequence[Booking], now: datetime, step: timedelta) -> str:
    """A cell for each step of the next 24 hours: ■ in use, ▤ booked, · free."""
    cells = []
    for number in range(AHEAD // step):
        begins, ends = now + step * number, now + step * (number + 1)
        there = [one for one in booked if one.begins < ends and begins < one.last(now)]
        cells.append("·" if not there else "■" if any(one.in_use() for one in there) else "▤")
    return "".join(cells)


class RigsPage(Page[Rigs]):
    heading = "rigs"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("b", "book", "book", id="rigs.book"),
        Binding("f", "free", "free", id="rigs.free"),
        Binding("o", "out", "out of use", id="rigs.out"),
        Binding("g", "fit", "fit again", id="rigs.fit"),
        Binding("l", "app.runs", "load runs", id="rigs.runs"),
    ]
    DEFAULT_CSS = """
    RigsPage DataTable { height: auto; max-height: 60%; }
    RigsPage #bookings { height: 1fr; padding: 0 1; }
    """

    def __init__(self) -> None:
        super().__init__()
        self._loaded: Rigs | None = None

    def contents(self) -> list[Widget]:
        return [
            Words("", id="lead", classes="pad"),
            FittedTable(id="rigs", cursor_type="row"),
            Words("", id="bookings"),
        ]

    @property
    def table(self) -> DataTable[Text]:
        return self.query_one("#rigs", DataTable)

    def on_mount(self) -> None:
        for name, width in COLUMNS:
            self.table.add_column(name, key=name, width=width)
        self.table.focus()

    def on_resize(self) -> None:
        if self._loaded:
            self.paint(self._loaded)

    def asking(self) -> Callable[[], Rigs]:
        workshop = self.workshop
        return lambda: (workshop.shop(), workshop.rigs.booked(), workshop.desk.clock())

    def paint(self, loaded: Rigs) -> None:
        self._loaded = loaded
        shop, booked, now = loaded
        step, cell = (SHORT_STEP, "half an hour") if self.app.size.width >= WIDE else (STEP, "an hour")
        lead = (
            f"■ in use  ▤ booked  · free, {cell} a cell"
            if shop.rigs
            else "No rig is registered: `traveller shop rig` does it."
        )
        self.query_one("#lead", Words).update(Text(lead))
        at = self.table.cursor_row
        self.table.clear()
        for tag, rig in shop.rigs.items():
            state = "✗ out of use" if rig.out_of_use else "✓ fit"
            cells = (shortened(rig.name, 22), shortened(state, 12), time_line(booked[tag], now, step))
            self.table.add_row(*map(Text, cells), key=tag)
        self.table.move_cursor(row=max(0, at))
        self._paint_bookings()

    def on_data_table_row_highlighted(self) -> None:
        self._paint_bookings()

    def _chosen(self) -> str:
        tags = list(self._loaded[0].rigs) if self._loaded else []
        return tags[self.table.cursor_row] if 0 <= self.table.cursor_row < len(tags) else ""

    def _paint_bookings(self) -> None:
        tag = self._chosen()
        if self._loaded is None or not tag:
            return
        shop, booked, _now = self._loaded
        rig = shop.rigs[tag]
        loads = f", {', '.join(rig.loads)}" if rig.loads else ""
        lines = [f"{tag} {rig.name}: up to {rig.max_volts:g} V, {rig.max_amps:g} A, {rig.max_power:g} W{loads}"]
        lines += [f"✗ out of use: {rig.out_of_use}"] if rig.out_of_use else []
        for one in booked[tag]:
            span = f"{time_words(one.begins, shop.zone)} to {time_words(one.ends, shop.zone)}"
            note = f" ({one.note})" if one.note else ""
            lines.append(
                f"{'■ in use' if one.in_use() else '▤ booked'}  {span}  {one.unit} by {shop.called(one.by)}{note}"
            )
        self.query_one("#bookings", Words).update(Text("\n".join(lines if booked[tag] else [*lines, "nothing booked"])))

    # ---- acts -------------------------------------------------------------------------------------------

    def _ask(self, title: str, lines: list[Line], job: Callable[[Values], Any], said: str) -> None:
        self.app.push_screen(SheetOfFields(title, lines, job, partial(self._done, said)))

    def _done(self, said: str, _after: object) -> None:
        self.tell(said)
        self.refresh_page()

    def action_book(self) -> None:
        from traveller.record.heat_runs.times import read_moment, read_span

        rig = self._chosen()
        lines = [
            Line("unit", "unit", "its tag"),
            Line("begins", "from", "now, 14:30 or 2026-12-01 14:30", value="now"),
            Line("span", "for how long", "3 h or 90 min", value="2 h"),
            Line("note", "note", optional=True),
        ]

        def job(v: Values) -> Any:
            shop = self.terminal.shop
            begins = read_moment(v["begins"], zone(shop.zone if shop else "UTC"), self.workshop.desk.clock())
            ends = begins + read_span(v["span"])
            return self.workshop.rigs.book(rig, v["unit"], begins, ends, self.terminal.by, v["note"])

        if rig:
            self._ask("Book a rig", lines, job, "booked")

    def action_free(self) -> None:
        rig = self._chosen()
        booked = self._loaded[1].get(rig, []) if self._loaded else []
        units = tuple(dict.fromkeys(one.unit for one in booked if not one.in_use()))
        if not units:
            self.tell("Nothing is booked there that could be freed; a run that is on is stopped on its own page.")
            return
        lines = [Line("unit", "booked for", options=units), Line("why", "why", optional=True)]
        by = self.terminal
        self._ask("Free a rig", lines, lambda v: self.workshop.rigs.free(rig, v["unit"], by.by, v["why"]), "free")

    def action_out(self) -> None:
        rig, by = self._chosen(), self.terminal
        lines = [Line("why", "why it is out of use")]
        if rig:
            self._ask("Out of use", lines, lambda v: self.workshop.rigs.out_of_use(rig, by.by, v["why"]), "out of use")

    def action_fit(self) -> None:
        rig = self._chosen()
        if rig:
            job = partial(self.workshop.rigs.out_of_use, rig, self.terminal.by, "")
            self.terminal.errand(job, partial(self._done, "fit for use"))

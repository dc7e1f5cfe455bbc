"""The moisture clocks of a unit's parts: what is out of its bag, for how long, and when it has to be soldered."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, ClassVar

from rich.text import Text
from textual.binding import Binding, BindingType
from textual.widget import Widget
from textual.widgets import DataTable, Static

from traveller.screens.page import Page
from traveller.screens.sheet_of_fields import Line, SheetOfFields, Values
from traveller.screens.widgets.fitted_table import FittedTable
from traveller.screens.words import kept_mark, time_words, with_kept

if TYPE_CHECKING:
    from traveller.record.moisture import ClockLine
    from traveller.record.view import UnitView
    from traveller.store.workshop import Workshop

Loaded = tuple["UnitView", "list[ClockLine]"]
COLUMNS = (("place", 8), ("level", 5), ("state", 11), ("left", 9), ("runs out", 16), ("opened", 200))
DAMP = (
    "Hours count only at no more than 30 °C and 60 % humidity; warmer or damper, the clock runs faster: then follow "
    "the label of the bag."
)
WEAR = "Tape, reels and trays may not stand 125 °C. Hot oven: gloves, and its own instructions first."


class BagsPage(Page[Loaded]):
    heading = "bags"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("o", "open_bag", "opened", id="bags.open"),
        Binding("c", "close_bag", "closed, dry", id="bags.close"),
        Binding("b", "bake", "baked", id="bags.bake"),
    ]

    def __init__(self, tag: str) -> None:
        super().__init__()
        self.tag = tag
        self._rows: tuple[str, ...] = ()

    def contents(self) -> list[Widget]:
        return [
            Static("", id="lead", classes="pad"),
            FittedTable(id="clocks", cursor_type="row"),
            Static(Text(f"! {DAMP}"), classes="caution"),
        ]

    @property
    def clocks(self) -> DataTable[Text]:
        return self.query_one("#clocks", DataTable)

    def on_mount(self) -> None:
        for name, width in COLUMNS:
            self.clocks.add_column(name, key=name, width=width)
        self.clocks.focus()

    def asking(self) -> Callable[[], Loaded]:
        workshop, tag = self.workshop, self.tag
        return lambda: _with_clocks(workshop, workshop.unit(tag))

    def paint(self, loaded: Loaded) -> None:
        view, clocks = loaded
        zone = self.terminal.shop.zone if self.terminal.shop else "UTC"
        out = sum(line.state == "over" for line in clocks)
        over = f", ✗ {out} over" if out else ""
        lead = f"{len(clocks)} out of the bag or stored dry{over}" if clocks else "no bag was opened yet"
        self.query_one("#lead", Static).update(Text(f"{self.tag}: {lead}"))
        at = self.clocks.cursor_row
        self.clocks.clear()
        for line in clocks:
            cells = (
                line.reference,
                line.msl,
                f"{line.sign} {line.state}",
                "-" if line.left_h is None else f"{line.left_h:.1f} h",
                time_words(line.runs_out_at, zone) or line.stopped or "-",
                f"{kept_mark(view, 'bag', line.reference)}{time_words(line.opened_at, zone)}",
            )
            self.clocks.add_row(*(Text(cell) for cell in cells), key=line.reference)
        self._rows = tuple(line.reference for line in clocks)
        if clocks:
            self.clocks.move_cursor(row=min(at, len(clocks) - 1))

    def _chosen(self) -> str:
        return self._rows[self.clocks.cursor_row] if self._rows else ""

    def _ask(self, title: str, lines: list[Line], act: Callable[[Values], UnitView], caution: str = "") -> None:
        def done(view: UnitView) -> None:
            self.paint(_with_clocks(self.workshop, view))
            self.tell(with_kept("entered", view))

        self.app.push_screen(SheetOfFields(title, lines, act, done, caution=caution))

    def action_open_bag(self) -> None:
        lines = [
            Line("places", "parts for", "places on the board: U3 or U3,U4"),
            Line("level", "moisture level", "as printed on the bag: 1, 2, 2a, 3, 4, 5, 5a or 6"),
            Line("body", "body, mm", "thickness; needed to say how long to bake", optional=True),
            Line("out", "hours open before", "if the bag was opened before now", optional=True),
            Line("label", "hours on the label", "if it allows less than the level; needed for level 6", optional=True),
        ]
        self._ask(
            "A bag is open",
            lines,
            lambda v: self.workshop.bags.open(
                self.tag, v["places"], v["level"], self.terminal.by, v["body"], v["out"], v["label"]
            ),
        )

    def action_close_bag(self) -> None:
        line = Line("places", "parts for", "they lie at no more than 10 % humidity", self._chosen())
        self._ask(
            "Stored dry again", [line], lambda v: self.workshop.bags.close(self.tag, v["places"], self.terminal.by)
        )

    def action_bake(self) -> None:
        lines = [
            Line("places", "parts for", "places on the board", self._chosen()),
            Line("hours", "hours in the oven"),
            Line("oven", "oven, °C", "125, 90, 40 or 150", value="125"),
            Line("body", "body, mm", "thickness, if it was not typed before", optional=True),
        ]
        self._ask(
            "Baked",
            lines,
            lambda v: self.workshop.bags.bake(
                self.tag, v["places"], v["hours"], self.terminal.by, v["oven"], v["body"]
            ),
            WEAR,
        )


def _with_clocks(workshop: Workshop, view: UnitView) -> Loaded:
    return view, workshop.bags.clocks(view)

"""The gate: one sentence when the unit may leave, else a line for each thing that keeps it, with the way."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING, ClassVar

from rich.text import Text
from textual import events
from textual.binding import Binding, BindingType
from textual.widget import Widget
from textual.widgets import DataTable, Static

from traveller.counting import many
from traveller.errors import Refused
from traveller.screens.page import Page
from traveller.screens.sheet_of_fields import Line, SheetOfFields, Values
from traveller.screens.widgets.rows import Rows
from traveller.screens.words import time_words

if TYPE_CHECKING:
    from traveller.record.view import UnitView


class GatePage(Page["UnitView"]):
    heading = "gate"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f10", "release", "release", id="gate.release", key_display="F10"),
        Binding("p", "pack", "pack", id="gate.pack"),
        Binding("o", "papers", "papers out", id="gate.papers"),
    ]

    def __init__(self, tag: str) -> None:
        super().__init__()
        self.tag = tag
        self.view: UnitView | None = None

    def contents(self) -> list[Widget]:
        return [
            Static("", id="lead", classes="title"),
            Rows(id="reasons", cursor_type="row", show_header=False),
        ]

    @property
    def table(self) -> DataTable[Text]:
        return self.query_one("#reasons", DataTable)

    def on_mount(self) -> None:
        self.table.add_column("sign", key="sign", width=1)
        self.table.add_column("says", key="says", width=self._room())
        self.table.focus()

    def _room(self) -> int:
        """Cells for a reason. The column has them from the beginning: one as wide as its rows is narrow until they
        have been measured, and what is painted before that stays as it was."""
        return max(40, self.app.size.width - 9)

    def on_resize(self, _event: events.Resize) -> None:
        if self.view and self.table.ordered_columns[-1].width != self._room():
            at = self.table.cursor_row
            self.paint(self.view)
            self.table.move_cursor(row=at)

    def asking(self) -> Callable[[], UnitView]:
        return partial(self.workshop.unit, self.tag)

    def paint(self, loaded: UnitView) -> None:
        self.view = loaded
        unit, reasons = loaded.unit, loaded.reasons
        if unit.release:
            shop = self.terminal.shop
            who = shop.called(unit.release.by) if shop else unit.release.by
            when = time_words(unit.release.at, shop.zone if shop else "UTC")
            lead = f"✓ {self.tag} was released by {who}, {when}. Its traveller is sealed. o writes its papers."
        elif reasons:
            lead = f"✗ {self.tag} may not leave, for {many(len(reasons), 'reason')}. Enter goes to the one chosen."
        else:
            lead = f"✓ {self.tag} may leave: all its checks are done, passed and not stale. F10 releases it."
        self.query_one("#lead", Static).update(Text(lead))
        self.refresh_bindings()
        self.table.clear()
        self.table.ordered_columns[-1].width = width = self._room()
        for number, reason in enumerate(() if unit.release else reasons):
            words = Text(reason.says, overflow="fold")
            words.append(f"  → {reason.todo}", style="dim")
            wrapped = Text("\n").join(words.wrap(self.app.console, width))
            self.table.add_row(Text("✗"), wrapped, key=str(number), height=len(wrapped.plain.splitlines()))

    def on_data_table_row_selected(self, event: DataTable.RowSelected) -> None:
        if self.view is None:
            return
        reason = self.view.reasons[int(str(event.row_key.value))]
        if reason.kind == "work":
            from traveller.screens.worklist import WorkPage

            self.app.push_screen(WorkPage(self.tag))
            return
        if reason.kind == "authority":
            from traveller.screens.findings import FindingsPage

            self.app.push_screen(FindingsPage(self.tag))
            return
        if reason.kind == "joints":
            from traveller.screens.joints import JointsPage

            self.app.push_screen(JointsPage(self.tag))
            return
        self.app.pop_screen()
        if reason.station:
            self.terminal.open_unit(self.tag, reason.station, reason.check)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Of a unit that has left only the papers can still be written."""
        if action in ("release", "pack"):
            return not (self.view and self.view.unit.release)
        return super().check_action(action, parameters)

    def action_pack(self) -> None:
        if self.view is None:
            return
        from traveller.screens.packing import packing_sheet

        def done(view: UnitView) -> None:
            self.paint(view)
            self.tell("Packed. o writes the papers and the address label.")

        self.app.push_screen(packing_sheet(self.terminal, self.view, done))

    def action_papers(self) -> None:
        from traveller.screens.packing import write_papers

        if self.view:
            write_papers(self.terminal, self.view, self.tell)

    def action_release(self) -> None:
        if self.view is None:
            return
        if self.view.reasons:
            few = "; ".join(one.says for one in self.view.reasons[:2])
            self.terminal.refuse(Refused(f"The gate is shut: {few}. Put right what the list names, then release."))
            return
        from traveller.record.acts.route import statement_for

        statement = statement_for(self.view)
        lines = [Line("pin", "your PIN", hidden=True)]

        def act(values: Values) -> UnitView:
            return self.workshop.release(self.tag, self.terminal.by, values["pin"], statement)

        def done(view: UnitView) -> None:
            self.paint(view)
            self.tell("Released. The traveller is sealed; nothing can be added to it. o writes the papers.")

        self.app.push_screen(
            SheetOfFields(
                f"Release {self.tag}",
                lines,
                act,
                done,
                intro=f"You sign for this: {statement}.",
                caution="This cannot be taken back: it seals the traveller.",
            )
        )

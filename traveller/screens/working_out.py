"""What has to be replaced or checked and is not on the work list yet, each with its reason; Enter plans it all."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING, ClassVar

from rich.text import Text
from textual.binding import Binding, BindingType
from textual.widget import Widget
from textual.widgets import DataTable, Static

from traveller.counting import many
from traveller.screens.page import Page
from traveller.screens.sheet_of_fields import Line, SheetOfFields, Values
from traveller.screens.widgets.fitted_table import FittedTable
from traveller.screens.words import with_kept

if TYPE_CHECKING:
    from traveller.record.replacement import WorkedOut
    from traveller.record.view import UnitView


class WorkingOutPage(Page["list[WorkedOut]"]):
    heading = "work out"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f", "failed", "what failed", id="out.failed"),
        Binding("enter", "plan", "plan them all", id="out.plan", key_display="Enter", priority=True),
    ]

    def __init__(self, tag: str) -> None:
        super().__init__()
        self.tag = tag
        self.failed: tuple[str, ...] = ()
        self._lines: dict[str, WorkedOut] = {}

    def contents(self) -> list[Widget]:
        return [
            Static("", id="lead", classes="pad"),
            FittedTable(id="lines", cursor_type="row"),
            Static("", id="whole", classes="pad story"),
        ]

    @property
    def lines(self) -> DataTable[Text]:
        return self.query_one("#lines", DataTable)

    def on_mount(self) -> None:
        for name, width in (("place", 10), ("do", 8), ("why", 13), ("part", 200)):
            self.lines.add_column(name, key=name, width=width)
        self.lines.focus()

    def asking(self) -> Callable[[], list[WorkedOut]]:
        return partial(self.workshop.parts.worked_out, self.tag, self.failed)

    def paint(self, loaded: list[WorkedOut]) -> None:
        self._lines = {line.reference: line for line in loaded}
        failed = f" with {', '.join(self.failed)} failed" if self.failed else ""
        missing = f"{many(len(loaded), 'line is', 'lines are')} missing on the work list: Enter plans all."
        nothing = "Nothing is missing. f names what failed; i on the work list enters the parts list."
        self.query_one("#lead", Static).update(Text(f"{self.tag}{failed}: {missing if loaded else nothing}"))
        at = self.lines.cursor_row
        self.lines.clear()
        for line in loaded:
            cells = (line.reference, line.action, line.reason, line.part)
            self.lines.add_row(*(Text(cell) for cell in cells), key=line.reference)
        self.query_one("#whole", Static).update("")
        if loaded:
            self.lines.move_cursor(row=min(at, len(loaded) - 1))

    def on_data_table_row_highlighted(self, event: DataTable.RowHighlighted) -> None:
        line = self._lines.get(str(event.row_key.value))
        self.query_one("#whole", Static).update(Text(f"{line.reference}: {line.because}" if line else ""))

    def action_failed(self) -> None:
        from traveller.record.acts.work import references_in

        def look(values: Values) -> tuple[tuple[str, ...], list[WorkedOut]]:
            named = tuple(dict.fromkeys(references_in(values["failed"])))
            return named, self.workshop.parts.worked_out(self.tag, named)

        def done(found: tuple[tuple[str, ...], list[WorkedOut]]) -> None:
            self.failed, lines = found
            self.paint(lines)

        field = Line("failed", "what failed", "as printed: Q3 or C17,C18", ", ".join(self.failed))
        self.app.push_screen(SheetOfFields("Which parts failed?", [field], look, done))

    def action_plan(self) -> None:
        """As it stands when it is planned: what somebody else planned meanwhile is not planned twice."""

        def done(view: UnitView) -> None:
            from traveller.record.worklist import progress

            if self.is_current:
                self.app.pop_screen()
            self.terminal.tell(with_kept(f"planned: {progress(view.unit.work)}", view))

        self.terminal.errand(
            partial(self.workshop.parts.work_out, self.tag, self.terminal.by, self.failed),
            done,
        )

"""The calculator: every judge of the stations, without a unit. Nothing is recorded."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any, ClassVar

from rich.text import Text
from textual.binding import BindingType
from textual.containers import VerticalScroll
from textual.widget import Widget
from textual.widgets import DataTable, Static

from traveller.screens.calculation import lines_of
from traveller.screens.page import Page
from traveller.screens.question import finding_words
from traveller.screens.sheet_of_fields import SheetOfFields, Values
from traveller.screens.widgets.fitted_table import FittedTable

if TYPE_CHECKING:
    from traveller.judgement import Finding
    from traveller.record.forms import LoadedJudge


class CalculatorPage(Page["list[LoadedJudge]"]):
    heading = "calculator"
    BINDINGS: ClassVar[list[BindingType]] = []

    def __init__(self) -> None:
        super().__init__()
        self._judges: dict[str, LoadedJudge] = {}

    def contents(self) -> list[Widget]:
        return [
            Static("Choose a calculation and press Enter. Nothing here is recorded.", classes="pad"),
            FittedTable(id="judges", cursor_type="row", show_header=False),
            VerticalScroll(Static("", id="result"), id="legend"),
        ]

    def on_mount(self) -> None:
        table = self.query_one("#judges", DataTable)
        for name, width in (("name", 25), ("station", 14), ("does", 200)):
            table.add_column(name, key=name, width=width)
        table.focus()

    def asking(self) -> Callable[[], list[LoadedJudge]]:
        judges = self.workshop.desk.stations.judges
        return lambda: [judges[name] for name in sorted(judges)]

    def paint(self, loaded: list[LoadedJudge]) -> None:
        if self._judges:
            return
        self._judges = {judge.name: judge for judge in loaded}
        table = self.query_one("#judges", DataTable)
        for judge in loaded:
            station, _, name = judge.name.replace("_", " ").partition(".")
            does = (judge.function.__doc__ or "").strip().splitlines()[0].replace("`", "").replace("_", " ")
            table.add_row(Text(name), Text(station), Text(does), key=judge.name)

    def on_data_table_row_selected(self, event: DataTable.RowSelected) -> None:
        from traveller.curves import with_curves_read
        from traveller.record.forms import read_model

        judge = self._judges[str(event.row_key.value)]

        def job(values: Values) -> Any:
            given = {name: text for name, text in values.items() if text}
            return judge.finding(read_model(judge.model, with_curves_read(judge.model, given), {}))

        self.app.push_screen(SheetOfFields(judge.name, lines_of(judge.model), job, self._show))

    def _show(self, finding: Finding) -> None:
        words = finding_words(finding)
        if finding.caution:
            words.append(f"\n! {finding.caution}", style="bold")
        self.query_one("#result", Static).update(words)

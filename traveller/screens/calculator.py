"""The calculator: every judge of the stations, without a unit. Nothing is recorded."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
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
        self._result: tuple[str, Finding] | None = None

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
        sheets = {sheet.key: sheet.name for sheet in self.workshop.desk.stations.book.sheets}
        table = self.query_one("#judges", DataTable)
        for judge in loaded:
            station = judge.name.partition(".")[0]
            table.add_row(Text(_called(judge)), Text(sheets.get(station, station)), Text(_does(judge)), key=judge.name)

    def on_data_table_row_highlighted(self, event: DataTable.RowHighlighted) -> None:
        """The whole of what it works out; the result of the one that was worked out last stays with it."""
        name = str(event.row_key.value)
        if self._result and self._result[0] == name:
            self._show(*self._result)
        elif judge := self._judges.get(name):
            self.query_one("#result", Static).update(Text(_does(judge)))

    def on_data_table_row_selected(self, event: DataTable.RowSelected) -> None:
        from traveller.curves import with_curves_read
        from traveller.record.forms import read_model

        judge = self._judges[str(event.row_key.value)]

        def job(values: Values) -> Any:
            given = {name: text for name, text in values.items() if text}
            return judge.finding(read_model(judge.model, with_curves_read(judge.model, given), {}))

        self.app.push_screen(
            SheetOfFields(
                _called(judge).capitalize(), lines_of(judge.model), job, partial(self._show, judge.name), _does(judge)
            )
        )

    def _show(self, name: str, finding: Finding) -> None:
        self._result = (name, finding)
        words = finding_words(finding)
        if finding.caution:
            words.append(f"\n! {finding.caution}", style="bold")
        self.query_one("#result", Static).update(words)


def _called(judge: LoadedJudge) -> str:
    return judge.name.partition(".")[2].replace("_", " ")


def _does(judge: LoadedJudge) -> str:
    return (judge.function.__doc__ or "").strip().splitlines()[0].replace("`", "").replace("_", " ")

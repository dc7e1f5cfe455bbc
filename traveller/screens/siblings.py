"""Siblings side by side: one row a measurement, one column a device, and the odd one out by sign and word."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING, ClassVar

from rich.text import Text
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.widget import Widget
from textual.widgets import DataTable

from traveller.errors import InputError
from traveller.screens.page import Page
from traveller.screens.sheet_of_fields import Line, SheetOfFields, Values
from traveller.screens.sibling_sheets import (
    READINGS,
    cell,
    cell_lines,
    chosen_words,
    in_hand,
    one_by_one,
    row_lines,
    typed_before,
    what_was_entered,
)
from traveller.screens.widgets.lines import Words
from traveller.screens.widgets.rows import Rows
from traveller.screens.words import KEPT_SIGN, shortened, with_kept

if TYPE_CHECKING:
    from traveller.record.siblings import Row, SiblingSet
    from traveller.record.view import UnitView

NAME, CELL = 18, 10
DETAIL = 13
"""Lines that are kept for the bars and the working of the chosen row, and for what every page has."""


class SiblingsPage(Page["UnitView"]):
    heading = "siblings"
    DEFAULT_CSS = """
    SiblingsPage #row { height: 1fr; padding: 0 1; scrollbar-size-vertical: 1; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("a", "add", "row", id="siblings.add"),
        Binding("e", "again", "again", id="siblings.again"),
        Binding("c", "cells", "cells", id="siblings.cells"),
        Binding("f", "findings", "findings", id="siblings.findings"),
        Binding("n", "next_set", "next set", id="siblings.next"),
        Binding("s", "new_set", "new set", id="siblings.new"),
        Binding("pagedown", "page(1)", "working down", show=False, priority=True),
        Binding("pageup", "page(-1)", "working up", show=False, priority=True),
    ]

    def __init__(self, tag: str) -> None:
        super().__init__()
        self.tag = tag
        self.view: UnitView | None = None
        self._set = ""
        self._row = ""
        self._columns: tuple[str, ...] = ()

    def contents(self) -> list[Widget]:
        table = Rows(id="rows", cursor_type="row", cell_padding=0, fixed_columns=1)
        return [
            Words("", id="lead", classes="pad"),
            table,
            VerticalScroll(Words("", id="chosen"), id="row", can_focus=False),
        ]

    @property
    def rows(self) -> DataTable[Text]:
        return self.query_one("#rows", DataTable)

    def on_mount(self) -> None:
        self.rows.focus()

    def asking(self) -> Callable[[], UnitView]:
        return partial(self.workshop.unit, self.tag)

    @property
    def table(self) -> SiblingSet | None:
        return self.view.unit.siblings.get(self._set) if self.view else None

    # ---- painting ---------------------------------------------------------------------------------------

    def paint(self, loaded: UnitView) -> None:
        from traveller.record.siblings import last_work, suspicion

        self.view = loaded
        if self._set not in loaded.unit.siblings:
            self._set = next(iter(loaded.unit.siblings), "")
        table = self.table
        if table is None:
            self.query_one("#lead", Words).update(
                Text(f"{self.tag}: nothing is measured side by side yet. s names a set of like devices.")
            )
            return
        seen = suspicion(table, last_work(loaded.unit.disturbances))
        sets = f" (set {list(loaded.unit.siblings).index(self._set) + 1} of {len(loaded.unit.siblings)})"
        lead = Text(f"{table.name}{sets if len(loaded.unit.siblings) > 1 else ''}: ")
        lead.append(f"{seen.sign} {seen.says}", style="bold")
        self.query_one("#lead", Words).update(lead)
        self._paint_rows(table)
        self._paint_chosen()

    def _paint_rows(self, table: SiblingSet) -> None:
        if self._columns != table.devices:
            self._columns = table.devices
            self.rows.clear(columns=True)
            self.rows.add_column("", key="name", width=NAME)
            for device in table.devices:
                self.rows.add_column(device, key=device, width=CELL)
        self.rows.styles.height = min(len(table.rows) + 1, max(4, self.app.size.height - DETAIL))
        self.rows.styles.overflow_x = "auto" if len(table.devices) * CELL + NAME > self.app.size.width else "hidden"
        self.rows.clear()
        for key, row in table.rows.items():
            self.rows.add_row(self._label(row), *(cell(row, device) for device in table.devices), key=key)
        if self._row not in table.rows:
            self._row = next(iter(table.rows), "")
        if self._row:
            self.rows.move_cursor(row=list(table.rows).index(self._row))

    def _stale(self, row: Row) -> str:
        from traveller.record.siblings import is_overtaken, last_work

        work = last_work(self.view.unit.disturbances) if self.view else None
        return f"{work.says} after this" if work and is_overtaken(row, work) else ""

    def _label(self, row: Row) -> Text:
        sign = "↻" if self._stale(row) else row.finding.verdict.sign
        unit = f", {row.unit}" if row.unit else ""
        mark = self._kept_sign(row)
        return Text(f"{sign}{mark} {shortened(row.name, NAME - 3 - len(unit) - len(mark)).rstrip()}{unit}")

    def _kept_sign(self, row: Row) -> str:
        return KEPT_SIGN if self.view and row.entry in self.view.kept else ""

    def on_data_table_row_highlighted(self, event: DataTable.RowHighlighted) -> None:
        self._row = str(event.row_key.value)
        self._paint_chosen()

    def on_resize(self) -> None:
        if self.view:
            self.paint(self.view)

    def _paint_chosen(self) -> None:
        row = self.table.rows.get(self._row) if self.table else None
        width, kept = max(40, self.app.size.width - 4), self._kept_sign(row) if row else ""
        zone = self.terminal.shop.zone if self.terminal.shop else "UTC"
        words = chosen_words(row, self._stale(row), width, zone, bool(kept)) if row else Text("")
        self.query_one("#chosen", Words).update(words)

    def action_page(self, way: int) -> None:
        scroll = self.query_one("#row", VerticalScroll)
        scroll.scroll_page_down(animate=False) if way > 0 else scroll.scroll_page_up(animate=False)

    # ---- measuring --------------------------------------------------------------------------------------

    def _measured(self, said: str) -> Callable[[UnitView], None]:
        def done(view: UnitView) -> None:
            self.paint(view)
            self.tell(with_kept(said, view))

        return done

    def _measure(
        self, set_name: str, devices: str, row: str, unit: str, readings: str, tolerance: str = "", used: str = ""
    ) -> UnitView:
        from traveller.quantities import read_quantity
        from traveller.record.acts.work import references_in
        from traveller.record.siblings import key_of

        percent = read_quantity(tolerance, "%").value if tolerance else None
        view = self.workshop.measuring.siblings(
            self.tag,
            self.terminal.by,
            set_name,
            row,
            readings,
            devices=references_in(devices),
            unit=unit,
            tolerance=percent,
            instruments=references_in(used),
        )
        self._set, self._row = key_of(set_name), key_of(row)
        return view

    def action_new_set(self) -> None:
        lines = [
            Line("set", "name of the set", "power stage, rectifier, output drivers"),
            Line("devices", "its devices", "in the order of the readings: Q1,Q2,Q3,Q4,Q5,Q6"),
            *row_lines(self.terminal),
        ]

        def job(v: Values) -> UnitView:
            return self._measure(v["set"], v["devices"], v["row"], v["unit"], v["readings"], v["tolerance"], v["used"])

        title = "A set of like devices, and its first row"
        self.app.push_screen(SheetOfFields(title, lines, job, self._measured("entered")))

    def action_add(self) -> None:
        table = self.table
        if table is None:
            self.action_new_set()
            return

        def job(v: Values) -> UnitView:
            return self._measure(table.name, "", v["row"], v["unit"], v["readings"], v["tolerance"], v["used"])

        title = f"{table.name}: a row for {', '.join(table.devices)}"
        self.app.push_screen(SheetOfFields(title, row_lines(self.terminal), job, self._measured("entered")))

    def on_data_table_row_selected(self, _event: DataTable.RowSelected) -> None:
        self.action_again()

    def _need_row(self) -> tuple[SiblingSet, Row] | None:
        if (table := self.table) and (row := table.rows.get(self._row)):
            return table, row
        self.terminal.refuse(InputError("Nothing is measured yet: s names a set and its first row."))
        return None

    def action_again(self) -> None:
        if found := self._need_row():
            table, row = found
            typed = " ".join(typed_before(row, device) for device in table.devices)
            lines = [
                Line("readings", f"readings ({row.unit})" if row.unit else "readings", READINGS, typed),
                Line("tolerance", "tolerance (%)", "empty: as before", optional=True),
                in_hand(self.terminal),
            ]

            def job(v: Values) -> UnitView:
                return self._measure(
                    table.name, ",".join(table.devices), row.name, row.unit, v["readings"], v["tolerance"], v["used"]
                )

            title = f"{row.name}: {', '.join(table.devices)}"
            self.app.push_screen(
                SheetOfFields(title, lines, job, self._measured("entered; the earlier row stays behind it"))
            )

    def action_cells(self) -> None:
        if found := self._need_row():
            table, row = found
            lines = cell_lines(table, row)

            def job(v: Values) -> UnitView:
                typed = one_by_one(table, row, v)
                used = ",".join(one.tag for one in self.terminal.in_hand.values())
                return self._measure(table.name, ",".join(table.devices), row.name, row.unit, typed, "", used)

            self.app.push_screen(SheetOfFields(f"{row.name}, cell by cell", lines, job, self._measured("entered")))

    def action_next_set(self) -> None:
        if self.view and self._set in (sets := list(self.view.unit.siblings)):
            self._set, self._row = sets[(sets.index(self._set) + 1) % len(sets)], ""
            self.paint(self.view)

    # ---- into the findings ------------------------------------------------------------------------------

    def action_findings(self) -> None:
        if found := self._need_row():
            table, row = found
            job = partial(
                self.workshop.measuring.siblings_into_findings, self.tag, self.terminal.by, table.name, row.name
            )
            self.terminal.errand(job, self._in_findings)

    def _in_findings(self, view: UnitView) -> None:
        from traveller.record.siblings import last_work, suspicion

        self.paint(view)
        self.tell(with_kept(what_was_entered(view), view))
        device = suspicion(self.table, last_work(view.unit.disturbances)).device if self.table else ""
        if self.table and device and device not in view.unit.work:
            self._offer(self.table, device)

    def _offer(self, table: SiblingSet, device: str) -> None:
        """The failed part for the work list, and its set; Esc plans nothing."""
        others = [one for one in table.devices if one != device]
        lines = [
            Line("part", "which part it is", "for example IGBT module"),
            Line("set", "matched set", "its name; empty: only this part", table.name, optional=True),
            Line("others", "the rest of the set", "they saw the same stress", ",".join(others), optional=True),
        ]
        from traveller.record.acts.work import references_in

        def job(v: Values) -> UnitView:
            return self.workshop.plan_work(
                self.tag, self.terminal.by, [device], v["part"], "failed", v["set"], references_in(v["others"])
            )

        intro = f"Failed part {device} for the work list? F10 plans it, Esc plans nothing."
        done = self._measured(f"{device} is on the work list (F7 on the unit)")
        self.app.push_screen(SheetOfFields(f"{device} is the odd one out", lines, job, done, intro))

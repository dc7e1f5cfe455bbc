"""The work list of a unit: what is to be replaced, how far each line has come, what is left."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING, ClassVar

from rich.text import Text
from textual.binding import Binding, BindingType
from textual.widget import Widget
from textual.widgets import DataTable, Static

from traveller.errors import InputError
from traveller.screens.page import Page
from traveller.screens.sheet_of_fields import Line, SheetOfFields, Values
from traveller.screens.widgets.fitted_table import FittedTable
from traveller.screens.words import kept_mark, time_words, with_kept

if TYPE_CHECKING:
    from traveller.record.view import UnitView
    from traveller.record.worklist import WorkLine

OFFERED = "voltage=450 V  temperature=105  value=470u; nothing if it is the listed part"
REASONS = ("failed", "matched set", "aged", "other")


class WorkPage(Page["UnitView"]):
    """One line a part; the keys act on the chosen line."""

    heading = "work list"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("a", "plan", "add", id="work.plan"),
        Binding("f", "fit", "fit", id="work.fit"),
        Binding("v", "verify", "seen", id="work.verify"),
        Binding("r", "reject", "redo", id="work.reject"),
        Binding("s", "strike", "strike", id="work.strike"),
        Binding("i", "parts", "parts", id="work.parts"),
        Binding("w", "work_out", "work out", id="work.out"),
        Binding("m", "moisture", "bags", id="work.moisture"),
    ]

    def __init__(self, tag: str) -> None:
        super().__init__()
        self.tag = tag
        self.view: UnitView | None = None
        self._rows: tuple[str, ...] = ()

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
        for name, width in (("state", 10), ("place", 8), ("why", 25), ("part", 200)):
            self.lines.add_column(name, key=name, width=width)
        self.lines.focus()

    def asking(self) -> Callable[[], UnitView]:
        return partial(self.workshop.unit, self.tag)

    def paint(self, loaded: UnitView) -> None:
        from traveller.record.worklist import LineState, progress

        self.view = loaded
        work = loaded.unit.work
        begun = any(line.state in (LineState.FITTED, LineState.VERIFIED) for line in work.values())
        lead = progress(work, "fitted") + (f"; {progress(work, 'verified')}" if begun else "")
        listed = len(loaded.unit.parts.parts)
        empty = (
            f"Nothing is planned yet: w works it out from the {listed} parts of the list, a adds by hand."
            if listed
            else "Nothing is planned yet: i enters the parts list, w works it out, a adds by hand."
        )
        self.query_one("#lead", Static).update(Text(f"{self.tag}: {lead if work else empty}"))
        keys = tuple(work)
        at = self.lines.cursor_row
        self.lines.clear()
        for line in work.values():
            self.lines.add_row(*self._cells(line, kept_mark(loaded, "line", line.reference)), key=line.reference)
        if keys:
            self.lines.move_cursor(row=min(at, len(keys) - 1))
        self._rows = keys

    @staticmethod
    def _cells(line: WorkLine, mark: str) -> list[Text]:
        named = line.matched_set and line.reason in ("failed", "matched set")
        why = f"{line.reason}: {line.matched_set}" if named else line.reason
        remark = f"  ({line.remark})" if line.remark else ""
        return [
            Text(f"{line.state.sign} {line.says}"),
            Text(line.reference),
            Text(why),
            Text(f"{mark}{line.part}{remark}"),
        ]

    def on_data_table_row_highlighted(self, event: DataTable.RowHighlighted) -> None:
        line = self.view.unit.work.get(str(event.row_key.value)) if self.view else None
        self.query_one("#whole", Static).update(self._story(line) if line else "")

    def _story(self, line: WorkLine) -> Text:
        """Who did what to the chosen line, and when."""
        shop = self.terminal.shop
        told = [f"{line.reference} {line.part}: {line.says}"]
        if line.because:
            told.append(line.because)
        if line.fitted:
            lot = f", lot {line.lot}" if line.lot else ""
            who = shop.called(line.fitted_by) if shop else line.fitted_by
            told.append(f"{line.fitted}{lot}, {who} {time_words(line.fitted_at, shop.zone if shop else 'UTC')}")
        if line.finding:
            told.append(
                f"against the original: {line.finding.verdict.sign} {line.finding.verdict}, {line.finding.says}"
            )
        if line.verified_by:
            told.append(f"verified by {shop.called(line.verified_by) if shop else line.verified_by}")
        elif line.state.value == "fitted":
            told.append("to be verified by somebody else: v")
        return Text("; ".join([*told, *([line.remark] if line.remark else [])]))

    def _chosen(self) -> str:
        return self._rows[self.lines.cursor_row] if self._rows else ""

    def _done(self, said: str) -> Callable[[UnitView], None]:
        def done(view: UnitView) -> None:
            self.paint(view)
            self.tell(with_kept(said, view))

        return done

    def _ask(self, title: str, lines: list[Line], act: Callable[[Values], UnitView], said: str) -> None:
        self.app.push_screen(SheetOfFields(title, lines, act, self._done(said)))

    def action_plan(self) -> None:
        lines = [
            Line("places", "places on the board", "as printed: Q3 or C17,C18"),
            Line("part", "part", "for example IGBT module, electrolytic 470 µF 450 V"),
            Line("reason", "why", options=REASONS),
            Line("set", "matched set", "its name, if the part belongs to one: power stage", optional=True),
            Line("siblings", "the rest of the set", "Q1,Q2,Q4: they are replaced with it", optional=True),
        ]

        from traveller.record.acts.work import references_in

        def act(values: Values) -> UnitView:
            return self.workshop.plan_work(
                self.tag,
                self.terminal.by,
                references_in(values["places"]),
                values["part"],
                values["reason"],  # type: ignore[arg-type]  # the options are the reasons
                values["set"],
                references_in(values["siblings"]),
            )

        self._ask("Plan what is replaced", lines, act, "planned")

    def action_fit(self) -> None:
        line = self._need_line()
        if line is None:
            return
        if line.action == "check":
            lines = [Line("part", "what was found", "volts of the gate, wave form, resistance, joints")]
        else:
            lines = [
                Line("part", "part that went in", value=line.part),
                Line("lot", "lot or date code", optional=True),
                Line("offered", "figures of a substitute", OFFERED, optional=True),
                Line("anyway", "fitted all the same", "why a weaker part goes in; a lead concedes it", optional=True),
            ]

        from traveller.record.answering import named_values

        def act(values: Values) -> UnitView:
            offered = named_values(values["offered"]) if values.get("offered") else {}
            return self.workshop.fit(
                self.tag,
                line.reference,
                self.terminal.by,
                values["part"],
                values.get("lot", ""),
                offered,
                values.get("anyway", ""),
            )

        done = "checked" if line.action == "check" else "fitted"
        self._ask(f"{line.reference}: {done}", lines, act, f"{line.reference} {done}")

    def action_verify(self) -> None:
        if line := self._need_line():
            job = partial(self.workshop.verify_work, self.tag, line.reference, self.terminal.by)
            self.terminal.errand(job, self._done(f"{line.reference} verified"))

    def action_reject(self) -> None:
        if line := self._need_line():
            self._ask(
                f"{line.reference}: not right",
                [Line("why", "what is wrong with it")],
                lambda v: self.workshop.reject_work(self.tag, line.reference, self.terminal.by, v["why"]),
                f"{line.reference} is to do again",
            )

    def action_strike(self) -> None:
        if line := self._need_line():
            self._ask(
                f"{line.reference}: strike from the list",
                [Line("why", "why it is not replaced")],
                lambda v: self.workshop.strike_work(self.tag, line.reference, self.terminal.by, v["why"]),
                f"{line.reference} struck",
            )

    def action_parts(self) -> None:
        from traveller.screens.parts_list import enter_parts

        enter_parts(self)

    def action_work_out(self) -> None:
        from traveller.screens.working_out import WorkingOutPage

        self.app.push_screen(WorkingOutPage(self.tag))

    def action_moisture(self) -> None:
        from traveller.screens.bags import BagsPage

        self.app.push_screen(BagsPage(self.tag))

    def _need_line(self) -> WorkLine | None:
        if self.view and self._chosen():
            return self.view.unit.work[self._chosen()]
        self.terminal.refuse(InputError("The list is empty: a adds a line."))
        return None

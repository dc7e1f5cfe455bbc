"""Joints and defects counted, class by class, and what nobody has looked at yet."""

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
from traveller.screens.words import kept_mark, time_words, with_kept

if TYPE_CHECKING:
    from traveller.record.inspection_entries import JointClass
    from traveller.record.joints import Count
    from traveller.record.view import UnitView

WAYS = ("by eye", "by X-ray", "not to be seen", "none on this unit")


class JointsPage(Page["UnitView"]):
    heading = "joints"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("n", "none", "none on this unit", id="joints.none"),
        Binding("b", "send_back", "send back", id="joints.send_back"),
        Binding("f7", "work", "work", id="joints.work", key_display="F7"),
    ]

    def __init__(self, tag: str) -> None:
        super().__init__()
        self.tag = tag
        self.view: UnitView | None = None
        self._listed: tuple[JointClass, ...] = ()

    def contents(self) -> list[Widget]:
        return [
            Static("", id="lead", classes="pad"),
            FittedTable(id="lines", cursor_type="row"),
            Static("", id="whole", classes="pad"),
        ]

    @property
    def table(self) -> DataTable[Text]:
        return self.query_one("#lines", DataTable)

    def on_mount(self) -> None:
        for name, width in (("state", 10), ("joints", 20), ("seen", 200)):
            self.table.add_column(name, key=name, width=width)
        self.table.focus()

    def asking(self) -> Callable[[], UnitView]:
        return partial(self.workshop.unit, self.tag)

    def paint(self, loaded: UnitView) -> None:
        from traveller.record.inspection_entries import classes_of
        from traveller.record.joints import classes_left, lines_left, standing_counts, sums

        self.view = loaded
        plate, counts = loaded.unit.nameplate, standing_counts(loaded.proof)
        left, lines = classes_left(loaded.proof), lines_left(loaded.proof)
        expected = classes_of(plate.unit_kind) if plate else ()
        self._listed = (*expected, *(one for one in counts if one not in expected))
        defects, opportunities = sums(counts)
        lead = f"{self.tag}: {many(defects, 'defect')} in {many(opportunities, 'joint')}; "
        lead += f"not seen yet: {', '.join(left)}" if left else "every class is seen"
        self.query_one("#lead", Static).update(Text(lead + ". Enter counts the chosen class."))
        at = self.table.cursor_row
        self.table.clear()
        for one in self._listed:
            self.table.add_row(*self._cells(one, counts.get(one), loaded.unit.joints.get(one)))
        self.table.move_cursor(row=max(0, at))
        unseen = ", ".join(line.reference for line in lines)
        waits = f"◧ fitted, not verified by somebody else: {unseen}. F7, v."
        whole = waits if lines else "✓ every fitted line is verified."
        self.query_one("#whole", Static).update(Text(whole))

    def _cells(self, joint_class: JointClass, stands: Count | None, ever: Count | None) -> list[Text]:
        if stands:
            shop = self.terminal.shop
            who = shop.called(stands.by) if shop else stands.by
            when = time_words(stands.at, shop.zone if shop else "UTC")
            sign = "✗ defects" if stands.seen.defects else "✓ seen"
            mark = kept_mark(self.view, "joints", joint_class) if self.view else ""
            return [Text(sign), Text(joint_class), Text(f"{mark}{stands.in_words()} ({who}, {when})")]
        if ever:
            return [Text("↻ stale"), Text(joint_class), Text(f"as it was: {ever.in_words()}", style="dim")]
        return [Text("· open"), Text(joint_class), Text("")]

    def _done(self, view: UnitView) -> None:
        self.paint(view)
        body = view.entries[-1].body
        finding = getattr(body, "finding", None)
        self.tell(with_kept(f"{finding.verdict.sign} {finding.says}" if finding else "written", view))

    def on_data_table_row_selected(self, _event: DataTable.RowSelected) -> None:
        joint_class = self._chosen()
        if joint_class is None:
            return
        under = joint_class.value == "area array"
        lines = [
            Line("how", "how", value="by X-ray" if under else "by eye", options=WAYS),
            Line("count", "how many joints", "a resistor has two", optional=True),
            Line("defects", "defects", "place and what: C12 bridge; U3.4 void; empty if none", optional=True),
        ]

        def act(v: Values) -> UnitView:
            see = self.workshop.inspection.see
            return see(self.tag, self.terminal.by, joint_class.value, v["how"], v["count"], v["defects"])

        caution = "Count before anything is put right, under magnification."
        self.app.push_screen(SheetOfFields(joint_class.value, lines, act, self._done, caution=caution))

    def action_none(self) -> None:
        if joint_class := self._chosen():
            see = self.workshop.inspection.see
            job = partial(see, self.tag, self.terminal.by, joint_class.value, "none on this unit")
            self.terminal.errand(job, self._done)

    def _chosen(self) -> JointClass | None:
        row = self.table.cursor_row
        return self._listed[row] if 0 <= row < len(self._listed) else None

    def action_send_back(self) -> None:
        from traveller.record.joints import standing_counts
        from traveller.screens.sending_back import send_back

        if self.view:
            counts = standing_counts(self.view.proof).values()
            found = "; ".join(f"{one.place} {one.what}" for count in counts for one in count.seen.defects)
            send_back(self, self.view, self._sent_back, found)

    def _sent_back(self, view: UnitView) -> None:
        """Back on the unit's page, which goes with the unit to where it now stands."""
        from traveller.screens.unit import UnitPage

        self.app.pop_screen()
        if isinstance(page := self.app.screen, UnitPage):
            page.acted(view, "sent back")

    def action_work(self) -> None:
        from traveller.screens.worklist import WorkPage

        self.app.push_screen(WorkPage(self.tag))

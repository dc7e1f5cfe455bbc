"""What was done here while the database was away: what waits, and what somebody has to decide about."""

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
from traveller.screens.sheet_of_fields import Line, SheetOfFields
from traveller.screens.widgets.fitted_table import FittedTable
from traveller.screens.words import KEPT_SIGN, time_words

if TYPE_CHECKING:
    from uuid import UUID

    from traveller.record.acts.afterwards import Kept
    from traveller.store.keepsafe import Question

Loaded = tuple["list[Question]", "list[Kept]"]


class KeptPage(Page[Loaded]):
    """Questions first. Enter enters what is chosen on top of what stands there, d drops it with a reason."""

    heading = "kept here"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("d", "drop", "drop it", id="kept.drop"),
        Binding("s", "share", "share now", id="kept.share"),
    ]

    def __init__(self) -> None:
        super().__init__()
        self._questions: list[Question] = []
        self._waiting: list[Kept] = []

    def contents(self) -> list[Widget]:
        return [
            Static("", id="lead", classes="pad"),
            FittedTable(id="kept", cursor_type="row"),
            Static("", id="whole", classes="pad"),
        ]

    @property
    def table(self) -> DataTable[Text]:
        return self.query_one("#kept", DataTable)

    def on_mount(self) -> None:
        for name, width in (("state", 10), ("unit", 9), ("when", 16), ("what", 200)):
            self.table.add_column(name, key=name, width=width)
        self.table.focus()

    def asking(self) -> Callable[[], Loaded]:
        keeping = self.workshop.keeping
        return lambda: (keeping.questions(), keeping.waiting())

    def paint(self, loaded: Loaded) -> None:
        from traveller.record.shop_entries import SHOP

        self._questions, self._waiting = loaded
        at = self.table.cursor_row
        self.table.clear()
        rows = [("? decide", one.kept) for one in self._questions] + [
            (f"{KEPT_SIGN} kept", one) for one in self._waiting
        ]
        for state, kept in rows:
            said = kept.deed.says().replace("\n", " ")[:200]
            cells = (state, "shop" if kept.tag == SHOP else kept.tag, time_words(kept.at, self._zone()), said)
            self.table.add_row(*map(Text, cells), key=str(kept.id))
        if rows:
            self.table.move_cursor(row=max(0, min(at, len(rows) - 1)))
        self.query_one("#lead", Static).update(Text(self._lead()))
        self._paint_whole()

    def _lead(self) -> str:
        if not self._questions and not self._waiting:
            return "Nothing is kept here: all of it is on the record."
        asked = f"{len(self._questions)} to decide: others were there meanwhile. " if self._questions else ""
        waits = f"kept here, not yet shared: {len(self._waiting)}" if self._waiting else ""
        return f"{asked}{waits}"

    def _zone(self) -> str:
        return self.terminal.shop.zone if self.terminal.shop else "UTC"

    def _chosen(self) -> Question | Kept | None:
        every: list[Question | Kept] = [*self._questions, *self._waiting]
        return every[self.table.cursor_row] if 0 <= self.table.cursor_row < len(every) else None

    def on_data_table_row_highlighted(self, _event: DataTable.RowHighlighted) -> None:
        self._paint_whole()

    def _paint_whole(self) -> None:
        """Both versions, one above the other, and what can be done."""
        chosen = self._chosen()
        question = next((one for one in self._questions if one is chosen), None)
        kept = question.kept if question else next((one for one in self._waiting if one is chosen), None)
        words = Text()
        if kept:
            shop = self.terminal.shop
            who = shop.called(kept.by) if shop else kept.by
            words.append(f"yours: {kept.deed.says()}, {who}, {time_words(kept.at, self._zone())}")
        if question:
            words.append("\n" + "\n".join(f"on the record: {one}" for one in question.why), style="bold")
            on_top = "" if question.stale else "Enter puts yours on top; "
            words.append(f"\n{on_top}d drops it, with a reason", style="dim")
        elif kept:
            words.append("\nIt is shared as soon as the database is back.", style="dim")
        self.query_one("#whole", Static).update(words)

    def _need_question(self) -> UUID | None:
        chosen = self._chosen()
        for one in self._questions:
            if one is chosen:
                return one.kept.id
        self.terminal.refuse(InputError("There is nothing to decide about this: it waits for the database."))
        return None

    def on_data_table_row_selected(self, _event: DataTable.RowSelected) -> None:
        if which := self._need_question():
            job = partial(self.workshop.keeping.put_on_top, which, self.terminal.by)
            self.terminal.errand(job, self._on_top)

    def _on_top(self, what: str) -> None:
        self.refresh_page()
        self.tell(f"{what}: yours is on the record, on top.")

    def action_drop(self) -> None:
        if which := self._need_question():
            keeping, terminal = self.workshop.keeping, self.terminal
            self.app.push_screen(
                SheetOfFields(
                    "Drop what was kept",
                    [Line("because", "why", "it stays in the file of what was dropped")],
                    lambda values: keeping.drop(which, terminal.by, values["because"]),
                    lambda _none: self.tell("dropped; the deed and the reason are kept in dropped.jsonl"),
                )
            )

    def action_share(self) -> None:
        self.terminal.share_kept(told=True)

"""Taking over: item by item, accepted or asked about. Each acceptance is an entry of its own."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial
from typing import TYPE_CHECKING, ClassVar

from rich.text import Text
from textual.binding import Binding, BindingType
from textual.widget import Widget
from textual.widgets import DataTable, Static

from traveller.counting import many
from traveller.screens.handover.pieces import about, open_units, way_in
from traveller.screens.handover.rows import CHOOSE, Row, RowList
from traveller.screens.page import Page
from traveller.screens.sheet_of_fields import Line as Field
from traveller.screens.sheet_of_fields import SheetOfFields, Values
from traveller.screens.words import time_words

if TYPE_CHECKING:
    from traveller.record.handover import Handed
    from traveller.record.shop import Shop
    from traveller.store.handovers import Waiting

EMPTY = "Nothing waits to be accepted. Esc goes back; F3 shows the whole shop."
SHORT_RISKS = {"open across the shift": "open", "due next shift": "due"}
Loaded = tuple["Waiting", "Shop"]


def _lead(mine: int, others: int) -> str:
    """How many items wait for the reader, and what can be done about it."""
    rest = f"{many(others, 'item')} for others, or given by you" if others else ""
    if not mine:
        return f"Nothing waits for you or your crew. Here stand {rest}." if others else EMPTY
    return f"{many(mine, 'item')} to take over, for you or your crew" + (f"; {rest}" if rest else "")


class TakingPage(Page[Loaded]):
    """What waits for the reader comes first, what waits for others below."""

    heading = "take over"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("a", "accept(False)", "accept", id="taking.accept"),
        Binding("t", "accept(True)", "accept, talked", id="taking.talked"),
        Binding("q", "ask", "ask", id="taking.ask"),
        Binding("r", "reply", "reply", id="taking.reply"),
        Binding("w", "settle", "accept, words", id="taking.settle"),
        Binding("u", "take_back", "take back", id="taking.take_back", show=False),
    ]

    def __init__(self, number: str = "") -> None:
        """`number` is the item that is chosen when the page opens; empty is the first."""
        super().__init__()
        self._waiting: Waiting | None = None
        self._first = number
        self._accepted: Handed | None = None

    def contents(self) -> list[Widget]:
        return [
            Static("", id="lead", classes="pad"),
            RowList((("item", 5), ("risk", 7), ("unit", 8), ("says", 400)), "items"),
            Static("", id="whole", classes="pad"),
        ]

    def on_mount(self) -> None:
        self.query_one(RowList).focus()

    def asking(self) -> Callable[[], Loaded]:
        workshop, reader = self.workshop, self.terminal.by
        return lambda: (workshop.handovers.waiting(reader), workshop.shop())

    def paint(self, loaded: Loaded) -> None:
        self._waiting, self.terminal.shop = loaded
        mine, others = len(self._waiting.mine), len(self._waiting.all) - len(self._waiting.mine)
        self.query_one("#lead", Static).update(Text(_lead(mine, others)))
        rows = self.query_one(RowList)
        rows.show(self._rows(self._waiting, loaded[1]))
        if self._first:
            rows.go_to(self._first)
            self._first = ""
        self._paint_whole()

    def _rows(self, waiting: Waiting, shop: Shop) -> Iterator[Row]:
        others = [one for one in waiting.all if one not in waiting.mine]
        for items, whose in ((waiting.mine, ""), (others, "not yours: ")):
            for given in dict.fromkeys(one.handover for one in items):
                handover = waiting.given[given]
                when = time_words(handover.at, shop.zone)
                head = f"{whose}{shop.called(handover.by)} {when} · {handover.what}"
                yield Row("", (Text(""), Text(""), Text(""), Text(head, style="bold")))
                for one in items:
                    if one.handover == given:
                        yield self._row(one)

    @staticmethod
    def _row(handed: Handed) -> Row:
        item = handed.item
        sign = "? asked" if handed.state == "asked" else SHORT_RISKS.get(str(item.risk), str(item.risk))
        style = "bold" if str(item.risk) == "live" else ""
        remark = f"» {item.remark} · " if item.remark else ""
        cells = (f"{item.number:>4}", sign, about(item.unit, item.pieces), f"{remark}{item.says}")
        return Row(str(item.number), tuple(Text(cell, style=style) for cell in cells))

    def _chosen(self) -> Handed | None:
        key = self.query_one(RowList).chosen()
        if self._waiting is None or not key:
            return None
        return next((one for one in self._waiting.all if str(one.item.number) == key), None)

    def on_data_table_row_highlighted(self, _event: DataTable.RowHighlighted) -> None:
        self._paint_whole()

    def _paint_whole(self) -> None:
        handed, shop = self._chosen(), self.terminal.shop
        if handed is None or shop is None or self._waiting is None:
            self.query_one("#whole", Static).update(Text(""))
            return
        body = self._waiting.given[handed.handover].body
        named = f"for {shop.called(body.receiver)}" if body.receiver else ""
        how = "talked through" if body.met else "written only"
        parts = (
            f"item {handed.item.number}",
            handed.item.risk.label,
            named,
            how,
            f"tel. {body.phone}" * bool(body.phone),
        )
        words = Text(" · ".join(part for part in parts if part), style="dim")
        words.append(f"{way_in(handed.item.unit, handed.item.pieces)}\n", style="dim")
        words.append(handed.item.says)
        if handed.item.remark:
            words.append(f"\n» {handed.item.remark}")
        if handed.question:
            words.append(f"\n? {shop.called(handed.asked_by)}: {handed.question}", style="bold")
        if handed.reply:
            words.append(f"\nreply: {handed.reply}")
        if body.words:
            words.append(f"\nto all: {body.words}", style="dim")
        self.query_one("#whole", Static).update(words)

    def on_data_table_row_selected(self, _event: DataTable.RowSelected) -> None:
        handed = self._chosen()
        if handed:
            title = f"Item {handed.item.number}: which unit?"
            open_units(self.terminal, title, handed.item.unit, handed.item.pieces)

    # ---- acts -------------------------------------------------------------------------------------------

    def _done(self, words: str, shop: Shop) -> None:
        self.terminal.shop = shop
        self.refresh_page()
        self.tell(words)

    def action_accept(self, talked: bool) -> None:
        handed = self._chosen()
        if handed is None:
            self._choose_first()
        else:
            number = handed.item.number
            job = partial(self.workshop.handovers.accept, self.terminal.by, [number], talked)
            self.terminal.errand(job, partial(self._taken, handed))

    def _taken(self, handed: Handed, shop: Shop) -> None:
        self._accepted = handed
        self._done(f"item {handed.item.number} is yours. A slip? u takes it back and asks about it.", shop)

    def _choose_first(self) -> None:
        if self._waiting and self._waiting.all:
            self.tell(CHOOSE, refused=True)

    def _sheet(
        self, title: str, label: str, act: Callable[[int, str], Shop], said: str, about: Handed | None = None
    ) -> None:
        handed = about or self._chosen()
        if handed is None:
            self._choose_first()
            return
        number = handed.item.number
        hint = handed.question or f"{handed.item.unit} {handed.item.says}"
        job: Callable[[Values], Shop] = lambda v: act(number, v["text"])  # noqa: E731
        self.app.push_screen(
            SheetOfFields(f"Item {number}: {title}", [Field("text", label, hint)], job, partial(self._done, said))
        )

    def _ask(self, number: int, text: str) -> Shop:
        return self.workshop.handovers.ask(self.terminal.by, number, text)

    def action_ask(self) -> None:
        self._sheet("ask", "question", self._ask, "asked")

    def action_take_back(self) -> None:
        """The item that was accepted last on this page waits again, with what is to be said about it."""
        if self._accepted is None:
            self.tell("Nothing was accepted here that could be taken back.", refused=True)
            return
        said = "It waits again, with your question"
        self._sheet("take it back", "what is not clear", self._ask, said, self._accepted)

    def action_reply(self) -> None:
        handovers, handed = self.workshop.handovers, self._chosen()
        if handed and handed.state != "asked":
            self.tell(f"Nobody has asked about item {handed.item.number}.", refused=True)
            return
        self._sheet("reply", "reply", lambda n, text: handovers.reply(self.terminal.by, n, text), "replied")

    def action_settle(self) -> None:
        def act(number: int, text: str) -> Shop:
            return self.workshop.handovers.accept(self.terminal.by, [number], remark=text)

        self._sheet("accept with words", "your words", act, "accepted")

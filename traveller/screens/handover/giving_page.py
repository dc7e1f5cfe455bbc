"""Handing over: the items that the program proposes, the words of the outgoing side, the signature."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial
from typing import TYPE_CHECKING, ClassVar

from rich.text import Text
from textual.binding import Binding, BindingType
from textual.widget import Widget
from textual.widgets import DataTable, Static

from traveller.counting import many
from traveller.errors import Overtaken
from traveller.screens.handover.draft import Draft, kept_draft
from traveller.screens.handover.pieces import about, open_units, way_in
from traveller.screens.handover.rows import CHOOSE, Row, RowList
from traveller.screens.page import Page
from traveller.screens.sheet_of_fields import Line as Field
from traveller.screens.sheet_of_fields import SheetOfFields, Values

if TYPE_CHECKING:
    from traveller.record.brief.proposing import Candidate
    from traveller.record.handover import Handover
    from traveller.store.handovers import Proposal

WHOLE = "the whole shift"


class GivingPage(Page["Proposal"]):
    """What was written is kept in the terminal's folder until it is signed, through a power cut too."""

    heading = "hand over"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("space", "swap", "leave out/in", id="giving.swap", key_display="Space"),
        Binding("w", "remark", "words", id="giving.remark"),
        Binding("b", "bench", "bench only", id="giving.bench"),
        Binding("f10", "sign", "sign", id="giving.sign", key_display="F10"),
    ]

    def __init__(self) -> None:
        super().__init__()
        self._draft: Draft = Draft()
        self._proposal: Proposal | None = None
        self._as_well = False

    def contents(self) -> list[Widget]:
        return [
            Static("", id="lead", classes="pad"),
            RowList((("in", 4), ("unit", 9), ("says", 400)), "items"),
            Static("", id="whole", classes="pad"),
        ]

    def on_mount(self) -> None:
        self._draft = kept_draft(self.terminal.by)
        self.query_one(RowList).focus()

    def asking(self) -> Callable[[], Proposal]:
        workshop, by, station = self.workshop, self.terminal.by, self._draft.station
        return lambda: workshop.handovers.proposal(by, station)

    def paint(self, loaded: Proposal) -> None:
        self._proposal = loaded
        items = loaded.items
        left_out = sum(one.key in self._draft.left_out and one.may_be_left_out for one in items)
        bench = f"bench {self._draft.station.replace('_', ' ')}: " if self._draft.station else ""
        words = Text(f"{bench}from {self._proposal.turn.in_words()}\n")
        coming = self._proposal.coming.in_words()
        words.append("to the next person at this bench\n" if self._draft.station else f"to {coming}\n")
        out = f", {left_out} left out" if left_out else ""
        words.append(
            f"{many(len(items) - left_out, 'item')}{out}; w adds words to the chosen one, F10 signs", style="dim"
        )
        self.query_one("#lead", Static).update(words)
        self.query_one(RowList).show(self._rows(items))
        self._paint_whole()

    def _rows(self, items: tuple[Candidate, ...]) -> Iterator[Row]:
        risk = ""
        for one in items:
            if str(one.risk) != risk:
                risk = str(one.risk)
                count = sum(other.risk is one.risk for other in items)
                yield Row("", (Text(""), Text(""), Text(f"{risk.upper()} ({count})", style="bold")))
            out = one.key in self._draft.left_out and one.may_be_left_out
            remark = self._draft.remarks.get(one.key, "")
            says = Text(f"{f'» {remark} · ' if remark else ''}{one.says}", style="dim" if out else "")
            mark = "out" if out else "yes"
            yield Row(one.key, (Text(mark), Text(about(one.unit, one.pieces)), says))

    def _item(self) -> Candidate | None:
        key = self.query_one(RowList).chosen()
        return next((one for one in self._proposal.items if one.key == key), None) if self._proposal else None

    def on_data_table_row_highlighted(self, _event: DataTable.RowHighlighted) -> None:
        self._paint_whole()

    def _paint_whole(self) -> None:
        one = self._item()
        if one is None:
            self.query_one("#whole", Static).update(Text(""))
            return
        carried = f" · item {one.carries}, which nobody accepted" if one.carries else ""
        words = Text(
            f"{about(one.unit, one.pieces)} · {one.risk}{carried}{way_in(one.unit, one.pieces)}\n", style="dim"
        )
        words.append(one.says)
        if remark := self._draft.remarks.get(one.key):
            words.append(f"\n» {remark}")
        self.query_one("#whole", Static).update(words)

    def on_data_table_row_selected(self, _event: DataTable.RowSelected) -> None:
        one = self._item()
        if one:
            open_units(self.terminal, "Which unit?", one.unit, one.pieces)

    # ---- acts -------------------------------------------------------------------------------------------

    def _changed(self, draft: Draft) -> None:
        """Kept at once, on disk; then painted."""
        self._draft = draft
        self.terminal.errand(partial(draft.keep, self.terminal.by), lambda _: None)
        if self._proposal:
            self.paint(self._proposal)

    def action_swap(self) -> None:
        one = self._item()
        if one is None:
            self.tell(CHOOSE, refused=True)
            return
        if not one.may_be_left_out:
            self.tell("What is live, what runs and what nobody accepted is always handed over.", refused=True)
            return
        self._changed(self._draft.swapped(one.key))

    def action_remark(self) -> None:
        one = self._item()
        if one is None:
            self.tell(CHOOSE, refused=True)
            return
        key, before = one.key, self._draft.remarks.get(one.key, "")
        lines = [Field("text", "words", "what is done, what is next, what to watch", before, optional=True)]
        done: Callable[[str], None] = lambda text: self._changed(self._draft.remarked(key, text))  # noqa: E731
        self.app.push_screen(SheetOfFields(f"{one.unit} {one.says}"[:74], lines, lambda v: v["text"], done))

    def action_bench(self) -> None:
        from traveller.screens.choice import Choice, Way

        sheets = self.workshop.desk.stations.book.sheets
        ways = [Way(sheet.key, str(sheet.order), sheet.name, "this bench only") for sheet in sheets]
        ways.append(Way("", "w", WHOLE, "by a shift lead"))

        def chosen(key: str | None) -> None:
            if key is not None:
                self._changed(self._draft.at(key))
                self.refresh_page()

        self.app.push_screen(Choice("Hand over what?", ways), chosen)

    def action_sign(self) -> None:
        if self._proposal is None:
            return
        draft = self._draft
        lines = [
            Field("to", "who takes over", "badge or name; a must for what is live", draft.receiver, optional=True),
            Field("words", "words to all", "what is unusual, what is planned", draft.words, optional=True),
            Field("phone", "reached at", "a number for questions", draft.phone, optional=True),
            Field("met", "talked through", "y if both go through it together, else it is written only", optional=True),
        ]
        caution = "Something live takes a named person. Make safe what can be made safe first."
        title = "Hand over as well, on top of the one before" if self._as_well else "Sign the handing over"
        self.app.push_screen(SheetOfFields(title, lines, self._sign, self._signed, caution=caution))

    def _sign(self, values: Values) -> Handover:
        """Runs in a thread: what was typed is kept before it is sent."""
        from traveller.record.acts.handover import Wording

        assert self._proposal is not None
        self._draft = self._draft.worded(values["to"], values["words"], values["phone"])
        self._draft.keep(self.terminal.by)
        wording = Wording(
            station=self._draft.station,
            words=self._draft.words,
            phone=self._draft.phone,
            receiver=self._draft.receiver,
            met=values["met"].casefold() in ("y", "yes"),
            as_well=self._as_well,
            remarks=self._draft.remarks,
            left_out=self._draft.left_out,
            seen=[mark for one in self._proposal.items for mark in one.marks],
        )
        try:
            given = self.workshop.handovers.prepare(self.terminal.by, wording)
        except Overtaken:
            self._as_well = True
            raise
        Draft().keep(self.terminal.by)
        return given

    def _signed(self, given: Handover) -> None:
        self._draft, self._as_well = Draft(), False
        self.refresh_page()
        self.app.pop_screen()
        self.terminal.tell(
            f"{given.what}: {many(len(given.body.items), 'item')} handed over; open until somebody accepts."
        )

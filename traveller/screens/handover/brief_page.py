"""F11, the brief: what can hurt, what runs, what falls due, and everything else, under its headings."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial
from typing import TYPE_CHECKING, ClassVar, NamedTuple
from uuid import UUID

from rich.text import Text
from textual import events
from textual.binding import Binding, BindingType
from textual.widget import Widget
from textual.widgets import DataTable, Static

from traveller.counting import many
from traveller.errors import InputError
from traveller.screens.handover.rows import Row, RowList
from traveller.screens.noting import note_lines
from traveller.screens.page import Page
from traveller.screens.sheet_of_fields import Line as Field
from traveller.screens.sheet_of_fields import SheetOfFields, Values
from traveller.screens.words import AWAY_WORDS, KEPT_HERE, KEPT_SIGN, time_words, zone

if TYPE_CHECKING:
    from traveller.record.brief.brief import Brief, Line
    from traveller.store.handovers import Waiting

Loaded = tuple["Brief", "Waiting", set[str]]
SHORT = {1: "danger", 2: "runs", 3: "due", 4: "items", 5: "changed", 6: "held", 7: "asked", 8: "notes", 9: "failed"}


class Only(NamedTuple):
    """What the reader wants to see; empty is everything."""

    station: str = ""
    crew: str = ""
    rig: str = ""


class BriefPage(Page[Loaded]):
    """Complete on 80x24; Enter opens the unit of the chosen line."""

    heading = "brief"
    REACHED_BY = "handover"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("a", "take", "items", id="brief.take"),
        Binding("h", "give", "hand over", id="brief.give"),
        Binding("n", "note", "note", id="brief.note"),
        Binding("r", "reply", "reply", id="brief.reply"),
        Binding("s", "seen", "seen", id="brief.seen"),
        Binding("f", "filter", "filter", id="brief.filter"),
        Binding("p", "print", "print", id="brief.print"),
    ]

    def __init__(self) -> None:
        super().__init__()
        self._brief: Brief | None = None
        self._lines: dict[str, Line] = {}
        self._only = Only()
        self._kept: set[str] = set()

    def contents(self) -> list[Widget]:
        return [
            Static("", id="lead", classes="pad"),
            Static("", id="counts", classes="pad"),
            RowList((("unit", 9), ("what", 14), ("says", 400)), "brieflines"),
            Static("", id="whole", classes="pad"),
        ]

    def on_mount(self) -> None:
        self.query_one(RowList).focus()

    def asking(self) -> Callable[[], Loaded]:
        workshop, reader, only = self.workshop, self.terminal.by, self._only
        keeping, brief, waiting = workshop.keeping, workshop.briefing.brief, workshop.handovers.waiting
        return lambda: (brief(reader, *only), waiting(reader), {str(one) for one in keeping.waiting_ids()})

    def paint(self, loaded: Loaded) -> None:
        from traveller.record.brief.brief import SHOWN

        brief, waiting, self._kept = loaded
        self._brief = brief
        self._lines = {f"{line.section}/{line.unit}/{line.matter.refers}/{line.says}": line for line in brief.lines}
        counts = brief.counts()
        self.query_one("#lead", Static).update(self._lead(brief, waiting))
        pairs = [f"{section.rank} {SHORT[section.rank]} ({counts[section]})" for section in SHOWN]
        told = "\n".join("  ".join(some) for some in (pairs[:5], pairs[5:]))
        self.query_one("#counts", Static).update(Text(told, style="bold"))
        self.query_one(RowList).show(self._rows(brief))
        self._paint_whole()

    def _lead(self, brief: Brief, waiting: Waiting) -> Text:
        from traveller.record.handover import counted

        parts = [brief.turn.in_words(), f"changes since {time_words(brief.since, brief.turn.zone)}"]
        words = Text(" · ".join(parts))
        if waiting.mine:
            words.append(f"\n{counted(waiting.mine)} to take over: a goes there", style="bold")
        if brief.complaint:
            words.append(f"\n! {brief.complaint}", style="bold")
        if not brief.wanted.anything:
            danger = f", {brief.hidden_dangers} of them DANGEROUS" if brief.hidden_dangers else ""
            words.append(
                f"\nonly {brief.wanted.in_words()}: {many(brief.hidden, 'line')} kept back{danger}", style="bold"
            )
        return words

    def _rows(self, brief: Brief) -> Iterator[Row]:
        from traveller.record.brief.brief import SHOWN
        from traveller.record.brief.matter import Section

        for section in SHOWN:
            lines = brief.under(section)
            sign = "! " if section is Section.DANGER and lines else ""
            head = Text(f"{section.rank} {sign}{section.upper() if lines else section} ({len(lines)})", style="bold")
            yield Row("", (Text(""), Text(""), head))
            for line in lines:
                key = f"{line.section}/{line.unit}/{line.matter.refers}/{line.says}"
                about = line.unit or ("units" if line.station else "shop")
                unit = Text(about, style="" if line.unit else "dim")
                what = line.what or line.station.replace("_", " ")
                mark = f"{KEPT_SIGN} kept · " if line.matter.refers in self._kept else ""
                says = Text(mark + line.says.replace("\n", " "), style="bold" if line.late else "")
                yield Row(key, (unit, Text(what[:14]), says))

    def _chosen(self) -> Line | None:
        return self._lines.get(self.query_one(RowList).chosen())

    def on_data_table_row_highlighted(self, _event: DataTable.RowHighlighted) -> None:
        self._paint_whole()

    def _paint_whole(self) -> None:
        """The chosen line in full: where the unit stands, who said it and when."""
        line, shop = self._chosen(), self.terminal.shop
        if line is None or shop is None:
            self.query_one("#whole", Static).update(Text(""))
            return
        where = [line.station.replace("_", " "), f"on {shop.called(line.place)}" if line.place else ""]
        who = [shop.called(line.matter.by), time_words(line.matter.at, shop.zone)]
        head = " · ".join(part for part in (line.unit, line.what, *where, *who) if part)
        words = Text(f"{head}\n", style="dim")
        words.append(f"{KEPT_HERE}: " if line.matter.refers in self._kept else "")
        words.append(line.says)
        self.query_one("#whole", Static).update(words)

    def on_data_table_row_selected(self, _event: DataTable.RowSelected) -> None:
        from traveller.record.brief.matter import Section

        line = self._chosen()
        if line is None:
            return
        if line.section is Section.ITEM:
            self._take(line.matter.refers)
        elif line.unit:
            self.terminal.open_unit(line.unit)

    def on_key(self, event: events.Key) -> None:
        """The number of a heading goes there."""
        if event.character and event.character in "123456789":
            event.stop()
            self.query_one(RowList).go_to_heading(int(event.character))

    # ---- acts -------------------------------------------------------------------------------------------

    def action_take(self) -> None:
        self._take()

    def _take(self, number: str = "") -> None:
        from traveller.screens.handover.taking_page import TakingPage

        self.app.push_screen(TakingPage(number))

    def action_give(self) -> None:
        from traveller.screens.handover.giving_page import GivingPage

        self.app.push_screen(GivingPage())

    def action_filter(self) -> None:
        shop = self.terminal.shop
        rigs = ", ".join(f"{rig.name} {tag}" for tag, rig in shop.rigs.items()) if shop else ""
        stations = {sheet.name: sheet.key for sheet in self.workshop.desk.stations.book.sheets}
        station = next((name for name, key in stations.items() if key == self._only.station), "")
        lines = [
            Field("station", "station", "", station, tuple(stations), True),
            Field("crew", "crew", "its name", self._only.crew, optional=True),
            Field("rig", "rig or shelf", rigs[:60] or "its tag", self._only.rig, optional=True),
        ]

        def act(values: Values) -> Only:
            return Only(stations.get(values["station"], ""), values["crew"], values["rig"].upper())

        def done(only: Only) -> None:
            self._only = only
            self.refresh_page()

        self.app.push_screen(SheetOfFields("Show only (empty shows everything)", lines, act, done))

    def action_note(self) -> None:
        from traveller.record.notices import read_whom

        lines = [
            *note_lines("note to the shop"),
            Field("question", "is it a question", "y keeps it open until it is answered", optional=True),
        ]

        def act(v: Values) -> str:
            notices, by = self.workshop.notices, self.terminal.by
            if v["question"].casefold() in ("y", "yes"):
                notices.ask(by, v["text"], v["whom"])
                return "asked; it stays open until somebody replies"
            notices.note(by, v["text"], v["done"], v["next"], v["watch"], read_whom(v["whom"]))
            return "noted for the shop"

        self.app.push_screen(SheetOfFields("Note to the shop", lines, act, self._done))

    def _done(self, words: str) -> None:
        self.refresh_page()
        self.tell(f"{words}. {AWAY_WORDS}" if self.workshop.keeping.is_away else words)

    def action_reply(self) -> None:
        from traveller.record.brief.matter import Section

        line = self._chosen()
        if line is None or line.section is not Section.QUESTION:
            self.terminal.refuse(InputError("Choose an open question first: 7 goes there."))
            return
        which = UUID(line.matter.refers)

        def act(values: Values) -> str:
            if line.unit:
                self.workshop.reply(line.unit, which, self.terminal.by, values["text"])
            else:
                self.workshop.notices.reply(self.terminal.by, which, values["text"])
            return "replied"

        self.app.push_screen(SheetOfFields("Reply", [Field("text", "reply", line.says)], act, self._done))

    def action_seen(self) -> None:
        from traveller.record.brief.matter import Section

        line = self._chosen()
        if line is None or line.section is not Section.NOTE:
            self.terminal.refuse(InputError("Choose a note first: 8 goes there."))
            return
        which, by = UUID(line.matter.refers), self.terminal.by
        notices = self.workshop.notices
        job = partial(notices.seen_on, line.unit, by, which) if line.unit else partial(notices.seen, by, which)
        self.terminal.errand(job, lambda _: self._done("seen; it no longer stands in your brief"))

    def action_print(self) -> None:
        """One page for the meeting at the board, as a file in the terminal's folder."""
        brief, shop = self._brief, self.terminal.shop
        if brief is None or shop is None:
            return

        def job() -> str:
            from traveller.documents.board_sheet import board_sheet
            from traveller.terminal import keep_paper

            path = keep_paper(
                f"brief-{brief.now.astimezone(zone(shop.zone)):%Y%m%d-%H%M}.pdf",
                board_sheet(brief, shop.name, shop.called),
            )
            return f"printed to {path}"

        self.terminal.errand(job, self.tell)

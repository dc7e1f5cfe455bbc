"""What was found, what it would cost with each number shown, and what the customer said to it."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING, ClassVar

from rich.text import Text
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.widget import Widget
from textual.widgets import Static

from traveller.screens.acts import read_day
from traveller.screens.page import Page
from traveller.screens.sheet_of_fields import Line, SheetOfFields, Values
from traveller.screens.words import kept_mark, time_words, with_kept

if TYPE_CHECKING:
    from datetime import datetime

    from traveller.record.view import UnitView

ADVICE = ("repair", "wait for authority", "beyond economic repair")


class FindingsPage(Page["UnitView"]):
    heading = "findings"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f", "find", "findings", id="findings.find"),
        Binding("a", "agree", "authority given", id="findings.agree"),
        Binding("r", "refuse", "refused", id="findings.refuse"),
    ]

    def __init__(self, tag: str) -> None:
        super().__init__()
        self.tag = tag
        self.view: UnitView | None = None

    def contents(self) -> list[Widget]:
        return [
            Static("", id="lead", classes="title"),
            VerticalScroll(Static("", id="findings", classes="pad"), id="legend"),
        ]

    def asking(self) -> Callable[[], UnitView]:
        return partial(self.workshop.unit, self.tag)

    def paint(self, loaded: UnitView) -> None:
        self.view = loaded
        made = loaded.unit.findings_made
        says, todo = made.in_the_way() if loaded.unit.outcome == "repair" else ("", "")
        state = f"✗ {says}: {todo}" if says else "✓ nothing here keeps it" if made.latest else "· not written yet"
        self.query_one("#lead", Static).update(Text(f"{self.tag}: {state}"))
        self.query_one("#findings", Static).update(self._words(loaded))

    def _words(self, view: UnitView) -> Text:
        made, words = view.unit.findings_made, Text()
        if made.latest is None:
            return Text("f writes down why it failed, what the repair would cost, and what is to be done.")
        said = made.latest.said
        heads = (
            ("cause", said.root_cause),
            ("mechanism", said.mechanism),
            ("mode", said.mode),
            ("advice", said.advice),
            ("found by", kept_mark(view, "findings") + self._who_and_when(made.latest.by, made.latest.at)),
        )
        for head, text in heads:
            if text:
                words.append(f"{head:10}", style="dim")
                words.append(f"{text}\n")
        words.append("\n" + "\n".join(made.latest.working()) + "\n")
        if made.authority:
            words.append("\nauthority ", style="dim")
            words.append(made.authority.in_words())
            words.append(f"\n{'':10}{self._who_and_when(made.authority.by, made.authority.at)}", style="dim")
        elif made.was_needed:
            words.append("\nauthority ", style="dim")
            words.append("not recorded yet")
        if view.unit.hold:
            words.append(f"\n\non hold: {view.unit.hold.reason}, look again {view.unit.hold.look_again}")
        return words

    def _who_and_when(self, by: str, at: datetime) -> str:
        shop = self.terminal.shop
        return f"{shop.called(by) if shop else by}, {time_words(at, shop.zone if shop else 'UTC')}"

    # ---- doing ------------------------------------------------------------------------------------------

    def _done(self, said: str) -> Callable[[UnitView], None]:
        def done(view: UnitView) -> None:
            self.paint(view)
            self.tell(with_kept(said, view) if view.kept else f"{said}. Next: {view.next_step()}")

        return done

    def action_find(self) -> None:
        last = self.view.unit.findings_made.latest if self.view else None
        said = last.said if last else None
        lines = [
            Line("root_cause", "why it failed", "what killed the part", value=said.root_cause if said else ""),
            Line("mechanism", "mechanism", "what went on in the part: drying out, overvoltage, wear", optional=True),
            Line("mode", "mode", "how it shows: short circuit, no output, now and then", optional=True),
            Line("hours", "hours of work", "that the repair takes, for example 3.5"),
            Line("rate", "rate per hour", "for example 85", value=f"{said.rate:.2f}" if said else ""),
            Line("parts_cost", "parts", "what all parts cost, 0 if none"),
            Line("currency", "currency", "three letters, for example EUR", value=said.currency if said else ""),
            Line("economic_limit", "economic limit", "the most that it is worth, if anybody knows", optional=True),
            Line("advice", "advice", options=ADVICE),
            Line("day", "look again on", "for wait for authority: year-month-day", optional=True),
        ]

        def act(values: Values) -> UnitView:
            day = read_day(values["day"]) if values["day"] else None
            return self.workshop.findings.write(self.tag, self.terminal.by, values, day)

        self.app.push_screen(SheetOfFields("Findings", lines, act, self._done("written")))

    def action_agree(self) -> None:
        last = self.view.unit.findings_made.latest if self.view else None
        currency = last.said.currency if last else ""
        lines = [
            *self._word_lines(),
            Line("up_to", "up to what amount", "for example 1240.50"),
            Line("currency", "currency", "three letters, for example EUR", value=currency),
        ]

        def act(v: Values) -> UnitView:
            day = read_day(v["on"])
            return self.workshop.findings.authority_given(
                self.tag, self.terminal.by, v["who"], v["how"], day, v["up_to"], v["currency"]
            )

        self.app.push_screen(SheetOfFields("The customer agrees", lines, act, self._done("written")))

    def action_refuse(self) -> None:
        lines = [*self._word_lines(), Line("why", "why", optional=True)]

        def act(v: Values) -> UnitView:
            day = read_day(v["on"])
            return self.workshop.findings.authority_refused(
                self.tag, self.terminal.by, v["who"], v["how"], day, v["why"]
            )

        self.app.push_screen(SheetOfFields("The customer does not agree", lines, act, self._done("written")))

    def _word_lines(self) -> list[Line]:
        return [
            Line("who", "who of the customer", "the name of the person"),
            Line("how", "how", "by mail, by telephone, order number"),
            Line("on", "when", "year-month-day", value=self.terminal.today().isoformat()),
        ]

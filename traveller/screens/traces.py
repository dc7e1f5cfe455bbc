"""Signature traces: each node that was traced, the suspect over a good sibling, the worst point, and the limit."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING, ClassVar

from rich.text import Text
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.widget import Widget
from textual.widgets import DataTable

from traveller.counting import many
from traveller.errors import InputError
from traveller.screens.page import Page
from traveller.screens.question import STYLES
from traveller.screens.sheet_of_fields import Line, SheetOfFields, Values
from traveller.screens.widgets.fitted_table import FittedTable
from traveller.screens.widgets.lines import Words
from traveller.screens.words import just_answered, kept_mark, shortened, with_kept

if TYPE_CHECKING:
    from traveller.record.sibling_entries import TraceRole
    from traveller.record.traces import Compared, Trace
    from traveller.record.view import UnitView

Loaded = tuple["UnitView", "dict[str, Compared]"]
LIST, WORDS = 5, 5
"""Lines for the nodes with their heading, and for the words under the plot."""


class TracesPage(Page[Loaded]):
    heading = "traces"
    DEFAULT_CSS = """
    TracesPage #trace { height: 1fr; padding: 0 1; scrollbar-size-vertical: 1; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("s", "take('suspect')", "suspect", id="traces.suspect"),
        Binding("g", "take('good')", "good sibling", id="traces.good"),
        Binding("f", "findings", "findings", id="traces.findings"),
        Binding("pagedown", "page(1)", "working down", show=False, priority=True),
        Binding("pageup", "page(-1)", "working up", show=False, priority=True),
    ]

    def __init__(self, tag: str) -> None:
        super().__init__()
        self.tag = tag
        self._compared: dict[str, Compared] = {}
        self._node = ""

    def contents(self) -> list[Widget]:
        return [
            Words("", id="lead", classes="pad"),
            FittedTable(id="nodes", cursor_type="row"),
            VerticalScroll(Words("", id="plot"), id="trace", can_focus=False),
        ]

    @property
    def nodes(self) -> DataTable[Text]:
        return self.query_one("#nodes", DataTable)

    def on_mount(self) -> None:
        for name, width in (("node", 12), ("verdict", 12), ("good", 5), ("says", 200)):
            self.nodes.add_column(name, key=name, width=width)
        self.nodes.styles.height = LIST
        self.nodes.focus()

    def asking(self) -> Callable[[], Loaded]:
        workshop, tag = self.workshop, self.tag

        def look() -> Loaded:
            from traveller.record.traces import compared

            view, elsewhere = workshop.unit(tag), workshop.measuring.good_traces(tag)
            nodes = view.unit.traces
            return view, {n: compared(tag, one, elsewhere.get(n, ()), view.judges) for n, one in nodes.items()}

        return look

    def paint(self, loaded: Loaded) -> None:
        view, self._compared = loaded
        told = (
            f"{many(len(self._compared), 'node')} traced"
            if self._compared
            else "nothing is traced yet: s takes a suspect"
        )
        self.query_one("#lead", Words).update(Text(f"{self.tag}: {told}"))
        self.nodes.clear()
        for name, one in self._compared.items():
            verdict = f"{one.finding.verdict.sign} {one.finding.verdict}" if one.finding else "· open"
            mark = kept_mark(view, "trace", f"{name} suspect") or kept_mark(view, "trace", f"{name} good")
            self.nodes.add_row(
                Text(name), Text(verdict), Text(f"{one.learned.rests_on:>4}"), Text(f"{mark}{one.says}"), key=name
            )
        if self._node not in self._compared:
            self._node = next(iter(self._compared), "")
        if self._node:
            self.nodes.move_cursor(row=list(self._compared).index(self._node))
        self._paint_plot()

    def on_data_table_row_highlighted(self, event: DataTable.RowHighlighted) -> None:
        self._node = str(event.row_key.value)
        self._paint_plot()

    def on_resize(self) -> None:
        self._paint_plot()

    def _paint_plot(self) -> None:
        from traveller.plots import REFERENCE, SUSPECT, trace_lines

        one = self._compared.get(self._node)
        if one is None:
            self.query_one("#plot", Words).update("")
            return
        width = max(40, self.app.size.width - 4)
        height = max(8, self.app.size.height - LIST - WORDS - 5)
        reference, suspect = ((t.points if t else ()) for t in (one.reference, one.suspect))
        words = Text("\n".join(trace_lines(reference, suspect, one.worst_voltage, width, height)) + "\n")
        words.append(f"{REFERENCE} reference {_whence(one.reference)}   {SUSPECT} suspect {_whence(one.suspect)}\n")
        if one.finding:
            words.append(f"{one.finding.verdict.sign} {one.finding.verdict}", style=STYLES[one.finding.verdict.value])
            words.append("  ")
        words.append(f"{one.says}\n")
        words.append(f"{one.learned.says}\n", style="bold")
        kept = filter(None, map(_kept, (one.reference, one.suspect)))
        lines = (*(one.finding.working if one.finding else ()), *one.learned.working, *kept)
        words.append("\n".join(f"  {line}" for line in lines), style="dim")
        if one.finding:
            words.append(f"\n  {one.finding.source}\n! {one.finding.caution}", style="dim")
        self.query_one("#plot", Words).update(words)

    def action_page(self, way: int) -> None:
        scroll = self.query_one("#trace", VerticalScroll)
        scroll.scroll_page_down(animate=False) if way > 0 else scroll.scroll_page_up(animate=False)

    def action_take(self, role: TraceRole) -> None:
        tags = ", ".join(one.tag for one in self.terminal.in_hand.values())
        lines = [
            Line("node", "node", "as on the drawing: U7.3", self._node),
            Line("file", "file of the trace", "path of a file with two columns, volts and amps"),
            Line("used", "traced with", "tags of the instruments, those in hand", tags, optional=True),
        ]
        from traveller.record.acts.work import references_in

        def job(v: Values) -> UnitView:
            used = references_in(v["used"])
            return self.workshop.measuring.trace(self.tag, self.terminal.by, v["node"], role, v["file"], used)

        def done(view: UnitView) -> None:
            self.refresh_page()
            self.tell(with_kept("The trace is entered.", view))

        caution = "Without power and discharged: measure that it is dead. Same range, same two points."
        title = "Trace of the suspect" if role == "suspect" else "Trace of a good sibling"
        self.app.push_screen(SheetOfFields(title, lines, job, done, caution=caution))

    def action_findings(self) -> None:
        if not self._node:
            self.terminal.refuse(InputError("Nothing is traced yet: s takes the trace of a suspect."))
            return

        def done(view: UnitView) -> None:
            self.refresh_page()
            answered = just_answered(view)
            self.tell("Noted, and the check is answered." if answered else "Noted; no check asks for it here.")

        self.terminal.errand(
            partial(self.workshop.measuring.trace_into_findings, self.tag, self.terminal.by, self._node), done
        )


def _whence(trace: Trace | None) -> str:
    return f"{trace.tag} {shortened(trace.file, 16).rstrip()}" if trace else "(none)"


def _kept(trace: Trace | None) -> str:
    if trace is None or len(trace.points) == trace.taken:
        return ""
    return f"{trace.file}: {len(trace.points)} of {trace.taken} points kept, those that a straight line does not show"

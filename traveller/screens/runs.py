"""Runs of a test, counted with one key each: what the fault shows, and how many clean runs are missing."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime
from functools import partial
from typing import TYPE_CHECKING, ClassVar
from uuid import UUID

from rich.text import Text
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.widget import Widget
from textual.widgets import DataTable, Digits, Label

from traveller.errors import InputError
from traveller.screens.page import Page
from traveller.screens.presses import Presses, enter
from traveller.screens.sheet_of_fields import Line, SheetOfFields, Values
from traveller.screens.widgets.fitted_table import FittedTable
from traveller.screens.widgets.lines import Words
from traveller.screens.words import just_answered, kept_mark, with_kept

if TYPE_CHECKING:
    from traveller.record.runs import Outlook, Test
    from traveller.record.view import UnitView

EVERY = 30.0
"""Seconds after which what was pressed is entered at the latest."""
LIST = 5
BIG = (("made", "runs"), ("failed", "failed"), ("clean", "clean since"), ("still", "still needed"))


class RunsPage(Page["UnitView"]):
    heading = "runs"
    DEFAULT_CSS = """
    RunsPage #big { height: 4; padding: 0 1; }
    RunsPage #big Vertical { width: 1fr; height: 4; }
    RunsPage Digits { width: 100%; }
    RunsPage #seen { height: 1fr; padding: 0 1; scrollbar-size-vertical: 1; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("space", "press(False)", "clean", id="runs.clean", key_display="Space"),
        Binding("plus", "press(False)", "clean", show=False),
        Binding("x", "press(True)", "failed", id="runs.failed"),
        Binding("backspace", "take_back", "take back", id="runs.take_back", key_display="Bksp"),
        Binding("n", "new", "new", id="runs.new"),
        Binding("o", "file", "file", id="runs.file"),
        Binding("f", "findings", "findings", id="runs.findings"),
        Binding("pagedown", "page(1)", "working down", show=False, priority=True),
        Binding("pageup", "page(-1)", "working up", show=False, priority=True),
    ]

    def __init__(self, tag: str) -> None:
        super().__init__()
        self.tag = tag
        self.view: UnitView | None = None
        self._test = ""
        self._names: tuple[str, ...] = ()

    def contents(self) -> list[Widget]:
        return [
            Words("", id="lead", classes="pad"),
            Horizontal(*(Vertical(Digits("0", id=key), Label(name)) for key, name in BIG), id="big"),
            Words("", id="says", classes="pad"),
            FittedTable(id="tests", cursor_type="row"),
            VerticalScroll(Words("", id="working"), id="seen", can_focus=False),
        ]

    @property
    def tests(self) -> DataTable[Text]:
        return self.query_one("#tests", DataTable)

    def on_mount(self) -> None:
        for name, width in (("test", 24), ("runs", 7), ("failed", 7), ("not yet entered", 16)):
            self.tests.add_column(name, key=name, width=width)
        self.tests.styles.height = LIST
        self.tests.focus()
        self.set_interval(EVERY, self.keep_typed)

    def asking(self) -> Callable[[], UnitView]:
        return partial(self.workshop.unit, self.tag)

    # ---- painting ---------------------------------------------------------------------------------------

    def _presses(self, name: str) -> Presses:
        return self.terminal.presses.setdefault((self.tag, name), Presses())

    def _counted(self, view: UnitView, name: str) -> Test:
        """The test with what was pressed and is not entered yet."""
        from traveller.record.runs import Batch, Test, find

        known = find(view.unit.runs, name) or Test(name)
        after = view.unit.sequence + 1
        waiting = tuple(
            Batch(UUID(int=0), after, len(one.marks), one.failures, one.clean_since, one.by, one.first, one.last)
            for one in self._presses(name).batches
        )
        return replace(known, batches=(*known.batches, *waiting))

    def paint(self, loaded: UnitView) -> None:
        from traveller.record.runs import tally

        self.view = loaded
        pressed = (name for tag, name in self.terminal.presses if tag == self.tag)
        recorded = tuple(one.name for one in loaded.unit.runs.values())
        names = (*recorded, *(one for one in pressed if one not in recorded))
        if self._test not in names:
            self._test = names[0] if names else ""
        if names != self._names:
            self._names = names
            self.tests.clear()
            for name in names:
                self.tests.add_row(Text(name), Text(""), Text(""), Text(""), key=name)
            if names:
                self.tests.move_cursor(row=names.index(self._test))
        for name in names:
            total, waiting = tally(self._counted(loaded, name).batches), self._presses(name).waiting
            kept = kept_mark(loaded, "runs", name.casefold()).rstrip(" ·")
            waits = ", ".join(part for part in (str(waiting) if waiting else "", kept) if part) or "·"
            cells = (str(total.runs), str(total.failures), waits)
            for column, cell in zip(("runs", "failed", "not yet entered"), cells, strict=True):
                self.tests.update_cell(name, column, Text(cell))
        self._paint_count()

    def on_data_table_row_highlighted(self, event: DataTable.RowHighlighted) -> None:
        self._test = str(event.row_key.value)
        self._paint_count()

    def _outlook(self) -> Outlook | None:
        from traveller.record.runs import outlook
        from traveller.record.siblings import last_work

        if self.view is None or not self._test:
            return None
        work = last_work(self.view.unit.disturbances)
        return outlook(self._counted(self.view, self._test), work, self.view.judges)

    def _paint_count(self) -> None:
        seen = self._outlook()
        lead = f"{self.tag}: {self._test}" if self._test else f"{self.tag}: nothing is counted yet. n names a test."
        self.query_one("#lead", Words).update(Text(lead, style="bold"))
        if seen is None:
            return
        now = seen.now
        for key, value in (("made", now.runs), ("failed", now.failures), ("clean", now.clean), ("still", seen.still)):
            self.query_one(f"#{key}", Digits).update(str(value))
        when = "before the repair" if seen.after is None else f"since the repair; before it {_of(seen)} failed"
        says = Text(f"{seen.sign} {seen.says}\n", style="bold")
        says.append(f"counted {when}", style="none")
        self.query_one("#says", Words).update(says)
        self.query_one("#working", Words).update(self._working(seen))

    @staticmethod
    def _working(seen: Outlook) -> Text:
        words = Text()
        if seen.bound:
            words.append(f"{seen.bound.verdict.sign} {seen.bound.verdict}  {seen.bound.says}\n")
            words.append("".join(f"  {line}\n" for line in seen.bound.working), style="dim")
        words.append("".join(f"  {line}\n" for line in seen.working), style="dim")
        if seen.bound:
            words.append(f"  source {seen.bound.source}\n! {seen.bound.caution}", style="dim")
        return words

    def action_page(self, way: int) -> None:
        scroll = self.query_one("#seen", VerticalScroll)
        scroll.scroll_page_down(animate=False) if way > 0 else scroll.scroll_page_up(animate=False)

    # ---- counting ---------------------------------------------------------------------------------------

    def action_press(self, failed: bool) -> None:
        if not self._test or self.view is None:
            self.terminal.refuse(InputError("Which test is it? n names one."))
            return
        self._presses(self._test).press(self.terminal.by, failed, datetime.now(UTC))
        self.tell("")
        self.paint(self.view)
        self._enter(self._test)

    def action_take_back(self) -> None:
        if not self._test or self.view is None:
            return
        if self._presses(self._test).take_back():
            self.tell("The last press is taken back.")
            self.paint(self.view)
            return
        if self._presses(self._test).flying:
            self.tell("That press is on its way into the record: take it back in a moment.", refused=True)
            return
        last = self._own_last()
        if last is None:
            self.terminal.refuse(InputError("There is no press of yours that could be taken back."))
            return
        job = partial(self.workshop.measuring.take_back_run, self.tag, self.terminal.by, self._test, last)
        self.terminal.errand(job, self._done("Your last run is taken back; its line stays in the history."))

    def _own_last(self) -> bool | None:
        """Whether the latest run that this person entered had failed; None when there is none."""
        from traveller.record.runs import find

        known = find(self.view.unit.runs, self._test) if self.view else None
        own = [one for one in known.batches if one.by == self.terminal.by] if known else []
        return own[-1].failures > 0 and own[-1].clean_since == 0 if own else None

    def keep_typed(self) -> None:
        """Whatever was pressed on this unit goes into the record now."""
        for (tag, name), presses in self.terminal.presses.items():
            if tag == self.tag:
                presses.close()
                self._enter(name)

    def _enter(self, name: str) -> None:
        enter(self.terminal, self.tag, name, self._entered)

    def _entered(self, view: UnitView) -> None:
        if self.is_attached:
            self.paint(view)

    def _done(self, said: str) -> Callable[[UnitView], None]:
        def done(view: UnitView) -> None:
            self.paint(view)
            self.tell(with_kept(said, view))

        return done

    # ---- other ways in and out --------------------------------------------------------------------------

    def action_new(self) -> None:
        def named(name: str) -> None:
            from traveller.record.runs import find

            known = find(self.view.unit.runs, name) if self.view else None
            self._test = name = known.name if known else name
            self._presses(name)
            if self.view:
                self.paint(self.view)
            self.tell("Count: space for a clean run, x for one that failed.")

        line = Line("test", "name of the test", "what is run over and over: warm start, self-test cold")
        self.app.push_screen(
            SheetOfFields("A test to be counted", [line], lambda v: " ".join(v["test"].split()), named)
        )

    def action_file(self) -> None:
        lines = [
            Line("test", "name of the test", "warm start", self._test),
            Line("file", "file of the runs", "path of a text file, one line a run: ok or fail"),
        ]

        def job(v: Values) -> UnitView:
            from traveller.record.runs import clean_at_the_end
            from traveller.runs_file import runs_in

            name, made = runs_in(v["file"])
            since = clean_at_the_end(made)
            return self.workshop.measuring.runs(
                self.tag, self.terminal.by, v["test"], len(made), sum(made), since, source=name
            )

        self.app.push_screen(SheetOfFields("Runs from a file", lines, job, self._done("The runs are counted.")))

    def action_findings(self) -> None:
        if not self._test:
            self.terminal.refuse(InputError("Nothing is counted yet: n names a test."))
            return
        if self._presses(self._test).waiting:
            self.keep_typed()
            self.tell("What was pressed goes into the record first: press f again in a moment.", refused=True)
            return

        def done(view: UnitView) -> None:
            self.paint(view)
            answered = just_answered(view)
            why = "Noted. The checks of runs are asked once the fault shows now and then, or was not seen."
            self.tell(with_kept("Noted, and the checks of the runs are answered." if answered else why, view))

        job = partial(self.workshop.measuring.runs_into_findings, self.tag, self.terminal.by, self._test)
        self.terminal.errand(job, done)


def _of(seen: Outlook) -> str:
    return f"{seen.before.failures} of {seen.before.runs}"

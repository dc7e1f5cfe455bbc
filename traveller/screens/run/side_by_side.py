"""All heat runs side by side, the running ones first: how each stands, and its curves in small."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, ClassVar

from rich.text import Text
from textual.binding import Binding, BindingType
from textual.containers import ItemGrid, VerticalScroll
from textual.message import Message
from textual.widget import Widget
from textual.widgets import Static

from traveller.screens.page import Page
from traveller.screens.run.page import LOOK_AGAIN_SECONDS
from traveller.screens.run.plot import plot
from traveller.screens.run.words import heat_curves, heat_limits, readings, short_hold
from traveller.screens.widgets.lines import Words

if TYPE_CHECKING:
    from traveller.record.heat_runs.watch import RunWatch

NARROWEST = 38
PLOT_LINES = 5


class RunPanel(Static, can_focus=True):
    """One run in small; Enter opens it."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("enter", "open", "open", show=False)]
    DEFAULT_CSS = """
    RunPanel { height: 11; padding: 0 1; border-left: blank; }
    RunPanel:focus { border-left: thick $primary; }
    RunPanel:nocolor:focus { text-style: bold; }
    """

    class Opened(Message):
        def __init__(self, tag: str) -> None:
            super().__init__()
            self.tag = tag

    def __init__(self) -> None:
        super().__init__("")
        self.tag = ""
        self._shown: tuple[RunWatch, str, str] | None = None

    def on_resize(self) -> None:
        if self._shown:
            self.show(*self._shown)

    def show(self, one: RunWatch, rig: str, zone: str) -> None:
        self.tag, self._shown = one.tag, (one, rig, zone)
        plate = one.view.unit.nameplate
        width = max(20, self.size.width)
        verdict = f" {one.run.judged.verdict.sign} {one.run.judged.verdict}" if one.run.judged else ""
        warned = one.warnings()
        lines = [
            Text(f"{one.tag} {plate.model if plate else ''} {one.run.state}{verdict}", style="bold"),
            Text(f"on {rig}"),
            *short_hold(one, zone),
            *readings(one).wrap(self.app.console, width)[:1],
            Text(f"! {warned[0]}" if warned else ""),
            *map(Text, plot(heat_curves(one), width, PLOT_LINES, heat_limits(one), "°")),
        ]
        for line in lines:
            line.truncate(width, overflow="ellipsis")
        self.update(Text("\n").join(lines))

    def action_open(self) -> None:
        self.post_message(self.Opened(self.tag))

    def on_click(self) -> None:
        self.action_open()


class HeatRunsPage(Page["list[RunWatch]"]):
    heading = "load runs"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "open", "open", id="runs.open", key_display="Enter"),
        Binding("tab,down,right", "app.focus_next", "next", id="runs.next", key_display="Tab"),
        Binding("up,left", "app.focus_previous", "before", show=False),
        Binding("r", "app.rigs", "rigs", id="runs.rigs"),
    ]
    DEFAULT_CSS = """
    HeatRunsPage ItemGrid { height: auto; }
    HeatRunsPage VerticalScroll { height: 1fr; }
    """

    def contents(self) -> list[Widget]:
        grid = ItemGrid(id="panels", min_column_width=NARROWEST)
        return [Words("", id="lead", classes="pad"), VerticalScroll(grid, can_focus=False)]

    def on_mount(self) -> None:
        self.set_interval(LOOK_AGAIN_SECONDS, self.refresh_page)

    def asking(self) -> Callable[[], list[RunWatch]]:
        return self.workshop.heat_runs.all

    def paint(self, loaded: list[RunWatch]) -> None:
        running = sum(one.run.state == "running" for one in loaded)
        lead = f"{running} running of {len(loaded)}" if loaded else "No run is planned. F6 o on a unit plans one."
        self.query_one("#lead", Words).update(Text(lead))
        grid = self.query_one("#panels", ItemGrid)
        panels = list(grid.query(RunPanel))
        for _ in range(len(loaded) - len(panels)):
            grid.mount(RunPanel())
        for panel in panels[len(loaded) :]:
            panel.remove()
        self.call_after_refresh(self._show, loaded)

    def _show(self, loaded: list[RunWatch]) -> None:
        shop = self.terminal.shop
        panels = list(self.query(RunPanel))
        for panel, one in zip(panels, loaded, strict=False):
            panel.show(one, shop.called(one.run.rig) if shop else one.run.rig, shop.zone if shop else "UTC")
        if panels and not isinstance(self.focused, RunPanel):
            panels[0].focus()

    def action_open(self) -> None:
        if isinstance(self.focused, RunPanel):
            self.focused.action_open()

    def on_run_panel_opened(self, message: RunPanel.Opened) -> None:
        from traveller.screens.run.page import RunPage

        if message.tag:
            self.app.push_screen(RunPage(message.tag))

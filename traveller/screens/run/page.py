"""One heat run as it is watched: plan, hold, big figures, curves with their limits, what must be known now."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from typing import TYPE_CHECKING, ClassVar

from rich.text import Text
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.widget import Widget
from textual.widgets import Digits, Static

from traveller.screens.page import Page
from traveller.screens.run import sheets
from traveller.screens.run.plot import plot
from traveller.screens.run.words import (
    band,
    channel_words,
    head,
    heat_curves,
    heat_limits,
    hold_line,
    load_curves,
    notices,
    readings,
    steps,
    under,
    value,
    verdict_lines,
)
from traveller.screens.widgets.lines import Words
from traveller.screens.words import time_words

if TYPE_CHECKING:
    from traveller.record.heat_runs.plan import Plan
    from traveller.record.heat_runs.watch import RunWatch
    from traveller.record.view import UnitView

MOST_FIGURES = 5
LOOK_AGAIN_SECONDS = 5.0
MOST_NOTICES = 4


class RunPage(Page["RunWatch | Plan"]):
    """The latest run of a unit; without one, the plan that its ratings suggest."""

    heading = "load run"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("p", "plan", "plan", id="run.plan"),
        Binding("s", "start", "start", id="run.start"),
        Binding("r", "reading", "reading", id="run.reading"),
        Binding("n", "note", "note", id="run.note"),
        Binding("x", "stop", "stop", id="run.stop"),
        Binding("j", "judge", "judge", id="run.judge"),
        Binding("f", "settle", "fault settled", id="run.settle"),
        Binding("v", "verdict", "verdict", id="run.verdict"),
        Binding("b", "send_back", "send back", id="run.back"),
    ]
    DEFAULT_CSS = """
    RunPage #runhead { height: 3; padding: 0 1; }
    RunPage #figures { height: 4; padding: 0 1; }
    RunPage .figure { width: 1fr; height: 4; }
    RunPage .figure Digits { width: 100%; }
    RunPage #readings { height: auto; padding: 0 1; display: none; }
    RunPage #told { height: auto; max-height: 6; padding: 0 1; }
    RunPage #told.-whole { height: 1fr; max-height: 100%; }
    RunPage #notices { height: auto; }
    RunPage #curves { height: 1fr; }
    RunPage #curves Static { width: 1fr; height: 100%; }
    """

    def __init__(self, tag: str) -> None:
        super().__init__()
        self.tag = tag
        self.watched: RunWatch | None = None
        self.suggested: Plan | None = None
        self._whole_verdict = False

    def contents(self) -> list[Widget]:
        figures = [Vertical(Digits("--"), Static(""), classes="figure") for _ in range(MOST_FIGURES)]
        return [
            Words("", id="runhead"),
            Horizontal(*figures, id="figures"),
            Words("", id="readings"),
            VerticalScroll(Words("", id="notices"), id="told", can_focus=True),
            Horizontal(Static("", id="load"), Static("", id="heat"), id="curves"),
        ]

    def on_mount(self) -> None:
        self.set_interval(LOOK_AGAIN_SECONDS, self.refresh_page)

    def on_resize(self) -> None:
        if self.watched:
            self.call_after_refresh(self._paint_curves)

    @property
    def _zone(self) -> str:
        return self.terminal.shop.zone if self.terminal.shop else "UTC"

    def asking(self) -> Callable[[], RunWatch | Plan]:
        workshop, tag = self.workshop, self.tag

        def look() -> RunWatch | Plan:
            if workshop.unit(tag).unit.heat_runs:
                return workshop.heat_runs.watch(tag)
            return workshop.heat_runs.suggested(tag)

        return look

    def paint(self, loaded: RunWatch | Plan) -> None:
        from traveller.record.heat_runs.watch import RunWatch

        if isinstance(loaded, RunWatch):
            self.watched, self.suggested = loaded, loaded.run.plan
            self._paint_run(loaded)
        else:
            self.watched, self.suggested = None, loaded
            self._paint_plan(loaded)
        self.refresh_bindings()

    def _paint_plan(self, plan: Plan) -> None:
        lines = [f"{self.tag}: no run yet. This follows from its ratings; p plans it."]
        lines += ["steps: " + ", ".join(step.in_words() for step in plan.steps)]
        self.query_one("#runhead", Words).update(Text("\n".join(lines)))
        self.query_one("#figures").display = False
        told = [f"· reform first: {plan.reform}"] if plan.reform else []
        told += [channel_words(plan, one) for one in plan.channels]
        self._notices(told, whole=True)
        self.query_one("#curves").display = False

    def _paint_run(self, one: RunWatch) -> None:
        rig = self.terminal.shop.called(one.run.rig) if self.terminal.shop else one.run.rig
        lines = Text("\n").join([head(one, rig), steps(one), hold_line(one, self._zone)])
        self.query_one("#runhead", Words).update(lines)
        self._paint_figures(one)
        empty = one.run.state == "planned"
        told = verdict_lines(one) if self._whole_verdict else notices(one, self._zone)
        planned = [channel_words(one.run.plan, channel) for channel in one.run.plan.channels] if empty else []
        self._notices([*told, *planned], empty)
        self.query_one("#told").set_class(bool(one.warnings()), "caution")
        self.query_one("#figures").display = not self._whole_verdict and not empty
        self.query_one("#curves").display = not self._whole_verdict and not empty
        self.call_after_refresh(self._paint_curves)

    def _notices(self, told: Sequence[str | Text], whole: bool = False) -> None:
        """As many lines as there is room for beside the curves; all of them where there are no curves."""
        whole = whole or self._whole_verdict
        more = [] if whole or len(told) <= MOST_NOTICES else [f"and {len(told) - MOST_NOTICES} more"]
        shown = [*(told if whole else told[:MOST_NOTICES]), *more]
        self.query_one("#told").set_class(whole, "-whole")
        lines = [one if isinstance(one, Text) else Text(one) for one in shown]
        self.query_one("#notices", Words).update(Text("\n").join(lines))

    def _paint_figures(self, one: RunWatch) -> None:
        channels = one.run.plan.channels
        for place, box in enumerate(self.query(".figure").results(Vertical)):
            box.display = place < len(channels)
            if place < len(channels):
                box.query_one(Digits).update(value(one, channels[place]))
                box.query_one(Static).update(under(one, channels[place]))
        rest = self.query_one("#readings", Words)
        rest.display = len(channels) > MOST_FIGURES and not self._whole_verdict
        rest.update(readings(one))

    def _paint_curves(self) -> None:
        one = self.watched
        if one is None or not self.is_mounted:
            return
        foot = f"{time_words(one.run.started, self._zone, False)} to {time_words(one.read_at, self._zone, False)}"
        for name, title, curves, limits, unit in (
            ("#load", "load %", load_curves(one), band(one), "%"),
            ("#heat", "temperatures", heat_curves(one), heat_limits(one), "°"),
        ):
            box = self.query_one(name, Static)
            wide, high = box.size
            drawn = plot(curves, wide, max(2, high - 2), limits, unit)
            legend = f"{title}: {', '.join(f'{one[:1]} {one}' if len(one) > 1 else one for one in curves)}"
            box.update(Text("\n".join([legend[: wide - 1], *drawn, f"{foot:>{wide}}"]), no_wrap=True))

    # ---- acts -------------------------------------------------------------------------------------------

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Only the keys that make sense now."""
        state = self.watched.run.state if self.watched else ""
        fits = {
            "plan": state != "running",
            "start": state == "planned",
            "reading": state == "running",
            "note": bool(state),
            "stop": state == "running",
            "judge": state in ("stopped", "judged"),
            "settle": bool(self.watched and self.watched.faults and state != "planned"),
            "verdict": state == "judged",
            "send_back": self._failed,
        }
        return fits.get(action, super().check_action(action, parameters))

    def action_plan(self) -> None:
        if self.suggested:
            sheets.plan(self, self.suggested)

    def action_start(self) -> None:
        sheets.start(self)

    def action_reading(self) -> None:
        if self.watched:
            sheets.reading(self, self.watched)

    def action_note(self) -> None:
        sheets.note(self)

    def action_stop(self) -> None:
        sheets.stop(self)

    def action_settle(self) -> None:
        if self.watched:
            sheets.settle(self, self.watched)

    def action_judge(self) -> None:
        used = list(self.terminal.in_hand)
        job = partial(self.workshop.heat_runs.judge, self.tag, self.terminal.by, used)
        self.terminal.errand(job, self._judged)

    def _judged(self, after: object) -> None:
        from traveller.store.heat_runs import AfterJudging

        assert isinstance(after, AfterJudging)
        self._whole_verdict = True
        verdict = after.judgement.verdict
        said = [f"{verdict.sign} {verdict}"]
        said += [f"not answered: {why}" for why in after.judgement.unanswered[:2]]
        if verdict == "fail":
            said.append("A nonconformity was put down. Measure it dead, then b sends the unit back.")
        self.acted("\n".join(said))

    @property
    def _failed(self) -> bool:
        """Judged and failed, and the unit still stands where runs are made."""
        one = self.watched
        judged = one.run.judged if one else None
        here = one is not None and one.view.unit.station == self.workshop.heat_runs.usual.station
        return here and judged is not None and judged.verdict == "fail"

    def action_send_back(self) -> None:
        """With the words of what failed; the unit's page then goes with it."""
        from traveller.record.heat_runs.verdict import failed_words
        from traveller.screens.sending_back import send_back

        if self.watched and self.watched.run.judged:
            send_back(self, self.watched.view, self._sent_back, failed_words(self.watched.run.judged.parts))

    def _sent_back(self, view: UnitView) -> None:
        from traveller.screens.unit import UnitPage

        self.app.pop_screen()
        if isinstance(page := self.app.screen, UnitPage):
            page.acted(view, "sent back")

    def action_verdict(self) -> None:
        self._whole_verdict = not self._whole_verdict
        if self.watched:
            self._paint_run(self.watched)
            self.query_one("#told").focus()

    def acted(self, said: str) -> None:
        self.tell(said)
        self.refresh_page()

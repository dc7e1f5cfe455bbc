"""The unit: what it is, where it stands, is it safe, what is next, and one line to answer the next check."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING, ClassVar

from rich.text import Text
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.widget import Widget
from textual.widgets import Input, Label

from traveller.drafts import Place
from traveller.errors import InputError, Refused, TravellerError
from traveller.screens.aside import aside
from traveller.screens.page import Page
from traveller.screens.question import Question, live_words, opens_fields
from traveller.screens.unit_head import alerts, identity, route
from traveller.screens.widgets.check_list import CheckList
from traveller.screens.widgets.lines import Words
from traveller.screens.widgets.typed_line import TypedLine
from traveller.screens.words import KEPT_HERE, KEPT_SIGN, state_words, with_kept
from traveller.tags import is_instrument
from traveller.terminal import picture_meant

if TYPE_CHECKING:
    from uuid import UUID

    from traveller.record.evidence import Standing
    from traveller.record.view import UnitView
    from traveller.sheets import Check

MOST_REASONS = 3


class UnitPage(Page["UnitView"]):
    """The answer line always has the focus: arrows choose the check, typing answers it, Enter enters it."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f6", "acts", "acts", id="unit.acts", key_display="F6"),
        Binding("f7", "work", "work", id="unit.work", key_display="F7"),
        Binding("f8", "gate", "gate", id="unit.gate", key_display="F8"),
        Binding("f9", "history", "history", id="unit.history", key_display="F9"),
        Binding("f10", "move_on", "move on", id="unit.move_on", key_display="F10"),
        Binding("up", "choose(-1)", "up", show=False),
        Binding("down", "choose(1)", "down", show=False),
        Binding("pageup", "station(-1)", "station before", show=False),
        Binding("pagedown", "station(1)", "station after", show=False),
    ]

    def __init__(self, tag: str, station: str = "", check: str = "", first: UnitView | None = None) -> None:
        super().__init__(first)
        self.tag = tag
        self.view: UnitView | None = None
        self._station = station
        self._stood_at = ""
        self._check = check
        self._seen: dict[str, UUID | None] = {}
        self._refused_at: str | None = None

    def contents(self) -> list[Widget]:
        return [
            Words("", id="identity"),
            Words("", id="route"),
            Words("", id="alerts"),
            Vertical(
                CheckList(),
                Vertical(
                    Question(),
                    Vertical(
                        Horizontal(
                            Label("› ", id="arrow"), TypedLine(id="typed", select_on_focus=False), classes="field"
                        ),
                        Words("", id="verdict"),
                        id="answer",
                    ),
                    Words("", id="aside"),
                    id="question",
                ),
                id="body",
            ),
        ]

    def on_mount(self) -> None:
        self.query_one("#typed", Input).focus()

    @property
    def checks(self) -> CheckList:
        return self.query_one(CheckList)

    @property
    def typed(self) -> Input:
        return self.query_one("#typed", Input)

    def asking(self) -> Callable[[], UnitView]:
        return partial(self.workshop.unit, self.tag)

    # ---- painting ---------------------------------------------------------------------------------------

    def paint(self, loaded: UnitView) -> None:
        first_look = self.view is None
        self.view = loaded
        unit = loaded.unit
        if first_look:
            here = self.terminal.settings.station
            reached = loaded.book.sheet(here), loaded.sheet
            at_mine = reached[0] and reached[1] and reached[0].order <= reached[1].order
            self._station = self._station or (here if at_mine else unit.station)
            self._stood_at = unit.station
        self.heading = self._sheet_name()
        self.paint_top()
        self._paint_head(loaded)
        self._paint_checks(loaded)
        self._paint_question()
        self.query_one("#aside", Words).update(aside(loaded, self.terminal.shop))

    def _sheet_name(self) -> str:
        sheet = self.view.book.sheet(self._station) if self.view else None
        return sheet.name if sheet else ""

    def _paint_head(self, view: UnitView) -> None:
        today = self.terminal.today()
        self.query_one("#identity", Words).update(identity(view, today, self._station))
        self.query_one("#route", Words).update(route(view, self._station, self.app.size.width - 2))
        lines = [*self._kept_words(view), *alerts(view, today)]
        box = self.query_one("#alerts", Words)
        box.set_class(bool(lines), "-shown")
        box.update(Text("\n".join(lines)))

    @staticmethod
    def _kept_words(view: UnitView) -> list[str]:
        return [f"{KEPT_HERE}: {len(view.kept)}"] if view.kept else []

    def _state(self, standing: Standing) -> str:
        """Sign and word; what is not yet on the record says so, behind the sign of its verdict."""
        kept = self.view and standing.evidence and standing.evidence.entry in self.view.kept
        return f"{standing.state.sign} {KEPT_SIGN} kept" if kept else state_words(standing)

    def standings(self) -> list[Standing]:
        return self.view.standings(self._station) if self.view else []

    def on_resize(self) -> None:
        if self.view:
            self._paint_head(self.view)
            self._paint_checks(self.view)

    def _paint_checks(self, view: UnitView) -> None:
        self.checks.show(self.standings(), self._state)
        if self._check not in self.checks.keys:
            first = view.first_open(self._station)
            self._check = first.check.full_key if first else next(iter(self.checks.keys), "")
        self.checks.choose(self._check)

    def chosen_check(self) -> str:
        return self._check

    def _standing(self) -> Standing | None:
        return next((one for one in self.standings() if one.check.full_key == self._check), None)

    def _paint_question(self) -> None:
        if self.view is None:
            return
        standing = self._standing()
        zone = self.terminal.shop.zone if self.terminal.shop else "UTC"
        self.query_one(Question).show(standing, self.terminal.in_hand, self.terminal.today(), zone)
        self.query_one("#verdict", Words).set_class(bool(standing and standing.check.limit), "-measured")
        if standing:
            key = standing.check.full_key
            self._seen.setdefault(key, standing.evidence.entry if standing.evidence else None)
            draft = self.terminal.drafts.at(self.terminal.by, Place(self.tag, key))
            if draft and not self.typed.value:
                self.typed.value = draft
                self.typed.cursor_position = len(draft)
        self._paint_verdict()

    # ---- choosing ---------------------------------------------------------------------------------------

    def keep_typed(self) -> None:
        """What was typed and not entered stays with its check until it is entered or wiped."""
        if self._check:
            self.terminal.drafts.keep(self.terminal.by, Place(self.tag, self._check), self.typed.value)

    def _go_to(self, check: str) -> None:
        self.keep_typed()
        self._check = check
        self.typed.value = ""
        self._seen.pop(check, None)
        self.checks.choose(check)
        self._paint_question()

    def action_choose(self, by: int) -> None:
        if self.checks.keys:
            self._go_to(self.checks.beside(self._check, by))

    def action_station(self, by: int) -> None:
        if self.view is None:
            return
        keys = [sheet.key for sheet in self.view.book.sheets]
        at = keys.index(self._station) if self._station in keys else 0
        self.keep_typed()
        self._station = keys[max(0, min(len(keys) - 1, at + by))]
        self._check = ""
        self.typed.value = ""
        self.paint(self.view)

    def takes_scan(self, tag: str) -> bool:
        """A unit's tag scanned while a check asks for a tag goes into its line; Enter still enters it."""
        standing = self._standing()
        if standing and standing.check.kind.value == "scan":
            self.typed.value = tag
            self.tell("The tag is in the line: Enter enters it.")
            return True
        return False

    # ---- answering --------------------------------------------------------------------------------------

    def tell(self, text: str, refused: bool = False) -> None:
        self._refused_at = self.typed.value if refused and self.is_mounted else None
        super().tell(text, refused)

    def on_input_changed(self, _event: Input.Changed) -> None:
        """What was refused is being put right: the verdict under the line speaks now. News of a scan that went through
        the line may come late, when the line is again as it was."""
        self.keep_typed()
        if self.typed.value and self._refused_at not in (None, self.typed.value):
            self.tell("")
        self._paint_verdict()

    def _paint_verdict(self) -> None:
        standing = self._standing()
        words = Text("")
        if self.view and standing:
            words = live_words(self.view, standing, self.typed.value, tuple(self.terminal.in_hand.values()))
        self.query_one("#verdict", Words).update(words)

    def on_input_submitted(self, _event: Input.Submitted) -> None:
        standing = self._standing()
        if self.view is None or standing is None:
            return
        check, text = standing.check, self.typed.value.strip()
        if check.instrument and is_instrument(text):
            self.typed.value = ""
            self.terminal.scans.scanned(text)
        elif opens_fields(check, text):
            self._fill_in(check)
        elif check.kind.value == "photo" and not text and standing.evidence:
            self._look_at(check)
        elif not text:
            self.tell("Type the answer behind the › first, then Enter.", refused=True)
        else:
            self._enter(check, text)

    def _enter(self, check: Check, text: str) -> None:
        in_hand = self.terminal.in_hand.get(check.instrument)
        used = [in_hand.tag] if in_hand else []
        if check.kind.value == "photo":
            try:
                text = picture_meant(text)
            except InputError as error:
                self.terminal.refuse(error)
                return
        seen = self._seen.get(check.full_key)
        job = partial(self.workshop.answer, self.tag, check.full_key, text, self.terminal.by, used, seen)
        self.terminal.errand(job, self._entered, self._not_entered)

    def _look_at(self, check: Check) -> None:
        from traveller.screens.photos import PhotosPage

        self.app.push_screen(PhotosPage(self.tag, check.full_key))

    def _fill_in(self, check: Check) -> None:
        from traveller.screens.calculation import fill_in

        assert self.view is not None
        fill_in(self, self.view, check, self._entered)

    def _entered(self, view: UnitView) -> None:
        body = view.entries[-1].body
        self.terminal.drafts.drop(self.terminal.by, Place(self.tag, self._check))
        self._seen.clear()
        self.typed.value = ""
        left = view.first_open(self._station)
        self._check = left.check.full_key if left else self._check
        finding = getattr(body, "finding", None)
        said = f"{finding.verdict.sign} {finding.verdict}: {finding.says}" if finding else "entered"
        if not view.unit.release and left is None and view.unit.station == self._station:
            step = view.next_step()
            said += f". {step[:1].upper()}{step[1:]}."
        self.paint(view)
        self.tell(with_kept(said, view), refused=bool(finding and finding.verdict.value in ("fail", "undecided")))

    def _not_entered(self, error: TravellerError) -> None:
        self._seen.clear()
        self.terminal.refuse(error)
        self.refresh_page()

    def acted(self, view: UnitView, said: str) -> None:
        """After an act other than an answer. Where the unit moved, the page goes with it; the live view may have
        shown the move already, so it is told by where the unit stood when this person last looked or acted.
        """
        if view.unit.station != self._stood_at:
            self._stood_at = view.unit.station
            self.keep_typed()
            self._station, self._check, self.typed.value = view.unit.station, "", ""
        self.paint(view)
        self.tell(with_kept(said, view) if view.kept else f"{said}. Next: {view.next_step()}")

    # ---- the ways from here -----------------------------------------------------------------------------

    def action_acts(self) -> None:
        from traveller.screens.acts import choose_act

        if self.view:
            choose_act(self, self.view)

    def action_move_on(self) -> None:
        job = partial(self.workshop.move_on, self.tag, self.terminal.by)
        self.terminal.errand(job, lambda view: self.acted(view, "moved on"), self._kept_here)

    def _kept_here(self, error: TravellerError) -> None:
        """The first reasons; all of them would leave no room for the question they are about. How many there are
        stands first: the end of it may be out of sight."""
        reasons = error.reasons if isinstance(error, Refused) else (str(error),)
        more = len(reasons) - MOST_REASONS
        head = (f"The first {MOST_REASONS}, and {more} more: F8 lists them",) if more > 0 else ()
        self.terminal.refuse(Refused(*head, *reasons[:MOST_REASONS]))

    def action_work(self) -> None:
        from traveller.screens.worklist import WorkPage

        self.app.push_screen(WorkPage(self.tag))

    def action_gate(self) -> None:
        from traveller.screens.gate import GatePage

        self.app.push_screen(GatePage(self.tag))

    def action_history(self) -> None:
        from traveller.screens.history import HistoryPage

        self.app.push_screen(HistoryPage(self.tag))

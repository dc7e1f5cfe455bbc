"""What all screens have in common: the three lines, loading in the background, painting what came."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, ClassVar, Generic, TypeVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.screen import Screen
from textual.widget import Widget

from traveller.screens.widgets.lines import KeyBar, Said, TopLine
from traveller.screens.widgets.taps import TouchRow

if TYPE_CHECKING:
    from traveller.screens.app import TravellerApp
    from traveller.store.workshop import Workshop

Loaded = TypeVar("Loaded")

WIDE, HIGH = 116, 28
"""Columns from which on a page has two halves side by side; lines from which on it has room to breathe."""


class Page(Screen[None], Generic[Loaded]):
    """Looks something up and paints it, and does so again when anything changed anywhere.

    Textual calls `on_mount` and `on_screen_resume` of every class that a page comes from, its own first: a page never
    calls those of this class. The first look is taken on resuming, which follows on mounting; a page that is handed
    what it shows paints it before it is laid out for the first time.

    `asking` is called here and hands out a job for a thread, with all that the job needs, so that the thread
    touches no widget; `paint` gets what the job returned. An answer that comes after a newer question was
    asked is dropped.
    """

    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (WIDE, "-wide")]  # noqa: RUF012  # as Textual declares it
    VERTICAL_BREAKPOINTS = [(0, "-low"), (HIGH, "-high")]  # noqa: RUF012  # as Textual declares it
    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "leave", "back", key_display="Esc")]
    ROOT = False
    REACHED_BY = ""
    """The action of the program that leads to this page; its key is not shown here."""
    heading = ""

    def __init__(self, first: Loaded | None = None) -> None:
        # The classes that the breakpoints would set, from the beginning: set later, all is styled and laid out twice.
        room = self.app.size
        across, down = "-wide" if room.width >= WIDE else "-narrow", "-high" if room.height >= HIGH else "-low"
        super().__init__(classes=f"{across} {down}")
        self._at_hand = first
        self._asked = 0
        self._said: tuple[str, bool] = ("", False)

    @property
    def terminal(self) -> TravellerApp:
        from traveller.screens.app import TravellerApp

        assert isinstance(self.app, TravellerApp)
        return self.app

    @property
    def workshop(self) -> Workshop:
        return self.terminal.workshop

    def compose(self) -> ComposeResult:
        yield TopLine()
        yield from self.contents()
        yield Vertical(Said(), TouchRow(), KeyBar(), id="foot")

    def contents(self) -> list[Widget]:
        return []

    def asking(self) -> Callable[[], Loaded]:
        raise NotImplementedError

    def paint(self, loaded: Loaded) -> None:
        raise NotImplementedError

    def on_mount(self) -> None:
        self.set_class(self.app.is_web, "-touch")
        self.query_one(Said).tell(*self._said)
        if self._at_hand is not None:
            self.paint_top()
            self.paint(self._at_hand)
            self._at_hand = None

    def on_screen_resume(self) -> None:
        if self.is_mounted:
            self.paint_top()
            self.refresh_page()

    def on_screen_suspend(self) -> None:
        """What was said of the last act is old when the page is seen again, perhaps by somebody else."""
        if self.is_mounted:
            self.tell("")

    def refresh_page(self) -> None:
        if not self.terminal.is_ready:
            return
        self._asked += 1
        number = self._asked

        def arrived(loaded: Loaded) -> None:
            if number == self._asked and self.is_attached and self.is_mounted:
                self.paint_top()
                self.paint(loaded)

        self.terminal.errand(self.asking(), arrived, what="Reading the record")

    def paint_top(self) -> None:
        self.query_one(TopLine).tell(*self.terminal.top_words(self.heading))

    def tell(self, text: str, refused: bool = False) -> None:
        """Say something at the foot of the page; a page that is still being made says it when it is."""
        self._said = (text, refused)
        for line in self.query(Said):
            line.tell(text, refused)

    @property
    def says_something(self) -> bool:
        return bool(self._said[0])

    def keep_typed(self) -> None:
        """Called before the page is left, whichever way; a page with a line to type in keeps its words."""

    def action_leave(self) -> None:
        self.keep_typed()
        self.app.pop_screen()

    def check_action(self, action: str, _parameters: tuple[object, ...]) -> bool | None:
        """A page that everything else lies on is not left by Esc."""
        return not (self.ROOT and action == "leave")

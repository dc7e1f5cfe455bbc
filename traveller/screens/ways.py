"""Where everything is: the keys and the palette that lead from any page to any other.

One page of each kind at a time: a page that lies below is gone back to, so pages never pile up.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from functools import partial
from typing import TYPE_CHECKING, Any, ClassVar

from textual.app import App, SystemCommand
from textual.binding import Binding, BindingType
from textual.screen import Screen

from traveller.errors import TravellerError
from traveller.screens.looks import LOOKS
from traveller.screens.page import Page
from traveller.screens.sheet_of_fields import SheetOfFields
from traveller.terminal import Settings, save_settings

if TYPE_CHECKING:
    from traveller.record.shop import Person
    from traveller.record.view import UnitView


class Ways(App[None]):
    """The ways through the program; `TravellerApp` adds the terminal itself."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f1", "help", "help", id="app.help", key_display="F1"),
        Binding("f2", "bench", "bench", id="app.bench", key_display="F2"),
        Binding("f3", "floor", "floor", id="app.floor", key_display="F3"),
        Binding("f4", "find", "find", id="app.find", key_display="F4"),
        Binding("f5", "book_in", "book in", id="app.book_in", key_display="F5"),
        Binding("f11", "handover", "brief", id="app.handover", key_display="F11"),
        Binding("ctrl+o", "kept", "kept here", id="app.kept", show=False),
        Binding("f12", "calculator", "calculator", id="app.calculator", show=False),
        Binding("ctrl+q", "quit", "quit", id="app.quit", show=False, priority=True),
    ]

    person: Person | None
    settings: Settings

    @property
    def is_ready(self) -> bool:
        raise NotImplementedError

    def tell(self, text: str, refused: bool = False) -> None:
        raise NotImplementedError

    def refuse(self, error: TravellerError) -> None:
        raise NotImplementedError

    def action_sign_off(self) -> None:
        raise NotImplementedError

    def put_down(self) -> None:
        raise NotImplementedError

    def action_book_in(self) -> None:
        raise NotImplementedError

    def get_system_commands(self, _screen: Screen[Any]) -> Iterable[SystemCommand]:
        """What the palette (Ctrl+P) offers: the same ways as the keys, and the looks."""
        yield SystemCommand("Bench", "what waits at this terminal's station", self.action_bench)
        yield SystemCommand("Floor", "all stations at a glance", self.action_floor)
        yield SystemCommand("Brief", "what the next shift has to know; hand over, take over", self.action_handover)
        yield SystemCommand("Find", "a unit by tag, serial number, customer, order or model", self.action_find)
        yield SystemCommand("Book in", "a unit that has just come", self.action_book_in)
        yield SystemCommand("Load runs", "every run side by side", self.action_runs)
        yield SystemCommand("Rigs", "what is booked on each load rig", self.action_rigs)
        yield SystemCommand("Calculator", "every calculation, without a unit", self.action_calculator)
        yield SystemCommand("Register", "people, instruments, rigs and shelves", self.action_register)
        yield SystemCommand("Kept here", "what waits for the database, and what is to decide", self.action_kept)
        yield SystemCommand("Put down", "no instrument in hand any more", self.put_down)
        yield SystemCommand("Sign off", "leave this terminal", self.action_sign_off)
        for look in LOOKS:
            words = look.name.replace("-", " ")
            yield SystemCommand(f"Look: {words}", "kept for this terminal", partial(self._take_look, look.name))
        yield SystemCommand("Help", "signs and keys", self.action_help)
        yield SystemCommand("Quit", "close the program", self.action_quit)

    def action_command_palette(self) -> None:
        """One palette at a time, and not while the last one is still being taken away."""
        from traveller.screens.palette import Palette

        if not any(isinstance(screen, Palette) for screen in self.screen_stack):
            self.push_screen(Palette())

    def _take_look(self, name: str) -> None:
        if not self.no_color:
            self.theme = name
        self.remember(look=name)

    def remember(self, **changes: object) -> None:
        """Change what this terminal remembers of itself."""
        self.settings = self.settings.model_copy(update=changes)
        try:
            save_settings(self.settings)
        except TravellerError as error:
            self.refuse(error)

    def open_unit(self, tag: str, station: str = "", check: str = "", first: UnitView | None = None) -> None:
        """One unit page at a time: a second one takes the place of the first, so that pages never pile up. Handed
        what it shows `first`, the page is painted once and whole."""
        from traveller.screens.unit import UnitPage

        if self._back_to(UnitPage):
            self.switch_screen(UnitPage(tag, station, check, first))
        else:
            self.push_screen(UnitPage(tag, station, check, first))

    def _back_to(self, kind: type[Page[Any]]) -> bool:
        """Leave what lies on the page of this kind, if there is one; what was typed there is kept."""
        if not any(isinstance(screen, kind) for screen in self.screen_stack):
            return False
        while not isinstance(self.screen, kind):
            self._drop()
        self.keep_typed()
        return True

    def _drop(self) -> None:
        self.keep_typed()
        self.pop_screen()

    def keep_typed(self) -> None:
        if isinstance(self.screen, Page | SheetOfFields):
            self.screen.keep_typed()

    def to_ground(self) -> None:
        while len(self.screen_stack) > 2:
            self._drop()

    def _go(self, kind: Callable[[], Page[Any]], needs_badge: bool = True) -> None:
        if needs_badge and self.nobody_here():
            return
        page = kind()
        if not self._back_to(type(page)):
            self.push_screen(page)

    def nobody_here(self) -> bool:
        if self.person is None:
            self.tell("Scan your badge first.", refused=True)
        return self.person is None

    def action_bench(self) -> None:
        if not self.nobody_here():
            self.to_ground()

    def action_floor(self) -> None:
        from traveller.screens.floor import FloorPage

        self._go(FloorPage)

    def action_handover(self) -> None:
        from traveller.screens.handover.brief_page import BriefPage

        self._go(BriefPage)

    def action_find(self) -> None:
        from traveller.screens.find import FindPage

        self._go(FindPage)

    def action_register(self) -> None:
        from traveller.screens.register import RegisterPage

        self._go(RegisterPage)

    def action_calculator(self) -> None:
        if self.is_ready:
            from traveller.screens.calculator import CalculatorPage

            self._go(CalculatorPage, needs_badge=False)

    def action_runs(self) -> None:
        from traveller.screens.run.side_by_side import HeatRunsPage

        self._go(HeatRunsPage)

    def action_rigs(self) -> None:
        from traveller.screens.run.rigs import RigsPage

        self._go(RigsPage)

    def action_kept(self) -> None:
        if self.is_ready and not self.nobody_here():
            from traveller.screens.kept import KeptPage

            self._go(KeptPage)

    def action_help(self) -> None:
        from traveller.screens.help import HelpPage

        self._go(HelpPage, needs_badge=False)

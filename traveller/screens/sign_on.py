"""The first screen: scan a badge, or type a name and a PIN."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING, ClassVar

from textual.binding import BindingType
from textual.containers import Horizontal, Vertical
from textual.widget import Widget
from textual.widgets import Input, Label, Static

from traveller.screens.page import Page
from traveller.screens.widgets.typed_line import TypedLine
from traveller.tags import looks_like_tag

if TYPE_CHECKING:
    from traveller.record.shop import Shop


class SignOn(Page["Shop"]):
    """Waits for a badge. In a demo workshop it lists who works there, with the demo PIN."""

    ROOT = True
    heading = "sign on"
    BINDINGS: ClassVar[list[BindingType]] = []

    def contents(self) -> list[Widget]:
        return [
            Static("Opening the workshop …", id="welcome"),
            Vertical(
                Horizontal(Label("badge or name"), TypedLine(id="who"), classes="field"),
                Horizontal(Label("PIN"), TypedLine(id="pin", password=True, max_length=12), classes="field"),
                id="signfields",
            ),
            Static("", id="people"),
        ]

    def on_screen_resume(self) -> None:
        """A badge scanned on a page that lay on top, such as the help, opens the bench once that is left."""
        if self.terminal.person:
            self.terminal.to_bench()

    def asking(self) -> Callable[[], Shop]:
        return self.workshop.shop

    def paint(self, loaded: Shop) -> None:
        self.terminal.shop = loaded
        self._paint_people(self._people(loaded))

    @staticmethod
    def _people(shop: Shop) -> tuple[str, ...]:
        """Nobody: (); a real shop tells no names: ("",)."""
        if not shop.people:
            return ()
        if not shop.demo:
            return ("",)
        return tuple(
            f"{person.tag}  {person.name}: {', '.join(role.label for role in person.roles)}"
            for person in shop.present()
        )

    def _paint_people(self, loaded: tuple[str, ...]) -> None:
        welcome = self.query_one("#welcome", Static)
        if not loaded:
            welcome.update(
                "This shop has no people yet.\n\n"
                "Enter lays it out: its name, its time zone, you as the first shift lead.\n"
                "To look around first, leave with Ctrl+Q and type:  traveller demo"
            )
            return
        welcome.update("Scan your badge. Without one: type your name, Enter, your PIN, Enter.")
        if any(loaded):
            lines = "\n".join(loaded)
            self.query_one("#people", Static).update(
                f"This is the demo workshop. Type a badge, or a name and the PIN 2468:\n{lines}"
            )

    def on_input_submitted(self, event: Input.Submitted) -> None:
        who, pin = self.query_one("#who", Input), self.query_one("#pin", Input)
        if not self.terminal.is_open:
            self.tell("The workshop is still being opened: try again in a moment.", refused=True)
        elif self.terminal.shop and not self.terminal.shop.people:
            from traveller.screens.founding import lay_out

            lay_out(self)
        elif event.input is who and not looks_like_tag(who.value):
            pin.focus()
        elif who.value.strip():
            job = partial(self.workshop.sign_on, who.value, pin.value)
            self.terminal.errand(job, self.terminal.sign_on)
            pin.value = ""
        else:
            who.focus()

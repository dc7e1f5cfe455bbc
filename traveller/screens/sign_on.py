"""The first screen: scan a badge, or type a name and a PIN."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING, ClassVar

from textual.binding import BindingType
from textual.containers import Horizontal, Vertical
from textual.widget import Widget
from textual.widgets import Input, Label

from traveller.screens.page import Page
from traveller.screens.widgets.lines import Words
from traveller.screens.widgets.typed_line import TypedLine
from traveller.screens.words import ONE_MOMENT
from traveller.tags import looks_like_tag

if TYPE_CHECKING:
    from traveller.record.roll import Roll
    from traveller.record.shop import Shop


class SignOn(Page["Shop"]):
    """Waits for a badge. In a demo workshop it lists who works there, with the demo PIN."""

    ROOT = True
    heading = "sign on"
    BINDINGS: ClassVar[list[BindingType]] = []

    def contents(self) -> list[Widget]:
        return [
            Words(id="welcome"),
            Vertical(
                Horizontal(Label("badge or name"), TypedLine(id="who"), classes="field"),
                Horizontal(Label("PIN"), TypedLine(id="pin", password=True, max_length=12), classes="field"),
                id="signfields",
            ),
            Words(id="people"),
        ]

    def on_screen_resume(self) -> None:
        """A badge scanned on a page that lay on top, such as the help, opens the bench once that is left."""
        if self.terminal.person:
            self.terminal.to_bench()

    def asking(self) -> Callable[[], Shop]:
        return self.workshop.shop

    def on_mount(self) -> None:
        self.paint_roll(self.terminal.roll)

    def paint(self, loaded: Shop) -> None:
        self.terminal.shop = loaded
        self.paint_roll(loaded)

    def paint_roll(self, roll: Roll | None) -> None:
        """None while the workshop is closed."""
        self.query_one("#welcome", Words).update(_welcome(roll))
        self.query_one("#people", Words).update(_people(roll))

    def on_input_submitted(self, event: Input.Submitted) -> None:
        who, pin = self.query_one("#who", Input), self.query_one("#pin", Input)
        if not self.terminal.is_open:
            self.tell("The workshop is still being opened: try again in a moment.", refused=True)
        elif self.terminal.roll and not self.terminal.roll.people:
            self.terminal.when_ready(self._lay_out, ONE_MOMENT)
        elif event.input is who and not looks_like_tag(who.value):
            pin.focus()
        elif who.value.strip():
            self.terminal.when_ready(partial(self._sign_on, who.value, pin.value), ONE_MOMENT)
            pin.value = ""
        else:
            who.focus()

    def _lay_out(self) -> None:
        from traveller.screens.founding import lay_out

        lay_out(self)

    def _sign_on(self, who: str, pin: str) -> None:
        self.terminal.errand(partial(self.workshop.sign_on, who, pin), self.terminal.sign_on)


def _welcome(roll: Roll | None) -> str:
    if roll is None:
        return "Opening the workshop …"
    if not roll.people:
        return (
            "This shop has no people yet.\n\n"
            "Enter lays it out: its name, its time zone, you as the first shift lead.\n"
            "To look around first, leave with Ctrl+Q and type:  traveller demo"
        )
    return "Scan your badge. Without one: type your name, Enter, your PIN, Enter."


def _people(roll: Roll | None) -> str:
    """Only a demo workshop tells names."""
    if roll is None or not roll.demo or not roll.people:
        return ""
    lines = [f"{one.tag}  {one.name}: {', '.join(role.label for role in one.roles)}" for one in roll.present()]
    return "\n".join(["This is the demo workshop. Type a badge, or a name and the PIN 2468:", *lines])

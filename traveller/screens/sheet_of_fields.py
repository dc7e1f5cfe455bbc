"""A sheet to fill in on top of a screen: labelled lines, one job, nothing lost when it is refused."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, ClassVar

from rich.text import Text
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.events import DescendantFocus
from textual.screen import ModalScreen
from textual.widget import Widget
from textual.widgets import Input, Label, Static

from traveller.drafts import Place
from traveller.errors import InputError, TravellerError
from traveller.screens.widgets.taps import FixedTaps, Tap
from traveller.screens.widgets.typed_line import TypedLine
from traveller.screens.words import laid_out

if TYPE_CHECKING:
    from traveller.screens.app import TravellerApp


HINT_ROOM = 72
"""Cells inside the sheet on a screen 80 wide."""
LONGEST_CHOICE = 20
"""Characters of a wrong choice that are said again: the longest sheet has one line for what is wrong."""


@dataclass(frozen=True)
class Line:
    """One line of a sheet. With `options` a number or the start of a word picks one; `scan` takes a unit's tag."""

    name: str
    label: str
    hint: str = ""
    value: str = ""
    options: tuple[str, ...] = ()
    optional: bool = False
    hidden: bool = False
    scan: bool = False

    def holding(self, value: str) -> Line:
        return replace(self, value=value)


Values = Mapping[str, str]


class SheetOfFields(ModalScreen[None]):
    """Enter goes to the next line and, on the last one, does the job; F10 does it from anywhere.

    What is typed outlives the program until the sheet is done or left; a hidden line never does.
    """

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "leave", "leave"),
        Binding("f10", "finish", "done"),
        Binding("up", "step(-1)", "up", show=False),
        Binding("down", "step(1)", "down", show=False),
    ]

    def __init__(
        self,
        title: str,
        lines: Sequence[Line],
        job: Callable[[Values], Any],
        done: Callable[[Any], None],
        intro: str = "",
        caution: str = "",
    ) -> None:
        super().__init__()
        self._title = title
        self._lines = tuple(lines)
        self._job = job
        self._done = done
        self._intro = intro
        self._caution = caution
        self._keeps = False
        self._complained_of: list[str] = []

    @property
    def terminal(self) -> TravellerApp:
        from traveller.screens.app import TravellerApp

        assert isinstance(self.app, TravellerApp)
        return self.app

    def compose(self) -> ComposeResult:
        with Vertical(id="paper"):
            yield Static(Text(self._title), classes="title")
            if self._intro:
                yield Static(Text(self._intro), classes="pad")
            if self._caution:
                yield Static(Text(f"! {self._caution}"), classes="caution")
            with VerticalScroll(id="fields", can_focus=False):
                for line in self._lines:
                    with Horizontal(classes="field"):
                        yield Label(Text(line.label))
                        yield TypedLine(line.value, id=f"line-{line.name}", password=line.hidden, select_on_focus=False)
            yield Static("", id="hint")
            yield Static("", id="complaint")
            yield FixedTaps(
                Tap("enter", "Enter", "next line"), Tap("f10", "F10", "done"), Tap("escape", "Esc", "leave")
            )

    def on_mount(self) -> None:
        """On a busy machine the sheet may be there before its lines are: then they are looked for again."""
        inputs = list(self.query(Input))
        if len(inputs) < len(self._lines):
            self.call_after_refresh(self.on_mount)
            return
        self.set_class(self.app.is_web, "-touch")
        self._bring_back()
        empty = [one for one in inputs if not one.value]
        first = (empty or inputs)[0]
        first.focus()
        self._show_hint(first)

    # ---- what was typed ---------------------------------------------------------------------------------

    def _place(self) -> Place:
        beneath = self.app.screen_stack[self.app.screen_stack.index(self) - 1]
        return Place(getattr(beneath, "tag", ""), self._title)

    def _open_lines(self) -> dict[Line, Input]:
        return {one: self.query_one(f"#line-{one.name}", Input) for one in self._lines if not one.hidden}

    def _bring_back(self) -> None:
        """What this person had typed here when the program was broken off."""
        typed = words_by_line(self.terminal.drafts.at(self.terminal.by, self._place()))
        with self.prevent(Input.Changed):
            for line, field in self._open_lines().items():
                field.value = typed.get(line.name, field.value)
        self._keeps = True
        if typed:
            self.complain("This was typed before and not entered. Esc throws it away.")

    def keep_typed(self) -> None:
        if not self._keeps or self not in self.app.screen_stack:
            return
        typed = {line.name: field.value for line, field in self._open_lines().items() if field.value != line.value}
        self.terminal.drafts.keep(self.terminal.by, self._place(), json.dumps(typed) if typed else "")

    def _forget_typed(self) -> None:
        self._keeps = False
        self.terminal.drafts.drop(self.terminal.by, self._place())

    def on_input_changed(self, _event: Input.Changed) -> None:
        """What was complained of is being put right. News of a scan that went through a line may come late, when the
        line is again as it was."""
        if self._complained_of and self._all_typed() != self._complained_of:
            self.complain("")
        self.keep_typed()

    # ---- doing it ---------------------------------------------------------------------------------------

    def on_descendant_focus(self, event: DescendantFocus) -> None:
        self._show_hint(event.widget)

    def _line_of(self, field: Widget) -> Line | None:
        return next((one for one in self._lines if f"line-{one.name}" == field.id), None)

    def _show_hint(self, field: Widget) -> None:
        if line := self._line_of(field):
            says = "; ".join(part for part in (line.hint, "may stay empty" if line.optional else "") if part)
            options = [Text(f"{n} {option}") for n, option in enumerate(line.options, 1)]
            hint = laid_out([*([Text(says)] if says else []), *options], Text("   "), HINT_ROOM)
            self.query_one("#hint", Static).update(hint)

    def takes_scan(self, tag: str) -> bool:
        """Whether a line of the sheet asks for the scan of a unit; the tag then stands in it, and the next is open."""
        names = [one.name for one in self._lines if one.scan]
        for name in names:
            self.query_one(f"#line-{name}", Input).value = tag
            self.complain("")
            self.action_step(1)
        return bool(names)

    @property
    def says_something(self) -> bool:
        return False

    def tell(self, text: str) -> None:
        """While the job is under way: what is waited for."""
        self.query_one("#complaint", Static).update(Text(text))

    def _all_typed(self) -> list[str]:
        return [one.value for one in self.query(Input)]

    def complain(self, text: str) -> None:
        self._complained_of = self._all_typed() if text else []
        self.query_one("#complaint", Static).update(Text(f"! {text}" if text else ""))

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """What is no choice of this line is said here and now, and not behind ten more lines."""
        inputs = list(self.query(Input))
        if not self._takes(event.input):
            return
        if event.input is inputs[-1]:
            self.action_finish()
        else:
            inputs[inputs.index(event.input) + 1].focus()

    def _takes(self, field: Input) -> bool:
        """A choice then stands there in full: who typed its number sees what was meant."""
        line = self._line_of(field)
        if line is None or not line.options:
            return True
        try:
            with self.prevent(Input.Changed):
                field.value = _chosen(line, field.value.strip())
        except InputError as error:
            self.complain(str(error))
            return False
        return True

    def action_step(self, by: int) -> None:
        inputs = list(self.query(Input))
        at = next((n for n, one in enumerate(inputs) if one.has_focus), 0)
        inputs[(at + by) % len(inputs)].focus()

    def action_leave(self) -> None:
        self._forget_typed()
        self.dismiss()

    def values(self) -> dict[str, str]:
        """What was typed; the line that cannot be taken is gone to."""
        taken: dict[str, str] = {}
        for line in self._lines:
            field = self.query_one(f"#line-{line.name}", Input)
            try:
                taken[line.name] = _chosen(line, field.value.strip())
            except InputError:
                field.focus()
                raise
        for line in self._lines:
            if not line.optional and not taken[line.name]:
                self.query_one(f"#line-{line.name}", Input).focus()
                raise InputError(f"{line.label} is still empty: type it.")
        return taken

    def action_finish(self) -> None:
        try:
            values = self.values()
        except InputError as error:
            self.complain(str(error))
            return
        self.complain("")
        self.terminal.errand(lambda: self._job(values), self._finished, self._refused)

    def _refused(self, error: TravellerError) -> None:
        self.terminal.ring()
        if self.is_attached:
            self.complain(str(error))

    def _finished(self, result: Any) -> None:
        if self.is_attached:
            self._forget_typed()
            self.dismiss()
        self._done(result)


def words_by_line(kept: str) -> dict[str, str]:
    """What `keep_typed` kept; nothing where it cannot be read."""
    try:
        found = json.loads(kept or "{}")
    except ValueError:
        return {}
    return {str(name): str(words) for name, words in found.items()} if isinstance(found, dict) else {}


def _chosen(line: Line, text: str) -> str:
    """The option that is meant; all of them stand under the sheet once the line has the focus."""
    if not line.options or not text:
        return text
    from traveller.record.answering import choose

    try:
        return choose(line.options, text)
    except InputError:
        said = text if len(text) <= LONGEST_CHOICE else f"{text[:LONGEST_CHOICE]}…"
        raise InputError(f'"{said}" is none of these: a number, or the start of a word.') from None

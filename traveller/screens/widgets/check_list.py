"""The checks of a station, one line each: how it stands, the question, and what was answered."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

from rich.text import Text
from textual import events
from textual.widgets import DataTable

from traveller.screens.widgets.lines import columns_of
from traveller.screens.words import shortened

if TYPE_CHECKING:
    from traveller.judgement import Finding
    from traveller.record.answers import Answer
    from traveller.record.evidence import Standing

STATE_WIDTH = 11
ANSWER_WIDTH = 18


class CheckList(DataTable[Text]):
    """It never has the focus: what is typed goes into the answer line, and the arrows are the page's."""

    can_focus = False

    def __init__(self) -> None:
        super().__init__(id="checks", cursor_type="row", show_header=False)
        self.keys: tuple[str, ...] = ()
        self._shown: tuple[Sequence[Standing], Callable[[Standing], str]] | None = None

    def on_mount(self) -> None:
        for name in ("state", "line"):
            self.add_column(name, key=name)

    def show(self, standings: Sequence[Standing], state: Callable[[Standing], str]) -> None:
        """Paint what changed; `state` puts how a check stands into a sign and a word."""
        self._shown = (standings, state)
        keys = tuple(one.check.full_key for one in standings)
        if keys != self.keys:
            self.clear()
            for key in keys:
                self.add_row(Text(""), Text(""), key=key)
            self.keys = keys
        for one in standings:
            key = one.check.full_key
            cells = (Text(f"{state(one):{STATE_WIDTH}}"), self._line(one))
            for column, cell in zip(("state", "line"), cells, strict=True):
                if self.get_cell(key, column) != cell:
                    self.update_cell(key, column, cell, update_width=True)

    def on_resize(self) -> None:
        """Beside the question there is less room for a line than above it; the chosen line stays in sight."""
        if self._shown:
            self.show(*self._shown)
            self.move_cursor(row=self.cursor_row)

    def choose(self, key: str) -> None:
        if key in self.keys:
            self.move_cursor(row=self.keys.index(key))

    async def on_click(self, event: events.Click) -> None:
        """The page goes to the check, as with the arrows: what was typed for another one stays with that."""
        event.prevent_default()
        row = event.style.meta.get("row", -1)
        if row >= 0:
            await self.run_action(f"screen.choose({row - self.cursor_row})")

    def beside(self, key: str, by: int) -> str:
        """The check so many lines further down, or the last one there is."""
        at = self.keys.index(key) if key in self.keys else 0
        return self.keys[max(0, min(len(self.keys) - 1, at + by))]

    def _line(self, standing: Standing) -> Text:
        """The question, and behind it the answer if there is one; all of both stands below."""
        check, evidence = standing.check, standing.evidence
        room = max(40, (self.scrollable_content_region.width or columns_of(self)) - STATE_WIDTH - 4)
        if evidence is None or evidence.answer is None:
            return Text(shortened(f"{check.ask}{'' if check.required else ' (may stay open)'}", room))
        given = " ".join(_given(evidence.answer, evidence.finding).split())
        width = max(ANSWER_WIDTH, min(len(given), room // 2))
        line = Text(shortened(check.ask, room - width - 2))
        line.append("  ")
        line.append(shortened(given, width), style="bold" if standing.state.counts else "")
        return line


def _given(answer: Answer, finding: Finding | None) -> str:
    """The answer in words; of a calculation what it came to, and not what went into it."""
    from traveller.record.answers import in_words

    return finding.says if finding and answer.kind == "calculation" else in_words(answer)

"""A person at a terminal: presses keys, types, pastes and scans, and reads what stands on the screen."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Callable, Mapping, Sequence
from contextlib import asynccontextmanager, suppress
from time import monotonic

from textual import events
from textual.message import Message
from textual.message_pump import MessagePump
from textual.pilot import Pilot, WaitForScreenTimeout
from textual.widgets import Input

from tests.way.answers import SOUND
from tests.way.painting import paint
from traveller.screens.app import TravellerApp
from traveller.screens.sheet_of_fields import SheetOfFields
from traveller.screens.unit import UnitPage
from traveller.screens.worklist import WorkPage

LOOK_AGAIN = 0.004
PATIENCE = 20.0


async def _has_handled(pump: MessagePump | None) -> None:
    """Until everything that lies in the queue of `pump` at this moment has been handled."""
    if pump is None or not pump.is_running:
        return
    reached = asyncio.Event()
    if pump.call_later(reached.set):
        with suppress(TimeoutError):
            await asyncio.wait_for(reached.wait(), 2)


class Hands:
    """Works on the app through its event queue only, as a keyboard and a scanner do."""

    def __init__(self, app: TravellerApp, pilot: Pilot[None], picture: str) -> None:
        self.app = app
        self.pilot = pilot
        self.picture = picture
        self.looking = True

    async def settle(self) -> None:
        """Until no key is held back, no errand is under way and nothing is left to paint.

        What an errand brings may ask for another errand, so it looks again until there is none. A key that the
        gate lets go is under way only then, so it is waited for before the messages are.
        """
        while True:
            await _has_handled(self.app)
            while self.app._gate.holding:
                await asyncio.sleep(LOOK_AGAIN)
            await self._at_rest()
            if not self.app._gate.holding and not self._under_way():
                if self.looking:
                    paint(self.app.screen)
                return
            await self.app.workers.wait_for_complete()
            await asyncio.sleep(LOOK_AGAIN)

    def _under_way(self) -> bool:
        """A screen that is still being made begins its first errand only then."""
        return not self.app.screen.is_mounted or any(not worker.is_finished for worker in self.app.workers)

    async def _at_rest(self) -> None:
        """All messages handled and painted. A key goes from the app to the page to the line that has the focus,
        what it brings about goes back the same way: behind each a callback is put, and waited for.
        """
        for _ in range(3):
            for pump in (self.app, self.app.screen, self.app.focused, self.app.screen, self.app):
                await _has_handled(pump)
        await self._whole_screen()
        self.app.screen._on_timer_update()
        await _has_handled(self.app.screen)

    async def _whole_screen(self) -> None:
        """Every widget of the screen has handled what it had. One that is taken away meanwhile never answers."""
        with suppress(WaitForScreenTimeout):
            await self.pilot._wait_for_screen(timeout=3)

    async def post(self, event: events.Event) -> None:
        """A key or a paste of somebody who does not wait for the page, only for the program to take it."""
        self.app.post_message(event)
        for pump in (self.app, self.app.screen, self.app.focused):
            await _has_handled(pump)

    async def opened(self) -> None:
        while not self.app.is_ready:
            await asyncio.sleep(0.02)
        await self.settle()

    async def press(self, *keys: str) -> None:
        for key in keys:
            self.app.post_message(events.Key(key, key if len(key) == 1 else None))
            await self.settle()

    async def burst(self, *keys: str) -> None:
        """Keys that a busy terminal takes one right behind the other."""
        for key in keys:
            self.app.post_message(events.Key(key, key if len(key) == 1 else None))
        await self.settle()

    async def enter(self) -> None:
        self.app.post_message(events.Key("enter", "\r"))
        await self.settle()

    async def paste(self, text: str) -> None:
        self.app.post_message(events.Paste(text))
        await self.settle()

    async def scan(self, tag: str, gap: float = 0.0) -> None:
        """A wedge scanner: the characters with `gap` seconds between them, then Enter.

        The keys carry the moments at which the scanner sent them, however long a busy machine lets this process wait.
        """
        first = Message().time
        for number, (name, character) in enumerate((*zip(tag, tag, strict=True), ("enter", "\r"))):
            key = events.Key(name, character)
            key.time = first + number * gap
            self.app.post_message(key)
        await self.settle()

    async def rounds(self, times: int, *keys: str) -> None:
        """The same keys over and over, without looking at the screen in between."""
        for _ in range(times):
            for key in keys:
                self.app.post_message(events.Key(key, None))
                await self._whole_screen()
        await self.settle()

    async def comes(self, look: Callable[[], object], within: float = PATIENCE) -> bool:
        """Without touching a key: whether what is looked for comes about in time (s)."""
        until = monotonic() + within
        while not (found := bool(look())) and monotonic() < until:
            await asyncio.sleep(0.02)
        await self.settle()
        return found

    async def sees(self, words: str, within: float = PATIENCE) -> bool:
        """Without touching a key: whether the words come onto the screen in time (s)."""
        return await self.comes(lambda: words in self.text(), within)

    async def sheet_opens(self) -> None:
        assert await self.comes(lambda: isinstance(self.app.screen, SheetOfFields)), self.text()

    def text(self) -> str:
        """What stands on the screen, line by line."""
        strips = self.app.screen._compositor.render_strips()
        return "\n".join("".join(segment.text for segment in strip).rstrip() for strip in strips)

    def unit(self) -> UnitPage:
        assert isinstance(self.app.screen, UnitPage), self.text()
        return self.app.screen

    async def fill(self, values: Mapping[str, str]) -> None:
        """Fill the sheet that lies on top, line by line with Enter; F10 at the end."""
        sheet = self.app.screen
        assert isinstance(sheet, SheetOfFields), self.text()
        for name, value in values.items():
            field = sheet.query_one(f"#line-{name}", Input)
            field.focus()
            field.value = ""
            await self.paste(value)
        await self.press("f10")
        assert self.app.screen is not sheet, self.text()

    async def act(self, letter: str, values: Mapping[str, str]) -> None:
        await self.press("f6")
        await self.press(letter)
        await self.fill(values)

    async def answer_what_is_open(self, answers: Mapping[str, str] = SOUND) -> None:
        """Answer the checks that the screen offers at the station shown, until it offers none."""
        page = self.unit()
        for _ in range(60):
            assert page.view is not None
            first = page.view.first_open(page._station)
            if first is None:
                return
            check = page.chosen_check()
            await self.answer(answers[check])
        raise AssertionError(f"the screen never came to an end:\n{self.text()}")

    async def answer(self, text: str) -> None:
        text = text.format(tag=self.unit().tag, picture=self.picture)
        if len(text) == 1:
            await self.press(text)
        else:
            await self.paste(text)
        await self.enter()

    async def choose(self, check: str) -> None:
        """With the arrows, as a person would."""
        page = self.unit()
        for _ in range(40):
            if page.chosen_check() == check:
                return
            rows = page.checks.keys
            up = rows.index(check) < rows.index(page.chosen_check())
            await self.press("up" if up else "down")
        raise AssertionError(f"{check} was not reached:\n{self.text()}")

    async def work(self, references: Sequence[str], key: str, values: Mapping[str, str] | None = None) -> None:
        """On the work list: choose each line with the arrows and press the key. A sheet that it opens and that is
        not filled in stays open."""
        await self.press("f7")
        for reference in references:
            page = self.app.screen
            assert isinstance(page, WorkPage), self.text()
            row = page._rows.index(reference)
            while page.lines.cursor_row != row:
                await self.press("up" if page.lines.cursor_row > row else "down")
            await self.press(key)
            if values is not None:
                await self.fill(values)
        if not isinstance(self.app.screen, SheetOfFields):
            await self.press("escape")


@asynccontextmanager
async def at_terminal(
    app: TravellerApp, badge: str = "", size: tuple[int, int] = (80, 24), picture: str = ""
) -> AsyncIterator[Hands]:
    """At an open terminal, signed on with `badge` (nobody, if it is empty)."""
    async with app.run_test(size=size) as pilot:
        hands = Hands(app, pilot, picture)
        await hands.opened()
        if badge:
            await hands.scan(badge)
        yield hands

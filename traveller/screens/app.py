"""The terminal program: tells scans from typing, passes both on.

It holds what belongs to the terminal and not to a screen: who is signed on, the instruments in hand, words
that were typed and not yet entered.
"""

from __future__ import annotations

import asyncio
import os
from collections.abc import Callable, Sequence
from datetime import date, datetime
from time import monotonic
from typing import TYPE_CHECKING

from textual import events
from textual.filter import LineFilter
from textual.message import Message
from textual.widgets import Input

from traveller.drafts import Drafts
from traveller.errors import TravellerError
from traveller.screens.errands import Errands
from traveller.screens.keeping_watch import KeepingWatch
from traveller.screens.looks import LOOKS
from traveller.screens.looks.plain_signs import PlainSigns
from traveller.screens.looks.plain_signs import wanted as plain_signs_wanted
from traveller.screens.looks.quiet import Quiet
from traveller.screens.opening import Opening
from traveller.screens.page import Page
from traveller.screens.presses import Presses
from traveller.screens.scans import Scans
from traveller.screens.sign_on import SignOn
from traveller.screens.ways import Ways
from traveller.screens.words import left_words, zone
from traveller.tags import Pass, Scan, ScanGate, read_paste
from traveller.terminal import Settings, keep_log, load_settings

if TYPE_CHECKING:
    from traveller.record.roll import Person, Roll
    from traveller.record.shop import Shop
    from traveller.record.shop_entries import InstrumentUsed
    from traveller.store.workshop import Workshop

LOOK_FOR_IDLE_SECONDS = 20
LONGEST_MAKING = 10.0
ENDS = {"enter", "tab", "ctrl+j", "ctrl+m"}


class TravellerApp(Ways, Errands):
    """One terminal of the workshop."""

    CSS_PATH = "looks/traveller.tcss"
    TITLE = "Traveller"
    ENABLE_COMMAND_PALETTE = True

    class Changed(Message):
        """Somebody entered something somewhere."""

    def __init__(self, database: str, loaded: Callable[[], None] = lambda: None) -> None:
        """`loaded` is called whenever nothing is left to load, or what is wrong was told."""
        # Without colour the terminal's own two colours are used; turned to grey they would be black on black.
        super().__init__(ansi_color=True if "NO_COLOR" in os.environ else None)
        self.database = database
        self.settings: Settings = load_settings()
        plain = plain_signs_wanted(self.settings.signs, os.environ)
        self._own_filters = [*([] if self.no_color else [Quiet()]), *([PlainSigns()] if plain else [])]
        self.set_reactive(TravellerApp.theme, self._look())
        self.person: Person | None = None
        self.shop: Shop | None = None
        self.in_hand: dict[str, InstrumentUsed] = {}
        self.drafts = Drafts()
        self.presses: dict[tuple[str, str], Presses] = {}
        self._gate: ScanGate[events.Key] = ScanGate()
        self.scans = Scans(self)
        self._last_touched = monotonic()
        self._keeping = KeepingWatch(self)
        self._opening = Opening(self, loaded)

    def get_line_filters(self) -> Sequence[LineFilter]:
        return [*super().get_line_filters(), *self._own_filters]

    # ---- opening and closing ----------------------------------------------------------------------------

    def _look(self) -> str:
        """Known before the start: another look set later would have all styles read once more."""
        for look in LOOKS:
            self.register_theme(look)
        known = {look.name for look in LOOKS}
        return "ansi-dark" if self.no_color else self.settings.look if self.settings.look in known else LOOKS[0].name

    def on_mount(self) -> None:
        keep_log()
        self.heed_hangup()
        self.push_screen(SignOn())
        self.set_interval(LOOK_FOR_IDLE_SECONDS, self.sign_off_if_idle)
        self.call_after_refresh(self._opening.begin)
        self._keeping.start()

    def tell_changed(self) -> None:
        self.post_message(self.Changed())

    def on_unmount(self) -> None:
        self.drafts.flush()
        self._opening.close()

    @property
    def is_open(self) -> bool:
        """Who works here is known: badges are taken, and what they ask for comes as soon as all is loaded."""
        return self._opening.door is not None

    @property
    def is_ready(self) -> bool:
        """All is loaded."""
        return self._opening.workshop is not None

    def when_ready(self, job: Callable[[], None], words: str) -> None:
        """Now, or as soon as all is loaded; until then the words stand at the foot."""
        self._opening.when_ready(job, words)

    @property
    def roll(self) -> Roll | None:
        """What is known of the shop first; None before its door is open."""
        return self.shop or (self._opening.door.roll if self._opening.door else None)

    @property
    def workshop(self) -> Workshop:
        assert self._opening.workshop is not None
        return self._opening.workshop

    @property
    def by(self) -> str:
        return self.person.tag if self.person else ""

    # ---- saying so ---------------------------------------------------------------------------------------

    def tell(self, text: str, refused: bool = False) -> None:
        for screen in reversed(self.screen_stack):
            if isinstance(screen, Page):
                screen.tell(text, refused)
                break

    def ring(self) -> None:
        """For what is refused; a terminal's settings may leave it out."""
        if self.settings.bell:
            self.bell()

    def refuse(self, error: TravellerError) -> None:
        self.ring()
        self.tell(str(error), refused=True)

    def look_at_kept(self) -> None:
        self._keeping.look()

    def share_kept(self, told: bool = False) -> None:
        """Try to share what is kept here, and with `told` say how that went."""
        self._keeping.share(told)

    def on_traveller_app_changed(self, _message: Changed) -> None:
        """News that come while the program is being left find no page any more."""
        if not self.screen_stack:
            return
        self.look_at_kept()
        if isinstance(self.screen, Page):
            self.screen.refresh_page()

    # ---- scans ------------------------------------------------------------------------------------------

    async def on_event(self, event: events.Event) -> None:
        """Every key of every screen comes through here first; a scan never reaches a field."""
        if isinstance(event, events.Key | events.Paste | events.MouseDown):
            self._last_touched = monotonic()
        if isinstance(event, events.Key) and not event.is_forwarded:
            ends = event.key in ENDS or (event.key == "ctrl+c" and self._gate.holding)
            printable = event.character if event.is_printable else None
            out = self._gate.key(event, printable, event.time, ends, event.key == "ctrl+b", self._in_line())
            await self._hand_on(out)
            self._arm()
            return
        if isinstance(event, events.Paste) and not event.is_forwarded and (text := read_paste(event.text)):
            self.scans.scanned(text)
            return
        # A key that a page gave back comes here once more, perhaps when the next page lies on top already.
        if not isinstance(event, events.Key) or await self._page_made():
            await super().on_event(event)

    def _in_line(self) -> bool:
        """Whether a key can be taken back: what is marked in a line it would have written over."""
        return isinstance(self.focused, Input) and self.focused.selection.is_empty

    async def _hand_on(self, outcomes: Sequence[Pass[events.Key] | Scan]) -> None:
        for one in outcomes:
            if isinstance(one, Scan):
                self._scanned(one)
            elif await self._page_made():
                await super().on_event(one.key)

    def _scanned(self, scan: Scan) -> None:
        """What was typed of it already is taken out of the line, behind the keys that are still on their way there."""
        line = self.focused
        if not (scan.typed and isinstance(line, Input) and line.call_later(self._out_of_line, line, scan)):
            self.scans.scanned(scan.text)

    def _out_of_line(self, line: Input, scan: Scan) -> None:
        end = line.cursor_position
        start = end - scan.typed
        if start >= 0 and line.value[start:end] == scan.text[: scan.typed]:
            line.delete(start, end)
        self.scans.scanned(scan.text)

    async def _page_made(self) -> bool:
        """A key that comes while the page is still in the making is for that page, and waits for it. False if there
        is none that could take it."""
        until = monotonic() + LONGEST_MAKING
        while self.screen_stack and not self.screen.is_mounted and monotonic() < until:
            await asyncio.sleep(0.001)
        return bool(self.screen_stack) and self.screen.is_mounted

    def _arm(self) -> None:
        if self._gate.due is not None:
            self.set_timer(max(0.001, self._gate.due - Message().time + 0.002), self._gate_quiet)

    async def _gate_quiet(self) -> None:
        if self._message_queue.qsize():
            self._arm()
            return
        await self._hand_on(self._gate.quiet(Message().time))

    # ---- who is here ------------------------------------------------------------------------------------

    def sign_on(self, person: Person) -> None:
        """The person at this terminal; the page that waited for it opens."""
        first = self.person is None
        self.person = person
        self.in_hand = {} if first else self.in_hand
        self.keep_typed()
        if isinstance(self.screen, SignOn):
            self.to_bench()
        if tag := self.scans.waiting_unit():
            self.open_unit(tag)
        elif isinstance(self.screen, Page):
            self.screen.refresh_page()
        left = self.drafts.units(person.tag) if first else []
        self.tell(f"{person.name} is signed on.{left_words(left)}")

    def to_bench(self) -> None:
        from traveller.screens.bench import BenchPage

        self.switch_screen(BenchPage())

    def action_sign_off(self) -> None:
        self.to_ground()
        self.person, self.in_hand = None, {}
        self.switch_screen(SignOn())

    def put_down(self) -> None:
        """An instrument that was scanned by mistake would go on counting as used."""
        self.in_hand = {}
        self.tell("No instrument is in hand any more.")
        if isinstance(self.screen, Page):
            self.screen.refresh_page()

    def sign_off_if_idle(self) -> None:
        """Nobody's name stays at a terminal that nobody touches. An open sheet stays as it is: it is entered by
        whoever scans a badge next."""
        idle = monotonic() - self._last_touched
        if self.person is None or not self.settings.idle_minutes or idle < self.settings.idle_minutes * 60:
            return
        name = self.person.name
        if isinstance(self.screen, Page):
            self.action_sign_off()
        else:
            self.person, self.in_hand = None, {}
        words = f"{name} was signed off: {self.settings.idle_minutes} minutes without a key. Scan your badge."
        self.call_after_refresh(self.tell, words)

    def today(self) -> date:
        """The day in the shop's zone."""
        return datetime.now(zone(self.roll.zone if self.roll else "UTC")).date()

    def top_words(self, heading: str) -> tuple[str, str]:
        if trouble := self._keeping.words():
            return trouble, self.person.name if self.person else "nobody signed on"
        shop = self.roll.name if self.roll else ""
        left = " · ".join(part for part in (heading, shop) if part)
        hands = ", ".join(self.in_hand) if len(self.in_hand) < 2 else f"{len(self.in_hand)} instruments in hand"
        who = self.person.name if self.person else "nobody signed on"
        return left, " · ".join(part for part in (hands, who) if part)

    def action_book_in(self) -> None:
        if not self.nobody_here():
            from traveller.screens.booking import book_in

            book_in(self)

"""The terminal's way into the workshop: first the door, at which badges are taken, then all that lies behind it."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from traveller.errors import Away, TravellerError
from traveller.screens.keeping_watch import LOOK_SECONDS
from traveller.screens.page import Page
from traveller.screens.sign_on import SignOn
from traveller.terminal import home, stations_folder

if TYPE_CHECKING:
    from traveller.record.shop import Shop
    from traveller.screens.app import TravellerApp
    from traveller.store.door import Door
    from traveller.store.feed import Feed
    from traveller.store.workshop import Workshop


class Opening:
    """Opens behind the first paint. `loaded` is called whenever nothing is left to load, or what is wrong was told."""

    def __init__(self, terminal: TravellerApp, loaded: Callable[[], None]) -> None:
        self._terminal = terminal
        self._loaded = loaded
        self._waiting: list[Callable[[], None]] = []
        self._feed: Feed | None = None
        self.door: Door | None = None
        self.workshop: Workshop | None = None

    def begin(self) -> None:
        def job() -> Door:
            from traveller.store.door import Door

            return Door.open(self._terminal.database)

        self._terminal.errand(job, self._at_the_door, self._not_opened, what="")

    def when_ready(self, job: Callable[[], None], words: str) -> None:
        """Now, or as soon as all is loaded; until then the words stand at the foot."""
        if self.workshop:
            job()
        else:
            self._waiting.append(job)
            self._terminal.tell(words)

    def close(self) -> None:
        if self._feed:
            self._feed.stop()
        if self.workshop:
            self.workshop.close()
        elif self.door:
            self.door.close()

    def _at_the_door(self, door: Door) -> None:
        """Who works here is asked for the badge, and the rest is loaded meanwhile."""
        self.door = door
        self._paint_sign_on()
        self._terminal.call_after_refresh(self._load_workshop, door)

    def _load_workshop(self, door: Door) -> None:
        settings = self._terminal.settings

        def job() -> tuple[Workshop, Shop]:
            workshop = door.workshop(terminal=settings.name, overlay=stations_folder(), folder=home())
            return workshop, workshop.shop()

        self._terminal.errand(job, self._behind_it, self._not_opened, what="")

    def _not_opened(self, error: TravellerError) -> None:
        """A database that is away for the moment is tried again; anything else has to be mended first. What waited is
        not done later: whoever scanned a badge may be gone by then."""
        self._loaded()
        self._waiting = []
        if self.door:
            self.door.close()
            self.door = None
            self._paint_sign_on()
        if isinstance(error, Away):
            self._terminal.tell(f"{error} It is tried again.", refused=True)
            self._terminal.set_timer(LOOK_SECONDS, self.begin)
        else:
            self._terminal.refuse(error)

    def _behind_it(self, opened: tuple[Workshop, Shop]) -> None:
        terminal = self._terminal
        self.workshop, terminal.shop = opened
        self._feed = self.workshop.feed(terminal.tell_changed)
        self._feed.start()
        terminal.tell("")
        terminal.look_at_kept()
        self._paint_sign_on()
        if isinstance(terminal.screen, Page) and not isinstance(terminal.screen, SignOn):
            terminal.screen.refresh_page()
        waiting, self._waiting = self._waiting, []
        for job in waiting:
            job()
        terminal.call_after_refresh(self._load_judges, self.workshop)

    def _load_judges(self, workshop: Workshop) -> None:
        """While somebody reaches for the badge; what is wrong with one is told."""

        def failed(error: TravellerError) -> None:
            self._loaded()
            self._terminal.refuse(error)

        self._terminal.errand(workshop.load_judges, lambda _: self._loaded(), failed, what="")

    def _paint_sign_on(self) -> None:
        page = self._terminal.screen
        if isinstance(page, SignOn) and page.is_mounted:
            page.paint_top()
            page.paint_roll(self._terminal.roll)

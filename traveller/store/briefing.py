"""The brief from the database: cards, the shop's record and the newest entries, whatever the length of history."""

from __future__ import annotations

from datetime import datetime, timedelta

from sqlalchemy import Connection

from traveller.errors import Away
from traveller.record.brief import shop_sources
from traveller.record.brief.brief import Brief, Glance, Reader, Wanted, make_brief
from traveller.record.brief.naming import brief_with_rigs_named
from traveller.record.shifts import Turn
from traveller.record.shop import Shop
from traveller.store import glances, news, shop_clock
from traveller.store.desk import Desk
from traveller.store.keeping import Keeping

NEWEST = 10_000
"""So many of the newest entries are looked through for what was done; a reader who was away for longer still
sees which units have changed, and the last thing that was entered on each."""

A_DAY = timedelta(days=1)
UNITS_NOT_SEEN = "The database is away, and this brief was not read here before: what stands on units is missing."


class Briefing:
    def __init__(self, desk: Desk, keeping: Keeping) -> None:
        self._desk = desk
        self._keeping = keeping

    def brief(
        self, reader: str = "", station: str = "", crew: str = "", rig: str = "", since: datetime | None = None
    ) -> Brief:
        """The brief for a badge, as of now; without a badge for the board, where everybody reads it. While the
        database is away, of the units as they were seen last; what is kept here for the shop stands in it.

        `since` puts another moment in the place of "when you were last here".
        """
        now = self._desk.clock()

        def look(connection: Connection) -> tuple[Shop, Reader, list[Glance], str]:
            shop = self._desk.shop(connection)
            who = self._reader(connection, shop, reader, self.turn_to_read(shop, now), now, since)
            units = [*glances.in_work(connection), *glances.released_since(connection, who.since)]
            return shop, who, units, shop_clock.complaint(connection, now)

        try:
            seen, who, units, complaint = self._desk.look(f"brief {reader} {since}", look)
        except Away:
            seen, units, complaint = self._keeping.shop_seen(), [], UNITS_NOT_SEEN
            who = Reader(reader, seen.crew_of(reader), since or now - A_DAY)
        shop = self._keeping.shop_with_kept(seen)
        turn = self.turn_to_read(shop, now)
        wanted = Wanted(station, crew, rig, _crews(shop) if crew else {})
        of_shop = shop_sources.matters_of(shop, turn)
        made = make_brief(turn, now, who, units, of_shop, wanted)
        return brief_with_rigs_named(made, shop).with_complaint(complaint)

    @staticmethod
    def turn_to_read(shop: Shop, now: datetime) -> Turn:
        """The shift that is on, or in the overlap the one that is about to start."""
        turn = shop.turn(now)
        return shop.roster.after(turn, shop.zone) if turn.overlap and turn.ends - now <= turn.overlap else turn

    @staticmethod
    def _reader(
        connection: Connection, shop: Shop, tag: str, turn: Turn, now: datetime, since: datetime | None
    ) -> Reader:
        """Last here is the last entry that the reader made before this shift; with none, a day ago."""
        came = min(turn.starts, now) - turn.overlap
        last = news.last_of(connection, tag, came) if tag and since is None else None
        position, moment = last or (None, since or now - A_DAY)
        floor = news.floor(connection, NEWEST)
        if position is None:
            did = news.done_since(connection, floor, tag, after=moment)
        else:
            did = news.done_since(connection, max(position, floor), tag)
        return Reader(tag, shop.crew_of(tag), moment, did)


def _crews(shop: Shop) -> dict[str, str]:
    return {person: shop.crew_of(person) for person in shop.crews}

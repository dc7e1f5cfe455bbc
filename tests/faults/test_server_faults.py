"""The server freezes, dies, is followed by its standby, and the wire is cut in the middle of a commit.

Whatever happens: an entry that was acknowledged is on the record, one that was kept comes there once, in order.
"""

from __future__ import annotations

import random
import time
from collections.abc import Callable
from pathlib import Path
from threading import Event, Thread
from uuid import UUID

import psycopg
import pytest

from tests.faults.cutter import Cutter
from tests.faults.servers import Server
from tests.small_shop import SmallShop, opened
from tests.trials import tell, trials
from traveller.errors import Away
from traveller.store import patient
from traveller.store.workshop import Workshop

pytestmark = pytest.mark.heavy
SEED = 20260329


class Writer:
    """One terminal that writes notes on one unit; `said` is what it was told is entered or kept, in order."""

    def __init__(self, shop: SmallShop, url: str, folder: Path) -> None:
        self.shop = shop
        self.workshop = Workshop.open(url, terminal="bench 2", overlay=shop.sheets, folder=folder)
        self.tag = shop.booked()
        self.workshop.shop()
        self.workshop.unit(self.tag)
        self.said: list[UUID] = []
        self.acknowledged: set[UUID] = set()

    def write(self) -> None:
        view = self.workshop.note(self.tag, self.shop.technician, f"note {len(self.said)}")
        self.said.append(view.entries[-1].id)
        if view.entries[-1].id not in view.kept:
            self.acknowledged.add(view.entries[-1].id)

    def deliver(self) -> None:
        """As the terminal does it: again and again, until nothing waits."""
        give_up = time.monotonic() + 60
        while self.workshop.keeping.waiting():
            assert time.monotonic() < give_up, self.workshop.keeping.is_away
            if not self.workshop.keeping.deliver():
                time.sleep(0.1)
        assert self.workshop.keeping.questions() == []

    def check(self, there: Workshop) -> tuple[int, int]:
        """(acknowledged, lost), after it was looked whether all came there once and in order."""
        on_record = [one.id for one in there.unit(self.tag).entries]
        lost = self.acknowledged - set(on_record)
        assert lost == set()
        assert [one for one in on_record if one in set(self.said)] == self.said, "each once, in order"
        assert there.verify(self.tag) == []
        return len(self.acknowledged), len(lost)


def shop_on(server: Server, folder: Path) -> SmallShop:
    server.ask("CREATE DATABASE shop")
    return opened(server.url("shop"), folder)


@pytest.fixture(autouse=True)
def _little_patience(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(patient, "SILENCE_SECONDS", 0.7)


def test_a_commit_whose_answer_never_came_is_done_once(
    server: Server, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The outcome is looked up by the identifier of the entry, which the terminal made when it was typed."""
    shop = shop_on(server, tmp_path)
    cutter = Cutter(server.port, random.Random(SEED), share=0.3)
    url = server.url("shop").replace(f":{server.port}/", f":{cutter.port}/")
    cutter_open, cutter._share = cutter._share, 0.0
    writer = Writer(shop, url, tmp_path / "bench 2")
    cutter._share = cutter_open
    wanted = trials(short=60, full=1_000)
    while min(cutter.cuts.values()) < wanted // 6 or len(writer.said) < wanted:
        writer.write()
        writer.workshop.desk.lately.is_back()
    cutter.mend()
    writer.deliver()
    acknowledged, lost = writer.check(shop.workshop)
    cuts = {name.replace(" ", "_"): count for name, count in cutter.cuts.items()}
    tell(capsys, "wire cut at the commit", trials=wanted, **cuts, acknowledged=acknowledged, lost=lost)
    assert min(cutter.cuts.values()) > 0
    writer.workshop.close()
    shop.workshop.close()
    cutter.close()


def test_a_server_that_stands_still_is_given_up_and_found_again(
    server: Server, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """SIGSTOP: the machine answers the network, the server answers nothing."""
    shop = shop_on(server, tmp_path)
    writer = Writer(shop, server.url("shop"), tmp_path / "bench 2")
    chance, frozen = random.Random(SEED), trials(short=3, full=30)
    for _ in range(frozen):
        stopped = Event()

        def freeze(stopped: Event = stopped, wait: float = chance.uniform(0, 0.05)) -> None:
            time.sleep(wait)
            server.freeze()
            stopped.set()

        Thread(target=freeze).start()
        while not stopped.is_set():
            writer.write()
        for _ in range(3):
            writer.write()
        assert writer.workshop.keeping.is_away
        assert writer.workshop.unit(writer.tag).entries[-1].id == writer.said[-1], "still readable"
        server.thaw()
        writer.deliver()
        writer.workshop.desk.lately.is_back()
    acknowledged, lost = writer.check(shop.workshop)
    kept = len(writer.said) - acknowledged
    tell(capsys, "server frozen", trials=frozen, acknowledged=acknowledged, kept=kept, lost=lost)
    assert kept >= frozen
    writer.workshop.close()
    shop.workshop.close()


def test_a_promoted_standby_has_all_and_the_terminals_carry_on(
    servers_folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """PostgreSQL documentation, 26.2.8 "Synchronous Replication": a commit returns when the standby has it. The
    terminal names both servers, the copy first, and has to find the one that takes writing."""
    rounds, total = trials(short=1, full=10), 0
    for number in range(rounds):
        total += _failover(servers_folder / str(number), tmp_path / str(number), random.Random(SEED + number))
    tell(capsys, "primary killed, standby promoted", trials=rounds, acknowledged=total, lost=0)


def _failover(folder: Path, own: Path, chance: random.Random) -> int:
    folder.mkdir(mode=0o755)
    own.mkdir()
    primary = Server.made(folder)
    shop = shop_on(primary, own)
    standby = primary.standby("second")
    _refused_by_the_copy(shop, standby)
    url = f"postgresql://postgres@127.0.0.1:{standby.port},127.0.0.1:{primary.port}/shop?connect_timeout=2"
    writer = Writer(shop, url, own / "bench 2")
    news = Event()
    feed = writer.workshop.feed(news.set)
    feed.start()
    killed = Event()

    def kill() -> None:
        time.sleep(chance.uniform(0.1, 0.6))
        primary.kill()
        killed.set()
        standby.promote()

    fault = Thread(target=kill)
    fault.start()
    try:
        while not killed.is_set():
            writer.write()
        for _ in range(10):
            writer.write()
        fault.join()
        writer.deliver()
        writer.write()
        assert writer.said[-1] in writer.acknowledged, "written to the promoted server"
        there = Workshop.open(standby.url("shop"), overlay=shop.sheets)
        _told(news, lambda: there.note(writer.tag, shop.lead, "from the other terminal"))
        writer.workshop.unit(writer.tag)
        acknowledged, _ = writer.check(there)
        there.close()
        return acknowledged
    finally:
        feed.stop()
        writer.workshop.close()
        shop.workshop.close()
        standby.stop()


def _refused_by_the_copy(shop: SmallShop, standby: Server) -> None:
    """Who names only the copy may look, and is told that it takes no writing."""
    tag = shop.booked()
    reader = Workshop.open(standby.url("shop"), overlay=shop.sheets)
    while tag not in [card.tag for card in reader.floor()]:
        time.sleep(0.05)
    with pytest.raises(Away, match="takes no writing"):
        reader.note(tag, shop.technician, "to the copy")
    reader.close()


def _told(news: Event, change: Callable[[], object]) -> None:
    """The feed has found the promoted server too; it may take a pause to do so."""
    give_up = time.monotonic() + 30
    news.clear()
    while not news.is_set():
        assert time.monotonic() < give_up
        change()
        news.wait(1)


def test_a_connection_that_is_silent_is_closed(server: Server) -> None:
    with patient.PatientConnection.connect(server.url()) as connection:
        with pytest.raises(psycopg.OperationalError, match="silent for"):
            connection.execute("SELECT pg_sleep(5)")
        assert connection.closed

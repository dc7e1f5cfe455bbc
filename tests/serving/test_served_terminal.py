"""Through the door to a real terminal, a program of its own: it paints, keeps what is typed, and ends with the page."""

from __future__ import annotations

import asyncio
import os
import re
import signal
import subprocess
import sys
from collections.abc import AsyncIterator, Callable, Iterator
from contextlib import asynccontextmanager
from pathlib import Path
from time import monotonic

import pytest
from aiohttp import ClientSession, ClientWebSocketResponse, WSMsgType
from aiohttp.test_utils import TestServer

from tests.screens.small_shop import SmallShop, lay_out
from traveller.serving.address import Address
from traveller.serving.door import Door
from traveller.serving.front import Front, listen, terminal_command
from traveller.serving.token import cookie_of, kept_token
from traveller.terminal import Settings, save_settings

LONG = 60.0
"""Seconds after which something that shall come has not come; it is here within a few."""
CONTROL = re.compile(r"\x1b\[[0-9;?]*[ -/]*[@-~]|\x1b[()][A-Z0-9]")

pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="looks into /proc")


@pytest.fixture(name="shop")
def _shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[SmallShop]:
    monkeypatch.setenv("TRAVELLER_HOME", str(tmp_path / "home"))
    laid_out = lay_out(tmp_path)
    monkeypatch.setenv("TRAVELLER_DATABASE", laid_out.url)
    save_settings(Settings(name="tablet", station="goods_in", bell=False))
    yield laid_out
    laid_out.workshop.close()


class Tablet:
    """An open page: what was painted so far, and what is typed."""

    def __init__(self, socket: ClientWebSocketResponse) -> None:
        self._socket = socket
        self.painted = ""

    async def types(self, text: str) -> None:
        await self._socket.send_json(["stdin", text])

    async def sees(self, words: str) -> None:
        """Wait until the words have been painted since this was last asked."""
        while words not in self.painted:
            message = await asyncio.wait_for(self._socket.receive(), LONG)
            assert message.type == WSMsgType.BINARY, (message.type, self.painted)
            self.painted += CONTROL.sub("", message.data.decode("utf-8", "replace"))
        self.painted = ""

    async def is_closed(self) -> None:
        while (await asyncio.wait_for(self._socket.receive(), LONG)).type not in (WSMsgType.CLOSE, WSMsgType.CLOSED):
            pass


@asynccontextmanager
async def tablet(port: int, door: Door) -> AsyncIterator[Tablet]:
    known = {
        "Host": door.address.host,
        "Origin": door.address.origin,
        "Cookie": f"{door.cookie}={cookie_of(door.token)}",
    }
    async with (
        ClientSession() as session,
        session.ws_connect(f"ws://127.0.0.1:{port}/ws?width=80&height=24", headers=known) as socket,
    ):
        yield Tablet(socket)


async def comes(what: Callable[[], bool]) -> bool:
    until = monotonic() + LONG
    while not what() and monotonic() < until:
        await asyncio.sleep(0.02)
    return what()


def children(of: int) -> list[int]:
    """The terminals that a front has started."""
    return [int(one) for one in Path(f"/proc/{of}/task/{of}/children").read_text().split() if _is_terminal(one)]


def _is_terminal(number: str) -> bool:
    try:
        return b"traveller" in Path(f"/proc/{number}/cmdline").read_bytes()
    except OSError:
        return False


async def test_what_stood_in_the_line_outlives_a_killed_terminal_and_a_closed_page(shop: SmallShop) -> None:
    tag = shop.unit()
    door = Door(Address("http", "127.0.0.1:8040"), "t" * 40)
    server = TestServer(await Front(door, terminal_command()).application())
    typed = Path(os.environ["TRAVELLER_HOME"]) / "typed"
    async with server:
        assert server.port
        async with tablet(server.port, door) as page:
            await page.sees("Scan your badge.")
            await page.types(f"{shop.technician}\r")
            await page.sees("is signed on")
            await page.types(f"{tag}\r")
            await page.sees("Norrfeld")
            await page.types("4, but")
            assert await comes(lambda: any("4, but" in one.read_text() for one in typed.glob("*.json")))
            (terminal,) = children(os.getpid())
            os.kill(terminal, signal.SIGKILL)
            await page.is_closed()
        async with tablet(server.port, door) as page:
            await page.sees("Scan your badge.")
            await page.types(f"{shop.technician}\r")
            await page.sees(f"Typed and not entered yet: on {tag}.")
            await page.types(f"{tag}\r")
            await page.sees("4, but")
            (terminal,) = children(os.getpid())
        assert await comes(lambda: not Path(f"/proc/{terminal}").exists()), "it ends with its page"


@pytest.mark.usefixtures("shop")
async def test_the_token_stands_nowhere_and_a_killed_front_leaves_no_terminal(tmp_path: Path) -> None:
    file = tmp_path / "token"
    token = kept_token(file)
    with listen("127.0.0.1", 0) as found:
        port = int(found.getsockname()[1])
    words = [sys.executable, "-m", "traveller", "serve", "--port", str(port), "--token-file", str(file)]
    with (tmp_path / "out").open("wb") as out:
        front = subprocess.Popen(words, stdout=out, stderr=out)
    try:
        assert await comes(lambda: b"The terminal is served at" in (tmp_path / "out").read_bytes()), front.poll()
        door = Door(Address("http", f"127.0.0.1:{port}"), token)
        async with ClientSession() as session:
            for path in (f"/?token={token}", f"/?token={token}x", f"/nowhere?token={token}"):
                async with session.get(f"http://127.0.0.1:{port}{path}") as answer:
                    await answer.read()
        for garbled in (f"GET /?token={token}\x01 HTTP/1.1\r\n\r\n", f"GET http://[/?token={token} HTTP/1.1\r\n\r\n"):
            reader, writer = await asyncio.open_connection("127.0.0.1", port)
            writer.write(garbled.encode())
            assert b" 400 " in await reader.readline()
            writer.close()
        async with tablet(port, door) as page:
            await page.sees("Scan your badge.")
            (terminal,) = children(front.pid)
            for number in (front.pid, terminal):
                for what in ("cmdline", "environ"):
                    assert token.encode() not in Path(f"/proc/{number}/{what}").read_bytes()
            front.kill()
            front.wait()
            assert await comes(lambda: not Path(f"/proc/{terminal}").exists())
    finally:
        front.kill()
        front.wait()
    written = [one for one in (tmp_path / "home").rglob("*") if one.is_file()] + [tmp_path / "out"]
    assert any("served GET /: 403" in one.read_text() for one in written if one.name == "log")
    assert not [one for one in written if token.encode() in one.read_bytes()]

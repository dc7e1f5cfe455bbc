"""Who is let in, and who is not.

Sources: RFC 6454 (section 7, the Origin header), RFC 6455 (section 10.2, a server that is meant for one site checks
it), RFC 6265bis (cookie prefixes, SameSite), W3C Content Security Policy Level 3 (source lists).
"""

from __future__ import annotations

import logging
import re
from collections.abc import AsyncIterator

import pytest
from aiohttp import ClientResponse, DummyCookieJar, WSServerHandshakeError
from aiohttp.test_utils import TestClient, TestServer
from aiohttp.web import Application, Request

from traveller.serving.address import Address
from traveller.serving.door import Door
from traveller.serving.front import Front, Refusals
from traveller.serving.token import cookie_of, new_token

HOME = "http://127.0.0.1:8040"
HOST = {"Host": "127.0.0.1:8040"}
TOKEN = new_token()
DOOR = Door(Address("http", "127.0.0.1:8040"), TOKEN)
KNOWN = {**HOST, "Cookie": f"{DOOR.cookie}={cookie_of(TOKEN)}"}
EVERYWHERE = (
    "/",
    "/ws",
    "/download/x",
    "/static/js/textual.js",
    "/static/",
    "/page/page.js",
    "/nothing",
    "/favicon.ico",
)
Client = TestClient[Request, Application]


@pytest.fixture(name="client")
async def _client() -> AsyncIterator[Client]:
    """What a terminal would be is a program that says nothing: none of these tests may reach it."""
    server = TestServer(await Front(DOOR, "exec false").application())
    async with TestClient(server, cookie_jar=DummyCookieJar()) as client:
        yield client


async def refused(answer: ClientResponse) -> str:
    """The sentence that came instead."""
    text = await answer.text()
    assert answer.status == 403, text
    assert answer.content_type == "text/plain"
    assert TOKEN not in text
    assert "Set-Cookie" not in answer.headers
    return text


@pytest.mark.parametrize("path", EVERYWHERE)
async def test_nothing_is_shown_to_a_browser_that_is_not_known(client: Client, path: str) -> None:
    says = await refused(await client.get(path, headers=HOST))
    if path != "/ws":
        assert "This browser is not known. Open the link that traveller serve printed" in says
        other = {**HOST, "Cookie": f"{DOOR.cookie}={cookie_of(new_token())}"}
        assert "not known" in await refused(await client.get(path, headers=other))
        assert "not known" in await refused(
            await client.get(path, headers={**HOST, "Cookie": f"{DOOR.cookie}={TOKEN}"})
        )


@pytest.mark.parametrize("token", ["", "x", TOKEN[:-1], f"{TOKEN}=", new_token(), "%00", "é", "%ff%fe"])
async def test_a_wrong_token_lets_nobody_in(client: Client, token: str) -> None:
    assert "not the right one" in await refused(await client.get(f"/?token={token}", headers=HOST))
    assert "not the right one" in await refused(await client.get(f"/?token={token}", headers=KNOWN))


async def test_the_token_counts_nowhere_but_on_the_page(client: Client) -> None:
    for path in ("/ws", "/download/x", "/static/js/textual.js"):
        await refused(await client.get(f"{path}?token={TOKEN}", headers={**HOST, "Origin": HOME}))
    await refused(await client.post(f"/?token={TOKEN}", headers={**HOST, "Origin": HOME}))


async def test_the_link_makes_a_browser_known(client: Client) -> None:
    answer = await client.get(f"/?token={TOKEN}", headers=HOST)
    assert answer.status == 200
    assert TOKEN not in await answer.text()
    cookie = answer.cookies[DOOR.cookie]
    assert cookie.value != TOKEN
    assert (cookie["httponly"], cookie["samesite"], cookie["path"], cookie["domain"]) == (True, "Strict", "/", "")
    page = await client.get("/", headers={**HOST, "Cookie": f"{DOOR.cookie}={cookie.value}"})
    assert page.status == 200
    assert 'data-session-websocket-url="ws://127.0.0.1:8040/ws"' in await page.text()


@pytest.mark.parametrize(
    "host", ["evil.example", "evil.example:8040", "127.0.0.1", "localhost:8040", "127.0.0.1:80401"]
)
async def test_under_another_name_nothing_is_served(client: Client, host: str) -> None:
    """A foreign name that somebody made point at this machine (DNS rebinding) is in the Host header."""
    for path in ("/", f"/?token={TOKEN}", "/static/js/textual.js", "/ws"):
        says = await refused(await client.get(path, headers={**KNOWN, "Host": host}))
        assert f"served at {HOME} and under no other name" in says


@pytest.mark.parametrize(
    "origin", ["http://evil.example", "https://127.0.0.1:8040", "http://127.0.0.1:8041", "null", ""]
)
async def test_a_websocket_from_a_foreign_page_is_refused(client: Client, origin: str) -> None:
    with pytest.raises(WSServerHandshakeError) as foreign:
        await client.ws_connect("/ws", headers={**KNOWN, "Origin": origin})
    assert foreign.value.status == 403
    for path in ("/", f"/?token={TOKEN}"):
        await refused(await client.get(path, headers={**KNOWN, "Origin": origin}))


async def test_a_websocket_that_does_not_say_where_it_comes_from_is_refused(client: Client) -> None:
    with pytest.raises(WSServerHandshakeError) as nowhere:
        await client.ws_connect("/ws", headers=KNOWN)
    assert nowhere.value.status == 403


@pytest.mark.parametrize("method", ["POST", "PUT", "DELETE", "OPTIONS", "PATCH"])
async def test_what_could_change_something_has_to_say_where_it_comes_from(client: Client, method: str) -> None:
    await refused(await client.request(method, "/", headers=KNOWN))
    assert (await client.request(method, "/", headers={**KNOWN, "Origin": HOME})).status == 405


async def test_the_page_fetches_nothing_from_elsewhere(client: Client) -> None:
    """Every address in the page and in its own files is a path of this server, and the browser is told so too."""
    seen = 0
    for path in ("/", "/page/page.css", "/page/page.js", "/static/css/xterm.css"):
        answer = await client.get(path, headers=KNOWN)
        assert answer.status == 200
        text = re.sub(r"/\*.*?\*/", "", await answer.text(), flags=re.DOTALL)
        assert re.findall(r"(?:https?:)?//(?!\s)[\w.:-]+", text.replace("ws://127.0.0.1:8040/ws", "")) == []
        for found in re.findall(r"(?:src|href)=\"([^\"]+)\"|url\(\"?([^\")]+)", text):
            address = found[0] or found[1]
            assert address.startswith(("/", "data:,")), address
            if address.startswith("/"):
                seen += (await client.get(address, headers=KNOWN)).status == 200
    assert seen >= 6
    policy = dict(part.split(" ", 1) for part in answer.headers["Content-Security-Policy"].split("; "))
    assert policy["default-src"] == "'none'"
    assert policy["script-src"] == policy["font-src"] == "'self'"
    assert policy["connect-src"] == "'self' ws://127.0.0.1:8040"
    outside = {word for words in policy.values() for word in words.split()} - {"'none'", "'self'", "data:"}
    assert outside == {"'unsafe-inline'", "ws://127.0.0.1:8040"}
    assert "'unsafe-inline'" not in policy["script-src"]


async def test_behind_a_web_server_with_a_certificate_the_cookie_stays_on_encrypted_ways() -> None:
    door = Door(Address("https", "bench.sandbeck.example"), TOKEN)
    async with TestClient(TestServer(await Front(door, "exec false").application())) as client:
        answer = await client.get(f"/?token={TOKEN}", headers={"Host": "bench.sandbeck.example"})
        cookie = answer.cookies[door.cookie]
        assert cookie.key.startswith("__Host-")
        assert cookie["secure"]
        page = await client.get(
            "/", headers={"Host": "Bench.Sandbeck.example", "Cookie": f"{door.cookie}={cookie.value}"}
        )
        assert 'url="wss://bench.sandbeck.example/ws"' in await page.text()
        await refused(await client.get("/", headers=KNOWN))


async def test_the_log_tells_what_was_refused_and_never_the_token(caplog: pytest.LogCaptureFixture) -> None:
    server = TestServer(await Front(DOOR, "exec false").application())
    await server.start_server(access_log=logging.getLogger("served"), access_log_class=Refusals)
    async with TestClient(server, cookie_jar=DummyCookieJar()) as client:
        with caplog.at_level(logging.DEBUG):
            for path, headers in (("/", {}), ("/", HOST), ("/x%0Ay", HOST), ("/x", KNOWN)):
                await client.get(f"{path}?token={TOKEN}", headers=headers)
    said = [re.sub(r"in .* s$", "in a moment", one.getMessage()) for one in caplog.records if one.name == "served"]
    asked = ("GET /: 403", "GET /x%0Ay: 403", "GET /x: 404")
    assert said == [f"served {one} in a moment" for one in asked]
    assert TOKEN not in caplog.text

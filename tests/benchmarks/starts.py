"""One start, in a process of its own: ``python -m tests.benchmarks.starts URL``, or ``... bare FILE`` with the names
of the modules to load. Prints when the screen was usable (clock of this machine), the peak of memory, and for ours
the modules of others that were loaded."""

from __future__ import annotations

import json
import sys
import time
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from rich.console import RenderableType
    from textual.app import App
    from textual.screen import Screen


def told(app: App[None], names: list[str]) -> None:
    """Told once."""
    now = time.perf_counter()
    from tests.benchmarks.row import peak_memory

    print(json.dumps({"usable": now, "memory": peak_memory(), "modules": names}), flush=True)
    app.exit()


def ours(url: str) -> None:
    from traveller.commands.root import terminal

    program = terminal(url)
    from textual.widgets import Static

    from traveller.screens.app import TravellerApp

    display = TravellerApp._display

    def watched(app: App[None], screen: Screen[Any], renderable: RenderableType | None) -> None:
        assert isinstance(app, TravellerApp)
        display(app, screen, renderable)
        if app.is_open and "Scan your badge" in str(screen.query_one("#welcome", Static).content):
            TravellerApp._display = display  # type: ignore[method-assign]  # told once
            told(app, foreign())

    TravellerApp._display = watched  # type: ignore[assignment, method-assign]  # to see when it has painted
    program.run(headless=True, size=(80, 24))


def foreign() -> list[str]:
    """Modules that are neither ours nor run as the program; private ones come with those that need them."""
    return [
        name
        for name, module in list(sys.modules.items())
        if name.partition(".")[0] not in ("traveller", "stations", "tests", "__main__", "__mp_main__")
        and "site-packages" in (getattr(module, "__file__", None) or "")
    ]


def bare(file: str) -> None:
    from contextlib import suppress
    from importlib import import_module
    from pathlib import Path

    for name in json.loads(Path(file).read_text(encoding="utf-8")):
        with suppress(ImportError):  # such as are only made while another one loads
            import_module(name)
    from textual.app import App, ComposeResult
    from textual.widgets import Input, Static

    class Bare(App[None]):
        def compose(self) -> ComposeResult:
            yield Static("Scan your badge.")
            yield Input()

        def on_ready(self) -> None:
            told(self, [])

    Bare().run(headless=True, size=(80, 24))


if __name__ == "__main__":
    bare(sys.argv[2]) if sys.argv[1] == "bare" else ours(sys.argv[1])

"""A screen that nobody looks at is painted once, when it has come to rest, and not after each of its changes.

Without a real terminal the toolkit paints as often as with one and throws the picture away.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import pytest
from textual._compositor import Compositor
from textual.screen import Screen

_paint = Compositor.render_update


def _later(_self: Compositor, *_args: Any, **_named: Any) -> None:
    """What changed stays marked as changed."""


def paint(screen: Screen[Any]) -> None:
    """Paint now what has changed since the last time."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Compositor, "render_update", _paint)
        screen._compositor_refresh()


@contextmanager
def only_at_rest() -> Iterator[None]:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Compositor, "render_update", _later)
        yield


@pytest.fixture(autouse=True, scope="session")
def painted_at_rest() -> Iterator[None]:
    """For the conftest of tests that work through `Hands`."""
    with only_at_rest():
        yield

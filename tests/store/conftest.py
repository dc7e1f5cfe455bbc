"""What the tests of the store write down."""

from __future__ import annotations

from collections.abc import Callable
from uuid import uuid4

import pytest

from traveller.record.entries import Draft, Noted


@pytest.fixture
def note() -> Callable[..., Draft]:
    """Makes the draft of a note."""
    return lambda text="oil on the heat sink": Draft(id=uuid4(), body=Noted(text=text))

"""The kinds of entry about a test that is run over and over because its fault shows only now and then."""

from __future__ import annotations

from typing import Literal
from uuid import UUID

from pydantic import AwareDatetime, Field

from traveller.vocabulary import Plain, Short


class RunsCounted(Plain):
    """Runs of one test, counted together. `clean_since` of them came after the last that failed."""

    kind: Literal["runs counted"] = "runs counted"
    test: Short
    runs: int = Field(ge=1, le=100_000)
    failures: int = Field(ge=0)
    clean_since: int = Field(ge=0)
    first: AwareDatetime | None = None
    last: AwareDatetime | None = None
    source: str = ""


class RunTakenBack(Plain):
    """One run of an earlier count was a slip of the finger; that line stays."""

    kind: Literal["run taken back"] = "run taken back"
    test: Short
    counted: UUID
    failed: bool

"""The kinds of entry about what was found, what it would cost, and the customer's authority for it."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Annotated, Literal

from pydantic import Field

from traveller.vocabulary import Currency, Plain, Short, Words

Money = Annotated[Decimal, Field(ge=0, le=Decimal(10**9), decimal_places=2)]
"""An amount in the currency that stands beside it."""
Hours = Annotated[Decimal, Field(ge=0, le=Decimal(10**5), decimal_places=2)]
Advice = Literal["repair", "wait for authority", "beyond economic repair"]


class Investigated(Plain):
    """What the diagnosis came to.

    Cause, mechanism and mode are kept apart as in EN 13306: a failure is an event, the fault is the state after it;
    the mode is how it shows, the mechanism what went on in the part, the cause why it came to that (from
    memory). `economic_limit` is the amount above which the unit is not worth repairing, if anybody knows it.
    """

    kind: Literal["investigated"] = "investigated"
    root_cause: Words
    mechanism: str = Field(default="", max_length=400)
    mode: str = Field(default="", max_length=400)
    hours: Hours
    rate: Money
    parts_cost: Money
    currency: Currency
    advice: Advice
    economic_limit: Money | None = None


class AuthorityGiven(Plain):
    """Somebody of the customer agreed to a repair up to an amount."""

    kind: Literal["authority given"] = "authority given"
    who: Short
    how: Short
    on: date
    up_to: Money
    currency: Currency


class AuthorityRefused(Plain):
    kind: Literal["authority refused"] = "authority refused"
    who: Short
    how: Short
    on: date
    why: str = Field(default="", max_length=400)

"""What was found, what it would cost, and whether the customer has agreed: worked out from the entries."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime
from decimal import ROUND_HALF_UP, Decimal

from traveller.record.entries import Decided, Entry
from traveller.record.finding_entries import AuthorityGiven, AuthorityRefused, Investigated

CENT = Decimal("0.01")
ROOT_CAUSE, DECISION = "diagnosis.root_cause", "diagnosis.decision"
"""The checks that the findings answer too, where the workshop's sheets ask them."""
WAITS_FOR = "the customer's authority"
"""How a hold begins that the findings put the unit on."""


def amount(value: Decimal, currency: str) -> str:
    """``1240.50 EUR``."""
    return f"{value:.2f} {currency}"


def labour(said: Investigated) -> Decimal:
    """Hours × rate, to the cent."""
    return (said.hours * said.rate).quantize(CENT, ROUND_HALF_UP)


def estimate(said: Investigated) -> Decimal:
    """Hours × rate + parts."""
    return labour(said) + said.parts_cost


def estimate_words(said: Investigated) -> str:
    return amount(estimate(said), said.currency)


def covers(authority: AuthorityGiven | AuthorityRefused, said: Investigated) -> bool:
    """Whether the customer agreed to as much as the estimate says."""
    if isinstance(authority, AuthorityRefused):
        return False
    return authority.currency == said.currency and estimate(said) <= authority.up_to


@dataclass(frozen=True)
class Findings:
    """One round of findings, by whom and when."""

    said: Investigated
    by: str
    at: datetime

    def working(self) -> tuple[str, ...]:
        """Each number of the estimate, and how it compares with the economic limit."""
        said, unit = self.said, self.said.currency
        work, parts = amount(labour(said), unit), amount(said.parts_cost, unit)
        lines = [
            f"labour    {said.hours.normalize():f} h × {amount(said.rate, unit)} = {work}",
            f"parts     {parts}",
            f"estimate  {work} + {parts} = {estimate_words(said)}",
        ]
        if said.economic_limit is not None:
            over = estimate(said) - said.economic_limit
            side = f"{amount(abs(over), unit)} {'above' if over > 0 else 'below'}" if over else "exactly at"
            lines.append(f"limit     {amount(said.economic_limit, unit)}: the estimate is {side} it")
        return tuple(lines)


@dataclass(frozen=True)
class Authority:
    """What the customer said; of a refusal there is no amount."""

    said: AuthorityGiven | AuthorityRefused
    by: str
    at: datetime

    @property
    def given(self) -> bool:
        return isinstance(self.said, AuthorityGiven)

    def in_words(self) -> str:
        match self.said:
            case AuthorityGiven(who=who, how=how, on=day, up_to=most, currency=currency):
                return f"given by {who}, {how}, {day}, up to {amount(most, currency)}"
            case AuthorityRefused(who=who, how=how, on=day, why=why):
                return f"refused by {who}, {how}, {day}" + (f": {why}" if why else "")


@dataclass(frozen=True)
class FindingsMade:
    """The findings that stand, the customer's latest word, and whether a lead has decided since.

    Authority, once it was needed, is needed for every later and larger estimate too.
    """

    latest: Findings | None = None
    authority: Authority | None = None
    was_needed: bool = False
    decided: bool = False

    @property
    def covered(self) -> bool:
        """Whether the customer agreed to as much as the findings that stand would cost."""
        return bool(self.latest and self.authority and covers(self.authority.said, self.latest.said))

    def in_the_way(self) -> tuple[str, str]:
        """(what keeps the unit from going on, what to do); two empty strings when nothing does."""
        if self.latest is None:
            return "", ""
        said, cost = self.latest.said, estimate_words(self.latest.said)
        refused = self.authority is not None and not self.authority.given
        if self.authority and refused and not self.decided:
            return f"authority {self.authority.in_words()}", "a shift lead decides what becomes of it, or find anew"
        if said.advice == "beyond economic repair":
            words = f"found beyond economic repair: estimate {cost}"
            return ("", "") if self.decided else (words, "a shift lead decides, with the customer's word")
        if refused or self.covered or not self.was_needed:
            return "", ""
        if self.authority is None:
            return f"the customer's authority is missing: estimate {cost}", "record who agreed, how, when, up to what"
        return (
            f"the estimate {cost} is not covered by the authority {self.authority.in_words()}",
            "ask the customer again and record the answer",
        )


FindingBody = Investigated | AuthorityGiven | AuthorityRefused | Decided


def with_entry(made: FindingsMade, entry: Entry, body: FindingBody) -> FindingsMade:
    match body:
        case Investigated(advice=advice):
            needed = made.was_needed or advice == "wait for authority"
            return replace(made, latest=Findings(body, entry.by, entry.at), was_needed=needed, decided=False)
        case AuthorityGiven() | AuthorityRefused():
            authority = Authority(body, entry.by, entry.at)
            return replace(made, authority=authority, was_needed=True, decided=False)
        case Decided():
            return replace(made, decided=True)

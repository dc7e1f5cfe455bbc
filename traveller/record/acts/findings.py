"""From findings to a decision: the estimate, the advice, the customer's authority."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date
from decimal import Decimal

from traveller.errors import InputError, Refused
from traveller.quantities import read_quantity
from traveller.record.acts import answer as answering
from traveller.record.acts import route
from traveller.record.acts.rights import Proposed, need_open, need_role
from traveller.record.answers import Answer, Chosen, Written
from traveller.record.finding_entries import AuthorityGiven, AuthorityRefused, Investigated
from traveller.record.findings import DECISION, ROOT_CAUSE, WAITS_FOR, covers, estimate_words
from traveller.record.forms import build
from traveller.record.shop import Person
from traveller.record.view import UnitView
from traveller.sheets import CheckKind
from traveller.vocabulary import Role

FINDERS = (Role.TECHNICIAN, Role.LEAD)
THOUSANDS = re.compile(r"[.,']\d{3}$")


def read_amount(text: str, what: str) -> Decimal:
    """An amount or a number of hours as it was typed: ``1240.50``, ``1240,5``. InputError says what to type."""
    if THOUSANDS.search(text.strip()):
        raise InputError(f"{what}: {text.strip()} can be read in two ways: leave out the sign between the thousands.")
    try:
        found = read_quantity(text, "")
    except InputError as error:
        raise InputError(f"{what}: {error}") from None
    if found.bound != "exact" or found.value < 0:
        raise InputError(f"{what}: type one number that is not below zero, for example 1240.50.")
    return Decimal(f"{found.value:.2f}")


def findings_typed(typed: Mapping[str, str]) -> Investigated:
    """The findings from the typed fields, by the names that `Investigated` has for them."""
    words = {name: text.strip() for name, text in typed.items() if name in Investigated.model_fields}
    fields: dict[str, object] = {**words}
    for name in ("hours", "rate", "parts_cost", "economic_limit"):
        text = words.get(name, "")
        fields[name] = read_amount(text or "0", name.replace("_", " ")) if text or name != "economic_limit" else None
    return build(Investigated, fields)


def authority_typed(who: str, how: str, on: date, up_to: str, currency: str) -> AuthorityGiven:
    fields = {"who": who, "how": how, "on": on, "up_to": read_amount(up_to, "up to"), "currency": currency}
    return build(AuthorityGiven, fields)


def refusal_typed(who: str, how: str, on: date, why: str) -> AuthorityRefused:
    return build(AuthorityRefused, {"who": who, "how": how, "on": on, "why": why.strip()})


def investigated(
    view: UnitView, person: Person, said: Investigated, look_again: date | None, today: date
) -> list[Proposed]:
    """Write the findings down, answer the checks that they answer, and hold a unit that waits for the customer."""
    need_open(view)
    need_role(person, "write findings", *FINDERS)
    waits, known = said.advice == "wait for authority", view.unit.findings_made.authority
    if waits and known and covers(known.said, said):
        raise Refused(f"There is authority, {known.in_words()}: it covers the estimate, so advise repair.")
    proposed = [Proposed(said)]
    proposed += _answered(view, person, ROOT_CAUSE, Written(text=said.root_cause))
    proposed += _answered(view, person, DECISION, Chosen(option=said.advice))
    if waits and not view.unit.hold:
        if look_again is None:
            raise Refused("It waits for the customer's authority: say on which day somebody looks again.")
        proposed += route.hold(view, person, f"{WAITS_FOR}, estimate {estimate_words(said)}", look_again, today)
    return proposed


def authority(view: UnitView, person: Person, said: AuthorityGiven | AuthorityRefused, today: date) -> list[Proposed]:
    """Write down what the customer said. The hold that waited for it ends; if it covers the estimate, the
    decision is answered with repair."""
    need_open(view)
    need_role(person, "record the customer's authority", *FINDERS)
    if said.on > today:
        raise Refused(f"{said.on} is still to come: give the day on which the customer said it.")
    proposed = [Proposed(said)]
    waited, latest = view.unit.current(DECISION), view.unit.findings_made.latest
    agreed = latest is not None and covers(said, latest.said)
    if agreed and waited and waited.answer == Chosen(option="wait for authority"):
        proposed += _answered(view, person, DECISION, Chosen(option="repair"))
    if view.unit.hold and view.unit.hold.reason.startswith(WAITS_FOR):
        proposed += route.resume(view, person, "the customer has answered")
    return proposed


def _answered(view: UnitView, person: Person, key: str, given: Answer) -> list[Proposed]:
    """The answer to a check, where the sheets ask it in this form and it is not answered so already."""
    check = view.book.check(key)
    if check is None or not view.proof.is_asked(check) or check.kind != CheckKind(given.kind):
        return []
    if isinstance(given, Chosen) and given.option not in check.options:
        return []
    standing = view.proof.standing(check)
    if standing.evidence and standing.evidence.answer == given and not standing.because:
        return []
    return answering.answer(view, person, key, given)

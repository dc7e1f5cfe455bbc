"""Findings, estimate and authority: the sum shown, and the rules that keep a unit until somebody agreed."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.record.refusals import anna, ida, lea, refusal
from tests.record.shop_floor import ANNA, LEA, MORNING, Traveller, may_leave, ready_for_work
from traveller.errors import InputError
from traveller.record.acts import findings as acts
from traveller.record.entries import Decided, Held
from traveller.record.finding_entries import Advice, AuthorityGiven, AuthorityRefused, Investigated

TODAY = MORNING.date()
LATER = date(2031, 3, 10)


def found(advice: Advice = "repair", hours: str = "3.5", limit: str | None = None) -> Investigated:
    return Investigated(
        root_cause="link capacitors dried out",
        hours=Decimal(hours),
        rate=Decimal("85"),
        parts_cost=Decimal("412.80"),
        currency="eur",
        advice=advice,
        economic_limit=Decimal(limit) if limit else None,
    )


def agreed(up_to: str = "710.30", currency: str = "EUR") -> AuthorityGiven:
    return AuthorityGiven(who="Ms Thorne", how="by mail", on=TODAY, up_to=Decimal(up_to), currency=currency)


REFUSED = AuthorityRefused(who="Ms Thorne", how="by telephone", on=TODAY, why="too dear")


def authority_reasons(traveller: Traveller) -> list[str]:
    return [one.says for one in traveller.view.reasons if one.kind == "authority"]


def test_the_estimate_is_shown_number_by_number() -> None:
    """By hand: 3.5 h at 85.00 are 297.50; with parts of 412.80 that is 710.30, 40.30 above a limit of 670.00."""
    traveller = ready_for_work()
    traveller.enter(found(limit="670"), ANNA)
    latest = traveller.view.unit.findings_made.latest
    assert latest and latest.working() == (
        "labour    3.5 h × 85.00 EUR = 297.50 EUR",
        "parts     412.80 EUR",
        "estimate  297.50 EUR + 412.80 EUR = 710.30 EUR",
        "limit     670.00 EUR: the estimate is 40.30 EUR above it",
    )


@pytest.mark.parametrize(("limit", "says"), [("710.30", "exactly at it"), ("800", "89.70 EUR below it")])
def test_the_limit_is_compared_in_words(limit: str, says: str) -> None:
    traveller = ready_for_work()
    traveller.enter(found(limit=limit), ANNA)
    latest = traveller.view.unit.findings_made.latest
    assert latest and latest.working()[-1].endswith(says)


def test_waiting_for_authority_holds_the_unit_in_the_same_act() -> None:
    traveller = ready_for_work()
    (said,) = refusal(lambda v: acts.investigated(v, anna, found("wait for authority"), None, TODAY), traveller.view)
    assert "on which day somebody looks again" in said
    written, held = acts.investigated(traveller.view, anna, found("wait for authority"), LATER, TODAY)
    assert isinstance(written.body, Investigated)
    assert held.body == Held(reason="the customer's authority, estimate 710.30 EUR", look_again=LATER)


@pytest.mark.parametrize("body", [agreed(), REFUSED])
def test_the_hold_ends_with_the_customers_word(body: AuthorityGiven | AuthorityRefused) -> None:
    traveller = ready_for_work()
    for one in acts.investigated(traveller.view, anna, found("wait for authority"), LATER, TODAY):
        traveller.enter(one.body, ANNA)
    assert [one.body.kind for one in acts.authority(traveller.view, lea, body, TODAY)][1:] == ["resumed"]


def test_a_hold_for_parts_does_not_end_with_it() -> None:
    traveller = ready_for_work()
    traveller.enter(Held(reason="parts", look_again=LATER), ANNA)
    traveller.enter(found("wait for authority"), ANNA)
    assert len(acts.authority(traveller.view, lea, agreed(), TODAY)) == 1


def test_nothing_goes_on_until_the_customer_agreed_to_as_much() -> None:
    traveller = may_leave()
    assert traveller.view.reasons == []
    traveller.enter(found("wait for authority"), ANNA)
    assert authority_reasons(traveller) == ["the customer's authority is missing: estimate 710.30 EUR"]
    assert any(one.kind == "authority" for one in traveller.view.blockers)
    traveller.enter(agreed("700"), LEA)
    (says,) = authority_reasons(traveller)
    assert says.startswith("the estimate 710.30 EUR is not covered by the authority given by Ms Thorne")
    traveller.enter(agreed("710.30"), LEA)
    assert traveller.view.reasons == []
    traveller.enter(found("repair", hours="4"), ANNA)
    assert "estimate 752.80 EUR is not covered" in authority_reasons(traveller)[0]
    traveller.enter(agreed("900", "CHF"), LEA)
    assert len(authority_reasons(traveller)) == 1, "another currency covers nothing"


def test_whoever_advised_to_wait_does_not_get_round_it_by_advising_repair() -> None:
    traveller = may_leave()
    traveller.enter(found("wait for authority"), ANNA)
    traveller.enter(found("repair"), ANNA)
    assert authority_reasons(traveller)


def test_a_refusal_and_beyond_economic_repair_are_a_leads_to_decide() -> None:
    for bodies in ((found("wait for authority"), REFUSED), (found("beyond economic repair"),)):
        traveller = may_leave()
        for body in bodies:
            traveller.enter(body, ANNA)
        (reason,) = (one for one in traveller.view.reasons if one.kind == "authority")
        assert "a shift lead decides" in reason.todo
        traveller.enter(Decided(outcome="repair", reason="goodwill"), LEA)
        assert authority_reasons(traveller) == []


def test_authority_that_covers_it_leaves_nothing_to_wait_for() -> None:
    traveller = ready_for_work()
    traveller.enter(agreed("1000"), LEA)
    (said,) = refusal(lambda v: acts.investigated(v, anna, found("wait for authority"), LATER, TODAY), traveller.view)
    assert "covers the estimate, so advise repair" in said


def test_who_may_and_when() -> None:
    view = ready_for_work().view
    assert "may not write findings" in refusal(lambda v: acts.investigated(v, ida, found(), None, TODAY), view)[0]
    assert "may not record" in refusal(lambda v: acts.authority(v, ida, agreed(), TODAY), view)[0]
    tomorrow = agreed().model_copy(update={"on": LATER})
    assert "is still to come" in refusal(lambda v: acts.authority(v, lea, tomorrow, TODAY), view)[0]


@pytest.mark.parametrize(
    ("typed", "value"), [("1240,50", "1240.50"), ("1240.5", "1240.50"), (" 85 ", "85.00"), ("0", "0.00")]
)
def test_an_amount_is_read_as_it_is_typed(typed: str, value: str) -> None:
    assert acts.read_amount(typed, "parts") == Decimal(value)


@pytest.mark.parametrize("typed", ["1,240", "1.240", "1'240", "-3", "> 5", "OL", "12 h", "many", "1.240,50", ""])
def test_an_amount_that_could_be_another_is_refused(typed: str) -> None:
    with pytest.raises(InputError, match=r"^parts: "):
        acts.read_amount(typed, "parts")


SOUND = {
    "root_cause": "dried out",
    "hours": "2",
    "rate": "85",
    "parts_cost": "40",
    "currency": "EUR",
    "advice": "repair",
}


@given(
    st.sampled_from([{}, SOUND]),
    st.dictionaries(st.sampled_from([*Investigated.model_fields, "day"]), st.text(max_size=12), max_size=3),
)
def test_whatever_is_typed_is_findings_or_a_sentence(sound: dict[str, str], more: dict[str, str]) -> None:
    typed = {**sound, **more}
    try:
        said = acts.findings_typed(typed)
    except InputError as error:
        assert str(error)
    else:
        assert said.root_cause and said.hours >= 0

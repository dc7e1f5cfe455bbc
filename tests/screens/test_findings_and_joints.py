"""Findings and joints at 80x24, and what a terminal says of proof that went stale."""

from __future__ import annotations

from collections.abc import Mapping

import pytest
from textual.widgets import Input

from tests.screens.small_shop import SmallShop
from tests.way.hands import Hands
from traveller.record.acts.rights import Proposed
from traveller.record.answers import Chosen
from traveller.record.entries import Moved
from traveller.screens.findings import FindingsPage
from traveller.screens.joints import JointsPage
from traveller.screens.words import time_words


def at(shop: SmallShop, lead: str, station: str, serial: str) -> str:
    """A unit that was brought to a station without its checks: the way there is tried elsewhere."""
    tag = shop.unit(serial=serial)
    shop.workshop.desk.act(tag, lead, lambda _scene: [Proposed(Moved(station=station))])
    return tag


def flat(hands: Hands) -> str:
    """The screen as running text, without the frame of a sheet."""
    return " ".join(hands.text().replace("│", " ").split())


@pytest.fixture(scope="module", name="lead")
def _lead(shop: SmallShop) -> str:
    people = shop.workshop.shop().people.values()
    return next(one.tag for one in people if one.name == "Ines Okoro")


async def type_into(hands: Hands, values: Mapping[str, str]) -> None:
    """Fill the sheet on top and enter it, whether it is taken or not."""
    for name, value in values.items():
        hands.app.screen.query_one(f"#line-{name}", Input).focus()
        hands.app.screen.query_one(f"#line-{name}", Input).value = ""
        await hands.paste(value)
    await hands.press("f10")


FINDINGS = {
    "root_cause": "dry link capacitors",
    "hours": "3,5",
    "rate": "85",
    "parts_cost": "412,80",
    "currency": "EUR",
    "economic_limit": "670",
    "advice": "2",
    "day": "2090-01-01",
}


async def test_findings_show_their_working_and_authority_lifts_what_they_keep(shop: SmallShop, lead: str) -> None:
    """By hand: 3.5 h at 85.00 and 412.80 of parts are 710.30; 40.30 above 670.00."""
    tag = at(shop, lead, "diagnosis", "findings-1")
    async with shop.terminal() as hands:
        await hands.scan(tag)
        await hands.press("f6", "i", "f")
        await type_into(hands, {**FINDINGS, "day": "soon"})
        assert '"soon" is not a day' in flat(hands)
        await type_into(hands, {"day": "2090-01-01"})
        assert isinstance(hands.app.screen, FindingsPage), hands.text()
        assert "estimate 297.50 EUR + 412.80 EUR = 710.30 EUR" in flat(hands)
        assert "limit 670.00 EUR: the estimate is 40.30 EUR above it" in flat(hands)
        assert "✗ the customer's authority is missing" in flat(hands)
        await hands.press("a")
        await type_into(hands, {"who": "Ms Thorne", "how": "by mail", "up_to": "700"})
        assert "the estimate 710.30 EUR is not covered" in flat(hands)
        await hands.press("a")
        await type_into(hands, {"who": "Ms Thorne", "how": "by mail", "up_to": "710,30"})
        assert "✓ nothing here keeps it" in flat(hands)
        await hands.press("escape")
    unit = shop.workshop.unit(tag).unit
    assert unit.hold is None
    decision = unit.current("diagnosis.decision")
    assert decision and decision.answer == Chosen(option="repair")


async def test_joints_are_counted_and_what_is_not_seen_is_listed(shop: SmallShop, lead: str) -> None:
    tag = at(shop, lead, "inspection", "joints-1")
    async with shop.terminal(badge=shop.inspector) as hands:
        await hands.scan(tag)
        await hands.press("f6", "j")
        assert isinstance(hands.app.screen, JointsPage)
        assert "0 defects in 0 joints; not seen yet: through-hole, surface-mount chip" in flat(hands)
        assert hands.text().count("· open") == 8
        await hands.enter()
        await type_into(hands, {"count": "240", "defects": "U7.3 bridge"})
        assert "✗ defects through-hole 1 in 240, by eye: U7.3 bridge (Hana" in flat(hands)
        await hands.press("down", "n")
        assert "✓ seen surface-mount chip none on this unit" in flat(hands)
        await hands.press("b")
        text = flat(hands)
        assert "Send back" in text and "Goes stale when sent back to Goods-in:" in text
        assert "U7.3 bridge" in [one.value for one in hands.app.screen.query(Input)]
        await type_into(hands, {"station": "3"})
        assert "Component work" in hands.text().splitlines()[0], "the page goes with the unit"
        await hands.press("f6", "j")
        assert "↻ stale" in hands.text() and "as it was: 1 in 240" in flat(hands)
    (found,) = shop.workshop.unit(tag).unit.open_nonconformities()
    assert found.found == "U7.3 bridge"


async def test_a_stale_answer_says_why_and_since_when_and_what_to_do_again(shop: SmallShop, lead: str) -> None:
    tag = at(shop, lead, "component_work", "stale-1")
    shop.workshop.plan_work(tag, shop.technician, ["U7"], "driver", "failed")
    shop.workshop.answer(tag, "component_work.cleaned", "y", shop.technician)
    view = shop.workshop.fit(tag, "U7", shop.technician, "driver")
    zone = shop.workshop.shop().zone
    async with shop.terminal() as hands:
        await hands.scan(tag)
        await hands.press("pagedown", "pagedown")
        await hands.choose("component_work.cleaned")
        assert f"↻ stale: U7 fitted after this, {time_words(view.unit.last_at, zone)}" in flat(hands)
        assert "↻ do again (1): Component work: Flux and dirt off, board dry" in flat(hands)

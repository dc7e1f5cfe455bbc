"""The figures against published ones, and against what is counted by hand."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binomtest

from tests.record.any_entries import any_travellers
from tests.record.shop_floor import IDA, TAG, Traveller, may_leave
from traveller.record.entries import Released, SentBack
from traveller.record.figures import (
    Figures,
    Stay,
    UnitFacts,
    days_by_little,
    facts_of,
    figures,
    pareto,
    rolled,
    share_of,
)
from traveller.record.figures_in_words import lines
from traveller.record.return_entries import FaultAgain, Returned
from traveller.record.shop_entries import InstrumentUsed
from traveller.stationbook import load_stations

NOW = datetime(2031, 6, 1, 12, tzinfo=UTC)
TODAY = NOW.date()
JUDGES = load_stations().judges
STATIONS = ("goods_in", "inspection")


def unit(number: int, **changed: Any) -> UnitFacts:
    whole: dict[str, Any] = {
        "tag": f"U{number}",
        "model": "Norrfeld NF-22",
        "booked": NOW - timedelta(days=number + 1),
        "released": None,
        "outcome": "repair",
        "returned": None,
        "stays": (),
        "failed": (),
    }
    return UnitFacts(**{**whole, **changed})


def back(earlier: str, fault: FaultAgain = "same", covered: bool = True) -> Returned:
    return Returned(
        earlier=earlier,
        seal="0",
        released_on=date(2031, 1, 1),
        fault=fault,
        covered=covered,
        until=date(2032, 1, 1),
        reason="seen",
    )


def of(units: list[UnitFacts], instruments: tuple[InstrumentUsed, ...] = ()) -> Figures:
    return figures(units, STATIONS, instruments, JUDGES, NOW, TODAY)


def test_returns_under_warranty_have_their_exact_interval() -> None:
    """3 of 20, 95 %, two-sided: 0.0321 to 0.3789 (codingace.net, Clopper-Pearson interval; re-computed by scipy)."""
    units = [unit(number, released=NOW) for number in range(20)]
    units += [unit(100 + number, returned=back(f"U{number}")) for number in range(3)]
    found = of(units)
    assert (found.came_back.count, found.came_back.of) == (3, 20)
    assert (found.came_back.lower, found.came_back.upper) == pytest.approx((0.0321, 0.3789), abs=5e-5)
    assert found.came_back == found.came_back_covered
    assert found.same_fault == 3


@given(st.integers(1, 60).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n))))
def test_the_interval_is_that_of_scipy(counted: tuple[int, int]) -> None:
    share = share_of(JUDGES, *counted)
    low, high = binomtest(*counted).proportion_ci(0.95, "exact")
    assert (share.lower, share.upper) == pytest.approx((low, high), abs=1e-9)


def test_a_unit_counts_once_and_a_return_to_an_unrepaired_unit_not_at_all() -> None:
    units = [unit(1, released=NOW), unit(2, released=NOW, outcome="scrap")]
    units += [unit(3, returned=back("U1")), unit(4, returned=back("U1", "other", covered=False))]
    units += [unit(5, returned=back("U2"))]
    found = of(units)
    assert (found.came_back.count, found.came_back.of) == (1, 1)
    assert (found.came_back_covered.count, found.same_fault) == (0, 0)


def test_rolled_yield_is_the_product_of_the_steps() -> None:
    """Five steps at 97 %: 85.9 % (svend.ai, FPY and RTY); .904837 .951229 .992032 give .853850 (M. Harry 2004)."""
    assert rolled([0.97] * 5) == pytest.approx(0.8587, abs=5e-5)
    assert rolled([0.904837, 0.951229, 0.992032]) == pytest.approx(0.853850, abs=1e-6)
    assert rolled([]) is None


def test_time_through_the_shop_after_little() -> None:
    """600 in the house at 120 a day are 5 days; 10 at 5 a day are 2 (Little's law, bathalaxxx.github.io)."""
    assert days_by_little(600, 120) == 5
    assert days_by_little(10, 5) == 2
    assert days_by_little(10, 0) is None


def test_a_unit_that_failed_once_never_passed_at_the_first_go() -> None:
    """First-pass yield counts a unit that failed once as failed, also if it passed later (svend.ai)."""
    start = NOW - timedelta(days=9)

    def stay(hours: float, back_again: bool = False) -> Stay:
        return Stay("inspection", start, start + timedelta(hours=hours), back_again)

    units = [unit(1, stays=(stay(2, True), stay(4))), unit(2, stays=(stay(6),)), unit(3, stays=(stay(8),))]
    units += [unit(4, stays=(Stay("inspection", start),))]
    station = of(units).stations[1]
    assert (station.first_pass.count, station.first_pass.of) == (2, 3)
    assert (station.median_hours, station.mean_hours, station.here) == (5, 5, 1)


def test_parts_are_ranked_and_their_share_adds_up_to_one() -> None:
    units = [unit(1, failed=("fan", "relay")), unit(2, failed=("fan",)), unit(3, model="Other", failed=("fan",))]
    ranked = pareto(units)
    assert [(one.model, one.part, one.count) for one in ranked] == [
        ("Norrfeld NF-22", "fan", 2),
        ("Norrfeld NF-22", "relay", 1),
        ("Other", "fan", 1),
    ]
    assert [one.so_far for one in ranked] == pytest.approx([0.5, 0.75, 1.0])


def test_who_waits_longest_and_what_is_due() -> None:
    meters = [
        InstrumentUsed(tag=f"M{days}", name="meter", instrument_class="x", calibration_due=TODAY + timedelta(days=days))
        for days in (-3, 30, 31)
    ]
    found = of([unit(1), unit(5), unit(9, released=NOW)], tuple(meters))
    assert [(one.tag, one.days) for one in found.waiting] == [("U5", 6), ("U1", 2)]
    assert [(one.tag, one.days) for one in found.instruments] == [("M-3", -3), ("M30", 30)]
    assert any("LATE by 3 days" in line for line in lines(found))


def test_the_facts_of_a_traveller_by_hand() -> None:
    """Entered an hour apart: booked at 0 h, to component work at 5 h, to dispatch at 9 h, back at 14 h."""
    traveller = may_leave()
    traveller.enter(SentBack(station="component_work", found="joint"), IDA)
    facts = facts_of(TAG, traveller.entries)
    assert facts is not None
    assert [(one.station, one.sent_back) for one in facts.stays] == [
        ("goods_in", False),
        ("component_work", False),
        ("dispatch", True),
        ("component_work", False),
    ]
    hours = [(one.left - one.came) / timedelta(hours=1) for one in facts.stays if one.left]
    assert hours == [5, 4, 5]
    assert facts.failed == ("transistor",)


def test_a_release_ends_the_last_stay() -> None:
    traveller = may_leave()
    traveller.enter(Released(statement="done", outcome="repair", digest="0"), IDA)
    facts = facts_of(TAG, traveller.entries)
    assert facts is not None
    assert facts.released == facts.stays[-1].left


@given(st.lists(any_travellers(), max_size=4))
def test_any_record_gives_figures(travellers: list[Traveller]) -> None:
    facts = [one for number, t in enumerate(travellers) if (one := facts_of(f"U{number}", t.entries))]
    found = of(facts)
    assert found.in_work + found.released == len(facts)
    for share in (found.came_back, *(one.first_pass for one in found.stations)):
        assert 0 <= share.count <= share.of
    assert list(lines(found))


def test_an_empty_shop_has_figures() -> None:
    found = of([])
    assert (found.came_back.of, found.came_back.upper, found.rolled_yield) == (0, None, None)

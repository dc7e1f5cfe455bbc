"""Goods-in: the sheet and its judges, against figures published elsewhere."""

from __future__ import annotations

from datetime import date
from typing import get_args

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import ValidationError

from stations.goods_in.reforming import Reforming, recipes, reforming
from stations.goods_in.warranty import Warranty, months_later, warranty
from tests.stations.findings import figures
from tests.stations.sheet import shipped
from traveller.errors import InputError
from traveller.judgement import Verdict
from traveller.vocabulary import HazardKind, UnitKind

MAINS, BUS = "Siemens SED2", "Rockwell bulletin"


def plan(months: float, volts: float = 400, recipe: str = MAINS) -> dict[str, float | str]:
    return figures(
        reforming(Reforming.model_validate({"months_without_power": months, "rated_voltage": volts, "recipe": recipe}))
    )


# --- the sheet


@pytest.mark.parametrize("kind", UnitKind)
def test_every_kind_of_unit_is_asked_between_eight_and_sixteen_things(kind: UnitKind) -> None:
    assert 8 <= sum(kind in check.applies_to for check in shipped("goods_in").checks) <= 16


def test_stored_charge_is_a_hazard_with_either_sign() -> None:
    """A meter the wrong way round shows -560 V: below 60, and deadly. IEC 60204-1 6.2.4 bounds the
    magnitude.
    """
    check = next(check for check in shipped("goods_in").checks if check.key == "stored_charge")
    assert check.limit is not None
    assert (check.limit.at_least, check.limit.at_most) == (-60, 60)
    assert check.raises is check.clears is HazardKind.STORED_CHARGE


def test_any_dirt_raises_the_contamination_hazard() -> None:
    check = next(check for check in shipped("goods_in").checks if check.key == "contamination")
    assert set(check.options) - set(check.raises_on) == {"none"}


# --- reforming


@pytest.mark.parametrize(("months", "hours"), [(11, 0), (18, 1), (30, 2), (40, 8)])
def test_hours_on_the_supply_as_one_drive_maker_prints_them(months: float, hours: float) -> None:
    """Siemens SED2 technical data, page 13."""
    assert plan(months)["hours"] == hours


def volts_and_minutes(found: dict[str, float | str]) -> list[tuple[float, float]]:
    """ "100 V 30 min; 200 V 30 min" as pairs."""
    words = [step.split() for step in str(found["steps"]).split("; ")]
    return [(float(volts), float(minutes)) for volts, _v, minutes, _min in words]


def test_steps_on_a_400_volt_supply() -> None:
    """Siemens SED2 technical data, page 13: 25, 50, 75 and 100 % of the supply."""
    assert volts_and_minutes(plan(40)) == [(100, 120), (200, 120), (300, 120), (400, 120)]
    assert volts_and_minutes(plan(30)) == [(100, 30), (200, 30), (300, 30), (400, 30)]
    assert volts_and_minutes(plan(18)) == [(400, 60)]
    assert plan(11)["steps"] == "none"


@pytest.mark.parametrize(("months", "minutes"), [(23.9, 0), (30, 30), (40, 90)])
def test_hours_on_the_bus_as_another_maker_gives_them(months: float, minutes: float) -> None:
    """Rockwell bulletin as quoted at forums.mikeholt.com, post 3021954."""
    assert plan(months, recipe=BUS)["hours"] == pytest.approx(minutes / 60)


@pytest.mark.parametrize(("volts", "bus"), [(230, 325.269), (480, 678.823), (600, 848.528)])
def test_the_bus_is_fed_to_the_rectified_peak(volts: float, bus: float) -> None:
    """√2 × supply; industrialmonitordirect.com prints 325, 680 and 848 V for the same supplies."""
    steps = volts_and_minutes(plan(40, volts, BUS))
    assert [step for step, _minutes in steps] == pytest.approx([0.5 * bus, 0.75 * bus, bus], rel=1e-3)


def test_twice_the_peak_of_the_bus_is_what_a_motor_may_see() -> None:
    """ABB ACS800-37 hardware manual p. 60: 440 V × 1.41 × 2 = 1240.8 V, prints 1241 V."""
    assert 2 * volts_and_minutes(plan(40, 440, BUS))[-1][0] == pytest.approx(1240.8, rel=5e-3)


def test_a_single_capacitor_through_its_resistor() -> None:
    """Chemi-Con FAQ 29BDH9T: 1 kΩ. At 450 V the resistor carries 0.45 A and 202.5 W at switch-on (Ohm)."""
    found = plan(40, 450, "Chemi-Con")
    assert (volts_and_minutes(found), found["hours"]) == ([(450, 60)], 1)
    assert (found["series_resistance_ohm"], found["peak_current_a"], found["peak_power_w"]) == (1000, 0.45, 202.5)


def test_a_current_above_what_the_recipe_allows_is_named() -> None:
    """CDE, October 1993 (wa4bpj.com): 100 kΩ above 75 V, at most 1 mA. 450 V / 100 kΩ = 4.5 mA: it has to be raised
    slowly."""
    given_capacitor = Reforming(months_without_power=40, rated_voltage=450, recipe="CDE 1993")
    assert figures(reforming(given_capacitor))["peak_current_a"] == pytest.approx(4.5e-3)
    assert any("raise it slowly" in line for line in reforming(given_capacitor).working)
    low = Reforming(months_without_power=40, rated_voltage=10, recipe="CDE 1993")
    assert figures(reforming(low))["peak_current_a"] == pytest.approx(1e-3)
    assert not any("raise it slowly" in line for line in reforming(low).working)


@pytest.mark.parametrize(("volts", "ohms"), [(63, 100), (100, 100), (100.1, 1000), (450, 1000)])
def test_the_resistor_of_the_american_standard(volts: float, ohms: float) -> None:
    """EIA-815 and EPCOS (globalstandardslibrary.com, wungiel.pl): 100 Ω up to 100 V, 1000 Ω above."""
    assert plan(40, volts, "EIA-815")["series_resistance_ohm"] == ohms


def test_its_discharge_is_a_heavy_load() -> None:
    """EIA-815: about 1 Ω/V, so 450 Ω at 450 V, which takes 450 W at first (Ohm)."""
    found = plan(40, 450, "EIA-815")
    assert (found["discharge_resistance_ohm"], found["discharge_power_w"]) == (450, 450)


@pytest.mark.parametrize(("recipe", "hours"), [(MAINS, 2), (BUS, 0.5), ("shelf life article", 8)])
def test_publications_disagree_and_the_finding_names_the_one_that_was_used(recipe: str, hours: float) -> None:
    """30 months: 2 h (Siemens), 30 min (Rockwell), 2 + 2 + 4 h (industrialmonitordirect.com)."""
    finding = reforming(Reforming.model_validate({"months_without_power": 30, "rated_voltage": 400, "recipe": recipe}))
    assert figures(finding)["hours"] == hours
    assert recipe in finding.limit


@pytest.mark.parametrize(("months", "hours"), [(12, 0), (12.01, 1), (23.99, 1), (24, 2), (35.99, 2), (36, 8)])
def test_the_edges_follow_the_printed_words_and_the_stricter_row(months: float, hours: float) -> None:
    """SED2 prints "1 year or less", then "1 to 2", "2 to 3" and "3 or more": 24 and 36 stand in two rows."""
    assert plan(months)["hours"] == hours


@pytest.mark.parametrize(("months", "hours"), [(24, 0.5), (36, 0.5), (36.01, 1.5)])
def test_the_edges_of_the_other_recipe(months: float, hours: float) -> None:
    """The bulletin says "24 to 36" and "more than 36"."""
    assert plan(months, recipe=BUS)["hours"] == hours


def test_the_finding_names_the_recipe_and_its_source_and_warns() -> None:
    finding = reforming(Reforming(months_without_power=30, rated_voltage=400, recipe="Rockwell bulletin"))
    assert "mikeholt" in finding.source
    assert BUS in finding.limit
    assert "vent" in finding.caution


def test_the_form_offers_exactly_the_recipes_of_the_data_file() -> None:
    assert set(get_args(Reforming.model_fields["recipe"].annotation)) == set(recipes())


@settings(max_examples=200)
@given(st.floats(0, 1200), st.floats(1, 1000), st.sampled_from(list(recipes())))
def test_longer_storage_never_asks_for_less(months: float, volts: float, recipe: str) -> None:
    hours = float(plan(months, volts, recipe)["hours"])
    assert float(plan(months / 2, volts, recipe)["hours"]) <= hours


@pytest.mark.parametrize("months", [-1, float("nan"), float("inf"), 1201])
def test_impossible_storage_is_refused(months: float) -> None:
    with pytest.raises(ValidationError):
        Reforming(months_without_power=months, rated_voltage=400)


# --- warranty


@pytest.mark.parametrize(
    ("start", "months", "end"),
    [
        ("2024-02-29", 12, "2025-02-28"),
        ("2024-02-29", 48, "2028-02-29"),
        ("2027-02-28", 12, "2028-02-28"),
        ("2026-01-31", 1, "2026-02-28"),
        ("2026-03-31", 1, "2026-04-30"),
        ("2026-01-31", 2, "2026-03-31"),
        ("2026-10-31", 12, "2027-10-31"),
    ],
)
def test_months_end_on_the_same_day_or_the_last_of_the_month(start: str, months: int, end: str) -> None:
    """Regulation 1182/71, article 3(2)(c): same date, or the last day of a month that has no such date."""
    given_dates = Warranty(released_on=date.fromisoformat(start), months=months, arrived_on=date.fromisoformat(end))
    assert figures(warranty(given_dates)) == {"until": end, "covered": "yes"}


def test_a_month_and_a_month_are_not_two_months() -> None:
    """The same rule applied to its own result loses days: always count from the original date."""
    start = date(2026, 1, 31)
    assert months_later(months_later(start, 1), 1) == date(2026, 3, 28)
    assert months_later(start, 2) == date(2026, 3, 31)


def test_the_day_after_is_not_covered() -> None:
    finding = warranty(Warranty(released_on=date(2025, 3, 31), arrived_on=date(2026, 4, 1)))
    assert figures(finding) == {"until": "2026-03-31", "covered": "no"}
    assert finding.verdict is Verdict.PASS


def test_nothing_comes_back_before_it_left() -> None:
    with pytest.raises(InputError, match="correct one of the dates"):
        warranty(Warranty(released_on=date(2026, 4, 1), arrived_on=date(2026, 3, 31)))


def test_the_end_of_the_calendar_is_said_in_words() -> None:
    with pytest.raises(InputError, match="beyond the calendar"):
        months_later(date(9999, 6, 1), 12)


@settings(max_examples=200)
@given(st.dates(max_value=date(9900, 1, 1)), st.integers(1, 240))
def test_the_end_is_in_the_right_month_and_never_on_a_later_day(start: date, months: int) -> None:
    end = months_later(start, months)
    assert (end.year - start.year) * 12 + end.month - start.month == months
    assert end.day <= start.day

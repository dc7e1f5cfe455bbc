"""Component work: life and self-heating of electrolytics, against figures published elsewhere."""

from __future__ import annotations

from typing import get_args

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import ValidationError

from stations.component_work.capacitor_life import FORMS, CapacitorLife, capacitor_life, forms
from stations.component_work.self_heating import SelfHeating, self_heating
from tests.stations.findings import figures
from traveller.errors import InputError
from traveller.judgement import FROM_MEMORY, Finding, Verdict

TEN_DEGREE, MULTIPLICATIVE = "ten-degree rule", "temperature, ripple and voltage factors"
CORE, VOLTAGE_AND_CORE = "core-temperature form", "voltage factor and core temperature"


def life(model: str, rated: float, rated_temperature: float, temperature: float, **more: float) -> Finding:
    asked = {
        "model": model,
        "rated_life_h": rated,
        "rated_temperature": rated_temperature,
        "temperature": temperature,
        **more,
    }
    return capacitor_life(CapacitorLife.model_validate(asked))


@pytest.mark.parametrize(
    ("rated", "temperature", "hours"),
    [(1000, 45, 64_000), (1000, 55, 32_000), (1000, 65, 16_000), (2000, 65, 32_000)],
)
def test_the_ten_degree_rule(rated: float, temperature: float, hours: float) -> None:
    """Cosel technical note a0057 (1000 h at 105 °C), and TDK-Lambda FAQ 1433021523341 (2000 h)."""
    assert figures(life(TEN_DEGREE, rated, 105, temperature))["life_h"] == hours


def test_a_day_at_three_temperatures() -> None:
    """Cosel: 8 h each a day at 45, 55 and 65 °C are as 57.2 °C, 27 428.6 h: hours over the sum of their shares."""
    lives = [float(figures(life(TEN_DEGREE, 1000, 105, one))["life_h"]) for one in (45, 55, 65)]
    together = 24 / sum(8 / one for one in lives)
    assert together == pytest.approx(27_428.6, abs=0.1)
    assert figures(life(TEN_DEGREE, 1000, 105, 57.224))["life_h"] == pytest.approx(together, rel=1e-4)


@pytest.mark.parametrize(
    ("rated", "rated_temperature", "temperature", "ripple", "rise", "share", "factors", "hours"),
    [
        (5000, 105, 65, 0.8, 5, 0.8, (16, 1.132884, 1.746928), 158_325),
        (2000, 85, 55, 0.5, 10, 0.5, (8, 1.681793, 3.59), 96_602),
    ],
)
def test_the_multiplicative_form(
    rated: float,
    rated_temperature: float,
    temperature: float,
    ripple: float,
    rise: float,
    share: float,
    factors: tuple[float, float, float],
    hours: float,
) -> None:
    """Jianghai form at circuitlover.com/capacitor-life-time-cal; below 0.6 the voltage factor is flat at 3.59."""
    found = figures(
        life(
            MULTIPLICATIVE,
            rated,
            rated_temperature,
            temperature,
            ripple_ratio=ripple,
            core_rise=rise,
            voltage=400 * share,
            rated_voltage=400,
        )
    )
    names = ("temperature_factor", "ripple_factor", "voltage_factor")
    assert [found[name] for name in names] == pytest.approx(list(factors), rel=1e-6)
    assert found["life_h"] == pytest.approx(hours, rel=1e-4)


def test_the_voltage_factor_meets_its_flat_part() -> None:
    """0.6^−2.5 = 3.5861 against the printed 3.59: the step is a rounding, no more."""
    more = {"ripple_ratio": 0.5, "core_rise": 5, "rated_voltage": 100}
    edge = figures(life(MULTIPLICATIVE, 2000, 105, 65, voltage=60, **more))["voltage_factor"]
    below = figures(life(MULTIPLICATIVE, 2000, 105, 65, voltage=59.99, **more))["voltage_factor"]
    assert edge == pytest.approx(3.5861, abs=1e-4)
    assert below == 3.59


def test_the_exponent_is_a_choice_because_publications_conflict() -> None:
    """english.jianghai.com: n "generally 6–12", where the article that goes round has 2.5."""
    more = {"ripple_ratio": 1, "core_rise": 5, "rated_voltage": 100, "voltage": 80}
    finding = life(MULTIPLICATIVE, 2000, 105, 65, voltage_exponent=6, **more)
    assert figures(finding)["voltage_factor"] == pytest.approx(0.8**-6)
    assert any("6 to 12" in line for line in finding.working)


def test_too_much_ripple_counts_double_in_a_hot_type() -> None:
    """Ki is 2, but 4 when the ripple is above the rated one, in 105 °C types; the maker has to be asked."""
    more = {"ripple_ratio": 1.2, "core_rise": 5, "rated_voltage": 100, "voltage": 100}
    hot, cool = life(MULTIPLICATIVE, 2000, 105, 65, **more), life(MULTIPLICATIVE, 2000, 85, 65, **more)
    assert figures(hot)["ripple_factor"] == pytest.approx(4 ** (-0.44 * 0.5))
    assert figures(cool)["ripple_factor"] == pytest.approx(2 ** (-0.44 * 0.5))
    assert hot.verdict is Verdict.UNDECIDED


@pytest.mark.parametrize(
    ("rated", "rated_temperature", "temperature", "rise", "ripple", "factors", "hours"),
    [
        (5000, 105, 60, 5, 0.7, (22.6274, 1.240089), 140_300),
        (2000, 85, 50, 10, 1.0, (11.3137, 1), 22_627.4),
    ],
)
def test_the_core_temperature_form(
    rated: float,
    rated_temperature: float,
    temperature: float,
    rise: float,
    ripple: float,
    factors: tuple[float, float],
    hours: float,
) -> None:
    """Rubycon form, biz.doczj.com/doc/163504385."""
    found = figures(life(CORE, rated, rated_temperature, temperature, core_rise=rise, ripple_ratio=ripple))
    assert [found["temperature_factor"], found["ripple_factor"]] == pytest.approx(list(factors), rel=1e-5)
    assert found["life_h"] == pytest.approx(hours, rel=1e-4)


def test_the_form_with_voltage_and_core() -> None:
    """A public script, said to be CDE's: 1.33 × 9.84916 × 6000 h = 78 596 h."""
    finding = life(VOLTAGE_AND_CORE, 6000, 108, 75, voltage=90, rated_voltage=100)
    found = figures(finding)
    assert [found["voltage_factor"], found["temperature_factor"]] == pytest.approx([1.33, 9.84916], rel=1e-5)
    assert found["life_h"] == pytest.approx(78_596, rel=1e-4)
    assert FROM_MEMORY in finding.source


def test_nobody_is_shown_more_than_fifteen_years() -> None:
    """Nichicon, life of snap-in types: no estimate beyond 15 years."""
    finding = life(TEN_DEGREE, 10_000, 105, 45)
    assert figures(finding)["life_years"] == 15
    assert "more than 15 years" in finding.says
    assert figures(life(TEN_DEGREE, 1000, 105, 45))["life_years"] == 7.31


@settings(max_examples=200)
@given(st.floats(1, 1e6), st.floats(-60, 105))
def test_three_figures_are_enough(rated: float, temperature: float) -> None:
    years = float(figures(life(TEN_DEGREE, rated, 105, temperature))["life_years"])
    assert 0 < years <= 15
    assert years == float(f"{years:.3g}")


def test_the_finding_names_the_form_and_its_source() -> None:
    for name in FORMS:
        more = {"ripple_ratio": 0.5, "core_rise": 5, "rated_voltage": 100, "voltage": 80}
        finding = life(name, 2000, 105, 65, **more)
        assert name in finding.limit
        assert "never a promise" in finding.caution
    assert len({life(name, 2000, 105, 65, **more).source for name in FORMS}) == len(FORMS)


def test_the_form_offers_exactly_the_models_that_are_worked() -> None:
    assert set(get_args(CapacitorLife.model_fields["model"].annotation)) == set(FORMS)


@pytest.mark.parametrize("more", [{}, {"temperature": 105.1}, {"voltage": 100.1, "rated_voltage": 100}])
def test_above_its_ratings_no_life_is_promised(more: dict[str, float]) -> None:
    """Nichicon: valid to the rated temperature; exactly the rating is inside."""
    finding = capacitor_life(
        CapacitorLife.model_validate({"rated_life_h": 2000, "rated_temperature": 105, "temperature": 105, **more})
    )
    assert finding.verdict is (Verdict.FAIL if more else Verdict.PASS)
    assert bool(finding.values) is not bool(more)


def test_a_form_asks_for_what_it_needs() -> None:
    with pytest.raises(InputError, match="needs rated voltage, voltage, ripple ratio, core rise"):
        life(MULTIPLICATIVE, 2000, 105, 65)


def test_a_core_beyond_the_form_is_refused() -> None:
    """The form has a pole at 40 K."""
    with pytest.raises(InputError, match="ends below 40 K"):
        life(CORE, 2000, 105, 65, core_rise=10, ripple_ratio=2)
    assert forms().core_temperature.kelvin_below == 40


@pytest.mark.parametrize("temperature", [-300, float("nan"), float("inf")])
def test_no_temperature_is_below_absolute_zero(temperature: float) -> None:
    with pytest.raises(ValidationError):
        CapacitorLife(rated_life_h=2000, rated_temperature=105, temperature=temperature)


# --- self-heating


def heated(**more: object) -> dict[str, float | str]:
    can = {"ripple": (3.0,), "surface_cm2": 64.6, "diameter_mm": 35, "esr": 0.08}
    return figures(self_heating(SelfHeating.model_validate({**can, **more})))


def test_a_can_warmed_by_its_ripple() -> None:
    """Maker's note, scribd 510653990: 64.6 cm², 3 A, 0.08 Ω, 35 mm: 11.154 K at the case, × 1.64 in the core."""
    assert heated()["case_rise_k"] == pytest.approx(11.154, rel=1e-3)
    assert heated()["core_rise_k"] == pytest.approx(18.292, rel=1e-3)


@pytest.mark.parametrize(("diameter", "factor"), [(20, 1.3), (22, 1.3), (22.5, 1.4), (25, 1.4), (30, 1.5), (35, 1.64)])
def test_the_core_factor_takes_the_warmer_row_between_two(diameter: float, factor: float) -> None:
    """The same note: 20/22 mm 1.3, 25 1.4, 30 1.5, 35 1.64."""
    found = heated(diameter_mm=diameter)
    assert float(found["core_rise_k"]) / float(found["case_rise_k"]) == pytest.approx(factor)


def test_above_the_largest_can_no_core_is_invented() -> None:
    assert "core_rise_k" not in heated(diameter_mm=36)


def test_two_ripple_currents_as_one() -> None:
    """The same note, Ieq = √Σ(In/kn)²: 2.0 A at factor 1 and 3.0 A at 1.4 are 2.93118 A."""
    assert heated(ripple=(2.0, 3.0), weights=(1.0, 1.4))["ripple_a"] == pytest.approx(2.93118, rel=1e-4)


def test_esr_from_tan_delta() -> None:
    """ESR = tan δ / (2π f C), from memory: 0.15 at 120 Hz and 1000 µF is 0.198944 Ω."""
    asked = {"ripple": (1.0,), "surface_cm2": 10, "diameter_mm": 20, "tan_delta": 0.15, "frequency": 120}
    finding = self_heating(SelfHeating.model_validate({**asked, "capacitance": 1e-3}))
    assert figures(finding)["esr_ohm"] == pytest.approx(0.198944, rel=1e-4)
    assert FROM_MEMORY in finding.source
    with pytest.raises(InputError, match="tan δ"):
        self_heating(SelfHeating.model_validate(asked))


def test_currents_and_factors_pair() -> None:
    with pytest.raises(InputError, match="one for each"):
        heated(ripple=(2.0, 3.0), weights=(1.0,))

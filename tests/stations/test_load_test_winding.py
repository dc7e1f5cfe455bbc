"""Load test: the temperature of a winding by its resistance, against figures published elsewhere."""

from __future__ import annotations

from typing import get_args

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import ValidationError

from stations.load_test import winding
from stations.load_test.winding import WindingTemperature, winding_temperature
from tests.stations.findings import figures
from traveller.judgement import Finding, Verdict


def wound(cold: float, hot: float, cold_c: float = 20, **more: object) -> Finding:
    asked = {"cold_ohms": cold, "hot_ohms": hot, "cold_c": cold_c, "ambient": cold_c, **more}
    return winding_temperature(WindingTemperature.model_validate(asked))


def test_a_copper_winding_by_its_resistance() -> None:
    """physicsforums.com, worked example: 80 Ω at 20 °C, 100 Ω hot; it prints 83.63 °C."""
    found = figures(wound(80, 100))
    assert float(found["winding_c"]) == pytest.approx(83.625, abs=1e-3)
    assert float(found["rise_k"]) == pytest.approx(63.625, abs=1e-3)


@pytest.mark.parametrize(
    ("metal", "coefficient", "printed"),
    [("copper", 0.0039293, 0.00393), ("aluminium, K 228", 0.0040323, 0.00403)],
)
def test_the_temperature_coefficient_at_20_degrees(metal: str, coefficient: float, printed: float) -> None:
    """1 / (K + 20) against the coefficients printed in handbooks, 0.00393 and 0.00403 per K."""
    found = float(figures(wound(1, 1, metal=metal))["coefficient_per_k"])
    assert found == pytest.approx(coefficient, abs=1e-6)
    assert found == pytest.approx(printed, abs=5e-6)


def test_publications_disagree_on_aluminium_and_the_finding_names_the_one_used() -> None:
    """K 225 for aluminium of conductors, 228 in one other publication: 40 % more resistance differ by 1.2 K."""
    one, other = wound(1, 1.4, metal="aluminium, K 225"), wound(1, 1.4, metal="aluminium, K 228")
    assert float(figures(one)["rise_k"]) == pytest.approx(0.4 * 245)
    assert float(figures(other)["rise_k"]) == pytest.approx(0.4 * 248)
    assert "225" in one.source and "228" in other.source


@pytest.mark.parametrize(("allowed", "verdict"), [(63.7, Verdict.PASS), (63.5, Verdict.FAIL)])
def test_the_allowed_rise_decides(allowed: float, verdict: Verdict) -> None:
    assert wound(80, 100, allowed_rise=allowed).verdict is verdict


def test_a_resistance_of_the_wrong_range_is_seen() -> None:
    finding = wound(0.8, 100)
    assert finding.verdict is Verdict.FAIL
    assert "measure both" in finding.says


def test_the_form_offers_exactly_the_metals_of_the_data_file() -> None:
    offered = get_args(WindingTemperature.model_fields["metal"].annotation)
    assert offered == tuple(one.name for one in winding.limits().metal)


@settings(max_examples=200)
@given(st.floats(1e-3, 1e6), st.floats(-40, 100), st.floats(-40, 400), st.sampled_from(winding.limits().metal))
def test_the_resistance_at_a_temperature_gives_back_that_temperature(
    cold: float, cold_c: float, hot_c: float, metal: winding.Metal
) -> None:
    """R2 = R1 (K + T2) / (K + T1), the law of the straight line."""
    hot = cold * (metal.k + hot_c) / (metal.k + cold_c)
    assert float(figures(wound(cold, hot, cold_c, metal=metal.name))["winding_c"]) == pytest.approx(hot_c, abs=1e-6)


@pytest.mark.parametrize("field", ["cold_ohms", "hot_ohms"])
def test_no_winding_has_no_resistance(field: str) -> None:
    with pytest.raises(ValidationError):
        WindingTemperature.model_validate({"cold_ohms": 1, "hot_ohms": 1, "cold_c": 20, "ambient": 20, field: 0})

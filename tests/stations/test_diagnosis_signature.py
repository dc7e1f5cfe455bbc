"""Diagnosis: the trace of a suspect against a good sibling, against numpy and figures worked by hand."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import ValidationError

from stations.diagnosis.signature import Curve, Signature, signature
from tests.stations.findings import figures
from traveller.errors import InputError
from traveller.judgement import Finding, Verdict

LINE: Curve = ((-1.0, -0.001), (0.0, 0.0), (1.0, 0.001))


def compared(reference: Curve, suspect: Curve, limit: float | None = 5) -> Finding:
    return signature(Signature(reference=reference, suspect=suspect, limit_percent=limit))


def test_a_resistor_of_half_the_value_draws_twice_the_current() -> None:
    """Ohm: 1 kΩ against 500 Ω over ±1 V is 1 mA against 2 mA at the ends, 100 % of the reference's largest."""
    found = figures(compared(LINE, ((-1.0, -0.002), (1.0, 0.002))))
    assert found["distance"] == pytest.approx(100)
    assert abs(float(found["worst_voltage"])) == 1


def test_an_open_suspect_is_a_hundred_percent_away() -> None:
    finding = compared(LINE, ((-1.0, 0.0), (1.0, 0.0)))
    assert finding.verdict is Verdict.FAIL
    assert figures(finding)["distance"] == pytest.approx(100)


def test_exactly_the_limit_passes_and_more_fails() -> None:
    assert compared(LINE, ((-1.0, -0.00105), (1.0, 0.00105))).verdict is Verdict.PASS
    assert compared(LINE, ((-1.0, -0.001051), (1.0, 0.001051))).verdict is Verdict.FAIL


def test_without_a_learned_limit_nothing_is_decided_and_it_says_why() -> None:
    finding = compared(LINE, LINE, None)
    assert finding.verdict is Verdict.UNDECIDED
    assert "limit learned from good siblings" in finding.says
    assert figures(finding)["distance"] == 0


def test_a_reference_without_current_is_left_undecided() -> None:
    finding = compared(((0.0, 0.0), (1.0, 0.0)), LINE)
    assert finding.verdict is Verdict.UNDECIDED
    assert finding.values == ()
    assert "undefined" in finding.working[0]


def test_a_trace_that_is_too_short_may_fail_but_never_passes() -> None:
    assert compared(LINE, ((-1.0, -0.001), (0.5, 0.0005))).verdict is Verdict.UNDECIDED
    assert compared(LINE, ((-1.0, -0.003), (0.5, 0.0005))).verdict is Verdict.FAIL


def test_traces_without_common_volts_are_refused() -> None:
    with pytest.raises(InputError, match="same range"):
        compared(LINE, ((2.0, 0.0), (3.0, 0.1)))


def test_a_loop_is_refused() -> None:
    """Up and down again: the two branches of a capacitor would hide each other in one line."""
    with pytest.raises(InputError, match="turn back"):
        compared(LINE, ((-1.0, 0.0), (1.0, 0.001), (-0.5, 0.0)))


def test_a_sweep_downwards_is_the_same_sweep() -> None:
    suspect: Curve = ((-1.0, -0.0011), (0.2, 0.0), (1.0, 0.0013))
    assert figures(compared(LINE, suspect)) == figures(compared(LINE[::-1], suspect[::-1]))


@pytest.mark.parametrize("points", [(), ((0.0, 0.0),), ((0.0, float("nan")), (1.0, 1.0)), ((0.0, 1e99), (1.0, 1.0))])
def test_what_is_no_curve_is_refused(points: Curve) -> None:
    with pytest.raises(ValidationError):
        Signature(reference=LINE, suspect=points)


VOLTS = st.lists(st.integers(-1000, 1000), min_size=2, max_size=30, unique=True).map(sorted)


@settings(max_examples=200)
@given(VOLTS, VOLTS, st.data())
def test_the_distance_as_an_independent_library_interpolates_it(
    here: list[int], there: list[int], data: st.DataObject
) -> None:
    """numpy.interp over the volts of the reference that both have."""
    amps = st.floats(-1, 1)
    reference = tuple((v / 100, data.draw(amps)) for v in here)
    suspect = tuple((v / 100, data.draw(amps)) for v in there)
    inside = [(v, a) for v, a in reference if suspect[0][0] <= v <= suspect[-1][0]]
    largest = max(abs(a) for _v, a in reference)
    if not inside or largest < 1e-6:
        return
    expected = np.interp([v for v, _a in inside], [v for v, _a in suspect], [a for _v, a in suspect])
    gaps = np.abs(expected - [a for _v, a in inside])
    assert figures(compared(reference, suspect))["distance"] == pytest.approx(
        100 * float(gaps.max()) / largest, rel=1e-6, abs=1e-6
    )

"""Component work: a substitute against the original."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stations.component_work.substitute import Substitute, substitute, substitute_rules
from tests.stations.findings import figures
from traveller.errors import InputError
from traveller.judgement import Finding, Verdict


def offered(**ratings: object) -> Finding:
    return substitute(Substitute.model_validate(ratings))


@pytest.mark.parametrize(
    ("name", "original", "good", "weak"),
    [
        ("voltage", 400, 450, 350),
        ("temperature", 85, 105, 70),
        ("ripple", 2, 2.5, 1.9),
        ("life_h", 2000, 5000, 1000),
        ("tolerance", 5, 1, 10),
        ("esr", 0.08, 0.05, 0.1),
        ("height_mm", 40, 35, 45),
        ("pitch_mm", 10, 10, 10.1),
        ("value", 470e-6, 470e-6, 560e-6),
        ("type", "X2", "x2", "X1"),
        ("gain_code", "P4", "P4", "P5"),
    ],
)
def test_no_figure_may_be_weaker(name: str, original: object, good: object, weak: object) -> None:
    """Volts, temperature, ripple, life not below; tolerance, ESR, room not above; pitch, value, type the same. One gain
    code in a leg: Yaskawa GPD 506/P5 troubleshooting, page 36.
    """
    for value, verdict, word in ((good, Verdict.PASS, "as good"), (weak, Verdict.FAIL, "weaker")):
        finding = offered(**{f"original_{name}": original, f"offered_{name}": value})
        assert finding.verdict is verdict
        assert figures(finding) == {name: word}


@pytest.mark.parametrize("rule", substitute_rules().rule, ids=lambda rule: str(rule.name))
def test_equal_is_as_good_and_half_a_pair_is_not_known(rule: object) -> None:
    name = str(getattr(rule, "name"))  # noqa: B009
    value = "SOT-227" if name in ("package", "type", "gain_code") else 5.0
    assert offered(**{f"original_{name}": value, f"offered_{name}": value}).verdict is Verdict.PASS
    finding = offered(**{f"original_{name}": value})
    assert finding.verdict is Verdict.UNDECIDED
    assert figures(finding) == {name: "not known"}


def test_one_weak_figure_outweighs_everything_else() -> None:
    finding = offered(
        original_voltage=400, offered_voltage=450, original_ripple=2, offered_ripple=1, original_package="D2PAK"
    )
    assert finding.verdict is Verdict.FAIL
    assert figures(finding) == {"voltage": "as good", "ripple": "weaker", "package": "not known"}
    assert "ripple" in finding.says


def test_nothing_to_compare_is_refused() -> None:
    with pytest.raises(InputError, match="Nothing to compare"):
        offered()


def test_every_rule_has_both_its_fields_and_no_field_is_without_a_rule() -> None:
    names = {rule.name for rule in substitute_rules().rule}
    assert set(Substitute.model_fields) == {f"{side}_{name}" for side in ("original", "offered") for name in names}


@settings(max_examples=200)
@given(st.floats(0, 1e6), st.floats(0, 1e6))
def test_of_two_parts_one_can_stand_for_the_other(one: float, other: float) -> None:
    here = offered(original_voltage=one, offered_voltage=other).verdict
    there = offered(original_voltage=other, offered_voltage=one).verdict
    assert Verdict.PASS in (here, there)

"""Siblings side by side: the odd one out by the judge, what the rows say together, and what is taken into findings."""

from __future__ import annotations

import statistics

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.record.any_entries import measured_travellers
from tests.record.at_diagnosis import SIX, Bench
from tests.record.shop_floor import ANNA, PEOPLE, VOLTMETER, Traveller
from traveller.errors import InputError, Refused
from traveller.record.acts.siblings import siblings_into_findings
from traveller.record.answers import Calculated, ReadSideBySide
from traveller.record.entries import Answered, Noted
from traveller.record.siblings import ODD, last_work, suspicion, usual_tolerance
from traveller.vocabulary import UnitKind


def test_a_single_over_range_among_numbers_is_the_odd_one() -> None:
    """common practice: an open junction reads over range while its siblings read some 0.4 V."""
    bench = Bench()
    bench.measure("diode C-E", "0.42 0.41 0.43 OL 0.42 0.42")
    row = bench.view.unit.siblings["power stage"].rows["diode c-e"]
    assert row.suspect == "Q4"
    assert row.says.startswith("Q4 is the odd one out")
    assert row.median == 0.42


def test_the_rows_together_name_the_suspect_in_words_and_sign() -> None:
    bench = Bench()
    bench.measure("diode C-E", "0.42 0.41 0.43 OL 0.42 0.42")
    bench.measure("gate resistance", "10 10.1 10 9.9 10 10", "Ω")
    bench.measure("leakage", "1u 1.1u 0.9u 40u 1u 1u", "A")
    seen = suspicion(bench.view.unit.siblings["power stage"])
    assert seen.says == "Q4 is the odd one out in 2 of 3 rows (diode C-E, leakage)"
    assert (seen.device, seen.sign) == ("Q4", ODD)


def test_two_that_are_named_alike_are_told_and_none_is_chosen() -> None:
    bench = Bench()
    bench.measure("diode C-E", "0.42 0.41 0.43 OL 0.42 0.42")
    bench.measure("diode E-C", "0.42 OL 0.43 0.42 0.42 0.42")
    assert bench.says() == "Q2 and Q4 are each the odd one out in 1 of 2 rows: measure again"


def test_the_latest_row_stands_and_the_earlier_one_is_kept() -> None:
    bench = Bench()
    bench.measure("diode C-E", "0.42 0.41 0.43 OL 0.42 0.42")
    bench.measure("Diode  c-e", "0.42 0.41 0.43 0.42 0.42 0.42", devices=[])
    row = bench.view.unit.siblings["power stage"].rows["diode c-e"]
    assert (row.suspect, row.name) == ("", "diode C-E")
    assert [one.suspect for one in row.earlier] == ["Q4"]
    assert bench.says() == "no odd one out in 1 row"


def test_rows_from_before_the_work_no_longer_point_at_anything() -> None:
    bench = Bench()
    bench.measure("diode C-E", "0.42 0.41 0.43 OL 0.42 0.42")
    bench.fit("Q4")
    assert bench.says() == "nothing measured since Q4 fitted"
    with pytest.raises(Refused, match="measure it again"):
        siblings_into_findings(bench.view, PEOPLE[ANNA], "power stage", "diode C-E")


def test_three_devices_are_told_what_three_can_say() -> None:
    """NIST e-Handbook 1.3.5.17: with so few every statistic saturates; a stated tolerance decides."""
    bench = Bench()
    bench.measure("coil", "400 402 230", "Ω", ["L1", "L2", "L3"], 5)
    row = bench.view.unit.siblings["power stage"].rows["coil"]
    assert row.suspect == "L3"
    assert any("not how likely" in line for line in row.finding.working)


@pytest.mark.parametrize(
    ("row", "percent"), [("diode C-E", 5), ("gate resistance", 30), ("Leakage C-E", 50), ("ripple", 10)]
)
def test_a_tolerance_that_was_not_typed_is_the_usual_one_with_its_source(row: str, percent: float) -> None:
    """common practice; leakage after a maker's rule: not below half of its neighbours (manualsdump 55177)."""
    assert usual_tolerance(row).percent == percent
    assert usual_tolerance(row).source
    bench = Bench()
    bench.measure(row, "1 1 1 1 1 1")
    kept = next(iter(bench.view.unit.siblings["power stage"].rows.values()))
    assert (kept.tolerance, kept.tolerance_source) == (percent, usual_tolerance(row).source)


@pytest.mark.parametrize(
    ("readings", "devices", "unit", "words"),
    [
        ("0.42 0.41", SIX, "V", "6 values are expected"),
        ("0.42 0.41", ["Q1", "Q2"], "V", "at least 3"),
        ("1 1 1", ["Q1", "Q2", "Q2"], "V", "twice"),
        ("1 1 1", ["Q1", "Q2", "3"], "V", "letters first"),
        ("> 5 1 1", ["Q1", "Q2", "Q3"], "V", "over range"),
        ("1 1 1", ["Q1", "Q2", "Q3"], "furlong", "not a unit"),
        ("1 1 1", [], "V", "Name the devices"),
        (" ".join("1" * 49), [f"Q{n}" for n in range(49)], "V", "at most 48"),
    ],
)
def test_what_cannot_be_a_row_is_refused_in_words(readings: str, devices: list[str], unit: str, words: str) -> None:
    bench = Bench()
    with pytest.raises((InputError, Refused), match=words):
        bench.measure("diode C-E", readings, unit, devices)


def test_a_set_keeps_its_devices_and_a_row_its_unit() -> None:
    bench = Bench()
    bench.measure("diode C-E", "0.42 0.41 0.43 OL 0.42 0.42")
    with pytest.raises(Refused, match="power stage is Q1"):
        bench.measure("leakage", "1 1 1", "A", ["Q1", "Q2", "Q3"])
    with pytest.raises(Refused, match="is in V"):
        bench.measure("diode C-E", "1 1 1 1 1 1", "Ω")


def test_a_row_goes_into_the_check_with_a_note() -> None:
    bench = Bench()
    bench.measure("diode C-E", "0.42 0.41 0.43 OL 0.42 0.42")
    bodies = [one.body for one in siblings_into_findings(bench.view, PEOPLE[ANNA], "power stage", "diode c-e")]
    answered, noted = bodies
    assert isinstance(answered, Answered)
    assert answered.check == "diagnosis.siblings"
    assert answered.answer == Calculated(inputs={"readings": "0.42 0.41 0.43 OL 0.42 0.42", "tolerance": "5.0"})
    assert answered.finding.verdict == "fail"
    assert isinstance(noted, Noted)
    assert noted.text.startswith("power stage: Q4 is the odd one out in 1 of 1 row (diode C-E). diode C-E: Q1 0.42 V")


def test_a_row_named_as_a_table_check_answers_that_one_in_the_order_of_its_columns() -> None:
    bench = Bench(UnitKind.DC_DRIVE)
    six = ["T6", "T5", "T4", "T3", "T2", "T1"]
    bench.measure("thyristor blocking", "26k 25k 24k 23k 22k 21k", "Ω", six)
    with pytest.raises(Refused, match="multimeter"):
        siblings_into_findings(bench.view, PEOPLE[ANNA], "power stage", "thyristor blocking")
    meter = VOLTMETER.model_copy(update={"instrument_class": "multimeter"})
    bench.measure("thyristor blocking", "26k 25k 24k 23k 22k 21k", "Ω", six, meters=[meter])
    answered = siblings_into_findings(bench.view, PEOPLE[ANNA], "power stage", "thyristor blocking")[0].body
    assert isinstance(answered, Answered)
    assert answered.check == "diagnosis.thyristor_blocking"
    assert isinstance(answered.answer, ReadSideBySide)
    assert [one.value for one in answered.answer.readings] == [21e3, 22e3, 23e3, 24e3, 25e3, 26e3]


def test_where_no_check_asks_for_it_the_note_still_says_what_was_found() -> None:
    bench = Bench(UnitKind.POWER_SUPPLY)
    bench.measure("diode C-E", "0.42 0.41 0.43 OL 0.42 0.42")
    bodies = [one.body for one in siblings_into_findings(bench.view, PEOPLE[ANNA], "power stage", "diode c-e")]
    assert [type(body) for body in bodies] == [Noted]


READINGS = st.lists(st.sampled_from([0.4, 0.41, 0.42, 0.9, 5.0, float("inf")]), min_size=6, max_size=6)


@settings(max_examples=60, deadline=None)
@given(st.lists(READINGS, min_size=1, max_size=4), st.permutations(range(6)))
def test_the_suspect_is_the_same_in_whatever_order_the_devices_are_named(
    rows: list[list[float]], order: list[int]
) -> None:
    told = []
    for places in (list(range(6)), order):
        bench = Bench()
        for number, values in enumerate(rows):
            words = ["OL" if values[place] == float("inf") else str(values[place]) for place in places]
            bench.measure(f"row {number}", " ".join(words), "V", [SIX[place] for place in places], 5)
        seen = suspicion(bench.view.unit.siblings["power stage"])
        told.append((seen.device, seen.says, seen.sign))
    assert told[0] == told[1]


@settings(max_examples=60, deadline=None)
@given(st.lists(st.floats(0.1, 10), min_size=6, max_size=6), st.floats(1, 50))
def test_a_row_without_over_range_is_judged_as_counted_by_hand(values: list[float], tolerance: float) -> None:
    """Median and departures anew from the standard library; the suspect is alone beyond the tolerance, the farthest."""
    bench = Bench()
    bench.measure("row", " ".join(repr(one) for one in values), "V", SIX, tolerance)
    row = bench.view.unit.siblings["power stage"].rows["row"]
    middle = statistics.median(values)
    gone = [100 * abs(one - middle) / middle for one in values]
    beyond = [one for one in gone if one > tolerance * (1 + 1e-9)]
    alone = 0 < len(beyond) < 3 and gone.count(max(gone)) == 1
    assert row.suspect == (SIX[gone.index(max(gone))] if alone else "")


@settings(max_examples=60, deadline=None)
@given(measured_travellers())
def test_whatever_was_entered_a_suspicion_comes_out(traveller: Traveller) -> None:
    unit = traveller.view.unit
    for table in unit.siblings.values():
        seen = suspicion(table, last_work(unit.disturbances))
        assert seen.says
        assert sum(seen.counts.values()) <= len(table.rows)
        assert all(row.says and row.median is not None for row in table.rows.values())

"""From what is typed to an answer, and from the answer to its finding: an answer or a sentence, never else."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.record.shop_floor import ANNA, NAMEPLATE, TAG, VOLTMETER, amps, booked_in, volts
from tests.record.three_stations import BOOK, CHARGE, CLEANED, DAMAGE, ENERGY, JUDGES, OUTPUT, REMARK, TAG_IN_HAND
from traveller.errors import InputError
from traveller.judgement import DecisionRule, Finding, Verdict
from traveller.record.answering import how_to_answer, judge_answer, need_fitting, read_answer
from traveller.record.answers import (
    Answer,
    Calculated,
    Chosen,
    NotApplicable,
    Read,
    ReadSideBySide,
    Scanned,
    Ticked,
    Written,
    in_words,
)
from traveller.record.unit import Unit
from traveller.sheets import Check, CheckKind, Limit

PASS, FAIL, UNDECIDED = Verdict.PASS, Verdict.FAIL, Verdict.UNDECIDED

DIODES = Check(
    key="diodes",
    station="goods_in",
    ask="Diode test U V W",
    kind=CheckKind.TABLE,
    unit="V",
    columns=("U", "V", "W"),
    plausible=(0, 3),
    limit=Limit(at_least=0.3, spread_percent=10, source="example"),
)
PICTURE = Check(key="picture", station="goods_in", ask="Picture", kind=CheckKind.PHOTO)
POLES = Check(key="poles", station="goods_in", ask="Poles?", kind=CheckKind.CHOICE, options=("2", "4", "6"))
UNIT = Unit(tag=TAG, nameplate=NAMEPLATE)


def check(key: str) -> Check:
    found = BOOK.check(key)
    assert found
    return found


def judged(key: str, typed: str, unit: Unit = UNIT, **more: Any) -> Finding:
    return judge_answer(check(key), read_answer(check(key), typed), unit, JUDGES, **more)


def refused(asked: Check, typed: str) -> str:
    with pytest.raises(InputError) as caught:
        read_answer(asked, typed)
    assert len(str(caught.value).split()) > 2
    return str(caught.value)


@pytest.mark.parametrize("typed", ["y", "Y", "yes", " ok ", "1", "✓", "True"])
def test_a_tick_is_yes(typed: str) -> None:
    assert read_answer(check(CLEANED), typed) == Ticked(yes=True)
    assert judged(CLEANED, typed).verdict is PASS


@pytest.mark.parametrize("typed", ["n", "NO", "0", "✗", "false"])
def test_a_tick_is_no(typed: str) -> None:
    assert judged(CLEANED, typed).verdict is FAIL


@pytest.mark.parametrize("typed", ["perhaps", "yn", "2", ""])
def test_a_tick_is_nothing_else(typed: str) -> None:
    assert "y or n" in refused(check(CLEANED), typed)


@pytest.mark.parametrize(
    ("typed", "option"), [("1", "none"), ("3", "broken"), ("BROKEN", "broken"), ("d", "dirty"), ("no", "none")]
)
def test_a_choice_is_made_by_number_by_word_or_by_its_start(typed: str, option: str) -> None:
    assert read_answer(check(DAMAGE), typed) == Chosen(option=option)


@pytest.mark.parametrize("typed", ["0", "4", "x", "²", "①", "9" * 5000, "-1"])
def test_a_choice_that_is_none_is_answered_with_the_choices(typed: str) -> None:
    assert "1 none, 2 dirty, 3 broken" in refused(check(DAMAGE), typed)


def test_a_start_that_fits_two_choices_is_not_guessed() -> None:
    asked = check(DAMAGE).model_copy(update={"options": ("unit damaged", "unit dirty", "unit")})
    assert "not one of the choices" in refused(asked, "unit d")
    assert read_answer(asked, "unit") == Chosen(option="unit"), "the whole word beats a start"


def test_a_choice_among_numbers_is_the_number_that_was_typed() -> None:
    assert read_answer(POLES, "2") == Chosen(option="2"), "not the second choice"
    assert read_answer(POLES, "1") == Chosen(option="2"), "where no choice is called so, the first"


@pytest.mark.parametrize(("typed", "how_many"), [("0.5 0.5", "2 were read"), ("0.5 0.5 0.5 0.5", "4 were read")])
def test_a_table_wants_one_value_for_each_column(typed: str, how_many: str) -> None:
    said = refused(DIODES, typed)
    assert "3 values are expected" in said
    assert how_many in said


@pytest.mark.parametrize(
    ("typed", "verdict", "words"),
    [
        ("0.48 0.49 0.50", PASS, "all inside"),
        ("0.48 0.49 0.60", FAIL, "odd one out: W"),
        ("0.48 0.49 0.2", FAIL, "outside at least 0.3 V: W"),
        ("OL 0.49 0.50", FAIL, "odd one out: U"),
    ],
)
def test_a_table_is_judged_against_its_limit_and_among_its_siblings(typed: str, verdict: Verdict, words: str) -> None:
    finding = judge_answer(DIODES, read_answer(DIODES, typed), UNIT, JUDGES)
    assert (finding.verdict, words in finding.says) == (verdict, True), finding.says


def test_a_value_that_cannot_be_is_refused_with_what_can() -> None:
    said = refused(check(CHARGE), "15 kV")
    assert "15 kV cannot be" in said
    assert "0 V and 1.5 kV" in said
    assert "-0.1 V cannot be" in refused(check(CHARGE), "-0.1")
    assert isinstance(read_answer(check(CHARGE), "OL"), Read), "an overrange is a reading"


def test_a_share_of_a_rating_is_the_limit() -> None:
    assert judged(OUTPUT, "9.5").verdict is PASS
    assert judged(OUTPUT, "9.49").verdict is FAIL
    assert judged(OUTPUT, "9.49").limit == "at least 9.5 A"


def test_a_rating_that_is_missing_leaves_it_undecided_and_names_it() -> None:
    plain = Unit(tag=TAG, nameplate=NAMEPLATE.model_copy(update={"ratings": {}}))
    for unit in (plain, Unit(tag=TAG)):
        finding = judged(OUTPUT, "9.5", unit)
        assert finding.verdict is UNDECIDED
        assert "output amps" in finding.says
        assert "correct the booking" in finding.says


def test_an_instrument_brings_its_guard_band_where_the_rule_asks_for_it() -> None:
    """ILAC-G8:09/2019 4.2: simple acceptance w = 0, guarded w = U; here U = 0.5 V, limit 60 V."""
    guarded = check(CHARGE).model_copy(update={"rule": DecisionRule.GUARDED})
    answer = read_answer(guarded, "59.8")
    assert judge_answer(check(CHARGE), answer, UNIT, JUDGES, [VOLTMETER]).verdict is PASS
    assert judge_answer(guarded, answer, UNIT, JUDGES, [VOLTMETER]).verdict is UNDECIDED
    assert judge_answer(guarded, read_answer(guarded, "59.4"), UNIT, JUDGES, [VOLTMETER]).verdict is PASS
    assert judge_answer(guarded, read_answer(guarded, "60.6"), UNIT, JUDGES, [VOLTMETER]).verdict is FAIL


def test_not_applicable_only_where_it_may_be_and_with_a_reason() -> None:
    assert read_answer(check(OUTPUT), "n/a: no output stage") == NotApplicable(reason="no output stage")
    assert read_answer(check(OUTPUT), "Not applicable, one\ntwo") == NotApplicable(reason="one\ntwo")
    assert judged(OUTPUT, "n/a none").verdict is Verdict.NOT_APPLICABLE
    assert "Say why" in refused(check(OUTPUT), "n/a")
    assert "cannot be left out" in refused(check(CLEANED), "n/a hurry")


def test_the_scan_of_another_tag_fails() -> None:
    assert judged(TAG_IN_HAND, "u000001x").verdict is PASS
    assert judged(TAG_IN_HAND, "U-000001 X").verdict is PASS
    other = judged(TAG_IN_HAND, "U000002X")
    assert other.verdict is FAIL
    assert "U000002X" in other.says
    assert TAG in other.says


def test_a_calculation_takes_fields_by_name_and_the_rest_from_the_record() -> None:
    assert read_answer(check(ENERGY), "volts=300 V capacitance=1m") == Calculated(
        inputs={"volts": "300 V", "capacitance": "1m"}
    )
    traveller = booked_in()
    assert judged(ENERGY, "volts=300", traveller.view.unit).says == "45 J", "C = 1 mF is on the nameplate"
    traveller.answer(CHARGE, volts(100), ANNA, [VOLTMETER])
    finding = judge_answer(check(ENERGY), Calculated(inputs={}), traveller.view.unit, JUDGES)
    assert finding.says == "5 J", "U is the answer given at goods-in"
    with pytest.raises(InputError, match="comes from the record"):
        judged(ENERGY, "volts=400 V", traveller.view.unit)


def test_what_a_calculation_lacks_is_named() -> None:
    finding = judge_answer(check(ENERGY), Calculated(inputs={}), UNIT, JUDGES)
    assert (finding.verdict, "goods in.charge is not known yet" in finding.says) == (UNDECIDED, True), finding.says
    finding = judge_answer(check(ENERGY), Calculated(inputs={}), UNIT, {})
    assert (finding.verdict, "not in the station folder" in finding.says) == (UNDECIDED, True)


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("300", "name=value"),
        ("oops volts=300", "name=value"),
        ("volts=3 volt=3", "volt is not asked here"),
        ("volts=3A", "volts"),
        ("volts=300 capacitance=0", "capacitance"),
    ],
)
def test_fields_that_cannot_be_used_are_named(typed: str, words: str) -> None:
    with pytest.raises(InputError, match=words):
        judged(ENERGY, typed, booked_in().view.unit)


def test_words_too_long_or_that_cannot_be_kept_are_refused() -> None:
    assert "4001 characters" in refused(check(REMARK), "x" * 4001)
    for typed in ("a\0b", "a\udc80b"):
        assert "cannot be kept" in refused(check(REMARK), typed)
    assert read_answer(check(REMARK), " two\nlines ") == Written(text="two\nlines")


def test_hyphens_alone_are_no_tag() -> None:
    assert "scan the tag" in refused(check(TAG_IN_HAND), "- -")


ALL = [*BOOK.checks(), DIODES, PICTURE, POLES]
typing = st.one_of(
    st.text(max_size=40),
    st.text("0123456789.,-+ eEkMmuVAΩOL<>;/=n", max_size=24),
    st.sampled_from(["n/a x", "volts=1e308", "volts=OL", "1e400", "OL OL OL", "> 550 > 1 OL", "volts=1 volts=2"]),
    st.text(st.characters(categories=["Nd", "No", "Nl", "Cs", "Cc"]), max_size=8),
)


@settings(max_examples=300, deadline=None)
@given(st.sampled_from(ALL), typing)
def test_any_text_is_an_answer_with_a_finding_or_a_sentence(asked: Check, typed: str) -> None:
    try:
        answer = read_answer(asked, typed)
        need_fitting(asked, answer)
        finding = judge_answer(asked, answer, UNIT, JUDGES)
    except InputError as error:
        assert str(error).strip()
        return
    assert isinstance(answer, NotApplicable) or answer.kind == asked.kind
    assert finding.says.strip()
    assert in_words(answer).strip()
    assert type(answer).model_validate_json(answer.model_dump_json()) == answer
    assert how_to_answer(asked).strip()


ANY_ANSWER: list[Answer] = [
    Ticked(yes=True),
    Chosen(option="broken"),
    amps(10),
    volts(10),
    ReadSideBySide(columns=("U", "V", "W"), readings=(volts(1).reading,) * 3),
    ReadSideBySide(columns=("U", "V", "W"), readings=(volts(1).reading,)),
    ReadSideBySide(columns=("U",), readings=(volts(1).reading,)),
    Written(text="seen"),
    Scanned(tag=TAG),
    Calculated(inputs={"volts": "3"}),
]
FITTING = {CLEANED: 1, DAMAGE: 1, CHARGE: 1, OUTPUT: 1, REMARK: 1, TAG_IN_HAND: 1, ENERGY: 1, DIODES.full_key: 1}


@pytest.mark.parametrize("asked", [one for one in ALL if one.full_key in FITTING], ids=lambda one: one.full_key)
def test_of_all_answers_one_fits_a_check(asked: Check) -> None:
    fits = []
    for answer in ANY_ANSWER:
        try:
            need_fitting(asked, answer)
            fits.append(answer)
        except InputError as error:
            assert str(error).strip()
    assert [one.kind for one in fits] == [asked.kind]

"""Joints counted class by class, on the shipped sheets: by another person, all of them, and again after work."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.record.refusals import anna, ida, refusal
from tests.record.shop_floor import NAMEPLATE
from tests.record.test_redoing import seen
from traveller.errors import InputError
from traveller.record.acts import inspection as acts
from traveller.record.answers import Calculated
from traveller.record.entries import Answered, Body, Moved, SentBack
from traveller.record.inspection_entries import DefectSeen, How, JointClass, JointsSeen, classes_of
from traveller.record.joints import classes_left, lines_left, standing_counts, sums
from traveller.record.work_entries import WorkFitted, WorkPlanned

ALL = classes_of(NAMEPLATE.unit_kind)
WORK: list[Body] = [
    WorkPlanned(reference="Q3", part="IGBT", reason="failed"),
    WorkFitted(reference="Q3", fitted="IGBT"),
    Moved(station="inspection"),
]


def count(joint_class: JointClass, joints: int = 100, *defects: DefectSeen, how: How = "by eye") -> JointsSeen:
    how = "by X-ray" if joint_class is JointClass.AREA_ARRAY and how == "by eye" else how
    return JointsSeen(joint_class=joint_class, how=how, opportunities=joints, defects=defects)


BRIDGE = DefectSeen(place="U7.3", what="bridge")


def test_all_classes_are_left_until_each_was_seen_or_is_not_there() -> None:
    assert classes_left(seen(WORK).proof) == list(ALL) == list(JointClass)
    bodies = [*WORK, count(JointClass.CHIP), count(JointClass.PRESS_FIT, 0, how="none on this unit")]
    left = classes_left(seen(bodies).proof)
    assert len(left) == len(ALL) - 2 and JointClass.CHIP not in left and JointClass.PRESS_FIT not in left


def test_the_last_class_answers_the_check_with_the_sums() -> None:
    """By hand: 7 classes of 100 joints and one of 300 with 2 defects: 2 in 1000, 2000 in a million."""
    *others, last = ALL
    bodies = [*WORK, *(count(one) for one in others)]
    first = acts.see(seen(bodies[:-1]), ida, count(others[-1]))
    assert len(first) == 1, "one class is still left"
    (written, answer) = acts.see(seen(bodies), ida, count(last, 300, BRIDGE, BRIDGE))
    assert isinstance(written.body, JointsSeen) and isinstance(answer.body, Answered)
    assert answer.body.check == "inspection.defects"
    assert answer.body.answer == Calculated(inputs={"defects": "2", "opportunities_per_unit": "1000"})
    assert {one.name: one.value for one in answer.body.finding.values}["dpmo"] == pytest.approx(2000)


def test_whoever_did_the_work_does_not_count() -> None:
    worker = ida.__class__(anna.tag, anna.name, (*anna.roles, *ida.roles))
    (said,) = refusal(lambda v: acts.see(v, worker, count(JointClass.CHIP)), seen(WORK))
    assert "did work on this unit and may not inspect it" in said
    (said,) = refusal(lambda v: acts.see(v, anna, count(JointClass.CHIP)), seen(WORK))
    assert "may not count joints" in said
    (said,) = refusal(lambda v: acts.see(v, ida, count(JointClass.CHIP)), seen(WORK[:-1]))
    assert "counted at Inspection; the unit stands at Goods-in" in said


@pytest.mark.parametrize("after", [WorkFitted(reference="Q3", fitted="IGBT"), SentBack(station="diagnosis", found="x")])
def test_after_later_work_every_class_is_looked_at_again(after: Body) -> None:
    bodies = [*WORK, *(count(one) for one in ALL)]
    assert sums(standing_counts(seen(bodies).proof)) == (0, 800)
    assert classes_left(seen([*bodies, after]).proof) == list(ALL)


def test_a_count_that_was_begun_keeps_the_unit_until_it_is_finished() -> None:
    def reasons(bodies: list[Body]) -> list[str]:
        return [one.says for one in seen(bodies).blockers if one.kind == "joints"]

    assert reasons(WORK) == []
    bodies = [*WORK, *(count(one) for one in ALL[:-1])]
    assert reasons(bodies) == [f"Inspection: joints not seen yet: {ALL[-1]}"]
    assert reasons([*bodies, count(ALL[-1])]) == []
    back = SentBack(station="component_work", found="U7.3 bridge")
    assert reasons([*bodies, back]) == [], "it is asked for where joints are looked at"


def test_lines_that_nobody_verified_are_listed() -> None:
    assert [line.reference for line in lines_left(seen(WORK).proof)] == ["Q3"]


@pytest.mark.parametrize(
    ("body", "says"),
    [
        (count(JointClass.CHIP, 0), "How many joints were looked at"),
        (count(JointClass.CHIP, 1, BRIDGE, BRIDGE), "2 defects cannot come from 1 joints"),
        (count(JointClass.CHIP, 5, how="none on this unit"), "has no joints to count"),
        (count(JointClass.WIRE, 0, how="not to be seen"), "Only joints of an area array lie under the part"),
        (JointsSeen(joint_class=JointClass.AREA_ARRAY, opportunities=256), "by X-ray, or not to be seen"),
    ],
)
def test_a_count_that_makes_no_sense_is_refused(body: JointsSeen, says: str) -> None:
    assert says in refusal(lambda v: acts.see(v, ida, body), seen(WORK))[0]


def test_defects_as_they_are_typed() -> None:
    assert acts.defects_typed("C12 bridge; U3.4: large void;") == (
        DefectSeen(place="C12", what="bridge"),
        DefectSeen(place="U3.4", what="large void"),
    )
    for wrong in ("C12", "C12 bridge; U3.4"):
        with pytest.raises(InputError, match="write the place and what is wrong there"):
            acts.defects_typed(wrong)


@given(st.sampled_from(JointClass), st.text(max_size=8), st.text(max_size=40))
def test_whatever_is_typed_is_a_count_or_a_sentence(joint_class: JointClass, joints: str, defects: str) -> None:
    try:
        said = acts.joints_typed(joint_class, "by eye", joints, defects)
    except InputError as error:
        assert str(error)
    else:
        assert said.opportunities == int(joints.strip() or 0)

"""The work list is worked out: whole sets, all that ages, the drivers behind; nothing twice, nothing forgotten."""

from __future__ import annotations

import random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.record.power_stage import BOARD, DRIVE, POLICY
from tests.record.refusals import anna, ida, refusal
from tests.record.shop_floor import ANNA, LEA, NAMEPLATE, TAG, Traveller, ready_for_work
from traveller.record.acts import parts as acts
from traveller.record.entries import BookedIn
from traveller.record.parts import folded
from traveller.record.parts_entries import Part, PartAdded, PartKind, PartsListed
from traveller.record.replacement import worked_out
from traveller.record.shop import Person
from traveller.record.unit import Unit
from traveller.record.work_entries import WorkFitted, WorkPlanned, WorkStruck
from traveller.record.worklist import LineState, progress

AGED = (PartKind.ELECTROLYTIC, PartKind.RELAY, PartKind.OPTOCOUPLER)
"""Common practice of the trade: these are replaced on every refurbishment."""
POWER = (PartKind.IGBT, PartKind.THYRISTOR)


def listed(*bodies: PartsListed | PartAdded | WorkPlanned | WorkStruck | WorkFitted) -> Traveller:
    traveller = ready_for_work()
    for body in bodies:
        traveller.enter(body, LEA)
    return traveller


def planned(traveller: Traveller, *failed: str) -> Traveller:
    """As the act does it."""
    for proposed in acts.work_out(traveller.view, anna, POLICY, failed):
        traveller.enter(proposed.body, ANNA)
    return traveller


def test_one_bad_transistor_of_six_to_the_line() -> None:
    """Worked out by hand from the invented list: Q3 is dead, the board is refurbished with it."""
    traveller = planned(listed(DRIVE), "q3")
    expected = {
        "Q3": ("failed", "replace"),
        **dict.fromkeys(("Q1", "Q2", "Q4", "Q5", "Q6"), ("matched set", "replace")),
        **{f"C{n}": ("aged", "replace") for n in range(1, 13)},
        **dict.fromkeys(("K1", "K2", "K3", "F1"), ("aged", "replace")),
        **{f"U{n}": ("aged", "replace") for n in range(11, 19)},
        **{f"U{n}": ("driver check", "check") for n in range(1, 7)},
    }
    assert len(BOARD) == 180
    work = traveller.view.unit.work
    assert {place: (line.reason, line.action) for place, line in work.items()} == expected
    assert progress(work) == "0 of 36 fitted, left: Q3, Q1, Q2, Q4, Q5, Q6 and 30 more"
    assert "Q3 failed: its neighbours saw the same stress (common practice)" in work["Q5"].because
    assert "electrolytics dry out" in work["C7"].because
    assert work["U4"].because.startswith("driver check: Q4 replaced")


def test_a_driver_that_is_checked_reads_checked_and_is_verified_by_another() -> None:
    traveller = planned(listed(DRIVE), "Q3")
    traveller.enter(WorkFitted(reference="U3", fitted="+15.1 V / -8.2 V, clean"), ANNA)
    line = traveller.view.unit.work["U3"]
    assert (line.state, line.says) == (LineState.FITTED, "checked")
    assert traveller.view.unit.disturbances[-1].says == "U3 checked"


def test_a_driver_that_turns_out_dead_is_replaced_after_all() -> None:
    traveller = planned(planned(listed(DRIVE), "Q3"), "U3")
    assert (traveller.view.unit.work["U3"].reason, traveller.view.unit.work["U3"].action) == ("failed", "replace")


def test_a_power_device_without_a_known_driver_gets_a_line_for_its_driver_stage() -> None:
    alone = PartsListed(parts=(Part(reference="V1", kind=PartKind.THYRISTOR),), origin="by hand")
    lines = worked_out(listed(alone).view.unit, POLICY, ["V1"])
    assert [(line.reference, line.action, line.part) for line in lines] == [
        ("V1", "replace", "thyristor"),
        ("V1.DRV", "check", "driver stage of V1"),
    ]


def test_what_failed_by_hand_with_a_set_brings_the_set_of_the_list() -> None:
    by_hand = WorkPlanned(reference="Q9", part="IGBT", reason="failed", matched_set="POWER-STAGE")
    references = {line.reference for line in worked_out(listed(DRIVE, by_hand).view.unit, POLICY)}
    assert references >= {"Q1", "Q2", "Q3", "Q4", "Q5", "Q6"}


def test_struck_stays_struck_with_its_reason() -> None:
    traveller = planned(listed(DRIVE))
    traveller.enter(WorkStruck(reference="F1", why="new last month"), LEA)
    assert "F1" not in {line.reference for line in worked_out(traveller.view.unit, POLICY, ["Q3"])}
    assert traveller.view.unit.work["F1"].remark == "struck: new last month"


@pytest.mark.parametrize(
    ("traveller", "person", "words"),
    [
        (listed(), anna, "There is no parts list"),
        (planned(listed(DRIVE)), anna, "Nothing is missing"),
        (listed(DRIVE), ida, "may not plan work"),
    ],
)
def test_refused_in_words(traveller: Traveller, person: Person, words: str) -> None:
    (said,) = refusal(lambda view: acts.work_out(view, person, POLICY, ()), traveller.view)
    assert words in said


def test_another_model_says_nothing_about_this_unit() -> None:
    mine, same, other = listed().view, listed(DRIVE), listed(DRIVE)
    model = NAMEPLATE.model_copy(update={"model": "D2"})
    other.enter(BookedIn(nameplate=model, station="goods_in", editions={}), ANNA, corrects=other.entries[0])
    (said,) = refusal(lambda view: acts.take_from(view, anna, other.view), mine)
    assert "is another model (Example Works D2)" in said
    (said,) = refusal(lambda view: acts.take_from(view, anna, listed().view), mine)
    assert "has no parts list" in said
    (taken,) = acts.take_from(mine, anna, same.view)
    assert taken.body == DRIVE.model_copy(update={"origin": f"earlier unit {TAG}"})


# ---- any list at all ------------------------------------------------------------------------------------

PLACES = [f"{letter}{n}" for letter in "QUC" for n in range(1, 5)]
any_part = st.builds(
    Part,
    reference=st.sampled_from(PLACES),
    kind=st.sampled_from(PartKind),
    matched_set=st.sampled_from(["", "stage", "Stage ", "bridge"]),
    drives=st.lists(st.sampled_from(PLACES), max_size=2).map(tuple),
)
any_list = st.lists(any_part, min_size=1, max_size=12, unique_by=lambda part: part.reference)
any_failed = st.lists(st.sampled_from(PLACES), max_size=3)
any_struck = st.lists(st.sampled_from(PLACES), max_size=2)


def worked(parts: list[Part], failed: list[str], struck: list[str]) -> Unit:
    traveller = listed(PartsListed(parts=tuple(parts), origin="by hand"))
    for place in dict.fromkeys(struck):
        traveller.enter(WorkPlanned(reference=place, part="part", reason="other"), ANNA)
        traveller.enter(WorkStruck(reference=place, why="not needed"), LEA)
    if worked_out(traveller.view.unit, POLICY, failed):
        planned(traveller, *failed)
    return traveller.view.unit


@given(any_list, any_failed, any_struck)
def test_nothing_is_forgotten_and_nothing_comes_twice(parts: list[Part], failed: list[str], struck: list[str]) -> None:
    unit = worked(parts, failed, struck)
    by_place = {part.reference: part for part in parts}
    for place in failed:
        assert place in unit.work
        assert place in struck or unit.work[place].action == "replace"
        name = by_place[place].matched_set if place in by_place else ""
        rest = [part.reference for part in parts if name and folded(part.matched_set) == folded(name)]
        assert set(rest) <= set(unit.work)
    for part in parts:
        if part.kind in AGED:
            line = unit.work[part.reference]
            assert line.state is LineState.STRUCK or line.action == "replace"
        goes = part.reference in unit.work and unit.work[part.reference].action == "replace"
        if part.kind in POWER and goes and unit.work[part.reference].state is not LineState.STRUCK:
            named = [one.reference for one in parts if part.reference in one.drives]
            near = [
                one.reference
                for one in parts
                if one.kind is PartKind.DRIVER and not one.drives
                if part.matched_set and folded(one.matched_set) == folded(part.matched_set)
            ]
            assert set(named or near or [f"{part.reference}.DRV"]) <= set(unit.work)
    for place in struck:
        assert unit.work[place].state is LineState.STRUCK
    assert worked_out(unit, POLICY, failed) == []


@given(any_list, any_failed, st.randoms(use_true_random=False))
def test_the_order_does_not_matter(parts: list[Part], failed: list[str], chance: random.Random) -> None:
    shuffled, told = list(parts), list(failed)
    chance.shuffle(shuffled)
    chance.shuffle(told)

    def lines(unit: Unit) -> dict[str, tuple[str, str]]:
        return {place: (line.reason, line.action) for place, line in unit.work.items()}

    assert lines(worked(parts, failed, [])) == lines(worked(shuffled, told, []))


@given(any_list)
def test_parts_by_hand_are_worked_out_like_a_list(parts: list[Part]) -> None:
    by_hand = listed(*(PartAdded(part=part) for part in parts)).view.unit
    as_list = listed(PartsListed(parts=tuple(parts), origin="a file")).view.unit
    assert worked_out(by_hand, POLICY, ["Q1"]) == worked_out(as_list, POLICY, ["Q1"])

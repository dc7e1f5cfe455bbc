"""Rigs: who has one when, decided as by somebody with a calendar; which units a rig can take."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from uuid import UUID

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.record.shop_floor import LEA, NAMEPLATE, PEOPLE
from traveller.errors import Refused
from traveller.judgement import Verdict
from traveller.record.acts import rig as acts
from traveller.record.entries import Body, Entry
from traveller.record.rig_entries import RigBooked, RigFreed, RigTaken
from traveller.record.rigs import can_take
from traveller.record.shop import Shop, fold_shop
from traveller.record.shop_entries import RigRegistered

START = datetime(2031, 3, 3, tzinfo=UTC)
RIG = RigRegistered(tag="R000001X", name="Rig 1", max_volts=500, max_amps=48, max_power=22e3, loads=("motor",))
PLATE = NAMEPLATE.model_copy(update={"ratings": {"supply_volts": 400.0, "phases": 3.0, "output_amps": 31.0}})


def hour(number: float) -> datetime:
    return START + timedelta(hours=number)


class Register:
    def __init__(self) -> None:
        self.entries: list[Entry] = []
        self.enter(RIG, hour(-1))

    def enter(self, body: Body, at: datetime) -> Entry:
        number = len(self.entries) + 1
        entry = Entry(id=UUID(int=number), subject="SHOP", sequence=number, at=at, by=LEA, terminal="T", body=body)
        self.entries.append(entry)
        return entry

    @property
    def shop(self) -> Shop:
        return fold_shop(self.entries)


wishes = st.lists(st.tuples(st.integers(0, 20), st.integers(1, 6), st.booleans()), max_size=12)


@given(wishes)
def test_no_hour_of_a_rig_is_ever_given_twice(asked: list[tuple[int, int, bool]]) -> None:
    """Against a calendar of single hours, kept by hand. Freed hours can be had again."""
    register, calendar = Register(), dict[int, str]()
    for number, (begins, length, then_freed) in enumerate(asked):
        unit = f"U{number}"
        hours = range(begins, begins + length)
        try:
            (body,) = acts.book(register.shop, PEOPLE[LEA], RIG.tag, unit, hour(begins), hour(begins + length), hour(0))
        except Refused:
            assert set(hours) & set(calendar)
            continue
        assert not set(hours) & set(calendar)
        register.enter(body, hour(0))
        calendar |= dict.fromkeys(hours, unit)
        if then_freed:
            for freed in acts.free(register.shop, PEOPLE[LEA], RIG.tag, unit, hour(0)):
                register.enter(freed, hour(0))
            calendar = {at: whose for at, whose in calendar.items() if whose != unit}


def test_a_rig_in_use_is_not_to_be_had_after_its_booked_end() -> None:
    register = Register()
    booked = register.enter(RigBooked(rig=RIG.tag, unit="U1", begins=hour(0), ends=hour(2)), hour(0))
    register.enter(RigTaken(booking=booked.id), hour(0))
    with pytest.raises(Refused, match="in use by U1"):
        acts.book(register.shop, PEOPLE[LEA], RIG.tag, "U2", hour(3), hour(4), hour(3.5))
    register.enter(RigFreed(booking=booked.id), hour(3))
    assert acts.book(register.shop, PEOPLE[LEA], RIG.tag, "U2", hour(3), hour(4), hour(3.5))


def test_a_rig_that_is_out_of_use_is_not_booked() -> None:
    register = Register()
    for body in acts.set_state(register.shop, PEOPLE[LEA], RIG.tag, "coupling cracked"):
        register.enter(body, hour(0))
    with pytest.raises(Refused, match="coupling cracked"):
        acts.book(register.shop, PEOPLE[LEA], RIG.tag, "U1", hour(1), hour(2), hour(0))


def test_the_power_of_three_phases_is_worked_out() -> None:
    """√3 · 400 V · 31 A = 21.48 kW, the definition of three-phase power (worked by hand)."""
    finding = can_take(RIG, PLATE, ("motor",))
    assert finding.verdict is Verdict.PASS
    assert any("21.48 kW" in line for line in finding.working)


@pytest.mark.parametrize(
    ("changed", "verdict", "words"),
    [
        ({"max_volts": 399}, Verdict.FAIL, "volts"),
        ({"max_amps": 30}, Verdict.FAIL, "amps"),
        ({"max_power": 21.4e3}, Verdict.FAIL, "power"),
        ({"max_power": 0}, Verdict.UNDECIDED, "nobody wrote down"),
        ({"loads": ("resistors",)}, Verdict.FAIL, "this unit needs motor"),
        ({"loads": ()}, Verdict.PASS, "can take it"),
        ({"out_of_use": "cracked"}, Verdict.FAIL, "out of use"),
    ],
)
def test_a_rig_that_is_too_small_says_in_what(changed: dict[str, object], verdict: Verdict, words: str) -> None:
    finding = can_take(RIG.model_copy(update=changed), PLATE, ("motor",))
    assert (finding.verdict, words in finding.says) == (verdict, True), finding


def test_an_overload_is_held_against_the_rig_too() -> None:
    assert "amps 46.5 A (150 % of rated)" in " ".join(can_take(RIG, PLATE, ("motor",), percent=150).working)
    assert can_take(RIG, PLATE, ("motor",), percent=160).verdict is Verdict.FAIL


def test_a_rating_that_nobody_booked_is_asked_for() -> None:
    finding = can_take(RIG, NAMEPLATE.model_copy(update={"ratings": {}}))
    assert finding.verdict is Verdict.UNDECIDED
    assert "output amps" in finding.says

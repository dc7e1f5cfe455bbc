"""Which shift is on and how long it lasts, against published calendars and zone data.

Lengths of nights: computed from the IANA zone data (2026f) as UTC intervals; the rule for Great Britain (last Sunday
of March and October, 01:00 GMT) is published at
https://www.nidirect.gov.uk/news/remember-put-clocks-back-weekend
"""

from __future__ import annotations

from collections import Counter
from datetime import UTC, date, datetime, time, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.record.shop_floor import LEA, PEOPLE
from traveller.errors import InputError, Refused
from traveller.record.acts.shifts import read_crew, read_cycle, read_shift, set_crew, set_pattern
from traveller.record.heat_runs.times import read_moment
from traveller.record.rest import duties, limits, short_rests, warnings, weekly_hours
from traveller.record.shift_entries import CrewTurns, PatternSet, ShiftTimes
from traveller.record.shifts import EVER_SINCE, Roster, Turn, zone_of
from traveller.record.shop import Shop

EIGHT = (("early", 6), ("late", 14), ("night", 22))
TWELVE = (("day", 7), ("night", 19))
HOUR = timedelta(hours=1)


def roster(
    zone: str = "UTC",
    shifts: tuple[tuple[str, int], ...] = EIGHT,
    crews: tuple[CrewTurns, ...] = (),
    anchor: date = date(2031, 3, 3),
    since: datetime = EVER_SINCE,
) -> Roster:
    times = tuple(ShiftTimes(name=name, starts=time(hour)) for name, hour in shifts)
    return Roster().with_pattern(PatternSet(zone=zone, shifts=times, crews=crews, anchor=anchor, valid_from=since))


@pytest.mark.parametrize(
    ("zone", "shifts", "starts", "ends", "hours"),
    [
        ("Europe/London", EIGHT, "2026-03-28T22:00", "2026-03-29T05:00", 7),
        ("Europe/London", EIGHT, "2026-10-24T21:00", "2026-10-25T06:00", 9),
        ("Europe/London", TWELVE, "2026-03-28T19:00", "2026-03-29T06:00", 11),
        ("Europe/London", TWELVE, "2026-10-24T18:00", "2026-10-25T07:00", 13),
        ("Europe/Berlin", EIGHT, "2026-03-28T21:00", "2026-03-29T04:00", 7),
        ("Europe/Berlin", EIGHT, "2026-10-24T20:00", "2026-10-25T05:00", 9),
        ("America/New_York", EIGHT, "2026-03-08T03:00", "2026-03-08T10:00", 7),
        ("America/New_York", EIGHT, "2026-11-01T02:00", "2026-11-01T11:00", 9),
        ("Pacific/Auckland", EIGHT, "2026-04-04T09:00", "2026-04-04T18:00", 9),
        ("Pacific/Auckland", EIGHT, "2026-09-26T10:00", "2026-09-26T17:00", 7),
        ("Asia/Kolkata", EIGHT, "2026-03-28T16:30", "2026-03-29T00:30", 8),
        ("Europe/London", EIGHT, "2027-03-27T22:00", "2027-03-28T05:00", 7),
        ("Europe/London", EIGHT, "2027-10-30T21:00", "2027-10-31T06:00", 9),
        # The clocks of Lord Howe Island change by half an hour (IANA: +10:30 and +11).
        ("Australia/Lord_Howe", EIGHT, "2026-10-03T11:30", "2026-10-03T19:00", 7.5),
        ("Australia/Lord_Howe", EIGHT, "2026-04-04T11:00", "2026-04-04T19:30", 8.5),
    ],
)
def test_a_night_shift_is_as_long_as_the_night(
    zone: str, shifts: tuple[tuple[str, int], ...], starts: str, ends: str, hours: float
) -> None:
    begin = datetime.fromisoformat(f"{starts}+00:00")
    for now in (begin, begin + 3 * HOUR, datetime.fromisoformat(f"{ends}+00:00") - timedelta(seconds=1)):
        turn = roster(zone, shifts).turn(now, "UTC")
        assert (turn.shift, turn.starts, turn.ends.isoformat(), turn.hours) == (
            "night",
            begin,
            f"{ends}:00+00:00",
            hours,
        )
        usual = 12 if shifts is TWELVE else 8
        assert turn.clocks_change == hours - usual
        assert ("the clocks change" in turn.in_words()) == (hours != usual)


@pytest.mark.parametrize(
    ("day", "hours"), [("2026-03-29", 23), ("2026-10-25", 25), ("2026-06-01", 24)], ids=["short", "long", "usual"]
)
def test_a_day_of_shifts_has_23_24_or_25_hours(day: str, hours: int) -> None:
    """By the calendar day of each start, London; the long and the short day as above."""
    start = datetime.fromisoformat(f"{day}T00:00+00:00") - 12 * HOUR
    turns = list(roster("Europe/London", (("n", 0), ("m", 8), ("a", 16))).turns(start, start + 60 * HOUR, "UTC"))
    assert sum(one.hours for one in turns if str(one.day) == day) == hours


ROSTERS = {
    # name of the roster: cycle, lag of each crew, shifts, hours a week. Sources beside.
    "four on, four off": ("D D N N - - - -", (0, 2, 4, 6), TWELVE, 42.0),  # arithmetic: 168 h / 4 crews
    "Pitman": ("D D - - D D D - - D D - - -", (0, 7), (("Day", 6), ("x", 18)), 42.0),
    # 2-2-3-2-2-3 in 14 days, two 12 h shifts: http://www.njlawman.com/pitman-schedule.htm
    "DuPont": ("N N N N - - - D D D - N N N - - - D D D D - - - - - - -", (0, 7, 14, 21), TWELVE, 42.0),
    # 4 nights, 3 off, 3 days, 1 off, 3 nights, 3 off, 4 days, 7 off:
    # https://dwparksandmore.com/qa/quick-answer-what-is-a-4-2-schedule.html
    "two early, two late, two night": ("E E L L N N - -", (0, 2, 4, 6), EIGHT, 42.0),  # from memory
}


@pytest.mark.parametrize("name", ROSTERS)
def test_known_rosters_cover_the_clock_and_come_to_their_hours(name: str) -> None:
    cycle, lags, shifts, hours = ROSTERS[name]
    times = [ShiftTimes(name=one, starts=time(hour)) for one, hour in shifts]
    days = read_cycle(cycle, times)
    crews = tuple(read_crew(f"crew{lag}={lag}", days) for lag in lags)
    work = roster(shifts=shifts, crews=crews)
    start = datetime(2031, 3, 3, shifts[0][1], tzinfo=UTC)
    turns = list(work.turns(start, start + timedelta(days=len(days)), "UTC"))
    covered = [one for one in turns if one.shift != "x"]
    assert all(len(one.crews) == 1 for one in covered)
    for crew in crews:
        own = [one for one in turns if crew.crew in one.crews]
        assert weekly_hours(own, len(days) / 7) == hours
    assert Counter(one.crew for one in covered).most_common(1)[0][1] * len(lags) == len(covered)


def test_eleven_hours_on_the_clock_are_ten_when_the_clocks_go_forward() -> None:
    """Off at 19:00, on at 06:00, London, the night to 29 March 2026: 10 h, and article 3 of Directive 2003/88/EC wants
    11 (https://osha.europa.eu/en/legislation/directives/directive-2003-88-ec)."""
    crews = (CrewTurns(crew="A", days=("short", "")), CrewTurns(crew="B", days=("", "short")))
    work = roster("Europe/London", (("short", 6), ("rest", 19)), crews, anchor=date(2026, 3, 28))
    start = datetime(2026, 3, 28, 7, tzinfo=UTC)
    both = duties(work, "UTC", start, start + timedelta(days=3), lambda at: "A" if at.day < 29 else "B")
    (warned,) = short_rests("Anna", both[:2])
    assert warned.says.startswith("Anna: 10 h between ") and "the clocks change" in warned.says
    assert "2003/88/EC" in warned.source
    a_week_later = duties(work, "UTC", start + timedelta(days=7), start + timedelta(days=10), lambda _: "A")
    assert short_rests("Anna", a_week_later) == []


def test_limits_are_those_of_the_directive() -> None:
    """Articles 3 and 6 of Directive 2003/88/EC; 17 weeks: Working Time Regulations 1998, regulation 4,
    legislation.gov.uk/uksi/1998/1833/regulation/4."""
    assert (limits().rest, limits().week, limits().weeks) == (11 * HOUR, 48 * HOUR, 17)


def test_long_weeks_are_warned_of() -> None:
    """Six shifts of 12 h out of seven: 72 h a week."""
    crews = (
        CrewTurns(crew="A", days=("day",) * 6 + ("",)),
        CrewTurns(crew="B", days=("night", "", "", "", "", "", "")),
    )
    work, now = roster(shifts=TWELVE, crews=crews), datetime(2031, 3, 3, 7, tzinfo=UTC)
    assert [one.says for one in warnings("A", work, "UTC", now, lambda _: "A")] == ["A: 72.0 h a week over 17 weeks"]
    assert warnings("B", work, "UTC", now, lambda _: "B") == []


def test_a_shop_without_a_pattern_works_the_usual_shifts_in_its_own_zone() -> None:
    turn = Shop(zone="Europe/Berlin").turn(datetime(2026, 7, 1, 4, tzinfo=UTC))
    assert (turn.shift, turn.usual, turn.hours, turn.crews) == ("early", True, 8, ())
    assert turn.starts == datetime(2026, 7, 1, 4, tzinfo=UTC)


def test_a_pattern_set_in_the_middle_of_a_shift_holds_from_its_end() -> None:
    now = datetime(2031, 3, 3, 9, tzinfo=UTC)
    shop = Shop()
    times = [read_shift("day=07:00"), read_shift("night=19:00")]
    (body,) = set_pattern(shop, PEOPLE[LEA], now, times, (), now.date())
    assert isinstance(body, PatternSet)
    after = Shop(roster=shop.roster.with_pattern(body))
    assert body.valid_from == datetime(2031, 3, 3, 14, tzinfo=UTC)
    assert after.turn(now) == shop.turn(now)
    first = after.turn(body.valid_from)
    assert (first.shift, first.starts, first.ends) == ("day", body.valid_from, datetime(2031, 3, 3, 19, tzinfo=UTC))
    assert after.roster.before(first, "UTC").shift == "early"


moments = st.datetimes(datetime(2025, 1, 1), datetime(2035, 1, 1), timezones=st.just(UTC))
zones = st.sampled_from(
    [
        "UTC",
        "Europe/Berlin",
        "America/St_Johns",
        "Australia/Lord_Howe",
        "Asia/Kathmandu",
        "Pacific/Apia",
        "Africa/Casablanca",
    ]
)
patterns = st.builds(
    PatternSet,
    zone=st.one_of(zones, st.just("Nowhere/Nothing")),
    shifts=st.lists(st.times(), min_size=1, max_size=5, unique=True).map(
        lambda found: tuple(ShiftTimes(name=f"s{n}", starts=one) for n, one in enumerate(found))
    ),
    crews=st.just((CrewTurns(crew="A", days=("s0", "")), CrewTurns(crew="none", days=()))),
    anchor=st.dates(date(2025, 1, 1), date(2035, 1, 1)),
    valid_from=moments,
)


@given(st.lists(patterns, max_size=3), moments, zones)
def test_turns_follow_each_other_without_gap_or_overlap_whatever_the_pattern(
    bodies: list[PatternSet], now: datetime, zone: str
) -> None:
    work = Roster()
    for body in bodies:
        work = work.with_pattern(body)
    turn = work.turn(now, zone)
    assert turn.starts <= now < turn.ends
    assert turn.hours <= 49
    following = work.after(turn, zone)
    assert following.starts == turn.ends
    assert work.before(following, zone) == turn or following.starts == turn.starts
    assert work.turn(turn.starts, zone) == turn


@pytest.mark.parametrize("text", ["early", "=06:00", "early=25:00", "early=six", ""])
def test_a_shift_that_cannot_be_read_says_how_to_write_it(text: str) -> None:
    with pytest.raises(InputError, match=r"early=06:00"):
        read_shift(text)


@pytest.mark.parametrize("text", ["E X", "", "E " * 400])
def test_a_cycle_that_cannot_be_read_says_how_to_write_it(text: str) -> None:
    with pytest.raises(InputError, match=r"day off"):
        read_cycle(text, [read_shift("early=06:00")])


def test_what_is_wrong_with_a_pattern_is_said() -> None:
    lea, now, shop = PEOPLE[LEA], datetime(2031, 3, 3, 9, tzinfo=UTC), Shop()
    early, late = read_shift("early=06:00"), read_shift("late=14:00")
    for shifts, zone, words in (
        ([], "UTC", "at least one shift"),
        ([early, early], "UTC", "same name"),
        ([early, late], "Mars/Base", "not a time zone"),
    ):
        with pytest.raises(InputError, match=words):
            set_pattern(shop, lea, now, shifts, (), now.date(), zone)
    with pytest.raises(Refused, match="takes a shift lead"):
        set_pattern(shop, PEOPLE["P-ANNA"], now, [early], (), now.date())
    with pytest.raises(Refused, match="enrol the person first"):
        set_crew(shop, lea, "P-NOBODY", "A")


@pytest.mark.parametrize(
    ("zone", "text"),
    [
        ("Europe/London", "2026-03-29 01:30"),
        ("Europe/Berlin", "2026-03-29 02:30"),
        ("Australia/Lord_Howe", "2026-10-04 02:15"),
    ],
)
def test_a_time_that_the_clocks_jump_over_is_refused(zone: str, text: str) -> None:
    with pytest.raises(InputError, match="left out by the change to summer time"):
        read_moment(text, zone_of(zone), datetime(2026, 1, 1, tzinfo=UTC))


def test_a_time_that_comes_twice_is_the_first() -> None:
    """London, 25 October 2026, 01:30: 00:30 UTC, and again at 01:30 UTC."""
    london, berlin = zone_of("Europe/London"), zone_of("Europe/Berlin")
    winter, summer = datetime(2026, 1, 1, tzinfo=UTC), datetime(2026, 7, 1, tzinfo=UTC)
    assert read_moment("2026-10-25 01:30", london, winter) == datetime(2026, 10, 25, 0, 30, tzinfo=UTC)
    assert read_moment("06:00", berlin, summer) == datetime(2026, 7, 1, 4, tzinfo=UTC)


def test_a_turn_tells_who_has_it() -> None:
    turn: Turn = roster(crews=(CrewTurns(crew="A", days=("early",)),)).turn(datetime(2031, 3, 3, 7, tzinfo=UTC), "UTC")
    assert turn.in_words() == "early Mon 3 Mar, crew A, 06:00-14:00, 8 h"
    assert "no crew" in roster().turn(datetime(2031, 3, 3, 7, tzinfo=UTC), "UTC").in_words()

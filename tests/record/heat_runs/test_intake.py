"""Rows of a logger: times as they are written, columns by their headings, and every fault of the input said."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from tests.record.heat_runs.rows import HEAD, PLAN, START, fed, run_of, said, stamp
from traveller.errors import InputError
from traveller.record.heat_runs.columns import columns_of, form_of, mapped, read_time
from traveller.record.heat_runs.faults import open_faults
from traveller.record.heat_runs.intake import Batch, Intake, floats

BERLIN = ZoneInfo("Europe/Berlin")


def row(minute: float, *values: object) -> str:
    return ",".join([stamp(minute), *(str(one) for one in values or (12, 12, 12, 40, 23))])


@pytest.mark.parametrize(
    ("text", "form", "means"),
    [
        ("2031-03-03T07:00:00+01:00", "iso", datetime(2031, 3, 3, 6, tzinfo=UTC)),
        ("2031-03-03 07:00:00", "iso", datetime(2031, 3, 3, 6, tzinfo=UTC)),  # the shop's zone
        ("2031-07-03 07:00:00", "iso", datetime(2031, 7, 3, 5, tzinfo=UTC)),  # in summer
        ("90", "seconds", START + timedelta(seconds=90)),
        # Microsoft: 1 January 2008 is serial number 39448 (support page of DATEVALUE; from memory).
        ("39448", "excel", datetime(2007, 12, 31, 23, tzinfo=UTC)),
        ("39448.5", "excel", datetime(2008, 1, 1, 11, tzinfo=UTC)),
        ("1000000000", "unix", datetime(2001, 9, 9, 1, 46, 40, tzinfo=UTC)),  # POSIX, a billion seconds
    ],
)
def test_times_as_loggers_write_them(text: str, form: str, means: datetime) -> None:
    assert form_of(text) == form
    assert read_time(text, form_of(text), BERLIN, START) == pytest.approx(means.timestamp(), abs=1e-3)


def test_columns_are_known_by_their_headings_and_units() -> None:
    headings = ("Timestamp", "V (mA)", "U [A]", "W", "heatsink [°C]", "ambient (left side)", "spare")
    columns = columns_of(mapped(headings, PLAN), PLAN)
    assert columns.time == 0
    place, amps_of_one = columns.places["V"]
    assert place == 1
    assert amps_of_one == pytest.approx(1e-3)
    assert columns.places["U"] == (2, 1.0)
    assert columns.places["ambient"] == (5, 1.0)


def test_columns_that_are_called_otherwise_are_told_once() -> None:
    headings = ("t", "CH1", "CH2", "CH3", "CH4", "CH5")
    with pytest.raises(InputError, match="No column is U or V or W"):
        mapped(headings, PLAN)
    told = mapped(headings, PLAN, given={"CH1": "W", "CH2": "v", "ch3": "U", "CH4": "heatsink"})
    assert told.channels == {"CH1": "W", "CH2": "V", "CH3": "U", "CH4": "heatsink"}
    with pytest.raises(InputError, match="no channel of this run"):
        mapped(headings, PLAN, given={"CH1": "fan"})
    with pytest.raises(InputError, match='no column "CH9"'):
        mapped(headings, PLAN, given={"CH9": "U"})


def test_a_heading_in_another_kind_of_unit_is_refused() -> None:
    with pytest.raises(InputError, match="U"):
        columns_of(mapped(("time", "U [V]", "V", "W"), PLAN), PLAN)


def test_decimal_commas_between_semicolons() -> None:
    (batch,) = fed(["time;U;V;W;heatsink;ambient", f"{stamp(0)};11,9;12,0;12,1;40,5;23"])
    assert batch.row(0) == {"U": 11.9, "V": 12.0, "W": 12.1, "heatsink": 40.5, "ambient": 23.0}


# ---- faults: each is said, none is silent ----------------------------------------------------------------


def test_a_row_that_is_earlier_is_left_out_and_said() -> None:
    batches = fed([HEAD, row(0), row(1), row(0.9), row(2)])
    assert said(batches) == [("time runs backwards", "")]
    assert sum(len(one.times) for one in batches) == 3


def test_a_clock_set_back_by_an_hour_is_said() -> None:
    assert ("clock changed", "") in said(fed([HEAD, row(0), row(10), row(-50), row(-49)]))


def test_a_clock_set_forward_by_an_hour_is_said() -> None:
    assert ("clock changed", "") in said(fed([HEAD, row(0), row(1), row(61), row(62)]))


def test_a_clock_that_is_ahead_of_the_terminal_is_said() -> None:
    assert said(fed([HEAD, row(10)], now=START)) == [("clock changed", "")]
    assert said(fed([HEAD, row(1)], now=START)) == []


@pytest.mark.parametrize("cell", ["", "NaN", "OL", "error", "inf"])
def test_what_is_no_number_is_said_and_breaks_the_hold(cell: str) -> None:
    batches = fed([HEAD, row(0), row(1, cell, 12, 12, 40, 23), row(2)])
    assert said(batches) == [("not a number", "U")]
    assert [inside for one in batches for inside in one.in_band(PLAN)] == [True, False, True]


def test_a_time_that_is_none_is_said() -> None:
    assert said(fed([HEAD, row(0), "soon,12,12,12,40,23", row(1)])) == [("not a number", "")]


def found(lines: list[str], minutes_later: float = 0) -> dict[str, str]:
    """What stays open on a run made of these rows: fault and channel."""
    run = run_of(fed(lines))
    now = (run.heard or START) + timedelta(minutes=minutes_later)
    return {one.fault: one.channel for one in open_faults(run, now)}


def test_sound_rows_leave_nothing_open() -> None:
    assert found([HEAD, *(row(m, 12 + m / 100, 12 - m / 100, 12 + m / 99, 40 + m / 9, 23) for m in range(30))]) == {}


def live(place: int, value: float | str | None = None) -> list[str]:
    """Half an hour of rows that move a little, with one column replaced; None keeps it at its first value."""
    made = []
    for minute in range(40):
        amps = (11.9 + minute / 500, 12 - minute / 400, 12 + minute / 300)
        values: list[object] = [*amps, 40 + minute / 5, 23 + minute / 99]
        values[place] = (11.9, 12.0, 12.0, 40.0, 23.0)[place] if value is None else value
        made.append(row(minute, *values))
    return [HEAD, *made]


@pytest.mark.parametrize(("place", "channel"), [(0, "U"), (3, "heatsink")])
def test_a_dead_channel_is_found(place: int, channel: str) -> None:
    assert found(live(place)) == {"channel dead": channel}


def test_the_ambient_may_stand_still_for_a_while() -> None:
    assert found(live(4)) == {}


def test_a_channel_without_any_number_is_found() -> None:
    assert found(live(3, "")) == {"not a number": "heatsink", "channel missing": "heatsink"}


def test_a_column_that_is_not_there_is_found() -> None:
    lines = [line.rpartition(",")[0] for line in live(0, 12.01)]
    assert "channel missing" in found(lines)


def test_thousandths_are_found() -> None:
    assert found([HEAD, *(row(m, 12000 + m, 12, 12, 40 + m, 23) for m in range(3))]) == {"wrong by 1000": "U"}
    assert found([HEAD, *(row(m, 12, 12, 12, 40000 + m, 23) for m in range(3))]) == {"wrong by 1000": "heatsink"}


def test_thousands_are_found() -> None:
    lines = [HEAD, *(row(m, 0.012 + m / 1e5, 12 + m / 99, 12 - m / 99, 40 + m, 23) for m in range(15))]
    assert found(lines) == {"wrong by 1000": "U"}


def test_swapped_columns_are_found() -> None:
    assert "columns swapped" in found([HEAD, *(row(m, 40 + m, 12, 12, 12 + m / 99, 23) for m in range(3))])
    assert "columns swapped" in found([HEAD, *(row(m, 12, 12, 12, 23, 60 + m) for m in range(3))])


def test_a_value_that_cannot_be_is_found() -> None:
    assert found([HEAD, *(row(m, 600 + m, 12, 12, 40 + m, 23) for m in range(3))])["implausible"] == "U"


def test_a_stream_that_has_stopped_is_found() -> None:
    lines = [HEAD, row(0, 12, 12, 12, 40, 23), row(1, 12.1, 12.1, 12.1, 41, 23)]
    assert found(lines, minutes_later=14) == {}
    assert found(lines, minutes_later=16) == {"stream stopped": ""}


@given(st.lists(st.text(max_size=60) | st.floats(-1, 90).map(row), max_size=20))
@example([row(1), '"a",2\r3'])
def test_any_lines_at_all_end_in_batches_or_a_sentence(lines: list[str]) -> None:
    try:
        batches = fed([HEAD, *lines])
    except InputError as error:
        assert str(error)
        return
    for batch in batches:
        assert list(batch.times) == sorted(batch.times)
        assert all(len(column) == len(batch.times) for column in batch.columns)


@given(st.lists(st.floats(0.01, 30), min_size=1, max_size=60), st.integers(1, 40))
def test_stopping_and_going_on_loses_nothing_and_takes_nothing_twice(steps: list[float], place: int) -> None:
    """A follower killed after any row: the next one reads the file from its beginning."""
    minutes = [sum(steps[: at + 1]) for at in range(len(steps))]
    rows = [row(minute) for minute in minutes]
    whole = [at for one in fed([HEAD, *rows]) for at in one.times]
    columns = columns_of(mapped(tuple(HEAD.split(",")), PLAN), PLAN)
    first = Intake(columns, UTC, START)
    for one in rows[:place]:
        first.take(one)
    kept, left = first.full(), first.open
    last = kept[-1].times[-1] if kept else None
    second = Intake(columns, UTC, START, last)
    second.resume(Batch(left.names, floats(left.times), [floats(one) for one in left.columns]))
    for one in rows:
        second.take(one)
    second.cut()
    assert [at for one in (*kept, *second.full()) for at in one.times] == whole

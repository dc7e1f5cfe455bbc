"""A block of a logger's file read at once says, to the last bit, what its rows say one by one."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta, tzinfo
from unittest.mock import patch
from zoneinfo import ZoneInfo

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from tests.record.heat_runs.rows import HEAD, PLAN, START
from traveller.errors import InputError
from traveller.record.heat_runs import intake as module
from traveller.record.heat_runs.blocks import form_in, sound_rows
from traveller.record.heat_runs.cells import cells_of
from traveller.record.heat_runs.columns import Columns, columns_of, mapped
from traveller.record.heat_runs.intake import Batch, Intake, lines_of
from traveller.record.rig_entries import TimeForm

BERLIN = ZoneInfo("Europe/Berlin")
MONROVIA = ZoneInfo("Africa/Monrovia")  # until 1972 its hour was 44 minutes and 30 seconds behind (tz database)
CHANNELS = 5
EDGES = (
    START,
    datetime(2031, 3, 30, 0, 59, tzinfo=UTC),  # summer time begins in Berlin a minute later
    datetime(2031, 10, 26, 0, 59, tzinfo=UTC),  # and ends
    datetime(1972, 1, 7, 0, 43, tzinfo=UTC),
    datetime(2001, 9, 9, 1, 46, tzinfo=UTC),
)
ODD_CELLS = ("", "NaN", "inf", "OL", "1e3", " 12", "12 ", "+5", "1_0", "-", ".", "5.", ".5", "-.5", "1.2.3", "--1")
ODDER_CELLS = ('"12"', "−4", "٣", "0x1", "9007199254740993", "123456789012345", "0.1234567890123456", "12\x1f", "1-2")
ODD_LINES = ("", ",,,,,", ";;;;;", "soon,1,2,3,4,5", "2031-03-03T06:00:00", "time,U,V,W,heatsink,ambient", "\r", "\x00")


@dataclass
class Logger:
    """One way of writing a file, and what is known before it."""

    separator: str
    point: str
    ending: str
    form: str
    zone: tzinfo
    last: float | None
    seconds: float
    columns: Columns = field(init=False)

    def __post_init__(self) -> None:
        self.columns = columns_of(mapped(cells_of(HEAD.replace("U", "U [mA]")), PLAN, given={"U": "U"}), PLAN)

    def time(self, at: datetime) -> str:
        local = at.astimezone(self.zone)
        return {
            "milliseconds": at.isoformat(timespec="milliseconds"),
            "as python has it": at.isoformat(),
            "tenths": f"{local:%Y-%m-%d %H:%M:%S}{self.point}{local.microsecond // 100_000}",
            "slashes": f"{local:%Y/%m/%d %H:%M:%S}",
            "zulu": f"{at:%Y-%m-%dT%H:%M:%S}.{at.microsecond:06d}Z",
            "basic": f"{at:%Y%m%dT%H%M%S}",
            "seconds": f"{(at - START).total_seconds():.3f}".replace(".", self.point),
            "unix": f"{at.timestamp():.2f}".replace(".", self.point),
            "excel": f"{at.timestamp() / 86400 + 25569:.7f}".replace(".", self.point),
        }[self.form]

    def intake(self) -> Intake:
        return Intake(self.columns, self.zone, START, self.last, self.seconds)


FORMS = ("milliseconds", "as python has it", "tenths", "slashes", "zulu", "basic", "seconds", "unix", "excel")


@st.composite
def files(draw: st.DrawFn) -> tuple[Logger, bytes]:
    separator = draw(st.sampled_from(",;\t"))
    logger = Logger(
        separator,
        "." if separator == "," else draw(st.sampled_from(".,")),
        draw(st.sampled_from(("\n", "\r\n", "\n", "\r"))),
        draw(st.sampled_from(FORMS)),
        draw(st.sampled_from((UTC, BERLIN, MONROVIA))),
        draw(st.none() | st.sampled_from(EDGES).map(datetime.timestamp)),
        draw(st.sampled_from((60.0, 1.0, 0.0))),
    )
    at, lines = draw(st.sampled_from(EDGES)), list[str]()
    odd = draw(st.sampled_from((0, 0, 0, 1, 5)))
    for _ in range(draw(st.integers(1, 30))):
        cells = [logger.time(at), *(f"{draw(st.integers(-99, 99999)) / 1000:.3f}" for _ in range(CHANNELS))]
        if draw(st.integers(0, 30)) < odd:
            cells[draw(st.integers(0, CHANNELS))] = draw(st.sampled_from(ODD_CELLS + ODDER_CELLS))
        decimals = [cell.replace(".", logger.point) for cell in cells[1:]]
        lines.append(logger.separator.join((cells[0], *decimals)))
        if draw(st.integers(0, 60)) < odd:
            lines.append(draw(st.sampled_from(ODD_LINES) | st.text(max_size=12)))
        steps = (0.1, 0.1, 0.1, 1.0, 7.3, 0.0) if not odd else (0.1, 0.1, 61.0, -0.1, -40.0, 3600.0, 3604.9)
        at += timedelta(seconds=draw(st.sampled_from(steps)))
    return logger, "".join(line + logger.ending for line in lines).encode("utf-8", errors="surrogatepass")


def state(intake: Intake) -> object:
    """Everything that an intake has come to; NaN is compared by its bytes."""

    def of(batch: Batch) -> object:
        return (batch.times.tobytes(), [column.tobytes() for column in batch.columns], batch.faults)

    return [of(one) for one in intake.full()], of(intake.open), intake.rows, intake.kept_before


def one_by_one(logger: Logger, blocks: Iterable[bytes]) -> object:
    intake = logger.intake()
    for block in blocks:
        for line in lines_of(block):
            intake.take(line)
    return state(intake)


def at_once(logger: Logger, blocks: Iterable[bytes]) -> object:
    intake = logger.intake()
    with patch.object(module, "FEWEST_LINES", 3):
        for block in blocks:
            intake.take_block(block)
    return state(intake)


def outcome(read: object, logger: Logger, blocks: list[bytes]) -> object:
    assert callable(read)
    try:
        return read(logger, blocks)
    except InputError as error:
        return str(error)


@given(files(), st.integers(0, 3000))
@example((Logger(",", ".", "\r", "seconds", UTC, None, 60.0), b'1,2,3,4,5,6\r"7",2,3,4,5,6\r'), 0)
@example((Logger(",", ".", "\n", "seconds", UTC, None, 60.0), b"0.0,1,2,3,4,5\n-0.0,-0.000,2,3,4,5\n"), 0)
def test_at_once_and_one_by_one_come_to_the_same(file: tuple[Logger, bytes], place: int) -> None:
    """Cut into two blocks behind any line; what deviates anywhere is said in the same words."""
    logger, text = file
    cut = text.find(b"\n", place) + 1
    blocks = [one for one in (text[:cut], text[cut:]) if one]
    assert outcome(at_once, logger, blocks) == outcome(one_by_one, logger, blocks)


@given(st.integers(-(10**15) + 1, 10**15 - 1), st.integers(0, 15))
def test_a_decimal_is_what_float_makes_of_it(digits: int, decimals: int) -> None:
    """Python's ``float`` rounds correctly (David Gay's algorithm, Python documentation); so do 15 digits here."""
    sign, text = "-" if digits < 0 else "", f"{abs(digits):0{decimals + 1}d}"[:15].rjust(decimals + 1, "0")
    cell = f"{sign}{text[: len(text) - decimals]}.{text[len(text) - decimals :]}"
    logger = Logger(",", ".", "\n", "seconds", UTC, None, 60.0)
    rows = sound_rows(f"1,2,3,{cell},4,5\n".encode(), logger.columns, "seconds", UTC, START)
    if sum(map(str.isdigit, cell)) <= 15:
        assert rows is not None and rows.columns[2][0] == float(cell)
    else:
        assert rows is None


@pytest.mark.parametrize("form", [one for one in FORMS if one not in ("basic", "excel")])
@pytest.mark.parametrize(("separator", "point"), [(",", "."), (";", ","), ("\t", ".")])
@pytest.mark.parametrize("ending", ["\n", "\r\n"])
def test_files_as_loggers_write_them_are_read_at_once(form: str, separator: str, point: str, ending: str) -> None:
    logger = Logger(separator, point, ending, form, BERLIN, None, 60.0)
    moments = [START + timedelta(seconds=number / 2) for number in range(400)]
    cells = [(logger.time(at), f"-12{point}5", "7", f"0{point}125", f"40{point}", f"{point}5") for at in moments]
    block = "".join(separator.join(row) + ending for row in cells).encode()
    told: TimeForm = form_in(block, logger.columns)
    rows = sound_rows(block, logger.columns, told, BERLIN, START)
    assert rows is not None
    assert [column[0] for column in rows.columns] == [-0.0125, 7.0, 0.125, 40.0, 0.5]
    whole = [at.replace(microsecond=0).timestamp() if form == "slashes" else at.timestamp() for at in moments]
    assert rows.times.tolist() == pytest.approx(whole, abs=1e-6)

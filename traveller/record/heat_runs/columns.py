"""Which column of a logger's file is which channel, and how its times are written."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, tzinfo

from traveller.errors import InputError
from traveller.record.heat_runs.channels import Channel
from traveller.record.heat_runs.plan import Plan
from traveller.record.rig_entries import LoggerMapped, TimeForm
from traveller.units import NAMES, factor

TIME_WORDS = (
    "time",
    "timestamp",
    "date/time",
    "date time",
    "datetime",
    "date",
    "seconds",
    "elapsed",
    "elapsed time",
    "t",
)
_HEADING = re.compile(r"^(?P<name>.*?)\s*(?:[\[(](?P<unit>[^\])]*)[\])])?$")
EXCEL_DAY_ZERO = datetime(1899, 12, 30)
EXCEL_DAYS, UNIX_SECONDS = (30_000, 80_000), 1e9


@dataclass(frozen=True)
class Columns:
    """Where the time stands, and for each channel its column and the factor to its unit."""

    time: int
    form: TimeForm | None
    places: Mapping[str, tuple[int, float]]


def plain(heading: str) -> tuple[str, str]:
    """``U [mA]`` as name and unit."""
    found = _HEADING.match(heading.strip())
    return (found["name"].strip(), (found["unit"] or "").strip()) if found else (heading.strip(), "")


def mapped(headings: Sequence[str], plan: Plan, time: str = "", given: Mapping[str, str] | None = None) -> LoggerMapped:
    """The mapping that the headings and what was said beside them (heading -> channel) amount to.

    A heading that is the name of a channel needs no word. InputError when the time or a load channel is
    nowhere, or when something names what is not there.
    """
    said = {_place_of(headings, heading): _channel(plan, name) for heading, name in (given or {}).items()}
    at = _place_of(headings, time) if time else _time_column(headings)
    found: dict[str, str] = {}
    for place, heading in enumerate(headings):
        channel = said.get(place) or (plan.channel(plain(heading)[0]) if place != at else None)
        if channel and (place in said or channel.name not in {one.name for one in said.values()}):
            if channel.name in found.values():
                raise InputError(f"Two columns are {channel.name}: say which one, as HEADING=CHANNEL.")
            found[heading] = channel.name
    _need_load(headings, plan, found.values())
    return LoggerMapped(headings=tuple(headings), time=headings[at], channels=found)


def _place_of(headings: Sequence[str], wanted: str) -> int:
    for place, heading in enumerate(headings):
        if wanted.strip().casefold() in (heading.strip().casefold(), plain(heading)[0].casefold()):
            return place
    raise InputError(f'There is no column "{wanted}"; there are: {", ".join(headings)}.')


def _channel(plan: Plan, name: str) -> Channel:
    channel = plan.channel(name)
    if channel is None:
        raise InputError(f"{name} is no channel of this run; they are {', '.join(one.name for one in plan.channels)}.")
    return channel


def _time_column(headings: Sequence[str]) -> int:
    for word in TIME_WORDS:
        for place, heading in enumerate(headings):
            if plain(heading)[0].casefold() == word:
                return place
    raise InputError(f"Which column is the time? Name it; there are: {', '.join(headings)}.")


def _need_load(headings: Sequence[str], plan: Plan, known: Collection[str]) -> None:
    missing = [one.name for one in plan.load_channels if one.name not in known]
    if missing:
        raise InputError(
            f"No column is {' or '.join(missing)}, and the hold goes by it: say which, as HEADING=CHANNEL (a command: "
            f"--column). The columns are {', '.join(headings)}."
        )


def columns_of(mapping: LoggerMapped, plan: Plan) -> Columns:
    """Places and factors by a mapping, in the order of the plan; a heading in a unit of another kind is refused."""
    by_name = {name: heading for heading, name in mapping.channels.items()}
    places = {
        one.name: (mapping.headings.index(by_name[one.name]), _factor(by_name[one.name], one))
        for one in plan.channels
        if one.name in by_name
    }
    _need_load(mapping.headings, plan, places)
    return Columns(mapping.headings.index(mapping.time), mapping.form, places)


def _factor(heading: str, channel: Channel) -> float:
    """What a value of the column is in the channel's unit; what stands in brackets and is no unit is a remark."""
    unit = plain(heading)[1]
    if unit not in NAMES and unit != "C":
        return 1.0
    try:
        return float(factor(unit, channel.unit))
    except InputError as error:
        raise InputError(f'The column "{heading}" is to be {channel.name}: {error}') from None


# ---- times ----------------------------------------------------------------------------------------------


def number(text: str) -> float | None:
    try:
        return float(text.replace("−", "-"))
    except ValueError:
        return None


def form_of(text: str) -> TimeForm:
    """How a time is written, from the first of them: a number from 30,000 to 80,000 is taken for a spreadsheet's
    day (1982 to 2119), a larger one than 10^9 for seconds since 1970, any other for seconds since the start."""
    value = number(text)
    if value is None:
        return "iso"
    if EXCEL_DAYS[0] <= value <= EXCEL_DAYS[1]:
        return "excel"
    return "unix" if value >= UNIX_SECONDS else "seconds"


def read_time(text: str, form: TimeForm, zone: tzinfo, start: datetime) -> float | None:
    """Seconds since 1970; None when it is not a time of that form. Times without a zone are the shop's."""
    if form == "iso":
        try:
            found = datetime.fromisoformat(text.strip().replace("/", "-"))
        except ValueError:
            return None
        return (found if found.tzinfo else found.replace(tzinfo=zone)).timestamp()
    value = number(text)
    if value is None or value != value or abs(value) > 1e11:
        return None
    if form == "seconds":
        return start.timestamp() + value
    if form == "unix":
        return value
    days = (EXCEL_DAY_ZERO.replace(tzinfo=UTC).timestamp() / 86400) + value
    try:
        local = datetime.fromtimestamp(round(days * 86400, 3), UTC).replace(tzinfo=zone)
    except (OverflowError, ValueError, OSError):
        return None
    return local.timestamp()

"""The form of a station sheet: what a station asks of a unit, as data.

A sheet is written as ``stations/<key>/station.toml`` and is checked here, so that a mistake is found when
the sheet is laid and not at the bench at night. Nothing here reads a file or knows a unit's answers.
"""

from __future__ import annotations

import hashlib
import math
import re
from collections.abc import Iterator, Mapping
from enum import StrEnum
from functools import cached_property
from typing import Literal, Self

from pydantic import Field, model_validator

from traveller.judgement import DecisionRule
from traveller.quantities import UNITS
from traveller.vocabulary import RATINGS, HazardKind, Plain, Role, UnitKind

KEY = r"^[a-z][a-z0-9_]*$"
SHORT, LEAST = 36, 16
"""At most so many characters of what a check asks stand in a line about several; at least so many, cut at a clause."""
_CLAUSE = re.compile(r"[?:;,]")
TERM = re.compile(r"^\s*(?:(?P<factor>\d+(?:\.\d+)?)\s*\*\s*)?(?P<rating>[a-z_]+)\s*$")


class CheckKind(StrEnum):
    TICK = "tick"
    CHOICE = "choice"
    READING = "reading"
    TABLE = "table"
    TEXT = "text"
    PHOTO = "photo"
    SCAN = "scan"
    CALCULATION = "calculation"


class Limit(Plain):
    """The bounds of a reading, each a number in the check's unit or a share of a rating.

    ``at_most = 60`` or ``at_least = "0.95 * output_amps"``. ``spread_percent`` bounds the largest departure
    of one sibling in a table from the median of the table, in percent of the median.
    """

    at_least: float | str | None = None
    at_most: float | str | None = None
    spread_percent: float | None = Field(default=None, gt=0)
    source: str = Field(min_length=3)

    @model_validator(mode="after")
    def _bounds_something(self) -> Self:
        if self.at_least is None and self.at_most is None and self.spread_percent is None:
            raise ValueError("a limit needs at_least, at_most or spread_percent")
        numbers = [bound for bound in (self.at_least, self.at_most) if isinstance(bound, float)]
        if numbers != sorted(numbers) or any(math.isnan(number) for number in numbers):
            raise ValueError(f"at_least {self.at_least} lies above at_most {self.at_most}: no reading could pass")
        for bound in (self.at_least, self.at_most):
            if isinstance(bound, str) and (not (found := TERM.match(bound)) or found["rating"] not in RATINGS):
                known = ", ".join(RATINGS)
                raise ValueError(f'"{bound}" is not a share of a rating: write "0.95 * NAME", NAME one of {known}')
        return self


class When(Plain):
    """The check is asked only if another check was answered in this way."""

    check: str
    is_in: tuple[str, ...] = ()
    at_least: float | None = None

    @model_validator(mode="after")
    def _one_condition(self) -> Self:
        if bool(self.is_in) == (self.at_least is not None):
            raise ValueError("when needs either is_in (answers) or at_least (a number)")
        return self


class Check(Plain):
    """A question that a station asks of a unit, and everything that its judge has to know.

    A failing answer raises the hazard in `raises`; with `raises_on` the listed answers raise it instead, pass
    or fail. A passing answer clears the hazard in `clears`; if `presumed`, that hazard stands from the booking
    until it is cleared. Where a check `seeks_fault`, a failing answer is what was looked for: the unit goes on
    with it to be repaired, and the check has to pass before it goes on from there. `who`, `stale_after` empty:
    as the station says.
    """

    key: str = Field(pattern=KEY)
    station: str = Field(pattern=KEY)
    ask: str = Field(min_length=3)
    kind: CheckKind
    help: str = ""
    unit: str = ""
    columns: tuple[str, ...] = ()
    options: tuple[str, ...] = ()
    passes: tuple[str, ...] = ()
    limit: Limit | None = None
    plausible: tuple[float, float] | None = None
    rule: DecisionRule = DecisionRule.SIMPLE
    judge: str = ""
    fill: Mapping[str, str] = Field(default_factory=dict)
    applies_to: tuple[UnitKind, ...] = tuple(UnitKind)
    when: When | None = None
    who: tuple[Role, ...] = ()
    instrument: str = ""
    caution: str = ""
    source: str = ""
    stale_after: tuple[str, ...] = ()
    independent: bool = False
    seeks_fault: bool = False
    may_not_apply: bool = False
    required: bool = True
    raises: HazardKind | None = None
    raises_on: tuple[str, ...] = ()
    clears: HazardKind | None = None
    presumed: bool = False
    also_unrepaired: bool = False

    @cached_property
    def full_key(self) -> str:
        return f"{self.station}.{self.key}"

    @property
    def short(self) -> str:
        """What it asks, in few words, for a line about several: ``Volts DC+ to DC−…``."""
        asks = self.ask.rstrip("?. ")
        if len(asks) <= SHORT:
            return asks
        ends = [found.start() for found in _CLAUSE.finditer(asks) if LEAST <= found.start() < SHORT]
        return f"{asks[: ends[-1]] if ends else asks[:SHORT].rpartition(' ')[0].rstrip(',:;')}…"

    @property
    def judge_name(self) -> str:
        """The public name of its judge, station.function; empty without one."""
        return f"{self.station}.{self.judge.partition('.')[2]}" if self.judge else ""

    @cached_property
    def digest(self) -> str:
        """Short digest of the check as it is worded and limited here."""
        return hashlib.sha256(self.model_dump_json().encode()).hexdigest()[:16]

    @model_validator(mode="after")
    def _fits_its_kind(self) -> Self:
        for complaint in self._complaints():
            raise ValueError(complaint)
        return self

    def _complaints(self) -> Iterator[str]:
        measured = self.kind in (CheckKind.READING, CheckKind.TABLE)
        if self.unit not in UNITS:
            yield f'unit "{self.unit}" is not known: use one of {", ".join(sorted(filter(None, UNITS)))}'
        if not measured and (self.limit or self.plausible or self.unit):
            yield f"unit, limit and plausible belong to a reading or a table, not to a {self.kind}"
        if measured and self.plausible is None:
            yield "a reading or table needs plausible = [lowest, highest] that is physically possible"
        if self.plausible and not self.plausible[0] < self.plausible[1]:
            yield "plausible must be [lowest, highest]"
        if (self.kind is CheckKind.TABLE) != bool(self.columns):
            yield "columns belong to a table, and a table needs them"
        if (self.kind is CheckKind.CHOICE) != bool(self.options):
            yield "options belong to a choice, and a choice needs them"
        if unknown := set(self.passes) - set(self.options):
            yield f"passes names {', '.join(sorted(unknown))}, which is not among the options"
        if self.kind is CheckKind.CALCULATION and not self.judge:
            yield 'a calculation needs judge = "topic.function"'
        if self.judge and not re.match(r"^[a-z][a-z0-9_]*\.[a-z][a-z0-9_]*$", self.judge):
            yield f'judge "{self.judge}" must be "topic.function": a file of the station folder and a function in it'
        if self.presumed and not self.clears:
            yield "presumed needs clears = the hazard that stands until this check clears it"
        if self.raises_on and (not self.raises or self.kind not in (CheckKind.CHOICE, CheckKind.TICK)):
            yield "raises_on lists answers of a choice or a tick (yes, no) that raise the hazard named in raises"
        if self.raises_on and set(self.raises_on) - set(self.options or ("yes", "no")):
            yield f"raises_on names an answer that cannot be given: use {', '.join(self.options or ('yes', 'no'))}"
        if self.limit and self.limit.spread_percent and self.kind is not CheckKind.TABLE:
            yield "spread_percent compares siblings: it belongs to a table"
        if self.limit and self.judge:
            yield "give either a limit or a judge, not both"
        for origin in self.fill.values():
            if not re.match(r"^(rating\.[a-z_]+|answer\.[a-z0-9_]+\.[a-z0-9_]+|unit\.[a-z_]+)$", origin):
                yield f'fill "{origin}" must be rating.NAME, answer.STATION.CHECK or unit.NAME'


class Sheet(Plain):
    """One station: who works there, what must be true of a unit that leaves it, and its checks in order."""

    key: str = Field(pattern=KEY)
    name: str = Field(min_length=3)
    order: int = Field(ge=1, le=99)
    revision: int = Field(ge=1)
    who: tuple[Role, ...] = Field(min_length=1)
    intro: str = ""
    caution: str = ""
    does_work: bool = False
    work_lines: Literal["", "fitted", "verified"] = ""
    stale_after: tuple[str, ...] = ()
    checks: tuple[Check, ...] = Field(min_length=1)

    @model_validator(mode="after")
    def _keys_are_single(self) -> Self:
        keys = [check.key for check in self.checks]
        for key in keys:
            if keys.count(key) > 1:
                raise ValueError(f"check {key} stands twice in this station: give one of them another key")
        return self

    @cached_property
    def digest(self) -> str:
        return hashlib.sha256(self.model_dump_json().encode()).hexdigest()

    @property
    def edition(self) -> str:
        """The revision with the first digits of the sheet's digest, e.g. ``4-9f2c1a7b``."""
        return f"{self.revision}-{self.digest[:8]}"

    def stale_after_of(self, check: Check) -> tuple[str, ...]:
        """What makes an answer stale: as declared, and whatever went into its verdict."""
        declared = check.stale_after or self.stale_after
        used = [f"check:{o.removeprefix('answer.')}" for o in check.fill.values() if o.startswith("answer.")]
        bounds = (check.limit.at_least, check.limit.at_most) if check.limit else ()
        rated = any(o.startswith("rating.") for o in check.fill.values()) or any(
            isinstance(bound, str) for bound in bounds
        )
        return tuple(dict.fromkeys((*declared, *used, *(("nameplate",) if rated else ()))))

"""A cycle of overload and rest, against what a maker allows.

rms = √(Σ k²·t / Σ t), mean = Σ k·t / Σ t, excess = Σ (k² − 1)·t over the time above rated. A drive's own rule
mostly goes by the mean (I × t) and by how long each overload lasts; an rms limit refuses cycles that makers
allow, and their curves are not one constant of excess.
"""

from __future__ import annotations

import math
import re
import tomllib
from functools import cache
from pathlib import Path
from typing import Literal, NamedTuple

from pydantic import BaseModel, ConfigDict, Field

from traveller.errors import InputError
from traveller.judgement import Figure, Finding, Verdict
from traveller.quantities import read_quantity

CAUTION = (
    "A cycle that is allowed on paper proves nothing: measure, attend the run, trip set below what the parts "
    "stand. Guards bolted, emergency stop tried. The maker's manual of this very unit comes first."
)
SEPARATORS = re.compile(r"[\s;,]+")
SEGMENT = re.compile(r"(?P<level>[\d.]+)%?[x×*](?P<seconds>[\d.]+)s?", re.IGNORECASE)
MOST, LONGEST, LARGEST = 200, 1e6, 1e4
NEARLY = 1e-9


class Peak(BaseModel):
    """Up to this level (times rated) for so many seconds."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    level: float
    seconds: float


class Rule(BaseModel):
    """What one maker allows: the figure of the cycle that must not be above 1, and the overloads by themselves."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    name: str
    uses: Literal["mean", "rms", "peaks"]
    peaks: tuple[Peak, ...] = ()
    source: str


class Limits(BaseModel):
    """What ``overload.toml`` holds."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    times_rated_up_to: float
    rule: tuple[Rule, ...]


@cache
def limits() -> Limits:
    """The published rules."""
    return Limits.model_validate(tomllib.loads(Path(__file__).with_name("overload.toml").read_text(encoding="utf-8")))


class Overload(BaseModel):
    """One cycle that repeats, as it is written on paper."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    segments: str = Field(
        min_length=3, max_length=4000, description="levelxseconds one after the other: 150x60, 75x120 (% of rated)"
    )
    rule: Literal[
        "mean of the cycle, 150 % 60 s or 200 % 3 s",
        "150 % 60 s",
        "normal duty 110 %, from cold",
        "normal duty 110 %, from full load",
        "heavy duty 200 %, from cold",
        "heavy duty 200 %, from full load",
        "heavy duty 175 %, from cold",
        "heavy duty 175 %, from full load",
        "heavy duty 150 %, open loop, from cold",
        "heavy duty 150 %, open loop, from full load",
        "rms of the cycle, for a motor",
    ] = Field(default="mean of the cycle, 150 % 60 s or 200 % 3 s", description="what the maker allows")


class Segment(NamedTuple):
    """So many seconds at a level in times rated."""

    level: float
    seconds: float


def overload(given: Overload) -> Finding:
    """Root mean square, mean and excess of an overload cycle, judged by the figure that the maker's rule uses.

    Values: rms, mean (as the levels are written, % of rated or times rated), excess_s (s), rule_uses (mean, rms
    or peaks). A value on the limit passes. Raises InputError for segments that cannot be read. Source: the
    makers' manuals named in overload.toml, each beside its rule.
    """
    rule = next(one for one in limits().rule if one.name == given.rule)
    cycle, scale = read_segments(given.segments)
    unit = "%" if scale == 100 else ""
    whole = sum(one.seconds for one in cycle)
    mean = sum(one.level * one.seconds for one in cycle) / whole
    rms = math.sqrt(sum(one.level**2 * one.seconds for one in cycle) / whole)
    excess = sum((one.level**2 - 1) * one.seconds for one in cycle if one.level > 1)
    figure = {"mean": mean, "rms": rms}.get(rule.uses)
    over = [] if figure is None or figure <= 1 + NEARLY else [f"the {rule.uses} is {figure:.1%} of rated"]
    lasting = _too_long(rule, cycle)
    return Finding(
        verdict=Verdict.FAIL if over or lasting else Verdict.PASS,
        says=f"{'; '.join(over + lasting) or 'allowed'}: the maker's rule goes by the {_words(rule)}",
        values=(
            Figure(name="rms", value=rms * scale, unit=unit),
            Figure(name="mean", value=mean * scale, unit=unit),
            Figure(name="excess_s", value=excess, unit="s"),
            Figure(name="rule_uses", value=rule.uses),
        ),
        limit=_limit(rule),
        working=(
            f"{len(cycle)} segments, {whole:g} s, written in {'percent of' if unit else 'times'} rated: "
            + ", ".join(f"{one.level:.4g} × {one.seconds:g} s" for one in cycle[:12]),
            f"mean = Σ k·t / Σ t = {mean:.5f}; rms = √(Σ k²·t / Σ t) = {rms:.5f}",
            f"excess = Σ (k² − 1)·t above rated = {excess:.5g} s (not a limit: makers' curves are not one constant)",
            "the cycle repeats, so its last segment joins its first; a value on the limit passes",
        ),
        source=rule.source,
        caution=CAUTION,
    )


def read_segments(text: str) -> tuple[tuple[Segment, ...], float]:
    """The segments in times rated, and the scale in which their levels were written (1 or 100)."""
    pieces = [piece for piece in SEPARATORS.split(text.strip()) if piece]
    if not pieces or len(pieces) > MOST:
        raise InputError(f"{len(pieces)} segments were read: write 1 to {MOST}, as 150x60, 75x120.")
    written = [_segment(piece) for piece in pieces]
    scale = 100.0 if max(one.level for one in written) > limits().times_rated_up_to or "%" in text else 1.0
    return tuple(Segment(one.level / scale, one.seconds) for one in written), scale


def _segment(piece: str) -> Segment:
    found = SEGMENT.fullmatch(piece)
    if found is None:
        raise InputError(
            f'"{piece[:40]}" is not level x seconds: write 150x60 for 150 % during 60 s, the next after a comma, '
            "and a decimal point where one is needed (62.5x60)."
        )
    level, seconds = (read_quantity(found[name], "").value for name in ("level", "seconds"))
    if not (0 <= level <= LARGEST and 0 < seconds <= LONGEST):
        raise InputError(f'"{piece[:40]}" cannot be: a level from 0 to {LARGEST:g}, above 0 and up to {LONGEST:g} s.')
    return Segment(level, seconds)


def _too_long(rule: Rule, cycle: tuple[Segment, ...]) -> list[str]:
    """Which overloads last longer than the rule's peaks allow, in words."""
    if not rule.peaks:
        return []
    found, above = [], 1.0
    for peak in rule.peaks:
        lasts = _longest_above(above, cycle)
        if lasts > peak.seconds * (1 + NEARLY):
            found.append(f"above {above:.0%} for {lasts:g} s, {peak.seconds:g} s allowed")
        above = peak.level
    if max(one.level for one in cycle) > above + NEARLY:
        found.append(f"above the {above:.0%} that are allowed at all")
    return found


def _longest_above(level: float, cycle: tuple[Segment, ...]) -> float:
    """Seconds of the longest time without a break above `level`; the cycle repeats."""
    rest = next((place for place, one in enumerate(cycle) if one.level <= level + NEARLY), None)
    if rest is None:
        return sum(one.seconds for one in cycle)
    longest = lasts = 0.0
    for one in (*cycle[rest:], *cycle[:rest]):
        lasts = lasts + one.seconds if one.level > level + NEARLY else 0.0
        longest = max(longest, lasts)
    return longest


def _words(rule: Rule) -> str:
    time = "time of each overload"
    if rule.uses == "peaks":
        return f"{time} alone"
    return f"{rule.uses} and the {time}" if rule.peaks else rule.uses


def _limit(rule: Rule) -> str:
    peaks = [f"up to {one.level:.0%} for {one.seconds:g} s" for one in rule.peaks]
    return ", ".join(([] if rule.uses == "peaks" else [f"{rule.uses} at most rated"]) + peaks)

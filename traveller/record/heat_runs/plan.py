"""What is going to be done on the rig: steps, channels with their limits, band, intervals."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal, Self

from pydantic import Field, model_validator

from traveller.record.heat_runs.channels import Channel
from traveller.vocabulary import Plain


class Step(Plain):
    """So much of the rated load (%) for so many minutes."""

    percent: float = Field(gt=0, le=400)
    minutes: float = Field(gt=0, le=14_400)
    what: Literal["reform", "raise", "hold", "overload"] = "raise"

    def in_words(self) -> str:
        return f"{self.what} {self.percent:g} % {self.minutes:g} min"


class Plan(Plain):
    """As it was planned; a run that has started keeps its plan.

    `band_percent` is how far each load channel may lie from its rated value in the hold; `gap_minutes` the
    longest time without a reading; `reading_minutes` when the next one is due.
    """

    steps: tuple[Step, ...] = Field(min_length=1, max_length=40)
    channels: tuple[Channel, ...] = Field(min_length=1, max_length=32)
    band_percent: float = Field(gt=0, le=50)
    reading_minutes: float = Field(gt=0, le=1440)
    gap_minutes: float = Field(gt=0, le=1440)
    criterion: str
    hot_above: float
    dead_minutes: float
    reform: str = ""
    source: str = ""

    @model_validator(mode="after")
    def _fits_together(self) -> Self:
        if sum(step.what == "hold" for step in self.steps) != 1:
            raise ValueError("a plan has one step that is the hold")
        if not self.load_channels:
            raise ValueError("a plan needs a load channel with its rated value")
        names = [one.name.casefold() for one in self.channels]
        if len(set(names)) < len(names):
            raise ValueError("give every channel a name of its own")
        return self

    @property
    def hold(self) -> Step:
        return next(step for step in self.steps if step.what == "hold")

    @property
    def load_channels(self) -> tuple[Channel, ...]:
        return tuple(one for one in self.channels if one.load and one.rated)

    @property
    def minutes(self) -> float:
        return sum(step.minutes for step in self.steps)

    @property
    def highest_percent(self) -> float:
        return max(step.percent for step in self.steps)

    def channel(self, name: str) -> Channel | None:
        return next((one for one in self.channels if one.name.casefold() == name.strip().casefold()), None)

    def band_of(self, channel: Channel) -> tuple[float, float]:
        """Where a load channel has to lie in the hold, in its unit."""
        full = (channel.rated or 0.0) * self.hold.percent / 100
        return full * (1 - self.band_percent / 100), full * (1 + self.band_percent / 100)

    def in_band(self, values: Mapping[str, float]) -> bool:
        """Whether every load channel is known and in the band; a value that is no number is not."""
        for channel in self.load_channels:
            low, high = self.band_of(channel)
            value = values.get(channel.name)
            if value is None or not low <= value <= high:
                return False
        return True

    def share(self, values: Mapping[str, float]) -> float | None:
        """The mean load in percent of rated; None unless a load channel is known."""
        known = [100 * values[one.name] / one.rated for one in self.load_channels if one.name in values and one.rated]
        return sum(known) / len(known) if known else None

    def step_at(self, share: float) -> int:
        """The place of the highest step that this share of the load (%) has come to; -1 before the first."""
        return max((n for n, step in enumerate(self.steps) if share >= step.percent - self.band_percent), default=-1)

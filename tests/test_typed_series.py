"""A series of readings can be typed into a calculation as its help says: blanks between, OL for overrange."""

from __future__ import annotations

import math
from typing import Annotated

import pytest
from pydantic import BaseModel, Field

from traveller.record.forms import read_model


class Plainly(BaseModel):
    readings: tuple[float, ...]


class Bounded(BaseModel):
    readings: tuple[Annotated[float, Field(ge=0)], ...]


@pytest.mark.parametrize("model", [Plainly, Bounded])
def test_a_series_is_read_number_by_number(model: type[BaseModel]) -> None:
    # The form of the meter: stations/diagnosis/diodes.py, "diode-test readings, OL for overrange".
    read = read_model(model, {"readings": "0.41 0.42 OL"}, {})
    assert read.model_dump()["readings"] == (0.41, 0.42, math.inf)

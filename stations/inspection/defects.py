"""Defects counted against opportunities. DPMO = 10⁶ · defects / opportunities; yield = e^(−DPU)."""

from __future__ import annotations

import math

from pydantic import BaseModel, ConfigDict, Field

from traveller.errors import InputError
from traveller.judgement import Figure, Finding, Verdict
from traveller.quantities import show


class DefectRate(BaseModel):
    """How many defects were found, on how many units, and how many could have been found on each."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    defects: int = Field(ge=0, le=10**9, description="defects found")
    units: int = Field(default=1, ge=1, le=10**6, description="units or boards looked at")
    opportunities_per_unit: int = Field(
        ge=1, le=10**6, description="on each: one for every part, placement and joint, one for the assembly"
    )


def defect_rate(given: DefectRate) -> Finding:
    """Defects per million opportunities, defects per unit, and the share of units without any.

    Values: dpmo, dpu, yield (share, 0 to 1, Poisson). A count, so it passes; each defect is judged by its own
    check. Raises InputError if there are more defects than opportunities. Source: IPC-9261 and IPC-7912.
    """
    opportunities = given.units * given.opportunities_per_unit
    if given.defects > opportunities:
        raise InputError(
            f"{given.defects} defects cannot come from {opportunities} opportunities: count both again, "
            "a resistor is one part and two joints."
        )
    dpmo = 1e6 * given.defects / opportunities
    dpu = given.defects / given.units
    share = math.exp(-dpu)
    return Finding(
        verdict=Verdict.PASS,
        says=f"{given.defects} defects in {opportunities} opportunities: {show(dpmo, '')} in a million",
        values=(
            Figure(name="dpmo", value=dpmo),
            Figure(name="dpu", value=dpu),
            Figure(name="yield", value=share),
        ),
        limit="none: the count is the result",
        working=(
            f"opportunities = {given.units} × {given.opportunities_per_unit} = {opportunities}",
            f"DPMO = 10⁶ × {given.defects} / {opportunities} = {dpmo:.6g}",
            f"DPU = {given.defects} / {given.units} = {dpu:.6g}; yield = e^(−DPU) = {share:.6g}",
        ),
        source="IPC-7912 and IPC-9261: defects per million opportunities",
    )

"""How far the speed gives way from no load to full load. SR = 100 · (N0 − NFL) / NFL."""

from __future__ import annotations

from pydantic import BaseModel, ConfigDict

from traveller.judgement import Figure, Finding, Verdict, measured

CAUTION = "Rotating load: guard closed, hands and clothes clear; read the speed from outside the guard."


class SpeedRegulation(BaseModel):
    """Speed without and with full load, at the same setpoint."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)

    no_load: float = measured("rpm", "speed without load", at_least=1e-3, at_most=1e6)
    full_load: float = measured("rpm", "speed at full load", at_least=1e-3, at_most=1e6)
    allowed: float | None = measured(
        "%", "largest departure that the maker allows, if known", default=None, above=0, at_most=100
    )


def speed_regulation(given: SpeedRegulation) -> Finding:
    """The drop of speed in percent of the full-load speed; negative if the speed rises.

    Values: percent (%). Judged against `allowed`, either way; without it the value is only recorded. The
    allowed departure itself passes. Source: the textbook definition of speed regulation.
    """
    percent = 100 * (given.no_load - given.full_load) / given.full_load
    good = given.allowed is None or abs(percent) <= given.allowed
    return Finding(
        verdict=Verdict.PASS if good else Verdict.FAIL,
        says=f"speed {'drops' if percent >= 0 else 'rises'} by {abs(percent):.3g} % under load",
        values=(Figure(name="percent", value=percent, unit="%"),),
        limit="recorded; no limit given" if given.allowed is None else f"at most {given.allowed:g} % either way",
        working=(f"SR = 100 × ({given.no_load:g} − {given.full_load:g}) / {given.full_load:g} = {percent:.4f} %",),
        source="textbook definition of speed regulation; the maker's figure is the limit",
        caution=CAUTION,
    )

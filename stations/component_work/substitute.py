"""A part offered instead of the original: every figure side by side, each with its own outcome."""

from __future__ import annotations

import math
import tomllib
from functools import cache
from pathlib import Path
from typing import Any, Literal

from pydantic import BaseModel, ConfigDict, Field

from traveller.errors import InputError
from traveller.judgement import Figure, Finding, Verdict, measured, worst
from traveller.quantities import show

CAUTION = (
    "Figures do not tell everything: flameproof, fusible, pulse and safety capacitors are replaced by the same type "
    "only. In a matched set replace all. The customer is told of a substitute."
)
PAIRS = ("original", "offered")


class SubstituteRule(BaseModel):
    """What the offered figure has to be against the original one."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    name: str
    sense: Literal["at_least", "at_most", "same"]
    says: str

    def holds(self, original: float | str, offered: float | str) -> bool:
        if isinstance(original, str) or isinstance(offered, str):
            return str(original).casefold().split() == str(offered).casefold().split()
        if math.isclose(original, offered, rel_tol=1e-9):
            return True
        if self.sense == "same":
            return False
        return offered > original if self.sense == "at_least" else offered < original


class SubstituteRules(BaseModel):
    """What ``substitute.toml`` holds."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    source: str
    rule: tuple[SubstituteRule, ...]


@cache
def substitute_rules() -> SubstituteRules:
    """The rules, from the data file."""
    path = Path(__file__).with_name("substitute.toml")
    return SubstituteRules.model_validate(tomllib.loads(path.read_text(encoding="utf-8")))


def _rating(unit: str, description: str) -> Any:
    return measured(unit, description, default=None, at_least=0, at_most=1e15)


def _word(description: str) -> Any:
    return Field(default=None, description=description, max_length=60)


class Substitute(BaseModel):
    """The ratings of both parts as their data sheets give them; whatever does not count stays empty."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)

    original_voltage: float | None = _rating("V", "rated voltage of the original")
    offered_voltage: float | None = _rating("V", "rated voltage of the substitute")
    original_current: float | None = _rating("A", "rated current of the original")
    offered_current: float | None = _rating("A", "rated current of the substitute")
    original_power: float | None = _rating("W", "rated power of the original")
    offered_power: float | None = _rating("W", "rated power of the substitute")
    original_temperature: float | None = _rating("°C", "rated temperature of the original")
    offered_temperature: float | None = _rating("°C", "rated temperature of the substitute")
    original_life_h: float | None = _rating("h", "rated life of the original")
    offered_life_h: float | None = _rating("h", "rated life of the substitute")
    original_ripple: float | None = _rating("A", "rated ripple current of the original")
    offered_ripple: float | None = _rating("A", "rated ripple current of the substitute, same frequency")
    original_speed_hz: float | None = _rating("Hz", "bandwidth or switching frequency of the original")
    offered_speed_hz: float | None = _rating("Hz", "bandwidth or switching frequency of the substitute")
    original_value: float | None = _rating("", "ohms, farads or henries of the original, a bare number")
    offered_value: float | None = _rating("", "ohms, farads or henries of the substitute, a bare number")
    original_tolerance: float | None = _rating("%", "tolerance of the original")
    offered_tolerance: float | None = _rating("%", "tolerance of the substitute")
    original_esr: float | None = _rating("Ω", "ESR or on-resistance of the original")
    offered_esr: float | None = _rating("Ω", "ESR or on-resistance of the substitute")
    original_height_mm: float | None = _rating("mm", "height that there is room for")
    offered_height_mm: float | None = _rating("mm", "height of the substitute")
    original_diameter_mm: float | None = _rating("mm", "diameter or body that there is room for")
    offered_diameter_mm: float | None = _rating("mm", "diameter or body of the substitute")
    original_pitch_mm: float | None = _rating("mm", "pitch of the leads on the board")
    offered_pitch_mm: float | None = _rating("mm", "pitch of the leads of the substitute")
    original_package: str | None = _word("package or footprint on the board")
    offered_package: str | None = _word("package or footprint of the substitute")
    original_type: str | None = _word("type of the original: flameproof, fusible, X2, Y1, film")
    offered_type: str | None = _word("type of the substitute")
    original_gain_code: str | None = _word("gain or matching code of the set")
    offered_gain_code: str | None = _word("gain or matching code of the substitute")


def substitute(given: Substitute) -> Finding:
    """Each figure of the offered part against the original: as good, weaker, or not known.

    Values: one for each rule of which a figure is given, named as the rule, with "as good", "weaker" or "not
    known". Equal is as good. Fails when one is weaker, undecided when the figure of one part is missing. Raises
    InputError when nothing is given.

    Source: common practice: no figure weaker than the original; one gain code in a leg after Yaskawa GPD 506/P5.
    """
    asked = [rule for rule in substitute_rules().rule if any(_value(given, side, rule) is not None for side in PAIRS)]
    if not asked:
        raise InputError("Nothing to compare: type at least one rating of the original and of the substitute.")
    outcomes = {rule.name: _outcome(given, rule) for rule in asked}
    weaker = [rule.says for rule in asked if outcomes[rule.name] is Verdict.FAIL]
    missing = [rule.says for rule in asked if outcomes[rule.name] is Verdict.UNDECIDED]
    says = [f"weaker or different: {', '.join(weaker)}"] if weaker else []
    says += [f"not known of one part: {', '.join(missing)}"] if missing else []
    return Finding(
        verdict=worst(outcomes.values()),
        says="; ".join(says) or f"as good in {'all ' if len(asked) > 1 else ''}{len(asked)} compared",
        values=tuple(Figure(name=name, value=WORDS[verdict]) for name, verdict in outcomes.items()),
        limit="no figure weaker than the original; equal is as good",
        working=tuple(_line(given, rule, outcomes[rule.name]) for rule in asked),
        source=substitute_rules().source,
        caution=CAUTION,
    )


WORDS = {Verdict.PASS: "as good", Verdict.FAIL: "weaker", Verdict.UNDECIDED: "not known"}
SENSES = {"at_least": "no less than", "at_most": "no more than", "same": "the same as"}


def _value(given: Substitute, side: str, rule: SubstituteRule) -> float | str | None:
    value: float | str | None = getattr(given, f"{side}_{rule.name}")
    return value


def _outcome(given: Substitute, rule: SubstituteRule) -> Verdict:
    original, offered = (_value(given, side, rule) for side in PAIRS)
    if original is None or offered is None:
        return Verdict.UNDECIDED
    return Verdict.PASS if rule.holds(original, offered) else Verdict.FAIL


def _line(given: Substitute, rule: SubstituteRule, verdict: Verdict) -> str:
    extra = Substitute.model_fields[f"original_{rule.name}"].json_schema_extra
    unit = str(extra.get("unit", "")) if isinstance(extra, dict) else ""
    original, offered = (_shown(_value(given, side, rule), unit) for side in PAIRS)
    return f"{rule.says}: {offered} has to be {SENSES[rule.sense]} {original}: {WORDS[verdict]}"


def _shown(value: float | str | None, unit: str) -> str:
    if value is None:
        return "(not given)"
    return value if isinstance(value, str) else show(value, unit)

"""The value printed on a resistor, in every way in which the code can be read.

A code can mean two things: 68R is 68 Ω, or 4.99 Ω in EIA-96; 470K is 470 kΩ, or 47 Ω ± 10 %. A reading out of
circuit decides.
"""

from __future__ import annotations

import math
import re
import tomllib
from collections.abc import Iterator, Mapping
from functools import cache
from pathlib import Path

from pydantic import BaseModel, ConfigDict, Field

from traveller.errors import InputError
from traveller.judgement import Figure, Finding, Verdict, measured
from traveller.quantities import show

from .series import coarsest, eia_96, nearest, next_up, preferred

CAUTION = (
    "Measure out of circuit before you substitute. Flameproof, fusible and pulse types are not replaced "
    "on value alone. Codes on capacitors count in pF and are not read here."
)
LETTER_CODE = re.compile(r"(?P<whole>\d{0,3})(?P<letter>[RKMG])(?P<part>\d{0,3})(?P<tolerance>[A-Z]?)")
DIGIT_CODE = re.compile(r"(?P<digits>\d{2,3})(?P<zeros>\d)(?P<tolerance>[A-Z]?)")
EIA_96_CODE = re.compile(r"(?P<number>\d\d)(?P<letter>[A-Z])")


class Codes(BaseModel):
    """What ``marking.toml`` holds."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    source: str
    source_of_letters: str
    published_letters: tuple[str, ...]
    unmarked_percent: float
    tolerance: Mapping[str, float]
    multiplier: Mapping[str, float]
    eia96: Mapping[str, float]


@cache
def codes() -> Codes:
    """The letters, from the data file."""
    return Codes.model_validate(tomllib.loads(Path(__file__).with_name("marking.toml").read_text(encoding="utf-8")))


class Meaning(BaseModel):
    """One way to read a code: ohms, tolerance in percent with its letter, and the name of the way."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    ohms: float
    percent: float
    way: str
    letter: str = ""

    @property
    def low(self) -> float:
        return self.ohms * (1 - self.percent / 100)

    @property
    def high(self) -> float:
        return self.ohms * (1 + self.percent / 100)

    def fits(self, reading: float) -> bool:
        edges = (self.low, self.high)
        on_edge = any(math.isclose(reading, edge, rel_tol=1e-9) for edge in edges)
        return on_edge or self.low <= reading <= self.high

    def in_words(self) -> str:
        return f"{self.way}: {show(self.ohms, 'Ω')} ± {self.percent:g} %"


class Marking(BaseModel):
    """The code as printed and, where there is one, the reading out of circuit."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    code: str = Field(description="code as printed on the resistor", min_length=1, max_length=8)
    reading: float | None = measured("Ω", "reading out of circuit", default=None, at_least=0)


def marking(given: Marking) -> Finding:
    """Every meaning of the code; with a reading, whether it is within the tolerance of one of them.

    Values: value (Ω), tolerance (%), low and high (Ω) of the meaning that fits best, nearest_e12, nearest_e24 and
    nearest_e96 (Ω), next_up_e24 and next_up_e96 (Ω, the value itself counts), series (the coarsest that has the
    value, or "none"), meanings (how many there are). Without a reading an ambiguous code is undecided; with one, none
    that fits is a fail. Raises InputError if it is no known code.

    Source: letter and digit codes after IEC 60062, EIA-96, preferred values of IEC 60063; tolerance letters other
    than J and K from memory: check before relying on it.
    """
    meanings = tuple(_meanings(given.code.strip().upper()))
    if not meanings:
        raise InputError(f'"{given.code}" is no resistor code known here: read it again, e.g. 4K7, 473, 66B.')
    fitting = meanings if given.reading is None else tuple(one for one in meanings if one.fits(given.reading))
    chosen = (fitting or meanings)[0]
    verdict = (Verdict.FAIL, Verdict.PASS)[len(fitting)] if len(fitting) < 2 else Verdict.UNDECIDED
    return Finding(
        verdict=verdict,
        says=_says(given, fitting, chosen),
        values=(
            Figure(name="value", value=chosen.ohms, unit="Ω"),
            Figure(name="tolerance", value=chosen.percent, unit="%"),
            Figure(name="low", value=chosen.low, unit="Ω"),
            Figure(name="high", value=chosen.high, unit="Ω"),
            *(
                Figure(name=f"nearest_{name.lower()}", value=nearest(chosen.ohms, name), unit="Ω")
                for name in ("E12", "E24", "E96")
            ),
            *(
                Figure(name=f"next_up_{name.lower()}", value=next_up(chosen.ohms, name), unit="Ω")
                for name in ("E24", "E96")
            ),
            Figure(name="series", value=coarsest(chosen.ohms)),
            Figure(name="meanings", value=float(len(meanings))),
        ),
        limit=f"{show(chosen.low, 'Ω')} to {show(chosen.high, 'Ω')}",
        working=(
            *(one.in_words() for one in meanings),
            f"without a tolerance letter ± {codes().unmarked_percent:g} % is taken; both edges fit",
            f"nearest preferred value: E12 {show(nearest(chosen.ohms, 'E12'), 'Ω')},"
            f" E24 {show(nearest(chosen.ohms, 'E24'), 'Ω')}, E96 {show(nearest(chosen.ohms, 'E96'), 'Ω')}",
            f"not below it: E24 {show(next_up(chosen.ohms, 'E24'), 'Ω')}, E96 {show(next_up(chosen.ohms, 'E96'), 'Ω')}",
        ),
        source=_source(chosen),
        caution=CAUTION,
    )


def _says(given: Marking, fitting: tuple[Meaning, ...], chosen: Meaning) -> str:
    if len(fitting) > 1:
        ways = " or ".join(show(one.ohms, "Ω") for one in fitting)
        return f"{given.code} can mean {ways}: measure it out of circuit"
    if not fitting:
        return f"the reading does not fit {given.code} in any meaning: suspect the part, or the code"
    fits = "" if given.reading is None else ", and the reading fits"
    return f"{given.code} is {show(chosen.ohms, 'Ω')}{fits}"


def _meanings(code: str) -> Iterator[Meaning]:
    if (found := LETTER_CODE.fullmatch(code)) and (found["whole"] or found["part"]):
        value = float(f"{found['whole'] or 0}.{found['part'] or 0}") * codes().multiplier[found["letter"]]
        yield from _with_tolerance(value, found["tolerance"], "letter code")
    if found := DIGIT_CODE.fullmatch(code):
        value = float(f"{found['digits']}e{found['zeros']}")
        yield from _with_tolerance(value, found["tolerance"], f"{len(found['digits']) + 1}-digit code")
    found = EIA_96_CODE.fullmatch(code)
    if found and 1 <= int(found["number"]) <= 96 and found["letter"] in codes().eia96:
        value = eia_96(int(found["number"])) * codes().eia96[found["letter"]]
        yield Meaning(ohms=value, percent=codes().tolerance["F"], way="EIA-96 code")


def _with_tolerance(ohms: float, letter: str, way: str) -> Iterator[Meaning]:
    percent = codes().tolerance.get(letter) if letter else codes().unmarked_percent
    if percent is not None:
        yield Meaning(ohms=ohms, percent=percent, way=way, letter=letter)


def _source(chosen: Meaning) -> str:
    parts = [codes().source, preferred().source]
    if chosen.letter and chosen.letter not in codes().published_letters:
        parts.append(codes().source_of_letters)
    return "; ".join(parts)

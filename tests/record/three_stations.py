"""A route of three stations made in code, for the tests of the record.

Goods-in measures and lists, component work fits, dispatch looks at it all again. Every trait that a check
can have is on one of them.
"""

from __future__ import annotations

from pydantic import BaseModel

from traveller.book import Book
from traveller.judgement import Finding, Verdict, measured
from traveller.record.answering import Judges
from traveller.record.forms import LoadedJudge
from traveller.sheets import Check, CheckKind, Limit, Sheet, When
from traveller.vocabulary import HazardKind, Role, UnitKind

CHARGE = "goods_in.charge"
DAMAGE = "goods_in.damage"
PHOTOS = "goods_in.damage_seen"
REMARK = "goods_in.remark"
OUTPUT = "goods_in.output"
CLEANED = "component_work.cleaned"
ENERGY = "component_work.energy"
INSPECTED = "dispatch.inspected"
AFTER_INSPECTION = "dispatch.packed"
TAG_IN_HAND = "dispatch.tag_in_hand"


class Stored(BaseModel):
    volts: float = measured("V", "voltage of the DC link")
    capacitance: float = measured("F", "capacitance of the DC link", above=0)
    allowed: float = measured("J", "energy that may be left", default=50, at_least=0)


def stored_energy(asked: Stored) -> Finding:
    """E = C U² / 2; so much may be left."""
    joules = asked.capacitance * asked.volts**2 / 2
    verdict = Verdict.PASS if joules <= asked.allowed else Verdict.FAIL
    return Finding(verdict=verdict, says=f"{joules:.3g} J", source="E = CU²/2")


JUDGES: Judges = {
    "component_work.stored_energy": LoadedJudge("component_work.stored_energy", stored_energy, Stored),
}

BOOK = Book(
    sheets=(
        Sheet(
            key="goods_in",
            name="Goods-in",
            order=1,
            revision=1,
            who=(Role.TECHNICIAN, Role.LEAD),
            checks=(
                Check(
                    key="charge",
                    station="goods_in",
                    ask="DC link, volts",
                    kind=CheckKind.READING,
                    unit="V",
                    plausible=(0, 1500),
                    limit=Limit(at_most=60, source="example"),
                    instrument="voltmeter",
                    raises=HazardKind.STORED_CHARGE,
                    clears=HazardKind.STORED_CHARGE,
                    presumed=True,
                    applies_to=(UnitKind.AC_DRIVE,),
                ),
                Check(
                    key="damage",
                    station="goods_in",
                    ask="Damage?",
                    kind=CheckKind.CHOICE,
                    options=("none", "dirty", "broken"),
                    raises=HazardKind.CONTAMINATION,
                    raises_on=("dirty",),
                ),
                Check(
                    key="damage_seen",
                    station="goods_in",
                    ask="Damage written down?",
                    kind=CheckKind.TICK,
                    when=When(check=DAMAGE, is_in=("dirty", "broken")),
                ),
                Check(key="remark", station="goods_in", ask="Remark", kind=CheckKind.TEXT, required=False),
                Check(
                    key="output",
                    station="goods_in",
                    ask="Output current",
                    kind=CheckKind.READING,
                    unit="A",
                    plausible=(0, 500),
                    limit=Limit(at_least="0.95 * output_amps", source="example"),
                    may_not_apply=True,
                ),
            ),
        ),
        Sheet(
            key="component_work",
            name="Component work",
            order=2,
            revision=1,
            who=(Role.TECHNICIAN,),
            does_work=True,
            work_lines="fitted",
            checks=(
                Check(
                    key="cleaned",
                    station="component_work",
                    ask="Flux cleaned off?",
                    kind=CheckKind.TICK,
                    stale_after=("work",),
                ),
                Check(
                    key="energy",
                    station="component_work",
                    ask="Energy left in the DC link",
                    kind=CheckKind.CALCULATION,
                    judge="energy.stored_energy",
                    fill={"volts": f"answer.{CHARGE}", "capacitance": "rating.dc_link_capacitance"},
                    required=False,
                ),
            ),
        ),
        Sheet(
            key="dispatch",
            name="Dispatch",
            order=3,
            revision=1,
            who=(Role.INSPECTOR, Role.DISPATCH),
            work_lines="verified",
            stale_after=("work", "sent_back"),
            checks=(
                Check(
                    key="inspected",
                    station="dispatch",
                    ask="All joints seen?",
                    kind=CheckKind.TICK,
                    independent=True,
                ),
                Check(
                    key="packed",
                    station="dispatch",
                    ask="Packed as inspected?",
                    kind=CheckKind.TICK,
                    stale_after=(f"check:{INSPECTED}",),
                ),
                Check(
                    key="tag_in_hand",
                    station="dispatch",
                    ask="Scan the tag in hand",
                    kind=CheckKind.SCAN,
                    also_unrepaired=True,
                ),
            ),
        ),
    )
)

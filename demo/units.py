"""What the invented customers send in: models, faults, and which unit lives which story."""

from __future__ import annotations

import random
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from traveller.record.entries import Nameplate
from traveller.vocabulary import UnitKind

from .faults import FAULTS, Fault

SEED = 2468


@dataclass(frozen=True)
class Model:
    maker: str
    name: str
    ratings: dict[str, float]


def _drive(volts: float, amps: float, power: float, microfarads: float, phases: int = 3) -> dict[str, float]:
    return {
        "supply_volts": volts,
        "phases": phases,
        "output_volts": volts,
        "output_amps": amps,
        "output_power": power,
        "dc_link_capacitance": microfarads * 1e-6,
    }


def _low_volts(supply: float, output: float, amps: float, microfarads: float = 0.0) -> dict[str, float]:
    ratings = {"supply_volts": supply, "phases": 1, "output_volts": output, "output_amps": amps}
    ratings["output_power"] = output * amps
    return ratings | ({"dc_link_capacitance": microfarads * 1e-6} if microfarads else {})


MODELS: dict[UnitKind, tuple[Model, ...]] = {
    UnitKind.AC_DRIVE: (
        Model("Halvard & Sohn", "HS-Vario 7K5", _drive(400, 16, 7500, 940)),
        Model("Ostrava Motion", "Kladivo 22", _drive(400, 45, 22e3, 2350)),
        Model("Brennecke", "BR 4-55", _drive(400, 103, 55e3, 5600)),
        Model("Tallwind", "TW150 compact", _drive(230, 7, 1500, 780, 1)),
    ),
    UnitKind.DC_DRIVE: (
        Model("Brennecke", "BR-GS 110", {**_drive(400, 110, 44e3, 0), "output_volts": 420}),
        Model("Morvan Electrique", "Tempo 4Q-270", {**_drive(480, 270, 113e3, 0), "output_volts": 500}),
    ),
    UnitKind.SERVO_DRIVE: (
        Model("Tallwind", "AxisOne 10", _drive(400, 10, 4000, 560)),
        Model("Kestrelmann", "KM-S 24", _drive(400, 24, 11e3, 1120)),
        Model("Ostrava Motion", "Rychlik 6", _drive(230, 6, 1200, 680, 1)),
    ),
    UnitKind.POWER_SUPPLY: (
        Model("Lumenara", "LN 24-40", _low_volts(400, 24, 40, 330)),
        Model("Kestrelmann", "KM-P 48/20", _low_volts(230, 48, 20, 470)),
        Model("Sorrel Electric", "SE 24-10 rail", _low_volts(230, 24, 10, 220)),
    ),
    UnitKind.OPERATOR_PANEL: (
        Model("Panorel", "View 10T", _low_volts(24, 24, 1.2)),
        Model("Lumenara", "Tableau 15", _low_volts(24, 24, 2.1)),
    ),
    UnitKind.CIRCUIT_BOARD: (
        Model("Sorrel Electric", "SE-IO 32 card", _low_volts(24, 24, 0.8)),
        Model("Morvan Electrique", "firing card F6", _low_volts(24, 24, 0.5)),
        Model("Halvard & Sohn", "spindle control card", _low_volts(24, 24, 1.5)),
    ),
}

CUSTOMERS = (
    "Molkerei Sieverding, Ahlbeuren",
    "Papierwerk Trossen, Niederkalm",
    "Ziegelei Brandau, Ostheim am Wehr",
    "Wasserverband Mittlere Lohe",
    "Kartonagen Ferrol, Port-Vernay",
    "Sägewerk Hollerbach & Töchter",
    "Zelenka Extrusion, Horní Lesná",
    "Druckhaus Adebayo, Westhafen",
    "Walzwerk Kestrup, Ny Havnby",
    "Bäckerei-Technik Olivares, Steinfurth",
    "Seilbahn Grauhorn AG",
    "Textilveredlung Marjanović, Lauter",
)

ABROAD = ("Port-Vernay", "Horní Lesná", "Ny Havnby", "Lauter")


def goes_abroad(plate: Nameplate) -> bool:
    return any(place in plate.customer for place in ABROAD)


def weight_kg(ratings: Mapping[str, float]) -> float:
    """As packed: the larger the unit, the heavier."""
    return 2.4 + ratings.get("output_power", 0) / 2500


# (story, kinds of its units in order)
_AC, _DC, _SV = UnitKind.AC_DRIVE, UnitKind.DC_DRIVE, UnitKind.SERVO_DRIVE
_PS, _OP, _CB = UnitKind.POWER_SUPPLY, UnitKind.OPERATOR_PANEL, UnitKind.CIRCUIT_BOARD
PLAN: tuple[tuple[str, tuple[UnitKind, ...]], ...] = (
    ("released long ago", (_AC,)),
    ("released", (_SV, _PS)),
    ("packed and released", (_OP, _CB)),
    ("released after rework", (_DC,)),
    ("scrapped and returned", (_AC,)),
    ("back under warranty", (_AC,)),
    ("just booked", (_SV, _OP)),
    ("half received", (_AC, _CB, _PS, _DC, _SV)),
    ("still charged", (_AC,)),
    ("received", (_SV, _AC, _OP)),
    ("siblings measured", (_AC,)),
    ("being diagnosed", (_DC, _SV, _OP)),
    ("runs counted", (_CB,)),
    ("traces taken", (_SV,)),
    ("waits for authority", (_DC, _AC)),
    ("question to customer", (_SV,)),
    ("diagnosed", (_AC, _PS)),
    ("sent back by load test", (_AC,)),
    ("hot spot found", (_SV,)),
    ("half fitted", (_AC,)),
    ("being fitted", (_AC,)),
    ("bag open", (_SV,)),
    ("being fitted", (_DC, _PS, _OP)),
    ("worked out", (_CB,)),
    ("waits for parts", (_SV, _CB, _AC)),
    ("sent back by inspection", (_AC, _PS)),
    ("being inspected", (_AC, _SV, _PS, _CB)),
    ("measured out of calibration", (_DC,)),
    ("being load tested", (_PS, _CB, _OP)),
    ("heat run", (_AC,)),
    ("heat run judged", (_SV,)),
    ("waits for a rig", (_AC,)),
    ("being packed", (_PS, _OP)),
    ("ready to release", (_CB,)),
    ("unrepaired at dispatch", (_PS,)),
)

AT_GOODS_IN = ("just booked", "half received", "still charged", "received")
WHICH = {"siblings measured": 0, "runs counted": 1, "traces taken": 0, "half fitted": 0, "bag open": 0, "worked out": 0}
"""The model and the fault that the story is about, by their places in the tables."""
LATE_BY = {"sent back by load test": 1, "half fitted": 1, "being packed": 0, "heat run": 0}


@dataclass(frozen=True)
class Sent:
    """One unit as it arrives: its nameplate, what is wrong with it, and the story that it lives."""

    number: int
    story: str
    nameplate: Nameplate
    fault: Fault


def units(today: date) -> list[Sent]:
    """All units in the order in which their stories are told; the same list on every call for one day."""
    chance = random.Random(SEED)
    kinds = [(story, kind) for story, of in PLAN for kind in of]
    seen: dict[UnitKind, int] = {}
    sent: list[Sent] = []
    for number, (story, kind) in enumerate(kinds):
        seen[kind] = seen.get(kind, -1) + 1
        place = WHICH.get(story, seen[kind])
        model, fault = MODELS[kind][place % len(MODELS[kind])], FAULTS[kind][place % len(FAULTS[kind])]
        plate = _nameplate(number, story, kind, model, fault, today, chance)
        sent.append(Sent(number, story, plate, fault))
    return [_the_same_unit_again(one, sent[0]) if one.story == "back under warranty" else one for one in sent]


def _nameplate(
    number: int, story: str, kind: UnitKind, model: Model, fault: Fault, today: date, chance: random.Random
) -> Nameplate:
    late = LATE_BY.get(story)
    ahead = chance.randrange(1, 12) if late is None else -late
    return Nameplate(
        unit_kind=kind,
        maker=model.maker,
        model=model.name,
        serial=f"{chance.choice('ABDFHKX')}{chance.randrange(10, 26)}-{chance.randrange(10000, 99999)}",
        customer=CUSTOMERS[chance.randrange(len(CUSTOMERS))],
        order=f"RO-{26_0400 + 7 * number}",
        fault=fault.words,
        promised=today + timedelta(days=ahead),
        ratings={name: value for name, value in model.ratings.items() if value},
    )


def _the_same_unit_again(one: Sent, earlier: Sent) -> Sent:
    """The customer's unit comes back with the serial number that it left with."""
    plate, before = one.nameplate, earlier.nameplate
    same = {
        "maker": before.maker,
        "model": before.model,
        "serial": before.serial,
        "customer": before.customer,
    }
    again = plate.model_copy(
        update={**same, "ratings": before.ratings, "fault": f"Back from you, and again: {before.fault}"}
    )
    return Sent(one.number, one.story, again, earlier.fault)


def own_answers(sent: Sent) -> dict[str, str]:
    """What is special about this unit when it arrives."""
    number = sent.number
    counted = f"{number % 2} {int(number % 3 == 0)} {number % 6} {number % 4}"
    own = {"goods_in.accessories_in": counted, "dispatch.accessories_out": counted}
    if "dust" in sent.fault.cause and sent.story not in AT_GOODS_IN:
        own["goods_in.contamination"] = "conductive dust"
    if number % 9 == 0:
        own["goods_in.months_without_power"] = "27"
    if sent.story == "released after rework":
        own["goods_in.transit_damage"] = "unit damaged"
    return own

"""The customer's side of a unit: the estimate and its answer, packing, coming back; and what an inspector counts."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

from traveller.record.carriage_entries import CustomsLine, Package, Packed
from traveller.record.return_entries import FaultAgain
from traveller.vocabulary import Role

from .bench import Bench
from .units import goes_abroad, weight_kg

COUNTED = (
    ("through-hole", "412", ""),
    ("surface-mount chip", "286", "R14 solder ball"),
    ("terminal and wire", "38", ""),
)


def wait_for_authority(bench: Bench) -> None:
    """Findings and estimate are written; the unit is held until the customer has answered."""
    cause, number = bench.sent.fault.cause, bench.sent.number
    typed = {
        "root_cause": cause,
        "mode": bench.sent.fault.words,
        "hours": f"{6 + number % 4}.5",
        "rate": "86",
        "parts_cost": f"{780 + 35 * (number % 7)}.40",
        "currency": "EUR",
        "advice": "wait for authority",
        "economic_limit": "4200",
    }
    look_again = bench.clock().date() + timedelta(days=3)
    bench.view = bench.workshop.findings.write(bench.tag, bench.by(Role.TECHNICIAN), typed, look_again)


def joints_counted(bench: Bench) -> None:
    """The first classes of joints, by somebody who did not do the work."""
    for joint_class, opportunities, defects in COUNTED:
        by = bench.by(Role.INSPECTOR, avoid=bench.view.proof.workers)
        see = bench.workshop.inspection.see
        bench.view = see(bench.tag, by, joint_class, "by eye", opportunities, defects)


def packed_up(bench: Bench) -> None:
    plate = bench.sent.nameplate
    weight = round(weight_kg(plate.ratings), 1)
    name, _, town = plate.customer.partition(", ")
    abroad = goes_abroad(plate)
    line = CustomsLine(
        description=f"{plate.maker} {plate.model}, used, back after repair",
        tariff="8537 1091",
        origin="DE",
        goods_value=Decimal(640),
        repair_value=Decimal("318.50"),
        currency="EUR",
    )
    packed = Packed(
        scanned=bench.tag,
        packages=(Package(length_cm=42, width_cm=31, height_cm=18, weight_kg=weight),),
        packed_in="foam and carton",
        shielded=True,
        wood="no raw wood",
        addressee=(name, "Goods-in, gate 2", town) if town else (name, "Goods-in, gate 2"),
        carrier="Nordlicht Spedition",
        consignment=f"NL 41-{7700 + bench.sent.number}",
        abroad=abroad,
        customs=(line,) if abroad else (),
    )
    scale = [bench.crew.instrument("scale", 0)]
    bench.view = bench.workshop.papers.pack(bench.tag, bench.by(Role.DISPATCH), packed, scale)


def came_back(bench: Bench, fault: FaultAgain, reason: str) -> None:
    """Linked to the traveller with which it left."""
    returns = bench.workshop.returns
    earlier = returns.latest(bench.tag)
    bench.view = returns.link(bench.tag, earlier, bench.by(Role.TECHNICIAN), fault, reason)

"""Fitting a part: a substitute has to be as good as the original, and no part may have drawn too much moisture."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import datetime
from types import MappingProxyType

from traveller.errors import InputError, Refused
from traveller.judgement import Finding, Verdict
from traveller.quantities import read_quantity
from traveller.record.acts import work
from traveller.record.acts.moisture import floor_life
from traveller.record.acts.rights import Proposed, need_judge
from traveller.record.entries import NonconformityRaised
from traveller.record.forms import read_model
from traveller.record.moisture import FITTED
from traveller.record.parts_entries import Part, PartKind
from traveller.record.shop import Person
from traveller.record.view import UnitView
from traveller.record.work_entries import WorkFitted

Figures = Mapping[str, str]
LISTED: Figures = MappingProxyType({})
"""No figures: the part is the one that the list names."""
SUBSTITUTE = "component_work.substitute"
CAPACITORS = (PartKind.ELECTROLYTIC, PartKind.FILM)
RATED = (*CAPACITORS, PartKind.IGBT, PartKind.THYRISTOR, PartKind.DIODE)
"""Kinds whose volts and amps may be more than those of the original. A relay's or a fan's may not."""
_FIGURE = re.compile(r"(?<![\w.,])([0-9]+(?:[.,][0-9]+)?\s*[kmµu]?)\s*(V|A|W|°C|h)(?:\s?(?:DC|AC))?(?![\w°])")
_NAMES = {"V": "voltage", "A": "current", "W": "power", "°C": "temperature", "h": "life_h"}
_BETTER, _TYPE, _BAKE = "Fit a better one", "Type these figures of both parts", "Bake it first, or take a dry one"
_OR = "or say why it is fitted all the same, and a lead has to concede it before release."


def fit(
    view: UnitView,
    person: Person,
    reference: str,
    fitted: str,
    lot: str,
    now: datetime,
    offered: Figures,
    anyway: str = "",
) -> list[Proposed]:
    """A part is in. `offered` are the figures of a substitute, by the names of the judge.

    What is weaker than the original, or was out of its bag for too long, is refused, unless `anyway` says why it is
    fitted all the same: then a nonconformity stands until it is conceded.
    """
    (proposed,) = work.fit(view, person, reference, fitted, lot)
    body = proposed.body
    assert isinstance(body, WorkFitted)
    if view.unit.work[body.reference].action == "check":
        return [proposed]
    finding = _compared(view, body.reference, offered)
    faults = []
    if finding and finding.verdict is not Verdict.PASS:
        todo = _BETTER if finding.verdict is Verdict.FAIL else _TYPE
        faults.append((f"{body.reference}: substitute {finding.says}", todo))
    if over := _too_damp(view, body.reference, now):
        faults.append((f"{body.reference}: {over}", _BAKE))
    if faults and not anyway.strip():
        raise Refused(*(f"{fault}. {todo}; {_OR}" for fault, todo in faults))
    reason = anyway.strip()
    found = [NonconformityRaised(found=f"{fault} (fitted all the same: {reason})"[:4000]) for fault, _ in faults]
    return [Proposed(body.model_copy(update={"finding": finding})), *(Proposed(one) for one in found)]


def _compared(view: UnitView, reference: str, offered: Figures) -> Finding | None:
    if not any(text.strip() for text in offered.values()):
        return None
    judge = need_judge(view, SUBSTITUTE)
    part = view.unit.parts.parts.get(reference)
    typed = {_field(name): text for name, text in offered.items() if text.strip()}
    if part and part.kind in CAPACITORS:
        typed |= {name: _bare(typed[name], "F") for name in typed.keys() & {"offered_value", "original_value"}}
    return judge.finding(read_model(judge.model, typed, originals(part) if part else {}))


def _field(name: str) -> str:
    plain = name.strip().casefold().replace(" ", "_")
    return plain if plain.startswith(("original_", "offered_")) else f"offered_{plain}"


def _bare(text: str, unit: str) -> str:
    return repr(read_quantity(text, unit).value)


def originals(part: Part) -> dict[str, float | str]:
    """What the parts list says of the original, by the fields of the judge; what cannot be read is left to type."""
    figures: dict[str, float | str] = {}
    if part.kind in RATED:
        names = {**_NAMES, "A": "ripple"} if part.kind in CAPACITORS else _NAMES
        for number, unit in _FIGURE.findall(part.rating):
            if (value := _value(f"{number.strip()} {unit}", unit)) is not None:
                figures.setdefault(f"original_{names[unit]}", value)
    if part.kind in CAPACITORS and (value := _value(part.value, "F")) is not None:
        figures["original_value"] = value
    if part.footprint:
        figures["original_package"] = part.footprint[:60]
    return figures


def _value(text: str, unit: str) -> float | None:
    """The value in plain units; None when it is no number, or one that may be read in two ways."""
    try:
        return read_quantity(text, unit).value
    except InputError:
        return None


def _too_damp(view: UnitView, reference: str, now: datetime) -> str:
    """What is wrong with the moisture of the part; empty when nothing is, or it has no clock."""
    clock = view.unit.clocks.get(reference)
    if clock is None or clock.stopped == FITTED or clock.state(now) != "over":
        return ""
    return floor_life(view, clock.msl, clock.out_h(now), body_mm=clock.body_mm).says

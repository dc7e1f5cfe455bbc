"""Siblings, traces and counted runs in the database: another terminal reads them back alike, on both engines."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from traveller.errors import InputError, Refused
from traveller.record.entries import Nameplate
from traveller.record.siblings import suspicion
from traveller.store.workshop import Workshop
from traveller.vocabulary import Role, UnitKind

SIX = ["Q1", "Q2", "Q3", "Q4", "Q5", "Q6"]


@pytest.fixture(name="workshop")
def _workshop(database_url: str) -> Iterator[Workshop]:
    workshop = Workshop.open(database_url, terminal="bench 1")
    yield workshop
    workshop.close()


@pytest.fixture(name="lead")
def _lead(workshop: Workshop) -> str:
    return workshop.registry.enrol("Ines Okoro", [Role.LEAD, Role.TECHNICIAN], "2468")


def booked(workshop: Workshop, by: str, serial: str, model: str = "NF-22", maker: str = "Norrfeld") -> str:
    plate = Nameplate(
        unit_kind=UnitKind.CIRCUIT_BOARD, maker=maker, model=model, serial=serial, customer="Sandbeck", fault="dead"
    )
    return workshop.book_in(by, plate).unit.tag


def saved(folder: Path, scale: float) -> str:
    path = folder / f"trace {scale}.csv"
    path.write_text("".join(f"{volt / 10};{scale * volt * volt / 100}\n" for volt in range(11)), encoding="utf-8")
    return str(path)


def test_what_was_measured_is_read_back_alike_by_another_terminal(
    workshop: Workshop, lead: str, database_url: str, tmp_path: Path
) -> None:
    tag, measuring = booked(workshop, lead, "1"), workshop.measuring
    measuring.siblings(tag, lead, "power stage", "diode C-E", "0.42 0.41 0.43 OL 0.42 0.42", devices=SIX, unit="V")
    measuring.siblings(tag, lead, "power stage", "leakage", "OL OL OL OL OL 2u", unit="A")
    measuring.trace(tag, lead, "u7.3", "good", saved(tmp_path, 1.0))
    measuring.runs(tag, lead, "warm start", 400, 2)
    here = measuring.take_back_run(tag, lead, "warm start", failed=False)
    other = Workshop.open(database_url, terminal="bench 2")
    there = other.unit(tag)
    other.close()
    assert there.unit.siblings == here.unit.siblings
    assert there.unit.traces == here.unit.traces
    assert there.unit.runs == here.unit.runs
    assert suspicion(there.unit.siblings["power stage"]).counts == {"Q4": 1, "Q6": 1}
    assert workshop.verify() == []
    assert workshop.cards_astray() == []


def test_good_traces_come_from_other_boards_of_the_same_model_only(
    workshop: Workshop, lead: str, tmp_path: Path
) -> None:
    measuring = workshop.measuring
    for serial, model, maker, scale in (
        ("1", "NF-22", "Norrfeld", 1.0),
        ("2", "nf-22", "NORRFELD", 1.01),
        ("3", "NF-22 B", "Norrfeld", 1.02),
        ("4", "NF-22", "Ostrava Drives", 1.03),
        ("2", "NF-22", "Norrfeld", 1.04),
        ("9", "NF-22", "Norrfeld", 1.05),
    ):
        tag = booked(workshop, lead, serial, model, maker)
        measuring.trace(tag, lead, "U7.3", "good", saved(tmp_path, scale))
        measuring.trace(tag, lead, "U7.3", "suspect", saved(tmp_path, 5.0))
    mine = booked(workshop, lead, "9")
    found = measuring.good_traces(mine)
    assert set(found) == {"U7.3"}
    assert sorted(one.file for one in found["U7.3"]) == ["trace 1.0.csv", "trace 1.04.csv"]


def test_a_trace_goes_into_the_findings_only_where_there_is_one(workshop: Workshop, lead: str, tmp_path: Path) -> None:
    tag = booked(workshop, lead, "1")
    with pytest.raises(Refused, match="Nothing was traced at U9"):
        workshop.measuring.trace_into_findings(tag, lead, "U9")
    with pytest.raises(InputError, match="is not a file"):
        workshop.measuring.trace(tag, lead, "U9", "good", str(tmp_path / "none.csv"))
    assert workshop.unit(tag).unit.traces == {}


def test_an_instrument_that_is_none_of_the_shop_is_refused(workshop: Workshop, lead: str) -> None:
    tag = booked(workshop, lead, "1")
    with pytest.raises(Refused, match="not an instrument"):
        workshop.measuring.siblings(tag, lead, "s", "r", "1 1 1", devices=SIX[:3], instruments=["M000002U"])

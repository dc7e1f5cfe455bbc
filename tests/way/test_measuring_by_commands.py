"""A bad device of six, a suspect trace and a fault that shows now and then, by commands alone."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from traveller.commands.root import root

SIX = "Q1,Q2,Q3,Q4,Q5,Q6"
DIODES = ("0.42", "0.41", "0.43", "OL", "0.42", "0.42")
GATES = ("10", "10.1", "9.9", "10", "10", "10")
LEAKAGES = ("1u", "1u", "1u", "40u", "1u", "1u")


class Bench:
    def __init__(self, url: str) -> None:
        self.url, self.by = url, ""
        self.by = self.done("shop", "enrol", "Ines Okoro", "--role", "lead", "--role", "technician")
        self.by = self.by.strip()

    def call(self, *words: str) -> Result:
        return CliRunner(env={"TRAVELLER_NEW_PIN": "2468"}).invoke(
            root, ["--database", self.url, "--as", self.by, *words]
        )

    def done(self, *words: str) -> str:
        result = self.call(*words)
        assert result.exit_code == 0, f"{words}: {result.output} {result.exception!r}"
        return result.output

    def data(self, *words: str) -> Any:
        return json.loads(self.done(*words, "--json"))

    def booked(self, serial: str, kind: str = "circuit_board") -> str:
        plate = ["--maker", "Norrfeld", "--model", "NF-22", "--customer", "Sandbeck", "--fault", "now and then"]
        return self.done("book-in", "--kind", kind, "--serial", serial, *plate).split(":")[0]


@pytest.fixture(name="bench")
def _bench(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Bench:
    monkeypatch.setenv("TRAVELLER_HOME", str(tmp_path / "home"))
    return Bench(f"sqlite:///{tmp_path / 'shop.sqlite'}")


def saved(folder: Path, name: str, scale: float, offset: float = 0.0) -> str:
    path = folder / f"{name}.csv"
    lines = (f"{v / 20},{scale * 1e-3 * math.expm1(max(v, 0) / 6) + offset * (v > 5)}" for v in range(-20, 21))
    path.write_text("V,A\n" + "\n".join(lines), encoding="utf-8")
    return str(path)


def test_the_odd_one_of_six(bench: Bench) -> None:
    tag = bench.booked("1", "ac_drive")
    stage = ("siblings", tag, "--set", "power stage")
    six = ("--devices", SIX)
    said = bench.done(*stage, *six, "--row", "diode C-E", "--unit", "V", *DIODES)
    assert "power stage: ◆ Q4 is the odd one out in 1 of 1 row (diode C-E)" in said
    assert "OL  odd" in said
    bench.done(*stage, "--row", "gate resistance", "--unit", "Ω", "--tolerance", "2", *GATES)
    bench.done(*stage, "--row", "leakage", "--unit", "A", *LEAKAGES)
    (table,) = bench.data("siblings", tag, "--show")
    assert table["says"] == "Q4 is the odd one out in 2 of 3 rows (diode C-E, leakage)"
    assert [row["suspect"] for row in table["rows"]] == ["Q4", None, "Q4"]
    assert [row["tolerance_source"] == "as typed" for row in table["rows"]] == [False, True, False]


def test_a_suspect_against_good_boards_of_the_history(bench: Bench, tmp_path: Path) -> None:
    for number, scale in enumerate((0.99, 1.0, 1.01)):
        bench.done("trace", bench.booked(f"g{number}"), "U7.3", saved(tmp_path, f"g{number}", scale), "--good")
    tag = bench.booked("1")
    said = bench.done("trace", tag, "U7.3", saved(tmp_path, "s", 1.0, 0.005), "--suspect")
    assert "✗" in said
    assert "learned from 3 good traces" in said
    assert "▼" in said
    (node,) = bench.data("trace", tag, "--show")
    assert (node["good_siblings"], node["finding"]["verdict"]) == (3, "fail")
    assert node["limit_percent"] == pytest.approx(100 * 0.02 / 0.99)


def test_against_a_file_of_a_good_sibling(bench: Bench, tmp_path: Path) -> None:
    tag, good = bench.booked("1"), saved(tmp_path, "g", 1.0)
    said = bench.done("trace", tag, "U7.3", saved(tmp_path, "s", 1.1), "--suspect", "--against", good)
    assert "no limit: 1 good trace of this model at this node, and it takes at least 3" in said


def test_runs_by_number_and_from_a_file(bench: Bench, tmp_path: Path) -> None:
    tag, log = bench.booked("1"), tmp_path / "runs.txt"
    log.write_text("ok\nok\nfail\n" * 5, encoding="utf-8")
    assert "5 of 15 failed" in bench.done("runs", tag, "warm start", "--file", str(log))
    bench.done("work", "plan", tag, "U7", "timer")
    bench.done("work", "fit", tag, "U7", "timer")
    said = bench.done("runs", tag, "warm start", "--clean", "3")
    (test,) = bench.data("runs", tag, "warm start", "--show")
    assert test["before"] == {"runs": 15, "failures": 5}
    assert test["after"] == {"runs": 3, "failures": 0, "clean": 3}
    assert f"{test['still_needed']} more clean runs needed" in said
    bench.done("runs", tag, "warm start", "--take-back", "clean")
    assert bench.data("runs", tag, "warm start", "--show")[0]["after"]["runs"] == 2


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("siblings", "TAG"), "Type the readings"),
        (("siblings", "TAG", "1", "2"), "which set"),
        (("siblings", "TAG", "--set", "x", "--row", "y", "--findings"), "no set"),
        (("trace", "TAG", "U7", "x.csv"), "--good"),
        (("trace", "TAG"), "Name the node"),
        (("trace", "TAG", "U7", "x.csv", "--good"), "x.csv is not a file"),
        (("runs", "TAG", "warm"), "Give --clean"),
        (("runs", "TAG", "--clean", "1"), "Name the test"),
        (("runs", "TAG", "warm", "--clean", "1", "--file", "x"), "One thing"),
        (("runs", "TAG", "warm", "--file", "nowhere.txt"), "nowhere.txt is not a file"),
        (("runs", "TAG", "warm", "--findings"), "No run"),
    ],
)
def test_what_is_missing_is_said_in_one_sentence(bench: Bench, words: tuple[str, ...], said: str) -> None:
    tag = bench.booked("1")
    result = bench.call(*(tag if word == "TAG" else word for word in words))
    assert result.exit_code in (1, 2)
    assert said in result.output
    assert "Traceback" not in result.output

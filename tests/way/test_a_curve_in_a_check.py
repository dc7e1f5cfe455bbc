"""A check answered with the path of a curve keeps the points, so that the record does not depend on a file."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.way.answers import NAMEPLATE
from tests.way.test_by_commands import Shop


def test_the_points_are_kept_with_the_answer(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TRAVELLER_HOME", str(tmp_path / "home"))
    monkeypatch.delenv("TRAVELLER_STATIONS", raising=False)
    shop = Shop(tmp_path, f"sqlite:///{tmp_path / 'shop.sqlite'}")
    plate = {**NAMEPLATE, "kind": "circuit_board"}
    words = [part for name, text in plate.items() for part in (f"--{name}", text)]
    tag = json.loads(shop.done(shop.technician, "book-in", *words, "--json"))["tag"]
    shop.answer_all(tag, shop.technician, "goods_in")
    shop.done(shop.technician, "move", tag)
    trace = tmp_path / "trace.csv"
    trace.write_text("volts;amps\n-1,0;-0,001\n0,0;0,0\n1,0;0,001\n")
    fields = f"reference={trace} suspect={trace} limit_percent=5"
    shop.answer(tag, "diagnosis.trace_distance", shop.technician, fields)
    shown = json.dumps(shop.unit(tag))
    assert "0 % apart" in shown
    assert str(trace) not in shown
    refused = shop.call(shop.technician, "answer", tag, "diagnosis.trace_distance", f"reference={tmp_path} suspect=1")
    assert refused.exit_code == 2
    assert "reference: " in refused.output

"""The whole way of a unit by commands alone: back once from inspection, once from the load test, released."""

from __future__ import annotations

import io
import json
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result
from PIL import Image

from tests.way.answers import CLASSES, NAMEPLATE, RATINGS, SOUND
from traveller.commands.root import root


class Shop:
    """A shop that is driven by its commands; every call is one command as typed."""

    def __init__(self, folder: Path, url: str) -> None:
        self.runner = CliRunner(env={"TRAVELLER_NEW_PIN": "2468", "TRAVELLER_PIN": "2468"})
        self.url = url
        self.picture = folder / "inside.png"
        buffer = io.BytesIO()
        Image.new("L", (8, 8)).save(buffer, "PNG")
        self.picture.write_bytes(buffer.getvalue())
        self.lead = self.done("", "shop", "enrol", "Ines Okoro", "--role", "lead").strip()
        self.technician = self._enrol("Tomasz Reyes", "technician")
        self.inspector = self._enrol("Hana Lindqvist", "inspector")
        self.tester = self._enrol("Bram Adeyemi", "load_tester")
        self.clerk = self._enrol("Mira Castellan", "dispatch")
        self.meters = {
            name: self.done(self.lead, "shop", "instrument", f"{name} 1", name, "--due", "2090-01-01").strip()
            for name in CLASSES
        }

    def _enrol(self, name: str, role: str) -> str:
        return self.done(self.lead, "shop", "enrol", name, "--role", role).strip()

    def call(self, by: str, *words: str, **env: str) -> Result:
        return self.runner.invoke(root, ["--database", self.url, "--as", by, *words], env=env)

    def done(self, by: str, *words: str) -> str:
        result = self.call(by, *words)
        assert result.exit_code == 0, f"{words}: {result.output} {result.exception!r}"
        return result.output

    def unit(self, tag: str) -> dict[str, Any]:
        loaded: dict[str, Any] = json.loads(self.done(self.lead, "show", tag, "--json"))
        return loaded

    def answer(self, tag: str, check: str, by: str, text: str) -> str:
        words = text.format(tag=tag, picture=self.picture)
        with_all = [part for meter in self.meters.values() for part in ("--with", meter)]
        return self.done(by, "answer", tag, check, words, *with_all)

    def answer_all(self, tag: str, by: str, *stations: str) -> None:
        """Answer what is open, failed or stale at the stations, until nothing is left to answer."""
        for _ in range(3):
            todo = [
                one["check"]
                for one in self.unit(tag)["checks"]
                if one["state"] in ("open", "stale", "fail") and one["check"].split(".")[0] in stations
            ]
            for check in todo:
                self.answer(tag, check, by, SOUND[check])

    def states(self, tag: str, station: str) -> set[str]:
        return {one["state"] for one in self.unit(tag)["checks"] if one["check"].startswith(f"{station}.")}


@pytest.fixture(name="shop")
def _shop(tmp_path: Path, database_url: str, monkeypatch: pytest.MonkeyPatch) -> Shop:
    monkeypatch.setenv("TRAVELLER_HOME", str(tmp_path / "home"))
    monkeypatch.delenv("TRAVELLER_STATIONS", raising=False)
    return Shop(tmp_path, database_url)


def booked_in(shop: Shop) -> str:
    words = [part for name, text in NAMEPLATE.items() for part in (f"--{name}", text)]
    words += [part for name, text in RATINGS.items() for part in ("--rating", f"{name}={text}")]
    tag: str = json.loads(shop.done(shop.technician, "book-in", *words, "--json"))["tag"]
    return tag


def repaired(shop: Shop, tag: str) -> None:
    """From booked in to the door of inspection."""
    shop.answer_all(tag, shop.technician, "goods_in")
    shop.done(shop.technician, "move", tag)
    shop.answer_all(tag, shop.technician, "diagnosis")
    shop.answer(
        tag, "diagnosis.diode_test", shop.technician, "volts=0.41 OL 0.41 0.42 0.41 0.42 rule=transistor module"
    )
    shop.done(
        shop.technician,
        "work",
        "plan",
        tag,
        "Q3",
        "IGBT module",
        "--set",
        "power stage",
        "--siblings",
        "Q1,Q2,Q3,Q4,Q5,Q6",
    )
    shop.done(shop.technician, "work", "plan", tag, "C17,K3", "aged part", "--reason", "aged")
    shop.done(shop.technician, "move", tag)
    for reference in ("Q1", "Q2", "Q3", "Q4", "Q5", "Q6", "C17", "K3"):
        shop.done(shop.technician, "work", "fit", tag, reference, "as planned", "--lot", "2631")
    refused = shop.call(shop.technician, "move", tag)
    assert refused.exit_code == 1
    assert "diode" in refused.output.lower()
    shop.answer_all(tag, shop.technician, "diagnosis", "component_work")
    shop.done(shop.technician, "move", tag)


def test_a_unit_goes_the_whole_way_by_commands(shop: Shop) -> None:
    tag = booked_in(shop)
    repaired(shop, tag)

    shop.answer_all(tag, shop.inspector, "inspection")
    shop.answer(tag, "inspection.joints", shop.inspector, "n")
    shop.done(shop.inspector, "work", "reject", tag, "Q4", "joint open")
    shop.done(
        shop.inspector,
        "move",
        tag,
        "--back",
        "component_work",
        "--found",
        "open joint at Q4",
        "--check",
        "inspection.joints",
    )
    assert shop.states(tag, "inspection") == {"stale"}
    shown = shop.done(shop.lead, "show", tag)
    assert "  ✓ When does the fault show: hot  (pass)  [fault_shows]\n" in shown
    assert "do again: " in shown and "  [inspection." in shown
    shop.done(shop.technician, "work", "fit", tag, "Q4", "resoldered")
    shop.answer_all(tag, shop.technician, "diagnosis", "component_work")
    shop.done(shop.technician, "move", tag)
    shop.answer_all(tag, shop.inspector, "inspection")
    shop.done(shop.inspector, "work", "verify", tag, "Q1,Q2,Q3,Q4,Q5,Q6,C17,K3")
    first = shop.unit(tag)["nonconformities"][0]["id"]
    assert shop.call(shop.technician, "nonconformity", tag, "--close", first, "--how", "done").exit_code == 1
    shop.done(shop.inspector, "nonconformity", tag, "--close", first, "--how", "joint seen, sound")
    shop.done(shop.inspector, "move", tag)

    shop.answer_all(tag, shop.tester, "load_test")
    shop.answer(tag, "load_test.hot_spot", shop.tester, "spot=84 similar=57 ambient=24 load_fraction=1")
    shop.done(
        shop.tester,
        "move",
        tag,
        "--back",
        "diagnosis",
        "--found",
        "phase U runs 27 K hotter",
        "--check",
        "load_test.hot_spot",
    )
    assert "stale" in shop.states(tag, "inspection")
    assert "stale" in shop.states(tag, "load_test")
    shop.answer_all(tag, shop.technician, "diagnosis")
    shop.done(shop.technician, "move", tag)
    shop.done(shop.technician, "work", "fit", tag, "Q1", "module set anew, compound renewed")
    shop.answer_all(tag, shop.technician, "diagnosis", "component_work")
    shop.done(shop.technician, "move", tag)
    shop.answer_all(tag, shop.inspector, "inspection")
    shop.done(shop.inspector, "work", "verify", tag, "Q1")
    shop.done(shop.inspector, "move", tag)
    shop.answer_all(tag, shop.tester, "load_test")
    second = shop.unit(tag)["nonconformities"][1]["id"]
    shop.done(shop.tester, "nonconformity", tag, "--close", second, "--how", "hot spot gone after rework")
    shop.done(shop.tester, "move", tag)

    assert shop.call(shop.clerk, "gate", tag).exit_code == 1
    shop.answer_all(tag, shop.clerk, "dispatch")
    shop.done(shop.clerk, "gate", tag)
    assert shop.call(shop.technician, "release", tag).exit_code == 1
    assert shop.call(shop.clerk, "release", tag, TRAVELLER_PIN="1357").exit_code == 1
    shop.done(shop.clerk, "release", tag)
    assert shop.unit(tag)["released"]
    assert shop.call(shop.technician, "note", tag, "one more thing").exit_code == 1
    assert "fits" in shop.done(shop.lead, "verify")

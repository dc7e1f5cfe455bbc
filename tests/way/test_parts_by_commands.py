"""From a parts list to the last line seen by somebody else, by commands alone, across two shifts."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.way.test_by_commands import Shop, booked_in

LIST = "Ref;Art;Wert;Spannung;Satz\nQ1-Q3;IGBT;;600 V 50 A;stage\nU1;driver;;;stage\nC17;Elko;470 µF;450 V;\n"


@pytest.fixture(name="shop")
def _shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Shop:
    monkeypatch.setenv("TRAVELLER_HOME", str(tmp_path / "home"))
    monkeypatch.delenv("TRAVELLER_STATIONS", raising=False)
    return Shop(tmp_path, f"sqlite:///{tmp_path / 'shop.sqlite'}")


def test_from_the_parts_list_to_the_last_line(shop: Shop, tmp_path: Path) -> None:
    tag, hands = booked_in(shop), shop.technician
    path = tmp_path / "stage.csv"
    path.write_text(LIST, encoding="cp1252")
    said = shop.done(hands, "parts", "import", tag, str(path))
    assert "5 parts, from file stage.csv" in said
    assert "read as Windows-1252" in said
    assert json.loads(shop.done(hands, "parts", "list", tag, "--json"))["parts"][4]["kind"] == "electrolytic"

    look = json.loads(shop.done(hands, "work", "out", tag, "--failed", "Q2", "--look", "--json"))
    assert [line["reference"] for line in look["lines"]] == ["Q2", "Q1", "Q3", "C17", "U1"]
    assert "0 of 5 fitted" in shop.done(hands, "work", "out", tag, "--failed", "Q2")
    assert shop.call(hands, "work", "out", tag).exit_code == 1

    weaker = ("work", "fit", tag, "C17", "another", "--offered", "voltage=400", "--offered", "value=470u")
    refused = shop.call(hands, *weaker)
    assert refused.exit_code == 1
    assert "substitute weaker or different: rated voltage" in refused.output
    assert "pass, as good in all 2" in shop.done(hands, *weaker[:-3], "voltage=450", *weaker[-2:])

    shop.done(hands, "moisture", "open", tag, "Q1-Q3", "4", "--out", "73", "--body", "1.2")
    assert shop.call(hands, "work", "fit", tag, "Q1", "IGBT").exit_code == 1
    shop.done(hands, "moisture", "bake", tag, "Q1-Q3", "7")
    clocks = json.loads(shop.done(shop.lead, "moisture", "list", tag, "--json"))
    assert [(one["reference"], one["state"]) for one in clocks] == [
        ("Q1", "running"),
        ("Q2", "running"),
        ("Q3", "running"),
    ]
    shop.done(hands, "moisture", "close", tag, "Q3")

    for place in ("Q1", "Q2", "Q3"):
        shop.done(hands, "work", "fit", tag, place, "IGBT")
    assert "4 of 5 fitted, left: U1" in shop.done(hands, "work", "fit", tag, "Q3", "IGBT")
    shop.done(hands, "work", "fit", tag, "U1", "15.1 V / -8.2 V, clean")
    assert shop.call(hands, "work", "verify", tag, "U1").exit_code == 1
    assert "5 of 5 verified" in shop.done(shop.inspector, "work", "verify", tag, "Q1-Q3,C17,U1")
    assert "no clocks" in shop.done(hands, "moisture", "list", tag)


def test_parts_by_hand_and_from_an_earlier_unit(shop: Shop) -> None:
    earlier, tag, hands = booked_in(shop), booked_in(shop), shop.technician
    assert "no parts list of this model is known" in shop.done(hands, "parts", "from", tag)
    shop.done(hands, "parts", "add", earlier, "K1-K2", "relay", "--value", "24 V", "--board", "control")
    assert "no parts list of this model is known" in shop.done(hands, "parts", "from", earlier)
    assert f"{earlier}: 2 parts" in shop.done(hands, "parts", "from", tag)
    assert f"2 parts, from earlier unit {earlier}" in shop.done(hands, "parts", "from", tag, earlier)
    assert "K2         relay 24 V" in shop.done(hands, "parts", "list", tag)

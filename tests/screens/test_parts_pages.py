"""The work page with a parts list: a file with odd headers, the list worked out, a substitute, an open bag."""

from __future__ import annotations

from pathlib import Path

from textual.widgets import DataTable

from tests.screens.small_shop import SmallShop
from traveller.screens.bags import BagsPage
from traveller.screens.sheet_of_fields import SheetOfFields
from traveller.screens.working_out import WorkingOutPage
from traveller.screens.worklist import WorkPage

LIST = (
    "Alpha;Beta;Gamma;Delta\nQ1-Q6;IGBT;1200 V 50 A;stage\nU1,U2;driver;;stage\nC1;elko;450 V;\n"
    "R1-R190;resistor;;\nK1-K150;relay;24 V;\n"
)


def written(shop: SmallShop, name: str) -> str:
    path = Path(shop.picture).with_name(name)
    path.write_text(LIST, encoding="utf-8")
    return str(path)


async def test_from_a_file_with_odd_headers_to_a_planned_list(shop: SmallShop) -> None:
    tag = shop.unit(serial="parts-1")
    async with shop.terminal() as hands:
        await hands.scan(tag)
        await hands.press("f7", "i", "f")
        await hands.fill({"path": written(shop, "odd.csv")})
        assert await hands.sees("Which column is which?")
        assert await hands.sees("1 Alpha   2 Beta")
        await hands.fill({"reference": "1", "kind": "2", "rating": "Gamma", "matched_set": "d"})
        assert "349 parts, from file odd.csv" in hands.text()
        await hands.press("w")
        assert isinstance(hands.app.screen, WorkingOutPage)
        assert "151 lines are missing" in hands.text()
        await hands.press("f")
        await hands.paste("q3")
        await hands.enter()
        assert "with Q3 failed: 159 lines are missing" in hands.text()
        assert "Q3: failed: found in diagnosis" in hands.text()
        await hands.press("down")
        assert "its neighbours saw the same stress" in " ".join(hands.text().split())
        await hands.enter()
        assert isinstance(hands.app.screen, WorkPage)
        assert "planned: 0 of 159 fitted, left: Q3, Q1, Q2, Q4, Q5, Q6 and 153 more" in " ".join(hands.text().split())
        await hands.press("ctrl+end")
        page = hands.app.screen
        assert page.query_one("#lines", DataTable).cursor_row == 158
        assert "U2 driver: planned; driver check: Q1, Q2, Q3" in " ".join(hands.text().split())
        await hands.press("f")
        assert await hands.sees("what was found")
        await hands.fill({"part": "+15 V / -8 V, clean"})
        assert "◧ checked" in hands.text()
        assert "a add  f fit  v seen" in hands.text().splitlines()[-1]


async def test_the_list_of_an_earlier_unit_is_offered_first(shop: SmallShop) -> None:
    earlier, tag = shop.unit(serial="parts-2"), shop.unit(serial="parts-3")
    said = {"Alpha": "reference", "Beta": "kind"}
    shop.workshop.parts.import_list(earlier, written(shop, "plain.csv"), shop.technician, said)
    async with shop.terminal() as hands:
        await hands.scan(tag)
        await hands.press("f7", "i")
        assert await hands.sees(f"349 parts of the same model, {earlier}")
        await hands.enter()
        assert f"349 parts, from earlier unit {earlier}" in hands.text()


async def test_a_weaker_substitute_is_refused_on_the_sheet_and_nothing_typed_is_lost(shop: SmallShop) -> None:
    tag = shop.unit(serial="parts-4")
    shop.workshop.parts.add(tag, "C17", "elko", shop.technician, value="470 µF", rating="450 V")
    shop.workshop.parts.work_out(tag, shop.technician)
    async with shop.terminal() as hands:
        await hands.scan(tag)
        await hands.press("f7", "f")
        sheet = hands.app.screen
        assert isinstance(sheet, SheetOfFields)
        sheet.query_one("#line-offered").focus()
        await hands.paste("voltage=400 V value=470u")
        await hands.press("f10")
        assert hands.app.screen is sheet
        assert "substitute weaker or different: rated voltage" in " ".join(hands.text().split())
        await hands.fill({"offered": "voltage=500 V value=470u"})
        assert "against the original: ✓ pass" in " ".join(hands.text().split())


async def test_a_bag_is_opened_closed_and_its_clock_shown(shop: SmallShop) -> None:
    tag = shop.unit(serial="parts-5")
    async with shop.terminal() as hands:
        await hands.scan(tag)
        await hands.press("f7", "m", "o")
        await hands.fill({"places": "U3", "level": "4", "out": "80"})
        assert isinstance(hands.app.screen, BagsPage)
        assert "1 out of the bag or stored dry, ✗ 1 over" in hands.text()
        assert "✗ over" in hands.text()
        await hands.press("b")
        await hands.fill({"hours": "7", "body": "1.2"})
        assert "▶ running" in hands.text()
        assert "72.0 h" in hands.text()
        await hands.press("c")
        await hands.press("f10")
        assert "■ stopped" in hands.text()
        assert "in dry storage" in hands.text()

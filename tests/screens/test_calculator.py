"""Every calculation can be worked out on the calculator screen, without a unit, and nothing is recorded."""

from __future__ import annotations

import runpy
from pathlib import Path

from textual.widgets import DataTable

from tests.screens.small_shop import SmallShop
from traveller.judgement import Verdict

EXAMPLES: dict[str, dict[str, str]] = runpy.run_path(str(Path(__file__).parents[2] / "docs" / "list_calculations.py"))[
    "EXAMPLES"
]


async def test_every_calculation_gives_a_verdict_on_the_screen(shop: SmallShop) -> None:
    """The inputs are the examples of docs/calculations.md; what they come to is tested with the stations."""
    async with shop.terminal((120, 40)) as hands:
        await hands.press("f12")
        table = hands.app.screen.query_one("#judges", DataTable)
        names = [str(row.value) for row in table.rows]
        assert sorted(names) == sorted(EXAMPLES)
        for number, name in enumerate(names):
            table.move_cursor(row=number)
            await hands.enter()
            many = {"volts", "readings", "times_min", "temperatures", "counted_in"}
            typed = {field: text.replace(",", " ") if field in many else text for field, text in EXAMPLES[name].items()}
            await hands.fill(typed)
            shown = hands.text()
            assert any(f"{verdict.sign} {verdict}" in shown for verdict in Verdict), f"{name}:\n{shown}"

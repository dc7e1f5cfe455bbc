"""The thermal pictures of a unit: the newest first, every marked place with its verdict and its working."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING, ClassVar

from rich.text import Text
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.widget import Widget
from textual.widgets import DataTable

from traveller.screens.page import Page
from traveller.screens.widgets.fitted_table import FittedTable
from traveller.screens.widgets.heat_map import HeatMap
from traveller.screens.widgets.lines import Words
from traveller.screens.words import KEPT_SIGN, time_words, with_kept

if TYPE_CHECKING:
    from traveller.record.entries import Entry
    from traveller.record.thermal import Grid
    from traveller.record.thermal_entries import AreaSeen, ThermalTaken
    from traveller.record.view import UnitView

Loaded = tuple["UnitView", "Grid | None"]


class ThermalPage(Page[Loaded]):
    heading = "thermal pictures"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("a", "add", "add a picture", id="thermal.add"),
        Binding("n", "older(-1)", "newer", id="thermal.newer"),
        Binding("o", "older(1)", "older", id="thermal.older"),
    ]

    def __init__(self, tag: str) -> None:
        super().__init__()
        self.tag = tag
        self.view: UnitView | None = None
        self._back = 0

    def contents(self) -> list[Widget]:
        return [
            Words("", id="lead", classes="pad"),
            Horizontal(
                HeatMap(id="heat"),
                Vertical(
                    FittedTable(id="areas", cursor_type="row"), Words("", id="working", classes="pad"), id="beside"
                ),
                id="thermal",
            ),
        ]

    def on_mount(self) -> None:
        table = self.query_one("#areas", DataTable)
        for name, width in (("place", 8), ("°C", 6), ("verdict", 60)):
            table.add_column(name, key=name, width=width)
        table.focus()

    def asking(self) -> Callable[[], Loaded]:
        return partial(_load, self.workshop, self.tag, self._back)

    def paint(self, loaded: Loaded) -> None:
        self.view, grid = loaded
        entry = _chosen(self.view, self._back)
        table = self.query_one("#areas", DataTable)
        table.clear()
        body = _body(entry)
        self.query_one("#lead", Words).update(Text(self._lead(entry)))
        self.query_one("#heat", HeatMap).show(grid, [seen.area for seen in body.seen] if body else ())
        for seen in _worst_first(body) if body else ():
            verdict = seen.finding.verdict
            table.add_row(
                Text(seen.area.name),
                Text(f"{seen.hottest:.1f}"),
                Text(f"{verdict.sign} {verdict}"),
                key=seen.area.name,
            )
        if not body:
            self.query_one("#working", Words).update("")

    def _lead(self, entry: Entry | None) -> str:
        if entry is None:
            return f"{self.tag}: no thermal picture yet. a adds one from a file of the camera."
        body, shop = _body(entry), self.terminal.shop
        assert body is not None and self.view is not None
        who = shop.called(entry.by) if shop else entry.by
        when = time_words(entry.at, shop.zone if shop else "UTC")
        count = len(self.view.unit.thermal)
        mark = f"{KEPT_SIGN} kept · " if entry.id in self.view.kept else ""
        nth = f"picture {count - self._back} of {count}"
        return (
            f"{self.tag}: {mark}{nth}, {body.file}, {when} {who}; ambient {body.ambient:g} °C, "
            f"{body.load_fraction:.0%} of full load"
        )

    def on_data_table_row_highlighted(self, event: DataTable.RowHighlighted) -> None:
        body = _body(_chosen(self.view, self._back) if self.view else None)
        seen = next((one for one in body.seen if one.area.name == str(event.row_key.value)), None) if body else None
        if seen is None:
            return
        finding = seen.finding
        lines = [f"{seen.area.name}: {finding.verdict.sign} {finding.verdict}: {finding.says}", f"! {finding.caution}"]
        lines += [*finding.working, finding.limit, f"source: {finding.source}"]
        self.query_one("#working", Words).update(Text("\n".join(line for line in lines if line)))

    def action_older(self, by: int) -> None:
        if self.view:
            self._back = max(0, min(len(self.view.unit.thermal) - 1, self._back + by))
            self.refresh_page()

    def action_add(self) -> None:
        from traveller.screens.thermal_marking import add_picture

        if self.view:
            add_picture(self, self.view, self._added)

    def _added(self, view: UnitView) -> None:
        self._back = 0
        self.refresh_page()
        self.tell(with_kept("The picture is entered with its findings.", view))


def _load(workshop: object, tag: str, back: int) -> Loaded:
    from traveller.store.workshop import Workshop

    assert isinstance(workshop, Workshop)
    view = workshop.unit(tag)
    body = _body(_chosen(view, back))
    return view, workshop.thermal.grid(body.picture) if body else None


def _worst_first(body: ThermalTaken) -> list[AreaSeen]:
    from traveller.judgement import Verdict

    order = [Verdict.FAIL, Verdict.UNDECIDED, Verdict.PASS, Verdict.NOT_APPLICABLE]
    return sorted(body.seen, key=lambda seen: (order.index(seen.finding.verdict), -seen.hottest))


def _chosen(view: UnitView, back: int) -> Entry | None:
    pictures = view.unit.thermal
    return pictures[-1 - back] if len(pictures) > back else None


def _body(entry: Entry | None) -> ThermalTaken | None:
    from traveller.record.thermal_entries import ThermalTaken

    return entry.body if entry and isinstance(entry.body, ThermalTaken) else None

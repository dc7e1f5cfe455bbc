"""Marking the places of a thermal picture with the keyboard, and what was around when it was taken."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING, Any, ClassVar

from rich.text import Text
from textual.binding import Binding, BindingType
from textual.containers import Horizontal
from textual.widget import Widget

from traveller.screens.page import Page
from traveller.screens.sheet_of_fields import Line, SheetOfFields, Values
from traveller.screens.widgets.heat_map import HeatMap
from traveller.screens.widgets.lines import Words

if TYPE_CHECKING:
    from traveller.record.acts.thermal import Conditions
    from traveller.record.thermal_entries import Area
    from traveller.record.view import UnitView
    from traveller.store.thermal import FileRead

CAMERA = "thermal camera"
Prepared = tuple["FileRead", "Conditions"]


def add_picture(page: Page[Any], view: UnitView, done: Callable[[UnitView], None]) -> None:
    """Ask for the file and for what was around, then let the places be marked."""
    lines = [
        Line("file", "file of the camera", "a table of temperatures (CSV), or a 16-bit TIFF or PNG"),
        Line("ambient", "ambient", "°C, the air where it draws in"),
        Line("load", "share of full load", "100 % is rated current: write 1, 0.8 or 80 %", value="1"),
        Line("emissivity", "emissivity", "only if the camera was set to 1; tape and paint 0.95", optional=True),
        Line("reflected", "mirrored in it", "°C, often the room; only with an emissivity", optional=True),
        Line("scale", "scale", "only for counts: °C = count × scale + offset", optional=True),
        Line("offset", "offset", "only with a scale", optional=True),
    ]
    caution = "Live parts behind the cover: protective equipment and distance first."

    def marking(prepared: Prepared) -> None:
        page.app.push_screen(MarkingPage(view.unit.tag, *prepared, done))

    page.app.push_screen(SheetOfFields("A thermal picture", lines, _prepare, marking, caution=caution))


def _prepare(values: Values) -> Prepared:
    from traveller.quantities import read_quantity
    from traveller.record.acts.thermal import Conditions
    from traveller.record.forms import build
    from traveller.store.thermal import ThermalCamera

    def number(name: str, unit: str = "") -> float | None:
        return read_quantity(values[name], unit).value if values[name].strip() else None

    file = ThermalCamera.read(values["file"], number("scale"), number("offset"))
    around = {
        "ambient": number("ambient", "°C"),
        "load_fraction": number("load"),
        "emissivity": number("emissivity"),
        "reflected": number("reflected", "°C"),
    }
    return file, build(Conditions, {name: value for name, value in around.items() if value is not None})


class MarkingPage(Page[None]):
    """Arrows move the cross, Enter sets one corner and then the other; F10 keeps the picture."""

    heading = "mark the places"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "corner", "corner", key_display="Enter"),
        Binding("e", "shape", "round or square"),
        Binding("d", "drop", "take the last back"),
        Binding("f10", "keep", "keep", key_display="F10"),
        Binding("up", "go(0,-1)", show=False),
        Binding("down", "go(0,1)", show=False),
        Binding("left", "go(-1,0)", show=False),
        Binding("right", "go(1,0)", show=False),
    ]

    def __init__(self, tag: str, file: FileRead, conditions: Conditions, done: Callable[[UnitView], None]) -> None:
        super().__init__()
        self.tag = tag
        self._file = file
        self._conditions = conditions
        self._done = done
        self._areas: list[Area] = []
        self._round = False
        self._siblings = "set 1"

    def contents(self) -> list[Widget]:
        return [Horizontal(HeatMap(id="heat"), Words("", id="beside"), id="thermal")]

    def asking(self) -> Callable[[], None]:
        return lambda: None

    def on_mount(self) -> None:
        self.heat.cross = (2, 2)

    @property
    def heat(self) -> HeatMap:
        return self.query_one("#heat", HeatMap)

    def paint(self, loaded: None) -> None:
        del loaded
        self.heat.show(self._file.grid, self._areas)
        self.query_one("#beside", Words).update(Text("\n".join(self._lines())))

    def _lines(self) -> list[str]:
        from traveller.record.thermal import heat_of

        shape = "round" if self._round else "square"
        lines = [f"{self._file.name}", f"the next place is {shape}", ""]
        if self.heat.corner:
            lines += ["One corner is set:", "go to the other, Enter.", ""]
        elif not self._areas:
            lines += ["Arrows move the cross.", "Enter sets a corner, Enter the other.", "Mark every sibling.", ""]
        for area in self._areas:
            heat = heat_of(self._file.grid, area)
            beside = f" ({area.siblings})" if area.siblings else ""
            lines.append(f"{area.name:8} {heat.hottest:6.1f} °C{beside}")
        return lines

    def action_go(self, across: int, down: int) -> None:
        columns, lines = self.heat.room()
        column, line = self.heat.cross or (0, 0)
        self.heat.cross = (max(0, min(columns - 1, column + across)), max(0, min(lines - 1, line + down)))
        self.paint(None)

    def action_shape(self) -> None:
        self._round = not self._round
        self.paint(None)

    def action_drop(self) -> None:
        if self.heat.corner:
            self.heat.corner = None
        elif self._areas:
            self._areas.pop()
        self.paint(None)

    def action_corner(self) -> None:
        if self.heat.corner is None or self.heat.cross is None:
            self.heat.corner = self.heat.cross
            self.paint(None)
            return
        box = self.heat.points_between(self.heat.corner, self.heat.cross)
        lines = [
            Line("name", "place", "as on the board: Q1, or bridge left"),
            Line("siblings", "siblings", "a name for all that do the same job", self._siblings, optional=True),
        ]
        self.app.push_screen(SheetOfFields("What is there?", lines, partial(self._area, box), self._marked))

    def _area(self, box: tuple[int, int, int, int], values: Values) -> Area:
        from traveller.record.thermal import read_area

        numbers = ",".join(str(one) for one in box)
        shape = "ellipse" if self._round else "rectangle"
        return read_area(f"{values['name']}={shape}:{numbers}", values["siblings"].strip())

    def _marked(self, area: Area) -> None:
        self._areas.append(area)
        self._siblings = area.siblings
        self.heat.corner = None
        self.paint(None)

    def action_keep(self) -> None:
        in_hand = self.terminal.in_hand.get(CAMERA)
        used = [in_hand.tag] if in_hand else []
        job = partial(
            self.workshop.thermal.take, self.tag, self.terminal.by, self._file, self._conditions, self._areas, used
        )
        self.terminal.errand(job, self._kept, self.terminal.refuse)

    def _kept(self, view: UnitView) -> None:
        self.app.pop_screen()
        self._done(view)

"""The shop's own register: people, instruments, rigs and shelves, each with the tag that is scanned."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date
from typing import TYPE_CHECKING, ClassVar

from rich.text import Text
from textual.binding import Binding, BindingType
from textual.widget import Widget
from textual.widgets import DataTable, Static

from traveller.counting import many
from traveller.errors import InputError
from traveller.screens.acts import read_day
from traveller.screens.choice import Choice, Way
from traveller.screens.page import Page
from traveller.screens.sheet_of_fields import Line, SheetOfFields, Values
from traveller.screens.widgets.fitted_table import FittedTable
from traveller.screens.words import day_words

if TYPE_CHECKING:
    from traveller.record.shop import Shop
    from traveller.record.shop_entries import InstrumentUsed
    from traveller.vocabulary import Role

Loaded = tuple["Shop", date]
Row = tuple[str, str, str, str]


class RegisterPage(Page[Loaded]):
    """One line each; a lead adds and changes, everybody may look."""

    heading = "register"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("a", "add", "add", id="register.add"),
        Binding("enter", "take", "in hand", id="register.take", key_display="Enter", priority=True),
        Binding("c", "code", "code", id="register.code"),
        Binding("n", "next", "calibrated", id="register.next"),
        Binding("p", "pin", "new PIN", id="register.pin"),
        Binding("l", "left", "left", id="register.left"),
    ]

    def __init__(self) -> None:
        super().__init__()
        self._shop: Shop | None = None
        self._added = ""

    def contents(self) -> list[Widget]:
        return [Static("", id="lead", classes="pad"), FittedTable(id="tags", cursor_type="row")]

    @property
    def tags(self) -> DataTable[Text]:
        return self.query_one("#tags", DataTable)

    def on_mount(self) -> None:
        for name, width in (("tag", 8), ("what", 10), ("name", 22), ("", 200)):
            self.tags.add_column(name, key=name or "more", width=width)
        self.tags.focus()

    def asking(self) -> Callable[[], Loaded]:
        workshop = self.workshop
        return lambda: (workshop.shop(), workshop.today())

    def paint(self, loaded: Loaded) -> None:
        shop, today = loaded
        self._shop = self.terminal.shop = shop
        at = self.tags.cursor_row
        self.tags.clear()
        rows = list(_rows(shop, today))
        for row in rows:
            self.tags.add_row(*map(Text, row), key=row[0])
        tags = [row[0] for row in rows]
        at, self._added = (tags.index(self._added) if self._added in tags else at), ""
        self.tags.move_cursor(row=max(0, min(at, len(rows) - 1)))
        late = sum(one.calibration_due < today for one in shop.instruments.values())
        words = f"{shop.name or 'a shop without a name'}, {shop.zone}: {many(len(rows), 'tag')}"
        self.query_one("#lead", Static).update(Text(words + (f"; ! {many(late, 'instrument')} late" if late else "")))

    def _chosen(self) -> str:
        return str(self.tags.ordered_rows[self.tags.cursor_row].key.value) if self.tags.row_count else ""

    def _ask(self, title: str, lines: list[Line], act: Callable[[Values], object], said: str) -> None:
        def done(result: object) -> None:
            self._added = result if isinstance(result, str) else ""
            self.refresh_page()
            self.tell(said)

        self.app.push_screen(SheetOfFields(title, lines, act, done))

    # ---- adding -----------------------------------------------------------------------------------------

    def action_add(self) -> None:
        ways = [
            Way("person", "p", "person", "with roles and a PIN"),
            Way("instrument", "i", "instrument", "with its class and calibration"),
            Way("rig", "r", "load rig", "with what it can take"),
            Way("shelf", "s", "shelf", "where units lie"),
        ]
        self.app.push_screen(Choice("What is added?", ways), self._add)

    def _add(self, what: str | None) -> None:
        registry = self.workshop.registry
        match what:
            case "person":
                lines = [
                    Line("name", "name"),
                    Line("roles", "roles", f"one or more of: {_roles()}"),
                    Line("pin", "PIN", "4 to 12 digits", hidden=True),
                ]
                self._ask("A person", lines, self._enrol, "enrolled: c shows the badge's code")
            case "instrument":
                self._instrument_sheet("An instrument", "")
            case "rig":
                lines = [
                    Line("name", "name"),
                    Line("volts", "takes at most (V)", optional=True),
                    Line("amps", "takes at most (A)", optional=True),
                    Line("power", "takes at most (W)", optional=True),
                ]
                self._ask("A load rig", lines, self._rig, "registered")
            case "shelf":
                name = [Line("name", "name")]
                self._ask("A shelf", name, lambda v: registry.register_shelf(v["name"], self.terminal.by), "registered")

    def _enrol(self, values: Values) -> object:
        from traveller.record.answering import choose
        from traveller.vocabulary import Role

        names = [one.strip() for one in values["roles"].replace(";", ",").split(",") if one.strip()]
        roles = [_role(choose([role.label for role in Role], name)) for name in names]
        return self.workshop.registry.enrol(values["name"], roles, values["pin"], by=self.terminal.by)

    def _rig(self, values: Values) -> object:
        from traveller.quantities import read_quantity

        def number(name: str, unit: str) -> float:
            return read_quantity(values[name], unit).value if values[name].strip() else 0.0

        most = number("volts", "V"), number("amps", "A"), number("power", "W")
        return self.workshop.registry.register_rig(values["name"], self.terminal.by, *most)

    def _instrument_sheet(self, title: str, tag: str) -> None:
        known = self._shop.instruments.get(tag) if self._shop else None
        lines = [
            Line("name", "name", value=known.name if known else ""),
            Line("class", "class", "", known.instrument_class if known else "", options=self._kinds_asked(known)),
            Line("due", "calibrated to", "year-month-day, for example 2026-12-31"),
            Line("percent", "U, % of reading", "expanded, k = 2, from the certificate", optional=True),
            Line("absolute", "U, fixed part", "in the unit that is read", optional=True),
        ]

        def act(values: Values) -> object:
            from traveller.quantities import read_quantity

            percent, absolute = (
                read_quantity(values[one], "").value if values[one].strip() else 0.0 for one in ("percent", "absolute")
            )
            day, by = read_day(values["due"]), self.terminal.by
            return self.workshop.registry.register_instrument(
                values["name"], values["class"], day, by, percent, absolute, tag
            )

        self._ask(title, lines, act, "registered")

    def _kinds_asked(self, known: InstrumentUsed | None) -> tuple[str, ...]:
        """What the checks ask for: an instrument that is called otherwise counts at none of them."""
        asked = {check.instrument for check in self.workshop.desk.stations.book.checks()}
        return tuple(sorted((asked | {known.instrument_class if known else ""}) - {""}))

    # ---- changing ---------------------------------------------------------------------------------------

    def action_take(self) -> None:
        """As its scan would: for a terminal without a scanner."""
        if self._shop and self._chosen() in self._shop.instruments:
            self.terminal.scans.scanned(self._chosen())
        else:
            self.terminal.refuse(InputError("Choose an instrument first."))

    def action_next(self) -> None:
        if self._shop and self._chosen() in self._shop.instruments:
            self._instrument_sheet(f"{self._chosen()}: its next calibration", self._chosen())
        else:
            self.terminal.refuse(InputError("Choose an instrument first."))

    def action_pin(self) -> None:
        if tag := self._need_person():
            lines = [Line("pin", "new PIN", "4 to 12 digits", hidden=True)]
            registry = self.workshop.registry
            self._ask(
                f"{tag}: a new PIN",
                lines,
                lambda v: registry.set_pin(tag, v["pin"], self.terminal.by),
                "the PIN is changed",
            )

    def action_left(self) -> None:
        if tag := self._need_person():
            name = self._shop.called(tag) if self._shop else tag
            lines = [Line("sure", f"{name} has left", options=("yes", "no"))]

            def act(values: Values) -> object:
                return self.workshop.registry.leave(tag, self.terminal.by) if values["sure"] == "yes" else None

            self._ask(f"{tag}: the badge no longer signs on", lines, act, "done")

    def _need_person(self) -> str:
        if self._shop and self._chosen() in self._shop.people:
            return self._chosen()
        self.terminal.refuse(InputError("Choose a person first."))
        return ""

    def action_code(self) -> None:
        from traveller.screens.code import CodePage

        if self._chosen():
            self.app.push_screen(CodePage(self._chosen()))


def _rows(shop: Shop, today: date) -> Iterator[Row]:
    """(tag, what, name, more) of everything that has a tag and is not a unit."""
    for person in shop.present():
        yield person.tag, "person", person.name, ", ".join(role.label for role in person.roles)
    for meter in shop.instruments.values():
        due = day_words(meter.calibration_due, today).removeprefix("late ")
        late = meter.calibration_due < today
        more = f"{'! LATE since' if late else 'to'} {due}, {meter.instrument_class}"
        yield meter.tag, "instrument", meter.name, more
    for rig in shop.rigs.values():
        most = ((rig.max_volts, "V"), (rig.max_amps, "A"), (rig.max_power, "W"))
        yield rig.tag, "load rig", rig.name, ", ".join(f"{value:g} {unit}" for value, unit in most if value)
    for shelf in shop.shelves.values():
        yield shelf.tag, "shelf", shelf.name, ""


def _roles() -> str:
    from traveller.vocabulary import Role

    return ", ".join(role.label for role in Role)


def _role(label: str) -> Role:
    from traveller.vocabulary import Role

    return next(role for role in Role if role.label == label)
